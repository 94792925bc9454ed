"""The best ports for many targets, with a proof of how good the best can be.

Every pair of places on a surface is looked at by branch and bound: cells of places are dropped once a true lower bound says
that nothing in them is better than what is found. So the result comes with a bound that no pair passes, and where none is
good enough, that is proved. For education only: not for planning an operation.
"""

from ergokit.search.ports import best_ports, best_ports_so_far
from ergokit.search.result import BestPorts, Pair
from ergokit.search.studies import PortMap, front, largest_turn, port_map, tightest_limit

__all__ = [
    "BestPorts",
    "Pair",
    "PortMap",
    "best_ports",
    "best_ports_so_far",
    "front",
    "largest_turn",
    "port_map",
    "tightest_limit",
]

"""`best_ports`, and the search as it goes on."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf
from time import monotonic
from typing import Any

from numpy.typing import ArrayLike

from ergokit._check import takes_also
from ergokit.search.branch import Search
from ergokit.search.result import BestPorts, snapshot
from ergokit.search.task import Task
from ergokit.surfaces import Surface

_BETWEEN = 0.15  # seconds between two states of a search


@takes_also(Task)
def best_ports(surface: Surface, targets: ArrayLike, **arguments: Any) -> BestPorts:
    """The pair of ports on a surface that suits all targets best, and a bound that no pair passes: a `BestPorts`.

    surface
        a `WedgeBox` (ports in panel a, which faces the operator), a `FlatBox` or a `Dome`
    targets
        points in the box, shape (3,) or (n, 3)
    camera
        None for no camera, a point, or ``"free"`` for one on the same surface that is chosen together with the ports. It is
        the lens, fixed at the wall, and looks at each target in turn; for the clearance a scope runs straight back from it.
        ``"scope"`` for a 0 degree scope whose hole is chosen like that: it points at each target in turn, and its tip is slid
        as far from the target as the rule on the working distance lets it. So the rule needs a hole that is at least its low
        end away, and at most its high end and the scope's length
    rules
        quantity -> (low, high), None where there is no limit on that side; each must hold for every target and both hands:
        "port spacing", "port to camera", "length inside", "working distance" and "shaft clearance" in cm, "azimuth
        difference" (between left and right, in the instruments' plane, 0 to 180) and "elevation angle" in degrees, and
        "inside : outside". Shaft clearance is the distance from the nearer port to the other shaft and from the lens to either
        shaft: all three meet at the target. The instruments have to reach every target in any case
    manipulation_angle, angle_range
        the wanted angle, from which the search makes the worst deviation least, and (low, high) for the words and the
        table, in degrees
    tolerance
        degrees; the search ends when the best is known to be that near to the best possible
    seconds
        after which the search stops with what it has; kept within 10 %. A small azimuth difference with a free camera can
        take minutes without
    instrument_length, handle_reach
        as for `Placement`; with two lengths the left port is kept left of the right one
    scope_length
        of the scope's shaft, in cm: how far its tip goes in
    hole
        diameter of a port hole, in cm: each hole lies wholly on the surface, and the two do not overlap

    Rules that no arrangement meets give a result without ports, whose `sentence` says which rules. ValueError for a bad
    argument and for targets outside the box.

    >>> from ergokit.surfaces import FlatBox
    >>> best_ports(FlatBox(60, 45, 25), [(-5, 0, 0), (5, 0, 0), (0, 8, 2)]).sentence  # doctest: +ELLIPSIS
    'This pair of ports brings all 3 targets into 45 to 75 degrees: it misses 60 by ... degrees at worst, and no pair can do ...
    """
    *_, best = best_ports_so_far(surface, targets, **arguments)
    return best


@takes_also(Task)
def best_ports_so_far(surface: Surface, targets: ArrayLike, **arguments: Any) -> Iterator[BestPorts]:
    """An iterator over the search of `best_ports` as it goes on: a `BestPorts` about every 0.15 s, the last of them final.

    The arguments are those of `best_ports`, and are checked at once. To stop the search, stop asking for more.

    >>> from ergokit.surfaces import FlatBox
    >>> for state in best_ports_so_far(FlatBox(60, 45, 25), [(-5, 0, 0), (5, 0, 0), (0, 8, 2)]):
    ...     pass  # here a progress bar would show state.gap
    >>> state.finished
    True
    """
    return _states(Task(surface, targets, **arguments))


def _states(task):
    search, start = Search(task), monotonic()
    shown = start
    if task.seconds is not None:
        task.until = start + task.seconds
    for _ in search.rounds():
        if task.late:
            break
        now = monotonic()
        if now - shown > _BETWEEN and not search.done:
            yield snapshot(search, now - start, last=False)
            shown = monotonic()
    task.until = inf  # what the result is asked later takes its own time
    yield snapshot(search, monotonic() - start, last=True)

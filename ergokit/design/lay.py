"""The six ways to lay a carton on its diagonal cut, ranked for a phone."""

from __future__ import annotations

from itertools import permutations
from typing import Any, NamedTuple

from numpy.typing import ArrayLike

from ergokit._check import lengths, refused, takes_also
from ergokit.design.layouts import Panel, room
from ergokit.design.result import BoxDesign, designed
from ergokit.design.search import best, chosen
from ergokit.design.wish import Wish, check_box
from ergokit.surfaces import WedgeBox


class WayToLay(NamedTuple):
    """A way to lay a carton: the `box` it gives, its best `design` (None where no layout has the angle), and the share of its
    range that the tightest rule leaves to spare there, below 0 where it is not met and -1 without a design."""

    box: WedgeBox
    design: BoxDesign | None
    to_spare: float


@takes_also(Wish)
def ways_to_lay(edges: ArrayLike, **more: Any) -> list[WayToLay]:
    """The six ways to lay a carton of three edges, cut corner to corner, the best for this phone first.

    Any edge can be the ridge, and either of the other two face the operator. First come the ways in which the fewest rules are
    not met, and of those the ones that leave most to spare, to a hundredth; then the wider ridge and the longer panel, at which
    it is easier to work. `edges` are in cm; the others are the arguments of `design_box`. ValueError for a bad argument.

    >>> first, *others = ways_to_lay((27, 44, 36))
    >>> first.box, first.design.holes["right port"], len(others)
    (WedgeBox(ridge=44.0, side_a=36.0, side_b=27.0), (10.0, 12.0), 5)
    """
    sides = lengths("edges", edges)
    if sides.shape != (3,):
        raise refused("edges", "the three edges of a carton in cm", edges)
    wish = Wish(**more)
    ways = [_laid(WedgeBox(*way), wish) for way in dict.fromkeys(permutations(sides.tolist()))]
    return sorted(ways, key=_rank)


def _rank(way):
    broken = len(way.design.not_met) if way.design else 0
    return way.design is None, broken, -round(way.to_spare, 2), -way.box.ridge, -way.box.side_a


def _laid(box, wish):
    check_box("edges", box, "targets", None)
    panel = Panel.of(box)
    layout = best(panel, wish, chosen(panel, wish, None, None))
    if layout is None:
        return WayToLay(box, None, -1.0)
    return WayToLay(box, designed(panel, wish, layout), float(room(panel, wish, layout, wish.targets_of(panel, layout)).min()))

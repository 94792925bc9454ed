"""A box to measure: from a carton, targets and a phone to where the holes for ports and camera go, and what then is not met.

The ports are level on one panel, the same distance to the left and to the right of its centre line; the camera hole is on the
centre line, above them. The phone lies flat on the panel across the box, its long side level and its lens over the camera hole,
and rests on a ledge; it looks along the panel's normal, whatever the target. The thickness of the card is left out.

Where rules leave a choice the layouts nearest to the wanted manipulation angle are taken, and of those the one with the most
room: whose tightest rule has the largest share of its range to spare.
"""

from __future__ import annotations

from typing import Any

from numpy.typing import ArrayLike

from ergokit._check import refused, takes_also
from ergokit._types import Rules
from ergokit.design.lay import WayToLay, ways_to_lay
from ergokit.design.layouts import Panel, box_words
from ergokit.design.phone import Phone
from ergokit.design.result import BoxDesign, designed
from ergokit.design.search import SIDES, best, chosen, smallest
from ergokit.design.wish import RULES, Wish, check_box
from ergokit.surfaces import FlatBox, WedgeBox

__all__ = ["RULES", "BoxDesign", "Phone", "WayToLay", "design_box", "smallest_box", "ways_to_lay"]


@takes_also(Wish)
def design_box(
    carton: WedgeBox | FlatBox | type[WedgeBox] | type[FlatBox],
    targets: ArrayLike | None = None,
    phone: Phone | None = None,
    rules: Rules | None = None,
    *,
    ports: ArrayLike | None = None,
    camera_hole: ArrayLike | None = None,
    **more: Any,
) -> BoxDesign:
    """The places for port holes and camera hole in a carton: a `BoxDesign`.

    carton
        a `WedgeBox` (holes in panel a, which faces the operator) or a `FlatBox` (holes in the lid); or one of these two
        classes, for the smallest carton that would do
    targets
        points, shape (3,) or (n, 3); the middle of the picture at `target_height` above the floor unless given. 2 cm is the
        height of a suture pad on the floor (common practice, no source)
    phone
        the `Phone` that lies on the panel; None for a common one, as in `write_template`
    rules
        quantity -> (low, high), None where there is no limit on that side, on top of `RULES`; None drops a rule
    manipulation_angle
        the angle you want, in degrees, within its rule
    ports, camera hole
        (u, v) of the left and the right hole, and of the camera hole, if you have chosen them; the others are proposed
    hole
        diameter of a port hole, in cm
    step
        the grid of the proposed places, 0.5 or 0.1 cm

    If not all rules can be met, the result says which, and why. ValueError for a bad argument, for a hole off the panel or two
    in one place, and for a carton in which no layout has all targets within the rule on the manipulation angle.

    >>> box = WedgeBox(ridge=50, side_a=40, side_b=30)
    >>> design = design_box(box, ports=[(-10, 11.34), (10, 11.34)], camera_hole=(0, 20), target_height=0)
    >>> print(design)
    Holes in a wedge box of ridge 50, side a 40, side b 30 cm, from the centre line and from the panel's lower edge:
      left port: 10.0 cm to the left, 11.3 cm from the edge
      right port: 10.0 cm to the right, 11.3 cm from the edge
      camera hole: on the centre line, 20.0 cm from the edge
    The phone looks straight into the box, square to the panel:
      the middle of its picture falls on the floor 25.0 cm from the panel's foot, where it shows 19.9 cm across
      target: seen, 0.0 degrees off the middle, 15.0 cm away, 2.3 cm less than the triangle's depth;
        the instruments meet at 60.0 degrees and lean 41.4 and 41.4 degrees at the ports
    All rules are met.
    A verdict describes geometry; it is not permission.
    >>> design_box(box).holes
    {'left port': (-10.0, 12.0), 'right port': (10.0, 12.0), 'camera hole': (0.0, 22.0)}
    """
    wish = Wish(targets, phone, rules, **more)
    if isinstance(carton, type) and issubclass(carton, (WedgeBox, FlatBox)):
        if ports is not None or camera_hole is not None:
            raise ValueError(
                "The holes have places and the carton has no size; give its size, or leave the places out (ports, camera_hole)."
            )
        box = smallest(carton, wish)
        if box is None:
            raise ValueError(
                f"No {carton.__name__} with sides up to {SIDES[-1]} cm has {wish.manipulation_angle:g} degrees and meets all "
                "the rules; choose another angle or drop a rule (carton)."
            )
    elif isinstance(carton, (WedgeBox, FlatBox)):
        box = carton
    else:
        raise refused("carton", "a WedgeBox, a FlatBox or one of these two classes", carton)
    panel = Panel.of(box)
    check_box("carton", box, "targets", wish.targets)
    layout = chosen(panel, wish, ports, camera_hole)
    if len(layout.left) != 1:
        layout = best(panel, wish, layout)
        if layout is None:
            given = [name for name, hole in (("ports", ports), ("camera_hole", camera_hole)) if hole is not None]
            raise ValueError(_misplaced(wish, given) if given else _too_small(box, wish))
    return designed(panel, wish, layout)


@takes_also(Wish)
def smallest_box(kind: type[WedgeBox] | type[FlatBox], **more: Any) -> WedgeBox | FlatBox | None:
    """The `WedgeBox` or `FlatBox` of whole cm and least volume that allows the wanted angle and meets all rules, or None.

    The arguments are those of `design_box` but for `carton`, `ports` and `camera_hole`. Sides from 12 to 60 cm are tried, with
    the camera hole and the ports on a grid of 0.5 cm up the panel and the spacing that gives the wanted angle.

    >>> smallest_box(WedgeBox)
    WedgeBox(ridge=26.0, side_a=20.0, side_b=18.0)
    """
    if kind not in (WedgeBox, FlatBox):
        raise refused("kind", "the class WedgeBox or the class FlatBox", kind)
    return smallest(kind, Wish(**more))


def _cannot_meet(wish):
    low, high = wish.rules.get("manipulation angle", (0, 180))
    return f"the instruments cannot meet at {low:g} to {high:g} degrees beside the phone"


def _misplaced(wish, given):
    return f"With these holes {_cannot_meet(wish)}; choose other places ({', '.join(given)})."


def _too_small(box, wish):
    words = f"In {box_words(box)} {_cannot_meet(wish)}"
    enough = smallest(type(box), wish)
    if enough is None:
        return f"{words}, and no box with sides up to {SIDES[-1]} cm meets all the rules (carton)."
    return f"{words}; {box_words(enough)} is the smallest that would do (carton)."

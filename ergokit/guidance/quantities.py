"""The one table of quantities and of the rules that may name them, and how a rule is read and said.

How a quantity is found stands under its name where it is found: in closed form (`guidance.rules`), as a bound in a cell
(`search.rules`), for many layouts at once (`design.layouts`). Its name in `data/published_values.csv` finds what is published.
"""

from collections.abc import Collection, Mapping
from functools import cache
from math import inf
from numbers import Real
from typing import NamedTuple

from ergokit._check import listed, one_word, refused
from ergokit._types import Rules

TIE = 1e-9  # a value this little beyond a limit counts as met


class Quantity(NamedTuple):
    """The unit of a quantity as in a table of data, its symbol, what it means, and the functions whose rules may name it."""

    unit: str
    symbol: str
    means: str
    functions: str = ""


_IN_WORDS = {"deg": " degrees", "ratio": "", "percent": " %"}
_ALL = "conflicts best_ports design_box"

#: Every quantity of the kit by the one name that readers see, in the order of a table of measures.
QUANTITIES = {
    "port spacing": Quantity("cm", "s", "From one port to the other.", _ALL),
    "manipulation angle": Quantity(
        "deg", "θ", "Between the two instruments where they meet at the target, measured in space.", "conflicts design_box"
    ),
    "working distance": Quantity("cm", "d", "From the lens to the target.", _ALL),
    "depth": Quantity("cm", "h", "From the target to the line through both ports.", "conflicts design_box"),
    "length inside": Quantity("cm", "L", "From a port to the target: the part of the shaft inside.", _ALL),
    "length outside": Quantity("cm", "Lₑ", "The part of the shaft left outside, without the handle."),
    "inside : outside": Quantity("ratio", "r", "Shaft inside over shaft outside.", _ALL),
    "movement scaling": Quantity(
        "ratio", "m", "How far the tip moves sideways for each cm that the hand moves; the port is the pivot."
    ),
    "handle separation": Quantity("cm", "A", "From one hand to the other.", "conflicts design_box"),
    "elevation angle": Quantity("deg", "ε", "How steeply a shaft rises from the working plane.", _ALL),
    "instrument plane tilt": Quantity("deg", "τ", "How steeply the plane through both shafts rises from the working plane."),
    "angle seen from above": Quantity("deg", "φ", "The manipulation angle as it looks from straight above the working plane."),
    "azimuth angle, instruments' plane": Quantity(
        "deg", "α", "From a shaft to the camera's axis, in the plane of both shafts. The two add up to the manipulation angle."
    ),
    "azimuth angle, working plane": Quantity(
        "deg", "αʷ", "The same, in the working plane. The two add up to the angle seen from above.", "conflicts"
    ),
    "azimuth angle, space": Quantity("deg", "αˢ", "The plain angle between a shaft and the camera's axis."),
    "view angle": Quantity("deg", "", "How steeply the camera looks down on the working plane; 90 is straight down."),
    "off-centre angle": Quantity(
        "deg", "", "At the lens, between the camera's axis and the target; 0 is the middle of the picture.", "design_box"
    ),
    "angle on the screen": Quantity(
        "deg", "D", "Between the two shafts in the picture on the monitor. It is seldom the true angle."
    ),
    "hand-eye rotation": Quantity(
        "deg", "ψ", "How far the picture is turned from the way you face: 0 is aligned, 180 is facing the camera."
    ),
    "camera's side": Quantity(
        "deg", "", "Where the camera looks as seen from above: 0 the way you face, 90 in from your right, 180 back at you."
    ),
    "camera roll": Quantity("deg", "", "How far the camera is turned about its own axis: 0 with a level horizon."),
    "lean at the port": Quantity("deg", "η", "Between a shaft and straight in through the panel at its port.", "design_box"),
    "chord to camera port": Quantity("cm", "c", "From the camera port to each working port on one arc.", "conflicts"),
    "port to camera": Quantity("cm", "", "From each port to the camera.", "best_ports"),
    "azimuth difference": Quantity("deg", "", "How far apart the left and the right azimuth are.", "best_ports"),
    "shaft clearance": Quantity(
        "cm", "", "From the nearer port to the other shaft, and from the lens to either shaft.", "best_ports"
    ),
}


@cache
def named_in(function):
    """The quantities that the rules of a function may name.

    >>> named_in("conflicts")[-1], named_in("best_ports")[-1]
    ('chord to camera port', 'shaft clearance')
    """
    return tuple(name for name, quantity in QUANTITIES.items() if function in quantity.functions.split())


def ranges(rules: object, names: Collection[str], usual: Rules | None = None) -> dict[str, tuple[float, float]]:
    """The rules as a mapping from some of `names` to (low, high) in floats, infinite where there is no limit.

    A rule is (low, high) with None for no limit on that side, or one number; None drops one of the `usual` rules.

    >>> ranges({"depth": (9, None), "port spacing": 20, "inside : outside": None}, QUANTITIES, {"inside : outside": (1, None)})
    {'depth': (9.0, inf), 'port spacing': (20.0, 20.0)}
    """
    if not isinstance(rules, Mapping | None):
        raise refused("rules", "a mapping from quantity to low and high end", rules)
    for name in rules or ():
        one_word("rules", name, names, f"quantities out of {listed(names, name)}")
    found = dict(usual or {}) | dict(rules or {})
    return {name: _range(name, rule) for name, rule in found.items() if rule is not None}


def _range(name, rule):
    ends = (rule, rule) if isinstance(rule, Real) else rule
    if isinstance(ends, tuple | list) and len(ends) == 2 and all(end is None or isinstance(end, Real) for end in ends):
        low, high = (free if end is None else float(end) for end, free in zip(ends, (-inf, inf), strict=True))
        if low <= high and low < inf and high > -inf:
            return low, high
    takes = "one number, or a low and a high end that is no lower, with None where there is no limit"
    raise refused(f"rules[{name!r}]", takes, rule)


def rule_in_words(name, low, high):
    """A rule as one says it, such as working distance 7.5 to 15 cm."""
    return f"{name} {'of ' if figure(low, name) == figure(high, name) else ''}{range_in_words(name, low, high)}"


def range_in_words(name, low, high):
    """What a rule allows of its quantity, with its unit."""
    least, most, unit = figure(low, name), figure(high, name), unit_of(name)
    if (low, high) == (-inf, inf):
        return "without limits"
    if high == inf:
        return f"at least {least}{unit}"
    if low == -inf:
        return f"at most {most}{unit}"
    return f"{least}{unit}" if least == most else f"{least} to {most}{unit}"


def unit_of(name):
    """The unit as it follows a number, with its blank."""
    return symbol(QUANTITIES[name].unit)


def symbol(unit):
    """The same of a unit as a table has it."""
    return _IN_WORDS.get(unit, f" {unit}")


def figure(value, name):
    """At most two decimals, so that an end of a range can be typed in again; a ratio has both of them."""
    text = f"{round(value, 2) + 0.0:.2f}"
    return text.rstrip("0").rstrip(".") if unit_of(name) else text

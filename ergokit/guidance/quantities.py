"""Which quantities a rule may name, and how a rule is read and said.

How a quantity is found stands under its name where it is found: in closed form (`guidance.rules`), as a bound in a cell
(`search.rules`), for many layouts at once (`design.layouts`). Its name in `data/published_values.csv` finds what is published.
"""

from collections.abc import Collection, Mapping
from functools import cache
from math import inf
from numbers import Real

from ergokit._check import one_word, refused
from ergokit._types import Rules
from ergokit.terms import QUANTITIES

TIE = 1e-9  # a value this little beyond a limit counts as met
_IN_WORDS = {"deg": " degrees", "ratio": "", "percent": " %"}


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
        one_word("rules", name, names, of="quantities out of")
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


def rule_in_words(name, low, high, decimals=2):
    """A rule as one says it, such as working distance 7.5 to 15 cm."""
    of = "of " if figure(low, name, decimals) == figure(high, name, decimals) else ""
    return f"{name} {of}{range_in_words(name, low, high, decimals)}"


def range_in_words(name, low, high, decimals=2):
    """What a rule allows of its quantity, with its unit; a range that was worked out has one decimal, as an answer has.

    >>> range_in_words("port spacing", 5.08, 17.32), range_in_words("port spacing", 5.08, 17.32, decimals=1)
    ('5.08 to 17.32 cm', '5.1 to 17.3 cm')
    """
    least, most, unit = figure(low, name, decimals), figure(high, name, decimals), unit_of(name)
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


def figure(value, name, decimals=2):
    """At most so many decimals; two, so that an end of a range can be typed in again. A ratio always has two."""
    if not unit_of(name):
        return f"{value:z.2f}"
    return f"{value:z.{decimals}f}".rstrip("0").rstrip(".")

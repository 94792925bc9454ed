"""What the studies behind the rules say, to read: their statements in a list, and the ten mean angles of one of them."""

from __future__ import annotations

from collections.abc import Collection
from functools import cache, cached_property
from typing import TYPE_CHECKING

from numpy.typing import ArrayLike

from ergokit import datasets
from ergokit._check import numbers, one, one_word, refused, some_words
from ergokit.guidance.quantities import TIE, symbol
from ergokit.guidance.verdicts import Sentences, basis_of, source_in_short

if TYPE_CHECKING:
    from ergokit.placement.table import MeasureTable


@cache
def _advice():
    """Quantity -> the row of its published advice, its words read and not on a secondary page; where there is just one."""
    rows = datasets.records("published_values")
    kind = ("advice", "published", False)
    read = [row for row in rows if (row["kind"], row["basis"], row["secondary"]) == kind]
    names = [row["quantity"] for row in read]
    return {row["quantity"]: row for row in read if names.count(row["quantity"]) == 1}


def advice(quantity):
    """The row of the one published advice (its words read, not on a secondary page) on a quantity."""
    return _advice()[one_word("quantity", quantity, _advice())]


def advised(quantity: str) -> tuple[float, float]:
    """The range that the one published advice gives for a quantity: low, high, NaN where it has no end on that side.

    ValueError for a quantity on which nothing was read, or more than one advice.

    >>> advised("manipulation angle")
    (45.0, 75.0)
    """
    return advice(quantity)["low"], advice(quantity)["high"]


def how_many_advised(quantity: str, values: ArrayLike) -> int:
    """How many of the values lie in the range that the one published advice gives for a quantity, its ends included.

    >>> how_many_advised("manipulation angle", [38, 52, 58, 77])
    2
    """
    low, high = advised(quantity)
    found = numbers("values", values, "numbers")
    return int((~(found < low - TIE) & ~(found > high + TIE)).sum())


def statements(*quantities: str, kinds: Collection[str] = datasets.KINDS) -> Sentences:
    """What the published values say of these quantities: a sentence a row, with its source and how far it was verified.

    `kinds` are the kinds of row to list, any of `datasets.KINDS`. ValueError for an unknown quantity or kind.

    >>> statements("table height")[1]
    'Table tops would have to go down to between 30 and 60.5 cm above the floor. (Matern et al. 2001, published)'
    """
    rows = datasets.records("published_values")
    known = dict.fromkeys(row["quantity"] for row in rows)
    for name in quantities:
        one_word("quantities", name, known)
    kinds = some_words("kinds", kinds, datasets.KINDS)
    return Sentences(
        f"{_unsaid(row)}{row['statement']} ({source_in_short(row)}, {basis_of(row)})"
        for name in quantities
        for row in rows
        if row["quantity"] == name and row["kind"] in kinds
    )


def _unsaid(row):
    """The value of a result, before words that do not hold it."""
    low, high = (f"{row[end]:g}" for end in ("low", "high"))
    if row["kind"] != "result" or low in row["statement"]:
        return ""
    unit = "" if row["unit"] in ("score", "count") else symbol(row["unit"])
    return f"{low if low == high else f'{low} to {high}'}{unit}: "


class MeanAngles:
    """See `mean_angles`."""

    @cached_property
    def records(self) -> tuple[dict, ...]:
        """The rows of the published values that hold the angles."""
        rows = datasets.records("published_values")
        return tuple(row for row in rows if (row["quantity"], row["source"]) == ("manipulation angle", "muhlmann-2012"))

    @property
    def rows(self) -> list[tuple]:
        """Operation, pair of ports, target, and the angle in degrees."""
        return [(*row["condition"].split("; "), row["low"]) for row in self.records]

    @property
    def in_range(self) -> int:
        """How many of the angles are in the advised range."""
        return how_many_advised("manipulation angle", [angle for *_, angle in self.rows])

    @property
    def pairs_in_range(self) -> int:
        """How many pairs of ports have all their targets in the advised range."""
        return sum(inside == count for *_, inside, count in self._pairs())

    def by_pair(self) -> MeasureTable:
        """A table with a row for each operation and pair of ports: how many of its targets are in the advised range."""
        from ergokit.placement.table import MeasureTable

        return MeasureTable(self._pairs(), columns=["operation", "pair of ports", "targets in range", "of"])

    def _pairs(self):
        pairs = dict.fromkeys((operation, ports) for operation, ports, *_ in self.rows)
        angles = {pair: [angle for *of, _, angle in self.rows if tuple(of) == pair] for pair in pairs}
        return [(*pair, how_many_advised("manipulation angle", each), len(each)) for pair, each in angles.items()]


def mean_angles() -> MeanAngles:
    """The ten mean manipulation angles that a colorectal study reports, and how many of them are in the advised range.

    >>> mean_angles().in_range, len(mean_angles().rows), mean_angles().pairs_in_range
    (3, 10, 0)
    """
    return MeanAngles()


def reported(quantity: str, at: float) -> float:
    """The one value that was published for a quantity at one level of what it was tried against.

    ValueError for an unknown quantity, and for a level with no such value or several.

    >>> reported("task score", at=45)
    255.0
    """
    rows = datasets.records("published_values")
    one_word("quantity", quantity, dict.fromkeys(row["quantity"] for row in rows))
    at = one("at", at, numbers, "a number")
    found = [row["low"] for row in rows if (row["quantity"], row["kind"], row["at"]) == (quantity, "result", at)]
    if len(found) != 1:
        raise refused("at", f"a level at which {quantity} has one published value", at)
    return found[0]

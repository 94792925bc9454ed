"""Who tries which pair first, second and third, so that learning does not favour one pair."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations
from typing import TYPE_CHECKING, NamedTuple

from ergokit._check import a_text, refused, whole

if TYPE_CHECKING:
    from ergokit.placement.table import MeasureTable

__all__ = ["MOST_PEOPLE", "PAIRS", "Turn", "balance", "order_table", "orders", "timetable"]

#: The pairs of the comparison panel, unless told otherwise.
PAIRS = ("30°", "60°", "90°")
MOST_PEOPLE = 24
_SET_UP, _RUN, _CHANGE = 120, 60, 30  # s: to begin with, of a run, and to change hands and pair (this kit's own choice)


class Turn(NamedTuple):
    """One entry of a timetable: seconds from the start, who works (A or B), and what."""

    at: int
    who: str
    what: str


def orders(people: int, pairs: Sequence[str] = PAIRS) -> dict[str, tuple[str, ...]]:
    """The order of the three pairs for each of 2 to 24 people: code -> pairs. Partners are 1A and 1B, 2A and 2B, and so on.

    The rows are those of a cyclic Latin square, so each pair comes first, second and third equally often, or within one for a
    number that is no multiple of three. At multiples of six all six orders come equally often; then each pair also follows each
    other pair equally often.

    >>> orders(3)
    {'1A': ('30°', '60°', '90°'), '1B': ('60°', '90°', '30°'), '2A': ('90°', '30°', '60°')}
    """
    pairs = three_pairs("pairs", pairs)
    people = whole("people", people, 2, MOST_PEOPLE)
    rows = [pairs[i:] + pairs[:i] for i in range(3)]
    if people % 6 == 0:
        rows += [row for row in permutations(pairs) if row not in rows]
    return {code: rows[i % len(rows)] for i, code in enumerate(codes(people))}


def order_table(people: int, pairs: Sequence[str] = PAIRS) -> MeasureTable:
    """The `orders` as a table: each person's code, and the pair that comes first, second and third.

    >>> order_table(2)
    code first second third
      1A   30°    60°   90°
      1B   60°    90°   30°
    """
    from ergokit.placement.table import MeasureTable

    rows = [(code, *order) for code, order in orders(people, pairs).items()]
    return MeasureTable(rows, columns=["code", "first", "second", "third"])


def codes(people: int) -> list[str]:
    """Codes in place of names, partners beside each other.

    >>> codes(3)
    ['1A', '1B', '2A']
    """
    return [f"{i // 2 + 1}{'AB'[i % 2]}" for i in range(people)]


def balance(people: int) -> str:
    """What the orders for so many people balance, in a sentence.

    >>> balance(4)
    'With 4 people each pair comes first, second and third equally often to within one; the order of any two is not balanced.'
    """
    people = whole("people", people, 2, MOST_PEOPLE)
    if people % 6 == 0:
        return (
            f"With {people} people all six orders come equally often: each pair comes first, second and third equally often, "
            "and follows each other pair equally often."
        )
    within = "" if people % 3 == 0 else " to within one"
    return (
        f"With {people} people each pair comes first, second and third equally often{within}; "
        "the order of any two is not balanced."
    )


def timetable() -> list[Turn]:
    """Fourteen minutes for two: after setting up each has one practice run, then three runs, in turns.

    >>> timetable()[0], timetable()[-1]
    (Turn(at=0, who='A and B', what='set up'), Turn(at=840, who='A and B', what='end'))
    """
    runs = [(who, what) for what in ("practice run", "first pair", "second pair", "third pair") for who in "AB"]
    turns = [Turn(_SET_UP + i * (_RUN + _CHANGE), who, what) for i, (who, what) in enumerate(runs)]
    return [Turn(0, "A and B", "set up"), *turns, Turn(turns[-1].at + _RUN + _CHANGE, "A and B", "end")]


def three_pairs(name: str, pairs: Sequence[str]) -> tuple[str, ...]:
    """Three different names of pairs, or ValueError.

    >>> three_pairs("pairs", ["30°", "60°"])
    Traceback (most recent call last):
    ValueError: ['30°', '60°'] cannot be used; give three different names of pairs (pairs).
    """
    if isinstance(pairs, str) or not isinstance(pairs, Sequence) or len(pairs) != 3:
        raise refused(name, "three different names of pairs", pairs)
    found = tuple(a_text(name, each).strip() for each in pairs)
    if len(set(found)) != 3 or not all(found):
        raise refused(name, "three different names of pairs", pairs)
    return found

"""Minutes in the box, evening by evening: the learner's own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from ergokit import datasets
from ergokit._check import a_text, read_number, refused
from ergokit._files import read_small, some_path
from ergokit._types import FilePath

__all__ = ["Evening", "PracticeLog", "read_log"]

_LONGEST = 600  # minutes
_MOST = 2000


class Evening(NamedTuple):
    """One evening: its day as in 2026-03-01, minutes in the box, the pair of holes, and what was trained."""

    day: str
    minutes: float
    pair: str = ""
    trained: str = ""


@dataclass(frozen=True)
class PracticeLog:
    """Evenings in the box, in order of their days.

    >>> log = PracticeLog((Evening("2026-03-08", 30, "60°", "sling"), Evening("2026-03-01", 20)))
    >>> log.evenings[0].day, log.minutes
    ('2026-03-01', 50.0)
    """

    evenings: tuple[Evening, ...] = ()

    def __post_init__(self):
        if isinstance(self.evenings, str) or not isinstance(self.evenings, Sequence) or len(self.evenings) > _MOST:
            raise refused("evenings", f"a sequence of at most {_MOST} evenings", self.evenings)
        object.__setattr__(self, "evenings", tuple(sorted(map(_checked, self.evenings), key=lambda evening: evening.day)))

    @property
    def minutes(self) -> float:
        """All minutes together."""
        return float(sum(evening.minutes for evening in self.evenings))

    def per_day(self) -> dict[str, float]:
        """Day -> minutes, the oldest day first.

        >>> PracticeLog((Evening("2026-03-01", 20), Evening("2026-03-01", 15))).per_day()
        {'2026-03-01': 35.0}
        """
        found: dict[str, float] = {}
        for evening in self.evenings:
            found[evening.day] = found.get(evening.day, 0.0) + evening.minutes
        return found

    def to_csv(self) -> str:
        """The log as CSV, to keep or to open as a spreadsheet.

        >>> print(PracticeLog((Evening("2026-03-01", 20, "60°", "sling"),)).to_csv())
        day,minutes,pair,trained
        2026-03-01,20,60°,sling
        <BLANKLINE>
        """
        import pandas as pd

        table = pd.DataFrame(self.evenings, columns=Evening._fields)
        return table.to_csv(index=False, float_format="%g", lineterminator="\n")

    @classmethod
    def from_csv(cls, text: str) -> PracticeLog:
        """The log in a table that `to_csv` wrote, or that a spreadsheet saved; ValueError names the line.

        >>> PracticeLog.from_csv("day;minutes;pair;trained\\n2026-03-01;22,5;;knots").minutes
        22.5
        """
        return _log(text, "the table (text)")


def _log(text, name):
    return PracticeLog(tuple(Evening(**row) for row in datasets.rows_of(text, name, _READ)))


def _checked(evening):
    if not isinstance(evening, Evening):
        raise refused("evenings", "an Evening", evening)
    try:
        day = date.fromisoformat(evening.day)
    except (TypeError, ValueError):
        raise refused("day", "a day such as 2026-03-01", evening.day) from None
    minutes = evening.minutes
    if isinstance(minutes, bool) or not isinstance(minutes, int | float) or not 0 < minutes <= _LONGEST:
        raise refused("minutes", f"more than 0 and at most {_LONGEST} minutes", minutes)
    pair, trained = a_text("pair", evening.pair).strip(), a_text("trained", evening.trained).strip()
    return Evening(day.isoformat(), float(minutes), pair, trained)


def read_log(path: FilePath) -> PracticeLog:
    """The log in a CSV file; ValueError names the line.

    >>> read_log("nowhere.csv")
    Traceback (most recent call last):
    ValueError: 'nowhere.csv' cannot be read: No such file or directory; give a CSV file of a log (path).
    """
    return _log(read_small(path, "a CSV file of a log"), f"path {some_path(path).name}")


_READ = dict.fromkeys(Evening._fields, lambda cell, row: cell) | {"minutes": lambda cell, row: read_number(cell)}

"""What a session brought: passes and drops in, time per pass and how the pairs compare out.

Times are compared on a log scale, so a difference is a ratio: 1.2 is 20 % longer. Each person is compared with
themselves (a paired t interval), and the three comparisons share one confidence between them (Bonferroni), so that all three
intervals hold together in 95 of 100 groups.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from ergokit import datasets
from ergokit._check import a_text, read_number, refused, whole
from ergokit._files import read_small, some_path
from ergokit._types import FilePath
from ergokit.hands_on.orders import MOST_PEOPLE, PAIRS, three_pairs

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["FEWEST", "Difference", "Run", "Session", "published_times", "read_session"]

#: People below which only lines are drawn (this kit's own choice, no source).
FEWEST = 4
_TOGETHER = 0.95
_MOST_RUNS = 200


class Run(NamedTuple):
    """One run: the person's code, the pair, whether it came first, second or third (0 if not noted), and what was counted."""

    person: str
    pair: str
    position: int
    passes: int
    drops: int = 0
    seconds: float = 60.0


class Difference(NamedTuple):
    """How long a pass took with one pair, over another: people in both, ratio with its ends (NaN if none), and words."""

    first: str
    second: str
    people: int
    ratio: float
    low: float
    high: float
    words: str


@dataclass(frozen=True)
class Session:
    """The runs of a session, at most one for each person and pair.

    >>> session = Session((Run("1A", "30°", 1, 8), Run("1A", "60°", 2, 10)))
    >>> session.times().loc["1A"].tolist()
    [7.5, 6.0, nan]
    """

    runs: tuple[Run, ...] = ()
    pairs: tuple[str, ...] = PAIRS

    def __post_init__(self):
        object.__setattr__(self, "pairs", three_pairs("pairs", self.pairs))
        if not isinstance(self.runs, tuple | list) or len(self.runs) > _MOST_RUNS:
            raise refused("runs", f"a sequence of at most {_MOST_RUNS} runs", self.runs)
        runs = tuple(map(self._checked, self.runs))
        if len({run.person for run in runs}) > MOST_PEOPLE:
            raise ValueError(f"More than {MOST_PEOPLE} people are too many for one session; make two sessions (runs).")
        for (person, pair), count in Counter((run.person, run.pair) for run in runs).items():
            if count > 1:
                raise ValueError(f"{person} has two runs with {pair}; keep one of the two (runs).")
        object.__setattr__(self, "runs", runs)

    def _checked(self, run):
        if not isinstance(run, Run):
            raise refused("runs", "a Run", run)
        person = a_text("person", run.person).strip()
        if not person or len(person) > 12:
            raise refused("person", "a code of at most 12 letters, not a name", run.person)
        if run.pair not in self.pairs:
            raise refused("pair", f"one of this session's pairs, {', '.join(self.pairs)}", run.pair)
        counts = {"position": 3, "passes": 500, "drops": 500}
        counts = {name: whole(name, getattr(run, name), 0, most) for name, most in counts.items()}
        if isinstance(run.seconds, bool) or not isinstance(run.seconds, int | float) or not 1 <= run.seconds <= 3600:
            raise refused("seconds", "1 to 3600 seconds", run.seconds)
        return run._replace(person=person, seconds=float(run.seconds), **counts)

    @property
    def people(self) -> tuple[str, ...]:
        """The codes, in the order in which they came."""
        return tuple(dict.fromkeys(run.person for run in self.runs))

    def times(self) -> pd.DataFrame:
        """Seconds per pass, a row for each person and a column for each pair; NaN where nothing was passed or tried."""
        import pandas as pd

        table = pd.DataFrame(np.nan, index=list(self.people), columns=list(self.pairs))
        for run in self.runs:
            if run.passes:
                table.loc[run.person, run.pair] = run.seconds / run.passes
        return table

    @cached_property
    def differences(self) -> tuple[Difference, ...]:
        """The three comparisons, each with the ends of its interval and what may be said of it.

        >>> few = Session((Run("1A", "30°", 1, 8), Run("1A", "60°", 2, 10)))
        >>> few.differences[0].words
        '30° and 60°: too few people to say. One person tried both; from 4 people on there is an interval.'
        """
        found = zip(*(each.tolist() for each in intervals(np.log(self.times().to_numpy()))), strict=True)
        return tuple(
            Difference(first, second, people, ratio, low, high, _words(first, second, people, ratio, low, high))
            for (first, second), (people, ratio, low, high) in zip(combinations(self.pairs, 2), found, strict=True)
        )

    def with_run(self, run: Run) -> Session:
        """The session with this run, in place of one of the same person and pair."""
        run = self._checked(run)
        kept = [each for each in self.runs if (each.person, each.pair) != (run.person, run.pair)]
        return Session((*kept, run), self.pairs)

    def to_csv(self) -> str:
        """The runs as CSV, to keep or to open as a spreadsheet.

        >>> print(Session((Run("1A", "30°", 1, 8),)).to_csv())
        person,pair,position,passes,drops,seconds
        1A,30°,1,8,0,60
        <BLANKLINE>
        """
        import pandas as pd

        table = pd.DataFrame(self.runs, columns=Run._fields)
        return table.to_csv(index=False, float_format="%g", lineterminator="\n")

    @classmethod
    def from_csv(cls, text: str, pairs: Sequence[str] = PAIRS) -> Session:
        """The session in a table that `to_csv` wrote, or that a spreadsheet saved; ValueError names the line.

        >>> Session.from_csv("person;pair;position;passes;drops;seconds\\n1A;60°;1;9;0;60").runs[0].passes
        9
        """
        return _session(text, "the table (text)", pairs)


def _session(text, name, pairs):
    return Session(tuple(Run(**row) for row in datasets.rows_of(text, name, _READ)), pairs)


def _whole(cell, row):
    number = read_number(cell or "0")
    if number != int(number):
        raise refused("", "a whole number", cell)
    return int(number)


_READ = dict.fromkeys(Run._fields, _whole)
_READ |= dict.fromkeys(("person", "pair"), lambda cell, row: cell) | {"seconds": lambda cell, row: read_number(cell or "60")}


def read_session(path: FilePath, pairs: Sequence[str] = PAIRS) -> Session:
    """The session in a CSV file; ValueError names the line.

    >>> read_session("nowhere.csv")
    Traceback (most recent call last):
    ValueError: 'nowhere.csv' cannot be read: No such file or directory; give a CSV file of a session (path).
    """
    return _session(read_small(path, "a CSV file of a session"), f"path {some_path(path).name}", pairs)


def intervals(log_times: ArrayLike, together: float = _TOGETHER) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Paired comparisons of every two columns: people in both, ratio of times, and its low and high end.

    log_times
        natural logarithms of the times, shape (..., people, pairs); NaN where one is missing
    together
        the confidence that all intervals have together: each has its share of what is left (Bonferroni)

    Each result has shape (..., comparisons), in the order of ``itertools.combinations``. Below `FEWEST` people the ends are
    NaN.

    >>> people, ratio, low, high = intervals(np.log([[8, 6, 7], [10, 8, 8], [12, 8, 11], [9, 8, 8]]))
    >>> people.tolist(), ratio.round(2).tolist(), low.round(2).tolist(), high.round(2).tolist()
    ([4, 4, 4], [1.3, 1.15, 0.89], [0.97, 1.0, 0.61], [1.73, 1.33, 1.29])
    """
    from scipy.special import stdtrit  # Student's quantile; scipy.stats takes half a second to load

    log_times = np.asarray(log_times, float)
    pairs = list(combinations(range(log_times.shape[-1]), 2))
    apart = np.stack([log_times[..., i] - log_times[..., j] for i, j in pairs], axis=-1)
    known = np.isfinite(apart)
    people = known.sum(axis=-2)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.where(known, apart, 0).sum(axis=-2) / people
        spread = np.where(known, apart - mean[..., None, :], 0)
        error = np.sqrt((spread**2).sum(axis=-2) / (people - 1) / people)
        reach = stdtrit(people - 1, 1 - (1 - together) / len(pairs) / 2) * error
    enough = (people >= FEWEST) & (error > 0)
    low, high = (np.where(enough, np.exp(mean + way * reach), np.nan) for way in (-1, 1))
    return people, np.exp(mean), low, high


def _words(first, second, people, ratio, low, high):
    both = f"{first} and {second}"
    if people < FEWEST:
        tried = {0: "Nobody", 1: "One person"}.get(people, f"{people} people")
        return f"{both}: too few people to say. {tried} tried both; from {FEWEST} people on there is an interval."
    if np.isnan(low):
        return f"{both}: all {people} people have the same ratio, so check what was typed."
    ends = f"{low:.2f} to {high:.2f} times as long with {first} as with {second}"
    if low <= 1 <= high:
        return f"{both}: too few people to say. A pass took {ends}, so either may be slower."
    return f"{both}: a pass took {ends}, for these {people} people in this box."


def published_times() -> list[dict]:
    """The published times at these angles: rows of `published_values` with quantity, angle, time in s and source.

    These are other tasks and other people: read them beside a session, and never add them to it.

    >>> [(row["at"], row["low"]) for row in published_times() if row["source"] == "yunusa-2014"]
    [(30.0, 381.65), (60.0, 306.6), (90.0, 460.45)]
    """
    rows = datasets.records("published_values")
    return [row for row in rows if row["against"] == "manipulation angle" and row["unit"] == "s" and row["at"] in (30, 60, 90)]

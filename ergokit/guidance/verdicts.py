"""Verdicts in words on a measure or on a whole placement, each with the published rows behind it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import isnan
from typing import TYPE_CHECKING

from ergokit import datasets
from ergokit._check import instance, numbers, one, one_word
from ergokit._words import joined
from ergokit.guidance.cautions import CAUTION
from ergokit.guidance.quantities import TIE, symbol
from ergokit.placement import Placement
from ergokit.terms import QUANTITIES

if TYPE_CHECKING:
    from ergokit.placement.table import MeasureTable

# How far outside still counts as near: about what a tape measure tells apart (common practice, no source).
_NEAR = {"deg": 2.0, "cm": 0.5, "ratio": 0.05}
_CLOSE = 0.25  # of the way from the best level tried to the next one tried still counts as close to it (the kit's own choice)
#: A published "azimuth angle" is the one in the plane in which 30 each gives 60.
_MEANT = {"azimuth angle": "azimuth angle, instruments' plane"}
_EITHER_WAY = ("hand-eye rotation", "camera's side", "camera roll")
_SAID = {"advice": "advised", "best": "best of those tried", "tested": "tried"}
# What a headline calls a range, and a mark beside a number, by the basis of the row that decides.
_RANGES = {
    "published": ("the advised range", "advised"),
    "secondary page": ("a secondary page's range", "page"),
    "from memory": ("a range from memory", "memory"),
    "common practice": ("a range of common practice", "practice"),
}
#: Place -> the same of a range, of one value, and as a sign; the mildest first.
_PLACES = {"in range": ("in", "at", "✓"), "near": ("near", "close to", "≈"), "outside": ("outside", "away from", "✗")}


@dataclass(frozen=True, eq=False, repr=False)
class Verdict:
    """A verdict on one value.

    status
        the headline: whether the value is in, near or outside a range, or at, close to or away from a value; whether that
        was advised in a text that was read, was read on a secondary page, is from memory or common practice, or was the best
        of the levels tried; and which values nobody tried. Or "no guidance"
    place
        "in range"; "near", outside by no more than a tape measure tells apart, or within a quarter of the way from the best
        level to the next one tried; "outside"; or "" without guidance
    whence
        where the range comes from, in a word: "advised", "page", "memory", "practice" or "tried"; "" without guidance
    because
        the rows that decide it, and the others
    """

    quantity: str
    value: float
    unit: str
    status: str
    place: str
    whence: str
    because: str
    records: tuple[dict, ...]

    @property
    def sign(self) -> str:
        """A sign for the place, "" without guidance; it is shown with `whence`."""
        return _PLACES[self.place][2] if self.place else ""

    @property
    def words(self) -> str:
        """The verdict in a sentence or two."""
        value = _figure(self.value if self.unit == "ratio" else round(self.value, 1), self.unit)
        return f"{self.quantity} {value}{symbol(self.unit)}: {self.status}. {self.because}"

    def _row(self, row):
        """What a row says, what that means for this value, the same in the kit's words, the row's source and its basis."""
        of_this = _of(row, _size(self.quantity, self.value), _tried(self.records)) if _advises(row) else ""
        return says(row), of_this, row["statement"], citation_of(row), basis_of(row)

    def __repr__(self):
        lines = (f"  {says(row)} ({basis_of(row)}): {row['statement']} {citation_of(row)}" for row in self.records)
        return "\n".join([self.words, *lines, CAUTION])

    def _repr_markdown_(self):
        head = ["| says | of this value | in the kit's words | source | basis |", "|---|---|---|---|---|"] * bool(self.records)
        lines = (f"| {' | '.join(self._row(row))} |" for row in self.records)
        first = self.words.removesuffix(self.because).rstrip()
        return "\n".join([f"**{first}** {self.because}", "", *head, *lines, "", CAUTION])


def verdict(quantity: str, value: float, given: Mapping[str, float] | None = None) -> Verdict:
    """What the published rows say of `value` for `quantity`, as a `Verdict`.

    The rows with the strongest basis decide: published, then a secondary page, memory and common practice; of those an
    advised range before the best of the levels tried. A row with a condition decides only where the condition is met: by
    `given`, other measures of the same placement, quantity -> value, where near counts as met. The other rows are named
    beside them and never averaged. "Nothing was tried" speaks of all rows of the quantity together. An azimuth is the one in
    the instruments' plane; a hand-eye rotation, a camera's side and a camera roll count the same to either side. ValueError
    for an unknown quantity or a value that is not a number.

    >>> print(verdict("inside : outside", 0.9).words)
    inside : outside 0.90: outside the advised range; nothing was tried between 0.50 and 1.00. At least 1.00 advised, from \
knot tying on the bench (Emam et al. 2000, published).
    >>> verdict("hand-eye rotation", 6).status, verdict("angle on the screen", 60).status
    ('close to 0 degrees, the best tried; nothing was tried between 0 and 90 degrees', 'no guidance')
    >>> verdict("elevation angle", 60).place, verdict("elevation angle", 60, {"manipulation angle": 61}).place
    ('outside', 'in range')
    """
    value = one("value", value, numbers, "a number")
    quantity = _MEANT.get(quantity, quantity) if isinstance(quantity, str) else quantity
    advised = [name for name, rows in _rows().items() if any(map(_advises, rows))]
    known = dict.fromkeys([*advised, *_rows(), *QUANTITIES])
    one_word("quantity", quantity, known, of="a name like")
    instance("given", given, "a mapping from quantity to value", Mapping, type(None))
    given = {name: one("given", each, numbers, "a number") for name, each in (given or {}).items()}
    return _judged(quantity, value, given)


def judge(placement: Placement) -> MeasureTable:
    """The table of a placement's measures with two more columns, "against published advice" and "because".

    Every row of `placement.measures()` is there; the verdict on one without a value is "no value".

    >>> from ergokit.placement import Placement
    >>> judge(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 0, 12))).iloc[[1, 3], [0, 2, 5]]
              quantity value against published advice
    manipulation angle  59.9     in the advised range
                 depth  15.6              no guidance
    <BLANKLINE>
    A verdict describes geometry; it is not permission.
    """
    table = instance("placement", placement, "a Placement", Placement).measures()
    whose = table["target"] if "target" in table else [1] * len(table)
    found = [each for _, rows in table.groupby(whose, sort=False) for each in verdicts_on(list(rows.itertuples()))]
    words = {"against published advice": [each.status if each else "no value" for each in found]}
    table = table.assign(**words, because=[each.because if each else "" for each in found])
    table.foot = CAUTION
    return table


def verdicts_on(rows):
    """The `Verdict` on each row of the measures of one target, None on one without a value."""
    # What a condition can name: the measures with one value.
    given = {row.quantity: row.value for row in rows if not row.side and not isnan(row.value)}
    return [None if isnan(row.value) else _judged(row.quantity, row.value, given) for row in rows]


def _judged(quantity, value, given):
    rows = _rows().get(quantity, ())
    unit = rows[0]["unit"] if rows else QUANTITIES[quantity].unit
    behind = tuple(row for row in rows if row["kind"] in _SAID)
    pool = [row for row in behind if _advises(row) and _applies(row, given)]
    if not pool:
        said = "".join(f"; {says(row)} ({source_in_short(row)})" for row in behind)
        nothing = "No range is advised" if not any(map(_advises, behind)) else "No range is advised without a condition"
        return Verdict(quantity, value, unit, "no guidance", "", "", f"{nothing}{said}.", behind)
    size, tried = _size(quantity, value), _tried(behind)
    pool = [row for row in pool if not any(_narrows(row, other) for other in pool)]
    strongest = min(map(_rank, pool))
    deciding = [row for row in pool if _rank(row) == strongest]
    worst = max(deciding, key=lambda row: list(_PLACES).index(_of(row, size, tried)))
    place = _of(worst, size, tried)
    status = _headline(worst, place) + _untried(size, tried, place, unit)
    others = [
        row
        for row in behind
        if _advises(row)
        and (not _applies(row, given) or (row in pool and row not in deciding and _of(row, size, tried) != place))
    ]
    whence = "tried" if worst["kind"] == "best" else _RANGES[basis_of(worst)][1]
    return Verdict(quantity, value, unit, status, place, whence, _because(deciding, others), behind)


def _headline(row, place):
    of_range, of_value, _ = _PLACES[place]
    if row["low"] != row["high"]:
        return f"{of_range} {_RANGES[basis_of(row)][0]}"
    value = f"{_figure(row['low'], row['unit'])}{symbol(row['unit'])}"
    if row["kind"] == "best":
        return f"{of_value} {value}, the best tried"
    return f"{of_value} {_RANGES[basis_of(row)][0].replace('range', 'value')}, {value}"


def _untried(size, tried, place, unit):
    """Where nothing was tried about the value, for a headline: between two levels outside the range, or beyond them all."""
    if not tried or size in tried:
        return ""
    figures = [_figure(level, unit) for level in tried]
    if size < tried[0]:
        return f"; nothing was tried below {figures[0]}{symbol(unit)}"
    if size > tried[-1]:
        return f"; nothing was tried above {figures[-1]}{symbol(unit)}"
    above = next(i for i, level in enumerate(tried) if level > size)
    if place == "in range":
        return ""
    return f"; nothing was tried between {figures[above - 1]} and {figures[above]}{symbol(unit)}"


def _because(deciding, others):
    def listed(rows):
        return "; ".join(f"{says(row)} ({source_in_short(row)}, {basis_of(row)})" for row in rows)

    text = listed(deciding)
    text = f"{text[0].upper()}{text[1:]}."
    if any(row["may_mean"] for row in deciding):
        text += " The source does not say whether this elevation is a shaft's own or the tilt of the plane of both shafts."
    return f"{text} Others: {listed(others)}." if others else text


def turning_points(quantity):
    """Every value at which `verdict` may change its words, of either sign, rising; where it is judged anywhere by itself."""
    rows = [row for row in _rows().get(_MEANT.get(quantity, quantity), ()) if row["kind"] in _SAID]
    tried = _tried(rows)
    ends = {end for row in rows for end in (row["low"], row["high"]) if not isnan(end)}
    near = {end + way * _NEAR.get(rows[0]["unit"], 0.0) for end in ends for way in (-1, 1)} if rows else set()
    close = {a + _CLOSE * (b - a) for i in range(len(tried) - 1) for a, b in (tried[i : i + 2], tried[i : i + 2][::-1])}
    return sorted({sign * place for place in ends | near | close | set(tried) for sign in (-1, 1)} | {0.0})


def conditions_on(quantity):
    """The conditions that rows on a quantity have and other measures can meet: (other quantity, its value, how near)."""
    rows = _rows().get(_MEANT.get(quantity, quantity), ())
    found = (row for row in rows if _advises(row) and row["against"])
    return tuple(dict.fromkeys((row["against"], row["at"], _nearness(row["against"])) for row in found))


# What one row says


def _advises(row):
    return row["kind"] in ("advice", "best")


def _applies(row, given):
    """Whether a row can decide: it has no condition, or these measures meet it; what it was found on is no condition."""
    if not row["condition"] or row["condition"].startswith("from "):
        return True
    return row["against"] in given and abs(given[row["against"]] - row["at"]) <= _nearness(row["against"]) + TIE


def _nearness(quantity):
    return _NEAR[_rows()[quantity][0]["unit"]]


def _rank(row):
    """The least decides."""
    return datasets.BASES.index(row["basis"]), row["secondary"], row["kind"] != "advice"


def _narrows(row, other):
    """Whether a row names one value in a range of one no weaker: it does not contradict that range and does not decide."""
    inside = row["low"] == row["high"] and other["low"] != other["high"] and _beyond(other, row["low"]) == 0
    return inside and _rank(other) <= _rank(row)


def _beyond(row, size):
    """How far outside the row's range, 0 inside."""
    return max(0.0, *(gap for gap in (row["low"] - size, size - row["high"]) if not isnan(gap)))


def _of(row, size, tried):
    near = _NEAR.get(row["unit"], 0.0)
    if row["kind"] == "best":
        ways = [abs(level - row["low"]) for level in tried if (level - row["low"]) * (size - row["low"]) > 0]
        near = max(near, _CLOSE * min(ways, default=0.0))
    beyond = _beyond(row, size)
    return "in range" if beyond <= TIE else "near" if beyond <= near + TIE else "outside"


def _tried(rows):
    """Every level that any of these rows tried; none where levels were tried that were not read."""
    if any(row["kind"] == "best" and not row["levels"] for row in rows):
        return []
    single = {row["low"] for row in rows if row["kind"] == "tested" and row["low"] == row["high"]}
    return sorted(single.union(*(row["levels"] for row in rows)))


def _size(quantity, value):
    return abs(value) if quantity in _EITHER_WAY else value


@cache
def _rows():
    """The rows of published values by quantity, and by the other one that a source's word may mean."""
    rows = {}
    for row in datasets.records("published_values"):
        for name in filter(None, (row["quantity"], row["may_mean"])):
            name = _MEANT.get(name, name)
            rows[name] = (*rows.get(name, ()), row)
    return rows


# Words


def says(row):
    low, high, unit = _figure(row["low"], row["unit"]), _figure(row["high"], row["unit"]), symbol(row["unit"])
    if isnan(row["high"]):
        span = f"at least {low}{unit}"
    elif isnan(row["low"]):
        span = f"at most {high}{unit}"
    else:
        span = f"{low}{unit}" if low == high else f"{low} to {high}{unit}"
    condition = f", {row['condition']}" if row["condition"] else ""
    return f"{span} {_SAID[row['kind']]}{condition}"


def basis_of(row):
    """How far a row was verified, in words: its basis, or that a secondary page was read."""
    return "secondary page" if row["secondary"] else row["basis"]


@cache
def _sources():
    return {source["id"]: source for source in datasets.records("sources")}


class Sentences(tuple[str, ...]):
    """Sentences or citations, listed."""

    def __repr__(self):
        return "\n".join(self)

    def _repr_markdown_(self):
        return "\n".join(f"- {each}" for each in self)


def sources(*names: str) -> Sentences:
    """The citations of sources by their ids in `data/sources.csv`, in this order; ValueError for an unknown id.

    >>> sources("emam-2000")[0].partition(".")[0]
    'Emam TA, Hanna GB, Kimber C, Dunkley P, Cuschieri A'
    """
    return Sentences(_citation(one_word("names", name, _sources())) for name in names)


def citation_of(row: Mapping) -> str:
    """The whole entry, with its DOI and with which parts of it are from memory."""
    return "No source." if row["source"] == "none" else _citation(row["source"])


def _citation(name):
    source = _sources()[name]
    doi = f" doi:{source['doi']}" if source["doi"] else ""
    recalled = f" ({source['from_memory']} from memory)" if source["from_memory"] else ""
    return f"{source['citation']}{doi}{recalled}"


def source_in_short(row):
    """The authors' surnames and the year."""
    return _in_short(row["source"])


@cache
def _in_short(source):
    if source == "none":
        return "no source"
    citation = _sources()[source]["citation"]
    authors = citation.split(". ")[0]
    surnames = re.findall(r"([^,]+?) [A-Z]{1,3}(?=,| et al|$)", authors)
    who = joined(name.strip() for name in surnames[:2]) or authors  # an entry without authors begins with its title
    if len(surnames) > 2 or "et al" in authors:
        who = f"{surnames[0]} et al."
    year = re.search(r"\b(19|20)\d\d\b", citation)
    return f"{who} {year[0]}" if year else who


def found_on(row):
    """What a row was found on and when, such as "knot tying on the bench, 1997"."""
    return f"{row['condition'].removeprefix('from ')}, {source_in_short(row).split()[-1]}"


def _figure(number, unit):
    """A number as it is said: two decimals for a ratio, else as many as it has."""
    return f"{number:.2f}" if unit == "ratio" else f"{number:.10g}"

"""Verdicts in words on a measure or on a whole placement, each with the published rows behind it."""

import re
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from itertools import pairwise
from math import isnan

from ergokit import datasets
from ergokit._check import instance, listed, numbers, one, one_word
from ergokit.placement import Placement

CAUTION = "A verdict describes geometry; it is not permission."

# How far outside still counts as near: about what a tape measure tells apart (common practice, no source).
_NEAR = {"deg": 2.0, "cm": 0.5, "ratio": 0.05}
_ROUNDING = 1e-9
_MILDEST_FIRST = ("in range", "near", "untested", "outside")
_PUBLISHED_AZIMUTH = "azimuth angle, instruments' plane"  # the plane in which 30 each gives 60
# Measures for which there is no row, and their units.
_UNGUIDED = {
    "depth": "cm",
    "outside length": "cm",
    "tip travel per hand travel": "ratio",
    "handle separation": "cm",
    "plan angle": "deg",
    "azimuth angle, working plane": "deg",
    "azimuth angle, space": "deg",
    "off-centre angle": "deg",
    "display angle": "deg",
    "entry angle": "deg",
}
_SYMBOLS = {"deg": " degrees", "ratio": "", "percent": " %"}
_SAID = {"advice": "advised", "best": "best of those tried", "tested": "tried"}


@dataclass(frozen=True, eq=False, repr=False)
class Verdict:
    """A verdict on one value.

    status
        "in range"; "near", outside by no more than a tape measure tells apart; "untested", between a level tried inside the
        range and one tried outside it; "outside"; or "no guidance"
    because
        the ranges that decide it, and those that differ
    """

    quantity: str
    value: float
    unit: str
    status: str
    because: str
    records: tuple

    @property
    def words(self):
        """The verdict in a sentence or two."""
        value = _figure(round(self.value, 2 if self.unit == "ratio" else 1))
        return f"{self.quantity} {value}{_symbol(self.unit)}: {self.status}. {self.because}"

    @property
    def rows(self):
        """The rows behind it as a pandas table: what each says, what that means for this value, its source and its basis."""
        import pandas as pd

        columns = ("says", "of this value", "statement", "source", "basis")
        return pd.DataFrame([self._row(row) for row in self.records], columns=columns)

    def _row(self, row):
        of_this = "" if row["kind"] == "tested" else _of(row, _size(self.quantity, self.value))
        return _says(row), of_this, row["statement"], citation_of(row), basis_of(row)

    def __repr__(self):
        lines = (f"  {_says(row)} ({basis_of(row)}): {row['statement']} {citation_of(row)}" for row in self.records)
        return "\n".join([self.words, *lines, CAUTION])

    def _repr_markdown_(self):
        head = (
            ["| says | of this value | in the kit's words | source | basis |", "|---|---|---|---|---|"] if self.records else []
        )
        lines = (f"| {' | '.join(self._row(row))} |" for row in self.records)
        return "\n".join([f"**{self.words}**", "", *head, *lines, "", CAUTION])


def verdict(quantity, value):
    """What the published rows say of `value` for `quantity`, as a `Verdict`.

    The rows with the strongest basis decide: published, then a secondary page, memory and common practice; of those an
    advised range before the best of the levels tried. Rows that differ are shown beside them and never averaged. An azimuth
    is the one in the instruments' plane; a hand-eye rotation counts the same to either side. ValueError for an unknown
    quantity or a value that is not a number.

    >>> print(verdict("length ratio", 0.9).words)
    length ratio 0.9: untested. At least 1 advised (Emam et al. 2000, published); nothing was tried between 0.5 and 1.
    >>> verdict("manipulation angle", 60).status, verdict("display angle", 60).status
    ('in range', 'no guidance')
    """
    value = one("value", value, numbers, "a number")
    known = (*_rows(), _PUBLISHED_AZIMUTH, *_UNGUIDED)
    advised = [name for name, rows in _rows().items() if any(map(_advises, rows))]
    names = get_close_matches(quantity[:60], known) if isinstance(quantity, str) else []
    one_word("quantity", quantity, known, f"a name like {listed(names or advised)}")
    return _judged(quantity, value)


def judge(placement):
    """The table of a placement's measures with two more columns, `verdict` and `because`.

    Every row of `placement.measures()` is there; the verdict on one without a value is "no value".

    >>> from ergokit.placement import Placement
    >>> judge(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 0, 12)))[["quantity", "value", "verdict"]].head(4)
              quantity value     verdict
          port spacing  18.0     outside
    manipulation angle  59.9    in range
      working distance  15.6     outside
                 depth  15.6 no guidance
    <BLANKLINE>
    A verdict describes geometry; it is not permission.
    """
    from ergokit.guidance.table import VerdictTable

    table = instance("placement", placement, "a Placement", Placement).measures()
    pairs = zip(table["quantity"], table["value"], strict=True)
    judged = [("no value", "") if isnan(value) else _short_verdict(quantity, value) for quantity, value in pairs]
    return VerdictTable(table.assign(verdict=[status for status, _ in judged], because=[because for _, because in judged]))


def _short_verdict(quantity, value):
    found = _judged(quantity, value)
    return found.status, found.because


def _judged(quantity, value):
    rows = _rows().get("azimuth angle" if quantity == _PUBLISHED_AZIMUTH else quantity, ())
    unit = rows[0]["unit"] if rows else _UNGUIDED[quantity]
    behind = tuple(row for row in rows if row["kind"] in _SAID)
    advising = [row for row in behind if _advises(row)]
    if not advising:
        tried = "".join(f"; {_says(row)} ({source_in_short(row)})" for row in behind)
        return Verdict(quantity, value, unit, "no guidance", f"No range is advised{tried}.", behind)
    size = _size(quantity, value)
    strongest = min(_rank(row) for row in advising)
    deciding = [row for row in advising if _rank(row) == strongest]
    status = max((_of(row, size) for row in deciding), key=_MILDEST_FIRST.index)
    differing = [
        row
        for row in advising
        if row not in deciding
        and _of(row, size) != status
        and not (row["kind"] == "best" and any(_inside(other, row["low"]) for other in deciding))
    ]
    return Verdict(quantity, value, unit, status, _because(size, deciding, differing), behind)


def _because(size, deciding, differing):
    reasons = []
    for row in deciding:
        reasons.append(f"{_says(row)} ({source_in_short(row)}, {basis_of(row)})")
        if gap := _gap(row, size):
            reasons.append(f"nothing was tried between {_figure(gap[0])} and {_figure(gap[1])}")
        elif row["levels"] and not row["levels"][0] <= size <= row["levels"][-1]:
            below = size < row["levels"][0]
            reasons.append(f"nothing was tried {'below' if below else 'above'} {_figure(row['levels'][0 if below else -1])}")
    text = "; ".join(reasons)
    text = text[0].upper() + text[1:] + "."
    if any(row["may_mean"] for row in deciding):
        text += " Whether this elevation is a shaft's own or the tilt of the plane of both is not said."
    if differing:
        text += f" Others differ: {'; '.join(f'{_says(row)} ({source_in_short(row)}, {basis_of(row)})' for row in differing)}."
    return text


# What one row says


def _advises(row):
    return row["kind"] in ("advice", "best")


def _rank(row):
    """The least decides."""
    return datasets.BASES.index(row["basis"]), row["secondary"], row["kind"] != "advice"


def _beyond(row, size):
    """How far outside the row's range, 0 inside."""
    return max(0.0, *(gap for gap in (row["low"] - size, size - row["high"]) if not isnan(gap)))


def _inside(row, size):
    return _beyond(row, size) <= _ROUNDING


def _gap(row, size):
    """The neighbouring levels tried, one inside the range and one outside, that the value lies between; or None."""
    for below, above in pairwise(row["levels"]):
        if below < size < above and _inside(row, below) != _inside(row, above) and not _inside(row, size):
            return below, above
    return None


def _of(row, size):
    if _inside(row, size):
        return "in range"
    if _beyond(row, size) <= _NEAR.get(row["unit"], 0.0) + _ROUNDING:
        return "near"
    return "untested" if _gap(row, size) else "outside"


def _size(quantity, value):
    return abs(value) if quantity == "hand-eye rotation" else value


@cache
def _rows():
    """The rows of published values by quantity, and by the other one that a source's word may mean."""
    rows = {}
    for row in datasets.records("published_values"):
        for name in filter(None, (row["quantity"], row["may_mean"])):
            rows[name] = (*rows.get(name, ()), row)
    return rows


# Words


def _says(row):
    low, high, unit = row["low"], row["high"], _symbol(row["unit"])
    if isnan(high):
        span = f"at least {_figure(low)}{unit}"
    elif isnan(low):
        span = f"at most {_figure(high)}{unit}"
    else:
        span = f"{_figure(low)}{unit}" if low == high else f"{_figure(low)} to {_figure(high)}{unit}"
    condition = f", {row['condition']}" if row["condition"] else ""
    return f"{span} {_SAID[row['kind']]}{condition}"


def basis_of(row):
    """How far a row was verified, in words: its basis, or that a secondary page was read."""
    return "secondary page" if row["secondary"] else row["basis"]


@cache
def _sources():
    return {source["id"]: source for source in datasets.records("sources")}


def citation_of(row):
    """The whole entry, with its DOI and with which parts of it are from memory."""
    if row["source"] == "none":
        return "No source."
    source = _sources()[row["source"]]
    doi = f" doi:{source['doi']}" if source["doi"] else ""
    recalled = f" ({source['from_memory']} from memory)" if source["from_memory"] else ""
    return f"{source['citation']}{doi}{recalled}"


def source_in_short(row):
    """The authors' surnames and the year."""
    if row["source"] == "none":
        return "no source"
    citation = _sources()[row["source"]]["citation"]
    authors = citation.split(". ")[0]
    surnames = re.findall(r"([^,]+?) [A-Z]{1,3}(?=,| et al|$)", authors)
    who = " and ".join(name.strip() for name in surnames[:2])
    if len(surnames) > 2 or "et al" in authors:
        who = f"{surnames[0]} et al."
    year = re.search(r"\b(19|20)\d\d\b", citation)
    return f"{who} {year[0]}" if year else who


def _symbol(unit):
    return _SYMBOLS.get(unit, f" {unit}")


def _figure(number):
    return f"{number:.10g}"

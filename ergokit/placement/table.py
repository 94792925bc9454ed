"""A pandas table of measures that is shown with one decimal, a ratio with two, and kept in full."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

import pandas as pd
from pandas.api.types import is_numeric_dtype

from ergokit._check import instance, one_word, refused
from ergokit.placement import Placement
from ergokit.placement.measures import NEEDS, figure, give_or_take
from ergokit.terms import with_entries


class MeasureTable(pd.DataFrame):
    """A DataFrame that shows one decimal, two for a ratio, and `not defined` or `not known` where a measure has no value.

    `foot` is what stands below it, such as a caution; a part of the table keeps it.
    """

    _metadata: ClassVar = ["foot"]  # what pandas hands on
    foot = ""

    @property
    def _constructor(self):
        return MeasureTable

    def of(self, *quantities: str) -> MeasureTable:
        """The rows of these quantities, in the order of the table; ValueError for a quantity that it does not have.

        >>> table = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16)).measures()
        >>> table.of("manipulation angle", "depth")
                  quantity side value unit note
        manipulation angle       59.9  deg
                     depth       15.6   cm
        """
        known = list(dict.fromkeys(self["quantity"]))
        for name in quantities:
            one_word("quantities", name, known, of="names such as")
        return self[self["quantity"].isin(quantities)]

    def __repr__(self):
        lines = [line.rstrip() for line in self._shown().to_string(index=self._named).splitlines()]
        return "\n".join([*lines, *(["", self.foot] if self.foot else [])])

    def _repr_html_(self):
        head, *rows = with_entries(self._shown().to_html(index=self._named, border=0)).split("<tr>")
        words = [not is_numeric_dtype(kind) for kind in self.dtypes]
        crossed = self["crossed"] if "crossed" in self else [False] * len(rows)  # ways to give holes: greyed
        rows = [
            f"<tr{' style=opacity:.5' * bool(grey)}>{_words_left(row, 'td', words)}"
            for grey, row in zip(crossed, rows, strict=False)
        ]
        head = _words_left(head, "th", [False, *words] if self._named else words)
        return "".join([head, *rows]) + (f"<p>{self.foot}</p>" if self.foot else "")

    @property
    def _named(self):
        """Whether the rows have names of their own, which show then."""
        return self.index.name is not None

    def _shown(self):
        shown = pd.DataFrame(self)
        units = self["unit"] if "unit" in shown else ["-"] * len(shown)
        for name in shown.select_dtypes(float):
            said = give_or_take if name == "uncertainty" else figure
            each = [""] * len(shown) if str(name).startswith("inside : outside") else units
            shown[name] = [said(value, unit) for value, unit in zip(shown[name], each, strict=True)]
        if "value" in shown and "note" in shown:
            lost = self["value"].isna()
            known = ~self["note"].astype(str).str.startswith(NEEDS)
            shown.loc[lost & known, "value"] = "not defined"
            shown.loc[lost & ~known, "value"] = "not known"
        for name in {"note", "reading"} & set(shown):  # readings as they are called in the form
            shown[name] = shown[name].astype(str).str.replace("_", " ")
        if "uncertainty" in shown:
            shown.loc[self["uncertainty"].isna(), "uncertainty"] = ""
        return shown


def _words_left(row, cell, words):
    """A row of an HTML table whose cells with words begin at the left, under each other; numbers end at the right."""
    before, *cells = row.split(f"<{cell}>")
    looks = (' style="text-align: left"' * word for word in words)
    return before + "".join(f"<{cell}{look}>{rest}" for look, rest in zip(looks, cells, strict=False))


def side_by_side(placements: Mapping[str, Placement], *quantities: str) -> MeasureTable:
    """The measures of placements in one table, a column each under its name; only these quantities where any are given.

    >>> level = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))
    >>> side_by_side({"level": level, "right port higher": level.replace(right_port=(9, 0, 16))}, "manipulation angle")
              quantity side unit level right port higher
    manipulation angle       deg  59.9              56.0
    """
    instance("placements", placements, "a mapping from names to placements", Mapping)
    if not placements:
        raise refused("placements", "at least one Placement under its name", placements)
    for placement in placements.values():
        instance("placements", placement, "a Placement under each name", Placement)
    tables = {name: placement.measures() for name, placement in placements.items()}
    first = next(iter(tables.values()))
    columns = first[["quantity", "side", "unit"]].assign(**{name: table["value"] for name, table in tables.items()})
    return columns.of(*quantities) if quantities else columns

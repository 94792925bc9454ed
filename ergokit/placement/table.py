"""A pandas table of measures that is shown with one decimal, a ratio with two, and kept in full."""

from typing import ClassVar

import pandas as pd

from ergokit.placement.measures import figure, give_or_take
from ergokit.terms import with_entries

NEEDS = "needs "  # how the note of a measure begins that another reading would settle


class MeasureTable(pd.DataFrame):
    """A DataFrame that shows one decimal, two for a ratio, and `not defined` or `not known` where a measure has no value.

    `foot` is what stands below it, such as a caution; a part of the table keeps it.
    """

    _metadata: ClassVar = ["foot"]  # what pandas hands on
    foot = ""

    @property
    def _constructor(self):
        return MeasureTable

    def __repr__(self):
        lines = [line.rstrip() for line in self._shown().to_string(index=False).splitlines()]
        return "\n".join([*lines, *(["", self.foot] if self.foot else [])])

    def _repr_html_(self):
        head, *rows = self._shown().to_html(index=False, border=0).split("<tr>")
        crossed = self["crossed"] if "crossed" in self else [False] * len(rows)  # ways to give holes: greyed
        rows = [f"<tr{' style=opacity:.5' * bool(grey)}>{row}" for grey, row in zip(crossed, rows, strict=False)]
        return with_entries("".join([head, *rows])) + (f"<p>{self.foot}</p>" if self.foot else "")

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
        if "uncertainty" in shown:
            shown.loc[self["uncertainty"].isna(), "uncertainty"] = ""
        return shown

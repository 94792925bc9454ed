"""Rules with a range each, for the explorers that have them: a box to tick, the range on a track, and the range in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import inf, isfinite
from typing import ClassVar, NamedTuple

import ipywidgets as w
import numpy as np

from ergokit.explorers.controls import Layout, on_grid, what_is
from ergokit.explorers.explorer import Explorer
from ergokit.guidance.quantities import range_in_words

_MARK = 14  # px, of the question mark


class RangeTrack(NamedTuple):
    """Where both handles of a rule run; a handle at the end of its track means no limit on that side."""

    low: float
    high: float
    step: float

    def handles(self, ends):
        """Where the two handles show a range.

        >>> RangeTrack(2, 40, 0.5).handles((-inf, 15.3))
        (2.0, 15.5)
        """
        return on_grid(self, tuple(np.clip(ends, self.low, self.high).tolist()))

    def ends(self, handles):
        """The range that the two handles show.

        >>> RangeTrack(2, 40, 0.5).ends((2, 15))
        (-inf, 15)
        """
        low, high = handles
        return -inf if low <= self.low else low, inf if high >= self.high else high


@dataclass(frozen=True, kw_only=True)
class Ruled:
    """A state with a range for each rule, infinite where there is no limit, and those rules that are ticked."""

    tracks: ClassVar[Mapping[str, RangeTrack]]

    ends: Mapping[str, tuple[float, float]]
    ticked: frozenset[str]
    numbers: bool = True

    @property
    def rules(self) -> dict[str, tuple[float | None, float | None]]:
        """The ticked rules: name -> (low, high), None where there is no limit."""
        return {name: _free(ends) for name, ends in self.ends.items() if name in self.ticked}

    def is_ticked(self, name):
        return name in self.ticked

    def tick(self, name, on):
        """A rule is taken up or dropped."""
        return replace(self, ticked=self.ticked | {name} if on else self.ticked - {name})

    def handles(self, name):
        return self.tracks[name].handles(self.ends[name])

    def drag(self, name, handles):
        """The handles of a rule are moved."""
        return replace(self, ends={**self.ends, name: self.tracks[name].ends(handles)})

    def in_words(self, name):
        return range_in_words(name, *self.ends[name]).replace(" degrees", "°")


class RulesExplorer(Explorer):
    """An explorer of a `Ruled` state."""

    def rule_rows(self, tick, track, words):
        """A line for each rule, its parts so many px wide, with a question mark that opens its entry in the glossary."""
        self.controls, self.ticks, self.ranges, rows = {}, {}, {}, []
        for name, (low, high, step) in self.start.tracks.items():
            tip = f"{name}: the range that this rule allows. A handle at the end of its track means no limit."
            looks = {"readout": False, "tooltip": tip, "layout": Layout(width=f"{track}px", margin="0")}
            self.controls[name] = w.FloatRangeSlider(value=(low, high), min=low, max=high, step=step, **looks)
            looks = {"indent": False, "tooltip": f"keep the rule on {name}", "layout": Layout(width=f"{tick}px", margin="0")}
            self.ticks[name] = w.Checkbox(description=name, **looks)
            self.ranges[name] = w.Label(layout=Layout(width=f"{words}px", margin="0 0 0 6px"))
            self.bind(self.controls[name], name, Ruled.handles, Ruled.drag)
            self.bind(self.ticks[name], name, Ruled.is_ticked, Ruled.tick)
            self.display(self.ranges[name], Ruled.in_words, name)
            row = [self.ticks[name], what_is(name, _MARK), self.controls[name], self.ranges[name]]
            rows.append(w.HBox(row, layout=Layout(height="26px", overflow="hidden")))
        return rows


def _free(ends):
    low, high = ends
    return low if isfinite(low) else None, high if isfinite(high) else None

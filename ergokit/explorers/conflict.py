"""Rules side by side: tick them, move their ranges, and see whether all can hold."""

from __future__ import annotations

import html
from dataclasses import dataclass
from functools import cached_property
from math import inf, isnan
from typing import ClassVar

import ipywidgets as w

from ergokit import datasets
from ergokit._check import checked, flag, refused
from ergokit._types import Rules
from ergokit.explorers.controls import HIDDEN, Layout, choice, group, labelled, slider
from ergokit.explorers.measures import unseen
from ergokit.explorers.ranges import RangeTrack, Ruled, RulesExplorer
from ergokit.figures.rules import plain_rules
from ergokit.guidance import CAUTION, Conflicts, conflicts
from ergokit.guidance.quantities import named_in, range_in_words, ranges
from ergokit.guidance.verdicts import basis_of, source_in_short
from ergokit.terms import with_buttons

_TRACKS = {
    "manipulation angle": RangeTrack(5, 175, 1),
    "port spacing": RangeTrack(2, 40, 0.5),
    "working distance": RangeTrack(2, 40, 0.5),
    "inside : outside": RangeTrack(0.1, 4, 0.1),
    "elevation angle": RangeTrack(0, 90, 1),
    "length inside": RangeTrack(2, 36, 0.5),
    "chord to camera port": RangeTrack(2, 20, 0.5),
}
_SOURCES = {  # the row of published values that each range starts from: its quantity and its source
    "manipulation angle": ("manipulation angle", "hanna-1997-ports"),
    "port spacing": ("port spacing", "mishra-position"),
    "working distance": ("working distance", "hanna-1997-view"),
    "inside : outside": ("inside : outside", "emam-2000"),
    "elevation angle": ("elevation angle", "hanna-1997-ports"),
    "length inside": ("camera port to target", "supe-2010"),  # of ports on the camera port's arc
    "chord to camera port": ("chord to camera port", "supe-2010"),
}
_TICKED = ("manipulation angle", "working distance")
_CAMERAS = {
    "a phone on the panel, not moved": "panel",
    "as far from the target as the ports": "arc",
    "a scope, slid through its hole": "scope",
}


@checked(numbers=flag)
def conflict_explorer(rules: Rules | None = None, *, numbers: bool = True) -> ConflictExplorer:
    """Explore which rules can hold together.

    Each rule has a box to tick and a range; a handle at the end of its track means no limit. The camera is a lens fixed at the
    wall, or a 0 degree scope that is slid. Beside them are the bars of `rules_figure`, the verdict of `conflicts`, and the
    source of each range. `rules`, a mapping from quantity to (low, high) or to one number, are ticked at the start; every other
    rule has the range that its source gives. With `numbers=False` the verdict is hidden until the reader asks. The explorer's
    `.result` is what it shows.

    >>> explorer = conflict_explorer({"manipulation angle": (45, 75), "working distance": (None, 15)})
    >>> explorer.result.feasible
    True
    >>> explorer.ticks["port spacing"].value = True
    >>> explorer.controls["port spacing"].value = (30, 30)
    >>> explorer.result.feasible
    False
    """
    published = {name: _published(name) for name in _TRACKS}
    if rules is None:
        rules = {name: published[name] for name in _TICKED}
    given = ranges(rules, _TRACKS)
    if not given:
        raise refused("rules", "at least one quantity with its low and high end", rules)
    return ConflictExplorer(Ruling(ends=published | given, ticked=frozenset(given), numbers=numbers))


@dataclass(frozen=True, kw_only=True)
class Ruling(Ruled):
    """Rules for a placement, the instruments and the camera they are for, and the quantity that the bars are about."""

    tracks: ClassVar = _TRACKS
    notice: ClassVar = ""

    instrument_length: float = 36.0
    camera_hole: float = 0.0
    camera: str = next(iter(_CAMERAS))
    quantity: str = "working distance"

    @cached_property
    def result(self):
        if not self.ticked:
            raise ValueError("At least one rule must stay ticked. Tick another rule first.")
        camera = _CAMERAS[self.camera]
        camera_hole = 0 if camera == "arc" else self.camera_hole
        return conflicts(self.rules, self.instrument_length, camera_hole=camera_hole, camera=camera)

    def drawing(self):
        return plain_rules(self.result, self.quantity, self.numbers, width=448, rows=len(_TRACKS) + 2)

    def verdict(self):
        """What `conflicts` found, for the room below the controls."""
        if not self.numbers:
            return HIDDEN
        result = self.result
        if result.feasible:
            head = "These rules can all hold. While they all hold:"
            items = [f"{name} {range_in_words(name, *span, decimals=1)}" for name, span in result.ranges.items() if span]
        else:
            head = "These rules cannot all hold."
            items = [f"{clash.words}." for clash in result.clashes]
            items.append("The smallest change of one rule that lets all of them hold:")
            items += [
                f"{change or f'{name}: no change of this rule alone is enough'}" for name, change in result.relaxations.items()
            ]
        lines = with_buttons("".join(f"<li>{html.escape(item, quote=False)}</li>" for item in items))
        return f'<b>{head}</b><ul class="ergokit-rules">{lines}</ul><div class="ergokit-foot">{CAUTION}</div>'

    def sources(self):
        lines = with_buttons("".join(f"<li>{html.escape(self._source(name), quote=False)}</li>" for name in self.rules))
        return f'<div class="ergokit-foot"><b>Where the ranges come from</b><ul class="ergokit-rules">{lines}</ul></div>'

    def _source(self, name):
        """Where the range of a rule comes from, in a line."""
        if self.ends[name] != _published(name):
            return f"{name}: your own range"
        row = _row(name)
        said_of = "" if row["quantity"] == name else f" ({row['quantity']}, of ports on one arc)"
        return f"{name}{said_of}: {source_in_short(row)}, {basis_of(row)}"

    def told(self):
        words = "; ".join(self.drawing()["data"][-1]["text"])
        return unseen(f"{html.escape(words)}.")


class ConflictExplorer(RulesExplorer):
    """See `conflict_explorer`."""

    @property
    def result(self) -> Conflicts:
        """What `conflicts` finds about the ticked rules."""
        return self.state.result

    def build(self):
        rows = self.rule_rows(160, 92, 104)
        self.controls["instrument length"] = slider("instrument length", "of the shaft", 25, 45, 0.5)
        hole = slider("camera hole above ports", "of a phone lying flat on the panel, or a scope square to it", 0, 15, 0.25)
        hole.readout_format = ".2f"
        self.controls["camera hole above ports"] = hole
        self.camera = choice(list(_CAMERAS), "where the camera is", "262px")
        self.axis = choice(named_in("conflicts"), "the quantity that the bars show", "190px")
        self.verdict = w.HTML(layout=Layout(max_height="250px", overflow="auto"))
        self.sources = w.HTML()
        self.picture = self.drawn(Ruling.drawing, about="Bars that show which values of one quantity the rules leave.")
        self.bind(self.controls["instrument length"], "instrument_length")
        self.bind(hole, "camera_hole")
        self.bind(self.camera, "camera")
        self.bind(self.axis, "quantity")
        self.display(self.verdict, Ruling.verdict)
        self.display(self.sources, Ruling.sources)
        self.display(self.description, Ruling.told)
        left = [
            group("Controls", "Tick rules, and drag the ends of their ranges."),
            *rows,
            labelled("instrument length (cm)", self.controls["instrument length"], "26px", "206px"),
            labelled("camera hole above ports (cm)", hole, "26px", "206px"),
            labelled("camera", self.camera, "30px", "106px"),
            group("Numbers", "What the rules leave, or why they clash."),
            w.HBox([self.numbers, self.projector, self.restart]),
            self.verdict,
        ]
        right = [
            group("Picture", "Each bar shows which values of one quantity a rule leaves."),
            labelled("quantity", self.axis, "30px", "70px"),
            self.status,
            self.picture,
            self.sources,
        ]
        return [w.HBox([w.VBox(left, layout=Layout(width="386px", flex="0 0 auto")), w.VBox(right)])]


def _row(name):
    """The row of data that a rule's range starts from."""
    quantity, source = _SOURCES[name]
    [row] = [
        row
        for row in datasets.records("published_values")
        if (row["quantity"], row["source"]) == (quantity, source) and row["kind"] in ("advice", "best")
    ]
    return row


def _published(name):
    row = _row(name)
    return -inf if isnan(row["low"]) else row["low"], inf if isnan(row["high"]) else row["high"]

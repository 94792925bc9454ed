"""Rules side by side: tick them, move their ranges, and see whether all can hold."""

from __future__ import annotations

import html
from collections.abc import Sequence
from math import inf, isnan
from typing import NamedTuple

import ipywidgets as w

from ergokit import datasets
from ergokit._check import checked, flag, instance, listed, one_word
from ergokit.explorers.cells import keep_one
from ergokit.explorers.controls import HIDDEN, STYLE, Layout, button, choice, fit, labelled, on_grid, said, slider, toggle
from ergokit.figures.picture import Picture
from ergokit.figures.rules import plain_rules
from ergokit.guidance import CAUTION, conflicts
from ergokit.guidance.quantities import named_in, range_in_words
from ergokit.guidance.verdicts import basis_of, source_in_short


class _Rule(NamedTuple):
    """A rule's track, and the row its range starts from."""

    low: float
    high: float
    step: float
    quantity: str
    source: str


_RULES = {
    "manipulation angle": _Rule(5, 175, 1, "manipulation angle", "hanna-1997-ports"),
    "port spacing": _Rule(2, 40, 0.5, "port spacing", "mishra-position"),
    "working distance": _Rule(2, 40, 0.5, "working distance", "hanna-1997-view"),
    "inside : outside": _Rule(0.1, 4, 0.1, "inside : outside", "emam-2000"),
    "elevation angle": _Rule(0, 90, 1, "elevation angle", "hanna-1997-ports"),
    "length inside": _Rule(2, 36, 0.5, "camera port to target", "supe-2010"),  # of ports on the camera port's arc
    "chord to camera port": _Rule(2, 20, 0.5, "chord to camera port", "supe-2010"),
}
_SETTING = {"instrument length": 36, "camera hole above ports": 0}
_CAMERAS = {"on the port line, or its camera hole": "panel", "as far away as the ports": "arc"}


@checked(numbers=flag)
def conflict_explorer(
    rules: Sequence[str] = ("manipulation angle", "working distance"), numbers: bool = True
) -> ConflictExplorer:
    """Explore which rules can hold together.

    Each rule has a box to tick and a range that starts where its source puts it; an end moved to the end of its track is no
    limit. Beside them the bars of `rules_figure`, the verdict of `conflicts`, and the source of each range. `rules` are ticked
    at the start; with `numbers=False` the verdict is hidden until the reader asks. The explorer's `.result` is what it shows.

    >>> explorer = conflict_explorer()
    >>> explorer.result.feasible, explorer.rules
    (True, {'manipulation angle': (45.0, 75.0), 'working distance': (7.5, 15.0)})
    >>> explorer.ticks["port spacing"].value = True
    >>> explorer.controls["port spacing"].value = (30, 30)
    >>> explorer.result.feasible
    False
    """
    return ConflictExplorer(rules, numbers)


class ConflictExplorer(w.VBox):
    """See `conflict_explorer`."""

    def __init__(self, rules, numbers):
        rules = instance("rules", rules, "a list of names", list, tuple)
        self._start = tuple(one_word("rules", name, _RULES, f"some of {listed(_RULES, name)}") for name in rules)
        self._settling = False
        self._build_controls(numbers)
        self.result = conflicts(self.rules, **self.setting)
        self.picture = Picture(self._drawing(self.result), about="Bars of what the rules leave of one quantity.")
        super().__init__([STYLE, w.HBox([self._left(), self._right()]), self.description])
        self.add_class("ergokit")
        keep_one(self)
        self._observe()
        self.show()

    def __repr__(self):
        return "The explorer appears here once this cell has run (Shift + Enter)."

    @property
    def rules(self) -> dict[str, tuple[float, float]]:
        """The ticked rules: name -> (low, high), None where there is no limit."""
        return {name: self._ends(name) for name, box in self.ticks.items() if box.value}

    @property
    def setting(self) -> dict:
        """The instruments and the camera, as `conflicts` takes them."""
        camera = _CAMERAS[self.camera.value]
        camera_hole = 0 if camera == "arc" else self.controls["camera hole above ports"].value
        return {"instrument_length": self.controls["instrument length"].value, "camera_hole": camera_hole, "camera": camera}

    def show(self) -> None:
        """Let the figure and the words follow the controls, or say in the status line why they cannot."""
        for name, words in self.ranges.items():
            low, high = self._ends(name)
            words.value = range_in_words(name, -inf if low is None else low, inf if high is None else high)
        try:
            result = conflicts(self.rules, **self.setting) if self.rules else None
        except ValueError as error:
            self.status.value = said(str(error), wrong=True)
            return
        if result is None:
            self.status.value = said("Tick at least one rule.", wrong=True)
            return
        self.picture.show(self._drawing(result))
        self.result = result
        self.verdict.value, self.status.value = (_verdict(result), "") if self.numbers.value else (HIDDEN, "")
        sources = "<br>".join(html.escape(self._source(name)) for name in self.rules)
        self.sources.value = f'<div class="ergokit-foot"><b>Where the ranges come from</b><br>{sources}</div>'
        self.description.value = (
            f'<div class="ergokit-description">{html.escape("; ".join(self.picture.part("words")["text"]))}.</div>'
        )

    def follows(self) -> None:
        """Raise AssertionError unless bars and verdict are what the rules come to (or the status line says why not)."""
        if "⚠" in self.status.value:
            return
        result = conflicts(self.rules, **self.setting)
        found, shown = self._drawing(result)["data"][-1]["text"], self.picture.part("words")["text"]
        if shown != found:
            raise AssertionError(f"the bars show {'; '.join(shown)}; the rules come to {'; '.join(found)}.")
        if self.verdict.value != (_verdict(result) if self.numbers.value else HIDDEN):
            raise AssertionError("the verdict is not that of the rules.")

    def _drawing(self, result):
        return plain_rules(result, self.axis.value, self.numbers.value, width=448, rows=len(_RULES) + 2)

    def reset(self) -> None:
        """Back to the rules and ranges the explorer was opened with."""
        self._settling = True  # until all stand where they belong
        for name, rule in _RULES.items():
            self.controls[name].value = _published(rule)
            self.ticks[name].value = name in self._start
        for name, value in _SETTING.items():
            fit(self.controls[name], value)
        self.camera.value = next(iter(_CAMERAS))
        self._settling = False
        self.show()

    # How it is built

    def _build_controls(self, numbers):
        self.controls, self.ticks, self.ranges = {}, {}, {}
        for name, rule in _RULES.items():
            tip = f"{name}: the range this rule allows; no limit at the end of the track"
            looks = {"readout": False, "tooltip": tip, "layout": Layout(width="104px", margin="0")}
            self.controls[name] = w.FloatRangeSlider(
                value=_published(rule), min=rule.low, max=rule.high, step=rule.step, **looks
            )
            self.ticks[name] = w.Checkbox(
                value=name in self._start,
                description=name,
                indent=False,
                tooltip=f"hold to the rule on {name}",
                layout=Layout(width="164px", margin="0"),
            )
            self.ranges[name] = w.Label(layout=Layout(width="108px"))
        self.controls["instrument length"] = slider("instrument length", "of the shaft", 25, 45, 0.5)
        self.controls["camera hole above ports"] = slider(
            "camera hole above ports", "of a phone lying flat on the panel", 0, 15, 0.25
        )
        self.controls["camera hole above ports"].readout_format = ".2f"
        for name, value in _SETTING.items():
            fit(self.controls[name], value)
        self.camera = choice(list(_CAMERAS), "where the camera is", "212px")
        self.axis = choice(named_in("conflicts"), "the quantity on the axis", "170px")
        self.axis.value = "working distance"
        self.numbers = toggle("numbers", "show or hide the verdict", "92px", numbers)
        self.status = w.HTML(layout=Layout(min_height="28px"))
        self.verdict = w.HTML(layout=Layout(max_height="300px", overflow="auto"))
        self.sources = w.HTML()
        self.description = w.HTML(layout=Layout(height="0"))

    def _observe(self):
        for control in (*self.controls.values(), *self.ticks.values(), self.camera, self.axis, self.numbers):
            control.observe(lambda change: self._settling or self.show(), "value")

    def _range(self, name):
        """Both ends of a rule's range, on the grid of its track: a browser reports 15.000000000000002."""
        return tuple(on_grid(self.controls[name], end) for end in self.controls[name].value)

    def _ends(self, name):
        low, high = self._range(name)
        return None if low <= _RULES[name].low else low, None if high >= _RULES[name].high else high

    def _source(self, name):
        """Where the range of a rule comes from, in a line."""
        if self._range(name) != _published(_RULES[name]):
            return f"{name}: your own range"
        row = _row(_RULES[name])
        said_of = "" if row["quantity"] == name else f" ({row['quantity']}, of ports on one arc)"
        return f"{name}{said_of}: {source_in_short(row)}, {basis_of(row)}"

    def _left(self):
        line = Layout(height="28px")
        rows = [w.HBox([self.ticks[name], self.controls[name], self.ranges[name]], layout=line) for name in _RULES]
        setting = [labelled(f"{name} (cm)", self.controls[name], "28px") for name in _SETTING]
        camera = labelled("camera", self.camera, "32px", "106px")
        buttons = w.HBox([self.numbers, button("reset", "back to where we started", self.reset, "70px")])
        return w.VBox([*rows, *setting, camera, buttons, self.verdict], layout=Layout(width="386px", flex="0 0 auto"))

    def _right(self):
        axis = w.HBox([w.Label("what the rules leave of"), self.axis])
        return w.VBox([axis, self.status, self.picture, self.sources])


def _row(rule):
    """The row of data that a rule's range starts from."""
    [row] = [
        row
        for row in datasets.records("published_values")
        if (row["quantity"], row["source"]) == (rule.quantity, rule.source) and row["kind"] in ("advice", "best")
    ]
    return row


def _published(rule):
    row = _row(rule)
    return rule.low if isnan(row["low"]) else row["low"], rule.high if isnan(row["high"]) else row["high"]


def _verdict(result):
    """What `conflicts` found, for the room beside the figure."""
    if result.feasible:
        head = "These rules can all hold. While they do:"
        items = [f"{name} {range_in_words(name, *span)}" for name, span in result.ranges.items() if span]
    else:
        head = "These rules cannot all hold."
        items = [f"{clash.words}." for clash in result.clashes]
        items.append("The least change of one rule that restores agreement:")
        items += [f"{change or f'{name}: none by itself'}" for name, change in result.relaxations.items()]
    lines = "".join(f'<div style="line-height: 15px; font-size: 12px">{html.escape(item)}</div>' for item in items)
    return f'<b>{head}</b>{lines}<div class="ergokit-foot">{CAUTION}</div>'

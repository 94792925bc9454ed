"""What the small explorers share: one idea each, with sliders and a table beside figures that depend on nothing else."""

from __future__ import annotations

from typing import ClassVar, NamedTuple

import ipywidgets as w
import numpy as np
from scipy.optimize import brentq

from ergokit.explorers import measures
from ergokit.explorers.cells import keep_one
from ergokit.explorers.controls import HIDDEN, STYLE, Layout, button, choice, fit, labelled, on_grid, said, slider, toggle
from ergokit.figures.picture import Picture

_NOTHING = "nothing"


class Track(NamedTuple):
    """What a slider stands for and where it runs."""

    tip: str
    low: float
    high: float
    start: float
    unit: str = "cm"


class SmallExplorer(w.VBox):
    """An explorer that shows where its controls stand, and nothing that was before.

    Built from `tracks` (name -> `Track`) and `choices` (label -> control). A subclass gives the `opening` of its description,

    - `_state()`: what the controls stand for; ValueError, in a reader's words, where that cannot be,
    - `_drawings(state)`: what its `pictures` show, as `Picture` takes it, and `about` them, a sentence each,
    - `_rows(state)` of its table, and further sentences with numbers, `_facts(state)`,
    - `_compared(state)`: pairs of what is drawn and what the library says, each with its name,
    - where it `holds` quantities, `_value(quantity, at)` for the values of all controls, one of which may be an array.
    """

    opening: str
    about: ClassVar[tuple] = ("The picture of this explorer.",)
    #: What can stay while a slider is dragged -> the sliders that may follow: the first that is not dragged does.
    holds: ClassVar[dict] = {}
    view = None  # where a scene in space is first seen from

    def __init__(self, tracks, numbers=True, choices=()):
        self.tracks = tracks
        self._settling = False
        self.controls = {name: slider(name, track.tip, track.low, track.high) for name, track in self.tracks.items()}
        for name, track in self.tracks.items():
            fit(self.controls[name], track.start)
        self._between = {}  # slider -> what it stands for, where a held quantity puts it between two of its steps
        self.hold = choice([_NOTHING, *self.holds], "what stays while you drag a slider: another slider follows", "158px")
        self.choices = dict(choices) | ({"hold meanwhile": self.hold} if self.holds else {})
        self._chosen = {name: control.value for name, control in self.choices.items()}
        self.numbers = toggle("numbers", "show or hide every value", "80px", numbers)
        self.big = toggle("big", "a few numbers, to read from the back of a room", "60px")
        self.table, self.facts, self.description = w.HTML(), w.HTML(), w.HTML(layout=Layout(height="0"))
        self.status = w.HTML(layout=Layout(min_height="28px"))
        drawings = self._drawings(self._state())
        self.pictures = [
            Picture(drawing, self.view if "items" in drawing else None, about)
            for drawing, about in zip(drawings, self.about, strict=True)
        ]
        super().__init__([STYLE, self._arranged(), self.description])
        self.add_class("ergokit")
        keep_one(self)
        for name, control in self.controls.items():
            control.observe(lambda change, name=name: self._settling or self._move(name), "value")
        self.hold.observe(lambda change: self._settling or self._keep(change["old"]), "value")
        for control in (*self.choices.values(), self.numbers, self.big):
            control.observe(lambda change: self._settling or self.show(), "value")
        self.show()

    def __repr__(self):
        return "The explorer appears here once this cell has run (Shift + Enter)."

    def show(self) -> None:
        """Move figures, table and words to where the controls stand; or say why that cannot be, and keep the last picture."""
        try:
            state = self._state()
            rows, drawings = self._rows(state), self._drawings(state)
        except ValueError as error:
            self.status.value = said(str(error), wrong=True)
            return
        for picture, drawing in zip(self.pictures, drawings, strict=True):
            picture.show(drawing)
        self.table.value, self.facts.value = self._told(rows, state)
        words = measures.sentence(rows, self.opening) if self.numbers.value else self.opening
        self.description.value = f'<div class="ergokit-description">{words}</div>'
        self.status.value = said(self._notice(state))

    def reset(self) -> None:
        """Back to where the explorer started."""
        self._settling = True
        for name, track in self.tracks.items():
            fit(self.controls[name], track.start)
        for name, control in self.choices.items():
            control.value = self._chosen[name]
        self._between.clear()
        self._settling = False
        self.show()

    def follows(self) -> None:
        """Raise AssertionError unless figures and table show what the library says of the controls (or the status why not)."""
        if "⚠" in self.status.value:
            return
        state = self._state()
        for name, shown, found in self._compared(state):
            if isinstance(found, str):
                same = shown == found
            else:
                same = np.allclose(np.asarray(shown, dtype=float), found, atol=1e-4, equal_nan=True)  # drawn to a micrometre
            if not same:
                raise AssertionError(f"the picture shows {name} {shown}; the library says {found}.")
        if (self.table.value, self.facts.value) != self._told(self._rows(state), state):
            raise AssertionError("the table does not show where the controls stand.")

    def _keep(self, before):
        """Take down what the held quantity is now; where it has no value, go on holding what was held before."""
        if self.hold.value == _NOTHING:
            return
        try:
            self._state()
            kept = float(self._value(self.hold.value, {name: self._at(name) for name in self.controls}))
            if not np.isfinite(kept):
                raise ValueError(f"The {self.hold.value} has no value here, so nothing can hold it.")
            self._kept = kept
        except ValueError:  # `show`, which comes next, says why
            self._settling = True
            self.hold.value = before
            self._settling = False

    def _move(self, moved):
        """Show where a slider was dragged to, after another has followed so that the held quantity stays."""
        self._between.pop(moved, None)
        try:
            if self.hold.value != _NOTHING:
                self._follow(moved)
        except ValueError as error:
            self.status.value = said(str(error), wrong=True)
            return
        self.show()

    def _follow(self, moved):
        held = self.hold.value
        follower = next(name for name in self.holds[held] if name != moved)
        here, track = {name: self._at(name) for name in self.controls}, self.controls[follower]

        def off(value):
            return self._value(held, here | {follower: value}) - self._kept

        values = np.linspace(track.min, track.max, 401)
        signs = np.sign(off(values))
        [turns] = np.nonzero(signs[:-1] * signs[1:] <= 0)
        if not turns.size:
            raise ValueError(f"The {held} cannot stay {self._kept:.1f} there: no place for the {follower} gives it.")
        turn = turns[np.abs(values[turns] - here[follower]).argmin()]
        self._between[follower] = brentq(off, values[turn], values[turn + 1])
        self._settling = True
        fit(track, self._between[follower])
        self._settling = False

    def _told(self, rows, state):
        """The table, or a few big numerals, and the sentences below."""
        if not self.numbers.value:
            return HIDDEN, ""
        table = measures.numerals(rows) if self.big.value else measures.table(rows)
        return table, "".join(f'<div style="line-height: 18px">{fact}</div>' for fact in self._facts(state))

    def _at(self, name):
        control = self.controls[name]
        between = self._between.get(name, control.value)
        return between if on_grid(control, between) == control.value else control.value

    def _facts(self, state):
        return ()

    def _notice(self, state):
        return ""

    def _sliders(self):
        return [labelled(f"{name} ({track.unit})", self.controls[name]) for name, track in self.tracks.items()]

    def _buttons(self):
        return w.HBox([self.numbers, self.big, button("reset", "back to where we started", self.reset, "70px")])

    def _choices(self):
        return [labelled(name, control) for name, control in self.choices.items()]

    def _arranged(self):
        parts = [*self._sliders(), *self._choices(), self._buttons(), self.table, self.facts]
        left = w.VBox(parts, layout=Layout(width="330px"))
        return w.HBox([left, w.VBox([self.status, *self.pictures])])

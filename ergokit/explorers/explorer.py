"""What every explorer is: a state, events that make another state of it, and widgets that show it and decide nothing.

A state is a frozen dataclass with at least ``numbers``, whether values show, and ``notice``, a sentence that
belongs to it. An event is a pure function from a state to a state, a method of it for instance; it raises ValueError, in a
reader's words, where no such state exists. An explorer only passes events on, and shows what comes back.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from threading import RLock
from typing import Any, ClassVar

import ipywidgets as w
import numpy as np

from ergokit._check import refused
from ergokit._files import decoded
from ergokit.explorers.controls import Below, Layout, button, fit, on_grid, said, toggle, upload
from ergokit.figures.picture import Picture


def changed(state, name, value):
    """The state with one of its fields changed: the event of a control that stands for a field."""
    return replace(state, **{name: value})


class Explorer(Below):
    """An explorer of a `start`; `state` is what it shows now, and `refusal` says why the last move was not possible, or "".

    A subclass gives

    - `build()`: makes its widgets, binds its controls and all that shows the state, and returns the parts below each other,
    - where there is more to set or to compare, `show(state)` and `follows()`, which call this class's.
    """

    #: A control may be heard in another thread than that of a search or a cell: one event is dealt with after the other.
    _lock: ClassVar = RLock()

    def __init__(self, start):
        self.start = self.state = start
        self.refusal = ""
        self._bound = []  # (widget, trait, name, read): a widget shows read(state, name)
        self._showing = False  # while widgets are set, what they report is not a reader's move
        self.status = w.HTML(layout=Layout(min_height="28px"))
        self.description = w.HTML(layout=Layout(height="0"))  # for a screen reader
        self.numbers = toggle("numbers", "show or hide every value", "78px")
        self.bind(self.numbers, "numbers")
        self.restart = button("reset", "back to where we started", self.reset, "70px")
        self.projector = button("projector", "only the picture and the large numbers; Escape leaves", width="85px")
        self.projector.add_class("ergokit-projector")  # the browser does it alone
        self.large = w.HTML()  # the numbers that matter most
        super().__init__([*self.build(), self.description])
        self._show(start)

    def bind(
        self,
        control: w.Widget,
        name: str,
        read: Callable = getattr,
        event: Callable = changed,
        *,
        trait: str = "value",
        draft: bool = False,
    ) -> None:
        """Let a control show ``read(state, name)``, and take the reader's moves of it for ``event(state, name, value)``.

        Without `read` and `event` it stands for a field of the state. A `draft` is typed into a form: it is no move yet, and a
        refusal stays while it is corrected.
        """

        def hear(change):
            before, value = (on_grid(control, change[when]) for when in ("old", "new"))
            if value != before:  # a browser reports its own rounding too: 15.000000000000002
                self.dispatch(event, name, value, draft=draft)

        self._bound.append((control, trait, name, read))
        control.observe(hear, trait)

    def display(self, widget: w.Widget, read: Callable, *about: Any, trait: str = "value") -> None:
        """Let a widget show ``read(state, *about)``, and hear nothing from it."""
        self._bound.append((widget, trait, read.__name__, lambda state, _: read(state, *about)))

    def drawn(self, read: Callable, *given: Any, about: str, view: Mapping | None = None) -> Picture:
        """A picture that shows ``read(state, *given)`` and is called `about`; see `Picture` for both and for a `view`."""
        picture = Picture(read(self.start, *given), view, about)
        self.display(picture, read, *given)
        return picture

    def table_upload(self, tip: str) -> w.FileUpload:
        """A button that loads a CSV file: the event is the state's ``loaded(text)``."""

        def load(file):
            self.dispatch(lambda state: state.loaded(decoded(bytes(file["content"]), file["name"])))

        return upload(".csv", "load a table", tip, "130px", load)

    def dispatch(self, event: Callable, *given: Any, draft: bool = False) -> bool:
        """Show the state that ``event(state, *given)`` returns; where it refuses, keep the last one and say why.

        After a refusal every control stands again where the state has it, and the sentence stays until a move succeeds. Returns
        whether this one did.
        """
        with self._lock:
            if self._showing:
                return False
            refusal = self.refusal if draft else ""
            try:
                state = event(self.state, *given)
                self._show(state, refusal)
            except ValueError as error:
                self._show(self.state, str(error))
                return False
            return True

    def reset(self) -> None:
        """Back to the state the explorer was opened with, but for the numbers: those that show stay shown."""
        self.dispatch(lambda state: replace(self.start, numbers=state.numbers))

    def _show(self, state, refusal=""):
        self._showing = True
        try:
            self.show(state)
            self.state, self.refusal = state, refusal
            self.status.value = said(refusal or state.notice, wrong=bool(refusal))
        finally:
            self._showing = False

    # What a subclass gives

    def build(self) -> list[w.Widget]:
        """Make the widgets and bind the controls; returns the parts that stand below each other."""
        raise NotImplementedError

    def show(self, state: Any) -> None:
        """Let every widget show the state, once all of it is known; only here, and in a subclass's, are widgets set."""
        values = [read(state, name) for *_, name, read in self._bound]
        for (widget, trait, *_), value in zip(self._bound, values, strict=True):
            put(widget, trait, value)

    def follows(self) -> None:
        """Raise AssertionError unless controls, pictures and words show the state."""
        for widget, trait, name, read in self._bound:
            value = read(self.state, name)
            if isinstance(widget, Picture):
                if not widget.shows(value):
                    raise AssertionError("the picture shows another state.")
            elif on_grid(widget, shown := getattr(widget, trait)) != on_grid(widget, value):
                raise AssertionError(f"{name} is {value}; its control shows {shown}.")
        if self.status.value != said(self.refusal or self.state.notice, wrong=bool(self.refusal)):
            raise AssertionError(f"the status line shows {self.status.value}; the state says {self.state.notice}.")


def put(control, trait, value):
    """Let a control show a value: a slider's track grows where the value lies outside."""
    if isinstance(control, Picture):
        control.show(value)
    elif isinstance(control, w.FloatSlider | w.BoundedFloatText):
        fit(control, value)
    elif getattr(control, trait) != value:
        setattr(control, trait, value)


def compare(pairs):
    """Raise AssertionError unless each of (what, shown, found) is shown as the library found it, to a micrometre."""
    for what, shown, found in pairs:
        if isinstance(found, str):
            same = shown == found
        else:
            same = np.allclose(np.asarray(shown, dtype=float), found, atol=1e-4, equal_nan=True)
        if not same:
            raise AssertionError(f"the picture shows {what} {shown}; the library says {found}.")


def exercise(explorer: w.DOMWidget) -> str:
    """Move every slider of an explorer to both ends and back, and check that what it shows follows; ends where it began.

    The tests do this with each explorer of each lesson. One without sliders has its own `exercise`.

    >>> from ergokit.explorers import placement_explorer
    >>> exercise(placement_explorer())
    '16 controls moved from end to end: the picture and the numbers followed.'
    """
    if not isinstance(explorer, w.DOMWidget) or not (hasattr(explorer, "controls") or hasattr(explorer, "exercise")):
        raise refused("explorer", "an explorer of this kit", explorer)
    if not hasattr(explorer, "controls"):
        return explorer.exercise()
    for control in explorer.controls.values():
        for end in (control.min, control.max):
            control.value = (end, end) if isinstance(control, w.FloatRangeSlider) else end
            explorer.follows()
        explorer.reset()
    return f"{len(explorer.controls)} controls moved from end to end: the picture and the numbers followed."

"""The reader's own tape readings, typed into a form: the box as it was built, beside its design where there is one."""

from __future__ import annotations

import html
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import ipywidgets as w

from ergokit import desk
from ergokit.built import BuiltBox, compare_built
from ergokit.explorers.box_form import NAMING, NEW, TAPE, BoxForm, BoxFormExplorer, tape_box
from ergokit.explorers.controls import Layout, button, entry, labelled
from ergokit.figures import built_figure
from ergokit.figures.picture import Picture
from ergokit.figures.readings import plain_readings
from ergokit.figures.tape import plain_tape
from ergokit.placement import Placement
from ergokit.tape_check import TapeCheck


def readings_explorer() -> ReadingsExplorer:
    """Type the tape readings of a box of your own: its angle with its uncertainty, and how far each hole is from its design.

    With a name the readings are saved with the box of that name, for the other lessons and the next evening.

    >>> explorer = readings_explorer()
    >>> for reading, value in zip(explorer.typed, ("18,2", "17.6", "18.4", "14.6", "7")):
    ...     explorer.typed[reading].value = value
    >>> explorer.enter.click()
    >>> explorer.check.interval("manipulation angle").round(1)
    array([58. , 63.4])
    """
    boxes = {box.name: box for box in desk.boxes()}
    start = ReadingsForm(boxes=boxes)
    return ReadingsExplorer(start.opened("", next(iter(boxes))) if boxes else start)


@dataclass(frozen=True, kw_only=True)
class ReadingsForm(BoxForm):
    """What stands in the form, and the box as built that it gave when it was last entered."""

    texts: Mapping[str, str] = field(default_factory=dict)
    flat_phone: bool = False
    built: Placement | None = None

    @cached_property
    def compared(self) -> BuiltBox | None:
        """The box beside the design of that name; None where there is none."""
        box = self.boxes.get(self.name)
        return compare_built(box.design, self.built) if self.built and box and box.design else None

    def text(self, name):
        return self.texts.get(name, "")

    # What a reader does

    def typed(self, name, text):
        """A reading is typed: what the readings before gave no longer shows."""
        return replace(self, texts={**self.texts, name: text}, built=None, notice="")

    def turned(self, _, flat):
        return replace(self, flat_phone=flat, built=None, notice="")

    def opened(self, _, name):
        """The form of a box that was saved, or an empty one."""
        if name == NEW:
            return ReadingsForm(boxes=self.boxes)
        built = self.boxes[name].built
        form = ReadingsForm(boxes=self.boxes, opens=name, name=name, built=built)
        if built is None:
            return replace(form, notice=f"Your box {name!r} has no readings yet.")
        given = built.tape.given()
        texts = {reading: f"{given[reading]:.6g}" for reading in TAPE if given.get(reading) is not None}
        notice = f"The readings of your box {name!r}, as you saved them."
        return replace(form, texts=texts, flat_phone=given["flat_phone"], notice=notice)

    def entered(self):
        """The box of these readings, kept under its name."""
        built = tape_box(self.texts, self.flat_phone)
        if not self.name:
            return replace(self, built=built, notice="Not saved: give the box a name if you want it in the other lessons.")
        self.refuse_another_s_name()
        try:
            box = desk.keep_box(self.name, built=built)
        except ValueError as error:  # the lesson goes on without
            return replace(self, built=built, notice=str(error))
        return self.with_box(box, built=built, notice=f"Saved with {box.name!r}.")


class ReadingsExplorer(BoxFormExplorer):
    """See `readings_explorer`."""

    @property
    def check(self) -> TapeCheck | None:
        """What the readings gave; None until they were entered."""
        return self.state.built and self.state.built.tape

    def build(self):
        self.typed = {name: entry(label, tip, optional) for name, (label, tip, optional) in TAPE.items()}
        self.flat_phone = w.Checkbox(description="the phone lies flat on the panel", indent=False, layout=Layout(width="auto"))
        for name, box in self.typed.items():
            self.bind(box, name, ReadingsForm.text, ReadingsForm.typed)
        self.bind(self.flat_phone, "flat_phone", event=ReadingsForm.turned)
        tip = "what these readings say"
        self.enter = button("Check and save", tip, lambda: self.dispatch(ReadingsForm.entered), "130px", primary=True)
        self.pictures, self.told = w.VBox(), w.HTML(layout=Layout(width="660px"))
        self.display(self.told, _told)
        rows = [
            w.HBox([labelled(label, self.typed[name], "28px", "165px"), w.HTML(f'<span style="margin-left: 8px">{tip}</span>')])
            for name, (label, tip, _) in TAPE.items()
        ]
        naming = w.HTML(f'<div class="ergokit-foot">{NAMING}</div>')
        return [
            w.HBox(self.names()),
            naming,
            Picture(plain_readings(), about="Where each reading is taken: on the panel, along the instruments, from the side."),
            *rows,
            w.HBox([self.flat_phone, self.enter, self.restart]),
            self.status,
            self.told,
            self.pictures,
        ]

    def show(self, state):
        pictures = []
        if state.compared:
            pictures = [Picture.of(built_figure(state.compared), "Each hole beside its mark, with its interval.")]
        elif state.built:
            pictures = [Picture(plain_tape(state.built.tape), about="The triangle that the readings give, among others.")]
        super().show(state)
        before = self.pictures.children
        self.pictures.children = pictures
        for picture in before:
            picture.close()

    def follows(self):
        super().follows()
        if bool(self.pictures.children) != (self.state.built is not None):
            raise AssertionError("what is shown does not go with the readings.")


def _told(state):
    """Which box this is, its angle, and beside its design what differs and what to do."""
    if state.built is None:
        return ""
    low, high = state.built.tape.interval("manipulation angle")
    said = [
        f"{state.name or 'A new box'}, as built",
        f"In 95 of 100 such boxes the manipulation angle is between {low:.1f} and {high:.1f} degrees.",
    ]
    if found := state.compared:
        return _close([*said, *str(found).split("\n")]) + _table(found)
    said.append("To compare it with a design, save your carton under the same name in lesson 03.")
    return _close([*said, *state.built.tape.remarks, state.built.tape.repeat()])


def _close(lines):
    first, *rest = map(html.escape, lines)
    return f'<div style="line-height: 19px"><b>{first}</b><br>{"<br>".join(rest)}</div>'


def _table(found):
    """Each hole beside its mark, as the picture shows it."""
    rows = [("hole", "", "designed (cm)", "built (cm)", "difference")]
    rows += [(each.hole, each.way, f"{each.planned:z.1f}", f"{each.built:z.1f}", each.words) for each in found.holes]
    lines = (f"<tr>{''.join(f'<td>{cell}</td>' for cell in row)}</tr>" for row in rows)
    return f'<table class="ergokit-measures">{"".join(lines)}</table>'

"""The reader's own box beside the lesson's: what the lesson shows of the demo box, shown of that one."""

from __future__ import annotations

import html
from collections.abc import Callable

import ipywidgets as w

from ergokit import desk, explorers
from ergokit._check import checked, one_word
from ergokit.explorers.cells import close
from ergokit.explorers.controls import Below, Layout, choice, said
from ergokit.figures import angle_map_figure, monitor_figure, operator_figure, section_figure, tape_figure
from ergokit.figures.picture import Picture

_NO_BOX = "Save a box of your own in lesson 03 or 04, and it appears here the next time you run this lesson."


def _optics(box):
    """Those of the reader's own phone, or the usual ones where no design says which."""
    phone = box.design and box.design.phone
    return {name: getattr(phone, name) for name in ("field_of_view", "shape", "close_focus")} if phone else {}


# Which placement of a box is shown, and how that came to be.


def _designed(box):
    if box.design is None:
        raise ValueError(f"Your box {box.name!r} has no design yet: enter its carton in lesson 03, under the same name.")
    return box.design.placement, "as designed"


def _built(box):
    if box.built is None:
        raise ValueError(f"Your box {box.name!r} has no readings yet: enter them in lesson 04, under the same name.")
    return box.built, "as you built it, by your tape"


def _either(box):
    return _built(box) if box.built else _designed(box)


def _standing(box):
    """As built, where the readings tell how the triangle stands in the box."""
    if box.built is None or not box.built.tape.not_known():
        return _either(box)
    if box.design is None:
        raise ValueError(f"The readings of your box {box.name!r} do not give its tilt: read its panel slope too, in lesson 04.")
    return _designed(box)


def _targets(box, placement):
    return explorers.targets_explorer(box.design.box, camera=placement.camera, rules={"port spacing": (None, 16)})


#: What can be shown of a box -> of which placement, and how: a function of the box and that placement.
SHOWN: dict[str, tuple[Callable, Callable]] = {
    "section": (_designed, lambda box, placement: section_figure(placement, box.design.box, **_optics(box))),
    "tape": (_built, lambda _, placement: tape_figure(placement.tape)),
    "angle map": (_standing, lambda _, placement: angle_map_figure(placement)),
    "operator": (_standing, lambda box, placement: operator_figure(placement, box=box.design and box.design.box)),
    "monitor": (_standing, lambda box, placement: monitor_figure(placement, width=420, **_optics(box))),
    "targets": (_designed, _targets),
    "talk": (_either, lambda box, placement: explorers.talk_kit(placement, name=box.name)),
}


def _what(name, value):
    return one_word(name, value, SHOWN)


@checked(what=_what)
def yours(what: str) -> Yours:
    """The figure of a lesson for the reader's own box; a sentence on how to save one, if none was saved yet.

    what
        ``"section"``, ``"tape"``, ``"angle map"``, ``"operator"``, ``"monitor"``, ``"targets"`` or ``"talk"``

    The box is shown as built if its readings were saved and suffice, else as designed, and the heading says which. With
    several boxes the latest comes first; a list offers the others.

    >>> from ergokit.desk import folder_at
    >>> with folder_at("nowhere"):
    ...     yours("monitor").heading.value
    '<i>Save a box of your own in lesson 03 or 04, and it appears here the next time you run this lesson.</i>'
    """
    return Yours(what, desk.boxes())


class Yours(Below):
    """See `yours`."""

    what = "Your own box appears"

    def __init__(self, what, boxes):
        self._what, self._boxes = what, {box.name: box for box in boxes}
        self.box = choice(list(self._boxes), "which of your boxes", "170px")
        self.heading, self.shown = w.HTML(), w.VBox()
        row = [self.heading, self.box] if len(boxes) > 1 else [self.heading]
        super().__init__([w.HBox(row, layout=Layout(align_items="center", grid_gap="12px")), self.shown], "ergokit-yours")
        self.box.observe(lambda change: self.show(), "value")
        if boxes:
            self.show()
        else:
            self.heading.value = f"<i>{_NO_BOX}</i>"

    def show(self) -> None:
        """Show the chosen box, or say what is missing of it."""
        box = self._boxes[self.box.value]
        of, make = SHOWN[self._what]
        try:
            placement, how = of(box)
            made = make(box, placement)
        except ValueError as error:
            how, made = "", w.HTML(said(str(error), wrong=True))
        self.heading.value = f"<b>And yours: {html.escape(box.name)}</b>{how and ', '}{how}"
        if not isinstance(made, w.Widget):
            made = Picture.of(made, f"The {self._what} of your box {box.name}.")
        for before in self.shown.children:
            close(before)
        self.shown.children = [made]

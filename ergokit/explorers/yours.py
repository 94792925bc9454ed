"""The reader's own box beside the lesson's: what the lesson shows of the demo box, shown of that one."""

from __future__ import annotations

import html
from collections.abc import Callable

import ipywidgets as w

from ergokit import desk
from ergokit._check import checked, one_word
from ergokit.explorers.cells import close, keep_one
from ergokit.explorers.controls import STYLE, Layout, choice, said
from ergokit.figures.picture import Picture

_NO_BOX = "Save a box of your own in lesson 03 or 04, and it appears here the next time you run this lesson."

# Each takes a box and the placement of it that is shown.


def _section(box, placement):
    from ergokit.figures import section_figure

    return section_figure(placement, box.design.box, **_optics(box))


def _tape(box, placement):
    from ergokit.figures import tape_figure

    return tape_figure(placement.tape)


def _angle_map(box, placement):
    from ergokit.figures import angle_map_figure

    return angle_map_figure(placement)


def _operator(box, placement):
    from ergokit.figures import operator_figure

    return operator_figure(placement, box=box.design and box.design.box)


def _monitor(box, placement):
    from ergokit.figures import monitor_figure

    return monitor_figure(placement, width=420, **_optics(box))


def _targets(box, placement):
    from ergokit.explorers.targets import targets_explorer

    return targets_explorer(box.design.box, camera=placement.camera, rules={"port spacing": (None, 16)})


def _talk(box, placement):
    from ergokit.explorers.studio import talk_kit

    return talk_kit(placement, name=box.name)


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


#: What can be shown of a box -> of which placement, and how.
SHOWN: dict[str, tuple[Callable, Callable]] = {
    "section": (_designed, _section),
    "tape": (_built, _tape),
    "angle map": (_standing, _angle_map),
    "operator": (_standing, _operator),
    "monitor": (_standing, _monitor),
    "targets": (_designed, _targets),
    "talk": (_either, _talk),
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


class Yours(w.VBox):
    """See `yours`."""

    def __init__(self, what, boxes):
        self._what, self._boxes = what, {box.name: box for box in boxes}
        self.box = choice(list(self._boxes), "which of your boxes", "170px")
        self.heading, self.shown = w.HTML(), w.VBox()
        row = [self.heading, self.box] if len(boxes) > 1 else [self.heading]
        super().__init__([STYLE, w.HBox(row, layout=Layout(align_items="center", grid_gap="12px")), self.shown])
        self.add_class("ergokit")
        self.add_class("ergokit-yours")
        keep_one(self)
        self.box.observe(lambda change: self.show(), "value")
        if boxes:
            self.show()
        else:
            self.heading.value = f"<i>{_NO_BOX}</i>"

    def __repr__(self):
        return "Your own box appears here once this cell has run (Shift + Enter)."

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

"""From a complaint to a change: each row of the table with a box that shows it, before the first change and after."""

from __future__ import annotations

import html
from dataclasses import dataclass, replace

import ipywidgets as w

from ergokit._check import checked, flag
from ergokit.explorers import measures
from ergokit.explorers.cells import close
from ergokit.explorers.controls import HIDDEN, Layout, button, choice, labelled, toggle
from ergokit.explorers.explorer import Explorer
from ergokit.explorers.placement import placement_explorer
from ergokit.figures import VIEWS, scene
from ergokit.figures.scene import extent
from ergokit.figures.space import framed
from ergokit.guidance.cautions import FOR_EDUCATION
from ergokit.hands_on.complaints import COMPLAINTS, IN_THE_BOX, STOP, complaint
from ergokit.placement import Placement
from ergokit.placement.measures import rows_of

_SIZE = {"width": 470, "height": 430}  # px, of the scene
_LEFT = "0 0 360px"  # of the words, which never shrink
_HEADS = ("measure", "likely cause", "first change", "also changes", "ask your supervisor")


@checked(numbers=flag)
def complaint_explorer(name: str = COMPLAINTS[0], *, numbers: bool = True) -> ComplaintExplorer:
    """Choose a complaint: what to measure, its likely cause, what to change first, and a box that shows both.

    >>> explorer = complaint_explorer("The tip hardly moves")
    >>> explorer.changed.value = True
    >>> explorer.placement == complaint("The tip hardly moves").after
    True
    """
    return ComplaintExplorer(_Chosen(complaint(name).name, numbers=numbers))


@dataclass(frozen=True)
class _Chosen:
    """A complaint, and whether its first change has been made."""

    name: str
    changed: bool = False
    numbers: bool = True

    @property
    def row(self):
        return complaint(self.name)

    @property
    def placement(self):
        return self.row.after if self.changed else self.row.before

    @property
    def notice(self):
        return STOP

    @property
    def view(self):
        return framed(extent(self.row.before), VIEWS["from the operator"], _SIZE["width"] / _SIZE["height"])

    def drawing(self):
        return {"items": scene(self.placement, numbers=self.numbers)} | _SIZE

    def table(self):
        rows = [row for row in rows_of(self.placement) if row.quantity == self.row.quantity]
        return measures.table(rows) if rows and self.numbers else ""

    def told(self):
        return measures.sentence(rows_of(self.placement)) if self.numbers else ""

    def words(self):
        row = self.row
        cells = (row.measure, row.cause, row.change, row.also, row.ask)
        lines = [
            f"<tr><td><b>{head}</b></td><td>{html.escape(cell)}</td></tr>" for head, cell in zip(_HEADS, cells, strict=True)
        ]
        numbers = f"<p>{html.escape(row.numbers)}</p>" if self.numbers else HIDDEN
        return f'<table style="line-height: 18px">{"".join(lines)}</table>{numbers}'

    def choosing(self, _, name):
        """Another complaint, before any change."""
        return replace(self, name=name, changed=False)

    def changing(self, _, changed):
        """With or without the first change."""
        if changed and self.row.after is None:
            raise ValueError(f"No port moves here. {self.row.change}")
        return replace(self, changed=changed)


class ComplaintExplorer(Explorer):
    """See `complaint_explorer`."""

    @property
    def placement(self) -> Placement:
        """The placement shown now, for `placement_explorer`."""
        return self.state.placement

    def build(self):
        self.complaint = choice(list(COMPLAINTS), "the complaint", "270px")
        self.bind(self.complaint, "name", event=_Chosen.choosing)
        self.changed = toggle("after the first change", "before the first change, or after it", "170px")
        self.bind(self.changed, "changed", event=_Chosen.changing)
        self.words, self.table = w.HTML(), w.HTML()
        self.display(self.words, _Chosen.words)
        self.display(self.table, _Chosen.table)
        self.display(self.description, _Chosen.told)
        self.picture = self.drawn(_Chosen.drawing, about="The box that shows the complaint.", view=self.start.view)
        tip = "open this box below, to move its ports, target and camera"
        buttons = w.HBox([self.changed, self.numbers, self.restart, button("explore this box", tip, self.explore, "130px")])
        self.below = w.VBox()
        left = w.VBox([labelled("complaint", self.complaint, width="80px"), buttons, self.words], layout=Layout(flex=_LEFT))
        right = w.VBox([self.picture, self.table])
        foot = w.HTML(f'<div class="ergokit-foot">{IN_THE_BOX} {FOR_EDUCATION}</div>')
        return [w.HBox([left, right]), self.status, foot, self.below]

    def explore(self) -> None:
        """Open the box that is shown now in an explorer of its own, below, until another is shown."""
        self._leave()
        self.below.children = [placement_explorer(self.placement)]

    def _leave(self):
        opened, self.below.children = self.below.children, []
        for earlier in opened:
            close(earlier)

    def show(self, state):
        super().show(state)
        self._leave()
        if state.name != self.state.name:
            self.picture.view = state.view

    def exercise(self) -> str:
        """Open every complaint before and after its change, and check what is shown; ends where it began."""
        for name in COMPLAINTS:
            self.complaint.value = name
            self.follows()
            self.changed.value = True
            self.follows()
        self.reset()
        return f"{len(COMPLAINTS)} complaints opened, before the first change and after it."

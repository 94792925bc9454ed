"""The reader's own carton and phone, typed into a form: how to lay the carton, where to cut, and the template of that box."""

from __future__ import annotations

import html
from dataclasses import dataclass, field, replace
from functools import lru_cache

import ipywidgets as w

from ergokit import desk
from ergokit.design import BoxDesign, Phone, ways_to_lay
from ergokit.explorers.box_form import NAMING, NEW, BoxForm, BoxFormExplorer, typed_number
from ergokit.explorers.controls import Layout, button, choice, entry, labelled, tick
from ergokit.explorers.paper import template_link
from ergokit.figures.carton import plain_carton
from ergokit.placement.demo import CARTON
from ergokit.surfaces import WedgeBox
from ergokit.template import PAPERS

_EDGES = ("first edge", "second edge", "third edge")
#: Field of a `Phone` -> its label and how to measure it.
_PHONE = {
    "length": ("long side (cm)", "of the phone, in its case if the case stays on"),
    "width": ("short side (cm)", "the same"),
    "thickness": ("thickness (cm)", "the same"),
    "lens_from_end": ("lens to short edge (cm)", "from the middle of the lens to the nearer short edge"),
    "lens_from_side": ("lens to long edge (cm)", "from the middle of the lens to the nearer long edge"),
    "close_focus": ("sharp from (cm)", "the nearest distance at which print is sharp while you film"),
    "field_of_view": (
        "field of view (degrees)",
        "across the picture while you film; lesson 04 shows how to measure it, and 67 is common",
    ),
}
_ENDS = {"right": "right end", "left": "left end"}
_MEASURING = (
    "Measure from the middle of the lens, and the phone in its case if the "
    "case stays on. The ends are those you see with the screen before you."
)
_SIZE = (580, 190)  # px: beside the form


def carton_explorer() -> CartonExplorer:
    """Design a box of your own: type the carton's three edges and the phone's sizes, choose how to lay it, save the template.

    The drawing shows where the carton is cut; the six ways to lay it are ranked for this phone. The template is always that of
    the box shown. Saved under a name, the box is there in the other lessons and the next evening.

    >>> explorer = carton_explorer()
    >>> explorer.typed["first edge"].value = "40"
    >>> explorer.design.box
    WedgeBox(ridge=40.0, side_a=36.0, side_b=27.0)
    """
    known = [box for box in desk.boxes() if box.design and isinstance(box.design.box, WedgeBox)]
    start = CartonForm(boxes={box.name: box for box in known})
    return CartonExplorer(start.opened("", known[0].name) if known else start)


_ways = lru_cache(maxsize=16)(ways_to_lay)  # once a carton and phone: a name that is typed changes neither


@lru_cache(maxsize=16)
def _link(design, paper, name, markers):
    link = template_link(design, paper=paper, name=name, markers=markers)
    link.close()
    return link.value


@dataclass(frozen=True, kw_only=True)
class CartonForm(BoxForm):
    """A carton's edges, a phone, and which of the six ways the carton is laid; None for the best."""

    edges: tuple[float, float, float] = (CARTON.ridge, CARTON.side_a, CARTON.side_b)
    phone: Phone = field(default_factory=Phone)
    way: WedgeBox | None = None
    paper: str = "A4"
    markers: bool = False
    saved: BoxDesign | None = None  # as it was saved, until something is changed

    @property
    def ways(self):
        return _ways(self.edges, phone=self.phone)

    @property
    def laid(self):
        """The way that is shown."""
        return next((each for each in self.ways if each.box == self.way), self.ways[0])

    @property
    def design(self):
        return self.saved or self.laid.design

    def text(self, name):
        """What a box of the form says."""
        value = self.edges[_EDGES.index(name)] if name in _EDGES else getattr(self.phone, name)
        return f"{value:.6g}"

    def title(self):
        return f"<b>{html.escape(self.name) or 'A new box'}</b>{'' if self.saved else ', not saved yet'}"

    def listed(self):
        """The ways to lay the carton, a line each."""
        return tuple(_said(i, way) for i, way in enumerate(self.ways, 1))

    def link(self):
        """To the template of the box shown, and of no other."""
        return _link(self.design, self.paper, f"{self.name or 'my box'}.pdf", self.markers) if self.design else ""

    # What a reader does

    def typed(self, name, text):
        value = typed_number(_PHONE[name][0] if name in _PHONE else name, text)
        if value is None:
            raise ValueError(f"{'This size of the phone' if name in _PHONE else 'This edge'} is needed; type it again.")
        if name in _EDGES:
            edges = list(self.edges)
            edges[_EDGES.index(name)] = value
            return self._changed(edges=tuple(edges))
        return self._changed(phone=replace(self.phone, **{name: value}))

    def turned(self, _, end):
        return self._changed(phone=replace(self.phone, lens_at=end))

    def chosen(self, _, i):
        return self._changed(way=self.ways[i].box)

    def opened(self, _, name):
        """The form of a box that was saved."""
        if name == NEW:
            return CartonForm(boxes=self.boxes)
        design = self.boxes[name].design
        edges = (design.box.ridge, design.box.side_a, design.box.side_b)
        notice = f"Your box {name!r}, as you saved it."
        form = {"opens": name, "name": name, "edges": edges, "phone": design.phone, "way": design.box, "saved": design}
        return CartonForm(boxes=self.boxes, notice=notice, **form)

    def kept(self):
        """Keep the box that is shown."""
        if self.design is None:
            raise ValueError("This carton has no layout to keep: choose another way to lay it, or another carton.")
        if not self.name:
            raise ValueError("Give the box a name first.")
        self.refuse_another_s_name()
        box = desk.keep_box(self.name, self.design)
        more = " The tape readings of this box are kept; if you cut another box, give that box a new name." if box.built else ""
        notice = f"Saved as {box.name!r}. The other lessons now show this box beside the demo box.{more}"
        return self.with_box(box, saved=self.design, notice=notice)

    def _changed(self, **changes):
        return replace(self, **{"way": None if "edges" in changes else self.way} | changes, saved=None, notice="")


class CartonExplorer(BoxFormExplorer):
    """See `carton_explorer`."""

    @property
    def design(self) -> BoxDesign | None:
        """The box shown now; None where this carton has no layout for this phone."""
        return self.state.design

    def build(self):
        self.typed = {name: entry(name, "of the carton, from outside") for name in _EDGES}
        self.typed |= {name: entry(label, tip) for name, (label, tip) in _PHONE.items()}
        self.end = choice([(words, end) for end, words in _ENDS.items()], "the end at which the lens is", "170px")
        self.paper = choice(list(PAPERS), "the paper of the template", "100px")
        self.ways = w.RadioButtons(layout=Layout(width="auto"))
        for name, box in self.typed.items():
            self.bind(box, name, CartonForm.text, CartonForm.typed)
        self.markers = tick("with markers for photographs", "lesson 04 measures the box with photographs of these sheets")
        self.bind(self.paper, "paper")
        self.bind(self.markers, "markers")
        self.bind(self.end, "end", lambda state, _: state.phone.lens_at, CartonForm.turned)
        self.display(self.ways, CartonForm.listed, trait="options")
        self.bind(self.ways, "way", lambda state, _: state.ways.index(state.laid), CartonForm.chosen, trait="index")
        tip = "keep it for the other lessons"
        self.save = button("Save this box", tip, lambda: self.dispatch(CartonForm.kept), "120px", primary=True)
        about = "The closed carton with its cut, its two wedges, and one wedge laid on its cut."
        self.picture = self.drawn(lambda state: plain_carton(state.laid.box, *_SIZE), about=about)
        self.holes, self.link, self.title = w.HTML(layout=Layout(width=f"{_SIZE[0]}px")), w.HTML(), w.HTML()
        self.display(self.title, CartonForm.title)
        self.display(self.link, CartonForm.link)
        self.display(self.holes, _holes)
        right = [self.status, self.title, self.picture, _heading("The ways to lay it, the best first"), self.ways]
        return [w.HBox([self._form(), w.VBox([*right, self.link, self.holes])])]

    def _form(self):
        phone = [labelled(label, self.typed[name], "27px", "142px") for name, (label, _) in _PHONE.items()]
        parts = [
            *self.names(),
            w.HTML(f'<div class="ergokit-foot">{NAMING}</div>'),
            _heading("The carton's edges (cm)"),
            *(labelled(name, self.typed[name], "27px", "142px") for name in _EDGES),
            _heading("The phone"),
            w.HTML(f'<div class="ergokit-foot">{_MEASURING}</div>'),
            *phone,
            labelled("lens at the", self.end, "30px", "80px"),
            labelled("paper", self.paper, "30px", "80px"),
            self.markers,
            w.HBox([self.save, self.restart]),
        ]
        return w.VBox(parts, layout=Layout(width="264px", flex="0 0 auto"))


def _heading(text):
    return w.HTML(f"<b>{text}</b>")


def _said(i, way):
    """One way to lay the carton, in one line."""
    box = way.box
    sides = f"{i}. ridge {box.ridge:g}, side a {box.side_a:g}, side b {box.side_b:g} cm"
    if way.design is None:
        return f"{sides}: no layout beside this phone"
    broken = len(way.design.not_met)
    if broken:
        return f"{sides}: {broken} rule{'s' * (broken > 1)} not met"
    return f"{sides}: all rules met, {100 * way.to_spare:.0f} % to spare"


def _holes(state):
    """Where to cut, and what is not met."""
    if state.design is None:
        return (
            "No layout in this carton has the wanted angle beside this phone: choose another way to lay it, or a larger carton."
        )
    first, lines = map(html.escape, str(state.design).split("\n", 1))
    return f'<div style="line-height: 18px; font-size: 12.5px; white-space: pre-wrap"><b>{first}</b>\n{lines}</div>'

"""The placement explorer: a placement in space that follows its controls, with its measures, its picture and its layers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

import ipywidgets as w
import numpy as np
from numpy.typing import ArrayLike

from ergokit._check import a, checked, flag, named_targets
from ergokit.explorers import measures
from ergokit.explorers.box_form import TAPE, tape_box
from ergokit.explorers.controls import (
    HIDDEN,
    WIDE,
    Layout,
    button,
    choice,
    entry,
    group,
    labelled,
    named_points,
    number,
    points_named,
    slider,
    tick,
)
from ergokit.explorers.explorer import Explorer, compare
from ergokit.explorers.presets import PRESETS, usual
from ergokit.figures import LAYERS, VIEWS, scene
from ergokit.figures.layers import layers_of
from ergokit.figures.monitor import plain_monitor
from ergokit.figures.picture import Picture
from ergokit.figures.scene import view_of
from ergokit.guidance.cautions import FOR_EDUCATION, OF_A_DOME
from ergokit.placement import Placement
from ergokit.placement.edit import EDITS, HOLDS, edited, mirrored
from ergokit.placement.measures import rows_of
from ergokit.surfaces import Dome, FlatBox, Surface, WedgeBox

if TYPE_CHECKING:
    from ergokit.placement.table import MeasureTable

_FRONT = ("port spacing", "depth", "target sideways", "camera hole above ports")
_RANGES = {  # cm; what a carton and two hands allow, widened where a placement lies outside
    "port spacing": (2, 40),
    "depth": (3, 30),
    "target sideways": (-15, 15),
    "camera hole above ports": (-5, 20),
    "instrument length": (20, 50),
    "handle reach": (0, 20),
}
#: Surfaces to start from, of a carton's size; pass a surface of your own for another.
_SURFACES = {"flat lid": FlatBox(44, 32, 14), "sloping panel": WedgeBox(44, 36, 27), "dome": Dome(17, 21, 6)}
_HOLES = {"left port": (-8.0, 0.0), "right port": (8.0, 0.0), "camera": (0.0, 6.0)}  # cm from the middle of a face, to start
_WAYS = {"sideways": "from the middle of the surface, right positive", "up": "up the slope; on a flat lid away from you"}
_FREE, _OWN, _NO_PRESET, _TURNED = "anywhere", "your box", "choose one", "as you turned it"
_LISTS = {
    "measures": "every measure that is not above the picture",
    "monitor": "what the camera sees",
    "Python": "Python that makes this placement, to copy",
}
_WORDS = {"distance": "advised lens"}  # what a layer is called beside its box, where that is not its name
_SIZE = {"width": 490, "height": 390}  # px, of the scene
_FORM = {  # lines of the form for a tape -> the readings that are typed there
    "port to port (cm)": ["port_to_port"],
    "left, right to target (cm)": ["left_to_target", "right_to_target"],
    "camera to target (cm)": ["camera_to_target"],
    "camera above ports (cm)": ["camera_above_ports"],
    "panel slope (degrees)": ["panel_slope"],
    "port, target height (cm)": ["port_height", "target_height"],
}
_OF_A_TAPE = "This is your box. Each number now shows its uncertainty (one standard deviation, 0.3 cm a reading)."


@checked(placement=a(Placement), numbers=flag, targets=named_targets, surface=a(Surface), layers=layers_of)
def placement_explorer(
    placement: Placement | None = None,
    *,
    targets: Mapping[str, ArrayLike] | None = None,
    surface: Surface | None = None,
    layers: Sequence[str] = (),
    numbers: bool = True,
) -> PlacementExplorer:
    """Explore a placement in 3D.

    Above the picture are four numbers, each against published advice; beside it are the controls, the layers and the table.
    With `numbers=False` every value is hidden until the reader asks. `targets` maps names to points, `surface` is one of
    `ergokit.surfaces` to put the ports on, `layers` any of `ergokit.figures.LAYERS`. The explorer's `.placement` is what it
    shows now.

    >>> explorer = placement_explorer()
    >>> explorer.controls["port spacing"].value = 18
    >>> round(float(explorer.measures().value[1]), 1)  # the manipulation angle
    66.0
    """
    placement = placement or usual()
    if targets:
        placement = placement.replace(target=np.stack(list(targets.values())))
    start = Shown(placement, tuple(targets or _unnamed(placement)), own=surface, layers=tuple(layers), numbers=numbers)
    start = start.on_surface("surface", _OWN) if surface else start.framed()
    return PlacementExplorer(replace(start, target_list=start.listed()))


@dataclass(frozen=True)
class Shown:
    """What a placement explorer shows. Each method that returns another one is something that a reader can do."""

    placement: Placement
    names: tuple[str, ...]  # of the targets
    focus: int = 0  # the number of the target that the instruments are on
    numbers: bool = True
    notice: str = ""
    preset: str = _NO_PRESET  # until the placement is another one
    hold: str = ""
    own: Surface | None = None  # a surface that the reader brought along
    surface: str = _FREE
    holes: Mapping[str, float] = field(default_factory=lambda: _holes())  # where the holes are on the surface
    lies_flat: bool = False
    layers: tuple[str, ...] = ()
    seen_from: str = next(iter(VIEWS))
    view: Mapping = field(default_factory=dict)  # as `Picture` takes it
    list: str = "measures"
    readings: Mapping[str, str] = field(default_factory=dict)  # as they are typed
    flat_phone: bool = False
    target_list: str = ""  # as it is typed

    # What can be read off

    @property
    def surfaces(self):
        return _SURFACES | ({_OWN: self.own} if self.own else {})

    def reading(self, name):
        return float(EDITS[name].read(self.placement, self.focus))

    def hole(self, name):
        return self.holes[name]

    def has_layer(self, name):
        return name in self.layers

    def typed(self, name):
        return self.readings.get(name, "")

    def listed(self):
        """The targets, one a line."""
        return points_named(zip(self.names, self.placement.targets, strict=True))

    @property
    def caution(self):
        return f"<b>Caution.</b> {OF_A_DOME} {FOR_EDUCATION}" if isinstance(self.surfaces.get(self.surface), Dome) else ""

    @property
    def code(self):
        return f"from ergokit import Placement\n\n{self.placement.as_code()}"

    @cached_property
    def rows(self):
        return rows_of(self.placement, self.focus)

    def drawing(self):
        surface, name = self.surfaces.get(self.surface), self.names[self.focus]
        return {"items": scene(self.placement, self.focus, self.numbers, self.layers, surface, name)} | _SIZE

    @cached_property
    def told(self):
        """The large numbers, the table of the rest, what its marks mean, and the sentence for a screen reader."""
        rows = self.rows
        if not self.numbers:
            return measures.large(rows, False), HIDDEN, "", measures.unseen("")
        foot = measures.foot(rows) if self.list == "measures" else ""
        sentence = measures.unseen(measures.sentence(rows))
        return measures.large(rows), measures.table(rows, but=measures.LARGE), foot, sentence

    # What a reader can do

    def framed(self):
        """All of it in the picture. It stays so while sliders move, so that the picture does not jump."""
        view = self.view if self.seen_from == _TURNED else self.seen_from
        shape, surface = _SIZE["width"] / _SIZE["height"], self.surfaces.get(self.surface)
        return replace(self, view=view_of(self.placement, view, shape, self.focus, surface, self.layers))

    def _with(self, placement, **changes):
        """Another placement. What was said of the last one and the name of its preset go."""
        return replace(self, placement=placement, **({"notice": "", "preset": _NO_PRESET} | changes))

    def edited(self, name, value):
        """One number changed; where that moves a hole, the holes leave their surface."""
        placement = edited(self.placement, name, value, self.focus, self.hold or None)
        of_a_hole = self.hold or not name.startswith(("target", "instrument", "handle"))
        return self._with(placement, surface=_FREE if of_a_hole else self.surface)

    def mirrored(self):
        """Left and right swapped."""
        return self._with(mirrored(self.placement), surface=_FREE)

    def showing(self, name, preset):
        """A preset, and what to notice in it."""
        if preset == _NO_PRESET:
            return replace(self, preset=preset)
        make, notice = PRESETS[preset]
        after = self._with(make(), names=("target",), focus=0, surface=_FREE, preset=preset, notice=notice)
        return after.framed()

    def on_surface(self, name, kind):
        """The ports and the camera on a surface, in the middle of its first face to start with."""
        if kind == _FREE:
            return replace(self, surface=_FREE)
        surface = self.surfaces[kind]
        outline = surface.outline_uv(surface.faces[0])
        low, high = outline.min(axis=0), outline.max(axis=0)
        small = np.minimum(1, 0.35 * (high - low) / (8, 6))  # nearer together on a small face
        holes = _holes((low + high) / 2, small)
        return replace(self, surface=kind, holes=holes)._drilled().framed()

    def bored(self, name, value):
        """A hole elsewhere on the surface."""
        after = replace(self, holes={**self.holes, name: value})
        return after if self.surface == _FREE else after._drilled()

    def laid(self, name, flat):
        """The phone flat on the surface, or aimed at the target."""
        after = replace(self, lies_flat=flat)
        return after if self.surface == _FREE else after._drilled()

    def _drilled(self):
        """The ports and the camera where the holes are."""
        surface = self.surfaces[self.surface]
        face, points = surface.faces[0], {}
        for hole in _HOLES:
            place = [self.hole(f"{hole} {way}") for way in _WAYS]
            try:
                surface.check_hole(*place, face=face)
            except ValueError:
                where = f"{place[0]:.1f} cm sideways and {place[1]:.1f} cm up"
                raise ValueError(f"The {hole} cannot be {where}: the {self.surface} does not reach so far.") from None
            points["camera" if hole == "camera" else hole.replace(" ", "_")] = surface.point(*place, face)
        inward = -surface.normal(self.hole("camera sideways"), self.hole("camera up"), face)
        panel = None if isinstance(surface, Dome) else -inward  # a dome has no one normal
        return self._with(self.placement.replace(**points, aim=inward if self.lies_flat else None, panel_normal=panel))

    def looking(self, name, seen_from):
        """The whole seen from another place."""
        return replace(self, seen_from=seen_from).framed()

    def turned(self, name, view):
        """The picture as the reader turned it."""
        return replace(self, view=view, seen_from=_TURNED)

    def with_layer(self, name, on):
        return replace(self, layers=tuple(each for each in LAYERS if (on if each == name else each in self.layers)))

    def typing(self, name, text):
        return replace(self, readings={**self.readings, name: text})

    def stood_up(self):
        """The box whose readings stand in the form."""
        p = self.placement
        box = tape_box(self.readings, self.flat_phone, instrument_length=p.instrument_length, handle_reach=p.handle_reach)
        notice = " ".join([_OF_A_TAPE, *box.tape.remarks])
        return self._with(box, names=("target",), focus=0, surface=_FREE, notice=notice).framed()

    def using_list(self):
        """The targets that are listed in the form, one a line: name: x, y, z."""
        found = named_points(self.target_list)
        placement = self.placement.replace(target=[point for _, point in found])
        return self._with(placement, names=tuple(name for name, _ in found), focus=0)


class PlacementExplorer(Explorer):
    """See `placement_explorer`."""

    @property
    def placement(self) -> Placement:
        """The placement shown now."""
        return self.state.placement

    def measures(self) -> MeasureTable:
        """The table of measures of the placement shown now."""
        return self.placement.measures()

    def mirror(self) -> None:
        """Swap left and right."""
        self.dispatch(Shown.mirrored)

    def stand_up(self) -> None:
        """Show the box whose readings stand in the form."""
        self.dispatch(Shown.stood_up)

    def use_targets(self) -> None:
        """Show the targets that are listed in the form, one a line: name: x, y, z."""
        self.dispatch(Shown.using_list)

    def show(self, state):
        monitor = plain_monitor(state.placement, state.focus, state.numbers) if state.list == "monitor" else None
        super().show(state)
        if monitor and self.monitor is None:  # a picture of its own, made when first asked for
            self.monitor = Picture(monitor, about="What the camera shows on the monitor.")
        if monitor:
            self.monitor.show(monitor)
        if state.list == "Python":
            self.code.value = state.code
        self.listed.children = [{"measures": self.table, "monitor": self.monitor, "Python": self.code}[state.list]]

    def follows(self):
        super().follows()
        state = self.state
        angle = next(row.value for row in state.rows if row.quantity == "manipulation angle")
        words = self.picture.part("angle, words")["text"]
        compare([("the manipulation angle as", words, f"{angle:.1f}°" if state.numbers else "?")])

    # How it is built

    def build(self):
        start = self.start
        self.controls = {
            name: (slider if name in _FRONT else number)(name, edit.tip, *_RANGES.get(name, (-40, 40)))
            for name, edit in EDITS.items()
        }
        self.places = {f"{hole} {way}": slider(f"{hole} {way}", tip, -25, 40) for hole in _HOLES for way, tip in _WAYS.items()}
        self.surface = choice([_FREE, *start.surfaces], "where the ports and the camera may sit")
        self.lies_flat = tick("phone lies flat on the surface", "the phone looks straight in, not at the target")
        self.readings = {name: entry(label, tip, optional) for name, (label, tip, optional) in TAPE.items()}
        self.flat_phone = tick("phone lies flat", "the camera looks straight into the panel, not at the target", "146px")
        self.target = choice(start.names, "the target that the instruments point at")
        self.target_list = w.Textarea(tooltip="one target a line: name: x, y, z", layout=Layout(width="300px", height="90px"))
        self.layers = {name: tick(_WORDS.get(name, name), tip) for name, tip in LAYERS.items()}
        self.preset = choice([_NO_PRESET, *PRESETS], "placements worth showing")
        self.seen_from = choice([*VIEWS, _TURNED], "where you stand; drag the picture to turn it")
        holds = [("nothing", ""), *zip(HOLDS, HOLDS, strict=True)]
        self.hold = choice(holds, "what stays the same while you drag; the depth, the spacing or the camera follows")
        self.list = w.ToggleButtons(options=list(_LISTS), tooltips=list(_LISTS.values()), style={"button_width": "82px"})
        self.table, self.foot, self.caution = w.HTML(), w.HTML(), w.HTML()
        self.code = w.Textarea(tooltip=_LISTS["Python"], layout=Layout(width="330px", height="150px"))
        self.monitor, self.listed = None, w.VBox()
        self.picture = self.drawn(Shown.drawing, about="The placement in space.", view=start.view)
        self._bind_all()
        left = w.VBox([*self._moves(), *self._lists()], layout=Layout(width="352px", flex="0 0 auto"))
        left.add_class("ergokit-desk")  # the monitor's picture too
        right = w.VBox([self.large, self.status, self.caution, self.picture, *self._drawn()])
        return [w.HBox([left, right]), self.foot]

    def _bind_all(self):
        for name, control in self.controls.items():
            self.bind(control, name, Shown.reading, Shown.edited)
        for name, control in self.places.items():
            self.bind(control, name, Shown.hole, Shown.bored)
        for name, control in self.readings.items():
            self.bind(control, name, Shown.typed, Shown.typing, draft=True)
        for name, control in self.layers.items():
            self.bind(control, name, Shown.has_layer, Shown.with_layer)
        self.bind(self.surface, "surface", event=Shown.on_surface)
        self.bind(self.lies_flat, "lies_flat", event=Shown.laid)
        self.bind(self.preset, "preset", event=Shown.showing)
        self.bind(self.seen_from, "seen_from", event=Shown.looking)
        self.bind(self.picture.children[0], "view", event=Shown.turned, trait="view")
        self.display(self.target, lambda state: state.names, trait="options")
        self.bind(self.target, "focus", trait="index")
        for i, widget in enumerate((self.large, self.table, self.foot, self.description)):
            self.display(widget, measures.part_told, i)
        self.display(self.caution, lambda state: state.caution)
        self.display(self.caution.layout, lambda state: None if state.caution else "none", trait="display")
        for name in ("hold", "list"):
            self.bind(getattr(self, name), name)
        for name in ("flat_phone", "target_list"):
            self.bind(getattr(self, name), name, draft=True)

    def _moves(self):
        front = [labelled(f"{name} (cm)", self.controls[name], "28px", WIDE) for name in _FRONT]
        front = w.VBox(
            [*front, labelled("keep unchanged", self.hold, "32px", WIDE), labelled("example", self.preset, "32px", WIDE)]
        )
        rest = [name for name in self.controls if name not in _FRONT]
        rest = [labelled(name.removesuffix(" length"), self.controls[name], "28px", "106px") for name in rest]
        half = len(rest) // 2
        points = w.HBox([w.VBox(rest[:half]), w.VBox(rest[half:])])
        places = [labelled(f"{name} (cm)", control, "24px", WIDE) for name, control in self.places.items()]
        on_surface = w.VBox([labelled("ports and camera", self.surface, width=WIDE), *places, self.lies_flat])
        targets = [
            labelled("instruments on", self.target, width=WIDE),
            w.HTML("One a line, in cm: <code>needle: 0, 9, 0</code>"),
            self.target_list,
            button("Use these targets", "show the targets in the list", self.use_targets, "146px"),
        ]
        form = [labelled(label, self._boxes(*names), "28px", "160px") for label, names in _FORM.items()]
        show = button("Show my box", "draw the box from these readings", self.stand_up, "120px")
        form.append(w.HBox([self.flat_phone, show]))
        tabs = w.Tab([front, points, on_surface, w.VBox(targets), w.VBox(form)])
        tabs.titles = ("Move", "Points", "Surface", "Targets", "My box")
        row = w.HBox([self.restart, button("mirror", "swap left and right", self.mirror, "75px"), self.projector])
        return [group("Controls", "Drag a slider; the rest follows."), tabs, row]

    def _boxes(self, *names):
        """The boxes of one or two readings, side by side."""
        for name in names:
            self.readings[name].layout.width = f"{168 / len(names) - 4:.0f}px"
        return w.HBox([self.readings[name] for name in names], layout=Layout(grid_gap="4px"))

    def _lists(self):
        return [
            group("Numbers", "More numbers than those above the picture."),
            w.HBox([self.numbers, self.list], layout=Layout(align_items="center")),
            self.listed,
        ]

    def _drawn(self):
        boxes = list(self.layers.values())
        layers = w.HBox(boxes, layout=Layout(flex_flow="row wrap", grid_gap="0 12px"))
        seen_from = labelled("seen from", self.seen_from, "30px", "70px")
        return [group("Picture", "Drag the picture to turn it."), seen_from, layers]


def _holes(middle=(0, 0), small=(1, 1)):
    """Where the holes are to start with: "left port sideways" and so on, in cm on a face."""
    return {
        f"{hole} {way}": round(float(middle[i] + place[i] * small[i]), 1)
        for hole, place in _HOLES.items()
        for i, way in enumerate(_WAYS)
    }


def _unnamed(placement):
    n = len(placement.targets)
    return ["target"] if n == 1 else [f"target {i + 1}" for i in range(n)]

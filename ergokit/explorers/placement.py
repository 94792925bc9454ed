"""The placement explorer: a placement in space that follows its controls, with its measures, its picture and its layers."""

from __future__ import annotations

import html
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import ipywidgets as w
import numpy as np
from numpy.typing import ArrayLike

from ergokit._check import a, checked, flag, named_targets, read_number, refused
from ergokit.explorers import measures
from ergokit.explorers.cells import keep_one
from ergokit.explorers.controls import (
    STYLE,
    Layout,
    button,
    choice,
    entry,
    fit,
    labelled,
    named_points,
    number,
    on_grid,
    slider,
    toggle,
)
from ergokit.explorers.presets import PRESETS, usual
from ergokit.figures import LAYERS, VIEWS, scene
from ergokit.figures.layers import layers_of
from ergokit.figures.monitor import plain_monitor
from ergokit.figures.picture import Picture
from ergokit.figures.scene import extent
from ergokit.figures.space import framed
from ergokit.guidance.cautions import FOR_EDUCATION, OF_A_DOME
from ergokit.placement import Placement
from ergokit.placement.edit import EDITS, HOLDS, edited, mirrored, readings_of
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
_TAPE = {
    "port_to_port": ("port to port (cm)", "between the centres of the two holes", False),
    "left_to_target": ("left to target (cm)", "tip on the target, pinch the shaft at the hole, withdraw, measure", False),
    "right_to_target": ("right to target (cm)", "tip on the target, pinch the shaft at the hole, withdraw, measure", False),
    "camera_to_target": ("camera to target (cm)", "from the lens to the target", False),
    "camera_above_ports": ("camera above ports (cm)", "up the panel, from the middle of the port line to the lens", False),
    "panel_slope": ("panel slope (deg)", "of the panel with the holes above the floor; 0 is a flat lid", True),
    "port_height": (
        "port height (cm)",
        "of the ports above the floor; needed when the lens is less than 4 cm above the ports",
        True,
    ),
    "target_height": ("target height (cm)", "above the floor; 0 for a target on the floor of the box", True),
}
#: Surfaces to start from, of a carton's size; pass a surface of your own for another.
_SURFACES = {"flat lid": FlatBox(44, 32, 14), "sloping panel": WedgeBox(44, 36, 27), "dome": Dome(17, 21, 6)}
_HOLES = {"left": (-8.0, 0.0), "right": (8.0, 0.0), "camera": (0.0, 6.0)}  # (u, v) from the middle of a face, to start with
_FREE = "anywhere"
_SIZE = {"width": 505, "height": 525}  # px, of the scene
_HIDDEN = "<p><i>Numbers hidden: make your prediction, then press <b>numbers</b>.</i></p>"


@checked(placement=a(Placement), numbers=flag, targets=named_targets, surface=a(Surface), layers=layers_of)
def placement_explorer(
    placement: Placement | None = None,
    numbers: bool = True,
    targets: Mapping[str, ArrayLike] | None = None,
    surface: Surface | None = None,
    layers: Sequence[str] = (),
) -> PlacementExplorer:
    """Explore a placement in 3D.

    Four sliders in front; every point, a surface for the ports, named targets and a form for a box measured with a tape behind
    tabs; presets, views, layers and a number to hold above the scene. With `numbers=False` every value is hidden until the
    reader asks. `targets` maps names to points, `surface` is one of `ergokit.surfaces` to put the ports on, `layers` any
    of ``"zone"``, ``"distance"``, ``"hands"``, ``"lever"``. The explorer's `.placement` is what it shows now.

    >>> explorer = placement_explorer()
    >>> explorer.controls["port spacing"].value = 18
    >>> round(float(explorer.measures().value[1]), 1)  # the manipulation angle
    66.0
    """
    placement = placement or usual()
    if targets:
        placement = placement.replace(target=np.stack(list(targets.values())))
    return PlacementExplorer(placement, numbers, list(targets or {}), surface, layers)


class PlacementExplorer(w.VBox):
    """See `placement_explorer`."""

    def __init__(self, placement, numbers, names, surface, layers):
        self._start = self._placement = placement
        self._names = self._start_names = names or _unnamed(placement)
        self._settling = False  # while controls are moved to where the placement is, they do not edit it
        self._surfaces = _SURFACES | ({"your box": surface} if surface else {})
        self._build_controls(numbers, layers)
        self._build_panels()
        view = self._framed(placement, VIEWS[self.view.value])
        self.picture = Picture(self._drawing(placement), view, "The placement in space.")
        self._observe()
        self._warn()
        self.show(placement)
        if surface:
            self.surface.value = "your box"
        super().__init__([STYLE, w.HBox([self._left(), self._right()]), self.description])
        self.add_class("ergokit")
        keep_one(self)

    def __repr__(self):
        return "The explorer appears here once this cell has run (Shift + Enter)."

    # What it shows

    @property
    def placement(self) -> Placement:
        """The placement shown now."""
        return self._placement

    @property
    def focus(self) -> int:
        """The number of the target in focus."""
        return self.target.index or 0

    def measures(self) -> MeasureTable:
        """The table of measures of the placement shown now."""
        return self._placement.measures()

    def show(self, placement: Placement, message: str = "") -> None:
        """Show another placement: scene, numbers and controls follow."""
        focus, drawing = self.focus, self._drawing(placement)
        rows = rows_of(placement, focus)
        monitor = plain_monitor(placement, focus, self.numbers.value) if self.beside.value == "monitor" else None
        # All is computed before anything moves, so that an error changes nothing.
        self.picture.show(drawing)
        if monitor:
            self.monitor.show(monitor)
        self._placement = placement
        self._settle(readings_of(placement, focus))
        hidden = not self.numbers.value
        if self.beside.value == "table":
            self.table.value = _HIDDEN if hidden else measures.table(rows)
        elif self.beside.value == "big":
            self.big.value = _HIDDEN if hidden else measures.numerals(rows)
        self.description.value = f'<div class="ergokit-description">{"" if hidden else measures.sentence(rows)}</div>'
        self._write_code()
        self.say(message)

    def say(self, message: str, wrong: bool = False) -> None:
        """Put a sentence into the status line."""
        colour = "color:#D55E00" if wrong else ""
        self.status.value = f'<span role="status" style="{colour}">{"⚠ " if wrong else ""}{html.escape(message)}</span>'

    def follows(self) -> None:
        """Raise AssertionError unless the scene and the sliders show the placement (or the status line says why not)."""
        if "⚠" in self.status.value:
            return
        angle = rows_of(self._placement, self.focus)[1]
        shown = self.picture.part("angle, words")["text"]
        if shown != (f"{angle.value:.1f}°" if self.numbers.value else "?"):
            raise AssertionError(f"the scene shows {shown}; the manipulation angle is {angle.value:.1f} degrees.")
        for name, value in readings_of(self._placement, self.focus).items():
            if abs(self.controls[name].value - value) > 0.51 * self.controls[name].step:
                raise AssertionError(f"{name} is {value:.2f}; its control stands at {self.controls[name].value:.2f}.")

    # What the reader does

    def reset(self) -> None:
        """Back to the placement the explorer was opened with."""
        self._leave_surface()
        self._name_targets(self._start_names)
        self._frame(self._start)
        self.show(self._start)

    def reset_view(self) -> None:
        """Turn the scene back to the chosen view."""
        self.picture.view = self._framed(self._placement, VIEWS[self.view.value])

    def mirror(self) -> None:
        """Swap left and right."""
        self._leave_surface()
        self.show(mirrored(self._placement))

    def toggle_code(self) -> None:
        """Show or hide Python that makes the placement, to copy."""
        self.code.layout.display = None if self.code.layout.display == "none" else "none"
        self._write_code()

    def stand_up(self) -> None:
        """Show the box whose readings stand in the form."""
        self._try(self._from_tape)

    def use_targets(self) -> None:
        """Show the targets that are listed in the form, one a line: name: x, y, z."""
        self._try(self._from_list)

    def _from_tape(self):
        given = {name: _number(_TAPE[name][0], box.value) for name, box in self.readings.items()}
        missing = [_TAPE[name][0] for name, value in given.items() if value is None and not _TAPE[name][2]]
        if missing:
            raise ValueError(f"still to measure: {', '.join(missing)}.")
        given = {name: value for name, value in given.items() if value is not None}
        box = Placement.from_tape(
            **given,
            flat_phone=self.flat_phone.value,
            instrument_length=self._placement.instrument_length,
            handle_reach=self._placement.handle_reach,
        )
        self._leave_surface()
        self._name_targets(["target"])
        self._frame(box)
        said = "Your box. Each number now carries its uncertainty (one standard deviation, 0.3 cm a reading)."
        self.show(box, " ".join([said, *box.tape.remarks]))

    def _from_list(self):
        found = named_points(self.target_list.value)
        placement = self._placement.replace(target=[point for _, point in found])
        self._name_targets([name for name, _ in found])
        self.show(placement)

    def _edit(self, name, value):
        here = on_grid(self.controls[name], EDITS[name].read(self._placement, self.focus))
        if self._settling or abs(value - here) < 1e-6:
            return
        hold = self.hold.value or None
        if self._try(lambda: self.show(edited(self._placement, name, value, self.focus, hold))) and _moves_a_hole(name, hold):
            self._leave_surface()

    def _on_surface(self, kind):
        if kind == _FREE or self._settling:
            self.show(self._placement)
            return
        surface = self._surfaces[kind]
        face = surface.faces[0]
        outline = surface.outline_uv(face)
        middle = (outline.min(axis=0) + outline.max(axis=0)) / 2
        self._settle({}, {name: value + at for name, value, at in self._holes(middle)})
        if self._try(self._drill):
            self._frame(self._placement)
            self.show(self._placement)

    def _holes(self, middle):
        for hole, place in _HOLES.items():
            for axis, value, at in zip("uv", place, middle, strict=True):
                yield f"{hole} {axis}", value, at

    def _drill(self):
        """Put the ports and the camera into the surface where the sliders say."""
        surface = self._surfaces[self.surface.value]
        face, holes = surface.faces[0], {name: slide.value for name, slide in self.places.items()}
        points = {}
        for hole in _HOLES:
            place = holes[f"{hole} u"], holes[f"{hole} v"]
            try:
                surface.check_hole(*place, face=face)
            except ValueError as error:
                raise ValueError(f"{hole}: {error}") from None
            points["camera" if hole == "camera" else f"{hole}_port"] = surface.point(*place, face)
        inward = -surface.normal(holes["camera u"], holes["camera v"], face)
        aim = inward if self.lies_flat.value else None
        panel = None if isinstance(surface, Dome) else -inward  # a dome has no one normal
        self.show(self._placement.replace(**points, aim=aim, panel_normal=panel))

    def _leave_surface(self):
        if self.surface.value != _FREE:
            self._settling = True
            self.surface.value = _FREE
            self._settling = False
            self.picture.show(self._drawing(self._placement))

    def _warn(self):
        """The dome's caution, as long as a dome is chosen."""
        dome = isinstance(self._surfaces.get(self.surface.value), Dome)
        self.caution.value = f"<b>Caution.</b> {OF_A_DOME} {FOR_EDUCATION}" if dome else ""
        self.caution.layout.display = None if dome else "none"

    def _choose(self, preset):
        if not preset:
            return
        make, notice = PRESETS[preset]
        self._leave_surface()
        self._name_targets(["target"])
        placement = make()
        self._frame(placement)
        self.show(placement, notice)

    def _try(self, action):
        """Do it and return True, or say in the status line why not and keep the last good picture."""
        try:
            action()
        except ValueError as error:
            self.say(str(error), wrong=True)
            return False
        return True

    # How it is built

    def _build_controls(self, numbers, layers):
        self.controls = {}
        for name, edit in EDITS.items():
            make = slider if name in _FRONT else number
            self.controls[name] = make(name, edit.tip, *_RANGES.get(name, (-40, 40)))
        ways = {"u": "to the right on the surface", "v": "up the slope, or away from the operator"}
        self.places = {f"{hole} {axis}": slider(f"{hole} {axis}", ways[axis], -25, 40) for hole in _HOLES for axis in "uv"}
        self._settle({}, {name: value for name, value, _ in self._holes((0, 0))})
        self.surface = choice([_FREE, *self._surfaces], "where the ports and the camera may sit", "160px")
        self.lies_flat = w.Checkbox(description="phone lies flat on the surface", indent=False)
        self.readings = {name: entry(label, tip, optional) for name, (label, tip, optional) in _TAPE.items()}
        self.flat_phone = w.Checkbox(description="phone lies flat", indent=False, layout=Layout(width="150px"))
        self.flat_phone.tooltip = "the camera looks straight into the panel, not at the target"
        self.target = choice(self._names, "the target in focus", "160px")
        self.target_list = w.Textarea(tooltip="one target a line: name: x, y, z", layout=Layout(width="300px", height="90px"))
        self.target_list.value = "\n".join(
            f"{name}: {', '.join(f'{part:g}' for part in point)}"
            for name, point in zip(self._names, self._placement.targets, strict=True)
        )
        self.numbers = toggle("numbers", "show or hide every value", "92px", numbers)
        self.layers = {name: toggle(name, tip, "92px", name in layers) for name, tip in LAYERS.items()}
        presets = [("choose a preset", ""), *zip(PRESETS, PRESETS, strict=True)]
        self.preset = choice(presets, "placements worth showing", "235px")
        self.view = choice(list(VIEWS), "where you stand", "150px")
        self.hold = choice(
            [("nothing", ""), *zip(HOLDS, HOLDS, strict=True)],
            "what stays while you drag a slider: the depth, the spacing or the camera follows",
            "158px",
        )
        self.beside = w.ToggleButtons(
            options=["table", "monitor", "big"],
            tooltips=["every measure", "what the camera sees", "a few numbers, to read from the back of a room"],
            style={"button_width": "92px"},
        )

    def _build_panels(self):
        self.table, self.big = w.HTML(), w.HTML()
        self.status = w.HTML(layout=Layout(min_height="28px"))
        self.caution = w.HTML()  # of the surface that is chosen
        self.description = w.HTML(layout=Layout(height="0"))
        hidden = Layout(width="98%", height="150px", display="none")
        self.code = w.Textarea(tooltip="Python that makes this placement", layout=hidden)
        self.monitor = None  # a figure of its own, made when first asked for
        self._below = w.VBox([self.table])

    def _observe(self):
        for name, control in self.controls.items():
            control.observe(lambda change, name=name: self._edit(name, change["new"]), "value")
        for control in (*self.places.values(), self.lies_flat):
            control.observe(lambda change: self._settling or self.surface.value == _FREE or self._try(self._drill), "value")
        self.surface.observe(lambda change: self._on_surface(change["new"]), "value")
        self.surface.observe(lambda change: self._warn(), "value")
        self.preset.observe(lambda change: self._choose(change["new"]), "value")
        self.view.observe(lambda change: self.reset_view(), "value")
        self.beside.observe(lambda change: self._put_beside(change["new"]), "value")
        for control in (self.numbers, self.target, *self.layers.values()):
            control.observe(lambda change: self._settling or self.show(self._placement), "value")

    def _drawing(self, placement):
        focus, layers = self.focus, tuple(name for name, control in self.layers.items() if control.value)
        surface = self._surfaces.get(self.surface.value)
        items = scene(placement, focus, self.numbers.value, layers, surface, self._names[focus])
        return {"items": items} | _SIZE

    def _framed(self, placement, view):
        """The view from where the whole placement fits; it stays while sliders move, so that the picture does not jump."""
        points = extent(placement, self.focus, self._surfaces.get(self.surface.value))
        return framed(points, view, _SIZE["width"] / _SIZE["height"])

    def _frame(self, placement):
        """Let another placement fit, seen from where the reader is."""
        self.picture.view = self._framed(placement, self.picture.view)

    def _settle(self, values, places=()):
        """Move controls to values without that counting as the reader's move."""
        self._settling = True
        try:
            for name, value in values.items():
                fit(self.controls[name], value)
            for name, value in dict(places).items():
                fit(self.places[name], value)
        finally:
            self._settling = False

    def _name_targets(self, names):
        self._settling = True
        self._names = names
        self.target.options = names
        self._settling = False

    def _put_beside(self, what):
        if what == "monitor" and self.monitor is None:
            drawing = plain_monitor(self._placement, self.focus, self.numbers.value)
            self.monitor = Picture(drawing, about="What the camera shows on the monitor.")
        self._below.children = [{"table": self.table, "monitor": self.monitor, "big": self.big}[what]]
        self.show(self._placement)

    def _write_code(self):
        if self.code.layout.display != "none":
            self.code.value = f"from ergokit import Placement\n\n{self._placement.as_code()}"

    def _left(self):
        front = [labelled(f"{name} (cm)", self.controls[name]) for name in _FRONT]
        front = w.VBox([*front, labelled("hold meanwhile", self.hold)])
        rest = [name for name in self.controls if name not in _FRONT]
        rest = [labelled(name.removesuffix(" length"), self.controls[name], "28px", "106px") for name in rest]
        half = len(rest) // 2
        points = w.HBox([w.VBox(rest[:half]), w.VBox(rest[half:])])
        on_surface = w.VBox([labelled("ports and camera", self.surface), *self._place_rows(), self.lies_flat])
        targets = w.VBox(
            [
                labelled("target in focus", self.target),
                w.HTML("One a line, in cm: <code>needle: 0, 9, 0</code>"),
                self.target_list,
                button("Use these targets", "show the targets in the list", self.use_targets, "150px"),
            ]
        )
        form = [labelled(label, self.readings[name], "26px") for name, (label, _, _) in _TAPE.items()]
        form.append(
            w.HBox([self.flat_phone, button("Show my box", "stand the box up from these readings", self.stand_up, "120px")])
        )
        tabs = w.Tab([front, points, on_surface, targets, w.VBox(form)])
        tabs.titles = ("Move", "Points", "Surface", "Targets", "My box")
        row = w.HBox(
            [
                button("reset", "back to where we started", self.reset, "70px"),
                button("mirror", "swap left and right", self.mirror, "75px"),
                button("copy as code", "show Python that makes this placement", self.toggle_code, "120px"),
            ]
        )
        return w.VBox([tabs, self.beside, self._below, row], layout=Layout(width="334px", flex="0 0 auto"))

    def _place_rows(self):
        return [labelled(f"{name} (cm)", control, "26px") for name, control in self.places.items()]

    def _right(self):
        first = w.HBox([self.preset, self.view, button("reset view", "turn the scene back", self.reset_view, "95px")])
        second = w.HBox([self.numbers, *self.layers.values()])
        return w.VBox([first, second, self.status, self.caution, self.code, self.picture])


def _unnamed(placement):
    n = len(placement.targets)
    return ["target"] if n == 1 else [f"target {i + 1}" for i in range(n)]


def _moves_a_hole(name, hold):
    return bool(hold) or not name.startswith(("target", "instrument", "handle"))


def _number(label, text):
    """A typed reading as a number, with a point or a comma; None where nothing was typed."""
    text = text.strip()
    if not text:
        return None
    try:
        return read_number(text)
    except ValueError:
        raise refused(label, "a number such as 17.5", text) from None

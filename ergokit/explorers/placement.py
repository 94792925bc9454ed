"""The placement explorer: a placement in space that follows its sliders, with its table of measures."""

import html

import ipywidgets as w
import plotly.graph_objects as go

from ergokit.explorers.controls import STYLE, button, entry, fit, labelled, on_grid, slider
from ergokit.figures.scene import VIEW, frame_scene, scene, update_scene
from ergokit.placement import Placement
from ergokit.placement.edit import EDITS, edited, mirrored, readings_of

_FRONT = ("port spacing", "depth", "target sideways", "window above ports")
_RANGES = {  # cm; what a carton and two hands allow, widened where a placement lies outside
    "port spacing": (2, 40),
    "depth": (3, 30),
    "target sideways": (-15, 15),
    "window above ports": (-5, 20),
    "instrument length": (20, 50),
    "handle reach": (0, 20),
}
_TAPE = {
    "spacing": ("port to port (cm)", "between the centres of the two holes", False),
    "left": ("left port to target (cm)", "tip on the target, pinch the shaft at the hole, withdraw, measure", False),
    "right": ("right port to target (cm)", "tip on the target, pinch the shaft at the hole, withdraw, measure", False),
    "camera_to_target": ("lens to target (cm)", "from the lens to the target", False),
    "window_above_ports": ("lens above ports (cm)", "up the panel, from the middle of the port line to the lens", False),
    "panel_slope": ("panel slope (deg)", "of the panel with the holes above the floor; 0 is a flat lid", True),
    "port_height": ("ports above floor (cm)", "needed when the lens is less than 4 cm above the ports", True),
    "target_height": ("target above floor (cm)", "0 for a target on the floor of the box", True),
}


def placement_explorer(placement=None, numbers=True):
    """Explore a placement in 3D.

    Four sliders in front, the rest and a form for a box measured with a tape behind tabs. With `numbers=False` the table and
    the angle are hidden until the reader asks for them. The explorer's `.placement` is what it shows now.

    >>> explorer = placement_explorer()
    >>> explorer.controls["port spacing"].value = 18
    >>> round(float(explorer.measures().value[1]), 1)  # the manipulation angle
    66.0
    """
    return PlacementExplorer(placement or usual_placement(), numbers)


def usual_placement():
    """Where the explorers start: three equal lengths of 16 cm, the camera above the port line 15 cm from the target."""
    return Placement.from_tape(16, 16, 16, camera_to_target=15, window_above_ports=6, panel_slope=38).replace()


class PlacementExplorer(w.VBox):
    """See `placement_explorer`."""

    def __init__(self, placement, numbers):
        self._start = self._placement = placement
        self._showing = False
        self.figure = go.FigureWidget(scene(placement, numbers=numbers, width=505, height=530))
        self.status = w.HTML(layout=w.Layout(min_height="28px"))
        self.table = w.HTML()
        self.code = w.Textarea(tooltip="Python that makes this placement")
        self.code.layout = w.Layout(width="98%", height="150px", display="none")
        self.numbers = w.ToggleButton(numbers, description="numbers", tooltip="show or hide the table and the angle")
        self.numbers.layout.width = "86px"
        self.controls = {name: slider(name, edit.tip, *_RANGES.get(name, (-40, 40))) for name, edit in EDITS.items()}
        self.readings = {name: entry(label, tip, optional) for name, (label, tip, optional) in _TAPE.items()}
        self.flat_phone = w.Checkbox(description="phone lies flat on the panel", indent=False)
        self.flat_phone.tooltip = "the camera looks straight into the panel, not at the target"
        for name, control in self.controls.items():
            control.observe(lambda change, name=name: self._edit(name, change["new"]), "value")
        self.numbers.observe(lambda change: self.show(self._placement), "value")
        super().__init__([STYLE, w.HBox([self._left(), self._right()])])
        self.add_class("ergokit")
        self.show(placement)

    def __repr__(self):
        return "The explorer appears here once this cell has run (Shift + Enter)."

    @property
    def placement(self):
        """The placement shown now."""
        return self._placement

    def measures(self):
        """The table of measures of the placement shown now."""
        return self._placement.measures()

    def show(self, placement, message=""):
        """Show another placement: controls, scene and table follow."""
        update_scene(self.figure, placement, numbers=self.numbers.value)
        self._placement = placement
        self._showing = True  # moving the sliders to where the placement is must not edit it
        try:
            for name, value in readings_of(placement).items():
                fit(self.controls[name], value)
        finally:
            self._showing = False
        self.table.value = _table(placement.measures()) if self.numbers.value else _HIDDEN
        self.code.value = f"from ergokit import Placement\n\n{placement.as_code()}"
        self._say(message)

    def reset(self):
        """Back to the placement the explorer was opened with."""
        self.show(self._start)
        frame_scene(self.figure, self._start)

    def reset_view(self):
        """Turn the scene back to where it was at first."""
        self.figure.layout.scene.camera = VIEW

    def mirror(self):
        """Swap left and right."""
        self.show(mirrored(self._placement))

    def stand_up(self):
        """Show the box whose readings stand in the form."""
        self._try(self._from_tape)

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
        self.show(box, "Your box. Each number now carries its uncertainty (one standard deviation, 0.3 cm a reading).")
        frame_scene(self.figure, box)

    def _edit(self, name, value):
        here = on_grid(self.controls[name], EDITS[name].read(self._placement))
        if not self._showing and abs(value - here) > 1e-6:
            self._try(lambda: self.show(edited(self._placement, name, value)))

    def _try(self, action):
        """Do it, or say in the status line why not and keep the last good picture."""
        try:
            action()
        except ValueError as error:
            self._say(str(error), wrong=True)

    def _say(self, message, wrong=False):
        colour = "#A33B00" if wrong else "#222222"
        self.status.value = f'<span role="status" style="color:{colour}">{"⚠ " if wrong else ""}{html.escape(message)}</span>'

    def _toggle_code(self):
        self.code.layout.display = None if self.code.layout.display == "none" else "none"

    def _left(self):
        def column(names, height):
            return w.VBox([labelled(f"{name} (cm)", self.controls[name], height) for name in names])

        form = [labelled(label, self.readings[name]) for name, (label, _, _) in _TAPE.items()]
        form += [self.flat_phone, button("Show my box", "stand the box up from these readings", self.stand_up, "120px")]
        tabs = w.Tab(
            [column(_FRONT, "30px"), column([name for name in self.controls if name not in _FRONT], "25px"), w.VBox(form)],
            titles=("Move", "All points", "My box"),
        )
        return w.VBox([tabs, self.table], layout=w.Layout(width="330px"))

    def _right(self):
        row = w.HBox(
            [
                self.numbers,
                button("reset", "back to where we started", self.reset, "62px"),
                button("reset view", "turn the scene back", self.reset_view, "92px"),
                button("mirror", "swap left and right", self.mirror, "70px"),
                button("copy as code", "show Python that makes this placement", self._toggle_code, "118px"),
            ]
        )
        return w.VBox([row, self.status, self.code, self.figure])


_HIDDEN = "<p><i>Numbers hidden: make your prediction, then press <b>numbers</b>.</i></p>"
_STYLE = (
    "<style>.ergokit-measures{border-collapse:collapse;font-size:12px;line-height:15px;width:100%}"
    ".ergokit-measures td,.ergokit-measures th{padding:0 4px;text-align:right;border-bottom:1px solid #E4E4E4}"
    ".ergokit-measures td[colspan]{text-align:center}"
    ".ergokit-measures td:first-child,.ergokit-measures th:first-child{text-align:left}</style>"
)


def _table(measures):
    """The measures as one row a quantity, left and right side by side."""
    cells = measures._shown().assign(full=measures["value"])
    if "uncertainty" in cells:
        known = cells["uncertainty"] != ""
        cells.loc[known, "value"] += " ± " + cells.loc[known, "uncertainty"]
    rows = []
    for quantity, group in cells.groupby("quantity", sort=False):
        values = list(group["value"])
        unit = group["unit"].iloc[0]
        tip = html.escape("; ".join(dict.fromkeys(note for note in group["note"] if note)))
        mark = " *" if tip else ""
        body = f"<td>{values[0]}</td><td>{values[1]}</td>" if len(values) == 2 else f'<td colspan="2">{values[0]}</td>'
        rows.append(f'<tr title="{tip}"><td>{quantity}{mark}</td>{body}<td>{unit}</td></tr>')
    head = "<tr><th>measure</th><th>left</th><th>right</th><th></th></tr>"
    notes = dict.fromkeys(note for note in measures["note"] if note)
    foot = "".join(f"<div style='font-size:11px;line-height:14px'>* {html.escape(note)}</div>" for note in notes)
    return f'{_STYLE}<table class="ergokit-measures">{head}{"".join(rows)}</table>{foot}'


def _number(label, text):
    """A typed reading as a number, with a point or a comma; None where nothing was typed."""
    text = text.strip()
    if not text:
        return None
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise ValueError(f"{label} takes a number such as 17.5; got {text!r}.") from None


def exercise(explorer):
    """Move every slider of an explorer to both ends and back, and check that what it shows follows; ends where it began.

    Each lesson ends with this, so that a lesson whose explorer is broken cannot pass.

    >>> exercise(placement_explorer())
    '16 sliders moved: the picture and the numbers followed.'
    """
    for name, control in explorer.controls.items():
        for end in (control.min, control.max):
            control.value = end
            _follows(explorer, name)
        explorer.reset()
    return f"{len(explorer.controls)} sliders moved: the picture and the numbers followed."


def _follows(explorer, name):
    control, placement = explorer.controls[name], explorer.placement
    refused = "⚠" in explorer.status.value
    followed = abs(EDITS[name].read(placement) - control.value) < control.step
    theta = f"{explorer.measures().set_index('quantity').value['manipulation angle']:.1f}"
    shown = explorer.figure.layout.scene.annotations[0].text
    if not (refused or followed) or shown not in (f"{theta}°", "?"):
        raise AssertionError(f"{name} at {control.value:g}: the explorer did not follow.")

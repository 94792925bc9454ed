"""Who gets which hole: four holes on a panel, given to camera, hands and an assistant, and what touches outside."""

from __future__ import annotations

from itertools import combinations

import ipywidgets as w
import numpy as np

from ergokit._check import checked, flag
from ergokit.explorers.controls import Layout, choice
from ergokit.explorers.small import SmallExplorer, Track
from ergokit.figures.holes import holes_scene, plain_holes
from ergokit.figures.space import VIEWS, framed
from ergokit.holes import assignments
from ergokit.holes.result import NAMES
from ergokit.placement import Placement
from ergokit.placement.measures import rows_of
from ergokit.surfaces import WedgeBox
from ergokit.triangulation import handle_position

_BOX = WedgeBox(44, 36, 27)
_START = {"A": (-9, 20), "B": (0, 20), "C": (9, 20), "D": (0, 28)}  # sideways, and up the panel
_SIZE = (500, 300)  # px of the scene
_ROOM = (-44, -50), (44, 16)  # cm that the picture from above has room for
_HIGHEST = 48.0  # cm: about as high as a camera head comes
_HOLES = [f"hole {name}" for name in _START]
_PAIRS = {f"holes {one} and {other}": (one, other) for one, other in combinations(_START, 2)}
_NOBODY, _NO, _YES = "no hole", "not crossed", "crossed"
_CAMERAS = {
    "scope, 0 degrees": {"camera": "scope", "direction_of_view": 0},
    "scope, 30 degrees": {"camera": "scope", "direction_of_view": 30},
    "phone at its hole": {"camera": "phone"},
}
_SHOWN = (
    "manipulation angle",
    "working distance",
    "azimuth angle, instruments' plane",
    "elevation angle",
    "inside : outside",
    "angle on the screen",
    "camera's side",
    "handle separation",
)


_SIDES = {"camera's side (deg)": "you", "camera's side, assistant (deg)": "the assistant"}


@checked(numbers=flag)
def holes_explorer(numbers: bool = True) -> HolesExplorer:
    """Explore who gets which hole: where four holes are, who works through which, and which bodies then touch.

    >>> explorer = holes_explorer()
    >>> explorer.choices["camera in"].value = "hole A"
    >>> explorer.choices["hands in"].value = "holes B and C"
    >>> round(float(explorer.placement.measures().value[1]), 1)
    29.9
    """
    return HolesExplorer(numbers)


class HolesExplorer(SmallExplorer):
    """See `holes_explorer`."""

    opening = "Four holes in a panel, a camera and two or three instruments through them: in space, and below seen from above."
    about = "Camera, instruments and hands in space.", "The same seen from above; you stand below."

    def __init__(self, numbers):
        tracks = {}
        for name, (sideways, up) in _START.items():
            tracks[f"hole {name} sideways"] = Track("from the middle of the panel, right positive", -20, 20, sideways)
            tracks[f"hole {name} up the panel"] = Track("from the panel's lower edge", 4, 35, up)
        tracks |= {
            "target sideways": Track("from the midline, right positive", -12, 12, 0),
            "target from foot": Track("from the foot of the panel along the floor", 16, 40, 26),
            "tip to target": Track("how far the scope's tip is from the target", 3, 20, 10),
            "scope length": Track("from the scope's tip to its camera head; from memory", 29, 33, 33),
            "shaft across": Track("of the instruments; from memory", 0.3, 1, 0.5),
            "fist across": Track("a fist with its handle, as a sphere; from memory", 6, 14, 10),
        }
        choices = {
            "camera in": choice(_HOLES, "which hole the camera has", "158px"),
            "hands in": choice(list(_PAIRS), "which holes your hands have", "158px"),
            "your hands": choice([_NO, _YES], "whether the left hand is to the right of the right one", "158px"),
            "assistant's hand in": choice([_NOBODY, *_HOLES], "which hole the assistant's hand has", "158px"),
            "camera": choice(list(_CAMERAS), "a scope, or a phone that looks at the target", "158px"),
        }
        choices["camera in"].value, choices["hands in"].value = "hole B", "holes A and C"
        self.view = None
        super().__init__(tracks, numbers, choices)

    @property
    def placement(self) -> Placement:
        """The placement shown now."""
        return self._placement(self._state())

    def _placement(self, state):
        result, i = state
        return result.placement(i)

    def _state(self):
        """Every way, and the number of the one that is chosen."""
        chosen = {name: control.value for name, control in self.choices.items()}
        camera, hands, third = chosen["camera in"][-1], _PAIRS[chosen["hands in"]], chosen["assistant's hand in"]
        taken = [camera, *hands, *([] if third == _NOBODY else third[-1])]
        if twice := {name for name in taken if taken.count(name) > 1}:
            raise ValueError(f"Hole {min(twice)} is given twice: choose another hole for one of the two.")
        holes = [self._hole(name) for name in _START]
        target = self._at("target sideways"), _BOX.bounds()[0, 1] + self._at("target from foot"), 0
        sizes = {"scope length": "scope length", "shaft": "shaft across", "fist": "fist across"}
        result = assignments(
            holes,
            target,
            distance=self._at("tip to target"),
            sizes={name: self._at(slider) for name, slider in sizes.items()},
            assistant=None if third == _NOBODY else "opposite",
            **_CAMERAS[chosen["camera"]],
        )
        camera, one, other, *third = map(NAMES.index, taken)
        either = [[camera, one, other, *third], [camera, other, one, *third]]
        [twins] = np.nonzero((result.ways[:, None] == either).all(axis=-1).any(axis=1))  # crossed hands are the later one
        if not twins.size:
            raise ValueError(" ".join(remark for remark in result.remarks if remark.startswith("Left out")))
        return result, int(twins[int(chosen["your hands"] == _YES)])

    def _hole(self, name):
        return _BOX.point(self._at(f"hole {name} sideways"), self._at(f"hole {name} up the panel"))

    def _drawings(self, state):
        result, i = state
        items = holes_scene(result, i, numbers=self.numbers.value)
        if self.view is None:
            lines = [part["at"] for part in items.values() if part.get("line", "grid") != "grid"]
            points = [point for line in lines for point in line if point is not None]
            points.append([0, 0, _HIGHEST])
            self.view = framed(points, VIEWS["from the operator"] | {"tilt": 24}, _SIZE[0] / _SIZE[1])
        above = plain_holes(result, i, numbers=self.numbers.value, width=_SIZE[0], room=np.array(_ROOM))
        return [{"items": items, "width": _SIZE[0], "height": _SIZE[1]}, above]

    def _rows(self, state):
        return [row for row in rows_of(self._placement(state)) if row.quantity in _SHOWN]

    def _facts(self, state):
        result, i = state
        way = result.by_way().iloc[i]
        gaps = {names: gap[i] for names, gap in result.gaps.items() if not all(name.endswith(" shaft") for name in names)}
        one, other = min(gaps, key=gaps.get)
        contact = result.contact[i]
        yield f"<b>{contact[0].upper()}{contact[1:]}.</b>"
        yield f"Nearest, but for the shafts that meet at the target: {one} and {other}, {gaps[one, other]:.1f} cm apart."
        yield f"Between your hands: {way['gap between hands (cm)']:.1f} cm."
        if "head to nearer hand (cm)" in way:
            yield f"From the middle of the camera head to that of the nearer hand: {way['head to nearer hand (cm)']:.1f} cm."
        sides = [f"{way[name]:.0f} degrees for {who}" for name, who in _SIDES.items() if name in way and way[name] == way[name]]
        yield f"The camera's side: {', '.join(sides) or 'not defined, it looks straight down'}."
        if way["reaches across"]:
            yield f"Reaching across: {way['reaches across']}."
        yield from result.remarks

    def _notice(self, state):
        result, i = state
        return "Your hands are crossed." if result.crossed[i] else ""

    def _compared(self, state):
        result, i = state
        placement = result.placement(i)
        scene, above = self.pictures
        ports, instrument = (placement.left_port, placement.right_port), (placement.instrument_length, placement.handle_reach)
        for side, port in zip(("left", "right"), ports, strict=True):
            hand = handle_position(port, placement.target, *instrument)
            ring = np.array([point for point in scene.part(f"{side}, hand")["at"] if point is not None])
            yield f"the {side} hand at", (ring.min(axis=0) + ring.max(axis=0)) / 2, hand
            outline = above.part(f"{side}, hand")
            yield f"the {side} hand, from above, at", [(max(outline[axis]) + min(outline[axis])) / 2 for axis in "xy"], hand[:2]
        yield "the camera at", scene.part("camera")["at"][0], placement.camera
        yield "the holes, from above, at", [above.part("holes")[axis] for axis in "xy"], result.holes[:, :2].T
        if self.numbers.value:
            yield "", above.words[0], result.contact[i].replace("; ", "<br>")

    def _arranged(self):
        left = w.VBox([*self._choices(), *self._sliders(), self._buttons()], layout=Layout(width="330px"))
        below = [w.VBox([part], layout=Layout(width=width)) for part, width in ((self.table, "400px"), (self.facts, "430px"))]
        return w.VBox([w.HBox([left, w.VBox([self.status, *self.pictures])]), w.HBox(below)])

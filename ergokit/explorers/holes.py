"""Who gets which hole: four holes on a panel, given to camera, hands and an assistant, and what touches outside."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations

import ipywidgets as w
import numpy as np

from ergokit._check import checked, flag
from ergokit.explorers.controls import Layout, group, labelled
from ergokit.explorers.small import Choice, SmallExplorer, SmallState, Track
from ergokit.figures.holes import holes_scene, plain_holes
from ergokit.figures.space import VIEWS, framed
from ergokit.holes import assignments
from ergokit.holes.result import NAMES
from ergokit.surfaces import WedgeBox
from ergokit.triangulation import handle_position

_BOX = WedgeBox(44, 36, 27)
_START = {"A": (-9, 20), "B": (0, 20), "C": (9, 20), "D": (0, 28)}  # sideways, and up the panel
_SIZE = (500, 260)  # px of the scene
_ABOVE = 380  # px, the width of the picture from above
_ROOM = (-44, -50), (44, 16)  # cm that the picture from above has room for
_SEEN_FROM = VIEWS["from the operator"] | {"tilt": 24}
_WHO = ("camera in", "hands in", "assistant's hand in")
_NO, _YES = "not crossed", "crossed"
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
_SIZES = {"scope length": "scope length", "shaft": "shaft across", "fist": "fist across"}
_SIDES = {"camera's side (deg)": "you", "camera's side, assistant (deg)": "the assistant"}


@checked(numbers=flag)
def holes_explorer(*, numbers: bool = True) -> HolesExplorer:
    """Explore who gets which hole: where four holes are, who works through which, and which bodies then touch.

    >>> explorer = holes_explorer()
    >>> explorer.choices["camera in"].value = "hole A"
    >>> explorer.choices["hands in"].value  # one of them has swapped with the camera
    'holes B and C'
    >>> round(float(explorer.placement.measures().value[1]), 1)
    29.9
    """
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
    holes, pairs = ([_named(*some) for some in combinations(_START, count)] for count in (1, 2))
    choices = {
        "camera in": Choice("which hole the camera has", holes, "hole B"),
        "hands in": Choice("which holes your hands have", pairs, "holes A and C"),
        "your hands": Choice("whether the left hand is to the right of the right one", [_NO, _YES], _NO),
        "assistant's hand in": Choice("which hole the assistant's hand has", [_named(), *holes], _named()),
        "camera": Choice("a scope, or a phone that looks at the target", list(_CAMERAS), next(iter(_CAMERAS))),
    }
    return HolesExplorer(Holes(tracks=tracks, choices=choices, numbers=numbers).framed(_SEEN_FROM))


@dataclass(frozen=True, kw_only=True)
class Holes(SmallState):
    """Four holes in a panel, and who works through which."""

    opening = "Four holes in a panel, a camera and two or three instruments through them: in space, and below seen from above."
    stands_large = True
    shown = _SHOWN
    about = "Camera, instruments and hands in space.", "The same seen from above; you stand below."

    def moved(self, name, value):
        """Whoever takes a hole that another has leaves that one a hole in return."""
        after = super().moved(name, value)
        if name not in self.choices:
            return after
        if name in _WHO:
            after = after._swapped(name, _holes_in(self[name]))
        return after.framed(self.view)

    def _swapped(self, taker, left):
        """Others that had a hole of the taker's have another one: one of those just left, where there is one."""
        taken, used = _holes_in(self[taker]), {hole for who in _WHO for hole in _holes_in(self[who])}
        free = [hole for hole in dict.fromkeys((*left, *_START)) if hole not in used]
        others = {
            who: _named(*(free.pop(0) if hole in taken else hole for hole in _holes_in(self[who])))
            for who in _WHO
            if who != taker
        }
        return replace(self, at={**self.at, **others})

    @cached_property
    def way(self):
        """Every way to give the holes, and the number of the one that is chosen."""
        taken = [hole for who in _WHO for hole in _holes_in(self[who])]
        result = assignments(
            [_BOX.point(self[f"hole {name} sideways"], self[f"hole {name} up the panel"]) for name in _START],
            (self["target sideways"], _BOX.bounds()[0, 1] + self["target from foot"], 0),
            distance=self["tip to target"],
            sizes={name: self[slider] for name, slider in _SIZES.items()},
            assistant="opposite" if len(taken) > 3 else None,
            **_CAMERAS[self["camera"]],
        )
        camera, one, other, *third = map(NAMES.index, taken)
        either = [[camera, one, other, *third], [camera, other, one, *third]]
        [twins] = np.nonzero((result.ways[:, None] == either).all(axis=-1).any(axis=1))  # crossed hands are the later one
        if not twins.size:
            raise ValueError(" ".join(remark for remark in result.remarks if remark.startswith("Left out")))
        return result, int(twins[int(self["your hands"] == _YES)])

    @property
    def placement(self):
        result, i = self.way
        return result.placement(i)

    def drawings(self):
        items = holes_scene(*self.way, numbers=self.numbers)
        above = plain_holes(*self.way, numbers=self.numbers, width=_ABOVE, room=np.array(_ROOM))
        return [{"items": items, "width": _SIZE[0], "height": _SIZE[1]}, above]

    def framed(self, view):
        """All of it in the picture. It stays so while sliders move, so that the picture does not jump."""
        items = self.drawings()[0]["items"].values()
        points = [point for part in items if part.get("line", "grid") != "grid" for point in part["at"] if point is not None]
        return replace(self, view=framed(points, view, _SIZE[0] / _SIZE[1]))

    def facts(self):
        result, i = self.way
        way = result.by_way().iloc[i]
        gaps = {names: gap[i] for names, gap in result.gaps.items() if not all(name.endswith(" shaft") for name in names)}
        one, other = min(gaps, key=gaps.get)
        contact = result.contact[i]
        yield f"<b>{contact[0].upper()}{contact[1:]}.</b>"
        yield (
            "Nearest bodies, apart from the shafts that meet at the "
            f"target: {one} and {other}, {gaps[one, other]:.1f} cm apart."
        )
        yield f"Between your hands: {way['gap between hands (cm)']:.1f} cm."
        if "head to nearer hand (cm)" in way:
            yield (
                "From the middle of the camera head to the middle of the "
                f"nearer hand: {way['head to nearer hand (cm)']:.1f} cm."
            )
        sides = [f"{way[name]:.0f} degrees for {who}" for name, who in _SIDES.items() if name in way and way[name] == way[name]]
        yield f"The camera's side: {', '.join(sides) or 'not defined, it looks straight down'}."
        if way["reaches across"]:
            yield f"Reaching across: {way['reaches across']}."
        yield from result.remarks

    @property
    def notice(self):
        result, i = self.way
        return "Your hands are crossed." if result.crossed[i] else ""

    def compared(self, pictures):
        result, i = self.way
        placement = result.placement(i)
        scene, above = pictures
        ports, instrument = (placement.left_port, placement.right_port), (placement.instrument_length, placement.handle_reach)
        for side, port in zip(("left", "right"), ports, strict=True):
            hand = handle_position(port, placement.target, *instrument)
            ring = np.array([point for point in scene.part(f"{side}, hand")["at"] if point is not None])
            yield f"the {side} hand at", (ring.min(axis=0) + ring.max(axis=0)) / 2, hand
            outline = above.part(f"{side}, hand")
            yield f"the {side} hand, from above, at", [(max(outline[axis]) + min(outline[axis])) / 2 for axis in "xy"], hand[:2]
        yield "the camera at", scene.part("camera")["at"][0], placement.camera
        yield "the holes, from above, at", [above.part("holes")[axis] for axis in "xy"], result.holes[:, :2].T
        if self.numbers:
            yield "", above.words[0], result.contact[i].replace("; ", "<br>")


class HolesExplorer(SmallExplorer):
    """See `holes_explorer`."""

    def arranged(self):
        pairs = {f"hole {name}": (f"hole {name} sideways", f"hole {name} up the panel") for name in _START}
        pairs["target"] = "target sideways", "target from foot"
        places = [_row("", *map(w.Label, ("sideways (cm)", "from the foot (cm)")))]
        places += [_row(name, *(self.controls[each] for each in pair)) for name, pair in pairs.items()]
        placed = {each for pair in pairs.values() for each in pair}
        rest = [labelled(f"{name} (cm)", control, "26px") for name, control in self.controls.items() if name not in placed]
        left = [
            group("Controls", "If you choose a hole that is in use, the two swap holes."),
            *self.lists(),
            *places,
            *rest,
            group("Numbers", "Measures of the chosen way."),
            self.buttons(),
            self.table,
        ]
        self.facts.layout.max_width = "840px"
        self.pictures[1].add_class("ergokit-desk")  # a projector shows the one in space
        right = [self.large, self.status, *self.pictures]
        return [w.HBox([w.VBox(left, layout=Layout(width="340px", flex="0 0 auto")), w.VBox(right)]), self.facts]


def _named(*holes):
    """Some holes as a reader chooses them."""
    return f"hole{'s' if len(holes) > 1 else ''} {' and '.join(sorted(holes))}" if holes else "no hole"


def _holes_in(words):
    return [word for word in words.split() if word in _START]


def _row(label, *controls):
    """Two controls beside each other, after what they are of."""
    for control in controls:
        control.layout = Layout(width="140px", margin="0")
    return w.HBox([w.Label(label, layout=Layout(width="50px")), *controls], layout=Layout(height="26px"))

"""The camera in a box: its camera hole slid up the panel, lying flat or aimed, its field of view and its close focus."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import ClassVar

import numpy as np

from ergokit._check import a, checked, flag, refused
from ergokit.explorers.small import Choice, SmallExplorer, SmallState, Track
from ergokit.figures.monitor import camera_of, out_of_view, plain_monitor, width_at_target
from ergokit.figures.section import plain_section
from ergokit.placement import Placement
from ergokit.surfaces import WedgeBox
from ergokit.triangulation import working_distance
from ergokit.view import field_of_view, width_seen

_SHAPE = 4 / 3
_SCOPE = 70.0  # degrees, of a laparoscope: about, from a secondary source
_HALF_SPACING = 8.0  # cm; the ports of the monitor's picture
_FLAT, _AIMED = "flat on the panel", "aimed at the target"
_BY_HAND = "as the slider says"
_SHOWN = ("working distance", "off-centre angle", "view angle", "depth", "manipulation angle", "angle on the screen")


def _lenses():
    """Fields of view to start from, in degrees; phones by a web explainer's equivalent focal lengths; video is cropped."""
    phones = {f"phone, {focal} mm equivalent": field_of_view(focal, _SHAPE).horizontal for focal in (26, 24, 13)}
    return {_BY_HAND: None} | phones | {f"scope, {_SCOPE:g} degrees": _SCOPE}


def _box(name, value):
    """A wedge box with room for the ports, and within reach."""
    box = a(WedgeBox)(name, value)
    if not (box.ridge >= 2 * _HALF_SPACING and 4 <= min(box.side_a, box.side_b) <= max(box.side_a, box.side_b) <= 60):
        takes = f"a WedgeBox with a ridge of at least {2 * _HALF_SPACING:g} cm and sides of 4 to 60 cm"
        raise refused(name, takes, value)
    return box


@checked(box=_box, numbers=flag, flat=flag)
def camera_explorer(box: WedgeBox | None = None, *, flat: bool = True, numbers: bool = True) -> SmallExplorer:
    """Explore where the camera hole goes: how far it is from the target, where it looks and how much it shows.

    `box` is a wedge box whose panel a faces the operator; a carton's unless given. The phone lies flat on the panel to
    start with, or is aimed at the target with `flat=False`.

    >>> explorer = camera_explorer()
    >>> explorer.controls["camera hole above ports"].value = 9
    >>> explorer.placement.aim.round(1)
    array([ 0. ,  0.6, -0.8])
    """
    box = box or WedgeBox(44, 36, 27)
    width = float(field_of_view(26, _SHAPE).horizontal)
    tracks = {
        "ports up the panel": Track("from the panel's foot to the ports", 1, box.side_a - 1, box.side_a / 3),
        "camera hole above ports": Track("the lens, up the panel from the ports", 0, box.side_a / 2, min(7, box.side_a / 3)),
        "target from foot": Track("the target, from the foot of the panel along the floor", 0, box.base, min(20, box.base - 1)),
        "field of view": Track("across the width of the picture", 20, 120, width, "deg"),
        "close focus": Track("the nearest distance that is sharp, along the axis", 0, 25, 8),
    }
    choices = {
        "phone": Choice("where the camera looks", [_FLAT, _AIMED], _FLAT if flat else _AIMED),
        "lens": Choice("fields of view to start from", list(_lenses()), _BY_HAND),
    }
    return SmallExplorer(CameraInBox(tracks=tracks, choices=choices, box=box, numbers=numbers))


@dataclass(frozen=True, kw_only=True)
class CameraInBox(SmallState):
    """A camera behind a hole in the panel of a box."""

    box: WedgeBox

    shown = _SHOWN
    opening = "A box cut open along its middle, with the camera's axis and field of view; below it what the camera sees."
    about = "The box cut open along its middle.", "What the camera shows on the monitor."
    holds: ClassVar[dict] = {"working distance": ("target from foot", "camera hole above ports")}

    def moved(self, name, value):
        """A lens sets the field of view, and a field of view moved by hand is no lens any more."""
        after = super().moved(name, value)
        if name == "lens" and value != _BY_HAND:
            return after.put("field of view", _lenses()[value])
        return after.put("lens", _BY_HAND) if name == "field of view" else after

    @property
    def up(self):
        """From the panel's foot to the ports, and to the camera hole."""
        return self["ports up the panel"], np.asarray(self["ports up the panel"]) + self["camera hole above ports"]

    @cached_property
    def placement(self):
        ports, camera_hole = self.up
        return Placement(
            left_port=self.box.point(-_HALF_SPACING, ports),
            right_port=self.box.point(_HALF_SPACING, ports),
            target=self.target,
            camera=self.box.point(0, camera_hole),
            aim=-self.box.normal(0, camera_hole) if self["phone"] == _FLAT else None,
            panel_normal=self.box.normal(0, camera_hole),
        )

    @property
    def target(self):
        y = self.box.bounds()[0, 1] + np.asarray(self["target from foot"])
        return np.stack(np.broadcast_arrays(0.0, y, 0.0), axis=-1)

    def value(self, quantity):
        return working_distance(self.box.point(0, self.up[1]), self.target)

    @property
    def optics(self):
        return {"field_of_view": self["field of view"], "close_focus": self["close focus"], "shape": _SHAPE}

    @property
    def camera(self):
        return camera_of(self.placement, **self.optics)

    def drawings(self):
        how = {"numbers": self.numbers} | self.optics
        section = plain_section(self.placement, self.box, width=500, **how)
        return [section, plain_monitor(self.placement, width=340, **how)]

    def facts(self):
        width = width_at_target(self.camera, self.placement)
        if not width > 0:
            return ()
        scope = width / width_seen(1, _SCOPE)
        return (f"Width seen at the target: <b>{width:.1f} cm</b>, as with a {_SCOPE:g} degree scope from {scope:.1f} cm.",)

    @property
    def notice(self):
        return out_of_view(self.camera, self.placement).capitalize()

    def compared(self, pictures):
        section, monitor = pictures
        placement, camera = self.placement, self.camera
        middle = camera.on_plane((0, 0))
        yield "the axis landing at", section.part("axis")["x"][1], middle[1]
        yield "the lens at", section.part("lens")["x"][0], placement.camera[1]
        seen = camera.sees(placement.target) in ("seen", "too near")
        at = camera.project(placement.target) if seen else (float("nan"),) * 2
        image = monitor.part("target")
        yield "the target in the picture at", (image["x"][0], image["y"][0]), at
        if self.numbers:
            distance = working_distance(placement.camera, placement.target)
            yield "a distance of", section.words[1], f"{distance:.1f} cm"

"""The camera in a box: its camera hole slid up the panel, lying flat or aimed, its field of view and its close focus."""

from __future__ import annotations

from typing import ClassVar

import numpy as np

from ergokit._check import a, checked, flag
from ergokit.explorers.controls import choice, fit, on_grid
from ergokit.explorers.small import SmallExplorer, Track
from ergokit.figures.monitor import camera_of, out_of_view, plain_monitor, width_at_target
from ergokit.figures.section import plain_section
from ergokit.placement import Placement
from ergokit.placement.measures import rows_of
from ergokit.surfaces import WedgeBox
from ergokit.triangulation import working_distance
from ergokit.view import field_of_view, width_seen

_SHAPE = 4 / 3
_SCOPE = 70.0  # degrees, of a laparoscope: about, from a secondary source
_HALF_SPACING = 8.0  # cm; the ports of the monitor's picture
_FLAT, _AIMED = "lying flat on the panel", "aimed at the target"
_BY_HAND = "as the slider stands"
_SHOWN = ("working distance", "off-centre angle", "view angle", "depth", "manipulation angle", "angle on the screen")


def _lenses():
    """Fields of view to start from, in degrees; phones by a web explainer's equivalent focal lengths; video is cropped."""
    phones = {f"phone, {focal} mm equivalent": field_of_view(focal, _SHAPE).horizontal for focal in (26, 24, 13)}
    return {_BY_HAND: None} | phones | {f"scope, {_SCOPE:g} degrees": _SCOPE}


@checked(numbers=flag, box=a(WedgeBox), flat=flag)
def camera_explorer(numbers: bool = True, box: WedgeBox | None = None, flat: bool = True) -> CameraExplorer:
    """Explore where the camera hole goes: how far it is from the target, where it looks and how much it shows.

    `box` is a wedge box whose panel a faces the operator; a carton's unless given. The phone lies flat on the panel to
    start with, or is aimed at the target with `flat=False`.

    >>> explorer = camera_explorer()
    >>> explorer.controls["camera hole above ports"].value = 9
    >>> explorer.placement.aim.round(1)
    array([ 0. ,  0.6, -0.8])
    """
    return CameraExplorer(numbers, box or WedgeBox(44, 36, 27), flat)


class CameraExplorer(SmallExplorer):
    """See `camera_explorer`."""

    opening = "A box cut open along its middle, with the camera's axis and field of view; below it what the camera sees."
    about = "The box cut open along its middle.", "What the camera shows on the monitor."
    holds: ClassVar[dict] = {"working distance": ("target from foot", "camera hole above ports")}

    def __init__(self, numbers, box, flat):
        self.box = box
        start = field_of_view(26, _SHAPE).horizontal
        tracks = {
            "ports up the panel": Track("from the panel's foot to the ports", 1, box.side_a - 1, box.side_a / 3),
            "camera hole above ports": Track("the lens, up the panel from the ports", 0, box.side_a / 2, 7),
            "target from foot": Track("the target, from the foot of the panel along the floor", 0, box.base, 20),
            "field of view": Track("across the width of the picture", 20, 120, start, "deg"),
            "close focus": Track("the nearest distance that is sharp, along the axis", 0, 25, 8),
        }
        choices = {
            "phone": choice([_FLAT, _AIMED], "where the camera looks", "158px"),
            "lens": choice(list(_lenses()), "fields of view to start from", "158px"),
        }
        choices["phone"].value = _FLAT if flat else _AIMED
        super().__init__(tracks, numbers, choices)
        self.choices["lens"].observe(lambda change: self._take_lens(change["new"]), "value")
        self.controls["field of view"].observe(lambda change: self._leave_lens(change["new"]), "value")

    @property
    def placement(self) -> Placement:
        """The placement shown now."""
        return self._state()

    def _state(self):
        ports, camera_hole = (
            self._at("ports up the panel"),
            self._at("ports up the panel") + self._at("camera hole above ports"),
        )
        foot = self.box.bounds()[0, 1]
        return Placement(
            left_port=self.box.point(-_HALF_SPACING, ports),
            right_port=self.box.point(_HALF_SPACING, ports),
            target=(0, foot + self._at("target from foot"), 0),
            camera=self.box.point(0, camera_hole),
            aim=-self.box.normal(0, camera_hole) if self.choices["phone"].value == _FLAT else None,
            panel_normal=self.box.normal(0, camera_hole),
        )

    def _value(self, quantity, at):
        y = self.box.bounds()[0, 1] + np.asarray(at["target from foot"])
        lens = self.box.point(0, np.asarray(at["ports up the panel"]) + at["camera hole above ports"])
        return working_distance(lens, np.stack(np.broadcast_arrays(0.0, y, 0.0), axis=-1))

    def _optics(self):
        return {"field_of_view": self._at("field of view"), "close_focus": self._at("close focus")}

    def _camera(self, placement):
        return camera_of(placement, shape=_SHAPE, **self._optics())

    def _drawings(self, placement):
        how = {"numbers": self.numbers.value, "shape": _SHAPE} | self._optics()
        return [plain_section(placement, self.box, width=500, **how), plain_monitor(placement, width=340, **how)]

    def _rows(self, placement):
        return [row for row in rows_of(placement) if row.quantity in _SHOWN]

    def _facts(self, placement):
        width = width_at_target(self._camera(placement), placement)
        if not width > 0:
            return ()
        scope = width / width_seen(1, _SCOPE)
        return (f"Width seen at the target: <b>{width:.1f} cm</b>, as with a {_SCOPE:g} degree scope from {scope:.1f} cm.",)

    def _notice(self, placement):
        return out_of_view(self._camera(placement), placement).capitalize()

    def _compared(self, placement):
        section, monitor = self.pictures
        camera = self._camera(placement)
        middle = camera.on_plane((0, 0))
        yield "the axis landing at", section.part("axis")["x"][1], middle[1]
        yield "the lens at", section.part("lens")["x"][0], placement.camera[1]
        seen = camera.sees(placement.target) in ("seen", "too near")
        at = camera.project(placement.target) if seen else (float("nan"),) * 2
        image = monitor.part("target")
        yield "the target in the picture at", (image["x"][0], image["y"][0]), at
        if self.numbers.value:
            distance = working_distance(placement.camera, placement.target)
            yield "a distance of", section.words[3], f"{distance:.1f} cm"

    def _take_lens(self, lens):
        if _lenses()[lens] is not None:
            fit(self.controls["field of view"], _lenses()[lens])

    def _leave_lens(self, value):
        wanted = _lenses()[self.choices["lens"].value]
        if wanted is not None and value != on_grid(self.controls["field of view"], wanted):
            self.choices["lens"].value = _BY_HAND

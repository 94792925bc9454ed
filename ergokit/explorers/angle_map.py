"""The manipulation angle over the working plane: where a target may lie for given ports and a given lens."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import ClassVar

import numpy as np
from numpy.typing import ArrayLike

from ergokit._check import an_outline, checked, flag
from ergokit.explorers.small import SmallExplorer, SmallState, Track
from ergokit.figures.angle_map import plain_angle_map
from ergokit.placement import Placement
from ergokit.triangulation import manipulation_angle, working_distance

_SHOWN = (
    "manipulation angle",
    "working distance",
    "depth",
    "angle seen from above",
    "length inside",
    "elevation angle",
    "view angle",
)
_TRACKS = {
    "port spacing": Track("distance between the two ports", 4, 40, 16),
    "left port height": Track("above the floor", 2, 25, 10.8),
    "right port height": Track("above the floor", 2, 25, 10.8),
    "target sideways": Track("right positive", -20, 20, 0),
    "target away": Track("from the port line, away from the operator", -20, 20, 8.6),
    "lens away": Track("from the port line, away from the operator", -20, 20, 4.7),
    "lens height": Track("above the floor", 2, 25, 14.5),
}


@checked(outline=an_outline, numbers=flag)
def angle_map_explorer(outline: ArrayLike | None = None, *, numbers: bool = True) -> SmallExplorer:
    """Explore the map of manipulation angles on the floor of the box, seen from above.

    `outline` is a line to draw on the map, such as the outline of a box, of shape (n, 2) or (n, 3).

    >>> explorer = angle_map_explorer()
    >>> explorer.controls["port spacing"].value = 20
    >>> explorer.placement.right_port
    array([10. ,  0. , 10.8])
    """
    return SmallExplorer(AngleMap(tracks=_TRACKS, outline=outline, numbers=numbers))


@dataclass(frozen=True, kw_only=True)
class AngleMap(SmallState):
    """Two ports, a lens and a target on the floor."""

    outline: ArrayLike | None

    shown = _SHOWN
    opening = (
        "A map of the floor of the box seen from above, with contours where the manipulation angle is 45, 60 and 75 degrees. "
        "The map also shows the ports, the lens, and the circle within which the lens is at most 15 cm away."
    )
    holds: ClassVar[dict] = {
        "manipulation angle": ("target away", "port spacing"),
        "working distance": ("lens away", "target away"),
    }

    def points(self):
        half = np.asarray(self["port spacing"]) / 2
        return {
            "left_port": _point(-half, 0, self["left port height"]),
            "right_port": _point(half, 0, self["right port height"]),
            "target": _point(self["target sideways"], self["target away"], 0),
            "camera": _point(0, self["lens away"], self["lens height"]),
        }

    @cached_property
    def placement(self):
        return Placement(**self.points())

    def value(self, quantity):
        points = self.points()
        if quantity == "working distance":
            return working_distance(points["camera"], points["target"])
        return manipulation_angle(points["left_port"], points["right_port"], points["target"])

    def drawings(self):
        return [plain_angle_map(self.placement, numbers=self.numbers, outline=self.outline)]

    def compared(self, pictures):
        [map_] = pictures
        contour, target = map_.part("angle"), map_.part("target")
        ports = self.placement.left_port, self.placement.right_port
        corner = np.array([contour["x"][0], contour["y"][0], 0])
        yield "an angle in its corner of", contour["z"][0][0], manipulation_angle(*ports, corner)
        yield "the target at", (target["x"][0], target["y"][0]), self.placement.target[:2]
        yield "the right port at", map_.part("right port")["x"][0], ports[1][0]
        if self.numbers:
            yield "an angle of", map_.words[3], f"{self.value('manipulation angle'):.1f}°"


def _point(x, y, z):
    return np.stack(np.broadcast_arrays(x, y, z), axis=-1).astype(float)

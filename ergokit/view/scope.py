"""A scope: a shaft that slides and swings through its port, and a view that leans off it.

Port, target and view do not fix a scope. With the shaft's direction given the target is in the middle of the picture from
one tip at most (`Scope.along_shaft`). With the distance given instead the shaft may lie anywhere on a cone about the line
from port to target (`Scope.at_distance`). With neither given two numbers stay free, the distance and the place on the cone.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from ergokit._check import SMALLEST, between, directions, lengths, numbers, one, refused
from ergokit.triangulation import _ROUNDING, off_centre_angle, working_distance
from ergokit.view.camera import Camera, as_tuple, level

__all__ = ["Scope"]

_TURN = "an angle in degrees"


@dataclass(frozen=True)
class Scope:
    """A rigid scope in its port: where its tip is and what it looks at.

    port, shaft, inserted_length
        the port, the direction from it to the tip, and how far in the tip is, in cm; 0 is a tip at the port
    direction_of_view
        of the optical axis off the shaft, 0 to 90 degrees. Laparoscopes have 0, 30 or 45; 12, 25, 50, 70 and 90 are made
        too (from memory)
    post_angle
        how far the scope is turned about its shaft, read from its light post, in degrees. At 0 the post points up: of all
        directions across the shaft it has the one nearest to the vertical. Positive is anticlockwise as seen by who
        holds the scope and looks along the shaft to the tip: at 90 the post points to that person's left. The view leans away
        from the post (from memory), so at 0 the scope looks down and at 90 to the right
    head_angle
        how far the camera head is turned about the shaft, in degrees, positive clockwise as seen from behind, as the `roll` of
        a `Camera`. At 0 the head's own up points where the post does at 0

    Head and post turn apart: turning the post leaves the head still. The top of the picture is the head's up carried along
    by the view, by the rotation that takes the shaft's direction to the optical axis.

    On a vertical shaft "up" is as in the picture of a `Camera`: away from the operator where the shaft points down, towards
    the operator where it points up.

    >>> scope = Scope(port=(0, 0, 20), shaft=(0, 3, -4), inserted_length=10)
    >>> scope.tip
    array([ 0.,  6., 12.])
    >>> scope.axis.round(4)
    array([ 0.    ,  0.1196, -0.9928])
    """

    port: ArrayLike
    shaft: ArrayLike
    inserted_length: float
    direction_of_view: float = 30.0
    post_angle: float = 0.0
    head_angle: float = 0.0

    def __post_init__(self):
        checked = {
            "port": as_tuple("port", self.port),
            "shaft": as_tuple("shaft", self.shaft, directions),
            "inserted_length": one("inserted_length", self.inserted_length, lengths, zero=True),
            "direction_of_view": one("direction_of_view", self.direction_of_view, _views),
            "post_angle": one("post_angle", self.post_angle, numbers, _TURN),
            "head_angle": one("head_angle", self.head_angle, numbers, _TURN),
        }
        for name, value in checked.items():
            object.__setattr__(self, name, value)

    @classmethod
    def along_shaft(
        cls, port: ArrayLike, shaft: ArrayLike, target: ArrayLike, direction_of_view: float = 30, head_angle: float = 0
    ) -> Scope:
        """The scope with this shaft that has the target in the middle of its picture: there is at most one.

        With the target a along the shaft and b off it, the tip is at l = a - b / tan(v), b / sin(v) from the target. ValueError
        where there is none: a target on the shaft's own line can only be seen straight on, one off it only with an angle,
        and the tip cannot be outside the port. A view of 0 degrees shows a target on its line from anywhere: `at_distance`.

        >>> scope = Scope.along_shaft((0, 0, 20), shaft=(0, 0, -1), target=(0, 6, 0), direction_of_view=45)
        >>> round(scope.inserted_length, 9), round(scope.post_angle, 9)
        (14.0, 180.0)
        """
        port, target, sight = _sight(port, target)
        u = np.array(as_tuple("shaft", shaft, directions))
        u = u / np.linalg.norm(u)
        view = one("direction_of_view", direction_of_view, _views)
        along = sight @ u
        across = sight - along * u
        off, rounding = np.linalg.norm(across), _ROUNDING * np.linalg.norm([port, target])
        if not view and off <= rounding:
            raise ValueError("A 0 degree scope has many places along this shaft; give the distance instead (shaft).")
        if not view:
            raise ValueError(
                f"The target is {off:.1f} cm beside the line of the shaft, where a 0 degree scope cannot show it (shaft)."
            )
        if off <= rounding:
            raise ValueError(
                f"A {view:g} degree scope does not look along its shaft; point the shaft beside the target (shaft)."
            )
        inside = along - off / np.tan(np.radians(view))
        if inside < -rounding / np.sin(np.radians(view)):
            raise ValueError(f"The tip would be {-inside:.1f} cm outside the port; point the shaft elsewhere (shaft).")
        return cls(port, u, max(inside, 0.0), view, _post_angle(u, across), head_angle)

    @classmethod
    def at_distance(
        cls,
        port: ArrayLike,
        target: ArrayLike,
        distance: float,
        direction_of_view: float = 30,
        swing: float = 0,
        head_angle: float = 0,
    ) -> Scope:
        """The scope that has the target in the middle of its picture at a distance, its shaft `swing` degrees round the cone.

        With D from port to target the tip is at l = -d cos(v) + sqrt(D^2 - d^2 sin^2(v)), for 0 < d <= D; the shaft lies on a
        cone of half-angle asin(d sin(v) / D) about the line from port to target. With a `swing` of 0 it lies in the vertical
        plane through that line, above it, and looks down, as a scope with its post up does; positive is clockwise as seen
        from the port, so at 90 the shaft lies to the right of the line and looks to the left.

        >>> scope = Scope.at_distance((0, 0, 12), (0, 10, 0), distance=10)
        >>> scope.inserted_length, scope.distance_to((0, 10, 0)), scope.post_angle  # doctest: +ELLIPSIS
        (6.138..., np.float64(10.0...), 0.0)
        """
        port, target, sight = _sight(port, target)
        reach = float(np.linalg.norm(sight))
        d, view = one("distance", distance, lengths), one("direction_of_view", direction_of_view, _views)
        if d > reach * (1 + _ROUNDING):
            raise refused("distance", f"at most the {reach:.1f} cm from the port to the target", d)
        d = min(d, reach)
        along, across = d * np.cos(np.radians(view)), d * np.sin(np.radians(view))
        root = np.sqrt((reach - across) * (reach + across))
        t, turn = sight / reach, np.radians(one("swing", swing, numbers, _TURN))
        right, up = level(t)
        side = np.cos(turn) * up + np.sin(turn) * right
        sine, cosine = across / reach, root / reach  # of the cone's half-angle
        u, w = cosine * t + sine * side, sine * t - cosine * side
        # l = root - along, without the digits that this loses where the tip is near the port
        inside = (reach - d) * (reach + d) / (root + along)
        return cls(port, u, inside, view, _post_angle(u, w), head_angle)

    @cached_property
    def _held(self):
        """Unit vectors along the shaft, and to the right and to the top of what a straight scope shows with its head at 0."""
        u = np.array(self.shaft) / np.linalg.norm(self.shaft)
        return u, *level(u)

    @property
    def inwards(self) -> np.ndarray:
        """Unit vector along the shaft, from the port to the tip."""
        return self._held[0]

    @property
    def tip(self) -> np.ndarray:
        """The tip, shape (3,), in cm."""
        return np.add(self.port, self.inserted_length * self.inwards)

    @property
    def light_post(self) -> np.ndarray:
        """Unit vector in which the light post points, across the shaft."""
        _, right, up = self._held
        turn = np.radians(self.post_angle)
        return np.cos(turn) * up - np.sin(turn) * right

    @property
    def axis(self) -> np.ndarray:
        """Unit vector along the optical axis."""
        view = np.radians(self.direction_of_view)
        return np.cos(view) * self.inwards - np.sin(view) * self.light_post

    @property
    def up(self) -> np.ndarray:
        """Unit vector that points to the top of the picture, perpendicular to the optical axis."""
        u, right, up = self._held
        turn, view, post = np.radians(self.head_angle), np.radians(self.direction_of_view), self.light_post
        head = np.cos(turn) * up + np.sin(turn) * right
        # The head's part along the post goes where the view takes the post; its part across post and shaft stays.
        return head + (head @ post) * ((np.cos(view) - 1) * post + np.sin(view) * u)

    def camera(self, **optics: float) -> Camera:
        """The `Camera` that says what the monitor shows; `optics` are its field of view, shape and close focus by name.

        >>> round(Scope((0, 0, 20), (0, 3, -4), 10, head_angle=20).camera(field_of_view=60).roll, 9)
        20.0
        """
        axis = self.axis
        right, up = level(axis)
        roll = np.degrees(np.arctan2(self.up @ right, self.up @ up))
        return Camera(self.tip, axis, roll=roll, **optics)

    def distance_to(self, target: ArrayLike) -> float | np.ndarray:
        """From the tip to a target, in cm.

        >>> Scope((0, 0, 20), (0, 3, -4), 10).distance_to((0, 6, 0))
        np.float64(12.0)
        """
        return working_distance(self.tip, target)

    def angle_gained(self, target: ArrayLike) -> float | np.ndarray:
        """How far the line of sight is turned from that of a 0 degree scope in the same port, aimed at the target, in degrees.

        >>> scope = Scope.at_distance((0, 0, 18), (0, 0, 0), distance=10)
        >>> round(scope.angle_gained((0, 0, 0)), 1)
        np.float64(13.9)
        """
        return off_centre_angle(self.port, target, aim=self.axis)


def _sight(port, target) -> tuple[tuple, tuple, np.ndarray]:
    """Port, target and the vector from one to the other."""
    port, target = as_tuple("port", port), as_tuple("target", target)
    sight = np.subtract(target, port)
    if np.linalg.norm(sight) < SMALLEST:
        raise refused("target", "another point", problem=f"The port and the target are both at {target}")
    return port, target, sight


def _post_angle(u, w):
    """The turn of a scope with shaft u that looks towards w, a vector across u."""
    right, up = level(u)
    return np.degrees(np.arctan2(w @ right, -(w @ up)))


def _views(name, value):
    angle = between(name, value, 0, 90, "an angle of 0 to 90 degrees")
    # a view of less turns the tip's place into hundreds of digits
    return np.where(angle < SMALLEST, 0.0, angle)

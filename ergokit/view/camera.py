"""What the monitor shows: a pinhole camera, and how much of the work its field of view covers.

Picture coordinates count from the middle of the picture, x to the right and y up, in half-widths: the picture ends
at x = -1 and 1 and, with a shape of width over height, at y = -1/shape and 1/shape. A level camera shows the horizon
level; one looking straight down shows what lies away from the operator (+y) at the top, one looking straight up what
lies towards the operator. A real lens also bends straight lines, a wide one visibly; a pinhole does not.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from ergokit._check import broadcasting, directions, lengths, numbers, one, one_point, one_word, points, refused, shaped
from ergokit.triangulation import _ROUNDING

__all__ = ["Camera", "FieldOfView", "PictureOnPlane", "equivalent_distance", "field_of_view", "width_seen"]

_ANGLE_OF_VIEW = "an angle of more than 0 and less than 180 degrees"


class FieldOfView(NamedTuple):
    """The angles a picture spans across its width, its height and its diagonal, in degrees."""

    horizontal: float | np.ndarray
    vertical: float | np.ndarray
    diagonal: float | np.ndarray


class PictureOnPlane(NamedTuple):
    """The part of a plane that a picture shows: its `corners`, shape (n, 3), and whether that is the `whole` picture."""

    corners: np.ndarray
    whole: bool


@dataclass(frozen=True)
class Camera:
    """A pinhole camera: where it is, where it looks and how wide.

    `position` is the lens or the scope's tip, `aim` the direction of the optical axis; `looking_at` and `lying_flat` take
    a target or a panel instead. `roll` turns the camera clockwise as seen from behind it, so that the picture turns
    anticlockwise. `field_of_view` is across the width of the picture, `shape` its width over its height. `close_focus` is
    the nearest distance along the optical axis that is sharp.

    The default field is typical of a laparoscope (about 70 degrees, from a secondary source; stated across its round picture,
    from memory), the default shape that of a monitor (common practice).

    >>> camera = Camera(position=(0, 0, 20), aim=(0, 0, -1), field_of_view=90)
    >>> camera.project([(20, 0, 0), (0, 10, 0), (0, 0, 30)])
    array([[1. , 0. ],
           [0. , 0.5],
           [nan, nan]])
    """

    position: ArrayLike
    aim: ArrayLike
    roll: float = 0.0
    field_of_view: float = 70.0
    shape: float = 16 / 9
    close_focus: float = 0.0

    def __post_init__(self):
        checked = {
            "position": as_tuple("position", self.position),
            "aim": as_tuple("aim", self.aim, directions),
            "roll": one("roll", self.roll, numbers, "an angle in degrees"),
            "field_of_view": one("field_of_view", self.field_of_view, _angles_of_view),
            "shape": one("shape", self.shape, lengths, takes="a width over a height, more than 0"),
            "close_focus": one("close_focus", self.close_focus, lengths, zero=True),
        }
        for name, value in checked.items():
            object.__setattr__(self, name, value)

    @classmethod
    def looking_at(cls, position: ArrayLike, target: ArrayLike, **optics: float) -> Camera:
        """A camera with `target` in the middle of its picture; `optics` are the other fields by name.

        >>> Camera.looking_at((0, 0, 12), (0, 10, 0), field_of_view=60).aim
        (0.0, 10.0, -12.0)
        """
        position, target = as_tuple("position", position), as_tuple("target", target)
        if position == target:
            raise refused("target", "another point", problem=f"The camera and the target are both at {target}")
        return cls(position, np.subtract(target, position), **optics)

    @classmethod
    def lying_flat(cls, position: ArrayLike, panel_normal: ArrayLike, **optics: float) -> Camera:
        """A phone lying flat on a panel: it looks into the box, against the panel's outward normal.

        >>> Camera.lying_flat((0, -9, 12), (0, -0.6, 0.8)).aim
        (0.0, 0.6, -0.8)
        """
        return cls(position, np.subtract(0.0, as_tuple("panel_normal", panel_normal, directions)), **optics)

    @cached_property
    def _frame(self):
        """Rows: unit vectors to the picture's right, to its top, and along the optical axis."""
        axis = np.array(self.aim) / np.linalg.norm(self.aim)
        right, up = level(axis)
        turn = np.radians(self.roll)
        return np.array([right * np.cos(turn) - up * np.sin(turn), up * np.cos(turn) + right * np.sin(turn), axis])

    @property
    def axis(self) -> np.ndarray:
        """Unit vector along the optical axis."""
        return self._frame[2]

    @property
    def up(self) -> np.ndarray:
        """Unit vector that points to the top of the picture, perpendicular to the optical axis."""
        return self._frame[1]

    @property
    def right(self) -> np.ndarray:
        """Unit vector that points to the right of the picture."""
        return self._frame[0]

    @property
    def vertical_field_of_view(self) -> float:
        """The angle across the height of the picture, in degrees.

        >>> round(Camera((0, 0, 0), (0, 1, 0), field_of_view=90, shape=1).vertical_field_of_view, 6)
        90.0
        """
        return float(np.degrees(2 * np.arctan(self._half_width / self.shape)))

    @property
    def _half_width(self):
        """Half the width seen at a distance of 1."""
        return np.tan(np.radians(self.field_of_view) / 2)

    def project(self, point: ArrayLike) -> np.ndarray:
        """Picture coordinates of points, shape (..., 2); NaN where a point is not in front of the camera.

        A point in front of the camera but beyond the edge has a place too; `sees` says which points are in view.

        >>> Camera((0, 0, 12), (0, 1, 0), field_of_view=90).project((5, 10, 7))
        array([ 0.5, -0.5])
        """
        return self._picture(self._from_lens(points("point", point)))

    @broadcasting
    def project_segment(self, start: ArrayLike, end: ArrayLike) -> np.ndarray:
        """Picture coordinates of the part of a segment, a shaft say, that the picture shows: its two ends, shape (..., 2, 2).

        NaN where no part of it shows. A segment seen end on is a single dot.

        >>> camera = Camera((0, 0, 20), (0, 0, -1), field_of_view=90)
        >>> camera.project_segment((0, 0, 0), (90, 0, 0))
        array([[0., 0.],
               [1., 0.]])
        """
        start, end = self._from_lens(points("start", start)), self._from_lens(points("end", end))
        at_start, at_end = np.broadcast_arrays(self._to_edges(start), self._to_edges(end))
        with np.errstate(divide="ignore", invalid="ignore"):
            crossing = at_start / (at_start - at_end)  # the share of the way at which the segment crosses each edge
        enters = np.where(at_start < at_end, crossing, 0.0).max(axis=-1).clip(min=0.0)
        leaves = np.where(at_start > at_end, crossing, 1.0).min(axis=-1).clip(max=1.0)
        beside = (at_start == at_end) & (at_start < 0)
        shows = (enters < leaves) & ~beside.any(axis=-1)
        share = np.stack([enters, leaves], axis=-1)[..., None]
        ends = start[..., None, :] + share * (end - start)[..., None, :]
        at_lens = np.linalg.norm(ends, axis=-1) <= 1e-9 * np.linalg.norm(end - start, axis=-1)[..., None]
        ends = np.where(at_lens[..., None], ends[..., ::-1, :], ends)  # seen through the lens itself, end on: a dot
        ends = self._picture(ends)
        return np.where(shows[..., None, None], ends, np.nan)

    def sees(self, point: ArrayLike) -> str | np.ndarray:
        """For each point one of the words 'seen', 'too near' (than the close focus), 'out of view' and 'behind'.

        >>> camera = Camera((0, 0, 20), (0, 0, -1), close_focus=12)
        >>> camera.sees([(0, 0, 0), (0, 0, 10), (50, 0, 0), (0, 0, 25)]).tolist()
        ['seen', 'too near', 'out of view', 'behind']
        """
        from_lens = self._from_lens(points("point", point))
        out_of_view = (self._to_edges(from_lens) < 0).any(axis=-1)
        too_near = from_lens[..., 2] < self.close_focus
        cases = [~_in_front(from_lens), out_of_view, too_near]
        return np.select(cases, ["behind", "out of view", "too near"], "seen")[()]

    @broadcasting
    def on_plane(self, picture: ArrayLike, height: float = 0, *, normal: ArrayLike | None = None) -> np.ndarray:
        """The points of a plane that appear at these picture coordinates: shape (..., 2) to (..., 3), in cm.

        The plane is level at `height` or, with a `normal`, `height` from the origin along it. NaN where the line of sight
        misses the plane. The picture's middle on the floor:

        >>> Camera.lying_flat((0, -9, 12), (0, -0.6, 0.8)).on_plane((0, 0)).round(6)
        array([0., 0., 0.])
        """
        picture = numbers("picture", picture, "two picture coordinates x, y")
        if picture.ndim == 0 or picture.shape[-1] != 2:
            raise refused("picture", "two picture coordinates x, y", picture, shaped(picture) if picture.ndim else None)
        above, towards, sight = self._sight(picture, height, normal)
        sloping = np.abs(towards) > _ROUNDING * np.linalg.norm(sight, axis=-1)
        with np.errstate(divide="ignore", invalid="ignore"):
            along = above / towards
        along = np.where(sloping & (along > 0), along, np.nan)
        return self.position + along[..., None] * sight

    @broadcasting
    def picture_on_plane(self, height: float = 0, *, normal: ArrayLike | None = None, farthest: float = 100) -> PictureOnPlane:
        """Outline of what the picture shows of a plane: a `PictureOnPlane`, its corners in order around it.

        Four corners where the whole picture falls on the plane. A picture that reaches the horizon shows a region without
        end: it is cut `farthest` cm along the optical axis and `whole` is False; three to five corners then, or
        none where the camera looks away from the plane or lies in it. The plane is given as in `on_plane`.

        >>> Camera((0, 0, 20), (0, 0, -1), field_of_view=90, shape=2).picture_on_plane().corners.round(6)
        array([[-20., -10.,   0.],
               [ 20., -10.,   0.],
               [ 20.,  10.,   0.],
               [-20.,  10.,   0.]])
        >>> Camera((0, 0, 20), (0, 1, -0.1)).picture_on_plane().whole
        False
        """
        farthest = one("farthest", farthest, lengths)
        corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) / [1, self.shape]
        above, towards, _ = self._sight(corners, height, normal)
        # A line of sight meets the plane above/towards along the axis: near enough where this is positive, and linear in x, y.
        near = np.sign(above) * towards * farthest - np.abs(above)
        kept = []
        for here, after, near_here, near_after in zip(
            corners, np.roll(corners, -1, axis=0), near, np.roll(near, -1), strict=True
        ):
            if near_here > 0:
                kept.append(here)
            if (near_here > 0) != (near_after > 0):
                kept.append(here + (after - here) * near_here / (near_here - near_after))
        on_plane = self.on_plane(np.array(kept), height, normal=normal) if kept else np.empty((0, 3))
        return PictureOnPlane(on_plane, bool((near > 0).all()))

    def _from_lens(self, point) -> np.ndarray:
        """To the right, up and along the optical axis from the lens, in cm."""
        return (point - self.position) @ self._frame.T

    def _picture(self, from_lens):
        along = np.where(_in_front(from_lens), from_lens[..., 2], np.nan)
        return from_lens[..., :2] / (along * self._half_width)[..., None]

    def _to_edges(self, from_lens):
        """Four numbers, each positive on the picture's side of the plane through the lens and one edge; linear in space."""
        across, up, along = from_lens[..., 0], from_lens[..., 1], from_lens[..., 2]
        side, top = along * self._half_width, along * (self._half_width / self.shape)
        return np.stack([side - across, side + across, top - up, top + up], axis=-1)

    def _sight(self, picture, height, normal):
        """The camera's height above a plane; the lines of sight, 1 along the axis; how fast they near the plane."""
        height = one("height", height, numbers, "a height in cm")
        normal = np.array([0.0, 0.0, 1.0] if normal is None else as_tuple("normal", normal, directions))
        normal = normal / np.linalg.norm(normal)
        sight = self.axis + self._half_width * (picture @ self._frame[:2])
        return normal @ self.position - height, -(sight @ normal), sight


@broadcasting
def field_of_view(equivalent_focal_length: ArrayLike, shape: ArrayLike = 4 / 3, matched_on: str = "diagonal") -> FieldOfView:
    """Field of view of a camera from its 35 mm equivalent focal length, in mm as the trade states it: a `FieldOfView`.

    The equivalent lens draws on a frame 36 mm wide and 24 mm high. A picture of another `shape` (width over height; 4/3 for
    most phones' photographs) can be matched to that frame ``"diagonal"`` to diagonal, the usual way (CIPA DCG-001, read in
    an encyclopaedia's words), or on its long side, 36 mm: ``"width"``. A picture of shape 3/2 gives the same both ways; one
    of 4/3 does not, so the angles of a 3:2 lens table are not those of a phone. Video is often cropped further, and steadied
    video more still: measure your own.

    >>> [round(float(angle), 1) for angle in field_of_view(26)]
    [67.3, 53.1, 79.5]
    >>> [round(float(angle), 1) for angle in field_of_view(26, matched_on="width")]
    [69.4, 54.9, 81.7]
    """
    focal_length = lengths("equivalent_focal_length", equivalent_focal_length, takes="a focal length of more than 0 mm")
    shape = lengths("shape", shape, takes="a width over a height, more than 0")
    one_word("matched_on", matched_on, ("diagonal", "width"), "'diagonal' or 'width'")
    # Matched on the width, an upright picture has its long side in its height.
    width = np.hypot(36, 24) * shape / np.hypot(shape, 1) if matched_on == "diagonal" else 36 * np.minimum(shape, 1)
    height = width / shape
    sides = width, height, np.hypot(width, height)
    return FieldOfView(*(np.degrees(2 * np.arctan(side / (2 * focal_length))) for side in sides))


@broadcasting
def width_seen(distance: ArrayLike, field_of_view: ArrayLike) -> float | np.ndarray:
    """The width that a field of view covers at a distance along the optical axis, in cm: 2 d tan(fov/2).

    >>> round(width_seen(10, 70), 1)
    np.float64(14.0)
    """
    return 2 * lengths("distance", distance) * np.tan(np.radians(_angles_of_view("field_of_view", field_of_view)) / 2)


@broadcasting
def equivalent_distance(
    distance: ArrayLike, field_of_view: ArrayLike, other_field_of_view: ArrayLike = 70
) -> float | np.ndarray:
    """Distance at which another field of view covers the same width: of a scope, unless given, against a phone's.

    Objects at the target then look equally large on the monitor; how they overlap in depth stays that of the true distance.

    >>> round(equivalent_distance(15, 60), 1)
    np.float64(12.4)
    """
    return width_seen(distance, field_of_view) / width_seen(1, _angles_of_view("other_field_of_view", other_field_of_view))


def level(axis):
    """Unit vectors to the right and to the top of a level picture whose optical axis is this unit vector."""
    upright = np.array([0.0, 0.0, 1.0])
    if np.hypot(axis[0], axis[1]) <= _ROUNDING * abs(axis[2]):
        upright = np.array([0.0, -np.sign(axis[2]), 0.0])  # as a level camera facing away shows it when tipped down, or up
    right = np.cross(axis, upright)
    right /= np.linalg.norm(right)
    return right, np.cross(right, axis)


def _in_front(from_lens):
    return from_lens[..., 2] > _ROUNDING * np.linalg.norm(from_lens, axis=-1)


def _angles_of_view(name, value):
    angle = lengths(name, value, takes=_ANGLE_OF_VIEW)  # more than 0, as a length is
    if (angle >= 180).any():
        raise refused(name, _ANGLE_OF_VIEW, angle.max())
    return angle


def as_tuple(*checked) -> tuple[float, float, float]:
    return tuple(one_point(*checked).tolist())

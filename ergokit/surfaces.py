"""Where ports may sit: the sloping panels of a wedge box, the lid of a flat box, an insufflated dome.

A surface has one or more faces. A place on a face is (u, v) in cm, as a ruler or a sheet of paper laid on it from
outside gives it. All surfaces answer to the same names, those of `Surface`; where a face is not named it is the first.
The origin is on the floor, at the middle of the base. The thickness of the card is left out.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from ergokit._check import broadcasting, lengths, numbers, one, one_word, points, refused
from ergokit._words import joined

__all__ = ["Dome", "FlatBox", "Surface", "WedgeBox"]

#: A hole this little over an edge (cm) is on it: rounding.
_EDGE = 1e-9
#: A point nearer than this (cm) to a face touches it: a port could lie on the point.
_TOUCHES = 1e-6


class Surface:
    """What every surface can do. `u` and `v` broadcast like numpy; a place off the face raises ValueError."""

    _faces: dict[str, _Panel | _Cap]

    def __post_init__(self):
        for field in fields(self):
            size = one(field.name, getattr(self, field.name), lengths, zero=field.name == "wall")
            object.__setattr__(self, field.name, size)

    @property
    def faces(self) -> tuple[str, ...]:
        """Names of the faces; the first is used if no face is named.

        >>> WedgeBox(50, 40, 30).faces
        ('a', 'b')
        """
        return tuple(self._faces)

    @broadcasting
    def contains(self, u: ArrayLike, v: ArrayLike, radius: ArrayLike = 0, face: str | None = None) -> bool | np.ndarray:
        """Whether a hole of this radius at (u, v) lies wholly on the face.

        >>> FlatBox(40, 30, 20).contains([0, 19.5, 25], 0, radius=0.6)
        array([ True, False, False])
        """
        u, v = _places(u, v)
        return self._face(face).contains(u, v, lengths("radius", radius, zero=True))[()]

    @broadcasting
    def check_hole(self, u: ArrayLike, v: ArrayLike, radius: ArrayLike = 0, face: str | None = None) -> None:
        """Raise ValueError, saying where holes may be, if any hole of this radius misses the face.

        >>> WedgeBox(50, 40, 30).check_hole(10, 39.8, radius=0.6)
        Traceback (most recent call last):
        ValueError: A hole of radius 0.6 cm at u = 10, v = 39.8 cm misses panel a: u runs from -25 to 25 and v from 0 to 40 cm.
        """
        u, v, radius = np.broadcast_arrays(*_places(u, v), lengths("radius", radius, zero=True))
        misses = ~self._face(face).contains(u, v, radius)
        if misses.any():
            at_u, at_v, size = u[misses].flat[0], v[misses].flat[0], radius[misses].flat[0]
            hole = f"A hole of radius {size:g} cm" if size else "A hole"
            raise ValueError(f"{hole} at u = {at_u:g}, v = {at_v:g} cm misses {self._face(face).extent}.")

    @broadcasting
    def point(self, u: ArrayLike, v: ArrayLike, face: str | None = None) -> np.ndarray:
        """The point in space at (u, v), shape (..., 3), in cm.

        >>> WedgeBox(50, 40, 30).point([-10, 10], 20)
        array([[-10.,  -9.,  12.],
               [ 10.,  -9.,  12.]])
        """
        self.check_hole(u, v, face=face)
        return self._face(face).point(*_places(u, v))

    @broadcasting
    def normal(self, u: ArrayLike, v: ArrayLike, face: str | None = None) -> np.ndarray:
        """Unit normal at (u, v), pointing out of the box, shape (..., 3).

        >>> WedgeBox(50, 40, 30).normal(0, 20)
        array([ 0. , -0.6,  0.8])
        """
        self.check_hole(u, v, face=face)
        return self._face(face).normal(*_places(u, v))

    def uv(self, point: ArrayLike, face: str | None = None) -> np.ndarray:
        """The (u, v) of a point, shape (..., 2), in cm: of its foot on the panel, or of the dome straight above or below it.

        No point is refused: `contains` says whether the place is on the face, and its distance to `point` how far off it is.

        >>> WedgeBox(50, 40, 30).uv((10, -9, 12))
        array([10., 20.])
        """
        return self._face(face).uv(points("point", point))

    def encloses(self, point: ArrayLike) -> bool | np.ndarray:
        """Whether a point is in the box: on the floor or above it, and under every face; shape (...) of points (..., 3).

        >>> WedgeBox(50, 40, 30).encloses([(0, 0, 0), (0, 7, 23), (0, 7, 25), (0, 0, -1)])
        array([ True,  True, False, False])
        """
        point = points("point", point)
        inside = point[..., 2] >= -_EDGE
        for face in self._faces.values():
            u, v = np.moveaxis(face.uv(point), -1, 0)
            over = ((point - face.point(u, v)) * face.normal(u, v)).sum(axis=-1)
            inside = inside & face.contains(u, v, 0) & (over < -_TOUCHES)
        return inside

    def outline_uv(self, face: str | None = None) -> np.ndarray:
        """The edge of the face as a closed line in (u, v), shape (n, 2), the first point repeated at the end.

        >>> FlatBox(40, 30, 20).outline_uv()[:2]
        array([[-20., -15.],
               [ 20., -15.]])
        """
        return self._face(face).outline()

    def outline(self, face: str | None = None) -> np.ndarray:
        """The edge of the face as a closed line in space, shape (n, 3), for drawing.

        >>> FlatBox(40, 30, 20).outline()[:2]
        array([[-20., -15.,  20.],
               [ 20., -15.,  20.]])
        """
        return self._face(face).point(*self._face(face).outline().T)

    def bounds(self) -> np.ndarray:
        """Lowest and highest x, y, z, shape (2, 3), in cm.

        >>> FlatBox(40, 30, 20).bounds()
        array([[-20., -15.,   0.],
               [ 20.,  15.,  20.]])
        """
        edges = np.concatenate([self.outline(face) for face in self.faces])
        middles = [self._face(face).point(*np.mean(self.outline_uv(face)[:-1], axis=0)) for face in self.faces]  # a dome's top
        low, high = edges.min(axis=0), np.vstack([edges, middles]).max(axis=0)
        return np.array([(low[0], low[1], 0), high])

    def _face(self, name):
        if name is None:
            return next(iter(self._faces.values()))
        return self._faces[one_word("face", name, self._faces, joined(map(repr, self._faces), "or"))]


@dataclass(frozen=True)
class WedgeBox(Surface):
    """A carton of section `side_a` x `side_b`, cut corner to corner and laid on the cut, in cm.

    `ridge` is its length along the ridge, the width of the box in x. The carton's own right angle is now the ridge. Panel
    ``"a"``, `side_a` long up the slope, faces the operator (-y); panel ``"b"`` faces away. On both, u counts to the right
    from the middle as you stand in front of that panel, outside the box, and v up the slope from its lower edge: a sheet
    drawn in (u, v) fits as it is. On panel b, u to the right is therefore the operator's left.

    >>> box = WedgeBox(ridge=50, side_a=40, side_b=30)
    >>> box.base, box.ridge_height, round(box.slope_a, 1), round(box.slope_b, 1)
    (50.0, 24.0, 36.9, 53.1)
    """

    ridge: float
    side_a: float
    side_b: float

    @property
    def base(self) -> float:
        """Front to back on the floor: the length of the cut, sqrt(a^2 + b^2), in cm."""
        return float(np.hypot(self.side_a, self.side_b))

    @property
    def ridge_height(self) -> float:
        """Height of the ridge above the floor: the right triangle's altitude, a b / sqrt(a^2 + b^2), in cm."""
        return self.side_a * self.side_b / self.base

    @property
    def slope_a(self) -> float:
        """Angle of panel a above the floor, in degrees."""
        return float(np.degrees(np.arctan2(self.side_b, self.side_a)))

    @property
    def slope_b(self) -> float:
        """Angle of panel b above the floor, in degrees; the two make 90."""
        return float(np.degrees(np.arctan2(self.side_a, self.side_b)))

    @cached_property
    def _faces(self):
        half, front, back = self.ridge / 2, (0, -self.base / 2, 0), (0, self.base / 2, 0)
        cos_a, sin_a = self.side_a / self.base, self.side_b / self.base
        return {
            "a": _Panel("panel a", front, (1, 0, 0), (0, cos_a, sin_a), half, 0.0, self.side_a),
            "b": _Panel("panel b", back, (-1, 0, 0), (0, -sin_a, cos_a), half, 0.0, self.side_b),
        }


@dataclass(frozen=True)
class FlatBox(Surface):
    """A box with its ports in a level lid: `width` in x, `depth` in y, `height` of the lid above the floor, in cm.

    Its one face is the ``"lid"``: u counts to the right and v away from the operator, both from the middle of the lid.

    >>> FlatBox(width=40, depth=30, height=20).point(5, -10)
    array([  5., -10.,  20.])
    """

    width: float
    depth: float
    height: float

    @cached_property
    def _faces(self):
        front, back = -self.depth / 2, self.depth / 2
        return {"lid": _Panel("the lid", (0, 0, self.height), (1, 0, 0), (0, 1, 0), self.width / 2, front, back)}


@dataclass(frozen=True)
class Dome(Surface):
    """An insufflated abdomen's shape: a spherical cap stretched along one axis, standing on a wall, in cm.

    `half_width` is half its extent in x and `half_length` in y; the cap is a sphere's across the shorter of the two and
    stretched along the other. `rise` is the cap's height above the wall, at most the shorter half; `wall` the height of
    the rim above the floor. Its one face is the ``"dome"``: u counts to the right and v away from the operator from its
    top, both measured level and not along the skin. A hole of a radius is never let over the rim; at the far ends of the
    longer half it is kept a little farther from it than need be.

    Caution: for education only. A dome models no vessels, bladder or adhesions and is not for planning an operation.

    >>> dome = Dome(half_width=15, half_length=20, rise=6)
    >>> dome.sphere_radius, dome.point(0, [0, 20]).tolist()
    (21.75, [[0.0, 0.0, 16.0], [0.0, 20.0, 10.0]])
    """

    half_width: float
    half_length: float
    rise: float
    wall: float = 10.0

    def __post_init__(self):
        super().__post_init__()
        if self.rise > self._shorter:
            raise refused("rise", f"at most the shorter half of the dome, {self._shorter:g} cm", self.rise)

    @property
    def sphere_radius(self) -> float:
        """Radius of the cap's sphere, before stretching, in cm: (a^2 + m^2) / (2 m) for a base of radius a and a rise m."""
        return (self._shorter**2 + self.rise**2) / (2 * self.rise)

    @property
    def _shorter(self):
        return min(self.half_width, self.half_length)

    @cached_property
    def _faces(self):
        return {"dome": _Cap(self.half_width, self.half_length, self.sphere_radius, self.wall + self.rise)}


@dataclass(frozen=True)
class _Panel:
    """A rectangle in space: where (0, 0) is, which way u and v go, and how far."""

    name: str
    origin: tuple
    along_u: tuple
    along_v: tuple
    half: float
    low: float
    high: float

    @property
    def extent(self):
        return f"{self.name}: u runs from {-self.half:g} to {self.half:g} and v from {self.low:g} to {self.high:g} cm"

    def contains(self, u, v, radius):
        room = np.minimum(self.half - np.abs(u), np.minimum(v - self.low, self.high - v))
        return room >= radius - _EDGE

    def point(self, u, v):
        return self.origin + np.multiply.outer(u, self.along_u) + np.multiply.outer(v, self.along_v)

    def normal(self, u, v):
        return np.broadcast_to(np.cross(self.along_u, self.along_v), (*np.shape(u), 3)).copy()

    def uv(self, point):
        from_origin = point - self.origin
        return np.stack([from_origin @ self.along_u, from_origin @ self.along_v], axis=-1)

    def outline(self):
        u, low, high = self.half, self.low, self.high
        return np.array([[-u, low], [u, low], [u, high], [-u, high], [-u, low]])


@dataclass(frozen=True)
class _Cap:
    """A sphere's cap, stretched: half its extents, the sphere's radius and the height of the top above the floor."""

    half_u: float
    half_v: float
    radius: float
    top: float

    @property
    def extent(self):
        return f"the dome: (u / {self.half_u:g})² + (v / {self.half_v:g})² is at most 1"

    @property
    def _shrink(self):
        """What turns u and v back into the sphere's own: 1 across the shorter half, less along the stretched one."""
        shorter = min(self.half_u, self.half_v)
        return shorter / self.half_u, shorter / self.half_v

    def contains(self, u, v, radius):
        # From a smaller copy of the rim, a share of its size, the way out is at least the missing share of the shorter half.
        return (1 - np.hypot(u / self.half_u, v / self.half_v)) * min(self.half_u, self.half_v) >= radius - _EDGE

    def _on_sphere(self, u, v):
        """Level squared distance from the sphere's axis, and height above its centre."""
        shrink_u, shrink_v = self._shrink
        across = (u * shrink_u) ** 2 + (v * shrink_v) ** 2
        return across, np.sqrt(np.maximum(self.radius**2 - across, 0))

    def point(self, u, v):
        across, above_centre = self._on_sphere(u, v)
        z = self.top - across / (self.radius + above_centre)  # top - (R - above_centre), without losing digits in a flat dome
        return np.stack(np.broadcast_arrays(u, v, z), axis=-1)

    def normal(self, u, v):
        shrink_u, shrink_v = self._shrink
        _, above_centre = self._on_sphere(u, v)
        slope = np.stack(np.broadcast_arrays(u * shrink_u**2, v * shrink_v**2, above_centre), axis=-1)
        return slope / np.linalg.norm(slope, axis=-1, keepdims=True)

    def uv(self, point):
        return point[..., :2].copy()

    def outline(self, around=72):
        turn = np.radians(np.linspace(0, 360, around + 1))
        turn[-1] = 0.0  # closes exactly
        return np.stack([self.half_u * np.cos(turn), self.half_v * np.sin(turn)], axis=-1)


def _places(u, v):
    where = "a place on the surface in cm"
    return np.broadcast_arrays(numbers("u", u, where), numbers("v", v, where))

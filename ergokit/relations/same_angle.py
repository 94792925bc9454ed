"""All targets with one manipulation angle, and the space between two such angles.

By the inscribed-angle theorem the targets that see two ports at one angle lie on a circle's arc through both; turned about
the port line it is a spindle torus: its outer sheet below 90 degrees, a sphere at 90, its inner sheet above.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ergokit import triangulation
from ergokit._check import angles, one, one_point, points, refused, whole

_FLAT = "both instruments would lie in one line"
_MOST_STEPS = 2000  # about the port line or along it: a mesh of four million


@dataclass(frozen=True)
class SameAngleSurface:
    """The spindle torus of the targets with one manipulation angle.

    In the half plane through the port line it is an arc of radius `tube_radius` about a centre `centre_depth` from the
    middle of the ports (on the far side of the port line, negative, above 90 degrees). `vertices` (n, 3) and `faces` (m, 3),
    facing outwards, are a closed mesh of it; its first and last vertices are the ports.
    """

    left_port: np.ndarray
    right_port: np.ndarray
    angle: float
    tube_radius: float
    centre_depth: float
    volume: float
    vertices: np.ndarray
    faces: np.ndarray

    def implicit(self, targets: ArrayLike) -> float | np.ndarray:
        """Zero on the surface, negative where the angle is wider, positive where it is narrower; in cm², shape (...)."""
        spacing = triangulation.port_spacing(self.left_port, self.right_port)
        away = points("targets", targets) - (self.left_port + self.right_port) / 2
        h = triangulation.depth(self.left_port, self.right_port, targets)
        return np.sum(away**2, axis=-1) - spacing**2 / 4 - 2 * self.centre_depth * h

    def __repr__(self):
        return f"SameAngleSurface(angle {self.angle:.1f}°, tube radius {self.tube_radius:.1f} cm, volume {self.volume:.1f} cm³)"


@dataclass(frozen=True)
class AngleZone:
    """The space in which the manipulation angle lies between two values, bounded by the surface of each."""

    outer: SameAngleSurface  # of the narrower angle
    inner: SameAngleSurface  # of the wider angle

    @property
    def volume(self) -> float:
        """In cm³."""
        return self.outer.volume - self.inner.volume

    def contains(self, targets: ArrayLike) -> bool | np.ndarray:
        """Where the manipulation angle of a target lies in the zone, its bounds included; False at a port. Shape (...)."""
        targets = points("targets", targets)
        theta = triangulation.manipulation_angle(self.outer.left_port, self.outer.right_port, targets)
        return (theta >= self.outer.angle) & (theta <= self.inner.angle)

    def __repr__(self):
        return f"AngleZone({self.outer.angle:.1f}° to {self.inner.angle:.1f}°, volume {self.volume:.1f} cm³)"


def same_angle_surface(
    left_port: ArrayLike, right_port: ArrayLike, angle: float, around: int = 72, along: int = 48
) -> SameAngleSurface:
    """The surface of all targets with one manipulation angle, as a closed form and as a mesh for drawing.

    `angle` in degrees, more than 0 and less than 180. The mesh has `around` points about the port line and `along`
    steps from port to port. ValueError where the ports coincide.

    >>> surface = same_angle_surface((-9, 0, 12), (9, 0, 12), 60)
    >>> round(surface.tube_radius, 2), round(surface.centre_depth, 2)
    (10.39, 5.2)
    >>> abs(surface.implicit((0, 9 * 3**0.5, 12))) < 1e-9
    np.True_
    """
    left, right = one_point("left_port", left_port), one_point("right_port", right_port)
    theta = np.radians(one("angle", angle, angles, _FLAT))
    around, along = (whole(name, value, 3, _MOST_STEPS) for name, value in (("around", around), ("along", along)))
    spacing = float(triangulation.port_spacing(left, right))
    if spacing == 0:
        raise refused("right_port", "two different places", problem="Both ports are in one place")
    radius = spacing / (2 * np.sin(theta))
    end = np.pi - theta  # the arc turns so far to either side of its deepest point
    turn = np.linspace(-end, end, along + 1)[1:-1]
    x = radius * np.sin(turn)
    h = 2 * radius * np.sin((end + turn) / 2) * np.sin((end - turn) / 2)  # keeps its digits near the ports
    axis, first, second = _frame(right - left)
    about = np.linspace(0, 2 * np.pi, around, endpoint=False)[:, None]
    across = np.cos(about) * first + np.sin(about) * second
    rings = (left + right) / 2 + x[:, None, None] * axis + h[:, None, None] * across
    return SameAngleSurface(
        left_port=left,
        right_port=right,
        angle=float(angle),
        tube_radius=float(radius),
        centre_depth=float(spacing / (2 * np.tan(theta))),
        volume=_volume(spacing, theta),
        vertices=np.concatenate([left[None], rings.reshape(-1, 3), right[None]]),
        faces=_faces(len(turn), around),
    )


def angle_zone(
    left_port: ArrayLike, right_port: ArrayLike, low: float, high: float, around: int = 72, along: int = 48
) -> AngleZone:
    """The space in which the manipulation angle lies from `low` to `high` degrees.

    >>> zone = angle_zone((-9, 0, 12), (9, 0, 12), 45, 75)
    >>> zone.contains([(0, 10, 0), (0, 3, 12), (0, 40, 12)])
    array([ True, False, False])
    >>> round(zone.volume)
    23426
    """
    low, high = one("low", low, angles, _FLAT), one("high", high, angles, _FLAT)
    if low >= high:
        raise refused("low", f"an angle below the high end, {high:g} degrees", low)
    return AngleZone(*(same_angle_surface(left_port, right_port, angle, around, along) for angle in (low, high)))


def _volume(spacing, theta):
    """Space with at least this angle: the arc turned about the port line, as `RELATIONS["same_angle_volume"]` derives it."""
    if theta < 2.5:
        brackets = 2 + np.cos(theta) ** 2 + 3 * (np.pi - theta) / np.tan(theta)
        return float(np.pi * spacing**3 * brackets / (12 * np.sin(theta) ** 2))
    # The thin lens near 180 degrees, where the brackets cancel: the same integral by quadrature.
    end = np.pi - theta
    place, weight = np.polynomial.legendre.leggauss(16)
    turn, radius = end * place, spacing / (2 * np.sin(theta))
    h = 2 * radius * np.sin((end + turn) / 2) * np.sin((end - turn) / 2)
    return float(np.pi * end * np.sum(weight * h**2 * radius * np.cos(turn)))


def _frame(along):
    """The direction of the port line and two directions across it, right-handed."""
    axis = along / np.linalg.norm(along)
    first = np.cross(axis, np.eye(3)[np.argmin(np.abs(axis))])
    first /= np.linalg.norm(first)
    return axis, first, np.cross(axis, first)


def _faces(rings, around):
    """Triangles, facing outwards, of rings of vertices between two poles."""
    here = np.arange(around)
    after = (here + 1) % around
    start = 1 + around * np.arange(rings - 1)[:, None]
    low, low_after, high, high_after = start + here, start + after, start + around + here, start + around + after
    between = np.stack([np.stack([low, low_after, high], -1), np.stack([low_after, high_after, high], -1)])
    last = 1 + around * (rings - 1)
    first_cap = np.stack([np.zeros_like(here), 1 + after, 1 + here], -1)
    last_cap = np.stack([last + here, last + after, np.full_like(here, last + around)], -1)
    return np.concatenate([first_cap, between.reshape(-1, 3), last_cap])

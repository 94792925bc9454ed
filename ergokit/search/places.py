"""Where a port may sit on a surface, as a rectangle of two parameters, and how far it moves within a cell of them.

Inside this room an array of places has shape (2, N), and a vector is a tuple of its three component arrays.
"""

from typing import NamedTuple

import numpy as np

from ergokit._check import refused
from ergokit.search.scene import dot
from ergokit.surfaces import Dome


class Cells(NamedTuple):
    """N cells: the point in their middle, what it moves by along each parameter, and bounds over the whole cell.

    `reach` is the farthest a point of the cell can lie from the middle, and `bend` the largest second derivative of the point
    along any straight way of the parameters from the middle, which is 0 on a plane; both in cm.
    """

    point: tuple
    along: tuple
    half: np.ndarray
    reach: np.ndarray
    bend: np.ndarray

    def of(self, which):
        """Some of the cells."""
        along = tuple(tuple(part if np.ndim(part) == 0 else part[which] for part in way) for way in self.along)
        point = tuple(part[which] for part in self.point)
        return Cells(point, along, self.half[:, which], self.reach[which], self.bend[which])

    def change(self, gradient):
        """By how much what has this gradient changes across half of each cell, along either parameter."""
        return [half * dot(gradient, along) for along, half in zip(self.along, self.half, strict=True)]

    def remainder(self, length, curve, usable):
        """How far off its slope an angle of a shaft can be that has a second derivative of at most curve / length²."""
        shortest = np.where(usable, length - self.reach, 1)
        return (curve * (self.reach / shortest) ** 2 + self.bend / shortest) / 2


def places_on(surface, radius):
    """The places on the first face of `surface` that have room for a hole of this radius."""
    return _OnDome(surface, radius) if isinstance(surface, Dome) else _OnPanel(surface, radius)


class _OnPanel:
    """A flat face: the parameters are u and v themselves."""

    def __init__(self, surface, radius):
        outline = surface.outline_uv()
        self.low, self.high = outline.min(axis=0) + radius, outline.max(axis=0) - radius
        if not (self.low < self.high).all():
            raise refused("hole", "a smaller diameter", problem=f"{2 * radius:g} cm leaves the ports no room on this surface")
        corners = surface.outline()
        width, height = outline[2] - outline[0]
        self._along = (corners[1] - corners[0]) / width, (corners[3] - corners[0]) / height
        self._origin, self._start = corners[0], outline[0]

    def uv(self, places):
        return places

    def from_uv(self, uv):
        return uv

    def points(self, places):
        u, v = places[0] - self._start[0], places[1] - self._start[1]
        return tuple(o + u * a + v * b for o, a, b in zip(self._origin, *self._along, strict=True))

    def cells(self, middle, half):
        reach = np.hypot(*half)
        return Cells(self.points(middle), self._along, half, reach, np.zeros_like(reach))

    def across(self, middle, half):
        """The least u in each cell and the most."""
        return middle[0] - half[0], middle[0] + half[0]


class _OnDome:
    """A dome: the parameters are the share of the way out to the rim and the turn, so that the rim is an edge of the rectangle.

    The point is (U q cos t, V q sin t, z(q)) with U and V half the extents in u and v: the sphere under the stretched cap is
    level at equal q. `reach` and `bend` come from bounds of its derivatives over the cell.
    """

    def __init__(self, surface, radius):
        self._half = surface.half_width, surface.half_length
        self._shorter, self._longer = min(self._half), max(self._half)
        self._sphere, self._top = surface.sphere_radius, surface.rise + surface.wall
        most = 1 - radius / self._shorter
        if most <= 0:
            raise refused("hole", "a smaller diameter", problem=f"{2 * radius:g} cm leaves the ports no room on this surface")
        self.low, self.high = np.array([0.0, -np.pi]), np.array([most, np.pi])

    def uv(self, places):
        share, turn = places
        return np.stack([self._half[0] * share * np.cos(turn), self._half[1] * share * np.sin(turn)])

    def from_uv(self, uv):
        x, y = uv[0] / self._half[0], uv[1] / self._half[1]
        return np.stack([np.hypot(x, y), np.arctan2(y, x)])

    def _height(self, share):
        """Height of the skin, and its first and second derivative by the share, both negative."""
        out = self._shorter * share
        above = np.sqrt(self._sphere**2 - out**2)
        height = self._top - out**2 / (self._sphere + above)
        return height, -self._shorter * out / above, -(self._shorter**2) * self._sphere**2 / above**3

    def points(self, places):
        return (*self.uv(places), self._height(places[0])[0])

    def cells(self, middle, half):
        share, turn = middle
        outermost = np.minimum(share + half[0], self.high[0])
        cos, sin = np.cos(turn), np.sin(turn)
        by_share = self._half[0] * cos, self._half[1] * sin, self._height(share)[1]
        by_turn = -self._half[0] * share * sin, self._half[1] * share * cos, 0 * share
        _, slope, bend = self._height(outermost)  # both grow outwards
        out, round_ = half
        reach = np.hypot(self._longer, slope) * out + self._longer * outermost * round_
        second = np.abs(bend) * out**2 + self._longer * (2 * out * round_ + outermost * round_**2)
        return Cells(self.points(middle), (by_share, by_turn), half, reach, second)

    def across(self, middle, half):
        u, reach = self.uv(middle)[0], self.cells(middle, half).reach
        return u - reach, u + reach

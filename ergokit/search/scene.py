"""Many arrangements at once: the shafts from the targets to the cells of the ports, and how far each can turn.

Arrays have shape (n targets, N cells); angles are in radians. A point that stays in a ball of radius r about another at the
distance L from a target turns its shaft by at most asin(r/L), so every angle between two shafts lies within the sum of their
turns of its value in the middle.
"""

from functools import cached_property
from typing import NamedTuple

import numpy as np

_NEAREST = 1e-12  # cm, instead of dividing by nothing where a point lies on a target


class Shafts(NamedTuple):
    """From the targets to one point of each cell: unit vectors, lengths, the turn and the reach within the cell."""

    unit: tuple
    length: np.ndarray
    turn: np.ndarray
    reach: np.ndarray

    def of(self, which):
        """Some of the cells."""
        return Shafts(tuple(part[:, which] for part in self.unit), *(part[..., which] for part in self[1:]))

    def still(self):
        """The middles alone."""
        return self._replace(turn=np.zeros_like(self.turn), reach=np.zeros_like(self.reach))

    @property
    def ends(self):
        """The least and the largest length within each cell."""
        return np.maximum(self.length - self.reach, 0.0), self.length + self.reach


def shafts(point, reach, targets):
    """Shafts from targets of shape (n, 3) to points, a tuple of three components (N,)."""
    away = tuple(part - targets[:, [axis]] for axis, part in enumerate(point))
    length = np.maximum(np.sqrt(dot(away, away)), _NEAREST)
    return Shafts(tuple(part / length for part in away), length, _asin_from_above(reach / length), reach)


class Scene:
    """Left and right shafts, the shafts to the camera or None, and the points of all of these in the middle of each cell.

    A camera that is `fixed` is the same for all cells, and its arrays have one column.
    """

    def __init__(self, left, right, camera=None, *, ports, fixed=False):
        self.left, self.right, self.camera, self.ports, self.fixed = left, right, camera, ports, fixed
        self.sides = left, right

    @property
    def count(self):
        """The number of cells."""
        return self.left.length.shape[1]

    @cached_property
    def theta(self):
        return between(self.left, self.right)

    @cached_property
    def turn(self):
        return self.left.turn + self.right.turn

    def still(self):
        """The same with every point in the middle of its cell."""
        camera = None if self.camera is None else self.camera.still()
        return Scene(self.left.still(), self.right.still(), camera, ports=self.ports, fixed=self.fixed)

    def of(self, which):
        """Some of the cells."""
        camera = self.camera if self.camera is None or self.fixed else self.camera.of(which)
        ports = [tuple(part[which] for part in port) for port in (self.ports[:2] if self.fixed else self.ports)]
        ports += self.ports[len(ports) :]
        return Scene(self.left.of(which), self.right.of(which), camera, ports=tuple(ports), fixed=self.fixed)


def dot(a, b):
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def between(a, b):
    """The angle between two shafts. Near 0 and 180 degrees acos keeps half the digits: 1e-7, which `ERROR` covers."""
    return np.arccos(np.clip(dot(a.unit, b.unit), -1.0, 1.0))


def distance(a, b):
    """Between points, tuples of three components (N,)."""
    return np.sqrt(sum((p - q) ** 2 for p, q in zip(a, b, strict=True)))


def _asin_from_above(share):
    """At least asin(share), and pi from 1 on: (asin(x) - x)/x³ grows with x, to pi/2 - 1 at 1."""
    return np.where(share < 1, share + (np.pi / 2 - 1) * share**3, np.pi)

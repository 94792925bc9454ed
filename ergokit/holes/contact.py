"""How far apart two bodies are: each a capsule, all points within a radius of a segment. A sphere is one of length zero."""

from functools import reduce
from typing import NamedTuple

import numpy as np


class Capsule(NamedTuple):
    """All points within `radius` of the segment from `start` to `end`, arrays of points in cm (..., 3)."""

    start: np.ndarray
    end: np.ndarray
    radius: float


def gap(one, other):
    """The least distance between the surfaces of two capsules, in cm; negative by how far they would have to move apart.

    >>> ball = Capsule(np.array([0.0, 0, 9]), np.array([0.0, 0, 9]), 5.0)
    >>> rod = Capsule(np.array([-9.0, 0, 0]), np.array([9.0, 0, 0]), 0.5)
    >>> gap(ball, rod)
    np.float64(3.5)
    """
    return between_segments(one.start, one.end, other.start, other.end) - one.radius - other.radius


def between_segments(start, end, other_start, other_end):
    """The least distance between two segments, in cm; points (..., 3) that broadcast.

    The nearest points of two segments are an end of one and a point of the other, or else those of the two whole lines.
    """
    along, across, apart = end - start, other_end - other_start, start - other_start
    ends = [
        _from_point(start, other_start, across),
        _from_point(end, other_start, across),
        _from_point(other_start, start, along),
        _from_point(other_end, start, along),
    ]
    a, b, c = _dot(along, along), _dot(along, across), _dot(across, across)
    d, e = _dot(along, apart), _dot(across, apart)
    with np.errstate(divide="ignore", invalid="ignore"):  # of parallel segments, whose ends are among the nearest
        share, other_share = np.array([b * e - c * d, a * e - b * d]) / (a * c - b * b)
        of_lines = np.linalg.norm(apart + share[..., None] * along - other_share[..., None] * across, axis=-1)
    inside = (share > 0) & (share < 1) & (other_share > 0) & (other_share < 1)
    return reduce(np.minimum, [*ends, np.where(inside, of_lines, np.inf)])


def _from_point(point, start, along):
    """The distance of a point from the segment that runs from `start` by `along`."""
    length = _dot(along, along)
    share = np.clip(_dot(point - start, along) / np.where(length > 0, length, 1), 0, 1)
    return np.linalg.norm(point - start - share[..., None] * along, axis=-1)


def _dot(u, v):
    return np.einsum("...i,...i", u, v)

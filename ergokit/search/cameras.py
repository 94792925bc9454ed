"""Where a free camera can still be, for each cell of ports: a list of cells of its own places, of any length.

A list ends as one place, once the rules hold with the camera there wherever in their cell the ports are; then it also serves
all smaller cells. A cell of ports whose list is empty can be dropped.
"""

from typing import NamedTuple

import numpy as np

from ergokit.search.rules import azimuth_difference
from ergokit.search.scene import Scene, shafts

_LONGEST = 64  # cells in one list: beyond this they are not cut further
_LOOKED_AT = 400_000  # places times targets
_PLACES = (49, 37)  # of a camera along both parameters, for the last choice
_QUARTERS = np.array([[-1, -1, 1, 1], [-1, 1, -1, 1]]) / 2


class Cameras(NamedTuple):
    """The lists of N cells of ports: how long each is, and the middles and half sizes of all their cells, (2, M)."""

    counts: np.ndarray
    middle: np.ndarray
    half: np.ndarray

    @classmethod
    def anywhere(cls, places, cells):
        """The whole surface for each of this many cells of ports."""
        middle, half = (places.low + places.high) / 2, (places.high - places.low) / 2
        return cls(np.ones(cells, int), *(np.repeat(part[:, None], cells, axis=1) for part in (middle, half)))

    @property
    def owner(self):
        return np.repeat(np.arange(self.counts.size), self.counts)

    def of(self, which):
        """The lists of some of the cells of ports, given by their indices."""
        count, start = self.counts[which], (np.cumsum(self.counts) - self.counts)[which]
        rows = np.repeat(start - (np.cumsum(count) - count), count) + np.arange(count.sum())
        return Cameras(count, self.middle[:, rows], self.half[:, rows])

    def joined(self, other):
        return Cameras(*(np.concatenate(pair, axis=-1) for pair in zip(self, other, strict=True)))

    def kept(self, rows):
        """The lists with only these of their cells."""
        count = np.bincount(self.owner[rows], minlength=self.counts.size)
        return Cameras(count, self.middle[:, rows], self.half[:, rows])

    def cut(self, where):
        """The lists with these of their cells in quarters."""
        parts = np.where(where, 4, 1)
        middle, half = np.repeat(self.middle, parts, axis=1), np.repeat(self.half, parts, axis=1)
        quarter = np.arange(parts.sum()) - np.repeat(np.cumsum(parts) - parts, parts)
        cut = np.repeat(where, parts)
        middle = middle + np.where(cut, _QUARTERS[:, quarter] * half, 0)
        count = np.bincount(self.owner, parts, minlength=self.counts.size).astype(int)
        return Cameras(count, middle, np.where(cut, half / 2, half))


def looked_through(task, scene, cameras, size):
    """The lists of a scene's cells of ports without what the rules rule out; `size` is the turn of the ports' shafts, (N,)."""
    whole = cameras.half.any(axis=0)
    wide = task.places.cells(cameras.middle, cameras.half).reach / task.farthest > size[cameras.owner]
    cameras = cameras.cut(whole & wide & (4 * cameras.counts <= _LONGEST)[cameras.owner])
    may, owners, first = _tested(task, scene, cameras)
    settled = np.zeros(cameras.counts.size, bool)
    settled[owners] = True
    half = cameras.half.copy()
    half[:, first] = 0
    keep = may & ~settled[cameras.owner]
    keep[first] = True
    return cameras._replace(half=half).kept(keep)


def first_that_holds(task, scene, cameras):
    """Of a scene that is still, the first place in each list with which the rules hold, (2, N), NaN where none does."""
    place = np.full((2, cameras.counts.size), np.nan)
    _, owners, first = _tested(task, scene, cameras._replace(half=np.zeros_like(cameras.half)))
    place[:, owners] = cameras.middle[:, first]
    return place


def evenest(task, arrangement):
    """The arrangement with its camera where the azimuths of both hands differ least, of a grid of places that meet the rules.

    Any camera that meets the rules gives the same angles, so the search takes the first that it finds.
    """
    low, high = task.places.low, task.places.high
    share = min(1.0, np.sqrt(_LOOKED_AT / (np.prod(_PLACES) * len(task.targets))))  # a coarser grid for thousands of targets
    axes = [np.linspace(a, b, max(int(share * count), 3)) for a, b, count in zip(low, high, _PLACES, strict=True)]
    places = np.stack([part.ravel() for part in np.meshgrid(*axes)])
    places = np.concatenate([arrangement[4:, None], places], axis=1)
    all_of_them = np.concatenate([np.repeat(arrangement[:4, None], places.shape[1], axis=1), places])
    scene, _ = task.scene(all_of_them)
    differ = np.where(task.holds(scene), azimuth_difference(scene).max(axis=0), np.inf)
    return all_of_them[:, differ.argmin()]


def _tested(task, scene, cameras):
    """Whether the rules may hold in each cell of cameras; and where they do with it in its middle, the first of each list."""
    may, sure = (np.concatenate(parts) for parts in zip(*_tested_in_part(task, scene, cameras), strict=True))
    found = np.flatnonzero(sure)
    owners, first = np.unique(cameras.owner[found], return_index=True)
    return may, owners, found[first]


def _tested_in_part(task, scene, cameras):
    owner, rules = cameras.owner, task.camera_rules
    together = max(task.at_once // len(task.targets), 16)
    for first in range(0, max(owner.size, 1), together):
        rows = slice(first, first + together)
        some, cells = scene.of(owner[rows]), task.places.cells(cameras.middle[:, rows], cameras.half[:, rows])
        seen = shafts(cells.point, cells.reach, task.targets)
        ports = (*some.ports, cells.point)
        wide, middle = (Scene(some.left, some.right, camera, ports=ports) for camera in (seen, seen.still()))
        everywhere = np.ones(owner[rows].size, bool)
        may = np.logical_and.reduce([everywhere, *(rule.may_hold(wide) for rule in rules)])
        yield may, np.logical_and.reduce([everywhere, *(rule.holds(middle) for rule in rules)])

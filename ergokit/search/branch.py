"""Branch and bound over all pairs of ports: the best found, and a bound below which none can lie.

The four parameters of a pair are cut into cells. A cell is dropped when a rule can hold nowhere in it, or when its lower
bound is no more than the tolerance under the best value found; the others are halved. The least bound of the cells that are
left and of those that were dropped bounds all pairs, at any moment. A free camera is in the rules alone, not in the value:
each cell carries a list of where it can still be.
"""

from copy import copy
from time import monotonic
from typing import NamedTuple

import numpy as np

from ergokit.search.aims import AnyPair, contradicted
from ergokit.search.cameras import Cameras, first_that_holds, looked_through
from ergokit.search.descent import descend, merit
from ergokit.search.pulls import pulls

_MOST = 1_000_000  # cells waiting, of ports and of cameras; beyond this the smallest come first, done with soonest
_FIRST = 6  # cells along each parameter at the start
_STARTS = 2  # descents at the start
_EVERY = 4  # rounds between descents while rules are in the way
_TRIED = 200  # cells among which the start of such a descent is chosen
_TO_TELL = 1.0  # seconds to find out whether rules leave any room


class Search:
    """The state of one search; `rounds` moves it on."""

    def __init__(self, task):
        self.task = task
        self.best, self.value = None, np.inf
        self.dropped = np.inf  # the least bound of the cells dropped for their bound
        self.examined = 0
        self._rounds, self._begun = 0, False  # begun once all of the first grid has been looked at
        self._waiting = _Cells.fresh(task, np.zeros((4, 0)), np.zeros((4, 0)))

    @property
    def lower_bound(self):
        """No arrangement that meets the rules has a smaller value."""
        waiting = self._waiting.bound.min(initial=np.inf) if self._begun else 0.0
        return min(waiting, self.dropped, self.value)

    @property
    def done(self):
        """Whether nothing is left to look at, or the best is known to be near enough to the best possible."""
        return bool(self._begun and (not self.waiting or self.value - self.lower_bound <= np.radians(self.task.tolerance)))

    @property
    def waiting(self):
        """The number of cells still to be looked at."""
        return self._waiting.bound.size

    def rounds(self):
        """Do a round of work at each step, until nothing is left to look at."""
        middle, half = _grid(self.task)
        everywhere = _Cells.fresh(self.task, middle, half)
        count = max(self.task.at_once // len(self.task.targets), 16)
        for first in range(0, middle.shape[1], count):
            self._round(everywhere.of(np.arange(first, min(first + count, middle.shape[1]))))
            yield
        self._begun = True
        for start in self.starts(_STARTS):
            self._try(descend(self.task, start))
            yield
        while not self.done:
            self._round(self._taken())
            yield

    def starts(self, most):
        """Some arrangements of a coarse grid with small values and few rules broken, apart from each other."""
        task = self.task
        middle, half = _grid(task)
        middle = middle[:, task.in_order(middle, half)]
        if task.free_camera:  # between the ports
            between = (task.places.uv(middle[:2]) + task.places.uv(middle[2:4])) / 2
            middle = np.concatenate([middle, task.places.from_uv(between)])
        chosen = []
        spread = (task.high[:4] - task.low[:4]) / 4
        for i in np.argsort(merit(task, middle)):
            if all((np.abs(middle[:4, i] - other[:4]) > spread).any() for other in chosen):
                chosen.append(middle[:, i])
            if len(chosen) == most:
                break
        return chosen

    def _taken(self):
        """Some waiting cells, halved across the side that turns the shafts most."""
        waiting = self._waiting
        count = max(self.task.at_once // (2 * len(self.task.targets)), 16)
        which, rest = np.arange(self.waiting), np.arange(0)
        if self.waiting > count:
            order = waiting.bound if waiting.size < _MOST else waiting.half.prod(axis=0)
            order = np.argpartition(order, count)
            which, rest = order[:count], order[count:]
        taken, self._waiting = waiting.of(which), waiting.of(rest)
        return taken.halved()

    def _try(self, arrangement):
        scene, _ = self.task.scene(arrangement[:, None])
        value = self.task.aim.value(scene.theta)[0]
        if value < self.value and self.task.holds(scene)[0]:
            self.best, self.value = arrangement, value

    def _round(self, cells):
        """Bound these cells, try their middles, and keep those that are still of use."""
        task = self.task
        cells = cells.of(np.flatnonzero(task.in_order(cells.middle, cells.half)))
        self.examined += cells.bound.size
        self._rounds += 1
        if task.few is not None:
            cells, _, _ = self._sifted(cells, task.few)
        cells, scene, parts = self._sifted(cells, task.targets)
        if not cells.bound.size:
            return
        cells = cells._replace(widest=_widest(scene, parts))
        if task.free_camera:
            size = scene.turn.max(axis=0) / 2
            cells = cells._replace(cameras=looked_through(task, scene, cells.cameras, size))
            cells, scene, _ = _some(np.flatnonzero(cells.cameras.counts > 0), cells, scene, parts)
        if cells.bound.size:
            self._try_middles(cells, scene.still())
            self._waiting = self._waiting.joined(cells)

    def _sifted(self, cells, targets):
        """The cells that the rules and the bounds over these targets leave, with their bounds, scene and parts."""
        task = self.task
        scene, parts = task.scene(cells.middle, cells.half, targets)
        allowed = np.logical_and.reduce([rule.may_hold(scene) for rule in task.port_rules])
        cells, scene, parts = _some(np.flatnonzero(allowed), cells, scene, parts)
        if cells.bound.size:
            cells, scene, parts = self._bounded(task.aim.lower_bound(scene), cells, scene, parts)
        if cells.bound.size:
            over, slope = pulls(task.port_rules, scene, parts)
            fits = np.flatnonzero(~contradicted(over, slope))
            cells, scene, parts = _some(fits, cells, scene, parts)
            bound = task.aim.better_bound(scene, parts, (over[:, fits], np.take(slope, fits, axis=-1)))
            cells, scene, parts = self._bounded(bound, cells, scene, parts)
        return cells, scene, parts

    def _bounded(self, bound, cells, scene, parts):
        """The cells with this bound where it is better than their own, without those that it allows to drop."""
        cells = cells._replace(bound=np.maximum(cells.bound, bound))
        far = cells.bound >= self.value - np.radians(self.task.tolerance)
        self.dropped = min(self.dropped, cells.bound[far].min(initial=np.inf))
        return _some(np.flatnonzero(~far), cells, scene, parts)

    def _try_middles(self, cells, scene):
        """Take the best of the cells' middles; and now and then go down from the one that comes nearest to the rules."""
        task = self.task
        value = np.where(task.holds(scene, task.port_rules), task.aim.value(scene.theta), np.inf)
        better = np.flatnonzero(value < self.value)
        better = better[np.argsort(value[better])]
        arrangements = cells.middle[:, better]
        if task.free_camera and better.size:
            camera = first_that_holds(task, scene.of(better), cells.cameras.of(better))
            seen = ~np.isnan(camera[0])
            better, arrangements = better[seen], np.concatenate([arrangements, camera])[:, seen]
        if better.size:
            self.best, self.value = arrangements[:, 0], value[better[0]]
            self._try(descend(task, self.best))
        elif self._rounds % _EVERY == 0 and (self.best is None or not all(rule.unasked for rule in task.rules)):
            least = np.argsort(cells.bound)[:_TRIED]
            arrangements = cells.middle[:, least]
            if task.free_camera:
                some = cells.cameras.of(least)
                arrangements = np.concatenate([arrangements, some.middle[:, np.cumsum(some.counts) - some.counts]])
            self._try(descend(task, arrangements[:, merit(task, arrangements).argmin()]))


class _Cells(NamedTuple):
    """N cells of pairs: middles and half sizes (4, N), bounds, which parameter to halve, and where the camera can be."""

    middle: np.ndarray
    half: np.ndarray
    bound: np.ndarray
    widest: np.ndarray
    cameras: Cameras | None

    @classmethod
    def fresh(cls, task, middle, half):
        count = middle.shape[1]
        cameras = Cameras.anywhere(task.places, count) if task.free_camera else None
        return cls(middle, half, np.zeros(count), np.zeros(count, int), cameras)

    @property
    def size(self):
        """How many cells there are, those of cameras among them."""
        return self.bound.size + (0 if self.cameras is None else self.cameras.middle.shape[1])

    def of(self, which):
        """Some of the cells, given by their indices."""
        cameras = None if self.cameras is None else self.cameras.of(which)
        return _Cells(self.middle[:, which], self.half[:, which], self.bound[which], self.widest[which], cameras)

    def joined(self, other):
        parts = [np.concatenate(pair, axis=-1) for pair in zip(self[:4], other[:4], strict=True)]
        return _Cells(*parts, None if self.cameras is None else self.cameras.joined(other.cameras))

    def halved(self):
        """Both halves of each cell."""
        columns = np.arange(self.bound.size)
        half, shift = self.half.copy(), np.zeros_like(self.half)
        half[self.widest, columns] /= 2
        shift[self.widest, columns] = half[self.widest, columns]
        lower, upper = (self._replace(middle=self.middle + way * shift, half=half) for way in (-1, 1))
        return lower.joined(upper)


def alone(task, rules):
    """Whether any arrangement meets these rules alone; None where a second does not tell."""
    other = copy(task)
    other.rules, other.aim = rules, AnyPair()
    search, start = Search(other), monotonic()
    for _ in search.rounds():
        if search.best is None and monotonic() - start > _TO_TELL:
            return None
    return search.best is not None


def _widest(scene, parts):
    """The parameter of each cell whose halving narrows the turns of the shafts most."""
    turns = []
    for part, ray in zip(parts, scene.sides, strict=True):
        nearest = ray.length.min(axis=0)
        for along, half in zip(part.along, part.half, strict=True):
            turns.append(np.sqrt(sum(np.square(component) for component in along)) * half / nearest)
    return np.argmax(turns, axis=0)


def _some(which, cells, scene, parts):
    return cells.of(which), scene.of(which), [part.of(which) for part in parts]


def _grid(task):
    """The first cells: a grid of the ports' places."""
    low, high = task.low[:4], task.high[:4]
    half = (high - low) / (2 * _FIRST)
    axes = [a + h * (2 * np.arange(_FIRST) + 1) for a, h in zip(low, half, strict=True)]
    middle = np.stack([axis.ravel() for axis in np.meshgrid(*axes, indexing="ij")])
    return middle, np.broadcast_to(half[:, None], middle.shape).copy()

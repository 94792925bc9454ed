"""Branch and bound over all arrangements: the best found, and a bound below which none can lie.

The space of the ports' parameters is cut into cells. A cell is dropped when a rule can hold nowhere in it, or when its lower
bound is no more than the tolerance under the best value found; the others are halved. The least bound of the cells that are
left and of those that were dropped bounds all arrangements, at any moment.
"""

from copy import copy
from time import monotonic

import numpy as np

from ergokit.search.aims import AnyPair, InRange
from ergokit.search.descent import descend

_AT_ONCE = 200_000  # targets times cells in one round: a tenth of a second, and some tens of MB
_MOST_CELLS = 400_000  # waiting; beyond this the smallest are taken first, which are done with soonest
_FIRST = 6  # cells along each parameter of the ports at the start
_STARTS = 4  # descents at the start
_TO_TELL = 1.0  # seconds to find out whether rules leave any room


class Search:
    """The state of one search; `rounds` moves it on."""

    def __init__(self, task):
        self.task = task
        self.best, self.value = None, np.inf
        self.dropped = np.inf  # the least bound of the cells dropped for their bound
        self.examined = 0
        self.by_rule = dict.fromkeys((rule.name for rule in task.rules), 0)
        self.done = False
        self._middle, self._half = _grid(task)
        self._bound = np.full(self._middle.shape[1], -np.inf)
        self._widest = np.zeros(self._middle.shape[1], dtype=np.int8)

    @property
    def lower_bound(self):
        """No arrangement that meets the rules has a smaller value."""
        waiting = self._bound.min(initial=np.inf)
        return max(min(waiting, self.dropped, self.value), 0.0)

    @property
    def waiting(self):
        return self._bound.size

    def rounds(self):
        """Do a round of work at each step, until nothing is left to look at."""
        self._first_round()
        yield
        while self._bound.size and self.value - self.lower_bound > self._enough:
            self._round(*self._taken())
            yield
        self.done = True

    @property
    def _enough(self):
        """A gap of this much ends the search; what counts targets has to be exact."""
        return 1e-9 if isinstance(self.task.aim, InRange) else np.radians(self.task.tolerance)

    def _taken(self):
        """Some waiting cells, halved across the side that turns the shafts most."""
        count = max(_AT_ONCE // (2 * len(self.task.targets)), 16)
        if self._bound.size > count:
            order = self._bound if self._bound.size < _MOST_CELLS else self._half.prod(axis=0)
            rest = np.argpartition(order, count)
            which, rest = rest[:count], rest[count:]
        else:
            which, rest = np.arange(self._bound.size), np.arange(0)
        middle, half, widest = self._middle[:, which], self._half[:, which], self._widest[which]
        self._keep(rest)
        columns = np.arange(which.size)
        half = half.copy()
        half[widest, columns] /= 2
        shift = np.zeros_like(half)
        shift[widest, columns] = half[widest, columns]
        return np.concatenate([middle - shift, middle + shift], axis=1), np.concatenate([half, half], axis=1)

    def _keep(self, which):
        self._middle, self._half = self._middle[:, which], self._half[:, which]
        self._bound, self._widest = self._bound[which], self._widest[which]

    def _first_round(self):
        middle, half = self._middle, self._half
        self._keep(np.arange(0))
        count = max(_AT_ONCE // len(self.task.targets), 16)
        for first in range(0, middle.shape[1], count):
            part = slice(first, first + count)
            self._round(middle[:, part], half[:, part])
        for start in self.starts(_STARTS):
            self._try(descend(self.task, start))

    def starts(self, most):
        """Some arrangements of a coarse grid with small values and few rules broken, apart from each other."""
        middle, _ = _grid(self.task)
        scene, _ = self.task.scene(middle)
        value = self.task.aim.value(scene.theta)
        broken = sum(~rule.holds(scene) for rule in self.task.rules)
        order = np.lexsort((value, broken))
        chosen = []
        spread = (self.task.high - self.task.low) / 4
        for i in order:
            if all((np.abs(middle[:, i] - other) > spread).any() for other in chosen):
                chosen.append(middle[:, i])
            if len(chosen) == most:
                break
        return chosen

    def _try(self, arrangement):
        scene, _ = self.task.scene(arrangement[:, None])
        value = self.task.aim.value(scene.theta)[0]
        if value < self.value and self.task.holds(scene)[0]:
            self.best, self.value = arrangement, value

    def _round(self, middle, half):
        """Bound these cells, try their middles, and keep those that are still of use."""
        task = self.task
        ordered = task.in_order(middle, half)
        middle, half = middle[:, ordered], half[:, ordered]
        if not middle.size:
            return
        self.examined += middle.shape[1]
        scene, cells = task.scene(middle, half)
        useful = np.ones(middle.shape[1], bool)
        for rule in task.rules:
            may = rule.may_hold(scene)
            self.by_rule[rule.name] += int((useful & ~may).sum())
            useful &= may
        bound = np.maximum(task.aim.lower_bound(scene), 0)
        self._try_middles(scene, middle, useful & (bound < self.value))
        cut = self.value - self._enough
        closer = np.flatnonzero(useful & (bound < cut))
        if closer.size:
            some = scene.of(closer)
            left, right = (cell.of(closer) for cell in cells[:2])
            bound[closer] = np.maximum(bound[closer], task.aim.better_bound(some, left, right))
        dropped = useful & (bound >= cut)
        self.dropped = min(self.dropped, bound[dropped].min(initial=np.inf))
        useful &= ~dropped
        if useful.any():
            self._middle = np.concatenate([self._middle, middle[:, useful]], axis=1)
            self._half = np.concatenate([self._half, half[:, useful]], axis=1)
            self._bound = np.concatenate([self._bound, bound[useful]])
            self._widest = np.concatenate([self._widest, self._across(scene, cells, useful)])

    def _try_middles(self, scene, middle, which):
        value = np.where(which, self.task.aim.value(scene.theta), np.inf)
        better = np.flatnonzero(value < self.value)
        if not better.size:
            return
        better = better[np.argsort(value[better])]
        holds = self.task.holds(scene.of(better).still())
        if holds.any():
            found = better[np.argmax(holds)]
            self.best, self.value = middle[:, found], value[found]
            self._try(descend(self.task, self.best))

    def _across(self, scene, cells, which):
        """The parameter of each cell whose halving narrows the turns of the shafts most."""
        rays = [scene.left, scene.right] + ([scene.camera] if self.task.free_camera else [])
        turns = []
        for cell, ray in zip(cells, rays, strict=True):
            nearest = ray.length.min(axis=0)
            for along, half in zip(cell.along, cell.half, strict=True):
                turns.append(np.sqrt(sum(np.square(part) for part in along)) * half / nearest)
        turns = np.stack(turns)
        if self.task.free_camera:
            settled = np.logical_and.reduce([rule.holds(scene) for rule in self.task.camera_rules] or [True])
            turns[4:] = np.where(settled, 0, turns[4:])
        return turns[:, which].argmax(axis=0).astype(np.int8)


def alone(task, rules):
    """Whether any arrangement meets these rules alone; None where a second does not tell."""
    other = copy(task)
    other.rules, other.aim = rules, AnyPair()
    search, start = Search(other), monotonic()
    for _ in search.rounds():
        if search.best is None and monotonic() - start > _TO_TELL:
            return None
    return search.best is not None


def _grid(task):
    """The first cells: a grid of the ports' places, with all of the camera's in each."""
    counts = [_FIRST] * 4 + [1] * (len(task.low) - 4)
    half = (task.high - task.low) / (2 * np.array(counts))
    axes = [low + h * (2 * np.arange(count) + 1) for low, h, count in zip(task.low, half, counts, strict=True)]
    middle = np.stack([axis.ravel() for axis in np.meshgrid(*axes, indexing="ij")])
    return middle, np.broadcast_to(half[:, None], middle.shape).copy()

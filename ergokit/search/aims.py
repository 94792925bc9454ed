"""What the search makes least, in the middle of a cell and, as a true lower bound, anywhere in it.

First order: no manipulation angle leaves its value in the middle by more than the turns of its two shafts. Second order: in
the lengths of the shafts the second derivatives of the angle theta, along any straight way of the two ports, lie between
-max(1, tan(theta/2)) and max(1, cot(theta/2)) (along a shaft and in the plane of both they are -1 and 1, across that plane
-tan(theta/2) and cot(theta/2)); so the angle is its slope in the middle and a remainder of the square of the cell's size.

A sum of deviations with any weights that add to 1 is no more than the worst of them, and its slope can vanish where none of
theirs does. The weights are sought that bring the bound highest; whatever weights are found, the bound is true.
"""

import numpy as np

from ergokit.search.rules import ROUNDING

#: Radians by which every bound is lowered for rounding: acos makes of 1e-15 in its argument at most 5e-8.
ERROR = 1e-7

_PIECES = 8  # targets of which a sum is formed
_STEPS = 24  # in the search for weights
_LEAST = 1e-12  # radians, instead of dividing by nothing
_STRAIGHT = 1e-3  # radians: nearer to 0 and 180 degrees than this the slope is not used


class Worst:
    """The largest deviation of any target from the wanted angle."""

    def __init__(self, wanted):
        self.wanted = wanted

    def value(self, theta):
        return np.abs(theta - self.wanted).max(axis=0)

    def lower_bound(self, scene):
        """First order, shape (N,)."""
        return (np.abs(scene.theta - self.wanted) - scene.turn).max(axis=0) - ERROR

    def better_bound(self, scene, parts, pulled=None):
        """Second order, shape (N,), for what meets the rules; `parts` are the `Cells` of the ports, `pulled` from `pulls`."""
        off = scene.theta - self.wanted
        count = min(_PIECES, len(off))
        if count < len(off):
            chosen = np.argpartition(scene.turn - np.abs(off), count - 1, axis=0)[:count]
        else:
            chosen = np.broadcast_to(np.arange(count)[:, None], off.shape)
        sign = np.sign(np.take_along_axis(off, chosen, 0))
        slope, remainder = _slopes(scene, parts, chosen, sign)
        return _heaviest(np.take_along_axis(np.abs(off), chosen, 0) - remainder, slope, pulled) - ERROR


class AnyPair:
    """Nothing but that the rules hold."""

    def value(self, theta):
        return np.zeros(theta.shape[1])

    def lower_bound(self, scene):
        return np.zeros(scene.theta.shape[1])

    def better_bound(self, scene, parts, pulled=None):
        return self.lower_bound(scene)


def _slopes(scene, parts, chosen, sign):
    """Of the chosen angles, times their sign: the slope times half the cell, (k, 4, N), and the remainder, (k, N).

    The remainder is infinite where a cell comes near to an angle of 0 or 180 degrees, or to the target itself.
    """

    def of(array):
        return np.take_along_axis(array, chosen, 0)

    theta, turn = of(scene.theta), of(scene.turn)
    least, most = theta - turn, theta + turn
    usable = (least > _STRAIGHT) & (most < np.pi - _STRAIGHT)
    curve = np.where(sign > 0, np.tan(np.where(usable, most, 1) / 2), 1 / np.tan(np.where(usable, least, 1) / 2))
    curve = np.maximum(curve, 1)
    cos, sin = np.cos(theta), np.sin(theta)
    sides = [(tuple(map(of, side.unit)), of(side.length), cells) for side, cells in zip(scene.sides, parts, strict=True)]
    slopes, remainder = [], 0.0
    for here, there in (sides, sides[::-1]):
        unit, length, cells = here
        towards = -sign / np.where(usable, sin * length, np.inf)
        across = tuple(towards * (b - cos * a) for a, b in zip(unit, there[0], strict=True))
        slopes += cells.change(across)
        remainder = remainder + cells.remainder(length, curve, usable)
    return np.stack(slopes, axis=1), np.where(usable, remainder, np.inf)


def contradicted(over, slope):
    """Whether rules cannot hold together anywhere in each cell, (N,): some sum of what they are broken by is always positive.

    `over` and `slope` as `pulls` gives them, each row brought to the same change across the cell.
    """
    over, change = over - ROUNDING, np.maximum(np.abs(slope).sum(axis=1), _LEAST)
    found = (over > change).any(axis=0)
    some = np.flatnonzero(~found & ((over > -change).sum(axis=0) > 1))
    scale = change[:, some]
    found[some] = _heaviest(over[:, some] / scale, np.take(slope, some, axis=-1) / scale[:, None]) > 0
    return found


def _heaviest(middle, slope, pulled=None):
    """A high value of min over a box of the sum of w (middle + slope . x), by mirror ascent in the weights w; shape (N,).

    Multiples of the rules in `pulled` are added, more of those that are broken where the sum is least and less of those that
    hold there, each rule scaled to change as much across a cell as the angles do.
    """
    best = (middle - np.abs(slope).sum(axis=1)).max(axis=0)
    usable = np.isfinite(middle)
    middle = np.where(usable, middle, -10.0)  # radians: less than any other
    size = np.maximum(np.abs(slope).sum(axis=1).max(axis=0), _LEAST)
    over, slope_over = (middle[:0], slope[:0]) if pulled is None else pulled
    scale = size / np.maximum(np.abs(slope_over).sum(axis=1), _LEAST)
    over, slope_over = over * scale, slope_over * scale[:, None]
    multiple, push, total = np.zeros_like(over), np.zeros_like(middle), 0.0
    for step in range(_STEPS + 1):
        weights = np.exp(push - push.max(axis=0)) if step < _STEPS else total
        weights = np.where(usable, weights, 0)
        weights = weights / np.maximum(weights.sum(axis=0), 1e-300)
        summed = (weights[:, None] * slope).sum(axis=0) + (multiple[:, None] * slope_over).sum(axis=0)
        value = (weights * middle).sum(axis=0) + (multiple * over).sum(axis=0)
        best = np.maximum(best, value - np.abs(summed).sum(axis=0))
        lowest = -np.sign(summed)
        push = push + 2 / np.sqrt(step + 1) * (middle + (lowest * slope).sum(axis=1)) / size
        total = total + weights
        there = over + (lowest * slope_over).sum(axis=1)
        multiple = np.maximum(multiple + there / size / np.sqrt(step + 1), 0)
    return best

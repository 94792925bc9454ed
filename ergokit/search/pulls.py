"""Rules as slopes, for better bounds where a rule is in the way: by how much it is broken in the middle of a cell, less a
remainder, and how that changes across the cell.

Whatever multiple of this, not negative, is added to the value of a pair that meets the rule, the sum is no larger than the
value. So a bound of the sum is one of the value. Distances are convex: the slope alone bounds them from below, and from
above it needs the square of the way over twice the least distance. An elevation changes as a manipulation angle does, whose
other shaft is upright. The clearance has no slopes here and rules out cells by its span alone.
"""

import numpy as np

from ergokit.search.rules import APART, REACH
from ergokit.search.scene import dot

_WIDEST = 170  # degrees of azimuth difference from which on a limit says next to nothing
_TARGETS = 8  # of which a limit on the azimuth difference has rows: those that break it most
_FLAT = 0.1  # radians off upright within which an elevation's slope is not used


def pulls(rules, scene, parts):
    """One row for each limit, (m, N), and its slopes times half the cell, (m, 4, N)."""
    found = []
    for rule in rules:
        low, high = rule.low, rule.high
        if rule.name in ("inside : outside", REACH, "length inside"):
            for side, (ray, shaft) in enumerate(zip(scene.sides, rule.shafts, strict=True)):
                low, high = _inserted_at(rule, shaft)
                found += _of_lengths(ray.length, ray.unit, low, high, {side: 1}, parts)
        elif rule.name in ("port spacing", APART):
            found += _of_points(scene.ports[0], scene.ports[1], low, high, {0: 1, 1: -1}, parts)
        elif rule.name == "port to camera" and len(scene.ports) == 3:
            for side in (0, 1):
                found += _of_points(scene.ports[side], scene.ports[2], low, high, {side: 1}, parts)
        elif rule.name == "elevation angle":
            for side in (0, 1):
                found += _of_elevations(scene.sides[side], np.radians(low), np.radians(high), side, parts)
        elif rule.name == "azimuth difference" and high < _WIDEST:
            found += _of_azimuths(scene, np.radians(high), parts)
    held = np.full(scene.count, -1.0), np.zeros((2 * len(parts), scene.count))  # where no rule has slopes
    over, slope = (np.stack(part) for part in zip(*(found or [held]), strict=True))
    return over, slope


def _inserted_at(rule, shaft):
    """The ends of the length inside that a rule leaves."""
    if rule.name == "inside : outside":
        return (ratio if np.isinf(ratio) else shaft * ratio / (1 + ratio) for ratio in (rule.low, rule.high))
    return (rule.low, rule.high + shaft) if rule.name == REACH else (rule.low, rule.high)


def _of_points(here, there, low, high, moves, parts):
    way = tuple(a - b for a, b in zip(here, there, strict=True))
    length = np.maximum(np.sqrt(dot(way, way)), 1e-12)[None]
    return _of_lengths(length, tuple(part / length for part in way), low, high, moves, parts)


def _of_lengths(length, unit, low, high, moves, parts):
    """The rows of a distance, (n, N), of the target for which it is longest and of that for which it is shortest."""
    bend = sum(parts[side].bend for side in moves) / 2
    reach = sum(parts[side].reach for side in moves)
    if np.isfinite(high):
        value, *along = _of_target(length.argmax(axis=0), length, *unit)
        yield value - high - bend, _slope(along, moves, parts)
    if np.isfinite(low):
        value, *along = _of_target(length.argmin(axis=0), length, *unit)
        shortest = np.maximum(value - reach, 1e-12)
        yield low - value - bend - reach**2 / (2 * shortest), -_slope(along, moves, parts)


def _of_elevations(ray, low, high, side, parts):
    elevation = np.arctan2(ray.unit[2], np.hypot(ray.unit[0], ray.unit[1]))
    for limit, sign, pick in ((high, 1, elevation.argmax(axis=0)), (low, -1, elevation.argmin(axis=0))):
        if not np.isfinite(limit):
            continue
        value, length, turn, x, y, z = _of_target(pick, elevation, ray.length, ray.turn, *ray.unit)
        steepest = np.abs(value) + turn
        usable = steepest < np.pi / 2 - _FLAT
        cos = np.where(usable, np.cos(value), 1)
        across = tuple(part / (cos * length) for part in (-z * x, -z * y, 1 - z * z))
        remainder = parts[side].remainder(length, np.maximum(np.tan(np.where(usable, steepest, 0)), 1), usable)
        yield sign * (value - limit) - np.where(usable, remainder, 10), sign * _slope(across, {side: 1}, parts)


def _of_azimuths(scene, high, parts):
    """The rows of the azimuth difference, one for each sign of it and each of some targets.

    In the notation of `rules.azimuth_difference` it is at most 2 eta just where |c . (b - a)| is at most
    tan(eta) |c . (b + a)| tan(theta/2). The right side is taken at its most in the cell. In the left one a unit vector
    w/|w| of a point that moves by v has a second derivative of at most 2/sqrt(3) (v/|w|)^2: its parts along and across
    w are v_across^2 and 2 v_along v_across, over |w|^2.
    """
    camera, sides = scene.camera, scene.sides
    towards = [dot(camera.unit, side.unit) for side in sides]
    half_most = np.minimum(scene.theta + scene.turn, np.pi) / 2
    usable = half_most < np.pi / 2 - _FLAT
    along = np.abs(towards[0] + towards[1]) + scene.turn
    most = np.tan(high / 2) * along * np.tan(np.where(usable, half_most, 0))
    remainder = 0.0
    for side, part in zip(sides, parts, strict=True):
        usable &= side.length > part.reach
        remainder = remainder + part.remainder(side.length, 2 / np.sqrt(3), usable)
    across = towards[1] - towards[0]
    slopes = []
    for sign, side, near, part in zip((-1, 1), sides, towards, parts, strict=True):
        gradient = tuple(sign * (c - near * u) / side.length for c, u in zip(camera.unit, side.unit, strict=True))
        slopes += part.change(gradient)
    slopes = np.stack(slopes, axis=1)
    over = np.where(usable, np.abs(across) - most - remainder, -10)
    for target in np.argsort(-over, axis=0)[:_TARGETS]:
        across_here, most_here, fits = _of_target(target, across, most + remainder, usable)
        slope = np.take_along_axis(slopes, target[None, None], 0)[0]
        for sign in (-1, 1):
            yield np.where(fits, sign * across_here - most_here, -10), sign * slope


def _of_target(number, *arrays):
    """Of each array (n, N) what it has for one target of each cell, given by its number (N,)."""
    return [np.take_along_axis(array, number[None], 0)[0] for array in arrays]


def _slope(gradient, moves, parts):
    """The change across half the cell along each parameter, (4, N), of what changes with ports by this gradient."""
    return np.stack([moves.get(side, 0) * each for side, part in enumerate(parts) for each in part.change(gradient)])

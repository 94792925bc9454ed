"""Rules for a pair of ports and a camera, each with the least and the most that its quantity can be within a cell."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ergokit._words import joined
from ergokit.guidance.quantities import TIE, named_in, ranges, rule_in_words
from ergokit.search.scene import between, distance, dot

ROUNDING = 1e-6  # cm or degrees: a cell is ruled out only by more, as acos keeps half the digits near 0 and 180 degrees
REACH = "reach of the instruments"
ORDER = "left port left of the right one"
APART = "two holes side by side"
CLEARANCE = "shaft clearance"
_LEAST = 1e-6  # cm of shaft outside a port, as an instrument all inside cannot be held, and between ports in order


class Slide(NamedTuple):
    """How a scope's tip follows from the distance of its port: no farther from the target than `farthest`, a rule's high end,
    unless the scope is too short for that. A camera at the wall has no length to slide."""

    length: float
    farthest: float

    def tip(self, port):
        """From tip to target, with the port so far from it; rises with it, and never faster."""
        return np.maximum(np.minimum(port, self.farthest), port - self.length)


@dataclass(frozen=True)
class Rule:
    """One quantity that must lie between `low` and `high`, for every target and, where it has sides, on both."""

    name: str
    low: float
    high: float
    shafts: np.ndarray
    slide: Slide

    @property
    def unasked(self):
        """Whether it holds whatever the reader asks for."""
        return self.name in (REACH, APART, ORDER)

    @property
    def needs_camera(self):
        return self.name in _OF_CAMERA

    @property
    def words(self):
        """The rule as one says it."""
        if self.name == REACH:
            return f"reach of {joined(f'{shaft:g}' for shaft in dict.fromkeys(self.shafts))} cm instruments"
        if self.name == APART:
            return f"two holes of {self.low:g} cm side by side"
        return self.name if self.name == ORDER else rule_in_words(self.name, self.low, self.high)

    def bounds(self, scene):
        """The least and the most in each cell, in cm or degrees, both of shape (rows, N)."""
        ends = map(np.concatenate, zip(*_BOUNDS[self.name](scene, self), strict=True))
        return tuple(np.broadcast_to(end, (len(end), scene.count)) for end in ends)

    def may_hold(self, scene):
        """Whether the rule may hold somewhere in each cell, shape (N,)."""
        least, most = self.bounds(scene)
        return ((most >= self.low - ROUNDING) & (least <= self.high + ROUNDING)).all(axis=0)

    def holds(self, scene):
        """Whether the rule holds everywhere in each cell; of a scene that is still, whether it holds."""
        least, most = self.bounds(scene)
        return ((least >= self.low - TIE) & (most <= self.high + TIE)).all(axis=0)


def checked_rules(rules, shafts, camera, hole, slides):
    """The rules as a tuple of `Rule`, first those that hold unasked: the instruments reach, and the holes do not overlap.

    With two lengths the hands cannot change places; then the left port has to be left of the right one. `slides` is the length
    of a scope, 0 for a lens at the wall.
    """
    asked = ranges(rules, named_in("best_ports"))
    slide = Slide(slides, asked.get("working distance", (0.0, np.inf))[1])
    unasked = {REACH: (-np.inf, -_LEAST), APART: (hole, np.inf)}
    if shafts[0] != shafts[1]:
        unasked[ORDER] = (_LEAST, np.inf)
    for name in asked:
        if name in _OF_CAMERA and camera is None:
            raise ValueError(f"The rule {name!r} needs a camera, and there is none; leave the rule out (rules).")
    return tuple(Rule(name, *ends, shafts, slide) for name, ends in (unasked | asked).items())


def azimuth_difference(scene):
    """Of a scene that is still, in degrees, shape (n, N)."""
    [(value, _)] = _azimuth_difference(scene, None)
    return value


# The least and the most of each quantity, for one side after the other where it has sides. A scene that is still has no turn
# and no reach, and both are the value itself.


def _spacing(scene, rule):
    left, right = scene.ports[:2]
    yield _about(distance(left, right)[None], scene.left.reach + scene.right.reach)


def _in_order(scene, rule):
    left, right = scene.ports[:2]
    yield _about((right[0] - left[0])[None], scene.left.reach + scene.right.reach)


def _to_camera(scene, rule):
    *ports, lens = scene.ports
    for port, side in zip(ports, scene.sides, strict=True):
        yield _about(distance(port, lens)[None], side.reach + scene.camera.reach)


def _inserted(scene, rule):
    for side in scene.sides:
        yield _about(side.length, side.reach)


def _beyond_reach(scene, rule):
    """Length inside less shaft."""
    for side, shaft in zip(scene.sides, rule.shafts, strict=True):
        yield _about(side.length - shaft, side.reach)


def _ratio(scene, rule):
    for ends, shaft in zip(_inserted(scene, rule), rule.shafts, strict=True):
        yield tuple(np.where(end < shaft, end / np.maximum(shaft - end, 1e-300), np.inf) for end in ends)  # of this shaft, now


def _elevation(scene, rule):
    for side in scene.sides:
        x, y, z = side.unit
        yield map(np.degrees, _about(np.arctan2(z, np.hypot(x, y)), side.turn))


def _working_distance(scene, rule):
    yield map(rule.slide.tip, _about(scene.camera.length, scene.camera.reach))


def _azimuth_difference(scene, rule):
    """In the instruments' plane the axis lies at eta to the line midway between the shafts a and b, so the two azimuths
    are theta/2 + eta and theta/2 - eta, and tan(eta) = (c . (b - a)) / (c . (b + a)) cot(theta/2) for an axis c.

    The difference is the turn between the two, 0 to 180 degrees; 180 stands also for an axis perpendicular to the plane.
    """
    left, right, camera = scene.left, scene.right, scene.camera
    to_left, to_right = dot(camera.unit, left.unit), dot(camera.unit, right.unit)
    # a unit vector that turns by r moves by at most r and at most 2, and |b - a| and |b + a| are at most 2
    moved = np.minimum(left.turn, 2) + np.minimum(right.turn, 2) + 2 * np.minimum(camera.turn, 2)
    across, along = np.abs(to_right - to_left), np.abs(to_right + to_left)
    half_least, half_most = (np.clip(scene.theta + way * scene.turn, 0, np.pi) / 2 for way in (-1, 1))
    least = np.arctan2(np.maximum(across - moved, 0) * np.cos(half_most), (along + moved) * np.sin(half_most))
    nearest = np.maximum(along - moved, 0) * np.sin(half_least)
    most = np.where(nearest > 0, np.arctan2((across + moved) * np.cos(half_least), nearest), np.pi / 2)
    yield np.degrees(2 * least), np.degrees(2 * most)


def _clearance(scene, rule):
    """From the nearer port to the other shaft, and from the lens to each shaft, which begins at the target.

    The scope runs straight back from its lens, away from the target; so the lens is its nearest point to either shaft.
    """
    nearest, farthest = map(np.minimum, scene.left.ends, scene.right.ends)
    yield nearest * _out_of_line(scene.theta - scene.turn), farthest * _out_of_line(scene.theta + scene.turn)
    if scene.camera is not None:
        nearest, farthest = map(rule.slide.tip, scene.camera.ends)
        for side in scene.sides:
            angle, turn = between(side, scene.camera), side.turn + scene.camera.turn
            yield nearest * _out_of_line(angle - turn), farthest * _out_of_line(angle + turn)


def _out_of_line(angle):
    """Distance from a point at distance 1 along one ray to another ray from the same origin."""
    return np.sin(np.clip(angle, 0, np.pi / 2))


def _about(middle, turn):
    return middle - turn, middle + turn


_BOUNDS = {
    "port spacing": _spacing,
    "port to camera": _to_camera,
    "length inside": _inserted,
    "azimuth difference": _azimuth_difference,
    "elevation angle": _elevation,
    "inside : outside": _ratio,
    "working distance": _working_distance,
    CLEARANCE: _clearance,
    REACH: _beyond_reach,
    APART: _spacing,
    ORDER: _in_order,
}
_OF_CAMERA = ("port to camera", "azimuth difference", "working distance")

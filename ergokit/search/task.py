"""What is searched for, checked: targets, camera, rules and aim, and the scenes of arrangements on the surface."""

from __future__ import annotations

from time import monotonic
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from ergokit._check import brief, instance, lengths, numbers, one, one_point, refused, shaft_lengths, target_points
from ergokit._types import Rules
from ergokit.search.aims import Worst
from ergokit.search.places import places_on
from ergokit.search.rules import CLEARANCE, checked_rules
from ergokit.search.scene import Scene, shafts
from ergokit.surfaces import Surface

_FEW = 32  # targets with which cells are sifted before all targets are looked at
_ANGLE = "an angle of more than 0 and less than 180 degrees"


class Task:
    """The arguments of `best_ports`, checked. An arrangement is a column of parameters: left port, right port and,
    where it is free, the camera; two parameters each."""

    until = np.inf  # the moment at which a search has to end
    at_once = 100_000  # targets times cells in one piece of work: a tenth of a second, and some tens of MB
    at_once_each_second = 40_000  # less where there is little time, so that the search stops when it has to

    def __init__(
        self,
        surface: Surface,
        targets: ArrayLike,
        *,
        camera: ArrayLike | Literal["free", "scope"] | None = None,
        rules: Rules | None = None,
        manipulation_angle: float = 60,
        angle_range: ArrayLike = (45, 75),
        tolerance: float = 0.1,
        seconds: float | None = None,
        instrument_length: ArrayLike = 36,
        handle_reach: float = 10,
        hole: float = 1,
        scope_length: float = 33,
    ) -> None:
        self.surface = instance("surface", surface, "a WedgeBox, a FlatBox or a Dome", Surface)
        self.hole = one("hole", hole, lengths)
        self.places = places_on(surface, self.hole / 2)
        self.targets = np.atleast_2d(target_points("targets", targets)).copy()  # the caller may move them later
        _check_inside(surface, self.targets)
        self.free_camera = isinstance(camera, str)
        if self.free_camera and camera not in ("free", "scope"):
            raise refused("camera", "a point, 'free', 'scope' or None", camera)
        slides = one("scope_length", scope_length, lengths) if self.free_camera and camera == "scope" else 0.0
        self.camera = None
        if camera is not None and not self.free_camera:
            self.camera = one_point("camera", camera)
            if (self.targets == self.camera).all(axis=1).any():
                raise ValueError(f"The camera at {brief(camera)} is on a target; move one of them (camera).")
        self.shafts = shaft_lengths("instrument_length", instrument_length)
        self.handle_reach = one("handle_reach", handle_reach, lengths, zero=True)
        self.rules = checked_rules(rules, self.shafts, camera, self.hole, slides)
        self.slide = self.rules[0].slide
        self.wanted = one("manipulation_angle", manipulation_angle, numbers, _ANGLE)
        ends = numbers("angle_range", angle_range, "two numbers low, high in degrees")
        if ends.shape != (2,) or not 0 <= ends[0] <= self.wanted <= ends[1] <= 180 or not 0 < self.wanted < 180:
            raise ValueError(
                f"The wanted angle {brief(manipulation_angle)} is not within {brief(angle_range)}; give degrees with "
                "0 <= low <= wanted <= high <= 180 (angle_range, manipulation_angle)."
            )
        self.range = tuple(ends.tolist())
        self.tolerance = one("tolerance", tolerance, lengths, takes="an angle of more than 0 degrees")
        self.seconds = None if seconds is None else one("seconds", seconds, lengths, takes="more than 0 seconds")
        if self.seconds is not None:
            self.at_once = int(min(self.at_once, self.at_once_each_second * self.seconds))
        self.aim = Worst(np.radians(self.wanted))
        blocks = 3 if self.free_camera else 2
        self.low, self.high = np.tile(self.places.low, blocks), np.tile(self.places.high, blocks)
        self.few = _spread(self.targets, _FEW) if len(self.targets) > 2 * _FEW else None
        self.farthest = np.linalg.norm(surface.bounds()[1] - surface.bounds()[0])
        self._fixed = None if self.camera is None else tuple(self.camera[:, None])

    @property
    def late(self):
        """Whether the search has had its seconds."""
        return monotonic() > self.until

    @property
    def port_rules(self):
        """The rules that can be looked at without a free camera."""
        return tuple(rule for rule in self.rules if not (self.free_camera and rule.needs_camera))

    @property
    def camera_rules(self):
        """The rules that a free camera has to meet."""
        return tuple(rule for rule in self.rules if rule.needs_camera or rule.name == CLEARANCE)

    def blocks(self, arrangement):
        """Left port, right port and camera of columns of parameters, two rows each."""
        return [arrangement[i : i + 2] for i in range(0, len(arrangement), 2)]

    def scene(self, middle, half=None, targets=None):
        """The scene of pairs (4, N) or of pairs with a free camera (6, N), and the `Cells` of the parts.

        Still where `half` is not given; of all targets unless some are given.
        """
        half = np.zeros_like(middle) if half is None else half
        targets = self.targets if targets is None else targets
        cells = [self.places.cells(*pair) for pair in zip(self.blocks(middle), self.blocks(half), strict=True)]
        rays = [shafts(part.point, part.reach, targets) for part in cells]
        ports = [part.point for part in cells]
        if self._fixed is not None:
            rays.append(shafts(self._fixed, np.zeros(1), targets))
            ports.append(self._fixed)
        return Scene(*rays, ports=tuple(ports), fixed=self._fixed is not None), cells

    def holds(self, scene, rules=None):
        """Whether the rules, all unless some are given, hold everywhere in each cell."""
        return np.logical_and.reduce([rule.holds(scene) for rule in (self.rules if rules is None else rules)])

    def in_order(self, middle, half):
        """Whether the left port can be left of the right one in a cell: the other way round is the same arrangement."""
        left, right = (self.places.across(middle[i : i + 2], half[i : i + 2]) for i in (0, 2))
        return left[0] <= right[1]

    def ordered(self, arrangement):
        """One arrangement with its left port to the left; the lower one where both are level."""
        left, right, *rest = self.blocks(arrangement)
        if tuple(self.places.uv(left)) > tuple(self.places.uv(right)):
            left, right = right, left
        return np.concatenate([left, right, *rest])

    def point(self, place):
        """The point of one place, (3,)."""
        return np.array(self.places.points(place), dtype=float)


def _check_inside(surface, targets):
    outside = np.flatnonzero(~surface.encloses(targets))
    if outside.size:
        x, y, z = targets[outside[0]]
        raise ValueError(
            f"Targets are outside the box, {len(outside)} of {len(targets)}, the first at ({x:g}, {y:g}, {z:g}); move them "
            "under the surface, on the floor or above it (targets)."
        )


def _spread(targets, count):
    """Some targets far from each other: each next one is that with the longest way to those before."""
    way = np.linalg.norm(targets - targets.mean(axis=0), axis=1)
    chosen = [int(way.argmax())]
    way = np.full(len(targets), np.inf)
    for _ in range(count - 1):
        way = np.minimum(way, np.linalg.norm(targets - targets[chosen[-1]], axis=1))
        chosen.append(int(way.argmax()))
    return targets[chosen]

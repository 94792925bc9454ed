"""What a search has found: the ports, how far they are from the best possible, and one sentence that says so."""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass
from functools import cached_property
from math import floor
from time import monotonic
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ergokit._words import joined
from ergokit.guidance import CAUTION
from ergokit.placement import Placement
from ergokit.search.branch import Search, alone
from ergokit.search.cameras import evenest
from ergokit.search.descent import descend
from ergokit.search.rules import APART, azimuth_difference
from ergokit.surfaces import Dome

if TYPE_CHECKING:
    from ergokit.placement.table import MeasureTable
    from ergokit.search.task import Task

_APART = 3  # cm between two arrangements that differ in kind, at one of their ports at least
_RUNNERS_UP, _STARTS = 3, 16
_SECONDS = 20  # at most to look for runners-up: with thousands of targets they are then less than the best near them
_BINDS = 0.05  # cm or degrees from an end of a rule, or cm from the edge
_ABOVE = 5  # cm up the surface from the ports, where a camera is drawn when none was asked for


class Pair(NamedTuple):
    """A pair of ports that is the best among those near it."""

    left_port: np.ndarray
    right_port: np.ndarray
    camera: np.ndarray | None
    worst_deviation: float


@dataclass(frozen=True, eq=False, repr=False)
class BestPorts:
    """The best pair of ports found, and a bound that no pair passes, as `best_ports` gives it.

    left_port, right_port, camera
        points in cm; `camera` is None where none was asked for, and all are None where no arrangement meets the rules
    places
        "left port", "right port" and, where it is free, "camera" -> (u, v) on the surface's first face, in cm
    worst_deviation
        the largest deviation of any target from the wanted manipulation angle, in degrees; NaN without ports
    lower_bound, gap
        what no arrangement that meets the rules comes under, and the difference of both, in degrees. Without ports the gap is
        NaN, and the bound infinite where it is proved that there are none
    finished
        whether the search has come to its end; else it was stopped, and the gap is what it left
    seconds
        that the search has taken
    """

    left_port: np.ndarray | None
    right_port: np.ndarray | None
    camera: np.ndarray | None
    places: dict[str, tuple[float, float]]
    worst_deviation: float
    lower_bound: float
    finished: bool
    seconds: float
    _task: Task
    _arrangement: np.ndarray | None

    @property
    def found(self) -> bool:
        """Whether there is a pair of ports at all."""
        return self._arrangement is not None

    @property
    def gap(self) -> float:
        return self.worst_deviation - self.lower_bound

    @cached_property
    def placement(self) -> Placement | None:
        """The `Placement` with all targets; None without ports.

        A scope's camera hole is used as its lens, as its tip moves with the target: `by_target` has the distances of the tip.
        Where no camera was asked for, one is put 5 cm up the surface from the middle of the ports (down it, or there, where
        the surface ends), to have all measures.
        """
        if self.left_port is None or self.right_port is None:
            return None
        task, surface = self._task, self._task.surface
        camera = self.camera
        if camera is None:
            u, v = np.add(self.places["left port"], self.places["right port"]) / 2
            camera = surface.point(u, next(v + up for up in (_ABOVE, -_ABOVE, 0) if surface.contains(u, v + up)))
        return Placement(
            self.left_port,
            self.right_port,
            target=task.targets,
            camera=camera,
            instrument_length=task.shafts,
            handle_reach=task.handle_reach,
            panel_normal=None if isinstance(surface, Dome) else surface.normal(*self.places["left port"]),
        )

    def by_target(self) -> MeasureTable:
        """A table with one row a target: x, y, z, angle, deviation, in range, lengths inside, and with a camera the working
        distance and the azimuth difference; `placement.measures()` has all measures."""
        from ergokit.placement.table import MeasureTable

        if self._arrangement is None:
            return MeasureTable({})
        task = self._task
        scene, _ = task.scene(self._arrangement[:, None])
        theta = np.degrees(scene.theta[:, 0])
        low, high = task.range
        columns = {
            "target": np.arange(1, len(theta) + 1),
            **dict(zip(("x (cm)", "y (cm)", "z (cm)"), task.targets.T, strict=True)),
            "manipulation angle (deg)": theta,
            "deviation (deg)": theta - task.wanted,
            "in range": (theta >= low) & (theta <= high),
            "length inside left (cm)": scene.left.length[:, 0],
            "length inside right (cm)": scene.right.length[:, 0],
        }
        if self.camera is not None:
            columns["working distance (cm)"] = task.slide.tip(scene.camera.length[:, 0])
            columns["azimuth difference (deg)"] = azimuth_difference(scene)[:, 0]
        return MeasureTable(columns)

    @cached_property
    def binding(self) -> tuple[str, ...]:
        """The rules whose limit is reached, in words, and the ports that are at the edge of the surface."""
        if self._arrangement is None:
            return ()
        task = self._task
        scene, _ = task.scene(self._arrangement[:, None])
        found = []
        for rule in task.rules:
            (value, _), high = rule.bounds(scene), rule.high
            if (
                rule.name == "working distance" and task.slide.length
            ):  # its tip is slid to the end: the hole may still have room
                value, high = scene.camera.length, high + task.slide.length
            near = _BINDS if rule.name != "inside : outside" else _BINDS / 10
            if value.min() - rule.low < near or high - value.max() < near:
                found.append(rule.words)
        for name, place in self.places.items():
            if not task.surface.contains(*place, radius=task.hole / 2 + _BINDS):
                found.append(f"edge of the surface ({name})")
        return tuple(found)

    @cached_property
    def runners_up(self) -> tuple[Pair, ...]:
        """Up to three other pairs, each the best near it and at least 3 cm from the better ones at one port or the other."""
        if not self.found:
            return ()
        task = copy(self._task)  # whose search may still go on
        task.until = monotonic() + _SECONDS
        ends = np.stack([descend(task, start) for start in Search(task).starts(_STARTS)], axis=1)
        scene, _ = task.scene(ends)
        value, holds = task.aim.value(scene.theta), task.holds(scene)
        best = task.ordered(self._arrangement)
        taken, found = [best], list[Pair]()
        for i in np.argsort(value):
            here = task.ordered(ends[:, i])
            if holds[i] and all(self._apart(here, other) for other in taken) and len(found) < _RUNNERS_UP:
                taken.append(here)
                left, right, camera = _points(task, here)
                found.append(Pair(left, right, camera, float(np.degrees(value[i]))))
        return tuple(found)

    def _apart(self, here, there):
        pairs = zip(_points(self._task, here)[:2], _points(self._task, there)[:2], strict=True)
        return max(np.linalg.norm(a - b) for a, b in pairs) >= _APART

    @cached_property
    def _emptied_by(self):
        """Where no arrangement meets the rules: those that rule out all by themselves, and those without any one of which there
        would be room."""
        task, rules = self._task, self._task.rules
        by_themselves = [rule for rule in rules if alone(task, (rule,)) is False]
        if by_themselves:
            return by_themselves, []
        others = (rule for rule in rules if rule.name != APART)  # with one hole for both there would be no pair
        return [], [rule for rule in others if alone(task, tuple(other for other in rules if other is not rule))]

    @cached_property
    def sentence(self) -> str:
        """The result in a sentence: what was found and what is proved."""
        if not self.found:
            return self._none_found()
        task = self._task
        low, high = task.range
        one, count = len(task.targets) == 1, len(task.targets)
        out = int((~self.by_target()["in range"]).sum())
        misses = f"misses {task.wanted:g} by {self.worst_deviation:.1f} degrees{'' if one else ' at worst'}"
        proof = f"no pair can do better than {floor(10 * self.lower_bound) / 10:.1f} (proved)"
        if not self.finished:
            proof += f"; the search was stopped with {self.gap:.1f} left open"
        into = f"{'the target' if one else f'all {count} targets'} into {low:g} to {high:g} degrees"
        if not out:
            return f"This pair of ports brings {into}: it {misses}, and {proof}."
        if self.lower_bound > max(task.wanted - low, high - task.wanted):
            ruled = " that meets the rules" if not all(rule.unasked for rule in task.rules) else ""
            best = "the best pair" if self.finished else "the best pair found"
            return f"No pair of ports on this surface{ruled} brings {into}: {best} {misses}, and {proof}."
        outside = f"{'the target' if one else f'{out} of {count} targets'} out of {low:g} to {high:g} degrees"
        return f"This pair of ports leaves {outside}: it {misses}, and {proof}."

    def _none_found(self):
        if not self.finished:
            return f"No pair of ports that meets the rules has been found yet, after {self.seconds:.1f} s."
        start = "No position of the ports on this surface meets the rules (proved)"
        by_themselves, together = ([rule.words for rule in some] for some in self._emptied_by)
        if by_themselves:
            return f"{start}: {joined(by_themselves)} {'leaves' if len(by_themselves) == 1 else 'each leave'} none."
        there_is = f" Some position is left without {joined(together, 'or without')}." if together else ""
        return f"{start}: they cannot all be met at once.{there_is}"

    def __repr__(self):
        lines = [self.sentence]
        if self.found:
            for name, point in (("left port", self.left_port), ("right port", self.right_port), ("camera", self.camera)):
                if point is None:
                    continue
                place = f" (u {self.places[name][0]:z.1f}, v {self.places[name][1]:z.1f})" if name in self.places else ""
                lines.append(f"  {name + ':':12}{', '.join(f'{part:z.1f}' for part in point)} cm{place}")
            if self._task.slide.length:
                tip = self.by_target()["working distance (cm)"]
                lines.append(
                    f"  a 0 degree scope through that camera hole, its tip {min(tip):.1f} to {max(tip):.1f} cm from the targets"
                )
            lines.append(f"  at their limit: {joined(self.binding) if self.binding else 'none'}")
        return "\n".join([*lines, CAUTION])


def snapshot(search, seconds, last):
    """A `BestPorts` of a search as it stands; the last one has a free camera where it is best."""
    task, arrangement, value = search.task, search.best, np.nan
    points, places = (None, None, None), {}
    if arrangement is not None:
        arrangement = task.ordered(evenest(task, arrangement) if task.free_camera and last else arrangement)
        points, value = _points(task, arrangement), search.value
        named = zip(("left port", "right port", "camera"), task.blocks(arrangement), strict=False)
        places = {name: tuple(task.places.uv(place).tolist()) for name, place in named}
    degrees = (float(np.degrees(each)) for each in (value, search.lower_bound))
    return BestPorts(*points, places, *degrees, search.done, seconds, task, arrangement)


def _points(task, arrangement):
    points = [task.point(place) for place in task.blocks(arrangement)]
    return (*points, task.camera) if len(points) == 2 else tuple(points)

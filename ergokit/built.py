"""A box as it was built beside the box as it was designed: how far each hole is off, and what to do about it.

A tape knows no frame, so the built points are first turned and moved until their holes lie as near to the designed holes as
they can (least squares, `scipy.spatial.transform.Rotation.align_vectors`). What then differs is what the knife did. How sure
that is follows from the tape: the arrangement is moved one standard deviation both ways along each direction in which the
readings leave it uncertain, and aligned again.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation

from ergokit._check import a, checked, lengths, one, refused
from ergokit._words import joined
from ergokit.design import BoxDesign
from ergokit.design.layouts import Panel
from ergokit.placement import Placement
from ergokit.placement.measures import SPAN_95
from ergokit.placement.tape import TapeCheck
from ergokit.triangulation import manipulation_angle, working_distance

if TYPE_CHECKING:
    from ergokit.placement.table import MeasureTable

__all__ = ["BuiltBox", "HoleOff", "compare_built"]

_WAYS = {"sideways": ("to the left", "to the right"), "up the panel": ("lower", "higher")}
_ALIGNED_ON = (1.0, 1.0, 1.0, 1e-6)  # the holes; the target only where three holes in one line leave a turn open
_FARTHEST = 6.0  # cm that a target is moved, at most (this kit's own choice, no source)
_NOT_READ = 1e-3  # cm: what a reading has no part in


def _tolerance(name, value):
    return one(name, value, lengths, takes="an angle of more than 0 degrees")


@checked(design=a(BoxDesign), built=a(Placement), within=_tolerance)
def compare_built(design: BoxDesign, built: Placement, within: float = 5) -> BuiltBox:
    """The comparison of a `BoxDesign` with the box that was built from it and read with a tape: a `BuiltBox`.

    design, built
        the design, and the placement that `Placement.from_tape` made from the readings
    within
        degrees by which the manipulation angle may differ from the designed one; 5 is this kit's own choice, no source

    >>> from ergokit.design import design_box
    >>> from ergokit.surfaces import WedgeBox
    >>> built = Placement.from_tape(20.4, 19.6, 19.7, camera_to_target=13.8, camera_above_ports=10.2, panel_slope=37)
    >>> print(compare_built(design_box(WedgeBox(44, 36, 27)), built))  # doctest: +ELLIPSIS
    Manipulation angle: designed 60.3, built 62.5 ± 1.3 degrees. Within 5 degrees of the design: yes.
    Leave it.
    """
    if built.tape is None or not built.tape.given():
        raise refused("built", "a placement made by Placement.from_tape", built)
    return BuiltBox(design, built, within)


@dataclass(frozen=True)
class HoleOff:
    """How far a hole is from its mark one way along the panel, in cm.

    `planned` and `built` count to the right from the centre line, or up from the panel's lower edge; `low` and `high` are the
    95 % interval of the difference, NaN where no reading bears on it.
    """

    hole: str
    way: str
    planned: float
    built: float
    low: float
    high: float

    @property
    def off(self) -> float:
        """Built less planned, in cm."""
        return self.built - self.planned

    @property
    def told(self) -> bool:
        """Whether the readings show a difference: its interval does not hold 0."""
        return self.low > 0 or self.high < 0

    @property
    def words(self) -> str:
        """The difference in words, with its interval.

        >>> HoleOff("left port", "sideways", -10.0, -10.4, -0.7, -0.1).words
        '0.4 cm to the left (0.1 to 0.7)'
        """
        if np.isnan(self.low):
            return "not read"
        if not self.told:
            return "the readings do not tell"
        way = _WAYS[self.way][self.off > 0]
        near, far = sorted(map(abs, (self.low, self.high)))
        return f"{abs(self.off):.1f} cm {way} ({near:.1f} to {far:.1f})"


@dataclass(frozen=True, eq=False, repr=False)
class BuiltBox:
    """A box as built beside its design; made by `compare_built`. Its text gives both angles, the verdict and what to do."""

    design: BoxDesign
    built: Placement
    within: float

    @property
    def _tape(self) -> TapeCheck:
        assert self.built.tape is not None  # `compare_built` refuses another placement
        return self.built.tape

    @property
    def planned_angle(self) -> float:
        """The manipulation angle of the design, in degrees, at its first target."""
        p = self.design.placement
        return float(manipulation_angle(p.left_port, p.right_port, p.targets[0]))

    @property
    def built_angle(self) -> tuple[float, float]:
        """The manipulation angle of the built box and its uncertainty, one standard deviation, in degrees."""
        row = next(row for row in self._tape.rows if row.quantity == "manipulation angle")
        return row.value, self._tape.uncertainty(row.quantity)

    @property
    def verdict(self) -> str:
        """Whether the built angle is within the tolerance: "yes", "no" or "the readings do not tell"."""
        value, spread = self.built_angle
        off = abs(value - self.planned_angle)
        if off + SPAN_95 * spread <= self.within:
            return "yes"
        return "no" if off - SPAN_95 * spread > self.within else "the readings do not tell"

    @cached_property
    def _aligned(self):
        """Left port, right port, target and camera in the design's frame: as fitted, and moved by standard deviations."""
        p = self.design.placement
        there = np.array([p.left_port, p.right_port, p.camera, p.targets[0]])
        found = self.built.tape.spread_points()[:, [0, 1, 3, 2]]
        middle, weights = there[:3].mean(axis=0), np.array(_ALIGNED_ON)
        centred = found - found[:, :3].mean(axis=1, keepdims=True)
        turns = [Rotation.align_vectors(there - middle, each, weights)[0].as_matrix() for each in centred]
        return centred @ np.swapaxes(np.array(turns), 1, 2) + middle

    @cached_property
    def holes(self) -> tuple[HoleOff, ...]:
        """Each hole's difference after best alignment, sideways and up the panel."""
        panel = Panel.of(self.design.box)
        places = panel.uvw(self._aligned[:, :3])
        spread = SPAN_95 * np.sqrt(np.sum((places[1:] - places[0]) ** 2, axis=0) / 2)
        found = []
        for i, (hole, mark) in enumerate(self.design.holes.items()):
            for axis, way in enumerate(_WAYS):
                start = panel.low * axis
                planned, each = mark[axis] - start, spread[i, axis]
                built = round(float(places[0, i, axis]) - start, 6)
                ends = (built - planned - each, built - planned + each) if each > _NOT_READ else (np.nan, np.nan)
                found.append(HoleOff(hole, way, planned, built, *map(float, ends)))
        return tuple(found)

    def table(self) -> MeasureTable:
        """A table: hole, way, planned, built and difference in cm, and the difference in words."""
        from ergokit.placement.table import MeasureTable

        rows = [(each.hole, each.way, each.planned, each.built, each.words) for each in self.holes]
        return MeasureTable(rows, columns=["hole", "way", "designed (cm)", "built (cm)", "difference"])

    @property
    def nearer(self) -> float:
        """How far to move the target on the floor towards the operator so that it has the designed angle, in cm; negative for
        away, NaN where no place does inside the box, in the picture and within the rule on the working distance."""
        left, right, lens, target = self._aligned[0]

        def off(moved):
            return manipulation_angle(left, right, target - np.multiply.outer(moved, (0.0, 1.0, 0.0))) - self.planned_angle

        moves = np.linspace(-_FARTHEST, _FARTHEST, 241)
        [turns] = np.nonzero(np.diff(np.sign(off(moves))))
        if not turns.size:
            return np.nan
        turn = turns[np.abs(moves[turns]).argmin()]
        move = float(brentq(off, moves[turn], moves[turn + 1]))
        there = target - (0, move, 0)
        near, far = self.design.rules.get("working distance", (0.0, np.inf))
        phone = self.design.phone.camera(lens, Panel.of(self.design.box).normal)
        inside = self.design.box.encloses(there) and near <= working_distance(lens, there) <= far
        return move if inside and phone.sees(there) == "seen" else np.nan

    def to_do(self) -> tuple[str, ...]:
        """Sentences on what to do, the first step first: leave the box, or move the target, or cut again."""
        if self.verdict == "yes":
            return ("Leave it.",)
        steps = []
        if self.verdict != "no":
            steps.append(f"The readings leave open whether the angle is near enough. {self._tape.repeat()}")
        if not np.isnan(move := self.nearer):
            way = "nearer to you" if move > 0 else "away from you"
            steps.append(
                f"Move the target {abs(move):.1f} cm {way}: then the instruments meet at {self.planned_angle:.1f} degrees."
            )
        if cuts := [_again(each) for each in self.holes if each.told]:
            when = "If the target cannot be there, glue" if not np.isnan(move) else "Glue"
            steps.append(f"{when} card over the old holes and cut again: {joined(cuts)}.")
        return tuple(steps)

    def __repr__(self):
        value, spread = self.built_angle
        angle = f"Manipulation angle: designed {self.planned_angle:.1f}, built {value:.1f} ± {spread:.1f} degrees."
        return "\n".join([f"{angle} Within {self.within:g} degrees of the design: {self.verdict}.", *self.to_do()])


def _again(off):
    """How to cut a hole again, from where it is now."""
    return f"the {off.hole} {abs(off.off):.1f} cm {_WAYS[off.way][off.off < 0]}"

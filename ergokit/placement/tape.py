"""A placement checked with a tape: the arrangement that fits the readings best, and how sure each of its measures is.

The arrangement is that of least squares, each reading weighted by its error. How far it is uncertain follows from the same
weights: along each principal direction of the fit the unknowns are moved both ways until the readings object by one standard
deviation, and the mean square of the changes of a measure, summed over the directions, is its variance.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache, cached_property
from itertools import combinations, product
from statistics import NormalDist
from typing import TYPE_CHECKING

import numpy as np

from ergokit._words import joined
from ergokit.placement.measures import Measured, Row, called, changes, index_of, rows
from ergokit.placement.readings import DISTANCE, EXACT, NAMES, PANEL, POINTS, Readings, coordinates, read_of, slopes_of
from ergokit.terms import with_entries_in_list

if TYPE_CHECKING:
    from ergokit.placement import Placement
    from ergokit.placement.table import MeasureTable

_POINT_NAMES = ("left port", "right port", "target", "camera")
_BEYOND_REACH = 50  # cm: no instrument for the job reaches as far (the long ones have shafts of about 45 cm, from memory)
# cm of camera above the ports below which camera_to_target no longer says where the target lies: at a depth of 16 cm a
# reading error of 0.3 cm there turns the triangle by 4 degrees, and in inverse proportion to the camera's height
_HIGH_ENOUGH = 4
_DOUBT = 3  # standard deviations beyond which readings do not fit together: one honest set in 370
_CHANCE = 0.0027  # the same as a probability
_SECOND = 4.0  # how much larger than the least a second arrangement's sum of squares may be: two standard deviations
_NEAR = 40.0  # the same before it is fitted
_BENT = 0.25  # how far, as a share, the readings or a measure may leave a straight line before that is said
_ALONG_LINE = 0.3  # a point off a line by less than this share of its distance to either end lies close to it
_SLIP = 5  # cm or degrees: a slip of the tape that nothing may notice
_READING_ERROR = 0.3  # cm, below which two arrangements are not told apart (common practice, no source)
_ANOTHER = "another arrangement fits too"
_SPAN = {"deg": (1, " degrees"), "cm": (2, " cm"), "": (3, "")}  # digits and words of a standard deviation


@dataclass(frozen=True, eq=False, repr=False)
class TapeCheck(Measured):
    """The result of a tape check; made by `check_tape` and `Placement.from_tape`.

    `placement` is the arrangement that fits best; what the readings do not determine is drawn somewhere. `well_placed` says
    whether their errors can be carried through and no other arrangement fits, and `remarks` why not and what else to know. Its
    text gives the angle, what is not known, the slips that nothing would notice, the remarks, and which reading to repeat.
    """

    placement: Placement
    _readings: Readings
    _fits: np.ndarray  # (n, unknowns): the arrangements that fit, the likeliest first
    _determined: _Determined
    _given: dict

    @cached_property
    def _fit(self):
        return _Fit.of(self._readings, self._fits[0], self._determined.rank)

    @cached_property
    def _measured(self):
        return _measured(self.placement, self._readings, self._fit, self._fits, self._determined)

    @property
    def rows(self) -> tuple[Row, ...]:
        """The measures as rows: quantity, side, value, unit, note, uncertainty."""
        return self._measured[0]

    @property
    def _shares(self):
        """The standard deviation that each reading brings to each measure, to first order, signed: (rows, readings)."""
        return self._measured[1]

    @property
    def well_placed(self) -> bool:
        """Whether the errors of the readings can be carried through, and no other arrangement fits them."""
        return bool(self._fit.straight.all()) and not self._is_another

    @property
    def _is_another(self):
        return any(_ANOTHER in row.note for row in self.rows)

    @cached_property
    def remarks(self) -> tuple[str, ...]:
        """Sentences about the readings: why they are not well placed, and what they cannot tell."""
        readings, said = self._readings, []
        if not self._fit.straight.all():
            said.append(_weak_point(readings, self._fit))
        if self._is_another and readings.model is PANEL:
            drawn, other = self._fits[0, -1], max(self._fits[1:, -1], key=lambda each: abs(each - self._fits[0, -1]))
            said.append(
                f"Panel slopes of {drawn:.0f} and {other:.0f} degrees both fit these readings; the box is drawn with "
                f"{drawn:.0f}. Read panel_slope to tell them apart."
            )
        elif self._is_another:
            said.append("Two arrangements fit these readings; the measures in which they differ are not known.")
        if readings.camera_looks is None:
            said.append(
                "A tape cannot tell an arrangement from its mirror image; the camera is drawn looking away from the operator "
                "(camera_looks says which)."
            )
        return tuple(said)

    def spread_points(self) -> np.ndarray:
        """Left port, right port, target and camera as they fit best and as far off as they may be, shape (1 + 2 n, 4, 3).

        First the best fit, then moved back by one standard deviation along each of n directions in which the readings leave it
        uncertain, then ahead. Of whatever follows from the points, half the sum of squared changes is the variance.

        >>> from ergokit import Placement
        >>> box = Placement.from_tape(18, 18, 18, camera_to_target=15, camera_above_ports=7, panel_slope=37)
        >>> box.tape.spread_points().shape
        (15, 4, 3)
        """
        moved, _ = self._fit.moved(self._readings)
        at = np.concatenate([self._fits[:1], moved])
        seen = self._readings.arrangement(at, np.repeat(self._readings.facing(at[:1]), len(at)))
        return np.stack([seen.left_port, seen.right_port, seen.targets, seen.camera], axis=1)

    def given(self) -> dict[str, float]:
        """The readings as arguments of `Placement.from_tape`, without those that were not taken."""
        return dict(self._given)

    def uncertainty(self, quantity: str, side: str = "") -> float:
        """One standard deviation of the measure, in its unit; NaN where the readings leave it open.

        >>> from ergokit import check_tape
        >>> round(check_tape(port_to_port=18, left_to_target=18, right_to_target=18).uncertainty("manipulation angle"), 1)
        1.4
        """
        return float(self.rows[index_of(self.rows, quantity, side)].uncertainty)

    def compared(self) -> MeasureTable:
        """The readings beside what the fitted placement has in their place: reading, read, fitted, error, in cm and degrees."""
        from ergokit.placement.table import MeasureTable

        taken = self._readings
        names, fitted = [NAMES[i] for i in taken.which], taken.fitted(self._fit.at)
        return MeasureTable({"reading": names, "read": taken.read, "fitted": fitted, "error": taken.error})

    def repeat(self, quantity: str = "manipulation angle", side: str = "") -> str:
        """A sentence: which reading to repeat so that this measure becomes most certain, and why.

        If the measure is not known, the sentence says what to read.
        """
        i = index_of(self.rows, quantity, side)
        row, squares, which = self.rows[i], self._shares[i] ** 2, self._readings.which
        if np.isnan(row.value):
            return f"The {called(row)} has no value yet: {row.note}."
        variance = np.sum(squares)
        if variance <= 1e-12:
            return f"There is no reading to repeat: none moves the {called(row)} one way."
        leverage = np.sum(self._fit.across**2, axis=-1)  # how much of each fitted reading is owed to that reading itself
        saved = squares / (1 + leverage)  # of the variance, by one more row like this one
        best = int(np.argmax(saved))
        part, after = np.sum(squares[which == which[best]]) / variance, np.sqrt(1 - saved[best] / variance) * row.uncertainty
        digits, unit = _SPAN[row.unit]
        return (
            f"Repeat {_said(NAMES[which[best]])}: it carries {100 * part:.0f} % of the variance of the {called(row)}, and "
            f"one more reading of it brings its standard deviation from {row.uncertainty:.{digits}f} to "
            f"{after:.{digits}f}{unit}."
        )

    def unchecked(self) -> dict[str, tuple[str, float]]:
        """What a slip of 5 cm (5 degrees of slope) does that no reading would notice: reading -> (measure, change in degrees).

        The measure is the manipulation angle where the slip turns it, else the angle that the slip turns most. A slip that
        turns no known angle by half a degree is left out.
        """
        taken, size = self._readings, len(self._readings.read)
        slips = replace(taken, read=taken.read + _SLIP * np.concatenate([-np.eye(size), np.eye(size)]))
        fits, off = slips.settle(np.repeat(self._fit.at[None], 2 * size, axis=0))
        passed = (slips.read >= 0).all(axis=-1) & (off <= _limit(size - len(self._fit.sizes)))
        if _tells_the_box(self._determined):
            passed &= _inside(taken, fits)
        angles = [i for i, row in enumerate(self.rows) if row.unit == "deg" and not row.note]
        found = rows(taken.arrangement(fits, taken.facing(self._fit.at)))
        turned = np.abs([changes(found[i][2], "deg", self.rows[i].value) for i in angles])
        turned = np.where(passed & ~np.isnan(turned), turned, 0).reshape(len(angles), 2, size).max(axis=1)
        result = {}
        for j in np.flatnonzero(passed.reshape(2, size).any(axis=0) & (taken.error > EXACT)).tolist():
            most = 0 if turned[0, j] >= 1 else int(np.argmax(turned[:, j]))
            if turned[most, j] >= 0.5:
                result[NAMES[taken.which[j]]] = called(self.rows[angles[most]]), float(turned[most, j])
        return result

    def __repr__(self):
        count = len(self._readings.read)
        lines = [f"Tape check of {count} reading{'s' if count > 1 else ''}"]
        for quantity, unit in (("manipulation angle", "degrees"), ("working distance", "cm")):
            value = self.rows[index_of(self.rows, quantity, "")].value
            if not np.isnan(value):
                low, high = self.interval(quantity)
                lines.append(f"{quantity} {value:.1f} {unit}, 95 % from {low:.1f} to {high:.1f}")
        if lost := self.not_known():
            lines.append(f"not known: {'; '.join(lost)}")
        if slips := self.unchecked():
            turns = [f"{_said(name)} ({measure} off by {change:.0f} degrees)" for name, (measure, change) in slips.items()]
            lines.append(f"A slip of {_SLIP} cm or degrees would go unnoticed in {joined(turns)}.")
        return "\n  ".join([*lines, *self.remarks, self.repeat()])

    def _repr_markdown_(self):
        head, *lines = repr(self).split("\n  ")
        return with_entries_in_list("\n".join([f"**{head}**", "", *(f"- {line}" for line in lines)]))


def _said(name):
    """The name of a reading as a reader meets it in the form and in a drawing."""
    return name.replace("_", " ")


# From readings to a placement


def checked_box(readings, make, given=None):
    """The `TapeCheck` of readings; `make` makes the placement of its points."""
    _refuse_impossible(readings)
    determined = _determined_by(readings)
    fits = _arrangements(readings, determined)
    seen = readings.arrangement(fits[0], readings.facing(fits[:1])[0])
    placement = make(seen.left_port, seen.right_port, seen.targets, seen.camera, aim=seen.aim, panel_normal=seen.panel_normal)
    return TapeCheck(placement, readings, fits, determined, given or {})


def _arrangements(readings, determined):
    """The unknowns of the arrangements that fit, (n, k), the likeliest first."""
    fits, off = _settled(readings, determined.rank)
    best = np.argmin(off)
    limit = _limit(len(readings.read) - determined.rank)
    if off[best] > limit:
        raise ValueError(_disagreement(readings, fits[best], determined.rank))
    if readings.model is POINTS:
        images = _images(fits[best])
        near = np.sum(readings.misfit(images) ** 2, axis=-1) <= off[best] + _NEAR
        fits, off = readings.settle(np.concatenate([fits[[best]], images[near]]))
    seen, fits_at_all = readings.arrangement(fits), off <= limit
    likelier = seen.camera[:, 2]
    if readings.model is PANEL:
        likelier = seen.targets[:, 1] > 0  # beyond the ports; where no reading can tell more, unless the readings deny it
        off = off - likelier * (_DOUBT**2 if {"panel_slope", "port_height"} <= readings.means.keys() else 0)
    inside = _inside(readings, fits) if _tells_the_box(determined) else off < np.inf
    if not (fits_at_all & inside).any():
        if inside.any():
            raise ValueError(_disagreement(readings, fits[inside][np.argmin(off[inside])], determined.rank))
        above = (seen.targets[:, 2] - np.maximum(seen.left_port, seen.right_port)[:, 2])[fits_at_all].min()
        where = f"{above:.1f} cm above both ports" if above > 0 else "outside the panel"
        again = "the heights" if readings.model is POINTS else "camera_to_target and panel_slope"
        raise ValueError(f"These readings put the target {where}, outside any box; measure {again} again.")
    fitting = inside & fits_at_all & (off <= off[inside & fits_at_all].min() + _SECOND)
    looking_down = fitting & (seen.camera[:, 2] > seen.targets[:, 2])
    if determined.knows("view angle", "") and looking_down.any():
        fitting = looking_down  # where one of several looks down into a box it is that one
    order = np.lexsort([-likelier.astype(float), np.round(off, 3)])
    fits = fits[order[fitting[order]]]
    return fits[[i for i, each in enumerate(fits) if not (np.abs(fits[:i] - each).max(axis=-1) < 1e-3).any()]]


def _settled(readings, rank):
    """Least squares from where a box with these readings would be, or from the first start of points that is good enough."""
    if readings.model is PANEL:
        return readings.settle(_box_starts(readings))
    starts = _starts(readings)
    first = readings.settle(starts[:1])
    return first if first[1][0] <= _limit(len(readings.read) - rank) else readings.settle(starts)


def _triangle(read):
    """Spacing, and the target's place aside and depth below the port line, of a triangle near the lengths that were read."""
    left = read.get("left_to_target", read.get("right_to_target", 18.0))
    right = read.get("right_to_target", left)
    spacing = min(read.get("port_to_port", (left + right) / 2), 0.999 * (left + right))
    foot = np.clip((left**2 - right**2 + spacing**2) / (2 * spacing), -0.999 * left, 0.999 * left)  # from the left port
    return spacing, foot - spacing / 2, np.sqrt(left**2 - foot**2)


def _box_starts(readings):
    """Boxes to begin from, (n, 7): the triangle swings about the port line as the camera's distance has it, by the angle
    `swing` from straight up the panel to the foot of the depth; and as their height has it, target beyond or before."""
    read = {name: 15.0 for name in ("camera_to_target", "camera_above_ports", "target_height")} | readings.means
    spacing, x, depth = _triangle(read)
    up, floor = max(read["camera_above_ports"], 0.1), read["target_height"]
    cosine = (x**2 + depth**2 + up**2 - read["camera_to_target"] ** 2) / (2 * up * depth)
    swing, slope = np.arccos(np.clip(cosine, -0.98, 0.98)), np.radians(read.get("panel_slope", 0.0))
    ways = [(slope, swing - slope)]
    if "port_height" in read:
        lean = np.arcsin(np.clip((read["port_height"] - floor) / depth, 0.05, 0.98))
        slopes = (slope, slope) if "panel_slope" in read else np.clip((swing - lean, swing - np.pi + lean), 0, np.pi / 2)
        ways = [*zip(slopes, (lean, np.pi - lean), strict=True), *ways]
    slope, dip = np.transpose(ways)
    height = read.get("port_height", floor + depth * np.sin(dip))
    columns = spacing / 2, height, x, depth * np.cos(dip), floor, up, np.degrees(slope)
    return np.stack(np.broadcast_arrays(*columns), axis=-1)


def _tells_the_box(determined):
    return determined.knows("elevation angle", "left", "right")


def _inside(readings, fits):
    """Whether the target is below a port, and not outside the panel by more than the readings may be off."""
    seen = readings.arrangement(fits)
    below = seen.targets[:, 2] < np.maximum(seen.left_port, seen.right_port)[:, 2]
    if readings.model is POINTS:
        return below
    return below & (
        np.sum((seen.left_port - seen.targets) * seen.panel_normal, axis=-1) > -_DOUBT * readings.doubts["port_to_port"]
    )


def _starts(readings):
    """Arrangements to begin from, (n, 9): the triangle as its lengths have it, the camera somewhere above, beyond or beside."""
    read = readings.means
    spacing, x, depth = _triangle(read)
    ports = [read[name] for name in ("left_height", "right_height") if name in read]
    floor = read.get("target_height", np.mean(ports) - 0.6 * depth if ports else 0.0)
    level = np.mean(ports) if ports else floor + 0.6 * depth
    left_height, right_height = (read.get(name, level) for name in ("left_height", "right_height"))
    away = np.sqrt(depth**2 - np.clip(level - floor, -0.95 * depth, 0.95 * depth) ** 2)
    half = np.sqrt(max(spacing**2 - (right_height - left_height) ** 2, 1.0)) / 2
    cameras = product(
        (read.get("camera_height", level + 4), floor + 1), ((0.5, 2), (0.5, -8), (0.5, away + 8), (12, 2), (-12, 2))
    )
    return np.array([(half, left_height, right_height, x, away, floor, *beside, up) for up, beside in cameras])


def _images(unknowns):
    """The arrangements with one point mirrored in the plane of the others, or in the vertical plane through two of them."""
    points, images = coordinates(unknowns @ POINTS.basis.T), []
    for moved in range(4):
        a, b, c = (points[i] for i in range(4) if i != moved)
        planes = [(a, np.cross(b - a, c - a))] + [(p, np.cross(q - p, [0, 0, 1])) for p, q in combinations((a, b, c), 2)]
        for through, normal in planes:
            if (size := np.linalg.norm(normal)) > 1e-6:
                image = points.copy()
                image[moved] -= 2 * ((points[moved] - through) @ normal) * normal / size**2
                images.append(image)
    images = np.array(images)
    flat = images[..., :2] - (images[:, [0], :2] + images[:, [1], :2]) / 2  # moved and turned into the frame
    half = np.linalg.norm(flat[:, 1], axis=-1, keepdims=True)
    with np.errstate(invalid="ignore"):  # one port above the other gives no frame: NaN, which fits nothing
        x, y = np.split(flat[:, 1] / half, 2, axis=-1)
    turned = np.stack([flat[..., 0] * x + flat[..., 1] * y, flat[..., 1] * x - flat[..., 0] * y, images[..., 2]], axis=-1)
    return np.concatenate([half, images[:, :2, 2], turned[:, 2], turned[:, 3]], axis=-1)


# Readings that no arrangement has


def _limit(spare):
    """The largest sum of squares that chance explains, for so many readings to spare."""
    if spare < 2:  # a square of one normal number; the usual box of a lesson waits for no scipy
        return NormalDist().inv_cdf(1 - _CHANCE / 2) ** 2
    from scipy.special import chdtri

    return chdtri(spare, _CHANCE)


def _refuse_impossible(readings):
    """ValueError for readings in mm, and for one that was read twice, differently."""
    lengths = {_said(name): value for name, value in readings.means.items() if name != "panel_slope"}
    far = [f"{name} of {value:g}" for name, value in lengths.items() if value > _BEYOND_REACH]
    if far:
        raise ValueError(f"A box has no {joined(far[:3])} cm; give readings in cm, not mm, of at most {_BEYOND_REACH} cm.")
    for name, read, error in readings.each():
        if np.sum(((read - readings.means[name]) / error) ** 2) > _limit(len(read) - 1):
            values = joined([f"{each:g}" for each in read])
            apart = f"farther apart than an error of {error.max():g} cm allows"
            raise ValueError(f"{_said(name).capitalize()} was read as {values} cm, {apart}; measure it again.")


def _disagreement(readings, at, rank):
    """The sentence on readings that do not fit together: which of them, left out, lets the others fit."""
    suspects = []
    for name, value in readings.means.items():
        rest = readings.without(name)
        if not value or not rest.names:  # the floor is where it is
            continue
        same = _determined(rest.model, rest.names, rest.flat_phone).rank == rank
        fits, off = _settled(rest, rank) if same else rest.settle(at[None])
        best = np.argmin(off)
        wanted = read_of(fits[best] @ rest.model.basis.T)[NAMES.index(name)]
        if off[best] <= _limit(len(rest.read) - rank) and wanted > 0:
            suspects.append((abs(value - wanted) / readings.doubts[name], name, value, wanted, "give" if same else "allow"))
    if not suspects:
        read = joined([f"{_said(name)} {value:.4g}" for name, value in readings.means.items()])
        return f"No box has these readings, in cm: {read}; measure them again."
    for off, name, value, wanted, _ in suspects:
        if abs(value / 10 - wanted) < 0.2 * wanted and wanted > 0.8 and off > 1 and name != "panel_slope":
            wrong = f"{_said(name).capitalize()} of {value:.4g} cm"
            return f"{wrong} does not fit the others, which give {wanted:.1f} cm; give cm, not mm."
    texts = [
        f"{_said(name)} of {value:.4g} {_unit(name)} (the others {give} {wanted:.1f})"
        for _, name, value, wanted, give in sorted(suspects)[:3]
    ]
    return f"These readings do not fit together; most likely {joined(texts, 'or')} is wrong, so measure it again."


def _unit(name):
    return "degrees" if name == "panel_slope" else "cm"


# What a set of readings determines


@dataclass(frozen=True)
class _Determined:
    """How many of the unknowns a set of readings determines, and what each measure left open needs."""

    rank: int
    needs: dict

    def knows(self, quantity, *sides):
        return not any((quantity, side) in self.needs for side in sides)


def _determined_by(readings):
    """What readings determine; with the camera low above the ports its distance does not say how the triangle leans."""
    found = _determined(readings.model, readings.names, readings.flat_phone)
    if readings.model is POINTS or readings.means["camera_above_ports"] >= _HIGH_ENOUGH:
        return found
    names = tuple(name for name in readings.names if name != "camera_to_target")
    why = f"the camera is less than {_HIGH_ENOUGH} cm above the ports"
    needs = _determined(readings.model, names, readings.flat_phone).needs
    return _Determined(found.rank, {row: f"{need}: {why}" for row, need in needs.items() if row[0] != "working distance"})


@cache
def _determined(model, names, flat_phone):
    """What readings of these names determine, wherever the points lie: in a placement without any symmetry.

    A measure is determined if it stays, to first order, whenever the points move so that the readings stay.
    """
    step = 1e-5 * np.eye(len(model.anywhere))
    nothing = np.array([])
    kit = Readings(nothing, nothing, nothing, model, flat_phone, None)
    found = rows(kit.arrangement(np.concatenate([model.anywhere + step, model.anywhere - step])))
    gradients = np.array([(row[2][: len(step)] - row[2][len(step) :]) / 2e-5 for row in found])
    slopes = slopes_of(model, model.anywhere)

    def settled(more):
        _, sizes, directions = np.linalg.svd(slopes[[NAMES.index(name) for name in (*names, *more)]])
        rank = int(np.sum(sizes > 1e-9))
        return rank, np.linalg.norm(gradients @ directions[rank:].T, axis=-1) < 1e-6

    rank, known = settled(())
    missing = [name for name in model.read if name not in names]
    needs = {}
    for count in range(1, len(missing) + 1):
        enough = {}
        for more in combinations(missing, count):
            for i in np.flatnonzero(settled(more)[1] & ~known).tolist():
                enough.setdefault(i, []).append(joined(more))
        needs = {i: joined(sets[:2] if count == 1 else sets[:1], "or") for i, sets in enough.items()} | needs
    return _Determined(rank, {found[i][:2]: f"needs {text}" for i, text in needs.items()})


# How certain


@dataclass(frozen=True, eq=False)
class _Fit:
    """The best fit, and the principal directions in which the readings leave it uncertain."""

    at: np.ndarray
    across: np.ndarray  # (readings, directions): each reading's part in each
    sizes: np.ndarray  # (directions,): how fast the readings change along each, in their errors
    directions: np.ndarray  # (directions, unknowns)
    steps: np.ndarray  # (2, directions): how far back and ahead until the readings object by one standard deviation
    straight: np.ndarray  # (directions,): whether they do so where a straight line would have it

    @classmethod
    def of(cls, readings, at, rank):
        across, sizes, directions = np.linalg.svd(readings.slopes(at), full_matrices=False)
        across, sizes, directions = across[:, :rank], sizes[:rank], directions[:rank]
        twice = 2 / np.maximum(sizes, 1e-9)
        reach = np.minimum(twice, _BEYOND_REACH)  # no farther than across a box
        share = np.linspace(0, 1.5, 31)
        moves = np.array([[-1], [1]])[..., None] * reach[:, None] * share
        change = readings.fitted(at + moves[..., None] * directions[:, None]) - readings.fitted(at)
        change = np.linalg.norm(change / readings.error, axis=-1)
        after = np.where(change[..., -1] < 2, len(share) - 1, (change >= 2).argmax(axis=-1))
        low, high = (np.take_along_axis(change, i[..., None], axis=-1)[..., 0] for i in (after - 1, after))
        crossing = share[after - 1] + share[1] * np.clip((2 - low) / np.maximum(high - low, 1e-9), 0, 1)
        straight = (np.abs(crossing * reach / twice - 1) <= _BENT).all(axis=0)
        return cls(at, across, sizes, directions, crossing * reach / 2, straight)

    def moved(self, readings):
        """The unknowns a standard deviation back and ahead along each direction, (2 * directions, unknowns), on the curve that
        the readings leave, or straight where it ends before; and for which directions it does."""
        ways = np.array([[-1.0], [1.0]])
        straight = (self.at + (ways * self.steps)[..., None] * self.directions).reshape(-1, len(self.at))
        read = readings.fitted(self.at) + readings.error * (ways[..., None] * self.across.T).reshape(len(straight), -1)
        unbound = replace(readings.model, low=-np.inf, high=np.inf)  # a lid's slope may be read too small as well
        curved, off = replace(readings, read=read, model=unbound).settle(straight, near=1e-3, damping=1e-9)
        ends = off > _BENT**2
        return np.where(ends[:, None], straight, curved), ends.reshape(2, -1).any(axis=0)


def _measured(placement, readings, fit, fits, determined):
    """Every measure with its uncertainty, or with what it needs, and the share of each reading in it."""
    n = len(fit.sizes)
    moved, ends = fit.moved(readings)
    at = np.concatenate([fits[:1], moved, fits[1:]])
    facing = readings.facing(at)
    facing[: 2 * n + 1] = facing[0]  # a moved reading does not turn the box round
    seen = readings.arrangement(at, facing)
    found = rows(seen._replace(shafts=placement.shafts, handle_reach=placement.handle_reach))
    off = np.array([changes(values, unit, values[0]) for _, _, values, unit, _ in found])
    back, ahead, elsewhere = np.split(off[:, 1:], [n, 2 * n], axis=1)
    variances = (back**2 + ahead**2) / 2
    uncertainty = np.sqrt(variances.sum(axis=1))
    weak = np.sqrt(variances[:, ends].sum(axis=1)) > _BENT * uncertainty
    bent = np.linalg.norm((back + ahead) / 2, axis=1) > _BENT * uncertainty
    shares = (ahead - back) / fit.steps.sum(axis=0) / fit.sizes @ fit.across.T
    away = np.abs(elsewhere).max(axis=1, initial=0)
    apart, near = away > 2 * uncertainty + 1e-6, away > _BENT * uncertainty + 1e-6
    table = []
    for i, (quantity, side, value, unit, note) in enumerate(found):
        value, spread, note = float(value[0]), float(uncertainty[i]), str(note[0])
        need = determined.needs.get((quantity, side))
        if need is None and quantity in ("hand-eye rotation", "camera's side") and readings.camera_looks is None:
            need = "needs camera_looks"
        if need is None and apart[i]:
            need = f"needs {_telling(readings, fits)}: {_ANOTHER}"
        if need is not None:
            value, spread, note = np.nan, np.nan, need
        elif not note and spread > 1e-6 and (weak[i] or bent[i] or near[i]):
            note = "near the end of its range, or bent" if bent[i] else "a second arrangement is nearly as likely"
            note = f"rough: {'the readings are not well placed for it' if weak[i] else note}"
        table.append(Row(quantity, side, value, unit, note, spread))
    return tuple(table), shares


def _telling(readings, fits):
    """The reading not taken that best tells arrangements from the first of them."""
    read = read_of(fits @ readings.model.basis.T)
    apart = np.abs(read - read[0]).max(axis=0)
    apart[[name in readings.names or name not in readings.model.read for name in NAMES]] = 0
    return NAMES[int(np.argmax(apart))] if apart.max() > _READING_ERROR else "more exact readings"


def _weak_point(readings, fit):
    """Which point the readings hold worst, why, and what to read as well."""
    model = readings.model
    worst = np.flatnonzero(~fit.straight)[np.argmin(fit.sizes[~fit.straight])]
    direction, points = fit.directions[worst], coordinates(fit.at @ model.basis.T)
    moved = coordinates((fit.at + 1e-4 * direction) @ model.basis.T) - points
    weak = int(np.argmax(np.linalg.norm(moved, axis=-1)))
    text = f"Not well placed: these readings say little about where the {_POINT_NAMES[weak]} is"
    for a, b in combinations([i for i in range(4) if i != weak], 2):
        from_a, from_b, along = points[weak] - points[a], points[weak] - points[b], points[b] - points[a]
        off = np.linalg.norm(np.cross(from_a, along)) / np.linalg.norm(along)
        both = {DISTANCE[min(i, weak), max(i, weak)] for i in (a, b)}
        if both <= set(readings.names) and off < _ALONG_LINE * min(np.linalg.norm(from_a), np.linalg.norm(from_b)):
            line = "the port line" if (a, b) == (0, 1) else f"the line from the {_POINT_NAMES[a]} to the {_POINT_NAMES[b]}"
            text += f", as it lies close to {line}, and a move across that line hardly changes {joined(sorted(both))}"
            break
    more = np.abs(slopes_of(model, fit.at) @ direction)
    more[[name in readings.names or name not in model.read for name in NAMES]] = 0
    if more.max() * fit.steps[:, worst].mean() > _READING_ERROR:
        return f"{text}; read {NAMES[int(np.argmax(more))]} as well."
    return f"{text}; repeat the readings to that point several times."

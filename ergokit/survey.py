"""A box checked with a tape: from readings between its points and the floor to a placement, and how sure each measure is.

Four points (both ports, target, camera) have twelve coordinates; where they stand on the floor and which way the whole is
turned no reading tells, which leaves nine. The frame puts the middle of the port line above the origin and the ports along
x. Six distances and four heights can be read. Where there are more readings than needed the placement is that of least
squares, each reading weighted by its error.

How far the nine are uncertain follows from the same weights: along each principal direction of the fit the points are moved
both ways until the readings object by one standard deviation, and the mean square of the changes of a measure, summed over
the directions, is its variance.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import combinations
from types import SimpleNamespace
from typing import NamedTuple

import numpy as np

from ergokit import datasets
from ergokit._check import flag, instance, lengths, listed, one, one_word, refused, shaft_lengths, shaped
from ergokit._files import some_path
from ergokit.placement import Placement
from ergokit.placement.measures import rows_but

__all__ = ["READINGS", "SheetView", "Survey", "field_of_view_from_sheet", "survey", "survey_file"]

_LEFT, _RIGHT, _TARGET, _CAMERA = range(4)
_POINTS = ("left port", "right port", "target", "camera")

#: What can be read: a distance between two points, or the height of one above the floor.
READINGS = {
    "port_to_port": (_LEFT, _RIGHT),
    "left_to_target": (_LEFT, _TARGET),
    "right_to_target": (_RIGHT, _TARGET),
    "left_to_camera": (_LEFT, _CAMERA),
    "right_to_camera": (_RIGHT, _CAMERA),
    "camera_to_target": (_TARGET, _CAMERA),
    "left_height": (_LEFT,),
    "right_height": (_RIGHT,),
    "camera_height": (_CAMERA,),
    "target_height": (_TARGET,),
}
_NAMES = tuple(READINGS)
_DISTANCE = {ends: name for name, ends in READINGS.items() if len(ends) == 2}
_HEIGHT = {ends[0]: name for name, ends in READINGS.items() if len(ends) == 1}
_FROM, _TO = np.array(list(_DISTANCE)).T

# The twelve coordinates from the nine unknowns: half the spacing as seen from above, both ports' heights, target, camera.
_FRAME = np.zeros((12, 9))
_FRAME[[0, 3, 2, 5], [0, 0, 1, 2]] = -1, 1, 1, 1
_FRAME[6:, 3:] = np.eye(6)
_MIRROR = np.array([1, 1, 1, 1, -1, 1, 1, -1, 1])

_READING_ERROR = 0.3  # cm, one standard deviation of a tape reading (common practice, no source)
_FLOOR_ERROR = 0.01  # cm: a height of 0 is the floor itself
_BEYOND_REACH = 50  # cm: no instrument for the job reaches as far (the long ones have shafts of about 45 cm, from memory)
_FARTHEST_SHEET = 100  # cm: farther away a sheet of paper is small in the picture, and a distance in mm likely
_DOUBT = 3  # standard deviations beyond which readings do not fit together: one honest set in 370
_CHANCE = 0.0027  # the same as a probability
_SPAN_95 = 1.959964  # standard deviations either side of the middle 95 % of a normal distribution
_SECOND = 4.0  # how much larger than the least a second arrangement's sum of squares may be: two standard deviations
_NEAR = 40.0  # the same before it is fitted
_LOOSE = 1e4  # cm, how firmly the search holds what no reading tells where it began
_BENT = 0.25  # how far, as a share, the readings or a measure may leave a straight line before that is said
_COLLINEAR = 1e-6  # of the spacing: a camera as little off the port line as this gives no panel
_ALONG_LINE = 0.3  # a point off a line by less than this share of its distance to either end lies close to it

# A placement without any symmetry: what a set of readings determines there it determines wherever it is well placed.
_ANYWHERE = np.array([8.3, 13.1, 11.7, 1.9, 9.7, 0.8, -2.3, 3.9, 17.2])


def survey(
    port_to_port=None,
    left_to_target=None,
    right_to_target=None,
    left_to_camera=None,
    right_to_camera=None,
    camera_to_target=None,
    left_height=None,
    right_height=None,
    camera_height=None,
    target_height=None,
    *,
    error=_READING_ERROR,
    errors=None,
    flat_phone=False,
    camera_looks=None,
    instrument_length=36,
    handle_reach=10,
):
    """The placement that a tape found, with the uncertainty of every measure: a `Survey`.

    Parameters, lengths in cm; leave out what was not read, and give what was read several times as a list:

    port_to_port, left_to_target, right_to_target
        between the two holes, and from each hole to the target (the inserted lengths)
    left_to_camera, right_to_camera, camera_to_target
        from each hole and from the target to the lens or the scope's tip
    left_height, right_height, camera_height, target_height
        above the floor; a height of 0 is the floor itself and has no error to speak of
    error, errors
        one standard deviation of a reading (0.3 cm is common practice, no source), and of single ones by name:
        ``errors={"camera_height": 0.5}``
    flat_phone
        True for a phone lying flat on the panel of the ports: it looks straight into the panel, not at the target
    camera_looks
        ``"away"`` from the operator or ``"towards"``. No tape tells an arrangement from its mirror image; without this the
        camera is drawn looking away and the hand-eye rotation is not known
    instrument_length, handle_reach
        as for `Placement`

    A measure that the readings do not determine is not known, and its note says what to read. Readings that no arrangement
    can have raise ValueError, naming them.

    >>> survey(port_to_port=18.2, left_to_target=17.6, right_to_target=18.4, error=0.2)  # doctest: +ELLIPSIS
    Survey of 3 readings
      manipulation angle 60.7 degrees, 95 % from 58.9 to 62.5
      not known: working distance; elevation angle; instrument plane tilt; plan angle; ...
      A tape cannot tell an arrangement from its mirror image; ...
      Repeat port_to_port: it carries 66 % of the variance of the manipulation angle, and one more reading of it brings ...
    """
    given = {name: value for name, value in locals().items() if name in READINGS and value is not None}
    flat_phone = flag("flat_phone", flat_phone)
    if camera_looks is not None:
        one_word("camera_looks", camera_looks, ("away", "towards"), "'away' or 'towards', or is left out")
    shafts, reach = shaft_lengths("instrument_length", instrument_length), one("handle_reach", handle_reach, lengths, zero=True)
    tape = _Tape.of(given, error, _errors(errors))
    tape.refuse_impossible()
    return _found(tape, _Kit(flat_phone, camera_looks, tuple(shafts), reach))


def survey_file(path, **options):
    """The survey of a CSV file of readings; `options` are those of `survey`.

    Columns: ``reading`` (a name that `survey` takes; one read twice has two rows), ``value``, ``error`` (one standard
    deviation; empty for the usual one), ``unit`` (cm) and ``how`` (free words). `data/demo_survey.csv` is an example.
    ValueError names the file, line and column of what does not fit.

    >>> from ergokit import datasets
    >>> survey_file(datasets.folder() / "demo_survey.csv").interval("manipulation angle").round(1)
    array([61.5, 65.9])
    """
    path = some_path(path)
    rows = datasets.read(path, datasets.TABLES["demo_survey"], "a CSV file of readings")
    given, errors = {}, {}
    for row in rows:
        name, error = row["reading"], row["error"]
        one_word(f"{path.name}, column reading,", name, READINGS, listed(READINGS, name))
        given.setdefault(name, []).append(row["value"])
        if not np.isnan(error) and errors.setdefault(name, error) != error:
            raise ValueError(f"{path.name}, column error, takes one error for {name}; got {errors[name]:g} and {error:g}.")
    return survey(**given, errors=errors | _errors(options.pop("errors", None)), **options)


def _errors(errors):
    takes = "a mapping from the name of a reading to its error"
    return dict(instance("errors", errors, takes, Mapping, type(None)) or {})


@dataclass(frozen=True, eq=False, repr=False)
class Survey:
    """What a tape found; made by `survey`.

    `placement` is the arrangement that fits best; what the readings do not determine is drawn somewhere. `well_placed` is
    False where the readings are too weak for their errors to be carried through, or another arrangement fits them too, and
    `remarks` say why and what else to know. Its text gives the angle, what is not known, the remarks, and which reading to
    repeat.
    """

    placement: Placement
    well_placed: bool
    remarks: tuple
    _tape: "_Tape"
    _fit: "_Fit"
    _measures: tuple

    def measures(self):
        """The table of `Placement.measures`, with the column `uncertainty`: one standard deviation.

        A measure that the readings leave open is NaN, and its note says which reading it needs.
        """
        from ergokit.placement.table import MeasureTable

        columns = ["quantity", "side", "value", "uncertainty", "unit", "note"]
        return MeasureTable([row[: len(columns)] for row in self._measures], columns=columns)

    def interval(self, quantity, side=""):
        """Where the measure lies with a probability of 95 %: an array (low, high)."""
        row = self._row(quantity, side)
        if np.isnan(row.value):
            raise ValueError(f"the {row.name} has no interval: {row.note}.")
        return row.value + np.array([-1, 1]) * _SPAN_95 * row.uncertainty

    def compared(self):
        """The readings beside what the fitted placement has in their place: reading, read, fitted, error, in cm."""
        from ergokit.placement.table import MeasureTable

        names = [_NAMES[i] for i in self._tape.which]
        fitted = _read(self._fit.at)[self._tape.which]
        return MeasureTable({"reading": names, "read": self._tape.read, "fitted": fitted, "error": self._tape.error})

    def repeat(self, quantity="manipulation angle", side=""):
        """A sentence: which reading to repeat so that this measure becomes most certain, and why.

        Where the measure is not known, what to read for it.
        """
        row = self._row(quantity, side)
        if np.isnan(row.value):
            return f"The {row.name} has no value yet: {row.note}."
        variance = np.sum(row.shares**2)
        if variance <= 1e-12:
            return f"No reading is the one to repeat: none moves the {row.name} one way."
        saved = row.shares**2 / (1 + self._fit.leverage)  # of the variance, by one more row like this one
        best = int(np.argmax(saved))
        same = self._tape.which == self._tape.which[best]
        part, after = np.sum(row.shares[same] ** 2) / variance, np.sqrt(1 - saved[best] / variance) * row.uncertainty
        digits, unit = {"deg": (1, " degrees"), "cm": (2, " cm"), "": (3, "")}[row.unit]
        return (
            f"Repeat {_NAMES[self._tape.which[best]]}: it carries {100 * part:.0f} % of the variance of the {row.name}, and "
            f"one more reading of it brings its standard deviation from {row.uncertainty:.{digits}f} to "
            f"{after:.{digits}f}{unit}."
        )

    def __repr__(self):
        count = len(self._tape.read)
        lines = [f"Survey of {count} reading{'s' if count > 1 else ''}"]
        for quantity, unit in (("manipulation angle", "degrees"), ("working distance", "cm")):
            value = self._row(quantity, "").value
            if not np.isnan(value):
                low, high = self.interval(quantity)
                lines.append(f"{quantity} {value:.1f} {unit}, 95 % from {low:.1f} to {high:.1f}")
        lost = dict.fromkeys(row.quantity for row in self._measures if row.note.startswith("needs "))
        if lost:
            lines.append(f"not known: {'; '.join(lost)}")
        return "\n  ".join([*lines, *self.remarks, self.repeat()])

    def _row(self, quantity, side):
        if isinstance(quantity, str) and isinstance(side, str):
            for row in self._measures:
                if (row.quantity, row.side) == (quantity, side):
                    return row
        known = [row.name for row in self._measures]
        raise refused("quantity, with its side,", f"one of {listed(known, quantity)}", (quantity, side))


class SheetView(NamedTuple):
    """A camera's field of view across its picture, in degrees, and one standard deviation of it."""

    field_of_view: float
    uncertainty: float


def field_of_view_from_sheet(distance, in_picture, picture_width, side=29.7, error=_READING_ERROR, picture_error=None):
    """The camera's field of view across the picture, from a photograph of a sheet of paper: a `SheetView`.

    Pin the sheet up square to the camera at a known `distance` from the lens (cm) and photograph it. On the photograph measure
    one side of the sheet, `in_picture`, and the whole `picture_width` along that side, both in the same unit: pixels, or cm on
    the screen. `side` is that side of the sheet in cm: 29.7 for the long one of A4, 21.0 for the short one (ISO 216). For the
    field across the height measure along the height. `error` is that of the distance and `picture_error` that of `in_picture`,
    in its unit (1 % of the picture's width unless given), one standard deviation each (common practice, no source).

    >>> view = field_of_view_from_sheet(distance=30, in_picture=2970, picture_width=4000)
    >>> round(view.field_of_view, 1), round(view.uncertainty, 1)
    (67.4, 0.9)
    """
    distance, side = one("distance", distance, lengths), one("side", side, lengths)
    width = one("picture_width", picture_width, lengths, takes="a width of more than 0")
    seen = one("in_picture", in_picture, lengths, takes="a length of more than 0")
    error = one("error", error, lengths, zero=True)
    picture_error = 0.01 * width if picture_error is None else one("picture_error", picture_error, lengths, zero=True)
    if seen > width:
        raise ValueError(
            f"in_picture takes at most the picture_width of {width:g}, of which the sheet is a part; got {seen:g}."
        )
    if distance > _FARTHEST_SHEET:
        raise ValueError(f"distance takes at most {_FARTHEST_SHEET} cm; got {distance:g}: in mm by mistake?")
    half = side * width / seen / (2 * distance)  # the tangent of half the field: half the width seen over the distance
    spread = 2 * half / (1 + half**2) * np.hypot(error / distance, picture_error / seen)
    return SheetView(float(np.degrees(2 * np.arctan(half))), float(np.degrees(spread)))


# What was read


@dataclass(frozen=True, eq=False)
class _Tape:
    """Readings, one a row: which of `READINGS`, as read, and its error."""

    which: np.ndarray
    read: np.ndarray
    error: np.ndarray

    @classmethod
    def of(cls, given, error, errors):
        if not given:
            raise ValueError(f"survey takes at least one of {', '.join(READINGS)}; got none.")
        error = one("error", error, lengths)
        stray = [name for name in errors if name not in given]
        if stray:
            raise refused("errors", f"names of readings that are given, {listed(given, stray[0])}", stray[0])
        rows = []
        for name, value in given.items():
            values = np.atleast_1d(lengths(name, value, zero=name in _HEIGHT.values()))
            if values.ndim > 1:
                raise refused(name, "one reading or a list of them", got=shaped(values))
            own = one(f"errors[{name!r}]", errors[name], lengths) if name in errors else None
            rows += [(_NAMES.index(name), each, own or (error if each else _FLOOR_ERROR)) for each in values]
        which, read, spread = zip(*rows, strict=True)
        return cls(np.array(which), np.array(read), np.array(spread))

    @property
    def names(self):
        return tuple(_NAMES[i] for i in dict.fromkeys(self.which.tolist()))

    def without(self, name):
        kept = self.which != _NAMES.index(name)
        return _Tape(self.which[kept], self.read[kept], self.error[kept])

    @cached_property
    def means(self):
        """Each reading by name: its weighted mean."""
        return {name: float(np.average(read, weights=error**-2)) for name, read, error in self._each()}

    @cached_property
    def doubts(self):
        """One standard deviation of each mean."""
        return {name: float(np.sum(error**-2) ** -0.5) for name, _, error in self._each()}

    def _each(self):
        for name in self.names:
            rows = self.which == _NAMES.index(name)
            yield name, self.read[rows], self.error[rows]

    def misfit(self, unknowns):
        """How far the readings at some unknowns (..., 9) are from those taken, in their errors."""
        return (_read(unknowns)[..., self.which] - self.read) / self.error

    def squares(self, unknowns):
        return np.sum(self.misfit(unknowns) ** 2, axis=-1)

    def slopes(self, unknowns):
        return _slopes(unknowns)[self.which] / self.error[:, None]

    def refuse_impossible(self):
        """ValueError for what no arrangement has, where it shows in two or three readings."""
        far = [f"{name} of {value:g}" for name, value in self.means.items() if value > _BEYOND_REACH]
        if far:
            raise ValueError(
                f"readings are in cm, at most {_BEYOND_REACH}, as far as an instrument reaches; got {_join(far, 'and')}: "
                "in mm by mistake?"
            )
        for name, read, error in self._each():
            if np.sum(((read - self.means[name]) / error) ** 2) > _limit(len(read) - 1):
                values = _join([f"{each:g}" for each in read], "and")
                raise ValueError(
                    f"{name} was read as {values} cm, farther apart than an error of {error.max():g} cm; measure it again."
                )
        for corners in combinations(range(4), 3):
            self._refuse_triangle([_DISTANCE[pair] for pair in combinations(corners, 2)])
        for ends, name in _DISTANCE.items():
            self._refuse_rise(name, *(_HEIGHT[end] for end in ends))

    def _refuse_triangle(self, names):
        if not self._has(names):
            return
        short, middle, longest = sorted((self.means[name], name) for name in names)
        reach = short[0] + middle[0]
        if longest[0] - reach > self._slack(names):
            raise ValueError(
                f"{longest[1]} of {longest[0]:g} cm cannot be: {short[1]} of {short[0]:g} and {middle[1]} of {middle[0]:g} cm "
                f"reach {reach:.1f} cm at most; {_again(longest[1], longest[0] / 10 > middle[0] - short[0])}"
            )

    def _refuse_rise(self, name, one_end, other):
        if not self._has((name, one_end, other)):
            return
        low, high = sorted((self.means[each], each) for each in (one_end, other))
        if high[0] - low[0] - self.means[name] > self._slack((name, one_end, other)):
            raise ValueError(
                f"{high[1]} of {high[0]:g} and {low[1]} of {low[0]:g} cm differ by more than {name} of {self.means[name]:g} "
                f"cm; {_again(high[1], abs(high[0] / 10 - low[0]) < self.means[name])}"
            )

    def _has(self, names):
        return all(name in self.means for name in names)

    def _slack(self, names):
        return _DOUBT * np.sqrt(sum(self.doubts[name] ** 2 for name in names))


@dataclass(frozen=True)
class _Kit:
    """What is known without a tape."""

    flat_phone: bool
    camera_looks: str | None
    shafts: tuple
    handle_reach: float

    def stand(self, unknowns):
        """The points and directions at some unknowns (..., 9), as arguments of `Placement`."""
        left, right, target, camera = np.moveaxis(_coordinates(unknowns), -2, 0)
        aim = panel = None
        if self.flat_phone:  # the panel holds both ports and the phone, which looks to the target's side of it
            panel = np.cross(right - left, camera - left)
            size = np.linalg.norm(panel, axis=-1, keepdims=True)
            if (size <= _COLLINEAR * np.sum((right - left) ** 2, axis=-1, keepdims=True)).any():
                raise ValueError(
                    "flat_phone takes a camera off the port line, as the three give the panel; these put it on it."
                )
            side = np.sum((target - left) * panel, axis=-1, keepdims=True)
            panel = panel * np.where(side > 0, -1, 1) / size
            aim = -panel
        return {
            "left_port": left,
            "right_port": right,
            "target": target,
            "camera": camera,
            "aim": aim,
            "panel_normal": panel,
            "instrument_length": self.shafts,
            "handle_reach": self.handle_reach,
        }

    def rows(self, unknowns):
        """The measures at many unknowns (n, 9), past the constructor: it refuses a shaft that a moved reading leaves short."""
        stand = self.stand(unknowns)
        return rows_but(SimpleNamespace(**stand, targets=stand["target"], shafts=self.shafts, up=None, normal=None), {})

    def faced(self, unknowns):
        """Of an arrangement and its mirror image the one whose camera looks as it is said to; away unless said."""
        stand = self.stand(unknowns)
        ahead = (stand["target"] - stand["camera"] if stand["aim"] is None else stand["aim"])[1]
        turned = ahead > 0 if self.camera_looks == "towards" else ahead < 0
        return unknowns * _MIRROR if turned else unknowns


# The nine unknowns


def _coordinates(unknowns):
    """The four points, shape (..., 4, 3)."""
    return (unknowns @ _FRAME.T).reshape(*unknowns.shape[:-1], 4, 3)


def _read(unknowns):
    """All ten readings, shape (..., 10)."""
    points = _coordinates(unknowns)
    distances = np.linalg.norm(points[..., _FROM, :] - points[..., _TO, :], axis=-1)
    return np.concatenate([distances, points[..., list(_HEIGHT), 2]], axis=-1)


def _slopes(unknowns):
    """How each reading changes with each unknown, shape (10, 9)."""
    points = _coordinates(unknowns)
    along = points[_FROM] - points[_TO]
    along /= np.linalg.norm(along, axis=-1, keepdims=True)
    slopes = np.zeros((10, 4, 3))
    slopes[np.arange(6), _FROM], slopes[np.arange(6), _TO] = along, -along
    slopes[np.arange(6, 10), list(_HEIGHT), 2] = 1
    return slopes.reshape(10, 12) @ _FRAME


def _unknowns(points):
    """The nine unknowns of points (n, 4, 3), moved and turned about the vertical into the frame."""
    flat = points[..., :2] - (points[:, [_LEFT], :2] + points[:, [_RIGHT], :2]) / 2
    half = np.linalg.norm(flat[:, _RIGHT], axis=-1, keepdims=True)
    with np.errstate(invalid="ignore"):  # one port above the other gives no frame: NaN, which fits nothing
        x, y = np.split(flat[:, _RIGHT] / half, 2, axis=-1)
    turned = np.stack([flat[..., 0] * x + flat[..., 1] * y, flat[..., 1] * x - flat[..., 0] * y, points[..., 2]], axis=-1)
    return np.concatenate([half, points[:, :2, 2], turned[:, _TARGET], turned[:, _CAMERA]], axis=-1)


# From readings to a placement


def _found(tape, kit):
    determined = _determined(tape.names, kit.flat_phone)
    at, others = _arrangements(tape, kit, determined)
    placement = Placement(**kit.stand(at))
    fit = _Fit.of(tape, at, determined.rank)
    table = _measured(tape, kit, fit, determined, others)
    remarks = []
    if not fit.straight.all():
        remarks.append(_weak_point(tape, fit))
    ambiguous = any(_ANOTHER in row.note for row in table)
    if ambiguous:
        remarks.append("Two arrangements fit these readings; the measures in which they differ are not known.")
    if kit.camera_looks is None:
        remarks.append(
            "A tape cannot tell an arrangement from its mirror image; the camera is drawn looking away from the operator "
            "(camera_looks says which)."
        )
    return Survey(placement, bool(fit.straight.all() and not ambiguous), tuple(remarks), tape, fit, table)


def _arrangements(tape, kit, determined):
    """The unknowns that fit best, and those of other arrangements that fit as well."""
    best, off = _best(tape, determined.rank)
    if off > _limit(len(tape.read) - determined.rank):
        raise ValueError(_disagreement(tape, determined.rank, kit.flat_phone))
    images = _images(best)
    near = images[tape.squares(images) <= off + _NEAR]
    fits = [(best, off)] + [_settle(tape, image, determined.rank) for image in near]
    least = min(off for _, off in fits)
    fits = [(kit.faced(at), off) for at, off in fits if off <= least + _SECOND]
    if determined.knows("elevation angle", "left", "right"):
        above = max(at[1:3].max() - at[5] for at, _ in fits)
        if above <= 0:
            raise ValueError(
                f"these readings put the target {-above:.1f} cm above both ports, outside any box; measure the heights again."
            )
        fits = [(at, off) for at, off in fits if at[1:3].max() > at[5]]
    if determined.knows("view angle", ""):  # where one of several looks down into a box it is that one
        fits = [(at, off) for at, off in fits if at[8] > at[5]] or fits
    fits.sort(key=lambda each: (round(each[1], 3), -each[0][8]))
    return fits[0][0], [at for at, _ in fits[1:]]


def _best(tape, rank):
    """The first start whose fit is good enough, or the best of all: the unknowns, and the sum of squares left."""
    best = None, np.inf
    for start in _starts(tape):
        best = min(best, _settle(tape, start, rank), key=lambda fit: fit[1])
        if best[1] <= _limit(len(tape.read) - rank):
            break
    return best


def _settle(tape, start, rank):
    """Least squares from a start: the unknowns, and the sum of squares left."""
    from scipy.optimize import least_squares

    loosely = 0.0 if rank == 9 else 1 / _LOOSE

    def misfit(unknowns):
        return np.concatenate([tape.misfit(unknowns), (unknowns - start) * loosely])

    def slopes(unknowns):
        return np.concatenate([tape.slopes(unknowns), loosely * np.eye(9)])

    found = least_squares(misfit, start, slopes, method="lm", xtol=1e-12, ftol=1e-12, gtol=1e-12).x
    return found, tape.squares(found)


def _starts(tape):
    """Arrangements to begin from: the triangle as its lengths have it, the camera somewhere above, beyond, before or beside."""
    read = tape.means
    left = read.get("left_to_target", read.get("right_to_target", 18.0))
    right = read.get("right_to_target", left)
    spacing = min(read.get("port_to_port", (left + right) / 2), 0.999 * (left + right))
    foot = np.clip((left**2 - right**2 + spacing**2) / (2 * spacing), -0.999 * left, 0.999 * left)  # from the left port
    depth = np.sqrt(left**2 - foot**2)
    ports = [read[name] for name in ("left_height", "right_height") if name in read]
    floor = read.get("target_height", np.mean(ports) - 0.6 * depth if ports else 0.0)
    level = np.mean(ports) if ports else floor + 0.6 * depth
    left_height, right_height = (read.get(name, level) for name in ("left_height", "right_height"))
    away = np.sqrt(depth**2 - np.clip(level - floor, -0.95 * depth, 0.95 * depth) ** 2)
    half = np.sqrt(max(spacing**2 - (right_height - left_height) ** 2, 1.0)) / 2
    for up in (read.get("camera_height", level + 4), floor + 1):
        for x, y in ((0.5, 2), (0.5, -8), (0.5, away + 8), (12, 2), (-12, 2)):
            yield np.array([half, left_height, right_height, foot - spacing / 2, away, floor, x, y, up])


def _images(unknowns):
    """The arrangements with one point mirrored in the plane of the others, or in the vertical plane through two of them."""
    points, images = _coordinates(unknowns), []
    for moved in range(4):
        a, b, c = (points[i] for i in range(4) if i != moved)
        planes = [(a, np.cross(b - a, c - a))] + [(p, np.cross(q - p, [0, 0, 1])) for p, q in combinations((a, b, c), 2)]
        for through, normal in planes:
            if (size := np.linalg.norm(normal)) > 1e-6:
                image = points.copy()
                image[moved] -= 2 * ((points[moved] - through) @ normal) * normal / size**2
                images.append(image)
    return _unknowns(np.array(images))


def _limit(spare):
    """The largest sum of squares that chance explains, for so many readings to spare."""
    from scipy.special import chdtri

    return chdtri(max(spare, 1), _CHANCE)


def _disagreement(tape, rank, flat_phone):
    """The sentence on readings that do not fit together: which of them, left out, lets the others fit."""
    suspects = []
    for name, value in tape.means.items():
        rest = tape.without(name)
        if rest.names and _determined(rest.names, flat_phone).rank == rank:
            at, off = _best(rest, rank)
            wanted = _read(at)[_NAMES.index(name)]
            if off <= _limit(len(rest.read) - rank) and wanted > 0:
                suspects.append((abs(value - wanted) / tape.doubts[name], name, value, wanted))
    if not suspects:
        read = _join([f"{name} {value:.4g}" for name, value in tape.means.items()], "and")
        return f"no arrangement has these readings, in cm: {read}; measure them again."
    for off, name, value, wanted in suspects:
        if abs(value / 10 - wanted) < 1 < off:
            return f"{name} of {value:.4g} cm does not fit the others, which give {wanted:.1f} cm: in mm by mistake?"
    texts = [f"{name} of {value:.4g} cm (the others give {wanted:.1f})" for _, name, value, wanted in sorted(suspects)[:3]]
    return f"these readings do not fit together; most likely {_join(texts, 'or')} is wrong: measure it again."


# What a set of readings determines


@dataclass(frozen=True)
class _Determined:
    """How many of the nine unknowns a set of readings determines, and what each measure left open needs."""

    rank: int
    needs: dict

    def knows(self, quantity, *sides):
        return not any((quantity, side) in self.needs for side in sides)


@cache
def _determined(names, flat_phone):
    """What readings of these names determine, wherever the points lie: in a placement without any symmetry.

    A measure is determined if it stays, to first order, whenever the points move so that the readings stay.
    """
    step = 1e-5 * np.eye(9)
    rows = _Kit(flat_phone, None, (36.0, 36.0), 10.0).rows(np.concatenate([_ANYWHERE + step, _ANYWHERE - step]))
    gradients = np.array([(row[2][:9] - row[2][9:]) / 2e-5 for row in rows])
    slopes = _slopes(_ANYWHERE)

    def settled(more):
        _, sizes, directions = np.linalg.svd(slopes[[_NAMES.index(name) for name in (*names, *more)]])
        rank = int(np.sum(sizes > 1e-9))
        return rank, np.linalg.norm(gradients @ directions[rank:].T, axis=-1) < 1e-6

    rank, known = settled(())
    missing = [name for name in _NAMES if name not in names]
    found = {}
    for count in range(1, len(missing) + 1):
        enough = {}
        for more in combinations(missing, count):
            for i in np.flatnonzero(settled(more)[1] & ~known).tolist():
                enough.setdefault(i, []).append(_join(more, "and"))
        found = {i: " or ".join(sets[:2] if count == 1 else sets[:1]) for i, sets in enough.items()} | found
    return _Determined(rank, {rows[i][:2]: f"needs {text}" for i, text in found.items()})


# How certain

_ANOTHER = "another arrangement fits too"


class _Measure(NamedTuple):
    """A row of the table, and the standard deviation that each reading brings to it, with its sign, to first order."""

    quantity: str
    side: str
    value: float
    uncertainty: float
    unit: str
    note: str
    shares: np.ndarray

    @property
    def name(self):
        return f"{self.side} {self.quantity}".strip()


@dataclass(frozen=True, eq=False)
class _Fit:
    """The best fit, and the principal directions in which the readings leave it uncertain."""

    at: np.ndarray
    across: np.ndarray  # (readings, directions): each reading's part in each
    sizes: np.ndarray  # (directions,): how fast the readings change along each, in their errors
    directions: np.ndarray  # (directions, 9)
    steps: np.ndarray  # (2, directions): how far back and ahead until the readings object by one standard deviation
    straight: np.ndarray  # (directions,): whether they do so where a straight line would have it

    @classmethod
    def of(cls, tape, at, rank):
        across, sizes, directions = np.linalg.svd(tape.slopes(at), full_matrices=False)
        across, sizes, directions = across[:, :rank], sizes[:rank], directions[:rank]
        twice = 2 / np.maximum(sizes, 1e-9)
        reach = np.minimum(twice, _BEYOND_REACH)  # no farther than across a box
        share = np.linspace(0, 1.5, 31)
        moves = np.array([[-1], [1]])[..., None] * reach[:, None] * share
        change = _read(at + moves[..., None] * directions[:, None]) - _read(at)
        change = np.linalg.norm(change[..., tape.which] / tape.error, axis=-1)
        after = np.where(change[..., -1] < 2, len(share) - 1, (change >= 2).argmax(axis=-1))
        low, high = (np.take_along_axis(change, i[..., None], axis=-1)[..., 0] for i in (after - 1, after))
        crossing = share[after - 1] + share[1] * np.clip((2 - low) / np.maximum(high - low, 1e-9), 0, 1)
        straight = (np.abs(crossing * reach / twice - 1) <= _BENT).all(axis=0)
        return cls(at, across, sizes, directions, crossing * reach / 2, straight)

    @cached_property
    def leverage(self):
        """How much of each fitted reading is owed to that reading itself, 0 to 1."""
        return np.sum(self.across**2, axis=-1)


def _measured(tape, kit, fit, determined, others):
    """Every measure with its uncertainty, or with what it needs."""
    n = len(fit.sizes)
    moved = [fit.at + way * step[:, None] * fit.directions for way, step in zip((-1, 1), fit.steps, strict=True)]
    rows = kit.rows(np.concatenate([[fit.at], *moved, *([other] for other in others)]))
    values = np.array([row[2] for row in rows])
    change = values - values[:, :1]
    turning = np.array([[row[3] == "deg"] for row in rows])
    change = np.where(turning, (change + 180) % 360 - 180, change)  # 179 and -179 are 2 degrees apart
    back, ahead, elsewhere = np.split(change[:, 1:], [n, 2 * n], axis=1)
    variances = (back**2 + ahead**2) / 2
    uncertainty = np.sqrt(variances.sum(axis=1))
    weak = np.sqrt(variances[:, ~fit.straight].sum(axis=1)) > _BENT * uncertainty
    bent = np.linalg.norm((back + ahead) / 2, axis=1) > _BENT * uncertainty
    shares = (ahead - back) / fit.steps.sum(axis=0) / fit.sizes @ fit.across.T
    apart = np.abs(elsewhere).max(axis=1, initial=0) > 2 * uncertainty + 1e-6
    table = []
    for i, (quantity, side, value, unit, note) in enumerate(rows):
        value, spread, note = float(value[0]), float(uncertainty[i]), str(note[0])
        need = determined.needs.get((quantity, side))
        if need is None and quantity in ("hand-eye rotation", "camera's side") and kit.camera_looks is None:
            need = "needs camera_looks"
        if need is None and apart[i]:
            need = f"needs {_telling(tape, fit.at, others[0])}: {_ANOTHER}"
        if need is not None:
            value, spread, note = np.nan, np.nan, need
        elif not note and spread > 1e-6 and (weak[i] or bent[i]):
            note = "rough: the readings are not well placed for it" if weak[i] else "rough: near the end of its range, or bent"
        table.append(_Measure(quantity, side, value, spread, unit, note, shares[i]))
    return tuple(table)


def _telling(tape, one_way, other):
    """The reading not taken that best tells two arrangements apart."""
    apart = np.abs(_read(one_way) - _read(other))
    apart[tape.which] = 0
    return _NAMES[int(np.argmax(apart))] if apart.max() > _READING_ERROR else "more exact readings"


def _weak_point(tape, fit):
    """Which point the readings hold worst, why, and what to read as well."""
    worst = np.flatnonzero(~fit.straight)[np.argmin(fit.sizes[~fit.straight])]
    direction, points = fit.directions[worst], _coordinates(fit.at)
    weak = int(np.argmax(np.linalg.norm(_coordinates(direction), axis=-1)))
    text = f"Not well placed: these readings say little about where the {_POINTS[weak]} is"
    for a, b in combinations([i for i in range(4) if i != weak], 2):
        from_a, from_b, along = points[weak] - points[a], points[weak] - points[b], points[b] - points[a]
        off = np.linalg.norm(np.cross(from_a, along)) / np.linalg.norm(along)
        both = {_DISTANCE[min(i, weak), max(i, weak)] for i in (a, b)}
        if both <= set(tape.names) and off < _ALONG_LINE * min(np.linalg.norm(from_a), np.linalg.norm(from_b)):
            line = "the port line" if (a, b) == (_LEFT, _RIGHT) else f"the line from the {_POINTS[a]} to the {_POINTS[b]}"
            text += f", as it lies close to {line}, and moving across that hardly changes {_join(sorted(both), 'and')}"
            break
    more = np.abs(_slopes(fit.at) @ direction)
    more[tape.which] = 0
    if more.max() * fit.steps[:, worst].mean() > _READING_ERROR:
        return f"{text}; read {_NAMES[int(np.argmax(more))]} as well."
    return f"{text}; read what concerns it several times."


def _join(words, last):
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}"


def _again(name, in_mm):
    return f"measure these again{f', or is {name} in mm by mistake?' if in_mm else '.'}"

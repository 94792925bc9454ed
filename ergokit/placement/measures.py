"""The table of a placement's measures: what each is called, its unit, and why it has no value where it has none."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ergokit import triangulation as tri
from ergokit._check import listed, refused

if TYPE_CHECKING:
    from ergokit.placement.table import MeasureTable

NEEDS = "needs "  # how the note of a measure begins that another reading would settle
SPAN_95 = 1.959964  # standard deviations either side of the middle 95 % of a normal distribution

_STEEP = 80  # degrees of the optical axis to a plane beyond which an azimuth in that plane is marked unstable
_BARE_HOLE = 2  # cm of shaft that a handle needs outside a bare hole (from memory)

_WHY_NOT = {
    "angle seen from above": "a shaft is perpendicular to the working plane",
    "instrument plane tilt": "the instruments lie in one line",
    "azimuth angle, instruments' plane": "the optical axis is perpendicular to the instruments' plane, or they lie in one line",
    "azimuth angle, working plane": "the optical axis or a shaft is perpendicular to the working plane",
    "angle on the screen": "a shaft points along the line of sight, or the target is not in front of the camera",
    "hand-eye rotation": "the view is level or straight up, or the operator faces across the working plane",
    "camera's side": "the optical axis is perpendicular to the working plane, or the operator faces across that plane",
    "camera roll": "the camera looks straight down or straight up, where no horizon is level",
}
_RANGES = {
    "manipulation angle": (0, 180),
    "angle seen from above": (0, 180),
    "azimuth angle, space": (0, 180),
    "off-centre angle": (0, 180),
    "angle on the screen": (0, 180),
    "instrument plane tilt": (0, 90),
    "lean at the port": (0, 90),
    "elevation angle": (-90, 90),
    "view angle": (-90, 90),
}
_UNSTABLE = f"unstable: the optical axis is within {90 - _STEEP} degrees of perpendicular to that plane"
_SHORT = f"less than the {_BARE_HOLE} cm that a handle needs at a bare hole"


class Row(NamedTuple):
    """One measure of one target: NaN with a note where it has no value; `uncertainty` is None without tape readings."""

    quantity: str
    side: str
    value: float
    unit: str
    note: str
    uncertainty: float | None


def called(row):
    """A measure as one says it, from a row that begins with quantity and side."""
    return f"{row[1]} {row[0]}".strip()


def index_of(rows, quantity, side):
    """Which of some rows that begin with quantity and side is that of a measure."""
    for i, row in enumerate(rows):
        if isinstance(quantity, str) and isinstance(side, str) and row[:2] == (quantity, side):
            return i
    raise refused("quantity and side", f"one of {listed(map(called, rows), quantity)}", (quantity, side))


class Measured:
    """What has measured a placement, each measure with its uncertainty, as rows."""

    _endless: Collection[str] = ()  # measures that can have any value

    if TYPE_CHECKING:

        @property
        def rows(self) -> tuple[Row, ...]: ...

    def measures(self) -> MeasureTable:
        """The table of `Placement.measures`, with the column `uncertainty`: one standard deviation.

        A measure that is left open is NaN, and its note says what it needs.
        """
        from ergokit.placement.table import MeasureTable

        columns = ["quantity", "side", "value", "uncertainty", "unit", "note"]
        return MeasureTable([[getattr(row, name) for name in columns] for row in self.rows], columns=columns)

    def not_known(self) -> dict[str, str]:
        """What is left open: quantity -> what would settle it."""
        return {row.quantity: row.note for row in self.rows if row.note.startswith(NEEDS)}

    def interval(self, quantity: str, side: str = "") -> np.ndarray:
        """Where the measure lies with a probability of 95 %: an array (low, high), within what the measure can be."""
        row = self.rows[index_of(self.rows, quantity, side)]
        if np.isnan(row.value):
            raise ValueError(f"The {called(row)} has no interval: {row.note} (quantity).")
        ends = row.value + np.array([-1, 1]) * SPAN_95 * row.uncertainty
        return ends if quantity in self._endless else np.clip(ends, *range_of(quantity, row.unit))


def figure(value, unit):
    """A value as it is shown, without its unit: two decimals for a ratio, which has none, else one."""
    return f"{value:z.{decimals(unit)}f}"


def with_unit(value, unit):
    """A value as it is shown on paper and slides; "no value" for NaN."""
    return "no value" if np.isnan(value) else figure(value, unit) + {"cm": " cm", "deg": "°", "": ""}[unit]


def give_or_take(uncertainty, unit):
    """An uncertainty as it is shown, with the digits of its value; one that those would round to nothing is "under 0.1"."""
    text, least = figure(uncertainty, unit), 10.0 ** -decimals(unit)
    return text if float(text) else f"under {least:g}"


def decimals(unit):
    """How many a value of this unit is shown with."""
    return 1 if unit else 2


class Arrangement(NamedTuple):
    """The points and options of a `Placement`, unchecked, each point with one row or many: (3,) or (n, 3)."""

    left_port: np.ndarray
    right_port: np.ndarray
    targets: np.ndarray
    camera: np.ndarray
    aim: np.ndarray | None = None
    up: np.ndarray | None = None
    normal: np.ndarray | None = None
    panel_normal: np.ndarray | None = None
    shafts: tuple = (36.0, 36.0)
    handle_reach: float = 10.0

    @classmethod
    def of(cls, placement, **points):
        """The arrangement of a placement, some points replaced."""
        return cls(**{name: getattr(placement, name) for name in cls._fields} | points)


def wrapped(difference):
    """The difference of two angles the short way round: 179 and -179 degrees are 2 degrees apart."""
    return np.where(np.abs(difference) > 180, (difference + 180) % 360 - 180, difference)


def changes(values, unit, start):
    """How far values of one unit are from where they start."""
    return wrapped(values - start) if unit == "deg" else values - start


def range_of(quantity, unit):
    """The least and the largest value that a quantity can have; infinite where it has none, or where it turns round."""
    if unit != "deg":
        return (-np.inf if quantity == "length outside" else 0.0), np.inf
    return _RANGES.get(quantity, (-np.inf, np.inf))


def rows_of(placement, focus=0):
    """The measures of one target as rows, for a display that must be quick; `measure` makes a table of all targets."""
    if placement.tape is not None:
        return placement.tape.rows
    one = Arrangement.of(placement, targets=placement.targets[[focus]])
    return [Row(quantity, side, float(value[0]), unit, str(note[0]), None) for quantity, side, value, unit, note in rows(one)]


def measure(placement):
    """The measures of `placement` as a table; see `Placement.measures`."""
    from ergokit.placement.table import MeasureTable

    if placement.tape is not None:
        return placement.tape.measures()
    found = rows(placement)
    several = len(placement.targets) > 1
    columns = [*["target"] * several, "quantity", "side", "value", "unit", "note"]
    entries = [
        (*[i + 1] * several, quantity, side, value[i], unit, note[i])
        for i in range(len(placement.targets))
        for quantity, side, value, unit, note in found
    ]
    return MeasureTable(entries, columns=columns)


def rows(p):
    """One row a quantity and side: (quantity, side, values (n,), unit, notes), of a placement or an arrangement."""
    n = len(p.targets)
    found = []
    for quantity, side, unit, value, odd in one_by_one(p):
        value, note = np.full(n, value, dtype=float), np.full(n, "", dtype=object)
        missing = np.isnan(value)
        if missing.any():
            note[missing] = _WHY_NOT.get(quantity, "")
        if odd is not None:
            note[~missing & odd[1]] = odd[0]
        found.append((quantity, side, value, unit, note))
    return found


def one_by_one(p):
    """Yield quantity, side, unit, value, and what is odd about it: (note, where) or None."""
    for quantity, unit, values, odd in quantities(p):
        if isinstance(values, tuple):
            for i, side in enumerate(("left", "right")):
                yield quantity, side, unit, values[i], odd and (odd[0], odd[1:][min(i, len(odd) - 2)])
        else:
            yield quantity, "", unit, values, odd


def quantities(p):
    """Yield quantity, unit, value or (left, right), and what is odd about it: (note, where) or (note, left, right).

    Each is computed when it is asked for: whoever wants one of many boxes stops there.
    """
    left, right, target, camera, aim, normal = p.left_port, p.right_port, p.targets, p.camera, p.aim, p.normal
    (left_shaft, right_shaft), reach = p.shafts, p.handle_reach

    def both(function, *args, **kwargs):
        return function(left, target, *args, **kwargs), function(right, target, *args, **kwargs)

    def levers(function, *args):
        return function(left, target, left_shaft, *args), function(right, target, right_shaft, *args)

    def azimuths(plane):
        return tri.azimuth_angles(left, right, target, camera, plane, normal=normal, aim=aim)

    yield "port spacing", "cm", tri.port_spacing(left, right), None
    yield "manipulation angle", "deg", tri.manipulation_angle(left, right, target), None
    yield "working distance", "cm", tri.working_distance(camera, target), None
    yield "depth", "cm", tri.depth(left, right, target), None
    yield "length inside", "cm", both(tri.inserted_length), None
    outside = levers(tri.outside_length)
    yield "length outside", "cm", outside, (_SHORT, outside[0] < _BARE_HOLE, outside[1] < _BARE_HOLE)
    yield "inside : outside", "", levers(tri.length_ratio), None
    yield "movement scaling", "", levers(tri.tip_travel_per_hand_travel, reach), None
    separation = tri.handle_separation(left, right, target, left_shaft, reach, right_instrument_length=right_shaft)
    yield "handle separation", "cm", separation, None
    yield "elevation angle", "deg", both(tri.elevation_angle, normal=normal), None
    yield "instrument plane tilt", "deg", tri.instrument_plane_tilt(left, right, target, normal=normal), None
    yield "angle seen from above", "deg", tri.plan_angle(left, right, target, normal=normal), None
    view = tri.view_angle(camera, target, normal=normal, aim=aim)
    beta = tri.axis_to_instruments_plane(left, right, target, camera, aim=aim)
    yield "azimuth angle, instruments' plane", "deg", azimuths("instruments"), (_UNSTABLE, beta > _STEEP)
    yield "azimuth angle, working plane", "deg", azimuths("working"), (_UNSTABLE, np.abs(view) > _STEEP)
    yield "azimuth angle, space", "deg", azimuths("space"), None
    yield "view angle", "deg", view, None
    yield "off-centre angle", "deg", tri.off_centre_angle(camera, target, aim=aim), None
    yield "angle on the screen", "deg", tri.display_angle(left, right, target, camera, aim=aim), None
    yield "hand-eye rotation", "deg", tri.hand_eye_rotation(camera, target, normal=normal, aim=aim, up=p.up), None
    yield "camera's side", "deg", tri.camera_side(camera, target, normal=normal, aim=aim), None
    yield "camera roll", "deg", tri.camera_roll(camera, target, aim=aim, up=p.up), None
    if p.panel_normal is not None:
        yield "lean at the port", "deg", both(tri.entry_angle, p.panel_normal), None

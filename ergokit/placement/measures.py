"""The table of a placement's measures: what each is called, its unit, and why it has no value where it has none."""

from types import SimpleNamespace
from typing import NamedTuple

import numpy as np

from ergokit import triangulation as tri

_STEEP = 80  # degrees of the optical axis to a plane beyond which an azimuth in that plane is marked unstable
_BARE_HOLE = 2  # cm of shaft that a handle needs outside a bare hole (from memory)

_WHY_NOT = {
    "plan angle": "a shaft is perpendicular to the working plane",
    "instrument plane tilt": "the instruments lie in one line",
    "azimuth angle, instruments' plane": "the optical axis is perpendicular to the instruments' plane, or they lie in one line",
    "azimuth angle, working plane": "the optical axis or a shaft is perpendicular to the working plane",
    "display angle": "a shaft points along the line of sight, or the target is not in front of the camera",
    "hand-eye rotation": "the view is level or straight up, or the operator faces across the working plane",
    "camera's side": "the optical axis is perpendicular to the working plane, or the operator faces across that plane",
    "camera roll": "the camera looks straight down or straight up, where no horizon is level",
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


def rows_of(placement, focus=0):
    """The measures of one target as rows, for a display that must be quick; `measure` makes a table of all targets."""
    one = placement if len(placement.targets) == 1 else placement.replace(target=placement.targets[focus])
    rows = rows_but(one, {} if one.tape is None else one.tape.not_known())
    spread = [None] * len(rows) if one.tape is None else _spread(one, rows).tolist()
    return [
        Row(quantity, side, float(value[0]), unit, str(note[0]), error)
        for (quantity, side, value, unit, note), error in zip(rows, spread, strict=True)
    ]


def measure(placement):
    """The measures of `placement` as a table; see `Placement.measures`."""
    from ergokit.placement.table import MeasureTable

    rows = rows_but(placement, {} if placement.tape is None else placement.tape.not_known())
    several = len(placement.targets) > 1
    spread = None if placement.tape is None else _spread(placement, rows)
    columns = {"target": []} if several else {}
    columns |= {name: [] for name in ("quantity", "side", "value", "unit", "note")}
    if spread is not None:
        columns["uncertainty"] = []
    for i in range(len(placement.targets)):
        for j, (quantity, side, value, unit, note) in enumerate(rows):
            if several:
                columns["target"].append(i + 1)
            for name, entry in (("quantity", quantity), ("side", side), ("value", value[i]), ("unit", unit), ("note", note[i])):
                columns[name].append(entry)
            if spread is not None:
                columns["uncertainty"].append(spread[j])
    order = [name for name in ("target", "quantity", "side", "value", "uncertainty", "unit", "note") if name in columns]
    return MeasureTable({name: columns[name] for name in order})


def rows_but(placement, unknown):
    """One row a quantity and side: (quantity, side, values (n,), unit, notes); `unknown` says why of those not known."""
    n = len(placement.targets)
    rows = []
    for quantity, unit, values, odd in quantities(placement):
        sides = ("left", "right") if isinstance(values, tuple) else ("",)
        for side, value in zip(sides, values if len(sides) == 2 else (values,), strict=True):
            value, note = np.full(n, value, dtype=float), np.full(n, "", dtype=object)
            missing = np.isnan(value)
            if missing.any():
                note[missing] = _WHY_NOT.get(quantity, "")
            if odd is not None:
                text, where = odd[0], odd[-1 if side == "right" else 1]
                note[~missing & where] = text
            if quantity in unknown:
                value[:], note[:] = np.nan, unknown[quantity]
            rows.append((quantity, side, value, unit, note))
    return rows


def quantities(p):
    """Yield quantity, unit, value or (left, right), and what is odd about it: (note, where) or (note, left, right)."""
    left, right, target, camera, aim, normal = p.left_port, p.right_port, p.targets, p.camera, p.aim, p.normal
    (left_shaft, right_shaft), reach = p.shafts, p.handle_reach

    def both(function, *args, **kwargs):
        return function(left, target, *args, **kwargs), function(right, target, *args, **kwargs)

    def levers(function, *args):
        return function(left, target, left_shaft, *args), function(right, target, right_shaft, *args)

    def azimuths(plane):
        return tri.azimuth_angles(left, right, target, camera, plane, normal=normal, aim=aim)

    view = tri.view_angle(camera, target, normal=normal, aim=aim)
    beta = tri.axis_to_instruments_plane(left, right, target, camera, aim=aim)
    outside = levers(tri.outside_length)

    yield "port spacing", "cm", tri.port_spacing(left, right), None
    yield "manipulation angle", "deg", tri.manipulation_angle(left, right, target), None
    yield "working distance", "cm", tri.working_distance(camera, target), None
    yield "depth", "cm", tri.depth(left, right, target), None
    yield "inserted length", "cm", both(tri.inserted_length), None
    yield "outside length", "cm", outside, (_SHORT, outside[0] < _BARE_HOLE, outside[1] < _BARE_HOLE)
    yield "length ratio", "", levers(tri.length_ratio), None
    yield "tip travel per hand travel", "", levers(tri.tip_travel_per_hand_travel, reach), None
    separation = tri.handle_separation(left, right, target, left_shaft, reach, right_instrument_length=right_shaft)
    yield "handle separation", "cm", separation, None
    yield "elevation angle", "deg", both(tri.elevation_angle, normal=normal), None
    yield "instrument plane tilt", "deg", tri.instrument_plane_tilt(left, right, target, normal=normal), None
    yield "plan angle", "deg", tri.plan_angle(left, right, target, normal=normal), None
    yield "azimuth angle, instruments' plane", "deg", azimuths("instruments"), (_UNSTABLE, beta > _STEEP)
    yield "azimuth angle, working plane", "deg", azimuths("working"), (_UNSTABLE, np.abs(view) > _STEEP)
    yield "azimuth angle, space", "deg", azimuths("space"), None
    yield "view angle", "deg", view, None
    yield "off-centre angle", "deg", tri.off_centre_angle(camera, target, aim=aim), None
    yield "display angle", "deg", tri.display_angle(left, right, target, camera, aim=aim), None
    yield "hand-eye rotation", "deg", tri.hand_eye_rotation(camera, target, normal=normal, aim=aim, up=p.up), None
    yield "camera's side", "deg", tri.camera_side(camera, target, normal=normal, aim=aim), None
    yield "camera roll", "deg", tri.camera_roll(camera, target, aim=aim, up=p.up), None
    if p.panel_normal is not None:
        yield "entry angle", "deg", both(tri.entry_angle, p.panel_normal), None


def _spread(placement, rows):
    """One standard deviation of each row, from the reading errors."""
    angle = np.array([row[3] == "deg" for row in rows])

    def values(readings):
        # all of them at once, and past the constructor: a shaft that a moved reading leaves too short is no reason to refuse
        stands = [moved.stand(check=False) for moved in readings]
        points = {name: None if stands[0][name] is None else np.array([stand[name] for stand in stands]) for name in stands[0]}
        moved = SimpleNamespace(
            **points,
            targets=points["target"],
            up=placement.up,
            normal=placement.normal,
            shafts=placement.shafts,
            handle_reach=placement.handle_reach,
        )
        value = np.array([row[2] for row in rows_but(moved, placement.tape.not_known())]).T
        turned = value[0] + (value - value[0] + 180) % 360 - 180  # 179 and -179 are 2 degrees apart
        return np.where(angle, turned, value)

    return placement.tape.spread(values)

"""Angles and lengths of port placement, for one placement or a million.

Every function takes points in centimetres with a last axis of 3, broadcasts the rest like numpy and returns
centimetres or degrees. The frame: x to the operator's right, y away from the operator, z up. The working plane
is level unless its `normal` is given; the camera looks at the target unless its `aim` (a direction) is given.

Angles come from ``atan2(|u x v|, u . v)``, which keeps its digits near 0, 90 and 180 degrees where ``acos`` loses half
of them (W. Kahan, "How Futile are Mindless Assessments of Roundoff...", section 12). Where a quantity has no
value the result is NaN at that point, never a silent zero; a bad argument raises ValueError. Inside this file a
vector is a tuple of its three component arrays: numpy is quicker on those than along a short last axis.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ergokit._check import broadcasting, directions, lengths, numbers, one_word, points

__all__ = [
    "axis_to_instruments_plane",
    "azimuth_angles",
    "camera_roll",
    "camera_side",
    "depth",
    "display_angle",
    "elevation_angle",
    "entry_angle",
    "hand_eye_rotation",
    "handle_height",
    "handle_position",
    "handle_separation",
    "inserted_length",
    "instrument_plane_tilt",
    "length_ratio",
    "manipulation_angle",
    "off_centre_angle",
    "outside_length",
    "plan_angle",
    "port_spacing",
    "table_height",
    "tip_travel_per_hand_travel",
    "view_angle",
    "working_distance",
]

_UP = np.array([0.0, 0.0, 1.0])
_AWAY = np.array([0.0, 1.0, 0.0])

# A component across a plane or axis smaller than this share of the whole is rounding: no direction can be read from it.
_ROUNDING = 4 * np.finfo(float).eps


@broadcasting
def port_spacing(left_port: ArrayLike, right_port: ArrayLike) -> float | np.ndarray:
    """The port spacing s, the distance between the two ports, in cm.

    >>> port_spacing((-9, 0, 12), (9, 0, 12))
    np.float64(18.0)
    """
    return _distance(points("left_port", left_port), points("right_port", right_port))


@broadcasting
def inserted_length(port: ArrayLike, target: ArrayLike) -> float | np.ndarray:
    """The length inside L_i, from a port to the target: the part of the shaft inside, in cm.

    >>> round(inserted_length((-9, 0, 12), (0, 10, 0)), 4)
    np.float64(18.0278)
    """
    return _distance(points("port", port), points("target", target))


@broadcasting
def working_distance(camera: ArrayLike, target: ArrayLike) -> float | np.ndarray:
    """The working distance d, from the camera's lens or the scope's tip to the target, in cm.

    >>> round(working_distance((0, 0, 12), (0, 10, 0)), 4)
    np.float64(15.6205)
    """
    return _distance(points("camera", camera), points("target", target))


@broadcasting
def depth(left_port: ArrayLike, right_port: ArrayLike, target: ArrayLike) -> float | np.ndarray:
    """The depth h, the distance from the target to the line of the ports, in cm; NaN where the ports coincide.

    >>> round(depth((-9, 0, 12), (9, 0, 12), (0, 10, 0)), 4)
    np.float64(15.6205)
    """
    left, right, target = points("left_port", left_port), points("right_port", right_port), points("target", target)
    along = _minus(right, left)
    u, v = _minus(target, left), _minus(target, right)
    nearer = _dot(u, u) <= _dot(v, v)  # from the nearer port, so that a target close to one keeps its digits
    return _ratio(_norm(_cross(tuple(np.where(nearer, a, b) for a, b in zip(u, v, strict=True)), along)), _norm(along))


@broadcasting
def manipulation_angle(left_port: ArrayLike, right_port: ArrayLike, target: ArrayLike) -> float | np.ndarray:
    """The manipulation angle theta, between the two instruments at the target in space, in degrees (0 to 180).

    NaN where a port lies on the target.

    >>> manipulation_angle((-10, 0, 0), (10, 0, 0), (0, 10, 0))
    np.float64(90.0)
    >>> targets = [(0, 10, 0), (5, 10, 0), (-9, 0, 12)]
    >>> manipulation_angle((-9, 0, 12), (9, 0, 12), targets).round(1)
    array([59.9, 56.2,  nan])
    """
    u, v = _shafts(left_port, right_port, target)
    return _angle(u, v)


@broadcasting
def plan_angle(
    left_port: ArrayLike, right_port: ArrayLike, target: ArrayLike, *, normal: ArrayLike | None = None
) -> float | np.ndarray:
    """The angle seen from above phi, the manipulation angle projected on the working plane, in degrees (0 to 180).

    NaN where a shaft is perpendicular to the working plane.

    >>> round(plan_angle((-9, 0, 12), (9, 0, 12), (0, 10, 0)), 4)
    np.float64(83.9744)
    """
    u, v = _shafts(left_port, right_port, target)
    return np.abs(_turn(u, v, _normal(normal)))


@broadcasting
def elevation_angle(port: ArrayLike, target: ArrayLike, *, normal: ArrayLike | None = None) -> float | np.ndarray:
    """The elevation angle epsilon, the shaft's own angle above the working plane, in degrees (-90 to 90).

    The tilt of the plane that holds both instruments is another angle: see `instrument_plane_tilt`.

    >>> round(elevation_angle((-9, 0, 12), (0, 10, 0)), 4)
    np.float64(41.7315)
    """
    u = _minus(points("port", port), points("target", target))
    return _above(u, _normal(normal))


@broadcasting
def instrument_plane_tilt(
    left_port: ArrayLike, right_port: ArrayLike, target: ArrayLike, *, normal: ArrayLike | None = None
) -> float | np.ndarray:
    """The instrument plane tilt tau, from the working plane to the plane of ports and target, in degrees (0 to 90).

    NaN where the instruments lie in one line (theta 0 or 180), near which it loses digits as 1/sin(theta).

    >>> round(instrument_plane_tilt((-9, 0, 12), (9, 0, 12), (0, 10, 0)), 4)
    np.float64(50.1944)
    """
    u, v = _shafts(left_port, right_port, target)
    across, defined = _plane(u, v)
    n = _normal(normal)
    return _where(defined, _degrees(_norm(_cross(across, n)), np.abs(_dot(across, n))))


@broadcasting
def azimuth_angles(
    left_port: ArrayLike,
    right_port: ArrayLike,
    target: ArrayLike,
    camera: ArrayLike,
    measured_in: str = "instruments",
    *,
    normal: ArrayLike | None = None,
    aim: ArrayLike | None = None,
) -> tuple[float | np.ndarray, float | np.ndarray]:
    """The azimuth angles alpha, left and right, from each instrument to the optical axis taken backwards, in degrees.

    Positive when the axis lies on the other instrument's side. `measured_in` names one of three different angles:

    - ``"instruments"``: in the plane of both instruments; the two sum to the manipulation angle (modulo 360);
    - ``"working"``: in the working plane; the two sum to the angle seen from above (modulo 360);
    - ``"space"``: the plain angle in space, 0 to 180.

    The first two lie in (-180, 180]. They are NaN where the axis is perpendicular to their plane, or the plane or a
    projected shaft has no direction, and lose digits close to that; in the instruments' plane as 1/sin(theta) too.
    Where the two projected shafts lie in one line the axis counts as lying between them.

    >>> left, right = azimuth_angles((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 0, 12))
    >>> round(left, 4), round(right, 4)
    (np.float64(29.9491), np.float64(29.9491))
    """
    one_word("measured_in", measured_in, ("instruments", "working", "space"), "'instruments', 'working' or 'space'")
    u, v = _shafts(left_port, right_port, target)
    axis, working = _axis_back(camera, target, aim), _normal(normal)
    if measured_in == "space":
        return _angle(u, axis), _angle(v, axis)
    if measured_in == "instruments":
        about, defined = _plane(u, v)
        about = tuple(np.where(defined, part, np.nan) for part in about)
        side: float | np.ndarray = 1.0
    else:
        about = working
        side = _side(u, v, about)
        side = np.where(side == 0, _side(u, axis, about), side)
        side = np.where(side == 0, 1.0, side)
    return _half_open(side * _turn(u, axis, about)), _half_open(-side * _turn(v, axis, about))


@broadcasting
def axis_to_instruments_plane(
    left_port: ArrayLike, right_port: ArrayLike, target: ArrayLike, camera: ArrayLike, *, aim: ArrayLike | None = None
) -> float | np.ndarray:
    """The angle beta between the optical axis and the plane of both instruments, in degrees (0 to 90).

    At 90 the camera sees the manipulation angle as it is; at 0 it sees both shafts in one line. NaN where the
    instruments have no plane.

    >>> axis_to_instruments_plane((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 0, 12))
    np.float64(0.0)
    """
    u, v = _shafts(left_port, right_port, target)
    across, defined = _plane(u, v)
    axis = _axis_back(camera, target, aim)
    beta = _degrees(np.abs(_dot(axis, across)), _norm(_cross(axis, across)))
    return _where(defined & (_norm(axis) > 0), beta)


@broadcasting
def view_angle(
    camera: ArrayLike, target: ArrayLike, *, normal: ArrayLike | None = None, aim: ArrayLike | None = None
) -> float | np.ndarray:
    """The view angle of the optical axis above the working plane, in degrees (-90 to 90; 90 looks straight down).

    >>> round(view_angle((0, 0, 12), (0, 10, 0)), 4)
    np.float64(50.1944)
    """
    return _above(_axis_back(camera, target, aim), _normal(normal))


@broadcasting
def off_centre_angle(camera: ArrayLike, target: ArrayLike, *, aim: ArrayLike | None = None) -> float | np.ndarray:
    """The off-centre angle, at the camera, between its optical axis and the target, in degrees (0 to 180).

    0 is the middle of the picture; beyond half the field of view the target is not seen.

    >>> off_centre_angle((0, 0, 10), (0, 10, 0), aim=(0, 0, -1))
    np.float64(45.0)
    """
    sight = _minus(points("target", target), points("camera", camera))
    return _angle(sight, sight if aim is None else _parts(directions("aim", aim)))


@broadcasting
def display_angle(
    left_port: ArrayLike, right_port: ArrayLike, target: ArrayLike, camera: ArrayLike, *, aim: ArrayLike | None = None
) -> float | np.ndarray:
    """The angle on the screen D, between the two shafts in the picture at the target's image, in degrees (0 to 180).

    NaN where the target is not in front of the camera or a shaft points along the line of sight.

    The picture of a point is its place across the optical axis over its distance along it; moving the target along a shaft u
    therefore moves its image along c x (u x w), with c the axis and w the line of sight.

    >>> round(display_angle((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 20, 12)), 4)
    np.float64(60.7209)
    """
    u, v = _shafts(left_port, right_port, target)
    sight = _minus(points("target", target), points("camera", camera))
    left, right = _cross(u, sight), _cross(v, sight)
    seen = _norm(sight) > 0
    for shaft, image in ((u, left), (v, right)):
        seen = seen & (_norm(image) > _ROUNDING * _norm(shaft) * _norm(sight))
    if aim is not None:  # seen along the line of sight itself the second product only turns the picture by 90 degrees
        axis = _parts(directions("aim", aim))
        left, right = _cross(axis, left), _cross(axis, right)
        seen = seen & (_dot(axis, sight) > 0)
    return _where(seen, _angle(left, right))


@broadcasting
def hand_eye_rotation(
    camera: ArrayLike,
    target: ArrayLike,
    *,
    normal: ArrayLike | None = None,
    aim: ArrayLike | None = None,
    facing: ArrayLike = _AWAY,
    up: ArrayLike | None = None,
) -> float | np.ndarray:
    """The hand-eye rotation psi, in the working plane, from where the operator faces to the picture's projected "up".

    In degrees, (-180, 180], positive anticlockwise seen from above; 0 aligned, 180 facing each other. The picture's up is
    that of a level horizon unless `up` is given; for a camera looking straight down, where the operator faces. NaN where
    the projected up vanishes (a level view).

    Both the camera's side and its roll turn it, and the two do not add: on a level working plane it is
    side - atan2(sin(roll), cos(roll) sin(view)). With a level horizon it is the side, while the camera looks down.

    >>> hand_eye_rotation((0, 0, 12), (0, 10, 0), facing=(0, 1, 0))
    np.float64(0.0)
    >>> hand_eye_rotation((0, 20, 12), (0, 10, 0), facing=(0, 1, 0))
    np.float64(180.0)
    """
    back = _axis_back(camera, target, aim)
    facing, n = _parts(directions("facing", facing)), _normal(normal)
    if up is None:
        down_looking = (back[2] > 0) & (np.hypot(back[0], back[1]) <= _ROUNDING * back[2])
        upright = tuple(np.where(down_looking, ahead, part) for ahead, part in zip(facing, _parts(_UP), strict=True))
    else:
        upright = _parts(directions("up", up))
    return _half_open(_turn(facing, _cross(back, _cross(upright, back)), n))


@broadcasting
def camera_side(
    camera: ArrayLike,
    target: ArrayLike,
    *,
    normal: ArrayLike | None = None,
    aim: ArrayLike | None = None,
    facing: ArrayLike = _AWAY,
) -> float | np.ndarray:
    """The camera's side, in the working plane, from where the operator faces to where the optical axis leads, in degrees.

    In (-180, 180], positive anticlockwise seen from above; 0 looks the way the operator does, 90 in from the operator's
    right, 180 back at the operator. NaN where the axis is perpendicular to the plane: straight down there is no side.

    >>> camera_side((9, 10, 12), (0, 10, 0))
    np.float64(90.0)
    """
    back = _axis_back(camera, target, aim)  # both taken backwards: the turn between them is the same
    return _half_open(_turn(_parts(-directions("facing", facing)), back, _normal(normal)))


@broadcasting
def camera_roll(
    camera: ArrayLike, target: ArrayLike, *, aim: ArrayLike | None = None, up: ArrayLike | None = None
) -> float | np.ndarray:
    """The camera roll about the optical axis, from a level horizon to the picture's `up`, in degrees.

    In (-180, 180], positive where the camera is turned clockwise as seen from behind it, so that the picture turns
    anticlockwise. The horizon is level unless `up` is given. NaN where the axis is vertical: no horizon is level there.

    >>> camera_roll((0, 0, 0), (0, 10, 0), up=(1, 0, 1))
    np.float64(45.0)
    """
    back = _axis_back(camera, target, aim)
    up = _parts(_UP if up is None else directions("up", up))
    return _half_open(_turn(up, _parts(_UP), back))


@broadcasting
def outside_length(port: ArrayLike, target: ArrayLike, instrument_length: ArrayLike) -> float | np.ndarray:
    """The length outside L_e, the part of the shaft outside the port, in cm; negative where the shaft cannot reach.

    >>> outside_length((0, 0, 20), (0, 0, 0), 36)
    np.float64(16.0)
    """
    return lengths("instrument_length", instrument_length) - inserted_length(port, target)


@broadcasting
def length_ratio(port: ArrayLike, target: ArrayLike, instrument_length: ArrayLike) -> float | np.ndarray:
    """The ratio inside : outside r, shaft inside over shaft outside; NaN where nothing is left outside.

    Levels 240:120, 180:180 and 120:240 mm, ratios 2, 1 and 0.5, were tested by Emam et al., Arch Surg 2000;135(1):62-65.

    >>> length_ratio((0, 0, 24), (0, 0, 0), 36)
    np.float64(2.0)
    """
    inside = inserted_length(port, target)
    outside = lengths("instrument_length", instrument_length) - inside
    return _ratio(inside, np.where(outside > 0, outside, np.nan))


@broadcasting
def tip_travel_per_hand_travel(
    port: ArrayLike, target: ArrayLike, instrument_length: ArrayLike, handle_reach: ArrayLike = 10
) -> float | np.ndarray:
    """The cm that the tip moves across the shaft for each cm of the hand, L_i / (L_e + H); NaN where nothing is left outside.

    >>> tip_travel_per_hand_travel((0, 0, 23), (0, 0, 0), 36, 10)
    np.float64(1.0)
    """
    inside = inserted_length(port, target)
    outside = lengths("instrument_length", instrument_length) - inside
    reach = lengths("handle_reach", handle_reach, zero=True)
    return _ratio(inside, np.where(outside > 0, outside + reach, np.nan))


@broadcasting
def handle_position(
    port: ArrayLike, target: ArrayLike, instrument_length: ArrayLike, handle_reach: ArrayLike = 10
) -> np.ndarray:
    """The place of the hand, instrument length plus handle reach from the target along the shaft, shape (..., 3), in cm.

    NaN where the shaft cannot reach the target, or the port lies on it.

    >>> handle_position((0, 0, 20), (0, 0, 0), 36, 10)
    array([ 0.,  0., 46.])
    """
    port, target = points("port", port), points("target", target)
    shaft = lengths("instrument_length", instrument_length)
    u = _minus(port, target)
    inside = _norm(u)
    total = np.where((inside > 0) & (inside < shaft), shaft + lengths("handle_reach", handle_reach, zero=True), np.nan)
    scale = _ratio(total, inside)
    return np.stack(np.broadcast_arrays(*(target[..., i] + u[i] * scale for i in range(3))), axis=-1)


@broadcasting
def handle_separation(
    left_port: ArrayLike,
    right_port: ArrayLike,
    target: ArrayLike,
    instrument_length: ArrayLike,
    handle_reach: ArrayLike = 10,
    *,
    right_instrument_length: ArrayLike | None = None,
) -> float | np.ndarray:
    """The handle separation, the distance between the two hands, in cm.

    Both shafts are `instrument_length` long, the right one `right_instrument_length` where that is given.

    >>> round(handle_separation((-9, 0, 12), (9, 0, 12), (0, 10, 0), 36, 10), 4)
    np.float64(45.9292)
    """
    left = handle_position(points("left_port", left_port), target, instrument_length, handle_reach)
    if right_instrument_length is not None:
        instrument_length = lengths("right_instrument_length", right_instrument_length)
    right = handle_position(points("right_port", right_port), target, instrument_length, handle_reach)
    return _norm(_minus(left, right))


@broadcasting
def handle_height(
    port: ArrayLike, target: ArrayLike, instrument_length: ArrayLike, handle_reach: ArrayLike = 10
) -> float | np.ndarray:
    """The height of the hand above the floor of the workspace, in cm: above the table top, if the box is on a table.

    NaN where the shaft cannot reach the target, or the port lies on it.

    >>> handle_height((0, 0, 20), (0, 0, 0), 36, 10)
    np.float64(46.0)
    """
    return handle_position(port, target, instrument_length, handle_reach)[..., 2][()]


@broadcasting
def table_height(elbow_height: ArrayLike, handle_height: ArrayLike, handles_above_elbow: ArrayLike = 0) -> float | np.ndarray:
    """The height of the table top that brings the handles to elbow height, in cm above the floor of the room.

    `handle_height` is the handles' height above the table top, `elbow_height` the elbow's above the floor, standing or seated.
    Of handles 20 or 10 cm below the elbow, at it, and 10 or 20 cm above it, those at it gave least discomfort: Berquer,
    Smith and Davis, Surg Endosc 2002;16(3):416-421; `handles_above_elbow` is for another choice. Negative where no table
    is low enough.

    >>> table_height(105, 30)
    np.float64(75.0)
    """
    elbow = lengths("elbow_height", elbow_height)
    handles = numbers("handle_height", handle_height, "a height in cm")
    return (elbow + numbers("handles_above_elbow", handles_above_elbow, "a height in cm") - handles)[()]


@broadcasting
def entry_angle(port: ArrayLike, target: ArrayLike, panel_normal: ArrayLike) -> float | np.ndarray:
    """The lean at the port, between a shaft and the normal of the surface there, in degrees (0, straight in, to 90).

    >>> entry_angle((0, 0, 10), (0, 10, 0), panel_normal=(0, 0, 1))
    np.float64(45.0)
    """
    u = _minus(points("port", port), points("target", target))
    n = _parts(directions("panel_normal", panel_normal))
    return _where(_norm(u) > 0, _degrees(_norm(_cross(u, n)), np.abs(_dot(u, n))))


# Vectors as tuples of components


def _parts(array: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    return array[..., 0], array[..., 1], array[..., 2]


def _minus(a, b):
    return a[..., 0] - b[..., 0], a[..., 1] - b[..., 1], a[..., 2] - b[..., 2]


def _dot(a, b):
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _cross(a, b):
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def _norm(a):
    return np.sqrt(_dot(a, a))


def _distance(a, b):
    return _norm(_minus(a, b))


def _shafts(left_port, right_port, target):
    """From the target to each port."""
    target = points("target", target)
    return _minus(points("left_port", left_port), target), _minus(points("right_port", right_port), target)


def _normal(normal):
    return _parts(_UP if normal is None else directions("normal", normal))


def _axis_back(camera, target, aim):
    """The optical axis taken backwards, towards the camera."""
    back = _minus(points("camera", camera), points("target", target))
    if aim is None:
        return back
    aim = directions("aim", aim)  # the same for every camera and target, but the result has a value for each
    return _parts(-np.broadcast_to(aim, np.broadcast_shapes(aim.shape, (*back[0].shape, 3))))


def _plane(u, v):
    """A normal of the plane of u and v, and where it is more than rounding."""
    across = _cross(u, v)
    return across, _norm(across) > _ROUNDING * _norm(u) * _norm(v)


def _where(defined, value):
    return np.where(defined, value, np.nan)[()]


def _ratio(over, under):
    with np.errstate(divide="ignore", invalid="ignore"):
        return _where(under != 0, over / under)


def _degrees(opposite, adjacent):
    """atan2 in degrees; NaN where both are zero, since then there is no direction."""
    angle = np.degrees(np.arctan2(opposite, adjacent))
    lost = (opposite == 0) & (adjacent == 0)
    return np.where(lost, np.nan, angle)[()] if np.any(lost) else angle


def _angle(u, v):
    return _degrees(_norm(_cross(u, v)), _dot(u, v))


def _above(u, n):
    """Angle of u above the plane with normal n."""
    return _degrees(_dot(u, n), _norm(_cross(u, n)))


def _turn(a, b, n):
    """Signed angle from a to b, both projected on the plane with normal n, anticlockwise about n, from -180 to 180 degrees."""
    flat_a, flat_b = _cross(a, n), _cross(b, n)  # the projections, each turned by a quarter and |n| times as long
    size = _norm(n)
    defined = _norm(flat_a) > _ROUNDING * _norm(a) * size
    defined = defined & (_norm(flat_b) > _ROUNDING * _norm(b) * size)
    # n . (a x b) would do for the sine, but two steep shafts keep their digits only from the projections
    return _where(defined, _degrees(_dot(n, _cross(flat_a, flat_b)), size * _dot(flat_a, flat_b)))


def _side(a, b, n):
    """Sign of the turn from a to b: 0 in one line but for rounding, NaN where a projection has no direction."""
    turn = _turn(a, b, n)
    return np.where(np.abs(np.sin(np.radians(turn))) > _ROUNDING, np.sign(turn), 0 * turn)


def _half_open(angle):
    """Into (-180, 180]: -180 and 180 are the same turn."""
    return np.where(angle == -180, 180.0, angle + 0.0)[()]

"""The ground floor against definitions at 50 digits, known figures and a published table; other libraries in test_outside."""

import inspect
import re
from functools import partial

import numpy as np
import pytest
import references
from draws import draws
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from ergokit import triangulation as tri

EPS = np.finfo(float).eps
UP = np.array([0.0, 0.0, 1.0])


def kit(p):
    """Every quantity of a placement by the kit, named as the references name them."""

    def given_of(*names):
        return {name: p[name] for name in names if name in p}

    shafts = given_of("left_port", "right_port", "target")
    camera, seen = given_of("camera", "target", "aim"), given_of("camera", "aim")
    plane = given_of("normal")
    shaft, reach = p.get("instrument_length", 36), p.get("handle_reach", 10)
    lengths = {"left": shaft, "right": p.get("right_instrument_length", shaft)}
    found = {
        "port spacing": tri.port_spacing(p["left_port"], p["right_port"]),
        "working distance": tri.working_distance(p["camera"], p["target"]),
        "depth": tri.depth(**shafts),
        "handle separation": tri.handle_separation(
            **shafts, instrument_length=shaft, handle_reach=reach, **given_of("right_instrument_length")
        ),
        "manipulation angle": tri.manipulation_angle(**shafts),
        "angle seen from above": tri.plan_angle(**shafts, **plane),
        "tilt": tri.instrument_plane_tilt(**shafts, **plane),
        "axis to instruments' plane": tri.axis_to_instruments_plane(**shafts, **seen),
        "view": tri.view_angle(**camera, **plane),
        "off centre": tri.off_centre_angle(**camera),
        "display": tri.display_angle(**shafts, **seen),
        "camera side": tri.camera_side(**camera, **plane, **given_of("facing")),
        "camera roll": tri.camera_roll(**camera, **given_of("up")),
        "hand-eye rotation": tri.hand_eye_rotation(**camera, **plane, **given_of("facing", "up")),
    }
    for hand in ("left", "right"):
        line, whole = (p[f"{hand}_port"], p["target"]), lengths[hand]
        found |= {
            f"length inside {hand}": tri.inserted_length(*line),
            f"length outside {hand}": tri.outside_length(*line, whole),
            f"inside : outside {hand}": tri.length_ratio(*line, whole),
            f"tip travel {hand}": tri.tip_travel_per_hand_travel(*line, whole, reach),
            f"hand {hand}": tri.handle_position(*line, whole, reach),
            f"elevation {hand}": tri.elevation_angle(*line, **plane),
            f"entry {hand}": tri.entry_angle(*line, p.get("panel_normal", UP)),
        }
    for plane_of in ("instruments", "working", "space"):
        both = tri.azimuth_angles(**shafts, **seen, measured_in=plane_of, **({} if plane_of == "space" else plane))
        found |= {f"azimuth {plane_of} {hand}": angle for hand, angle in zip(("left", "right"), both, strict=True)}
    return found


LENGTHS = ("port", "length inside", "working distance", "depth", "length outside", "handle", "hand left", "hand right")
RATIOS = ("inside : outside", "tip travel")
SIGNED = (
    "azimuth instruments",
    "azimuth working",
    "hand-eye",
    "camera side",
    "camera roll",
)  # in (-180, 180], so 180 and -179.99... are neighbours


def is_angle(name):
    return not name.startswith(LENGTHS + RATIOS)


def turn_between(a, b, name):
    """Difference of two angles, round the circle for the signed ones."""
    difference = np.asarray(a) - np.asarray(b)
    return np.abs((difference + 180) % 360 - 180 if name.startswith(SIGNED) else difference)


def assert_same(found, expected, tolerance=1e-8, length=1.0, but=()):
    for name in found.keys() - set(but):
        if is_angle(name):
            assert np.all(turn_between(found[name], expected[name], name) <= tolerance), name
        else:
            factor = 1.0 if name.startswith(RATIOS) else length
            np.testing.assert_allclose(found[name], factor * np.asarray(expected[name]), rtol=1e-10, atol=1e-10, err_msg=name)


# Worked placements, computed at 40 digits from the definitions; shaft 36, handle reach 10, camera aimed at the target

PORTS = {"left_port": (-9, 0, 12), "right_port": (9, 0, 12)}
FIRST = {**PORTS, "target": (0, 10, 0), "camera": (0, 0, 12)}
SECOND = {"left_port": (-9, 0, 12), "right_port": (7, 3, 14), "target": (2, 11, 1.5), "camera": (0, 4, 16)}
FACING = {**FIRST, "camera": (0, 20, 12)}  # the first, with the camera facing the operator

WORKED = [
    (FIRST, "manipulation angle", 59.8981638998),
    (FIRST, "angle seen from above", 83.9744249916),
    (FIRST, "elevation left", 41.7314612736),
    (FIRST, "elevation right", 41.7314612736),
    (FIRST, "azimuth working left", 41.9872124958),
    (FIRST, "azimuth working right", 41.9872124958),
    (FIRST, "azimuth instruments left", 29.9490819499),
    (FIRST, "azimuth instruments right", 29.9490819499),
    (FIRST, "tilt", 50.1944289077),
    (FIRST, "working distance", 15.6204993518),
    (FIRST, "view", 50.1944289077),
    (FIRST, "display", 180),
    (FIRST, "hand-eye rotation", 0),
    (FIRST, "length inside left", 18.0277563773),
    (FIRST, "length inside right", 18.0277563773),
    (FIRST, "inside : outside left", 1.003088805),
    (FIRST, "inside : outside right", 1.003088805),
    (FIRST, "handle separation", 45.929176247),
    (SECOND, "manipulation angle", 56.0254631162),
    (SECOND, "angle seen from above", 77.0053832081),
    (SECOND, "elevation left", 34.0179945054),
    (SECOND, "elevation right", 52.9574701274),
    (SECOND, "azimuth working left", 29.0546040991),
    (SECOND, "azimuth working right", 47.950779109),
    (SECOND, "azimuth instruments left", 32.344237743),
    (SECOND, "azimuth instruments right", 23.6812253733),
    (SECOND, "tilt", 54.0781977081),
    (SECOND, "working distance", 16.2249807396),
    (SECOND, "view", 63.3398461345),
    (SECOND, "display", 135.120992128),
    (SECOND, "length inside left", 18.7683243791),
    (SECOND, "length inside right", 15.6604597634),
    (SECOND, "inside : outside left", 1.089175817),
    (SECOND, "inside : outside right", 0.7699515122),
    (SECOND, "handle separation", 43.209432896),
    (FACING, "manipulation angle", 59.8981638998),
    (FACING, "angle seen from above", 83.9744249916),
    (FACING, "elevation left", 41.7314612736),
    (FACING, "elevation right", 41.7314612736),
    (FACING, "azimuth working left", -138.0127875042),
    (FACING, "azimuth working right", -138.0127875042),
    (FACING, "azimuth instruments left", 29.9490819499),
    (FACING, "azimuth instruments right", 29.9490819499),
    (FACING, "tilt", 50.1944289077),
    (FACING, "working distance", 15.6204993518),
    (FACING, "view", 50.1944289077),
    (FACING, "display", 60.7208756901),
    (FACING, "hand-eye rotation", 180),
    (FACING, "length inside left", 18.0277563773),
    (FACING, "length inside right", 18.0277563773),
    (FACING, "inside : outside left", 1.003088805),
    (FACING, "inside : outside right", 1.003088805),
    (FACING, "handle separation", 45.929176247),
]


@pytest.mark.parametrize(("placement", "name", "expected"), WORKED)
def test_worked_placements(placement, name, expected):
    assert kit(placement)[name] == pytest.approx(expected, abs=1e-9)
    assert float(references.measures(**placement)[name]) == pytest.approx(expected, abs=1e-9)


# Standard solid geometry

BASE = np.array([(1, 1, 1), (1, -1, -1), (-1, 1, -1)])  # with the apex a regular tetrahedron about the origin
APEX = np.array([-1, -1, 1])
FACE = -np.cross(BASE[1] - BASE[0], BASE[2] - BASE[0])  # normal of the base, towards the apex
MIDDLE, X, Y, DIAGONAL = (0, 0, 0), (1, 0, 0), (0, 1, 0), (1, 1, 1)


@pytest.mark.parametrize(
    ("function", "arguments", "expected"),
    [
        pytest.param(tri.manipulation_angle, BASE, 60, id="equilateral"),
        pytest.param(tri.manipulation_angle, [(3, 0, 0), (0, 4, 0), MIDDLE], 90, id="3-4-5 right angle"),
        pytest.param(tri.manipulation_angle, [MIDDLE, (0, 4, 0), (3, 0, 0)], 53.1301, id="3-4-5 opposite 4"),
        pytest.param(tri.manipulation_angle, [MIDDLE, (3, 0, 0), (0, 4, 0)], 36.8699, id="3-4-5 opposite 3"),
        pytest.param(tri.depth, [(3, 0, 0), (0, 4, 0), MIDDLE], 2.4, id="3-4-5 height on 5"),
        pytest.param(partial(tri.elevation_angle, normal=FACE), [APEX, BASE[0]], 54.7356, id="tetrahedron edge to face"),
        pytest.param(tri.entry_angle, [APEX, BASE[0], FACE], 35.2644, id="tetrahedron edge to face normal"),
        pytest.param(
            partial(tri.instrument_plane_tilt, normal=FACE), [*BASE[:2], APEX], 70.5288, id="tetrahedron face to face"
        ),
        pytest.param(tri.manipulation_angle, [*BASE[:2], MIDDLE], 109.4712, id="tetrahedron corners from its middle"),
        pytest.param(tri.manipulation_angle, [DIAGONAL, (-1, 1, 1), MIDDLE], 70.5288, id="two cube diagonals"),
        pytest.param(tri.elevation_angle, [DIAGONAL, MIDDLE], 35.2644, id="cube diagonal to face"),
        pytest.param(tri.view_angle, [DIAGONAL, MIDDLE], 35.2644, id="cube diagonal looked down"),
        pytest.param(tri.axis_to_instruments_plane, [X, Y, MIDDLE, DIAGONAL], 35.2644, id="cube diagonal to two edges"),
        pytest.param(tri.display_angle, [X, Y, MIDDLE, DIAGONAL], 120, id="cube edges seen down its diagonal"),
        pytest.param(partial(tri.plan_angle, normal=DIAGONAL), [X, Y, MIDDLE], 120, id="cube edges laid down its diagonal"),
    ],
)
def test_standard_solids(function, arguments, expected):
    assert function(*arguments) == pytest.approx(expected, abs=5e-5)


# A published table and the trade's own


@pytest.mark.parametrize(
    ("focal", "across", "down", "corners"),
    [(24, 73.740, 53.130, 84.062), (28, 65.470, 46.397, 75.381), (35, 54.432, 37.849, 63.440), (50, 39.598, 26.991, 46.793)],
)
def test_lens_table(focal, across, down, corners):
    """Two ports at the edges of a 36 x 24 mm frame, the target a focal length away.

    35 mm format lens coverage table, mailing-list post of 1999-08-20 (leica-users.org v10/msg04586).
    """
    edges = [((-18, 0, 0), (18, 0, 0)), ((0, -12, 0), (0, 12, 0)), ((-18, -12, 0), (18, 12, 0))]
    angles = [tri.manipulation_angle(a, b, (0, 0, focal)) for a, b in edges]
    assert angles == pytest.approx([across, down, corners], abs=1e-3)


@pytest.mark.parametrize(("side", "said", "shortened"), [(16, 13.8, np.floor), (18, 15.6, np.round), (20, 17.3, np.round)])
def test_equal_sides_give_the_depths_of_the_trade(side, said, shortened):
    """Common practice, no source, to 0.1 cm; the first, 13.86, is cut rather than rounded."""
    left, right, target = side * BASE / np.sqrt(8)
    assert tri.port_spacing(left, right) == pytest.approx(side)
    assert tri.manipulation_angle(left, right, target) == pytest.approx(60)
    assert shortened(10 * tri.depth(left, right, target)) / 10 == pytest.approx(said)


# A general-purpose library (more of them in test_outside)


@pytest.mark.parametrize("turn", [-179, -120, -90, -35, 0.01, 60, 90, 135, 180])
def test_agrees_with_scipy_rotations(turn):
    """A line swung by a rotation stands at that angle to where it was."""
    target, port = np.array([2.0, 11.0, 1.5]), np.array([-9.0, 0.0, 12.0])
    shaft = port - target

    def swung(vector, about):
        return Rotation.from_rotvec(turn * np.asarray(about) / np.linalg.norm(about), degrees=True).apply(vector)

    across = np.cross(shaft, UP)
    tilted = np.array([0.3, -0.2, 1.0])
    level = np.cross(tilted, shaft)
    camera = np.array([0.0, -10.0, 12.0])  # looks ahead, the way the operator faces
    assert tri.manipulation_angle(port, target + swung(shaft, across), target) == pytest.approx(abs(turn))
    assert tri.plan_angle(port, target + swung(shaft, tilted), target, normal=tilted) == pytest.approx(abs(turn))
    assert tri.elevation_angle(target + swung(level, np.cross(level, tilted)), target, normal=tilted) == pytest.approx(
        np.degrees(np.arcsin(np.sin(np.radians(turn))))
    )
    assert tri.hand_eye_rotation(target + swung(camera, UP), target) == pytest.approx(turn)
    assert tri.off_centre_angle(port, target, aim=swung(-shaft, across)) == pytest.approx(abs(turn))


# Properties

spans = st.floats(3, 30)
turns = st.floats(-180, 180)


def arms(azimuth, elevation=0.0):
    a, e = np.radians((azimuth, elevation))
    return np.array([np.cos(e) * np.cos(a), np.cos(e) * np.sin(a), np.sin(e)])


@st.composite
def rotations(draw):
    return Rotation.from_euler("zyx", [draw(turns), draw(st.floats(-90, 90)), draw(turns)], degrees=True)


def sine(a, b):
    return np.linalg.norm(np.cross(a, b), axis=-1) / (np.linalg.norm(a, axis=-1) * np.linalg.norm(b, axis=-1))


@st.composite
def placements(draw):
    """Any placement whose quantities all have a value, a few degrees clear of where they lose it."""
    frame = draw(rotations())
    theta = draw(st.floats(5, 175))
    u, v = draw(spans) * arms(0), draw(spans) * arms(theta)
    axis = arms(draw(turns), draw(st.floats(-80, 80)))
    aim_off, up, normal, facing = (arms(draw(turns), draw(st.floats(-85, 85))) for _ in range(4))
    u, v, axis, aim_off, up = (frame.apply(a) for a in (u, v, axis, aim_off, up))
    target = np.array([draw(st.floats(-10, 10)) for _ in range(3)])
    aim = -axis + draw(st.floats(0, 0.8)) * aim_off
    picture_up = np.cross(aim, np.cross(up, aim))
    for shaft in (u, v):
        assume(sine(shaft, normal) > 0.1 and sine(shaft, axis) > 0.1)
    assume(min(sine(aim, normal), sine(facing, normal), sine(aim, up), sine(picture_up, normal)) > 0.1)
    assume(sine(np.cross(u, normal), np.cross(v, normal)) > 0.02)
    assume(sine(np.cross(u, v), aim) > 0.1)
    return {
        "left_port": target + u,
        "right_port": target + v,
        "target": target,
        "camera": target + draw(spans) * axis,
        "normal": draw(st.floats(1e-3, 1e3)) * normal,
        "aim": draw(st.floats(1e-3, 1e3)) * aim,
        "up": draw(st.floats(1e-3, 1e3)) * up,
        "facing": facing,
        "panel_normal": arms(draw(turns), draw(st.floats(-85, 85))),
        "instrument_length": draw(st.floats(31, 60)),
        "right_instrument_length": draw(st.floats(31, 60)),
        "handle_reach": draw(st.floats(0, 15)),
    }


PLACES = ("left_port", "right_port", "target", "camera")
DIRECTIONS = ("normal", "aim", "up", "facing", "panel_normal")
SIZES = ("instrument_length", "right_instrument_length", "handle_reach")
HANDS = ("hand left", "hand right")
MOVED = (*HANDS, "camera roll")  # what a rigid motion changes: a level horizon is level to the vertical, whatever moves
unhurried = settings(deadline=None, max_examples=50)


@unhurried
@given(placements(), rotations(), st.tuples(*[st.floats(-50, 50)] * 3))
def test_a_rigid_motion_changes_nothing(p, rotation, shift):
    moved = p | {k: rotation.apply(p[k]) for k in DIRECTIONS} | {k: rotation.apply(p[k]) + shift for k in PLACES}
    before, after = kit(p), kit(moved)
    assert_same(after, before, but=MOVED)
    for hand in HANDS:
        np.testing.assert_allclose(after[hand], rotation.apply(before[hand]) + shift, rtol=0, atol=1e-10)


@unhurried
@given(placements(), rotations())
def test_a_mirror_changes_the_sense_of_hand_eye_rotation_and_side_alone(p, rotation):
    mirror = rotation.apply(UP)

    def seen(a):
        return a - 2 * np.dot(a, mirror) * mirror

    before, after = kit(p), kit(p | {k: seen(p[k]) for k in PLACES + DIRECTIONS})
    for name in ("hand-eye rotation", "camera side"):
        before[name] = -before[name]
    assert_same(after, before, but=MOVED)
    for hand in HANDS:
        np.testing.assert_allclose(after[hand], seen(before[hand]), rtol=0, atol=1e-10)


@unhurried
@given(placements(), turns)
def test_camera_roll_keeps_to_the_vertical(p, turn):
    """Turned about the vertical it stays; in an upright mirror it changes its sense."""
    aim, up = unit(p["aim"]), p["up"]
    assume(sine(aim, UP) > 0.1)
    roll = tri.camera_roll(p["camera"], p["target"], aim=aim, up=up)
    for move, sense in ((Rotation.from_euler("z", turn, degrees=True).apply, 1), (lambda a: a * [-1, 1, 1], -1)):
        moved = tri.camera_roll(p["camera"], p["target"], aim=move(aim), up=move(up))
        assert turn_between(moved, sense * roll, "camera roll") < 1e-8


@unhurried
@given(placements())
def test_side_and_roll_make_the_hand_eye_rotation(p):
    """psi = side - atan2(sin roll, cos roll sin view) on a level working plane."""
    camera = {"camera": p["camera"], "target": p["target"], "aim": p["aim"]}
    facing = p["facing"]
    assume(min(sine(p["aim"], UP), sine(facing, UP), sine(p["up"], p["aim"])) > 0.1)
    up = np.cross(p["aim"], np.cross(p["up"], p["aim"]))
    assume(sine(up, UP) > 0.1)
    psi = tri.hand_eye_rotation(**camera, facing=facing, up=p["up"])
    roll, view = np.radians(tri.camera_roll(**camera, up=p["up"])), np.radians(tri.view_angle(**camera))
    turned = np.degrees(np.arctan2(np.sin(roll), np.cos(roll) * np.sin(view)))
    assert turn_between(psi, tri.camera_side(**camera, facing=facing) - turned, "hand-eye") < 1e-8


# The three scopes of 30 degrees: the side and the roll of a turned view cancel where the head was not turned. Two by
# hand: their axes are (1/2, cos 30 cos 50, -cos 30 sin 50) and (0, cos 100, -sin 100); the third looks down upright.
LOOKS = [
    ("shaft 50 down, post turned 90", (0.5, 0.5566704, -0.6634139), (0, 0.7660444, 0.6427876), (-41.93, -30.79, 0)),
    ("shaft 70 down, looking down", (0, -0.1736482, -0.9848078), (0, 0.9848078, -0.1736482), (180, 180, 0)),
    ("shaft 40 down, looking down", (0, 0.3420201, -0.9396926), (0, 0.9396926, 0.3420201), (0, 0, 0)),
    ("level, from the right, horizon level", (-1, 0, -1), (-1, 0, 1), (90, 0, 90)),
    ("from the right, rolled until it agrees with the hands", (-0.6, 0, -0.8), (0, 1, 0), (90, 90, 0)),
    ("looking up past the operator", (0, 1, 1), (0, -1, 1), (0, 0, 180)),
]


@pytest.mark.parametrize(("what", "axis", "up", "expected"), LOOKS, ids=[case[0] for case in LOOKS])
def test_side_roll_and_rotation_are_three_things(what, axis, up, expected):
    camera = {"camera": (0, 0, 20), "target": (3, 4, 0), "aim": axis}
    found = tri.camera_side(**camera), tri.camera_roll(**camera, up=up), tri.hand_eye_rotation(**camera, up=up)
    assert found == pytest.approx(expected, abs=5e-3)


@unhurried
@given(placements(), st.floats(0.01, 100))
def test_scale_changes_lengths_alone(p, scale):
    assert_same(kit(p | {k: scale * p[k] for k in PLACES + SIZES}), kit(p), length=scale)


@unhurried
@given(placements())
def test_swapped_ports_swap_the_hands(p):
    pairs = ("left_port", "right_port"), ("instrument_length", "right_instrument_length")
    swapped = kit(p | {a: p[b] for pair in pairs for a, b in (pair, pair[::-1])})
    hands = {"left": "right", "right": "left"}
    renamed = {" ".join(hands.get(word, word) for word in name.split(" ")): value for name, value in swapped.items()}
    assert_same(renamed, kit(p))


@unhurried
@given(placements())
def test_azimuths_sum_to_their_angle(p):
    found = kit(p)
    for plane, whole in (("instruments", "manipulation angle"), ("working", "angle seen from above")):
        left, right = found[f"azimuth {plane} left"], found[f"azimuth {plane} right"]
        assert -180 < left <= 180 and -180 < right <= 180
        assert abs((left + right - found[whole] + 180) % 360 - 180) < 1e-9


@unhurried
@given(placements())
def test_space_azimuth_from_the_instruments_plane(p):
    found = kit(p)
    for hand in ("left", "right"):
        inside, space = (np.radians(found[f"azimuth {plane} {hand}"]) for plane in ("instruments", "space"))
        beta = np.radians(found["axis to instruments' plane"])
        assert np.cos(space) == pytest.approx(np.cos(beta) * np.cos(inside), abs=1e-13)


# Every public function by its signature

PUBLIC = [f for name, f in inspect.getmembers(tri, inspect.isfunction) if f.__module__ == tri.__name__ and name[0] != "_"]
GOOD = {
    "left_port": np.array([-9.0, 0.0, 12.0]),
    "right_port": np.array([7.0, 3.0, 14.0]),
    "port": np.array([-9.0, 0.0, 12.0]),
    "target": np.array([2.0, 11.0, 1.5]),
    "camera": np.array([0.0, 4.0, 16.0]),
    "normal": np.array([0.1, -0.2, 1.0]),
    "aim": np.array([0.3, 0.4, -0.9]),
    "up": np.array([0.2, 1.0, 0.5]),
    "facing": np.array([0.1, 1.0, 0.0]),
    "panel_normal": np.array([-0.2, -0.3, 1.0]),
    "instrument_length": np.float64(36),
    "right_instrument_length": np.float64(30),
    "handle_reach": np.float64(10),
    "elbow_height": np.float64(110),
    "handle_height": np.float64(30),
    "handles_above_elbow": np.float64(-5),
}


def takes(function, all_of_them=True):
    """The arguments of geometry, or those without a default."""
    parameters = inspect.signature(function).parameters.values()
    return [p.name for p in parameters if p.name != "measured_in" and (all_of_them or p.default is p.empty)]


def good(function, all_of_them=True):
    return {name: GOOD[name] for name in takes(function, all_of_them)}


def named(value):
    function = getattr(value, "func", value)
    return "-".join([function.__name__, *getattr(value, "keywords", {}).values()]) if callable(function) else str(value)


VARIANTS = [*PUBLIC, *(partial(tri.azimuth_angles, measured_in=plane) for plane in ("working", "space"))]
WITHOUT_PART = {  # arguments that a result does not depend on
    "azimuth_angles": ("normal",),
    "azimuth_angles-space": ("normal", "left_port", "right_port"),  # each hand's by its own port alone
}
SPREADS = [(f, argument) for f in VARIANTS for argument in takes(f) if argument not in WITHOUT_PART.get(named(f), ())]
SPREADS += [(f, which) for f in VARIANTS for which in ("all", "all without a default")]


@pytest.mark.parametrize(("function", "spread"), SPREADS, ids=named)
def test_broadcasting_equals_a_loop(function, spread):
    """Three by two values, in one argument alone or threes down and twos across in all of them by turns."""
    single = good(function, spread != "all without a default")
    shapes = {spread: (3, 2)} if spread in single else {name: ((3, 1), (2,))[i % 2] for i, name in enumerate(single)}
    rng = np.random.default_rng(0)
    many = {name: single[name] * rng.uniform(0.9, 1.1, size=(*shape, *single[name].shape)) for name, shape in shapes.items()}
    whole = {name: np.broadcast_to(value, (3, 2, *single[name].shape)) for name, value in many.items()}
    found = function(**single | many)
    for i, j in np.ndindex(3, 2):
        alone = function(**single | {name: value[i, j] for name, value in whole.items()})
        pairs = zip(found, alone, strict=True) if isinstance(found, tuple) else [(found, alone)]
        for of_many, of_one in pairs:
            assert of_many.shape == (3, 2, *np.shape(of_one))
            np.testing.assert_allclose(of_many[i, j], of_one, rtol=1e-13, atol=1e-13)


# References at 50 digits, near-degenerate placements included

KINDS = (
    "anywhere",
    "target nearly between the ports",
    "target nearly on the line beyond a port",
    "target close to a port",
    "shafts nearly parallel",
    "theta nearly 90",
    "both shafts nearly perpendicular to the working plane",
    "one shaft nearly perpendicular to the working plane",
    "camera nearly overhead",
    "camera nearly in the instruments' plane",
    "camera nearly square to the instruments' plane",
    "camera nearly along a shaft",
    "view nearly level",
)
NUMBER = draws(77, 385)  # of each kind, level and tilted: 2,002 or 10,010 placements
TOLERANCE = 2e-13  # degrees: 16 roundings of a radian


def unit(a):
    return a / np.linalg.norm(a, axis=-1, keepdims=True)


def crowd(kind, tilted):
    """Placements of a kind, 1e-10 to 1e-2 cm from where it degenerates; with every direction given where tilted."""
    rng = np.random.default_rng([KINDS.index(kind), tilted])
    shape = (NUMBER, 3)

    def about(middle, spread):
        return middle + spread * rng.normal(size=shape)

    def between(low, high):
        return rng.uniform(low, high, size=(NUMBER, 1))

    def small():
        return 10 ** between(-10, -2) * unit(rng.normal(size=shape))

    left, right, target, camera = about((-9, 0, 12), 3), about((9, 0, 12), 3), about((0, 10, 0), 4), about((0, 0, 14), 4)
    normal = about(UP, 0.3) * between(0.1, 3) if tilted else np.broadcast_to(UP, shape)
    high, part = between(5, 25), between(0.1, 0.9)
    u, v, square = left - target, right - target, unit(normal)
    match kind:
        case "target nearly between the ports":
            target = left + part * (right - left) + small()
        case "target nearly on the line beyond a port":
            target = left + (1 + part) * (right - left) + small()
        case "target close to a port":
            target = left + small()
        case "shafts nearly parallel":
            right = left + small()
        case "theta nearly 90":
            target = (left + right + np.linalg.norm(right - left, axis=-1, keepdims=True) * unit(about(0, 1))) / 2
        case "both shafts nearly perpendicular to the working plane":
            left, right = target + high * square + small(), target + part * high * square + small()
        case "one shaft nearly perpendicular to the working plane":
            left = target + high * square + small()
        case "camera nearly overhead":
            camera = target + high * square + small()
        case "camera nearly in the instruments' plane":
            camera = target + part * u + (1 - part) * v + small()
        case "camera nearly square to the instruments' plane":
            camera = target + high * unit(np.cross(u, v)) + small()
        case "camera nearly along a shaft":
            camera = target + part * u + small()
        case "view nearly level":
            camera = camera - square * np.sum((camera - target) * square, axis=-1, keepdims=True) + small()
    p = {"left_port": left, "right_port": right, "target": target, "camera": camera, "panel_normal": about(UP, 0.5)}
    p |= {"instrument_length": between(80, 99)[:, 0], "handle_reach": between(0, 15)[:, 0]}
    if tilted:
        p |= {"normal": normal, "aim": unit(target - camera) + 0.9 * unit(about(0, 1))}
        p |= {"up": about(0, 1), "facing": about((0, 1, 0), 1), "right_instrument_length": between(80, 99)[:, 0]}
    return p


def sharpness(p):
    """How much of its vectors an angle is read from: the share, from 0 to 1, by which the bound on its error grows.

    One everywhere but where the geometry itself loses the digits that vectors rounded once still had: a plane of two
    instruments nearly in line, a projection on a tilted plane or on a picture of what is nearly perpendicular to it.
    """
    target, sight = p["target"], p["target"] - p["camera"]
    u, v = p["left_port"] - target, p["right_port"] - target
    aim = p.get("aim", sight)
    across = np.cross(u, v)
    plane = sine(u, v)
    shares = {"tilt": plane, "axis to instruments' plane": plane}
    shares |= {f"azimuth instruments {hand}": plane * sine(across, aim) for hand in ("left", "right")}
    shares["display"] = np.minimum(sine(u, sight), sine(v, sight))
    if "normal" in p:
        normal = p["normal"]
        flat_u, flat_v, flat_aim = sine(u, normal), sine(v, normal), sine(aim, normal)
        up = np.cross(aim, np.cross(p["up"], aim))
        shares["angle seen from above"] = np.minimum(flat_u, flat_v)
        shares["azimuth working left"] = np.minimum(flat_u, flat_aim)
        shares["azimuth working right"] = np.minimum(flat_v, flat_aim)
        shares["camera side"] = np.minimum(flat_aim, sine(p["facing"], normal))
        shares["camera roll"] = np.minimum(sine(p["up"], aim), sine(UP, aim))
        shares["hand-eye rotation"] = np.minimum(sine(p["up"], aim) * sine(up, normal), sine(p["facing"], normal))
    return shares


def length_bounds(p, found):
    """The largest error of each length or ratio in roundings of what it is computed from."""
    target = np.linalg.norm(p["target"], axis=-1)
    whole, reach = p["instrument_length"], p["handle_reach"]
    bounds = {name: found[name] for name in ("port spacing", "working distance")}
    bounds["depth"] = np.minimum(found["length inside left"], found["length inside right"])
    bounds["handle separation"] = target + whole + reach
    for hand in ("left", "right"):
        bounds[f"length inside {hand}"] = found[f"length inside {hand}"]
        bounds[f"length outside {hand}"] = whole
        bounds[f"hand {hand}"] = (target + whole + reach)[:, None]
        bounds[f"inside : outside {hand}"] = found[f"inside : outside {hand}"] * whole / found[f"length outside {hand}"]
        bounds[f"tip travel {hand}"] = found[f"tip travel {hand}"] * whole / found[f"length outside {hand}"]
    return bounds


@pytest.mark.parametrize("tilted", [False, True], ids=["level", "tilted"])
@pytest.mark.parametrize("kind", KINDS)
def test_references_at_50_digits(kind, tilted):
    p = crowd(kind, tilted)
    found, shares = kit(p), sharpness(p)
    bounds = length_bounds(p, found)
    exact = [references.measures(**{name: values[i] for name, values in p.items()}) for i in range(NUMBER)]
    for name, values in found.items():
        expected = np.array([one[name] for one in exact], dtype=float)
        if is_angle(name):
            error, bound = turn_between(values, expected, name), TOLERANCE / shares.get(name, 1.0)
        else:
            error, bound = np.abs(values - expected), 4 * EPS * bounds[name]
        assert np.all(error <= bound), f"{name}: {np.max(error / bound):.3g} of the bound"  # NaN fails too


# Where a quantity has no value, and where it is exactly 0, 90 or 180

NONE = np.nan
L, R, T, C = (-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 0, 12)
OVER_T = (0, 10, 12)

SPECIAL = [
    # Angles at the target
    (tri.manipulation_angle, (T, R, T), {}, NONE, "left port on the target"),
    (tri.manipulation_angle, (L, T, T), {}, NONE, "right port on the target"),
    (tri.manipulation_angle, (L, R, (0, 0, 12)), {}, 180, "target between the ports"),
    (tri.manipulation_angle, (L, R, (27, 0, 12)), {}, 0, "target beyond a port"),
    (tri.manipulation_angle, (L, R, (0, 9, 12)), {}, 90, "target on the sphere over the ports"),
    (tri.plan_angle, (OVER_T, R, T), {}, NONE, "left shaft vertical"),
    (tri.plan_angle, (L, OVER_T, T), {}, NONE, "right shaft vertical"),
    (tri.plan_angle, (L, T, T), {}, NONE, "port on the target"),
    (tri.plan_angle, (L, R, T), {"normal": (-9, -10, 12)}, NONE, "left shaft along a tilted normal"),
    (tri.plan_angle, (L, R, (0, 0, 0)), {}, 180, "shafts lean apart in one vertical plane"),
    (tri.plan_angle, (L, (-18, 0, 12), (0, 0, 0)), {}, 0, "one shaft over the other"),
    (tri.plan_angle, (L, (0, 9, 3), (0, 0, 0)), {}, 90, "shafts at right angles on plan"),
    (tri.elevation_angle, (T, T), {}, NONE, "port on the target"),
    (tri.elevation_angle, (OVER_T, T), {}, 90, "shaft vertical"),
    (tri.elevation_angle, (T, OVER_T), {}, -90, "shaft from below"),
    (tri.elevation_angle, ((3, 4, 0), T), {}, 0, "shaft level"),
    (tri.instrument_plane_tilt, (L, R, (0, 0, 12)), {}, NONE, "instruments in one line, apart"),
    (tri.instrument_plane_tilt, (L, R, (27, 0, 12)), {}, NONE, "instruments in one line, one behind the other"),
    (tri.instrument_plane_tilt, (L, L, T), {}, NONE, "both ports in one place"),
    (tri.instrument_plane_tilt, (L, T, T), {}, NONE, "port on the target"),
    (tri.instrument_plane_tilt, (L, R, (0, 0, 0)), {}, 90, "instruments in a vertical plane"),
    (tri.instrument_plane_tilt, (L, R, OVER_T), {}, 0, "instruments in a level plane"),
    # Azimuths, left and right
    (tri.azimuth_angles, (L, R, (0, 0, 12), (0, 5, 20)), {}, (NONE, NONE), "instruments in one line"),
    (tri.azimuth_angles, (L, R, OVER_T, (0, 10, 30)), {}, (NONE, NONE), "axis perpendicular to the instruments' plane"),
    (tri.azimuth_angles, (L, R, T, T), {}, (NONE, NONE), "camera on the target"),
    (tri.azimuth_angles, (T, R, T, C), {}, (NONE, NONE), "port on the target"),
    (tri.azimuth_angles, (L, R, (0, 9, 12), L), {}, (0, 90), "camera in the left port"),
    (tri.azimuth_angles, (L, R, (0, 9, 12), (9, 18, 12)), {}, (180, -90), "axis opposite the left shaft"),
    (tri.azimuth_angles, (L, R, (0, 9, 12), (-9, 18, 12)), {}, (-90, 180), "axis opposite the right shaft"),
    (tri.azimuth_angles, (L, R, T, OVER_T, "working"), {}, (NONE, NONE), "camera straight above the target"),
    (tri.azimuth_angles, (OVER_T, R, T, C, "working"), {}, (NONE, NONE), "left shaft vertical, so no side is towards it"),
    (tri.azimuth_angles, (L, OVER_T, T, C, "working"), {}, (NONE, NONE), "right shaft vertical, so no side is towards it"),
    (tri.azimuth_angles, (L, R, T, C, "working"), {"normal": (0, -10, 12)}, (NONE, NONE), "axis along a tilted normal"),
    (tri.azimuth_angles, (L, R, (0, 0, 0), (9, 9, 9), "working"), {}, (135, 45), "projected shafts in line, camera beyond"),
    (tri.azimuth_angles, (L, R, (0, 0, 0), (9, -9, 9), "working"), {}, (135, 45), "projected shafts in line, camera nearer"),
    (tri.azimuth_angles, (L, R, (0, 0, 0), (9, 0, 9), "working"), {}, (180, 0), "projected shafts and axis in line"),
    (tri.azimuth_angles, (L, R, (0, 9, 0), (9, 18, 9), "working"), {}, (180, -90), "axis opposite the left shaft on plan"),
    (tri.azimuth_angles, (L, R, (0, 9, 0), (-9, 18, 9), "working"), {}, (-90, 180), "axis opposite the right shaft on plan"),
    (tri.azimuth_angles, (L, R, T, T, "space"), {}, (NONE, NONE), "camera on the target"),
    (
        tri.azimuth_angles,
        ((0, 9, 12), R, (0, 9, 12), R, "space"),
        {},
        (NONE, 0),
        "left port on the target, camera in the right",
    ),
    (tri.azimuth_angles, (L, R, (0, 9, 12), (9, 0, 12), "space"), {}, (90, 0), "camera in the right port"),
    # The camera
    (tri.axis_to_instruments_plane, (L, R, (0, 0, 12), (0, 5, 20)), {}, NONE, "instruments in one line"),
    (tri.axis_to_instruments_plane, (L, R, T, T), {}, NONE, "camera on the target"),
    (tri.axis_to_instruments_plane, (L, R, T, C), {}, 0, "camera in the instruments' plane"),
    (tri.axis_to_instruments_plane, (L, R, OVER_T, (0, 10, 30)), {}, 90, "camera square to the instruments' plane"),
    (tri.axis_to_instruments_plane, (L, R, OVER_T, (0, 10, 3)), {}, 90, "the same from below"),
    (tri.view_angle, (T, T), {}, NONE, "camera on the target"),
    (tri.view_angle, (T, T), {"aim": (0, 0, -1)}, 90, "camera on the target, aimed down"),
    (tri.view_angle, (OVER_T, T), {}, 90, "straight down"),
    (tri.view_angle, (C, OVER_T), {}, 0, "level"),
    (tri.view_angle, (T, OVER_T), {}, -90, "straight up"),
    (tri.off_centre_angle, (T, T), {}, NONE, "camera on the target"),
    (tri.off_centre_angle, (T, T), {"aim": (0, 0, -1)}, NONE, "camera on the target, aimed down"),
    (tri.off_centre_angle, (C, T), {}, 0, "looks at the target"),
    (tri.off_centre_angle, (C, T), {"aim": (0, 12, 10)}, 90, "looks past it squarely"),
    (tri.off_centre_angle, (C, T), {"aim": (0, -5, 6)}, 180, "looks away from it"),
    (tri.display_angle, (L, R, T, T), {}, NONE, "camera on the target"),
    (tri.display_angle, (L, R, T, L), {}, NONE, "shaft along the line of sight"),
    (tri.display_angle, (L, R, T, (18, -10, 24)), {}, NONE, "shaft along the line of sight, camera behind the port"),
    (tri.display_angle, (L, T, T, C), {}, NONE, "port on the target"),
    (tri.display_angle, (L, R, T, C), {"aim": (0, -5, 6)}, NONE, "target behind the camera"),
    (tri.display_angle, (L, R, T, C), {"aim": (0, 12, 10)}, NONE, "target abreast of the camera"),
    (tri.display_angle, (L, R, T, C), {}, 180, "camera in the instruments' plane, between them"),
    (tri.display_angle, ((3, 0, 0), (5, 0, 0), (0, 0, 0), (0, 0, 9)), {}, 0, "one shaft over the other in the picture"),
    (tri.display_angle, ((3, 0, 1), (0, 5, 2), (0, 0, 0), (0, 0, 9)), {}, 90, "shafts at right angles in the picture"),
    (tri.hand_eye_rotation, (T, T), {}, NONE, "camera on the target"),
    (tri.hand_eye_rotation, (C, OVER_T), {}, NONE, "level view"),
    (tri.hand_eye_rotation, (T, OVER_T), {}, NONE, "straight up"),
    (tri.hand_eye_rotation, (C, T), {"facing": (0, 0, 1)}, NONE, "operator faces along the working plane's normal"),
    (tri.hand_eye_rotation, (C, T), {"up": (0, -10, 12)}, NONE, "up given along the axis"),
    (tri.hand_eye_rotation, (OVER_T, T), {}, 0, "straight down"),
    (tri.hand_eye_rotation, (OVER_T, T), {"facing": (3, 4, 0)}, 0, "straight down, the operator turned"),
    (tri.hand_eye_rotation, (OVER_T, T), {"up": (1, 0, 0)}, -90, "straight down, the camera turned to the right"),
    (tri.hand_eye_rotation, (C, T), {}, 0, "from the operator's side"),
    (tri.hand_eye_rotation, ((0, 20, 12), T), {}, 180, "facing the operator"),
    (tri.hand_eye_rotation, ((9, 10, 12), T), {}, 90, "from the right"),
    (tri.hand_eye_rotation, ((-9, 10, 12), T), {}, -90, "from the left"),
    (tri.hand_eye_rotation, ((0, 0, -12), T), {}, 180, "from below"),
    (tri.camera_side, (T, T), {}, NONE, "camera on the target"),
    (tri.camera_side, (OVER_T, T), {}, NONE, "straight down"),
    (tri.camera_side, (C, T), {"facing": (0, 0, 1)}, NONE, "operator faces along the working plane's normal"),
    (tri.camera_side, (C, T), {}, 0, "the way the operator looks"),
    (tri.camera_side, ((0, 20, 12), T), {}, 180, "facing the operator"),
    (tri.camera_side, ((9, 10, 12), T), {}, 90, "from the right"),
    (tri.camera_side, (C, OVER_T), {}, 0, "level view"),
    (tri.camera_side, ((9, 10, 12), T), {"facing": (-1, 0, 0)}, 0, "from the right, of one who stands there"),
    (tri.camera_roll, (T, T), {}, NONE, "camera on the target"),
    (tri.camera_roll, (OVER_T, T), {}, NONE, "straight down: no horizon"),
    (tri.camera_roll, (C, T), {"up": (0, 10, -12)}, NONE, "up given along the axis"),
    (tri.camera_roll, (C, T), {}, 0, "level horizon"),
    (tri.camera_roll, (C, OVER_T), {"up": (1, 0, 0)}, 90, "clockwise seen from behind"),
    (tri.camera_roll, (C, OVER_T), {"up": (-3, 0, -3)}, -135, "anticlockwise, past upside down"),
    (tri.camera_roll, (C, OVER_T), {"up": (0, 0, -1)}, 180, "upside down"),
    # Lengths and hands
    (tri.port_spacing, (L, L), {}, 0, "both ports in one place"),
    (tri.inserted_length, (T, T), {}, 0, "port on the target"),
    (tri.working_distance, (T, T), {}, 0, "camera on the target"),
    (tri.depth, (L, L, T), {}, NONE, "both ports in one place"),
    (tri.depth, (L, R, (5, 0, 12)), {}, 0, "target on the line of the ports"),
    (tri.depth, (L, R, L), {}, 0, "target on a port"),
    (tri.outside_length, (OVER_T, T, 12), {}, 0, "just reaches"),
    (tri.outside_length, (OVER_T, T, 10), {}, -2, "too short"),
    (tri.length_ratio, (OVER_T, T, 12), {}, NONE, "nothing left outside"),
    (tri.length_ratio, (OVER_T, T, 10), {}, NONE, "too short"),
    (tri.length_ratio, (T, T, 10), {}, 0, "nothing inside"),
    (tri.tip_travel_per_hand_travel, (OVER_T, T, 12), {}, NONE, "nothing left outside"),
    (tri.tip_travel_per_hand_travel, (OVER_T, T, 10), {}, NONE, "too short, though the handle would reach"),
    (tri.tip_travel_per_hand_travel, (OVER_T, T, 24, 0), {}, 1, "half in, half out, held at the shaft's end"),
    (tri.handle_position, (OVER_T, T, 12), {}, (NONE,) * 3, "nothing left outside"),
    (tri.handle_position, (OVER_T, T, 10), {}, (NONE,) * 3, "too short"),
    (tri.handle_position, (T, T, 10), {}, (NONE,) * 3, "port on the target"),
    (tri.handle_separation, (OVER_T, R, T, 10), {}, NONE, "too short on both sides"),
    (tri.handle_separation, (OVER_T, R, T, 13), {}, NONE, "too short on the right"),
    (tri.handle_separation, (L, T, T, 36), {}, NONE, "port on the target"),
    (tri.handle_separation, (L, L, T, 36), {}, 0, "both hands in one place"),
    (tri.entry_angle, (T, T, UP), {}, NONE, "port on the target"),
    (tri.entry_angle, (OVER_T, T, UP), {}, 0, "straight in"),
    (tri.entry_angle, (OVER_T, T, -UP), {}, 0, "straight in, whichever way the normal points"),
    (tri.entry_angle, (C, OVER_T, UP), {}, 90, "along the surface"),
]


@pytest.mark.parametrize(
    ("function", "arguments", "more", "expected"),
    [pytest.param(*case[:4], id=f"{case[0].__name__}, {case[4]}") for case in SPECIAL],
)
def test_no_value_or_an_exact_one(function, arguments, more, expected):
    np.testing.assert_array_equal(function(*arguments, **more), expected)


def test_one_bad_spot_leaves_a_map_whole():
    targets = np.array([T, (1, 11, 1), L, OVER_T, (2, 8, 3)])
    maps = {
        "port on the target": tri.manipulation_angle(L, R, targets),
        "shaft vertical": tri.plan_angle((0, 10, 20), R, targets),
        "view level": tri.hand_eye_rotation((0, 0, 12), targets),
    }
    bad = {"port on the target": [2], "shaft vertical": [0, 3], "view level": [2, 3]}
    for why, found in maps.items():
        assert np.flatnonzero(np.isnan(found)).tolist() == bad[why], why


def test_right_angles_and_straight_lines_of_whole_numbers_are_exact():
    u, v = np.random.default_rng(0).integers(-50, 50, size=(2, 1000, 3))
    square = np.cross(u, v)
    some = square.any(axis=-1)
    u, square = u[some], square[some]
    origin = (0, 0, 0)
    assert np.all(tri.manipulation_angle(u, square, origin) == 90)
    assert np.all(tri.manipulation_angle(u, 3 * u, origin) == 0)
    assert np.all(tri.manipulation_angle(u, -3 * u, origin) == 180)
    assert np.all(tri.elevation_angle(u, origin, normal=square) == 0)
    assert np.all(tri.elevation_angle(u, origin, normal=3 * u) == 90)
    assert np.all(tri.elevation_angle(u, origin, normal=-3 * u) == -90)
    assert np.all(np.isnan(tri.instrument_plane_tilt(u, -3 * u, origin)))


def test_rounding_is_not_taken_for_a_plane_or_a_side():
    rng = np.random.default_rng(0)
    along, a, b = unit(rng.normal(size=(1000, 3))), *rng.uniform(1, 20, size=(2, 1000, 1))
    origin, camera = (0, 0, 0), rng.normal(size=(1000, 3))
    assert np.all(np.isnan(tri.instrument_plane_tilt(a * along, -b * along, origin)))
    assert np.all(np.isnan(tri.azimuth_angles(a * along, b * along, origin, camera)))
    assert np.all(np.isnan(tri.plan_angle(a * along, camera, origin, normal=b * along)))
    lifted = a * along + (0, 0, 30), -b * along + (0, 0, 40)  # apart in one vertical plane: the axis counts as between
    left, right = tri.azimuth_angles(*lifted, origin, camera, "working")
    assert np.all(left > 0) and np.all(right > 0)


# Bad input

BAD = {
    "NaN": [0.0, np.nan, 1.0],
    "infinity": [0.0, 1.0, -np.inf],
    "two coordinates": [1.0, 2.0],
    "four coordinates": [1.0, 2.0, 3.0, 4.0],
    "one number": 5.0,
    "text": "left",
    "numbers as text": ["1", "2", "3"],
    "complex": [1j, 0, 1],
    "bool": [True, False, True],
    "ragged": [[1, 2, 3], [4, 5]],
    "empty": [],
    "no points": np.empty((0, 3)),
    "too far": [0, 1.1e6, 0],
    "a whole number numpy has no type for": [10**30, 0, 0],
    "dictionary": {"x": 1, "y": 2, "z": 3},
}
BAD_DIRECTION = BAD | {"zero": [0, 0, 0], "zero among others": [[0, 0, 1], [0, 0, 0]]}
BAD_LENGTH = {
    "NaN": np.nan,
    "infinity": np.inf,
    "text": "long",
    "number as text": "36",
    "complex": 3j,
    "bool": True,
    "ragged": [[36, 37], [38]],
    "empty": [],
    "none": None,
    "too far": 1.1e6,
    "negative": -1,
    "negative among others": [36, -1],
}
BAD_VALUES = {name: BAD | {"none": None} for name in GOOD if name in (*PLACES, "port")}
BAD_VALUES |= {name: BAD_DIRECTION for name in DIRECTIONS}
BAD_VALUES |= {"instrument_length": BAD_LENGTH | {"zero": 0}, "elbow_height": BAD_LENGTH | {"zero": 0}}
BAD_VALUES["right_instrument_length"] = {how: bad for how, bad in BAD_VALUES["instrument_length"].items() if how != "none"}
BAD_VALUES["handle_reach"] = BAD_LENGTH
BAD_HEIGHT = {how: bad for how, bad in BAD_LENGTH.items() if "negative" not in how}
BAD_VALUES |= {"handle_height": BAD_HEIGHT, "handles_above_elbow": BAD_HEIGHT}
REFUSED = [(f, argument) for f in VARIANTS for argument in takes(f)]


def refusal(function, arguments):
    """The sentence in which these are refused, or None."""
    try:
        function(**arguments)
    except ValueError as error:
        return str(error)


@pytest.mark.parametrize(("function", "argument"), REFUSED, ids=named)
def test_bad_input_is_refused_in_one_sentence(function, argument):
    for how, bad in BAD_VALUES[argument].items():
        said = refusal(function, good(function) | {argument: bad})
        assert said and re.fullmatch(rf"[^\n]+; give [^\n]+ \({argument}\)\.", said) and ". " not in said, (how, said)


@pytest.mark.parametrize("measured_in", ["camera", "Working", None, 3])
def test_only_three_azimuths(measured_in):
    with pytest.raises(ValueError, match=r"^.+ cannot be used; give 'instruments', 'working' or 'space' \(measured_in\)\.$"):
        tri.azimuth_angles(L, R, T, C, measured_in)

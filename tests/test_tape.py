"""Placement.from_tape: boxes read with an exact tape and stood up again, readings no box has, and what is not known."""

import re
from math import cos, dist, hypot, radians, sin, sqrt
from types import SimpleNamespace

import numpy as np
import pytest
from draws import draws
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from test_placement import FUNCTIONS, row

from ergokit import Placement, hand_eye_rotation

FLOOR = {
    "elevation angle",
    "instrument plane tilt",
    "angle seen from above",
    "azimuth angle, working plane",
    "view angle",
    "hand-eye rotation",
    "camera's side",
}
BY_DEFINITION = {"off-centre angle"}  # of a camera that looks at the target
TRIANGLE = {
    "port spacing",
    "manipulation angle",
    "working distance",
    "depth",
    "length inside",
    "length outside",
    "inside : outside",
    "movement scaling",
    "handle separation",
    "camera roll",  # a phone's horizon is level, wherever it is
}
WEDGE = {
    "port_to_port": 18,
    "left_to_target": 18,
    "right_to_target": 17.2,
    "camera_to_target": 14.5,
    "camera_above_ports": 7.1,
    "panel_slope": 37,
}
LONG = {"instrument_length": 60}


# A box by its own construction: a panel through the port line, the target so far up the panel and so far in


@st.composite
def boxes(draw, camera_hole):
    """The placement in coordinates, and what a tape reads in it."""
    slope, k, s = radians(draw(st.floats(0, 80))), draw(camera_hole), draw(st.floats(4, 25))
    aside, up, inside = draw(st.floats(-8, 8)), draw(st.floats(-10, 15)), draw(st.floats(2, 18))
    floor, flat = draw(st.floats(0, 5)), draw(st.booleans())
    panel, inward = np.array([0, cos(slope), sin(slope)]), np.array([0, sin(slope), -cos(slope)])
    foot = up * panel + inside * inward
    assume(foot[2] < -1)  # below the ports
    middle = np.array([0, 0, floor - foot[2]])
    target, camera = middle + foot + [aside, 0, 0], middle + k * panel
    left, right = (middle + np.array([x, 0, 0]) for x in (-s / 2, s / 2))
    assume(min(hypot(port[0] - aside, foot[1]) for port in (left, right)) > 0.1)  # neither shaft upright
    assume(abs(foot[1]) > 0.01)  # nor below the port line, where an azimuth of 90 and one of -90 are the same
    if not flat:
        assume(abs(target[1] - camera[1]) > 0.01)  # nor the line of sight
        if target[1] < camera[1]:  # the picture is upright from the other side, with left and right changed over
            left, right, target, camera, inward = (p * [-1, -1, 1] for p in (right, left, target, camera, inward))
    placement = Placement(left, right, target, camera, aim=inward if flat else None, panel_normal=-inward, **LONG)
    readings = {
        "port_to_port": dist(left, right),
        "left_to_target": dist(left, target),
        "right_to_target": dist(right, target),
        "camera_to_target": dist(camera, target),
        "camera_above_ports": k,
        "panel_slope": np.degrees(slope),
        "port_height": middle[2],
        "target_height": floor,
        "flat_phone": flat,
    }
    return placement, readings


def stand(readings, *without):
    return Placement.from_tape(**{name: value for name, value in readings.items() if name not in without}, **LONG)


def assert_same_measures(found, truth):
    """Every measure to 1e-6, except where the truth itself is not defined or marked unstable."""
    found, truth = found.measures(), truth.measures()
    assert list(found.quantity + found.side) == list(truth.quantity + truth.side)
    assert set(truth.quantity) == set(FUNCTIONS)
    sound = (truth.note == "") | truth.quantity.isin(["length outside"])
    assert sound.sum() >= 25  # of 29: at most the two pairs of azimuths are left out
    off = found.value - truth.value
    off = off.where(truth.unit != "deg", (off + 180) % 360 - 180)[sound]
    assert (off.abs() < 1e-6).all(), found.assign(off=off)[sound & ~(off.abs() < 1e-6)]


@settings(deadline=None)
@given(boxes(camera_hole=st.floats(4, 14)))
def test_slope_stands_the_box_up(box):
    truth, readings = box
    assert_same_measures(stand(readings, "port_height"), truth)
    assert stand(readings, "port_height").target == pytest.approx(truth.target, abs=1e-6)


@settings(deadline=None)
@given(boxes(camera_hole=st.floats(4, 14)))
def test_height_stands_the_box_up(box):
    """Except where a second slope fits the same readings: then both are named, and the slope is asked for."""
    truth, readings = box
    readings = readings | {"reading_error": 0.01}
    foot = truth.target - (truth.left_port + truth.right_port) / 2
    rise, away = -foot[2], np.sign(truth.camera[1]) * foot[1]  # away as the panel leans, whichever side the operator is on
    assume(abs(away) > 0.02 * rise)  # straight below, its height says little of where it is
    other = readings["panel_slope"] - 2 * np.degrees(np.arctan2(away, rise))  # turned to lean as far the other way
    assume(min(abs(other), abs(other - 90)) > 1)
    if 0 < other < 90:
        found = stand(readings, "panel_slope")
        slopes = sorted(round(each) for each in (other, readings["panel_slope"]))
        lost = found.tape.not_known()
        assert set(lost.values()) <= {"needs panel_slope: another arrangement fits too"} and set(lost) <= FLOOR
        if lost:  # two that are closer than the readings are exact say the same
            (said,) = found.tape.remarks[-1:]
            assert sorted(map(int, re.findall(r"\d+", said)[:2])) == pytest.approx(slopes, abs=1), said
    else:
        found = stand(readings, "panel_slope")
        near = min(abs(other), abs(other - 90)) < 20  # a flat lid or an upright panel may fit as well
        if not (near and found.tape.not_known()):
            assert_same_measures(found, truth)


@settings(deadline=None)
@given(boxes(camera_hole=st.floats(0, 3.99)))
def test_low_window_stands_the_box_up_by_height(box):
    truth, readings = box
    middle = (truth.left_port + truth.right_port) / 2
    mirrored = truth.target * [1, -1, 1]  # the other target at that height and depth; is it in the box, and told apart?
    in_the_box = (mirrored - middle) @ truth.panel_normal < 0.01
    assume(abs(truth.target[1]) > 0.1)
    assume(not in_the_box or abs(dist(truth.camera, mirrored) - readings["camera_to_target"]) > 0.1)
    assert_same_measures(stand(readings | {"reading_error": 0.01, "slope_error": 0.01}), truth)


def test_low_window_takes_the_target_to_be_beyond_the_ports():
    """Unless the distance to the camera clearly says otherwise: one 0.3 cm reading does not turn the triangle over."""
    wedge = {
        "port_to_port": 18,
        "left_to_target": 18,
        "right_to_target": 18,
        "camera_above_ports": 2,
        "panel_slope": 20,
        "port_height": 14,
    }
    h = sqrt(18**2 - 9**2)
    away = sqrt(h**2 - 14**2)

    def distance(y):
        return hypot(y - 2 * cos(radians(20)), 14 + 2 * sin(radians(20)))

    assert distance(-away) - distance(away) == pytest.approx(1.6, abs=0.1)
    for read, y in [(distance(away), away), (distance(away) + 1, away), (distance(-away), -away)]:
        box = Placement.from_tape(**wedge, camera_to_target=read)
        # where the picture is upright only from the far side the box is turned round
        assert abs(box.target[1]) == pytest.approx(away, abs=0.6)  # a distance that is 1 cm off moves it by half of that
        assert (box.camera[1] * box.target[1] > 0) == (y > 0)


@settings(deadline=None)
@given(boxes(camera_hole=st.floats(4, 14)))
def test_a_reading_to_spare_must_agree(box):
    truth, readings = box
    assert_same_measures(stand(readings), truth)
    refused = "These readings do not fit together|No box has these readings|.* not mm"
    with pytest.raises(ValueError, match=f"^({refused})"):
        stand(readings | {"port_height": readings["port_height"] + 1, "reading_error": 0.01, "slope_error": 0.01})


# A phone lying flat with the target in the middle of its picture: d^2 = h^2 - k^2, worked by hand for equal 20 cm sides


@pytest.mark.parametrize(("k", "d"), [(0, 17.3), (4, 16.9), (6, 16.2), (8.66, 15.0), (10, 14.1)])
def test_flat_phone_with_the_target_in_the_middle(k, d):
    h = sqrt(20**2 - 10**2)
    lid = {"panel_slope": 0, "port_height": h} if k < 4 else {"panel_slope": 36.87}
    box = Placement.from_tape(20, 20, 20, sqrt(h**2 - k**2), k, **lid, flat_phone=True)
    table = box.measures()
    assert row(table, "working distance").value == pytest.approx(d, abs=0.05)
    assert row(table, "off-centre angle").value == pytest.approx(0, abs=1e-3)
    with pytest.raises(ValueError, match="camera to target"):  # nearer than the window's height allows
        Placement.from_tape(20, 20, 20, h - k - 1.5, k, **lid, flat_phone=True)


@pytest.mark.parametrize("k", [0, 2, 4, 8])
def test_target_below_the_port_line_itself(k):
    """d^2 = h^2 + k^2 under a flat lid."""
    h = sqrt(20**2 - 10**2)
    table = Placement.from_tape(20, 20, 20, hypot(h, k), k, 0, port_height=h).measures()
    assert row(table, "working distance").value == pytest.approx(hypot(h, k), abs=1e-9)
    assert row(table, "instrument plane tilt").value == pytest.approx(90, abs=1e-3)
    assert row(table, "lean at the port", "left").value == pytest.approx(30, abs=1e-3)


# The frame


@settings(deadline=None)
@given(boxes(camera_hole=st.floats(4, 14)))
def test_the_picture_is_upright_for_the_operator(box):
    _, readings = box
    placement = stand(readings, "port_height")
    assert abs(hand_eye_rotation(placement.camera, placement.target, aim=placement.aim)) <= 90 + 1e-9
    middle = (placement.left_port + placement.right_port) / 2
    assert middle == pytest.approx([0, 0, middle[2]], abs=1e-12)
    assert placement.target[2] == pytest.approx(readings["target_height"], abs=1e-6)
    assert placement.left_port[0] < 0 < placement.right_port[0]


# Honest readings are not refused


def noisy_boxes(count, seed):
    """Readings, each with an error of 0.3 cm or 1 degree, of boxes with slopes evenly from 0 to 90 degrees.

    Ports 12 to 22 cm apart, the camera 4 to 12 cm above them, the target up to 4 cm aside, 8 cm down to 14 cm up the panel
    and 4 to 16 cm inside, drawn again until it is 5 to 18 cm below the ports. A third has the height of the ports read, a
    third the slope, a third both.
    """
    rng = np.random.default_rng(seed)
    for i in range(count):
        slope, half, aside, above = rng.uniform([0, 6, -4, 4], [90, 11, 4, 12])
        cos, sin, away, height = np.cos(np.radians(slope)), np.sin(np.radians(slope)), 0, 0
        while not 5 < height < 18:
            up, inside = rng.uniform([-8, 4], [14, 16])
            away, height = up * cos + inside * sin, inside * cos - up * sin
        target, camera = (aside, away, -height), (0, above * cos, above * sin)
        exact = {
            "port_to_port": 2 * half,
            "left_to_target": dist((-half, 0, 0), target),
            "right_to_target": dist((half, 0, 0), target),
            "camera_to_target": dist(camera, target),
            "camera_above_ports": above,
        }
        exact |= [{"port_height": height}, {"panel_slope": slope}, {"port_height": height, "panel_slope": slope}][i % 3]
        read = {name: max(value + rng.normal() * (1 if name == "panel_slope" else 0.3), 0.01) for name, value in exact.items()}
        yield read | ({"panel_slope": min(read["panel_slope"], 90)} if "panel_slope" in read else {})


def refused(boxes):
    """How many of the boxes are not stood up."""
    count = 0
    for read in boxes:
        try:
            Placement.from_tape(**read, **LONG)
        except ValueError:
            count += 1
    return count


def test_honest_readings_are_rarely_refused():
    """One in a hundred at most; `tests/slow` draws 2,000 boxes."""
    assert refused(noisy_boxes(200, 3)) <= 2


def test_a_lid_whose_port_height_is_a_little_too_much_stands_up():
    box = Placement.from_tape(18, 17, 17, 12.2, 6, port_height=12.1)
    assert row(box.measures(), "manipulation angle").value == pytest.approx(64, abs=1)


def test_two_slopes_that_fit_are_both_named():
    """And what hangs on the floor is not known, where it would be with the slope."""
    readings = without_slope = WEDGE | {"panel_slope": None, "port_height": 14.9, "camera_to_target": 18.5}
    box = Placement.from_tape(**without_slope)
    assert "Panel slopes of 27 and 7 degrees both fit these readings; the box is drawn with 27." in box.tape.remarks[-1]
    assert not box.tape.well_placed and set(box.tape.not_known()) <= FLOOR
    assert row(box.measures(), "view angle").note == "needs panel_slope: another arrangement fits too"
    assert row(box.measures(), "manipulation angle").value == pytest.approx(61.5, abs=0.1)
    assert not Placement.from_tape(**readings | {"panel_slope": 27}).tape.not_known()


# What nothing checks


@pytest.mark.parametrize("more", [{}, {"port_height": 8.5}])
def test_a_slip_of_five_is_refused_or_named(more):
    """16 errors, 5 cm or 5 degrees either way: what no other reading notices is named, and by how much it turns the angle."""
    readings = WEDGE | more
    box = Placement.from_tape(**readings)
    named, theta = box.tape.unchecked(), row(box.measures(), "manipulation angle").value
    turned = dict.fromkeys(readings, 0.0)
    for name in readings:
        for way in (-5, 5):
            try:
                slipped = Placement.from_tape(**readings | {name: readings[name] + way}).measures()
            except ValueError:
                continue
            assert name in named, f"{name} {way:+} goes unnoticed and is not named"
            turned[name] = max(turned[name], abs(row(slipped, "manipulation angle").value - theta))
    for name, (measure, change) in named.items():
        assert name.replace("_", " ") in repr(box.tape)
        if measure == "manipulation angle":
            assert change == pytest.approx(turned[name], abs=0.1)
    assert {"port_to_port", "left_to_target", "right_to_target"} <= named.keys()


# What is not known

LOW = "the camera is less than 4 cm above the ports"


@pytest.mark.parametrize(
    ("above", "given", "known", "why"),
    [
        (7, {"panel_slope": 37}, set(FUNCTIONS), set()),
        (7, {"port_height": 7.5}, set(FUNCTIONS), set()),
        (7, {}, set(FUNCTIONS) - FLOOR, {"needs panel_slope or port_height"}),
        (2, {"panel_slope": 37, "port_height": 12}, set(FUNCTIONS), set()),
        (2, {"panel_slope": 37}, TRIANGLE | BY_DEFINITION, {f"needs port_height: {LOW}"}),
        (
            2,
            {"port_height": 12},
            TRIANGLE | BY_DEFINITION | {"elevation angle", "instrument plane tilt", "angle seen from above"},
            {f"needs panel_slope: {LOW}"},
        ),
        (2, {}, TRIANGLE | BY_DEFINITION, {f"needs {what}: {LOW}" for what in ("port_height", "panel_slope and port_height")}),
        (0, {"panel_slope": 0}, TRIANGLE | BY_DEFINITION, {f"needs port_height: {LOW}"}),
        (4, {"panel_slope": 37}, set(FUNCTIONS), set()),
        (3.99, {"panel_slope": 37}, TRIANGLE | BY_DEFINITION, {f"needs port_height: {LOW}"}),
    ],
)
def test_not_known(above, given, known, why):
    table = Placement.from_tape(18, 18, 17, 15, above, **given).measures()
    assert list(table.columns) == ["quantity", "side", "value", "uncertainty", "unit", "note"]
    assert set(table.quantity) == set(FUNCTIONS)
    lost = ~table.quantity.isin(known)
    assert (table.value.isna() == lost).all()
    assert (table.uncertainty.isna() == lost).all()
    assert set(table.note[lost]) == why
    shown = str(table).splitlines()[1:]
    assert [("not known" in line) for line in shown] == list(lost)


@pytest.mark.parametrize("slope", [{}, {"panel_slope": 37}])
@pytest.mark.parametrize(("above", "distance"), [(3, 14), (3, 17.5), (1, 15.5), (7, 12)])
def test_what_was_read_stays_as_read(above, distance, slope):
    """The distance to the camera is known from the tape, however little else is."""
    table = Placement.from_tape(18, 18, 18, distance, above, **slope).measures()
    found = row(table, "working distance")
    assert found.value == pytest.approx(distance, abs=1e-9)
    assert found.uncertainty == pytest.approx(0.3, rel=0.01)
    assert row(table, "length inside", "left").uncertainty == pytest.approx(0.3, rel=0.01)


# Readings that no box can have


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        (
            {"port_to_port": 40},
            "These readings do not fit together; most likely left to target of 18 cm (the others allow 25.1)",
        ),
        (
            {"port_to_port": 36, "right_to_target": 18},
            "These readings do not fit together; most likely right to target of 18 cm (the others allow 20.9)",
        ),
        (
            {"left_to_target": 36},
            "These readings do not fit together; most likely left to target of 36 cm (the others allow 25.9)",
        ),
        (
            {"camera_to_target": 5},
            "These readings do not fit together; most likely camera to target of 5 cm (the others allow 8.0)",
        ),
        (
            {"camera_to_target": 30},
            "These readings do not fit together; most likely camera to target of 30 cm (the others allow 22.2)",
        ),
        (
            {"camera_above_ports": 2, "camera_to_target": 8},
            "These readings do not fit together; most likely camera to target of 8 cm (the others allow 13.1)",
        ),
        ({"camera_to_target": 9, "panel_slope": 60}, "These readings put the target 9.2 cm above both ports, outside any box"),
        (
            {"panel_slope": None, "port_height": 20},
            "These readings do not fit together; most likely port height of 20 cm (the others allow 14.3)",
        ),
        (
            {"port_height": 3, "target_height": 4},
            "These readings do not fit together; most likely camera to target of 14.5 cm (the others give 10.0)",
        ),
        (
            {"port_height": 12},
            "These readings do not fit together; most likely camera to target of 14.5 cm (the others give 16.7), port height "
            "of 12 cm (the others give 8.5) or panel slope of 37 degrees (the others give 18.6) is wrong, so measure it again.",
        ),
        (
            {"panel_slope": None, "port_height": 15, "camera_to_target": 10},
            "These readings do not fit together; most likely camera to target of 10 cm (the others allow 15.9)",
        ),
        (
            {"camera_above_ports": 2, "port_height": 16, "panel_slope": 90},
            "These readings do not fit together; most likely camera to target of 14.5 cm (the others give 17.5)",
        ),
        (
            {"camera_above_ports": 1, "port_height": 14, "camera_to_target": 13},
            "These readings do not fit together; most likely camera to target of 13 cm (the others give 15.4)",
        ),
        (
            {"left_to_target": 20, "right_to_target": 38.5, "port_to_port": 22, "camera_to_target": 30},
            "An instrument of 36.0 cm is too short",
        ),
    ],
)
def test_impossible_readings_are_named(changes, sentence):
    with pytest.raises(ValueError) as caught:
        Placement.from_tape(**WEDGE | changes)
    assert str(caught.value).startswith(sentence)
    assert str(caught.value).endswith((".", "?"))


def test_millimetres_are_suspected():
    lengths = ("port_to_port", "left_to_target", "right_to_target", "camera_to_target", "camera_above_ports")
    in_mm = WEDGE | {name: 10 * WEDGE[name] for name in lengths}
    with pytest.raises(
        ValueError, match=r"^A box has no port to port of 180, .* cm; give readings in cm, not mm, of at most 50 cm\.$"
    ):
        Placement.from_tape(**in_mm)
    with pytest.raises(ValueError, match=r"^A box has no left to target of 180 cm; give readings in cm, not mm"):
        Placement.from_tape(**WEDGE | {"left_to_target": 180})


@pytest.mark.parametrize(
    ("name", "value"),
    [(name, value) for name in WEDGE for value in (float("nan"), "long", [18, 18], -1, True)]
    + [(name, 0) for name in ("port_to_port", "left_to_target", "right_to_target", "camera_to_target", "port_height")]
    + [(name, None) for name in ("port_to_port", "camera_above_ports", "target_height", "reading_error", "slope_error")]
    + [("panel_slope", 90.1), ("flat_phone", "yes"), ("flat_phone", 1), ("reading_error", -0.1), ("target_height", -1)]
    + [("instrument_length", "long"), ("handle_reach", -1)],
)
def test_bad_reading_is_named(name, value):
    with pytest.raises(ValueError, match=rf"^[^\n]*; give [^\n]* \({name}\)\.$"):
        Placement.from_tape(**WEDGE | {name: value})


@pytest.mark.parametrize("over", [0, 0.3, 0.8])
@pytest.mark.parametrize("above", [0, 2])
def test_a_little_too_high_is_straight_below(over, above):
    """Half of all honest readings of a target straight below the ports give a height beyond the depth; none is exact."""
    h = sqrt(20**2 - 10**2)
    box = Placement.from_tape(20, 20, 20, hypot(h, above), above, 0, port_height=h + over)
    tilt = row(box.measures(), "instrument plane tilt")
    assert tilt.value == pytest.approx(90, abs=3)  # the distance to the camera has a say too
    assert 4 < tilt.uncertainty < 20  # acos(1 - 0.4/17) is 12: however far over, it is not known better
    with pytest.raises(ValueError, match=r"do not fit together; most likely .*port height of .* cm \(the others"):
        Placement.from_tape(20, 20, 20, hypot(h, above), above, 0, port_height=h + 3)


# The uncertainty


def simulated(readings):
    """Each measure's root mean square change, one a row, over boxes read again and again with a normal error."""
    rng = np.random.default_rng(11)
    names = [name for name in readings if name not in ("target_height", "flat_phone")]
    again = [dict(readings)]
    for errors in rng.normal(size=(draws(100, 1500), len(names))):
        moved = {
            name: readings[name] + (1 if name == "panel_slope" else 0.3) * e for name, e in zip(names, errors, strict=True)
        }
        again.append(readings | moved)
    boxes = []
    for one in again:
        try:
            boxes.append(Placement.from_tape(**one))
        except ValueError as refused:  # three standard deviations off, as one in 370 honest boxes is
            assert "do not fit together" in str(refused)
    assert len(boxes) > 0.99 * len(again)
    names = ("left_port", "right_port", "target", "camera", "panel_normal", "aim")
    stacked = {name: np.array([getattr(box, name) for box in boxes]) for name in names if getattr(boxes[0], name) is not None}
    every = SimpleNamespace(**{"aim": None, "up": None} | stacked, normal=None, shafts=(36, 36), handle_reach=10)
    every.targets = every.target
    changes = {}
    for name, (unit, function) in FUNCTIONS.items():
        values = function(every)
        for side, value in zip(("left", "right"), values, strict=True) if isinstance(values, tuple) else [("", values)]:
            off = value - value[0]
            off = (off + 180) % 360 - 180 if unit == "deg" else off
            changes[name, side] = sqrt(np.mean(off[1:] ** 2))
    return changes


@pytest.mark.parametrize(
    "readings",
    [
        WEDGE,
        {
            "port_to_port": 15,
            "left_to_target": 17,
            "right_to_target": 20,
            "camera_to_target": 16,
            "camera_above_ports": 9,
            "port_height": 11,
        },
        WEDGE | {"camera_above_ports": 2, "camera_to_target": 15.1, "port_height": 9, "panel_slope": 50},
        # the camera opposite the left port in plan, so that its azimuth, 179.9, lies on both sides of 180
        {
            "port_to_port": 16,
            "left_to_target": 14.5,
            "right_to_target": 18,
            "camera_to_target": 14.5,
            "camera_above_ports": 14,
            "panel_slope": 5,
        },
        # the target in the middle of the picture, where its off-centre angle can only grow
        {
            "port_to_port": 20,
            "left_to_target": 20,
            "right_to_target": 20,
            "camera_to_target": 15,
            "camera_above_ports": sqrt(75),
            "panel_slope": 30,
            "flat_phone": True,
        },
    ],
    ids=["slope", "height", "low camera hole", "opposite", "centred"],
)
def test_uncertainty_is_that_of_reading_again(readings):
    """Within a quarter: 100 boxes give 7 percent, the rest is that an angle's change is not quite straight."""
    table = Placement.from_tape(**readings).measures()
    for (name, side), change in simulated(readings).items():
        assert row(table, name, side).uncertainty == pytest.approx(change, rel=0.25, abs=1e-3), f"{name} {side}"


def test_uncertainty_follows_the_errors():
    once, twice, never = (
        Placement.from_tape(**WEDGE, reading_error=e, slope_error=10 * e / 3).measures().uncertainty for e in (0.03, 0.06, 0)
    )
    np.testing.assert_allclose(twice, 2 * once, rtol=0.02, atol=1e-9)
    assert (never <= 0.4 * once + 1e-9).all()  # 0 counts as a tenth of a mm


@pytest.mark.parametrize("slope", [37, 0.3, 0])
def test_uncertainty_beside_what_no_box_has(slope):
    """A slope of 0.3 degrees cannot be 1 degree less; its error turns the triangle by 1 degree all the same."""
    table = Placement.from_tape(**WEDGE | {"panel_slope": slope}, reading_error=0).measures()
    assert row(table, "instrument plane tilt").uncertainty == pytest.approx(1, rel=0.01)


def test_target_height_counts_where_it_is_measured():
    def tilt(**heights):
        box = Placement.from_tape(**WEDGE | {"camera_above_ports": 2, "camera_to_target": 14.9}, **heights)
        return row(box.measures(), "instrument plane tilt")

    floor, raised = tilt(port_height=10), tilt(port_height=13, target_height=3)
    assert raised.value == pytest.approx(floor.value, abs=0.1)
    assert raised.uncertainty > 1.2 * floor.uncertainty


@pytest.mark.parametrize("left", [35.8, 35.9])
def test_an_error_past_the_instrument_is_no_refusal(left):
    """A shaft that just reaches: read 0.3 cm longer it does not, and the ratio's uncertainty is left open."""
    table = Placement.from_tape(18, left, left, 30, 8, 37).measures()
    assert row(table, "length inside", "left").uncertainty == pytest.approx(0.3, rel=0.01)
    assert np.isnan(row(table, "inside : outside", "left").uncertainty)
    assert "nan" not in str(table)

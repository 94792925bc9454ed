"""Placement.from_tape: boxes read with an exact tape and stood up again, readings no box has, and what is not known."""

from math import cos, dist, hypot, radians, sin, sqrt
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from test_placement import FUNCTIONS, row

from ergokit import Placement, hand_eye_rotation

FLOOR = {
    "elevation angle",
    "instrument plane tilt",
    "plan angle",
    "azimuth angle, working plane",
    "view angle",
    "hand-eye rotation",
    "camera's side",
}
TRIANGLE = {
    "port spacing",
    "manipulation angle",
    "working distance",
    "depth",
    "inserted length",
    "outside length",
    "length ratio",
    "tip travel per hand travel",
    "handle separation",
    "camera roll",  # a phone's horizon is level, wherever it is
}
WEDGE = {"spacing": 18, "left": 18, "right": 17.2, "camera_to_target": 14.5, "window_above_ports": 7.1, "panel_slope": 37}
LONG = {"instrument_length": 60}


# A box by its own construction: a panel through the port line, the target so far up the panel and so far in


@st.composite
def boxes(draw, window):
    """The placement in coordinates, and what a tape reads in it."""
    slope, k, s = radians(draw(st.floats(0, 80))), draw(window), draw(st.floats(4, 25))
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
        "spacing": dist(left, right),
        "left": dist(left, target),
        "right": dist(right, target),
        "camera_to_target": dist(camera, target),
        "window_above_ports": k,
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
    sound = (truth.note == "") | truth.quantity.isin(["outside length"])
    assert sound.sum() >= 25  # of 29: at most the two pairs of azimuths are left out
    off = found.value - truth.value
    off = off.where(truth.unit != "deg", (off + 180) % 360 - 180)[sound]
    assert (off.abs() < 1e-6).all(), found.assign(off=off)[sound & ~(off.abs() < 1e-6)]


@settings(deadline=None)
@given(boxes(window=st.floats(4, 14)))
def test_slope_stands_the_box_up(box):
    truth, readings = box
    assert_same_measures(stand(readings, "port_height"), truth)
    assert stand(readings, "port_height").target == pytest.approx(truth.target, abs=1e-6)


@settings(deadline=None)
@given(boxes(window=st.floats(4, 14)))
def test_height_stands_the_box_up(box):
    """Except where a second slope fits the same readings: then the slope is asked for."""
    truth, readings = box
    foot = truth.target - (truth.left_port + truth.right_port) / 2
    rise, away = -foot[2], np.sign(truth.camera[1]) * foot[1]  # away as the panel leans, whichever side the operator is on
    assume(abs(away) > 0.02 * rise)  # straight below, its height says little of where it is
    other = readings["panel_slope"] - 2 * np.degrees(np.arctan2(away, rise))  # turned to lean as far the other way
    assume(min(abs(other), abs(other - 90)) > 1e-3)
    if 0 < other < 90:
        with pytest.raises(ValueError, match=r"^panel_slope is needed too: slopes of \d+ and \d+ degrees both fit"):
            stand(readings, "panel_slope")
    else:
        assert_same_measures(stand(readings, "panel_slope"), truth)


@settings(deadline=None)
@given(boxes(window=st.floats(0, 3.99)))
def test_low_window_stands_the_box_up_by_height(box):
    truth, readings = box
    middle = (truth.left_port + truth.right_port) / 2
    mirrored = truth.target * [1, -1, 1]  # the other target at that height and depth; is it in the box, and told apart?
    in_the_box = (mirrored - middle) @ truth.panel_normal < 0.01
    assume(abs(truth.target[1]) > 0.1)
    assume(not in_the_box or abs(dist(truth.camera, mirrored) - readings["camera_to_target"]) > 1e-3)
    assert_same_measures(stand(readings | {"reading_error": 1e-4}), truth)


def test_low_window_takes_the_target_to_be_beyond_the_ports():
    """Unless the distance to the camera clearly says otherwise: one 0.3 cm reading does not turn the triangle over."""
    wedge = {"spacing": 18, "left": 18, "right": 18, "window_above_ports": 2, "panel_slope": 20, "port_height": 14}
    h = sqrt(18**2 - 9**2)
    away = sqrt(h**2 - 14**2)

    def distance(y):
        return hypot(y - 2 * cos(radians(20)), 14 + 2 * sin(radians(20)))

    assert distance(-away) - distance(away) == pytest.approx(1.6, abs=0.1)
    for read, y in [(distance(away), away), (distance(away) + 1, away), (distance(-away), -away)]:
        box = Placement.from_tape(**wedge, camera_to_target=read)
        # where the picture is upright only from the far side the box is turned round
        assert abs(box.target[1]) == pytest.approx(away, abs=1e-9)
        assert (box.camera[1] * box.target[1] > 0) == (y > 0)


@settings(deadline=None)
@given(boxes(window=st.floats(4, 14)), st.floats(-0.25, 0.25))
def test_a_reading_to_spare_changes_nothing_but_must_agree(box, error):
    _, readings = box
    more = stand(readings | {"port_height": readings["port_height"] + error})
    assert more == stand(readings, "port_height").replace() or more.replace() == stand(readings, "port_height").replace()
    with pytest.raises(ValueError, match=r"^port_height of .* (does not agree with the other readings|cannot be)"):
        stand(readings | {"port_height": readings["port_height"] + 1, "reading_error": 0.01, "slope_error": 0.01})


# A phone lying flat with the target in the middle of its picture: d^2 = h^2 - k^2, worked by hand for equal 20 cm sides


@pytest.mark.parametrize(("k", "d"), [(0, 17.3), (4, 16.9), (6, 16.2), (8.66, 15.0), (10, 14.1)])
def test_flat_phone_with_the_target_in_the_middle(k, d):
    h = sqrt(20**2 - 10**2)
    lid = {"panel_slope": 0, "port_height": h} if k < 4 else {"panel_slope": 36.87}
    box = Placement.from_tape(20, 20, 20, sqrt(h**2 - k**2), k, **lid, flat_phone=True)
    table = box.measures()
    assert row(table, "working distance").value == pytest.approx(d, abs=0.05)
    assert row(table, "off-centre angle").value == pytest.approx(0, abs=1e-5)
    with pytest.raises(ValueError, match="camera_to_target"):  # nearer than the window's height allows
        Placement.from_tape(20, 20, 20, h - k - 1.5, k, **lid, flat_phone=True)


@pytest.mark.parametrize("k", [0, 2, 4, 8])
def test_target_below_the_port_line_itself(k):
    """d^2 = h^2 + k^2 under a flat lid."""
    h = sqrt(20**2 - 10**2)
    table = Placement.from_tape(20, 20, 20, hypot(h, k), k, 0, port_height=h).measures()
    assert row(table, "working distance").value == pytest.approx(hypot(h, k), abs=1e-9)
    assert row(table, "instrument plane tilt").value == pytest.approx(90, abs=1e-5)
    assert row(table, "entry angle", "left").value == pytest.approx(30, abs=1e-5)


# The frame


@settings(deadline=None)
@given(boxes(window=st.floats(4, 14)))
def test_the_picture_is_upright_for_the_operator(box):
    _, readings = box
    placement = stand(readings, "port_height")
    assert abs(hand_eye_rotation(placement.camera, placement.target, aim=placement.aim)) <= 90 + 1e-9
    middle = (placement.left_port + placement.right_port) / 2
    assert middle == pytest.approx([0, 0, middle[2]], abs=1e-12)
    assert placement.target[2] == readings["target_height"]
    assert placement.left_port[0] < 0 < placement.right_port[0]


# What is not known


@pytest.mark.parametrize(
    ("window", "given", "known", "why"),
    [
        (7, {"panel_slope": 37}, set(FUNCTIONS), None),
        (7, {"port_height": 7.5}, set(FUNCTIONS), None),
        (7, {}, set(FUNCTIONS) - FLOOR, "needs panel_slope or port_height"),
        (2, {"panel_slope": 37, "port_height": 12}, set(FUNCTIONS), None),
        (2, {"panel_slope": 37}, TRIANGLE, "needs port_height: the window is less than 4 cm above the ports"),
        (2, {"port_height": 12}, TRIANGLE, "needs panel_slope: the window is less than 4 cm above the ports"),
        (2, {}, TRIANGLE, "needs panel_slope and port_height: the window is less than 4 cm above the ports"),
        (0, {"panel_slope": 0}, TRIANGLE, "needs port_height: the window is less than 4 cm above the ports"),
        (4, {"panel_slope": 37}, set(FUNCTIONS), None),
        (3.99, {"panel_slope": 37}, TRIANGLE, "needs port_height: the window is less than 4 cm above the ports"),
    ],
)
def test_not_known(window, given, known, why):
    table = Placement.from_tape(18, 18, 17, 15, window, **given).measures()
    assert list(table.columns) == ["quantity", "side", "value", "uncertainty", "unit", "note"]
    assert set(table.quantity) == set(FUNCTIONS)
    lost = ~table.quantity.isin(known)
    assert (table.value.isna() == lost).all()
    assert (table.uncertainty.isna() == lost).all()
    assert set(table.note[lost]) == ({why} if lost.any() else set())
    shown = str(table).splitlines()[1:]
    assert [("not known" in line) for line in shown] == list(lost)


@pytest.mark.parametrize("slope", [{}, {"panel_slope": 37}])
@pytest.mark.parametrize(("window", "distance"), [(3, 14), (3, 17.5), (1, 15.5), (7, 12)])
def test_what_was_read_stays_as_read(window, distance, slope):
    """The distance to the camera is known from the tape, however little else is."""
    table = Placement.from_tape(18, 18, 18, distance, window, **slope).measures()
    found = row(table, "working distance")
    assert found.value == pytest.approx(distance, abs=1e-9)
    assert found.uncertainty == pytest.approx(0.3, rel=0.01)
    assert row(table, "inserted length", "left").uncertainty == pytest.approx(0.3, rel=0.01)


# Readings that no box can have


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"spacing": 40}, "lengths of 18 and 17.2 cm cannot span 40 cm; measure spacing, left and right again."),
        ({"spacing": 36, "right": 18}, "two 18 cm lengths cannot span 36 cm; measure spacing, left and right again."),
        ({"left": 36}, "left of 36 cm and right of 17.2 cm differ by more than the spacing of 18 cm; measure them again."),
        (
            {"camera_to_target": 5},
            "camera_to_target of 5 cm cannot be: with the window 7.1 cm above the ports it lies between 8.0 and 22.2",
        ),
        (
            {"camera_to_target": 30},
            "camera_to_target of 30 cm cannot be: with the window 7.1 cm above the ports it lies between 8.0 and 22.2",
        ),
        ({"window_above_ports": 2, "camera_to_target": 8}, "camera_to_target of 8 cm does not agree with the other readings"),
        ({"camera_to_target": 9, "panel_slope": 60}, "these readings put the target 9.2 cm above the ports, outside any box"),
        ({"panel_slope": None, "port_height": 20}, "port_height of 20 cm cannot be: the port line is 15.1 cm from the target"),
        (
            {"port_height": 3, "target_height": 4},
            "port_height of 3 cm cannot be: the port line is 15.1 cm from the target, which is 4",
        ),
        (
            {"port_height": 12},
            "port_height of 12 cm does not agree with the other readings, which give 8.5 cm; measure it again.",
        ),
        (
            {"panel_slope": None, "port_height": 15, "camera_to_target": 10},
            "port_height does not agree with the other readings: no",
        ),
        ({"panel_slope": None, "port_height": 14.9, "camera_to_target": 18.5}, "panel_slope is needed too: slopes of "),
        (
            {"window_above_ports": 2, "port_height": 16, "panel_slope": 90},
            "port_height and panel_slope put the target in the panel",
        ),
        (
            {"window_above_ports": 1, "port_height": 14, "camera_to_target": 13},
            "camera_to_target of 13 cm does not agree with the",
        ),
        ({"left": 20, "right": 38.5, "spacing": 22, "camera_to_target": 30}, "instrument_length of 36.0 cm is too short"),
    ],
)
def test_impossible_readings_are_named(changes, sentence):
    with pytest.raises(ValueError) as caught:
        Placement.from_tape(**WEDGE | changes)
    assert str(caught.value).startswith(sentence)
    assert str(caught.value).endswith(".")


def test_millimetres_are_suspected():
    lengths = ("spacing", "left", "right", "camera_to_target", "window_above_ports")
    in_mm = WEDGE | {name: 10 * WEDGE[name] for name in lengths}
    with pytest.raises(ValueError, match=r"^spacing, left, right and camera_to_target .* 180: in mm by mistake\?$"):
        Placement.from_tape(**in_mm)
    with pytest.raises(ValueError) as caught:  # one slip alone is not that mistake
        Placement.from_tape(**WEDGE | {"left": 180})
    assert "mm" not in str(caught.value)


@pytest.mark.parametrize(
    ("name", "value"),
    [(name, value) for name in WEDGE for value in (float("nan"), "long", [18, 18], -1, True)]
    + [(name, 0) for name in ("spacing", "left", "right", "camera_to_target", "port_height")]
    + [(name, None) for name in ("spacing", "window_above_ports", "target_height", "reading_error", "slope_error")]
    + [("panel_slope", 90.1), ("flat_phone", "yes"), ("flat_phone", 1), ("reading_error", -0.1), ("target_height", -1)]
    + [("instrument_length", "long"), ("handle_reach", -1)],
)
def test_bad_reading_is_named(name, value):
    with pytest.raises(ValueError, match=rf"^{name} takes [^\n]*; got [^\n]*\.$"):
        Placement.from_tape(**WEDGE | {name: value})


@pytest.mark.parametrize("over", [0, 0.3, 0.8])
@pytest.mark.parametrize("window", [0, 2])
def test_a_little_too_high_is_straight_below(over, window):
    """Half of all honest readings of a target straight below the ports give a height beyond the depth; none is exact."""
    h = sqrt(20**2 - 10**2)
    box = Placement.from_tape(20, 20, 20, hypot(h, window), window, 0, port_height=h + over)
    tilt = row(box.measures(), "instrument plane tilt")
    assert tilt.value == pytest.approx(90, abs=1e-6)
    assert 5 < tilt.uncertainty < 20  # acos(1 - 0.4/17) is 12: however far over, it is not known better
    with pytest.raises(ValueError, match=r"^port_height of .* cannot be"):
        Placement.from_tape(20, 20, 20, hypot(h, window), window, 0, port_height=h + 1)


# The uncertainty


def simulated(readings, n=1500):
    """Each measure's root mean square change, (n rows), over boxes read again and again with a normal error."""
    rng = np.random.default_rng(11)
    names = [name for name in readings if name not in ("target_height", "flat_phone")]
    again = [dict(readings)]
    for errors in rng.normal(size=(n, len(names))):
        moved = {
            name: readings[name] + (1 if name == "panel_slope" else 0.3) * e for name, e in zip(names, errors, strict=True)
        }
        again.append(readings | moved)
    boxes = []
    for one in again:
        try:
            boxes.append(Placement.from_tape(**one))
        except ValueError as refused:  # three standard deviations off, as one in 370 honest boxes is
            assert "does not agree" in str(refused)
    assert len(boxes) > 0.99 * n
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
        {"spacing": 15, "left": 17, "right": 20, "camera_to_target": 16, "window_above_ports": 9, "port_height": 11},
        WEDGE | {"window_above_ports": 2, "camera_to_target": 15.1, "port_height": 9, "panel_slope": 50},
        # the camera opposite the left port in plan, so that its azimuth, 179.9, lies on both sides of 180
        {"spacing": 16, "left": 14.5, "right": 18, "camera_to_target": 14.5, "window_above_ports": 14, "panel_slope": 5},
        # the target in the middle of the picture, where its off-centre angle can only grow
        {
            "spacing": 20,
            "left": 20,
            "right": 20,
            "camera_to_target": 15,
            "window_above_ports": sqrt(75),
            "panel_slope": 30,
            "flat_phone": True,
        },
    ],
    ids=["slope", "height", "low window", "opposite", "centred"],
)
def test_uncertainty_is_that_of_reading_again(readings):
    """Within a quarter: 1500 boxes give 2 percent, the rest is that an angle's change is not quite straight."""
    table = Placement.from_tape(**readings).measures()
    for (name, side), change in simulated(readings).items():
        assert row(table, name, side).uncertainty == pytest.approx(change, rel=0.25, abs=1e-3), f"{name} {side}"


def test_uncertainty_follows_the_errors():
    once, twice, never = (
        Placement.from_tape(**WEDGE, reading_error=e, slope_error=10 * e / 3).measures().uncertainty for e in (0.03, 0.06, 0)
    )
    np.testing.assert_allclose(twice, 2 * once, rtol=0.02, atol=1e-9)
    assert (never == 0).all()


@pytest.mark.parametrize("slope", [37, 0.3, 0])
def test_uncertainty_beside_what_no_box_has(slope):
    """A slope of 0.3 degrees cannot be 1 degree less; its error turns the triangle by 1 degree all the same."""
    table = Placement.from_tape(**WEDGE | {"panel_slope": slope}, reading_error=0).measures()
    assert row(table, "instrument plane tilt").uncertainty == pytest.approx(1)


def test_target_height_counts_where_it_is_measured():
    def tilt(**heights):
        box = Placement.from_tape(**WEDGE | {"window_above_ports": 2, "camera_to_target": 14.9}, **heights)
        return row(box.measures(), "instrument plane tilt")

    floor, raised = tilt(port_height=10), tilt(port_height=13, target_height=3)
    assert raised.value == pytest.approx(floor.value)
    assert raised.uncertainty > 1.2 * floor.uncertainty


@pytest.mark.parametrize("left", [35.8, 35.9])
def test_an_error_past_the_instrument_is_no_refusal(left):
    """A shaft that just reaches: read 0.3 cm longer it does not, and the ratio's uncertainty is left open."""
    table = Placement.from_tape(18, left, left, 30, 8, 37).measures()
    assert row(table, "inserted length", "left").uncertainty == pytest.approx(0.3, rel=0.01)
    assert np.isnan(row(table, "length ratio", "left").uncertainty)
    assert "nan" not in str(table)

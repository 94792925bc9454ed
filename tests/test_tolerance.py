"""Errors of the holes carried to the measures: slopes against closed forms and 50 digits, Monte Carlo, where they part."""

from functools import partial
from math import asin, degrees, inf, radians, sqrt

import numpy as np
import pytest
import references
from draws import draws
from hypothesis import given, settings
from hypothesis import strategies as st
from references import mp

from ergokit import RELATIONS, Placement, manipulation_angle, tolerance
from ergokit.tolerance import HOLES

# in lined holes
error_effects, hole_tolerance = (partial(made, play=0) for made in (tolerance.error_effects, tolerance.hole_tolerance))

POINTS = {"left_port": (-9, 0, 12.1), "right_port": (9, 1, 13), "target": (1.4, 9.5, 1.5), "camera": (-1.3, 4.6, 16.2)}
GENERAL = Placement(**POINTS)
EVEN = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 5, 16))
ON_THE_PORT_LINE = EVEN.replace(camera=(0, 0, 12))
LID = {"panel_normal": (0, 0, 1)}


def row(table, quantity, side=""):
    (one,) = table[(table.quantity == quantity) & (table.side == side)].to_dict("records")
    return one


# First order


def test_the_angle_s_slopes_are_those_of_the_closed_forms():
    """Symmetric: a port aside changes the spacing, both ports together the depth; across its plane a port changes nothing."""
    spacing, depth = 18, sqrt(244)
    aside, deeper = (
        RELATIONS["spacing_from_depth"].sensitivity(by, spacing=spacing, depth=depth) for by in ("spacing", "depth")
    )
    one_port = np.hypot(aside, deeper / 2)
    alone = error_effects(EVEN, errors={"right_port": 0, "camera": 0}, error=0.1, draws=1000).measures()
    both = error_effects(EVEN, error=0.1, draws=1000).measures()
    in_a_ball = 0.1 / sqrt(5)  # the standard deviation along any line through a ball of radius 0.1
    assert row(alone, "manipulation angle")["first order"] == pytest.approx(one_port * in_a_ball, rel=1e-9)
    assert row(both, "manipulation angle")["first order"] == pytest.approx(sqrt(2) * one_port * in_a_ball, rel=1e-9)
    limits = hole_tolerance(EVEN, 1, draws=1000).limits
    assert limits["left_port", "right_port"][0] == pytest.approx(1 / (2 * one_port), rel=1e-9)
    assert limits[("left_port",)][0] == pytest.approx(1 / one_port, rel=1e-9)


SAME = {
    ("port spacing", ""): "port spacing",
    ("manipulation angle", ""): "manipulation angle",
    ("working distance", ""): "working distance",
    ("depth", ""): "depth",
    ("length inside", "left"): "length inside left",
    ("inside : outside", "right"): "inside : outside right",
    ("movement scaling", "left"): "tip travel left",
    ("handle separation", ""): "handle separation",
    ("elevation angle", "left"): "elevation left",
    ("instrument plane tilt", ""): "tilt",
    ("angle seen from above", ""): "angle seen from above",
    ("azimuth angle, instruments' plane", "left"): "azimuth instruments left",
    ("azimuth angle, working plane", "right"): "azimuth working right",
    ("azimuth angle, space", "right"): "azimuth space right",
    ("view angle", ""): "view",
    ("angle on the screen", ""): "display",
    ("hand-eye rotation", ""): "hand-eye rotation",
    ("camera's side", ""): "camera side",
}


def test_every_slope_is_that_of_fifty_digits():
    """Each coordinate of each point moved by 1e-20 cm in the reference, whose own formulas are others."""
    errors = {"left_port": 0.1, "right_port": 0.2, "camera": 0.3, "target": 0.4}
    table = error_effects(GENERAL, errors=errors, draws=1000).measures()
    variance, here, step = dict.fromkeys(SAME.values(), 0), references.measures(**POINTS), mp.mpf("1e-20")
    for name, point in POINTS.items():
        for axis in range(3):
            moved = [mp.mpf(part) + step * (i == axis) for i, part in enumerate(point)]
            there = references.measures(**POINTS | {name: moved})
            for key in variance:
                variance[key] += ((there[key] - here[key]) / step * errors[name]) ** 2 / 5
    for (quantity, side), key in SAME.items():
        assert row(table, quantity, side)["first order"] == pytest.approx(float(mp.sqrt(variance[key])), rel=1e-8), key


def test_a_hole_in_a_panel_stays_in_it():
    """In a level lid the length inside changes with the part of the error along the shaft's shadow, cos(elevation)."""
    elevation = radians(row(EVEN.measures(), "elevation angle", "left")["value"])
    ball, disc = (error_effects(EVEN.replace(**panel), error=0.2, errors={"camera": 0}).measures() for panel in ({}, LID))
    assert row(ball, "length inside", "left")["first order"] == pytest.approx(0.2 / sqrt(5), rel=1e-9)
    assert row(disc, "length inside", "left")["first order"] == pytest.approx(0.1 * np.cos(elevation), rel=1e-9)
    for table in (ball, disc):
        one = row(table, "length inside", "left")
        assert one["Monte Carlo"] == pytest.approx(one["first order"], rel=0.01)


# Monte Carlo


@pytest.mark.parametrize("panel", [{}, LID], ids=["ball", "disc"])
def test_small_errors_give_both_the_same_for_every_measure(panel):
    """1 %: 100,000 boxes leave a fifth of a percent."""
    found = error_effects(GENERAL.replace(**panel), error=0.02, errors={"target": 0.02})
    table = found.measures()
    assert len(table) >= 27 and found.first_order_fails == []
    np.testing.assert_allclose(table["Monte Carlo"], table["first order"], rtol=0.01, atol=1e-9)
    inside = (table.low <= table.value) & (table.value <= table.high)
    assert inside.all()


def test_low_and_high_hold_95_percent():
    """One port a little off on a lid: the length inside follows a disc's shadow, 95 % of it within 0.878 of the radius."""
    placement = EVEN.replace(**LID)
    one = row(error_effects(placement, 0.01, errors={"camera": 0, "right_port": 0}).measures(), "length inside", "left")
    reach = 0.01 * np.cos(radians(row(placement.measures(), "elevation angle", "left")["value"]))
    half = (one["high"] - one["low"]) / 2 / reach
    # the share of a disc's area between the chords at -x and x: (2/pi)(asin x + x sqrt(1 - x^2))
    assert 2 / np.pi * (asin(half) + half * sqrt(1 - half**2)) == pytest.approx(0.95, abs=0.002)


def test_the_same_seed_draws_the_same_boxes():
    first, again, other = (error_effects(GENERAL, draws=1000, seed=seed).measures()["Monte Carlo"] for seed in (1, 1, 2))
    assert (first == again).all() and (first != other).any()


def test_where_the_first_order_fails_is_said():
    """A camera on the port line sees 180 degrees, the most there is: any error lowers it, and its slope is nothing."""
    found = error_effects(ON_THE_PORT_LINE, 0.3)
    assert found.first_order_fails == ["angle on the screen"]
    one = row(found.measures(), "angle on the screen")
    assert one["first order"] == pytest.approx(0, abs=0.01) and one["Monte Carlo"] > 1
    assert one["high"] <= 180 and one["note"].startswith("first order fails")
    assert "fails for angle on the screen" in repr(found)
    assert "agrees with Monte Carlo for every measure" in repr(error_effects(EVEN, 0.3))
    found = hole_tolerance(ON_THE_PORT_LINE, 10, "angle on the screen", holes="camera")
    first_order, monte_carlo = found.limits[("camera",)]
    assert first_order == inf and found.each == monte_carlo < 1 and not found.agree
    assert "The first order fails here: it gives 4.5 cm (no more was tried), Monte Carlo" in repr(found)


def test_an_angle_about_180_does_not_turn_over():
    """The camera facing the operator: hand-eye rotation 180, of which -179 is one degree away."""
    one = row(error_effects(EVEN.replace(camera=(0, 20, 12)), 0.3).measures(), "hand-eye rotation")
    assert one["value"] == 180
    assert one["Monte Carlo"] == pytest.approx(one["first order"], rel=0.02) and one["Monte Carlo"] < 2
    assert 175 < one["low"] < 180 < one["high"] < 185


def test_boxes_without_a_value_are_counted():
    """A shaft that just reaches: half of the boxes leave nothing of it outside, and the ratio has no value there."""
    one = row(error_effects(EVEN.replace(instrument_length=sqrt(325) + 1e-9), 0.2).measures(), "inside : outside", "left")
    share = float(one["note"].split("no value in ")[1].split(" %")[0])
    assert share == pytest.approx(50, abs=1)


# How exact


@settings(max_examples=draws(10, 20))
@given(st.floats(6, 14), st.floats(5, 20), st.floats(-4, 4), st.floats(1, 10))
def test_the_angle_stays_as_long_as_the_holes_do(half, depth, aside, within):
    """In a ball each shaft turns by at most asin(e/L): Monte Carlo comes within 2 % of the error at which the two add up."""
    left, right, target = (-half, 0, 0), (half, 0, 0), (aside, depth, 0)
    found = hole_tolerance(Placement(left, right, target, (0, 0, 5)), within, draws=20_000)
    left_length, right_length = (np.linalg.norm(np.subtract(target, port)) for port in (left, right))
    first_order, monte_carlo = found.limits["left_port", "right_port"]
    assert first_order == pytest.approx(radians(within) / (1 / left_length + 1 / right_length), rel=1e-8)
    turned = degrees(asin(monte_carlo / left_length) + asin(monte_carlo / right_length))
    assert 1 <= turned / within < 1.02
    rng = np.random.default_rng(5)  # other boxes than its own
    off = rng.normal(size=(2, 5000, 3))
    off *= found.each * rng.random((2, 5000, 1)) / np.linalg.norm(off, axis=-1, keepdims=True)
    change = manipulation_angle(left + off[0], right + off[1], target) - found.value
    assert np.abs(change).max() <= within * (1 + 1e-6)
    assert found.agree


def test_the_sentence():
    found = hole_tolerance(EVEN, within=5)
    assert repr(found).startswith(
        "Each hole within 0.7 cm of its mark keeps the manipulation angle within 5.0 degrees of 59.9."
    )
    assert 0.7 < found.each < 0.8
    assert "less than 0.1 cm" in repr(hole_tolerance(EVEN, within=0.1))
    assert repr(hole_tolerance(EVEN, 0.1, "inside : outside", "left", holes="left_port")).startswith(
        "The left port within 0.8 cm of its mark keeps the left inside : outside within 0.10 of 1.00."
    )
    assert "Each hole within 5.5 cm (no more was tried) of its mark keeps" in repr(hole_tolerance(EVEN, within=175))


# A shaft thinner than its hole


def test_a_thin_shaft_in_a_wide_hole_is_counted_unless_the_hole_is_lined():
    """5 mm in 1 cm: each shaft turns by 2.5 mm over its length inside more, before any hole is off its mark."""
    lined, bare = hole_tolerance(EVEN, draws=20_000), tolerance.hole_tolerance(EVEN, draws=20_000)
    assert bare.play == tolerance.PLAY == (1 - 0.5) / 2
    for first, second in zip(lined.limits["left_port", "right_port"], bare.limits["left_port", "right_port"], strict=True):
        assert second == pytest.approx(first - 0.25, abs=2e-3)
    alone = bare.limits[("left_port",)][0]
    assert radians(5) * sqrt(325) == pytest.approx(alone + 2 * 0.25, rel=1e-9)  # both shafts have play, one hole is off
    assert "of its mark keeps" in repr(bare) and repr(bare).endswith(
        " Each shaft may lie 2.5 mm off the middle of its hole; that is counted."
    )
    assert "counted" not in repr(lined)


def test_play_alone_spreads_the_boxes_as_an_error_of_the_ports_does():
    played = tolerance.error_effects(EVEN, error=0, play=0.2).measures()
    erred = error_effects(EVEN, error=0.2, errors={"camera": 0}).measures()
    one, same = (row(table, "manipulation angle") for table in (played, erred))
    assert one["first order"] == pytest.approx(same["first order"], rel=1e-12)
    assert one["Monte Carlo"] == pytest.approx(same["Monte Carlo"], rel=0.02)
    assert "play 0.2" in repr(tolerance.error_effects(EVEN, error=0, play=0.2, draws=1000))
    both = row(tolerance.error_effects(EVEN, error=0.3, play=0.2, errors={"camera": 0}).measures(), "manipulation angle")
    assert both["first order"] == pytest.approx(np.hypot(0.3, 0.2) / 0.2 * one["first order"], rel=1e-9)
    assert both["Monte Carlo"] == pytest.approx(both["first order"], rel=0.02)


def test_more_play_than_the_measure_bears_is_said():
    found = tolerance.hole_tolerance(EVEN, within=1, draws=1000)  # 2 x 0.25 / 18.03 radians are 1.6 degrees
    assert found.each == 0 and not any(found.limits["left_port", "right_port"])
    assert repr(found).startswith(
        "Even holes on their marks do not keep the manipulation angle within 1.0 degrees of 59.9: each shaft may lie 2.5 mm off"
    )


def test_one_target_of_many():
    many = EVEN.replace(target=[(0, 10, 0), POINTS["target"]])
    for focus, one in ((0, EVEN), (1, EVEN.replace(target=POINTS["target"]))):
        assert hole_tolerance(many, focus=focus, draws=1000).limits == hole_tolerance(one, draws=1000).limits
        assert error_effects(many, focus=focus, draws=1000).measures().equals(error_effects(one, draws=1000).measures())


def test_what_a_tape_leaves_open_is_left_out():
    box = Placement.from_tape(
        port_to_port=18, left_to_target=18, right_to_target=17.2, camera_to_target=14.5, camera_above_ports=7.1
    )
    found = set(error_effects(box, draws=1000).measures().quantity)
    assert "view angle" not in found and {"manipulation angle", "angle on the screen"} <= found
    with pytest.raises(
        ValueError, match=r"^\('view angle', ''\) cannot be used; give one of port spacing, .* \(quantity and side\)"
    ):
        hole_tolerance(box, 5, "view angle")


# Slips


@pytest.mark.parametrize(
    ("function", "arguments", "message"),
    [
        (error_effects, {"error": -0.1}, r"^-0.1 cannot be used; give a length of at least 0 cm \(error\)"),
        (error_effects, {"error": 0}, r"^All errors are 0; give more than 0 cm for at least one hole \(error\)"),
        (
            error_effects,
            {"errors": {"camera hole": 0.1}},
            r"^'camera hole' cannot be used; give names out of left_port, right_port, camera, target \(errors\)",
        ),
        (
            error_effects,
            {"errors": {"camera": "big"}},
            r"^'big' cannot be used; give a length of at least 0 cm \(errors\['camera'\]\)",
        ),
        (error_effects, {"errors": 0.1}, r"give a mapping.*\(errors\)"),
        (error_effects, {"play": -1}, r"^-1 cannot be used; give a length of at least 0 cm \(play\)"),
        (hole_tolerance, {"play": "loose"}, r"^'loose' cannot be used; give a length of at least 0 cm \(play\)"),
        (error_effects, {"draws": 10}, r"^10 cannot be used; give a whole number of at least 1000 \(draws\)"),
        (error_effects, {"draws": 1e5}, r"^100000 cannot be used; give a whole number of at least 1000 \(draws\)"),
        (error_effects, {"focus": 1}, r"^1 cannot be used; give the number of a target, 0 to 0 \(focus\)"),
        (hole_tolerance, {"within": 0}, r"^0 cannot be used; give a change of more than 0 \(within\)"),
        (
            hole_tolerance,
            {"quantity": "elevation angle"},
            r"^\('elevation angle', ''\) cannot be used; give one of left elevation angle, .* \(quantity and side\)",
        ),
        (
            hole_tolerance,
            {"holes": ("camera hole",)},
            r"^'camera hole' cannot be used; give some of left_port, right_port, camera, target, each only once \(holes\)",
        ),
        (hole_tolerance, {"holes": ()}, r"^Nothing was given; give some of .* \(holes\)"),
        (
            hole_tolerance,
            {"holes": ("camera", "camera")},
            r"^\('camera', 'camera'\) cannot be used; give some of .*each only once \(holes\)",
        ),
        (
            hole_tolerance,
            {"quantity": "working distance"},
            r"^The working .* does not depend on left_port and right_port; choose another measure \(quantity\)",
        ),
    ],
)
def test_a_slip_is_named(function, arguments, message):
    with pytest.raises(ValueError, match=message):
        function(EVEN, **arguments)


def test_a_measure_without_a_value_is_named():
    steep = EVEN.replace(left_port=(0, 10, 15))
    with pytest.raises(
        ValueError, match=r"^The angle seen from above has no value in this placement; choose another measure \(quantity\)"
    ):
        hole_tolerance(steep, 5, "angle seen from above")
    assert "angle seen from above" not in set(error_effects(steep, draws=1000).measures().quantity)


def test_every_hole_may_be_off():
    assert set(hole_tolerance(GENERAL, holes=HOLES, draws=1000).limits) == {HOLES, *((name,) for name in HOLES)}

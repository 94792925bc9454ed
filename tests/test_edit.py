"""Changing one number of a placement: what moves, what stays, and that it can be read back."""

import numpy as np
import pytest
from draws import draws
from hypothesis import given, settings
from hypothesis import strategies as st

from ergokit import Placement, depth, manipulation_angle, working_distance
from ergokit.placement.edit import EDITS, edited, mirrored, readings_of

SYMMETRIC = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))
UNEQUAL = Placement((-9, 0, 12), (7, 3, 14), (2, 11, 1.5), (0, 4, 16), aim=(0, 0.5, -1))
TAPED = Placement.from_tape(18.2, 17.6, 18.4, 14.6, 7, 37)
ON_THE_LINE = SYMMETRIC.replace(camera=(0, 0, 12))


@pytest.mark.parametrize("name", EDITS)
@pytest.mark.parametrize("start", [SYMMETRIC, UNEQUAL, TAPED, ON_THE_LINE], ids=["symmetric", "unequal", "taped", "level"])
@settings(max_examples=draws(8, 100))
@given(step=st.floats(-1.5, 1.5))
def test_every_number_reads_back_as_it_was_set(start, name, step):
    wanted = EDITS[name].read(start, 0) + step
    assert EDITS[name].read(edited(start, name, wanted), 0) == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize("start", [SYMMETRIC, UNEQUAL, TAPED], ids=["symmetric", "unequal", "taped"])
def test_each_front_slider_leaves_the_other_numbers_of_the_triangle_alone(start):
    numbers = readings_of(start)
    for name, kept in {
        "port spacing": ("depth", "target x", "target y", "target z", "camera z"),
        "depth": ("port spacing", "target sideways", "camera hole above ports", "target x", "target y", "target z"),
        "target sideways": ("port spacing", "depth", "camera x", "camera y", "camera z"),
        "camera hole above ports": ("port spacing", "depth", "target sideways", "target x", "left port x"),
    }.items():
        after = readings_of(edited(start, name, numbers[name] + 2))
        assert {key: after[key] for key in kept} == pytest.approx({key: numbers[key] for key in kept}, abs=1e-9), name


def test_window_moves_the_camera_up_the_panel():
    before, after = TAPED, edited(TAPED, "camera hole above ports", 9)
    moved = after.camera - before.camera
    assert np.linalg.norm(moved) == pytest.approx(2)
    assert moved @ before.panel_normal == pytest.approx(0, abs=1e-12)
    assert moved[2] > 0


def test_mirror_swaps_left_and_right_and_changes_no_distance():
    mirror = mirrored(UNEQUAL)
    assert mirrored(mirror) == UNEQUAL and mirror.instrument_length == 36
    for measure in (manipulation_angle, depth):
        assert measure(mirror.left_port, mirror.right_port, mirror.target) == pytest.approx(
            measure(UNEQUAL.left_port, UNEQUAL.right_port, UNEQUAL.target)
        )
    table, other = UNEQUAL.measures(), mirror.measures()
    for quantity in ("length inside", "elevation angle", "azimuth angle, working plane"):
        here, there = (each[each.quantity == quantity].set_index("side").value for each in (table, other))
        assert here["left"] == pytest.approx(there["right"]) and here["right"] == pytest.approx(there["left"])


def test_impossible_numbers_are_refused_in_words():
    with pytest.raises(ValueError, match=r"An instrument of 36\.0 cm is too short for the left hand: its port is"):
        edited(SYMMETRIC, "depth", 40)
    with pytest.raises(ValueError, match="Both ports are at"):
        edited(SYMMETRIC, "port spacing", 0)


def test_a_box_of_unknown_slope_is_not_moved():
    unknown = Placement.from_tape(18.2, 17.6, 18.4, 14.6, 7)
    with pytest.raises(ValueError, match="This box cannot be moved yet: it needs panel_slope"):
        edited(unknown, "depth", 14)


def test_only_the_target_in_focus_moves():
    many = SYMMETRIC.replace(target=[(0, 10, 0), (3, 12, 1)])
    assert np.allclose(edited(many, "target x", 5, focus=1).target - many.target, [(0, 0, 0), (2, 0, 0)])
    moved = edited(many, "depth", 18, focus=1)
    assert depth(moved.left_port, moved.right_port, many.target[1]) == pytest.approx(18)
    assert np.array_equal(moved.target, many.target)


@pytest.mark.parametrize("start", [SYMMETRIC, UNEQUAL, TAPED], ids=["symmetric", "unequal", "taped"])
@pytest.mark.parametrize("name", ["port spacing", "depth", "target sideways"])
@given(step=st.floats(-2, 2))
def test_the_held_angle_stays_and_the_number_moves(start, name, step):
    wanted = EDITS[name].read(start, 0) + step
    after = edited(start, name, wanted, hold="manipulation angle")
    assert EDITS[name].read(after, 0) == pytest.approx(wanted, abs=1e-9)
    before = manipulation_angle(start.left_port, start.right_port, start.target)
    assert manipulation_angle(after.left_port, after.right_port, after.target) == pytest.approx(before, abs=1e-9)


@pytest.mark.parametrize("name", EDITS)
@given(step=st.floats(-1.5, 1.5))
def test_the_held_distance_stays(name, step):
    after = edited(UNEQUAL, name, EDITS[name].read(UNEQUAL, 0) + step, hold="working distance")
    assert working_distance(after.camera, after.target) == pytest.approx(working_distance(UNEQUAL.camera, UNEQUAL.target))


def test_what_can_be_held_is_named():
    with pytest.raises(ValueError, match=r"'depth' cannot be used; give manipulation angle or working distance \(hold\)"):
        edited(SYMMETRIC, "depth", 14, hold="depth")

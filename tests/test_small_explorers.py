"""The small explorers without a browser: every control moves the figures and the table, and what cannot be is said."""

import html
import re

import numpy as np
import pytest
from draws import draws

from ergokit import manipulation_angle, tip_travel_per_hand_travel
from ergokit.design import Phone, design_box
from ergokit.explorers import (
    angle_map_explorer,
    box_explorer,
    camera_explorer,
    exercise,
    holes_explorer,
    lever_explorer,
    tape_explorer,
)
from ergokit.explorers.angle_map import AngleMap
from ergokit.explorers.camera import CameraInBox
from ergokit.explorers.controls import on_grid
from ergokit.explorers.lever import Lever
from ergokit.surfaces import WedgeBox
from ergokit.view import Camera, equivalent_distance, field_of_view

BOX = WedgeBox(44, 36, 27)
EXPLORERS = {
    "lever": lever_explorer,
    "camera": camera_explorer,
    "angle map": angle_map_explorer,
    "box": box_explorer,
    "tape": tape_explorer,
    "holes": holes_explorer,
}


@pytest.fixture(params=EXPLORERS.values(), ids=EXPLORERS)
def make(request):
    return request.param


def text(widget):
    return html.unescape(re.sub("<[^>]*>", " ", widget.value)).strip()


def everything_said(explorer):
    notes = [words for picture in explorer.pictures for words in picture.words]
    return " ".join([*notes, text(explorer.table), text(explorer.facts), text(explorer.description)])


def drawn(explorer, picture, name):
    trace = explorer.pictures[picture].part(name)
    return np.column_stack([trace["x"], trace["y"]]).astype(float)


def test_exercise_passes_and_ends_where_it_began(make):
    explorer = make()
    before = everything_said(explorer)
    assert f"{len(explorer.controls)} controls moved" in exercise(explorer)
    assert everything_said(explorer) == before


def test_every_control_changes_a_picture_and_has_a_name_for_a_screen_reader(make):
    explorer = make()
    for name, control in explorer.controls.items():
        before = [picture.number for picture in explorer.pictures]
        control.value = on_grid(control, control.value + (1 if control.value + 1 <= control.max else -1))
        explorer.follows()
        assert "⚠" not in text(explorer.status), name
        assert [picture.number for picture in explorer.pictures] != before, name
        assert control.tooltip.startswith(f"{name}: ")


def test_a_random_walk_raises_nothing_and_ends_showing_what_it_is(make):
    explorer, rng = make(), np.random.default_rng(3)
    names = list(explorer.controls)
    for _ in range(draws(15, 50)):
        control = explorer.controls[names[rng.integers(len(names))]]
        control.value = on_grid(control, rng.uniform(control.min, control.max))
        explorer.follows()


@pytest.mark.parametrize("name, which", [(name, 0) for name in EXPLORERS] + [("camera", 1), ("holes", 1)])
def test_exercise_catches_a_picture_that_does_not_follow(monkeypatch, name, which):
    explorer = EXPLORERS[name]()
    monkeypatch.setattr(explorer.pictures[which], "show", lambda drawing: None)
    with pytest.raises(AssertionError, match="the library says"):
        exercise(explorer)


def test_exercise_catches_a_table_that_does_not_follow(make, monkeypatch):
    explorer = make()
    explorer.table.value = "<p>stale</p>"
    with pytest.raises(AssertionError, match=r"part_told is .*; its control shows <p>stale"):
        explorer.follows()


def test_numbers_stay_hidden_until_asked_also_after_a_move(make):
    explorer = make(numbers=False)
    first = next(iter(explorer.controls.values()))
    first.value = on_grid(first, first.value + 1)
    explorer.follows()
    allowed = {"lever": "hand 5.0 cm"}
    said = everything_said(explorer).replace(allowed["lever"], "")
    said = re.sub("<b>(45|60|75)</b>|45, 60 and 75|lens within 15 cm|at most 15 cm", "", said)
    assert not re.search(r"\d", said), said
    explorer.numbers.value = True
    explorer.follows()
    assert re.search(r"\d\.\d", text(explorer.table))


def test_large_numbers_for_the_projector(make):
    explorer = make()
    assert "ergokit-large" in explorer.large.value and re.search(r"<b><i>L?</i>\d", explorer.large.value)
    explorer.numbers.value = False
    explorer.follows()
    assert "<b>?</b>" in explorer.large.value and not re.search(r"<b><i>", explorer.large.value)


def test_the_lever_says_what_the_tip_does():
    explorer = lever_explorer()
    explorer.controls["length inside"].value = 24
    travel = tip_travel_per_hand_travel((0, 0, 24), (0, 0, 0), 36, 10)
    assert f"tip {5 * travel:.1f} cm" in everything_said(explorer) and "outruns" in text(explorer.facts)
    explorer.controls["length inside"].value = 23
    assert "equally far" in text(explorer.facts)
    explorer.controls["length inside"].value = 40
    assert text(explorer.status) == "⚠ Nothing is left outside: 40.0 cm of 36.0 cm are inserted."
    assert f"tip {5 * 1.0:.1f} cm" in everything_said(explorer), "the last good picture is kept"


def test_a_ratio_between_the_levels_tried_is_outside_what_is_advised():
    explorer = lever_explorer()
    explorer.controls["length inside"].value = 15
    assert "0.71 ✗" in text(explorer.table) and "advised" in text(explorer.table)
    assert "nothing was tried between 0.50 and 1.00" in explorer.table.value


def test_a_flat_phone_looks_into_its_panel_and_an_aimed_one_at_the_target():
    explorer = camera_explorer()
    box, placement = explorer.state.box, explorer.placement
    assert placement.aim == pytest.approx(-box.normal(0, 19))
    explorer.choices["phone"].value = "aimed at the target"
    assert explorer.placement.aim is None
    assert drawn(explorer, 1, "target")[0] == pytest.approx((0, 0), abs=1e-9)
    explorer.follows()
    explorer.reset()
    assert explorer.placement == placement


def test_the_width_seen_is_that_of_the_camera():
    explorer = camera_explorer()
    p = explorer.placement
    camera = Camera(p.camera, p.aim, field_of_view=explorer.controls["field of view"].value)
    along = (p.target - p.camera) @ camera.axis
    edges = [p.camera + along * camera.axis + side * camera.right for side in (0, 1)]
    width = 2 / (camera.project(edges[1])[0] - camera.project(edges[0])[0])
    scope = equivalent_distance(along, camera.field_of_view)
    assert f"{width:.1f} cm" in text(explorer.facts) and f"70 degree scope from {scope:.1f} cm" in text(explorer.facts)


def test_lenses_set_the_slider_and_let_go_when_it_is_moved():
    explorer = camera_explorer()
    explorer.choices["lens"].value = "phone, 13 mm equivalent"
    assert explorer.controls["field of view"].value == pytest.approx(field_of_view(13).horizontal, abs=0.05)
    assert explorer.choices["lens"].value == "phone, 13 mm equivalent"
    explorer.follows()
    explorer.controls["field of view"].value = 90
    assert explorer.choices["lens"].value == "as the slider says"
    explorer.reset()
    assert explorer.controls["field of view"].value == pytest.approx(67.3)


def test_what_the_camera_does_not_show_sharply_stands_in_the_status_line():
    explorer = camera_explorer()
    explorer.controls["close focus"].value = 16
    assert text(explorer.status) == "Target too near to be sharp"
    explorer.controls["target from foot"].value = 2
    explorer.controls["field of view"].value = 30
    assert text(explorer.status).startswith("Target out of view")


def test_a_window_off_the_panel_is_refused_in_words():
    explorer = camera_explorer()
    explorer.controls["ports up the panel"].value = 34
    assert "⚠ A hole at u = 0, v = 41 cm misses panel a" in text(explorer.status)


def test_a_box_of_ones_own_and_a_map_with_its_outline():
    box = WedgeBox(60, 50, 40)
    explorer = camera_explorer(box=box)
    assert explorer.controls["ports up the panel"].max == 49
    assert np.nanmax(drawn(explorer, 0, "box")[:, 1]) == pytest.approx(box.ridge_height, abs=1e-4)
    outline = [(-22, -20), (22, -20), (22, 20), (-22, 20), (-22, -20)]
    assert drawn(angle_map_explorer(outline=outline), 0, "outline") == pytest.approx(np.array(outline))


@pytest.mark.parametrize("sizes", [(18, 12.3, 13), (16, 4, 4), (60, 60, 60)])
def test_every_control_of_a_small_box_or_a_large_one_starts_on_its_track(sizes):
    explorer = camera_explorer(WedgeBox(*sizes))
    explorer.follows()
    for name, track in explorer.state.tracks.items():
        assert track.low <= explorer.state[name] <= track.high, name


@pytest.mark.parametrize("sizes", [(15, 30, 30), (44, 0.3, 30), (44, 30, 3), (44, 335, 99)])
def test_a_box_without_room_for_the_ports_or_out_of_reach_is_refused(sizes):
    with pytest.raises(ValueError, match=r"give a WedgeBox with a ridge of at least 16 cm and sides of 4 to 60 cm \(box\)\.$"):
        camera_explorer(WedgeBox(*sizes))


def test_unequal_ports_on_the_map():
    explorer = angle_map_explorer()
    explorer.controls["right port height"].value = 20
    p = explorer.placement
    assert p.right_port == pytest.approx((8, 0, 20)) and p.left_port == pytest.approx((-8, 0, 10.8))
    assert f"{manipulation_angle(p.left_port, p.right_port, p.target):.1f}°" in everything_said(explorer)


def test_the_sentence_for_screen_readers_has_the_current_numbers():
    explorer = angle_map_explorer()
    explorer.controls["target sideways"].value = 6
    p = explorer.placement
    theta = manipulation_angle(p.left_port, p.right_port, p.target)
    assert f"manipulation angle {theta:.1f} deg" in text(explorer.description)
    assert 'class="ergokit-description"' in explorer.description.value


def test_the_box_shows_the_phone_on_its_panel_and_its_picture_on_the_floor():
    explorer = box_explorer(design=design_box(WedgeBox(50, 40, 30), phone=Phone(thickness=1.5)))
    explorer.controls["camera hole above ports"].value += 1
    design = explorer.design
    [phone, picture] = (np.array(explorer.pictures[0].part(name)["at"]) for name in ("phone", "picture on the floor"))
    out = (phone - design.placement.camera) @ design.placement.panel_normal
    assert sorted(set(out.round(3))) == [0, 1.5], "the body stands on the panel, as thick as the phone"
    u, v = (design.box.uv(phone) - design.holes["camera hole"]).T
    assert (u.min(), v.min(), u.max(), v.max()) == pytest.approx(design.phone.body, abs=1e-3)
    corners = design.camera.project(picture[:4])
    assert np.abs(corners) == pytest.approx(np.tile([1, 1 / design.phone.shape], (4, 1)), abs=1e-4) and not picture[:, 2].any()


def test_the_box_says_what_is_not_met_and_refuses_what_cannot_be_cut():
    explorer = box_explorer()
    assert "All rules of the design are met" in text(explorer.facts) and text(explorer.status) == ""
    explorer.controls["camera hole above ports"].value = 12
    assert explorer.design.not_met and all(sentence in text(explorer.facts) for sentence in explorer.design.not_met)
    assert text(explorer.status) == "Not all rules of the design are met."
    last = everything_said(explorer)
    explorer.controls["side a"].value = 20
    assert "reaches over the panel's edge" in text(explorer.status) and everything_said(explorer) == last
    assert explorer.controls["side a"].value == 36, "the slider is back where the box is"
    explorer.follows()
    explorer.reset()
    assert explorer.design.holes == design_box(WedgeBox(44, 36, 27)).holes


def test_the_tape_says_how_sure_the_angle_is_and_what_to_repeat():
    explorer = tape_explorer()
    found = explorer.check
    low, high = found.interval("manipulation angle")
    assert f"95 % from {low:.1f} to {high:.1f}" in text(explorer.facts).replace("  ", " ")
    assert found.repeat() in text(explorer.facts) and f"± {(high - low) / 3.92:.1f}" in text(explorer.table)
    explorer.choices["each was read"].value = "four times"
    explorer.follows()
    halved = explorer.check.interval("manipulation angle")
    assert np.ptp(halved) == pytest.approx((high - low) / 2, rel=0.01)
    explorer.controls["port to port"].value = 10
    explorer.controls["left to target"].value = 26
    explorer.controls["right to target"].value = 12
    assert "⚠ These readings do not fit together; most likely right to target o" in text(explorer.status)


def test_the_triangles_drawn_are_as_far_off_as_the_readings_may_be():
    explorer = tape_explorer()
    for error in (0.1, 0.8):
        explorer.controls["reading error"].value = error
        off = drawn(explorer, 0, "targets, others") - drawn(explorer, 0, "target")
        lengths = np.linalg.norm(drawn(explorer, 0, "left, others")[0::3] - drawn(explorer, 0, "left, others")[1::3], axis=1)
        assert lengths.std() == pytest.approx(error, rel=0.25) and lengths.mean() == pytest.approx(17.6, abs=error / 2)
        assert np.abs(off).max() < 5 * error


def test_who_has_which_hole_is_said_with_what_touches():
    explorer = holes_explorer()
    assert "No contact at these targets and sizes." in text(explorer.facts) and "59.9" in text(explorer.large)
    explorer.choices["camera in"].value = "hole A"
    assert explorer.choices["hands in"].value == "holes B and C", "the left hand has swapped with the camera"
    explorer.follows()
    assert "29.9" in text(explorer.large) and "23.8" in text(explorer.table)
    explorer.choices["your hands"].value = "crossed"
    assert text(explorer.status) == "Your hands are crossed." and "left hand across right hand" in text(explorer.facts)
    explorer.choices["assistant's hand in"].value = "hole D"
    explorer.follows()
    assert "degrees for the assistant" in text(explorer.facts)
    explorer.choices["camera"].value = "phone at its hole"
    explorer.follows()
    assert explorer.placement.camera == pytest.approx(BOX.point(-9, 20)) and "camera head" not in explorer.pictures[0].words
    explorer.reset()
    explorer.controls["tip to target"].value = 18
    assert "⚠ Left out: hole B is 15.6 cm from a target, too near for the tip" in text(explorer.status)
    assert explorer.controls["tip to target"].value == 10, "what is not possible is not shown"
    explorer.follows()


def test_whoever_takes_a_hole_leaves_the_other_one_a_hole_in_return():
    start = holes_explorer().start  # camera in B, hands in A and C
    third = start.moved("assistant's hand in", "hole A")
    assert third["hands in"] == "holes C and D" and third["camera in"] == "hole B"
    both = third.moved("hands in", "holes A and B")
    assert {both["camera in"], both["assistant's hand in"]} == {"hole C", "hole D"}
    assert both.moved("assistant's hand in", "no hole")["camera in"] == both["camera in"]
    assert start.moved("hands in", "holes B and C")["camera in"] == "hole A" and start["camera in"] == "hole B"


def test_a_thick_fist_touches_its_neighbour():
    explorer = holes_explorer()
    explorer.choices["camera in"].value, explorer.choices["hands in"].value = "hole D", "holes A and B"
    explorer.controls["hole B sideways"].value = -5
    explorer.controls["fist across"].value = 14
    explorer.follows()
    assert "Contact: left hand and right hand by" in text(explorer.facts)


STATES = {lever_explorer: Lever, camera_explorer: CameraInBox, angle_map_explorer: AngleMap}
HELD = [(make, quantity) for make, state in STATES.items() for quantity in state.holds]


@pytest.mark.parametrize("make, quantity", HELD)
def test_a_held_quantity_stays_while_any_slider_is_dragged(make, quantity):
    explorer = make()
    explorer.hold.value = quantity
    kept = explorer.state.kept
    stayed = 0
    for control in explorer.controls.values():
        for by in (1.3, -2.6, 1.3):
            control.value = on_grid(control, np.clip(control.value + by, control.min, control.max))
            explorer.follows()
            if explorer.refusal:
                assert f"The {quantity} cannot stay {kept:.1f} there" in text(explorer.status)
            else:
                shown = next(row.value for row in explorer.state.rows() if row.quantity == quantity)
                assert shown == pytest.approx(kept, abs=1e-6)
                stayed += 1
    assert stayed > 2 * len(explorer.controls)
    explorer.reset()
    assert explorer.hold.value == "nothing" and everything_said(explorer) == everything_said(make())

"""Explorers without a browser: controls in, scene, table and status line out; the numbers are the library's."""

import html
import re

import numpy as np
import pytest

from ergokit import Placement
from ergokit.explorers import exercise, placement_explorer, predict, question
from ergokit.explorers.controls import on_grid
from ergokit.explorers.placement import usual_placement
from ergokit.explorers.question import read_answer
from ergokit.placement.edit import EDITS

UNEQUAL = Placement((-9, 0, 12), (7, 3, 14), (2, 11, 1.5), (0, 4, 16))


def cells(explorer):
    """The explorer's table: measure -> its cells."""
    rows = re.findall(r"<tr[^>]*>(.*?)</tr>", explorer.table.value)
    rows = [[re.sub("<[^>]*>", "", cell) for cell in re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", row)] for row in rows]
    return {name.removesuffix(" *"): found for name, *found in rows}


def status(explorer):
    return html.unescape(re.sub("<[^>]*>", "", explorer.status.value))


def points(explorer, name):
    [trace] = [trace for trace in explorer.figure.data if trace.name == name]
    return np.column_stack([trace.x, trace.y, trace.z])


def follows(explorer):
    """Scene and table show the explorer's placement."""
    p, table = explorer.placement, cells(explorer)
    assert points(explorer, "left shaft, inside") == pytest.approx(np.stack([p.targets[0], p.left_port]))
    assert points(explorer, "right shaft, inside") == pytest.approx(np.stack([p.targets[0], p.right_port]))
    assert points(explorer, "camera")[0] == pytest.approx(p.camera)
    for quantity, group in p.measures().groupby("quantity"):
        assert [f"{value:z.1f}" for value in group.value] == table[quantity][: len(group)], quantity
    assert explorer.figure.layout.scene.annotations[0].text == f"{table['manipulation angle'][0]}°"
    return True


def test_starts_with_three_equal_lengths_and_the_camera_at_15():
    values = placement_explorer().measures().set_index("quantity").value
    assert values["manipulation angle"] == pytest.approx(60)
    assert values["working distance"] == pytest.approx(15)
    assert usual_placement().tape is None


@pytest.mark.parametrize("start", [None, UNEQUAL], ids=["usual", "unequal"])
def test_every_slider_moves_the_placement_the_scene_and_the_table(start):
    explorer = placement_explorer(start)
    for name, control in explorer.controls.items():
        control.value = on_grid(control, control.value + 1)
        assert EDITS[name].read(explorer.placement) == pytest.approx(control.value)
        assert status(explorer) == "" and follows(explorer)


def test_a_random_walk_of_500_moves_raises_nothing_and_always_shows_what_it_is():
    explorer, rng = placement_explorer(), np.random.default_rng(7)
    names = list(explorer.controls)
    refused = 0
    for _ in range(500):
        control = explorer.controls[names[rng.integers(len(names))]]
        last = explorer.placement
        control.value = on_grid(control, rng.uniform(control.min, control.max))
        if "⚠" in status(explorer):
            refused += 1
            assert explorer.placement is last, "a refused move changed the placement"
    assert 0 < refused < 400
    assert follows(explorer)


def test_the_browser_reporting_its_own_rounding_is_no_move():
    explorer = placement_explorer()
    before = explorer.placement
    for control in explorer.controls.values():
        control.value = on_grid(control, control.value)
    assert explorer.placement is before


def test_an_impossible_move_keeps_the_last_good_picture_and_says_why():
    explorer = placement_explorer()
    before = explorer.placement, points(explorer, "left shaft, inside")
    explorer.controls["instrument length"].min = 5
    explorer.controls["instrument length"].value = 10
    assert "instrument_length of 10.0 cm is too short" in status(explorer)
    assert explorer.placement is before[0]
    assert points(explorer, "left shaft, inside") == pytest.approx(before[1])
    explorer.controls["port spacing"].value = 18  # a possible move clears the message
    assert status(explorer) == "" and follows(explorer)


def test_reset_and_mirror():
    explorer = placement_explorer(UNEQUAL)
    explorer.mirror()
    assert explorer.placement.left_port == pytest.approx((-7, 3, 14)) and follows(explorer)
    explorer.reset()
    assert explorer.placement == UNEQUAL and follows(explorer)


def test_code_makes_the_same_placement():
    explorer = placement_explorer()
    explorer.controls["target x"].value = 2
    scope = {}
    exec(explorer.code.value.replace("Placement(\n", "made = Placement(\n"), scope)
    assert scope["made"] == explorer.placement


def test_numbers_stay_hidden_until_asked_also_after_a_move():
    explorer = placement_explorer(numbers=False)
    explorer.controls["port spacing"].value = 20
    assert cells(explorer) == {} and explorer.figure.layout.scene.annotations[0].text == "?"
    explorer.numbers.value = True
    assert follows(explorer)


def fill(explorer, **readings):
    for name, text in readings.items():
        explorer.readings[name].value = text
    explorer.stand_up()


BOX = {"spacing": "18,2", "left": "17.6", "right": "18.4", "camera_to_target": "14.6", "window_above_ports": "7"}


def test_a_box_by_tape_shows_its_uncertainty():
    explorer = placement_explorer()
    fill(explorer, **BOX, panel_slope="37")
    assert explorer.placement == Placement.from_tape(18.2, 17.6, 18.4, 14.6, 7, 37)
    assert cells(explorer)["manipulation angle"][0] == "60.7 ± 1.4"
    assert "Your box" in status(explorer)


def test_a_box_without_a_slope_says_what_is_not_known_and_is_not_moved():
    explorer = placement_explorer()
    fill(explorer, **BOX)
    assert cells(explorer)["elevation angle"][0] == "not known"
    before = explorer.placement
    explorer.controls["depth"].value += 1
    assert "this box cannot be moved yet" in status(explorer) and explorer.placement is before


@pytest.mark.parametrize(
    ("readings", "says"),
    [
        ({}, "still to measure: port to port (cm), left port to target (cm)"),
        (BOX | {"spacing": "wide"}, "port to port (cm) takes a number such as 17.5; got 'wide'."),
        (BOX | {"spacing": "50"}, "cannot span 50 cm"),
        (BOX | {"camera_to_target": "90"}, "camera_to_target of 90 cm cannot be"),
        (BOX | {"panel_slope": "120"}, "panel_slope takes a slope of 0 to 90 degrees; got 120."),
        (BOX | {"spacing": "nan"}, "spacing takes"),
    ],
)
def test_readings_that_cannot_be_are_answered_in_the_status_line(readings, says):
    explorer = placement_explorer()
    before = explorer.placement
    fill(explorer, **readings)
    assert says in status(explorer)
    assert explorer.placement is before and follows(explorer)


def test_exercise_catches_an_explorer_that_does_not_follow():
    explorer = placement_explorer()
    explorer.show = lambda *args: None
    with pytest.raises(AssertionError, match="the explorer did not follow"):
        exercise(explorer)


@pytest.mark.parametrize(
    ("text", "unit", "number"),
    [("15.6", "cm", 15.6), ("15,6", "cm", 15.6), (" 15 cm ", "cm", 15), ("156mm", "cm", 15.6), ("−5°", "deg", -5), (".5", "", 0.5)],
)
def test_answers_as_people_type_them(text, unit, number):
    assert read_answer(text, unit) == number


@pytest.mark.parametrize(("text", "unit"), [("", "cm"), ("wide", "cm"), ("15.6 deg", "cm"), ("1.2 cm", ""), ("1e400", "cm")])
def test_answers_that_are_none(text, unit):
    with pytest.raises(ValueError, match="answer takes"):
        read_answer(text, unit)


def test_a_question_hints_after_a_wrong_answer_and_explains_after_the_right_one():
    asked = question("How deep?", 15.588, hint="Half the angle.", why="18 cos 30°.")
    for text, says in (("9", "Not yet. Half the angle."), ("15.6", "Right: 15.6 cm. 18 cos 30°."), ("deep", "an answer takes")):
        asked.answer.value = text
        asked.check()
        assert says in asked.feedback.value


def test_a_prediction_is_set_beside_the_value():
    guess = predict("How wide?")
    assert "You made no prediction" in guess.compare(60)
    guess.answer.value = "55"
    assert guess.compare(60) == "It is 60.0 degrees. You predicted 55.0; you were 5.0 degrees off."
    guess.answer.value = "wide"
    assert "could not be read" in guess.compare(60)

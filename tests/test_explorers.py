"""Explorers without a browser: controls in, scene, table and status line out; the numbers are the library's."""

import html
import re

import numpy as np
import pytest

from ergokit import Placement
from ergokit.explorers import exercise, lever_explorer, placement_explorer, predict, question
from ergokit.explorers.box_form import TAPE
from ergokit.explorers.controls import on_grid
from ergokit.explorers.placement import _FORM
from ergokit.explorers.presets import PRESETS, usual
from ergokit.placement.edit import EDITS
from ergokit.surfaces import WedgeBox

UNEQUAL = Placement((-9, 0, 12), (7, 3, 14), (2, 11, 1.5), (0, 4, 16))


def large(explorer):
    """The numbers above the picture: measure -> its values, how far they may be off, and the verdict."""
    found = re.findall(r"<div title=.*?><button>(.*?)</button><b>(.*?)</b>(.*?)<span>(.*?)</span></div>", explorer.large.value)
    return {name: (re.findall("</i>([^°c ]*)", values), spread, said) for name, values, spread, said in found}


def cells(explorer):
    """What the explorer lists: measure -> its cells, those of the numbers above the picture included."""
    rows = re.findall(r"<tr[^>]*>(.*?)</tr>", explorer.table.value)
    rows = [[re.sub("<[^>]*>", "", cell) for cell in re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", row)] for row in rows]
    return {name: values for name, (values, *_) in large(explorer).items()} | {
        name.removesuffix(" *"): found for name, *found in rows
    }


def status(explorer):
    return html.unescape(re.sub("<[^>]*>", "", explorer.status.value))


def points(explorer, name):
    return np.array(explorer.picture.part(name)["at"])


def follows(explorer):
    """Scene and table show the explorer's placement."""
    p, table = explorer.placement, cells(explorer)
    assert points(explorer, "left shaft, inside") == pytest.approx(np.stack([p.targets[0], p.left_port]), abs=1e-4)
    assert points(explorer, "right shaft, inside") == pytest.approx(np.stack([p.targets[0], p.right_port]), abs=1e-4)
    assert points(explorer, "camera")[0] == pytest.approx(p.camera, abs=1e-4)
    for quantity, group in p.measures().groupby("quantity"):
        shown = [cell.removeprefix("not defined") or "nan" for cell in table[quantity][: len(group)]]
        decimals = 2 if set(group.unit) == {""} else 1
        assert [f"{value:z.{decimals}f}" for value in group.value] == [cell.split()[0] for cell in shown], quantity
    assert explorer.picture.part("angle, words")["text"] == f"{table['manipulation angle'][0].split()[0]}°"
    return True


def test_starts_with_three_equal_lengths_and_the_camera_at_15():
    values = placement_explorer().measures().set_index("quantity").value
    assert values["manipulation angle"] == pytest.approx(60)
    assert values["working distance"] == pytest.approx(15)
    assert usual().tape is None


@pytest.mark.parametrize("start", [None, UNEQUAL], ids=["usual", "unequal"])
def test_every_slider_moves_the_placement_the_scene_and_the_table(start):
    explorer = placement_explorer(start)
    for name, control in explorer.controls.items():
        control.value = on_grid(control, control.value + 1)
        assert EDITS[name].read(explorer.placement, 0) == pytest.approx(control.value)
        assert status(explorer) == "" and follows(explorer)


def test_a_random_walk_raises_nothing_and_always_shows_what_it_is():
    explorer, rng = placement_explorer(), np.random.default_rng(7)
    names = list(explorer.controls)
    refused = 0
    for _ in range(100):  # five times as many in a browser
        control = explorer.controls[names[rng.integers(len(names))]]
        last = explorer.placement
        control.value = on_grid(control, rng.uniform(control.min, control.max))
        explorer.follows()
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
    assert "An instrument of 10.0 cm is too short" in status(explorer)
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
    explorer.list.value = "Python"
    explorer.controls["target x"].value = 2
    scope = {}
    exec(explorer.code.value.replace("Placement(\n", "made = Placement(\n"), scope)
    assert scope["made"] == explorer.placement


def test_numbers_stay_hidden_until_asked_also_after_a_move():
    explorer = placement_explorer(numbers=False)
    explorer.controls["port spacing"].value = 20
    assert cells(explorer) == {} and explorer.picture.part("angle, words")["text"] == "?"
    explorer.numbers.value = True
    assert follows(explorer)


def fill(explorer, **readings):
    for name, text in readings.items():
        explorer.readings[name].value = text
    explorer.stand_up()


BOX = {
    "port_to_port": "18,2",
    "left_to_target": "17.6",
    "right_to_target": "18.4",
    "camera_to_target": "14.6",
    "camera_above_ports": "7",
}


def test_a_box_by_tape_shows_its_uncertainty():
    explorer = placement_explorer()
    fill(explorer, **BOX, panel_slope="37")
    assert explorer.placement == Placement.from_tape(18.2, 17.6, 18.4, 14.6, 7, 37)
    assert large(explorer)["manipulation angle"] == (["60.7"], "± 1.4", "✓ 45 to 75° advised")
    said = "This is your box. Each number now shows its uncertainty"
    assert said in status(explorer)
    for control in (explorer.numbers, explorer.layers["hands"], explorer.layers["hands"], explorer.numbers):
        control.value ^= True
        assert said in status(explorer), "a button that does not concern it leaves the sentence"
    explorer.controls["depth"].value += 1
    assert status(explorer) == ""


def test_a_box_without_a_slope_says_what_is_not_known_and_is_not_moved():
    explorer = placement_explorer()
    fill(explorer, **BOX)
    assert cells(explorer)["elevation angle"][0] == "not known"
    before = explorer.placement
    explorer.controls["depth"].value += 1
    assert "This box cannot be moved yet" in status(explorer) and explorer.placement is before


@pytest.mark.parametrize(
    ("readings", "says"),
    [
        ({}, "Still to measure: port to port (cm), left to target (cm)"),
        (BOX | {"port_to_port": "wide"}, "'wide' is not a number; type a number such as 17.5 (port to port)."),
        (BOX | {"port_to_port": "50"}, "port to port of 50 cm (the others allow 32.6) is wrong"),
        (
            BOX | {"camera_to_target": "90"},
            "A box has no camera to target of 90 cm; give readings in cm, not mm, of at most 50 cm.",
        ),
        (BOX | {"panel_slope": "120"}, "120 cannot be used; give a slope of 0 to 90 degrees (panel_slope)."),
        (BOX | {"port_to_port": "nan"}, "'nan' is not a number; type a number such as 17.5 (port to port)."),
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
    with pytest.raises(AssertionError, match="the picture shows another state"):
        exercise(explorer)


def test_exercise_catches_a_scene_that_does_not_follow(monkeypatch):
    explorer = placement_explorer()
    monkeypatch.setattr(explorer.picture, "show", lambda drawing: None)
    with pytest.raises(AssertionError, match="the picture shows another state"):
        exercise(explorer)


@pytest.mark.parametrize("name", PRESETS)
def test_each_preset_shows_and_says_what_to_notice(name):
    explorer = placement_explorer()
    explorer.preset.value = name
    assert status(explorer) == PRESETS[name][1] and status(explorer).count(".") == 1
    assert explorer.placement == PRESETS[name][0]() and follows(explorer)


def test_presets_are_what_they_are_called():
    values = {name: make().measures().set_index(["quantity", "side"]).value for name, (make, _) in PRESETS.items()}
    level = values["symmetric"]
    assert level["manipulation angle", ""] == pytest.approx(60)
    higher = values["one port higher"]
    assert higher["elevation angle", "right"] > higher["elevation angle", "left"] + 5
    assert higher["manipulation angle", ""] == pytest.approx(60, abs=3)
    assert values["both ports on one side of the camera"]["azimuth angle, instruments' plane", "left"] < 0
    beside = values["camera beside the ports"]
    assert beside["manipulation angle", ""] == pytest.approx(60)
    assert abs(beside["azimuth angle, instruments' plane", "left"] - beside["azimuth angle, instruments' plane", "right"]) > 60
    assert values["phone lying flat"]["off-centre angle", ""] > 5
    assert values["camera looking back at the operator"]["hand-eye rotation", ""] == 180
    deep = values["deep target"]
    assert deep["manipulation angle", ""] < 45 and deep["working distance", ""] > 20
    behind = values["target behind the ports"]
    assert behind["hand-eye rotation", ""] == 180


@pytest.mark.parametrize("kind", ["flat lid", "sloping panel", "dome"])
def test_ports_move_on_their_surface(kind):
    explorer = placement_explorer()
    explorer.surface.value = kind
    surface = explorer.state.surfaces[kind]
    face = surface.faces[0]
    explorer.places["left port sideways"].value = -11
    explorer.places["camera up"].value += 2
    assert status(explorer) == "" and follows(explorer)
    for hole, point in (("left port", explorer.placement.left_port), ("camera", explorer.placement.camera)):
        u, v = explorer.places[f"{hole} sideways"].value, explorer.places[f"{hole} up"].value
        assert point == pytest.approx(surface.point(u, v, face))
    last = explorer.placement
    explorer.places["right port sideways"].value = 40
    assert status(explorer).startswith("⚠ The right port cannot be 40.0 cm sideways") and explorer.placement is last
    assert explorer.places["right port sideways"].value == 8, "the slider is back where the port is"
    explorer.places["right port sideways"].value = 9
    explorer.lies_flat.value = True
    assert explorer.placement.aim == pytest.approx(
        -surface.normal(explorer.places["camera sideways"].value, explorer.places["camera up"].value, face)
    )
    drawn = explorer.picture.number
    explorer.controls["depth"].value = on_grid(explorer.controls["depth"], explorer.controls["depth"].value + 1)
    assert explorer.picture.number == drawn + 1, "one move is drawn once"
    assert explorer.surface.value == "anywhere" and status(explorer) == "" and follows(explorer)


def test_a_surface_of_ones_own():
    box = WedgeBox(60, 50, 40)
    explorer = placement_explorer(surface=box)
    assert explorer.surface.value == "your box" and len(points(explorer, "surface")) == len(box.faces)
    assert explorer.placement.panel_normal == pytest.approx(box.normal(0, 10, "a"))
    start = explorer.state
    explorer.controls["depth"].value += 1
    explorer.layers["hands"].value = True
    assert explorer.surface.value == "anywhere"
    explorer.reset()
    assert explorer.state == start and explorer.surface.value == "your box" and not explorer.layers["hands"].value
    explorer.follows()


def test_a_small_surface_of_ones_own_takes_the_holes_nearer_together():
    explorer = placement_explorer(surface=WedgeBox(14, 12, 12))
    assert explorer.surface.value == "your box" and explorer.placement.right_port[0] < 7


def test_several_named_targets_with_one_in_focus():
    explorer = placement_explorer(targets={"needle": (0, 9, 0), "knot": (4, 7, 1)})
    explorer.target.value = "knot"
    assert points(explorer, "left shaft, inside")[0] == pytest.approx((4, 7, 1))
    assert explorer.picture.part("target, words")["text"] == "knot"
    explorer.controls["target x"].value = 6
    assert explorer.placement.target == pytest.approx(np.array([(0, 9, 0), (6, 7, 1)]))
    explorer.follows()
    explorer.target_list.value = "far: 0, 14, 0\nnear: 0 5,5"
    explorer.use_targets()
    assert "type a line such as" in status(explorer)
    explorer.target_list.value = "far: 0, 14, 0\nnear: 0 5 0,5"
    explorer.use_targets()
    assert explorer.target.options == ("far", "near")
    assert explorer.placement.target == pytest.approx(np.array([(0, 14, 0), (0, 5, 0.5)]))


def test_layers_appear_when_asked_and_follow():
    explorer = placement_explorer(layers=("zone",))
    assert explorer.picture.part("zone, outer, near") and explorer.picture.part("hands") is None
    explorer.layers["hands"].value = True
    before = points(explorer, "hands")
    explorer.controls["port spacing"].value = 20
    assert not np.allclose(points(explorer, "hands"), before)
    separation = explorer.measures().set_index("quantity").value["handle separation"]
    assert explorer.picture.part("hands, words")["text"] == f"hands {separation:.1f} cm apart"


def test_the_angle_can_be_held_while_the_spacing_changes():
    explorer = placement_explorer()
    explorer.hold.value = "manipulation angle"
    explorer.controls["port spacing"].value = 20
    values = explorer.measures().set_index("quantity").value
    assert values["manipulation angle"] == pytest.approx(60)
    assert values["depth"] == pytest.approx(20 * np.cos(np.radians(30)))


def test_four_numbers_stand_large_each_against_published_advice():
    explorer = placement_explorer()
    shown = large(explorer)
    assert shown["manipulation angle"] == (["60.0"], "", "✓ 45 to 75° advised")
    assert shown["working distance"] == (["15.0"], "", "✓ 7.5 to 15 cm advised")
    assert shown["inside : outside"] == (["0.80", "0.80"], "", "✗ at least 1.00 advised")
    assert shown["azimuth angle, instruments' plane"] == (["30.0", "30.0"], "", "✓ equal advised")
    explorer.controls["target sideways"].value = 6
    assert large(explorer)["azimuth angle, instruments' plane"][2] == "✗ equal advised"
    assert not {"manipulation angle", "inside : outside"} & {
        name for name in re.findall("<td>(.*?)</td>", explorer.table.value)
    }


def test_a_large_number_that_has_no_value_says_so():
    start = usual()
    square = np.cross(start.right_port - start.target, start.left_port - start.target)
    above = placement_explorer(start.replace(camera=start.target + 15 * square / np.linalg.norm(square)))
    assert re.search("plane</button><b>(.*?)</b>", above.large.value).group(1) == "not defined"


def test_large_numbers_and_the_sentence_for_screen_readers_hide_with_the_numbers():
    explorer = placement_explorer(numbers=False)
    assert not re.search(r"\d", explorer.large.value + re.sub("<[^>]*>", "", explorer.description.value))
    assert explorer.large.value.count("?") == 4
    explorer.numbers.value = True
    assert "60.0°" in explorer.large.value and "manipulation angle 60.0 deg" in explorer.description.value


def test_a_preset_chosen_again_after_a_move_acts_again():
    explorer = placement_explorer()
    explorer.preset.value = "deep target"
    deep = explorer.placement
    explorer.controls["depth"].value = 10
    assert explorer.preset.value == "choose one" and explorer.placement != deep
    explorer.preset.value = "deep target"
    assert explorer.placement == deep and follows(explorer)


def test_reset_brings_back_names_layers_view_and_what_is_typed():
    explorer = placement_explorer(targets={"needle": (0, 9, 0), "knot": (4, 7, 1)}, layers=("zone",))
    start = explorer.state
    explorer.target.value, explorer.seen_from.value, explorer.layers["zone"].value = "knot", "plan", False
    explorer.readings["port_to_port"].value = "17,5"
    explorer.preset.value = "deep target"
    assert explorer.target.options == ("target",)
    explorer.reset()
    assert explorer.state == start and explorer.target.options == ("needle", "knot")
    assert explorer.picture.view == start.view and explorer.readings["port_to_port"].value == ""
    explorer.follows()


def test_a_view_turned_by_hand_stays_while_sliders_move_and_can_be_chosen_back():
    explorer = placement_explorer()
    explorer.picture.view = explorer.picture.view | {"turn": 40}  # as the browser reports it
    assert explorer.seen_from.value == "as you turned it"
    explorer.controls["depth"].value += 1
    assert explorer.picture.view["turn"] == 40
    explorer.seen_from.value = "from the operator"
    assert explorer.picture.view["turn"] == -22
    explorer.follows()


def test_a_question_hints_after_a_wrong_answer_and_explains_after_the_right_one():
    asked = question("How deep?", 15.588, hint="Half the angle.", why="18 cos 30°.")
    right = "Right: 15.6 cm. 18 cos 30°."
    assert asked.show_me.layout.display == "none"
    for text, says in (
        ("9", "Not yet. Half the angle."),
        ("156 mm", right),
        ("deep", "type a length"),
        ("16", "right to a whole number"),
    ):
        asked.answer.value = text
        asked.check()
        assert says in asked.feedback.value
    asked.reveal()
    assert "The answer is 15.6 cm. 18 cos 30°." in asked.feedback.value


def test_a_question_with_choices_checks_the_one_that_is_pressed():
    asked = question("Which costs more?", "deeper", choices=("sideways", "deeper"), hint="Think of the arc.")
    asked.choice.value = "sideways"
    assert "Not yet. Think of the arc." in asked.feedback.value
    asked.choice.value = "deeper"
    assert "Right: 'deeper'." in html.unescape(asked.feedback.value)


def test_the_form_for_a_tape_has_a_box_for_each_reading():
    assert [name for names in _FORM.values() for name in names] == list(TAPE)


def guessed(text, way=None, **about):
    """A prediction of 81.8 degrees, before which there were 60, after a guess."""
    asked = predict("How wide?", 81.79, start=60, **about)
    asked.answer.value, asked.way.value = text, way
    asked.check()
    return asked


@pytest.mark.parametrize(
    ("text", "way", "says"),
    [
        (
            "90",
            "wider",
            "You chose &#x27;wider&#x27;, and so it is. Your guess was 90.0 degrees, which is 8.2 degrees too high.",
        ),
        ("50", "narrower", "but it is &#x27;wider&#x27;. Your guess was 50.0 degrees, which is 31.8 degrees too low."),
        ("81.8", None, "Your guess was 81.8 degrees, and so it is."),
    ],
)
def test_a_prediction_is_set_beside_the_answer(text, way, says):
    asked = guessed(text, way)
    assert "The answer is 81.8 degrees." in asked.feedback.value and says in asked.feedback.value
    assert f"before 60.0 degrees, your guess {float(text):.1f} degrees".split(", ")[1] in asked.feedback.value
    assert not asked.is_open and asked.answer.disabled and asked.way.disabled


@pytest.mark.parametrize(
    ("text", "way", "says"),
    [
        ("wide", None, "such as 60"),
        ("50", "wider", "Change one"),
        ("", None, "such"),
        ("999", "wider", "&#x27;999&#x27; cannot be the answer; type an angle from 0 to 180 degrees."),
        ("-1", "narrower", "type an angle from 0 to 180 degrees."),
    ],
)
def test_a_guess_that_cannot_be_taken_gives_no_answer(text, way, says):
    made = []
    asked = guessed(text, way, forgets="81.8", show=lambda: made.append("made"))
    assert says in asked.feedback.value and "81.8" not in asked.feedback.value
    assert asked.is_open and made == []
    asked.answer.value, asked.way.value = "90", "wider"
    asked.check()
    assert "The answer is 81.8 degrees." in asked.feedback.value and made == ["made"]


@pytest.mark.parametrize(
    ("unit", "text", "says"),
    [
        ("cm", "-30 mm", "type a length of 0 cm or more."),
        ("ratio", "-0.5", "type a number of 0 or more."),
        ("targets", "-2", "type a number of 0 or more."),
    ],
)
def test_nothing_negative_is_taken_for_a_guess(unit, text, says):
    asked = predict("How much?", 3, unit)
    for typed in (text, text[1:]):
        asked.answer.value = typed
        asked.check()
        assert asked.is_open == (says in asked.feedback.value) == (typed == text)


def test_what_shows_the_answer_is_made_once_and_only_with_it():
    made = []
    asked = predict(
        "How many?", 3, "targets", forgets="The farthest.", show=lambda: (made.append(1), "**three**", lever_explorer())
    )
    assert made == [] and asked.below.children == ()
    asked.reveal(), asked.reveal()
    asked.answer.value = "4"
    asked.check()
    assert made == [1] and len(asked.below.children) == 3
    assert "The answer is 3 targets." in asked.feedback.value and "The farthest." in asked.feedback.value
    assert "guess" not in asked.feedback.value


def test_a_prediction_with_choices_takes_the_one_that_is_pressed():
    asked = predict("How far off?", 1.41, choices=(0.7, 1.4, 4.2))
    asked.choice.value = "4.2 degrees"
    assert "The answer is 1.4 degrees.</b> You chose 4.2 degrees." in asked.feedback.value
    asked = predict("Which?", "left", choices=("left", "right"))
    asked.choice.value = "right"
    assert "The answer is 'left'.</b> You chose 'right'." in html.unescape(asked.feedback.value)
    with pytest.raises(ValueError, match="one of the choices"):
        predict("How far off?", 1.5, choices=(0.7, 1.4, 4.2))
    with pytest.raises(ValueError, match="choices"):
        predict("Which?", "left")

"""What is too much, too small or of the wrong kind: one short sentence, at once."""

import re

import numpy as np
import pytest

from ergokit import Placement, best_ports, design_box, judge, manipulation_angle, tolerance, write_template
from ergokit._check import brief, read_number, read_point
from ergokit.explorers import studio, talk_kit
from ergokit.explorers.controls import named_points
from ergokit.figures import lever_figure, turn_figure
from ergokit.problems import make_problems
from ergokit.problems.answers import read_number as read_answer
from ergokit.relations import angle_zone
from ergokit.search import port_map
from ergokit.search.cameras import _LOOKED_AT, evenest
from ergokit.search.descent import descend
from ergokit.search.task import Task
from ergokit.surfaces import FlatBox, WedgeBox
from ergokit.tape_check import check_tape
from ergokit.tolerance import error_effects, hole_tolerance
from ergokit.view import field_of_view

PLACEMENT = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))
READ = check_tape(port_to_port=18.2, left_to_target=17.6, right_to_target=18.4)
MANY = np.column_stack([np.linspace(-5, 5, 10_001), np.zeros(10_001), np.zeros(10_001)])


class Unseen:
    def __repr__(self):
        raise RuntimeError


def deep(levels):
    found = []
    for _ in range(levels):
        found = [found]
    return found


LARGE = ["x" * 10**8, b"x" * 10**8, 10**5000, deep(5000), Unseen(), [Unseen()], list(range(10**6))]


@pytest.mark.parametrize("value", LARGE, ids=["text", "bytes", "int", "deep", "unseen", "unseen in a list", "long"])
def test_no_message_repeats_more_than_sixty_characters(value):
    assert len(brief(value)) <= 60 and "\n" not in brief(value)
    with pytest.raises(ValueError) as refusal:
        manipulation_angle(value, (1, 0, 0), (0, 1, 0))
    assert len(str(refusal.value)) < 150


@pytest.mark.parametrize(
    "many",
    [
        lambda: Placement((-9, 0, 12), (9, 0, 12), MANY, (0, 4, 16)),
        lambda: best_ports(FlatBox(40, 30, 18), MANY),
        lambda: design_box(WedgeBox(50, 40, 30), MANY),
        lambda: named_points("\n".join(f"t{i}: 0, 9, 0" for i in range(10_001))),
    ],
)
def test_more_than_ten_thousand_targets_are_refused(many):
    with pytest.raises(ValueError, match=r"^10001 (points|lines) are too many; give at most 10000 \(targets?\)\.$"):
        many()


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (
            lambda: port_map(FlatBox(40, 30, 18), [(0, 0, 0)], step=1e-9),
            r"1e-09 cannot be used; give at least 0\.48 cm for a surface of this size \(step\)",
        ),
        (lambda: hole_tolerance(PLACEMENT, 1e-300), r"1e-300 cannot be used; give a change of more than 0 \(within\)"),
        (lambda: error_effects(PLACEMENT, 100), r"^An error of 100 cm is too large; give at most 20 cm, and not mm \(error\)"),
        (
            lambda: error_effects(PLACEMENT, errors={"camera": 100}),
            r"^An error of 100 cm is too large; give at most 20 cm, and not mm \(error\)",
        ),
        (lambda: error_effects("x"), r"'x' cannot be used; give a Placement \(placement\)"),
        (lambda: angle_zone((0, 0, 0), (9, 0, 0), 5e-324, 60), r"give an angle of more than 0.*\(low\)"),
        (lambda: make_problems(kinds=np.array("depth")), r"array.* cannot be used; give some of angle, .* \(kinds\)"),
        (lambda: READ.interval(np.array(["a", "b"])), r"give one of .*\(quantity and side\)"),
        (lambda: Placement.load("no\nwhere.json"), r"^'no\?where\.json' cannot be read: .*; give a placement file \(path\)"),
        (lambda: hole_tolerance(PLACEMENT, quantity=np.array(["a", "b"])), r"give one of .*\(quantity and side\)"),
        (
            lambda: field_of_view(26, matched_on=np.array(["a", "b"])),
            r"array.* cannot be used; give 'diagonal' or 'width' \(matched_on\)",
        ),
        (lambda: judge(5), r"5 cannot be used; give a Placement \(placement\)"),
        (lambda: write_template("new.pdf", WedgeBox(50, 40, 30), None), r"None cannot be used; give a Placement \(placement\)"),
        (lambda: best_ports(["x"], [(0, 0, 0)]), r"\['x'\] cannot be used; give a WedgeBox, a FlatBox or a Dome \(surface\)"),
        (
            lambda: manipulation_angle(np.zeros((2, 3)), np.ones((3, 3)), (0, 1, 0)),
            r"^The shapes .* do not go together; give arrays that broadcast \(",
        ),
        (lambda: manipulation_angle([True, 0, 0], (1, 0, 0), (0, 1, 0)), r"give three coordinates.*\(left_port\)"),
        (lambda: manipulation_angle([10**400, 0, 0], (1, 0, 0), (0, 1, 0)), r"give three coordinates.*\(left_port\)"),
    ],
)
def test_what_cannot_be_is_refused_at_once(call, says):
    with pytest.raises(ValueError, match=says) as refusal:
        call()
    assert len(str(refusal.value)) <= 300


def test_a_flat_figure_is_as_high_as_plotly_takes():
    assert turn_figure(24, 0.0625).layout.height >= 10 and lever_figure(18, instrument_length=9000).layout.height >= 10


def test_a_measure_that_no_box_has_says_so(monkeypatch):
    short = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16), instrument_length=18.03)
    table = error_effects(short, error=0.001, errors={"target": 19}, draws=1000).measures()
    assert table["Monte Carlo"].notna().all()  # some boxes have every measure, however few
    changes = tolerance._changes
    lost = lambda *args: (changes(*args)[0], changes(*args)[1] * np.nan)  # noqa: E731
    monkeypatch.setattr(tolerance, "_changes", lost)  # no box in which anything can be measured
    none = error_effects(short, error=20, draws=1000, seed=3).measures()
    assert none["Monte Carlo"].isna().all() and set(none.note) == {"no box has a value"}


def test_a_search_whose_time_is_up_goes_nowhere():
    task = Task(FlatBox(40, 30, 18), MANY[:50])
    start = np.array([-9.0, 0, 9, 0])
    assert (descend(task, start) != start).any()
    task.until = 0
    assert (descend(task, start) == start).all()


def test_a_camera_is_sought_on_a_coarser_grid_for_thousands_of_targets(monkeypatch):
    task, seen = Task(FlatBox(40, 30, 18), MANY[:5000], camera="free"), []
    scene = task.scene
    task.scene = lambda middle: seen.append(middle.shape[1]) or scene(middle)
    evenest(task, np.array([-9.0, 0, 9, 0, 0, 5]))
    assert 9 < seen[0] * 5000 <= 1.1 * _LOOKED_AT


@pytest.mark.parametrize("text", ["1_8", "0 9,5", "1.234,5", "", "١٢", "0x1", "nan", "inf", "1e9999", "--1", "1,2,3"])
def test_what_is_no_number_is_refused_wherever_it_is_typed(text):
    for read in (read_number, lambda text: read_answer(text, "cm"), lambda text: named_points(f"a: {text}, 0, 0")):
        with pytest.raises(ValueError):
            read(text)


READ_ONE_WAY = {
    "0, 9, 0": (0, 9, 0),
    "0,9,0": (0, 9, 0),
    "0 9 0": (0, 9, 0),
    "0; 9,5; 0": (0, 9.5, 0),
    "0 9,5 0": (0, 9.5, 0),
    "0,5, 9, 0": (0.5, 9, 0),
    "-1.5, 9, 0,": (-1.5, 9, 0),
    "0\t9\t0": (0, 9, 0),
}


@pytest.mark.parametrize(("text", "point"), READ_ONE_WAY.items(), ids=READ_ONE_WAY)
def test_a_point_is_read_where_it_can_be_read_one_way(text, point):
    assert read_point(text) == point


@pytest.mark.parametrize("text", ["0 9,5", "0, 9", "0,5,9,0", "1 2 3 4", "a, b, c"])
def test_a_point_that_can_be_read_two_ways_or_none_is_refused(text):
    with pytest.raises(ValueError, match="three numbers"):
        read_point(text)


def test_a_name_twice_is_refused():
    with pytest.raises(ValueError, match=r"^Two targets are called 'a'; each needs a name of its own \(targets\)\.$"):
        named_points("a: 0, 9, 0\na: 1, 9, 0")


def test_an_interrupt_says_what_was_finished(tmp_path, monkeypatch):
    kit = talk_kit()
    kit.format.value, kit.made_of["talk.pptx"].value, kit.folder.value = ".html", False, str(tmp_path)
    (tmp_path / "rules.html").write_text("old")
    kit.replace.value = True

    def interrupted(figs, **options):
        next(iter(figs)).write_text("new")
        raise KeyboardInterrupt

    monkeypatch.setattr(studio, "save_all", interrupted)
    kit.button.click()
    assert "⚠ You stopped it. 1 of 8 files were finished." in re.sub("<[^>]*>", "", kit.status.value)
    assert "triangle.html" in kit.made.value and "rules.html" not in kit.made.value
    assert not kit.button.disabled and kit.bar.layout.display == "none"


@pytest.mark.parametrize("folder", ["\0", "con", "a/nul.x", "a?b", "\ud800", "~nobody-there/x", "x" * 300])
def test_a_folder_that_cannot_be_is_refused_by_the_kit(folder, tmp_path, monkeypatch):
    monkeypatch.setenv("HOME", str(tmp_path))
    kit = talk_kit()
    kit.format.value, kit.made_of["talk.pptx"].value, kit.folder.value = ".html", False, folder
    kit.make()
    assert "(folder)" in re.sub("<[^>]*>", "", kit.status.value) and not list(tmp_path.iterdir())

"""No event of any control, in any order, makes an explorer deaf: each is sent random events with nonsense among them."""

from contextlib import nullcontext
from dataclasses import replace

import pytest
from walks import entries_open, every_explorer, parts, says, walk

import ergokit.explorers
from ergokit.explorers import camera_explorer, lever_explorer, studio, targets_explorer
from ergokit.explorers.controls import said
from ergokit.explorers.explorer import Explorer
from ergokit.explorers.targets import Course

EVENTS = 15  # tests/slow/test_long_walks.py sends 5000


def test_every_explorer_is_walked():
    made = {name.removesuffix("_explorer").replace("_", " ") for name in ergokit.explorers.__all__}
    others = {"exercise", "question sheet", "template link"}  # a function, and links without controls
    others |= {"comparison link", "session link", "complaints link"}
    others |= {"ask"}  # a question, walked under that name
    others |= {"comparison form", "sheet form"}  # each move lays out a whole PDF: tested beside their links
    others |= {"yours", "retest"}  # made of the others
    assert made - others <= {*every_explorer(), "predict"}


@pytest.mark.parametrize("name", every_explorer())
def test_random_events_leave_no_explorer_deaf(name, tmp_path, monkeypatch):
    monkeypatch.setenv("HOME", str(tmp_path))
    walked(name, EVENTS, monkeypatch)


def walked(name, events, monkeypatch, seed=0):
    """Walk one explorer: all it shows is its state after every event; its `reset` brings back the start, numbers apart."""
    explorer = every_explorer()[name]()
    drawn_by_nobody(monkeypatch)
    first = says(explorer)
    entries_open(explorer)
    done = []
    try:
        for event in walk(explorer, events, seed):
            done.append(event)
            assert len(says(explorer)) < 200_000
            if isinstance(explorer, Explorer):
                explorer.follows()
    except Exception as error:
        raise AssertionError(f"{name}: {type(error).__name__}: {error!s:.300} after {done[-3:]}, seed {seed}") from error
    if isinstance(explorer, Explorer):
        explorer.reset()
        assert "⚠" not in says(explorer) and explorer.state == replace(explorer.start, numbers=explorer.state.numbers)
        explorer.follows()
    assert first and parts(explorer)
    entries_open(explorer)


def drawn_by_nobody(monkeypatch):
    """The kit's files are empty here: what is in them has tests of its own."""
    for name in ("write_deck", "write_handout", "write_teacher_page", "write_cards"):
        monkeypatch.setattr(studio, name, lambda path, *placement, **options: path.touch())
    monkeypatch.setattr(studio, "GALLERY", dict.fromkeys(studio.GALLERY, lambda placement, focus, **options: None))
    monkeypatch.setattr(studio, "save_all", lambda figs, **options: [path.touch() for path in figs])
    monkeypatch.setattr(studio, "browser", nullcontext)


def test_after_a_refusal_the_controls_go_back_and_the_sentence_stays_until_a_move_succeeds():
    explorer = camera_explorer()
    ports = explorer.controls["ports up the panel"]
    ports.value = ports.max  # the camera hole is off the panel
    assert "⚠" in explorer.status.value and ports.value == 12
    ports.value = ports.max
    assert "⚠" in explorer.status.value and ports.value == 12
    explorer.hold.value = "working distance"
    assert explorer.hold.value == "working distance" and "⚠" not in explorer.status.value
    explorer.controls["target from foot"].value += 1
    explorer.follows()


def test_a_hold_without_a_value_keeps_the_hold_before():
    explorer = lever_explorer()
    explorer.hold.value = "inside : outside"
    explorer.hold.value = "movement scaling"
    assert explorer.hold.value == "movement scaling"


@pytest.fixture(scope="module")
def course():
    return targets_explorer()


@pytest.mark.parametrize("typed", ["a: nan, 0, 0", "a: inf, 0, 0", "a: 1e9, 0, 0", "a: 100, 0, 0", "a: 0, 9, 0\na: 1, 9, 0"])
def test_targets_that_cannot_be_leave_the_course_as_it_was(course, typed):
    before, track = course.state.targets, course.controls["target sideways"].max
    course.target_list.value = typed
    course.dispatch(Course.as_listed)
    assert "⚠" in course.status.value and course.state.targets == before
    assert course.controls["target sideways"].max == track
    course.controls["target sideways"].value += 1
    assert course.state.targets != before and "⚠" not in course.status.value


def test_what_is_wrong_is_marked():
    assert said("x", wrong=True).startswith("<span")

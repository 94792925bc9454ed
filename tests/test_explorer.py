"""The core of every explorer: states and events without widgets, and one explorer that shows what comes of them."""

from dataclasses import dataclass, replace
from functools import cache

import ipywidgets as w
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ergokit.explorers import angle_map_explorer, camera_explorer, lever_explorer, placement_explorer
from ergokit.explorers.controls import slider
from ergokit.explorers.explorer import Explorer, changed
from ergokit.explorers.placement import _HOLES, _WAYS
from ergokit.explorers.presets import PRESETS
from ergokit.figures import LAYERS, VIEWS
from ergokit.placement.edit import EDITS

MADE = {"lever": lever_explorer, "camera": camera_explorer, "angle map": angle_map_explorer}


@cache
def start_of(name):
    """What the explorer of this name begins with; from here on no widget is touched."""
    return MADE[name]().start


@st.composite
def walks(draw):
    """A state, and what a reader may do to it: (slider or "hold", where to)."""
    start = start_of(draw(st.sampled_from(list(MADE))))
    drag = st.sampled_from(list(start.tracks)).flatmap(
        lambda name: st.tuples(st.just(name), st.floats(*start.tracks[name][1:3]).map(lambda at: round(at, 1)))
    )
    hold = st.tuples(st.just("hold"), st.sampled_from(["nothing", *start.holds]))
    return start, draw(st.lists(drag | hold, max_size=8))


@given(walks())
def test_transitions_are_pure_keep_what_is_held_and_refuse_in_words(walk):
    state, events = walk
    for name, value in events:
        before = repr(state)
        try:
            after = state.holding(name, value) if name == "hold" else state.moved(name, value)
            after.drawings()
        except ValueError as error:
            assert str(error).endswith(".")
            continue
        finally:
            assert repr(state) == before
        state = after
        if name != "hold":
            assert state[name] == value
        if state.hold != "nothing":
            assert state.value(state.hold) == pytest.approx(state.kept, abs=1e-6)


def test_a_lens_and_the_field_of_view_let_go_of_each_other_without_a_widget():
    start = start_of("camera")
    wide = start.moved("lens", "phone, 13 mm equivalent")
    assert wide["field of view"] > 100 and wide["lens"] == "phone, 13 mm equivalent"
    assert wide.moved("close focus", 3)["lens"] == "phone, 13 mm equivalent"
    assert wide.moved("field of view", 90)["lens"] == "as the slider says"


EVENTS = st.one_of(
    st.tuples(st.just("edited"), st.sampled_from(list(EDITS)), st.integers(-15, 40)),
    st.tuples(st.just("on_surface"), st.just("surface"), st.sampled_from(["anywhere", "flat lid", "sloping panel", "dome"])),
    st.tuples(st.just("bored"), st.sampled_from([f"{hole} {way}" for hole in _HOLES for way in _WAYS]), st.integers(-25, 40)),
    st.tuples(st.just("laid"), st.just("lies_flat"), st.booleans()),
    st.tuples(st.just("showing"), st.just("preset"), st.sampled_from(list(PRESETS))),
    st.tuples(st.just("looking"), st.just("seen_from"), st.sampled_from(list(VIEWS))),
    st.tuples(st.just("with_layer"), st.sampled_from(list(LAYERS)), st.booleans()),
    st.just(("mirrored",)),
)


@pytest.fixture(scope="module")
def shown():
    return placement_explorer(targets={"needle": (0, 9, 0), "knot": (4, 7, 1)}).start


@settings(max_examples=40)
@given(events=st.lists(EVENTS, max_size=6))
def test_what_a_placement_explorer_shows_follows_from_events_alone(shown, events):
    state = shown
    for name, *what in events:
        before = state
        try:
            state = getattr(state, name)(*what)
        except ValueError as error:
            assert str(error).rstrip().endswith("."), error
            continue
        if state.surface != "anywhere":
            surface = state.surfaces[state.surface]
            port = surface.point(state.hole("left port sideways"), state.hole("left port up"), surface.faces[0])
            assert state.placement.left_port == pytest.approx(port)
        moved = state.placement is not before.placement
        assert (state.preset == "choose one") == (name != "showing" and (moved or before.preset == "choose one"))
        assert len(state.names) == len(state.placement.targets)
    assert state.edited("target x", state.reading("target x")).notice == "", "what was said goes with a move"


@dataclass(frozen=True)
class Count:
    """A number that may not be odd beyond ten."""

    numbers: bool = True
    size: float = 4.0
    note: str = ""
    notice: str = ""

    def grown(self, name, value):
        if value > 10:
            raise ValueError("That is too large.")
        return replace(self, size=value, notice="Grown.")


class Counter(Explorer):
    def build(self):
        self.drawn = []
        self.size, self.note, self.label = slider("size", "how large", 0, 20), w.Text(), w.Label()
        self.bind(self.size, "size", event=Count.grown)
        self.bind(self.note, "note", draft=True)
        return [self.size, self.note, self.label]

    def show(self, state):
        super().show(state)
        self.label.value = f"{state.size:.2f}" if state.numbers else "?"
        self.drawn.append(state)


@pytest.fixture
def counter():
    return Counter(Count())


def test_an_event_is_shown_once_and_what_show_sets_is_no_event(counter):
    shown = len(counter.drawn)
    counter.size.value = 6
    assert counter.state.size == 6 and counter.label.value == "6.00" and len(counter.drawn) == shown + 1
    counter.dispatch(changed, "size", 7.03)
    assert counter.size.value == 7.0 and counter.state.size == 7.03, "a slider stands on its nearest step"
    counter.size.value = 7.000000000000001  # a browser's own rounding
    assert counter.state.size == 7.03
    counter.follows()


def test_a_refusal_moves_the_control_back_and_stays_until_a_move_succeeds(counter):
    counter.size.value = 6
    counter.size.value = 15
    assert counter.size.value == 6 and counter.state.size == 6 and "⚠ That is too large." in counter.status.value
    counter.note.value = "typed"  # a draft, no move
    assert "⚠" in counter.status.value
    counter.follows()
    counter.numbers.value = False
    assert "⚠" not in counter.status.value and "Grown." in counter.status.value


@pytest.mark.parametrize("shown", [True, False])
def test_reset_brings_back_all_of_the_start_but_leaves_the_numbers_as_they_are(counter, shown):
    counter.size.value, counter.note.value, counter.numbers.value = 6, "typed", shown
    counter.reset()
    assert counter.state == Count(numbers=shown) and counter.start == Count()
    assert (counter.size.value, counter.note.value, counter.numbers.value) == (4.0, "", shown)


def test_follows_catches_a_control_that_does_not_show_the_state(counter):
    counter._showing = True  # deaf, as a control would be that is not bound
    counter.size.value = 9
    counter._showing = False
    with pytest.raises(AssertionError, match=r"size is 4\.0; its control shows 9\.0"):
        counter.follows()


def test_an_error_that_is_no_refusal_comes_through_and_leaves_the_state(counter):
    with pytest.raises(TypeError):
        counter.dispatch(lambda state: replace(state, size=np.sin("x")))
    assert counter.state == counter.start
    counter.size.value = 6
    assert counter.state.size == 6, "and leaves no control deaf"

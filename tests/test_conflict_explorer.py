"""The conflict explorer without a browser: boxes and ranges in, bars, verdict and sources out."""

import html
import re
import threading

import numpy as np
import pytest

from ergokit import datasets
from ergokit.explorers import conflict_explorer, exercise
from ergokit.explorers.controls import on_grid
from ergokit.guidance import CAUTION, conflicts
from ergokit.guidance.quantities import named_in

RULES = list(conflict_explorer().ticks)


def text(widget):
    return html.unescape(re.sub("<[^>]*>", "\n", re.sub("</?button>", "", widget.value))).strip()


def published(names):
    """The rules with these names, at the ranges that their sources give."""
    ends = conflict_explorer().state.ends
    return {name: ends[name] for name in names}


def bars(explorer):
    return explorer.picture.part("words")["text"]


@pytest.mark.parametrize("numbers", [True, False])
@pytest.mark.parametrize("names", [RULES[:1], RULES])
def test_exercise_passes_and_ends_where_it_began(names, numbers):
    explorer = conflict_explorer(published(names), numbers=numbers)
    before = bars(explorer), explorer.verdict.value, explorer.sources.value
    assert exercise(explorer).startswith("9 controls")
    assert (bars(explorer), explorer.verdict.value, explorer.sources.value) == before


def test_exercise_catches_bars_that_do_not_follow(monkeypatch):
    explorer = conflict_explorer()
    monkeypatch.setattr(explorer.picture, "show", lambda drawing: None)
    with pytest.raises(AssertionError, match="the picture shows another state"):
        exercise(explorer)


def test_ranges_start_where_their_rows_put_them():
    explorer = conflict_explorer(published(RULES))
    rows = datasets.records("published_values")
    assert explorer.state.rules == {
        "manipulation angle": (45, 75),
        "port spacing": (None, 15),
        "working distance": (7.5, 15),
        "inside : outside": (1, None),
        "elevation angle": (60, 60),
        "length inside": (15, 20),
        "chord to camera port": (5, 7),
    }
    for name, (low, high) in explorer.state.rules.items():
        quantity = {"length inside": "camera port to target"}.get(name, name)
        spans = [(row["low"], row["high"]) for row in rows if row["quantity"] == quantity]
        assert (low, high) in [tuple(None if np.isnan(end) else end for end in span) for span in spans]
    shown = text(explorer.sources)
    assert "manipulation angle: Hanna et al. 1997, published" in shown
    assert "port spacing: Mishra, secondary page" in shown and "chord to camera port: Supe et al. 2010, from memory" in shown


@pytest.mark.parametrize(
    ("ranges", "camera", "feasible", "said"),
    [
        ({"manipulation angle": (60, 60), "port spacing": (20, 20), "working distance": (7.5, 15)}, 0, False, "by 2.3 cm"),
        ({"manipulation angle": (60, 60), "working distance": (7.5, 15)}, 0, True, "port spacing 8.7 to 17.3 cm"),
        ({"length inside": (15, 20), "chord to camera port": (5, 7), "manipulation angle": (60, 90)}, 1, False, "θ ≤ 54.0"),
        ({"elevation angle": (60, 60), "manipulation angle": (75, 75)}, 0, False, "θ ≤ 180 - 2 ε"),
        ({"manipulation angle": (60, 60), "port spacing": (20, 20), "working distance": (7.5, 15)}, 2, True, "distance 7.5"),
    ],
)
def test_verdicts_are_those_of_conflicts(ranges, camera, feasible, said):
    explorer = conflict_explorer(ranges)
    explorer.camera.index = camera
    assert explorer.result.feasible == feasible == conflicts(ranges, camera=["panel", "arc", "scope"][camera]).feasible
    assert said in text(explorer.verdict) and text(explorer.verdict).endswith(CAUTION)
    explorer.follows()


def test_a_shorter_instrument_or_a_window_heals_a_clash():
    explorer = conflict_explorer({"manipulation angle": 60, "working distance": (2, 16), "inside : outside": (1, None)})
    explorer.controls["working distance"].value = (2, 15)
    assert not explorer.result.feasible
    explorer.controls["instrument length"].value = 33
    assert explorer.result.feasible
    explorer.controls["instrument length"].value = 36
    explorer.controls["camera hole above ports"].value = 4.25
    assert explorer.result.feasible and "phone flat on the panel 4.25 cm" in repr(explorer.result)
    explorer.camera.index = 1  # a camera on the arc has no camera hole
    assert "the lens fixed at the wall, as far from the target as the ports" in repr(explorer.result)
    assert "⚠" not in explorer.status.value


def test_a_range_of_ones_own_loses_its_source_and_a_browsers_rounding_does_not():
    explorer = conflict_explorer()
    explorer.controls["working distance"].value = (7.5, 15.000000000000002)
    assert explorer.state.rules["working distance"] == (7.5, 15) and "your own" not in explorer.sources.value
    explorer.controls["working distance"].value = (7.5, 16)
    assert "working distance: your own range" in text(explorer.sources)


def test_numbers_stay_hidden_until_asked():
    explorer = conflict_explorer(published(RULES[:3]), numbers=False)
    explorer.controls["manipulation angle"].value = (60, 60)
    assert "prediction" in text(explorer.verdict) and not any("all together" in words for words in bars(explorer))
    assert "all together" not in text(explorer.description)
    explorer.numbers.value = True
    assert bars(explorer)[-1].startswith("all together") and bars(explorer)[-1] in text(explorer.description)


def test_the_last_rule_stays_ticked_with_the_reason_until_the_next_move():
    explorer = conflict_explorer(published(RULES[:1]))
    before = bars(explorer)
    explorer.ticks[RULES[0]].value = False
    assert text(explorer.status) == "⚠ At least one rule must stay ticked. Tick another rule first."
    assert explorer.ticks[RULES[0]].value and bars(explorer) == before
    explorer.follows()
    explorer.ticks[RULES[1]].value = True
    explorer.ticks[RULES[0]].value = False
    assert text(explorer.status) == "" and list(explorer.state.rules) == [RULES[1]]


def test_reset_brings_back_the_rules_given_and_choosing_again_works():
    explorer = conflict_explorer({"port spacing": (3.3, 20)})
    assert explorer.state.rules == {"port spacing": (3.3, 20)} and explorer.controls["port spacing"].value == (3.5, 20)
    for _ in range(2):
        explorer.camera.index, explorer.axis.value = 2, "depth"
        explorer.controls["instrument length"].value = 30
        explorer.controls["port spacing"].value = (5, 40)
        assert explorer.state.rules == {"port spacing": (5, None)} and explorer.result.problem.shaft == 30
        explorer.reset()
        assert explorer.state.rules == {"port spacing": (3.3, 20)} and explorer.camera.index == 0
        assert explorer.axis.value == "working distance" and explorer.controls["instrument length"].value == 36
        explorer.follows()


def test_a_random_walk_raises_nothing_and_shows_what_it_is():
    explorer, rng = conflict_explorer(), np.random.default_rng(5)
    for _ in range(150):
        name = rng.choice(list(explorer.controls))
        control = explorer.controls[name]
        at = sorted(on_grid(control, place) for place in rng.uniform(control.min, control.max, 2))
        control.value = tuple(at) if name in RULES else at[0]
        explorer.ticks[rng.choice(RULES)].value ^= True
        explorer.axis.value = rng.choice(named_in("conflicts"))
        explorer.camera.index = int(rng.integers(3))
        explorer.follows()


def test_every_control_has_a_name_for_a_screen_reader():
    explorer = conflict_explorer()
    assert all(control.tooltip.startswith(f"{name}: ") for name, control in explorer.controls.items())
    assert all(box.tooltip for box in (*explorer.ticks.values(), explorer.camera, explorer.axis))


@pytest.mark.parametrize(
    ("rules", "says"),
    [
        ({"depth of field": 9}, r"'depth of field' cannot be used; give quantities out of manipulation angle, .* \(rules\)"),
        ({}, r"{} cannot be used; give at least one quantity with its low and high end \(rules\)"),
        (["port spacing"], r"give a mapping from quantity.*\(rules\)"),
        ({"port spacing": (20, 4)}, r"give one number, or a low and a high end.*\(rules\['port spacing'\]\)"),
    ],
)
def test_bad_rules_are_refused(rules, says):
    with pytest.raises(ValueError, match=says):
        conflict_explorer(rules)


def test_stripes_lie_on_a_bar_s_own_colour_and_few_bars_fill_the_picture():
    few, many = (conflict_explorer(published(names)).state.drawing() for names in (RULES[:2], RULES))
    patterns = [trace["marker"]["pattern"] for trace in few["data"] if trace["type"] == "bar"]
    assert all(pattern["fillmode"] == "overlay" for pattern in patterns), "else plotly paints white on nothing"
    assert few["layout"]["height"] == many["layout"]["height"]
    assert few["layout"]["yaxis"]["range"][0] == 3.5 and many["layout"]["yaxis"]["range"][0] > 6


def test_a_move_heard_in_another_thread_while_it_draws_is_not_lost(monkeypatch):
    explorer, threads = conflict_explorer(), []
    show = explorer.picture.show

    def slow(drawing):
        if not threads:
            threads.append(threading.Thread(target=setattr, args=(explorer.ticks["port spacing"], "value", True)))
            threads[0].start()
            threads[0].join(0.3)
        show(drawing)

    monkeypatch.setattr(explorer.picture, "show", slow)
    explorer.camera.index = 1
    threads[0].join()
    assert "port spacing" in explorer.state.rules and explorer.ticks["port spacing"].value
    explorer.follows()


# Without widgets


def test_events_make_another_state_and_leave_the_old_one_alone():
    start = conflict_explorer().start
    ticked = start.tick("port spacing", True).drag("port spacing", (2, 12.5))
    assert ticked.rules["port spacing"] == (None, 12.5) and "port spacing" not in start.rules
    assert ticked.handles("port spacing") == (2, 12.5) and ticked.in_words("port spacing") == "at most 12.5 cm"
    assert ticked.result.rules["port spacing"][1] == 12.5 and ticked.tick("port spacing", False).rules == start.rules
    with pytest.raises(ValueError, match="At least one rule"):
        _ = start.tick("manipulation angle", False).tick("working distance", False).result


def test_a_range_beyond_its_track_is_kept_and_shown_at_the_end_of_it():
    state = conflict_explorer({"port spacing": (1, 50)}).start
    assert state.rules == {"port spacing": (1, 50)} and state.handles("port spacing") == (2, 40)
    assert state.in_words("port spacing") == "1 to 50 cm"

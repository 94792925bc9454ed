"""Session, log and complaints on the screen: events on states first, then what the widgets show of them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ergokit import COMPLAINTS, Evening, PracticeLog, Run, Session, complaint, desk
from ergokit.explorers import complaint_explorer, log_explorer, session_explorer
from ergokit.explorers.session import _Results

PAIRS = ("30°", "60°", "90°")
START = _Results(Session(), ("1A", "1B", "2A", "2B"))


@given(
    st.lists(
        st.tuples(st.sampled_from(START.codes), st.sampled_from(PAIRS), st.integers(0, 40), st.integers(0, 9)), max_size=10
    )
)
def test_what_is_typed_is_what_stands_in_the_cell_and_an_empty_cell_takes_it_away(cells):
    state = START
    for person, pair, passes, drops in cells:
        before = state.session
        state = state.typed((person, pair), f"{passes}, {drops}")
        assert state.cell((person, pair)) == (f"{passes}, {drops}" if drops else f"{passes}")
        assert before is not state.session
    assert len(state.session.runs) == len({cell[:2] for cell in cells})
    for person, pair, *_ in cells:
        state = state.typed((person, pair), "  ")
    assert state.session.runs == ()


def test_every_axis_is_named_in_a_way_that_the_browser_shows():
    """plotly in Python takes a title as a plain word too, plotly in the browser does not."""
    axes = [session_explorer(people=4).picture.part("layout")[name] for name in ("yaxis", "xaxis2")]
    axes += [log_explorer().picture.part("layout")["yaxis"]]
    words = [axis["title"]["text"] for axis in axes]
    assert words == ["seconds per pass", "time with the first over the second", "minutes"]


def test_positions_come_from_the_orders():
    state = START
    for pair in PAIRS:
        state = state.typed(("1B", pair), "9")
    assert [(run.pair, run.position) for run in state.session.runs] == [("30°", 3), ("60°", 1), ("90°", 2)]


@pytest.mark.parametrize(
    "text, words",
    [("many", "a number such as"), ("1e999", "a number such as"), ("1 2 3", "passes, or passes and drops"), ("8.5", "whole")],
)
def test_nonsense_in_a_cell_is_refused_in_words(text, words):
    with pytest.raises(ValueError, match=words):
        START.typed(("1A", "30°"), text)


def test_no_run_is_lost_when_rows_go():
    state = START.typed(("2B", "30°"), "9")
    with pytest.raises(ValueError, match="2B has runs"):
        state.manned("people", 2)
    assert state.manned("people", 8).session == state.session


def test_a_session_is_kept_and_opened_again(tmp_path):
    with desk.folder_at(tmp_path):
        with pytest.raises(ValueError, match="No session with these pairs"):
            START.last()
        state = START.typed(("1A", "30°"), "9, 1").kept()
        assert state.notice == "Kept in your own folder."
        assert START.last().session == state.session


def test_the_explorer_shows_the_session_its_differences_and_what_was_read_apart():
    runs = [Run(code, pair, 0, 5 + (i + 2 * j) % 6) for i, code in enumerate("abcde") for j, pair in enumerate(PAIRS)]
    explorer = session_explorer(Session(tuple(runs)))
    explorer.follows()
    assert explorer.picture.part("person a")["y"] == [round(60 / passes, 4) for passes in (5, 7, 9)]
    ends = explorer.picture.part("ends 1")["x"]
    np.testing.assert_allclose(ends, explorer.session.differences[0][4:6], atol=1e-4)
    own, _, read = explorer.words.value.partition("Published times")
    assert "you are still learning" in own
    assert "460.45 s" in read and "460.45" not in own and "never mixed in" in read
    explorer.numbers.value = False
    assert explorer.picture.part("ends 1") is None and "times as long" not in explorer.words.value
    explorer.close()


def test_three_people_have_lines_only():
    explorer = session_explorer(people=3)
    for i, cell in enumerate(explorer.cells.values()):
        cell.value = f"{6 + i % 4}"
    assert len(explorer.session.runs) == 9
    assert explorer.picture.part("ends 1") is None and any("Intervals appear" in words for words in explorer.picture.words)
    assert explorer.words.value.count("too few people to say") == 3
    explorer.close()


def test_an_evening_is_kept_and_there_again(tmp_path):
    with desk.folder_at(tmp_path):
        explorer = log_explorer()
        explorer.day.value, explorer.minutes.value, explorer.trained.value = "2026-03-01", "22,5", "sling"
        explorer.add()
        explorer.follows()
        assert explorer.status.value.find("22.5 minutes on 2026-03-01") > 0 and explorer.minutes.value == ""
        again = log_explorer()
        assert again.log == PracticeLog((Evening("2026-03-01", 22.5, "", "sling"),))
        shown = log_explorer(PracticeLog((Evening("2026-03-02", 10),)))
        shown.minutes.value = "5"
        shown.add()
        assert len(desk.happened("evening")) == 1  # a log that is only shown is not kept
        for each in (explorer, again, shown):
            each.close()


def test_each_complaint_opens_a_box_that_shows_it_and_one_after_the_change():
    explorer = complaint_explorer()
    for name in COMPLAINTS:
        explorer.complaint.value = name
        assert explorer.placement is complaint(name).before and not explorer.changed.value
        explorer.changed.value = True
        explorer.follows()
        if complaint(name).after is None:
            assert "⚠" in explorer.status.value and not explorer.changed.value
        else:
            assert explorer.placement is complaint(name).after
        assert complaint(name).ask in explorer.words.value and complaint(name).numbers.split(";")[
            0
        ] in explorer.words.value.replace("&#x27;", "'")
    explorer.close()

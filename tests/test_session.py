"""A session for two: orders that balance, honest intervals, tables in and out."""

import csv
import io
from collections import Counter
from itertools import combinations, pairwise

import numpy as np
import pytest
from groups import joint_coverage
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from ergokit.hands_on import Run, Session, balance, orders, published_times, read_session, timetable
from ergokit.hands_on.session import FEWEST, intervals


@pytest.mark.parametrize("people", range(2, 25))
def test_orders_balance_for_any_number_of_people(people):
    found = orders(people)
    assert len(found) == people and all(sorted(row) == ["30°", "60°", "90°"] for row in found.values())
    for position in range(3):
        came = Counter(row[position] for row in found.values())
        counts = [came[pair] for pair in ("30°", "60°", "90°")]
        assert max(counts) - min(counts) <= (0 if people % 3 == 0 else 1)
    follows = Counter(step for row in found.values() for step in pairwise(row))
    carry_over = len(follows) == 6 and len(set(follows.values())) == 1
    assert carry_over == (people % 6 == 0)  # and the sheet says which holds
    says = balance(people)
    assert ("follows each other pair equally often" in says) == carry_over
    assert ("to within one" in says) == (people % 3 != 0)
    if people % 6 == 0:
        assert set(Counter(found.values()).values()) == {people // 6} and len(set(found.values())) == 6


def test_two_take_turns_and_need_fourteen_minutes():
    turns = timetable()
    assert turns[-1].at == 14 * 60
    runs = [turn for turn in turns if turn.who in ("A", "B")]
    assert [turn.who for turn in runs] == ["A", "B"] * 4
    assert [turn.what for turn in runs if turn.who == "A"] == ["practice run", "first pair", "second pair", "third pair"]
    assert all(later.at - earlier.at >= 60 + 20 for earlier, later in pairwise(runs))  # a run and time to change


times = st.lists(st.lists(st.floats(2, 60), min_size=3, max_size=3), min_size=FEWEST, max_size=24)


@given(times)
def test_intervals_are_scipys_paired_t_on_logarithms_with_a_third_of_the_doubt_each(rows):
    log_times = np.log(rows)
    people, ratio, low, high = intervals(log_times)
    assert people.tolist() == [len(rows)] * 3
    for k, (i, j) in enumerate(combinations(range(3), 2)):
        apart = log_times[:, i] - log_times[:, j]
        np.testing.assert_allclose(ratio[k], stats.gmean(np.exp(apart)), rtol=1e-9)
        if np.ptp(apart) > 1e-6:
            ends = stats.ttest_rel(log_times[:, i], log_times[:, j]).confidence_interval(1 - 0.05 / 3)
            np.testing.assert_allclose((low[k], high[k]), np.exp(ends), rtol=1e-9)


def test_a_missing_time_leaves_one_person_out_of_its_two_comparisons_only():
    log_times = np.log([[8, 6, 7], [10, 8, np.nan], [12, 8, 11], [9, 8, 8], [11, 8, 9.5]])
    people, ratio, _, _ = intervals(log_times)
    assert people.tolist() == [5, 4, 4]
    assert ratio[1] == pytest.approx(np.exp(np.mean([np.log(8 / 7), np.log(12 / 11), np.log(9 / 8), np.log(11 / 9.5)])))


@pytest.mark.parametrize("people", [4, 8, 16])
def test_the_three_intervals_hold_together_in_most_groups(people):
    """A small one; `tests/slow/test_coverage.py` has 2,000 groups of each size."""
    assert joint_coverage(people, 400, learning=False) >= 0.92


def typed(people, count=3):
    """A session of so many people, with other passes for each."""
    runs = [Run(code, pair, 1 + i, 6 + (3 * i + n) % 5 + n % 2) for n, code in enumerate(orders(24)) for i, pair in
            enumerate(("30°", "60°", "90°")[:count]) if n < people]  # fmt: skip
    return Session(tuple(runs))


def test_words_fit_few_people():
    for people in (1, 2, 3):
        for difference in typed(people).differences:
            assert "too few to say" in difference.words and np.isnan(difference.low)
    for difference in typed(8).differences:
        assert difference.low < difference.ratio < difference.high
        undecided = difference.low <= 1 <= difference.high
        assert ("too few to say" in difference.words) == undecided
        if not undecided:
            assert f"{difference.low:.2f} to {difference.high:.2f} times as long" in difference.words
    alike = Session(tuple(Run(code, pair, 1, 8) for code in "abcd" for pair in ("30°", "60°", "90°")))
    assert all("check what was typed" in difference.words for difference in alike.differences)


def test_no_pass_is_no_time():
    session = Session((Run("1A", "30°", 1, 0, 2), Run("1A", "60°", 2, 12, seconds=90)))
    assert np.isnan(session.times.loc["1A", "30°"]) and session.times.loc["1A", "60°"] == 7.5


codes = st.text("ABCxyz123", min_size=1, max_size=6)
runs = st.builds(
    Run, codes, st.sampled_from(("30°", "60°", "90°")), st.integers(0, 3), st.integers(0, 40), st.integers(0, 9),
    st.sampled_from((60.0, 45.0, 72.5)),
)  # fmt: skip


@given(st.lists(runs, max_size=12, unique_by=lambda run: (run.person, run.pair)))
def test_csv_out_and_in_again(found):
    session = Session(tuple(found))
    text = session.to_csv()
    assert Session.from_csv(text) == session
    semicolons = io.StringIO()
    csv.writer(semicolons, delimiter=";").writerows(
        [cell.replace(".", ",") for cell in row] for row in csv.reader(io.StringIO(text))
    )
    assert Session.from_csv(semicolons.getvalue()) == session  # as a spreadsheet with decimal commas saves it


@pytest.mark.parametrize(
    "line, words",
    [
        ("1A,45°,1,8,0,60", r"The pairs of this session are 30°, 60°, 90°; got '45°' \(pair\)"),
        ("1A,30°,1,8.5,0,60", "the table, line 2, column passes: a whole number is needed; got '8.5'"),
        ("1A,30°,4,8,0,60", r"0 to 3 is needed for the position; got 4 \(position\)"),
        ("1A,30°,1,8,0,0", r"A run lasts 1 to 3600 s; got 0.0 \(seconds\)"),
        ("a name that is long,30°,1,8,0,60", r"at most 12 letters is needed, and no name"),
        ("1A,30°,1,8,0,60\n1A,30°,1,8,0,60", "1A has two runs with 30°"),
    ],
)
def test_a_bad_table_is_refused_with_what_is_wrong(tmp_path, line, words):
    path = tmp_path / "session.csv"
    path.write_text(f"person,pair,position,passes,drops,seconds\n{line}\n", encoding="utf-8")
    with pytest.raises(ValueError, match=words):
        read_session(path)


def test_published_times_are_read_and_never_mixed_in():
    rows = published_times()
    assert {row["at"] for row in rows} <= {30, 60, 90} and all(row["basis"] == "published" for row in rows)
    assert (90, 460.45) in [(row["at"], row["low"]) for row in rows]
    assert not np.isin([row["low"] for row in rows], typed(8).times.to_numpy()).any()

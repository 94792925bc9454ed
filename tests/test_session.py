"""A session for two: orders that balance, honest intervals, tables in and out."""

import csv
import io
from collections import Counter
from datetime import date
from itertools import combinations, pairwise

import numpy as np
import pytest
import scipy
from groups import joint_coverage
from hypothesis import given
from hypothesis import strategies as st
from pdfs import texts

from ergokit.hands_on import (
    COMPLAINTS,
    Evening,
    PracticeLog,
    Run,
    Session,
    balance,
    complaint,
    orders,
    published_times,
    read_log,
    read_session,
    timetable,
)
from ergokit.hands_on.complaints import IN_THE_BOX, STOP, told
from ergokit.hands_on.session import FEWEST, intervals
from ergokit.template import write_complaints, write_session_sheet
from ergokit.template.session import APPRAISAL, LEARNING


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
        np.testing.assert_allclose(ratio[k], scipy.stats.gmean(np.exp(apart)), rtol=1e-9)
        if np.ptp(apart) > 1e-6:
            ends = scipy.stats.ttest_rel(log_times[:, i], log_times[:, j]).confidence_interval(1 - 0.05 / 3)
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
            assert "too few people to say" in difference.words and np.isnan(difference.low)
    for difference in typed(8).differences:
        assert difference.low < difference.ratio < difference.high
        undecided = difference.low <= 1 <= difference.high
        assert ("too few people to say" in difference.words) == undecided
        if not undecided:
            assert f"{difference.low:.2f} to {difference.high:.2f} times as long" in difference.words
    alike = Session(tuple(Run(code, pair, 1, 8) for code in "abcd" for pair in ("30°", "60°", "90°")))
    assert all("check what was typed" in difference.words for difference in alike.differences)


def test_no_pass_is_no_time():
    session = Session((Run("1A", "30°", 1, 0, 2), Run("1A", "60°", 2, 12, seconds=90)))
    assert np.isnan(session.times().loc["1A", "30°"]) and session.times().loc["1A", "60°"] == 7.5


codes = st.text("ABCxyz123", min_size=1, max_size=6)
runs = st.builds(
    Run, codes, st.sampled_from(("30°", "60°", "90°")), st.integers(0, 3), st.integers(0, 40), st.integers(0, 9),
    st.sampled_from((60.0, 45.0, 72.5)),
)  # fmt: skip


@given(st.lists(runs, max_size=12, unique_by=lambda run: (run.person, run.pair)))
def test_csv_out_and_in_again(found):
    session = Session(tuple(found))
    text = session.to_csv()
    assert Session.from_csv(text) == Session.from_csv("\ufeff" + text) == session
    semicolons = io.StringIO()
    csv.writer(semicolons, delimiter=";").writerows(
        [cell.replace(".", ",") for cell in row] for row in csv.reader(io.StringIO(text))
    )
    assert Session.from_csv(semicolons.getvalue()) == session  # as a spreadsheet with decimal commas saves it


@pytest.mark.parametrize(
    "line, words",
    [
        ("1A,45°,1,8,0,60", r"^'45°' cannot be used; give one of this session's pairs, 30°, 60°, 90° \(pair\)"),
        ("1A,30°,1,8.5,0,60", r"^'8\.5' cannot be used; give a whole number \(path session\.csv, line 2, column passes\)"),
        ("1A,30°,1,1e999,0,60", r"^'1e999' is not a number; .* \(path session\.csv, line 2, column passes\)"),
        ("1A,30°,4,8,0,60", r"^4 cannot be used; give a whole number from 0 to 3 \(position\)"),
        ("1A,30°,1,8,0,0", r"^0 cannot be used; give 1 to 3600 seconds \(seconds\)"),
        ("a name that is long,30°,1,8,0,60", r"a code of at most 12 letters, not a name"),
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
    assert not np.isin([row["low"] for row in rows], typed(8).times().to_numpy()).any()


def test_the_sheet_says_what_the_orders_balance_and_what_a_session_is(tmp_path):
    for people in (2, 5, 6, 24):
        text = " ".join("\n".join(texts(write_session_sheet(tmp_path / f"{people}.pdf", people))).split())
        for words in (LEARNING, APPRAISAL, STOP, "no blade and no needle", "only two graspers", "no names", balance(people)):
            assert words in text
        for code, row in orders(people).items():
            assert f"{code} {' '.join(row)}" in text
        assert "14:00 A and B end" in text


def test_every_complaint_is_shown_by_its_placement_and_eased_by_the_first_change():
    better = {
        "The instruments clash": 1, "I cannot reach the target": 1, "The picture is tilted or upside down": -1,
        "My hands go the wrong way": -1, "Everything is small": -1, "I fight with the camera": 1,
        "The shafts hide the target": -1, "The tip hardly moves": 1, "The tip overshoots": -1,
    }  # fmt: skip
    assert len(COMPLAINTS) == 11
    for row in map(complaint, COMPLAINTS):
        assert all(row[:7]) and row.ask.endswith("?")
        if row.name in better:
            before, after = (float(told(each, row.quantity).split()[0]) for each in (row.before, row.after))
            assert np.sign(after - before) == better[row.name]
    unequal = complaint("My hands feel unequal")
    assert " and " in told(unequal.before, unequal.quantity) and " and " not in told(unequal.after, unequal.quantity)
    assert complaint("My shoulders ache").after is None
    overshoots = complaint("The tip overshoots").after.measures().query("quantity == 'inside : outside'")
    assert (overshoots.value >= 1).all()


def test_the_page_of_complaints_holds_the_table_and_the_stop_rule(tmp_path):
    [page] = texts(write_complaints(tmp_path / "complaints.pdf"))
    text = " ".join(page.split())
    assert STOP in text and IN_THE_BOX in text
    for row in map(complaint, COMPLAINTS):
        assert all(word in text for cell in row[:6] for word in cell.split())


days = st.dates(date(2020, 1, 1), date(2030, 1, 1)).map(date.isoformat)
evenings = st.builds(
    Evening, days, st.integers(1, 1200).map(lambda half: half / 2), st.sampled_from(["", "60°"]), st.sampled_from(["", "a, b"])
)


@given(st.lists(evenings, max_size=10))
def test_a_log_comes_back_from_its_table(found):
    log = PracticeLog(tuple(found))
    assert PracticeLog.from_csv(log.to_csv()) == log
    assert sum(log.per_day().values()) == pytest.approx(log.minutes) and list(log.per_day()) == sorted({e.day for e in found})


@pytest.mark.parametrize(
    "line, words",
    [
        ("2026-02-30,20,,", "give a day such as 2026-03-01"),
        ("2026-03-01,0,,", "more than 0"),
        ("2026-03-01,x,,", "column minutes"),
    ],
)
def test_a_bad_log_is_refused(tmp_path, line, words):
    path = tmp_path / "log.csv"
    path.write_text(f"day,minutes,pair,trained\n{line}\n", encoding="utf-8")
    with pytest.raises(ValueError, match=words):
        read_log(path)

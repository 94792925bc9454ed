"""What the studies say, counted and listed; and the figure of every elevation and azimuth, in their true size."""

import numpy as np
import pytest

from ergokit import (
    Placement,
    conflicts,
    datasets,
    demo_targets,
    elevations_and_azimuths_figure,
    how_many_advised,
    largest_turn,
    manipulation_angle,
    mean_angles,
    plan_angle,
    statements,
    tightest_limit,
)
from ergokit.placement.table import MeasureTable

FIRST = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))
LEANING = Placement((-9, 0, 12), (7, 3, 15), (3, 11, 0), (-2, 4, 16), normal=(0.1, -0.2, 1), aim=(0.3, 0.5, -1))


def test_ends_of_the_advised_range_count_as_in_it():
    assert how_many_advised("manipulation angle", [44.9, 45, 75, 75.1]) == 2
    with pytest.raises(ValueError, match=r"\(quantity\)\.$"):
        how_many_advised("elevation angle", [60])  # sources differ: there is no one range


def test_statements_are_the_rows_in_their_order_with_source_and_basis():
    rows = [row for row in datasets.records("published_values") if row["quantity"] == "camera roll"]
    said = statements("camera roll", "hand-eye rotation")
    assert len(said) == len(rows) + 1 and said[-1].startswith("With the scope 90 degrees to one side")
    assert all(line.startswith(row["statement"]) for row, line in zip(rows, said, strict=False))
    [tried] = statements("camera roll", kinds=["tested"])
    assert "Gallagher" in tried and "published" in tried
    with pytest.raises(ValueError, match=r"\(quantities\)\.$"):
        statements("camera rol")


def test_mean_angles_are_counted_by_pair():
    """38, 52 | 58, 44 | 77, 41, 18 | 40, 56, 34 degrees by pair (Muhlmann et al. 2012), beside 45 to 75."""
    study = mean_angles()
    assert [row[-1] for row in study.rows] == [38, 52, 58, 44, 77, 41, 18, 40, 56, 34]
    assert study.by_pair()[["targets in range", "of"]].to_numpy().tolist() == [[1, 2], [1, 2], [0, 3], [1, 3]]
    assert (study.in_range, study.pairs_in_range) == (3, 0)


def test_sentence_says_for_whom_the_rules_hold():
    rules = {"manipulation angle": 60, "working distance": (None, 15), "inside : outside": (1, None)}
    assert conflicts(rules).sentence.startswith("These rules cannot all hold, with the lens fixed at the wall")
    assert conflicts(rules, instrument_length=33).sentence.endswith("instruments of 33 cm.")


def test_tightest_limit_is_the_last_that_the_range_allows():
    columns = ["port spacing at most (cm)", "worst deviation (deg)", "lower bound (deg)"]
    table = MeasureTable([(18, 14.9, 14.8), (17, 15.1, 15.0), (16, np.nan, np.inf)], columns=columns)
    assert tightest_limit(table) == 18
    assert np.isnan(tightest_limit(table[1:]))
    with pytest.raises(ValueError, match=r"\(front\)\.$"):
        tightest_limit(MeasureTable({"worst": [1]}))


@pytest.mark.parametrize(("length", "moved"), [(24, 1), (20, 2), (15, 14)])
def test_no_move_of_a_port_turns_its_shaft_by_more(length, moved):
    """Anywhere in the ball of places; just inside the tangent from the target it turns by that much."""
    way = np.random.default_rng(1).normal(size=(20_000, 3))
    ports = np.array([length, 0, 0]) + moved * way / np.linalg.norm(way, axis=1, keepdims=True)
    turns = manipulation_angle((length, 0, 0), ports, (0, 0, 0))
    assert largest_turn(length, moved) * 0.999 < turns.max() <= largest_turn(length, moved) + 1e-9


def test_halves_of_the_demo_targets_are_the_whole():
    names, points = demo_targets()
    (left, lefts), (right, rights) = demo_targets("left"), demo_targets("right")
    assert sorted(left + right) == sorted(names) and len(points) == 8
    assert lefts[:, 0].max() < 0 <= rights[:, 0].min()


@pytest.mark.parametrize("placement", [FIRST, LEANING])
def test_azimuths_are_drawn_in_their_true_size(placement):
    """Between the shafts as drawn lies the angle seen from above in one drawing, the manipulation angle in the other."""
    figure = elevations_and_azimuths_figure(placement)
    shafts = [np.column_stack([trace.x, trace.y]) for trace in figure.data if trace.line.width == 5]
    for left, right, found in (
        (*shafts[2:4], plan_angle(placement.left_port, placement.right_port, placement.targets[0], normal=placement.normal)),
        (*shafts[4:6], manipulation_angle(placement.left_port, placement.right_port, placement.targets[0])),
    ):
        first, second = left[1] - left[0], right[1] - right[0]
        cosine = first @ second / np.linalg.norm(first) / np.linalg.norm(second)
        assert np.degrees(np.arccos(cosine)) == pytest.approx(found)
        assert left[1, 0] < right[1, 0]  # the left hand on the left


def test_words_of_the_figure_are_the_measures():
    rows = FIRST.measures().set_index("quantity").value
    words = [note.text for note in elevations_and_azimuths_figure(FIRST).layout.annotations]
    assert f"<b>tilt {rows['instrument plane tilt']:.1f}°</b>" in words
    assert f"<b>left {rows['elevation angle'].iloc[0]:.1f}°</b>" in words
    assert f"<b>together {rows['angle seen from above']:.1f}°</b>" in words
    azimuth = rows["azimuth angle, instruments' plane"].iloc[0]
    assert words.count(f"<b>{azimuth:.1f}°</b>") == 2


def test_upright_instruments_still_have_a_figure():
    """Above the target both shadows lie in one line: no angle to draw between them."""
    words = [note.text for note in elevations_and_azimuths_figure(FIRST.replace(target=(0, 0, 0))).layout.annotations]
    assert "<b>tilt 90.0°</b>" in words and not any("together 180" in word for word in words)


def test_statement_of_a_result_begins_with_the_value_that_its_words_leave_out():
    assert statements("table height", kinds=["result"])[0].startswith("67 to 88 cm: ")
    assert statements("task score")[0].startswith("385: Mean score")

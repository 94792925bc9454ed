"""The experiments as data: what is drawn is what the rows hold, every row is drawn, and nothing is drawn between."""

import re
from itertools import pairwise

import numpy as np
import pytest

from ergokit import datasets
from ergokit.figures import EXPERIMENTS, experiments_figure, mean_angles_figure
from ergokit.guidance.verdicts import basis_of, citation_of

ROWS = datasets.records("published_values")
RESULTS = [row for row in ROWS if row["kind"] == "result" and row["against"] and row["condition"] != "stated, not measured"]
ANGLES = [row for row in ROWS if row["source"] == "muhlmann-2012"]


def points(figure, unread=False):
    return [
        (float(x), float(y), text)
        for trace in figure.data
        if (trace.name == "tried, value not read") == unread
        for x, y, text in zip(trace.x, trace.y, trace.text, strict=True)
    ]


def foot(figure):
    return re.sub(r"(<br>)?\s+", " ", figure.layout.annotations[-1].text.replace("<br>", " "))


@pytest.mark.parametrize("against", EXPERIMENTS)
def test_every_result_is_drawn_where_its_row_says_and_no_other(against):
    figure, rows = experiments_figure(against), [row for row in RESULTS if row["against"] == against]
    drawn = points(figure)
    assert sorted((x, y) for x, y, _ in drawn) == sorted((row["at"], row["low"]) for row in rows)
    for _, y, text in drawn:
        assert float(text.split()[-1]) == y
    assert not any("lines" in trace.mode for trace in figure.data), "a line between points is a claim nobody made"
    assert {trace.mode for trace in figure.data if trace.name == "tried, value not read"} <= {"text"}, "a mark at 0 is a value"


def test_no_experiment_is_left_out():
    assert {row["against"] for row in RESULTS} == set(EXPERIMENTS)


@pytest.mark.parametrize("against", EXPERIMENTS)
def test_levels_tried_and_not_read_are_gaps_with_words(against):
    figure = experiments_figure(against)
    ticks = [axis.tickvals for axis in figure.select_xaxes()]
    sources = {row["source"] for row in RESULTS if row["against"] == against}
    for row in ROWS:
        if row["quantity"] == against and row["levels"] and row["source"] in sources:
            assert row["levels"] in ticks
            read = {r["at"] for r in RESULTS if (r["against"], r["source"]) == (against, row["source"])}
            crosses = {x for x, y, text in points(figure, unread=True) if y == 0 and text == "not read"}
            assert set(row["levels"]) - read <= crosses
    assert not {x for x, *_ in points(figure, unread=True)} - {level for axis in ticks for level in axis}
    for axis in figure.select_yaxes():
        assert axis.range[0] == 0


@pytest.mark.parametrize("against", EXPERIMENTS)
def test_every_source_stands_in_the_foot_with_its_basis(against):
    words = foot(experiments_figure(against))
    for row in RESULTS:
        if row["against"] == against:
            assert f"{citation_of(row)} [{basis_of(row)}]" in words


def test_groups_of_one_experiment_differ_in_marker_and_word():
    figure = experiments_figure("camera's side")
    groups = {trace.name: trace.marker.symbol for trace in figure.data if trace.name in ("naive", "moderate", "expert")}
    assert len(groups) == len(set(groups.values())) == 3
    assert any(text == "naive 158" for *_, text in points(figure))


def test_three_of_the_ten_mean_angles_are_in_range_and_no_pair_is_for_all_its_targets():
    figure = mean_angles_figure()
    inside, outside = (next(trace for trace in figure.data if trace.name == name) for name in ("in range", "outside"))
    assert len(ANGLES) == 10 and len(inside.x) == 3
    assert sorted([*inside.x, *outside.x]) == sorted(row["low"] for row in ANGLES)
    assert set(inside.y) <= set(outside.y) and len({*inside.y, *outside.y}) == 4
    assert inside.marker.symbol != outside.marker.symbol
    [band] = figure.layout.shapes
    [advice] = [row for row in ROWS if row["source"] == "hanna-1997-ports" and row["kind"] == "advice"]
    assert (band.x0, band.x1) == (advice["low"], advice["high"]) == (45, 75)
    for trace in (inside, outside):
        for angle, lane, text in zip(trace.x, trace.y, trace.text, strict=True):
            *target, shown = text.replace("<br>", " ").split()
            assert shown == f"{angle:g}°" and (45 <= angle <= 75) == (trace is inside)
            pair = re.sub(r"<[^>]*>", " ", figure.layout.yaxis.ticktext[list(figure.layout.yaxis.tickvals).index(lane)]).split()
            [row] = [row for row in ANGLES if row["low"] == angle]
            assert row["condition"].replace(";", "").split() == [*pair, *target]
    for row in (ANGLES[0], advice):
        assert f"{citation_of(row)} [{basis_of(row)}]" in foot(figure)


def test_labels_in_a_lane_keep_apart():
    for lane in range(4):
        spots = sorted(
            (angle, place)
            for trace in mean_angles_figure().data
            for angle, row, place in zip(trace.x, trace.y, trace.textposition, strict=True)
            if row == lane
        )
        assert all(first[1] != second[1] for first, second in pairwise(spots))
        assert np.all(np.diff([angle for angle, _ in spots]) > 0)


def test_an_unknown_experiment_is_refused():
    with pytest.raises(ValueError, match=r"'depth' cannot be used; give one of manipulation angle, .* \(against\)"):
        experiments_figure("depth")

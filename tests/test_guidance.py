"""Verdicts: the right word, the rows behind it, and nothing averaged."""

import subprocess
import sys

import numpy as np
import pytest

from ergokit import Placement, datasets
from ergokit.guidance import CAUTION, judge, verdict

FIRST = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 0, 12))


@pytest.mark.parametrize(
    ("quantity", "value", "status", "why"),
    [
        ("manipulation angle", 60, "in range", "45 to 75 degrees advised (Hanna et al. 1997, published)"),
        ("manipulation angle", 45, "in range", "45 to 75"),
        ("manipulation angle", 43.5, "near", "nothing was tried between 30 and 45"),
        ("manipulation angle", 38, "untested", "nothing was tried between 30 and 45"),
        ("manipulation angle", 30, "outside", "45 to 75"),
        ("manipulation angle", 18, "outside", "nothing was tried below 30"),
        (
            "length ratio",
            0.9,
            "untested",
            "At least 1 advised (Emam et al. 2000, published); nothing was tried between 0.5 and 1",
        ),
        ("length ratio", 0.96, "near", "At least 1"),
        ("length ratio", 0.5, "outside", "At least 1"),
        ("length ratio", 1.5, "in range", "At least 1"),
        ("length ratio", 3, "in range", "nothing was tried above 2"),
        ("working distance", 15.4, "near", "nothing was tried above 15"),
        ("working distance", 6, "untested", "nothing was tried between 5 and 7.5"),
        ("working distance", 20, "outside", "7.5 to 15 cm advised"),
        ("port spacing", 18, "outside", "At most 15 cm advised (Mishra, secondary page)"),
        ("view angle", 90, "in range", "90 degrees best of those tried (Hanna and Cuschieri 1999, published)"),
        ("view angle", 50.2, "outside", "90 degrees best"),
        ("hand-eye rotation", -20, "untested", "nothing was tried between 0 and 45"),
        ("hand-eye rotation", 180, "outside", "0 degrees best"),
        ("hand-eye rotation", -180, "outside", "0 degrees best"),
        ("azimuth angle", 30, "in range", "15 to 45 degrees advised (Mishra, secondary page)"),
        ("azimuth angle, instruments' plane", 50, "outside", "15 to 45"),
        ("azimuth angle, working plane", 30, "no guidance", "No range is advised."),
        ("inserted length", 18, "no guidance", "10 to 25 cm tried, for suturing (Frede et al. 1999)"),
        ("display angle", 60, "no guidance", "No range is advised."),
    ],
)
def test_status_and_reason(quantity, value, status, why):
    found = verdict(quantity, value)
    assert found.status == status and why in found.because
    assert found.words.startswith(quantity) and status in found.words


def test_conflicting_rows_are_all_shown_and_never_averaged():
    found = verdict("elevation angle", 30)
    assert found.status == "outside"  # 60 was best of 0, 30, 60
    assert "30 degrees advised (Mishra, secondary page)" in found.because
    assert "at most 55 degrees advised, for suturing (Frede et al. 1999, from memory)" in found.because
    assert set(found.rows["of this value"]) == {"outside", "in range", ""}
    assert verdict("elevation angle", 45).status == "untested"  # the mean of 30 and 60 is no advice
    wide = verdict("manipulation angle", 80)
    assert wide.status == "untested" and "60 to 90 degrees advised, with ports 5 to 7 cm each side (Supe" in wide.because


@pytest.mark.parametrize("quantity", ["elevation angle", "instrument plane tilt"])
def test_published_elevation_may_mean_either(quantity):
    found = verdict(quantity, 60)
    assert found.status == "in range" and "is not said" in found.because
    assert "Optimal port locations" in found.rows["source"][0]
    shaft_alone = found.rows["statement"].str.contains("shaft itself").any()
    assert shaft_alone == (quantity == "elevation angle")  # what names the shaft does not speak of the tilt


@pytest.mark.parametrize("row", [row for row in datasets.records("published_values") if row["kind"] in ("advice", "best")])
def test_every_row_that_advises_is_shown_with_its_source_and_basis(row):
    value = row["high"] if np.isnan(row["low"]) else row["low"]
    found = verdict(row["quantity"], value)
    shown = found.rows[found.rows["statement"] == row["statement"]]
    assert list(shown["of this value"]) == ["in range"]
    (source,), (basis,) = shown["source"], shown["basis"]
    assert basis == ("secondary page" if row["secondary"] else row["basis"])
    assert source == "No source." if row["source"] == "none" else len(source) > 30
    assert row["statement"] in repr(found) and row["statement"] in found._repr_markdown_()
    assert CAUTION in repr(found) and CAUTION in found._repr_markdown_()


def test_parts_of_a_citation_from_memory_are_marked():
    row = verdict("working distance", 10).rows.iloc[0]
    assert row["source"].endswith("doi:10.1111/j.1365-2168.1997.02835.x (volume, DOI from memory)")


def test_judge_adds_a_verdict_to_every_measure():
    measures, judged = FIRST.measures(), judge(FIRST)
    assert list(judged.columns) == [*measures.columns, "verdict", "because"]
    np.testing.assert_array_equal(judged[list(measures.columns)].to_numpy(str), measures.to_numpy(str))
    for quantity, value, word, because in judged[["quantity", "value", "verdict", "because"]].itertuples(index=False):
        assert (word, because) == (verdict(quantity, value).status, verdict(quantity, value).because)
    words = dict(zip(judged["quantity"], judged["verdict"], strict=True))
    assert words["working distance"] == "outside"  # 15.6 against at most 15
    assert words["azimuth angle, instruments' plane"] == "in range" and words["azimuth angle, working plane"] == "no guidance"
    assert repr(judged).endswith(CAUTION) and CAUTION in judged._repr_html_()


def test_a_measure_without_a_value_gets_no_verdict():
    level = judge(FIRST.replace(camera=(0, 0, 0)))  # a level view has no hand-eye rotation
    row = level[level["quantity"] == "hand-eye rotation"].iloc[0]
    assert row["verdict"] == "no value" and row["because"] == "" and row["note"]


def test_several_targets_are_judged_one_by_one():
    judged = judge(FIRST.replace(target=[(0, 10, 0), (0, 30, 0)]))
    angles = judged[judged["quantity"] == "manipulation angle"]
    assert list(angles["target"]) == [1, 2] and list(angles["verdict"]) == ["in range", "untested"]  # 59.9 and 31.1


@pytest.mark.parametrize(
    ("quantity", "value", "message"),
    [
        ("manipulaton angle", 60, "quantity takes a name like manipulation angle.*; got 'manipulaton angle'"),
        ("xyz", 60, "quantity takes a name like manipulation angle, working distance, .*; got 'xyz'"),
        ("depth", "deep", "value takes a number; got 'deep'"),
        ("depth", float("nan"), "value takes a number; got nan"),
        ("depth", [1, 2], "value takes one number; got an array"),
    ],
)
def test_bad_arguments_are_refused_in_one_sentence(quantity, value, message):
    with pytest.raises(ValueError, match=message):
        verdict(quantity, value)


def test_guidance_loads_pandas_only_for_a_table():
    code = (
        "import sys; from ergokit.guidance import conflicts, verdict; conflicts({'depth': 9}); verdict('depth', 9); "
        "print('pandas' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"

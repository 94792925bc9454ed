"""Verdicts: the right word, the rows behind it, and nothing averaged."""

import re
import subprocess
import sys
from contextlib import nullcontext
from functools import partial
from itertools import pairwise

import numpy as np
import pandas as pd
import pytest

from ergokit import Placement, datasets
from ergokit.design import design_box, layouts
from ergokit.explorers.measures import table as measures_table
from ergokit.guidance import CAUTION, conflicts, judge, verdict
from ergokit.guidance.quantities import named_in
from ergokit.guidance.verdicts import turning_points
from ergokit.placement.measures import rows_of
from ergokit.search import best_ports
from ergokit.search import rules as search_rules
from ergokit.surfaces import WedgeBox
from ergokit.terms import QUANTITIES

FIRST = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 0, 12))


ADVISED = "in the advised range"
OUT = "outside the advised range"
KNOTS = "45 to 75 degrees advised, from knot tying on the bench (Hanna et al. 1997, published)"


def rows_behind(found):
    """The table that a lesson shows below a verdict."""
    head, _, *rows = (line.strip("| ").split(" | ") for line in found._repr_markdown_().splitlines() if line.startswith("|"))
    return pd.DataFrame(rows, columns=head)


@pytest.mark.parametrize(
    ("quantity", "value", "status", "why"),
    [
        ("manipulation angle", 60, ADVISED, KNOTS),
        ("manipulation angle", 45, ADVISED, KNOTS),
        ("manipulation angle", 43.5, "near the advised range; nothing was tried between 30 and 45 degrees", KNOTS),
        ("manipulation angle", 38, f"{OUT}; nothing was tried between 30 and 45 degrees", KNOTS),
        ("manipulation angle", 30, OUT, KNOTS),
        ("manipulation angle", 18, f"{OUT}; nothing was tried below 30 degrees", KNOTS),
        ("inside : outside", 0.9, f"{OUT}; nothing was tried between 0.50 and 1.00", "At least 1.00 advised, from knot tying"),
        ("inside : outside", 0.96, "near the advised range; nothing was tried between 0.50 and 1.00", "At least 1.00"),
        ("inside : outside", 0.5, OUT, "At least 1.00"),
        ("inside : outside", 1.5, ADVISED, "At least 1.00"),
        ("inside : outside", 3, f"{ADVISED}; nothing was tried above 2.00", "At least 1.00"),
        ("working distance", 15.4, "near the advised range; nothing was tried above 15 cm", "7.5 to 15 cm advised"),
        ("working distance", 6, f"{OUT}; nothing was tried between 5 and 7.5 cm", "7.5 to 15 cm advised"),
        ("port spacing", 18, "outside a secondary page's range", "At most 15 cm advised (Mishra, secondary page)"),
        ("view angle", 90, "at 90 degrees, the best tried", "90 degrees best of those tried (Hanna and Cuschieri 1999"),
        ("view angle", 87, "close to 90 degrees, the best tried; nothing was tried between 75 and 90 degrees", "90 degrees"),
        ("view angle", 50.2, "away from 90 degrees, the best tried; nothing was tried between 45 and 60 degrees", "90"),
        ("hand-eye rotation", 6, "close to 0 degrees, the best tried; nothing was tried between 0 and 90 degrees", "0 degrees"),
        ("hand-eye rotation", -40, "away from 0 degrees, the best tried; nothing was tried between 0 and 90 degrees", "0"),
        ("camera's side", -20, "no guidance", "0 degrees best of those tried, with a level horizon (from memory)"),
        ("camera roll", 90, "no guidance", "0 degrees best of those tried, with a camera that looks away from the operator"),
        ("azimuth angle", 30, "in a secondary page's range", "15 to 45 degrees advised (Mishra, secondary page)"),
        ("azimuth angle, instruments' plane", 50, "outside a secondary page's range", "15 to 45"),
        ("azimuth difference", 1, "close to 0 degrees, the best tried", "0 degrees best of those tried, from knot tying"),
        ("camera port to target", 18, "in a range from memory", "15 to 20 cm advised (Supe et al. 2010, from memory)"),
        ("screen height", 158, "away from the advised value, 160 cm", "160 cm advised"),
        ("azimuth angle, working plane", 30, "no guidance", "No range is advised."),
        ("length inside", 18, "no guidance", "10 to 25 cm tried, for suturing (Frede et al. 1999)"),
        ("angle on the screen", 60, "no guidance", "No range is advised."),
        ("monitor distance", 100, "no guidance", "without a condition; 76.2 to 121.92 cm advised, 19-inch screen (Ronstrom"),
    ],
)
def test_status_and_reason(quantity, value, status, why):
    found = verdict(quantity, value)
    assert found.status == status and why in found.because
    assert f": {status}. " in found.words


@pytest.mark.parametrize(
    ("quantity", "value", "wrong"),
    [
        ("camera's side", 180, "above 60"),  # one study went to 60, others to 180
        ("camera's side", 45, "between"),
        ("elevation angle", 50, "between 30 and 60"),  # 55 was tried for suturing
        ("elevation angle", 62, "above 60"),
        ("camera roll", 7, "nothing was tried"),  # eight rotations were tried that were not read
    ],
)
def test_what_was_tried_is_what_any_row_of_the_quantity_tried(quantity, value, wrong):
    for given in (None, {"manipulation angle": 60}, {"camera roll": 0, "camera's side": 0}):
        found = verdict(quantity, value, given)
        assert wrong not in found.words
        levels = {level for row in found.records for level in row["levels"]}
        for low, high in re.findall(r"between ([\d.]+) and ([\d.]+)", found.status):
            assert not any(float(low) < level < float(high) for level in levels)


def test_best_is_said_only_where_levels_were_tried():
    best = [row for row in datasets.records("published_values") if row["kind"] == "best"]
    assert all(not row["secondary"] and row["basis"] == "published" for row in best)
    unread = {row["source"] for row in best if not row["levels"]}
    assert unread == {"hanna-1997-ports", "zhang-2010"}, "levels were tried there, and are not in the abstract"


def test_a_row_with_a_condition_judges_only_where_it_is_met():
    alone = verdict("elevation angle", 60)
    assert alone.status == "away from a secondary page's value, 30 degrees"
    assert "Others: " in alone.because and "60 degrees best of those tried, with a manipulation angle of 60" in alone.because
    for angle, met in ((60, True), (58, True), (62, True), (57.9, False), (63, False), (30, False)):
        found = verdict("elevation angle", 60, {"manipulation angle": angle})
        assert (found.status == "at 60 degrees, the best tried") == met, angle
    narrow = verdict("elevation angle", 30, {"manipulation angle": 31})
    assert narrow.place == "in range" and narrow.whence == "page"
    assert verdict("camera port to working port", 6).place == "in range"  # 8 to 10 cm is for two operations
    assert "8 to 10 cm advised, radical prostatectomy" in verdict("camera port to working port", 6).because


def test_side_and_roll_are_judged_where_the_other_is_none():
    """A scope that leans back over its target, upright to the hands: side 180 and roll 180, and nobody works against it."""
    over = {"hand-eye rotation": 0, "camera's side": 180, "camera roll": 180}
    assert [verdict(name, value, over).place for name, value in over.items()] == ["in range", "", ""]
    opposite = {"hand-eye rotation": 180, "camera's side": 180, "camera roll": 0}
    assert [verdict(name, value, opposite).place for name, value in opposite.items()] == ["outside", "outside", ""]
    rolled = {"hand-eye rotation": -90, "camera's side": 0, "camera roll": 90}
    assert [verdict(name, value, rolled).place for name, value in rolled.items()] == ["outside", "", "outside"]


def test_a_placement_meets_the_condition_or_does_not():
    steep = Placement((-8, 0, 13), (8, 0, 13), (0, 5, 0), (0, 0, 13))
    rows = judge(FIRST.replace(target=[(0, 10, 0), (0, 20, 0)]))
    tilt = rows[rows["quantity"] == "instrument plane tilt"]
    assert "the best tried" in tilt["against published advice"].iloc[0], "59.9 degrees between the instruments"
    assert "secondary page" in tilt["against published advice"].iloc[1], "42.2 degrees between them"
    own = judge(steep).drop_duplicates("quantity").set_index("quantity")
    beside = {"manipulation angle": own.value["manipulation angle"]}
    expected = verdict("instrument plane tilt", own.value["instrument plane tilt"], beside)
    assert own["against published advice"]["instrument plane tilt"] == expected.status


def test_each_basis_has_a_word_of_its_own():
    found = [
        verdict("manipulation angle", 60),
        verdict("azimuth angle", 30),
        verdict("camera port to target", 17),
        verdict("view angle", 90),
    ]
    assert [(one.sign, one.whence) for one in found] == [("✓", "advised"), ("✓", "page"), ("✓", "memory"), ("✓", "tried")]
    assert len({one.status for one in found}) == 4
    places = [verdict("manipulation angle", value) for value in (60, 44, 38)]
    assert [one.sign for one in places] == ["✓", "≈", "✗"] and verdict("angle on the screen", 60).sign == ""


def test_close_ends_a_quarter_of_the_way_to_the_next_level_tried():
    assert verdict("hand-eye rotation", 22.4).place == "near" and verdict("hand-eye rotation", -22.6).place == "outside"
    level = {"camera roll": 0}
    assert [verdict("camera's side", side, level).place for side in (11.2, -11.3)] == ["near", "outside"]
    assert verdict("view angle", 86.3).place == "near" and verdict("view angle", 86.2).place == "outside"


def test_azimuth_names_its_plane():
    assert verdict("azimuth angle", 30).words.startswith("azimuth angle, instruments' plane 30 degrees: ")


@pytest.mark.parametrize("quantity", ["inside : outside", "operating surface height over elbow height", "movement scaling"])
def test_ratios_have_two_decimals(quantity):
    assert verdict(quantity, 0.96).words.startswith(f"{quantity} 0.96: ")
    found = verdict(quantity, 1)
    said = f"{found.words} {' '.join(rows_behind(found)['says']) if found.records else ''}"
    assert f"{quantity} 1.00: " in said and not re.search(r"\b\d(\.\d)?(?![\d.])", re.sub(r"\(.*?\)", "", said)), said


@pytest.mark.parametrize("quantity", sorted({row["quantity"] for row in datasets.records("published_values")}))
def test_words_change_only_at_the_turning_points(quantity):
    places = turning_points(quantity)
    assert places == sorted(places)
    for low, high in pairwise(places):
        words = {
            (found.status, found.because)
            for found in (verdict(quantity, low + share * (high - low)) for share in (0.001, 0.3, 0.77, 0.999))
        }
        assert len(words) == 1 or high - low < 1e-6, (low, high)


def test_conflicting_rows_are_all_shown_and_never_averaged():
    met = {"manipulation angle": 60}
    found = verdict("elevation angle", 30, met)
    assert found.place == "outside"  # 60 was best of 0, 30, 60
    assert "30 degrees advised (Mishra, secondary page)" in found.because
    assert "at most 55 degrees advised, for suturing (Frede et al. 1999, from memory)" in found.because
    assert set(rows_behind(found)["of this value"]) == {"outside", "in range", ""}
    assert verdict("elevation angle", 45, met).place == "outside"  # the mean of 30 and 60 is no advice
    wide = verdict("manipulation angle", 80)
    assert wide.place == "outside" and "60 to 90 degrees advised, with ports 5 to 7 cm each side (Supe" in wide.because
    # a page's one value within the advised range does not contradict it
    assert "Mishra" not in verdict("manipulation angle", 70).because and verdict("azimuth angle", 40).place == "in range"


@pytest.mark.parametrize("quantity", ["elevation angle", "instrument plane tilt"])
def test_published_elevation_may_mean_either(quantity):
    found = verdict(quantity, 60, {"manipulation angle": 60})
    assert found.place == "in range" and "The source does not say" in found.because
    assert "Optimal port locations" in rows_behind(found)["source"][0]
    shaft_alone = rows_behind(found)["in the kit's words"].str.contains("shaft itself").any()
    assert shaft_alone == (quantity == "elevation angle")  # what names the shaft does not speak of the tilt


@pytest.mark.parametrize("row", [row for row in datasets.records("published_values") if row["kind"] in ("advice", "best")])
def test_every_row_that_advises_is_shown_with_its_source_and_basis(row):
    value = row["high"] if np.isnan(row["low"]) else row["low"]
    found = verdict(row["quantity"], value)
    shown = rows_behind(found)[rows_behind(found)["in the kit's words"] == row["statement"]]
    assert list(shown["of this value"]) == ["in range"]
    (source,), (basis,) = shown["source"], shown["basis"]
    assert basis == ("secondary page" if row["secondary"] else row["basis"])
    assert source == "No source." if row["source"] == "none" else len(source) > 30
    assert row["statement"] in repr(found) and row["statement"] in found._repr_markdown_()
    assert CAUTION in repr(found) and CAUTION in found._repr_markdown_()


def test_parts_of_a_citation_from_memory_are_marked():
    row = rows_behind(verdict("working distance", 10)).iloc[0]
    assert row["source"].endswith("doi:10.1111/j.1365-2168.1997.02835.x (volume, DOI from memory)")


def test_judge_adds_a_verdict_to_every_measure():
    measures, judged = FIRST.measures(), judge(FIRST)
    assert list(judged.columns) == [*measures.columns, "against published advice", "because"]
    np.testing.assert_array_equal(judged[list(measures.columns)].to_numpy(str), measures.to_numpy(str))
    met = {"manipulation angle": measures["value"][1], "camera's side": 0, "camera roll": 0}
    for quantity, value, word, because in judged[["quantity", "value", "against published advice", "because"]].itertuples(
        index=False
    ):
        assert (word, because) == (verdict(quantity, value, met).status, verdict(quantity, value, met).because)
    words = dict(zip(judged["quantity"], judged["against published advice"], strict=True))
    assert words["working distance"] == f"{OUT}; nothing was tried above 15 cm"  # 15.6 against at most 15
    assert words["azimuth angle, instruments' plane"] == "in a secondary page's range"
    assert words["azimuth angle, working plane"] == "no guidance"
    assert repr(judged).endswith(CAUTION) and CAUTION in judged._repr_html_()


def test_a_measure_without_a_value_gets_no_verdict():
    level = judge(FIRST.replace(camera=(0, 0, 0)))  # a level view has no hand-eye rotation
    row = level[level["quantity"] == "hand-eye rotation"].iloc[0]
    assert row["against published advice"] == "no value" and row["because"] == "" and row["note"]


def test_several_targets_are_judged_one_by_one():
    judged = judge(FIRST.replace(target=[(0, 10, 0), (0, 30, 0)]))
    angles = judged[judged["quantity"] == "manipulation angle"]
    assert list(angles["target"]) == [1, 2] and list(angles["against published advice"]) == [  # 59.9 and 31.1
        ADVISED,
        f"{OUT}; nothing was tried between 30 and 45 degrees",
    ]


@pytest.mark.parametrize(
    ("quantity", "value", "message"),
    [
        ("manipulaton angle", 60, r"'manipulaton angle' cannot be used; give a name like manipulation angle.* \(quantity\)"),
        ("xyz", 60, r"'xyz' cannot be used; give a name like manipulation angle, working distance, .* \(quantity\)"),
        ("depth", "deep", r"'deep' cannot be used; give a number \(value\)"),
        ("depth", float("nan"), r"nan cannot be used; give a number \(value\)"),
        ("depth", [1, 2], r"An array.* cannot be used; give one number \(value\)"),
        (["depth"], 1, r"give a name like.*\(quantity\)"),
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


def test_no_uncertainty_is_shown_as_nothing_and_a_ratio_has_two_decimals():
    table = Placement.from_tape(18, 18, 18, camera_to_target=14, camera_above_ports=7, reading_error=0.01).measures()
    assert (table["uncertainty"] < 0.05).any()
    assert "under 0.1" in repr(table) and "under 0.1" in table._repr_html_()
    assert not any(re.fullmatch(r"0\.0+", said) for said in table._shown()["uncertainty"])
    [ratio] = {line.split()[4] for line in repr(table).splitlines() if "inside : outside" in line}
    assert ratio == "1.00"
    row = rows_of(FIRST)[1]
    for uncertainty, unit, said in (
        (0.04, "deg", "± under 0.1"),
        (0.06, "deg", "± 0.1"),
        (0.004, "", "± under 0.01"),
        (1, "", "± 1.00"),
    ):
        assert said in measures_table([row._replace(uncertainty=uncertainty, unit=unit)]), (uncertainty, unit)


def test_each_side_has_its_own_verdict_beside_the_explorers():
    left = next(row for row in rows_of(FIRST) if row.quantity == "azimuth angle, instruments' plane")
    rows = [left._replace(value=float("nan"), note="unstable"), left._replace(side="right", value=30.0)]
    assert "<td>not defined</td><td>30.0 ✓</td>" in measures_table(rows)
    assert "<td>30.0 ✓</td><td>not defined</td>" in measures_table([rows[1], rows[0]])
    assert '<td>50.0 ✗</td><td>30.0 ✓</td><td>°</td><td class="ergokit-whence">page</td>' in measures_table(
        [left._replace(value=50.0), rows[1]]
    )


def test_the_table_of_quantities_names_what_each_function_can_find():
    assert set(named_in("best_ports")) == set(search_rules._BOUNDS) - {
        search_rules.REACH,
        search_rules.APART,
        search_rules.ORDER,
    }
    assert set(named_in("design_box")) == set(layouts.MEASURES)
    assert {row.quantity for row in rows_of(FIRST.replace(panel_normal=(0, -1, 0)))} <= set(QUANTITIES)


@pytest.mark.parametrize(
    ("rules", "sentence"),
    [
        ([60], "[60] cannot be used; give a mapping from quantity to low and high end (rules)."),
        (
            {"port spacing": (2, 1)},
            "(2, 1) cannot be used; give one number, or a low and a high end that is no lower",
        ),
        (
            {"port spacing": "wide"},
            "'wide' cannot be used; give one number, or a low and a high end that is no lower",
        ),
        (
            {"port spacing": (float("nan"), 1)},
            "(nan, 1) cannot be used; give one number, or a low and a high end that is no lower",
        ),
        ({"distance": 15}, "'distance' cannot be used; give quantities out of port spacing, "),
        ({"port spacing": 20, "inside : outside": None}, ""),
        ({"port spacing": (None, 20)}, ""),
    ],
)
def test_a_rule_is_written_and_refused_alike_everywhere(rules, sentence):
    box, targets = WedgeBox(50, 40, 30), (0, 0, 2)
    calls = conflicts, partial(best_ports, box, targets), partial(design_box, box, targets)
    for call in calls:
        with pytest.raises(ValueError, match=f"^{re.escape(sentence)}") if sentence else nullcontext():
            call(rules=rules)

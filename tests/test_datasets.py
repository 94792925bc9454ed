"""The tables of published values and sources: complete, honest about their basis, and refused where a row is bad."""

import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from ergokit import datasets

VALUES, SOURCES = datasets.load("published_values"), datasets.load("sources")


def test_every_row_has_a_source_or_says_it_has_none_and_every_source_is_used():
    assert SOURCES["id"].is_unique
    lessons = " ".join(path.read_text() for path in (Path(__file__).parent.parent / "notebooks").glob("*.ipynb"))
    cited = {source for source in SOURCES["id"] if source in lessons}  # a study of which no number was read has no row
    assert set(VALUES["source"]) - {"none"} <= set(SOURCES["id"]) <= set(VALUES["source"]) | cited
    assert (VALUES["basis"] != "published")[VALUES["source"] == "none"].all()


def test_only_what_was_read_is_published():
    read_in = VALUES["source"].map(SOURCES.set_index("id")["read_in"])
    published = VALUES["basis"] == "published"
    assert (read_in[published] != "not read").all()
    assert VALUES["secondary"][published & (read_in == "secondary page")].all()
    assert not VALUES["secondary"][~published].any()


def test_every_table_in_the_folder_has_a_schema():
    assert {path.stem for path in datasets.folder().glob("*.csv")} == set(datasets.TABLES)


def test_no_row_repeats_another():
    assert not VALUES.astype(str).duplicated().any()


@pytest.mark.parametrize("name", datasets.TABLES)
def test_no_web_address_and_no_trade_mark(name):
    text = datasets.load(name).astype(str).to_csv().lower()
    for word in ("http", "www.", ".com", ".org", ".net", "®", "™"):
        assert word not in text


def test_lengths_are_in_cm_and_angles_in_degrees():
    assert set(VALUES["unit"]) <= set(datasets.UNITS)
    lengths = VALUES[VALUES["quantity"].isin(["working distance", "port spacing", "length inside", "instrument length"])]
    assert (lengths["unit"] == "cm").all() and lengths["high"].max() <= 45
    angles = VALUES[VALUES["quantity"].str.contains("angle|rotation|tilt|side|roll") & (VALUES["unit"] == "deg")]
    assert angles["high"].max() == 180


# What the kit leans on most, again by hand: quantity, kind, source, low, high, levels.
@pytest.mark.parametrize(
    ("quantity", "kind", "source", "low", "high", "levels"),
    [
        ("working distance", "advice", "hanna-1997-view", 7.5, 15, (5, 7.5, 10, 12.5, 15)),
        ("manipulation angle", "advice", "hanna-1997-ports", 45, 75, (30, 45, 60, 75, 90)),
        ("manipulation angle", "best", "hanna-1997-view", 60, 60, (30, 60, 90)),
        ("elevation angle", "best", "hanna-1997-ports", 60, 60, (0, 30, 60)),
        ("inside : outside", "advice", "emam-2000", 1, np.nan, (0.5, 1, 2)),
        ("view angle", "best", "hanna-1999", 90, 90, (45, 60, 75, 90)),
        ("azimuth difference", "best", "hanna-1997-ports", 0, 0, ()),
        ("chord to camera port", "advice", "supe-2010", 5, 7, ()),
    ],
)
def test_rows_the_verdicts_lean_on(quantity, kind, source, low, high, levels):
    rows = VALUES[(VALUES["quantity"] == quantity) & (VALUES["kind"] == kind) & (VALUES["source"] == source)]
    (row,) = rows.to_dict("records")
    np.testing.assert_array_equal([row["low"], row["high"]], [low, high])
    assert row["levels"] == levels


def test_ten_mean_angles_of_the_colorectal_study_three_within_45_to_75():
    rows = VALUES[VALUES["source"] == "muhlmann-2012"]
    assert list(rows["low"]) == [38, 52, 58, 44, 77, 41, 18, 40, 56, 34] == list(rows["high"])
    inside = rows["low"].between(45, 75)
    assert inside.sum() == 3
    pair = rows["condition"].str.split("; ").str[:2].map(tuple)
    assert not inside.groupby(pair).all().any()  # no pair of ports is inside for all its targets


GOOD = {
    "quantity": "depth",
    "kind": "advice",
    "low": "1",
    "high": "2",
    "unit": "cm",
    "levels": "1; 2",
    "against": "",
    "at": "",
    "condition": "",
    "may_mean": "",
    "statement": "words",
    "source": "emam-2000",
    "basis": "published",
    "secondary": "no",
}


@pytest.mark.parametrize(
    ("change", "column", "message"),
    [
        ({"low": "wide"}, "low", "'wide' cannot be used; give a number or nothing"),
        ({"low": "nan"}, "low", "'nan' cannot be used; give a number or nothing"),
        ({"low": "3"}, "high", "'2' cannot be used; give a number of at least the low end, 3"),
        ({"low": "", "high": ""}, "high", "This row has no low end and no high end; give a number"),
        ({"unit": "mm"}, "unit", "'mm' cannot be used; give one of cm, deg, .*"),
        ({"kind": "rule"}, "kind", ".* cannot be used; give one of advice, "),
        ({"levels": "2; 1"}, "levels", ".* cannot be used; give rising numbers"),
        ({"levels": "1; 1"}, "levels", ".* cannot be used; give rising numbers"),
        ({"levels": "1;;2"}, "levels", ".* cannot be used; give a number or nothing"),
        ({"at": "3"}, "at", "'3' cannot be used; give a number where the column against names a quantity"),
        ({"statement": " "}, "statement", "This cell is empty; give some words"),
        ({"source": "nobody"}, "source", "'nobody' cannot be used; give the id of a row in sources.csv, or none"),
        ({"source": "none"}, "basis", "The basis 'published' does not go with the source 'none'"),
        ({"basis": "common practice"}, "basis", "The basis 'common practice' does not go with the source 'emam-2000'"),
        ({"basis": "seen"}, "basis", ".* cannot be used; give one of published, "),
        ({"secondary": "maybe"}, "secondary", ".* cannot be used; give one of yes, no"),
        ({"quantity": ""}, "quantity", "This cell is empty; give some words"),
    ],
)
def test_a_bad_row_names_file_line_and_column(tmp_path, change, column, message):
    path = written(tmp_path, [GOOD, GOOD | change])
    with pytest.raises(ValueError, match=rf"^{message}.* \(values\.csv, line 3, column {column}\)\.$"):
        datasets.read(path, datasets.TABLES["published_values"])


def test_a_good_row_is_read_and_a_wrong_shape_is_named(tmp_path):
    (row,) = datasets.read(written(tmp_path, [GOOD]), datasets.TABLES["published_values"])
    assert (row["low"], row["levels"], row["secondary"]) == (1.0, (1.0, 2.0), False)
    path = written(tmp_path, [GOOD])
    path.write_text(path.read_text() + "one,two\n")
    with pytest.raises(ValueError, match=r"^2 columns were found; give 14 columns \(values\.csv, line 3\)\.$"):
        datasets.read(path, datasets.TABLES["published_values"])
    path.write_text("quantity,low\n")
    with pytest.raises(
        ValueError,
        match=r"^The header 'quantity, low' lacks .*; give the columns quantity, kind, .* \(values\.csv, line 1\)\.$",
    ):
        datasets.read(path, datasets.TABLES["published_values"])


@pytest.mark.parametrize("path", sorted(datasets.folder().glob("demo_*.csv")), ids=lambda path: path.stem)
def test_demo_data_say_in_the_file_that_they_are_invented(path):
    first, header, *_ = path.read_text(encoding="utf-8").split("\n")
    assert first.startswith("# Invented data") and header == ",".join(datasets.TABLES[path.stem])
    assert len(datasets.records(path.stem)) >= 6


def test_a_remark_counts_as_a_line_but_is_no_row(tmp_path):
    path = written(tmp_path, [GOOD, GOOD | {"low": "wide"}])
    path.write_text("# Not a row, and no header\n" + path.read_text())
    with pytest.raises(ValueError, match=r"\(values\.csv, line 4, column low\)\.$"):
        datasets.read(path, datasets.TABLES["published_values"])


def test_no_course_s_task_sheet_and_no_nickname_of_a_layout():
    """What together is somebody's task sheet is not ours to hand on; nor are its tasks those of the demo set of targets."""
    text = (datasets.folder() / "published_values.csv").read_text() + (datasets.folder() / "sources.csv").read_text()
    course = (datasets.folder() / "demo_targets.csv").read_text()
    for words in ("transfer", "gauze", "drain", "suture length", "circle line", "task time limit", "baseball", "diamond"):
        assert words not in text
    for words in ("peg", "ring over", "bead", "pass the needle", "along a line", "stalk"):
        assert words not in course
    assert course.count("knot") == 1 and "two-arc layout" in text


def written(folder, rows):
    path = folder / "values.csv"
    path.write_text("\n".join([",".join(GOOD), *(",".join(row.values()) for row in rows)]) + "\n")
    return path


def test_unknown_name_lists_what_there_is():
    with pytest.raises(ValueError, match=rf"^'angles' cannot be used; give one of {', '.join(datasets.TABLES)} \(name\)\.$"):
        datasets.load("angles")


def test_a_loaded_table_is_the_reader_s_own():
    mine = datasets.load("sources")
    mine.loc[0, "citation"] = "changed"
    assert datasets.load("sources").loc[0, "citation"] != "changed"


def test_found_inside_an_installed_package(tmp_path):
    package = Path(datasets.__file__).parent
    shutil.copytree(package, tmp_path / "ergokit", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copytree(datasets.folder(), tmp_path / "ergokit" / "data")
    code = "import ergokit.datasets as d; print(d.folder(), len(d.load('published_values')))"
    done = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert done.stdout.split() == [str(tmp_path / "ergokit" / "data"), str(len(VALUES))]

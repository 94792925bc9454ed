"""The reader's own folder: what is kept comes back, in older and newer kits too, and nothing is lost on the way."""

import csv
import io
import json
import os
import random
import signal
import subprocess
import sys
import time
import zipfile
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

import pytest

from ergokit import desk as kit
from ergokit.design import Phone, design_box
from ergokit.desk import leitner
from ergokit.desk.place import VERSION
from ergokit.desk.progress import progress_of
from ergokit.placement import Placement
from ergokit.surfaces import FlatBox, WedgeBox

DESIGN = design_box(
    WedgeBox(44, 36, 27), phone=Phone(length=14.7, lens_at="left"), rules={"elevation angle": (20, 70)}, target_height=1
)
BUILT = Placement.from_tape(19.7, 19.2, 19.4, camera_to_target=14.3, camera_above_ports=10.2, panel_slope=37)


def kept(desk_folder, kind):
    return sorted((desk_folder / kind).glob("*.json"))


def test_a_box_comes_back_as_it_was_kept(desk):
    kit.keep_box("shoe box", DESIGN)
    kit.keep_box(" shoe box ", built=BUILT)
    [box] = kit.boxes()
    assert box.name == "shoe box" and box.built == BUILT == box.placement
    assert box.design.placement == DESIGN.placement and box.design.phone == DESIGN.phone
    assert (box.design.holes, box.design.rules, box.design.not_met) == (DESIGN.holes, DESIGN.rules, DESIGN.not_met)


@pytest.mark.parametrize(
    "design",
    [
        design_box(
            FlatBox(40, 30, 16), targets=[(0, 2, 1), (3, 2, 1)], rules={"inside : outside": None}, instrument_length=(36, 33)
        ),
        design_box(WedgeBox(50, 40, 30), ports=[(-10, 11.34), (10, 11.34)], camera_hole=(0, 20), target_height=0),
    ],
)
def test_any_design_is_made_again(desk, design):
    box = kit.keep_box("x", design)
    assert box.built is None and box.placement == design.placement and box.design.rules == design.rules


def test_the_box_saved_last_comes_first_and_can_be_deleted(desk):
    for name in ("a", "b", "a"):
        kit.keep_box(name, DESIGN)
    assert [box.name for box in kit.boxes()] == ["a", "b"]
    kit.delete_box("a")
    assert [box.name for box in kit.boxes()] == ["b"]
    with pytest.raises(ValueError, match=r"^The box 'a' cannot be deleted: No such file or directory \(name\)\.$"):
        kit.delete_box("a")


@pytest.mark.parametrize("name", ["", " ", "a/b", "con", ".hidden", "x" * 41, None, 5])
def test_a_name_that_is_none_is_refused(desk, name):
    with pytest.raises(ValueError, match=r"\(name\)\.$"):
        kit.keep_box(name, DESIGN)
    assert not desk.exists()


def test_what_a_newer_kit_wrote_is_read_and_kept(desk):
    kit.keep_box("x", DESIGN, BUILT)
    [path] = kept(desk, "boxes")
    record = json.loads(path.read_text())
    record |= {"version": VERSION + 6, "photographs": ["a"]}
    record["design"] |= {"glue": "hot"}
    record["design"]["phone"] |= {"flash": False}
    record["readings"] |= {"humidity": 40}
    path.write_text(json.dumps(record))
    [box] = kit.boxes()
    assert box.design.placement == DESIGN.placement and box.built == BUILT
    kit.keep_box("x", DESIGN)
    kit.keep_box("x", built=BUILT)
    after = json.loads(path.read_text())
    assert after["photographs"] == ["a"] and after["design"]["glue"] == "hot"
    assert after["design"]["phone"]["flash"] is False and after["readings"]["humidity"] == 40


def test_what_an_older_kit_wrote_is_read(desk):
    kit.keep_box("x", DESIGN, BUILT)
    [path] = kept(desk, "boxes")
    record = json.loads(path.read_text())
    for name in ("saved", "units"):
        del record[name]
    for name in ("rules", "hole", "step", "instrument_length"):
        del record["design"][name]
    del record["design"]["phone"]["close_focus"], record["readings"]["target_height"]
    path.write_text(json.dumps(record))
    [box] = kit.boxes()
    assert box.design.holes == DESIGN.holes and box.design.rules != DESIGN.rules and box.built == BUILT


def broken(text, draw):
    """A record bent in one of the ways in which files break."""
    record, way = json.loads(text), draw.randrange(10)
    if way == 0:
        return text[: draw.randrange(len(text) - 2)]
    if way == 1:
        return os.urandom(40).hex() if draw.random() < 0.5 else "\0" * 100
    if way == 2:
        return draw.choice(["", "[]", "null", '"x"', "[" * 10_000, "9" * 5000, "{} {}", '{"a": 1, "a": 2}', "\ufeff", "NaN"])
    if way == 3:
        return json.dumps(record | {"format": draw.choice(["ergokit placement", None, 5])})
    if way == 4:
        return json.dumps(record | {"version": draw.choice([0, -1, "1", None, True, 1.5])})
    name = draw.choice([name for name in record if name in ("design", "readings", "at", "what")])
    if way == 5:
        return json.dumps(record | {name: draw.choice([[], 5, "x" * 600, {"carton": 5}, {"carton": {"kind": "dome"}}, True])})
    if not isinstance(record[name], dict):
        return json.dumps({key: value for key, value in record.items() if key != name})
    inner = draw.choice(
        [key for key in record[name] if key in ("carton", "ports", "camera_hole", "port_to_port", "left_to_target")]
    )
    if way == 6:
        del record[name][inner]
    else:
        record[name][inner] = draw.choice([None, "wide", -5, 1e9, [], {}, [[1, 2]], True])
    return json.dumps(record)


def test_of_fifty_broken_files_each_is_told_in_a_sentence_and_left(desk):
    kit.keep_box("whole", DESIGN, BUILT)
    kit.note("answer", kind="depth", level=1, right=True)
    draw = random.Random(19)
    texts = [kept(desk, kind)[0].read_text() for kind in ("boxes", "events")]
    for i in range(50):
        text, kind = draw.choice(list(zip(texts, ("boxes", "events"), strict=True)))
        (desk / kind / f"broken {i}.json").write_text(broken(text, draw), encoding="utf-8")
    before = {path: path.read_bytes() for path in desk.rglob("broken *.json")}
    items = [item for item in kit.contents() if item.name.startswith("broken")]
    assert len(items) == 50
    for item in items:
        assert item.wrong.endswith(".") and "\n" not in item.wrong and len(item.wrong) < 400, item
        assert item.name in item.wrong, item
    assert [box.name for box in kit.boxes()] == ["whole"] and len(kit.happened()) == 1
    with zipfile.ZipFile(io.BytesIO(kit.export())) as zipped:
        assert len(zipped.namelist()) == 53, "what cannot be read is taken along too"
    with pytest.raises(ValueError, match="in your folder"):
        kit.keep_box(next(item.name for item in items if item.kind == "box").removesuffix(".json"), DESIGN)
    assert before == {path: path.read_bytes() for path in desk.rglob("broken *.json")}


def test_two_notebooks_at_once_lose_nothing(desk):
    with ThreadPoolExecutor(8) as many:
        assert set(many.map(lambda i: kit.note("answer", number=i), range(80))) == {""}
    assert sorted(event["number"] for event in kit.happened("answer")) == list(range(80))


WRITES = """
import sys
from ergokit import desk
from ergokit.design import design_box
from ergokit.surfaces import WedgeBox
design = design_box(WedgeBox(44, 36, 27))
print("ready", flush=True)
i = int(sys.stdin.readline())
while True:
    desk.keep_box("x", design)
    desk.note("answer", number=i)
    print(i, flush=True)
    i += 1
"""


def kill_while_writing(times, draw):
    """Kill a kit that writes all the time, at moments nobody chose: all that it said was written is there, whole."""
    first, said = 0, -1
    for _ in range(times):
        env = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
        writer = subprocess.Popen([sys.executable, "-c", WRITES], stdin=-1, stdout=-1, env=env, text=True)
        assert writer.stdout.readline() == "ready\n"
        writer.stdin.write(f"{said + 1}\n")
        writer.stdin.flush()
        time.sleep(draw.uniform(0.0, 0.05))
        writer.send_signal(signal.SIGKILL)
        lines = writer.stdout.read().split("\n")
        writer.wait()
        said = max([said, *(int(line) for line in lines[:-1])])
        numbers = [event["number"] for event in kit.happened("answer")]
        assert set(range(first, said + 1)) <= set(numbers) and not any(item.wrong for item in kit.contents())
        said = max([said, *numbers])
        if len(numbers) > 300:
            kit.clear()
            first = said + 1
    assert [box.name for box in kit.boxes()] in ([], ["x"])
    kit.note("last")
    assert not [left for left in (kit.folder() / "events").iterdir() if left.suffix != ".json"], "a killed write left something"


@pytest.mark.skipif(os.name != "posix", reason="no such signal")
def test_kills_in_the_middle_of_writing_lose_nothing(desk):
    kill_while_writing(4, random.Random(4))


def test_a_folder_that_cannot_be_written_is_one_sentence(tmp_path, monkeypatch):
    tmp_path.joinpath("file").write_text("")
    monkeypatch.setenv("ERGOKIT_HOME", str(tmp_path / "file"))  # a folder cannot be where a file is, for root neither
    says = kit.note("answer", right=True)
    assert says.startswith("Nothing was kept: your folder ") and says.endswith("cannot be written (Not a directory).")
    with pytest.raises(ValueError, match=r"^Nothing was kept: "):
        kit.keep_box("x", DESIGN)
    assert kit.boxes() == kit.happened() == kit.contents() == []


def test_a_full_disk_is_one_sentence_and_loses_nothing(desk, monkeypatch):
    kit.keep_box("x", DESIGN)
    before = kept(desk, "boxes")[0].read_bytes()

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(ValueError, match=r"cannot be written \(No space left on device\)\.$"):
        kit.keep_box("x", built=BUILT)
    assert kept(desk, "boxes")[0].read_bytes() == before


def test_export_holds_all_and_a_table_and_clear_leaves_nothing_of_it(desk):
    kit.keep_box("schüssel", DESIGN)
    kit.note("answer", kind="depth", right=True)
    kit.note("prediction", guess=4.5)
    (desk / "lessons").mkdir()
    (desk / "lessons" / "mine.ipynb").write_text("{}")
    with zipfile.ZipFile(io.BytesIO(kit.export())) as zipped:
        assert "boxes/schüssel.json" in zipped.namelist()
        rows = list(csv.DictReader(io.StringIO(zipped.read("progress.csv").decode())))
    assert [row["what"] for row in rows] == ["answer", "prediction"] and rows[1]["guess"] == "4.5"
    assert kit.clear() == 3 and kit.contents() == []
    assert (desk / "lessons" / "mine.ipynb").exists(), "only what the desk wrote is deleted"


def test_where_the_folder_is(monkeypatch, tmp_path):
    monkeypatch.delenv("ERGOKIT_HOME")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    if sys.platform == "linux":
        assert kit.folder() == tmp_path / "ergokit"
    with kit.folder_at("~/somewhere"):
        assert kit.folder().is_absolute() and "~" not in str(kit.folder())
    assert kit.folder() != "~/somewhere"


# The Leitner box

NOW = datetime(2026, 3, 2, 20, tzinfo=UTC)


def answers(*tries):
    """First tries: (kind, right, days ago)."""
    return [
        {"kind": kind, "level": 1, "right": right, "slip": "mm", "at": NOW - timedelta(days=ago)} for kind, right, ago in tries
    ]


def asked(tries, last=""):
    return [card.kind for card in leitner.due(leitner.cards(answers(*tries)), NOW, last)]


def test_what_went_wrong_comes_again_after_three_others():
    assert asked([("depth", False, 0), ("angle", True, 0), ("spacing", True, 0)]) == []
    assert asked([("depth", False, 0), ("angle", True, 0), ("spacing", True, 0), ("azimuths", True, 0)]) == ["depth"]
    assert asked([("depth", False, 1)]) == ["depth"], "and at the next evening"


@pytest.mark.parametrize(("rights", "days"), [(1, 1), (2, 3), (3, 7), (4, 30), (9, 30)])
def test_what_went_right_comes_again_at_growing_intervals(rights, days):
    for ago in (days - 1, days):
        assert asked([("depth", True, ago)] * rights) == ["depth"] * (ago == days)


def test_a_wrong_answer_begins_anew_and_slips_are_counted():
    [card] = leitner.cards(answers(*[("depth", True, 9)] * 4, ("depth", False, 0), ("depth", False, 0)))
    assert (card.compartment, card.tries, card.right, card.slips) == (1, 6, 4, {"mm": 2})


def test_kinds_are_mixed_and_the_lowest_compartment_comes_first():
    tries = [("depth", True, 9), ("angle", True, 3), ("spacing", False, 2)]
    assert asked(tries) == ["spacing", "depth", "angle"]
    assert asked(tries, last="spacing") == ["depth", "angle", "spacing"]


def test_what_is_no_answer_of_this_kit_is_passed_over():
    strange = [{"at": NOW}, {"kind": None, "level": 1, "at": NOW}, {"kind": "depth", "level": "2", "at": NOW}]
    assert leitner.cards(strange) == []


@pytest.mark.parametrize(
    ("ago", "retests", "says"),
    [
        (6, [], ""),
        (7, [], "week"),
        (29, [], "week"),
        (30, [], "month"),
        (9, [2], ""),
        (30, [20], "month"),
        (35, [1], ""),
        (9, [9], "week"),
    ],
)
def test_a_retest_is_asked_for_after_a_week_and_after_a_month(ago, retests, says):
    done = [{"at": NOW - timedelta(days=each)} for each in retests]
    assert leitner.retest_due(answers(("depth", True, ago + 1), ("depth", True, ago)), done, NOW) == says


def test_five_are_asked_of_different_kinds_the_weak_first():
    tries = [("angle", True, 1), ("depth", False, 1), ("spacing", True, 1), ("spacing", True, 1), ("azimuths", True, 1)]
    assert leitner.five(leitner.cards(answers(*tries)))[0] == ("depth", 1)
    assert len(leitner.five(leitner.cards(answers(*((str(i), True, 1) for i in range(8)))))) == 5


# Progress


def event(what, **facts):
    return {"what": what, "at": NOW, "lesson": "05"} | facts


def test_only_the_first_prediction_of_each_counts():
    rows = progress_of(
        [
            event("prediction", asked="wide?", guess=50, value=40, **{"from": 60}),
            event("prediction", asked="wide?", guess=40, value=40, **{"from": 60}),
            event("prediction", asked="deep?", guess=70, value=50, **{"from": 60}),
            event("prediction", asked="far?", guess=11, value=10),
            event("question", asked="q", right=False),
            event("question", asked="q", right=True),
            event("answer", kind="depth"),
            event("prediction", asked="strange", guess="wide"),
        ]
    )
    assert [tuple(row) for row in rows] == [("05", 3, 2, 1, pytest.approx(25), 1, 0)]

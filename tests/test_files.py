"""Files as people and systems have them: links, names, leftovers, marks, sizes; read and written in one place."""

import os
import subprocess
import sys
import time

import pytest

from ergokit import datasets
from ergokit._files import _PREFIX, MOST_BYTES, file_name, free_path, read_small, write_whole
from ergokit.placement import Placement

PLACEMENT = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))


def test_saving_through_a_link_keeps_the_link_and_changes_what_it_points_to(tmp_path):
    (tmp_path / "shelf").mkdir()
    there, link = tmp_path / "shelf" / "box.json", tmp_path / "mine.json"
    there.write_text("old")
    link.symlink_to(there)
    with pytest.raises(ValueError, match="exists"):
        PLACEMENT.save(link)
    assert PLACEMENT.save(link, overwrite=True) == link
    assert link.is_symlink() and Placement.load(there) == PLACEMENT
    assert os.listdir(tmp_path / "shelf") == ["box.json"]


def test_a_link_to_nowhere_is_not_overwritten_unasked(tmp_path):
    link = tmp_path / "mine.json"
    link.symlink_to(tmp_path / "gone.json")
    with pytest.raises(ValueError, match=r"^The file '.*mine\.json' exists already; pass overwrite=True"):
        PLACEMENT.save(link)
    assert not (tmp_path / "gone.json").exists()
    PLACEMENT.save(link, overwrite=True)
    assert link.is_symlink() and Placement.load(tmp_path / "gone.json") == PLACEMENT


def test_what_a_killed_write_left_is_swept_at_the_next_one(tmp_path):
    code = (
        "import os, signal; from ergokit._files import write_whole\n"
        "def killed(part): part.write_text('half'), os.kill(os.getpid(), signal.SIGKILL)\n"
        f"write_whole({str(tmp_path / 'a.txt')!r}, killed)"
    )
    killed = subprocess.run([sys.executable, "-c", code], env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)})
    assert killed.returncode == -9 and len(os.listdir(tmp_path)) == 1
    write_whole(tmp_path / "b.txt", lambda part: part.write_text("whole"))
    assert os.listdir(tmp_path) == ["b.txt"]


def test_a_write_that_goes_on_is_left_alone(tmp_path):
    def write(part):
        write_whole(tmp_path / "second.txt", lambda other: other.write_text("2"))
        part.write_text("1")

    write_whole(tmp_path / "first.txt", write)
    assert sorted(os.listdir(tmp_path)) == ["first.txt", "second.txt"]


def test_of_another_machine_only_what_is_a_day_old_is_swept(tmp_path):
    fresh, old = tmp_path / ".ergokit-ffffffff-1-a", tmp_path / ".ergokit-ffffffff-1-b"
    for folder in (fresh, old):
        folder.mkdir()
        assert not folder.name.startswith(_PREFIX)
    os.utime(old, (time.time() - 2 * 86400,) * 2)
    write_whole(tmp_path / "a.txt", lambda part: part.write_text("1"))
    assert sorted(os.listdir(tmp_path)) == [fresh.name, "a.txt"]


FORBIDDEN = ["con", "CON.pdf", "nul.json", "com1.txt", "lpt9", "a:b", "a?", "a*.pdf", 'a"b', "a|b", "a<b", "a\tb", "end."]
NO_NAMES = ["", "end ", "a" * 241, "a/b", "a\\b", "\ud800", None, 5, b"a"]


@pytest.mark.parametrize("name", FORBIDDEN + NO_NAMES)
def test_names_that_some_system_forbids_are_refused(name):
    with pytest.raises(ValueError, match=r" cannot be a file's name on every system; choose another name \(name\)\.$"):
        file_name("name", name)


@pytest.mark.parametrize("name", ["console.pdf", "nullify", "a b.pdf", "üß😀.pdf", ".hidden", "a.b.c", "com10", "-"])
def test_other_names_pass(name):
    assert file_name("name", name) == name


@pytest.mark.parametrize("path", [None, 5, b"box.json", "", "\0", "a\0b", "\ud800", ["box.json"], object()])
def test_what_is_no_path_is_refused_in_one_sentence(path):
    for use in (free_path, lambda path: read_small(path, "a file"), Placement.load, PLACEMENT.save):
        with pytest.raises(ValueError, match=r" cannot be used; give a file's name, or a pathlib\.Path \(path\)\.$"):
            use(path)


def test_a_file_of_more_than_ten_megabytes_is_refused(tmp_path):
    path = tmp_path / "large.json"
    path.write_bytes(b" " * (MOST_BYTES + 1))
    with pytest.raises(ValueError, match=r"^'.*large\.json' is larger than 10 MB; choose a smaller file \(path\)\.$"):
        Placement.load(path)


@pytest.mark.parametrize("change", [("36.0", "true"), ("12.0", "true")])
def test_true_is_no_number_in_a_placement_file(change):
    with pytest.raises(ValueError, match=r"True.* cannot be used"):
        Placement.from_json(PLACEMENT.to_json().replace(*change, 1))


def test_a_placement_file_has_each_entry_once_and_may_begin_with_a_mark(tmp_path):
    text = PLACEMENT.to_json()
    path = tmp_path / "box.json"
    path.write_text(text, encoding="utf-8-sig")
    assert Placement.load(path) == PLACEMENT == Placement.from_json("\ufeff" + text)
    twice = text.replace('"camera"', '"left_port": [1, 2, 3], "camera"')
    with pytest.raises(ValueError, match=r"^This is not JSON text: it has 'left_port' twice \(placement file\)\.$"):
        Placement.from_json(twice)


@pytest.mark.parametrize("text", ["[" * 10_000, "1" * 5000, '{"x": ' + "9" * 5000 + "}", "{} {}", "x" * 10**6])
def test_no_json_is_said_in_one_short_sentence(text):
    with pytest.raises(ValueError, match=r" \(placement file\)\.$") as refusal:
        Placement.from_json(text)
    assert len(str(refusal.value)) < 300 and "\n" not in str(refusal.value)


# Tables

COLUMNS = datasets.TABLES["demo_tape_check"]
PLAIN = "reading,value,error,unit,how\nport_to_port,17.5,0.5,cm,tape\nleft_to_target,18,,cm,\n"
SPREADSHEETS = {
    "with a mark": PLAIN.encode("utf-8-sig"),
    "semicolons and decimal commas": PLAIN.replace(",", ";").replace(".", ",").encode(),
    "decimal commas in quotes": PLAIN.replace("17.5", '"17,5"').replace("0.5", '"0,5"').encode(),
    "tabs": PLAIN.replace(",", "\t").encode(),
    "quoted": "\n".join(",".join(f'"{cell}"' for cell in line.split(",")) for line in PLAIN.splitlines()).encode(),
    "capitals and blanks": PLAIN.replace("reading,value", " Reading , VALUE").replace("17.5,", " 17.5 ,").encode(),
    "empty lines": PLAIN.replace("\n", "\n\n,,,,\n").encode(),
    "carriage returns": PLAIN.replace("\n", "\r\n").encode(),
    "columns in another order": b"value,reading,error,unit,how\n17.5,port_to_port,0.5,cm,tape\n18,left_to_target,,cm,\n",
    "touched edge": PLAIN.replace("\n", ",,\n").encode(),
    "a remark first": ("# at home, twice, on a table, by day, alone\n" + PLAIN.replace(",", ";").replace(".", ",")).encode(),
    "a remark padded": '"# at home, twice, by day, on a table, alone, well";;;;\n'.encode("utf-8-sig")
    + PLAIN.replace(",", ";").replace(".", ",").encode(),
}


@pytest.mark.parametrize("data", SPREADSHEETS.values(), ids=SPREADSHEETS)
def test_a_table_is_read_as_spreadsheets_write_it(tmp_path, data):
    path = tmp_path / "plain.csv"
    path.write_text(PLAIN)
    plain = datasets.read(path, COLUMNS)
    (tmp_path / "box.csv").write_bytes(data)
    assert str(datasets.read(tmp_path / "box.csv", COLUMNS)) == str(plain)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (
            PLAIN.replace("tape", '"tape').encode(),
            r"^A cell is too long, or a quotation mark is never closed: .* \(box\.csv, line 3\)\.$",
        ),
        (PLAIN.replace("tape", "x" * 200_000).encode(), r"^A cell is too long, .* \(box\.csv, line \d\)\.$"),
        (
            PLAIN.replace("17.5", "1_8").encode(),
            r"^'1_8' cannot be used; give a number or nothing \(box\.csv, line 2, column value\)\.$",
        ),
        (
            PLAIN.replace("17.5", "0 9.5").encode(),
            r"^'0 9\.5' cannot be used; give a number or nothing \(box\.csv, line 2, column value\)\.$",
        ),
        (
            PLAIN.replace("17.5", "1e9").encode(),
            r"^'1e9' cannot be used; give a number or nothing \(box\.csv, line 2, column value\)\.$",
        ),
        (PLAIN.replace("17.5", "").encode(), r"^This cell is empty; give a number \(box\.csv, line 2, column value\)\.$"),
        (PLAIN.replace(",cm", "").encode(), r"^4 columns were found; give 5 columns \(box\.csv, line 2\)\.$"),
        (
            PLAIN.replace("value", "error", 1).encode(),
            r"^The header '.*' lacks value; give the columns .* \(box\.csv, line 1\)\.$",
        ),
        (b"", r"^This table is empty; give the columns .* \(box\.csv, line 1\)\.$"),
        (b"\xff\xfer\x00", r"^'.*box\.csv' is not text in UTF-8; save it as UTF-8 \(path\)\.$"),
        (
            (PLAIN + "port_to_port,1,,cm,\n" * 10_000).encode(),
            r"^This table is too long; give at most 10000 rows \(box\.csv, line \d+\)\.$",
        ),
    ],
)
def test_what_is_wrong_in_a_table_is_said_with_file_and_line(tmp_path, data, says):
    (tmp_path / "box.csv").write_bytes(data)
    with pytest.raises(ValueError, match=says) as refusal:
        datasets.read(tmp_path / "box.csv", COLUMNS)
    assert len(str(refusal.value)) <= 300 and "\n" not in str(refusal.value)

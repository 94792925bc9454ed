"""The command `ergokit`: JupyterLab as it is opened, lessons laid from a wheel, paper without a notebook."""

import json
import os
import shutil
import sys
import tomllib
from pathlib import Path

import nbformat
import pytest
from browser import DESK, NOTEBOOKS, jupyterlab, write_notebook
from hatchling.builders.wheel import WheelBuilder
from packaging.specifiers import SpecifierSet
from pdfs import texts
from playwright.sync_api import expect

from ergokit.__main__ import lay, main, settle
from ergokit.design import design_box
from ergokit.desk import keep_box
from ergokit.placement.demo import CARTON, demo_box

ROOT = NOTEBOOKS.parent
THEME = Path("@jupyterlab", "apputils-extension", "themes.jupyterlab-settings")
NEWS = THEME.with_name("notification.jupyterlab-settings")
LESSON = "01_one.ipynb"


def test_help_is_ten_lines_and_names_what_there_is(capsys):
    with pytest.raises(SystemExit, match="0"):
        main(["--help"])
    said = capsys.readouterr().out
    assert len(said.splitlines()) <= 10
    assert all(word in said for word in ("ergokit template BOX my.pdf", "ergokit sheet --n 20", "JupyterLab"))


@pytest.fixture
def opened(monkeypatch):
    """With which words JupyterLab would have been opened."""
    from jupyterlab.labapp import LabApp

    words = []
    monkeypatch.setattr(LabApp, "launch_instance", words.extend)
    return words


def test_in_a_clone_it_opens_the_lessons_there_with_settings_in_the_readers_folder(opened, desk):
    main(["--no-browser", "--port=8890"])
    assert opened == [
        f"--ServerApp.root_dir={NOTEBOOKS}",
        "--LabApp.default_url=/doc/tree/00_start_here.ipynb",
        f"--LabApp.user_settings_dir={desk / 'jupyterlab' / 'settings'}",
        f"--LabApp.workspaces_dir={desk / 'jupyterlab' / 'workspaces'}",
        "--no-browser",
        "--port=8890",
    ]
    assert json.loads((desk / "jupyterlab" / "settings" / NEWS).read_text()) == {"fetchNews": "false", "checkForUpdates": False}
    assert os.listdir(desk) == ["jupyterlab"], "lessons are laid from a wheel only"


def test_a_folder_that_cannot_be_is_one_sentence(opened, tmp_path, monkeypatch):
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("ERGOKIT_HOME", str(tmp_path / "file"))
    with pytest.raises(SystemExit, match=r"^\S*file cannot be written: [A-Z][a-z ]+\. Name another folder \(ERGOKIT_HOME\)\.$"):
        main([])
    assert opened == []


def write(settings, name, time):
    (settings / THEME).parent.mkdir(parents=True, exist_ok=True)
    (settings / THEME).write_text(json.dumps({"theme": name}))
    os.utime(settings / THEME, (time, time))


def test_the_theme_is_the_one_chosen_last_and_the_usual_settings_are_left_alone(tmp_path):
    usual, own = tmp_path / "usual", tmp_path / "own"
    settle(usual, own)
    assert not usual.exists() and not (own / THEME).exists()
    for settings, name, time, then in ((usual, "dark", 1, "dark"), (own, "light", 2, "light"), (usual, "dark", 3, "dark")):
        write(settings, name, time)
        settle(usual, own)
        assert json.loads((own / THEME).read_text())["theme"] == then
    assert [path.name for path in (usual / THEME).parent.iterdir()] == [THEME.name]


def test_news_switched_on_again_stay_on(tmp_path):
    settle(tmp_path / "usual", tmp_path)
    (tmp_path / NEWS).write_text('{"fetchNews": "true"}')
    settle(tmp_path / "usual", tmp_path)
    assert (tmp_path / NEWS).read_text() == '{"fetchNews": "true"}'


class Kit:
    """Lessons as a wheel carries them, and the folder into which they are laid."""

    def __init__(self, folder):
        self.carried, self.lessons = folder / "carried", folder / "an evening's lessons é"
        self.carried.mkdir()
        self.issue("1 + 1")

    def issue(self, *cells):
        """A kit whose lesson has these cells."""
        write_notebook(self.carried / LESSON, *cells)

    def lay(self):
        return lay(self.carried, self.lessons)

    def said(self):
        return [cell.source for cell in self.book().cells]

    def book(self):
        return nbformat.read(self.lessons / LESSON, as_version=4)

    def save(self, change):
        """What JupyterLab writes after `change`: valid notebooks, with all metadata that it found."""
        book = self.book()
        change(book)
        nbformat.validate(book)
        nbformat.write(book, self.lessons / LESSON)


@pytest.fixture
def kit(tmp_path):
    kit = Kit(tmp_path)
    assert kit.lay() == [] and kit.said() == ["1 + 1"]
    return kit


def test_a_lesson_that_was_only_run_gives_way_to_a_newer_one(kit):
    def run(book):
        book.cells[0].outputs = [nbformat.v4.new_output("stream", text="2")]
        book.cells[0].execution_count = 7
        book.cells.append(nbformat.v4.new_code_cell(""))  # JupyterLab adds one below the last that is run
        book.metadata["language_info"] = {"name": "python", "version": "3.99"}

    kit.save(run)
    assert kit.lay() == [] and kit.said() == ["1 + 1", ""], "the same kit leaves the outputs alone"
    kit.issue("1 + 1", "2 + 2")
    assert kit.lay() == [] and kit.said() == ["1 + 1", "2 + 2"]


@pytest.mark.parametrize(
    "change",
    [
        lambda book: book.cells[0].update(source="1 + 2"),
        lambda book: book.cells.append(nbformat.v4.new_markdown_cell("A note.")),
        lambda book: book.cells.clear(),
        lambda book: book.cells.__setitem__(0, nbformat.v4.new_markdown_cell("1 + 1")),
    ],
    ids=["another number", "a note", "nothing left", "another kind of cell"],
)
def test_a_lesson_that_the_reader_changed_is_never_written_over(kit, change):
    kit.save(change)
    before = (kit.lessons / LESSON).read_bytes()
    assert kit.lay() == [], "there is no other one to tell of"
    for cells in (["2 + 2"], ["3 + 3"], ["2 + 2"]):
        kit.issue(*cells)
        assert kit.lay() == [LESSON]
        assert (kit.lessons / LESSON).read_bytes() == before
    (kit.lessons / LESSON).rename(kit.lessons / "mine.ipynb")
    assert kit.lay() == [] and kit.said() == ["2 + 2"]
    assert (kit.lessons / "mine.ipynb").read_bytes() == before


@pytest.mark.parametrize("found", ["", "{", "[]", "{}", '{"cells": 1}', '{"cells": [1]}', '{"cells": [], "metadata": []}'])
def test_what_is_no_lesson_is_left_alone(kit, found):
    (kit.lessons / LESSON).write_text(found)
    assert kit.lay() == [LESSON]
    assert (kit.lessons / LESSON).read_text() == found


def test_a_lesson_copied_there_by_hand_is_the_readers(kit):
    """It may have been changed before: only what this kit says too is certain to be unchanged."""
    write_notebook(kit.lessons / LESSON, "1 + 1")
    assert kit.lay() == []
    kit.issue("2 + 2")
    assert kit.lay() == [LESSON] and kit.said() == ["1 + 1"]


def test_the_wheel_carries_the_lessons_and_the_data_and_nothing_else_beside_them():
    carried = {file.distribution_path for file in WheelBuilder(str(ROOT)).recurse_included_files()}
    for folder, ending in (("notebooks", "*.ipynb"), ("data", "*")):
        beside = {f"ergokit/{folder}/{path.name}" for path in (ROOT / folder).glob(ending) if path.is_file()}
        assert beside and beside == {path for path in carried if path.startswith(f"ergokit/{folder}/")}
    assert {"ergokit/__main__.py", "ergokit/LICENSE", "ergokit/problems/words.toml"} <= carried


def test_repo2docker_installs_the_kit_on_a_python_that_it_takes():
    """Only of `-e .` it knows that the whole folder must be there first (`is_local_pip_requirement` in its utils.py)."""
    assert (ROOT / ".binder" / "requirements.txt").read_text().split("\n") == ["-e .[photos]", ""]
    least = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["requires-python"]
    language, version = (ROOT / ".binder" / "runtime.txt").read_text().strip().split("-")
    assert language == "python" and version in SpecifierSet(least)


def words_of(path):
    return "\n".join(texts(path))


def test_a_template_is_that_of_the_box_with_this_name_or_in_this_file(tmp_path, desk, capsys):
    keep_box("shoe box", design_box(CARTON, hole=1.2))
    file, paper = tmp_path / "from a colleague.json", tmp_path / "my box é.pdf"
    shutil.copy(desk / "boxes" / "shoe box.json", file)
    for box, hole in (("demo", "hole 1.0 cm"), ("shoe box", "hole 1.2 cm"), (str(file), "hole 1.2 cm")):
        main(["template", box, str(paper), "--paper=A3", "--overwrite"])
        assert capsys.readouterr().out.strip() == str(paper)
        assert hole in words_of(paper)


def test_a_sheet_has_as_many_questions_as_were_asked_for(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    main(["sheet", "--n", "3", "--seed", "7"])
    words = words_of("questions.pdf")
    assert "sheet 7" in words and words.count("Answer: __") == 3
    with pytest.raises(SystemExit, match=r"^The file 'questions.pdf' exists already; add --overwrite to replace it"):
        main(["sheet", "--n", "3"])


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["template", "shoe", "box.pdf"], "You have no box called 'shoe'; choose demo or read."),
        (
            ["template", "read", "box.pdf"],
            "The box 'read' has readings but no design yet, so there is nothing to cut: see lesson 03.",
        ),
        (["template", "demo", "nowhere/box.pdf"], "The folder 'nowhere' does not exist"),
        (["sheet", "--n", "0"], "(n)"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(words, sentence, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    keep_box("read", built=demo_box())
    with pytest.raises(SystemExit) as ended:
        main(words)
    assert sentence in ended.value.code and ended.value.code.count("\n") == 0
    assert os.listdir(tmp_path) == []


def test_unknown_words_are_not_passed_over(capsys):
    with pytest.raises(SystemExit, match="2"):
        main(["sheet", "--questions=4"])
    assert "unknown words: --questions=4" in capsys.readouterr().err


def test_it_opens_calmly_at_the_first_lesson_and_a_link_leads_to_the_next(running, tmp_path):
    write(tmp_path / ".config" / "lab" / "user-settings", "JupyterLab Dark", 1)
    with jupyterlab(tmp_path, sys.executable, "-m", "ergokit") as address:
        page = running.new_page(viewport={"width": 1280, "height": 800})
        page.goto(address)
        expect(page.locator("body[data-jp-theme-name='JupyterLab Dark']")).to_be_attached()
        link = page.locator(".jp-MarkdownOutput a", has_text="01 Triangulation")
        link.scroll_into_view_if_needed()
        assert page.url.endswith("/doc/tree/00_start_here.ipynb")
        link.click()
        expect(page.locator(".jp-Notebook:visible h1")).to_contain_text("01 Triangulation")
        assert page.url.endswith("/doc/tree/01_the_triangle.ipynb")
        expect(page.locator(".jp-Notebook-ExecutionIndicator:visible")).to_have_attribute("data-status", "idle")
        expect(page.locator(".Toastify__toast, .jp-Dialog, #jp-left-stack:visible")).to_have_count(0)
        page.close()
    assert (tmp_path / DESK / "jupyterlab" / "workspaces").is_dir()

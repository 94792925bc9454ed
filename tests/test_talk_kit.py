"""The kit for a talk in Python; `test_browser.py` presses its button in JupyterLab."""

import base64
import html
import io
import re
from contextlib import nullcontext
from datetime import UTC, datetime

import ipywidgets as w
import pytest
from PIL import Image
from pptx import Presentation

from ergokit import Placement, desk
from ergokit.explorers import exercise, studio, talk_kit
from ergokit.figures import GALLERY, drawable

PLAIN = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))
NO_SLOPE = Placement.from_tape(16, 16, 16, camera_to_target=15, camera_above_ports=6)


def text(widget):
    return html.unescape(re.sub(r"<[^>]+>", "", widget.value))


def pressed(kit, name):
    """Click a button by what it says."""
    found = [kit]
    for widget in found:
        found += getattr(widget, "children", ())
    [button] = [widget for widget in found if isinstance(widget, w.Button) and widget.description == name]
    button.click()


def kit_for(folder, *names, placement=PLAIN, handout=False):
    """A kit that needs no browser: these figures as html, no slides."""
    kit = talk_kit(placement)
    kit.folder.value, kit.format.value = str(folder), ".html"
    for file, box in kit.made_of.items():
        box.value = handout and file == "handout.html"
    for name, box in kit.figures.items():
        box.value = name in names
    return kit


def made(kit):
    pressed(kit, "Make the files")
    return text(kit.status)


def test_it_starts_with_the_demo_box_and_says_what_the_button_makes():
    kit = talk_kit()
    assert text(kit.about).startswith("the demo box: 60.7 degrees, lens 14.6 cm")
    assert text(kit.status) == "The button makes 5 figures as png, slides, a teacher's page, cards and a handout."
    assert [*kit.figures] == [*GALLERY]
    pressed(kit, "none")
    for file in ("talk.pptx", "teacher.pdf", "cards.pdf"):
        kit.made_of[file].value = False
    assert text(kit.status) == "The button makes a handout."
    pressed(kit, "all")
    assert text(kit.status) == f"The button makes {len(GALLERY)} figures as png and a handout."


def test_a_placement_is_asked_for():
    with pytest.raises(ValueError, match=r"'my box' cannot be used; give a Placement \(placement\)"):
        talk_kit("my box")


def test_it_makes_what_is_ticked_in_a_folder_that_was_not_there(tmp_path):
    kit = kit_for(tmp_path / "talks" / "march", "side by side", "rules", handout=True)
    bars = []
    kit.bar.observe(lambda change: bars.append(change.new), "value")
    assert made(kit) == f"✓ Made 2 figures as html and a handout, in {tmp_path / 'talks' / 'march'}"
    assert bars == [1, 2] and kit.bar.max == 2, "the bar moves with each figure"
    assert kit.bar.layout.display == "none" and not kit.button.disabled
    names = ["side-by-side.html", "rules.html", "handout.html"]
    assert [path.name for path in kit.files] == names and re.findall("<li>(.*?)</li>", kit.made.value) == names
    assert set(kit.files) == set((tmp_path / "talks" / "march").iterdir()), "nothing else is left there"
    for path, words in zip(
        kit.files, ("Ports half as far apart", "No lens fits", "Ports, camera and target: move them and see"), strict=True
    ):
        assert words in path.read_text(encoding="utf-8")


def test_the_bar_goes_on_through_the_slides(tmp_path, monkeypatch):
    dot = io.BytesIO()
    Image.new("RGB", (16, 9)).save(dot, "png")
    monkeypatch.setattr(studio, "browser", nullcontext)
    monkeypatch.setattr("ergokit.talk.deck.pictures", lambda figs, dots, progress: [dot.getvalue() for _ in progress(figs)])
    kit, bars = kit_for(tmp_path, "triangle", "rules"), []
    kit.made_of["talk.pptx"].value, kit.about_talk["minutes"].value = True, 5
    kit.bar.observe(lambda change: bars.append(change.new), "value")
    assert made(kit) == f"✓ Made 2 figures as html and slides, in {tmp_path}"
    assert bars == list(range(1, 10)) and kit.bar.max == 9, "two figures, five of the talk and two behind it"
    titles = [slide.shapes.title.text for slide in Presentation(tmp_path / "talk.pptx").slides]
    assert titles[-2:] == ["The instruments meet at 59.9°", "No lens fits three sound rules: 0.6 cm short"]


def test_a_file_that_is_there_is_left_alone_unless_asked(tmp_path):
    (tmp_path / "rules.html").write_text("mine")
    kit = kit_for(tmp_path, "triangle", "rules", handout=True)
    assert made(kit) == f"⚠ rules.html is in {tmp_path} already: choose another folder, or tick 'replace'."
    assert [path.name for path in tmp_path.iterdir()] == ["rules.html"] and (tmp_path / "rules.html").read_text() == "mine"
    (tmp_path / "handout.html").write_text("mine too")
    assert "rules.html and 1 more are in" in made(kit)
    kit.replace.value = True
    assert made(kit).startswith("✓ Made")
    assert (tmp_path / "rules.html").stat().st_size > 1e6


def test_without_a_browser_one_sentence_and_nothing_else(tmp_path, monkeypatch):
    monkeypatch.setenv("BROWSER_PATH", "/nowhere/chromium")
    kit = kit_for(tmp_path / "new", "rules", handout=True)
    for format, slides in ((".png", False), (".html", True)):
        kit.format.value, kit.made_of["talk.pptx"].value = format, slides
        assert made(kit).startswith("⚠ There is no Chrome or Chromium on this computer: install it")
        assert not (tmp_path / "new").exists(), "not even the folder"
    kit.made_of["talk.pptx"].value = False
    assert made(kit).startswith("✓ Made 1 figure as html and a handout"), "what needs no browser works without"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("  ", r"No folder is typed; type a folder such as ~/ergokit-figures \(folder\)\.$"),
        ("~no-such-reader/talk", r"'~no-such-reader.*' cannot be used; give a folder such as .* \(folder\)"),
        ("{here}/a file/talk", r"The folder '.*a file/talk' cannot be made: Not a directory \(folder\)\.$"),
        ("{here}/a file", r"The folder '.*a file' cannot be made: File exists \(folder\)\.$"),
        ("{here}/" + "x" * 300, r" cannot be a file's name on every system; .*\(folder\)"),
    ],
)
def test_a_folder_that_cannot_be_is_told_in_one_sentence(typed, says, tmp_path):
    (tmp_path / "a file").write_text("")
    kit = kit_for(typed.format(here=tmp_path), "rules")
    assert re.search(says, made(kit)) and text(kit.status).startswith("⚠") and not kit.button.disabled
    assert [path.name for path in tmp_path.iterdir()] == ["a file"]


def test_a_folder_without_a_start_lies_beside_the_reader_s_home(tmp_path, monkeypatch):
    monkeypatch.setenv("HOME", str(tmp_path))
    for typed in ("talk", "~/talk"):
        kit = kit_for(typed, handout=True)
        kit.replace.value = True
        made(kit)
        assert kit.files == [tmp_path / "talk" / "handout.html"]


def test_nothing_ticked():
    assert made(kit_for("~/nowhere")) == "⚠ Nothing is ticked: choose a figure, the slides, a page or the cards."


def test_what_nobody_foresaw_is_told_and_not_swallowed(tmp_path, monkeypatch):
    def fails(*_, **__):
        raise RuntimeError("the roof is off")

    monkeypatch.setattr(studio, "write_handout", fails)
    kit = kit_for(tmp_path, handout=True)
    with pytest.raises(RuntimeError, match="roof"):
        kit.make()
    assert (
        text(kit.status) == "⚠ It stopped before all was made: the roof is off. 0 of 1 files were finished."
        and not kit.button.disabled
    )


def uploaded(kit, content, name="mine.json"):
    """What the browser sends when a file was chosen."""
    file = {"name": name, "type": "", "size": len(content), "content": memoryview(content)}
    kit.upload.value = (file | {"last_modified": datetime.now(UTC)},)


def test_a_placement_is_loaded_from_the_file_that_the_link_saves():
    kit = talk_kit()
    link = talk_kit(PLAIN).saved.value
    [saved] = re.findall(r'href="data:application/json;base64,([^"]+)"', link)
    uploaded(kit, base64.b64decode(saved))
    assert kit.placement == PLAIN and text(kit.about).startswith("mine.json: 59.9 degrees") and kit.upload.value == ()


@pytest.mark.parametrize("content", [b"{}", b"", b"\xff\xfe\x00", b"[1, 2]", PLAIN.to_json().replace("12", '"x"').encode()])
def test_another_file_is_refused_in_words_and_the_last_placement_kept(content):
    kit = talk_kit(PLAIN)
    uploaded(kit, content, "<b>.json")
    assert text(kit.status).startswith("⚠ <b>.json: ") and kit.placement == PLAIN
    assert "codec" not in text(kit.status), "no words of software"
    uploaded(kit, PLAIN.to_json().encode())
    assert "⚠" not in text(kit.status)


def test_what_the_readings_leave_open_cannot_be_ticked(tmp_path):
    kit = kit_for(tmp_path, *GALLERY)
    uploaded(kit, NO_SLOPE.to_json().encode())
    ticked = {name for name, box in kit.figures.items() if box.value}
    assert ticked == set(drawable(NO_SLOPE)) == {name for name, box in kit.figures.items() if not box.disabled} != set(GALLERY)
    pressed(kit, "all")
    assert made(kit).startswith("✓") and len(kit.files) == len(ticked)
    uploaded(kit, PLAIN.to_json().encode())
    assert not any(box.disabled for box in kit.figures.values())


def test_figures_are_about_the_target_that_is_chosen(tmp_path):
    two = Placement((-9, 0, 12), (9, 0, 12), [(0, 10, 0), (0, 20, 0)], (0, 4, 16))
    kit = kit_for(tmp_path, "triangle", placement=two)
    assert kit.target.layout.display is None and talk_kit(PLAIN).target.layout.display == "none"
    kit.target.value = 1
    made(kit)
    page = kit.files[0].read_text(encoding="utf-8")
    near, far = (GALLERY["triangle"](two, i).layout.meta["title"].rstrip("°") for i in (0, 1))
    assert far in page and near not in page


def test_the_lesson_s_last_cell_leaves_no_file_and_fails_where_the_button_does(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setattr("ergokit.figures.export.browser", None)  # would fail if it came to that
    kit = talk_kit(PLAIN)
    assert exercise(kit).startswith("8 files made") and kit.files == [] and list(tmp_path.iterdir()) == []
    monkeypatch.setattr(studio, "save_all", lambda *_, **__: [])
    with pytest.raises(AssertionError, match="3 files were written"):
        exercise(kit)


def test_all_of_a_talk_is_made_and_its_title_speaker_and_minutes_are_remembered(tmp_path):
    kit = kit_for(tmp_path, placement=PLAIN, handout=True)
    kit.made_of["teacher.pdf"].value = kit.made_of["cards.pdf"].value = True
    for name, value in (("title", "Monday"), ("speaker", "A. Registrar"), ("minutes", 20), ("address", "https://a.example")):
        kit.about_talk[name].value = value
    assert made(kit).startswith("✓ Made a teacher's page, cards and a handout")
    again = talk_kit()
    remembered = {name: again.about_talk[name].value for name in ("title", "speaker", "minutes", "address")}
    assert remembered == {"title": "Monday", "speaker": "A. Registrar", "minutes": 20, "address": "https://a.example"}
    assert again.about_talk["date"].value == ""
    pressed(again, "show of hands")
    assert len(again.hands.children[0].state.questions) == 4


def test_a_second_placement_is_one_of_the_reader_s_boxes(tmp_path):
    desk.keep_box("shoe box", built=Placement.from_tape(16, 16, 16, camera_to_target=15, camera_above_ports=6, panel_slope=38))
    kit = kit_for(tmp_path, "side by side")
    kit.second.value = dict(kit.second.options)["shoe box"]
    made(kit)
    assert "Two placements: 59.9" in kit.files[0].read_text(encoding="utf-8")


def test_something_is_set_beside_it_from_the_start():
    second = talk_kit().second
    assert second.label == "the same, ports half as far apart"
    assert None not in dict(second.options).values(), "for ipywidgets None is no choice, and a hash decides which list it shows"


@pytest.mark.parametrize("times", [1, 2])
def test_an_interrupted_kernel_leaves_no_making(tmp_path, monkeypatch, times):
    """Interrupted once while files are written, and once more while that is being told."""
    kit = kit_for(tmp_path, handout=True)
    left = [KeyboardInterrupt] * times

    def interrupted(*_, **__):
        raise left.pop()

    stopped = kit._stopped

    def told(why):
        if left:
            raise left.pop()
        stopped(why)

    monkeypatch.setattr(studio, "write_handout", interrupted)
    monkeypatch.setattr(kit, "_stopped", told)
    with pytest.raises(KeyboardInterrupt) if times == 2 else nullcontext():
        kit.make()
    assert text(kit.status) == "⚠ You stopped it. 0 of 1 files were finished." and not kit.button.disabled


def test_nothing_is_kept_in_a_notebook():
    assert repr(talk_kit()) == "The kit for your talk appears here once this cell has run (Shift + Enter)."

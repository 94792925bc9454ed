"""The lessons as a reader meets them: in JupyterLab, in a real browser, with the sliders moved."""

import numpy as np
import pytest
from browser import NOTEBOOKS, Explorer, Lesson, eventually
from draws import draws
from PIL import Image
from playwright.sync_api import expect
from pptx import Presentation

from ergokit import datasets, solve_triangle
from ergokit.search import best_ports
from ergokit.surfaces import WedgeBox
from ergokit.terms import QUANTITIES

LESSONS = sorted(path.name for path in NOTEBOOKS.glob("*.ipynb"))
_FIRST_A_FORM = "15"  # before its explorer with sliders
EXPLORING = [
    name
    for name in LESSONS
    if "_explorer(" in (NOTEBOOKS / name).read_text(encoding="utf-8") and not name.startswith(_FIRST_A_FORM)
]
#: Lessons that a browser runs on demand: nbval runs them all, and each explorer is painted in test_painted.py.
ALIKE = draws([name for name in EXPLORING if name[:2] not in ("00", "04")], [])


@pytest.fixture
def open_lesson(running, lab):
    """Opens a lesson, whose kernel and page are closed after the test."""
    opened = []

    def open_one(name):
        opened.append(Lesson(running, lab[1], name))
        return opened[-1]

    yield open_one
    for lesson in opened:
        lesson.close()


def _placement_follows(explorer, spacing, table):
    assert table["port spacing"][0] == f"{spacing:.1f}"
    angle = explorer.large()["manipulation angle"][0]
    assert angle in explorer.words()
    [triangle] = solve_triangle(spacing=spacing, depth=float(table["depth"][0]))
    assert float(angle.rstrip("°")) == pytest.approx(triangle.manipulation_angle, abs=0.3)  # depth to 0.1 cm


def _camera_follows(explorer, ports, table):
    up = ports + 7  # the camera hole on a panel of 36 cm that rises 3 in 5; the target 20 cm from its foot
    assert float(table["working distance"][0]) == pytest.approx(np.hypot(0.8 * up - 20, 0.6 * up), abs=0.05)


def _lever_follows(explorer, inside, table):
    assert table["length inside"][0] == f"{inside:.1f}"
    assert float(table["inside : outside"][0]) == pytest.approx(inside / (36 - inside), abs=0.05)


def _box_follows(explorer, side_a, table):
    axis = 27 * 22 / side_a  # the camera hole 22 cm up side a, the other side 27 cm
    raised = 2 * np.hypot(side_a, 27) / side_a  # 2 cm above the floor, along the axis
    assert float(table["working distance"][0]) == pytest.approx(axis - raised, abs=0.05)


def _tape_follows(explorer, spacing, table):
    [triangle] = solve_triangle(spacing=spacing, left_length=17.6, right_length=18.4)
    assert float(table["manipulation angle"][0].split()[0]) == pytest.approx(triangle.manipulation_angle, abs=0.05)


def _targets_follow(explorer, sideways, table):
    targets = datasets.load("demo_targets").set_index("target")[["x", "y", "z"]]
    targets.loc["dish", "x"] = sideways
    best = best_ports(WedgeBox(44, 36, 27), targets, rules={"port spacing": (None, 16)})
    angles = best.by_target()["manipulation angle (deg)"]
    found = [(cells[0], f"{angle:.1f}") for cells, angle in zip(list(table.values())[1:], angles, strict=True)]
    assert all(shown == angle for shown, angle in found), found
    assert best.sentence in explorer.told()


#: What the table must say after a move of an explorer's first slider; the others are asked in the kernel, by `exercise`.
_CHECKS = {
    "port spacing": _placement_follows,
    "ports up the panel": _camera_follows,
    "length inside": _lever_follows,
    "side a": _box_follows,
    "port to port": _tape_follows,
    "target sideways": _targets_follow,
}


@pytest.mark.parametrize("name", sorted(set(EXPLORING) - set(ALIKE)))
def test_lesson_runs_and_its_explorer_follows_its_first_slider(open_lesson, name):
    lesson = open_lesson(name)
    assert not lesson.errors()
    explorer = Explorer(lesson)
    explorer.show_numbers()
    told, picture, slider = explorer.told(), explorer.picture(), explorer.first_slider()
    value = explorer.press(slider, "ArrowRight", 5)

    def follows():
        assert explorer.told() != told and explorer.picture() != picture
        if slider in _CHECKS:
            _CHECKS[slider](explorer, value, explorer.measures())

    eventually(follows)
    if name.startswith("11"):
        _words_tick(explorer)
    assert not lesson.complaints


def _words_tick(explorer):
    """A click on the words of a rule ticks it, and the question mark beside them opens the entry in the glossary."""
    rule = explorer.root.locator(".widget-hbox", has=explorer.page.locator(".ergokit-what")).last
    ticked = rule.get_by_role("checkbox").is_checked()
    rule.locator(".widget-checkbox span").click()
    expect(rule.get_by_role("checkbox")).to_be_checked(checked=not ticked)
    entry = explorer.root.locator(".ergokit-entry")
    expect(entry).to_have_count(0)
    rule.get_by_role("button").click()
    name = rule.locator(".widget-checkbox span").inner_text()
    expect(entry).to_contain_text(QUANTITIES[name].means)
    explorer.page.keyboard.press("Escape")


@pytest.mark.parametrize("name", sorted(set(LESSONS) - set(EXPLORING)))
def test_lesson_runs_and_what_it_has_instead_of_an_explorer_answers_its_first_button(open_lesson, name, tmp_path):
    lesson = open_lesson(name)
    assert not lesson.errors()
    lesson.look_at(".ergokit")
    root = lesson.page.locator(".ergokit").first
    pressed = root.locator("button:not(.widget-upload)").first
    pressed.wait_for()
    assert root.get_by_role("slider").count() == 0
    shown = root.inner_text()
    pressed.click()
    lesson.settle()
    root.locator("[role=status]").first.wait_for()

    def answers():
        assert root.inner_text() != shown

    eventually(answers)
    if name.startswith("13"):
        makes = ".ergokit:has(button.mod-primary)"
        lesson.look_at(makes)
        _the_button_makes_the_files(lesson, lesson.page.locator(makes).first, tmp_path / "for the talk")
    assert not lesson.complaints


#: Remembers that the bar was shown, which may be for less time than a test waits between two looks.
_WATCH = """root => new MutationObserver(() => {
    window.barSeen ||= root.querySelector(".progress-bar").offsetParent !== null
}).observe(root, {subtree: true, attributes: true})"""


def _the_button_makes_the_files(lesson, root, folder):
    nameless = "input:not([title], [aria-label], [type=checkbox], [type=file]), select:not([title]), button:not([title])"
    assert root.locator(nameless).count() == 0, "a control has no name for a screen reader"
    ticked = root.locator(".widget-gridbox").first.locator("input:checked")
    root.get_by_role("button", name="none").click()
    expect(ticked).to_have_count(0)  # the kernel's answer would else untick what is ticked next
    root.get_by_text("rules", exact=True).click()
    expect(ticked).to_have_count(1)
    root.locator("input[title^='the folder']").fill(str(folder))
    root.evaluate(_WATCH)
    root.get_by_role("button", name="Make the files").click()
    root.get_by_text("Made 1 figure as png, slides, a teacher's page, cards and a handout").wait_for()
    assert lesson.page.evaluate("window.barSeen"), "no bar was shown while the files were made"
    root.get_by_role("button", name="Make the files").click()
    root.get_by_text("rules.png and 4 more are in").wait_for()
    with lesson.page.expect_download() as download:
        root.get_by_text("save this placement").click()
    with lesson.page.expect_file_chooser() as chooser:
        root.get_by_role("button", name="load your own").click()
    saved = folder / "mine.json"
    download.value.save_as(saved)
    chooser.value.set_files(saved)
    root.get_by_text("mine.json").wait_for()
    made = ["cards.pdf", "handout.html", "mine.json", "rules.png", "talk.pptx", "teacher.pdf"]
    assert sorted(path.name for path in folder.iterdir()) == made
    with Image.open(folder / "rules.png") as picture:
        assert picture.size == (1920, 1080)
    titles = [slide.shapes.title.text for slide in Presentation(folder / "talk.pptx").slides]
    assert titles[-1].startswith("No lens fits three sound rules") and "Five lines to take home" in titles
    root.get_by_role("button", name="show of hands").click()
    for i, count in enumerate("3510", 1):
        box = root.locator(f"input[title^='hands for range {i}'], input[aria-label^='hands for range {i}']")
        box.fill(count)
        box.press("Tab")
    root.get_by_role("button", name="show the answer").click()
    root.get_by_text("of 9 chose the right range").wait_for()
    expect(root.get_by_text("✓ the answer")).to_have_count(1)


def test_explorer_fits_keeps_the_view_and_says_what_is_wrong(open_lesson):
    lesson = open_lesson("00_start_here.ipynb")
    explorer = Explorer(lesson)
    box = explorer.root.bounding_box()
    window = lesson.page.locator(".jp-WindowedPanel-outer").bounding_box()
    assert box["height"] <= window["height"], "the explorer does not fit on a screen of 1280 x 800"
    plot = explorer.canvas().bounding_box()
    assert plot["x"] + plot["width"] <= box["x"] + box["width"] + 1, "the scene is cut off at the right"

    nameless = "input:not([title], [aria-label], [type=checkbox]), [role=slider]:not([aria-label]), select:not([title])"
    assert explorer.root.locator(nameless).count() == 0, "a control has no name for a screen reader"

    turned = _turn(explorer, plot)
    explorer.press("target sideways", "ArrowRight", 3)
    assert _ports(explorer) == turned, "the view jumped back when a slider moved"

    lesson.page.get_by_role("tab", name="My box").click()
    form = explorer.root.locator("input[type=text]:visible")
    for i, reading in enumerate(("25", "10", "10", "14", "8", "30")):
        form.nth(i).fill(reading)
    explorer.root.get_by_role("button", name="Show my box").click()
    explorer.root.get_by_text("These readings do not fit together").wait_for()
    lesson.settle()  # what is typed before the form is at rest again may be lost
    for i, reading in enumerate(("18,2", "17,6", "18,4", "14,6", "7", "37")):
        form.nth(i).fill(reading)
    explorer.root.get_by_role("button", name="Show my box").click()
    explorer.root.get_by_text("This is your box.").wait_for()
    explorer.show_numbers()
    assert explorer.large()["manipulation angle"][:2] == ["60.7°", "± 1.4"]
    assert explorer.root.bounding_box()["height"] <= window["height"], "with the form and every number it is higher"
    assert not lesson.page.evaluate(_CUT), "something is cut off"
    _explained(explorer)
    _projected(explorer)
    assert not lesson.complaints


#: What is wider than the room it has: rows with scroll arrows, labels that end early, a table without its right side.
_CUT = """[...document.querySelectorAll('.ergokit *')].filter(each =>
    each.clientWidth && each.scrollWidth > each.clientWidth + 1 && getComputedStyle(each).overflowX !== 'visible'
    && !each.closest('.ergokit-description, svg')).map(each => each.innerText || each.className)"""
#: How large every letter is on the screen, in px.
_LETTERS = """[...document.querySelectorAll('.ergokit svg.space text, .ergokit-large *')].map(each => {
    const svg = each.ownerSVGElement, grown = svg ? svg.getBoundingClientRect().width / svg.viewBox.baseVal.width : 1;
    return parseFloat(getComputedStyle(each).fontSize) * grown;
})"""


def _explained(explorer):
    """A measure's name opens its entry with a drawing, and by key too; it stays while a slider moves, until Escape."""
    entry = explorer.root.locator(".ergokit-entry")
    for name, word in (("depth", ".ergokit-measures button"), ("inside : outside", ".ergokit-large button")):
        explorer.root.locator(word, has_text=name).click()
        expect(entry).to_be_visible()
        assert (
            QUANTITIES[name].means in entry.inner_text() and entry.locator("img").evaluate("each => each.naturalWidth") == 150
        )
    explorer.page.keyboard.press("Escape")
    expect(entry).to_be_hidden()
    explorer.root.get_by_role("tab", name="Move").click()
    explorer.root.locator(".widget-label", has_text="port spacing").press("Enter")
    explorer.press("target sideways", "ArrowRight")
    assert QUANTITIES["port spacing"].means in entry.inner_text()
    explorer.page.keyboard.press("Escape")
    expect(entry).to_be_hidden()


def _projected(explorer):
    """On the projector are the picture and four numbers in large letters; Escape goes back to where the reader was."""
    before, button = explorer.words(), explorer.root.get_by_role("button", name="projector")
    explorer.root.get_by_role("tab", name="Move").click()
    expect(explorer.root.get_by_role("slider").first).to_be_visible()
    button.click()
    expect(explorer.root.get_by_role("button", name="Escape leaves")).to_be_visible()
    assert explorer.root.get_by_role("slider").count() == 0 and explorer.canvas().is_visible()
    assert len(explorer.large()) == 4 and explorer.words() == before
    assert min(explorer.page.evaluate(_LETTERS)) > 23.9
    explorer.page.keyboard.press("Escape")
    expect(explorer.root.get_by_role("slider").first).to_be_visible()
    expect(button).to_be_focused()


def _ports(explorer):
    """Where the two ports are in the picture."""
    filled = (f"path[transform][fill='var(--space-{colour})']" for colour in ("blue", "vermillion"))
    return [explorer.canvas().locator(mark).get_attribute("transform") for mark in filled]


def _turn(explorer, plot):
    """Turn the scene with the mouse and return where the ports are then."""
    before, mouse = _ports(explorer), explorer.page.mouse
    mouse.move(plot["x"] + plot["width"] / 2, plot["y"] + plot["height"] / 2)
    mouse.down()
    mouse.move(plot["x"] + plot["width"] / 2 + 80, plot["y"] + plot["height"] / 2 + 20, steps=8)
    mouse.up()
    explorer.page.wait_for_timeout(300)
    assert _ports(explorer) != before, "the mouse did not turn the scene"
    return _ports(explorer)

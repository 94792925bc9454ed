"""Pictures that come up on every machine: where messages are lost, without WebGL, run again, reloaded, scrolled away, twice."""

import json
import re
import time
from functools import partial

from browser import IMPATIENT, Explorer, Lesson, eventually, write_notebook
from playwright.sync_api import expect

#: No module loads; remembers whether the sentence that says so was there from the first, as soon as it had its style.
_NO_MODULE = """
URL.createObjectURL = () => 'blob:nowhere';
const look = setInterval(() => {
    const late = document.querySelector('.ergokit-late');
    if (!late) return;
    clearInterval(look);
    setTimeout(() => { window.saidAtOnce = late.checkVisibility({ visibilityProperty: true }); }, 500);
}, 100);
"""
#: After how many seconds a picture that did not come up says so, and one more.
LATE = 9

_SETTING = """
import json, numpy as np
from ergokit.explorers import camera_explorer, placement_explorer
explorer = placement_explorer()
explorer
"""
_FLAT = "from ergokit import inscribed_angle_figure\ninscribed_angle_figure(18, (45, 60, 75))"
_TALL = "#\n" * 300  # a cell to scroll to, past all the others
_TOLD = "print('kernel', json.dumps([explorer.picture.number, explorer.picture.words, explorer.picture.shown]))"


def test_a_picture_survives_what_readers_do(running, lab):
    """Run three times, turned, moved, scrolled away, opened twice, reloaded with the kernel alive, restarted."""
    folder, address = lab
    write_notebook(folder / "survives.ipynb", _SETTING, "explorer", _TOLD, _TALL)
    lesson = Lesson(running, address, "survives.ipynb")
    page, opened = lesson.page, time.monotonic()

    def run(cell):
        prompt = page.locator(".jp-Cell").nth(cell).locator(".jp-InputPrompt")
        before = prompt.inner_text()
        prompt.click()
        page.keyboard.press("Shift+Enter")
        expect(prompt).to_have_text(re.compile(r"\[\d+\]"))
        expect(prompt).not_to_have_text(before)
        lesson.settle()

    def agree(count):
        """All views of the explorer show what the kernel says, and it knows."""
        page.evaluate("document.querySelector('.jp-WindowedPanel-outer').scrollTo(0, 0)")
        Explorer(lesson).still()
        run(2)
        number, words, shown = _kernel_says(page)
        painted = page.locator(".ergokit-canvas.painted svg.space")
        assert painted.count() == count
        for one in painted.all():
            assert one.locator("text").all_text_contents() == words
        assert shown and all(view == [number, words] for view in shown[-count:]), (number, shown)

    both = partial(eventually, lambda: agree(2))
    both()
    for _ in range(2):
        run(0)
    run(1)
    both()
    explorer = Explorer(lesson)
    plot = explorer.canvas().bounding_box()
    page.mouse.move(plot["x"] + 200, plot["y"] + 200)
    page.mouse.down()
    page.mouse.move(plot["x"] + 280, plot["y"] + 220, steps=5)
    page.mouse.up()
    explorer.press("port spacing", "ArrowRight", 3)
    both()
    turned = page.locator("svg.space").first.inner_html()
    assert page.locator("svg.space").nth(1).inner_html() == turned, "both views are turned alike"
    page.evaluate("document.querySelector('.jp-WindowedPanel-outer').scrollTo(0, 1e6)")
    page.wait_for_timeout(1000)
    both()
    assert page.locator("svg.space").first.inner_html() == turned
    page.wait_for_timeout(max(0, 1000 * (opened + LATE - time.monotonic())))
    late = page.locator(".ergokit-late")
    assert late.count() == 2 and not any(one.is_visible() for one in late.all())
    page.keyboard.press("Control+s")
    page.wait_for_timeout(1000)
    page.reload()
    page.wait_for_selector(".ergokit-canvas.painted")
    lesson.settle()
    eventually(lambda: _same(page.locator("svg.space").first.inner_html(), turned))
    Explorer(lesson).press("port spacing", "ArrowRight", 2)
    both()
    assert not lesson.complaints
    lesson.close()


def _same(picture, before):
    assert picture == before, "a reload shows the picture as it was left"


def _kernel_says(page):
    return json.loads(page.get_by_text("kernel [").last.inner_text().removeprefix("kernel "))


# The scripts of these two go on in the page that they share with all above: they come last.


def test_no_picture_is_empty_where_messages_are_dropped_and_there_is_no_webgl(running, lab):
    folder, _ = lab
    write_notebook(folder / "dropped.ipynb", _SETTING, _FLAT)
    comes_up(running, lab, "dropped.ipynb")


def comes_up(running, lab, name):
    """Run a notebook where every message after the opening one is dropped: all pictures are there, and the first follows."""
    folder, address = lab
    lesson = Lesson(running, address, name, script=IMPATIENT)
    assert not lesson.errors()
    pictures = lesson.page.locator(".ergokit-canvas")
    if "_explorer(" in (folder / name).read_text(encoding="utf-8"):
        explorer = Explorer(lesson)
        before = explorer.picture()
        explorer.press(explorer.first_slider(), "ArrowRight", 5)
        eventually(lambda: _differs(explorer.picture(), before))
    assert pictures.count() == lesson.page.locator(".ergokit-canvas.painted").count()
    assert not lesson.complaints
    lesson.close()


def _differs(picture, before):
    assert picture != before, "the picture does not follow"


def test_a_picture_that_does_not_come_up_says_which_cell_to_run_again(running, lab):
    folder, address = lab
    write_notebook(folder / "late.ipynb", _SETTING)
    lesson = Lesson(running, address, "late.ipynb", script=_NO_MODULE)
    late = lesson.page.locator(".ergokit-late")
    late.wait_for()
    assert lesson.page.evaluate("window.saidAtOnce") is False
    cell = lesson.page.locator(".jp-InputPrompt").first.inner_text().rstrip(":")
    assert late.inner_text() == f"The picture has not come up. Run cell {cell} again: click in it and press Shift + Enter."
    lesson.close()

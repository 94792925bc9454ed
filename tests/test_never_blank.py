"""Pictures that come up on every machine: where messages are lost, without WebGL, run again, reloaded, scrolled away, twice."""

import json
import shutil

import nbformat
import pytest
from browser import IMPATIENT, NOTEBOOKS, Explorer, Lesson, jupyterlab

_SETTING = """
import json, numpy as np
from ergokit.explorers import camera_explorer, placement_explorer
explorer = placement_explorer()
explorer
"""
_TOLD = "print('kernel', json.dumps([explorer.picture.number, explorer.picture.words, explorer.picture.shown]))"


def notebook(path, *cells):
    book = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(cell) for cell in cells])
    book.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3", "language": "python"}
    nbformat.write(book, path)


@pytest.fixture(scope="module")
def lab(tmp_path_factory):
    folder = tmp_path_factory.mktemp("lab")
    with jupyterlab(folder) as address:
        yield folder, address


def test_no_picture_is_empty_where_messages_are_dropped_and_there_is_no_webgl(running, lab):
    comes_up(running, lab, "05_off_axis_targets.ipynb")


def comes_up(running, lab, name):
    """Run a lesson where every message after the opening one is dropped: all pictures are there, and the first one follows."""
    folder, address = lab
    shutil.copy(NOTEBOOKS / name, folder)
    lesson = Lesson(running, address, name, script=IMPATIENT)
    assert not lesson.errors()
    pictures = lesson.page.locator(".ergokit-canvas")
    if "_explorer(" in (NOTEBOOKS / name).read_text(encoding="utf-8"):
        explorer = Explorer(lesson)
        before = explorer.picture()
        slider = explorer.root.get_by_role("slider").first
        for _ in range(5):
            slider.press("ArrowRight")
        lesson.settle()
        lesson.page.wait_for_timeout(1500)
        assert explorer.picture() != before, "the picture does not follow"
    assert pictures.count() == lesson.page.locator(".ergokit-canvas.painted").count()
    assert not [words for words in lesson.complaints if "Failed to initialize model" not in words]  # that is what is tested
    lesson.close_kernel()


def test_a_picture_survives_what_readers_do(running, lab):
    """Run five times, turned, moved, scrolled away, opened twice, reloaded with the kernel alive, restarted."""
    folder, address = lab
    notebook(folder / "survives.ipynb", _SETTING, "explorer", _TOLD, *["0"] * 30)
    lesson = Lesson(running, address, "survives.ipynb")
    page = lesson.page

    def run(cell):
        page.locator(".jp-Cell").nth(cell).locator(".jp-InputPrompt").click()
        page.keyboard.press("Shift+Enter")
        page.wait_for_timeout(800)
        lesson.settle()

    def agree(count):
        """All views of the explorer show what the kernel says, and it knows."""
        page.evaluate("document.querySelector('.jp-WindowedPanel-outer').scrollTo(0, 0)")
        page.wait_for_timeout(800)
        run(2)
        number, words, shown = _kernel_says(page)
        painted = page.locator(".ergokit-canvas.painted svg.space")
        assert painted.count() == count
        for one in painted.all():
            assert one.locator("text").all_text_contents() == words
        assert shown and all(view == [number, words] for view in shown[-count:]), (number, shown)

    agree(2)
    for _ in range(4):
        run(0)
    run(1)
    agree(2)
    explorer = Explorer(lesson)
    plot = explorer.canvas().bounding_box()
    page.mouse.move(plot["x"] + 200, plot["y"] + 200)
    page.mouse.down()
    page.mouse.move(plot["x"] + 280, plot["y"] + 220, steps=5)
    page.mouse.up()
    explorer.press("port spacing", "ArrowRight", 3)
    agree(2)
    turned = page.locator("svg.space").first.inner_html()
    assert page.locator("svg.space").nth(1).inner_html() == turned, "both views are turned alike"
    page.evaluate("document.querySelector('.jp-WindowedPanel-outer').scrollTo(0, 1e6)")
    page.wait_for_timeout(1000)
    agree(2)
    assert page.locator("svg.space").first.inner_html() == turned
    page.keyboard.press("Control+s")
    page.wait_for_timeout(1000)
    page.reload()
    page.wait_for_selector(".ergokit-canvas.painted", timeout=60_000)
    lesson.settle()
    page.wait_for_timeout(1500)
    assert page.locator("svg.space").first.inner_html() == turned, "a reload shows the picture as it was left"
    Explorer(lesson).press("port spacing", "ArrowRight", 2)
    agree(2)
    assert not lesson.complaints
    lesson.close_kernel()


def _kernel_says(page):
    return json.loads(page.get_by_text("kernel [").last.inner_text().removeprefix("kernel "))


def test_a_picture_that_does_not_come_up_says_which_cell_to_run_again(running, lab):
    folder, address = lab
    notebook(folder / "late.ipynb", _SETTING)
    lesson = Lesson(running, address, "late.ipynb")
    late = lesson.page.locator(".ergokit-late")
    lesson.page.wait_for_timeout(9000)
    assert late.count() == 1 and not late.is_visible()
    lesson.close_kernel()
    lesson = Lesson(running, address, "late.ipynb", script="URL.createObjectURL = () => 'blob:nowhere';")  # no module loads
    late = lesson.page.locator(".ergokit-late")
    assert not late.is_visible()
    late.wait_for(timeout=20_000)
    cell = lesson.page.locator(".jp-InputPrompt").first.inner_text().rstrip(":")
    assert late.inner_text() == f"The picture has not come up. Run cell {cell} again: click in it and press Shift + Enter."
    lesson.close_kernel()

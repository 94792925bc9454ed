"""A registrar's three evenings in the lessons themselves, each with a new server and new kernels, in a folder with blanks."""

import shutil

import pytest
from browser import NOTEBOOKS, Lesson, jupyterlab
from evenings import NAME, enters_carton_and_phone, enters_readings, makes_a_talk


@pytest.fixture
def evening(running, tmp_path):
    """Opens a lesson on an evening of its own."""
    folder = tmp_path / "Chloé's practice box"
    folder.mkdir()
    for path in NOTEBOOKS.glob("*.ipynb"):
        shutil.copy(path, folder)

    def opened(*names):
        with jupyterlab(folder) as address:
            for name in names:
                lesson = Lesson(running, address, name)
                yield lesson
                assert not lesson.errors() and not lesson.complaints
                lesson.close()

    return opened


def test_three_evenings_with_a_box_of_ones_own(evening, tmp_path):
    for lesson in evening("03_build_a_box.ipynb"):
        assert enters_carton_and_phone(lesson, tmp_path).read_bytes().startswith(b"%PDF")
    for lesson in evening("04_check_it_with_a_tape.ipynb"):
        assert "Within 5 degrees of the design: yes." in enters_readings(lesson)
    targets, practice, talk = "11_many_targets.ipynb", "12_test_yourself.ipynb", "13_figures_for_a_talk.ipynb"
    for lesson, name in zip(evening(targets, practice, talk), (targets, practice, talk), strict=True):
        if name == practice:
            lesson.look_at("input[title^='your answer']")
            lesson.page.get_by_role("button", name="worked solution").click()
            lesson.page.get_by_role("button", name="look back").click()
            lesson.page.get_by_text("Read again", exact=True).wait_for()
            continue
        lesson.look_at(".ergokit-yours")
        lesson.page.get_by_text(f"And yours: {NAME}").wait_for()
        if name == talk:
            made = makes_a_talk(lesson, tmp_path / "talk")
            assert "handout.html" in made and any(each.endswith(".html") and each != "handout.html" for each in made)

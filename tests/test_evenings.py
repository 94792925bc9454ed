"""A box typed in one notebook is there in the next one, with a kernel of its own; `tests/slow` has the whole three evenings."""

from contextlib import contextmanager

from browser import Lesson, write_notebook
from evenings import NAME, enters_carton_and_phone, enters_readings

from ergokit import desk as kit


def test_a_box_of_one_notebook_is_there_in_the_next(running, lab, desk, tmp_path, monkeypatch):
    folder, address = lab
    write_notebook(folder / "own carton.ipynb", "from ergokit import carton_explorer\ncarton_explorer()")
    yours = 'from ergokit import yours\nyours("monitor")'
    write_notebook(folder / "own readings.ipynb", yours, "from ergokit import readings_explorer\nreadings_explorer()")
    with opened(running, address, "own carton.ipynb") as lesson:
        assert enters_carton_and_phone(lesson, tmp_path).read_bytes().startswith(b"%PDF")
    with opened(running, address, "own readings.ipynb") as lesson:
        lesson.page.get_by_text(f"And yours: {NAME}").wait_for()
        lesson.page.locator(".ergokit-canvas.painted").first.wait_for()
        said = enters_readings(lesson)
    assert f"{NAME}, as built" in said and "Within 5 degrees of the design: yes." in said and "Leave it." in said
    monkeypatch.setenv("ERGOKIT_HOME", str(desk))
    [box] = kit.boxes()
    assert (box.name, box.design.box.ridge, box.design.phone.length) == (NAME, 46, 14.7)
    assert box.built.tape.given()["port_to_port"] == 20.3


@contextmanager
def opened(running, address, name):
    """A notebook with a kernel of its own, which ends with it."""
    lesson = Lesson(running, address, name)
    yield lesson
    assert not lesson.errors() and not lesson.complaints
    lesson.close()

"""The reader's own box: typed into two forms, kept, shown beside the demo box, looked at and deleted."""

import base64
import html
import re

import ipywidgets as w
import pytest
from pdfs import texts

from ergokit import desk as kit
from ergokit.design import design_box
from ergokit.explorers import carton_explorer, my_desk, readings_explorer, yours
from ergokit.explorers.yours import SHOWN
from ergokit.placement import Placement
from ergokit.surfaces import WedgeBox
from ergokit.template import write_template

DESIGN = design_box(WedgeBox(44, 36, 27))
READ = {"port_to_port": "20,4", "left_to_target": "19.6", "right_to_target": "19.7", "camera_to_target": "13.8"}
READ |= {"camera_above_ports": "10.2", "panel_slope": "37"}
BUILT = Placement.from_tape(**{name: float(text.replace(",", ".")) for name, text in READ.items()})
FULL = Placement.from_tape(20.4, 19.6, 19.7, camera_to_target=13.8, camera_above_ports=10.2)


def words(widget):
    return html.unescape(re.sub(r"<[^>]+>", " ", widget.value))


def template_of(explorer):
    """The bytes behind the link that the form shows now."""
    return base64.b64decode(re.search(r"base64,([^\"]+)", explorer.link.value)[1])


def typed(form, **values):
    for name, value in values.items():
        form.typed[name].value = value
    form.follows()


# Carton and phone


def test_the_form_s_template_is_always_that_of_the_box_shown(desk, tmp_path):
    form = carton_explorer()
    typed(form, **{"first edge": "40,5", "third edge": "28"})
    first = template_of(form)
    form.ways.index = 2
    form.follows()
    made = write_template(tmp_path / "box.pdf", form.design)
    measures = [texts(pdf)[-1] for pdf in (template_of(form), made)]
    assert measures[0] == measures[1] and template_of(form) != first
    typed(form, length="29")
    assert form.design is None and form.link.value == "" and "No layout in this carton" in words(form.holes)


def test_a_box_is_saved_by_name_and_there_in_a_new_form(desk):
    form = carton_explorer()
    form.save.click()
    assert words(form.status) == " ⚠ Give the box a name first. "
    form.name.value = "shoe box"
    typed(form, length="14,5")
    form.ways.index = 1
    form.save.click()
    assert words(form.status).startswith(" Saved as 'shoe box'.") and form.opens.value == "shoe box"
    again = carton_explorer()
    again.follows()
    assert (again.name.value, again.typed["length"].value, again.ways.index) == ("shoe box", "14.5", 1)
    assert again.design.holes == form.design.holes and "not saved" not in words(again.title)


def test_saving_does_not_take_another_box_s_name(desk):
    kit.keep_box("shoe box", DESIGN)
    form = carton_explorer()
    form.opens.value = "a new box"
    form.name.value = "shoe box"
    form.save.click()
    assert "You have a box called 'shoe box' already" in words(form.status)
    form.opens.value = "shoe box"
    form.save.click()
    assert "Saved as 'shoe box'" in words(form.status)


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("first edge", "wide", "'wide' is not a number"),
        ("first edge", "", "This edge is needed"),
        ("second edge", "360", "in cm, not mm"),
        ("length", "150", "in cm, not mm"),
        ("width", "", "This size of the phone is needed"),
    ],
)
def test_what_cannot_be_a_carton_or_a_phone_is_said_and_the_form_goes_back(desk, name, text, says):
    form = carton_explorer()
    before = form.typed[name].value
    form.typed[name].value = text
    assert says in words(form.status) and form.typed[name].value == before
    form.follows()


def test_every_form_says_what_a_name_is_not(desk):
    for form in (carton_explorer(), readings_explorer()):
        found, todo = [], [form]
        while todo:
            one = todo.pop()
            todo += getattr(one, "children", ())
            found += [words(one)] if isinstance(one, w.HTML) else []
        assert any("never an operation, never a patient" in text for text in found)


# Readings


def test_readings_are_entered_saved_and_compared_with_the_design(desk):
    kit.keep_box("shoe box", DESIGN)
    form = readings_explorer()
    form.enter.click()
    assert words(form.status).startswith(" ⚠ Still to measure: port to port (cm)")
    typed(form, **READ)
    form.enter.click()
    form.follows()
    assert words(form.status) == " Saved with 'shoe box'. " and "Within 5 degrees of the design: yes." in words(form.told)
    [box] = kit.boxes()
    assert box.built == BUILT and box.design.holes == DESIGN.holes
    again = readings_explorer()
    assert again.typed["port_to_port"].value == "20.4" and again.check is not None


def test_what_changed_readings_gave_before_no_longer_shows(desk):
    form = readings_explorer()
    typed(form, **READ)
    form.enter.click()
    assert form.check is not None and len(form.pictures.children) == 1 and "not saved" in words(form.status).lower()
    typed(form, port_to_port="20.5")
    assert form.check is None and not form.pictures.children and form.told.value == ""
    typed(form, port_to_port="2o")
    form.enter.click()
    assert "type a number such as 17.5 (port to port)" in words(form.status) and form.typed["port_to_port"].value == "2o"


def test_a_folder_that_cannot_be_written_does_not_stop_a_lesson(tmp_path, monkeypatch):
    tmp_path.joinpath("file").write_text("")
    monkeypatch.setenv("ERGOKIT_HOME", str(tmp_path / "file"))
    form = readings_explorer()
    form.name.value = "shoe box"
    typed(form, **READ)
    form.enter.click()
    assert form.check is not None and "Nothing was kept: your folder" in words(form.status)
    carton = carton_explorer()
    carton.name.value = "shoe box"
    carton.save.click()
    assert "Nothing was kept: your folder" in words(carton.status) and carton.link.value


# And yours


def shown(what):
    [made] = yours(what).shown.children
    return made


@pytest.mark.parametrize("what", SHOWN)
def test_without_a_box_a_sentence_says_how_to_save_one(desk, what):
    none = yours(what)
    assert none.heading.value.startswith("<i>Save a box of your own in lesson 03 or 04") and none.shown.children == ()


@pytest.mark.parametrize("what", SHOWN)
def test_each_says_which_box_it_shows_and_what_is_missing(desk, what):
    kit.keep_box("designed", DESIGN)
    assert isinstance(shown(what), w.HTML) == (what == "tape")
    assert "And yours: designed" in yours(what).heading.value
    kit.keep_box("read", built=FULL)
    both = yours(what)
    assert both.box.options == ("read", "designed") and "read" in both.heading.value
    missing = {"section": "no design yet", "targets": "no design yet"}
    missing |= dict.fromkeys(("angle map", "operator", "monitor"), "do not give its tilt")
    assert missing.get(what, "") in (words(both.shown.children[0]) if what in missing else "")
    assert isinstance(both.shown.children[0], w.HTML) == (what in missing)
    both.box.value = "designed"
    assert "designed" in both.heading.value


def test_a_box_is_shown_as_built_once_it_was_read(desk):
    kit.keep_box("x", DESIGN, BUILT)
    assert "as you built it" in yours("talk").heading.value and shown("talk").placement == BUILT
    assert "<b>x</b>" in shown("talk").about.value
    assert "as designed" in yours("section").heading.value
    kit.keep_box("y", DESIGN, FULL)
    assert "as designed" in yours("monitor").heading.value, "those readings do not say how the triangle stands"


# The desk itself


def test_the_desk_is_looked_at_taken_along_and_deleted(desk):
    kit.keep_box("shoe box", DESIGN)
    kit.note("prediction", lesson="05_off_axis_targets", asked="x", guess=50, value=40, **{"from": 60})
    mine = my_desk()
    assert "shoe box" in words(mine.about) and str(desk) in words(mine.about) and "shared server" in words(mine.about)
    assert "05 off axis targets" in words(mine.table) and "25 %" in words(mine.table)
    mine.list_files()
    assert "shoe box.json: a design" in words(mine.files) and '"side_a": 36' in words(mine.files)
    mine.export()
    assert 'download="my_ergokit.zip"' in mine.link.value
    mine.delete()
    assert "I am sure" in words(mine.status) and kit.contents()
    mine.sure.value = True
    mine.delete()
    assert words(mine.status) == " 2 files deleted. " and not kit.contents() and not mine.sure.value


def test_the_desk_says_what_cannot_be_read(desk):
    kit.note("x")
    next((desk / "events").iterdir()).write_text("{")
    assert "This is not JSON text" in words(my_desk().status)

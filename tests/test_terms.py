"""The glossary: each measure that is shown has an entry, a drawing that is true to it, and a lesson that speaks of it."""

import json
import re
from xml.etree import ElementTree

import ipywidgets as w
import numpy as np
import pytest
from browser import NOTEBOOKS

from ergokit import (
    Placement,
    WedgeBox,
    camera_roll,
    comparison_panel,
    conflicts,
    design_box,
    error_effects,
    glossary,
    placement_explorer,
)
from ergokit.guidance.quantities import named_in
from ergokit.photos import SEEN
from ergokit.placement.demo import demo_box
from ergokit.placement.measures import rows_of
from ergokit.terms import QUANTITIES
from ergokit.terms.sketch import _OUTLINES, _PLACES, HEIGHT, LETTER, WIDTH, svg

#: What every drawing shows.
ARRANGED = Placement(
    *(_PLACES[letter] for letter in "LRTC"),
    instrument_length=np.linalg.norm(_PLACES["E"] - _PLACES["T"]),
    handle_reach=np.linalg.norm(_PLACES["G"] - _PLACES["E"]),
    panel_normal=_PLACES["L"] - _PLACES["N"],
)


def names_of(placement):
    return [row.quantity for row in rows_of(placement)]


def size(mark):
    """The length of a line, or the angle at the middle of three places."""
    places = np.stack([_PLACES[letter] for letter in mark if letter.isalpha()])
    if len(places) == 2:
        return np.linalg.norm(places[1] - places[0])
    one, other = places[0] - places[1], places[2] - places[1]
    return np.degrees(np.arctan2(np.linalg.norm(np.cross(one, other)), one @ other))


def test_every_measure_of_a_table_and_of_a_rule_has_an_entry():
    box = design_box(WedgeBox(50, 40, 30)).placement
    shown = {*names_of(box), *demo_box().measures().quantity, *error_effects(box, draws=1000).measures().quantity, *SEEN}
    assert shown.union(*map(named_in, ("conflicts", "best_ports", "design_box"))) == set(QUANTITIES)


@pytest.mark.parametrize("name", QUANTITIES)
def test_a_drawing_and_its_letter_are_inside_the_picture(name):
    for part in ElementTree.fromstring(svg(QUANTITIES[name].drawn, QUANTITIES[name].symbol)):
        if part.tag.endswith("path"):
            ends = np.array(re.findall(r"-?\d+\.\d", part.get("d")), dtype=float).reshape(-1, 2)
            assert ends.min() >= 4 and (ends <= (WIDTH - 4, HEIGHT - 4)).all()
        else:
            x, base, half = float(part.get("x")), float(part.get("y")), 0.3 * LETTER * len(part.text)
            assert half - 1 <= x <= WIDTH - half + 1 and 0.75 * LETTER <= base <= HEIGHT - 0.1 * LETTER


@pytest.mark.parametrize("name", dict.fromkeys(names_of(ARRANGED)))
def test_what_is_drawn_thick_is_the_measure(name):
    thick = [mark for mark in QUANTITIES[name].drawn.split()[1:] if "." not in mark and mark not in _OUTLINES]
    angles = [mark for mark in thick if len(mark) == 3 and mark.isalpha()]
    drawn = size(angles[0]) if angles else size(thick[0])
    if QUANTITIES[name].unit == "ratio":
        drawn /= size(thick[1])
    seen = ARRANGED.replace(aim=_PLACES["A"] - _PLACES["C"]) if name == "off-centre angle" else ARRANGED
    value = next(row.value for row in rows_of(seen) if row.quantity == name)
    if name == "camera roll":
        up = np.cross(_PLACES["C"] - _PLACES["T"], _PLACES["s"] - _PLACES["T"])
        value = camera_roll(_PLACES["C"], _PLACES["T"], up=up)
    assert drawn == pytest.approx(abs(value), abs=1e-9)


@pytest.mark.parametrize("name", QUANTITIES)
def test_the_lesson_of_a_measure_mentions_it(name):
    [lesson] = NOTEBOOKS.glob(f"{QUANTITIES[name].lesson}_*.ipynb")
    cells = json.loads(lesson.read_text(encoding="utf-8"))["cells"]
    prose = " ".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")
    assert name in " ".join(prose.replace("*", "").lower().split())


def test_the_glossary_shows_all_measures_in_alphabetical_order_or_one():
    said = [line.partition(" (")[0] for line in repr(glossary()).split("\n\n")]
    assert said == sorted(QUANTITIES) and len(re.findall("<img", glossary()._repr_html_())) == len(QUANTITIES)
    one, depth = " ".join(repr(glossary("depth")).split()), QUANTITIES["depth"]
    assert one == f"depth (h, in cm): {depth.means} Lesson {depth.lesson}."


def test_each_name_in_a_table_opens_its_entry_once_and_the_text_stays():
    table = demo_box().measures()
    opened = re.findall("<summary>(.*?)</summary>", table._repr_html_())
    assert sorted(opened) == sorted(set(table.quantity)) and "<" not in repr(table)
    pairs = comparison_panel(WedgeBox(44, 36, 27)).measures()._repr_html_()
    assert re.search("<summary>hand to hand .cm.</summary><div[^>]*><b>handle separation</b>", pairs)


def test_a_list_opens_the_entry_of_a_measure_once_where_an_item_begins_with_it_and_the_text_stays():
    rules = conflicts({"manipulation angle": 60, "port spacing": 20, "working distance": (7.5, 15)})
    opened = re.findall("<summary>(.*?)</summary>", rules._repr_markdown_())
    assert opened == ["manipulation angle of 60 degrees", "port spacing of 20 cm", "working distance 7.5 to 15 cm"]
    apart = design_box(WedgeBox(44, 36, 27), targets=[(0, 5, 0), (12, 12, 0)])
    assert [words for words in apart.not_met if f"<summary>{words}</summary>" in apart._repr_markdown_()] == [apart.not_met[0]]
    tape = demo_box().tape
    assert re.findall("<summary>(.*?)</summary>", tape._repr_markdown_())[0] in repr(tape)
    assert not any("<" in line for each in (rules, apart, tape) for line in repr(each).splitlines() if "θ" not in line)


def test_a_move_sends_names_and_no_entry(monkeypatch):
    explorer, sent = placement_explorer(), []
    monkeypatch.setattr(w.Widget, "_send", lambda self, message, buffers=None: sent.append(json.dumps(message, default=str)))
    explorer.controls["port spacing"].value += 1
    assert any("<button>depth</button>" in message for message in sent)
    assert not any("data:image" in message or "Lesson" in message for message in sent)
    assert sum(map(len, sent)) < 13_000


@pytest.mark.parametrize("name", QUANTITIES)
def test_an_entry_is_one_or_two_short_sentences(name):
    sentences = re.split(r"(?<=\.) ", QUANTITIES[name].means)
    assert len(sentences) <= 2 and all(len(each.split()) <= 30 for each in sentences)

"""The slides, read back by python-pptx and Pillow."""

import io
import re
from functools import cache
from pathlib import Path
from zipfile import ZipFile

import numpy as np
import pytest
from PIL import Image
from pptx import Presentation
from pptx.enum.shapes import MSO_SHAPE_TYPE, PP_PLACEHOLDER
from pptx.oxml.ns import qn

from ergokit import Placement, datasets, judge
from ergokit.explorers.presets import PRESETS
from ergokit.figures import GALLERY
from ergokit.guidance.cautions import FOR_EDUCATION
from ergokit.placement.demo import INVENTED, demo_box
from ergokit.relations import RELATIONS
from ergokit.talk import deck as module
from ergokit.talk import write_deck

PLACEMENT = PRESETS["one port higher"][0]()
_title = cache(lambda name: GALLERY[name](PLACEMENT).layout.meta["title"])


@pytest.fixture(scope="module")
def deck(needs_browser, tmp_path_factory):
    """The whole deck as a browser draws it."""
    return Presentation(write_deck(tmp_path_factory.mktemp("deck") / "talk.pptx", PLACEMENT))


@pytest.fixture
def blank(monkeypatch):
    """White pictures, where it is not about them."""

    def white(figs, dots, progress):
        for fig in figs:
            png = io.BytesIO()
            Image.new("RGB", (round(fig.layout.width), round(fig.layout.height)), "white").save(png, "png")
            yield png.getvalue()

    monkeypatch.setattr(module, "pictures", white)


def _pictures(deck):
    """(slide, its picture) of the slides that have one."""
    for slide in deck.slides:
        for shape in slide.placeholders:
            if shape.shape_type == MSO_SHAPE_TYPE.PLACEHOLDER and shape.placeholder_format.type == PP_PLACEHOLDER.PICTURE:
                yield slide, shape


def test_one_slide_a_figure_between_the_opening_and_the_cautions(deck):
    assert deck.slide_width / deck.slide_height == pytest.approx(16 / 9, abs=1e-4)
    titles = [slide.shapes.title.text for slide in deck.slides]
    figures = [_title(name) for name in GALLERY]
    assert titles == ["Where do the ports go?", "What this placement measures", *figures, "Cautions"]
    assert len(list(_pictures(deck))) == len(GALLERY)


def test_every_picture_is_whole_sharp_and_described(deck):
    for slide, picture in _pictures(deck):
        alt = picture._element.nvPicPr.cNvPr.get("descr")
        assert len(alt) > 60 and not re.search(r"\bnan\b|None", alt), slide.shapes.title.text
        cropped = np.abs([picture.crop_left, picture.crop_right, picture.crop_top, picture.crop_bottom])
        assert (cropped < 0.002).all(), "the picture has not the shape of its place"
        wide, high = Image.open(io.BytesIO(picture.image.blob)).size
        assert picture.width / picture.height == pytest.approx(wide / high, rel=0.005), "the picture is stretched"
        words = slide.placeholders[2]
        assert picture.left + picture.width <= words.left or picture.top + picture.height <= words.top, "words on the picture"
        dots = np.asarray(Image.open(io.BytesIO(picture.image.blob)).convert("L"))
        assert dots.shape[1] / (picture.width / 914400) >= 140, "fewer than 140 dots to the inch"
        assert 0.003 < (dots < 200).mean() < 0.4
        for edge in (dots[:2], dots[-2:], dots[:, :2], dots[:, -2:]):
            assert (edge > 250).all(), f"something is cut off: {slide.shapes.title.text}"


def _points(shape):
    """The letters of a placeholder as they are inherited from its layout."""
    own = shape._element.txBody.find(f".//{qn('a:defRPr')}")
    if own is not None:
        return int(own.get("sz")) / 100
    index = shape.placeholder_format.idx
    layout = next(each for each in shape.part.slide.slide_layout.placeholders if each.placeholder_format.idx == index)
    found = layout._element.txBody.find(f".//{qn('a:lstStyle')}/{qn('a:lvl1pPr')}/{qn('a:defRPr')}")
    return int(found.get("sz")) / 100


def test_text_is_native_large_enough_and_on_the_slide(deck):
    small = (PP_PLACEHOLDER.FOOTER, PP_PLACEHOLDER.SLIDE_NUMBER)
    for slide in deck.slides:
        for shape in slide.placeholders:
            kind = shape.placeholder_format.type
            assert shape.left >= 0 and shape.left + shape.width <= deck.slide_width
            assert shape.top >= 0 and shape.top + shape.height <= deck.slide_height
            if kind == PP_PLACEHOLDER.PICTURE:
                continue
            assert shape.text_frame.text.strip(), f"an empty {shape.name} on {slide.shapes.title.text}"
            assert _points(shape) >= (12 if kind in small else 18), shape.name
            # About half as wide as high each; a quarter to spare for words that do not break where a line ends.
            letters = _points(shape) / 72 * 914400
            lines = sum(-(-len(line) * 0.5 * letters // shape.width) for line in shape.text_frame.text.split("\n"))
            assert 1.2 * letters * lines <= 1.25 * shape.height, f"too many words for {shape.name}: {shape.text_frame.text}"
        footer = next(shape for shape in slide.placeholders if shape.placeholder_format.type == PP_PLACEHOLDER.FOOTER)
        assert footer.text_frame.text.startswith("For education. Not for planning an operation.")


def test_notes_hold_the_derivation_and_the_sources(deck):
    notes = {slide.shapes.title.text: slide.notes_slide.notes_text_frame.text for slide in deck.slides}
    assert all(len(text) > 60 for text in notes.values())
    titles = {name: _title(name) for name in GALLERY}
    for name, title in titles.items():
        assert "Source: " in notes[title] and FOR_EDUCATION in notes[title], name
        assert not re.search(r"\\|\*|\btheta\b|\bvec\b", notes[title]), "not letters for a speaker"
    assert "s^2 = L_L^2 - 2 L_L L_R cos(θ) + L_R^2" in notes[titles["triangle"]]
    assert "1. From port to port is the difference of the two shafts.  s^2 = |p|^2" in notes[titles["triangle"]]
    assert "tan(D/2) = tan(θ/2)/sin(β)" in notes[titles["monitor"]]
    assert "r = L/(-L + S)" in notes[titles["lever"]] and "Emam TA" in notes[titles["lever"]]
    assert "Yunusa B" in notes[titles["experiments"]] and "Manasnayakorn S" in notes[titles["experiments"]]
    for name, relations in module._DERIVED.items():
        for relation in relations:
            for prose, _ in RELATIONS[relation].steps:
                assert prose in notes[titles[name]]


def test_the_table_says_what_the_judge_says(deck):
    [frame] = [shape for shape in deck.slides[1].shapes if shape.has_table]
    cells = [[cell.text for cell in row.cells] for row in frame.table.rows]
    judged, told = judge(PLACEMENT), deck.slides[1].notes_slide.notes_text_frame.text
    for quantity, shown, verdict in cells[1:]:
        rows = judged[judged["quantity"] == quantity.removesuffix(", left and right")]
        found = re.findall(r"-?[\d.]+", shown)
        assert [float(part) for part in found] == pytest.approx(rows["value"].tolist(), abs=0.051)
        assert {len(part.partition(".")[2]) for part in found} == {2 if quantity.startswith("inside : outside") else 1}
        judgements = rows["against published advice"]
        assert set(verdict.split(" and ")) == {said.partition(";")[0] for said in judgements}
        assert all(f"{said}. {why}" in told for said, why in zip(judgements, rows["because"], strict=True) if why)
    assert cells[1] == ["manipulation angle", "61.5°", "in the advised range"]
    assert "manipulation angle: 61.5°: in the advised range" in frame._element.nvGraphicFramePr.cNvPr.get("descr")


def _inside(path):
    """Name -> text of each part of the file, also of those that no reader of slides shows."""
    with ZipFile(path) as file:
        return {name: file.read(name).decode("utf-8", "replace") for name in file.namelist()}


def test_a_deck_carries_nobody_s_name_brand_date_picture_or_printer(blank, tmp_path):
    path = write_deck(tmp_path / "talk.pptx", PLACEMENT, figures=("triangle", "rules"))
    parts = _inside(path)
    assert not [name for name in parts if re.search("thumbnail|printerSettings|docProps/app", name)]
    for name, text in parts.items():
        if not name.endswith(".png"):
            told = re.sub(r'xmlns:\w+="[^"]*"|uri="[^"]*"|(?:Type|Target|ContentType|typeface)="[^"]*"', "", text)
            assert not re.search("Canny|python-pptx|PowerPoint|Microsoft|Macintosh|Office|datetime|screen4x3", told), name
            assert not re.search(r">[^<]*\b(19|20)\d\d-\d\d-\d\d|\b\d\d?/\d\d?/\d\d\b", told), name
    assert "extLst" not in parts["ppt/presProps.xml"]
    known = Presentation(path).core_properties
    assert (known.author, known.last_modified_by, known.comments, known.created, known.modified) == ("", "", "", None, None)
    assert known.title == "Where do the ports go?"


def test_title_and_author_of_the_file_are_the_speaker_s(blank, tmp_path):
    path = write_deck(tmp_path / "talk.pptx", PLACEMENT, figures=("triangle",), title="Monday", author="A. Registrar")
    known = Presentation(path).core_properties
    assert (known.title, known.author) == ("Monday", "A. Registrar")


def test_only_slides_of_demo_data_say_that_it_is_invented(blank, tmp_path):
    course = np.array([[row[axis] for axis in "xyz"] for row in datasets.records("demo_targets")])
    for placement, said in ((demo_box(), True), (PLACEMENT.replace(target=course), True), (PLACEMENT, False)):
        path = write_deck(tmp_path / "talk.pptx", placement, figures=("triangle",), overwrite=True)
        for slide in Presentation(path).slides:
            [foot] = [each for each in slide.placeholders if each.placeholder_format.type == PP_PLACEHOLDER.FOOTER]
            assert (INVENTED in foot.text_frame.text) is said
        assert (INVENTED in Presentation(path).slides[0].placeholders[1].text_frame.text) is said


def test_figures_are_chosen_by_name_in_order_and_the_title_is_yours(blank, tmp_path):
    path = write_deck(tmp_path / "two.pptx", PLACEMENT, figures=("lever", "triangle"), title="Monday")
    titles = [slide.shapes.title.text for slide in Presentation(path).slides]
    assert titles[0] == "Monday" and titles[2].startswith("The hand moves") and titles[3].startswith("The instruments meet")
    assert len(titles) == 5


def test_another_placement_a_box_and_one_of_many_targets_are_taken(blank, tmp_path):
    many = PLACEMENT.replace(target=[(0, 8, 0), (2, 6, 0)])
    other = PLACEMENT.replace(camera=(0, 22, 11))
    path = write_deck(tmp_path / "a.pptx", many, figures=("triangle", "side by side"), focus=1, other=other)
    slides = Presentation(path).slides
    one = PLACEMENT.replace(target=(2, 6, 0))
    assert slides[2].shapes.title.text == GALLERY["triangle"](one).layout.meta["title"]
    assert slides[3].shapes.title.text == GALLERY["side by side"](one, other=other).layout.meta["title"]
    [table] = [shape.table for shape in slides[1].shapes if shape.has_table]
    assert table.cell(1, 1).text == f"{judge(one)['value'].iloc[1]:.1f}°"


def test_what_tape_readings_leave_open_is_left_out(blank, tmp_path):
    tape = Placement.from_tape(16, 16, 16, camera_to_target=15, camera_above_ports=6)
    slides = Presentation(write_deck(tmp_path / "tape.pptx", tape)).slides
    titles = [slide.shapes.title.text for slide in slides]
    assert len(titles) == 3 + 6 and "Steep instruments cannot open wide" not in titles
    [table] = [shape.table for shape in slides[1].shapes if shape.has_table]
    assert ["hand-eye rotation", "no value", "no value"] in [[cell.text for cell in row.cells] for row in table.rows]


@pytest.mark.parametrize(
    ("name", "options", "says"),
    [
        ("talk.ppt", {}, r"path takes a name that ends in \.pptx"),
        ("old.pptx", {}, r"path names a file that exists, .*; pass overwrite=True"),
        ("talks/monday.pptx", {}, r"path takes a file in a folder that exists; .*talks does not"),
        ("a.pptx", {"figures": ("levers",)}, r"figures takes some of triangle, side by side, .*; got 'levers'"),
    ],
)
def test_what_cannot_be_is_refused_before_anything_is_drawn(tmp_path, monkeypatch, name, options, says):
    (tmp_path / "old.pptx").write_text("old")
    monkeypatch.setattr(module, "pictures", None)
    with pytest.raises(ValueError, match=says):
        write_deck(tmp_path / name, PLACEMENT, **options)
    assert [path.name for path in tmp_path.iterdir()] == ["old.pptx"]


@pytest.mark.parametrize("wrong", [KeyboardInterrupt(), OSError(28, "No space left on device")])
def test_an_interrupted_or_full_write_leaves_the_old_deck(blank, tmp_path, monkeypatch, wrong):
    def half(self, file):
        Path(file).write_text("half")
        raise wrong

    (tmp_path / "talk.pptx").write_text("old")
    monkeypatch.setattr("pptx.presentation.Presentation.save", half)
    with pytest.raises((KeyboardInterrupt, ValueError), match="No space left" if isinstance(wrong, OSError) else None):
        write_deck(tmp_path / "talk.pptx", PLACEMENT, figures=("triangle",), overwrite=True)
    assert [(path.name, path.read_text()) for path in tmp_path.iterdir()] == [("talk.pptx", "old")]

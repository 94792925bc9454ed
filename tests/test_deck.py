"""The slides, read back by python-pptx and Pillow."""

import io
import re
from functools import cache
from pathlib import Path
from zipfile import ZipFile

import cv2
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
from ergokit.talk import plan, write_deck

PLACEMENT = PRESETS["one port higher"][0]()
_title = cache(lambda name: GALLERY[name](PLACEMENT).layout.meta["title"])


@pytest.fixture(scope="module")
def deck(needs_browser, tmp_path_factory):
    """The longest deck as a browser draws it, with every figure of the gallery behind, and a code."""
    path = tmp_path_factory.mktemp("deck") / "talk.pptx"
    return Presentation(
        write_deck(path, PLACEMENT, minutes=20, figures=GALLERY, author="A. Speaker", address="https://a.example")
    )


@pytest.fixture
def blank(monkeypatch):
    """White pictures, where it is not about them."""

    def white(figs, dots, progress):
        for fig in figs:
            png = io.BytesIO()
            Image.new("RGB", (round(fig.layout.width), round(fig.layout.height)), "white").save(png, "png", compress_level=1)
            yield png.getvalue()

    monkeypatch.setattr(module, "pictures", white)


def _pictures(deck):
    """(slide, its picture) of the slides that have one."""
    for slide in deck.slides:
        for shape in slide.placeholders:
            if shape.shape_type == MSO_SHAPE_TYPE.PLACEHOLDER and shape.placeholder_format.type == PP_PLACEHOLDER.PICTURE:
                yield slide, shape


def _titles(path):
    return [slide.shapes.title.text for slide in Presentation(path).slides]


def _notes(slide):
    return slide.notes_slide.notes_text_frame.text


_FIVE = ["Where do the ports go?", "Interests to declare", "Two triangles: which is harder?", "Ports half as far apart"]
_FIVE += ["Equal sides give 60°", "Camera from the middle to the side: 60° becomes 30°", "Of the mean times read"]
_END = ["Five lines to take home", "Cautions", "References"]
_TEN = [*_FIVE[:5], "Sideways or deeper: which costs more?", "56° against 47°", *_FIVE[5:]]
_TEN += ["Once more, with new numbers: which is harder?", "A meets at 60.0°, B at 36.4°"]


@pytest.mark.parametrize(("minutes", "titles"), [(5, [*_FIVE, *_END]), (10, [*_TEN, *_END])])
def test_the_talk_asks_before_it_tells_and_lasts_as_long_as_it_says(blank, tmp_path, minutes, titles):
    slides = Presentation(write_deck(tmp_path / "talk.pptx", PLACEMENT, minutes=minutes)).slides
    found = [slide.shapes.title.text for slide in slides]
    assert found[-1] == "What this placement measures", "to have at hand, behind the references"
    assert all(title.startswith(start) for title, start in zip(found[:-1], titles, strict=True)), found
    seconds = [re.match(r"(\d+) seconds\.", _notes(slide)) for slide in slides]
    assert sum(int(each[1]) for each in seconds if each) == 60 * minutes


def test_a_question_has_its_ranges_wrong_guesses_and_its_answer_on_the_next_slide(deck):
    slides = list(deck.slides)
    asked = [i for i, slide in enumerate(slides) if "Ranges: " in _notes(slide)]
    assert len(asked) == 4
    for i in asked:
        notes = _notes(slides[i])
        assert "A common wrong guess: " in notes and "Everybody writes a guess down" in notes
        ranges = re.search(r"Ranges: (.*)\.", notes)[1].split(", ")
        right = re.search(r"The answer is in the range (.*?)\. The next", notes)[1]
        assert len(ranges) == 4 and right in ranges
        told = slides[i].shapes.title.text + slides[i].placeholders[1].name
        assert right not in told


def test_the_numbers_of_the_talk_are_right():
    """Worked by hand with sides of 18 cm: the depth is 9 root 3, and 5 cm are gone aside, deeper and nearer."""
    depth = 9 * np.sqrt(3)

    def degrees(*ratios):
        return float(np.degrees(np.arctan(ratios)).sum())

    [_, told] = plan._cost()
    aside, deeper, nearer = degrees(14 / depth, 4 / depth), 2 * degrees(9 / (depth + 5)), 2 * degrees(9 / (depth - 5))
    assert told.title.startswith(f"{aside:.0f}° against {deeper:.0f}°") and (round(aside), round(deeper)) == (56, 47)
    lengths = np.hypot([14, 4], depth)
    turns = [degrees(14 / depth), degrees(4 / depth)]
    ratios = lengths / (36 - lengths)
    assert told.says[1].endswith(
        f"{turns[0]:.0f} and {turns[1]:.0f}°, shaft inside over outside {ratios[0]:.2f} and {ratios[1]:.2f}."
    )
    assert [*np.round(turns), *ratios.round(2), round(nearer)] == [42, 14, 1.39, 0.81, 81]
    assert f"{nearer:.0f}°" in told.says[2]
    assert f"becomes {degrees(9 / depth):.0f}°" in plan._three_holes().title


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
    for slide in deck.slides:
        for shape in slide.placeholders:
            kind = shape.placeholder_format.type
            assert shape.left >= 0 and shape.left + shape.width <= deck.slide_width
            assert shape.top >= 0 and shape.top + shape.height <= deck.slide_height
            if kind == PP_PLACEHOLDER.PICTURE:
                continue
            blank = slide.shapes.title.text == "Interests to declare"  # for the speaker to fill in
            assert blank or shape.text_frame.text.strip(), f"an empty {shape.name} on {slide.shapes.title.text}"
            assert _points(shape) >= 18, shape.name
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
    assert "1. The line from port to port is the difference of the two shafts.  s^2 = |p|^2" in notes[titles["triangle"]]
    assert "tan(D/2) = tan(θ/2)/sin(β)" in notes[titles["monitor"]]
    assert "r = L/(-L + S)" in notes[titles["lever"]] and "Emam TA" in notes[titles["lever"]]
    assert "Yunusa B" in notes[titles["experiments"]] and "Manasnayakorn S" in notes[titles["experiments"]]
    for name, relations in plan.DERIVED.items():
        for relation in relations:
            for prose, _ in RELATIONS[relation].steps:
                assert prose in notes[titles[name]]


def test_the_table_says_what_the_judge_says(deck):
    [(slide, frame)] = [(slide, shape) for slide in deck.slides for shape in slide.shapes if shape.has_table]
    cells = [[cell.text for cell in row.cells] for row in frame.table.rows]
    judged, told = judge(PLACEMENT), _notes(slide)
    for quantity, shown, advised, verdict in cells[1:]:
        assert advised == "nothing" or re.search(r", .*(\d{4}|Mishra)$", advised), "without its source"
        rows = judged[judged["quantity"] == quantity.removesuffix(", left and right")]
        found = re.findall(r"-?[\d.]+", shown)
        assert [float(part) for part in found] == pytest.approx(rows["value"].tolist(), abs=0.051)
        assert {len(part.partition(".")[2]) for part in found} == {2 if quantity.startswith("inside : outside") else 1}
        judgements = rows["against published advice"]
        assert set(verdict.split(" and ")) == {said.partition(";")[0] for said in judgements}
        assert all(f"{said}. {why}" in told for said, why in zip(judgements, rows["because"], strict=True) if why)
    assert cells[1] == ["manipulation angle", "61.5°", "45 to 75 degrees, Hanna et al. 1997", "in the advised range"]
    assert (
        "manipulation angle: 61.5°: 45 to 75 degrees, Hanna et al. 1997: in the advised range"
        in frame._element.nvGraphicFramePr.cNvPr.get("descr")
    )


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
        titles = _titles(path)
        assert ("What the invented demo box measures" in titles) is said


def test_figures_come_behind_the_references_unless_the_talk_shows_them(blank, tmp_path):
    path = write_deck(tmp_path / "two.pptx", PLACEMENT, minutes=20, figures=("lever", "tolerance", "triangle"), title="Monday")
    titles = _titles(path)
    assert titles[0] == "Monday" and sum(title.startswith("The hand moves") for title in titles) == 1
    behind = titles[titles.index("References") + 1 :]
    assert [title.split()[0] for title in behind] == ["Holes", "The"]


def test_another_placement_a_box_and_one_of_many_targets_are_taken(blank, tmp_path):
    many = PLACEMENT.replace(target=[(0, 8, 0), (2, 6, 0)])
    other = PLACEMENT.replace(camera=(0, 22, 11))
    path = write_deck(tmp_path / "a.pptx", many, figures=("triangle",), focus=1, other=other, name="Ward 4")
    one = PLACEMENT.replace(target=(2, 6, 0))
    titles = _titles(path)
    assert GALLERY["triangle"](one).layout.meta["title"] in titles and "What the box “Ward 4” measures" in titles
    assert GALLERY["side by side"](one, other=other).layout.meta["title"] in titles
    [table] = [shape.table for slide in Presentation(path).slides for shape in slide.shapes if shape.has_table]
    assert table.cell(1, 1).text == f"{judge(one)['value'].iloc[1]:.1f}°"


def test_what_tape_readings_leave_open_is_left_out(blank, tmp_path):
    tape = Placement.from_tape(16, 16, 16, camera_to_target=15, camera_above_ports=6)
    path = write_deck(tmp_path / "tape.pptx", tape, minutes=20)
    assert not [title for title in _titles(path) if "monitor" in title or "table at" in title]
    [table] = [shape.table for slide in Presentation(path).slides for shape in slide.shapes if shape.has_table]
    assert ["hand-eye rotation", "no value", "nothing", "no value"] in [[cell.text for cell in row.cells] for row in table.rows]


def test_the_title_slide_names_speaker_place_and_date_and_gives_no_answer(blank, tmp_path):
    said = {"author": "A. Registrar", "place": "Skills room", "date": "3 December"}
    slides = Presentation(write_deck(tmp_path / "a.pptx", PLACEMENT, **said)).slides
    assert slides[0].placeholders[1].text_frame.text == "A. Registrar\nSkills room · 3 December"
    words = " ".join(shape.text_frame.text for slide in list(slides)[:3] for shape in slide.shapes if shape.has_text_frame)
    assert "61.5" not in words


def test_the_code_leads_to_the_speaker_s_address(blank, tmp_path):
    """Read back by OpenCV."""
    path = write_deck(tmp_path / "a.pptx", PLACEMENT, address="https://example.org/box?ward=4")
    [code] = [
        shape
        for slide in Presentation(path).slides
        for shape in slide.shapes
        if shape.shape_type == MSO_SHAPE_TYPE.PICTURE and not shape.is_placeholder
    ]
    assert code._element.nvPicPr.cNvPr.get("descr") == "QR code of https://example.org/box?ward=4"
    dots = np.asarray(Image.open(io.BytesIO(code.image.blob)).convert("L"))
    assert cv2.QRCodeDetector().detectAndDecode(dots)[0] == "https://example.org/box?ward=4"


@pytest.mark.parametrize(
    ("name", "options", "says"),
    [
        ("talk.ppt", {}, r"give a name that ends in \.pptx.*\(path\)"),
        ("old.pptx", {}, r"^The file '.*' exists already; pass overwrite=True"),
        ("talks/monday.pptx", {}, r"^The folder '.*talks' does not exist; choose one that does \(path\)"),
        ("a.pptx", {"figures": ("levers",)}, r"'levers' cannot be used; give some of triangle, side by side, .* \(figures\)"),
        ("a.pptx", {"minutes": 15}, r"There is no talk of 15 minutes; give 5, 10 or 20 \(minutes\)\."),
        ("a.pptx", {"address": "a\nb"}, r"give an address of at most 200 letters.*\(address\)"),
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

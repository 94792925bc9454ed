"""One table of cautions, found again in each place it feeds: read back from the files as a reader gets them."""

import ast
import html
import io
import json
import re
from pathlib import Path

import pytest
from pdfs import texts
from PIL import Image
from pptx import Presentation

from ergokit.design import design_box
from ergokit.explorers import placement_explorer
from ergokit.explorers.presets import usual
from ergokit.guidance import cautions
from ergokit.guidance.cautions import CAUTIONS, CUT_BY, FOR_EDUCATION, OF_A_DOME, OF_QUESTIONS, ON_SLIDE, STEPS
from ergokit.problems import write_sheet
from ergokit.surfaces import Dome, FlatBox, WedgeBox
from ergokit.talk import write_deck, write_handout
from ergokit.template import write_template

ROOT = Path(__file__).parent.parent


def lesson(number):
    """All the prose of a lesson."""
    [path] = (ROOT / "notebooks").glob(f"{number}_*.ipynb")
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    return "\n\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")


def listed(text):
    """The lines of the list below the heading "Cautions"."""
    return re.findall(r"^- (.+)$", text.partition("## Cautions")[2].partition("\n##")[0], re.M)


@pytest.fixture(scope="module")
def template(tmp_path_factory):
    """The words on each page of the templates of a wedge and of a flat box."""

    def read(box, **design):
        made = design_box(box, **design)
        path = tmp_path_factory.mktemp("cautions") / "box.pdf"
        write_template(path, made, whole_panel=True)
        return [" ".join(page.split()) for page in texts(path)]

    return read(WedgeBox(50, 40, 30)), read(FlatBox(40, 30, 15), rules={"working distance": None})


@pytest.fixture(scope="module")
def deck(tmp_path_factory):
    """Slides with white pictures."""

    def white(figs, dots, progress):
        for fig in figs:
            png = io.BytesIO()
            Image.new("RGB", (round(fig.layout.width), round(fig.layout.height)), "white").save(png, "png")
            yield png.getvalue()

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("ergokit.talk.deck.pictures", white)
        return Presentation(write_deck(tmp_path_factory.mktemp("deck") / "talk.pptx", usual(), figures=("triangle", "box")))


# What a teacher of this says, in the fewest words that carry it: topic, and what its steps must hold.
@pytest.mark.parametrize(
    ("topic", "words"),
    [
        ("knife", "craft knife, never a scalpel"),
        ("knife", "cut-resistant glove on the other hand"),
        ("knife", "theatre gloves: they stop no blade"),
        ("knife", "Draw the blade in between cuts"),
        ("knife", "put a board inside"),
        ("knife", "no hand behind"),
        ("light", "battery LED that is still cool after ten minutes"),
        ("light", "theatre light lead, a halogen lamp, diathermy or a power bank"),
        ("needles", "Begin without needles"),
        ("needles", "needle holder"),
        ("needles", "sharps bin"),
        ("needles", "Count needles out and in. If one is missing, stop and find it"),
        ("at the box", "no hand inside while instruments move"),
        ("at the box", "Tether the phone"),
        ("at the box", "torch off"),
        ("at the box", "food, children and pets"),
        ("at the box", "animal tissue"),
        ("instruments", "no used theatre instrument"),
        ("if you are hurt", "needle-stick wash the wound and report"),
        ("if you are hurt", "Press on a deep cut and seek help"),
    ],
)
def test_the_table_has_what_a_teacher_would_say(topic, words):
    assert words in " ".join(STEPS[topic])


def test_cautions_are_sentences_of_at_most_30_words_without_contractions():
    for words in (*CAUTIONS, *CUT_BY, OF_QUESTIONS, *(step for steps in STEPS.values() for step in steps)):
        assert words[0].isupper() and words.endswith(".") and not re.search(r"n't|'re|'ll", words)
        assert max(len(sentence.split()) for sentence in re.split(r"(?<=\.) ", words)) <= 30, words


def test_the_readme_and_the_start_lesson_list_them():
    assert listed((ROOT / "README.md").read_text(encoding="utf-8")) == list(CAUTIONS)
    assert listed(lesson("00")) == list(CAUTIONS)


@pytest.mark.parametrize("topic", ["knife", "light"])
def test_who_cuts_in_lesson_03_reads_each_step_where_it_is_done(topic):
    cut = lesson("03").partition("## Cut")[2].partition("\n## ")[0]
    assert all(step in cut for step in STEPS[topic])


def test_lessons_03_and_04_say_what_belongs_to_a_box():
    assert [step for topic in ("needles", "at the box", "instruments", "if you are hurt") for step in STEPS[topic]] == [
        line for line in listed(lesson("03")) if line not in CAUTIONS
    ]
    assert all(words in lesson("04") for words in (*CUT_BY, STEPS["at the box"][0]))


def test_the_first_page_of_a_template_is_the_list_to_set_up_by(template):
    for first, *_ in template:
        assert first.startswith("Set-up and safety")
        assert all(step in first for steps in STEPS.values() for step in steps)
        assert FOR_EDUCATION in first


def test_each_sheet_that_is_cut_by_carries_the_lines_for_knife_and_light(template):
    for _, *pages in template:
        cut_by = [page for page in pages if not page.startswith("Measures")]
        assert len(cut_by) >= 6
        for page in cut_by:
            assert all(words in page for words in CUT_BY), page[:40]


def test_the_page_for_a_phone_lists_them(tmp_path):
    page = write_handout(tmp_path / "page.html", usual()).read_text(encoding="utf-8")
    section = page.partition('<div class="cautions">')[2].partition("</div>")[0]
    assert html.unescape(section).partition("<p>")[2].startswith(" ".join((FOR_EDUCATION, *CUT_BY)))
    assert [html.unescape(words) for words in re.findall("<li>(.*?)</li>", section)] == list(CAUTIONS)


def test_the_slide_of_cautions_and_the_slide_of_the_box(deck):
    *_, box = deck.slides
    [last] = [slide for slide in deck.slides if slide.shapes.title.text == "Cautions"]
    assert last.placeholders[1].text_frame.text.split("\n") == list(ON_SLIDE)
    assert set(ON_SLIDE) < set(CAUTIONS) and OF_A_DOME in ON_SLIDE
    assert "holes in a panel" in box.shapes.title.text
    assert all(words in box.placeholders[2].text_frame.text for words in CUT_BY)


def test_a_sheet_of_questions_says_that_its_rules_are_invented(tmp_path):
    first, *_ = texts(write_sheet(tmp_path / "sheet.pdf", n=3, seed=1))
    assert OF_QUESTIONS in " ".join(first.split())


def test_a_dome_brings_its_caution_into_the_placement_explorer_and_takes_it_along():
    def words():
        shown = explorer.caution.layout.display != "none"
        return html.unescape(explorer.caution.value) if shown else ""

    explorer = placement_explorer()
    assert words() == ""
    explorer.surface.value = "dome"
    assert OF_A_DOME in words() and FOR_EDUCATION in words()
    for listed in ("monitor", "Python", "measures"):  # in sight whatever is listed
        explorer.list.value = listed
        assert OF_A_DOME in words()
    explorer.reset()
    assert words() == ""
    explorer = placement_explorer(surface=Dome(17, 21, 6))
    assert OF_A_DOME in words()
    explorer.surface.value = "flat lid"
    assert words() == ""


def test_no_other_file_has_a_caution_of_its_own():
    """What the package says of it, other than in documentation, stands once: in the table."""
    for path in (ROOT / "ergokit").rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        if path.name == "cautions.py" or not re.search("permission|surgeon|cool|scalpel|theatre", text):
            continue  # without one of these words it says none of them
        told = list(ast.walk(ast.parse(text)))
        documentation = {id(each.value) for each in told if isinstance(each, ast.Expr)}
        for each in told:
            if isinstance(each, ast.Constant) and isinstance(each.value, str) and id(each) not in documentation:
                assert not re.search("not permission|supervising surgeon|cool after|scalpel|theatre glove", each.value), path
    assert cautions.CAUTION in CAUTIONS

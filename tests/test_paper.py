"""What a talk has on paper, read back by pdfplumber, and the show of hands."""

import re
from itertools import pairwise

import pdfplumber
import pytest

from ergokit import Placement, datasets, desk
from ergokit.explorers import exercise, show_of_hands
from ergokit.explorers.hands import Hands
from ergokit.guidance.cautions import ON_SLIDE
from ergokit.placement.demo import INVENTED, demo_box
from ergokit.talk import write_cards, write_teacher_page
from ergokit.talk.plan import ENDS, MINUTES, planned

PLACEMENT = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))
ROW = re.compile(r"^(\d+):(\d\d) (\d+) s ", re.MULTILINE)


def read(path):
    """Words of all pages, the sizes of the pages, and what the file says of itself."""
    with pdfplumber.open(path) as pdf:
        words = "\n".join(page.extract_text() for page in pdf.pages)
        return words, [(page.width, page.height) for page in pdf.pages], pdf.metadata


def flat(words):
    return " ".join(words.split())


@pytest.mark.parametrize("minutes", MINUTES)
def test_the_teacher_has_the_session_by_the_minute_and_a_reply_to_each_wrong_guess(tmp_path, minutes):
    path = write_teacher_page(tmp_path / "teacher.pdf", demo_box(), minutes=minutes)
    words, sizes, about = read(path)
    rows = [(60 * int(m) + int(s), int(takes)) for m, s, takes in ROW.findall(words)]
    assert rows[0][0] == 0 and sum(rows[-1]) == 60 * minutes
    assert all(start + takes == after for (start, takes), (after, _) in pairwise(rows))
    slides = planned(demo_box(), minutes)
    assert len(rows) == len(slides) + len(ENDS)
    guesses = [guess for slide in slides for guess in slide.guesses]
    shown = re.sub(r"\s", "", words)
    assert len(guesses) >= 3 and all(len(slide.guesses) >= 2 for slide in slides if slide.asks)
    for guess in guesses:  # in columns, whose lines pdfplumber mixes: each word of a reply is there
        assert all(word in shown for word in guess.reply.split())
    assert {"On the board", "Bring", "Cautions"} <= set(words.split("\n")) and INVENTED in words
    assert all(line in flat(words) for line in ON_SLIDE)
    assert all(size == pytest.approx((595.3, 841.9), abs=0.1) for size in sizes) and len(sizes) <= 3
    assert {about[name] for name in ("Author", "Creator", "Producer")} == {"ergokit"}


def test_four_cards_of_a6_say_what_to_do_and_for_what(tmp_path):
    words, sizes, about = read(write_cards(tmp_path / "cards.pdf"))
    assert sizes == [pytest.approx((595.3, 841.9), abs=0.1)]
    [row] = [row for row in datasets.records("published_values") if row["source"] == "hanna-1997-ports" and row["low"] == 45]
    lines = [
        "TRAINING BOX ONLY",
        "Narrow?",
        "Move the holes apart.",
        "Turn the camera head.",
        "Table down or step up.",
        "Clashing?",
    ]
    lines += ["Move yourself, the screen or the camera hole.", "In a patient: ask your supervisor."]
    lines.append(f"{row['low']:g} to {row['high']:g}: knots on the bench, 1997.")
    assert {line: words.count(line) for line in lines} == dict.fromkeys(lines, 4)
    with pdfplumber.open(tmp_path / "cards.pdf") as pdf:
        ink = [letter for letter in pdf.pages[0].chars if letter["text"].strip()]
        ends = {x for letter in ink for x in (letter["x0"] % (595.3 / 2), letter["x1"] % (595.3 / 2))}
    assert min(ends) > 20 and max(ends) < 595.3 / 2 - 20, "words near the edge of a card, where a knife or a printer ends"
    assert about["Producer"] == about["Author"] == "ergokit"


def test_what_cannot_be_is_refused_and_nothing_is_left(tmp_path):
    (tmp_path / "old.pdf").write_text("mine")
    for path, says in (
        ("old.pdf", r"^The file '.*' exists already; pass overwrite=True .*\(path\)"),
        ("a.docx", r"give a name that ends in \.pdf.*\(path\)"),
    ):
        with pytest.raises(ValueError, match=says):
            write_cards(tmp_path / path)
        with pytest.raises(ValueError, match=says):
            write_teacher_page(tmp_path / path, PLACEMENT)
    with pytest.raises(ValueError, match=r"There is no talk of 7 minutes; give 5, 10 or 20 \(minutes\)\."):
        write_teacher_page(tmp_path / "b.pdf", PLACEMENT, minutes=7)
    assert [(path.name, path.read_text()) for path in tmp_path.iterdir()] == [("old.pdf", "mine")]


# The show of hands


def counted(counts, asked=0):
    hands = show_of_hands(PLACEMENT)
    hands.dispatch(Hands.asking, "asked", asked)
    for box, count in zip(hands.counts, counts, strict=True):
        box.value = count
    return hands


def test_bars_are_as_long_as_hands_and_the_answer_is_set_among_them_when_asked():
    hands = counted((3, 6, 0, 1))
    bars = [float(width) for width in re.findall(r"width: (\d+)px; height", hands.bars.value)]
    assert bars == [210, 420, 0, pytest.approx(420 / 6, abs=0.5)]
    assert "the answer" not in hands.bars.value
    hands.answer.value = True
    question = hands.state.question
    right = hands.bars.value.split('<div style="display: flex')[1 + question.right]
    assert "✓ the answer" in right and hands.bars.value.count("✓ the answer") == 1
    assert (
        hands.state.notice
        == f"{hands.state.counts[question.right]} of 10 chose the right range: {question.ranges[question.right]}."
    )
    hands.counts[0].value = 4
    assert "the answer" not in hands.bars.value, "another count takes it away"


def test_hands_are_kept_once_with_their_question_when_the_answer_shows():
    hands = counted((1, 2, 3, 4), asked=1)
    assert desk.happened("hands") == []
    hands.answer.value = True
    [kept] = desk.happened("hands")
    question = hands.state.question
    assert (kept["asked"], kept["counts"], kept["right"]) == (question.title, [1, 2, 3, 4], question.ranges[question.right])


def test_no_answer_before_hands_and_none_kept_over_from_another_question():
    hands = counted((0, 0, 0, 0))
    hands.answer.value = True
    assert "No hands were counted yet" in hands.status.value and not hands.answer.value
    hands.counts[2].value = 5
    hands.dispatch(Hands.asking, "asked", 2)
    assert hands.state.counts == (0, 0, 0, 0) == tuple(box.value for box in hands.counts)
    assert exercise(hands).startswith("3 questions asked") and desk.happened("hands") == []

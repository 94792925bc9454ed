"""On paper: a page for the teacher, who may have no screen, and a card for each listener."""

from __future__ import annotations

from pathlib import Path

from ergokit._check import a, a_text, checked, flag
from ergokit._files import ending_in, free_path, write_whole
from ergokit._pages import CUT, HAIR, HEADING, PAPERS, SMALL, TITLE, Layout, table, ticked, words, write_pages
from ergokit._types import FilePath
from ergokit.guidance.cautions import IN_THE_FOOT, ON_SLIDE
from ergokit.guidance.studies import advised
from ergokit.placement import Placement
from ergokit.placement.demo import remark
from ergokit.talk.plan import ENDS, MINUTES, WAIT, minutes_of, planned

_EDGES = (1.8, 1.7, 1.8, 1.5)  # cm: left, lower, right, upper
_BRING = (
    "The box with its holes, two instruments and something to touch inside.",
    "A tape in centimetres, and string to show the triangle in the air.",
    "Paper and a pen for each listener: a written guess cannot change.",
    "The slides, or a board and a marker.",
    "The cards, one for each listener, printed and cut.",
)
#: What is said on a card, a line each; the advised range is put in.
_CARD = (
    "Narrow? Move the holes apart.",
    "Horizon tilted? Turn the camera head.",
    "Side view? Move yourself, the screen or the camera hole.",
    "Shoulders up? Table down or step up.",
    "Clashing? Move the camera.",
    "{low:g} to {high:g}: knots on the bench, 1997.",
    "In a patient: ask your supervisor.",
)
CARD_HEAD = "TRAINING BOX ONLY"
_A6 = (10.5, 14.85)  # cm: a quarter of A4


@checked(placement=a(Placement), minutes=minutes_of, title=a_text, other=a(Placement), overwrite=flag)
def write_teacher_page(
    path: FilePath,
    placement: Placement,
    *,
    minutes: int = 10,
    title: str = "Where do the ports go?",
    focus: int = 0,
    other: Placement | None = None,
    overwrite: bool = False,
) -> Path:
    """Write the teacher's page for a talk as a PDF on A4: the same session as the slides of `write_deck`; returns the path.

    The page has the session by the minute, for each question the wrong guesses to expect with a reply to each, what to draw
    on a board, what to bring, and the cautions. Arguments are those of `write_deck`.

    >>> import tempfile
    >>> from ergokit import Placement
    >>> placement = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_teacher_page(f"{folder}/teacher.pdf", placement).name
    'teacher.pdf'
    """
    free_path(ending_in(path, [".pdf"]), overwrite)
    slides = planned(placement, minutes, focus, other)
    questions = [slide for slide in slides if slide.asks]
    story = [
        words(title, TITLE),
        words(f"A session of {minutes} minutes, with {len(questions)} questions. {remark(placement)}".strip()),
        words("The session by the minute", HEADING),
        table(("from", "for", "slide", "say"), _by_the_minute(slides, MINUTES.index(minutes)), (12, 11, 36, 81)),
        words("Questions, and the wrong guesses to expect", HEADING),
        words(WAIT),
        table(("question", "ranges for hands", "wrong guess", "your reply"), _guesses(questions), (26, 22, 28, 48)),
        words("On the board", HEADING),
        table(("with", "draw"), [(slide.title, slide.board) for slide in slides if slide.board], (30, 70)),
        words("Bring", HEADING),
        *ticked(_BRING),
        words("Cautions", HEADING),
        *(words(line, SMALL) for line in ON_SLIDE),
    ]
    page = Layout(story, PAPERS["A4"], _EDGES)
    return write_whole(path, lambda part: write_pages(part, [page], f"{title}: for the teacher", IN_THE_FOOT), overwrite)


def _by_the_minute(slides, i):
    opening, *last = [(each.title, each.say, each.seconds[i]) for each in ENDS]
    shown = [opening, last[0], *((slide.title or "What it measures", slide.say, slide.seconds[i]) for slide in slides), last[1]]
    rows, at = [], 0
    for title, says, seconds in shown:
        rows.append((f"{at // 60}:{at % 60:02d}", f"{seconds} s", title, says))
        at += seconds
    return rows


def _guesses(questions):
    """A row a guess; the question and its ranges, with the right one marked, stand in the first of its rows."""
    for slide in questions:
        ranges = ", ".join(f"{each} (right)" if i == slide.right else each for i, each in enumerate(slide.ranges))
        for i, guess in enumerate(slide.guesses):
            yield (slide.title, ranges, *guess) if i == 0 else ("", "", *guess)


@checked(overwrite=flag)
def write_cards(path: FilePath, *, overwrite: bool = False) -> Path:
    """Write cards for listeners as a PDF: four alike on a sheet of A4, each of A6 once it is cut; returns the path.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_cards(f"{folder}/cards.pdf").read_bytes()[:4]
    b'%PDF'
    """
    free_path(ending_in(path, [".pdf"]), overwrite)
    wide, high = PAPERS["A4"]

    def sheet(pen):
        for row in range(2):
            for column in range(2):
                _card(pen.moved(column * _A6[0], row * _A6[1]))
        pen.line([(wide / 2, 0), (wide / 2, high)], HAIR, CUT)
        pen.line([(0, high / 2), (wide, high / 2)], HAIR, CUT)

    page = Layout([words("")], PAPERS["A4"], (1, 1, 1, 1), sheet)
    return write_whole(path, lambda part: write_pages(part, [page], "Cards for a training box", ""), overwrite)


def _card(pen):
    wide, high = _A6
    pen.rectangle(0.6, high - 2.3, wide - 0.6, high - 0.6, width=0, fill=0.88)  # clear of the edge no printer reaches
    pen.text((wide / 2, high - 1.65), CARD_HEAD, 18, "centre", bold=True)
    low, highest = advised("manipulation angle")
    for i, line in enumerate(_CARD):
        y = high - 3.6 - 1.5 * i
        first, _, rest = line.format(low=low, high=highest).partition("? ")
        pen.text((1.0, y), f"{first}?" if rest else first, 13, bold=True)
        pen.text((1.0, y - 0.55), rest, 12)

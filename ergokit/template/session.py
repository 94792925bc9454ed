"""Paper for a session at the boxes: who tries what when, where to count, and the table from a complaint to a change."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from reportlab.platypus import KeepTogether, Spacer

from ergokit._check import checked, flag, whole
from ergokit._files import ending_in
from ergokit._pages import HEADING, numbered, table, words
from ergokit._types import FilePath
from ergokit.guidance.cautions import FOR_EDUCATION, STEPS
from ergokit.hands_on.complaints import COMPLAINTS, IN_THE_BOX, STOP, complaint
from ergokit.hands_on.orders import MOST_PEOPLE, PAIRS, balance, orders, three_pairs, timetable
from ergokit.template.sheet import a_paper, sheet, write_sheets

__all__ = ["write_complaints", "write_session_sheet"]

_WRITTEN = 0.9  # cm of a row to write in
#: What stands on every sheet of a session.
LEARNING = "The first run is the slowest, because you are still learning."
APPRAISAL = "Never use the counts for an appraisal: they belong to the person who made them."
_TASK = (
    "The cork is on the target, fixed with double-sided tape, 2 cm above the floor. A ribbon of 20 cm lies in front of it.",
    "Take the ribbon with one grasper, pass it behind the cork to the other grasper, and bring it back to the front.",
    "Then pass it back the other way. Each time the ribbon is in front again is one pass.",
    "If neither grasper holds the ribbon, count a drop, pick the ribbon up and go on.",
    "Count passes and drops in 60 seconds. The time per pass is 60 seconds over the passes.",
)
_RULES = (
    "Cut the panels beforehand: a session needs no blade and no needle, only two graspers.",
    "The partner keeps the watch and counts, with both hands outside the box.",
    "Write codes on the sheet, no names. Draw the codes by lot before you begin.",
    LEARNING,
    APPRAISAL,
    STOP,
)


@checked(paper=a_paper, overwrite=flag)
def write_session_sheet(
    path: FilePath,
    people: int = 2,
    *,
    pairs: Sequence[str] = PAIRS,
    paper: str = "A4",
    overwrite: bool = False,
) -> Path:
    """Write the sheets of a session at the boxes in pairs as a PDF; returns the path.

    path
        of the file, which ends in .pdf; over an existing one only with `overwrite=True`
    people
        2 to 24, partners beside each other; the orders are those of `ergokit.hands_on.orders`
    pairs
        the names of the three pairs of holes on the comparison panel
    paper
        ``"A4"``, ``"A3"`` or ``"Letter"``

    ValueError for a bad argument.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_session_sheet(f"{folder}/session.pdf", 4).read_bytes()[:4]
    b'%PDF'
    """
    people, pairs = whole("people", people, 2, MOST_PEOPLE), three_pairs("pairs", pairs)
    ending_in(path, [".pdf"])
    title = "A session for two: the sling round a cork"
    layouts = [
        sheet(paper, title, [f"{LEARNING} {APPRAISAL}"], _how(), landscape=False, cut_by=False),
        sheet(paper, "Who tries which pair when", [balance(people)], _counts(people, pairs), cut_by=False),
    ]
    return write_sheets(path, layouts, title, overwrite)


def _how():
    rows = [(f"{turn.at // 60}:{turn.at % 60:02d}", turn.who, turn.what) for turn in timetable()]
    return [
        words("The task", HEADING),
        *numbered(_TASK),
        words("The rules", HEADING),
        *numbered(_RULES),
        words("Fourteen minutes", HEADING),
        words("A run lasts 60 seconds, and 30 seconds remain to change. The practice run is with your own first pair."),
        Spacer(0, 4),
        table(("minute", "who works", "what"), rows, (2, 3, 8)),
        Spacer(0, 8),
        *(words(line) for line in STEPS["at the box"]),
        words(FOR_EDUCATION),
    ]


def _counts(people, pairs):
    head = ["code"]
    for place in ("first", "second", "third"):
        head += [f"{place} pair", "passes", "drops"]
    blocks = []
    rows = list(orders(people, pairs).items())
    for i in range(0, len(rows), 2):
        cells = [[code, *(cell for pair in row for cell in (pair, "", ""))] for code, row in rows[i : i + 2]]
        title = words(f"Partners {i // 2 + 1}" if len(cells) > 1 else "The teacher counts for this person", HEADING)
        blocks.append(KeepTogether([title, table(head, cells, (1.6, *(3, 2, 2) * 3), _WRITTEN), Spacer(0, 6)]))
    return blocks


@checked(paper=a_paper, overwrite=flag)
def write_complaints(path: FilePath, *, paper: str = "A4", overwrite: bool = False) -> Path:
    """Write the table from a complaint to what to measure and to change as a PDF of one page; returns the path.

    path
        of the file, which ends in .pdf; over an existing one only with `overwrite=True`
    paper
        ``"A4"``, ``"A3"`` or ``"Letter"``

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_complaints(f"{folder}/complaints.pdf").read_bytes()[:4]
    b'%PDF'
    """
    ending_in(path, [".pdf"])
    head = ("complaint", "what to measure", "likely cause", "first change", "also changes", "ask your supervisor")
    rows = [row[:6] for row in map(complaint, COMPLAINTS)]
    title = "From a complaint to a change"
    page = sheet(paper, title, [IN_THE_BOX, STOP], [table(head, rows, (3.6, 4.6, 4.6, 4.6, 4.2, 4))], cut_by=False)
    return write_sheets(path, [page], title, overwrite)

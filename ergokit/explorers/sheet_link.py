"""A sheet of questions as a link to save it: no file is left in the folder of the lesson."""

from __future__ import annotations

from collections.abc import Collection

import ipywidgets as w

from ergokit._check import checked, flag
from ergokit._files import file_name
from ergokit.explorers.controls import Layout, LinkForm, SaveLink, choice, tick
from ergokit.problems import KINDS, LEVELS, write_sheet

_ALL, _RISING = "all kinds", "rising from 1 to 3"
_MOST = 40  # questions on a sheet that is made anew after each move


@checked(answers=flag, name=file_name)
def question_sheet(
    n: int = 10,
    seed: int = 0,
    kinds: Collection[str] | None = None,
    level: int | None = None,
    answers: bool = True,
    name: str = "questions.pdf",
) -> SaveLink:
    """A link that saves a sheet of questions; `n` to `answers` are those of `ergokit.problems.write_sheet`.

    name
        of the file, which ends in ``.pdf``

    >>> question_sheet(4, seed=7).data[:4]
    b'%PDF'
    """
    about = f"{n} questions, {'with answers on pages of their own' if answers else 'without answers'}; sheet {seed}."
    return SaveLink(name, lambda path: write_sheet(path, n, seed, kinds, level, answers), about)


def sheet_form(name: str = "questions.pdf") -> LinkForm:
    """A form for a sheet of questions, with the link that saves it below; see `question_sheet`.

    >>> sheet_form().made.children[0].data[:4]
    b'%PDF'
    """
    narrow = Layout(width="80px")
    controls = {
        "questions": w.BoundedIntText(10, 1, _MOST, tooltip="questions: how many", layout=narrow),
        "kind": choice([_ALL, *KINDS], "kind: what is asked", "180px"),
        "level": choice([_RISING, *(f"level {each}" for each in LEVELS)], "level: 1 is the easiest", "180px"),
        "number of the sheet": w.BoundedIntText(
            7, 0, 10**6, tooltip="number of the sheet: another brings others", layout=narrow
        ),
        "answers": tick("on pages of their own", "answers: leave them out for a class", on=True),
    }

    def make(n, kind, level, seed, answers):
        kinds, level = None if kind == _ALL else kind, None if level == _RISING else int(level[-1])
        return question_sheet(n, seed, kinds, level, answers, name)

    return LinkForm(controls, make)

"""A sheet of questions as a link to save it: no file is left in the folder of the lesson."""

from __future__ import annotations

import tempfile
from collections.abc import Collection
from pathlib import Path

import ipywidgets as w

from ergokit._check import checked, flag
from ergokit._files import file_name
from ergokit.explorers.controls import save_link
from ergokit.problems import write_sheet


@checked(answers=flag, name=file_name)
def question_sheet(
    n: int = 10,
    seed: int = 0,
    kinds: Collection[str] | None = None,
    level: int | None = None,
    answers: bool = True,
    name: str = "questions.pdf",
) -> QuestionSheet:
    """A link that saves a sheet of questions; `n` to `answers` are those of `ergokit.problems.write_sheet`.

    name
        of the file, which ends in ``.pdf``

    >>> question_sheet(4, seed=7).data[:4]
    b'%PDF'
    """
    return QuestionSheet(n, seed, kinds, level, answers, name)


class QuestionSheet(w.HTML):
    """See `question_sheet`; `data` is the file itself."""

    def __init__(self, n, seed, kinds, level, answers, name):
        with tempfile.TemporaryDirectory() as folder:
            sheet = Path(folder, "questions").with_suffix(Path(name).suffix)
            self.data = write_sheet(sheet, n, seed, kinds, level, answers).read_bytes()
        what = f"{n} questions, {'with answers on pages of their own' if answers else 'without answers'}; sheet {seed}."
        link = save_link(name, self.data, "application/pdf", f"Save {name}")
        super().__init__(f'<b style="font-size: 16px">{link}</b><br>{what}')

    def __repr__(self):
        return "The link to your question sheet appears here once this cell has run (Shift + Enter)."

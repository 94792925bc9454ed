"""A sheet of questions as a link to save it: no file is left in the folder of the lesson."""

from __future__ import annotations

from collections.abc import Collection

from ergokit._check import checked, flag
from ergokit._files import file_name
from ergokit.explorers.controls import SaveLink
from ergokit.problems import write_sheet


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

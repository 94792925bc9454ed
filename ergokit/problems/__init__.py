"""Questions to test yourself, with worked answers. Each is made from a number, and can be printed on a sheet."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from ergokit._check import checked, flag, one_word, refused, some_words, whole
from ergokit._types import FilePath
from ergokit.problems import camera, choices, lever_and_box, triangle
from ergokit.problems.draft import weighed
from ergokit.problems.draw import Draw
from ergokit.problems.problem import Problem, Slip, Verdict, place_of

if TYPE_CHECKING:
    from ergokit.placement.table import MeasureTable

__all__ = ["KINDS", "LEVELS", "Problem", "Slip", "Verdict", "make_problem", "make_problems", "problem_kinds", "write_sheet"]

#: What can be asked: kind -> what is sought.
KINDS = {
    "angle": "the angle at which two instruments meet",
    "spacing": "how far apart the ports are",
    "depth": "how far the target is from the line of the ports",
    "camera distance": "how far the camera is from the target",
    "azimuths": "how far an instrument is turned from the optical axis",
    "inside : outside": "how much of the shaft is inside, and how far the tip then moves",
    "least box": "the smallest box that will do",
    "light post": "how far to turn a scope for its target",
    "better placement": "which of two placements is better",
    "reading to repeat": "which reading makes the angle more certain",
    "rules clash": "which rules cannot hold together",
    "who gets which hole": "which hole the camera takes",
}
LEVELS = (1, 2, 3)

# What a kind asks at level 1, 2 and 3: one form of question, or one out of several.
_FORMS = {
    "angle": (
        [triangle.angle_from_lengths],
        [triangle.angle_from_depth],
        [triangle.angle_off_midline, triangle.angle_of_unequal],
    ),
    "spacing": (
        [triangle.spacing_from_length],
        [triangle.spacing_from_depth],
        [triangle.spacing_of_unequal, triangle.spacing_flat_phone],
    ),
    "depth": (
        [triangle.depth_from_length],
        [triangle.depth_from_spacing],
        [triangle.depth_of_unequal, triangle.depth_off_midline],
    ),
    "camera distance": (
        [camera.distance_of_equal],
        [camera.flat_phone, camera.field_of_view],
        [camera.distance_of_unequal, camera.flat_phone_of_triangle],
    ),
    "azimuths": ([camera.azimuth_from_sum], [camera.azimuth_beside_middle], [camera.azimuth_in_general]),
    "inside : outside": (
        [lever_and_box.ratio],
        [lever_and_box.inside_from_ratio, lever_and_box.tip_travel],
        [lever_and_box.tip_travel_of_triangle],
    ),
    "least box": (
        [lever_and_box.other_side_for_flat_phone],
        [lever_and_box.other_side_for_height],
        [lever_and_box.lid_height],
    ),
    "light post": ([camera.post_below], [camera.post_above], [camera.post_at_distance]),
    "better placement": ([choices.nearer_of_equal], [choices.nearer_off_midline], [choices.both_rules]),
    "reading to repeat": ([choices.spacing_or_depth], [choices.spacing_or_depth_by_tape], [choices.reading_of_three]),
    "rules clash": ([choices.two_of_three_rules], [choices.two_of_four_rules], [choices.three_of_four_rules]),
    "who gets which hole": ([choices.hole_ahead], [choices.hole_aside], [choices.hole_by_tape]),
}
_DRAWN_AS = {"inside : outside": "length ratio"}  # the name a kind had when its first numbers were drawn: they stay
_MOST = 200


def make_problem(kind: str, seed: int, level: int | None = None) -> Problem:
    """Returns the problem for a kind and a seed. The same seed always gives the same problem.

    kind
        one of `KINDS`
    seed
        a whole number of at least 0
    level
        1, one step; 2, turned round or uneven; 3, unequal, off the midline or in two steps. Drawn unless given

    ValueError for any other argument. The given numbers are rounded as a tape is read, and the answer follows from the rounded
    numbers; the tolerance covers that rounding.

    >>> problem = make_problem("spacing", seed=0, level=2)
    >>> print(problem)
    The pad lies 12.5 cm from the line on which the holes will be, straight below its middle. Which spacing gives 60 degrees?
    >>> problem.right_answer, problem.tolerance
    ('14.4 cm', 0.5)
    >>> print(problem.check("144 mm"))
    Right: 14.4 cm.
    >>> print(problem.check("7.2"))
    7.2 cm is from the midline to one port. The spacing runs from port to port: twice that.
    """
    one_word("kind", kind, KINDS)
    seed, level = whole("seed", seed), _level(level)
    if level is None:
        level = Draw(_DRAWN_AS.get(kind, kind), seed).among(LEVELS)
    draw = Draw(_DRAWN_AS.get(kind, kind), level, seed)
    with np.errstate(all="ignore"):  # what has no value is NaN, and drawn again
        while True:
            # A form is drawn for each level, wanted or not: so were the first numbers, and they stay what they were.
            forms = [draw.among(forms) if len(forms) > 1 else forms[0] for forms in _FORMS[kind]]
            form = forms[level - 1]
            if problem := weighed(kind, seed, level, form.__name__, form(draw), draw):
                return problem


def make_problems(n: int = 20, seed: int = 0, kinds: Collection[str] | None = None, level: int | None = None) -> list[Problem]:
    """Returns `n` problems of several kinds. The same seed always gives the same list; the levels rise unless one is given.

    Each kind comes once before any comes again. `kinds` are all unless given. A problem on the sheet can be made again from its
    kind, seed and level.

    >>> [problem.kind for problem in make_problems(3, seed=1, kinds=["angle", "spacing"])]
    ['angle', 'spacing', 'spacing']
    """
    n, seed, level = whole("n", n, 1, _MOST), whole("seed", seed), _level(level)
    kinds = chosen_kinds(kinds)
    draw, order = Draw("sheet", seed), list[str]()
    while len(order) < n:
        order += draw.shuffled(kinds)
    return [make_problem(kind, 1000 * seed + i, level or 1 + len(LEVELS) * i // n) for i, kind in enumerate(order[:n])]


def problem_kinds() -> MeasureTable:
    """A table of the kinds of problem: what each asks for, and where its easiest question is taught.

    >>> problem_kinds()["taught in"][0]
    'lesson 01, Formula'
    """
    from ergokit.placement.table import MeasureTable

    easiest = {kind: make_problem(kind, 0, level=1) for kind in KINDS}
    rows = [(kind, sought, place_of(easiest[kind].relation)) for kind, sought in KINDS.items()]
    return MeasureTable(rows, columns=["kind", "you find", "taught in"])


@checked(answers=flag, overwrite=flag)
def write_sheet(
    path: FilePath,
    n: int = 20,
    seed: int = 0,
    kinds: Collection[str] | None = None,
    level: int | None = None,
    answers: bool = True,
    overwrite: bool = False,
) -> Path:
    """Write a sheet of questions to print, and the answers on pages of their own; returns the path.

    path
        of the file, which ends in ``.pdf``; written whole or not at all, over an existing one only with `overwrite=True`
    n, seed, kinds, level
        as for `make_problems`
    answers
        False leaves the answers out, for a class

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_sheet(f"{folder}/evening.pdf", n=4, seed=1).read_bytes()[:4]
    b'%PDF'
    """
    from ergokit.problems import paper

    return paper.write_sheet(path, make_problems(n, seed, kinds, level), seed, answers, overwrite)


def chosen_kinds(kinds):
    """The kinds as a list: all for None, one for its name, or the given ones; ValueError for any other."""
    return list(KINDS) if kinds is None else some_words("kinds", kinds, KINDS)


def _level(level):
    if level is not None and (isinstance(level, bool) or not isinstance(level, int | np.integer) or level not in LEVELS):
        raise refused("level", "1, 2 or 3, or None for any", level)
    return level

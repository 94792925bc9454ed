"""Questions to practise on, with worked answers: made from a number, the same for ever, and printed as a sheet."""

from itertools import count

import numpy as np

from ergokit._check import checked, flag, one_word, refused, some_words, whole
from ergokit.problems import camera, choices, lever_and_box, triangle
from ergokit.problems.draw import Draw
from ergokit.problems.problem import Problem, Slip, Verdict, weighed

__all__ = ["KINDS", "LEVELS", "Problem", "Slip", "Verdict", "make", "sheet", "write_sheet"]

#: What can be asked: kind -> what is sought.
KINDS = {
    "angle": "the angle at which two instruments meet",
    "spacing": "how far apart the ports are",
    "depth": "how far the target is from the line of the ports",
    "camera distance": "how far the camera is from the target",
    "azimuths": "how far an instrument is turned from the optical axis",
    "length ratio": "what the shaft's lengths inside and outside do",
    "least box": "the smallest box that will do",
    "better placement": "the better of two placements",
    "reading to repeat": "the reading to repeat",
    "rules clash": "the rules that cannot hold together",
}
LEVELS = (1, 2, 3)

_MAKERS = {
    "angle": triangle.angle,
    "spacing": triangle.spacing,
    "depth": triangle.depth,
    "camera distance": camera.distance,
    "azimuths": camera.azimuths,
    "length ratio": lever_and_box.length_ratio,
    "least box": lever_and_box.least_box,
    "better placement": choices.better_placement,
    "reading to repeat": choices.reading_to_repeat,
    "rules clash": choices.rules_clash,
}
_MOST = 200


def make(kind, seed, level=None):
    """The problem of a kind that belongs to a seed: the same for ever.

    kind
        one of `KINDS`
    seed
        a whole number of at least 0
    level
        1, one step; 2, turned round or uneven; 3, unequal, off the midline or in two steps. Drawn unless given

    ValueError for any other argument. What is given is rounded as one reads a tape, and the answer follows from the rounded
    numbers; the tolerance is at least what that rounding can do.

    >>> problem = make("spacing", seed=0, level=2)
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
        level = Draw(kind, seed).among(LEVELS)
    draw = Draw(kind, level, seed)
    with np.errstate(all="ignore"):  # what has no value is NaN, and drawn again
        return next(filter(None, (weighed(kind, seed, level, _MAKERS[kind](level, draw)) for _ in count())))


def sheet(n=20, seed=0, kinds=None, level=None):
    """A list of `n` problems of several kinds, in an order that belongs to the seed; the levels rise unless one is given.

    Each kind comes once before any comes again. `kinds` are all unless given. A problem on the sheet can be made again from its
    kind, seed and level.

    >>> [problem.kind for problem in sheet(3, seed=1, kinds=["angle", "spacing"])]
    ['angle', 'spacing', 'spacing']
    """
    n, seed, level = whole("n", n, 1, _MOST), whole("seed", seed), _level(level)
    kinds = chosen_kinds(kinds)
    draw, order = Draw("sheet", seed), []
    while len(order) < n:
        order += draw.shuffled(kinds)
    return [make(kind, 1000 * seed + i, level or 1 + len(LEVELS) * i // n) for i, kind in enumerate(order[:n])]


@checked(answers=flag, overwrite=flag)
def write_sheet(path, n=20, seed=0, kinds=None, level=None, answers=True, overwrite=False):
    """Write a sheet of questions to print, and the answers on pages of their own; returns the path.

    path
        of the file: ``.pdf`` or ``.html``; written whole or not at all, over an existing one only with `overwrite=True`
    n, seed, kinds, level
        as for `sheet`
    answers
        False leaves the answers out, for a class

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_sheet(f"{folder}/evening.pdf", n=4, seed=1).read_bytes()[:4]
    b'%PDF'
    """
    from ergokit.problems import paper

    return paper.write_sheet(path, sheet(n, seed, kinds, level), seed, answers, overwrite)


def chosen_kinds(kinds):
    """The kinds as a list: all for None, one for its name, or the given ones; ValueError for any other."""
    return list(KINDS) if kinds is None else some_words("kinds", kinds, KINDS)


def _level(level):
    if level is not None and (isinstance(level, bool) or not isinstance(level, int | np.integer) or level not in LEVELS):
        raise refused("level", "1, 2 or 3, or None for any", level)
    return level

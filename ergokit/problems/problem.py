"""What a problem is, and what is said to an answer."""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from html import escape
from math import ceil, degrees, radians
from typing import NamedTuple

import numpy as np

from ergokit._words import joined
from ergokit.problems.answers import read_letters, read_number, shown
from ergokit.relations import RELATIONS

#: The lesson that derives a relation.
LESSONS = {
    "spacing_from_length": "01_the_triangle",
    "depth_from_length": "01_the_triangle",
    "spacing_from_depth": "01_the_triangle",
    "camera_at_middle": "01_the_triangle",
    "widest_spacing": "01_the_triangle",
    "flat_phone": "02_camera_in_the_box",
    "widest_spacing_flat_phone": "02_camera_in_the_box",
    "field_of_view": "02_camera_in_the_box",
    "flat_phone_in_wedge": "02_camera_in_the_box",
    "wedge_ridge_height": "02_camera_in_the_box",
    "angle_at_offset": "05_off_axis_targets",
    "offset_and_depth": "05_off_axis_targets",
    "angle_per_spacing": "05_off_axis_targets",
    "cosine_rule": "06_unequal_ports",
    "offset_from_lengths": "06_unequal_ports",
    "length_ratio": "07_lever_hands_and_table",
    "tip_travel": "07_lever_hands_and_table",
    "handle_separation": "07_lever_hands_and_table",
    "instruments_azimuths": "09_elevation_and_azimuth",
    "widest_angle": "09_elevation_and_azimuth",
}

_LEAST = {"cm": 0.1, "deg": 1.0, "": 0.02}  # a reader rounds so far
_MOST = {"cm": (0.04, 0.0), "deg": (0.0, 2.5), "": (0.06, 0.0)}  # a share of the answer, and what is allowed besides
_STEP = {"cm": 0.1, "deg": 0.5, "": 0.01}
_CLEAR = 2  # tolerances between the answer and what a slip leads to, and between two slips


class Given(NamedTuple):
    """A given number, and the step to which it was rounded."""

    value: float
    step: float


class Slip(NamedTuple):
    """What a common slip leads to, and what to say then; `name` says which slip."""

    name: str
    value: float
    words: str


class Verdict(NamedTuple):
    """What is said to a typed answer: whether it is right, in words, and by which `slip` it went wrong, if that shows."""

    right: bool
    words: str
    slip: str = ""

    def __bool__(self):
        return self.right

    def __str__(self):
        return self.words


class Draft(NamedTuple):
    """A problem before it is weighed. `picture(answer)` draws and `steps(answer)` tells the way.

    `solve(**given)` takes arrays; without it the relation is evaluated for the quantity `asked`.
    """

    question: str
    given: dict
    relation: str
    hint: str
    picture: Callable
    steps: Callable
    asked: str = ""
    solve: Callable | None = None
    unit: str = ""
    sensible: tuple = (-np.inf, np.inf)  # where the answer may lie
    fit: bool = True  # whether the numbers drawn are worth asking about
    slips: tuple = ()
    answer: str = ""  # the letters of a choice
    options: dict | None = None
    amiss: Callable | None = None  # what to say to wrong letters


@dataclass(frozen=True)
class Problem:
    """A question with its answer; made by `make` and `sheet`.

    kind, seed, level
        what to give `make` for the same problem again
    question, hint, solution
        in words; the worked solution names the `relation` it uses and the `lesson` that derives it
    answer, unit, tolerance
        a number in cm, in degrees ("deg") or without a unit, right within the tolerance; or the letters of a choice, such as
        ``"B"`` or ``"AC"``, without a tolerance
    given, steps, asked
        what is given in cm and degrees, by name; the step each was rounded to; the name of what is asked
    options
        letter -> what it stands for, in a choice
    slips
        what common slips lead to, each with what is said then
    figure
        a `reportlab.graphics` drawing, to scale; the asked quantity is marked "?"
    """

    kind: str
    seed: int
    level: int
    question: str
    answer: float | str
    unit: str
    tolerance: float | None
    hint: str
    solution: str
    relation: str
    given: dict
    steps: dict
    asked: str
    options: dict
    slips: tuple
    _picture: Callable = field(repr=False, compare=False)
    _amiss: Callable | None = field(repr=False, compare=False)

    @property
    def lesson(self):
        """Name of the notebook that derives the relation."""
        return LESSONS[self.relation]

    @property
    def right_answer(self):
        """The answer as one says it.

        >>> from ergokit.problems import make
        >>> make("depth", seed=0, level=2).right_answer
        '13.0 cm'
        """
        if self.options:
            return joined(self.answer)
        return shown(self.answer, self.unit)

    @cached_property
    def figure(self):
        return self._picture()

    def check(self, text):
        """Say whether a typed answer is right, and if not what went wrong where that shows: a `Verdict`.

        A number may have a point or a comma and a unit. What cannot be read is not right, and the words say what is taken.

        >>> from ergokit.problems import make
        >>> problem = make("angle", seed=3, level=1)
        >>> problem.right_answer
        '65.8 degrees'
        >>> print(problem.check("1.15"))
        1.15 looks like radians: times 180/π, or set the calculator to degrees.
        """
        try:
            return self._letters(text) if self.options else self._number(text)
        except ValueError as error:
            return Verdict(False, str(error), "unread")

    def _letters(self, text):
        letters = read_letters(text, self.options)
        if letters == self.answer:
            return Verdict(True, f"Right: {self.right_answer}.")
        return Verdict(False, self._amiss(letters))

    def _number(self, text):
        value, unit = read_number(text, self.unit)
        if abs(value - self.answer) <= self.tolerance:
            return Verdict(True, f"Right: {self.right_answer}.")
        for slip in self.slips:
            within = 0.02 if slip.name == "radians" else self.tolerance
            if abs(value - slip.value) <= within:
                return Verdict(False, slip.words.format(typed=f"{value:g}"), slip.name)
        if self.unit == "cm":
            for factor, words in _WRONG_LENGTHS.get(unit, ()):
                if abs(value * factor - self.answer) <= self.tolerance:
                    return Verdict(False, words.format(typed=f"{value:g}", mm=f"{10 * value:g}"), "mm")
        if value < 0 and abs(value + self.answer) <= self.tolerance:
            return Verdict(False, "The size fits, the sign does not: this is a positive number.", "sign")
        far = "It is too large" if value > self.answer else "It is too small"
        return Verdict(False, f"Not yet. {far}.")

    def __str__(self):
        return self.question

    def _repr_html_(self):
        """The question and its figure, for a notebook."""
        from ergokit.problems.paper import svg

        drawn = svg(self.figure, f"Figure to a problem, {self.kind}", "300px")
        return (
            '<div style="display: flex; gap: 24px; margin: 4px 0 12px"><div style="flex: 1; max-width: 460px">'
            f"<b>{self.kind}</b>, level {self.level}, number {self.seed}<br>{escape(self.question)}</div>"
            f'<div style="flex: none; background: white">{drawn}</div></div>'
        )


_WRONG_LENGTHS = {
    "": ((0.1, "Without a unit this reads as cm. Did you mean {typed} mm?"),),
    "cm": ((0.1, "{typed} cm is ten times too much: did you mean {typed} mm?"),),
    "mm": ((10.0, "{mm} mm is ten times too little: did you mean {mm} cm?"),),
}


def weighed(kind, seed, level, draft):
    """The `Problem` of a draft; None where its numbers are not sensible or a slip would pass for the answer."""
    if not draft.fit:
        return None
    common = {
        "kind": kind,
        "seed": seed,
        "level": level,
        "question": draft.question,
        "hint": draft.hint,
        "relation": draft.relation,
        "given": {name: given.value for name, given in draft.given.items()},
        "steps": {name: given.step for name, given in draft.given.items()},
        "asked": draft.asked,
        "options": draft.options or {},
    }
    if draft.options:
        return Problem(
            **common,
            answer=draft.answer,
            unit="",
            tolerance=None,
            solution=_solution(draft.steps(draft.answer), draft.relation),
            slips=(),
            _picture=lambda: draft.picture(draft.answer),
            _amiss=draft.amiss,
        )
    answer, spread = _answer(draft)
    low, high = draft.sensible
    if not low <= answer <= high:  # also where there is no answer, NaN
        return None
    step = _STEP[draft.unit]
    tolerance = round(step * ceil(max(_LEAST[draft.unit], spread) / step - 1e-9), 9)
    share, besides = _MOST[draft.unit]
    if tolerance > max(_LEAST[draft.unit], share * answer + besides):
        return None
    slips = draft.slips
    if draft.unit == "deg":
        words = "{typed} looks like radians: times 180/π, or set the calculator to degrees."
        slips = (*slips, Slip("radians", radians(answer), words))
    wrong_unit = (10 * answer, answer / 10) if draft.unit == "cm" else ()
    if any(abs(slip.value - one) <= tolerance * max(1, one / answer) for slip in slips for one in wrong_unit):
        return None
    values = np.array([answer, *(slip.value for slip in slips)])
    apart = np.abs(values[:, None] - values)[np.triu_indices(len(values), 1)]
    if not np.all(apart >= _CLEAR * tolerance):
        return None
    return Problem(
        **common,
        answer=answer,
        unit=draft.unit,
        tolerance=tolerance,
        solution=_solution(draft.steps(answer), draft.relation),
        slips=slips,
        _picture=lambda: draft.picture(answer),
        _amiss=None,
    )


def by(relation, wanted):
    """A `solve` that evaluates a relation for the quantity wanted; where it has two solutions, the larger."""

    def solve(**given):
        found = RELATIONS[relation].evaluate(wanted, **given)
        return np.fmax(*found) if isinstance(found, tuple) else found

    return solve


def mean_taken(value, unit):
    """The slip of taking two unequal lengths for their mean; `unit` is "cm" or "degrees"."""
    words = f"{{typed}} {unit} is for two equal lengths, each the mean of these two. The triangle is not isosceles: use both."
    return Slip("mean", float(value), words)


def sine(angle):
    return np.sin(np.radians(angle))


def cosine(angle):
    return np.cos(np.radians(angle))


def tangent(angle):
    return np.tan(np.radians(angle))


def in_radians(function, angle):
    """What a calculator set to radians gives for an angle typed in degrees."""
    return float(function(degrees(angle)))


def _answer(draft):
    """The answer, and how far the rounding of what is given can have moved it."""
    values = np.array([given.value for given in draft.given.values()])
    halves = np.diag([given.step / 2 for given in draft.given.values()])
    rows = np.vstack([values, values + halves])
    solve = draft.solve or by(draft.relation, draft.asked)
    found = solve(**dict(zip(draft.given, rows.T, strict=True)))
    return float(found[0]), float(np.sum(np.abs(found[1:] - found[0])))


def _solution(steps, relation):
    derived = f'Derivation: "{RELATIONS[relation].title}", RELATIONS["{relation}"] in lesson {LESSONS[relation]}.'
    return "\n".join((*steps, derived))

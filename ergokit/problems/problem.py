"""What a problem is, and what is said to an answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from html import escape
from typing import TYPE_CHECKING, NamedTuple

from ergokit._words import joined
from ergokit.problems.answers import read_letters, read_number, shown

if TYPE_CHECKING:
    from reportlab.graphics.shapes import Drawing

_TAUGHT = {
    "01_the_triangle": "spacing_from_length depth_from_length spacing_from_depth camera_at_middle widest_spacing",
    "02_camera_in_the_box": "flat_phone field_of_view flat_phone_in_wedge wedge_ridge_height",
    "03_build_a_box": "widest_spacing_flat_phone",
    "05_off_axis_targets": "angle_at_offset offset_and_depth angle_per_spacing",
    "06_unequal_ports": "cosine_rule offset_from_lengths",
    "07_lever_hands_and_table": "length_ratio tip_travel handle_separation",
    "09_elevation_and_azimuth": "instruments_azimuths widest_angle",
    "14_scope_and_holes": "scope_post_turn",
}
_SECTIONS = {
    "camera_at_middle": "What three equal lengths do to the camera",
    "widest_spacing": "What three equal lengths do to the camera",
    "field_of_view": "How wide",
    "handle_separation": "How far apart are the hands?",
    "instruments_azimuths": "Three azimuths",
    "widest_angle": "Predict",
    "scope_post_turn": "Turn the post, not the picture",
}
#: The lesson that teaches a relation.
LESSONS = {relation: lesson for lesson, relations in _TAUGHT.items() for relation in relations.split()}


def section_of(relation):
    """Heading of the section of its lesson that teaches a relation."""
    return _SECTIONS.get(relation, "Formula")


def place_of(relation):
    """Where a relation is taught, as one says it.

    >>> place_of("instruments_azimuths")
    'lesson 09, Three azimuths'
    """
    return f"lesson {LESSONS[relation][:2]}, {section_of(relation)}"


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


@dataclass(frozen=True)
class Problem:
    """A question with its answer; made by `make_problem` and `make_problems`.

    kind, seed, level
        what to give `make_problem` for the same problem again
    question, hint, solution
        in words; the worked solution names the `relation` it uses and the `lesson` that derives it
    answer, unit, tolerance
        a number in cm, in degrees ("deg") or without a unit, right within the tolerance; or the letters of a choice, such as
        ``"B"`` or ``"AC"``, without a tolerance
    given, steps, asked
        what is given in cm and degrees, by name; the step each was rounded to; the name of what is asked
    options
        letter -> its meaning, in a choice
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
    given: dict[str, float]
    steps: dict[str, float]
    asked: str
    options: dict[str, str]
    slips: tuple[Slip, ...]
    _picture: Callable = field(repr=False, compare=False)
    _amiss: Callable | None = field(repr=False, compare=False)

    @property
    def lesson(self) -> str:
        """Name of the notebook that derives the relation."""
        return LESSONS[self.relation]

    @property
    def right_answer(self) -> str:
        """The answer as one says it.

        >>> from ergokit.problems import make_problem
        >>> make_problem("depth", seed=0, level=2).right_answer
        '13.0 cm'
        """
        if self.options:
            return joined(self.answer)
        return shown(self.answer, self.unit)

    @property
    def worked(self) -> str:
        """The solution as a numbered list in Markdown, after the answer.

        >>> from ergokit.problems import make_problem
        >>> print(make_problem("inside : outside", seed=0, level=1).worked)
        **1.33**
        <BLANKLINE>
        1. The rest of the shaft is outside: 42 - 24 = 18 cm.
        1. The ratio is shaft inside over shaft outside: 24 / 18 = 1.33.
        <BLANKLINE>
        See lesson 07, Formula
        """
        *steps, lesson = self.solution.split("\n")
        return "\n".join([f"**{self.right_answer}**", "", *(f"1. {step}" for step in steps), "", lesson])

    @cached_property
    def figure(self) -> Drawing:
        return self._picture()

    def check(self, text: str) -> Verdict:
        """Say whether a typed answer is right, and if not what went wrong where that shows: a `Verdict`.

        A number may have a point or a comma and a unit. What cannot be read is not right, and the words say what is taken.

        >>> from ergokit.problems import make_problem
        >>> problem = make_problem("angle", seed=3, level=1)
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
        return Verdict(False, self._amiss(letters) if len(self.answer) > 1 or len(letters) == 1 else "One letter, please.")

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
            f'<div style="flex: none">{drawn}</div></div>'
        )


_WRONG_LENGTHS = {
    "": ((0.1, "Without a unit this reads as cm. Did you mean {typed} mm?"),),
    "cm": ((0.1, "{typed} cm is ten times too much: did you mean {typed} mm?"),),
    "mm": ((10.0, "{mm} mm is ten times too little: did you mean {mm} cm?"),),
}

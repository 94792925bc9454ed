"""Predictions before an answer shows, and questions with a checked answer."""

from __future__ import annotations

import html

import ipywidgets as w

from ergokit import desk
from ergokit._check import a_text, checked, numbers, one, one_word
from ergokit.explorers.cells import keep_one, lesson
from ergokit.explorers.controls import Layout, button

_SHOWN = {"cm": " cm", "deg": " degrees", "": ""}


def _number(text, unit):
    from ergokit.problems.answers import read_number  # with the paper of problems behind it: not before somebody answers

    return read_number(text, unit).value


def _unit(name, value):
    return one_word(name, value, _SHOWN, "'cm', 'deg' or ''")


def _value(name, value):
    return one(name, value, numbers, "a number")


class Prediction(w.HBox):
    """See `predict`."""

    def __init__(self, prompt, unit, start=None):
        self.prompt, self.unit, self.start = prompt, unit, start
        self._kept = None  # the guess that was kept last
        self.answer = w.Text(placeholder="your guess", tooltip=prompt, layout=Layout(width="110px"))
        super().__init__([w.HTML(html.escape(prompt)), self.answer, w.HTML(_SHOWN[unit])])
        keep_one(self)

    def __repr__(self):
        return "A box for your prediction appears here once this cell has run (Shift + Enter)."

    def compare(self, value: float) -> str:
        """A sentence that sets the prediction beside the value.

        >>> Prediction("How wide?", "deg").compare(60)
        'It is 60.0 degrees. You made no prediction: guess first next time, that is how it sticks.'
        """
        found = f"It is {value:.1f}{_SHOWN[self.unit]}."
        if not self.answer.value.strip():
            return f"{found} You made no prediction: guess first next time, that is how it sticks."
        try:
            guess = _number(self.answer.value, self.unit)
        except ValueError as error:
            return f"{found} Your prediction could not be read. {error}"
        trouble = self._keep(guess, float(value))
        said = f"{found} You predicted {guess:.1f}; you were {abs(guess - value):.1f}{_SHOWN[self.unit]} off."
        return f"{said} {trouble}".strip()

    def _keep(self, guess, value):
        """Keep a guess with what it was about, once; why it could not be kept, or ""."""
        if guess == self._kept:
            return ""
        self._kept = guess
        facts = {"lesson": lesson(), "asked": self.prompt, "guess": guess, "value": value, "unit": self.unit}
        return desk.note("prediction", **facts, **({} if self.start is None else {"from": self.start}))


@checked(prompt=a_text, unit=_unit, start=_value)
def predict(prompt: str, unit: str = "deg", *, start: float | None = None) -> Prediction:
    """A box for a guess, asked before the answer shows; `compare` it with the value afterwards.

    `start` is what the quantity is before the change that is asked about: the reader's own record then says whether the guess
    went the right way.
    """
    return Prediction(prompt, unit, start)


class Question(w.VBox):
    """See `question`."""

    def __init__(self, prompt, answer, unit, tolerance, hint, why):
        self._answer, self._unit, self._tolerance, self._hint, self._why = float(answer), unit, tolerance, hint, why
        self.prompt, self._kept = prompt, False
        self.answer = w.Text(placeholder="your answer", tooltip=prompt, layout=Layout(width="120px"))
        self.feedback = w.HTML()
        row = w.HBox([self.answer, w.HTML(_SHOWN[unit]), button("check", "is my answer right?", self.check, "70px")])
        super().__init__([w.HTML(f"<b>{html.escape(prompt)}</b>"), row, self.feedback])
        keep_one(self)

    def __repr__(self):
        return "The question appears here once this cell has run (Shift + Enter)."

    def check(self) -> None:
        """Say in one sentence whether the typed answer is right; the way to it once it is."""
        words = f"{self.say()} {self._keep()}".strip()
        self.feedback.value = f'<span role="status">{html.escape(words)}</span>'

    def say(self) -> str:
        """The sentence that `check` shows."""
        try:
            given = _number(self.answer.value, self._unit)
        except ValueError as error:
            return str(error)
        if self._is_right(given):
            return f"Right: {self._answer:.1f}{_SHOWN[self._unit]}. {self._why}".strip()
        return f"Not yet. {self._hint}".strip()

    def _is_right(self, given):
        return abs(given - self._answer) <= self._tolerance

    def _keep(self):
        """Keep the first answer that could be read; why it could not be kept, or ""."""
        try:
            given = _number(self.answer.value, self._unit)
        except ValueError:
            return ""
        if self._kept:
            return ""
        self._kept = True
        return desk.note("question", lesson=lesson(), asked=self.prompt, right=self._is_right(given))


@checked(prompt=a_text, answer=_value, unit=_unit, tolerance=_value, hint=a_text, why=a_text)
def question(prompt: str, answer: float, unit: str = "cm", tolerance: float = 0.1, hint: str = "", why: str = "") -> Question:
    """A question whose typed answer is checked against `answer`, within `tolerance` of the same unit.

    `hint` shows after a wrong answer, `why` after the right one.

    >>> q = question("How deep is the target?", 15.588, unit="cm", why="18 cos 30°.")
    >>> q.answer.value = "15,6"
    >>> q.say()
    'Right: 15.6 cm. 18 cos 30°.'
    """
    return Question(prompt, answer, unit, tolerance, hint, why)

"""Predictions, whose answer appears after the guess, and questions with a checked answer."""

from __future__ import annotations

import html
from collections.abc import Callable, Sequence
from math import inf

import ipywidgets as w

from ergokit import desk
from ergokit._check import a_function, a_text, brief, checked, numbers, one, refused
from ergokit._words import joined
from ergokit.explorers.cells import lesson
from ergokit.explorers.controls import Below, Layout, button, said

_SHOWN = {"cm": " cm", "deg": " degrees", "ratio": ""}
_WAYS = {"cm": ("longer", "the same", "shorter"), "deg": ("wider", "the same", "narrower")}
_MORE = ("more", "the same", "less")
_POSSIBLE = {"cm": "a length of 0 cm or more", "deg": "an angle from 0 to 180 degrees"}  # what a guess can be
_SCALE = (520, 90)  # of the line on which a guess lies beside the answer, in px: how long, and how far from its ends


def in_words(value: float | str, unit: str) -> str:
    """An answer as it is shown, with its unit: one decimal for a length or an angle, two for a ratio, none for a count.

    >>> in_words(15.588, "cm"), in_words(60, "deg"), in_words(0.8333, "ratio"), in_words("wider", "deg")
    ('15.6 cm', '60.0 degrees', '0.83', 'wider')
    >>> in_words(0, "targets"), in_words(1, "targets"), in_words(2, "targets")
    ('none', '1 target', '2 targets')
    """
    if isinstance(value, str):
        return value
    if unit not in _SHOWN:
        return f"{value:.0f} {unit.removesuffix('s') if round(value) == 1 else unit}" if round(value) else "none"
    return f"{value:.{2 if unit == 'ratio' else 1}f}{_SHOWN[unit]}"


def quoted(value: float | str, unit: str) -> str:
    """The same in a sentence, where a text is in quotation marks.

    >>> quoted(60, "deg"), quoted("wider", "deg")
    ('60.0 degrees', "'wider'")
    """
    return repr(value) if isinstance(value, str) else in_words(value, unit)


def _number(text, unit):
    from ergokit.problems.answers import read_number  # with the paper of problems behind it: not before somebody answers

    return read_number(text.removesuffix(unit) if unit not in _SHOWN else text, unit if unit in ("cm", "deg") else "").value


def possible(guess: float, unit: str) -> bool:
    """Whether a number in this unit can be the answer to a prediction: nothing negative, and no angle beyond 180 degrees.

    >>> possible(180, "deg"), possible(999, "deg"), possible(999, "cm"), possible(-3, "cm")
    (True, False, True, False)
    """
    return 0 <= guess <= (180 if unit == "deg" else inf)


def _value(name, value):
    return one(name, value, numbers, "a number")


def _unit(name, value):
    if isinstance(value, str) and (value in _SHOWN or value.replace(" ", "").isalpha()):
        return value
    raise refused(name, "'cm', 'deg', 'ratio' or what is counted, such as 'targets'", value)


def _answer(name, value):
    return value if isinstance(value, str) and value else _value(name, value)


def _three(name, value):
    if isinstance(value, str) or not isinstance(value, Sequence) or len(set(value)) != len(value) or not 2 <= len(value) <= 4:
        raise refused(name, "two to four different numbers or texts", value)
    return tuple(_answer(name, each) for each in value)


def _choice(options, tips):
    """Buttons of which one can be pressed, as wide as their words."""
    made = w.ToggleButtons(options=tuple(options), value=None, tooltips=tips, style={"button_width": "auto"})
    return made.add_class("ergokit-choice")


class _Asked(Below):
    """A prompt with a box or a choice for the answer: Enter and a button check it, another button gives the answer away."""

    def __init__(self, prompt, answer, unit, choices, tip, *between):
        self.prompt, self.value, self.unit = prompt, answer, unit
        self.options = {in_words(each, unit): each for each in choices or ()}
        if isinstance(answer, str) and not choices:
            raise refused("choices", "two to four texts where the answer is a text", choices)
        if choices and in_words(answer, unit) not in self.options:
            raise refused("answer", f"one of the choices: {joined(self.options)}", in_words(answer, unit))
        self.is_open = True
        self.answer = w.Text(placeholder=tip, tooltip=prompt, layout=Layout(width="110px"))
        self.answer.on_msg(lambda _, content, buffers: content.get("event") == "submit" and self.check())  # Enter
        self.choice = _choice(self.options, [prompt] * len(self.options))
        self.choice.observe(lambda _: self.check(), "value")
        self.check_button = button("check", "is my answer right? Enter in the box does the same", self.check, "70px")
        self.show_me = button("show me", "give me the answer", self.reveal, "80px")
        self.show_me.layout.flex = "0 0 auto"  # as wide as its words also beside choices that need two lines
        unit_shown = w.Label(_SHOWN.get(unit, f" {unit}"))
        typed = [self.choice] if choices else [self.answer, unit_shown, self.check_button]
        self.feedback, self.below = w.HTML(), w.VBox()
        row = w.HBox([*between, *typed, self.show_me], layout=Layout(align_items="center"))
        super().__init__([w.HTML(f"<b>{html.escape(prompt)}</b>"), row, self.feedback, self.below], "ergokit-asked")

    def given(self):
        """What was answered: a number in the unit of the question, or one of the choices; ValueError if it is neither."""
        if not self.options:
            return _number(self.answer.value, self.unit)
        if self.choice.value is None:
            raise ValueError("Choose one of the answers first.")
        return self.options[self.choice.value]

    def is_right(self, given, tolerance):
        """Whether an answer is the right one, within a tolerance if it is a number."""
        if self.options:
            return in_words(given, self.unit) == in_words(self.value, self.unit)
        return abs(given - self.value) <= tolerance

    def close_entry(self) -> None:
        """Take no more answers: this one is known now."""
        self.is_open = False
        for control in (self.answer, self.choice, self.check_button, self.show_me):
            control.disabled = True

    def check(self) -> None:
        raise NotImplementedError

    def reveal(self) -> None:
        raise NotImplementedError


class Prediction(_Asked):
    """See `predict`. `value` is the answer, `is_open` whether it is still hidden, `shown` what came with it."""

    what = "A question for your prediction appears"

    def __init__(self, prompt, answer, unit, start, ways, choices, forgets, show):
        self.start, self.ways, self.forgets, self._make = start, ways, forgets, show
        self.shown = ()
        self.way = _choice(ways, [f"{prompt} {way}" for way in ways])
        super().__init__(prompt, answer, unit, choices, "your guess", *([] if start is None else [self.way]))

    def check(self) -> None:
        """Take the guess, and give the answer with all that shows it; a guess that cannot be read gives a sentence only."""
        if not self.is_open:
            return
        try:
            guess = self.given()
            if not self.options and not possible(guess, self.unit):
                takes = _POSSIBLE.get(self.unit, "a number of 0 or more")
                raise ValueError(f"{brief(self.answer.value)} cannot be the answer; type {takes}.")
            way = self._way_of(guess)
        except ValueError as error:
            self.feedback.value = said(str(error), wrong=True)
            return
        facts = {"lesson": lesson(), "asked": self.prompt, "guess": guess, "value": self.value, "unit": self.unit}
        trouble = desk.note("prediction", **facts, **({} if self.start is None else {"from": self.start}))
        self._open(f"{way}{self._beside(guess)} {trouble}", guess)

    def reveal(self) -> None:
        """Give the answer without a guess."""
        if self.is_open:
            self._open("")

    def _way_of(self, guess):
        """What to say of the direction that was chosen; ValueError where it and the number contradict each other."""
        if self.way.value is None:
            return ""
        chosen, true, typed = self.way.value, self._way(self.value), self._way(guess)
        if typed != chosen:
            now = in_words(self.start, self.unit)
            raise ValueError(f"You chose {chosen!r}, but from {now} your number means {typed!r}. Change one of them.")
        return f"You chose {chosen!r}, and so it is. " if chosen == true else f"You chose {chosen!r}, but it is {true!r}. "

    def _way(self, value):
        """The word for a value beside the start, where a difference that is not shown is none."""
        before, now = (float(f"{each:.1f}") for each in (self.start, value))
        return self.ways[1 - (now > before) + (now < before)]

    def _beside(self, guess):
        if self.options:
            return "You chose this one." if self.is_right(guess, 0) else f"You chose {quoted(guess, self.unit)}."
        was = f"Your guess was {in_words(guess, self.unit)}"
        off = in_words(abs(guess - self.value), self.unit)
        if off == in_words(0, self.unit):
            return f"{was}, and so it is."
        if self.unit not in _SHOWN:
            off = off.partition(" ")[0]
        return f"{was}, which is {off} too {'high' if guess > self.value else 'low'}."

    def _open(self, beside, guess=None):
        self.close_entry()
        self.way.disabled = True
        answer = f"<b>The answer is {html.escape(quoted(self.value, self.unit))}.</b> {html.escape(beside.strip())}"
        scale = "" if guess is None or self.options else _scale(self.start, guess, self.value, self.unit)
        forgets = f"<div>{html.escape(self.forgets)}</div>" if self.forgets else ""
        self.feedback.value = f'<div role="status">{answer}</div>{scale}{forgets}'
        if self._make is not None:
            made = self._make()
            self.shown = made if isinstance(made, tuple) else (made,)
            self.below.children = [_displayed(each) for each in self.shown]


def _scale(start, guess, value, unit):
    """A line with the guess above it and the answer below; where it started, if that was asked about."""
    marks = [(guess, "your guess", 14, "none"), (value, "answer", 52, "currentColor")]
    marks += [] if start is None else [(start, "before", 52 if abs(start - guess) < abs(start - value) else 14, "none")]
    low, high = min(at for at, *_ in marks), max(at for at, *_ in marks)
    wide, edge = _SCALE
    drawn = ""
    for at, name, y, fill in marks:
        x = edge + (wide - 2 * edge) * ((at - low) / (high - low) if high > low else 0.5)
        words = f"{name} {in_words(at, unit)}"
        drawn += f'<circle cx="{x:.0f}" cy="30" r="5" stroke="currentColor" stroke-width="1.5" fill="{fill}"/>'
        drawn += f'<text x="{x:.0f}" y="{y}" text-anchor="middle">{html.escape(words)}</text>'
    line = f'<line x1="{edge - 20}" y1="30" x2="{wide - edge + 20}" y2="30" stroke="currentColor"/>'
    label = html.escape(", ".join(f"{name} {in_words(at, unit)}" for at, name, *_ in marks))
    looks = 'style="display: block; font-size: 12px; fill: currentColor"'
    return f'<svg {looks} width="{wide}" height="60" role="img" aria-label="{label}">{line}{drawn}</svg>'


def _displayed(item):
    """A widget that shows what a cell would show: a widget itself, text as Markdown, all else as it displays itself."""
    if isinstance(item, w.Widget):
        return item
    if hasattr(item, "to_plotly_json"):
        from ergokit.figures.picture import Picture

        return Picture.of(item, about="The figure that goes with the answer.")
    if isinstance(item, str):
        from IPython.display import Markdown

        item = Markdown(item)
    shown = w.Output()
    shown.append_display_data(item)
    return shown


@checked(prompt=a_text, answer=_answer, unit=_unit, start=_value, ways=_three, choices=_three, forgets=a_text, show=a_function)
def predict(
    prompt: str,
    answer: float | str,
    unit: str = "deg",
    *,
    start: float | None = None,
    ways: Sequence[str] | None = None,
    choices: Sequence[float | str] | None = None,
    forgets: str = "",
    show: Callable | None = None,
) -> Prediction:
    """A question for a guess, whose answer appears after the guess or on "show me", in the same cell.

    `unit` is "cm", "deg", "ratio" or what is counted, in the plural. With `start`, what the quantity was before a change, a
    direction is asked for too, in the words `ways` for more, the same and less. `choices` are two to four numbers or texts to
    choose from. `forgets` says what the common wrong guess forgets. `show` is a function without arguments: what it returns,
    one thing or a tuple of them, is made and shown with the answer, a text as Markdown.

    >>> asked = predict("Three equal lengths: how wide is the angle?", 60, forgets="Each corner has a third of 180 degrees.")
    >>> asked.answer.value = "45"
    >>> asked.check()
    >>> asked.feedback.value.partition("</div>")[0]
    '<div role="status"><b>The answer is 60.0 degrees.</b> Your guess was 45.0 degrees, which is 15.0 degrees too low.'
    """
    words = tuple(ways) if ways else _WAYS.get(unit, _MORE)
    if len(words) != 3:
        raise refused("ways", "three words: for more, the same and less", words)
    return Prediction(prompt, answer, unit, start, words, choices, forgets, show)


class Question(_Asked):
    """See `question`."""

    what = "The question appears"

    def __init__(self, prompt, answer, unit, tolerance, hint, why, choices):
        self._tolerance, self._hint, self._why, self._kept = tolerance, hint, why, False
        super().__init__(prompt, answer, unit, choices, "your answer")
        self.show_me.layout.display = "none"

    def check(self) -> None:
        """Say in one sentence whether the answer is right; the way to it once it is, and "show me" once it was not."""
        try:
            given = self.given()
            right = self.is_right(given, self._tolerance)
            if not (right or self.options) and self.unit in _WAYS and given == round(self.value):
                raise ValueError("That is right to a whole number; type one decimal more.")
        except ValueError as error:
            self.feedback.value = said(str(error), wrong=True)
            return
        trouble = self._keep(right)
        self.feedback.value = said(f"{f'Right: {self._told()}' if right else f'Not yet. {self._hint}'} {trouble}".strip())
        self.show_me.layout.display = "none" if right else None

    def reveal(self) -> None:
        """Give the answer and the way to it; an answer after that is not kept."""
        self._kept = True
        self.feedback.value = said(f"The answer is {self._told()}")

    def _told(self):
        return f"{quoted(self.value, self.unit)}. {self._why}".strip()

    def _keep(self, right):
        """Keep the first answer that could be read; why it could not be kept, or ""."""
        if self._kept:
            return ""
        self._kept = True
        return desk.note("question", lesson=lesson(), asked=self.prompt, right=right)


@checked(prompt=a_text, answer=_answer, unit=_unit, tolerance=_value, hint=a_text, why=a_text, choices=_three)
def question(
    prompt: str,
    answer: float | str,
    unit: str = "cm",
    tolerance: float = 0.1,
    hint: str = "",
    why: str = "",
    choices: Sequence[float | str] | None = None,
) -> Question:
    """A question whose answer is checked against `answer`, within `tolerance` of the same unit, or chosen from `choices`.

    `unit` is as in `predict`. `hint` shows after a wrong answer, `why` after the right one.

    >>> q = question("How deep is the target?", 15.588, unit="cm", why="18 cos 30°.")
    >>> q.answer.value = "15,6"
    >>> q.check()
    >>> q.feedback.value
    '<span role="status">Right: 15.6 cm. 18 cos 30°.</span>'
    """
    return Question(prompt, answer, unit, tolerance, hint, why, choices)

"""Problems to practise on: a question, a figure, a box for the answer, and what the reader's own desk remembers of it."""

from __future__ import annotations

import html
from collections.abc import Collection, Sequence
from datetime import UTC, datetime
from random import SystemRandom

import ipywidgets as w

from ergokit import desk
from ergokit._check import a, checked
from ergokit._words import joined
from ergokit.desk import leitner
from ergokit.explorers.controls import STYLE, Below, Layout, button, choice, labelled, said
from ergokit.explorers.prediction import Question
from ergokit.problems import KINDS, LEVELS, Problem, chosen_kinds, make_problem
from ergokit.problems.draw import Draw
from ergokit.problems.paper import svg
from ergokit.problems.problem import place_of
from ergokit.relations import RELATIONS

_UNITS = {"cm": "cm", "deg": "degrees", "": ""}
_ALL, _THESE, _ANY = "all kinds", "these kinds", "any level"
_READ = {"width": "474px"}
_YOURS = "The record is yours: it says what to read again. It is never an assessment of anybody."


def practice(kinds: Collection[str] | None = None, seed: int | None = None, level: int | None = None) -> Practice:
    """Practise: one problem after another, each checked, with a hint, a worked solution and the relation's derivation.

    `kinds` are some of `ergokit.problems.KINDS` (all unless given), `level` is 1, 2 or 3 (any unless given); both can be
    chosen in the widget too. `seed` is a whole number: the same seed asks the same problems in the same order. Without one a
    sitting goes on where the last ended: kinds that went wrong come again, at growing intervals, by the rule in
    `ergokit.desk.leitner`. First tries are kept in the reader's own folder. ValueError for a bad argument.

    >>> sitting = practice(["depth"], seed=1, level=1)
    >>> sitting.answer.value = "deep"
    >>> sitting.check()
    >>> sitting.problem.kind, sitting.score.value
    ('depth', 'You have answered nothing yet.')
    """
    return Practice(kinds, seed, level)


class Practice(Below):
    """See `practice`. `problem` is the one on show."""

    what = "The practice appears"

    def __init__(self, kinds, seed, level, pairs: Sequence[tuple[str, int]] | None = None, remembers=True):
        """`pairs` of kind and level are asked one after another, and nothing more; without memory nothing is kept."""
        kinds = chosen_kinds(kinds)
        self._pairs = None if pairs is None else list(pairs)
        self._remembers, self._chosen = remembers, seed is not None
        self._answers = desk.happened("answer") if remembers else []
        self._before = len(self._answers)
        self._kinds = {_ALL if len(kinds) == len(KINDS) else _THESE: kinds} | {kind: [kind] for kind in KINDS}
        self._seed = SystemRandom().randrange(10**6) if seed is None else seed
        make_problem(kinds[0], self._seed, level)  # refuses a seed or a level that cannot be
        self._asked = self._right = self._tried = 0
        self._deck: list = []
        self._build(level)
        super().__init__([self._settings(), self.kept, self._body()])
        self.next()

    def next(self) -> None:
        """Ask another problem: what is due again; else each kind once before any comes again."""
        if self._pairs is not None and not self._pairs:
            self.look_back()
            return
        kind, level = self._next_kind()
        self.problem = make_problem(kind, 1000 * self._seed + self._asked, level)
        self._asked += 1
        self._counted = False
        self._show()

    def again(self) -> None:
        """Ask this problem once more; it was counted, or counts no more."""
        self._counted = True
        self._show()

    def look_back(self) -> None:
        """Say which kinds are weak after this sitting, and where to read about them."""
        self.summary.value = _close(self._looked_back())

    def _next_kind(self):
        """Kind and level of the next problem; a level of None is drawn."""
        if self._pairs:
            return self._pairs.pop(0)
        kinds, level = self._kinds[self.kind.value], None if self.level.value == _ANY else int(self.level.value[-1])
        if not self._chosen:
            cards = leitner.cards(self._answers)
            asked = [card for card in cards if card.kind in kinds and card.level in LEVELS and level in (None, card.level)]
            last = self._answers[-1].get("kind", "") if self._answers else ""
            for card in leitner.due(asked, datetime.now(UTC), last):
                return card.kind, card.level
        if not self._deck:
            self._deck = Draw("practice", self._seed, self._asked).shuffled(kinds)
        return self._deck.pop(), level

    def _looked_back(self):
        done = self._answers[self._before :]
        if not done:
            return "You have answered nothing in this sitting yet."
        asked = {(each["kind"], each["level"]) for each in done}
        weak = [card for card in leitner.weak(leitner.cards(self._answers)) if (card.kind, card.level) in asked]
        if not weak:
            return f"You got every kind of this sitting right the last time it came. {_YOURS}"
        wrong = {(each["kind"], each["level"]): each["seed"] for each in done if not each["right"]}
        told = (_weak(card, make_problem(card.kind, wrong[card.kind, card.level], card.level)) for card in weak)
        return f"<b>Read again</b><ul>{''.join(told)}</ul>{_YOURS}"

    def check(self) -> None:
        """Say whether the typed answer is right; it counts at the first try that can be read."""
        verdict = self.problem.check(self.answer.value)
        if verdict.slip != "unread":
            self._count(verdict.right, verdict.slip)
        self.feedback.value = said(f"✓ {verdict.words}" if verdict else verdict.words, wrong=not verdict)

    def _begin(self):
        """Ask by what is chosen now."""
        self._deck: list = []
        self.next()

    def give_hint(self) -> None:
        self.hint.value = _close(f"<b>Hint.</b> {html.escape(self.problem.hint)}")

    def solve(self) -> None:
        """Show the worked solution and the derivation; an answer typed after that does not count."""
        problem = self.problem
        self._count(False)
        *steps, lesson = map(html.escape, problem.solution.split("\n"))
        listed = "".join(f"<li>{step}</li>" for step in steps)
        self.solution.value = _close(f"<b>{html.escape(problem.right_answer)}</b><ol>{listed}</ol>{lesson}")
        self.derivation.value = RELATIONS[problem.relation]._repr_html_()

    def exercise(self) -> str:
        """Answer each kind in a sitting of its own, wrongly, rightly and by its solution; this one stays as it is."""
        sitting = Practice(KINDS, self._seed, None, remembers=False)
        for kind in KINDS:
            sitting.kind.value = kind
            sitting.answer.value = "certainly"
            sitting.check()
            refused = "⚠" in sitting.feedback.value
            sitting.answer.value = sitting.problem.right_answer
            sitting.check()
            sitting.give_hint()
            sitting.solve()
            if not (refused and "✓" in sitting.feedback.value and sitting.hint.value and sitting.derivation.value):
                raise AssertionError(f"{kind}: {sitting.problem.right_answer} was answered with: {sitting.feedback.value}")
        if f"{len(KINDS)} of {len(KINDS)}" not in sitting.score.value:
            raise AssertionError(f"all answers were right; the score says: {sitting.score.value}")
        return f"{len(KINDS)} kinds answered, wrongly and rightly: each was told so, hinted at and solved."

    def _count(self, right, slip=""):
        """Count a problem once, at its first try, and keep that."""
        if self._counted:
            return
        self._counted = True
        self._tried += 1
        self._right += right
        problem = self.problem
        answer = {"kind": problem.kind, "level": problem.level, "seed": problem.seed, "right": right, "slip": slip}
        self._answers.append(answer | {"at": datetime.now(UTC)})
        self._tell_score()
        if self._remembers:
            self.kept.value = said(trouble, wrong=True) if (trouble := desk.note("answer", **answer)) else self._told_before()

    def _show(self):
        problem = self.problem
        self.question.value = f'<div style="font-size: 15px; line-height: 21px">{html.escape(problem.question)}</div>'
        self.figure.value = _figure(problem).value
        self.made.value = (
            f'<div class="ergokit-foot">{problem.kind}, level {problem.level}, number {problem.seed}. Ring: left port; '
            "diamond: right port; cross: target; filled square: lens.</div>"
        )
        self.unit.value = _UNITS[problem.unit]
        self.answer.value = ""
        self.letters.children = [self._letter(each) for each in problem.options]
        self.answer.layout.display = "none" if problem.options else None
        self.check_button.layout.display = "none" if problem.options and len(problem.answer) == 1 else None
        for part in (self.feedback, self.hint, self.solution, self.derivation, self.summary):
            part.value = ""
        self._tell_score()

    def _letter(self, letter):
        pressed = w.ToggleButton(description=letter, tooltip=f"your answer: {letter}", layout=Layout(width="44px"))
        pressed.observe(self._press, "value")
        return pressed

    def _press(self, change):
        """The letters that are pressed are the answer; a single one takes the place of the last, and is checked at once."""
        at_once = change["new"] and len(self.problem.answer) == 1
        if at_once:
            for letter in self.letters.children:
                letter.value = letter is change["owner"]
        self.answer.value = "".join(letter.description for letter in self.letters.children if letter.value)
        if at_once:
            self.check()

    def _told_before(self):
        before = self._answers[: self._before]
        right = sum(bool(each.get("right")) for each in before)
        return f"Before this sitting you had {_of(right, len(before))}. {_YOURS}" if before else _YOURS

    def _tell_score(self):
        told = f"In this sitting you had {_of(self._right, self._tried)}."
        self.score.value = told if self._tried else "You have answered nothing yet."

    # How it is built

    def _build(self, level):
        self.kind = choice(list(self._kinds), "kind: what is asked", "180px")
        self.level = choice([_ANY, *(f"level {each}" for each in LEVELS)], "level: 1 is the easiest", "110px")
        self.level.value = _ANY if level is None else f"level {level}"
        self.question, self.figure, self.made = w.HTML(layout=Layout(**_READ)), w.HTML(), w.HTML()
        tip = "your answer: a number with or without its unit; Enter checks it"
        self.answer = w.Text(placeholder="your answer", tooltip=tip, layout=Layout(width="140px"))
        self.letters = w.HBox()
        self.check_button = button("check", "is my answer right? Enter in the box does the same", self.check, "70px")
        self.unit, self.score = w.Label(), w.Label()
        self.kept, self.summary = w.HTML(self._told_before()), w.HTML(layout=Layout(**_READ))
        self.feedback = w.HTML(layout=Layout(**_READ, min_height="28px"))
        self.hint, self.solution = w.HTML(layout=Layout(**_READ)), w.HTML(layout=Layout(**_READ))
        self.derivation = w.HTMLMath(layout=Layout(**_READ))
        for control in (self.kind, self.level):
            control.observe(lambda change: self._begin(), "value")
        self.answer.on_msg(lambda _, content, buffers: content.get("event") == "submit" and self.check())  # Enter

    def _settings(self):
        chosen = [labelled("kind", self.kind, width="38px"), labelled("level", self.level, width="42px")]
        return w.HBox([*([] if self._pairs is not None else chosen), self.score])

    def _body(self):
        another = button("next", "another problem", self.next, "60px")
        row = w.HBox([self.answer, self.letters, self.unit, self.check_button, another])
        more = w.HBox(
            [
                button("hint", "a nudge, without the answer", self.give_hint, "60px"),
                button("worked solution", "each step to the answer; the problem then no longer counts", self.solve, "124px"),
                button("this one again", "ask the same problem once more; it does not count", self.again, "124px"),
                button("look back", "which kinds to read again, and where", self.look_back, "84px"),
            ]
        )
        parts = [self.question, row, self.feedback, more, self.hint, self.solution, self.derivation, self.summary]
        return w.HBox([w.VBox(parts), w.VBox([self.figure, self.made], layout=Layout(width="340px"))])


@checked(problem=a(Problem))
def ask(problem: Problem) -> Question:
    """The question of a `Problem` with its figure, a hint after a wrong answer and the worked solution after a right one.

    ValueError for a problem whose answer is several letters.

    >>> asked = ask(make_problem("spacing", seed=0, level=2))
    >>> asked.answer.value = "7"
    >>> asked.check()
    >>> asked.feedback.value[:70]
    '<span role="status">Not yet. The midline is square to the line of the '
    """
    why = f"\n{problem.solution}"  # a line each
    told = problem.unit or "ratio", problem.tolerance or 0.0, problem.hint, why, tuple(problem.options)
    asked = Question(problem.question, problem.answer, *told)
    asked.feedback.add_class("ergokit-steps")
    style, prompt, *rest = asked.children
    asked.children = [style, prompt, _figure(problem), *rest]
    return asked


def _figure(problem):
    return w.HTML(svg(problem.figure, "Figure to the question", "340px"))


def _close(words):
    return f'<div style="line-height: 18px">{words}</div>'


def _weak(card, problem):
    """A kind to read again: how often it was right, which slips were made, and where the problem that went wrong is taught."""
    slips = joined([f"“{name}” {'once' if times == 1 else f'{times} times'}" for name, times in card.slips.items()])
    made = f"Your slips were {slips}. " if slips else ""
    said = f"{card.kind}, level {card.level}: you had {_of(card.right, card.tries)}. {made}Read {place_of(problem.relation)}."
    return f"<li>{html.escape(said)}</li>"


def _of(right, tries):
    return f"{right} of {tries} right at the first try"


def retest() -> Retest | None:
    """Five questions of what was practised, asked for a week after the last sitting and again after a month; else None.

    The reader may begin them or leave it: nobody else sees either.

    >>> from ergokit.desk import folder_at
    >>> with folder_at("nowhere"):
    ...     retest()
    """
    answers, now = desk.happened("answer"), datetime.now(UTC)
    wait = leitner.retest_due(answers, desk.happened("retest"), now)
    known = [card for card in leitner.cards(answers) if card.kind in KINDS and card.level in LEVELS]
    return Retest(wait, leitner.five(known)) if wait and known else None


class Retest(Below):
    """See `retest`."""

    what = "A few questions may appear"

    def __init__(self, wait, pairs):
        self._pairs, self.practice = pairs, None
        count = "One question shows" if len(pairs) == 1 else f"{len(pairs)} questions show"
        words = f"You last tested yourself a {wait} ago or more. {count} what has stayed. {_YOURS}"
        self.start = button("ask me", "the questions, one after another", self.begin, "90px")
        self.said = w.HTML(words)
        super().__init__([self.said, self.start])

    def begin(self) -> None:
        """Ask the questions; they will not be asked for again this time."""
        desk.note("retest", asked=len(self._pairs))
        self.practice = Practice(None, None, None, self._pairs)
        self.children = [STYLE, self.said, self.practice]

"""Problems to practise on: a question, a figure, a box for the answer, and a score that only the open notebook knows."""

from __future__ import annotations

import html
from collections.abc import Collection
from random import SystemRandom

import ipywidgets as w

from ergokit.explorers.cells import keep_one
from ergokit.explorers.controls import STYLE, Layout, button, choice, labelled, said
from ergokit.problems import KINDS, LEVELS, chosen_kinds, make_problem
from ergokit.problems.draw import Draw
from ergokit.problems.paper import svg
from ergokit.relations import RELATIONS

_UNITS = {"cm": "cm", "deg": "degrees", "": ""}
_ALL, _THESE, _ANY = "all kinds", "these kinds", "any level"
_READ = {"width": "490px"}


def practice(kinds: Collection[str] | None = None, seed: int | None = None, level: int | None = None) -> Practice:
    """Practise: one problem after another, each checked, with a hint, a worked solution and the relation's derivation.

    `kinds` are some of `ergokit.problems.KINDS` (all unless given), `level` is 1, 2 or 3 (any unless given); both can be
    chosen in the widget too. `seed` is a whole number: the same seed asks the same problems in the same order; without one each
    sitting starts elsewhere. The score lives in this notebook and is gone with its kernel. ValueError for a bad argument.

    >>> sitting = practice(["depth"], seed=1, level=1)
    >>> sitting.answer.value = "deep"
    >>> sitting.check()
    >>> sitting.problem.kind, sitting.score.value
    ('depth', 'This sitting: 0 of 0 right at the first try.')
    """
    return Practice(kinds, seed, level)


class Practice(w.VBox):
    """See `practice`. `problem` is the one on show."""

    def __init__(self, kinds, seed, level):
        kinds = chosen_kinds(kinds)
        self._kinds = {_ALL if len(kinds) == len(KINDS) else _THESE: kinds} | {kind: [kind] for kind in KINDS}
        self._seed = SystemRandom().randrange(10**6) if seed is None else seed
        make_problem(kinds[0], self._seed, level)  # refuses a seed or a level that cannot be
        self._asked = self._right = self._tried = 0
        self._deck = []
        self._build(level)
        super().__init__([STYLE, self._settings(), self._body()])
        self.add_class("ergokit")
        keep_one(self)
        self.next()

    def __repr__(self):
        return "The practice appears here once this cell has run (Shift + Enter)."

    def next(self) -> None:
        """Ask another problem; each kind comes once before any comes again."""
        if not self._deck:
            self._deck = Draw("practice", self._seed, self._asked).shuffled(self._kinds[self.kind.value])
        level = None if self.level.value == _ANY else int(self.level.value[-1])
        self.problem = make_problem(self._deck.pop(), 1000 * self._seed + self._asked, level)
        self._asked += 1
        self._counted = False
        self._show()

    def check(self) -> None:
        """Say whether the typed answer is right; it counts at the first try that can be read."""
        verdict = self.problem.check(self.answer.value)
        if verdict.slip != "unread":
            self._count(verdict.right)
        self.feedback.value = said(f"✓ {verdict.words}" if verdict else verdict.words, wrong=not verdict)

    def _begin(self):
        """Ask by what is chosen now."""
        self._deck = []
        self.next()

    def give_hint(self) -> None:
        self.hint.value = _close(f"<b>Hint.</b> {html.escape(self.problem.hint)}")

    def solve(self) -> None:
        """Show the worked solution and the derivation; an answer typed after that does not count."""
        problem = self.problem
        self._count(False)
        lines = "<br>".join(map(html.escape, problem.solution.split("\n")))
        self.solution.value = _close(f"<b>{html.escape(problem.right_answer)}</b><br>{lines}")
        self.derivation.value = RELATIONS[problem.relation]._repr_html_()

    def exercise(self) -> str:
        """Answer each kind in a sitting of its own, wrongly, rightly and by its solution; this one stays as it is."""
        sitting = Practice(KINDS, self._seed, None)
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

    def _count(self, right):
        """Count a problem once, at its first try."""
        if not self._counted:
            self._counted = True
            self._tried += 1
            self._right += right
            self._tell_score()

    def _show(self):
        problem = self.problem
        self.question.value = f'<div style="font-size: 15px; line-height: 21px">{html.escape(problem.question)}</div>'
        drawn = svg(problem.figure, "Figure to the question", "340px")
        self.figure.value = f'<div style="background: white">{drawn}</div>'
        self.made.value = (
            f'<div class="ergokit-foot">{problem.kind}, level {problem.level}, number {problem.seed}. Ring: left port; '
            "diamond: right port; cross: target; black square: lens.</div>"
        )
        self.unit.value = _UNITS[problem.unit] if not problem.options else f"letters: {', '.join(problem.options)}"
        self.answer.value = ""
        for part in (self.feedback, self.hint, self.solution, self.derivation):
            part.value = ""
        self._tell_score()

    def _tell_score(self):
        self.score.value = f"This sitting: {self._right} of {self._tried} right at the first try."

    # How it is built

    def _build(self, level):
        self.kind = choice(list(self._kinds), "kind: what is asked", "180px")
        self.level = choice([_ANY, *(f"level {each}" for each in LEVELS)], "level: 1 is the easiest", "110px")
        self.level.value = _ANY if level is None else f"level {level}"
        self.question, self.figure, self.made = w.HTML(layout=Layout(**_READ)), w.HTML(), w.HTML()
        tip = "your answer: a number with or without its unit, or letters; Enter checks it"
        self.answer = w.Text(placeholder="your answer", tooltip=tip, layout=Layout(width="140px"))
        self.unit, self.score = w.Label(), w.Label()
        self.feedback = w.HTML(layout=Layout(width="490px", min_height="28px"))
        self.hint, self.solution, self.derivation = (
            w.HTML(layout=Layout(**_READ)),
            w.HTML(layout=Layout(**_READ)),
            w.HTMLMath(layout=Layout(**_READ)),
        )
        for control in (self.kind, self.level):
            control.observe(lambda change: self._begin(), "value")
        self.answer.on_msg(lambda _, content, buffers: content.get("event") == "submit" and self.check())  # Enter

    def _settings(self):
        return w.HBox([labelled("ask", self.kind, width="34px"), labelled("", self.level, width="12px"), self.score])

    def _body(self):
        row = w.HBox(
            [
                self.answer,
                self.unit,
                button("Check", "is my answer right? Enter in the box does the same", self.check, "80px"),
            ]
        )
        more = w.HBox(
            [
                button("hint", "a nudge, without the answer", self.give_hint, "80px"),
                button("worked solution", "the way to the answer; it then no longer counts", self.solve, "130px"),
                button("next", "another problem", self.next, "80px"),
            ]
        )
        parts = [self.question, row, self.feedback, more, self.hint, self.solution, self.derivation]
        return w.HBox([w.VBox(parts), w.VBox([self.figure, self.made], layout=Layout(width="340px"))])


def _close(words):
    return f'<div style="line-height: 18px">{words}</div>'

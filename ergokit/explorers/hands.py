"""A show of hands for a projector: four counts typed in, shown as bars, and then the answer among them."""

from __future__ import annotations

import html
from dataclasses import dataclass, replace

import ipywidgets as w

from ergokit import desk
from ergokit._check import a, checked
from ergokit.explorers.cells import lesson
from ergokit.explorers.controls import Layout, button, choice, labelled, toggle
from ergokit.explorers.explorer import Explorer
from ergokit.placement import Placement
from ergokit.placement.demo import demo_box
from ergokit.talk.plan import Slide, minutes_of, planned

_MOST = 500  # hands
_WIDE = 420  # px of the longest bar
_WAIT = (
    "Everybody writes a guess and tells a neighbour. Then count hands for each range. Do not let anybody call out the answer."
)


@checked(placement=a(Placement), minutes=minutes_of)
def show_of_hands(placement: Placement | None = None, *, minutes: int = 10) -> ShowOfHands:
    """Count hands for the questions of a talk about a placement, the demo box unless given, and mark the right range.

    The questions are those on the slides of `write_deck` for so many `minutes`. Type a count, press Tab, type the next. The
    counts are kept on the reader's own desk once the answer shows.

    >>> hands = show_of_hands()
    >>> for count, typed in zip(hands.counts, (3, 5, 1, 0)):
    ...     count.value = typed
    >>> hands.state.counts
    (3, 5, 1, 0)
    """
    return ShowOfHands(planned(placement or demo_box(), minutes))


@dataclass(frozen=True)
class Hands:
    """The `questions` of a talk, the number of the one asked now, the hands `counts` for its four ranges, and whether the
    answer is `told`."""

    questions: tuple[Slide, ...]
    asked: int = 0
    counts: tuple[int, ...] = (0, 0, 0, 0)
    told: bool = False
    numbers: bool = True
    notice: str = _WAIT

    @property
    def question(self) -> Slide:
        return self.questions[self.asked]

    def asking(self, name: str, number: int) -> Hands:
        """Another question, with no hands yet."""
        return Hands(self.questions, number)

    def counted(self, i: int, hands: int) -> Hands:
        """So many hands for one of the ranges."""
        counts = tuple(hands if i == j else count for j, count in enumerate(self.counts))
        return replace(self, counts=counts, told=False, notice=_WAIT)

    def telling(self, name: str, told: bool) -> Hands:
        """The answer set among the hands, and how many had it; or taken away."""
        if told and not sum(self.counts):
            raise ValueError("No hands were counted yet: type a count for each range first.")
        found = (
            f"{self.counts[self.question.right]} of {sum(self.counts)} chose "
            f"the right range: {self.question.ranges[self.question.right]}."
        )
        return replace(self, told=told, notice=found if told else _WAIT)


class ShowOfHands(Explorer):
    """See `show_of_hands`. `counts` are the boxes for the four counts."""

    def __init__(self, slides):
        super().__init__(Hands(tuple(slide for slide in slides if slide.asks)))

    def build(self):
        asked = choice([(slide.title, i) for i, slide in enumerate(self.start.questions)], "the question asked now", "420px")
        self.bind(asked, "asked", event=Hands.asking)
        self.bars, self.counts = w.HTML(), []
        self.ranges = [w.Label(layout=Layout(width="90px")) for _ in self.start.counts]
        for i, label in enumerate(self.ranges):
            count = w.BoundedIntText(0, 0, _MOST, tooltip=f"hands for range {i + 1}", layout=Layout(width="80px"))
            self.bind(count, f"range {i + 1}", lambda state, _, i=i: state.counts[i], lambda s, _, v, i=i: s.counted(i, v))
            self.display(label, lambda state, i: state.question.ranges[i], i)
            self.counts.append(count)
        self.answer = toggle("show the answer", "mark the range that holds the answer", "150px")
        self.bind(self.answer, "told", event=Hands.telling)
        self.answer.observe(self._keep, "value")
        self.kept = w.HTML()
        self.display(self.bars, _drawn)
        rows = [w.HBox([label, count]) for label, count in zip(self.ranges, self.counts, strict=True)]
        clear = button("clear", "no hands yet", lambda: self.dispatch(Hands.asking, "asked", self.state.asked), "70px")
        under = w.HBox([self.answer, clear, self.status])
        return [labelled("question", asked, width="80px"), self.bars, w.HBox(rows), under, self.kept]

    def _keep(self, change):
        """Keep the hands of a question once, when its answer shows."""
        state = self.state
        if change.new and state.told:
            facts = {"asked": state.question.title, "ranges": state.question.ranges, "counts": state.counts}
            right = state.question.ranges[state.question.right]
            self.kept.value = html.escape(desk.note("hands", lesson=lesson(), **facts, right=right))

    def exercise(self) -> str:
        """Count hands for each question of a widget like this one and show its answer; nothing is kept."""
        hands = ShowOfHands(self.start.questions)
        hands.answer.unobserve(hands._keep, "value")
        for number in range(len(hands.start.questions)):
            hands.dispatch(Hands.asking, "asked", number)
            for count in hands.counts:
                count.value = 3
            hands.answer.value = True
            hands.follows()
            if not hands.state.told or hands.state.notice not in hands.status.value:
                raise AssertionError(f"the answer does not show; the widget says: {hands.status.value}")
        return f"{len(hands.start.questions)} questions asked: hands and answers showed."


def _drawn(state):
    """The question and a bar for each range, in letters for a room; the answer has a tick, a word and a frame."""
    question, most = state.question, max(state.counts) or 1
    lines = [f'<div style="font-size: 26px; font-weight: bold; line-height: 34px">{html.escape(question.title)}</div>']
    for i, (span, count) in enumerate(zip(question.ranges, state.counts, strict=True)):
        here = state.told and i == question.right
        edge = "outline: 4px solid var(--space-ink)" if here else ""
        lines.append(
            f'<div style="display: flex; align-items: center; font-size: 24px; line-height: 40px; white-space: nowrap">'
            f'<span style="flex: none; width: 170px">{html.escape(span)}</span>'
            f'<span style="flex: none; width: {_WIDE * count / most:.0f}px; height: 28px; '
            f'background: var(--space-blue); {edge}"></span>'
            f'<span style="padding-left: 10px">{count}{" <b>✓ the answer</b>" if here else ""}</span></div>'
        )
    return "".join(lines)

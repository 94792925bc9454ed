"""Which problem comes next: a Leitner box, from memory.

Each kind of problem at each level is a card, and only the first try at a problem moves it. Right: one compartment up, of
five. Wrong, or solved for the reader: back to the first. A card in the first compartment is due again after three other
problems, or at the next day's sitting; one in the second after a day, in the third after 3 days, then after a week, then
after a month. Days are those of the calendar. Of the cards that are due the lowest compartment comes first, and in it what
was due longest; the same kind does not come twice in a row where another is due. Where none is due something new comes.

After a sitting the kit asks once for a re-test of five problems a week later, and once more a month later.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from datetime import datetime
from typing import NamedTuple

from ergokit.desk.events import Event

#: Days until a card of each compartment is due again.
DAYS = (0, 1, 3, 7, 30)
_OTHERS = 3  # problems before a card of the first compartment comes again in one sitting
_RETESTS = {"month": 30, "week": 7}  # days
_FIVE = 5


class Card(NamedTuple):
    """How a kind at a level stands: compartment 1 to 5, when it came last and how many answers came since; first tries, those
    that were right, and slip -> how often it was made."""

    kind: str
    level: int
    compartment: int
    last: datetime
    since: int
    tries: int
    right: int
    slips: dict[str, int]


def cards(answers: Iterable[Event]) -> list[Card]:
    """The cards of first tries, events with `kind`, `level`, `right` and `slip`, in the order in which they came.

    >>> from datetime import UTC
    >>> now = datetime(2026, 3, 1, 20, tzinfo=UTC)
    >>> tries = [{"kind": "depth", "level": 1, "right": right, "slip": "", "at": now} for right in (True, True, False, True)]
    >>> [card] = cards(tries)
    >>> card.compartment, card.tries, card.right
    (2, 4, 3)
    """
    found: dict[tuple[str, int], Card] = {}
    answers = [each for each in answers if isinstance(each.get("kind"), str) and isinstance(each.get("level"), int)]
    for i, each in enumerate(answers):
        key, right, slip = (each["kind"], each["level"]), bool(each.get("right")), each.get("slip")
        before = found.get(key, Card(*key, 1, each["at"], 0, 0, 0, {}))
        slips = Counter(before.slips) + Counter([slip] if slip and not right else [])
        compartment = min(before.compartment + 1, len(DAYS)) if right else 1
        tries = before.tries + 1, before.right + right
        found[key] = Card(*key, compartment, each["at"], len(answers) - 1 - i, *tries, dict(slips))
    return list(found.values())


def due(found: Iterable[Card], now: datetime, last_kind: str = "") -> list[Card]:
    """The cards that are due, the one to ask first at the front; see the module for the rule."""

    def days(card):
        return _days(card.last, now)

    def order(card):
        return card.kind == last_kind, card.compartment, DAYS[card.compartment - 1] - days(card), -card.since

    ready = (
        card
        for card in found
        if days(card) >= max(DAYS[card.compartment - 1], 1) or (card.compartment == 1 and card.since >= _OTHERS)
    )
    return sorted(ready, key=order)


def weak(found: Iterable[Card]) -> list[Card]:
    """The cards in the first compartment, the one with the most wrong tries first."""
    return sorted((card for card in found if card.compartment == 1), key=lambda card: card.right - card.tries)


def retest_due(answers: Sequence[Event], retests: Sequence[Event], now: datetime) -> str:
    """``"week"`` or ``"month"`` where a re-test is due so long after the last sitting and was not begun since; else ``""``."""
    if not answers:
        return ""
    last = answers[-1]["at"]
    for name, wait in _RETESTS.items():
        if _days(last, now) >= wait:
            return "" if any(_days(last, each["at"]) >= wait for each in retests) else name
    return ""


def five(found: Collection[Card]) -> list[tuple[str, int]]:
    """Kind and level of up to five problems for a re-test: the lowest compartments first, each kind once before any again."""
    order = sorted(found, key=lambda card: (card.compartment, card.last))
    once = list({card.kind: card for card in reversed(order)}.values())[::-1]
    return [(card.kind, card.level) for card in (once + [card for card in order if card not in once])[:_FIVE]]


def _days(earlier, later):
    """How many days of the reader's calendar lie between two moments."""
    return (later.astimezone().date() - earlier.astimezone().date()).days

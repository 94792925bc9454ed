"""What was predicted and answered in each lesson, as one quiet table."""

from __future__ import annotations

from collections.abc import Iterable
from statistics import median
from typing import NamedTuple

import numpy as np

from ergokit.desk.events import Event, happened


class Progress(NamedTuple):
    """One lesson: predictions made, of how many with a direction it was right (None where none has one), how far they were
    off in the middle, in % of the answer, questions answered and those right at the first try."""

    lesson: str
    predicted: int
    directions: int
    right_direction: int
    off: float | None
    asked: int
    right: int


def progress() -> list[Progress]:
    """A row for each lesson in which something was predicted or answered; of each prediction and question the first try.

    >>> from ergokit.desk import folder_at
    >>> with folder_at("nowhere"):
    ...     progress()
    []
    """
    return progress_of(happened())


def progress_of(events: Iterable[Event]) -> list[Progress]:
    """The same of given events.

    >>> progress_of([{"what": "prediction", "lesson": "05", "asked": "How wide?", "guess": 50, "value": 40, "from": 60}])
    [Progress(lesson='05', predicted=1, directions=1, right_direction=1, off=25.0, asked=0, right=0)]
    """
    first: dict[tuple, Event] = {}
    for event in events:
        if event["what"] in ("prediction", "question") and isinstance(event.get("lesson"), str):
            first.setdefault((event["lesson"], event["what"], str(event.get("asked"))), event)
    lessons = sorted({lesson for lesson, _, _ in first})
    return [_row(lesson, [event for (of, _, _), event in first.items() if of == lesson]) for lesson in lessons]


def _row(lesson, events):
    guesses = [event for event in events if event["what"] == "prediction" and _all_numbers(event, "guess", "value")]
    questions = [event for event in events if event["what"] == "question"]
    turned = [event for event in guesses if _all_numbers(event, "from")]
    same_way = [event for event in turned if np.sign(event["guess"] - event["from"]) == np.sign(event["value"] - event["from"])]
    off = [100 * abs(event["guess"] / event["value"] - 1) for event in guesses if event["value"]]
    right = sum(bool(event.get("right")) for event in questions)
    middle = median(off) if off else None
    worded = [event for event in events if isinstance(event.get("guess"), str) and isinstance(event.get("value"), str)]
    return Progress(lesson, len(guesses) + len(worded), len(turned), len(same_way), middle, len(questions), right)


def _all_numbers(event, *names):
    return all(isinstance(event.get(name), int | float) and not isinstance(event.get(name), bool) for name in names)

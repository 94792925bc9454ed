"""What a talk shows, in what order and for how long: questions first, each before its finding.

The deck and the teacher's page are made from the same plan. Every number comes from the library.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import plotly.graph_objects as go

MINUTES = (5, 10, 20)
_SHAFT, _REACH = 36.0, 10.0  # cm, as everywhere in the kit where nothing else is said
_ELBOW = 105.0  # cm above the floor, standing: the kit's own example
_SHORT, _FULL = (5, 10, 20), (10, 20)
_LONG = (20,)


class Guess(NamedTuple):
    """A wrong answer to expect, and the reply that says why it is wrong."""

    says: str
    reply: str


class Slide(NamedTuple):
    """One slide: what it shows and what the speaker says. `seconds` follow the length of the talk, in minutes.

    A question has `ranges` for a show of hands, the number of the right one in `right`, and the guesses to expect.
    """

    name: str
    title: str
    seconds: dict[int, int]
    say: str
    figure: go.Figure | None = None
    says: Sequence[str] = ()
    guesses: Sequence[Guess] = ()
    ranges: Sequence[str] = ()
    right: int = 0
    board: str = ""
    derives: Sequence[str] = ()
    alt: str = ""

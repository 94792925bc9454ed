"""What the small explorers share: one idea each, with sliders and a table beside figures that depend on nothing else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from operator import getitem
from typing import Any, ClassVar, NamedTuple

import ipywidgets as w
import numpy as np

from ergokit.explorers import measures
from ergokit.explorers.controls import HIDDEN, WIDE, Layout, choice, group, labelled, slider
from ergokit.explorers.explorer import Explorer, compare
from ergokit.placement import Placement
from ergokit.placement.measures import rows_of

NOTHING = "nothing"


class Track(NamedTuple):
    """What a slider stands for and where it runs."""

    tip: str
    low: float
    high: float
    start: float
    unit: str = "cm"


class Choice(NamedTuple):
    """What can be chosen from a list."""

    tip: str
    options: Sequence[str]
    start: str


@dataclass(frozen=True, kw_only=True)
class SmallState:
    """Where the controls of a small explorer are, and what that comes to.

    ``state[name]`` is where a slider is, which may be between two of its steps, or what is chosen from a list. A subclass gives

    - `drawings()`: what the pictures show, as `Picture` takes it, and `about` them, a sentence each,
    - its `placement` and the quantities `shown` of it in the table, or `rows()` of its own; further sentences with numbers,
      `facts()`, and one without, `notice`,
    - `compared(pictures)`: what is drawn and what the library says of it, each with its name,
    - where it `holds` quantities, `value(quantity)`, also where one slider is an array of places.

    Each of these raises ValueError, in a reader's words, where the controls ask for what cannot be.
    """

    opening: ClassVar[str]
    shown: ClassVar[tuple]
    about: ClassVar[tuple] = ("The picture of this explorer.",)
    #: Whether the large numbers are above the picture too, and so not in the table; else only the projector shows them.
    stands_large: ClassVar[bool] = False
    #: What can stay while a slider is dragged -> the sliders that may follow: the first that is not dragged does.
    holds: ClassVar[Mapping[str, tuple]] = {}

    tracks: Mapping[str, Track]
    choices: Mapping[str, Choice] = field(default_factory=dict)
    numbers: bool = True
    at: Mapping[str, Any] = field(default_factory=dict)  # what was moved or chosen, by the name of its control
    hold: str = NOTHING
    kept: float = 0.0  # what the held quantity is
    view: Mapping | None = None  # where a scene in space is seen from

    def __getitem__(self, name):
        if name in self.at:
            return self.at[name]
        return round(self.tracks[name].start, 1) if name in self.tracks else self.choices[name].start

    def put(self, name, value):
        """The same with one control elsewhere."""
        return replace(self, at={**self.at, name: value})

    # What a reader does

    def moved(self, name, value):
        """A slider is dragged or a list chosen from; where a quantity is held, another slider follows."""
        after = self.put(name, value)
        return after if self.hold == NOTHING else after._followed(name)

    def holding(self, _, quantity):
        """A quantity is held at what it is now."""
        if quantity == NOTHING:
            return replace(self, hold=NOTHING)
        kept = float(self.value(quantity))
        if not np.isfinite(kept):
            raise ValueError(f"The {quantity} has no value here, so it cannot be kept the same.")
        return replace(self, hold=quantity, kept=kept)

    def _followed(self, moved):
        from scipy.optimize import brentq

        follower = next(name for name in self.holds[self.hold] if name != moved)

        def off(place):
            return self.put(follower, place).value(self.hold) - self.kept

        places = np.linspace(*self.tracks[follower][1:3], 401)
        signs = np.sign(off(places))
        [turns] = np.nonzero(signs[:-1] * signs[1:] <= 0)
        if not turns.size:
            raise ValueError(f"The {self.hold} cannot stay {self.kept:.1f} there: no place for the {follower} gives it.")
        turn = turns[np.abs(places[turns] - self[follower]).argmin()]
        return self.put(follower, float(brentq(off, places[turn], places[turn + 1])))

    # What is shown

    def rows(self):
        return [row for row in rows_of(self.placement) if row.quantity in self.shown]

    @property
    def notice(self) -> str:
        return ""

    def facts(self):
        return ()

    @cached_property
    def drawn(self):
        """What `drawings` gives, once."""
        return self.drawings()

    @cached_property
    def told(self):
        """The large numbers, the table, the sentences below, and the sentence for a screen reader."""
        rows = self.rows()
        if not self.numbers:
            return measures.large(rows, False), HIDDEN, "", measures.unseen(self.opening)
        facts = "".join(f'<div style="line-height: 18px">{fact}</div>' for fact in self.facts())
        table = measures.table(rows, but=measures.LARGE if self.stands_large else ()) + measures.foot(rows)
        return measures.large(rows), table, facts, measures.unseen(measures.sentence(rows, self.opening))


class SmallExplorer(Explorer):
    """An explorer of a `SmallState`: it shows where its controls are, and nothing that was before."""

    @property
    def placement(self) -> Placement:
        """The placement shown now, of a state that has one."""
        return self.state.placement

    def build(self):
        start = self.start
        self.controls = {name: slider(name, track.tip, track.low, track.high) for name, track in start.tracks.items()}
        self.choices = {name: choice(list(each.options), each.tip) for name, each in start.choices.items()}
        for name, control in (self.controls | self.choices).items():
            self.bind(control, name, getitem, type(start).moved)
        if start.holds:
            tip = "what stays the same while you drag a slider; another slider follows"
            self.hold = self.choices["keep unchanged"] = choice([NOTHING, *start.holds], tip)
            self.bind(self.hold, "hold", event=SmallState.holding)
        self.table, self.facts = w.HTML(), w.HTML()
        if not start.stands_large:
            self.large.add_class("ergokit-projected")
        for i, widget in enumerate((self.large, self.table, self.facts, self.description)):
            self.display(widget, measures.part_told, i)
        self.pictures = [
            self.drawn(lambda state, i: state.drawn[i], i, about=about, view=start.view if "items" in drawing else None)
            for i, (drawing, about) in enumerate(zip(start.drawn, start.about, strict=True))
        ]
        if start.view:
            self.bind(self.pictures[0].children[0], "view", trait="view")
        return self.arranged()

    def follows(self):
        compare(self.state.compared(self.pictures))
        super().follows()

    # How it is arranged

    def headings(self):
        moves = group("Controls", "Drag a slider; the rest follows.")
        return moves, group("Numbers", "Make your guess, then press “numbers”.")

    def sliders(self):
        return [
            labelled(f"{name} ({track.unit})", self.controls[name], width=WIDE) for name, track in self.start.tracks.items()
        ]

    def lists(self):
        return [labelled(name, control, width=WIDE) for name, control in self.choices.items()]

    def buttons(self):
        return w.HBox([self.numbers, self.projector, self.restart])

    def arranged(self):
        moves, listed = self.headings()
        parts = [moves, *self.sliders(), *self.lists(), listed, self.buttons(), self.table, self.facts]
        left = w.VBox(parts, layout=Layout(width="336px", flex="0 0 auto"))
        return [w.HBox([left, w.VBox([self.large, self.status, *self.pictures])])]

"""The instrument as a lever through the hole."""

from __future__ import annotations

import math
from typing import ClassVar

import ipywidgets as w
import numpy as np

from ergokit._check import checked, flag
from ergokit.explorers.controls import Layout
from ergokit.explorers.small import SmallExplorer, SmallState, Track
from ergokit.figures.lever import plain_lever
from ergokit.placement.measures import Row
from ergokit.triangulation import inserted_length, length_ratio, outside_length, tip_travel_per_hand_travel

_TRACKS = {
    "length inside": Track("from the hole to the tip", 1, 44, 18),
    "instrument length": Track("the shaft, without the handle", 25, 45, 36),
    "handle reach": Track("from the shaft's outer end to the hand", 0, 15, 10),
    "hand moves": Track("how far the hand is moved across the shaft", 1, 6, 5),
}


@checked(numbers=flag)
def lever_explorer(*, numbers: bool = True) -> LeverExplorer:
    """Explore an instrument as a lever: what is inside and outside, the handle, and how far the tip moves with the hand.

    >>> explorer = lever_explorer()
    >>> explorer.controls["length inside"].value = 24
    >>> explorer.pictures[0].words[5]
    'inside : outside 2.00'
    """
    return LeverExplorer(Lever(tracks=_TRACKS, numbers=numbers))


class Lever(SmallState):
    """An instrument through a hole, and how far the hand moves."""

    opening = "An instrument as a lever through the hole in a panel, drawn to scale: hand outside, tip inside."
    holds: ClassVar[dict] = {
        "inside : outside": ("length inside", "instrument length"),
        "movement scaling": ("handle reach", "length inside"),
    }

    def value(self, quantity):
        inside = np.asarray(self["length inside"])
        tip = np.stack(np.broadcast_arrays(0.0, 0.0, -inside), axis=-1)
        if quantity == "inside : outside":
            return length_ratio((0, 0, 0), tip, self["instrument length"])
        return tip_travel_per_hand_travel((0, 0, 0), tip, self["instrument length"], self["handle reach"])

    def drawings(self):
        inside, shaft = self["length inside"], self["instrument length"]
        if inside >= shaft:
            raise ValueError(f"Nothing is left outside: {inside:.1f} cm of {shaft:.1f} cm are inserted.")
        return [plain_lever([inside], [shaft], self["handle reach"], self["hand moves"], self.numbers, width=830)]

    def rows(self):
        instrument = (0, 0, self["length inside"]), (0, 0, 0), self["instrument length"]
        values = {
            "length inside": (inserted_length(*instrument[:2]), "cm"),
            "length outside": (outside_length(*instrument), "cm"),
            "inside : outside": (length_ratio(*instrument), ""),
            "movement scaling": (tip_travel_per_hand_travel(*instrument, self["handle reach"]), ""),
        }
        return [Row(name, "", float(value), unit, "", None) for name, (value, unit) in values.items()]

    def facts(self):
        travel = self.rows()[-1].value
        if math.isclose(travel, 1, abs_tol=0.05):
            return ("Tip and hand move about equally far.",)
        return (f"The tip {'outruns' if travel > 1 else 'lags behind'} the hand.",)

    def compared(self, pictures):
        before = pictures[0].part("before 1")["x"]
        yield "the tip before the move", before[1], self["length inside"]
        outside = self["instrument length"] + self["handle reach"] - self["length inside"]
        yield "the hand before the move", before[0], -outside
        if self.numbers:
            yield "", pictures[0].words[5], f"inside : outside {self.rows()[2].value:.2f}"


class LeverExplorer(SmallExplorer):
    """See `lever_explorer`."""

    def arranged(self):
        moves, listed = self.headings()
        left = w.VBox([moves, *self.sliders(), *self.lists(), self.buttons()], layout=Layout(width="344px"))
        right = w.VBox([listed, self.table, self.facts], layout=Layout(width="420px"))
        return [w.HBox([left, right]), self.large, self.status, *self.pictures]

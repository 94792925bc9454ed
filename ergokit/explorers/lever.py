"""The instrument as a lever through the hole."""

from __future__ import annotations

import math
from typing import ClassVar

import ipywidgets as w
import numpy as np

from ergokit._check import checked, flag
from ergokit.explorers.controls import Layout
from ergokit.explorers.small import SmallExplorer, Track
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
def lever_explorer(numbers: bool = True) -> LeverExplorer:
    """Explore an instrument as a lever: what is inside and outside, the handle, and how far the tip moves with the hand.

    >>> explorer = lever_explorer()
    >>> explorer.controls["length inside"].value = 24
    >>> explorer.pictures[0].words[5]
    'inside : outside 2.00'
    """
    return LeverExplorer(_TRACKS, numbers)


class LeverExplorer(SmallExplorer):
    """See `lever_explorer`."""

    opening = "An instrument as a lever through the hole in a panel, drawn to scale: hand outside, tip inside."
    holds: ClassVar[dict] = {
        "inside : outside": ("length inside", "instrument length"),
        "movement scaling": ("handle reach", "length inside"),
    }

    def _state(self):
        lever = {
            "instrument_length": self._at("instrument length"),
            "handle_reach": self._at("handle reach"),
        }
        inside = self._at("length inside")
        if inside >= lever["instrument_length"]:
            raise ValueError(f"Nothing is left outside: {inside:.1f} cm of {lever['instrument_length']:.1f} cm are inserted.")
        return inside, lever

    def _value(self, quantity, at):
        inside = np.asarray(at["length inside"])
        tip = np.stack(np.broadcast_arrays(0.0, 0.0, -inside), axis=-1)
        if quantity == "inside : outside":
            return length_ratio((0, 0, 0), tip, at["instrument length"])
        return tip_travel_per_hand_travel((0, 0, 0), tip, at["instrument length"], at["handle reach"])

    def _drawings(self, state):
        inside, lever = state
        shafts, reach = [lever["instrument_length"]], lever["handle_reach"]
        return [plain_lever([inside], shafts, reach, self._at("hand moves"), self.numbers.value, width=830)]

    def _rows(self, state):
        inside, lever = state
        instrument = (0, 0, inside), (0, 0, 0), lever["instrument_length"]
        values = {
            "length inside": (inserted_length(*instrument[:2]), "cm"),
            "length outside": (outside_length(*instrument), "cm"),
            "inside : outside": (length_ratio(*instrument), ""),
            "movement scaling": (tip_travel_per_hand_travel(*instrument, lever["handle_reach"]), ""),
        }
        return [Row(name, "", float(value), unit, "", None) for name, (value, unit) in values.items()]

    def _facts(self, state):
        travel = self._rows(state)[-1].value
        if math.isclose(travel, 1, abs_tol=0.05):
            return ("Tip and hand move about equally far.",)
        return (f"The tip {'outruns' if travel > 1 else 'lags behind'} the hand.",)

    def _compared(self, state):
        inside, lever = state
        before = self.pictures[0].part("before 1")["x"]
        yield "the tip before the move", before[1], inside
        yield "the hand before the move", before[0], inside - lever["instrument_length"] - lever["handle_reach"]
        if self.numbers.value:
            yield "", self.pictures[0].words[5], f"inside : outside {self._rows(state)[2].value:.2f}"

    def _arranged(self):
        left = w.VBox([*self._sliders(), *self._choices(), self._buttons()], layout=Layout(width="340px"))
        right = w.VBox([self.table, self.facts], layout=Layout(width="420px"))
        return w.VBox([w.HBox([left, right]), self.status, *self.pictures])

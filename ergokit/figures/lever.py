"""The instrument as a lever through the hole, to scale: what is inside and outside, and how far the tip moves with the hand."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go
from numpy.typing import ArrayLike

from ergokit._check import checked, flag, lengths, one, pixels, refused, shaft_lengths
from ergokit.figures.labels import Label, written
from ergokit.figures.plain import traces
from ergokit.figures.style import CARD, GREEN, GREY, PURPLE, target_sign, to_scale
from ergokit.placement.measures import figure as shown
from ergokit.triangulation import length_ratio, outside_length, tip_travel_per_hand_travel

_ROW, _TOP = 16.5, 9.2  # cm of drawing for each instrument, and above its hole
_CARD = 5.5  # cm of the panel drawn on each side of the hole


@checked(numbers=flag, width=pixels)
def lever_figure(
    *inserted_lengths: float,
    instrument_length: ArrayLike = 36,
    handle_reach: float = 10,
    hand_travel: float = 5,
    numbers: bool = True,
    width: float = 820,
) -> go.Figure:
    """One lever a row for each of the `inserted_lengths`, drawn when the hand has moved `hand_travel` cm across the shaft.

    All are at one scale; the dotted line shows the instrument before the move. The panel with the hole is upright, and the
    hand is at its left. `instrument_length` is one number, or one for each. ValueError if no part of the shaft is left outside.

    >>> figure = lever_figure(24, 18, 12)
    >>> [note.text for note in figure.layout.annotations if "inside :" in note.text]
    ['inside : outside 2.00', 'inside : outside 1.00', 'inside : outside 0.50']
    """
    shafts = shaft_lengths("instrument_length", instrument_length, len(inserted_lengths))
    reach = one("handle_reach", handle_reach, lengths, zero=True)
    return go.Figure(plain_lever(inserted_lengths, shafts, reach, hand_travel, numbers, (shafts.max(initial=0), reach), width))


def plain_lever(inserted_lengths, shafts, handle_reach, hand_travel, numbers=True, room=(45, 15), width=820):
    """The same as plain data; `room` is the longest shaft and handle that the picture has room for."""
    rows = len(inserted_lengths)
    left, right = -sum(room) - 1, max(room[0], 30) + 8
    scale = (width - 4) / (right - left)
    travel = one("hand_travel", hand_travel, lengths, zero=True)
    drawn, words = [], []
    for row, (inside, shaft) in enumerate(zip(inserted_lengths, shafts, strict=True)):
        lever = _lever(inside, shaft, handle_reach)
        drawing = _drawn(*lever[:3], travel)
        parts = {name: _xy(points, row) for name, points in drawing.items()}
        drawn += [trace | {"name": f"{trace['name']} {row + 1}"} for trace in traces(_PARTS, parts, hoverinfo="skip")]
        frame = (left, _TOP - _ROW), (right, _TOP)
        notes = written(_words(*lever, travel, numbers), frame, drawing.values(), scale=scale)
        *notes, ratio, tip = notes  # placed in this order, and told with the ratio last
        words += [note | _CHIP | {"y": note["y"] - _ROW * row} for note in (*notes, tip, ratio)]
    layout = to_scale(width, max(round(scale * _ROW * rows), 40) + 4, (left, right), (_TOP - _ROW * rows, _TOP), 2) | {
        "annotations": words,
    }
    return {"data": drawn, "layout": layout}


def _lever(inside, shaft, reach):
    """Inside and length outside, handle reach, inside : outside, and movement scaling."""
    inside = one("inserted_length", inside, lengths)
    port, target = (0, 0, inside), (0, 0, 0)
    outside = float(outside_length(port, target, shaft))
    if outside <= 0:
        raise refused("inserted_length", f"less than the instrument's {shaft:g} cm", inside)
    ratio = float(length_ratio(port, target, shaft))
    return inside, outside, reach, ratio, float(tip_travel_per_hand_travel(port, target, shaft, reach))


def _drawn(inside, outside, reach, travel):
    """Points of each part, the hole at the origin."""
    arm = outside + reach
    turn = travel / arm  # radians: the hand's path is an arc about the hole
    hand, tip = -arm * np.array([np.cos(turn), -np.sin(turn)]), inside * np.array([np.cos(turn), -np.sin(turn)])
    end = -outside * np.array([np.cos(turn), -np.sin(turn)])
    turns = np.linspace(0, turn, 16)
    arc = np.column_stack([np.cos(turns), -np.sin(turns)])
    gap = np.full(2, np.nan)
    marks = np.array([[-arm, 0], [-outside, 0], gap, [-outside, 0], [0, 0]])
    return {
        "panel": np.array([[0, _CARD], [0, 0.5], gap, [0, -0.5], [0, -_CARD]]),
        "before": np.array([[-arm, 0], [inside, 0]]),
        "shaft": np.stack([end, tip]),
        "handle": np.stack([hand, end]),
        "lengths outside": marks - np.array([0, 3.4]),
        "length inside": np.array([[0, 3.4], [inside, 3.4]]),
        "hand path": -arm * arc,
        "tip path": inside * arc,
        "hand": hand[None],
        "tip": tip[None],
    }


def _words(inside, outside, reach, ratio, travel_ratio, travel, numbers):
    def value(name, number, unit=" cm"):
        return f"{name} {shown(number, unit.strip())}{unit}" if numbers else f"{name} ?" if unit == "" else name

    arm = outside + reach
    tip = travel * travel_ratio

    return [
        Label(value("handle", reach), [(-outside - reach / 2, -3.4)], (0, -1)),
        Label(value("outside", outside), [(-share * outside, -3.4) for share in (0.5, 0.35, 0.2)], (0, -1)),
        Label(value("inside", inside), [(share * inside, 3.4) for share in (0.5, 0.7, 0.9)], (0, 1)),
        Label(f"hand {travel:.1f} cm", [(-arm, travel)], (1, 1), 18),
        Label(value("inside : outside", ratio, ""), [(0, -_CARD - 0.4), (0, -_CARD + 0.6), (0, _CARD - 0.6)], (1, 0), 16),
        Label(f"tip {tip:.1f} cm" if numbers else "tip ?", [(inside, -tip / 2), (inside, -tip), (inside, 0)], (1, 0), 18),
    ]


def _xy(points, row):
    return {"x": points[:, 0], "y": points[:, 1] - _ROW * row}


_CHIP = {"bgcolor": "rgba(255, 255, 255, 0.8)"}
_ENDS = {"symbol": "line-ns", "size": 9, "line": {"width": 1.5, "color": GREY}}
_PARTS = {
    "panel": {"mode": "lines", "line": {"color": CARD, "width": 7}},
    "before": {"mode": "lines", "line": {"color": GREY, "width": 2, "dash": "dot"}},
    "handle": {"mode": "lines", "line": {"color": GREY, "width": 4}},
    "shaft": {"mode": "lines", "line": {"color": GREY, "width": 8}},
    "lengths outside": {"mode": "lines+markers", "line": {"color": GREY, "width": 1.5}, "marker": _ENDS},
    "length inside": {"mode": "lines+markers", "line": {"color": GREY, "width": 1.5}, "marker": _ENDS},
    "hand path": {"mode": "lines", "line": {"color": PURPLE, "width": 4}},
    "tip path": {"mode": "lines", "line": {"color": GREEN, "width": 4}},
    "hand": {"mode": "markers", "marker": {"symbol": "circle-open", "color": PURPLE, "size": 16, "line": {"width": 4}}},
    "tip": {"mode": "markers", "marker": target_sign(15)},
}

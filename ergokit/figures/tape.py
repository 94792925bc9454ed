"""What tape readings say of the triangle: many triangles that fit them, and the angle with its 95 % interval."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from ergokit._check import a, checked, flag, pixels
from ergokit.figures.labels import Label, written
from ergokit.figures.plain import lifted, traces, xy
from ergokit.figures.style import GREEN, GREY, INK, LEFT, PLAIN, RIGHT, target_sign
from ergokit.guidance.studies import advised
from ergokit.tape_check import TapeCheck

_HALF, _DEEP, _OVER = 18.0, 26.0, 3.5  # cm shown beside, below and above the port line
_MANY = 40  # triangles: enough to see how far the target may be
_SHIFTS = np.random.default_rng(4).normal(size=(_MANY, 3))  # the same at every move, or the picture would jitter


@checked(check=a(TapeCheck), numbers=flag, width=pixels)
def tape_figure(check: TapeCheck, numbers: bool = True, width: float = 440) -> go.Figure:
    """The triangle that a `TapeCheck` found among others that its readings allow; below it the angle and its 95 % interval.

    Spacing and lengths of the other triangles differ as their uncertainty allows, each by itself. The green band is the
    advised range of the angle. With `numbers=False` the angle does not show.

    >>> from ergokit.tape_check import check_tape
    >>> figure = tape_figure(check_tape(port_to_port=18, left_to_target=18, right_to_target=18))
    >>> [note.text for note in figure.layout.annotations if "°" in note.text]
    ['60.0°, 95 % from 57.4° to 62.6°']
    """
    return go.Figure(plain_tape(check, numbers, width))


def plain_tape(check, numbers=True, width=440):
    """The same as plain data."""
    rows = check.measures().set_index(["quantity", "side"])
    lengths = [("port spacing", ""), ("length inside", "left"), ("length inside", "right")]
    value, spread = rows.value[lengths].to_numpy(float), rows.uncertainty[lengths].to_numpy(float)
    left, right, target = _corners(value[None])
    target[0, 1] = -rows.value["depth", ""]  # three lengths lose the digits of a flat triangle
    others = _corners(value + spread * _SHIFTS)
    theta, (least, most) = rows.value["manipulation angle", ""], check.interval("manipulation angle")
    shown = {"visible": numbers}
    parts = {
        "left, others": _strokes(others[0], others[2]),
        "right, others": _strokes(others[1], others[2]),
        "targets, others": xy(others[2]),
        "port line": _strokes(left, right),
        "left": _strokes(left, target),
        "right": _strokes(right, target),
        "left port": xy(left),
        "right port": xy(right),
        "target": xy(target),
        "interval": {"x": [least, most], "y": [0, 0]} | shown,
        "angle": {"x": [theta], "y": [0]} | shown,
    }
    words = f"{theta:.1f}°, 95 % from {least:.1f}° to {most:.1f}°" if numbers else ""
    corners = np.concatenate([left, right, target])
    larger = max(1, *(1.2 * np.abs(corners[:, 0]) / _HALF), *(-1.1 * corners[:, 1] / _DEEP))  # than what is usually shown
    half, deep, over = larger * np.array([_HALF, _DEEP, _OVER])
    scale = width / (2 * half)  # px to a cm
    names = [
        Label("target", target, (0, -1)),
        Label("left port", left, (-1, 1)),
        Label("right port", right, (1, 1)),
    ]
    said = written(names, ((-half, -deep), (half, over)), [corners[[0, 1, 2, 0]]], corners, scale)
    said.append(_ON_BAND | {"text": words, "x": float(min(max(theta, 60), 90)), "y": 1.0})
    low, high = advised("manipulation angle")
    height = round(width * (_DEEP + _OVER) / (2 * _HALF))
    layout = PLAIN | {
        "width": width,
        "height": height + 130,
        "margin": {"l": 0, "r": 0, "t": 0, "b": 45},
        "xaxis": {"visible": False, "range": (-half, half), "fixedrange": True},
        "yaxis": {"visible": False, "range": (-deep, over), "fixedrange": True, "domain": (1 - height / (height + 85), 1)},
        "xaxis2": {
            "range": (20, 130),
            "domain": (0.05, 0.95),
            "anchor": "y2",
            "fixedrange": True,
            "showgrid": False,
            "tickvals": [30, low, 60, high, 90, 105, 120],
            "title": {"text": "manipulation angle (degrees)", "standoff": 5},
        },
        "yaxis2": {"visible": False, "range": (-1, 2.2), "domain": (0, 55 / (height + 85)), "fixedrange": True, "anchor": "x2"},
        "shapes": [
            {"type": "rect", "xref": "x2", "yref": "y2 domain", "x0": low, "x1": high, "y0": 0, "y1": 0.6}
            | {"fillcolor": GREEN, "opacity": 0.18, "line": {"width": 0}}
        ],
        "annotations": said,
    }
    return {"data": traces(_PARTS, parts, hoverinfo="skip"), "layout": layout}


def _corners(lengths):
    """Left port, right port and target of triangles (n, 3) of spacing, left and right length, each (n, 2); NaN for none."""
    spacing, left, right = lengths.T
    offset = (left**2 - right**2) / (2 * spacing)
    with np.errstate(invalid="ignore"):
        depth = np.sqrt(left**2 - (spacing / 2 + offset) ** 2)
    level = np.zeros_like(spacing)
    return tuple(np.stack(pair, axis=-1) for pair in ((-spacing / 2, level), (spacing / 2, level), (offset, -depth)))


def _strokes(start, end):
    return xy(lifted(np.stack([start, end], axis=1)))


def _side(hand):
    line = {"color": hand["colour"], "dash": hand["dash"]}
    return (
        {"mode": "lines", "line": line | {"width": 1, "dash": "solid"}, "opacity": 0.3},
        {"mode": "lines", "line": line | {"width": 4}},
        {"mode": "markers", "marker": {"color": hand["colour"], "symbol": hand["marker"], "size": 13}},
    )


(_LEFT_THIN, _LEFT_LINE, _LEFT_PORT), (_RIGHT_THIN, _RIGHT_LINE, _RIGHT_PORT) = _side(LEFT), _side(RIGHT)
_ON_AXIS = {"xaxis": "x2", "yaxis": "y2"}
_CAPS = {"symbol": "line-ns", "size": 14, "line": {"color": INK, "width": 3}}
_PARTS = {
    "left, others": _LEFT_THIN,
    "right, others": _RIGHT_THIN,
    "targets, others": {"mode": "markers", "marker": {"color": INK, "size": 4}, "opacity": 0.55},
    "port line": {"mode": "lines", "line": {"color": GREY, "width": 2}},
    "left": _LEFT_LINE,
    "right": _RIGHT_LINE,
    "left port": _LEFT_PORT,
    "right port": _RIGHT_PORT,
    "target": {"mode": "markers", "marker": target_sign(15)},
    "interval": {"mode": "lines+markers", "line": {"color": INK, "width": 4}, "marker": _CAPS} | _ON_AXIS,
    "angle": {"mode": "markers", "marker": {"color": INK, "symbol": "circle", "size": 9}} | _ON_AXIS,
}
_ON_BAND = {"xref": "x2", "yref": "y2", "yanchor": "bottom", "font": {"size": 15}, "showarrow": False}

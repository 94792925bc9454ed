"""A carton and its diagonal cut: the closed carton, the two wedges that it gives, and one of them laid on the cut."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import plotly.graph_objects as go

from ergokit._check import a, checked, pixels
from ergokit.figures.plain import lifted, notes, traces, xy
from ergokit.figures.style import CARD, FONT, INK, VERMILLION, to_scale
from ergokit.surfaces import WedgeBox

_BACK = np.array([0.4, 0.27])  # where an edge that goes back is drawn, as a share of its length
_GAP = 0.25  # between the two wedges, as a share of the cut


class Views(NamedTuple):
    """Three drawings of a carton in a row, in cm: what is done with it, from left to right.

    shapes
        name -> lines of the same look, each (n, 2); those of a face are closed
    written
        (words, place, side): words above, below, left, right or on a place
    ends
        left, lower, right and upper end of what is drawn
    """

    shapes: dict[str, list[np.ndarray]]
    written: list[tuple[str, np.ndarray, str]]
    ends: tuple[float, float, float, float]


def carton_views(box: WedgeBox) -> Views:
    """The carton of a wedge box with its cut, its two wedges taken apart, and one laid on the cut with side a facing you.

    To scale, but that edges that go back are drawn shorter.
    """
    wide, high, back = box.side_a, box.side_b, _BACK * box.ridge
    end = np.array([(0, 0), (wide, 0), (wide, high), (0, high)], dtype=float)
    apart = np.array([high, wide]) * _GAP
    space = 0.45 * wide + 0.25 * high
    lower = np.add(end, (wide + back[0] + space, 0))
    upper = lower + apart
    foot = box.side_a**2 / box.base  # of the ridge, along the base
    laid_left = upper[1, 0] + back[0] + space + back[0]
    laid = np.add([(0, 0), (foot, box.ridge_height), (box.base, 0)], (laid_left, 0))
    away = back * (-1, 1)  # the last drawing is seen from the other side, so that the panel that faces you shows

    def face(points, i, j, back=back):
        return np.stack([points[i], points[j], points[j] + back, points[i] + back, points[i]])

    def edge(points, i, back=back):
        return np.stack([points[i], points[i] + back])

    def closed(points):
        return np.concatenate([points, points[:1]])

    panels_a = [face(laid, 0, 1, away), face(upper, 3, 2), face(end, 3, 2)]
    shapes = {
        "other wedge": [closed(lower[[0, 1, 3]])],
        "cut face": [face(lower, 1, 3)],
        "end": [closed(laid), closed(upper[1:]), closed(end)],
        "panels": [*panels_a, face(upper, 1, 2), face(end, 1, 2)],
        "panel a": panels_a,
        "hidden": [np.stack([end[1] + back, end[0] + back, end[3] + back]), edge(end, 0)],
        "cut, hidden": [end[[1, 3]] + back],
        "cut": [end[[1, 3]], edge(end, 1), edge(end, 3), laid[[0, 2]]],
        "ridge": [edge(laid, 1, away), edge(upper, 2), edge(end, 2)],
    }
    top = max(upper[2, 1] + back[1], laid[1, 1] + back[1])
    middles = [(wide + back[0]) / 2, (lower[0, 0] + upper[1, 0] + back[0]) / 2, laid_left + (box.base - back[0]) / 2]
    titles = ["1. Cut the closed carton", "2. Two equal wedges", "3. One, laid on its cut"]
    written = [
        *((title, np.array((middle, top)), "above") for title, middle in zip(titles, middles, strict=True)),
        (f"side a {wide:.1f} cm", end[:2].mean(axis=0), "below"),
        (f"side b\n{high:.1f} cm", end[[0, 3]].mean(axis=0), "left"),
        (f"ridge\n{box.ridge:.1f} cm", end[2] + back, "right"),
        ("cut", end[[1, 3]].mean(axis=0), "on"),
        ("you", laid[0] + away / 2, "left, below"),
        (f"side a\n{wide:.1f} cm", laid[:2].mean(axis=0) + away, "left, above"),
        (f"side b\n{high:.1f} cm", laid[1:].mean(axis=0), "right, above"),
        (f"ridge {box.ridge:.1f} cm", laid[1] + away / 2, "right, above"),
        (f"on the cut, {box.base:.1f} cm", laid[[0, 2]].mean(axis=0), "below"),
    ]
    return Views(shapes, written, (0, 0, laid[2, 0], top))


@checked(box=a(WedgeBox), width=pixels, height=pixels)
def carton_figure(box: WedgeBox, width: float = 760, height: float = 230) -> go.Figure:
    """How a carton becomes a wedge box: the cut drawn on it, the two wedges, and one of them laid on the cut.

    The drawing is to scale, except that edges that go back are drawn shorter. Side a faces you.

    >>> figure = carton_figure(WedgeBox(44, 36, 27))
    >>> [note.text for note in figure.layout.annotations if "cut" in note.text]
    ['3. One, laid on its cut', 'cut', 'on the cut, 45.0 cm']
    """
    return go.Figure(plain_carton(box, width, height))


def plain_carton(box, width=760, height=230):
    """The same as plain data."""
    views = carton_views(box)
    ends, size = np.reshape(views.ends, (2, 2)), np.array([width, height])
    per_px = (np.ptp(ends, axis=0) / (size - 2 * np.array(_MARGIN))).max()
    x, y = (ends.mean(axis=0) + per_px / 2 * size * [[-1], [1]]).T  # the drawing stays in the middle
    layout = to_scale(width, height, x.tolist(), y.tolist()) | {
        "annotations": notes(
            [{"font": FONT | {"size": 13}} | _SIDES[side] for _, _, side in views.written],
            [{"text": text.replace("\n", "<br>"), "x": float(x), "y": float(y)} for text, (x, y), _ in views.written],
        ),
    }
    lines = {name: xy(lifted(shape)) for name, shape in views.shapes.items()}
    return {"data": traces(_LOOKS, lines, mode="lines", hoverinfo="skip"), "layout": layout}


def _face(colour):
    return {"line": {"color": CARD, "width": 2}, "fill": "toself", "fillcolor": colour}


_MARGIN = (62, 24)  # px beside and above the drawings, for what is written there
_LOOKS = {
    "other wedge": _face("white"),
    "cut face": _face("rgba(213, 94, 0, 0.2)"),
    "end": _face("white"),
    "panels": _face("white"),
    "panel a": _face("rgba(176, 141, 87, 0.35)"),
    "hidden": {"line": {"color": CARD, "width": 1, "dash": "dot"}},
    "cut, hidden": {"line": {"color": VERMILLION, "width": 1.5, "dash": "dash"}},
    "cut": {"line": {"color": VERMILLION, "width": 3, "dash": "dash"}},
    "ridge": {"line": {"color": INK, "width": 3}},
}
_SIDES = {
    "above": {"yanchor": "bottom", "yshift": 4},
    "below": {"yanchor": "top", "yshift": -3},
    "left": {"xanchor": "right", "xshift": -6},
    "left, above": {"xanchor": "right", "yanchor": "bottom", "xshift": -2},
    "left, below": {"xanchor": "right", "yanchor": "top", "xshift": -6},
    "right": {"xanchor": "left", "xshift": 6},
    "right, above": {"xanchor": "left", "yanchor": "bottom", "xshift": 6},
    "on": {"bgcolor": "white"},
}

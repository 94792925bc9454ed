"""A carton before and after its diagonal cut: which edge becomes the ridge, and which sides become panel a and panel b."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from ergokit._check import a, checked, pixels
from ergokit.figures.plain import notes, traces
from ergokit.figures.style import CARD, GREY, INK, PLAIN, VERMILLION
from ergokit.surfaces import WedgeBox

_BACK = np.array([0.4, 0.27])  # where an edge of the carton that goes back is drawn, as a share of its length
_TURN = (-1, 1)  # the wedge is seen from the other side, so that the panel that faces you shows
_GAP = 0.25  # between the two drawings, as a share of the first


@checked(box=a(WedgeBox), width=pixels, height=pixels)
def carton_figure(box: WedgeBox, width: float = 620, height: float = 250) -> go.Figure:
    """The carton of a wedge box with the cut drawn on its end, and beside it one of the two wedges laid on the cut.

    To scale, but that edges that go back are drawn shorter. Side a faces you.

    >>> figure = carton_figure(WedgeBox(44, 36, 27))
    >>> [note.text for note in figure.layout.annotations if "ridge" in note.text]
    ['ridge 44.0 cm']
    """
    return go.Figure(plain_carton(box, width, height))


def plain_carton(box, width=620, height=250):
    """The same as plain data."""
    ridge, base, top = _BACK * box.ridge, box.base, box.ridge_height
    wide, high = box.side_a, box.side_b
    end = np.array([(0, 0), (wide, 0), (wide, high), (0, high)], dtype=float)
    start = wide + 2 * ridge[0] + _GAP * (wide + ridge[0])
    foot = box.side_a**2 / base  # of the ridge, along the base
    wedge, back = np.array([(0, 0), (foot, top), (base, 0)]) + np.array((start, 0)), ridge * _TURN
    parts = {
        "carton, hidden": _line(
            end[[0]] + ridge, end[[1]] + ridge, end[[0]] + ridge, end[[3]] + ridge, end[[0]], end[[0]] + ridge
        ),
        "carton": _line(*_ring(end), *_ring(end[1:] + ridge, closed=False), *_pairs(end[1:], end[1:] + ridge)),
        "cut": _line(end[[0]], end[[2]]),
        "panel a": _ring_xy(np.stack([wedge[0], wedge[1], wedge[1] + back, wedge[0] + back])),
        "end": _ring_xy(wedge),
        "ridge": _line(wedge[[1]], wedge[[1]] + back),
        "base": _line(wedge[[0]], wedge[[2]]),
    }
    right, over = start + base, max(high, top) + ridge[1]
    said = [
        _note(f"{wide:.1f} cm", (wide / 2, 0)),
        _note(f"{high:.1f} cm", (0, high / 2)),
        _note("cut", (wide / 2, high / 2)),
        _note("you", wedge[0] + back / 2),
        _note(f"side a {box.side_a:.1f} cm", (wedge[:2].mean(axis=0) + back / 2)),
        _note(f"side b {box.side_b:.1f} cm", wedge[1:].mean(axis=0)),
        _note(f"ridge {box.ridge:.1f} cm", wedge[1] + back / 2),
        _note(f"on the cut, {base:.1f} cm", (wedge[0] + wedge[2]) / 2),
    ]
    aside, beside, below, above = 0.15 * right, 0.19 * right, 0.06 * right, 0.06 * right
    size = np.array([right + aside + beside, over + below + above])
    spare = (np.array([width, height]) * (size / (width, height)).max() - size) / 2  # the drawing stays in the middle
    layout = PLAIN | {
        "width": width,
        "height": height,
        "margin": {"l": 0, "r": 0, "t": 0, "b": 0},
        "xaxis": {"visible": False, "range": (-aside - spare[0], right + beside + spare[0]), "fixedrange": True},
        "yaxis": {"visible": False, "range": (-below - spare[1], over + above + spare[1]), "fixedrange": True},
        "annotations": notes(_LOOKS, said),
    }
    return {"data": traces(_PARTS, parts, hoverinfo="skip"), "layout": layout}


def _line(*points):
    """Strokes through pairs of points, each (1, 2)."""
    gap = np.full((1, 2), np.nan)
    strokes = [part for start, end in zip(points[::2], points[1::2], strict=True) for part in (start, end, gap)]
    line = np.concatenate(strokes)
    return {"x": line[:, 0], "y": line[:, 1]}


def _pairs(starts, ends):
    return [each[None] for pair in zip(starts, ends, strict=True) for each in pair]


def _ring(points, closed=True):
    return _pairs(points, np.roll(points, -1, axis=0)) if closed else _pairs(points[:-1], points[1:])


def _ring_xy(points):
    ring = np.concatenate([points, points[:1]])
    return {"x": ring[:, 0], "y": ring[:, 1]}


def _note(text, place):
    return {"text": text, "x": float(place[0]), "y": float(place[1])}


def _face(opacity):
    colour = tuple(int(CARD[i : i + 2], 16) for i in (1, 3, 5))
    return {"mode": "lines", "line": {"color": CARD, "width": 2}, "fill": "toself", "fillcolor": f"rgba{(*colour, opacity)}"}


_PARTS = {
    "carton, hidden": {"mode": "lines", "line": {"color": CARD, "width": 1, "dash": "dot"}},
    "carton": {"mode": "lines", "line": {"color": CARD, "width": 2}},
    "cut": {"mode": "lines", "line": {"color": VERMILLION, "width": 3, "dash": "dash"}},
    "panel a": _face(0.3),
    "end": _face(0.12),
    "ridge": {"mode": "lines", "line": {"color": INK, "width": 3}},
    "base": {"mode": "lines", "line": {"color": VERMILLION, "width": 3, "dash": "dash"}},
}
_LOOKS: tuple[dict, ...] = (
    {"yanchor": "top", "yshift": -4},
    {"xanchor": "right", "xshift": -6},
    {"bgcolor": "white"},
    {"xanchor": "right", "xshift": -14, "font": {"color": GREY}},
    {},
    {"xanchor": "left", "xshift": 8},
    {"xanchor": "left", "yanchor": "bottom", "xshift": 6},
    {"yanchor": "top", "yshift": -4},
)

"""Where words go in a flat figure: beside what they name, inside the frame, and clear of each other, of marks and of lines."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

LETTERS = 14  # px, of the words of a figure
_ROOM = 1.1  # letters grow by so much where a figure is laid out for a slide
_HIGH = 1.3  # of a line of words, in letters
_WAYS = np.column_stack([np.cos(np.arange(16) * np.pi / 8), np.sin(np.arange(16) * np.pi / 8)])
_GAPS = np.array([8.0, 16.0, 30.0, 50.0, 80.0])  # px between a place and the words beside it
_WORST, _BAD, _UGLY = 1e6, 1e3, 4.0  # outside or on other words; on a mark; for each 4 px of a line behind the words


class Label(NamedTuple):
    """Words for one of the `places` (n, 2), the first the best, if there is room `towards` a direction."""

    text: str
    places: ArrayLike
    towards: tuple
    letters: float = LETTERS
    on: bool = False  # the middle of the words may lie on the place itself


def box_of(text, letters=LETTERS):
    """Width and height in px of words as plotly writes them, lines broken by <br>."""
    from reportlab.pdfbase.pdfmetrics import stringWidth  # metrics of Helvetica: not before a figure is drawn

    font = "Helvetica-Bold" if "<b>" in text else "Helvetica"
    lines = [re.sub("<[^>]+>", "", line) for line in text.split("<br>")]
    wide = max(stringWidth(line, font, letters) for line in lines)
    return np.array([_ROOM * wide + 8, _ROOM * _HIGH * letters * len(lines)])


def placed(labels, frame, lines=(), marks=()):
    """The middle of each label's words, (n, 2) in px.

    frame
        least and greatest x and y, ((left, low), (right, high))
    lines
        (start, end) of each line that is better not covered; `marks` are places (n, 2) that must not be

    >>> placed([Label("a", [(50, 50)], (1, 0)), Label("b", [(50, 50)], (1, 0))], ((0, 0), (100, 100))).round()
    array([[66., 50.],
           [70., 70.]])
    """
    ink = [np.linspace(start, end, 1 + int(np.hypot(*np.subtract(end, start)) // 4)) for start, end in lines]
    ink = np.concatenate([np.empty((0, 2)), *ink])
    marks = np.reshape(marks, (-1, 2))
    found, halves = np.empty((0, 2)), np.empty((0, 2))
    for label in labels:
        half = box_of(label.text, label.letters) / 2
        middles, cost = _candidates(label, half)
        cost += _WORST * np.maximum(0, [frame[0] - (middles - half), middles + half - np.asarray(frame[1])]).sum(axis=(0, 2))
        cost += _WORST * _inside(middles, half + halves, found).sum(axis=1)
        cost += _BAD * _inside(middles, half + 7, marks).sum(axis=1) + _UGLY * _inside(middles, half, ink).sum(axis=1)
        found, halves = np.vstack([found, middles[cost.argmin()]]), np.vstack([halves, half])
    return found


def written(labels, frame, lines=(), marks=(), scale=1.0):
    """The labels as plotly's annotations. All places are the figure's own; `scale` is px to a unit of them, or of each axis.

    Each of `lines` is (n, 2), with any number of points. A label without words, or whose first place is not finite, is hidden.
    """

    def px(points):
        return scale * np.reshape(np.asarray(points, dtype=float), (-1, 2))

    drawn = {
        i: label._replace(places=px(label.places))
        for i, label in enumerate(labels)
        if label.text and np.isfinite(label.places[0]).all()
    }
    strokes = [stroke for line in lines for stroke in pairwise(px(line)) if np.isfinite(stroke).all()]
    marks = px(marks)
    middles = placed(drawn.values(), px(frame), strokes, marks[np.isfinite(marks).all(axis=1)]) / scale
    notes = {i: _note(label, middle) for (i, label), middle in zip(drawn.items(), middles, strict=True)}
    return [notes.get(i, {"text": "", "visible": False}) for i in range(len(labels))]


def _note(label, middle):
    place = {"x": float(middle[0]), "y": float(middle[1]), "xanchor": "center", "yanchor": "middle"}
    return place | {"text": label.text, "font": {"size": label.letters}, "showarrow": False, "visible": True}


def _candidates(label, half):
    """Middles of the words at each place, way and gap, and how far each is from what is wished."""
    places = np.reshape(np.asarray(label.places, dtype=float), (-1, 1, 1, 2))
    turned = 1 - _WAYS @ (np.asarray(label.towards) / np.hypot(*label.towards))
    away = _WAYS * (np.abs(_WAYS) @ half)[:, None] + _WAYS * _GAPS[:, None, None]
    middles = places + away
    cost = 4 * np.arange(len(places))[:, None, None] + 0.6 * _GAPS[:, None] + 8 * turned
    middles, cost = middles.reshape(-1, 2), cost.ravel()
    if label.on:
        middles = np.concatenate([places.reshape(-1, 2), middles])
        cost = np.concatenate([4.0 * np.arange(len(places)) - 10, cost])
    return middles, cost


def _inside(middles, reach, points):
    """Whether each point lies within `reach` of each middle, (middles, points)."""
    return (np.abs(middles[:, None] - points) < reach).all(axis=-1)

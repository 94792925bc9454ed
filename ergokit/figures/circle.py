"""The inscribed angle: circles through both ports on which a target keeps its manipulation angle."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go

from ergokit._check import checked, lengths, numbers, one, pixels, refused, shaped, some_angles
from ergokit.figures.style import GREEN, GREY, INK, LEFT, ORANGE, PLAIN, RIGHT
from ergokit.relations.same_angle import same_angle_surface

_DASHES = ("dash", "solid", "dot", "dashdot", "longdash")


def _spacing(name, value):
    return one(name, value, lengths)


def _marks(name, value):
    if isinstance(value, list | tuple) and not value:
        return value
    marks = numbers(name, value, "pairs of offset and depth in cm")
    if marks.ndim != 2 or marks.shape[1] != 2:
        raise refused(name, "pairs of offset and depth in cm", got=shaped(marks))
    return marks


@checked(spacing=_spacing, angles=some_angles, targets=_marks, width=pixels)
def inscribed_angle_figure(
    spacing: float = 18,
    angles: Sequence[float] | np.ndarray = (45, 60, 75),
    targets: Sequence[Sequence[float]] | np.ndarray = (),
    width: float = 560,
) -> go.Figure:
    """The plane of both instruments with the arc of each angle below the port line.

    `targets` are (offset, depth) in cm to mark: offset along the port line from the midline, right positive.

    >>> figure = inscribed_angle_figure(18, (60,), targets=[(0, 15.6)])
    >>> [note.text for note in figure.layout.annotations]
    ['60°']
    """
    figure = go.Figure()
    left, right = (-spacing / 2, 0, 0), (spacing / 2, 0, 0)
    deepest, widest = 0.0, spacing / 2
    for angle, dash in zip(angles, _DASHES, strict=False):
        ring = same_angle_surface(left, right, angle, along=96, around=3).vertices[1:-1:3]
        x, h = ring[:, 0], np.hypot(ring[:, 1], ring[:, 2])
        deepest, widest = max(deepest, h.max()), max(widest, x.max())
        figure.add_scatter(x=x, y=-h, mode="lines", line={"color": GREEN, "width": 3, "dash": dash}, hoverinfo="skip")
        at = len(x) // 2
        figure.add_annotation(x=x[at], y=-h[at], text=f"{angle:g}°", showarrow=False, yshift=-12, font={"size": 15})
    for offset, depth in targets:
        for port, side in ((left, LEFT), (right, RIGHT)):
            line = {"color": side["colour"], "width": 2.5, "dash": side["dash"]}
            figure.add_scatter(x=[port[0], offset], y=[0, -depth], mode="lines", line=line, hoverinfo="skip")
        marker = {"symbol": "cross", "color": ORANGE, "size": 12, "line": {"color": INK, "width": 1}}
        place = "%{x:.1f} sideways, %{y:.1f} cm<extra></extra>"
        figure.add_scatter(x=[offset], y=[-depth], mode="markers", marker=marker, hovertemplate=place)
    figure.add_scatter(x=[left[0], right[0]], y=[0, 0], mode="lines", line={"color": GREY, "width": 2}, hoverinfo="skip")
    for port, side in ((left, LEFT), (right, RIGHT)):
        marker = {"symbol": side["marker"], "color": side["colour"], "size": 14, "line": {"color": INK, "width": 1}}
        figure.add_scatter(x=[port[0]], y=[0], mode="markers", marker=marker, hoverinfo="skip")
    half, deep = 1.2 * widest, deepest + 3
    axis = {"fixedrange": True, "gridcolor": "#E4E4E4", "zeroline": False, "dtick": 5}
    figure.update_layout(
        **PLAIN,
        width=width,
        height=round((width - 60) * (deep + 3) / (2 * half)) + 60,
        margin={"l": 55, "r": 5, "t": 5, "b": 50},
        xaxis=axis | {"range": (-half, half), "title": "along the port line, from the midline (cm)"},
        yaxis=axis | {"range": (-deep, 3), "scaleanchor": "x", "title": "below the port line (cm)"},
    )
    return figure

"""The inscribed angle: circles through both ports on which a target keeps its manipulation angle."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go

from ergokit._check import checked, flag, lengths, numbers, one, pixels, refused, shaped, some_angles
from ergokit.figures.labels import Label, written
from ergokit.figures.style import AXIS, GREEN, GREY, LEFT, PLAIN, RIGHT, sign_of, target_sign
from ergokit.relations.same_angle import same_angle_surface
from ergokit.triangulation import manipulation_angle

_LEFT_OUT = 55  # px, for the axis
_DASHES = ("dash", "solid", "dot", "dashdot", "longdash")


def _spacing(name, value):
    return one(name, value, lengths)


def _marks(name, value):
    if isinstance(value, list | tuple) and not value:
        return value
    marks = numbers(name, value, "pairs of offset and depth in cm")
    if marks.ndim != 2 or marks.shape[1] != 2:
        raise refused(name, "pairs of offset and depth in cm", problem=shaped(marks))
    return marks


@checked(spacing=_spacing, angles=some_angles, targets=_marks, width=pixels, height=pixels, tell=flag)
def inscribed_angle_figure(
    spacing: float = 18,
    angles: Sequence[float] | np.ndarray = (45, 60, 75),
    targets: Sequence[Sequence[float]] | np.ndarray = (),
    width: float = 560,
    height: float | None = None,
    tell: bool = False,
) -> go.Figure:
    """The plane of both instruments with the arc of each angle below the port line.

    `targets` are (offset, depth) in cm to mark: offset along the port line from the midline, right positive. The figure fits
    into `width` and `height`, in px, and is to scale; unless given the height follows.
    With `tell` the angle is written at each target.

    >>> figure = inscribed_angle_figure(18, (60,), targets=[(0, 15.6)])
    >>> [note.text for note in figure.layout.annotations]
    ['60°']
    """
    figure = go.Figure()
    left, right = (-spacing / 2, 0, 0), (spacing / 2, 0, 0)
    deepest, widest = 0.0, spacing / 2
    arcs: list[tuple[str, np.ndarray]] = []
    for angle, dash in zip(angles, _DASHES, strict=False):
        ring = same_angle_surface(left, right, angle, along=96, around=3).vertices[1:-1:3]
        x, h = ring[:, 0], np.hypot(ring[:, 1], ring[:, 2])
        deepest, widest = max(deepest, h.max()), max(widest, x.max())
        figure.add_scatter(x=x, y=-h, mode="lines", line={"color": GREEN, "width": 3, "dash": dash}, hoverinfo="skip")
        arcs.append((f"{angle:g}°", np.column_stack([x, -h])))
    strokes: list = [arc[::6] for _, arc in arcs]
    marks: list[Sequence[float]] = [left[:2], right[:2]]
    for offset, depth in targets:
        deepest, widest = max(deepest, depth), max(widest, abs(offset))
        strokes += [(port[:2], (offset, -depth)) for port in (left, right)]
        marks.append((offset, -depth))
        for port, side in ((left, LEFT), (right, RIGHT)):
            line = {"color": side["colour"], "width": 2.5, "dash": side["dash"]}
            figure.add_scatter(x=[port[0], offset], y=[0, -depth], mode="lines", line=line, hoverinfo="skip")
        place = "%{x:.1f} sideways, %{y:.1f} cm<extra></extra>"
        figure.add_scatter(x=[offset], y=[-depth], mode="markers", marker=target_sign(14), hovertemplate=place)
    figure.add_scatter(x=[left[0], right[0]], y=[0, 0], mode="lines", line={"color": GREY, "width": 2}, hoverinfo="skip")
    for port, side in ((left, LEFT), (right, RIGHT)):
        figure.add_scatter(x=[port[0]], y=[0], mode="markers", marker=sign_of(side, 14), hoverinfo="skip")
    half, deep = 1.2 * widest, deepest + 0.15 * spacing
    above = 0.15 * spacing
    scale = (width - _LEFT_OUT - 5) / (2 * half)
    if height is not None:
        scale = min(scale, (height - 55) / (deep + above))
    order = [48, 40, 56, 32, 64, 24, 72]  # of the points of an arc, from its middle
    labels = [Label(text, arc[order], (0, -1), 15) for text, arc in arcs]
    for mark in marks[2:] if tell else ():
        told = float(manipulation_angle(left, right, (*mark, 0)))
        labels.append(Label(f"<b>{told:.0f}°</b>", [mark], (1, -1), 18))
    for note in written(labels, ((-half, -deep), (half, above)), strokes, marks, scale):
        figure.add_annotation(note)
    step = 5 * np.ceil(2 * half / 40)
    depths = np.arange(0, deep, step)
    figure.update_layout(
        **PLAIN,
        width=round(2 * half * scale) + _LEFT_OUT + 5,
        height=round((deep + above) * scale) + 55,
        margin={"l": _LEFT_OUT, "r": 5, "t": 5, "b": 50},
        xaxis=AXIS | {"range": (-half, half), "title": "along the port line, from the midline (cm)", "dtick": step},
        yaxis=AXIS
        | {
            "range": (-deep, above),
            "scaleanchor": "x",
            "title": "below the port line (cm)",
            "tickvals": -depths,
            "ticktext": [f"{depth:g}" for depth in depths],
        },
    )
    return figure

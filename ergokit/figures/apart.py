"""Both instruments from the target to the hands, flat in their own plane: how far apart the hands are."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from ergokit.figures.labels import Label, written
from ergokit.figures.style import CARD, GREY, LEFT, RIGHT, sign_of, target_sign, to_scale

_BESIDE, _ABOVE = 40, 34  # px for words beside and above the lines, and below them


def apart_figure(triangle, reaches, width=470, height=311):
    """A figure of a `Triangle` with its hands, which are so many cm from the target along each shaft."""
    ports = np.array([(-triangle.spacing / 2, 0), (triangle.spacing / 2, 0)])
    target = np.array([triangle.offset, -triangle.depth])
    along = (ports - target) / np.linalg.norm(ports - target, axis=1)[:, None]
    points = np.stack([*ports, target, *(target + along * np.asarray(reaches)[:, None])])
    (left_end, low), (right_end, high) = points.min(axis=0), points.max(axis=0)
    scale = min((width - 2 * _BESIDE) / (right_end - left_end), (height - 2 * _ABOVE) / (high - low))
    shift = np.array([width / 2, height / 2]) - scale * np.array([left_end + right_end, low + high]) / 2
    left, right, target, left_hand, right_hand = scale * points + shift
    figure = go.Figure()
    lines = (
        (left, right, {"color": CARD, "width": 5}),
        (left_hand, right_hand, {"color": GREY, "width": 2, "dash": "dot"}),
        (target, left_hand, {"color": LEFT["colour"], "width": 5}),
        (target, right_hand, {"color": RIGHT["colour"], "width": 5, "dash": RIGHT["dash"]}),
    )
    for start, end, line in lines:
        figure.add_scatter(x=[start[0], end[0]], y=[start[1], end[1]], mode="lines", line=line, hoverinfo="skip")
    signs = [sign_of(side, 13) for side in (LEFT, RIGHT)]
    open_signs = [sign | {"symbol": f"{sign['symbol']}-open", "size": 16, "line": {"width": 3}} for sign in signs]
    for place, sign in zip((left, right, target, left_hand, right_hand), (*signs, target_sign(15), *open_signs), strict=True):
        figure.add_scatter(x=[place[0]], y=[place[1]], mode="markers", marker=sign, hoverinfo="skip")
    apart = np.linalg.norm(right_hand - left_hand) / scale
    shares = np.array([0.5, 0.35, 0.65, 0.2, 0.8])[:, None]
    labels = [
        Label(f"<b>hands {apart:.1f} cm apart</b>", left_hand + shares * (right_hand - left_hand), (0, 1), 16),
        Label(f"<b>{triangle.manipulation_angle:.1f}°</b>", [target], (0, 1), 18),
        Label(f"holes {triangle.spacing:.1f} cm apart", left + shares * (right - left), (0, -1)),
    ]
    strokes = [(start, end) for start, end, _ in lines]
    notes = written(labels, ((0, 0), (width, height)), strokes, [left, right, target, left_hand, right_hand])
    figure.layout.annotations = [note | {"bgcolor": "rgba(255, 255, 255, 0.8)"} for note in notes]
    figure.update_layout(to_scale(width, height, (0, width), (0, height)))
    return figure

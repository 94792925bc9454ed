"""The triangle of two ports and a target, drawn flat in the instruments' own plane with its lengths and its angle."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from ergokit._check import checked, flag, instance, pixels, refused
from ergokit.figures.style import GREEN, GREY, INK, LEFT, ORANGE, PLAIN, RIGHT
from ergokit.relations import Triangle


def _triangles(name, value):
    return tuple(instance(name, each, "each a Triangle, from solve_triangle", Triangle) for each in value)


@checked(triangles=_triangles, numbers=flag, width=pixels)
def triangle_figure(*triangles: Triangle, numbers: bool = True, width: float | None = None) -> go.Figure:
    """One panel a `Triangle` (from `solve_triangle`), all at one scale; with `numbers=False` only the names show.

    >>> from ergokit import solve_triangle
    >>> figure = triangle_figure(*solve_triangle(spacing=18, manipulation_angle=60))
    >>> [note.text for note in figure.layout.annotations if "°" in note.text]
    ['<b>60.0°</b>']
    """
    if not triangles:
        raise refused("triangles", "one Triangle or more, from solve_triangle", got="none")
    panels = len(triangles)
    figure = go.Figure()
    # One width and height of panel for all, so that equal lengths look equal.
    half = 0.62 * max(max(t.spacing, 2 * abs(t.offset)) for t in triangles) + 2
    deep = max(t.depth for t in triangles) + 1.5
    width = width or min(840, max(380, 300 * panels))
    for i, triangle in enumerate(triangles):
        _draw(figure, triangle, 2 * half * i, numbers)
    figure.update_layout(
        **PLAIN,
        width=width,
        height=round((width - 20) * (deep + 3.5) / (2 * half * panels)) + 20,
        margin={"l": 10, "r": 10, "t": 10, "b": 10},
        xaxis={"visible": False, "range": (-half, half * (2 * panels - 1)), "fixedrange": True},
        yaxis={"visible": False, "range": (-deep, 3.5), "scaleanchor": "x", "fixedrange": True},
    )
    return figure


def _draw(figure, triangle, middle, numbers):
    left, right = np.array([middle - triangle.spacing / 2, 0]), np.array([middle + triangle.spacing / 2, 0])
    target, foot = np.array([middle + triangle.offset, -triangle.depth]), np.array([middle + triangle.offset, 0])
    lines = (
        (left, right, {"color": GREY, "width": 2}),
        (target, foot, {"color": GREY, "width": 1.5, "dash": "dot"}),
        (target, left, {"color": LEFT["colour"], "width": 5}),
        (target, right, {"color": RIGHT["colour"], "width": 5, "dash": RIGHT["dash"]}),
    )
    for start, end, line in lines:
        figure.add_scatter(x=[start[0], end[0]], y=[start[1], end[1]], mode="lines", line=line, hoverinfo="skip")
    shafts = np.array([left, right]) - target
    turn = np.linspace(*np.unwrap(np.arctan2(shafts[:, 1], shafts[:, 0])), 30)
    radius = 0.28 * min(triangle.left_length, triangle.right_length)
    figure.add_scatter(
        x=target[0] + radius * np.cos(turn),
        y=target[1] + radius * np.sin(turn),
        mode="lines",
        line={"color": GREEN, "width": 4},
        hoverinfo="skip",
    )
    marks = ((left, LEFT["marker"], LEFT["colour"]), (right, RIGHT["marker"], RIGHT["colour"]), (target, "cross", ORANGE))
    for place, symbol, colour in marks:
        marker = {"symbol": symbol, "color": colour, "size": 13, "line": {"color": INK, "width": 1}}
        figure.add_scatter(x=[place[0]], y=[place[1]], mode="markers", marker=marker, hoverinfo="skip")

    def value(number, name, unit=" cm"):
        return f"{name} {number:.1f}{unit}" if numbers else name

    # On the dotted line, or beside it where a shaft is close.
    on_line = {"bgcolor": "rgba(255, 255, 255, 0.9)"}
    beside = {"xanchor": "right", "xshift": -4} if triangle.offset > 0 else {"xanchor": "left", "xshift": 4}
    notes = (
        ((left + right) / 2, value(triangle.spacing, "spacing"), {"yanchor": "bottom", "yshift": 6}),
        ((left + target) / 2, value(triangle.left_length, "left"), {"xanchor": "right", "xshift": -8}),
        ((right + target) / 2, value(triangle.right_length, "right"), {"xanchor": "left", "xshift": 8}),
        (
            0.72 * foot + 0.28 * target,
            value(triangle.depth, "depth"),
            beside if abs(triangle.offset) > triangle.spacing / 4 else on_line,
        ),
    )
    for place, text, looks in notes:
        figure.add_annotation(x=place[0], y=place[1], text=text, showarrow=False, **looks)
    at = target + (radius + 0.4) * np.array([np.cos(turn.mean()), np.sin(turn.mean())])
    angle = f"<b>{triangle.manipulation_angle:.1f}°</b>" if numbers else "<i>θ</i>"
    figure.add_annotation(x=at[0], y=at[1], text=angle, showarrow=False, font={"size": 18}, yanchor="bottom", bgcolor="white")

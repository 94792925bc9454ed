"""The manipulation angle over the working plane as a map with contours, and where the camera is near enough."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go
from numpy.typing import ArrayLike

from ergokit._check import a, an_outline, checked, flag, lengths, one, pixels, refused
from ergokit.figures.labels import Label, written
from ergokit.figures.monitor import plane_axes
from ergokit.figures.plain import traces, xy
from ergokit.figures.style import CARD, GREEN, LEFT, PLAIN, PURPLE, RIGHT, sign, sign_of, target_sign
from ergokit.guidance.studies import advised
from ergokit.placement import Placement
from ergokit.triangulation import manipulation_angle

_FARTHEST = 100  # cm each way


def _reach(name, value):
    if (reach := one(name, value, lengths)) > _FARTHEST:
        raise refused(name, f"at most {_FARTHEST} cm", value)
    return reach


_LEFT_OUT, _EDGE = 52, 4  # px beside and below the map for its axes, and at its other edges
_STEP = 15.0  # degrees between the contours 45, 60 and 75
_SHADES = ("rgba(0, 0, 0, 0)", "#BFE6DA", "#66C5A9", "#CCCCCC")  # below the contours, between them, above them


@checked(placement=a(Placement), numbers=flag, outline=an_outline, reach=_reach, width=pixels)
def angle_map_figure(
    placement: Placement,
    focus: int = 0,
    numbers: bool = True,
    outline: ArrayLike | None = None,
    reach: float = 24,
    width: float = 500,
) -> go.Figure:
    """A map of the working plane through target number `focus`, seen from above, `reach` cm each way.

    Contours where the manipulation angle is 45, 60 and 75 degrees; the target with the angle there; the ports and the lens
    straight above; a circle where the plane meets the longest working distance advised for knot tying (Hanna, Shimi and
    Cuschieri 1997). `outline` is a line to draw, such as the outline of a box, of shape (n, 2) or (n, 3).

    >>> from ergokit import Placement
    >>> figure = angle_map_figure(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16)))
    >>> [note.text for note in figure.layout.annotations if "°" in note.text]
    ['59.9°']
    """
    return go.Figure(plain_angle_map(placement, focus, numbers, outline, reach, width))


def plain_angle_map(placement, focus=0, numbers=True, outline=None, reach=24, width=500):
    """The same as plain data."""
    axes, height = _plane(placement, focus)
    side = np.linspace(-reach, reach, 2 * round(reach) + 1)
    points = height * axes[2] + side[None, :, None] * axes[0] + side[:, None, None] * axes[1]
    angles = manipulation_angle(placement.left_port, placement.right_port, points)
    target = placement.targets[focus]
    left, right, lens, target, targets = (
        np.atleast_2d(point @ axes[:2].T)
        for point in (placement.left_port, placement.right_port, placement.camera, target, placement.targets)
    )
    circle = lens + _radius(placement, axes[2], height) * _CIRCLE
    parts = {
        "outline": xy(np.full((1, 2), np.nan) if outline is None else outline),
        "camera's circle": xy(circle),
        "left port": xy(left),
        "right port": xy(right),
        "lens": xy(lens),
        "targets": xy(targets),
        "target": xy(target),
    }
    theta = float(manipulation_angle(placement.left_port, placement.right_port, placement.targets[focus]))
    farthest = advised("working distance")[1]
    scale = (width - _LEFT_OUT - _EDGE) / (2 * reach)  # px to a cm

    shown = np.abs(circle).max(axis=1) < reach
    words = [
        Label("left port", left, (0, -1)),
        Label("right port", right, (0, -1)),
        Label("lens", lens, (-1, 0)),
        Label(f"{theta:.1f}°" if numbers else "?", target, (0, 1), letters=18),
        Label(f"lens within {farthest:g} cm" if shown.any() else "", circle[shown][::6] if shown.any() else circle, (1, 0)),
        *(Label(f"<b>{level:g}</b>", places, (0, -1), on=True) for level, places in _levels(side, angles)),
    ]
    frame = np.full((2, 2), reach) * [[-1], [1]]
    marks = np.concatenate([left, right, lens, target])
    said = written(words, frame, np.stack([circle[:-1], circle[1:]], axis=1)[shown[1:]], marks, scale)
    axis = {"range": (-reach, reach), "fixedrange": True, "dtick": 5, "gridcolor": "#DDDDDD", "zeroline": False}
    layout = PLAIN | {
        "width": width,
        "height": width,
        "margin": {"l": _LEFT_OUT, "r": _EDGE, "t": _EDGE, "b": _LEFT_OUT},
        "xaxis": axis | {"title": {"text": "x, right (cm)"}},
        "yaxis": axis | {"title": {"text": "y, away (cm)"}, "scaleanchor": "x"},
        "annotations": [note | _CHIP for note in said],
    }
    return {"data": [_contours(side, angles), *traces(_PARTS, parts)], "layout": layout}


def _plane(placement, focus):
    """Rows: unit vectors of the working plane to the right and away, and its normal; and its height along that."""
    right, away = plane_axes(placement.normal)
    normal = np.cross(right, away)
    return np.stack([right, away, normal]), placement.targets[focus] @ normal


def _radius(placement, normal, height):
    """Of the circle where the plane meets the sphere of the longest working distance about the lens; NaN where it does not."""
    squared = advised("working distance")[1] ** 2 - (placement.camera @ normal - height) ** 2
    return np.sqrt(squared) if squared >= 0 else np.nan


_TURNS = np.linspace(0, 2 * np.pi, 73)
_CIRCLE = np.column_stack([np.cos(_TURNS), np.sin(_TURNS)])


def _levels(side, angles):
    """The contours' values, each with the places where it crosses the lines away from the operator."""
    low, high = advised("manipulation angle")
    for level in np.arange(low, high + 1, _STEP):
        over = angles - level
        rows, columns = np.nonzero(over[:-1] * over[1:] < 0)
        before, after = over[rows, columns], over[rows + 1, columns]
        y = side[rows] + (side[1] - side[0]) * before / (before - after)
        inside = np.abs(np.stack([side[columns], y])).max(axis=0) < 0.9 * side[-1]
        order = np.lexsort([y[inside], np.abs(side[columns][inside] - side[columns].mean())]) if inside.any() else slice(0)
        places = np.column_stack([side[columns][inside], y[inside]])[order]
        yield level, places[:: len(places) // 12 + 1] if len(places) else np.full((1, 2), np.nan)


def _contours(side, angles):
    """Filled between the contours."""
    low, high = advised("manipulation angle")
    return {
        "name": "angle",
        "type": "contour",
        "x": side,
        "y": side,
        "z": angles,
        "zmin": low - _STEP,
        "zmax": high + _STEP,
        "colorscale": [(share, shade) for i, shade in enumerate(_SHADES) for share in (i / 4, (i + 1) / 4)],
        "showscale": False,
        "contours": {"start": low, "end": high, "size": _STEP},
        "line": {"color": GREEN, "width": 3},
        "opacity": 0.7,  # for the grid below it, and for light letters in a dark theme
        "hovertemplate": "%{x:.0f}, %{y:.0f} cm: %{z:.1f}°<extra></extra>",
    }


_PARTS = {
    "outline": {"mode": "lines", "line": {"color": CARD, "width": 4}, "hoverinfo": "skip"},
    "camera's circle": {"mode": "lines", "line": {"color": PURPLE, "width": 3, "dash": "dash"}, "hoverinfo": "skip"},
    "left port": {"mode": "markers", "marker": sign_of(LEFT, 14)},
    "right port": {"mode": "markers", "marker": sign_of(RIGHT, 14)},
    "lens": {"mode": "markers", "marker": sign("square", PURPLE, 13)},
    "targets": {"mode": "markers", "marker": target_sign(10)},
    "target": {"mode": "markers", "marker": target_sign(16)},
}
_CHIP = {"bgcolor": "rgba(255, 255, 255, 0.75)", "borderpad": 1}

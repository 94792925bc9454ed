"""Two placements side by side: their triangles flat and at one scale, and below each what its camera shows."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from ergokit.figures.monitor import camera_of
from ergokit.figures.style import INK, LEFT, RIGHT, target_sign, to_scale
from ergokit.figures.triangle import draw_triangle, fitting
from ergokit.triangulation import display_angle

_HEAD, _ABOVE, _BELOW = 24, 34, 12  # px for the names, above the port line, and below the targets
_LARGE = 26  # px, the letters of the angles
_SHARE, _GAP = 0.36, 8  # of the height, for the cameras' pictures; px between them and the triangles


def pair_figure(triangles, names, placements=(), numbers=True, width=680, height=286, cameras=(None, None)):
    """A figure of two `Triangle`s with their names, and of the cameras' pictures of `placements`, pairs of one and its focus.

    With `numbers=False` it asks: the lengths show and the angles do not. `cameras` are where on each port line the camera's
    hole is, in cm from the middle of the ports.
    """
    high = _SHARE * height if placements else 0
    panel, top = width / 2, height - _HEAD - _ABOVE
    scale = fitting(triangles, cameras, panel, top - high - _BELOW)
    figure = go.Figure()
    for i, (triangle, name) in enumerate(zip(triangles, names, strict=True)):
        frame = (panel * i + 2, high), (panel * (i + 1) - 2, height - _HEAD)
        looks = {"names": False, "large": _LARGE, "camera": cameras[i]}
        draw_triangle(figure, triangle, scale, frame, numbers, top=top, **looks)
        head = {"x": panel * (i + 0.5), "y": height, "yanchor": "top", "showarrow": False}
        figure.add_annotation(text=f"<b>{name}</b>", **head)
    for i, (placement, focus) in enumerate(placements):
        wide = 4 / 3 * (high - _GAP)
        _draw_picture(figure, placement, focus, (panel * (i + 0.5) - wide / 2 - 45, 4), (wide, high - _GAP), numbers)
    figure.update_layout(to_scale(width, height, (0, width), (0, height)))
    return figure


def _draw_picture(figure, placement, focus, corner, size, numbers):
    """Add a camera's picture in px: both shafts, the target, and beside it the angle as it looks."""
    camera, target = camera_of(placement, focus), placement.targets[focus]
    middle = np.add(corner, np.array(size) / 2)

    def px(seen):
        return middle + size[0] / 2 * np.asarray(seen)

    edge = np.add(corner, np.multiply([(0, 0), (1, 0), (1, 1), (0, 1), (0, 0)], size))
    frame = {"line": {"color": INK, "width": 3}, "fill": "toself", "fillcolor": "#F4F4F4"}
    figure.add_scatter(x=edge[:, 0], y=edge[:, 1], mode="lines", hoverinfo="skip", **frame)
    shafts = px(camera.project_segment(target, np.stack([placement.left_port, placement.right_port])))
    for shaft, hand in zip(shafts, (LEFT, RIGHT), strict=True):
        line = {"color": hand["colour"], "width": 6, "dash": hand["dash"]}
        figure.add_scatter(x=shaft[:, 0], y=shaft[:, 1], mode="lines", line=line, hoverinfo="skip")
    says = "target not<br>in the picture"
    if camera.sees(target) in ("seen", "too near"):
        x, y = px(camera.project(target))
        figure.add_scatter(x=[x], y=[y], mode="markers", marker=target_sign(15), hoverinfo="skip")
        angle = float(display_angle(placement.left_port, placement.right_port, target, placement.camera, aim=placement.aim))
        says = ("no angle" if np.isnan(angle) else f"{angle:.1f}°") + "<br>in the picture"
    beside = {"xanchor": "left", "align": "left", "yanchor": "middle", "xshift": 8, "showarrow": False}
    text = says if numbers else "the picture"
    figure.add_annotation(x=corner[0] + size[0], y=middle[1], text=text, **beside)

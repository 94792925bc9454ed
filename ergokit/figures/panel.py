"""The panel that holds the ports: where it stands in space, and flat with its holes as it is cut."""

import numpy as np

from ergokit._check import instance
from ergokit.figures.card import WINDOW, card_of
from ergokit.figures.near import near_scene
from ergokit.figures.plain import xy
from ergokit.figures.style import CARD, GREY, LEFT, PLAIN, PURPLE, RIGHT
from ergokit.surfaces import FlatBox, WedgeBox

_PAPER = "#F6EFE3"
_WORDS = ("left port", "right port", "camera")  # beside the panel in space
_DOWN = np.array([0, 3.0])  # cm from the ports to their dimension
_END = {"symbol": "circle", "size": 5, "color": GREY}


def panel_figure(placement, focus=0, surface=None, width=680, height=270):
    """A figure of the panel in space and flat with its dimensions, and these in words.

    `surface` is the box, a `WedgeBox` or a `FlatBox`; without it a panel that holds both ports and, where it can, the lens.

    >>> from ergokit import Placement
    >>> panel_figure(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16)))[1]
    'Ports 18.0 cm apart, 17.0 cm above the lower edge. Camera hole 5.7 cm above them.'
    """
    instance("surface", surface, "a WedgeBox or a FlatBox, which can be cut from card", WedgeBox, FlatBox, type(None))
    edge, _, holes, _, foot = card_of(placement, surface)
    figure = near_scene(placement, focus, width / 2, height, only=_WORDS, surface=surface)
    figure.update_traces(xaxis="x2", yaxis="y2")
    figure.update_annotations(xref="x2", yref="y2")
    figure.add_scatter(
        **xy(edge), mode="lines", line={"color": CARD, "width": 5}, fill="toself", fillcolor=_PAPER, hoverinfo="skip"
    )
    (left_end, low), (right_end, top) = edge.min(axis=0), edge.max(axis=0)
    told = _draw_holes(figure, holes, low, foot)
    below = {"x": (left_end + right_end) / 2, "y": low, "yanchor": "top", "yshift": -4}
    figure.add_annotation(text=foot, showarrow=False, **below)
    axis = {"visible": False, "fixedrange": True, "constrain": "domain"}
    figure.update_layout(
        **PLAIN,
        width=width,
        height=height,
        margin={"l": 0, "r": 4, "t": 2, "b": 2},
        xaxis=axis | {"domain": (0.53, 1), "range": (left_end - 0.5, right_end + 0.5)},
        yaxis=axis | {"range": (low - 3.2, top + 0.5), "scaleanchor": "x"},
        xaxis2=axis | {"domain": (0, 0.5), "range": (0, width / 2), "anchor": "y2"},
        yaxis2=axis | {"range": (height, 0), "scaleanchor": "x2", "anchor": "x2"},
    )
    return figure, told


def _draw_holes(figure, holes, low, foot):
    """Draw ports, camera hole and dimensions; returns them in words."""
    left, right = holes["left"], holes["right"]
    middle, port_line = (left + right) / 2
    spacing, up = float(np.linalg.norm(right - left)), float(port_line - low)
    dimensions = [((left - _DOWN, right - _DOWN), spacing), (((middle, low), (middle, port_line)), up)]
    told = f"Ports {spacing:.1f} cm apart, {up:.1f} cm above the {foot}."
    if "scope" in holes:
        marker = {"symbol": "square-open", "color": PURPLE, "size": 13, "line": {"width": 3}}
        figure.add_scatter(**xy(holes["scope"][None]), mode="markers", marker=marker, hoverinfo="skip")
    if "lens" in holes:
        corners = holes["lens"] + WINDOW / 2 * np.array([(-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1)])
        camera_hole = {"line": {"color": PURPLE, "width": 3}, "fill": "toself", "fillcolor": "white"}
        figure.add_scatter(**xy(corners), mode="lines", hoverinfo="skip", **camera_hole)
    for camera, called, above_it in (("lens", "camera hole", WINDOW / 2), ("scope", "scope", 0.6)):
        if camera in holes:
            x, y = holes[camera]
            figure.add_annotation(x=x, y=y + above_it, text=called, showarrow=False, yanchor="bottom", yshift=2)
            above = float(y - port_line)
            dimensions.append((((x, port_line), holes[camera]), above))
            told += f" {called.capitalize()} {abs(above):.1f} cm {'above' if above >= 0 else 'below'} them."
    for ends, length in dimensions:
        ends = np.asarray(ends)
        line = {"line": {"color": GREY, "width": 1.5}, "marker": _END}
        figure.add_scatter(**xy(ends), mode="lines+markers", hoverinfo="skip", **line)
        x, y = ends[0] + (0.3 if ends[0][1] == low else 0.5) * (ends[1] - ends[0])  # clear of the ports' names
        upright = abs(ends[0][0] - ends[1][0]) < 1e-9
        beside = {"xanchor": "left", "xshift": 5} if upright else {"yanchor": "bottom", "yshift": 3, "bgcolor": _PAPER}
        figure.add_annotation(x=x, y=y, text=f"{abs(length):.1f} cm", showarrow=False, **beside)
    for side in (LEFT, RIGHT):
        u, v = holes[side["word"]]
        marker = {"symbol": side["marker"], "color": side["colour"], "size": 13}
        figure.add_scatter(x=[u], y=[v], mode="markers", marker=marker, hoverinfo="skip")
        figure.add_annotation(x=u, y=v - _DOWN[1], text=side["word"], showarrow=False, yanchor="top", yshift=-2)
    return told

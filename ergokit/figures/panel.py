"""The panel that holds the ports: where it stands in space, and flat with its holes as it is cut."""

import numpy as np

from ergokit._check import instance
from ergokit.figures.layers import item
from ergokit.figures.near import near_scene
from ergokit.figures.style import CARD, GREY, LEFT, PLAIN, PURPLE, RIGHT
from ergokit.surfaces import FlatBox, WedgeBox

_PAPER = "#F6EFE3"
_WORDS = ("left port", "right port", "camera")  # beside the panel in space
_OFF = 0.05  # cm that a hole may be off the panel: half a mm
_EDGE = 5.0  # cm of card about the holes where no box is given
_WINDOW = 3.0  # cm, its sides (common practice, no source)
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
    edge, corners, holes, edge_name = _on_plane(placement) if surface is None else _on_surface(placement, surface)
    panel = (
        {} if surface else {"panel": item("line", "card", corners), "panel, filled": {"face": "card", "at": [corners.tolist()]}}
    )
    figure = near_scene(placement, focus, width / 2, height, only=_WORDS, also=corners, surface=surface, more=panel)
    figure.update_traces(xaxis="x2", yaxis="y2")
    figure.update_annotations(xref="x2", yref="y2")
    figure.add_scatter(
        **_xy(edge), mode="lines", line={"color": CARD, "width": 5}, fill="toself", fillcolor=_PAPER, hoverinfo="skip"
    )
    (left_end, low), (right_end, top) = edge.min(axis=0), edge.max(axis=0)
    told = _draw_holes(figure, holes, low, edge_name)
    below = {"x": (left_end + right_end) / 2, "y": low, "yanchor": "top", "yshift": -4}
    figure.add_annotation(text=edge_name, showarrow=False, **below)
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


def _draw_holes(figure, holes, low, edge_name):
    """Draw ports, camera hole and dimensions; returns them in words."""
    left, right = holes["left"], holes["right"]
    middle, port_line = (left + right) / 2
    spacing, up = float(np.linalg.norm(right - left)), float(port_line - low)
    dimensions = [((left - _DOWN, right - _DOWN), spacing), (((middle, low), (middle, port_line)), up)]
    told = f"Ports {spacing:.1f} cm apart, {up:.1f} cm above the {edge_name}."
    if "scope" in holes:
        marker = {"symbol": "square-open", "color": PURPLE, "size": 13, "line": {"width": 3}}
        figure.add_scatter(**_xy(holes["scope"][None]), mode="markers", marker=marker, hoverinfo="skip")
    if "lens" in holes:
        corners = holes["lens"] + _WINDOW / 2 * np.array([(-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1)])
        camera_hole = {"line": {"color": PURPLE, "width": 3}, "fill": "toself", "fillcolor": "white"}
        figure.add_scatter(**_xy(corners), mode="lines", hoverinfo="skip", **camera_hole)
    for camera, called, above_it in (("lens", "camera hole", _WINDOW / 2), ("scope", "scope", 0.6)):
        if camera in holes:
            x, y = holes[camera]
            figure.add_annotation(x=x, y=y + above_it, text=called, showarrow=False, yanchor="bottom", yshift=2)
            above = float(y - port_line)
            dimensions.append((((x, port_line), holes[camera]), above))
            told += f" {called.capitalize()} {abs(above):.1f} cm {'above' if above >= 0 else 'below'} them."
    for ends, length in dimensions:
        ends = np.asarray(ends)
        line = {"line": {"color": GREY, "width": 1.5}, "marker": _END}
        figure.add_scatter(**_xy(ends), mode="lines+markers", hoverinfo="skip", **line)
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


def _on_surface(placement, surface):
    """The panel nearest to both ports: its edge flat and in space, its holes, and what its lower edge is called."""
    ports = {"left": placement.left_port, "right": placement.right_port}
    face = min(surface.faces, key=lambda face: max(_off(surface, face, port) for port in ports.values()))
    hole = placement.camera_hole
    holes = ports | ({_name(placement): hole} if _off(surface, face, hole) <= _OFF else {})
    places = {name: surface.uv(point, face) for name, point in holes.items()}
    return surface.outline_uv(face), surface.outline(face), places, "front edge" if face == "lid" else "lower edge"


def _name(placement):
    """What comes through the camera's hole."""
    return "lens" if placement.scope is None else "scope"


def _off(surface, face, point):
    """Distance from the plane of a face."""
    u, v = surface.outline_uv(face)[0]
    return abs(float((point - surface.point(u, v, face)) @ surface.normal(u, v, face)))


def _on_plane(placement):
    """The same of a plane through both ports: its own panel's, or the lens's, or level."""
    left, right, hole = placement.left_port, placement.right_port, placement.camera_hole
    middle, across = (left + right) / 2, (right - left) / np.linalg.norm(right - left)
    normal = np.cross(across, hole - middle) if placement.panel_normal is None else placement.panel_normal
    if np.linalg.norm(normal) < 1e-6:  # the camera is in line with the ports
        normal = np.cross(across, [0, 1.0, 0])
    up = np.cross(normal, across)
    up = up / np.linalg.norm(up)
    up = -up if (up[2], up[1]) < (0, 0) else up
    places = {"left": left, "right": right}
    if abs((hole - middle) @ np.cross(across, up)) <= _OFF:
        places[_name(placement)] = hole
    holes = {name: np.array([(place - middle) @ across, (place - middle) @ up]) for name, place in places.items()}
    (left_end, low), (right_end, top) = (
        np.min(list(holes.values()), axis=0) - _EDGE,
        np.max(list(holes.values()), axis=0) + _EDGE,
    )
    stands = up[2] > 0.1 and middle[2] > 0  # on the floor, unless it is a lid
    low = -middle[2] / up[2] if stands else low
    edge = np.array([(left_end, low), (right_end, low), (right_end, top), (left_end, top), (left_end, low)])
    return edge, middle + edge @ np.stack([across, up]), holes, "lower edge" if stands else "front edge"


def _xy(points):
    return {"x": points[:, 0], "y": points[:, 1]}

"""What a tape measures on a box, and from where to where: each reading by name, in a plane in which it has its true length."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from ergokit._check import checked, pixels
from ergokit.design import design_box
from ergokit.figures.labels import Label, written
from ergokit.figures.plain import line, traces, xy
from ergokit.figures.style import CARD, GREEN, GREY, INK, LEFT, PURPLE, RIGHT, target_sign, to_scale
from ergokit.placement.demo import CARTON
from ergokit.triangulation import depth, port_spacing

_WIDE, _HIGH = np.array([32.0, 32.0, 44.0]), 37.0  # cm of the three views, and how high they are
_STARTS = np.array([15.5, 48.5, 67.0])  # cm from the left: the middle of the first two views, and the foot of the third's panel
_CUT = 28.0  # cm up the panel where the drawing ends
_LOW = 4.5  # cm of room below the lower edge of the views
_BLOCK = 3.0  # cm: so much higher is the target, or its height would hardly show
_SLOPE_AT = 6.0  # cm from the panel's foot to the arc of its slope
_TITLES = ("on the panel", "along both instruments", "from the side, cut through the middle")


@checked(width=pixels)
def readings_figure(width: float = 820) -> go.Figure:
    """Every reading that the form of lesson 04 asks for, under its name there, on the box of lesson 03 and to scale.

    Three views: square to the panel, square to the plane of both instruments, and from the side. The target is
    drawn 3 cm higher, or its height would hardly show.

    >>> [note.text for note in readings_figure().layout.annotations if "height" in note.text]
    ['port height', 'target height']
    """
    return go.Figure(plain_readings(width))


def plain_readings(width=820):
    """The same as plain data."""
    box = design_box(CARTON).placement
    box = box.replace(target=box.target + np.array([0, 0, _BLOCK]))
    parts = _on_the_panel(box) | _along_the_instruments(box) | _from_the_side(box)
    lines = {name: np.array(points, dtype=float) for name, points in parts.items()}
    scale = width / _WIDE.sum()  # px to a cm
    labels = [Label(name.replace(" above", "<br>above"), [lines[name].mean(axis=0)], way) for name, way in _WAYS.items()]
    middles = np.column_stack([np.cumsum(_WIDE) - _WIDE / 2, np.full(3, _HIGH - _LOW - 2)])
    labels += [Label(f"<b>{title}</b>", [at], (0, 1), on=True) for title, at in zip(_TITLES, middles, strict=True)]
    labels += [Label(word, [lines[sign][0]], way, letters=12) for sign, (word, way) in _NAMES.items()]
    strokes = [lines[name] for name in (*_WAYS, "panel from the side")]
    marks = np.concatenate([lines[name] for name in _SIGNS])
    across, up = (0, _WIDE.sum()), (-_LOW, _HIGH - _LOW)
    layout = to_scale(width, round(scale * _HIGH), across, up)
    layout["annotations"] = written(labels, np.transpose([across, up]), strokes, marks, scale)
    drawn = {name: xy(points) for name, points in lines.items()}
    return {"data": traces(_PARTS, drawn, hoverinfo="skip"), "layout": layout}


def _on_the_panel(box):
    """Square to the panel: along it and up from its lower edge."""
    middle, half = _STARTS[0], port_spacing(box.left_port, box.right_port) / 2
    up = [float(np.linalg.norm(point[1:] - _foot())) for point in (box.left_port, box.camera)]
    ports = np.array([(middle - half, up[0]), (middle + half, up[0])])
    return {
        "panel": middle * np.array([1, 0]) + np.array([(-15, 0), (15, 0), (15, _CUT), (-15, _CUT), (-15, 0)]),
        "port to port": ports,
        "camera above ports": [(middle, up[0]), (middle, up[1])],
        "left hole": [ports[0]],
        "right hole": [ports[1]],
        "lens": [(middle, up[1])],
    }


def _along_the_instruments(box):
    """Square to the plane of both instruments, the ports above."""
    middle, half, top = _STARTS[1], port_spacing(box.left_port, box.right_port) / 2, 22.0
    left, right = (middle - half, top), (middle + half, top)
    target = (middle, top - depth(box.left_port, box.right_port, box.target))
    return {
        "port line": [left, right],
        "left to target": [left, target],
        "right to target": [right, target],
        "left port": [left],
        "right port": [right],
        "target of both": [target],
    }


def _from_the_side(box):
    """The plane x = 0: away from you, and up."""
    there = np.array([_STARTS[2] - _foot()[0], 0])
    port, lens, target = (point[1:] + there for point in (box.left_port, box.camera, box.target))
    turn = np.radians(np.linspace(0, CARTON.slope_a, 20))
    foot = np.array([_STARTS[2], 0])
    return {
        "floor": [foot - np.array([1.5, 0]), foot + np.array([38, 0])],
        "panel from the side": [foot, foot + _CUT * np.array([np.cos(turn[-1]), np.sin(turn[-1])])],
        "camera to target": [lens, target],
        "panel slope": foot + _SLOPE_AT * np.column_stack([np.cos(turn), np.sin(turn)]),
        "port height": [port, port * (1, 0)],
        "target height": [target, target * (1, 0)],
        "port": [port],
        "lens from the side": [lens],
        "target": [target],
    }


def _foot():
    """The lower edge of the panel that faces you, (y, z)."""
    return np.array([CARTON.bounds()[0, 1], 0.0])


#: Reading -> the side of its line on which its name goes.
_WAYS = {
    "port to port": (0, -1),
    "camera above ports": (1, 0),
    "left to target": (-1, -0.3),
    "right to target": (1, -0.3),
    "camera to target": (1, 0.8),
    "panel slope": (0, -1),
    "port height": (1, -0.2),
    "target height": (1, 0.2),
}
#: Sign -> its name, and the side of it on which that stands.
_NAMES = {
    "left hole": ("left hole", (0, -1)),
    "right hole": ("right hole", (0, -1)),
    "lens": ("lens", (0, 1)),
    "target of both": ("target", (0, -1)),
}


def _sign(symbol, colour):
    return {"mode": "markers", "marker": {"symbol": symbol, "color": colour, "size": 13}}


_SIGNS = {
    "left hole": _sign(LEFT["marker"], LEFT["colour"]),
    "right hole": _sign(RIGHT["marker"], RIGHT["colour"]),
    "lens": _sign("square", PURPLE),
    "left port": _sign(LEFT["marker"], LEFT["colour"]),
    "right port": _sign(RIGHT["marker"], RIGHT["colour"]),
    "target of both": {"mode": "markers", "marker": target_sign(15)},
    "port": _sign("circle", GREY),
    "lens from the side": _sign("square", PURPLE),
    "target": {"mode": "markers", "marker": target_sign(15)},
}
_PARTS = {
    "panel": line(CARD, 3) | {"fill": "toself", "fillcolor": "rgba(176, 141, 87, 0.15)"},
    "floor": line(GREY, 2),
    "panel from the side": line(CARD, 6),
    "port line": line(GREY, 1.5, "dot"),
    "port to port": line(INK, 3),
    "camera above ports": line(INK, 3),
    "left to target": line(LEFT["colour"], 5, LEFT["dash"]),
    "right to target": line(RIGHT["colour"], 5, RIGHT["dash"]),
    "camera to target": line(PURPLE, 3),
    "panel slope": line(GREEN, 4),
    "port height": line(INK, 2, "dash"),
    "target height": line(INK, 2, "dash"),
    **_SIGNS,
}

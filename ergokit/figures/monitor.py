"""What the monitor shows: both shafts, the target and a grid on the working plane, as the camera sees them.

Drawn in picture coordinates (half-widths from the middle, see `ergokit.view`). Only the inserted part of a shaft is drawn:
the rest is outside the box. Below the picture an arrow shows where "away from the operator" points in it.
"""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from ergokit._check import SMALLEST, a, checked, flag, pixels
from ergokit.figures.labels import Label, written
from ergokit.figures.plain import lifted, line, notes, traces, xy
from ergokit.figures.style import GREEN, GREY, LEFT, MIST, PURPLE, RIGHT, target_sign, to_scale
from ergokit.placement import Placement
from ergokit.triangulation import camera_roll, display_angle, hand_eye_rotation
from ergokit.view import Camera, width_seen

_MARGIN, _STRIP = 6, 62  # pixels: around the picture, and below it for the arrow and the words
_GRID = np.arange(-25.0, 26, 5)  # cm from the target
_ARC = 0.2  # half-widths
_ARROW = 17.0  # pixels from its middle to either end
_ALONG = np.array([[0.8], [0.6], [0.4]])  # of a shaft from the target, where its name may be
_CHIP = {"bgcolor": "rgba(255, 255, 255, 0.75)", "borderpad": 1}


@checked(placement=a(Placement), numbers=flag, width=pixels, height=pixels)
def monitor_figure(
    placement: Placement,
    focus: int = 0,
    numbers: bool = True,
    width: float = 330,
    height: float | None = None,
    field_of_view: float = 70,
    shape: float = 4 / 3,
    close_focus: float = 0,
) -> go.Figure:
    """The camera's picture of a placement, with the instruments on target number `focus`.

    `field_of_view` is across the width of the picture, `shape` its width over its height; nearer than `close_focus`, in
    cm, nothing is sharp. The camera looks along the placement's aim, or at the target. With `numbers=False` the angles
    show as a question mark. Of a scope, whose horizon need not be level, the camera roll is told as well.

    >>> from ergokit import Placement
    >>> figure = monitor_figure(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 20, 12)))
    >>> [note.text for note in figure.layout.annotations if "°" in note.text]
    ['60.7°', 'hand-eye rotation 180.0°']
    """
    return go.Figure(plain_monitor(placement, focus, numbers, width, height, field_of_view, shape, close_focus))


def plain_monitor(placement, focus=0, numbers=True, width=330, height=None, field_of_view=70, shape=4 / 3, close_focus=0):
    """The same as plain data."""
    camera = camera_of(placement, focus, field_of_view=field_of_view, shape=shape, close_focus=close_focus)
    scale = (width - 2 * _MARGIN) / 2  # pixels to a half-width
    below, edge = 1 / shape + (_MARGIN + _STRIP) / scale, _MARGIN / scale
    parts = _parts(camera, placement, focus)
    height = height or round(2 * scale / shape + 2 * _MARGIN + _STRIP)
    layout = to_scale(width, height, (-1 - edge, 1 + edge), (-below, 1 / shape + edge))
    layout["annotations"] = _notes(camera, placement, focus, numbers, parts, scale)
    return {"data": traces(_PARTS, parts, hoverinfo="skip"), "layout": layout}


def camera_of(placement, focus=0, **optics):
    """The placement's camera as an `ergokit.view.Camera`: along its aim, or looking at target number `focus`; or its scope's.

    >>> from ergokit import Placement
    >>> camera_of(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16)), field_of_view=60).aim
    (0.0, 6.0, -16.0)
    """
    if placement.scope is not None:
        return placement.scope.camera(**optics)
    if placement.aim is None:
        return Camera.looking_at(placement.camera, placement.targets[focus], **optics)
    return Camera(placement.camera, placement.aim, **optics)


def width_at_target(camera, placement, focus=0):
    """Width that the picture covers at the target's distance along the optical axis, in cm; NaN behind the camera.

    >>> from ergokit import Placement
    >>> placement = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 10, 16))
    >>> round(width_at_target(camera_of(placement, field_of_view=60), placement), 1)
    18.5
    """
    along = float((placement.targets[focus] - placement.camera) @ camera.axis)
    return float(width_seen(along, camera.field_of_view)) if along > SMALLEST else np.nan


def out_of_view(camera, placement, focus=0):
    """What of the instruments and the target the picture does not show, or not sharply, in words; empty if nothing.

    >>> from ergokit import Placement
    >>> placement = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))
    >>> out_of_view(camera_of(placement, close_focus=20), placement)
    'target too near to be sharp'
    >>> out_of_view(Camera((0, 4, 16), aim=(0, -1, -1)), placement)
    'target out of view, both instruments out of view'
    """
    target = placement.targets[focus]
    seen = str(camera.sees(target))
    words = {"seen": [], "too near": ["target too near to be sharp"], "behind": ["target behind the camera"]}
    words = words.get(seen, ["target out of view"])
    ports = np.stack([placement.left_port, placement.right_port])
    hidden = np.isnan(camera.project_segment(target, ports)).all(axis=(1, 2))
    if hidden.any():
        which = "both instruments" if hidden.all() else f"{('left', 'right')[int(hidden.argmax())]} instrument"
        words = [*words, f"{which} out of view"]
    return ", ".join(words)


def _parts(camera, placement, focus):
    """What moves: trace name -> its coordinates."""
    target = placement.targets[focus]
    at = camera.project(target) if camera.sees(target) in ("seen", "too near") else np.full(2, np.nan)
    shafts = camera.project_segment(target, np.stack([placement.left_port, placement.right_port]))
    corner = np.array([1, 1 / camera.shape])
    others = camera.project(placement.targets)
    others[(np.abs(others) > corner).any(axis=1) | (np.arange(len(others)) == focus)] = np.nan
    return {
        "grid": xy(lifted(camera.project_segment(*_grid(target, placement.normal)))),
        "frame": xy(corner * [(-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1)]),
        "left shaft": xy(shafts[0]),
        "right shaft": xy(shafts[1]),
        "angle on the screen": xy(at + _ARC * _arc(*(shafts[:, 1] - at))),
        "targets": xy(others),
        "target": xy(at[None]),
    }


def _notes(camera, placement, focus, numbers, parts, scale):
    """What is written and where: the angle, the two hands, the arrow, and the three lines below the picture."""
    left, right, target, aim = placement.left_port, placement.right_port, placement.targets[focus], placement.aim
    theta = float(display_angle(left, right, target, placement.camera, aim=aim))
    turn = float(hand_eye_rotation(placement.camera, target, normal=placement.normal, aim=aim, up=placement.up))
    rolled = ""
    if placement.up is not None:
        rolled = f", roll {_value(float(camera_roll(placement.camera, target, aim=aim, up=placement.up)), numbers)}"
    arc, at, *shafts = (
        np.column_stack([*parts[name].values()]) for name in ("angle on the screen", "target", "left shaft", "right shaft")
    )
    middle = arc[len(arc) // 2]
    labels = [Label(_value(theta, numbers), [middle], middle - at[0], letters=20)]
    for side, (start, end), way in zip(("left", "right"), shafts, (-1, 1), strict=True):
        labels.append(Label(side, start + _ALONG * (end - start), (way, 0), letters=13))
    inside = written(labels, np.array([1, 1 / camera.shape]) * [[-1], [1]], shafts, at, scale)
    missing = out_of_view(camera, placement, focus)
    below = [
        *_away(camera, target, placement.normal),
        {"text": f"hand-eye rotation {_value(turn, numbers)}{rolled}"},
        {"text": f"<b>{missing}</b>" if missing else "target and both instruments in view"},
    ]
    return [note | _CHIP for note in inside] + notes(_looks(scale, camera.shape), below)


def _value(angle, numbers):
    if not numbers:
        return "?"
    return "not defined" if np.isnan(angle) else f"{angle:z.1f}°"


def _away(camera, target, normal):
    """The arrow's head and tail relative to its middle, along the picture of "away" at the target; and its words."""
    _, away = plane_axes(normal)
    start, towards = camera.project(np.stack([target, target + 1e-3 * away]))
    step = towards - start
    length = np.hypot(*step)
    if not length > 1e-9:
        return [{"visible": False}, {"text": "away from you: not in the picture"}]
    x, y = _ARROW * step / length
    arrow = {"visible": True, "ax": float(-2 * x), "ay": float(2 * y), "xshift": float(x), "yshift": float(y)}
    return [arrow, {"text": "the arrow points away from you"}]


def _arc(left, right, steps=24):
    """Points of the unit circle from one direction to the other, the short way."""
    if not (np.hypot(*left) > 1e-9 and np.hypot(*right) > 1e-9):
        return np.full((steps, 2), np.nan)
    start = np.arctan2(left[1], left[0])
    turn = (np.arctan2(right[1], right[0]) - start + np.pi) % (2 * np.pi) - np.pi
    turns = start + turn * np.linspace(0, 1, steps)
    return np.column_stack([np.cos(turns), np.sin(turns)])


def plane_axes(normal):
    """Unit vectors in the working plane: to the operator's right and away."""
    normal = np.array([0, 0, 1.0]) if normal is None else normal / np.linalg.norm(normal)
    right = np.array([1.0, 0, 0]) - normal[0] * normal
    right = np.array([0, 1.0, 0]) if np.linalg.norm(right) < 1e-6 else right / np.linalg.norm(right)
    return right, np.cross(normal, right)


def _grid(target, normal):
    """Starts and ends of the lines of a grid on the working plane about the target."""
    right, away = plane_axes(normal)
    starts, ends = [], []
    for along, across in ((right, away), (away, right)):
        lines = target + _GRID[:, None] * across
        starts.append(lines + _GRID[0] * along)
        ends.append(lines + _GRID[-1] * along)
    return np.concatenate(starts), np.concatenate(ends)


_PARTS = {
    "grid": line(MIST, 1),
    "frame": line(GREY, 3),
    "left shaft": line(LEFT["colour"], 8, LEFT["dash"]),
    "right shaft": line(RIGHT["colour"], 8, "12px,6px"),
    "angle on the screen": line(GREEN, 4),
    "targets": {"mode": "markers", "marker": target_sign(11)},
    "target": {"mode": "markers", "marker": target_sign(16)},
}


def _looks(scale, shape):
    """Looks and lasting places of the arrow and the three lines below the picture."""
    bottom = -1 / shape
    middle = {"x": -1 + 26 / scale, "y": bottom - (_STRIP / 2 + 2) / scale}
    words = {"x": -1 + 56 / scale, "y": bottom, "xanchor": "left", "yanchor": "top", "font": {"size": 13}}
    return (
        {**middle, "showarrow": True, "arrowhead": 2, "arrowwidth": 3, "arrowcolor": PURPLE},
        {**words, "yshift": -3},
        {**words, "yshift": -22},
        {**words, "yshift": -41},
    )

"""One way to give holes to camera and hands: its bodies in space, and seen from above."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from ergokit._check import a, checked, flag, pixels
from ergokit.figures.layers import item
from ergokit.figures.plain import lifted, xy
from ergokit.figures.scene import scene
from ergokit.figures.style import BLUE, GREEN, GREY, INK, PURPLE, VERMILLION, target_sign, to_scale
from ergokit.holes import Assignments
from ergokit.holes.result import NAMES

_COLOUR = {
    "camera": (PURPLE, "204, 121, 167", "dot"),
    "left": (BLUE, "0, 114, 178", "solid"),
    "right": (VERMILLION, "213, 94, 0", "dash"),
    "assistant": (GREEN, "0, 158, 115", "dashdot"),
}
_CALLED = {"left": "left hand", "right": "right hand", "assistant": "assistant's hand", "camera": "camera head"}
_MIDDLE = {"camera": "camera head"} | dict.fromkeys(("left", "right", "assistant"), "hand")
_OWN = ("scope", "light post", "hands")
_ROUND = np.linspace(0, 2 * np.pi, 25)
_ROOM = 3.0  # cm around what is drawn
_WORDS = (14.0, 4.0)  # cm, half of what words take with a hole beside them


@checked(result=a(Assignments), numbers=flag)
def holes_scene(result: Assignments, i: int, numbers: bool = True) -> dict[str, dict]:
    """The items of way number `i` of an `Assignments` in space: what `scene` has, and the bodies of camera and instruments.

    The target is that of the way's row in the table.

    >>> from ergokit import assignments
    >>> result = assignments([(-9, 0, 9.36), (0, 0, 9.36), (9, 0, 9.36)], (0, 12.48, 0))
    >>> [name for name in holes_scene(result, 1) if name.startswith("camera, ")]
    ['camera, scope', 'camera, camera head', 'camera, light cable', 'camera, camera trocar', 'camera, words']
    """
    placement, bodies = result.placement(i), result.bodies(i)
    items = {}
    for (role, name), body in bodies.items():
        if name == "shaft" and role != "assistant":
            continue  # the scene has it
        shaft = name in ("scope", "shaft")
        look = {"scope": "scope", "shaft": "assistant"}.get(name, f"{role} body")
        items[f"{role}, {name}"] = item("line", look, [body.start, body.end] if shaft else _wire(body))
    for role in result.roles:
        if role in ("camera", "assistant") and (role, _MIDDLE[role]) in bodies:
            at = _middle(bodies[role, _MIDDLE[role]])
            items[f"{_CALLED[role]}, words"] = item("label", "word", [at], text=_CALLED[role], side="above")
    for name, hole in zip(NAMES, result.holes, strict=False):
        items[f"hole {name}, words"] = item("label", "word", [hole], text=f"hole {name}", side="right")
    # The scene's own scope has the usual length, and its ports have no names.
    known = scene(placement, numbers=numbers, layers=("hands",)).items()
    return items | {name: each for name, each in known if not name.startswith(_OWN) and not name.endswith(" port, words")}


def _wire(body):
    """Lines that show a capsule: a circle at each end and four lines between, or three circles of a sphere."""
    axis = body.end - body.start
    circle = body.radius * np.stack([np.cos(_ROUND), np.sin(_ROUND)], axis=-1)
    if not axis.any():
        sides = np.eye(3)[[[0, 1], [1, 2], [2, 0]]]
        return lifted(body.start + circle @ each for each in sides)
    one = np.cross(axis, np.eye(3)[np.abs(axis).argmin()])
    sides = np.stack([one / np.linalg.norm(one), np.cross(axis, one) / np.linalg.norm(np.cross(axis, one))])
    rings = [end + circle @ sides for end in (body.start, body.end)]
    lines = [np.stack([rings[0][k], rings[1][k]]) for k in (0, 6, 12, 18)]
    return lifted([*rings, *lines])


@checked(result=a(Assignments), numbers=flag, width=pixels)
def holes_figure(result: Assignments, i: int, numbers: bool = True, width: float = 500) -> go.Figure:
    """Way number `i` of an `Assignments` seen from above, to scale: holes, shafts and bodies, and what touches.

    You stand below. Bodies that lie over each other here may be at different heights: the line on top says whether any touch.
    The target is that of the way's row in the table.

    >>> from ergokit import assignments
    >>> result = assignments([(-9, 0, 9.36), (0, 0, 9.36), (9, 0, 9.36)], (0, 12.48, 0))
    >>> [note.text for note in holes_figure(result, 1).layout.annotations][:3]
    ['no contact at these targets and sizes', 'camera head', 'left hand']
    """
    return go.Figure(plain_holes(result, i, numbers, width))


def plain_holes(result, i, numbers=True, width=500, room=None):
    """The same as plain data; `room` is the least and the greatest x and y that the picture has room for, (2, 2)."""
    bodies, placement = result.bodies(i), result.placement(i)
    outlines = {f"{role}, {name}": _outline(body) for (role, name), body in bodies.items()}
    (left, low), (right, high) = _extent([*outlines.values(), result.holes, result.targets]) if room is None else room
    drawn = [_trace(name, line, *_COLOUR[name.partition(",")[0]]) for name, line in outlines.items()]
    drawn.append(_marks("holes", result.holes, _mark("circle-open", INK)))
    drawn.append(_marks("camera", placement.camera[None], _mark("square", PURPLE)))
    drawn.append(_marks("target", placement.targets, target_sign(15)))
    words = [_note((left + right) / 2, high, result.contact[i].replace("; ", "<br>") if numbers else "?", yanchor="top")]
    words += [
        _note(*_beside(_middle(bodies[role, _MIDDLE[role]]), result.holes), _CALLED[role])
        for role in result.roles
        if (role, _MIDDLE[role]) in bodies
    ]
    words += [_note(*hole[:2], name, xshift=12) for name, hole in zip(NAMES, result.holes, strict=False)]
    words.append(_note((left + right) / 2, low, "you stand here", yanchor="bottom", font={"color": GREY}))
    layout = to_scale(width, round(width * (high - low) / (right - left)), (left, right), (low, high)) | {
        "annotations": words,
    }
    return {"data": drawn, "layout": layout}


def _middle(body):
    return (body.start + body.end) / 2


def _beside(middle, holes):
    """Where words about a body go, seen from above: at its middle, or nearer to you where they would cover a hole."""
    x, y = middle[:2]
    near = holes[(np.abs(holes[:, :2] - middle[:2]) < _WORDS).all(axis=1), 1]
    return x, min(near, default=y + _WORDS[1]) - _WORDS[1]


def _outline(body):
    """The edge of a capsule seen from above (n, 2): a half circle about each end."""
    start, end = body.start[:2], body.end[:2]
    turn = np.arctan2(*(end - start)[::-1]) + np.pi / 2 + np.linspace(0, np.pi, 13)
    half = body.radius * np.stack([np.cos(turn), np.sin(turn)], axis=-1)
    return np.concatenate([start + half, end - half, (start + half)[:1]])


def _extent(parts):
    points = np.concatenate([part[:, :2] for part in parts])
    return points.min(axis=0) - _ROOM, points.max(axis=0) + np.array([_ROOM, 3 * _ROOM])


def _trace(name, line, colour, fill, dash):
    where = {"name": name, "type": "scatter"} | xy(line)
    looks = {"line": {"color": colour, "width": 2, "dash": dash}, "fill": "toself", "fillcolor": f"rgba({fill}, 0.2)"}
    return where | looks | {"mode": "lines", "hoverinfo": "skip"}


def _mark(symbol, colour):
    return {"symbol": symbol, "color": colour, "size": 10, "line": {"width": 2}}


def _marks(name, points, marker):
    where = {"name": name, "type": "scatter"} | xy(points)
    return where | {"mode": "markers", "marker": marker, "hoverinfo": "skip"}


def _note(x, y, text, **looks):
    return {"x": float(x), "y": float(y), "text": text, "showarrow": False} | looks

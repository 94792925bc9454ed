"""A placement in space as data: ports, shafts, hands, camera, target, working plane and the manipulation angle as an arc.

A scene is a dictionary of named items, and nothing in it knows how it will be drawn. An item is one of

- ``{"line": look, "at": points}``, None among the points where the pen is up,
- ``{"mark": look, "at": points}``, a sign at each point,
- ``{"face": look, "at": polygons}``, translucent,
- ``{"sheet": look, "at": lines, "rims": lines}``, a curved surface: lines on it, each filled to the next, and its edges,
- ``{"label": look, "at": [point], "text": text, "side": side}``, beside its point on that side where there is room.

Points are [x, y, z] in cm, a look is a name in `ergokit.figures.style.LOOKS`. `space.js` draws a scene in a browser and
`space.py` as a flat plotly figure.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ergokit._check import a, a_text, checked, flag
from ergokit.figures.layers import item, layer_items, layers_of
from ergokit.placement import Placement
from ergokit.surfaces import Surface
from ergokit.triangulation import handle_position, manipulation_angle, working_distance

_ARC = 24  # points
_HALF, _STEP = 20.0, 5.0  # cm: of the grid on the working plane
_SCOPE, _POST = 33.0, 4.0  # cm: of a scope from its tip to the camera head, 29 to 33, and of its light post (from memory)


@checked(placement=a(Placement), numbers=flag, layers=layers_of, surface=a(Surface), name=a_text)
def scene(
    placement: Placement,
    focus: int = 0,
    numbers: bool = True,
    layers: Sequence[str] = (),
    surface: Surface | None = None,
    name: str = "target",
) -> dict[str, dict]:
    """The items of `placement` in space, with the instruments on target number `focus`, called `name`.

    The values in it show if `numbers`. `layers` are any of `LAYERS`; `surface` one of `ergokit.surfaces` to draw.

    >>> from ergokit import Placement
    >>> scene(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16)))["angle, words"]["text"]
    '59.9°'
    """
    target, camera = placement.targets[focus], placement.camera
    ports = np.stack([placement.left_port, placement.right_port])
    hands = handle_position(ports, target, placement.shafts, placement.handle_reach)
    normal = np.array([0, 0, 1.0]) if placement.normal is None else placement.normal / np.linalg.norm(placement.normal)
    seen = target
    if placement.aim is not None:
        seen = camera + working_distance(camera, target) * placement.aim / np.linalg.norm(placement.aim)
    above = np.vstack([ports, camera])
    feet = above - ((above - target) @ normal)[:, None] * normal
    gap = np.full(3, np.nan)
    arc = target + _arc(ports - target)
    theta = f"{manipulation_angle(ports[0], ports[1], target):.1f}°" if numbers else "?"
    grid, edge = _grid_on_plane(target, normal)
    items = {
        "working plane": item("line", "grid", grid),
        "your side": item("label", "soft", edge[None], text="you stand here", side="below"),
        "drops": item("line", "drop", [above[0], feet[0], target, feet[1], above[1], gap, above[2], feet[2]]),
        "port line": item("line", "port line", ports),
        "optical axis": item("line", "optical axis", [camera, seen]),
        "angle, filled": {"face": "angle", "at": [np.vstack([target, arc]).round(4).tolist()]},
        "angle": item("line", "angle", arc),
    }
    for i, side in enumerate(("left", "right")):
        items[f"{side} shaft, outside"] = item("line", f"{side} outside", [ports[i], hands[i]])
        items[f"{side} shaft, inside"] = item("line", f"{side} inside", [target, ports[i]])
        items[f"{side} hand"] = item("mark", f"{side} hand", [hands[i]])
        items[f"{side} port"] = item("mark", f"{side} port", [ports[i]])
    if placement.scope is not None:
        head, post = scope_ends(placement.scope)
        items["scope, outside"] = item("line", "scope outside", [placement.camera_hole, head])
        items["scope, inside"] = item("line", "scope", [camera, placement.camera_hole])
        items["light post"] = item("line", "scope outside", [head, post])
        items["light post, words"] = item("label", "word", [post], text="light post", side="above")
    items["camera"] = item("mark", "camera", [camera])
    if len(placement.targets) > 1:
        items["other targets"] = item("mark", "other target", np.delete(placement.targets, focus, axis=0))
    items["target"] = item("mark", "target", [target])
    items["angle, words"] = item("label", "big", [target + 1.15 * (arc[_ARC // 2] - target)], text=theta, side="above")
    for i, side in enumerate(("left", "right")):
        items[f"{side} port, words"] = item("label", "word", [ports[i]], text=f"{side} port", side=side)
        items[f"{side} hand, words"] = item("label", "word", [hands[i]], text=f"{side} hand", side="above")
    items["camera, words"] = item("label", "word", [camera], text="camera", side="above")
    items["target, words"] = item("label", "word", [target], text=name, side="below")
    return layer_items(placement, focus, layers, surface, numbers) | items


def extent(placement, focus=0, surface=None):
    """Points that a picture of a placement has room for, (n, 3): ports, hands, camera, targets and the surface's edges."""
    ports = np.stack([placement.left_port, placement.right_port])
    hands = handle_position(ports, placement.targets[focus], placement.shafts, placement.handle_reach)
    edges = [] if surface is None else [surface.outline(face) for face in surface.faces]
    scope = [] if placement.scope is None else scope_ends(placement.scope)
    points = [ports, hands, placement.camera, placement.camera_hole, *scope, placement.targets]
    return np.vstack([*points, *edges, *(edge * [1, 1, 0] for edge in edges)])


def scope_ends(scope):
    """Where a scope of the usual length has its camera head, outside, and the end of its light post; points (3,)."""
    head = scope.port - max(_SCOPE - scope.inserted_length, 0.0) * scope.inwards
    return head, head + _POST * scope.light_post


def _arc(shafts):
    """Points of a circle about the origin from one shaft to the other, close enough to read the angle."""
    lengths = np.linalg.norm(shafts, axis=1)
    first, second = shafts / lengths[:, None]
    across = second - (second @ first) * first
    size = np.linalg.norm(across)
    if size < 1e-12:  # in one line: any plane through it will do
        across, size = np.cross(first, np.eye(3)[np.abs(first).argmin()]), 1.0
    turn = np.linspace(0, np.arctan2(size, second @ first), _ARC)[:, None]
    return 0.35 * lengths.min() * (np.cos(turn) * first + np.sin(turn) * across / np.linalg.norm(across))


def _grid_on_plane(target, normal):
    """Lines every 5 cm of the working plane about the target, and the middle of the edge where the operator stands."""
    right = np.array([1.0, 0, 0]) - normal[0] * normal
    if np.linalg.norm(right) < 1e-6:
        right = np.array([0, 1.0, 0])
    right = right / np.linalg.norm(right)
    away = np.cross(normal, right)
    at = np.arange(-_HALF, _HALF + _STEP / 2, _STEP)
    ends = np.stack([np.stack([at, np.full_like(at, -_HALF)], -1), np.stack([at, np.full_like(at, _HALF)], -1)], axis=1)
    gaps = np.full((len(at), 1, 2), np.nan)  # pen up
    lines = np.concatenate([ends, gaps], axis=1).reshape(-1, 2)
    across = np.concatenate([lines, lines[:, ::-1]])
    return target + across[:, :1] * right + across[:, 1:] * away, target - _HALF * away

"""A placement in space as data: card, holes, floor, shafts, camera, target and the manipulation angle as an arc.

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
from ergokit.figures.card import card_of, ground_of, level_and_up, rims
from ergokit.figures.layers import clash, item, layer_items, layers_of
from ergokit.figures.plain import lifted
from ergokit.figures.space import VIEWS, framed, square_to
from ergokit.placement import Placement
from ergokit.surfaces import Dome, Surface
from ergokit.triangulation import handle_position, manipulation_angle, working_distance

_ARC = 24  # points
_STEP = 5.0  # cm between the lines on the floor
_STUB = 5.0  # cm of a shaft outside its hole that are drawn where the hands are not
_WHOLE = {"hands", "lever", "table"}  # layers with which a shaft is drawn up to its hand
_PLANE = 6.0  # cm from the target to the edges of a working plane that leans
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
    ports, ends = _shafts(placement, focus, layers)
    seen = target
    if placement.aim is not None:
        seen = camera + working_distance(camera, target) * placement.aim / np.linalg.norm(placement.aim)
    arc = target + _arc(ports - target)
    theta = f"{manipulation_angle(ports[0], ports[1], target):.1f}°" if numbers else "?"
    card, ground = card_of(placement, surface), ground_of(placement)
    grid, front = _floor(placement, card, surface, ground)
    items = {
        "floor": item("line", "grid", grid),
        "your side": item("label", "soft", [front], text="you stand here", side="below"),
        "panel": {"face": "panel", "at": [] if isinstance(surface, Dome) else [card.corners.round(4).tolist()]},
        "panel, edge": item("line", "card", card.corners),
        "holes": item("line", "hole", lifted(rims(placement, card))),
        "port line": item("line", "port line", ports),
        "optical axis": item("line", "optical axis", [camera, seen]),
        "angle, filled": {"face": "angle", "at": [np.vstack([target, arc]).round(4).tolist()]},
        "angle": item("line", "angle", arc),
    }
    if target[2] > ground:
        items["height of the target"] = item("line", "drop", [target, [*target[:2], ground]])
    if placement.normal is not None:
        items["working plane"] = item("line", "drop", _plane(target, placement.normal))
    for i, side in enumerate(("left", "right")):
        items[f"{side} shaft, outside"] = item("line", f"{side} outside", [ports[i], ends[i]])
        items[f"{side} shaft, inside"] = item("line", f"{side} inside", [target, ports[i]])
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
    items["camera, words"] = item("label", "word", [camera], text="camera", side="above")
    items["target, words"] = item("label", "word", [target], text=name, side="below")
    return layer_items(placement, focus, layers, surface, numbers) | items | clash(placement, focus, ends)


def view_of(placement, view, shape=1.0, focus=0, surface=None, layers=()):
    """A view in which a placement fills a picture `shape` times as wide as high.

    `view` is a name in `VIEWS`, or a view that the reader turned, which is then only moved nearer or farther. Call it where a
    picture begins or the reader asks: while sliders move, the view stays.

    >>> from ergokit import Placement
    >>> view = view_of(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16)), "straight at the instruments")
    >>> view["turn"], round(view["tilt"], 1)  # from below the floor, the left hand on the left
    (0.0, -39.8)
    """
    if isinstance(view, str):
        view = VIEWS[view] or _straight_at(placement, focus)
    return framed(extent(placement, focus, surface, layers), view, shape)


def extent(placement, focus=0, surface=None, layers=()):
    """Points that a picture of a placement has room for, (n, 3): ports, camera, targets, the card or the whole box; hands with
    the layers that draw them."""
    ports, ends = _shafts(placement, focus, layers)
    faces = [card_of(placement).corners] if surface is None else [surface.outline(face) for face in surface.faces]
    scope = [] if placement.scope is None else scope_ends(placement.scope)
    feet = [] if surface is None else [edge * [1, 1, 0] for edge in faces]
    levers = [] if "lever" not in layers else [part["at"] for part in layer_items(placement, focus, ("lever",)).values()]
    return np.vstack([ports, ends, placement.camera, placement.camera_hole, *scope, placement.targets, *faces, *feet, *levers])


def _shafts(placement, focus, layers):
    """Both ports and as far as the shafts are drawn outside: to the hands where a layer is about them."""
    ports, target = np.stack([placement.left_port, placement.right_port]), placement.targets[focus]
    hands = handle_position(ports, target, placement.shafts, placement.handle_reach)
    if not _WHOLE.isdisjoint(layers):
        return ports, hands
    outside = np.linalg.norm(hands - ports, axis=1, keepdims=True)
    return ports, ports + np.minimum(_STUB / outside, 1) * (hands - ports)


def _straight_at(placement, focus):
    """The view square to the plane of the instruments in which the left port is on the left, from above if neither is."""
    left, right = placement.left_port, placement.right_port
    normal = np.cross(right - left, placement.targets[focus] - left)
    if not np.linalg.norm(normal) > 1e-9:  # all in one line: from the front
        return VIEWS["front"]
    return square_to(normal, right - left)


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


def _floor(placement, card, surface, ground):
    """Lines every 5 cm on the floor, under the box or under all that is drawn, and the middle of the edge where you stand."""
    points = np.vstack([card.corners, placement.targets, placement.camera]) if surface is None else surface.bounds()
    (left, front), (right, back) = points[:, :2].min(axis=0), points[:, :2].max(axis=0)
    x, y = ([low, *np.arange(_STEP * np.ceil(low / _STEP), high, _STEP), high] for low, high in ((left, right), (front, back)))
    lines = [[(at, front, ground), (at, back, ground)] for at in x] + [[(left, at, ground), (right, at, ground)] for at in y]
    return lifted(np.array(lines)), [(left + right) / 2, front, ground]


def _plane(target, normal):
    """The edge of a piece of the working plane about the target, closed."""
    level, up = level_and_up(normal)
    corners = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1)])
    return target + _PLANE * corners @ np.stack([level, up])

"""What can be laid over the scene: the same-angle zone, the camera's shell of distances, the hands, the lever, the box.

Each layer is a function from a placement to the items it adds to a scene; see `ergokit.figures.scene` for what an item is.
"""

from functools import cache

import numpy as np

from ergokit._check import one_word, refused
from ergokit.figures.card import ground_of
from ergokit.figures.plain import lifted
from ergokit.guidance.studies import advised
from ergokit.holes.bodies import instrument, sizes_of, without_tip
from ergokit.holes.contact import gap
from ergokit.relations.same_angle import same_angle_surface
from ergokit.surfaces import Dome, WedgeBox
from ergokit.triangulation import handle_position, tip_travel_per_hand_travel

#: What each layer shows, in a reader's words.
LAYERS = {
    "zone": "targets with an advised manipulation angle are between the outer and the inner surface",
    "distance": "cameras at an advised distance from the target are between the two spheres",
    "hands": "both hands at the ends of the whole shafts, and how far they are apart",
    "lever": "what the tips do when each hand moves 5 cm across its shaft",
    "table": "the table top under the box, and the height at which the elbows are level with the hands",
}
_HAND_MOVES = 5.0  # cm drawn: 1 cm could not be seen in a scene of 60
_BEYOND = 10.0  # cm of table beyond the hands and the targets
_SHEET = (29, 9)  # points of a sheet along the port line and around it


def layers_of(name, value):
    """`value` as a tuple of names of `LAYERS`."""
    if not isinstance(value, list | tuple):
        raise refused(name, f"some of {', '.join(LAYERS)}", value)
    return tuple(one_word(name, each, LAYERS) for each in value)


def item(kind, look, at, **more):
    """One thing that stands in space, as plain lists: `at` are points (n, 3), NaN where the pen is up; see `scene`."""
    at = np.asarray(at, dtype=float)
    points = at.round(4).tolist()
    if np.isnan(at).any():
        points = [None if point[0] != point[0] else point for point in points]
    return {kind: look, "at": points} | more


def layer_items(placement, focus, layers, surface=None, numbers=True):
    """The items of the layers that are shown, by name; their words only with `numbers`."""
    items = {}
    if surface is not None:
        items |= _surface(surface)
    if "zone" in layers:
        items |= _zone(placement, focus)
    if "distance" in layers:
        items |= _distance(placement, focus)
    if not {"hands", "lever", "table"}.isdisjoint(layers):
        ports, reached = _ports(placement), (placement.targets[focus], placement.shafts, placement.handle_reach)
        hands = handle_position(ports, *reached)
        for hand, side in zip(hands, ("left", "right"), strict=True):
            items[f"{side} hand"] = item("mark", f"{side} hand", [hand])
            items[f"{side} hand, words"] = item("label", "word", [hand], text=f"{side} hand", side="above")
        if "hands" in layers:
            items["hands"] = item("line", "hands", hands)
            between = np.linalg.norm(hands[1] - hands[0])
            items["hands, words"] = _words(f"hands {between:.1f} cm apart", hands.mean(axis=0), "above", numbers)
        if "lever" in layers:
            travels = tip_travel_per_hand_travel(ports, *reached)
            for i, (side, travel) in enumerate(zip(("left", "right"), travels, strict=True)):
                levers = _lever(ports[i], ports[1 - i], reached[0], hands[i], travel)
                items[f"lever, {side}"] = item("line", f"{side} lever", levers)
                at = hands[i] + 0.6 * (ports[i] - hands[i])
                items[f"lever, {side}, words"] = _words(f"hand 1 cm, tip {travel:.1f} cm", at, side, numbers)
        if "table" in layers:
            items |= _table(placement, hands, numbers)
    return items


def clash(placement, focus, ends):
    """A sign where the two hands, or their shafts, would be in one place, and words that say so; nothing where they are not.

    A fist and a shaft are as large as `ergokit.holes.bodies` says (from memory). `ends` (2, 3) is how far the shafts are drawn.
    """
    sizes, target = sizes_of("sizes", None), placement.targets[focus]
    reaches = placement.shafts + placement.handle_reach
    left, right = (
        without_tip(instrument(port, target, reach, sizes), sizes)
        for port, reach in zip(_ports(placement), reaches, strict=True)
    )
    touching = {
        "the hands touch": gap(left["hand"], right["hand"]),
        "a hand touches the other shaft": min(gap(left["hand"], right["shaft"]), gap(left["shaft"], right["hand"])),
        "the shafts touch": gap(left["shaft"], right["shaft"]),
    }
    words = next((words for words, apart in touching.items() if apart < 0), None)
    if words is None:
        return {}
    at = np.mean([left["shaft"].start, right["shaft"].start] if "shafts" in words else ends, axis=0)
    return {"clash": item("mark", "clash", [at]), "clash, words": item("label", "word", [at], text=words, side="above")}


def _table(placement, hands, numbers):
    """The table top, 10 cm beyond hands and targets, and the level of the hands."""
    ground, level = ground_of(placement), hands[:, 2].mean()
    around = np.vstack([hands, placement.targets])[:, :2]
    (left, front), (right, back) = around.min(axis=0) - _BEYOND, around.max(axis=0) + _BEYOND
    edge = [(left, front, ground), (right, front, ground), (right, back, ground), (left, back, ground), (left, front, ground)]
    near = hands[:, 1].mean()
    words = f"elbows here: {level - ground:.1f} cm above the table" if numbers else "elbows here"
    return {
        "table": item("line", "table", edge),
        "table, words": item("label", "soft", [edge[1]], text="table top", side="below"),
        "elbow line": item("line", "elbow line", [(left, near, level), (right, near, level)]),
        "elbow line, words": item("label", "word", [((left + right) / 2, near, level)], text=words, side="below"),
    }


def _words(text, at, side, numbers):
    return item("label", "word", [at], text=text if numbers else "", side=side)


def _ports(placement):
    return np.stack([placement.left_port, placement.right_port])


def _zone(placement, focus):
    """The two same-angle surfaces, as far as they lie below the port line and above the floor."""
    low, high = advised("manipulation angle")
    items = {}
    for edge, angle in (("outer", low), ("inner", high)):
        for where, sheet in zip(("near", "far"), _below_the_ports(placement, angle, placement.targets[focus][2]), strict=True):
            items[f"zone, {edge}, {where}"] = _sheet(sheet, "zone", rims=(0, -1))
    return items


def _below_the_ports(placement, angle, floor):
    """Two sheets (along, around, 3) of a same-angle surface, before the port line and behind it, from its height to the floor.

    Cut along the floor by turning each ring about the port line just so far: cutting faces would leave a ragged edge.
    """
    left, right = _ports(placement)
    axis = (right - left) / np.linalg.norm(right - left)
    behind = np.cross([0, 0, 1.0], axis)
    behind = np.array([0, 1.0, 0]) if not behind.any() else behind / np.linalg.norm(behind)
    down = np.cross(behind, axis)
    down = -down if down[2] > 0 else down
    along, around = _SHEET
    ring = same_angle_surface(left, right, angle, along=along, around=3).vertices[1:-1:3]
    foot = left + ((ring - left) @ axis)[:, None] * axis
    radius = np.linalg.norm(ring - foot, axis=1)
    lowest = np.arccos(np.clip((foot[:, 2] - floor) / np.maximum(radius * -down[2], 1e-12), 0, 1))
    turn = lowest[:, None] + (np.pi / 2 - lowest)[:, None] * np.linspace(0, 1, around)
    ways = np.array([[[[-1.0]]], [[[1.0]]]])
    return foot[:, None] + radius[:, None, None] * (np.cos(turn)[..., None] * down + ways * np.sin(turn)[..., None] * behind)


def _distance(placement, focus):
    """Spheres of the advised distances about the target, above the floor."""
    items = {}
    for edge, radius in zip(("nearest", "farthest"), advised("working distance"), strict=True):
        items[f"distance, {edge}"] = _sheet(placement.targets[focus] + radius * _half_sphere(), "distance")
    return items


@cache
def _half_sphere():
    """Meridians (turn, height, 3) of the upper half of a sphere of radius 1."""
    turn, height = np.linspace(0, 2 * np.pi, 29)[:, None], np.linspace(0, np.pi / 2, 9)[None]
    return np.stack(np.broadcast_arrays(np.cos(height) * np.cos(turn), np.cos(height) * np.sin(turn), np.sin(height)), axis=-1)


def _sheet(rows, look, rims=(0,)):
    """A curved sheet (n, m, 3) as an item: some of its rows, and the `rims` of its columns; to a tenth of a millimetre."""
    rows = rows.round(2)
    edges = rows[:, list(rims)].swapaxes(0, 1)
    return {"sheet": look, "at": rows[:: (len(rows) - 1) // 7].tolist(), "rims": edges.tolist()}


def _fill(look, polygons):
    return {"face": look, "at": [np.round(polygon, 4).tolist() for polygon in polygons]}


def _surface(surface):
    """The whole box or dome, faintly: its faces, their edges, and its outline on the floor."""
    outlines = [surface.outline(face) for face in surface.faces]
    floor, walls = outlines[0] * [1, 1, 0], outlines[0][:-1]
    if isinstance(surface, Dome):
        rim = surface.outline_uv()[::3]
        arcs = surface.point(*np.moveaxis(np.linspace(1, 0, 9)[None, :, None] * rim[:, None], -1, 0))[::2]
        fill, walls, more = np.concatenate([arcs[:-1], arcs[1:, ::-1]], axis=1), walls[::18], arcs
    elif isinstance(surface, WedgeBox):
        (left, front, _), (right, back, _) = surface.bounds()
        floor = np.array([(left, front, 0), (right, front, 0), (right, back, 0), (left, back, 0), (left, front, 0)])
        fill, walls, more = outlines, walls[:0], np.empty((0, 2, 3))
    else:
        fill, more = outlines, np.empty((0, 2, 3))
    upright = np.stack([walls, walls * [1, 1, 0]], axis=1)
    return {
        "surface": _fill("dome" if isinstance(surface, Dome) else "card", fill),
        "surface, edges": item("line", "card line", np.concatenate([lifted([*outlines, *upright, *more]), floor])),
    }


def _lever(port, other, target, hand, travel):
    """The shaft turned about its port so far that the hand moves `_HAND_MOVES` across it, away from the other hand."""
    along = (hand - target) / np.linalg.norm(hand - target)
    across = (port - other) - ((port - other) @ along) * along
    if not np.linalg.norm(across) > 1e-9:
        across = np.cross(along, np.eye(3)[np.abs(along).argmin()])
    across = _HAND_MOVES * across / np.linalg.norm(across)
    return np.stack([hand, hand + across, port, target - travel * across, target])

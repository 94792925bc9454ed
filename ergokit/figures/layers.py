"""What can be laid over the scene: the same-angle zone, the camera's shell of distances, the hands, the lever, the box.

Each layer is a function from a placement to the traces it moves; a layer that is not shown costs nothing.
"""

from functools import cache

import numpy as np
import plotly.graph_objects as go

from ergokit import datasets
from ergokit.figures.style import GREEN, GREY, LEFT, PURPLE, RIGHT
from ergokit.relations.same_angle import same_angle_surface
from ergokit.triangulation import handle_position, handle_separation, tip_travel_per_hand_travel

#: What each layer shows, in a reader's words.
LAYERS = {
    "zone": "where a target has an advised manipulation angle: between the outer and the inner surface",
    "distance": "where a camera is at an advised distance from the target: between the two spheres",
    "hands": "the line between the two hands, and how long it is",
    "lever": "what the tips do when each hand moves 5 cm across its shaft",
}
_HAND_MOVES = 5.0  # cm drawn: 1 cm could not be seen in a scene of 60
_SHEETS = (18, 28)  # steps of a surface along and around: fine enough to look round, small enough to travel at each move


@cache
def advice(quantity):
    """The row of the published advice (its words read, not on a secondary page) on a quantity."""
    [row] = [
        row
        for row in datasets.records("published_values")
        if (row["quantity"], row["kind"], row["basis"], row["secondary"]) == (quantity, "advice", "published", False)
    ]
    return row


def advised(quantity):
    """The range that the published advice gives for a quantity: low, high."""
    return advice(quantity)["low"], advice(quantity)["high"]


def layer_traces():
    """The traces of all layers, empty and hidden."""
    traces = []
    for edge, opacity in (("outer", 0.13), ("inner", 0.22)):
        traces.append(_sheet(f"zone, {edge}", GREEN, opacity))
    for edge, opacity in (("farthest", 0.08), ("nearest", 0.16)):
        traces.append(_sheet(f"distance, {edge}", PURPLE, opacity))
    traces.append(_dashes("hands", GREY))
    for side in (LEFT, RIGHT):
        traces.append(_dashes(f"lever, {side['word']}", side["colour"]))
    traces.append(_sheet("surface", GREY, 0.1))
    traces.append(_dashes("surface outline", GREY))
    return traces


def layer_parts(placement, focus, layers, surface):
    """What moves of the layers that are shown: trace name -> its coordinates."""
    parts = {}
    if "zone" in layers:
        parts |= _zone(placement, focus)
    if "distance" in layers:
        parts |= _distance(placement, focus)
    if "hands" in layers or "lever" in layers:
        hands = {side: _hand(placement, focus, side) for side in ("left", "right")}
        if "hands" in layers:
            parts["hands"] = _xyz(np.stack([hands["left"], hands["right"]]))
        if "lever" in layers:
            parts |= {f"lever, {side}": _xyz(_lever(placement, focus, side, hands[side])) for side in hands}
    if surface is not None:
        vertices, faces = surface.mesh()
        parts["surface"] = _xyz(vertices) | _ijk(faces)
        outlines = [np.vstack([surface.outline(face), np.full(3, np.nan)]) for face in surface.faces]
        parts["surface outline"] = _xyz(np.vstack(outlines))
    return parts


def layer_labels(placement, focus, layers):
    """What is written beside the layers, text and place: one for the hands and one a lever, None where hidden."""
    hidden = None, placement.targets[focus]
    if "hands" not in layers and "lever" not in layers:
        return [hidden] * 3
    hands = np.stack([_hand(placement, focus, side) for side in ("left", "right")])
    instrument = placement.targets[focus], placement.instrument_length, placement.handle_reach
    between = handle_separation(*_shafts(placement), *instrument)
    labels = [(f"hands {between:.1f} cm apart", hands.mean(axis=0)) if "hands" in layers else hidden]
    for port, hand in zip(_shafts(placement), hands, strict=True):
        travel = tip_travel_per_hand_travel(port, *instrument)
        text = f"hand 1 cm, tip {travel:.1f} cm"
        labels.append((text, hand + 0.7 * (port - hand)) if "lever" in layers else hidden)
    return labels


def _shafts(placement):
    return placement.left_port, placement.right_port


def _hand(placement, focus, side):
    port = getattr(placement, f"{side}_port")
    return handle_position(port, placement.targets[focus], placement.instrument_length, placement.handle_reach)


def _zone(placement, focus):
    """The two same-angle surfaces, as far as they lie below the port line and above the floor."""
    low, high = advised("manipulation angle")
    edges = (("outer", low), ("inner", high))
    return {f"zone, {edge}": _below_the_ports(placement, angle, placement.targets[focus][2]) for edge, angle in edges}


def _below_the_ports(placement, angle, floor):
    """Two sheets of a same-angle surface, in front of the port line and behind it, from its height down to the floor.

    Cut along the floor by turning each ring about the port line just so far: cutting triangles would leave a ragged edge.
    """
    left, right = _shafts(placement)
    axis = (right - left) / np.linalg.norm(right - left)
    behind = np.cross([0, 0, 1.0], axis)
    behind = np.array([0, 1.0, 0]) if not behind.any() else behind / np.linalg.norm(behind)
    down = np.cross(behind, axis)
    down = -down if down[2] > 0 else down
    along, around = _SHEETS
    ring = same_angle_surface(left, right, angle, along=along, around=3).vertices[1:-1:3]
    foot = left + ((ring - left) @ axis)[:, None] * axis
    radius = np.linalg.norm(ring - foot, axis=1)
    lowest = np.arccos(np.clip((foot[:, 2] - floor) / np.maximum(radius * -down[2], 1e-12), 0, 1))
    turn = lowest[:, None] + (np.pi / 2 - lowest)[:, None] * np.linspace(0, 1, around // 2)
    sheets = [
        foot[:, None] + radius[:, None, None] * (np.cos(turn)[..., None] * down + side * np.sin(turn)[..., None] * behind)
        for side in (-1, 1)
    ]
    faces = _grid(len(foot), around // 2)
    return _xyz(np.concatenate(sheets).reshape(-1, 3)) | _ijk(np.concatenate([faces, faces + turn.size]))


def _distance(placement, focus):
    """Spheres of the advised distances about the target, above the floor."""
    vertices, faces = _half_sphere(*_SHEETS)
    nearest, farthest = advised("working distance")
    target = placement.targets[focus]
    return {
        f"distance, {edge}": _xyz(target + radius * vertices) | _ijk(faces)
        for edge, radius in (("farthest", farthest), ("nearest", nearest))
    }


@cache
def _half_sphere(rings, around):
    height = np.linspace(0, np.pi / 2, rings)[:, None]
    turn = np.linspace(0, 2 * np.pi, around)[None, :]
    parts = np.broadcast_arrays(np.cos(height) * np.cos(turn), np.cos(height) * np.sin(turn), np.sin(height))
    return np.stack(parts, axis=-1).reshape(-1, 3), _grid(rings, around)


def _grid(rows, columns):
    """Triangles of a grid of vertices."""
    at = np.arange(rows * columns).reshape(rows, columns)
    corners = np.stack([at[:-1, :-1], at[:-1, 1:], at[1:, :-1], at[1:, 1:]], axis=-1).reshape(-1, 4)
    return np.concatenate([corners[:, [0, 1, 2]], corners[:, [1, 3, 2]]])


def _lever(placement, focus, side, hand):
    """The shaft turned about its port so far that the hand moves `_HAND_MOVES` across it, away from the other hand."""
    port, target = getattr(placement, f"{side}_port"), placement.targets[focus]
    other = placement.right_port if side == "left" else placement.left_port
    along = (hand - target) / np.linalg.norm(hand - target)
    across = (port - other) - ((port - other) @ along) * along
    if not np.linalg.norm(across) > 1e-9:
        across = np.cross(along, np.eye(3)[np.abs(along).argmin()])
    across = _HAND_MOVES * across / np.linalg.norm(across)
    travel = tip_travel_per_hand_travel(port, target, placement.instrument_length, placement.handle_reach)
    gap = np.full(3, np.nan)
    return np.stack([hand, hand + across, port, target - travel * across, target, gap])


def columns(table):
    """The columns of an array, each in one piece: the kernel sends nothing else."""
    return np.ascontiguousarray(table.T)


def _xyz(points):
    return dict(zip("xyz", columns(points), strict=True))


def _ijk(faces):
    return dict(zip("ijk", columns(faces), strict=True))


def _sheet(name, colour, opacity):
    # Mesh3d, which costs half as much as Surface to draw.
    return go.Mesh3d(name=name, color=colour, opacity=opacity, flatshading=False, hoverinfo="skip", visible=False)


def _dashes(name, colour):
    line = {"color": colour, "width": 3, "dash": "dash"}
    return go.Scatter3d(name=name, mode="lines", line=line, hoverinfo="skip", visible=False)

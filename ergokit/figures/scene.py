"""A placement in space: ports, shafts, hands, camera, target, working plane and the manipulation angle as an arc.

Traces are built once; `update_scene` moves them in one batch, and only what changed travels to the browser.
"""

import numpy as np
import plotly.graph_objects as go
from plotly.basedatatypes import Undefined

from ergokit._check import a, a_text, checked, flag, one_word, pixels, refused
from ergokit.figures.layers import LAYERS, columns, layer_labels, layer_parts, layer_traces
from ergokit.figures.style import FONT, GREEN, GREY, INK, LEFT, ORANGE, PURPLE, RIGHT
from ergokit.placement import Placement
from ergokit.surfaces import Surface
from ergokit.triangulation import handle_position, manipulation_angle, working_distance


def _view(x, y, z, up="z", flat=False, centre=(0.02, 0, -0.1)):
    return {
        "eye": {"x": x, "y": y, "z": z},
        "center": dict(zip("xyz", centre, strict=True)),
        "up": {axis: int(axis == up) for axis in "xyz"},
        "projection": {"type": "orthographic" if flat else "perspective"},
    }


#: Where the reader may stand, in plotly's units, the scene being about 1 wide.
VIEWS = {
    "from the operator": _view(-0.5, -1.2, 0.3),  # over the left shoulder, low enough to see the angle open
    "facing the operator": _view(0.5, 1.2, 0.5),
    "plan": _view(0, 0, 1.1, up="y", flat=True, centre=(0, 0, 0)),
    "side": _view(1.1, 0, -0.1, flat=True),
    "front": _view(0, -1.1, -0.1, flat=True),
}
VIEW = VIEWS["from the operator"]

# Two ends of an interrupted line, so that nothing is drawn: plotly scales to the data, and makes all axes anew where their
# extent changes.
_FRAME = {"name": "frame", "mode": "lines", "hoverinfo": "skip"}

_REACH = 32.0  # cm shown each way at least: room for two 36 cm instruments and the hands


def layers_of(name, value):
    """`value` as a tuple of names of `LAYERS`."""
    if not isinstance(value, list | tuple):
        raise refused(name, f"some of {', '.join(LAYERS)}", value)
    return tuple(one_word(name, each, LAYERS) for each in value)


@checked(placement=a(Placement), numbers=flag, layers=layers_of, surface=a(Surface), name=a_text, width=pixels, height=pixels)
def scene(placement, focus=0, numbers=True, layers=(), surface=None, name="target", width=560, height=500):
    """A 3D figure of `placement` with the instruments on target number `focus`, called `name`.

    The values in it show if `numbers`. `layers` are any of `LAYERS`; `surface` one of `ergokit.surfaces` to draw.

    >>> from ergokit import Placement
    >>> figure = scene(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16)))
    >>> figure.layout.scene.annotations[0].text
    '59.9°'
    """
    figure = go.Figure([*(_styled(*part) for part in _parts(placement, focus).items()), *layer_traces(), go.Scatter3d(_FRAME)])
    axis = {"showbackground": False, "gridcolor": "#DDDDDD", "zeroline": False, "nticks": 5}
    axis["tickfont"] = {"size": 10, "color": GREY}
    figure.update_layout(
        font=FONT,
        width=width,
        height=height,
        margin={"l": 0, "r": 0, "t": 0, "b": 0},
        showlegend=False,
        paper_bgcolor="white",
        scene={
            "xaxis": axis | {"title": {"text": "x, right (cm)", "font": {"size": 12}}},
            "yaxis": axis | {"title": {"text": "y, away (cm)", "font": {"size": 12}}},
            "zaxis": axis | {"title": {"text": "z, up (cm)", "font": {"size": 12}}},
            "camera": VIEW,
            "aspectmode": "manual",
            "annotations": [_LABEL | {"x": 0, "y": 0, "z": 0, "text": ""} | looks for looks in _LOOKS],
        },
    )
    update_scene(figure, placement, focus, numbers, layers, surface, name)
    frame_scene(figure, placement)
    return figure


def frame_scene(figure, placement):
    """Set the axis ranges, with equal scales, so that the whole placement fits with room to move."""
    points = np.vstack([placement.left_port, placement.right_port, placement.camera, placement.targets, _hands(placement, 0)])
    reach = max(_REACH, 1.1 * np.abs(points[:, :2]).max())
    low, high = min(-2.0, points[:, 2].min() - 2), max(44.0, points[:, 2].max() + 4)
    with figure.batch_update():
        (frame,) = figure.select_traces({"name": _FRAME["name"]})
        far = 4 * reach  # beyond any hand that leaves the picture
        frame.update({axis: (-far, None, far) for axis in "xyz"})
        figure.layout.scene.xaxis.range = figure.layout.scene.yaxis.range = (-reach, reach)
        figure.layout.scene.zaxis.range = (low, high)
        figure.layout.scene.aspectratio = {"x": 1, "y": 1, "z": (high - low) / (2 * reach)}


def stand(figure, view):
    """Look at the scene from one of `VIEWS`; an axis that points at the reader goes without its numbers."""
    with figure.batch_update():
        figure.layout.scene.camera = VIEWS[view]
        for axis, along in (("xaxis", "side"), ("yaxis", "front"), ("zaxis", "plan")):
            figure.layout.scene[axis].visible = view != along


def update_scene(figure, placement, focus=0, numbers=True, layers=(), surface=None, name="target", shown=None, more=None):
    """Move every trace of a figure made by `scene` to another placement, in one batch, and only what differs.

    `more` are values of traces that the figure has besides a scene's, by name. `shown`, an empty dict at first and kept by
    the caller, remembers what the figure holds: asking plotly takes as long as telling it.
    """
    shown = {} if shown is None else shown
    # All computed before anything moves, so that an error changes nothing.
    parts = _parts(placement, focus) | layer_parts(placement, focus, layers, surface) | (more or {})
    _tell(figure, parts, _labels(placement, focus, numbers, layers, name), shown)


def _tell(figure, parts, labels, shown):
    """Tell a figure in one message what differs from what it has `shown`: traces (name -> values) and labels, in order.

    A trace that is not among the `parts` is hidden. Setting each property by itself takes plotly half as long again.
    """
    traces, notes = {}, {}
    for i, name in enumerate(trace.name for trace in figure.data):
        if name != _FRAME["name"]:
            changed = _differing(parts.get(name, {}) | {"visible": name in parts}, shown.setdefault(name, {}))
            traces |= {i: changed} if changed else {}
    for i, label in enumerate(labels):
        changed = _differing(label, shown.setdefault(i, {}))
        notes |= {f"scene.annotations[{i}].{key}": value for key, value in changed.items()}
    keys = {key for changed in traces.values() for key in changed}
    values = {key: [changed.get(key, Undefined) for changed in traces.values()] for key in keys}
    if traces or notes:
        figure.plotly_update(values, notes, list(traces))


def _differing(values, shown):
    """Of these values those that are not among the `shown`, which then has them."""
    differing = {key: value for key, value in values.items() if key not in shown or not _same(shown[key], value)}
    shown |= differing
    return differing


def _same(one, other):
    return np.array_equal(one, other, equal_nan=np.asarray(one).dtype.kind == "f")


def _hands(placement, focus):
    ports = np.stack([placement.left_port, placement.right_port])
    return handle_position(ports, placement.targets[focus], placement.instrument_length, placement.handle_reach)


def _parts(placement, focus):
    """What moves: trace name -> its coordinates."""
    target, camera = placement.targets[focus], placement.camera
    ports, hands = np.stack([placement.left_port, placement.right_port]), _hands(placement, focus)
    distance = working_distance(camera, target)
    normal = np.array([0, 0, 1.0]) if placement.normal is None else placement.normal / np.linalg.norm(placement.normal)
    feet = ports - ((ports - target) @ normal)[:, None] * normal
    seen = target if placement.aim is None else camera + distance * placement.aim / np.linalg.norm(placement.aim)
    parts = {
        "working plane": _line(_grid_on_plane(target, normal)),
        "shadow of the shafts": _line([ports[0], feet[0], target, feet[1], ports[1]]),
        "port line": _line(ports),
        "optical axis": _line([camera, seen]),
    }
    for name, port, hand in zip(("left", "right"), ports, hands, strict=True):
        parts[f"{name} shaft, inside"] = _line([target, port])
        parts[f"{name} shaft, outside"] = _line([port, hand])
        parts[f"{name} hand"] = _line([hand])
        parts[f"{name} port"] = _line([port])
    parts["manipulation angle"] = _line(_arc(ports - target) + target)
    parts["camera"] = _line([camera])
    parts["targets"] = _line(placement.targets)
    return parts


# Labels are annotations, not text traces: WebGL text loses its size when it changes (plotly.js 3).
_LABEL = {"showarrow": False, "font": {"size": 13}, "bgcolor": "rgba(255, 255, 255, 0.6)", "borderpad": 1}
_LOOKS = (
    {"font": {"size": 22}, "yanchor": "bottom", "bgcolor": "rgba(0, 0, 0, 0)"},
    {"xanchor": "right", "xshift": -8},
    {"xanchor": "left", "xshift": 8},
    {"xanchor": "left", "xshift": -14, "yanchor": "bottom", "yshift": 10},  # hands are far out: their words go inwards
    {"xanchor": "right", "xshift": 14, "yanchor": "bottom", "yshift": 10},
    {"yanchor": "bottom", "yshift": 8},
    {"yanchor": "top", "yshift": -6},
    {"yanchor": "bottom", "yshift": 4},
    {"xanchor": "right", "xshift": -6},
    {"xanchor": "left", "xshift": 6},
)


def _labels(placement, focus, numbers, layers, name):
    """What is written where, in the order of `_LOOKS`."""
    target = placement.targets[focus]
    ports = np.stack([placement.left_port, placement.right_port])
    arc = _arc(ports - target)
    theta = f"{manipulation_angle(*ports, target):.1f}°" if numbers else "?"
    words = (theta, "left port", "right port", "left hand", "right hand", "camera", name)
    places = (target + 1.05 * arc[len(arc) // 2], *ports, *_hands(placement, focus), placement.camera, target)
    labels = [*zip(words, places, strict=True), *layer_labels(placement, focus, layers if numbers else ())]
    return [
        {"visible": False} if text is None else dict(zip("xyz", place.tolist(), strict=True)) | {"text": text, "visible": True}
        for text, place in labels
    ]


def _line(points):
    return dict(zip("xyz", columns(np.asarray(points, dtype=float)), strict=True))


def _arc(shafts, steps=24):
    """Points of a circle about the origin from one shaft to the other, close enough to read the angle."""
    lengths = np.linalg.norm(shafts, axis=1)
    first, second = shafts / lengths[:, None]
    across = second - (second @ first) * first
    size = np.linalg.norm(across)
    if size < 1e-12:  # in one line: any plane through it will do
        across, size = np.cross(first, np.eye(3)[np.abs(first).argmin()]), 1.0
    turn = np.linspace(0, np.arctan2(size, second @ first), steps)[:, None]
    return 0.35 * lengths.min() * (np.cos(turn) * first + np.sin(turn) * across / np.linalg.norm(across))


def _grid_on_plane(target, normal, half=20.0, step=5.0):
    """Lines every 5 cm of the working plane about the target; a translucent sheet would double the time to draw a move."""
    right = np.array([1.0, 0, 0]) - normal[0] * normal
    if np.linalg.norm(right) < 1e-6:
        right = np.array([0, 1.0, 0])
    right = right / np.linalg.norm(right)
    away = np.cross(normal, right)
    at = np.arange(-half, half + step / 2, step)
    ends = np.stack([np.stack([at, np.full_like(at, -half)], -1), np.stack([at, np.full_like(at, half)], -1)], axis=1)
    gaps = np.full((len(at), 1, 2), np.nan)  # pen up
    lines = np.concatenate([ends, gaps], axis=1).reshape(-1, 2)
    across = np.concatenate([lines, lines[:, ::-1]])
    return target + across[:, :1] * right + across[:, 1:] * away


def _styled(name, part):
    """A trace with its lasting looks."""
    if name.startswith(("left ", "right ")):
        hand = LEFT if name.startswith("left") else RIGHT
        if name.endswith(("hand", "port")):
            hollow = {"size": 9, "symbol": hand["marker"] + "-open", "line": {"width": 3}}
            filled = {"size": 6, "symbol": hand["marker"]}
            return _mark(name, part, {"color": hand["colour"]} | (hollow if name.endswith("hand") else filled))
        # Solid for both hands: a dash this wide breaks up in 3D, and marker and word tell them apart.
        line = {"color": hand["colour"], "width": 9 if name.endswith("inside") else 4}
        return go.Scatter3d(name=name, **part, mode="lines", line=line, hoverinfo="name")
    if name == "camera":
        return _mark(name, part, {"color": PURPLE, "size": 8, "symbol": "square"})
    if name == "targets":
        return _mark(name, part, {"color": ORANGE, "size": 7, "symbol": "cross", "line": {"color": INK, "width": 1}})
    lines = {
        "working plane": {"color": "#B8C8D4", "width": 2},
        "manipulation angle": {"color": GREEN, "width": 6},
        "optical axis": {"color": PURPLE, "width": 3, "dash": "dot"},
        "port line": {"color": GREY, "width": 2, "dash": "longdash"},
        "shadow of the shafts": {"color": "#A0A0A0", "width": 2, "dash": "dot"},
    }
    return go.Scatter3d(name=name, **part, mode="lines", line=lines[name], hoverinfo="name")


def _mark(name, part, marker):
    place = f"{name}: %{{x:.1f}}, %{{y:.1f}}, %{{z:.1f}} cm<extra></extra>"
    return go.Scatter3d(name=name, **part, mode="markers", marker=marker, hovertemplate=place)

"""Space drawn flat: where each point of a scene falls in a picture, and the scene as a plotly figure without WebGL.

`space.js` does the same in a browser, where the reader turns it; a test holds the two together.
"""

from itertools import pairwise
from typing import Any

import numpy as np
import plotly.graph_objects as go

from ergokit.figures.style import LOOKS, PALETTE, PLAIN

#: Where the reader may stand: degrees round to the operator's right, degrees above the floor, and how far off the eye is, in
#: reaches (see `project`); 0 is so far that there is no perspective.
VIEWS: dict[str, Any] = {
    "from the operator": {"turn": -22, "tilt": 13, "eye": 4.5},  # over the left shoulder, low enough to see the angle open
    "facing the operator": {"turn": 157, "tilt": 21, "eye": 4.5},
    "plan": {"turn": 0, "tilt": 90, "eye": 0},
    "side": {"turn": 90, "tilt": 0, "eye": 0},
    "front": {"turn": 0, "tilt": 0, "eye": 0},
    "straight at the instruments": None,  # follows from the placement: see `scene.view_of`
}
_NEAREST = 0.1  # of the way from the eye: what comes nearer is drawn as if it were there
_AHEAD = 1000.0  # cm that a sign counts as nearer: signs lie on top of all else
_ROOM = 0.92  # the share of the picture in which signs stay
_RINGS = (1, 2.5, 4.5, 7, 10, 14)  # how far off a label is tried, in gaps
_LETTER = 0.56  # of its size is a letter's width, about
_GAP = 5  # px between a label and what it belongs to
_WAYS = {
    "right": (1, 0),
    "left": (-1, 0),
    "above": (0, -1),
    "below": (0, 1),
    "upper right": (0.75, -0.8),
    "upper left": (-0.75, -0.8),
    "lower right": (0.75, 0.8),
    "lower left": (-0.75, 0.8),
}


def project(points, view, width, height):
    """Where points fall in a picture: px from its left and top, nearness to the reader in cm, and how much larger they look.

    points
        (n, 3), in cm
    view
        from where: one of `VIEWS`, with its ``"centre"``, a point in cm that falls into the middle, its ``"reach"``, the cm
        from there to the nearer edge, and its ``"zoom"``; `framed` makes one

    Returns an array (n, 4).

    >>> view = VIEWS["front"] | {"centre": [0, 0, 0], "reach": 20, "zoom": 1}
    >>> project([(0, 0, 10)], view, 400, 300).round(9).tolist()
    [[200.0, 75.0, 0.0, 1.0]]
    """
    away = np.asarray(points, dtype=float) - view["centre"]
    right, up, back = axes(view)
    nearness = away @ back
    eye = view["eye"] * view["reach"]
    larger = eye / np.maximum(eye - nearness, _NEAREST * eye) if eye else np.ones_like(nearness)
    px = view["zoom"] * min(width, height) / 2 / view["reach"] * larger
    return np.stack([width / 2 + px * (away @ right), height / 2 - px * (away @ up), nearness, larger], axis=-1)


def axes(view):
    """Unit vectors to the right and up in the picture, and towards the reader."""
    turn, tilt = np.radians([view["turn"], view["tilt"]])
    right = np.array([np.cos(turn), np.sin(turn), 0.0])
    back = np.array([np.sin(turn) * np.cos(tilt), -np.cos(turn) * np.cos(tilt), np.sin(tilt)])
    return right, np.cross(back, right), back


def square_to(normal, across):
    """The view square to a plane in which a direction along it, `across`, goes right; from above where that is no matter."""
    x, y, z = normal / np.linalg.norm(normal)
    turn = np.degrees(np.arctan2(x, -y)) if np.hypot(x, y) > 1e-9 else 0.0
    view = {"turn": float(turn), "tilt": float(np.degrees(np.arcsin(np.clip(z, -1, 1)))), "eye": 0}
    rightwards = axes(view)[0] @ across
    if rightwards < -1e-9 or (abs(rightwards) <= 1e-9 and z < 0):
        return view | {"turn": float((turn + 360) % 360 - 180), "tilt": -view["tilt"]}
    return view


def framed(points, view, shape=1.0, room=0.86):
    """A view in which points (n, 3) fill `room` of a picture `shape` times as wide as high, and no more.

    >>> view = framed([(-10, 0, 0), (10, 0, 10)], VIEWS["front"], room=1)
    >>> np.round(view["centre"], 6).tolist(), round(view["reach"], 6)
    ([0.0, 0.0, 5.0], 10.0)
    """
    points = np.asarray(points, dtype=float)
    right, up, _ = axes(view)
    halves = np.array([max(shape, 1), max(1 / shape, 1)])  # of the picture, in halves of its shorter side
    view = view | {"zoom": 1, "centre": points.mean(axis=0), "reach": np.ptp(points, axis=0).max() or 1.0}
    for _ in range(30):  # settles fast: twice as far is nearly half as large
        seen = project(points, view, 2, 2)[:, :2] - 1
        x, y = middle = (seen.min(axis=0) + seen.max(axis=0)) / 2
        view["centre"] = view["centre"] + (x * right - y * up) * view["reach"]
        view["reach"] *= np.max(np.abs(seen - middle) / halves) / room
    return view | {"centre": view["centre"].round(6).tolist(), "reach": round(float(view["reach"]), 6)}


def space_figure(items, view, width=560, height=500):
    """A scene from a view (see `framed`) as a flat plotly figure, its traces named as the items, the farthest first.

    The axes are in px.

    >>> from ergokit.figures.scene import scene, extent
    >>> from ergokit import Placement
    >>> placement = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))
    >>> figure = space_figure(scene(placement), framed(extent(placement), VIEWS["side"]))
    >>> [trace.name for trace in figure.data if trace.name.startswith("left shaft")]
    ['left shaft, outside', 'left shaft, inside']
    """
    parts, view = [], kept_in(items, view, width, height)
    for name, item in pieces(items):
        kind = next(iter(item))
        if kind == "label" or not item["at"]:
            continue
        for polygon in item["at"] if kind == "face" else [item["at"]]:
            seen = project([(np.nan,) * 3 if point is None else point for point in polygon], view, width, height)
            order = -np.inf if item[kind] == "grid" else np.nanmean(seen[:, 2]) + _AHEAD * (kind == "mark")
            parts.append((order, _trace(name, kind, item[kind], seen)))
    figure = go.Figure([trace for _, trace in sorted(parts, key=lambda part: part[0])])
    notes = [_note(item, x, y) for item, (x, y) in place_labels(items, view, width, height)]
    plain = {"visible": False, "fixedrange": True}
    figure.update_layout(
        **PLAIN,
        width=width,
        height=height,
        margin={"l": 0, "r": 0, "t": 0, "b": 0},
        xaxis=plain | {"range": (0, width), "constrain": "domain"},
        yaxis=plain | {"range": (height, 0), "scaleanchor": "x", "constrain": "domain"},
        annotations=notes,
    )
    return figure


def kept_in(items, view, width, height):
    """The view drawn back just so far that every sign would stay in the picture if the reader had not zoomed."""
    signs = [project(item["at"], view | {"zoom": 1}, width, height)[:, :2] for item in items.values() if "mark" in item]
    off = float(np.abs(np.vstack([np.empty((0, 2)), *signs]) / (width, height) - 0.5).max(initial=0))
    return view | {"zoom": view["zoom"] / max(1.0, off / (_ROOM / 2))}


def pieces(items):
    """Name and item of all that is drawn: a sheet as the lines and faces it is made of."""
    for name, item in items.items():
        if "sheet" in item:
            look, lines = item["sheet"], item["at"]
            yield name, {"face": look, "at": [[*line, *after[::-1]] for line, after in pairwise(lines)]}
            yield from ((name, {"line": look, "at": line}) for line in lines)
            yield from ((name, {"line": f"{look} rim", "at": line}) for line in item["rims"])
        else:
            yield name, item


def place_labels(items, view, width, height):
    """Where labels go: pairs of label and its middle in px, off the marks, the shafts and each other, inside the picture."""
    taken = []
    for item in items.values():
        kind = next(iter(item))
        if kind == "mark":
            half = LOOKS["marks"][item[kind]]["size"] / 2
            taken += [(x, y, half, half) for x, y, *_ in project(item["at"], view, width, height)]
        elif kind == "line" and item[kind].endswith("side"):
            start, end = project(item["at"], view, width, height)[:, :2]
            taken += [(*(start + share * (end - start)), 3, 3) for share in np.linspace(0.1, 0.9, 7)]
    placed = []
    for item in items.values():
        if not item.get("text"):
            continue
        size = LOOKS["labels"][item["label"]]["size"]
        half = _LETTER / 2 * size * len(item["text"]), 0.6 * size
        [(x, y, *_)] = project(item["at"], view, width, height)
        ways = sorted(_WAYS.values(), key=lambda way: -np.dot(way, _WAYS[item["side"]]))
        places = [_beside(x, y, way, half, far, width, height) for far in _RINGS for way in ways]
        costs = [_overlap(place, half, taken) + 50 * moved for place, moved in places]
        (x, y), _ = places[int(np.argmin(costs))]
        taken.append((x, y, *half))
        placed.append((item, (x, y)))
    return placed


def _beside(x, y, way, half, far, width, height):
    """The middle of a label on one side of a point, kept inside the picture, and by how many px it was moved for that."""
    wanted = np.array([x + way[0] * (half[0] + 9 + _GAP * far), y + way[1] * (half[1] + 9 + _GAP * far)])
    inside = np.clip(wanted, [half[0] + 2, half[1] + 2], [width - half[0] - 2, height - half[1] - 2])
    return inside, float(np.abs(wanted - inside).sum())


def _overlap(place, half, taken):
    """Square px that a label covers of what it must not cover."""
    x, y, wide, high = np.array(taken, dtype=float).reshape(-1, 4).T
    across = np.maximum(np.minimum(x + wide, place[0] + half[0]) - np.maximum(x - wide, place[0] - half[0]), 0)
    down = np.maximum(np.minimum(y + high, place[1] + half[1]) - np.maximum(y - high, place[1] - half[1]), 0)
    return float(across @ down)


def _trace(name, kind, look, seen):
    x, y, _, larger = seen.T
    style = LOOKS[f"{kind}s"][look]
    colour = PALETTE[style["colour"]][0]
    if kind == "face":
        return go.Scatter(
            name=name, x=x, y=y, mode="lines", line={"width": 0}, fill="toself", fillcolor=colour, opacity=style["opacity"],
            hoverinfo="skip",
        )  # fmt: skip
    if kind == "mark":
        size = style["size"] * float(larger.mean())
        marker = {"symbol": style["shape"] + "-open" * style["open"], "color": colour, "size": size}
        marker["line"] = {"width": 3, "color": colour} if style["open"] else {"width": 1.5, "color": PALETTE["edge"][0]}
        return go.Scatter(name=name, x=x, y=y, mode="markers", marker=marker, hoverinfo="skip")
    dash = ",".join(f"{px}px" for px in style["dash"]) or "solid"
    line = {"color": colour, "width": style["width"] * float(np.nanmean(larger)), "dash": dash}
    return go.Scatter(name=name, x=x, y=y, mode="lines", line=line, hoverinfo="skip")


def _note(item, x, y):
    look = LOOKS["labels"][item["label"]]
    text = f"<b>{item['text']}</b>" if look["bold"] else item["text"]
    font = {"size": look["size"], "color": PALETTE[look["colour"]][0]}
    return {"text": text, "x": x, "y": y, "showarrow": False, "font": font, "bgcolor": "rgba(255,255,255,0.6)", "borderpad": 0}

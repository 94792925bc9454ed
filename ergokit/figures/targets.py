"""Many targets and one pair of ports: a plan of the surface, the front of what is given up, and the turn of a shaft."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd
import plotly.graph_objects as go
from numpy.typing import ArrayLike

from ergokit._check import (
    a,
    a_front,
    a_text,
    checked,
    flag,
    instance,
    lengths,
    one,
    one_point,
    pixels,
    points,
    refused,
    shaped,
    target_points,
)
from ergokit.figures.plain import lifted, line, traces, xy
from ergokit.figures.style import (
    CARD,
    GREEN,
    GREY,
    INK,
    LEFT,
    ORANGE,
    PLAIN,
    PURPLE,
    RIGHT,
    sign,
    sign_of,
    target_sign,
    to_scale,
)
from ergokit.guidance.studies import advised
from ergokit.surfaces import Surface
from ergokit.triangulation import manipulation_angle

_ROOM = 2.0  # cm round the surface
_TALLEST = 420  # px
_LETTER, _HIGH = 0.72, 1.6  # cm, how wide a letter and how high a line of the words at a target are, about
_MARK = 0.7  # cm, half of a mark
_PLACES = {  # which way the words are from their target, and the middle of words without width, in cm
    "bottom center": ((0, 0), (0.0, -1.8)),
    "top center": ((0, 0), (0.0, 1.8)),
    "middle right": ((1, 0), (1.0, 0.0)),
    "middle left": ((-1, 0), (-1.0, 0.0)),
}
_CROWDED = 12  # targets beyond which only their names are written
# Of how good a place is, in steps of 5 degrees: greens while it can be in the advised range, greys beyond.
SHADES = ("#66C5A9", "#A5DBCB", "#DDF1EB", "#E6E7E9", "#CBCED2", "#ADB2B8")


def _length(name, value):
    return one(name, value, lengths)


def _names(name, value):
    return [a_text(name, each) for each in instance(name, value, "a list of names", list, tuple, pd.Series)]


def _ports(name, value):
    pair = points(name, value)
    if pair.shape != (2, 3):
        raise refused(name, "two points (2, 3)", problem=shaped(pair))
    return pair


@checked(surface=a(Surface), targets=target_points, names=_names, ports=_ports, camera=one_point, numbers=flag, width=pixels)
def targets_figure(
    surface: Surface,
    targets: ArrayLike,
    names: Sequence[str] | None = None,
    ports: ArrayLike | None = None,
    camera: ArrayLike | None = None,
    focus: int = 0,
    numbers: bool = True,
    width: float = 490,
) -> go.Figure:
    """A plan of a surface seen from above, with `targets` (n, 3), a pair of `ports` (2, 3) and the camera, where there are any.

    Each target is marked by whether its angle in space lies in the advised range: green with a tick, or orange with a cross.
    L and R are the ports, C is the camera. The shafts go to target number `focus`.

    >>> from ergokit.surfaces import FlatBox
    >>> figure = targets_figure(FlatBox(40, 30, 18), [(0, 0, 0), (0, 14, 0)], ports=[(-10, 0, 18), (10, 0, 18)])
    >>> next(trace for trace in figure.data if trace.name == "in range").text
    ('✓ 1: 58.1°', '✓ 2: 47.4°')
    """
    return go.Figure(plain_targets(surface, targets, names, ports, camera, focus, numbers, width=width))


def plain_targets(
    surface, targets, names=None, ports=None, camera=None, focus=0, numbers=True, others=(), places=None, width=490
):
    """The same as plain data.

    `others` are further pairs as `BestPorts.runners_up` has them; `places` how good a port can be where, as x and y of a grid
    and values (y, x) in degrees, to be shaded below.
    """
    targets = np.atleast_2d(np.asarray(targets, dtype=float))
    if names is not None and len(names) != len(targets):
        raise refused("names", f"one name for each of the {len(targets)} targets", names)
    names = [str(i + 1) for i in range(len(targets))] if names is None else list(names)
    edge, floor = surface.outline(), surface.bounds()
    corners = np.array([floor[0], [floor[1, 0], floor[0, 1], 0], floor[1], [floor[0, 0], floor[1, 1], 0], floor[0]])
    parts = {name: {"x": [], "y": []} for name in _PARTS} | {"floor": xy(corners), "surface": xy(edge)}
    if camera is not None:
        parts["camera"] = xy(camera)
    inside = np.zeros(len(targets), bool)
    if ports is None:
        parts["without ports"] = xy(targets) | {"text": names}
    else:
        ports = np.asarray(ports, dtype=float)
        angles = manipulation_angle(*ports, targets)
        low, high = advised("manipulation angle")
        inside = (angles >= low) & (angles <= high)
        told = numbers and len(targets) <= _CROWDED
        words = [
            f"{'✓' if good else '✗'} {name}{f': {angle:.1f}°' if told else ''}"
            for name, angle, good in zip(names, angles, inside, strict=True)
        ]
        along = np.linspace(ports, targets[focus], 12).reshape(-1, 3)  # the shafts, ports included
        where = _roomiest(targets, words, [*along, *([] if camera is None else [camera])])
        for name, which in (("in range", inside), ("out of range", ~inside)):
            parts[name] = xy(targets[which]) | {"text": np.array(words)[which].tolist(), "textposition": where[which].tolist()}
        for side, port in zip(("left", "right"), ports, strict=True):
            parts[f"{side} port"] = xy(port)
            parts[f"{side} shaft"] = xy(np.stack([port, targets[focus]]))
        parts["target in focus"] = xy(targets[focus])
    if others:
        left, right = np.stack([(other.left_port, other.right_port) for other in others], axis=1)
        parts |= {"left port, others": xy(left), "right port, others": xy(right)}
        middles = (left + right) / 2
        parts["others"] = xy(lifted(np.stack([left, right], axis=1)))
        parts["misses of the others"] = xy(middles) | {
            "text": [f"{other.worst_deviation:.1f}°" if numbers else "" for other in others]
        }
    x, y, values = ([], [], []) if places is None else places
    low, high = floor[0, :2] - _ROOM, floor[1, :2] + _ROOM
    axis = {"fixedrange": True, "dtick": 5, "gridcolor": "#DDDDDD", "zeroline": False, "constrain": "domain"}
    layout = PLAIN | {
        "width": width,
        "height": min(round((width - 55) * (high - low)[1] / (high - low)[0]) + 45, _TALLEST),
        "margin": {"l": 50, "r": 5, "t": 5, "b": 40},
        "xaxis": axis | {"title": _titled("x, right (cm)"), "range": (low[0], high[0])},
        "yaxis": axis | {"title": _titled("y, away (cm)"), "range": (low[1], high[1]), "scaleanchor": "x"},
    }
    shaded = _map() | {"x": x, "y": y, "z": values, "visible": places is not None}
    return {"data": [shaded, *traces(_PARTS, parts)], "layout": layout}


@checked(front=a_front, width=pixels, height=pixels)
def front_figure(front: pd.DataFrame, width: float = 640, height: float = 380) -> go.Figure:
    """The least worst deviation under each limit of a table that `search.front` made, with what is proved below it.

    The bar below each square is its bound: no pair is under the bars. The dotted line is how far a target may miss 60 degrees
    and still be in the advised range.

    >>> from ergokit.search import front
    >>> from ergokit.surfaces import FlatBox
    >>> table = front(FlatBox(40, 30, 18), [(-4, 0, 0), (4, 0, 0)], "azimuth difference", [40, 10], camera=(0, -5, 18))
    >>> front_figure(table).layout.xaxis.title.text
    'azimuth difference at most (deg)'
    """
    limit, worst, bound = (front.iloc[:, i].to_numpy(float) for i in range(3))
    low, high = advised("manipulation angle")
    allowed = (high - low) / 2
    space = np.ptp(limit) / max(len(limit) - 1, 1) or 1.0
    span = limit.min() - space / 2, limit.max() + space / 2
    pattern = {"shape": "/", "fgcolor": GREY, "bgcolor": "rgba(0, 0, 0, 0)", "size": 7}
    figure = go.Figure()
    figure.add_bar(
        name="proved",
        x=limit,
        y=bound,
        width=0.5 * np.min(np.abs(np.diff(limit)), initial=2 * space),
        marker={"color": GREY, "pattern": pattern, "line": {"color": GREY, "width": 1}},
        hovertemplate="no pair under %{y:.1f}°<extra></extra>",
    )
    figure.add_scatter(
        name="found",
        x=limit,
        y=worst,
        mode="markers+text",
        textposition="top center",
        text=[f"{value:.1f}°" if np.isfinite(value) else "" for value in worst],
        marker={"symbol": "square", "size": 12, "color": INK},
        hovertemplate="found: %{y:.1f}°<extra></extra>",
    )
    figure.add_scatter(name="range", x=span, y=[allowed] * 2, mode="lines", line={"color": GREEN, "dash": "dot", "width": 3})
    figure.add_annotation(
        x=span[1],  # where the loosest limit leaves room above its bar
        y=allowed,
        text=f"a miss of more is outside {low:g} to {high:g}",
        showarrow=False,
        xanchor="right",
        yanchor="bottom",
    )
    figure.update_layout(
        **PLAIN,
        width=width,
        height=height,
        margin={"l": 70, "r": 10, "t": 10, "b": 55},
        xaxis={"title": front.columns[0], "range": span, "fixedrange": True, "tickvals": limit, "zeroline": False},
        yaxis={
            "title": "worst deviation (degrees)",
            "range": (0, 1.2 * np.nanmax([*worst, *bound[np.isfinite(bound)], allowed])),
            "fixedrange": True,
            "gridcolor": "#DDDDDD",
        },
    )
    return figure


@checked(length=_length, moved=_length, width=pixels)
def turn_figure(length: float, moved: float, width: float = 640) -> go.Figure:
    """A shaft of `length` cm whose port moves by up to `moved` cm: how far it can turn about its target.

    ValueError where `moved` is not less than `length`.

    >>> turn_figure(24, 3).layout.annotations[0].text
    'at most 7.2°'
    """
    if not 0 < moved < length:
        raise refused("moved", f"more than 0 and less than the length of {length:g} cm", moved)
    turn = np.arcsin(moved / length)
    around = np.linspace(0, 2 * np.pi, 73)
    touch = np.sqrt(length**2 - moved**2) * np.array([np.cos(turn), np.sin(turn)])
    arc = np.linspace(0, turn, 20)
    figure = go.Figure(
        [
            _line("where the port can be", length + moved * np.cos(around), moved * np.sin(around), LEFT["colour"], 2, "dot"),
            _line("shaft", (0, length), (0, 0), LEFT["colour"], 8),
            *(_line("turned", (0, touch[0]), (0, way * touch[1]), LEFT["colour"], 3) for way in (1, -1)),
            _line("the move", (length, touch[0]), (0, touch[1]), GREY, 2),
            _line("turn", 0.6 * length * np.cos(arc), 0.6 * length * np.sin(arc), GREEN, 5),
            go.Scatter(name="port", x=[length], y=[0], mode="markers", marker=sign_of(LEFT, 14)),
            go.Scatter(name="target", x=[0], y=[0], mode="markers", marker=target_sign(18)),
        ]
    )
    low, high = -0.12 * length, length + moved + 0.05 * length
    tall = 1.35 * moved
    figure.update_layout(to_scale(width, max(round(width * 2 * tall / (high - low)), 40), (low, high), (-tall, tall)))
    figure.update_traces(hoverinfo="skip")
    write = {"showarrow": False}
    figure.add_annotation(
        x=0.6 * length,
        y=0.6 * length * np.sin(turn / 2),
        text=f"at most {np.degrees(turn):.1f}°",
        xanchor="left",
        xshift=4,
        font={"size": 16},
        **write,
    )
    figure.add_annotation(x=0, y=0, text="target", yanchor="top", yshift=-10, **write)
    figure.add_annotation(x=length, y=0, text="port", yanchor="top", yshift=-10, **write)
    figure.add_annotation(x=length / 2, y=0, text=f"{length:g} cm", yanchor="top", yshift=-6, bgcolor="white", **write)
    figure.add_annotation(x=(length + touch[0]) / 2, y=touch[1] / 2, text=f"{moved:g} cm", xanchor="left", xshift=5, **write)
    return figure


def _titled(words):
    return {"text": words, "standoff": 4, "font": {"size": 13}}


def _roomiest(targets, words, others):
    """Where the words at each target go: where they cover the least of marks and shafts, below it first."""
    way = np.concatenate([targets, np.reshape(others, (-1, 3))])[:, :2] - targets[:, None, :2]
    half = np.array([(_LETTER / 2 * len(each), _HIGH / 2) for each in words])
    covered = [
        (np.abs(way - (aside * half + middle)[:, None]) < half[:, None] + _MARK).all(axis=-1).sum(axis=1)
        for aside, middle in _PLACES.values()
    ]
    return np.array(list(_PLACES))[np.argmin(covered, axis=0)]


def _line(name, x, y, colour, width, dash="solid"):
    return go.Scatter(name=name, x=x, y=y, mode="lines", line={"color": colour, "width": width, "dash": dash})


def _map():
    """Filled in steps, half of them within the advised range."""
    low, high = advised("manipulation angle")
    count = len(SHADES)
    step = (high - low) / count
    return {
        "name": "how good a port can be",
        "type": "contour",
        "zmin": 0,
        "zmax": step * count,
        "colorscale": [(share, shade) for i, shade in enumerate(SHADES) for share in (i / count, (i + 1) / count)],
        "contours": {"start": step, "end": step * (count - 1), "size": step},
        "showscale": False,
        "line": {"width": 0},
        "opacity": 0.8,
        "hovertemplate": "a port at %{x:.0f}, %{y:.0f} cm: at best %{z:.1f}° off<extra></extra>",
    }


def _lettered(symbol, colour, size, letter, name):
    marker = {"symbol": symbol, "color": "white", "size": size, "line": {"color": colour, "width": 3}}
    looks = {"mode": "markers+text", "marker": marker, "text": [f"<b>{letter}</b>"], "textfont": {"size": 12}}
    return looks | {"hovertemplate": f"{name}: %{{x:.1f}}, %{{y:.1f}} cm<extra></extra>"}


def _target(symbol, colour):
    looks = {"mode": "markers+text", "marker": sign(symbol, colour, 14), "textposition": "bottom center"}
    return looks | {"textfont": {"size": 12}, "hoverinfo": "skip"}


def _dashes(colour, width, dash):
    return line(colour, width, dash) | {"hoverinfo": "skip"}


def _hollow(side):
    marker = sign(f"{side['marker']}-open", side["colour"], 10, side["colour"])
    return {"mode": "markers", "marker": marker, "hoverinfo": "skip"}


_PARTS = {
    "floor": _dashes(GREY, 2, "dot"),
    "surface": _dashes(CARD, 4, "solid"),
    "others": _dashes(GREY, 1, "dash"),
    "left port, others": _hollow(LEFT),
    "right port, others": _hollow(RIGHT),
    "misses of the others": {"mode": "text", "textfont": {"color": INK, "size": 12}, "hoverinfo": "skip"},
    "left shaft": _dashes(LEFT["colour"], 4, "solid"),
    "right shaft": _dashes(RIGHT["colour"], 4, "solid"),
    "target in focus": {"mode": "markers", "marker": sign("circle-open", INK, 24), "hoverinfo": "skip"},
    "without ports": _target("circle-cross", "white"),
    "in range": _target("circle-cross", GREEN),
    "out of range": _target("circle-x", ORANGE),
    "camera": _lettered("square", PURPLE, 18, "C", "camera"),
    "left port": _lettered(LEFT["marker"], LEFT["colour"], 20, "L", "left port"),
    "right port": _lettered(RIGHT["marker"], RIGHT["colour"], 22, "R", "right port"),
}

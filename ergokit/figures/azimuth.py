"""What the words elevation and azimuth mean: each angle on one placement, drawn where its true size is seen."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from ergokit._check import a, checked, pixels
from ergokit.figures.labels import Label, written
from ergokit.figures.space import framed, project, square_to
from ergokit.figures.style import GREEN, GREY, INK, LEFT, PURPLE, RIGHT, sign, sign_of, target_sign, to_scale
from ergokit.placement import Placement
from ergokit.triangulation import azimuth_angles, elevation_angle, instrument_plane_tilt, manipulation_angle, plan_angle

_HEAD, _GAP = 48, 16  # px: for the title of a drawing, and between two
_LOW = {"turn": -66, "tilt": 13, "eye": 0}  # from the operator's left, low enough to tell the elevations from the tilt
_ROOM = 0.76  # the share of a drawing that lines fill: the words stand about them
_SHEET, _FLOOR = "rgba(0, 158, 115, 0.2)", "rgba(118, 118, 118, 0.15)"


@checked(placement=a(Placement), width=pixels, height=pixels)
def elevations_and_azimuths_figure(placement: Placement, width: float = 860, height: float = 330) -> go.Figure:
    """The elevations, the tilt and the azimuths of a placement, on its first target, in three drawings.

    Both elevations and the tilt are drawn in space, seen from the left; the azimuths in the working plane from straight above
    it, and those in the instruments' plane from where that plane is seen square on.

    >>> figure = elevations_and_azimuths_figure(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16)))
    >>> [note.text for note in figure.layout.annotations if "°" in note.text][2]
    '<b>tilt 50.2°</b>'
    """
    figure, wide, high = go.Figure(), (width - 2 * _GAP) / 3.3, height - _HEAD
    panels = [(0, 1.3 * wide, high), (1.3 * wide + _GAP, wide, high), (2.3 * wide + 2 * _GAP, wide, high)]
    _elevations(figure, placement, *panels[0])
    _azimuths(figure, placement, "working", *panels[1])
    _azimuths(figure, placement, "instruments", *panels[2])
    titles = (
        "<b>Elevation of each shaft, and the tilt:</b><br>seen from your left, over the working plane",
        "<b>Azimuth in the working plane:</b><br>seen from straight above it",
        "<b>Azimuth in the instruments' plane:</b><br>seen square to it",
    )
    for (start, *_), title in zip(panels, titles, strict=True):
        figure.add_annotation(x=start, y=height, xanchor="left", yanchor="top", align="left", text=title, showarrow=False)
    figure.update_layout(to_scale(width, height, (0, width), (0, height)))
    return figure


def _elevations(figure, placement, *panel):
    """Each shaft with its shadow straight below it, and the steepest line of the plane of both with its own."""
    ports, target, up, sheet = _geometry(placement)
    level = np.cross(sheet, up)  # where the two planes meet
    steepest = np.cross(level, sheet)
    steepest = target + np.sign(steepest @ up or 1.0) * np.linalg.norm(ports.mean(axis=0) - target) * _unit(steepest)
    ahead = np.cross(up, level)
    ahead = ahead * np.sign(ahead @ (steepest - target) or 1.0)
    shadows, below = _onto(ports, target, up), _onto(steepest, target, up)
    plane = _patch(np.vstack([shadows, [target]]), up)
    draw = _Drawing(figure, _LOW, np.vstack([ports, plane]), *panel)
    draw.fill(plane, _FLOOR)
    draw.fill([target, *ports, target], _SHEET)
    size = np.linalg.norm(ports - target, axis=1).min()
    for port, shadow, side in zip(ports, shadows, (LEFT, RIGHT), strict=True):
        draw.line([port, shadow], GREY, 1.5, "dot")
        draw.line([target, shadow], side["colour"], 1.5, side["dash"])
        angle = elevation_angle(port, target, normal=up)
        draw.arc(target, shadow, port, 0.62 * size, side["colour"], f"{side['word']} {angle:.1f}°")
    draw.line([steepest, below], GREY, 1.5, "dot")
    draw.line([steepest, target, below], INK, 1.5)
    tilt = instrument_plane_tilt(*ports, target, normal=up)
    draw.arc(target, target + ahead, steepest, 0.36 * size, GREEN, f"tilt {tilt:.1f}°")
    draw.shafts(ports, target)
    draw.words()


def _azimuths(figure, placement, plane, *panel):
    """Both shafts and the optical axis as they lie in a plane."""
    ports, target, up, sheet = _geometry(placement)
    normal = up if plane == "working" else sheet
    back = placement.camera
    if placement.aim is not None:
        back = target - np.linalg.norm(placement.camera - target) * _unit(placement.aim)
    flat, axis = _onto(ports, target, normal), _onto(back, target, normal)
    draw = _Drawing(figure, square_to(normal, ports[1] - ports[0]), np.vstack([flat, [axis, target]]), *panel)
    draw.line([target, axis], PURPLE, 2.5, "dot")
    size = np.linalg.norm(flat - target, axis=1).min()
    whole = plan_angle(*ports, target, normal=up) if plane == "working" else manipulation_angle(*ports, target)
    both = azimuth_angles(*ports, target, placement.camera, plane, normal=placement.normal, aim=placement.aim)
    for port, side, angle in zip(flat, (LEFT, RIGHT), both, strict=True):
        draw.arc(target, port, axis, 0.55 * size, side["colour"], f"{angle:.1f}°")
    draw.arc(target, *flat, 0.35 * size, GREEN, f"together {whole:.1f}°")
    draw.shafts(flat, target)
    draw.mark(axis, sign("square", PURPLE, 12), "lens")
    draw.words()


class _Drawing:
    """One drawing of a figure: space seen from `view`, as large as `points` let it be, in a frame `start` px from the left."""

    def __init__(self, figure, view, points, start, width, height):
        self.figure, self.start, self.size = figure, start, (width, height)
        self.view = framed(points, view, width / height, _ROOM)
        self.labels, self.strokes, self.marks = [], [], []

    def px(self, points):
        """Where points (n, 3) are in the figure, (n, 2)."""
        seen = project(points, self.view, *self.size)[:, :2]
        return seen * [1, -1] + [self.start, self.size[1]]

    def line(self, points, colour, width, dash="solid", **more):
        x, y = self.px(points).T
        look = {"color": colour, "width": width, "dash": dash}
        self.figure.add_scatter(x=x, y=y, mode="lines", line=look, hoverinfo="skip", **more)
        self.strokes.append(np.column_stack([x, y]))

    def fill(self, points, colour):
        x, y = self.px(points).T
        look = {"line": {"width": 0}, "fill": "toself", "fillcolor": colour}
        self.figure.add_scatter(x=x, y=y, mode="lines", hoverinfo="skip", **look)

    def mark(self, point, marker, word=""):
        [(x, y)] = self.px([point])
        self.figure.add_scatter(x=[x], y=[y], mode="markers", marker=marker, hoverinfo="skip")
        self.marks.append((x, y))
        self.labels.append(Label(word, [(x, y)], (0, 1), 13))

    def arc(self, centre, start, end, radius, colour, text):
        """The angle at a centre from one point to another, at `radius` cm."""
        ways = _unit(np.array([start, end]) - centre)
        if np.linalg.norm(ways.sum(axis=0)) < 1e-6 or np.isnan(ways).any():
            return  # in one line, or no direction: there is no arc to draw
        between = np.linspace(1, 0, 25)[:, None] * ways[0] + np.linspace(0, 1, 25)[:, None] * ways[1]
        self.line(centre + radius * _unit(between), colour, 4)
        places = self.px(centre + radius * _unit(between[[12, 8, 16, 4, 20]]))
        self.labels.append(Label(f"<b>{text}</b>", places, places[0] - self.px([centre])[0], 13))

    def shafts(self, ports, target):
        for port, side in zip(ports, (LEFT, RIGHT), strict=True):
            self.line([target, port], side["colour"], 5, side["dash"])
        for port, side in zip(ports, (LEFT, RIGHT), strict=True):
            self.mark(port, sign_of(side, 13), side["word"])
        self.mark(target, target_sign(15))

    def words(self):
        frame = np.array([(self.start, 0), (self.start + self.size[0], self.size[1])])
        notes = written(self.labels, frame, self.strokes, self.marks)
        self.figure.layout.annotations += tuple(note | {"bgcolor": "rgba(255, 255, 255, 0.8)"} for note in notes)


def _geometry(placement):
    """Both ports (2, 3), the first target, and the normals of the working plane and of the instruments' plane."""
    ports, target = np.stack([placement.left_port, placement.right_port]), placement.targets[0]
    up = _unit(np.array([0.0, 0.0, 1.0] if placement.normal is None else placement.normal))
    return ports, target, up, _unit(np.cross(*(ports - target)))


def _unit(vectors):
    with np.errstate(invalid="ignore"):
        return vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)


def _onto(points, target, normal):
    """Points moved straight onto the plane through the target."""
    return points - ((points - target) @ normal)[..., None] * normal


def _patch(points, up):
    """The corners of a rectangle in a plane, 1 cm about points of it, closed."""
    level = _unit(np.cross([0.0, 1.0, 0.0], up))
    away = np.cross(up, level)
    along = np.stack([level, away])
    (left, near), (right, far) = (points @ along.T).min(axis=0) - 1, (points @ along.T).max(axis=0) + 1
    corners = np.array([(left, near), (right, near), (right, far), (left, far), (left, near)])
    return corners @ along + (points[0] @ up) * up

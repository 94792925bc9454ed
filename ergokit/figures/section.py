"""A section through the middle of a box, to scale: the camera hole, where the camera looks, how wide, and where that lands."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from ergokit._check import a, checked, flag, pixels
from ergokit.figures.labels import Label, written
from ergokit.figures.monitor import camera_of
from ergokit.figures.plain import lifted, traces, xy
from ergokit.figures.style import CARD, GREY, PURPLE, target_sign, to_scale
from ergokit.placement import Placement
from ergokit.surfaces import FlatBox, WedgeBox
from ergokit.triangulation import working_distance


@checked(placement=a(Placement), box=a(WedgeBox, FlatBox), numbers=flag, width=pixels)
def section_figure(
    placement: Placement,
    box: WedgeBox | FlatBox,
    numbers: bool = True,
    width: float = 500,
    field_of_view: float = 70,
    shape: float = 4 / 3,
    close_focus: float = 0,
) -> go.Figure:
    """The plane x = 0 of a box that lies on the floor: its outline, the ports, the lens, its axis and field, the target.

    `box` is one of `ergokit.surfaces`. The wedge between the dashed lines is what the height of the picture shows; the
    dotted line across it is the nearest place that is sharp. A scope's shaft is drawn from its tip to its port. The optics are
    those of `monitor_figure`.

    >>> from ergokit.surfaces import WedgeBox
    >>> box = WedgeBox(50, 40, 30)
    >>> from ergokit import Placement
    >>> flat = Placement(box.point(-8, 15), box.point(8, 15), (0, -2, 0), box.point(0, 20), aim=-box.normal(0, 20))
    >>> [note.text for note in section_figure(flat, box).layout.annotations if "axis" in note.text]
    ["axis 25.0 cm from the panel's foot"]
    """
    return go.Figure(plain_section(placement, box, numbers, width, field_of_view, shape, close_focus))


def plain_section(placement, box, numbers=True, width=500, field_of_view=70, shape=4 / 3, close_focus=0):
    """The same as plain data."""
    (_, low, _), (_, high, top) = box.bounds()
    left, right, bottom, over = low - 3, high + 3, -7.0, top + 3
    camera = camera_of(placement, field_of_view=field_of_view, shape=shape, close_focus=close_focus)
    lens, target, port = placement.camera, placement.targets[0], placement.left_port
    middle, upper, lower = camera.on_plane([(0, 0), (0, 1 / camera.shape), (0, -1 / camera.shape)])
    half = np.tan(np.radians(camera.vertical_field_of_view) / 2) * camera.close_focus
    nearest = lens + camera.close_focus * camera.axis + half * np.array([[-1.0], [1.0]]) * camera.up
    edges = [lens, *(_lands(edge, lens, camera, side) for edge, side in ((upper, 1), (lower, -1)))]
    parts = {
        "floor": np.array([[0, low - 3, 0], [0, high + 3, 0]]),
        "box": box_in_section(box),
        "field": np.stack([edges[1], edges[0], edges[2]]),
        "nearest sharp": nearest,
        "axis": np.stack([lens, _lands(middle, lens, camera, 0)]),
        "working distance": np.stack([lens, target]),
        "port": port[None],
        "scope": np.stack([lens, placement.camera_hole]),
        "lens": lens[None],
        "target": target[None],
    }
    drawn = {name: points[:, 1:] for name, points in parts.items()}
    landing = f"axis {middle[1] - low:.1f} cm from the panel's foot" if np.isfinite(middle).all() else ""
    distance = f"{working_distance(lens, target):.1f} cm"
    scale = width / (right - left)  # px to a cm

    def near(text, places, towards, **looks):
        return Label(text, np.atleast_2d(places)[:, 1:], towards, **looks)

    shares = np.array([0.5, 0.4, 0.6, 0.3, 0.7])[:, None]
    words = [
        near("target", target, (0, -1)),
        near(distance if numbers else "?", lens + shares * (target - lens), (1, 0), letters=20),
        near("ports", port, (-1, 1)),
        near("lens" if placement.scope is None else "scope's tip", lens, (-1, 1)),
        near((landing if numbers else "the axis lands here") if landing else "", middle, (0, -1)),
    ]
    lines = [drawn[name] for name in ("floor", "box", "axis", "working distance", "scope")]
    marks = np.stack([port, lens, target])[:, 1:]
    said = written(words, ((left, bottom), (right, over)), lines, marks, scale)
    layout = to_scale(width, round(scale * (over - bottom)), (left, right), (bottom, over))
    layout["annotations"] = [note | _CHIP for note in said]
    return {"data": traces(_PARTS, {name: xy(points) for name, points in drawn.items()}, hoverinfo="skip"), "layout": layout}


def _lands(point, lens, camera, side):
    """Where a line of sight meets the floor, or a point far along it where it does not."""
    if np.isfinite(point).all():
        return point
    along = camera.axis + side * np.tan(np.radians(camera.vertical_field_of_view) / 2) * camera.up
    return lens + 200 * along


def box_in_section(box):
    """The box's faces where x = 0: each face's outline cut at its middle."""
    sides = []
    for face in box.faces:
        outline = box.outline_uv(face)
        v = np.array([outline[:, 1].min(), outline[:, 1].max()])
        sides.append(box.point(0 * v, v, face))
    return lifted(sides)


_PARTS = {
    "floor": {"mode": "lines", "line": {"color": GREY, "width": 2}},
    "box": {"mode": "lines", "line": {"color": CARD, "width": 6}},
    "field": {"mode": "lines", "line": {"color": PURPLE, "width": 2, "dash": "dash"}},
    "nearest sharp": {"mode": "lines", "line": {"color": PURPLE, "width": 2, "dash": "dot"}},
    "axis": {"mode": "lines", "line": {"color": PURPLE, "width": 4}},
    "working distance": {"mode": "lines", "line": {"color": GREY, "width": 3, "dash": "dashdot"}},
    "port": {"mode": "markers", "marker": {"symbol": "circle", "color": GREY, "size": 13}},
    "scope": {"mode": "lines", "line": {"color": PURPLE, "width": 6}},
    "lens": {"mode": "markers", "marker": {"symbol": "square", "color": PURPLE, "size": 14}},
    "target": {"mode": "markers", "marker": target_sign(16)},
}
_CHIP = {"bgcolor": "rgba(255, 255, 255, 0.75)"}

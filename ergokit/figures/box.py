"""A designed box in space: its placement in the scene, the phone on its panel, and where the picture falls on the floor."""

import numpy as np
import plotly.graph_objects as go

from ergokit._check import a, checked, flag, pixels
from ergokit.design import BoxDesign
from ergokit.figures.scene import scene, update_scene
from ergokit.figures.style import GREY, INK, PURPLE

_VIEW = {
    "eye": {"x": -0.48, "y": -1.25, "z": 0.58},  # over the left shoulder, high enough to see the floor through the panel
    "center": {"x": 0, "y": -0.05, "z": -0.12},
    "up": {"x": 0, "y": 0, "z": 1},
}


@checked(design=a(BoxDesign), numbers=flag, width=pixels, height=pixels)
def box_figure(design, numbers=True, width=510, height=500):
    """A 3D figure of a `BoxDesign`: what `scene` shows, the box, the phone lying on it and the picture on the floor.

    >>> from ergokit.design import design_box
    >>> from ergokit.surfaces import WedgeBox
    >>> figure = box_figure(design_box(WedgeBox(50, 40, 30)))
    >>> [trace.name for trace in figure.data[-3:]]
    ['phone', 'picture on the floor', 'middle of the picture']
    """
    figure = scene(design.placement, numbers=numbers, surface=design.box, width=width, height=height)
    figure.add_traces([go.Scatter3d(name=name, **looks) for name, looks in _PARTS.items()])
    figure.layout.scene.camera = _VIEW
    update_box(figure, design, numbers)
    return figure


def update_box(figure, design, numbers=True, shown=None):
    """Move a figure made by `box_figure` to another design, in one batch; `shown` as for `update_scene`."""
    points = {
        "phone": _phone(design),
        "picture on the floor": _closed(design.camera.picture_on_plane().corners),
        "middle of the picture": design.picture_centre[None],
    }
    more = {name: dict(zip("xyz", each.T.tolist(), strict=True)) for name, each in points.items()}
    update_scene(figure, design.placement, numbers=numbers, surface=design.box, shown=shown, more=more)


def _phone(design):
    """The edges of the phone's body in one line, which goes along some of them twice."""
    left, low, right, high = design.phone.body
    camera = design.camera  # to the right and up in its picture is along and up the panel, also past the panel's edge
    under = camera.position + np.array([(left, low), (right, low), (right, high), (left, high)]) @ [camera.right, camera.up]
    over = under - design.phone.thickness * camera.axis
    a, b, c, d = under
    e, f, g, h = over
    return np.array([a, b, c, d, a, e, f, b, f, g, c, g, h, d, h, e])


def _closed(corners):
    return np.concatenate([corners, corners[:1]])


_PARTS = {
    "phone": {"mode": "lines", "line": {"color": INK, "width": 4}, "hoverinfo": "name"},
    "picture on the floor": {"mode": "lines", "line": {"color": PURPLE, "width": 6}, "hoverinfo": "name"},
    "middle of the picture": {
        "mode": "markers",
        "marker": {"symbol": "x", "color": PURPLE, "size": 5, "line": {"color": GREY, "width": 1}},
        "hoverinfo": "name",
    },
}

"""A designed box in space: its placement in the scene, the phone on its panel, and where the picture falls on the floor."""

from __future__ import annotations

import numpy as np

from ergokit._check import a, checked, flag
from ergokit.design import BoxDesign
from ergokit.figures.layers import item
from ergokit.figures.scene import scene


@checked(design=a(BoxDesign), numbers=flag)
def box_scene(design: BoxDesign, numbers: bool = True) -> dict[str, dict]:
    """The items of a `BoxDesign` in space: what `scene` has, the box, the phone lying on it and the picture on the floor.

    >>> from ergokit.design import design_box
    >>> from ergokit.surfaces import WedgeBox
    >>> list(box_scene(design_box(WedgeBox(50, 40, 30))))[-3:]
    ['phone', 'picture on the floor', 'middle of the picture']
    """
    corners = design.camera.picture_on_plane().corners
    return scene(design.placement, numbers=numbers, surface=design.box) | {
        "phone": item("line", "phone", _phone(design)),
        "picture on the floor": item("line", "picture", np.concatenate([corners, corners[:1]])),
        "middle of the picture": item("mark", "middle", design.picture_centre[None]),
    }


def _phone(design):
    """The edges of the phone's body in one line, which goes along some of them twice."""
    left, low, right, high = design.phone.body
    camera = design.camera  # to the right and up in its picture is along and up the panel, also past the panel's edge
    under = camera.position + np.array([(left, low), (right, low), (right, high), (left, high)]) @ [camera.right, camera.up]
    over = under - design.phone.thickness * camera.axis
    a, b, c, d = under
    e, f, g, h = over
    return np.array([a, b, c, d, a, e, f, b, f, g, c, g, h, d, h, e])

"""The scene for a room: as near as it fits, seen from the operator's shoulder."""

import numpy as np

from ergokit.figures.scene import extent, scene
from ergokit.figures.space import VIEWS, framed, space_figure

_ROOM = 0.82  # the share of the picture that points may fill: labels need the rest


def near_scene(placement, focus=0, width=560, height=400, only=None, also=None, at=(0, 0), more=None, **options):
    """A figure of `scene` with its `options`, as near as it fits; `at` shifts it, in px, beside another.

    Of what is written in it `only` these words stay. `also` are points, in cm, to leave room for; `more` are further items.
    """
    points = extent(placement, focus, options.get("surface"), options.get("layers", ()))
    points = points if also is None else np.vstack([points, also])
    view = framed(points, VIEWS["from the operator"], width / height, _ROOM)
    items = scene(placement, focus, **options) | (more or {})
    kept = {name: item for name, item in items.items() if "label" not in item or only is None or item["text"] in only}
    return space_figure(kept, view, width, height, at)


def joined(*figures):
    """The traces and notes of figures that `near_scene` shifted beside each other, in the layout of the first."""
    first, *others = figures
    for other in others:
        first.add_traces(other.data)
        first.layout.annotations += other.layout.annotations
    return first

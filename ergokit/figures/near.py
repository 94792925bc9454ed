"""The scene for a room: from nearer, without the numbers on its axes, which nobody reads from the back."""

import numpy as np

from ergokit.figures.scene import scene

_EYE, _CENTRE = np.array([-0.32, -0.78, 0.28]), np.array([0.03, 0, -0.2])


def near_scene(placement, focus=0, away=1.0, only=None, **options):
    """A figure of `scene` with its `options`, without axes, seen from nearer, `away` times as far.

    Of what is written in it `only` these words stay.
    """
    figure = scene(placement, focus, **options)
    eye = _CENTRE + away * (_EYE - _CENTRE)
    figure.update_scenes(xaxis_visible=False, yaxis_visible=False, zaxis_visible=False)
    figure.update_scenes(camera_eye=_axes(eye), camera_center=_axes(_CENTRE))
    for note in figure.layout.scene.annotations:
        note.visible = note.visible and (only is None or note.text in only)
    return figure


def _axes(point):
    return dict(zip("xyz", point.tolist(), strict=True))

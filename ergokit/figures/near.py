"""The scene for a room: as near as it fits, without the numbers on its axes, which nobody reads from the back."""

import numpy as np

from ergokit.figures.scene import scene

_BACK = np.array([-0.36, -0.8, 0.48]) / np.linalg.norm([-0.36, -0.8, 0.48])  # to the eye, over the operator's left shoulder
_ACROSS = np.cross([0, 0, 1], _BACK) / np.linalg.norm(np.cross([0, 0, 1], _BACK))
_UP = np.cross(_BACK, _ACROSS)
_HALF = np.tan(np.radians(45) / 2)  # of plotly's perspective, from the middle to the top, for each unit ahead
_ROOM = 0.82  # the share of the picture that points may fill: labels need the rest


def near_scene(placement, focus=0, shape=1.5, only=None, also=None, **options):
    """A figure of `scene` with its `options`, without axes, as near as it fits in a picture `shape` times as wide as high.

    Of what is written in it `only` these words stay. `also` are points, in cm, to leave room for.
    """
    figure = scene(placement, focus, **options)
    figure.update_scenes(xaxis_visible=False, yaxis_visible=False, zaxis_visible=False)
    points = _drawn(figure) if also is None else np.vstack([_drawn(figure), also])
    middle, away = _framed(_in_units(points, figure.layout.scene), shape)
    figure.update_scenes(camera_center=_axes(middle), camera_eye=_axes(middle + away * _BACK))
    for note in figure.layout.scene.annotations:
        note.visible = note.visible and (only is None or note.text in only)
        if note.text == "left hand":  # off the camera, which may stand behind that hand
            note.update(xanchor="right", xshift=-10, yanchor="auto", yshift=0)
    return figure


def _drawn(figure):
    """All visible points, in cm."""
    traces = [trace for trace in figure.data if trace.visible is not False and trace.name != "frame"]
    points = np.concatenate([np.stack([np.asarray(trace[axis], dtype=float) for axis in "xyz"], -1) for trace in traces])
    return points[np.isfinite(points).all(axis=1)]


def _in_units(points, box):
    """In plotly's units, about the middle of the scene."""
    low, high = np.array([box[f"{axis}axis"].range for axis in "xyz"]).T
    return (points - (low + high) / 2) / (high - low) * [box.aspectratio[axis] for axis in "xyz"]


def _framed(points, shape):
    """The point to look at, and from how far, so that the points fill the picture's room and no more."""
    middle, away = points.mean(axis=0), 3.0
    for _ in range(30):  # settles fast: twice as far is nearly half as large
        ahead = away - (points - middle) @ _BACK
        seen = (points - middle) @ np.stack([_ACROSS, _UP], -1) / np.maximum(ahead, 0.1)[:, None]
        low, high = seen.min(axis=0), seen.max(axis=0)
        middle = middle + away * (low + high) / 2 @ np.stack([_ACROSS, _UP])
        away *= np.max((high - low) / (2 * _HALF * _ROOM * np.array([shape, 1])))
    return middle, away


def _axes(point):
    return dict(zip("xyz", point.tolist(), strict=True))

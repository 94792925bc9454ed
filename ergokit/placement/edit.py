"""Change one measure of a placement and leave the rest: what the sliders of an explorer do.

The port line stays the base: depth moves ports and camera away from a target that stays where it is, so the floor
stays the floor; spacing keeps the middle of the port line; the window slides along its line from that middle.
"""

from typing import NamedTuple

import numpy as np

from ergokit.triangulation import depth, port_spacing

_SLOPE = np.radians(38)  # of the panel where a placement has none and its camera is on the port line: a common carton's


class Edit(NamedTuple):
    """How to read one number off a placement and how to change it."""

    tip: str
    read: callable
    change: callable


def readings_of(placement):
    """Every number that `edited` can change, by name, in cm.

    >>> from ergokit import Placement
    >>> numbers = readings_of(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16)))
    >>> numbers["port spacing"], numbers["target sideways"], numbers["camera y"]
    (18.0, 0.0, 4.0)
    """
    return {name: float(edit.read(placement)) for name, edit in EDITS.items()}


def edited(placement, name, value):
    """The placement with one number changed; ValueError where none exists.

    >>> from ergokit import Placement
    >>> edited(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16)), "port spacing", 20).left_port
    array([-10.,   0.,  12.])
    """
    if placement.tape is not None and placement.tape.not_known():
        raise ValueError(f"this box cannot be moved yet: it {next(iter(placement.tape.not_known().values()))}.")
    return placement.replace(**EDITS[name].change(placement, value))


def mirrored(placement):
    """The placement seen in a mirror: left and right change places.

    >>> from ergokit import Placement
    >>> mirrored(Placement((-9, 0, 12), (7, 3, 14), (2, 11, 1.5), (0, 4, 16))).left_port
    array([-7.,  3., 14.])
    """
    flip = np.array([-1.0, 1, 1])
    names = ("target", "camera", "aim", "normal", "panel_normal")
    turned = {name: getattr(placement, name) * flip for name in names if getattr(placement, name) is not None}
    return placement.replace(left_port=placement.right_port * flip, right_port=placement.left_port * flip, **turned)


def _along(placement):
    line = placement.right_port - placement.left_port
    return line / np.linalg.norm(line)


def _middle(placement):
    return (placement.left_port + placement.right_port) / 2


def _offset(placement):
    return (placement.targets[0] - _middle(placement)) @ _along(placement)


def _up_the_panel(placement):
    """Unit vector from the middle of the port line up the panel, across the port line."""
    along = _along(placement)
    if placement.panel_normal is not None:
        up = np.cross(placement.panel_normal, along)
    else:
        up = placement.camera - _middle(placement)
        up = up - (up @ along) * along
        if np.linalg.norm(up) < 1e-6:
            up = np.cross(np.cross(along, [0, np.cos(_SLOPE), np.sin(_SLOPE)]), along)
    up = up / np.linalg.norm(up)
    return -up if up[2] < 0 or (up[2] == 0 and up[1] < 0) else up


def _window(placement):
    return (placement.camera - _middle(placement)) @ _up_the_panel(placement)


def _set_spacing(placement, value):
    half = value / 2 * _along(placement)
    return {"left_port": _middle(placement) - half, "right_port": _middle(placement) + half}


def _set_depth(placement, value):
    foot = _middle(placement) + _offset(placement) * _along(placement)
    rise = foot - placement.targets[0]
    rise = np.array([0, 0, 1.0]) if not rise.any() else rise / np.linalg.norm(rise)
    shift = placement.targets[0] + value * rise - foot
    return {name: getattr(placement, name) + shift for name in ("left_port", "right_port", "camera")}


def _set_offset(placement, value):
    return {"target": placement.target + (value - _offset(placement)) * _along(placement)}


def _set_window(placement, value):
    return {"camera": placement.camera + (value - _window(placement)) * _up_the_panel(placement)}


def _coordinate(name, axis):
    index = "xyz".index(axis)

    def read(placement):
        return np.ravel(getattr(placement, name))[index]

    def change(placement, value):
        point = getattr(placement, name).copy()
        point[..., index] += value - read(placement)
        return {name: point}

    return read, change


EDITS = {
    "port spacing": Edit(
        "distance between the two ports; their middle stays", lambda p: port_spacing(p.left_port, p.right_port), _set_spacing
    ),
    "depth": Edit(
        "distance from the target to the line of the ports; ports and camera move, the target stays",
        lambda p: depth(p.left_port, p.right_port, p.targets[0]),
        _set_depth,
    ),
    "target sideways": Edit("the target's place along the port line from the midline, right positive", _offset, _set_offset),
    "window above ports": Edit("the camera's place up the panel from the middle of the port line", _window, _set_window),
}
_ALONG = {"x": "sideways, right positive", "y": "away from the operator", "z": "height above the floor"}
for _name, _axes in (("left_port", "xz"), ("right_port", "xz"), ("target", "xyz"), ("camera", "xyz")):
    for _axis in _axes:
        EDITS[f"{_name.replace('_', ' ')} {_axis}"] = Edit(_ALONG[_axis], *_coordinate(_name, _axis))
EDITS["instrument length"] = Edit(
    "the shaft, without the handle", lambda p: p.instrument_length, lambda p, value: {"instrument_length": value}
)
EDITS["handle reach"] = Edit(
    "from the shaft's outer end to the hand", lambda p: p.handle_reach, lambda p, value: {"handle_reach": value}
)

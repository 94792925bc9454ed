"""Change one measure of a placement and leave the rest: what the sliders of an explorer do.

The port line stays the base: depth moves ports and camera away from a target that stays where it is, so the floor
stays the floor; spacing keeps the middle of the port line; the camera hole slides along its line from that middle. Where there
are many targets, `focus` is the number of the one that is meant; the others stay. A scope moves as one with its port: its
coordinates are those of its tip.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from ergokit._check import one_word
from ergokit._words import joined
from ergokit.relations.triangle import solve_triangle
from ergokit.triangulation import depth, manipulation_angle, port_spacing, working_distance

_SLOPE = np.radians(38)  # of the panel where a placement has none and its camera is on the port line: a common carton's
HOLDS = ("manipulation angle", "working distance")


class Edit(NamedTuple):
    """How to read one number off a placement, `read(placement, focus)`, and to change it, `change(placement, value, focus)`."""

    tip: str
    read: Callable
    change: Callable


def readings_of(placement, focus=0):
    """Every number that `edited` can change, by name, in cm.

    >>> from ergokit import Placement
    >>> numbers = readings_of(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16)))
    >>> numbers["port spacing"], numbers["target sideways"], numbers["camera y"]
    (18.0, 0.0, 4.0)
    """
    return {name: float(edit.read(placement, focus)) for name, edit in EDITS.items()}


def edited(placement, name, value, focus=0, hold=None):
    """The placement with one number changed; ValueError where none exists.

    With `hold="manipulation angle"` the depth follows so that the angle stays (the spacing follows where the depth is
    changed); with `hold="working distance"` the camera follows along its line of sight.

    >>> from ergokit import Placement
    >>> start = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))
    >>> edited(start, "port spacing", 20).left_port
    array([-10.,   0.,  12.])
    >>> print(edited(start, "port spacing", 20, hold="manipulation angle").measures().head(4)[["quantity", "value"]])
              quantity value
          port spacing  20.0
    manipulation angle  59.9
      working distance  18.7
                 depth  17.4
    """
    if placement.tape is not None and placement.tape.not_known():
        raise ValueError(f"This box cannot be moved yet: it {next(iter(placement.tape.not_known().values()))}.")
    after = _changed(placement, name, value, focus)
    if hold is not None:
        one_word("hold", hold, HOLDS, joined(HOLDS, "or"))
    if hold == "manipulation angle":
        return _hold_angle(placement, after, name, focus)
    if hold == "working distance":
        return _hold_distance(placement, after, focus)
    return after


def _changed(placement, name, value, focus):
    return placement.replace(**EDITS[name].change(placement, value, focus))


def _hold_angle(before, after, name, focus):
    theta = float(manipulation_angle(before.left_port, before.right_port, before.targets[focus]))
    now = readings_of(after, focus)
    follower, base = ("port spacing", "depth") if name == "depth" else ("depth", "port spacing")
    known = {"manipulation_angle": theta, "offset": now["target sideways"], base.removeprefix("port "): now[base]}
    wanted = [getattr(each, follower.removeprefix("port ")) for each in solve_triangle(**known)]
    return _changed(after, follower, min(wanted, key=lambda value: abs(value - now[follower])), focus)


def _hold_distance(before, after, focus):
    target = after.targets[focus]
    sight = after.camera - target
    wanted = working_distance(before.camera, before.targets[focus])
    return after.replace(**_move_camera(after, sight * (wanted / np.linalg.norm(sight) - 1)))


def mirrored(placement):
    """The placement seen in a mirror: left and right change places.

    >>> from ergokit import Placement
    >>> mirrored(Placement((-9, 0, 12), (7, 3, 14), (2, 11, 1.5), (0, 4, 16))).left_port
    array([-7.,  3., 14.])
    """
    flip = np.array([-1.0, 1, 1])
    names = ("target", "camera", "aim", "normal", "panel_normal")
    turned = {name: getattr(placement, name) * flip for name in names if getattr(placement, name) is not None}
    if (scope := placement.scope) is not None:
        place = {"port": scope.port * flip, "shaft": scope.shaft * flip}
        turned["camera"] = replace(scope, **place, post_angle=-scope.post_angle, head_angle=-scope.head_angle)
        del turned["aim"]
    turned |= {"left_port": placement.right_port * flip, "right_port": placement.left_port * flip}
    return placement.replace(instrument_length=placement.shafts[::-1], **turned)


def _along(placement):
    line = placement.right_port - placement.left_port
    return line / np.linalg.norm(line)


def _middle(placement):
    return (placement.left_port + placement.right_port) / 2


def _offset(placement, focus):
    return (placement.targets[focus] - _middle(placement)) @ _along(placement)


def _up_the_panel(placement):
    """Unit vector from the middle of the port line up the panel, across the port line."""
    along = _along(placement)
    if placement.panel_normal is not None:
        up = np.cross(placement.panel_normal, along)
    else:
        up = placement.camera_hole - _middle(placement)
        up = up - (up @ along) * along
        if np.linalg.norm(up) < 1e-6:
            up = np.cross(np.cross(along, [0, np.cos(_SLOPE), np.sin(_SLOPE)]), along)
    up = up / np.linalg.norm(up)
    return -up if up[2] < 0 or (up[2] == 0 and up[1] < 0) else up


def _camera_hole(placement, focus=0):
    return (placement.camera_hole - _middle(placement)) @ _up_the_panel(placement)


def _set_spacing(placement, value, focus):
    half = value / 2 * _along(placement)
    return {"left_port": _middle(placement) - half, "right_port": _middle(placement) + half}


def _set_depth(placement, value, focus):
    target = placement.targets[focus]
    foot = _middle(placement) + _offset(placement, focus) * _along(placement)
    rise = foot - target
    rise = np.array([0, 0, 1.0]) if not rise.any() else rise / np.linalg.norm(rise)
    shift = target + value * rise - foot
    return {name: getattr(placement, name) + shift for name in ("left_port", "right_port")} | _move_camera(placement, shift)


def _set_offset(placement, value, focus):
    return _move_target(placement, focus, (value - _offset(placement, focus)) * _along(placement))


def _move_target(placement, focus, shift):
    targets = placement.targets.copy()
    targets[focus] += shift
    return {"target": targets if placement.target.ndim == 2 else targets[0]}


def _move_camera(placement, shift):
    scope = placement.scope
    return {"camera": placement.camera + shift if scope is None else replace(scope, port=scope.port + shift)}


def _set_camera_hole(placement, value, focus):
    return _move_camera(placement, (value - _camera_hole(placement)) * _up_the_panel(placement))


def _coordinate(name, axis):
    index = "xyz".index(axis)

    def read(placement, focus):
        return placement.targets[focus, index] if name == "target" else getattr(placement, name)[index]

    def change(placement, value, focus):
        shift = np.eye(3)[index] * (value - read(placement, focus))
        if name == "target":
            return _move_target(placement, focus, shift)
        return _move_camera(placement, shift) if name == "camera" else {name: getattr(placement, name) + shift}

    return read, change


EDITS = {
    "port spacing": Edit(
        "distance between the two ports; their middle stays",
        lambda p, focus: port_spacing(p.left_port, p.right_port),
        _set_spacing,
    ),
    "depth": Edit(
        "distance from the target to the line of the ports; ports and camera move, the target stays",
        lambda p, focus: depth(p.left_port, p.right_port, p.targets[focus]),
        _set_depth,
    ),
    "target sideways": Edit("the target's place along the port line from the midline, right positive", _offset, _set_offset),
    "camera hole above ports": Edit(
        "the camera's place up the panel from the middle of the port line", _camera_hole, _set_camera_hole
    ),
}
_ALONG = {"x": "sideways, right positive", "y": "away from the operator", "z": "height above the floor"}
for _name, _axes in (("left_port", "xz"), ("right_port", "xz"), ("target", "xyz"), ("camera", "xyz")):
    for _axis in _axes:
        EDITS[f"{_name.replace('_', ' ')} {_axis}"] = Edit(_ALONG[_axis], *_coordinate(_name, _axis))
EDITS["instrument length"] = Edit(
    "both shafts, without the handles; the slider shows the longer of two lengths, and moving it makes both equal",
    lambda p, focus: p.shafts.max(),
    lambda p, value, focus: {"instrument_length": value},
)
EDITS["handle reach"] = Edit(
    "from the shaft's outer end to the hand", lambda p, focus: p.handle_reach, lambda p, value, focus: {"handle_reach": value}
)

"""Ergonomics of laparoscopic port placement: closed forms, 3D geometry, explorers. For education only.

``import ergokit`` loads numpy and the standard library; other rooms, and with them sympy, pandas, plotly or ipywidgets,
load when a name of theirs is first used.
"""

from importlib import import_module

from ergokit.triangulation import (
    axis_to_instruments_plane,
    azimuth_angles,
    camera_roll,
    camera_side,
    depth,
    display_angle,
    elevation_angle,
    entry_angle,
    hand_eye_rotation,
    handle_height,
    handle_position,
    handle_separation,
    inserted_length,
    instrument_plane_tilt,
    length_ratio,
    manipulation_angle,
    off_centre_angle,
    outside_length,
    plan_angle,
    port_spacing,
    table_height,
    tip_travel_per_hand_travel,
    view_angle,
    working_distance,
)

__version__ = "0.1.0"

_LATER = {
    "Placement": "placement",
    "RELATIONS": "relations",
    "Triangle": "relations",
    "angle_zone": "relations",
    "assignments": "holes",
    "best_ports": "search",
    "conflicts": "guidance",
    "design_box": "design",
    "judge": "guidance",
    "one_triangle": "relations",
    "same_angle_surface": "relations",
    "solve_triangle": "relations",
    "verdict": "guidance",
    "write_template": "template",
}

__all__ = [
    "RELATIONS",
    "Placement",
    "Triangle",
    "angle_zone",
    "assignments",
    "axis_to_instruments_plane",
    "azimuth_angles",
    "best_ports",
    "camera_roll",
    "camera_side",
    "conflicts",
    "depth",
    "design_box",
    "display_angle",
    "elevation_angle",
    "entry_angle",
    "hand_eye_rotation",
    "handle_height",
    "handle_position",
    "handle_separation",
    "inserted_length",
    "instrument_plane_tilt",
    "judge",
    "length_ratio",
    "manipulation_angle",
    "off_centre_angle",
    "one_triangle",
    "outside_length",
    "plan_angle",
    "port_spacing",
    "same_angle_surface",
    "solve_triangle",
    "table_height",
    "tip_travel_per_hand_travel",
    "verdict",
    "view_angle",
    "working_distance",
    "write_template",
]


def __getattr__(name):
    if name not in _LATER:
        raise AttributeError(f"module 'ergokit' has no attribute {name!r}")
    value = globals()[name] = getattr(import_module(f"ergokit.{_LATER[name]}"), name)
    return value


def __dir__():
    return sorted({*globals(), *__all__})

"""Ergonomics of laparoscopic port placement: closed forms, 3D geometry, explorers. For education only.

``import ergokit`` loads numpy and the standard library; sympy, pandas, plotly and ipywidgets load when a name
that needs them is first used.
"""

from ergokit.placement import Placement
from ergokit.relations.triangle import Triangle, solve_triangle
from ergokit.triangulation import (
    axis_to_instruments_plane,
    azimuth_angles,
    depth,
    display_angle,
    elevation_angle,
    entry_angle,
    hand_eye_rotation,
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
    tip_travel_per_hand_travel,
    view_angle,
    working_distance,
)

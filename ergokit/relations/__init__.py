"""Closed forms of port placement, each derived from vectors, solvable for any of its symbols and checked in space.

`RELATIONS` maps a name to a `Relation`, built (and its derivation verified) when it is first used. `solve_triangle`,
`same_angle_surface` and `angle_zone` need numpy only: importing this room loads no sympy.
"""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import TYPE_CHECKING

from ergokit.relations.same_angle import AngleZone, SameAngleSurface, angle_zone, same_angle_surface
from ergokit.relations.triangle import Triangle, one_triangle, solve_triangle

if TYPE_CHECKING:
    from ergokit.relations.relation import Relation

__all__ = [
    "RELATIONS",
    "AngleZone",
    "SameAngleSurface",
    "Triangle",
    "angle_zone",
    "one_triangle",
    "same_angle_surface",
    "solve_triangle",
]

# Each name is a function of the module of its family.
_FAMILIES = {
    "symmetric": "spacing_from_length depth_from_length spacing_from_depth angle_per_spacing angle_per_depth",
    "offset": "cosine_rule offset_from_lengths angle_at_offset offset_and_depth same_angle_circle same_angle_volume",
    "elevation": "elevations_and_plan_angle elevations_and_azimuths equal_elevations widest_angle narrowest_angle "
    "equal_elevations_and_tilt elevations_and_tilt",
    "azimuth": "instruments_azimuths working_azimuths space_azimuth display_angle",
    "camera": "camera_at_middle widest_spacing camera_hole_up_panel flat_phone widest_spacing_flat_phone camera_port_distance "
    "field_of_view",
    "scope": "scope_length_along_shaft scope_distance_along_shaft scope_length_at_distance scope_cone scope_angle_gained "
    "scope_post_turn",
    "hands": "handle_separation length_ratio tip_travel",
    "box": "entry_angle wedge_base wedge_ridge_height flat_phone_in_wedge flat_phone_foot dome_radius",
}


class _Relations(Mapping):
    """Relations by name, built when first asked for."""

    def __init__(self, families):
        self._family = {name: family for family, names in families.items() for name in names.split()}
        self._built = {}

    def __getitem__(self, name):
        if name not in self._built:
            module = import_module(f"{__name__}.{self._family[name]}")
            self._built[name] = getattr(module, name)()
        return self._built[name]

    def __contains__(self, name):
        return name in self._family

    def __iter__(self):
        return iter(self._family)

    def __len__(self):
        return len(self._family)

    def __repr__(self):
        return f"Relations: {', '.join(self)}"


RELATIONS: Mapping[str, Relation] = _Relations(_FAMILIES)

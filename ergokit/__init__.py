"""Ergonomics of laparoscopic port placement: closed forms, 3D geometry, explorers. For education only.

``import ergokit`` loads numpy and the standard library; other rooms, and with them sympy, pandas, plotly or ipywidgets,
load when a name of theirs is first used.
"""

from importlib import import_module

from ergokit import triangulation
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

# Room -> the names that are loaded from it when first used: whatever a lesson imports, and what goes with it.
_ROOMS = {
    "built": "compare_built",
    "datasets": "demo_targets",
    "design": "Phone design_box smallest_box ways_to_lay",
    "explorers": "angle_map_explorer box_explorer camera_explorer carton_explorer comparison_link complaint_explorer "
    "complaints_link conflict_explorer holes_explorer lever_explorer log_explorer my_desk photo_explorer "
    "placement_explorer practice predict question question_sheet readings_explorer retest session_explorer session_link "
    "show_of_hands talk_kit tape_explorer targets_explorer template_link yours "
    "ask comparison_form sheet_form",
    "explorers.experiments": "experiments_explorer",
    "explorers.presets": "PRESETS usual",
    "figures": "GALLERY SIZES built_figure carton_figure drawable elevation_bound_figure experiments_figure front_figure "
    "holes_figure inscribed_angle_figure lever_figure log_figure mean_angles_figure monitor_figure "
    "operator_figure readings_figure rules_figure section_figure session_figure tape_figure targets_figure triangle_figure "
    "turn_figure figure_titles",
    "figures.azimuth": "elevations_and_azimuths_figure",
    "guidance": "conflicts judge verdict",
    "guidance.body": "elbow_of_survey",
    "guidance.studies": "advised how_many_advised mean_angles reported statements",
    "guidance.verdicts": "citation_of sources",
    "hands_on": "COMPLAINTS Evening PracticeLog Run Session comparison_panel complaint order_table orders published_times "
    "read_log read_session",
    "holes": "assignments",
    "photos": "check_photos read_photo",
    "placement": "Placement",
    "placement.demo": "demo_box demo_built",
    "placement.table": "side_by_side",
    "problems": "KINDS make_problem make_problems problem_kinds",
    "relations": "RELATIONS Triangle angle_zone one_triangle same_angle_surface solve_triangle",
    "search": "best_ports front",
    "search.studies": "largest_turn tightest_limit",
    "surfaces": "Dome FlatBox WedgeBox",
    "tape_check": "check_tape check_tape_file field_of_view_from_sheet tape_slips",
    "terms": "glossary",
    "template": "marked_box write_comparison write_complaints write_session_sheet write_template",
    "tolerance": "error_effects hole_tolerance",
    "view": "Camera Scope equivalent_distance field_of_view",
}
_LATER = {name: room for room, names in _ROOMS.items() for name in names.split()}

__all__ = [*triangulation.__all__, *_LATER]


def __getattr__(name):
    if name not in _LATER:
        raise AttributeError(f"module 'ergokit' has no attribute {name!r}")
    value = globals()[name] = getattr(import_module(f"ergokit.{_LATER[name]}"), name)
    return value


def __dir__():
    return sorted({*globals(), *__all__})

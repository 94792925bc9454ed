"""Figures with sliders on top, for JupyterLab. No geometry of their own: every number comes from the library.

Each loads, with the rooms it needs, when it is first used: a lesson waits for its own explorer only.
"""

from importlib import import_module

_LATER = {
    "angle_map_explorer": "angle_map",
    "box_explorer": "box",
    "camera_explorer": "camera",
    "ask": "sitting",
    "comparison_form": "paper",
    "comparison_link": "paper",
    "complaint_explorer": "complaints",
    "complaints_link": "paper",
    "carton_explorer": "carton",
    "conflict_explorer": "conflict",
    "targets_explorer": "targets",
    "exercise": "explorer",
    "experiments_explorer": "experiments",
    "holes_explorer": "holes",
    "lever_explorer": "lever",
    "log_explorer": "log",
    "my_desk": "own_desk",
    "photo_explorer": "photos",
    "placement_explorer": "placement",
    "practice": "sitting",
    "predict": "prediction",
    "question": "prediction",
    "question_sheet": "sheet_link",
    "sheet_form": "sheet_link",
    "session_explorer": "session",
    "session_link": "paper",
    "retest": "sitting",
    "readings_explorer": "readings",
    "show_of_hands": "hands",
    "talk_kit": "studio",
    "tape_explorer": "tape",
    "template_link": "paper",
    "yours": "yours",
}

__all__ = list(_LATER)


def __getattr__(name):
    if name not in _LATER:
        raise AttributeError(f"module 'ergokit.explorers' has no attribute {name!r}")
    value = globals()[name] = getattr(import_module(f"ergokit.explorers.{_LATER[name]}"), name)
    return value

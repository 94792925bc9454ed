"""Pictures of a placement, one file a kind of picture.

What writes files, and the gallery of all of them, load when they are first used.
"""

from importlib import import_module

from ergokit.figures.angle_map import angle_map_figure
from ergokit.figures.azimuth import elevations_and_azimuths_figure
from ergokit.figures.box import box_scene
from ergokit.figures.carton import carton_figure
from ergokit.figures.circle import inscribed_angle_figure
from ergokit.figures.elevation import elevation_bound_figure
from ergokit.figures.experiments import EXPERIMENTS, experiments_figure, mean_angles_figure
from ergokit.figures.holes import holes_figure, holes_scene
from ergokit.figures.layers import LAYERS
from ergokit.figures.lever import lever_figure
from ergokit.figures.monitor import monitor_figure
from ergokit.figures.operator import operator_figure
from ergokit.figures.rules import rules_figure
from ergokit.figures.scene import scene
from ergokit.figures.section import section_figure
from ergokit.figures.session import log_figure, session_figure
from ergokit.figures.shown import at_once
from ergokit.figures.space import VIEWS
from ergokit.figures.tape import tape_figure
from ergokit.figures.targets import front_figure, targets_figure, turn_figure
from ergokit.figures.triangle import triangle_figure

_LATER = {name: "export" for name in ("SIZES", "Size", "browser", "save", "save_all")}
_LATER |= {"built_figure": "built", "readings_figure": "readings"}
_LATER |= {name: "gallery" for name in ("GALLERY", "drawable", "figure_titles")}

at_once()

__all__ = [
    "EXPERIMENTS",
    "GALLERY",
    "LAYERS",
    "SIZES",
    "VIEWS",
    "Size",
    "angle_map_figure",
    "box_scene",
    "browser",
    "built_figure",
    "carton_figure",
    "drawable",
    "elevation_bound_figure",
    "elevations_and_azimuths_figure",
    "experiments_figure",
    "figure_titles",
    "front_figure",
    "holes_figure",
    "holes_scene",
    "inscribed_angle_figure",
    "lever_figure",
    "log_figure",
    "mean_angles_figure",
    "monitor_figure",
    "operator_figure",
    "readings_figure",
    "rules_figure",
    "save",
    "save_all",
    "scene",
    "section_figure",
    "session_figure",
    "tape_figure",
    "targets_figure",
    "triangle_figure",
    "turn_figure",
]


def __getattr__(name):
    if name not in _LATER:
        raise AttributeError(f"module 'ergokit.figures' has no attribute {name!r}")
    value = globals()[name] = getattr(import_module(f"ergokit.figures.{_LATER[name]}"), name)
    return value

"""Pictures of a placement, one file a kind of picture."""

from ergokit.figures.angle_map import angle_map_figure, update_angle_map
from ergokit.figures.box import box_figure, update_box
from ergokit.figures.circle import inscribed_angle_figure
from ergokit.figures.course import course_figure, front_figure, turn_figure, update_course
from ergokit.figures.elevation import elevation_bound_figure
from ergokit.figures.experiments import EXPERIMENTS, experiments_figure, mean_angles_figure
from ergokit.figures.export import SIZES, Size, browser, save, save_all
from ergokit.figures.gallery import GALLERY, drawable
from ergokit.figures.layers import LAYERS
from ergokit.figures.lever import lever_figure, update_lever
from ergokit.figures.monitor import monitor_figure, update_monitor
from ergokit.figures.rules import rules_figure, update_rules
from ergokit.figures.scene import VIEWS, scene, stand, update_scene
from ergokit.figures.section import section_figure, update_section
from ergokit.figures.tape import tape_figure, update_tape
from ergokit.figures.triangle import triangle_figure

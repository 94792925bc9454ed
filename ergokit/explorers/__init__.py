"""Figures with sliders on top, for JupyterLab. No geometry of their own: every number comes from the library."""

from ergokit.explorers.angle_map import angle_map_explorer
from ergokit.explorers.box import box_explorer
from ergokit.explorers.camera import camera_explorer
from ergokit.explorers.conflict import conflict_explorer
from ergokit.explorers.course import course_explorer
from ergokit.explorers.lever import lever_explorer
from ergokit.explorers.paper import template_link
from ergokit.explorers.placement import exercise, placement_explorer
from ergokit.explorers.practice import practice
from ergokit.explorers.question import predict, question
from ergokit.explorers.question_sheet import question_sheet
from ergokit.explorers.studio import talk_kit
from ergokit.explorers.tape import tape_explorer

"""Figures with sliders on top, for JupyterLab. No geometry of their own: every number comes from the library."""

from ergokit.explorers.placement import exercise, placement_explorer
from ergokit.explorers.question import predict, question

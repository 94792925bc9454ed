"""Pictures of a placement, one file a kind of picture."""

from ergokit.figures.scene import scene, update_scene
from ergokit.figures.triangle import triangle_figure

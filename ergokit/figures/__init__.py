"""Pictures of a placement, one file a kind of picture."""

from ergokit.figures.circle import inscribed_angle_figure
from ergokit.figures.elevation import elevation_bound_figure
from ergokit.figures.layers import LAYERS
from ergokit.figures.scene import VIEWS, scene, stand, update_scene
from ergokit.figures.triangle import triangle_figure

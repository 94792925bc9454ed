"""The scene for a room: as near as it fits, seen from the operator's shoulder."""

from ergokit.figures.scene import scene, view_of
from ergokit.figures.space import space_figure


def near_scene(placement, focus=0, width=560, height=400, only=None, surface=None, layers=()):
    """A figure of `scene` as near as it fits; of what is written in it `only` these words stay."""
    view = view_of(placement, "from the operator", width / height, focus, surface, layers)
    items = scene(placement, focus, layers=layers, surface=surface)
    kept = {name: item for name, item in items.items() if "label" not in item or only is None or item["text"] in only}
    return space_figure(kept, view, width, height)

"""A box to build: a carton's sides, and where on its panel the ports and the camera hole go."""

from __future__ import annotations

import html
from dataclasses import dataclass
from functools import cached_property

from ergokit._check import a, checked, flag, refused
from ergokit.design import BoxDesign, Phone, design_box
from ergokit.explorers.small import SmallExplorer, SmallState, Track
from ergokit.figures import VIEWS, box_scene
from ergokit.figures.scene import extent
from ergokit.figures.space import framed
from ergokit.surfaces import WedgeBox

_SIZE = (510, 500)  # px
_HOLES = ("left port", "right port", "camera hole")
_SHOWN = ("manipulation angle", "working distance", "depth", "inside : outside", "lean at the port", "elevation angle")


@checked(design=a(BoxDesign), numbers=flag)
def box_explorer(design: BoxDesign | None = None, *, numbers: bool = True) -> BoxExplorer:
    """Explore a box before it is cut: carton and holes, the phone flat on the panel, its picture on the floor.

    `design` is the `BoxDesign` of a wedge box to start from; a carton's unless given. The target is in the middle of the
    picture, a little above the floor.

    >>> explorer = box_explorer()
    >>> explorer.controls["camera hole above ports"].value = 12
    >>> explorer.design.holes["camera hole"]
    (0.0, 24.0)
    """
    design = design or design_box(WedgeBox(44, 36, 27))
    if not isinstance(design.box, WedgeBox):
        raise refused("design", "the BoxDesign of a wedge box", design.box)
    box, (left, up), (right, _), (_, lens) = design.box, *(design.holes[name] for name in _HOLES)
    tracks = {
        "side a": Track("of the carton: the panel that faces you, up the slope", 18, 50, box.side_a),
        "side b": Track("of the carton: the panel at the rear, up the slope", 15, 45, box.side_b),
        "ridge": Track("of the carton: from left to right", 26, 60, box.ridge),
        "port spacing": Track("between the middles of the two holes", 5, 40, right - left),
        "ports up the panel": Track("from the panel's lower edge to the middles of the holes", 1, 40, up),
        "camera hole above ports": Track("from the port line up the panel to the lens", 0, 25, lens - up),
        "target above floor": Track("in the middle of the picture", 0, 8, design.placement.target[2]),
    }
    # From above, through the panel to the floor.
    view = framed(extent(design.placement, surface=box), VIEWS["from the operator"] | {"tilt": 24}, _SIZE[0] / _SIZE[1])
    return BoxExplorer(Box(tracks=tracks, phone=design.phone, view=view, numbers=numbers))


@dataclass(frozen=True, kw_only=True)
class Box(SmallState):
    """A carton's sides and the holes in its panel."""

    phone: Phone

    shown = _SHOWN
    opening = "A box in space, a phone flat on its panel and two instruments through it; the phone's picture on its floor."

    @cached_property
    def design(self):
        half, up = self["port spacing"] / 2, self["ports up the panel"]
        return design_box(
            WedgeBox(self["ridge"], self["side a"], self["side b"]),
            phone=self.phone,
            ports=[(-half, up), (half, up)],
            camera_hole=(0, up + self["camera hole above ports"]),
            target_height=self["target above floor"],
        )

    def drawings(self):
        return [{"items": box_scene(self.design, self.numbers)} | dict(zip(("width", "height"), _SIZE, strict=True))]

    @property
    def placement(self):
        return self.design.placement

    def facts(self):
        _, y, _ = self.design.picture_centre
        foot = self.design.box.bounds()[0, 1]
        yield f"The picture's middle falls on the floor <b>{y - foot:.1f} cm</b> from the panel's foot."
        yield from (f"✗ {html.escape(sentence)}" for sentence in self.design.not_met)
        if not self.design.not_met:
            yield "✓ All rules of the design are met."

    @property
    def notice(self):
        return "Not all rules of the design are met." if self.design.not_met else ""

    def compared(self, pictures):
        [picture], design = pictures, self.design
        yield "the middle of the picture at", picture.part("middle of the picture")["at"][0], design.picture_centre
        yield "the lens at", picture.part("camera")["at"][0], design.placement.camera
        yield "the ridge at", max(z for corners in picture.part("surface")["at"] for *_, z in corners), design.box.ridge_height
        angle = next(row.value for row in self.rows() if row.quantity == "manipulation angle")
        yield "an angle of", picture.part("angle, words")["text"], f"{angle:.1f}°" if self.numbers else "?"


class BoxExplorer(SmallExplorer):
    """See `box_explorer`."""

    @property
    def design(self) -> BoxDesign:
        """The box shown now."""
        return self.state.design

"""A box to build: a carton's sides, and where on its panel the ports and the camera hole go."""

from __future__ import annotations

import html

from ergokit._check import a, checked, flag
from ergokit.design import BoxDesign, design_box
from ergokit.explorers.small import SmallExplorer, Track
from ergokit.figures import VIEWS, box_scene
from ergokit.figures.scene import extent
from ergokit.figures.space import framed
from ergokit.placement.measures import rows_of
from ergokit.surfaces import WedgeBox

_SIZE = (510, 500)  # px
_SHOWN = ("manipulation angle", "working distance", "depth", "inside : outside", "lean at the port", "elevation angle")


@checked(numbers=flag, design=a(BoxDesign))
def box_explorer(numbers: bool = True, design: BoxDesign | None = None) -> BoxExplorer:
    """Explore a box before it is cut: carton and holes, the phone flat on the panel, its picture on the floor.

    `design` is the `BoxDesign` of a wedge box to start from; a carton's unless given. The target stands in the middle of the
    picture, a little above the floor.

    >>> explorer = box_explorer()
    >>> explorer.controls["camera hole above ports"].value = 12
    >>> explorer.design.holes["camera hole"]
    (0.0, 24.0)
    """
    return BoxExplorer(numbers, design or design_box(WedgeBox(44, 36, 27)))


class BoxExplorer(SmallExplorer):
    """See `box_explorer`."""

    opening = "A box in space, a phone flat on its panel and two instruments through it; the phone's picture on its floor."

    def __init__(self, numbers, design):
        self.phone = design.phone
        box, (_, up), (_, camera_hole) = design.box, design.holes["left port"], design.holes["camera hole"]
        spacing = design.holes["right port"][0] - design.holes["left port"][0]
        tracks = {
            "side a": Track("of the carton: the panel that faces you, up the slope", 18, 50, box.side_a),
            "side b": Track("of the carton: the panel at the rear, up the slope", 15, 45, box.side_b),
            "ridge": Track("of the carton: from left to right", 26, 60, box.ridge),
            "port spacing": Track("between the middles of the two holes", 5, 40, spacing),
            "ports up the panel": Track("from the panel's lower edge to the middles of the holes", 1, 40, up),
            "camera hole above ports": Track("from the port line up the panel to the lens", 0, 25, camera_hole - up),
            "target above floor": Track("in the middle of the picture", 0, 8, design.placement.target[2]),
        }
        points = extent(design.placement, surface=design.box)
        self.view = framed(
            points, VIEWS["from the operator"] | {"tilt": 24}, _SIZE[0] / _SIZE[1]
        )  # through the panel, to the floor
        super().__init__(tracks, numbers)

    @property
    def design(self) -> BoxDesign:
        """The box shown now."""
        return self._state()

    def _state(self):
        half, up = self._at("port spacing") / 2, self._at("ports up the panel")
        return design_box(
            WedgeBox(self._at("ridge"), self._at("side a"), self._at("side b")),
            phone=self.phone,
            ports=[(-half, up), (half, up)],
            camera_hole=(0, up + self._at("camera hole above ports")),
            target_height=self._at("target above floor"),
        )

    def _drawings(self, design):
        size = dict(zip(("width", "height"), _SIZE, strict=True))
        return [
            {
                "items": box_scene(design, self.numbers.value),
            }
            | size
        ]

    def _rows(self, design):
        return [row for row in rows_of(design.placement) if row.quantity in _SHOWN]

    def _facts(self, design):
        _, y, _ = design.picture_centre
        yield f"The picture's middle falls on the floor <b>{y - design.box.bounds()[0, 1]:.1f} cm</b> from the panel's foot."
        yield from (f"✗ {html.escape(sentence)}" for sentence in design.not_met)
        if not design.not_met:
            yield "✓ All rules of the design are met."

    def _notice(self, design):
        return "" if not design.not_met else "Not all rules of the design are met."

    def _compared(self, design):
        [picture] = self.pictures
        yield "the middle of the picture at", picture.part("middle of the picture")["at"][0], design.picture_centre
        yield "the lens at", picture.part("camera")["at"][0], design.placement.camera
        yield "the ridge at", max(z for corners in picture.part("surface")["at"] for *_, z in corners), design.box.ridge_height
        angle = next(row.value for row in rows_of(design.placement) if row.quantity == "manipulation angle")
        text = picture.part("angle, words")["text"]
        yield "an angle of", text, f"{angle:.1f}°" if self.numbers.value else "?"

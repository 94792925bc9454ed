"""The panel at full size: port holes, camera hole, phone and ledge, to lay on the carton and cut through."""

from typing import NamedTuple

import numpy as np

from ergokit._markers import PANEL, QUIET, SIDE, flat_sheet
from ergokit._pages import FOLD, MIDDLE, OUTLINE
from ergokit.design import Phone
from ergokit.design.layouts import gap
from ergokit.surfaces import WedgeBox
from ergokit.template.marked import draw_markers, room_for, seams
from ergokit.template.sheet import KEY, tiled, tiles
from ergokit.triangulation import off_centre_angle

_OFF = 0.05  # cm that a hole may be off the panel: half a mm
_PAD = 0.5  # cm of paper about what is drawn
_CUT = 0.5  # cm about a hole that a knife may go astray
_FLAT = 1.0  # degrees between the optical axis and the panel's normal up to which a phone lies flat


class Panel(NamedTuple):
    """What is cut into the panel with the ports, in cm: places (u, v); ends are the left, lower, right and upper one.

    `lens` and `camera_hole` are None where no camera is on the panel; `phone`, `body` and `ledge` where no phone lies on it.
    """

    name: str
    edge: str
    ends: np.ndarray
    left: np.ndarray
    right: np.ndarray
    hole: float
    lens: np.ndarray | None = None
    camera_hole: np.ndarray | None = None
    phone: Phone | None = None
    body: np.ndarray | None = None
    ledge: np.ndarray | None = None

    @property
    def heights(self):
        """Of the ports above the edge, in words."""
        left, right = (f"{port[1] - self.ends[1]:.1f}" for port in (self.left, self.right))
        return f"{left} cm" if left == right else f"{left} (left) and {right} cm (right)"

    @property
    def holes(self):
        """The ends of each."""
        ports = [_around(port, self.hole) for port in (self.left, self.right)]
        return ports if self.lens is None else [*ports, self.camera_hole]


def _around(middle, sides):
    return np.concatenate([middle - np.divide(sides, 2), middle + np.divide(sides, 2)])


def panel_of(box, placement, axis, phone, hole):
    """The `Panel` of a placement; ValueError where the ports are not on it, or a hole reaches over its edge."""
    name, edge = ("panel a", "lower edge") if isinstance(box, WedgeBox) else ("the lid", "front edge")
    outline = box.outline_uv()
    corner, normal = box.point(*outline[0]), box.normal(*outline[0])
    for which in ("left_port", "right_port"):
        port = getattr(placement, which)
        if (off := abs((port - corner) @ normal)) > _OFF:
            raise ValueError(f"The {which} is {off:.1f} cm off {name}; move it onto the panel (placement).")
        box.check_hole(*box.uv(port), hole / 2)
    left, right, lens = (box.uv(place) for place in (placement.left_port, placement.right_port, placement.camera))
    panel = Panel(name, edge, np.concatenate([outline.min(axis=0), outline.max(axis=0)]), left, right, hole)
    if abs((placement.camera - corner) @ normal) > _OFF:
        return panel
    sides = (phone or Phone()).camera_hole
    panel = panel._replace(lens=lens, camera_hole=_around(lens, sides))
    box.check_hole(*panel.camera_hole.reshape(2, 2).T)
    for which, port in (("left", left), ("right", right)):
        if gap(port - lens, sides, hole) <= 0:
            raise ValueError(f"The camera hole overlaps the {which} port; move one of them (placement).")
    if phone and off_centre_angle(placement.camera, placement.camera - normal, aim=axis) <= _FLAT:
        body, ledge = np.add([phone.body, phone.ledge], np.tile(lens, 2))
        return panel._replace(phone=phone, body=body, ledge=ledge)
    return panel


def _region(panel, pad=_PAD):
    """Left, lower, right and upper end of what the cutting template shows."""
    ends = np.array([*panel.holes, *((panel.body, panel.ledge) if panel.phone else ())])
    return np.concatenate([ends[:, :2].min(axis=0) - pad, ends[:, 2:].max(axis=0) + pad])


def _marked_region(panel):
    """The same with room for markers all round, as far as the panel goes."""
    wide = _region(panel, 2 * QUIET + SIDE + _PAD)
    return np.concatenate([np.maximum(wide[:2], panel.ends[:2]), np.minimum(wide[2:], panel.ends[2:])])


def short_of_edge(paper, panel, markers=False):
    """How far above the panel's lower edge the cutting template ends, in cm; less than 0 where it shows the edge."""
    _, sheets = tiles(paper, (_marked_region if markers else _region)(panel), panel.holes)
    return min(each.low for each in sheets) - panel.ends[1]


def marked_template(paper, panel, box):
    """The cutting template with its markers: a `Sheet`."""
    region = _marked_region(panel)
    cuts = np.add(panel.holes, _CUT * np.array([-1, -1, 1, 1]))
    covered = [panel.body, panel.ledge] if panel.phone else []
    middles = room_for(lambda pen: _draw(pen, panel), region, [*cuts, *covered, *seams(paper, region, panel.holes)])
    return flat_sheet(box, PANEL, middles, region[:2], region[2:])


def cutting_template_pages(paper, panel, marked=None):
    """The pages to cut through; `marked` has the markers on it."""
    first = f"Draw the centre line on {panel.name}, and the port line {panel.heights} from its {panel.edge}."
    lines = (f"{first} Trim the sheet, lay its lines on yours, tape it down and cut.", KEY)

    region = _marked_region(panel) if marked else _region(panel)
    return tiled(paper, region, "Cutting template", lines, lambda pen: _draw(pen, panel, marked), panel.holes)


def whole_panel_pages(paper, panel):
    """Pages of the whole panel at full size."""
    width, height = panel.ends[2:] - panel.ends[:2]
    lines = (f"The whole of {panel.name}, {width:.1f} x {height:.1f} cm. Its edges are dashed.", KEY)
    return tiled(paper, panel.ends, "Whole panel", lines, lambda pen: _draw(pen, panel), panel.holes)


def _draw(pen, panel, marked=None):
    left, low, right, high = panel.ends
    if panel.phone:
        draw_phone(pen, panel, panel.phone)
    pen.line([(0, low), (0, high)], 0.6, MIDDLE)
    pen.text((-0.12, panel.left[1] + 2.4), "centre line", 8, turn=90)
    for v in {panel.left[1], panel.right[1]}:
        pen.line([(left, v), (right, v)], 0.6, MIDDLE)
    if panel.lens is not None:
        draw_camera_hole(pen, panel)
        v = panel.lens[1]
        left, _, right, _ = panel.body if panel.phone else panel.camera_hole
        side = left - 0.2 if panel.phone and panel.phone.lens_at == "left" else right + 0.45
        pen.arrows((side, panel.right[1]), (side, v), f"{v - panel.right[1]:.1f} cm to the lens")
    apart = np.linalg.norm(panel.right - panel.left)
    words = f"port line, {panel.heights} from the {panel.edge} of {panel.name}\nports {apart:.1f} cm from middle to middle"
    pen.text((-0.4, panel.left[1] + 1.6), words, 8, "right", ground=True)
    pen.rectangle(*panel.ends, width=1.4, dash=FOLD)
    pen.text((0.4, low + 0.15), f"{panel.edge} of {panel.name}", 8)
    for side, port in (("left", panel.left), ("right", panel.right)):
        _draw_port(pen, panel, side, port)
    if marked:
        draw_markers(pen, marked)


def _draw_port(pen, panel, side, port):
    radius, (u, v) = panel.hole / 2, port
    pen.circle(port, radius, 1.2)
    pen.cross(port, radius + 0.5)
    pen.circle(port, 0.04, 0, fill=0)
    # Words towards the centre line, where there is paper.
    inner, align = (u + radius + 0.25, "left") if u < 0 else (u - radius - 0.25, "right")
    pen.text((inner, v + 0.5), f"{side} port", 9, align, bold=True, ground=True)
    pen.text((inner, v - 0.4), f"hole {panel.hole:.1f} cm", 8, align, ground=True)
    below = v - radius - 0.3
    pen.arrows((min(u, 0), below), (max(u, 0), below), f"{abs(u):.1f} cm")


def draw_camera_hole(pen, panel):
    """The camera hole with its cross at the lens."""
    left, low, right, high = panel.camera_hole
    u = panel.lens[0]
    pen.rectangle(*panel.camera_hole, width=1.2, fill=1)
    pen.cross(panel.lens, 0.4, 0.8)
    pen.text((u, high - 0.5), "camera hole", 9, "centre", bold=True)
    pen.text((u, low + 0.55), f"{right - left:.1f} x {high - low:.1f} cm\nlens at the cross", 8, "centre")


def draw_phone(pen, panel, phone):
    """The phone's outline, and the strip to glue the ledge on."""
    left, _, right, high = panel.body
    pen.rectangle(*panel.body, dash=OUTLINE)
    words = (
        f"phone, {phone.length:.1f} x {phone.width:.1f} cm, screen up, lens over the camera hole\n"
        f"lens {phone.lens_from_end:.1f} cm from its {phone.lens_at} end, {phone.lens_from_side:.1f} cm from its lower edge:\n"
        "measure yours; if your phone differs, move outline and ledge"
    )
    side, align, way = (left + 0.3, "left", 0.3) if phone.lens_at == "right" else (right - 0.3, "right", -0.3)
    pen.text((side, high - 0.6), words, 8, align)
    pen.arrows((side, high - 2.6), (side, high - 1.7), both=False)
    pen.text((side + way, high - 2.3), f"up, away from the {panel.edge}", 8, align)
    left, low, right, high = panel.ledge
    for u in np.arange(left, right - (high - low), 0.3):
        pen.line([(u, low), (u + high - low, high)], 0.25)
    pen.rectangle(*panel.ledge, dash=OUTLINE)
    side = (left if phone.lens_at == "right" else panel.camera_hole[2]) + 0.3
    pen.text((side, low + 0.35), f"ledge: glue on card, at least {phone.thickness:.1f} cm high", 8, bold=True, ground=True)

"""The drilling sheet: port holes, window, phone and ledge on the panel at full size."""

from typing import NamedTuple

import numpy as np

from ergokit.design.layouts import gap
from ergokit.surfaces import WedgeBox
from ergokit.template.sheet import FOLD, KEY, MIDDLE, OUTLINE, tiled
from ergokit.triangulation import off_centre_angle

_OFF = 0.05  # cm that a hole may be off the panel: half a mm
_PAD = 0.5  # cm of paper about what is drawn
_WINDOW = (3.0, 3.0)  # cm, for a camera that is no phone (common practice, no source)
_FLAT = 1.0  # degrees between the optical axis and the panel's normal up to which a phone lies flat


class Panel(NamedTuple):
    """What is cut into the panel with the ports, (u, v) in cm; `window` and `phone` are None where there is none."""

    name: str
    edge: str
    outline: np.ndarray
    left: np.ndarray
    right: np.ndarray
    window: np.ndarray | None
    sides: tuple
    phone: object
    hole: float

    @property
    def low(self):
        return float(self.outline[:, 1].min())

    @property
    def heights(self):
        """Of the ports above the edge, in words."""
        left, right = (f"{port[1] - self.low:.1f}" for port in (self.left, self.right))
        return f"{left} cm" if left == right else f"{left} (left) and {right} cm (right)"

    @property
    def window_ends(self):
        """Left, lower, right and upper end of the window."""
        return (*(self.window - np.divide(self.sides, 2)), *(self.window + np.divide(self.sides, 2)))

    def beside(self, ends):
        """The same of what has its ends counted from the lens."""
        return (*(self.window + ends[:2]), *(self.window + ends[2:]))


def panel_of(box, placement, axis, phone, hole):
    """The `Panel` of a placement; ValueError where the ports are not on it, or a hole reaches over its edge."""
    name, edge = ("panel a", "lower edge") if isinstance(box, WedgeBox) else ("the lid", "front edge")
    outline = box.outline_uv()
    corner, normal = box.point(*outline[0]), box.normal(*outline[0])
    for which, port in (("left_port", placement.left_port), ("right_port", placement.right_port)):
        if (off := abs((port - corner) @ normal)) > _OFF:
            raise ValueError(f"placement takes ports on {name}; its {which} is {off:.1f} cm off.")
        box.check_hole(*box.uv(port), hole / 2)
    window, flat = None, False
    if abs((placement.camera - corner) @ normal) <= _OFF:
        window = box.uv(placement.camera)
        flat = off_centre_angle(placement.camera, placement.camera - normal, aim=axis) <= _FLAT
    panel = Panel(
        name,
        edge,
        outline,
        box.uv(placement.left_port),
        box.uv(placement.right_port),
        window,
        _WINDOW if phone is None else phone.window,
        phone if flat else None,
        hole,
    )
    if window is not None:
        left, low, right, high = panel.window_ends
        box.check_hole([left, right], [low, high])
        for which, port in (("left", panel.left), ("right", panel.right)):
            if gap(port - window, panel.sides, hole) <= 0:
                raise ValueError(f"placement takes a camera clear of the ports; its window overlaps the {which} port.")
    return panel


def drilling_pages(paper, panel):
    """The drilling sheet, as `Page`s."""
    first = f"Draw on {panel.name} the centre line and the port line, {panel.heights} from its {panel.edge}."
    lines = (f"{first} Trim the sheet, lay its lines on yours, tape it, cut.", KEY)
    return tiled(paper, _region(panel), "Drilling sheet", lines, lambda pen: _draw(pen, panel), _holes(panel))


def whole_panel_pages(paper, panel):
    """The whole panel at full size, as `Page`s."""
    (left, low), (right, high) = panel.outline.min(axis=0), panel.outline.max(axis=0)
    lines = (f"All of {panel.name}, {right - left:.1f} x {high - low:.1f} cm; dashed: its edges.", KEY)
    return tiled(paper, (left, low, right, high), "Whole panel", lines, lambda pen: _draw(pen, panel), _holes(panel))


def _holes(panel):
    """Left, lower, right and upper end of each hole."""
    radius = panel.hole / 2
    ports = [(*(port - radius), *(port + radius)) for port in (panel.left, panel.right)]
    return ports if panel.window is None else [*ports, panel.window_ends]


def _region(panel):
    ends = _holes(panel)
    if panel.phone:
        ends += [panel.beside(panel.phone.body), panel.beside(panel.phone.ledge)]
    ends = np.array(ends)
    return (*(ends[:, :2].min(axis=0) - _PAD), *(ends[:, 2:].max(axis=0) + _PAD))


def _draw(pen, panel):
    (left, low), (right, high) = panel.outline.min(axis=0), panel.outline.max(axis=0)
    if panel.phone:
        _draw_phone(pen, panel)
    pen.line([(0, low), (0, high)], 0.6, MIDDLE)
    pen.text((-0.12, panel.left[1] + 2.4), "centre line", 8, turn=90)
    for v in {panel.left[1], panel.right[1]}:
        pen.line([(left, v), (right, v)], 0.6, MIDDLE)
    if panel.window is not None:
        _draw_window(pen, panel)
        left, _, right, _ = panel.beside(panel.phone.body) if panel.phone else panel.window_ends
        u = left - 0.2 if panel.phone and panel.phone.lens_at == "left" else right + 0.45
        pen.arrows((u, panel.right[1]), (u, panel.window[1]), f"{panel.window[1] - panel.right[1]:.1f} cm to the lens")
    spacing = np.linalg.norm(panel.right - panel.left)
    words = f"port line, {panel.heights} from the {panel.edge} of {panel.name}", f"ports {spacing:.1f} cm from middle to middle"
    for i, line in enumerate(words):
        pen.text((-0.4, panel.left[1] + 1.6 - 0.38 * i), line, 8, "right", ground=True)
    pen.line(panel.outline, 1.4, FOLD)
    pen.text((0.4, low + 0.15), f"{panel.edge} of {panel.name}", 8)
    for side, port in (("left", panel.left), ("right", panel.right)):
        _draw_port(pen, panel, side, port)


def _draw_port(pen, panel, side, port):
    pen.circle(port, panel.hole / 2, 1.2)
    pen.cross(port, panel.hole / 2 + 0.5)
    pen.circle(port, 0.04, 0, fill=0)
    # Words towards the centre line, where there is paper.
    inner, align = (panel.hole / 2 + 0.25, "left") if port[0] < 0 else (-panel.hole / 2 - 0.25, "right")
    u, v = port
    pen.text((u + inner, v + 0.5), f"{side} port", 9, align, bold=True, ground=True)
    pen.text((u + inner, v - 0.4), f"hole {panel.hole:.1f} cm", 8, align, ground=True)
    below = v - panel.hole / 2 - 0.3
    pen.arrows((min(u, 0), below), (max(u, 0), below), f"{abs(u):.1f} cm")


def _draw_window(pen, panel):
    left, low, right, high = panel.window_ends
    pen.rectangle(left, low, right, high, width=1.2, fill=1)
    pen.cross(panel.window, 0.4, 0.8)
    u = panel.window[0]
    pen.text((u, high - 0.5), "window", 9, "centre", bold=True)
    pen.text((u, low + 0.55), f"{right - left:.1f} x {high - low:.1f} cm", 8, "centre")
    pen.text((u, low + 0.2), "lens at the cross", 7, "centre")


def _draw_phone(pen, panel):
    phone = panel.phone
    left, low, right, high = panel.beside(phone.body)
    pen.rectangle(left, low, right, high, dash=OUTLINE)
    words = (
        f"phone, {phone.length:.1f} x {phone.width:.1f} cm, screen up, lens over the window",
        f"lens {phone.lens_from_end:.1f} cm from its {phone.lens_at} end, {phone.lens_from_side:.1f} cm from its lower edge:",
        "measure yours; where it differs, move outline and ledge",
    )
    side, align = (left + 0.3, "left") if phone.lens_at == "right" else (right - 0.3, "right")
    for i, line in enumerate(words):
        pen.text((side, high - 0.6 - 0.38 * i), line, 8, align)
    pen.arrows((side, high - 2.6), (side, high - 1.7), both=False)
    pen.text((side + (0.3 if align == "left" else -0.3), high - 2.3), f"up, away from the {panel.edge}", 8, align)
    left, low, right, high = panel.beside(phone.ledge)
    for u in np.arange(left, right - (high - low), 0.3):
        pen.line([(u, low), (u + high - low, high)], 0.25)
    pen.rectangle(left, low, right, high, dash=OUTLINE)
    side = (left if phone.lens_at == "right" else panel.window_ends[2]) + 0.3
    pen.text((side, low + 0.35), f"ledge: glue on card, at least {phone.thickness:.1f} cm high", 8, bold=True, ground=True)

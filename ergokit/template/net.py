"""The box laid flat, to scale, with its fold and cut lines, and every cut in numbers."""

from dataclasses import astuple
from typing import NamedTuple

import numpy as np

from ergokit._pages import FOLD, HAIR, MIDDLE, OUTLINE, Drawn
from ergokit.figures.carton import Views, carton_views
from ergokit.surfaces import WedgeBox
from ergokit.template.sheet import KEY, frame_size, sheet

_ROUND = (1.5, 1.2)  # cm of paper about the box, for its measures
_SCALES = (2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 50)

# Openings for hands and light, in cm (this kit's own choice, no source).
_HAND = (20, 10)
_LIGHT = (10, 3)
_RIM = 2  # of card above and below an opening
_SIDE = 4  # of card at either side

# The drawings of the carton: cm of paper beside and above them, for words; how each shape is drawn; and how far words are from
# their place, in mm, and how they are aligned.
_BESIDE, _ABOVE = 2.2, 0.8
_WHITE = {"closed": True, "fill": 1}
_SHAPES = {
    "other wedge": _WHITE,
    "cut face": {"closed": True, "fill": 0.85},
    "end": _WHITE,
    "panels": _WHITE,
    "panel a": {"closed": True, "fill": 0.93},
    "hidden": {"width": HAIR, "dash": OUTLINE},
    "cut, hidden": {"width": HAIR, "dash": FOLD},
    "cut": {"width": 1.8, "dash": FOLD},
    "ridge": {"width": 2.2},
}
_SIDES = {
    "above": ((0, 2), "centre"),
    "below": ((0, -4), "centre"),
    "left": ((-2, 1), "right"),
    "left, above": ((-1, 5), "right"),
    "left, below": ((-2, -3), "right"),
    "right": ((2, 1), "left"),
    "right, above": ((2, 4), "left"),
    "on": ((0, -1), "centre"),
}

_HANDS_IN = (
    "Use the opening for hands to place the target and to pick up what was dropped. Put no hand in while instruments move."
)


class Net(NamedTuple):
    """A box laid flat, seen from outside, x from the centre line, the panel with the ports below and the rear above it.

    outline, folds
        the closed line to cut and the lines to fold
    names, measures
        (name, x, y) of parts, and (start, end, words) of dimension lines
    foot
        y of the panel's lower edge
    rear, openings
        name of the rear and y of its lower edge, which is the upper one on paper; what is cut out of it
    carton, steps, keep
        the sides of the carton, how it becomes the box, and what to mind about its card, in words
    views
        drawings of the carton and its cut, where it has one
    """

    outline: tuple
    folds: tuple
    names: tuple
    measures: tuple
    foot: float
    rear: tuple
    openings: tuple
    carton: str
    steps: tuple
    keep: tuple
    views: Views | None = None


def net_of(box):
    """The `Net` of a box."""
    sides = " x ".join(f"{side:.1f}" for side in astuple(box))
    return (_net_of_wedge if isinstance(box, WedgeBox) else _net_of_flat)(box, f"{sides} cm")


def openings(width, height):
    """Rectangles to cut out of the middle of a rear of this size: (name, width, height, how high the lower edge is), in cm.

    Light shares that for hands where there is no room for two.
    """
    wide = min(_HAND[0], width - 2 * _SIDE)
    both = height - 3 * _RIM - _LIGHT[1]
    if both < _LIGHT[1]:
        return (("opening for hands and light", wide, height - 2 * _RIM, _RIM),)
    return (
        ("opening for hands", wide, min(_HAND[1], both), _RIM),
        ("opening for light", min(_LIGHT[0], wide), _LIGHT[1], height - _RIM - _LIGHT[1]),
    )


def _net_of_wedge(box, carton):
    half, a, b = box.ridge / 2, box.side_a, box.side_b
    return Net(
        outline=((-half, 0), (half, 0), (half + b, a), (half, a), (half, a + b), (-half, a + b), (-half, a), (-half - b, a)),
        folds=(((-half, a), (half, a)), ((-half, 0), (-half, a)), ((half, 0), (half, a))),
        names=(("ridge", 0, a), ("end", -half - b / 3, 0.75 * a), ("end", half + b / 3, 0.75 * a)),
        measures=(
            ((-half, a + b), (half, a + b), f"{box.ridge:.1f}, lower edge of panel b, the rear, on the table"),
            ((half, 0), (half, a), f"side a {a:.1f}"),
            ((half, a + b), (half, a), f"side b {b:.1f}"),
            ((-half - b, a), (-half, a), f"{b:.1f}"),
            ((half + b, a), (half, 0), f"{box.base:.1f}, on the table"),
            ((half, 0), (-half, 0), f"{box.ridge:.1f}, lower edge of panel a, towards you, on the table"),
        ),
        foot=0,
        rear=("panel b", a + b),
        openings=openings(box.ridge, b),
        carton=carton,
        steps=(
            f"Take a closed carton of {carton} and tape all its flaps shut.",
            f"Draw the same diagonal on both end faces ({a:.1f} x {b:.1f} cm). Cut along the two diagonals and along the two "
            "long edges that join their ends. You get two equal wedges; keep one.",
            f"Lay the wedge on the cut: the ridge is on top, {box.ridge_height:.1f} cm high, the base {box.base:.1f} cm from "
            f"front to back. Panel a ({a:.1f} cm up the slope, {box.slope_a:.1f} degrees) faces you, panel b ({b:.1f} cm) is "
            "the rear.",
        ),
        keep=(
            "Keep the wedge whose panel a has no seam. Cut a comparison panel into the other wedge.",
            "The seam of the flaps and the carton's glued edge may run across an end or panel b, but not across panel a or "
            "along the ridge.",
            f"Tape a strip of card {box.base:.1f} cm long across the open base at each end. The strips stop the wedge from "
            "spreading.",
            _HANDS_IN,
        ),
        views=carton_views(box),
    )


def _net_of_flat(box, carton):
    w, d, h = box.width / 2, box.depth / 2, box.height
    right = ((w, -d - h), (w, -d), (w + h, -d), (w + h, d), (w, d), (w, d + h))
    return Net(
        outline=(*right, *((-x, y) for x, y in reversed(right))),
        folds=(((-w, -d), (w, -d)), ((w, -d), (w, d)), ((w, d), (-w, d)), ((-w, d), (-w, -d))),
        names=(("front, towards you", 0, -d - h / 2), ("end", -w - h / 2, 0), ("end", w + h / 2, 0)),
        measures=(
            ((-w, d + h), (w, d + h), f"width {box.width:.1f}"),
            ((w, -d), (w, d), f"depth of the lid {box.depth:.1f}"),
            ((w, d + h), (w, d), f"height {h:.1f}"),
            ((w, -d - h), (-w, -d - h), "on the table, as the other three outer edges"),
        ),
        foot=-d,
        rear=("rear", d + h),
        openings=openings(box.width, h),
        carton=carton,
        steps=(
            f"Take a carton of {carton}, tape one large face shut and cut the "
            "opposite flaps off: the closed face is the lid, the open one stands on the table.",
            f"The lid is level, {box.height:.1f} cm above the table; its {box.width:.1f} cm side runs from left to right.",
        ),
        keep=(
            "Use the face with the fewest seams as the lid. A seam of the flaps may run between two holes, but not through a "
            "hole.",
            "Leave two fingers' width of the flaps at the open face, and tape a strip of card across, so that the walls do not "
            "spread.",
            _HANDS_IN,
        ),
    )


def net_page(paper, net, panel):
    """The box laid flat, to scale."""
    low, high = np.min(net.outline, axis=0), np.max(net.outline, axis=0)
    room = np.array(frame_size(paper, full_size=False))
    need = max((high - low) / (room - _ROUND))
    scale = next((scale for scale in _SCALES if scale >= need), need)
    lines = (
        f"The box laid flat, 1 : {scale:g}, seen from outside. Lengths in cm. Beside each hole: from the centre line | "
        f"from the {panel.edge} of {panel.name}.",
        KEY,
    )

    def draw(pen):
        pen = pen.moved(*(room - (low + high) / scale) / 2, 1 / scale)
        pen.line(net.outline, 1.2, closed=True)
        for fold in net.folds:
            pen.line(fold, 0.9, FOLD)
        _draw_panel(pen.moved(0, net.foot - panel.ends[1]), panel)
        _draw_rear(pen, net)
        for name, x, y in net.names:
            pen.text((x, y), name, 9, "centre", bold=True, ground=True)
        for start, end, words in net.measures:
            pen.arrows(start, end, words, off=0.25)

    return sheet(paper, "The whole box", lines, [Drawn(draw)])


def drawn_carton(views, width, height):
    """The carton, its cut and its wedges, in the middle of a strip of a page, with room for words about it."""
    left, low, right, high = views.ends
    scale = min((width - 2 * _BESIDE) / (right - left), (height - 2 * _ABOVE) / (high - low))

    def draw(pen):
        pen = pen.moved((width - scale * (right - left)) / 2, _ABOVE, scale)
        mm = 0.1 / scale  # on paper
        for name, lines in views.shapes.items():
            for line in lines:
                pen.line(line, **_SHAPES[name])
        for words, place, side in views.written:
            (across, up), align = _SIDES[side]
            pen.text(np.add(place, (across * mm, up * mm)), words, 8.5, align, ground=side == "on")

    return Drawn(draw, height=height)


def _draw_panel(pen, panel):
    mm = 0.1 / pen.scale  # on paper
    pen.line([(0, panel.ends[1]), (0, panel.ends[3])], 0.5, MIDDLE)
    for port in (panel.left, panel.right):
        pen.circle(port, panel.hole / 2, 1.0)
        pen.cross(port, panel.hole)
        pen.text(port - (0, 4.5 * mm), _from_lines(panel, port), 7.5, "centre", ground=True)
    if panel.phone:
        left, _, right, high = panel.body
        pen.rectangle(*panel.body, width=0.6, dash=OUTLINE)
        pen.text(((left + right) / 2, high - 3.5 * mm), "phone", 7.5, "centre")
    if panel.lens is not None:
        pen.rectangle(*panel.camera_hole, width=1.0, fill=1)
        beside = (panel.camera_hole[2] + 3.5 * mm, panel.lens[1] - mm)
        pen.text(beside, _from_lines(panel, panel.lens), 7.5, ground=True)


def _from_lines(panel, place):
    return f"{abs(place[0]):.1f} | {place[1] - panel.ends[1]:.1f}"


def _draw_rear(pen, net):
    (rear, foot), (_, _, height, above) = net.rear, net.openings[0]
    mm = 0.1 / pen.scale
    pen.text((0, foot - above - height - _RIM / 2 - mm), rear, 9, "centre", bold=True)
    for name, width, height, above in net.openings:
        middle, side = foot - above - height / 2, width / 2
        pen.rectangle(-side, middle - height / 2, side, middle + height / 2, width=1.0)
        inside = width * pen.scale > 2.8 and height * pen.scale > 0.7
        x, align = (0, "centre") if inside else (side + 1.5 * mm, "left")
        pen.text((x, middle + 0.6 * mm), f"{name}\n{width:.1f} x {height:.1f}", 7.5, align)


def cuts(net, panel):
    """Rows of the cut list: what, in what, how large, from the centre line, from the lower edge, all in words."""
    foot = panel.ends[1]
    holes = zip(("left port hole", "right port hole", "camera hole"), panel.holes, strict=False)
    rows = []
    for name, (left, low, right, high) in holes:
        size = f"{right - left:.1f} x {high - low:.1f}" if name == "camera hole" else f"{panel.hole:.1f} wide, round"
        rows.append((name, panel.name, size, _sideways((left + right) / 2), f"{(low + high) / 2 - foot:.1f} to its middle"))
    if panel.phone:
        left, low, right, high = panel.ledge
        size = f"{right - left:.1f} x {high - low + panel.phone.thickness:.1f}, folded {high - low:.1f} from a long edge"
        along, up = f"from {_sideways(left)} to {_sideways(right)}", f"{low - foot:.1f} to {high - foot:.1f}"
        rows.append(("ledge: a strip of card, glued on", panel.name, size, along, up))
    for name, width, height, above in net.openings:
        up = f"{above:.1f} to {above + height:.1f}"
        rows.append((name, net.rear[0], f"{width:.1f} x {height:.1f}", "in the middle", up))
    return rows


def _sideways(u):
    return "on it" if abs(u) < 0.05 else f"{abs(u):.1f} {'right' if u > 0 else 'left'}"

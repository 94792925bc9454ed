"""The cut list: the box laid flat, to scale, with its fold and cut lines, and every cut in numbers."""

from functools import singledispatch
from typing import NamedTuple

from ergokit.surfaces import FlatBox, WedgeBox
from ergokit.template.sheet import CUT, FOLD, KEY, MIDDLE, OUTLINE, Page, frame_size

_SCALES = (2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 50)

# Openings for hands and light, in cm (this kit's own choice, no source).
_HAND = (20, 10)
_LIGHT = (10, 3)
_RIM = 2  # of card about an opening
_SIDE = 4  # of card at either side


class Opening(NamedTuple):
    """A rectangle to cut out of the rear: centred, its lower edge `above` the rear's lower edge, in cm."""

    name: str
    width: float
    height: float
    above: float


class Net(NamedTuple):
    """A box laid flat: closed lines to cut, lines to fold, named panels (name, x, y) and where panel and rear have (0, 0).

    `panel` and `rear` give the place of the middle of the lower edge, and +1 or -1 for whether up is up on the paper.
    """

    cuts: tuple
    folds: tuple
    names: tuple
    measures: tuple
    panel: tuple
    rear: tuple
    steps: tuple


def openings(width, height):
    """The openings in a rear of this size, by way of `Opening`s; light shares that for hands where there is no room for two."""
    wide = min(_HAND[0], width - 2 * _SIDE)
    both = height - 3 * _RIM - _LIGHT[1]
    if both >= _LIGHT[1]:
        hand = min(_HAND[1], both)
        return (
            Opening("opening for hands", wide, hand, _RIM),
            Opening("opening for light", min(_LIGHT[0], wide), _LIGHT[1], height - _RIM - _LIGHT[1]),
        )
    return (Opening("opening for hands and light", wide, height - 2 * _RIM, _RIM),)


@singledispatch
def net_of(box):
    """The `Net` of a box, panel with the ports below and rear above where it has a slope."""
    raise ValueError(f"box takes a WedgeBox or a FlatBox, which are cut from card; got {type(box).__name__}.")


@net_of.register
def _(box: WedgeBox):
    half, a, b = box.ridge / 2, box.side_a, box.side_b
    outline = [(-half, 0), (half, 0), (half + b, a), (half, a), (half, a + b), (-half, a + b), (-half, a), (-half - b, a)]
    folds = ([(-half, a), (half, a)], [(-half, 0), (-half, a)], [(half, 0), (half, a)])
    names = (
        ("panel a, towards you", -0.5 * half, 0.9 * a),
        ("panel b, the rear", -0.5 * half, a + 0.42 * b),
        ("ridge", 0.6 * half, a),
        ("end", -half - b / 3, 0.75 * a),
        ("end", half + b / 3, 0.75 * a),
    )
    measures = (
        ((-half, a + b), (half, a + b), f"{box.ridge:.1f}, lower edge of panel b, on the table"),
        ((half, 0), (half, a), f"side a {a:.1f}"),
        ((half, a + b), (half, a), f"side b {b:.1f}"),
        ((-half - b, a), (-half, a), f"{b:.1f}"),
        ((half + b, a), (half, 0), f"{box.base:.1f}, on the table"),
        ((half, 0), (-half, 0), f"{box.ridge:.1f}, lower edge of panel a, on the table"),
    )
    steps = (
        f"Take a closed carton of {box.ridge:.1f} x {a:.1f} x {b:.1f} cm and tape all its flaps shut.",
        f"On both end faces ({a:.1f} x {b:.1f} cm) draw the same diagonal. Cut along both, and along the two long "
        "edges between their ends: two equal wedges. Keep one.",
        f"Lay it on the cut: the ridge is on top, {box.ridge_height:.1f} cm high, the base {box.base:.1f} cm front to back. "
        f"Panel a ({a:.1f} cm up the slope, {box.slope_a:.1f} degrees) faces you, panel b ({b:.1f} cm) is the rear.",
    )
    return Net((outline,), folds, names, measures, (0, 0, 1), (0, a + b, -1), steps)


@net_of.register
def _(box: FlatBox):
    w, d, h = box.width / 2, box.depth / 2, box.height
    outline = [
        (-w, -d - h), (w, -d - h), (w, -d), (w + h, -d), (w + h, d), (w, d),
        (w, d + h), (-w, d + h), (-w, d), (-w - h, d), (-w - h, -d), (-w, -d),
    ]  # fmt: skip
    folds = ([(-w, -d), (w, -d)], [(w, -d), (w, d)], [(w, d), (-w, d)], [(-w, d), (-w, -d)])
    names = (
        ("lid", -0.7 * w, 0.7 * d),
        ("front, towards you", 0, -d - h / 2),
        ("rear", -0.7 * w, d + 0.5 * h),
        ("end", -w - h / 2, 0),
        ("end", w + h / 2, 0),
    )
    measures = (
        ((-w, d + h), (w, d + h), f"width {box.width:.1f}"),
        ((w, -d), (w, d), f"depth {box.depth:.1f}"),
        ((w, d + h), (w, d), f"height {h:.1f}"),
        ((w, -d - h), (-w, -d - h), "on the table, as the other three outer edges"),
    )
    steps = (
        f"Take a carton of {box.width:.1f} x {box.depth:.1f} x {box.height:.1f} cm, tape one large face shut and cut the "
        "opposite flaps off: the closed face is the lid, the open one stands on the table.",
        f"The lid is level, {box.height:.1f} cm above the table; its {box.width:.1f} cm side runs from left to right.",
    )
    return Net((outline,), folds, names, measures, (0, -d, 1), (0, d + h, -1), steps)


def net_page(paper, box, panel):
    """The box laid flat, to scale, as a `Page`."""
    net = net_of(box)
    xs, ys = zip(*(point for cut in net.cuts for point in cut), strict=True)
    width, height = frame_size(paper, True, full_size=False)
    need = max((max(xs) - min(xs)) / (width - 1.5), (max(ys) - min(ys)) / (height - 1.2))
    scale = next((scale for scale in _SCALES if scale >= need), need)
    lines = (
        f"The box laid flat, 1 : {scale:g}, seen from outside. Lengths in cm; of holes and window: from the centre line | "
        f"from the {panel.edge} of {panel.name}.",
        KEY,
    )

    def draw(pen):
        middle = (max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2
        _draw(pen.moved(width / 2 - middle[0] / scale, height / 2 - middle[1] / scale, 1 / scale), net, box, panel)

    return Page("The whole box", lines, draw, full_size=False)


def _rear(box):
    return (box.ridge, box.side_b) if isinstance(box, WedgeBox) else (box.width, box.height)


def _draw(pen, net, box, panel):
    for cut in net.cuts:
        pen.line(cut, 1.2, CUT, closed=True)
    for fold in net.folds:
        pen.line(fold, 0.9, FOLD)
    x, y, _ = net.panel
    on_panel = pen.moved(x, y - panel.low)
    on_panel.line([(0, panel.low), (0, panel.outline[:, 1].max())], 0.5, MIDDLE)
    for port in (panel.left, panel.right):
        on_panel.circle(port, panel.hole / 2, 1.0)
        on_panel.cross(port, panel.hole)
        on_panel.text(
            port - (0, 0.45 / pen.scale), f"{abs(port[0]):.1f} | {port[1] - panel.low:.1f}", 7.5, "centre", ground=True
        )
    if panel.window is not None:
        if panel.phone:
            u, v = panel.window
            left, low, right, high = panel.phone.body
            on_panel.rectangle(u + left, v + low, u + right, v + high, width=0.6, dash=OUTLINE)
            on_panel.text((u + (left + right) / 2, v + high - 0.35 / pen.scale), "phone", 7.5, "centre")
        on_panel.rectangle(*panel.window_ends, width=1.0, fill=1)
        u, v = panel.window
        on_panel.text(
            (u + panel.sides[0] / 2 + 0.35 / pen.scale, v - 0.1 / pen.scale),
            f"{abs(u):.1f} | {v - panel.low:.1f}",
            7.5,
            ground=True,
        )
    x, y, way = net.rear
    for opening in openings(*_rear(box)):
        low, high = sorted((y + way * opening.above, y + way * (opening.above + opening.height)))
        pen.rectangle(x - opening.width / 2, low, x + opening.width / 2, high, width=1.0)
        words = opening.name, f"{opening.width:.1f} x {opening.height:.1f}"
        inside = opening.width * pen.scale > 2.8 and opening.height * pen.scale > 0.7
        start, align = (x, "centre") if inside else (x + opening.width / 2 + 0.15 / pen.scale, "left")
        for i, line in enumerate(words):
            pen.text((start, (low + high) / 2 + (0.06 - 0.3 * i) / pen.scale), line, 7.5, align)
    for name, x, y in net.names:
        pen.text((x, y), name, 9, "centre", bold=True, ground=True)
    for start, end, words in net.measures:
        pen.arrows(start, end, words, off=0.25)


def cut_list(box, panel):
    """Rows of the cut list: what, how large, from the centre line, from the lower edge, all in words."""
    rows = []
    for side, port in (("left", panel.left), ("right", panel.right)):
        rows.append(
            (
                f"{side} port hole",
                panel.name,
                f"{panel.hole:.1f} wide, round",
                _sideways(port[0]),
                f"{port[1] - panel.low:.1f} to its middle",
            )
        )
    if panel.window is not None:
        u, v = panel.window
        size = f"{panel.sides[0]:.1f} x {panel.sides[1]:.1f}"
        rows.append(("window", panel.name, size, _sideways(u), f"{v - panel.low:.1f} to its middle"))
    if panel.phone:
        phone, v = panel.phone, panel.window[1] - panel.low
        left, low, right, high = phone.ledge
        size = f"{right - left:.1f} x {high - low + phone.thickness:.1f}, folded {high - low:.1f} from a long edge"
        place = f"from {_sideways(panel.window[0] + left)} to {_sideways(panel.window[0] + right)}"
        rows.append(("ledge: a strip of card, glued on", panel.name, size, place, f"{v + low:.1f} to {v + high:.1f}"))
    rear = "panel b" if isinstance(box, WedgeBox) else "rear"
    for opening in openings(*_rear(box)):
        size = f"{opening.width:.1f} x {opening.height:.1f}"
        rows.append((opening.name, rear, size, "centred", f"{opening.above:.1f} to {opening.above + opening.height:.1f}"))
    return rows


def _sideways(u):
    return "on it" if abs(u) < 0.005 else f"{abs(u):.1f} {'right' if u > 0 else 'left'}"

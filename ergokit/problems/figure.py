"""Small drawings to scale, in black and white, for paper, HTML and the notebook alike."""

import numpy as np
from reportlab.graphics.shapes import Circle, Drawing, Line, Polygon, PolyLine, Rect, String
from reportlab.lib.colors import Color, black, white
from reportlab.pdfbase.pdfmetrics import stringWidth

WIDTH, HEIGHT = 200, 158  # points
_GREY = Color(0.4, 0.4, 0.4)
_SIZE, _FONT, _BOLD = 8, "Helvetica", "Helvetica-Bold"
_DASH, _DOT = (4, 2.2), (0.8, 2)
_BAR = 5  # cm


class Sketch:
    """A drawing of places given in cm, all at one scale; what is written has the same size in every drawing."""

    def __init__(self, *places, room=(26, 22, 26, 18), bar=True):
        """`room` is kept around the places for words: left, below, right, above, in points."""
        places = np.array(places, float)
        low, high = places.min(axis=0), places.max(axis=0)
        left, below, right, above = room
        space = np.array([WIDTH - left - right, HEIGHT - below - above])
        self.scale = float(np.min(space / np.maximum(high - low, 1e-9)))  # points per cm
        self._origin = np.array([left, below]) + (space - self.scale * (high - low)) / 2 - self.scale * low
        self.drawing = Drawing(WIDTH, HEIGHT)
        if bar:
            self._bar()

    def at(self, place):
        """A place in points."""
        return self._origin + self.scale * np.asarray(place, float)

    def line(self, *places, width=0.8, dash=None, grey=False, closed=False, fill=None):
        points = [float(part) for place in places for part in self.at(place)]
        looks = {"strokeColor": _GREY if grey else black, "strokeWidth": width, "strokeDashArray": dash}
        shape = Polygon(points, fillColor=fill, **looks) if closed else PolyLine(points, **looks)
        self.drawing.add(shape)

    def shaft(self, port, target, side):
        """Left whole, right dashed, as in every figure of the kit."""
        self.line(port, target, width=2.2, dash=None if side == "left" else (6, 2.5))

    def port(self, place, side):
        x, y = self.at(place)
        if side == "left":
            self.drawing.add(Circle(x, y, 3.4, fillColor=white, strokeColor=black, strokeWidth=1.2))
        else:
            diamond = [x - 4.2, y, x, y - 4.2, x + 4.2, y, x, y + 4.2]
            self.drawing.add(Polygon(diamond, fillColor=white, strokeColor=black, strokeWidth=1.2))

    def cross(self, place):
        """A target."""
        x, y = self.at(place)
        for way in (1, -1):
            self.drawing.add(Line(x - 3.5, y - 3.5 * way, x + 3.5, y + 3.5 * way, strokeWidth=1.4))

    def lens(self, place):
        x, y = self.at(place)
        self.drawing.add(Rect(x - 3.5, y - 3.5, 7, 7, fillColor=black, strokeWidth=0))

    def text(self, place, words, shift=(0, 0), align="middle", bold=False, size=_SIZE):
        """Words with their middle beside a place, `shift` in points, on a white ground."""
        x, y = self.at(place) + np.asarray(shift, float)
        font = _BOLD if bold or words == "?" else _FONT
        size = size + 3 if words == "?" else size
        wide = stringWidth(words, font, size)
        start = {"start": x, "middle": x - wide / 2, "end": x - wide}[align]
        start = min(max(start, 1.0), WIDTH - 1.0 - wide)
        y = min(max(y, 0.5 * size), HEIGHT - 0.5 * size)
        self.drawing.add(Rect(start - 1, y - 0.5 * size, wide + 2, size, fillColor=white, strokeColor=None, strokeWidth=0))
        self.drawing.add(String(start, y - 0.34 * size, words, fontName=font, fontSize=size))

    def along(self, start, end, words, away=7, share=0.5):
        """Words beside a line, `away` points to its left as one walks from start to end."""
        start, end = np.asarray(start, float), np.asarray(end, float)
        way = (end - start) / np.linalg.norm(end - start)
        across = np.array([-way[1], way[0]])
        wide = stringWidth(words, _FONT, _SIZE) / 2
        self.text(start + share * (end - start), words, across * (abs(away) + abs(across[0]) * wide) * np.sign(away))

    def measure(self, start, end, words, away=10, width=0.5):
        """A dimension line with ticks, `away` points to the left of the way from start to end, and its words."""
        start, end = np.asarray(start, float), np.asarray(end, float)
        way = (end - start) / np.linalg.norm(end - start)
        across = np.array([-way[1], way[0]])
        shift = across * away / self.scale
        self.line(start + shift, end + shift, width=width)
        for place in (start, end):
            tick = across * 3 / self.scale
            self.line(place + shift - tick, place + shift + tick, width=width)
            self.line(place, place + shift, width=0.3, grey=True, dash=_DOT)
        beyond = 0 if abs(across[0]) < 0.5 else stringWidth(words, _FONT, _SIZE) / 2
        self.text((start + end) / 2 + shift, words, across * np.sign(away) * (6 + beyond) if beyond else (0, 0))

    def arc(self, centre, first, second, radius, words, out=9, width=1.0):
        """The angle at a place between the directions to two others, `radius` in points, and its words."""
        centre = np.asarray(centre, float)
        legs = [np.asarray(place, float) - centre for place in (first, second)]
        ends = np.unwrap([np.arctan2(*leg[::-1]) for leg in legs])
        turn = np.linspace(*ends, 25)
        room = (stringWidth(words, _BOLD, _SIZE + 3) + 12) / abs(np.ptp(ends))  # a narrow angle has room farther out
        radius = max(radius, min(room - out, 0.7 * self.scale * min(map(np.linalg.norm, legs))))
        self.line(*(centre + radius / self.scale * np.stack([np.cos(turn), np.sin(turn)], axis=-1)), width=width)
        if not words:
            return
        middle = turn.mean()
        wide = stringWidth(words, _FONT, _SIZE) / 2
        reach = radius + out + max(0.0, wide - 6) * abs(np.cos(middle))
        self.text(centre, words, reach * np.array([np.cos(middle), np.sin(middle)]))

    def _bar(self):
        """How long 5 cm are."""
        x, y, long = 3.0, 5.0, _BAR * self.scale
        for ends in ((x, y, x + long, y), (x, y - 2, x, y + 2), (x + long, y - 2, x + long, y + 2)):
            self.drawing.add(Line(*ends, strokeWidth=0.8))
        self.drawing.add(String(x + long + 4, y - 2.5, f"{_BAR} cm", fontName=_FONT, fontSize=7))


def triangle(
    spacing, depth, offset=0.0, *, s="", left="", right="", h="", x="", angle="", lens=None, d="", lens_aside="", azimuth=None
):
    """The triangle in the instruments' plane; a word for each measure that is to be written on it.

    `lens` is how far along the port line the camera sits, right positive, and `lens_aside` says so; `azimuth` is (side, words)
    of an arc from an instrument to the axis.
    """
    sketch = Sketch(*_triangle_places(spacing, depth, offset), room=(34, 22, 50 if azimuth else 34, 40 if lens_aside else 26))
    words = {"s": s, "left": left, "right": right, "h": h, "x": x, "angle": angle, "d": d, "lens_aside": lens_aside}
    _triangle_on(sketch, (0, 0), spacing, depth, offset, lens=lens, azimuth=azimuth, **words)
    return sketch.drawing


def two_triangles(first, second):
    """Two triangles side by side at one scale, A and B; each a mapping of the arguments of `triangle`."""
    gap = 0.34 * max(first["spacing"], second["spacing"])
    move = (first["spacing"] + second["spacing"]) / 2 + gap
    places = [
        np.add(place, (middle, 0))
        for each, middle in ((first, 0.0), (second, move))
        for place in _triangle_places(each["spacing"], each["depth"], each.get("offset", 0.0))
    ]
    sketch = Sketch(*places, room=(14, 30, 14, 30))
    for name, each, middle in (("A", first, 0.0), ("B", second, move)):
        _triangle_on(sketch, (middle, 0), **each)
        foot = (middle + each.get("offset", 0.0), -each["depth"])
        sketch.text(foot, name, (0, -12), bold=True, size=11)
    return sketch.drawing


def _triangle_places(spacing, depth, offset):
    return (-spacing / 2, 0), (spacing / 2, 0), (offset, -depth), (offset, 0)


def _triangle_on(
    sketch,
    middle,
    spacing,
    depth,
    offset=0.0,
    *,
    s="",
    left="",
    right="",
    h="",
    x="",
    angle="",
    lens=None,
    d="",
    lens_aside="",
    azimuth=None,
):
    l_port, r_port, target, foot = (np.add(place, middle) for place in _triangle_places(spacing, depth, offset))
    sketch.line(l_port, r_port, grey=True)
    if h:
        sketch.line(foot, target, grey=True, dash=_DOT, width=1)
    if x:
        centre = np.array(middle, float)
        sketch.line(centre, np.add(centre, (0, -0.96 * depth)), grey=True, dash=(7, 2, 1, 2), width=0.5)
    if lens is not None:
        place = np.add(middle, (lens, 0))
        sketch.line(place, target, dash=_DASH, width=0.9)
    sketch.shaft(l_port, target, "left")
    sketch.shaft(r_port, target, "right")
    sketch.port(l_port, "left")
    sketch.port(r_port, "right")
    sketch.cross(target)
    if lens is not None:
        sketch.lens(place)
        if d:
            sketch.text(0.45 * place + 0.55 * target, d)
    if s:
        sketch.measure(l_port, r_port, s, 26 if lens_aside else 12)
    if left:
        sketch.along(l_port, target, left, -7, 0.45)
    if right:
        sketch.along(r_port, target, right, 7, 0.45)
    if h and azimuth:  # the arc needs the room inside
        corner = np.array([r_port[0], target[1]])
        sketch.line(target, corner, grey=True, dash=_DOT, width=0.3)
        sketch.measure(r_port, corner, h, 10)
    elif h:
        long = depth * sketch.scale
        down = max(min(0.4 * long, long - 54), 21 if x else 12)  # clear of the arc and of the offset
        aside = 0 if abs(offset) < 0.2 * spacing else -10 * np.sign(offset)
        sketch.text(foot - (0, down / sketch.scale), h, (aside, 0))
    if x:
        sketch.measure(centre, foot, x, -9 * np.sign(offset))
    if angle:
        sketch.arc(target, l_port, r_port, 22, angle)
    if lens_aside:
        sketch.measure(middle, place, lens_aside, 11 * np.sign(lens))
    if azimuth:
        side, words = azimuth
        port = l_port if side == "left" else r_port
        sketch.arc(target, port, place, 30, words, width=0.8)


def flat_phone(distance, window, *, h="", k="", d="", front=None):
    """A phone lying flat on its panel, from the side: both ports in one place, the lens up the panel, the axis square to it.

    With `front`, arguments of `triangle`, the triangle of the ports and the target stands beside it at the same scale.
    """
    up = np.array([np.cos(np.radians(35)), np.sin(np.radians(35))])
    inward = np.array([up[1], -up[0]])
    ports, lens = np.zeros(2), window * up
    target = lens + distance * inward
    ends = -3.0 * up, lens + 4.5 * up
    places = [*ends, target]
    middle = 0.0
    if front:
        middle = min(place[0] for place in places) - front["spacing"] / 2 - 4
        places += [np.add(place, (middle, 0)) for place in _triangle_places(front["spacing"], front["depth"], 0.0)]
    sketch = Sketch(*places, room=(22, 30 if front else 24, 16, 26 if front else 16))
    sketch.line(*ends, width=1.6)
    phone = [lens - 3.8 * up, lens + 3.8 * up]
    sketch.line(*phone, *(place - 0.9 * inward for place in phone[::-1]), closed=True, fill=white, width=0.9)
    sketch.line(lens, target, dash=_DASH, width=0.9)
    sketch.line(ports, target, width=2.2)
    sketch.port(ports, "left")
    sketch.lens(lens)
    sketch.cross(target)
    if k:
        sketch.measure(ports, lens, k, 16)
    if h:
        sketch.along(ports, target, h, -7)
    if d:
        sketch.along(lens, target, d, 8)
    if front:
        _triangle_on(sketch, (middle, 0), **front)
        sketch.text((middle, -front["depth"]), "square to both shafts", (0, -11), size=7)
        sketch.text(target, "from the side", (0, -11), size=7)
    return sketch.drawing


def azimuth(left, right, *, whole="", words=("", "")):
    """Two equal shafts `left` and `right` degrees from the optical axis, upright between them; words for either azimuth."""
    turns = np.radians([90 + left, 90 - right, 90])
    l_end, r_end, axis = 14 * np.stack([np.cos(turns), np.sin(turns)], axis=-1)
    target = np.zeros(2)
    sketch = Sketch(l_end, r_end, axis, target, room=(26, 24, 26, 20), bar=False)
    sketch.line(target, axis, dash=_DASH, width=0.9)
    sketch.shaft(l_end, target, "left")
    sketch.shaft(r_end, target, "right")
    sketch.port(l_end, "left")
    sketch.port(r_end, "right")
    sketch.lens(axis)
    sketch.cross(target)
    sketch.arc(target, l_end, axis, 34, words[0])
    sketch.arc(target, axis, r_end, 40, words[1])
    far = 0.84 * 14 * sketch.scale
    sketch.arc(target, l_end, r_end, far, "")
    sketch.text(target, whole, far * np.array([np.cos(turns[:2].mean()), np.sin(turns[:2].mean())]))
    sketch.text(target, "angles to scale", (0, -14), size=7)
    return sketch.drawing


def picture_width(distance, field, *, width="", angle="", d=""):
    """The camera's field of view from above, and how wide it is at the target."""
    half = distance * np.tan(np.radians(field / 2))
    lens, target = np.zeros(2), np.array([0, -distance])
    sketch = Sketch(lens, (-half, -distance), (half, -distance), room=(20, 34, 20, 16))
    for side in (-1, 1):
        sketch.line(lens, (side * half, -distance), grey=True)
    sketch.line((-half, -distance), (half, -distance), width=1.2)
    sketch.line(lens, target, dash=_DASH, width=0.9)
    sketch.lens(lens)
    sketch.cross(target)
    sketch.arc(lens, (-half, -distance), (half, -distance), 24, angle)
    sketch.text(0.3 * lens + 0.7 * target, d)
    sketch.measure((-half, -distance), (half, -distance), width, -11)
    return sketch.drawing


def lever(inside, outside, handle=0.0, *, i="", whole="", hand="", tip="", travel=None, ratio=""):
    """An instrument in its hole, tip to the right; `travel` is (of the hand, of the tip) across the shaft, in cm.

    `ratio` says which one is asked, where it is not a length.
    """
    end = -outside - handle
    places = [(end, -3.0), (inside, 3.0)]
    if travel:
        places += [(end, travel[0]), (inside, -travel[1])]
    sketch = Sketch(*places, room=(14, 40, 14, 26))
    sketch.line((0, 2.2), (0, 0.35), width=2.6)
    sketch.line((0, -0.35), (0, -2.2), width=2.6)
    sketch.line((-outside, 0), (inside, 0), width=2.2)
    if handle:
        sketch.line((end, 0), (-outside, 0), width=4.5, grey=True)
    sketch.text((inside, 0), "tip", (0, 10 if travel else -10), size=7)
    if not travel:
        sketch.text((end, 0), "hand" if handle else "outer end", (4, 10), size=7)
    if ratio:
        middle = ((end + inside) / 2, 0)
        sketch.text(middle, ratio, (20, -52), align="end")
        sketch.text(middle, "?", (30, -52))
    for start, finish, words, away in (
        ((0, 0), (inside, 0), i, -26),
        ((end, 0), (-outside, 0), hand, -26),
        ((-outside, 0), (inside, 0), whole, 24),
    ):
        if words:
            sketch.measure(start, finish, words, away)
    if travel:
        for place, way, words in (((end, 0), travel[0], f"{travel[0]:g} cm"), ((inside, 0), -travel[1], tip)):
            moved = np.add(place, (0, way))
            sketch.line(place, moved, dash=_DASH)
            sketch.line((0, 0), moved, grey=True, width=0.5)
            sketch.text(moved, words, (8 if way > 0 else -4, 8 * np.sign(way)))
    return sketch.drawing


def wedge(side_a, side_b, *, a="", b="", height="", share=None, axis="", f=""):
    """A wedge box from the side: the operator at the left, the ridge on top; with `share` a phone lying flat so far up."""
    base = np.hypot(side_a, side_b)
    up = np.array([side_a, side_b]) / base
    foot, ridge, back = np.zeros(2), side_a * up, np.array([base, 0.0])
    sketch = Sketch(foot, ridge, back, room=(24 if share is None else 46, 20, 24, 16))
    sketch.line(foot, ridge, back, closed=True, width=1.6)
    if share is not None:
        inward = np.array([up[1], -up[0]])
        lens = share * ridge
        floor = np.array([share * base, 0.0])
        phone = [lens - min(3.8, share * side_a - 0.3) * up, lens + min(3.8, (1 - share) * side_a - 0.3) * up]
        sketch.line(*phone, *(place - 0.9 * inward for place in phone[::-1]), closed=True, fill=white, width=0.9)
        sketch.line(lens, floor, dash=_DASH, width=0.9)
        sketch.lens(lens)
        sketch.text(0.5 * (lens + floor), axis)
        sketch.measure(foot, lens, f, 12)
    if height:
        sketch.line(ridge, (ridge[0], 0), grey=True, dash=_DOT, width=1)
        sketch.text((ridge[0], 0.45 * ridge[1]), height, (-6, 0), align="end")
    if a:
        sketch.along(foot, ridge, a, 7, 0.5 if share is None else (1 + share) / 2)
    if b:
        sketch.along(ridge, back, b, 8)
    return sketch.drawing


def crate(height, beyond, spacing, *, s="", angle="", y="", up=""):
    """A box with a level lid, from the side, and beside it the triangle in the instruments' plane, both at one scale."""
    deep = float(np.hypot(height, beyond))
    width = beyond + 9
    middle = -3 - spacing / 2 - 7
    places = [(-3, 0), (width - 3, height), (middle - spacing / 2, height), (middle, height - deep)]
    sketch = Sketch(*places, room=(12, 34, 22, 26))
    sketch.line((-3, height), (-3, 0), (width - 3, 0), (width - 3, height), closed=True, width=1.4)
    port, target = np.array([0.0, height]), np.array([beyond, 0.0])
    sketch.line(port, target, width=2.2)
    sketch.port(port, "left")
    sketch.cross(target)
    sketch.measure((0, 0), target, y, -10)
    sketch.line(port, (0, 0), grey=True, dash=_DOT)
    sketch.measure((width - 3, 0), (width - 3, height), up, -9)
    sketch.text(((width - 6) / 2, 0), "from the side", (0, -26), size=7)
    _triangle_on(sketch, (middle, height), spacing, deep, s=s, angle=angle)
    sketch.text((middle, height - deep), "square to both shafts", (0, -12), size=7)
    return sketch.drawing


def names():
    """Which measure is which; no numbers, and to no scale."""
    sketch = Sketch((-8, 0), (8, 0), (0, -13), room=(34, 24, 34, 26), bar=False)
    _triangle_on(sketch, (0, 0), 16.0, 13.0, s="port spacing", angle="angle", lens=0.0)
    for side in (-1, 1):
        sketch.along((8 * side, 0), (0, -13), "inserted length", 7 * side, 0.4)
    sketch.text((0, -3.2), "working")
    sketch.text((0, -4.3), "distance")
    sketch.text((0, -13), "names only, not to scale", (0, -17), size=7)
    return sketch.drawing

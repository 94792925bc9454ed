"""Small drawings to scale, in black and white, for paper, HTML and the notebook alike.

A picture is drawn from `measures` (name -> cm or degrees) and shows the `words` of those that have any (name -> words).
"""

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

    def beside(self, start, end):
        """Two places as arrays, and the direction to the left as one walks from the first to the second."""
        start, end = np.asarray(start, float), np.asarray(end, float)
        x, y = (end - start) / np.linalg.norm(end - start)
        return start, end, np.array([-y, x])

    def line(self, *places, width=0.8, dash=None, grey=False, closed=False, fill=None):
        points = [float(part) for place in places for part in self.at(place)]
        looks = {"strokeColor": _GREY if grey else black, "strokeWidth": width, "strokeDashArray": dash}
        shape = Polygon(points, fillColor=fill, **looks) if closed else PolyLine(points, **looks)
        self.drawing.add(shape)

    def shafts(self, left, right, target):
        """Both instruments from their ports: left whole, right dashed, as in every figure of the kit."""
        for port, dash in ((left, None), (right, (6, 2.5))):
            self.line(port, target, width=2.2, dash=dash)
        self.port(left, "left")
        self.port(right, "right")

    def phone(self, low, high, inward):
        """A phone lying flat, its screen outside."""
        self.line(low, high, *(place - 0.9 * inward for place in (high, low)), closed=True, fill=white, width=0.9)

    def port(self, place, side):
        x, y = self.at(place)
        if side == "left":
            self.drawing.add(Circle(x, y, 3.4, fillColor=white, strokeColor=black, strokeWidth=1.2))
        else:
            diamond = [x - 4.2, y, x, y - 4.2, x + 4.2, y, x, y + 4.2]
            self.drawing.add(Polygon(diamond, fillColor=white, strokeColor=black, strokeWidth=1.2))

    def target(self, place, r=3.8):
        """The kit's one sign of a target: a disc with a cross to its edge."""
        x, y = self.at(place)
        self.drawing.add(Circle(x, y, r, fillColor=white, strokeColor=black, strokeWidth=1.2))
        for dx, dy in ((r, 0), (0, r)):
            self.drawing.add(Line(x - dx, y - dy, x + dx, y + dy, strokeWidth=1.2))

    def lens(self, place):
        x, y = self.at(place)
        self.drawing.add(Rect(x - 3.5, y - 3.5, 7, 7, fillColor=black, strokeWidth=0))

    def text(self, place, words, shift=(0, 0), align="middle", bold=False, size=_SIZE):
        """Words with their middle beside a place, `shift` in points, on a white ground."""
        if not words:
            return
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
        if not words:
            return
        start, end, across = self.beside(start, end)
        wide = stringWidth(words, _FONT, _SIZE) / 2
        self.text(start + share * (end - start), words, across * (abs(away) + abs(across[0]) * wide) * np.sign(away))

    def measure(self, start, end, words, away=10, width=0.5):
        """A dimension line with ticks, `away` points to the left of the way from start to end, and its words."""
        if not words:
            return
        start, end, across = self.beside(start, end)
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


_SHOWN = {"camera_hole_fraction": "{:g} of it", "instrument_length": "shaft {:g} cm"}
_SHOWN |= dict.fromkeys(("manipulation_angle", "field_of_view", "left_azimuth", "right_azimuth", "direction_of_view"), "{:g}°")


def labels(given, asked):
    """What is written at each measure: its number, with its error if it has one; "?" at the one that is asked."""
    words = {name: _SHOWN.get(name, "{:g} cm").format(abs(value)) for name, value in given.items()} | {asked: "?"}
    for name in words:
        if f"{name}_error" in given:
            unit = " cm" if name == "spacing" else ""  # room is short
            words[name] = f"{given[name]:g} ± {given[f'{name}_error']:g}{unit}"
    return words


def triangle(measures, words):
    """The triangle in the instruments' plane; where the camera sits on the port line with "camera", or at its middle."""
    azimuth, camera = words.keys() & {"left_azimuth", "right_azimuth"}, "camera" in words
    sketch = Sketch(*_corners(measures), room=(34, 22, 50 if azimuth else 34, 40 if camera else 26))
    _triangle_on(sketch, (0, 0), measures, words)
    return sketch.drawing


def two_triangles(measures, words):
    """Two triangles side by side at one scale, of the measures that end in _A and in _B; the unit stands at the spacing."""
    first, second = ({name[:-2]: measure for name, measure in measures.items() if name.endswith(end)} for end in ("_A", "_B"))
    gap = 0.34 * max(first["spacing"], second["spacing"])
    move = (first["spacing"] + second["spacing"]) / 2 + gap
    middles = np.zeros(2), np.array([move, 0.0])
    sketch = Sketch(*_corners(first), *(_corners(second) + middles[1]), room=(14, 30, 14, 30))
    for letter, each, middle in zip("AB", (first, second), middles, strict=True):
        told = {name[:-2]: words[name].removesuffix(" cm") for name in words if name.endswith(f"_{letter}") and measures[name]}
        _triangle_on(sketch, middle, each, told | {"spacing": words[f"spacing_{letter}"]})
        sketch.text(_corners(each)[2] + middle, letter, (0, -12), bold=True, size=11)
    return sketch.drawing


def _corners(measures):
    """Left port, right port, target and the foot of its depth, of the triangle that has these measures."""
    left = measures.get("left_length", measures.get("inserted_length"))
    spacing = measures.get("spacing")
    if left is None:
        depth, offset = measures.get("depth", measures.get("working_distance")), measures.get("offset", 0.0)
    else:
        right = measures.get("right_length", left)
        if spacing is None:
            turn = np.radians(measures["manipulation_angle"])
            spacing = np.sqrt(left**2 + right**2 - 2 * left * right * np.cos(turn))
        offset = (left**2 - right**2) / (2 * spacing)
        depth = np.sqrt(left**2 - (spacing / 2 + offset) ** 2)
    return np.array([(-spacing / 2, 0), (spacing / 2, 0), (offset, -depth), (offset, 0)])


def _triangle_on(sketch, middle, measures, words):
    l_port, r_port, target, foot = _corners(measures) + middle
    middle = np.array(middle, float)
    depth = foot[1] - target[1]
    both = words.get("inserted_length", "")
    h, x, camera = words.get("depth", ""), words.get("offset", ""), words.get("camera", "")
    azimuth = next((name for name in words if name.endswith("_azimuth")), "")
    sketch.line(l_port, r_port, grey=True)
    if h:
        sketch.line(foot, target, grey=True, dash=_DOT, width=1)
    if x:
        sketch.line(middle, middle - (0, 0.96 * depth), grey=True, dash=(7, 2, 1, 2), width=0.5)
    lens = middle + np.array([measures.get("camera", 0.0), 0]) if {"camera", "working_distance"} & measures.keys() else None
    if lens is not None:
        sketch.line(lens, target, dash=_DASH, width=0.9)
    sketch.shafts(l_port, r_port, target)
    sketch.target(target)
    if lens is not None:
        sketch.lens(lens)
        sketch.text(0.45 * lens + 0.55 * target, words.get("working_distance"))
    sketch.measure(l_port, r_port, words.get("spacing"), 26 if camera else 12)
    sketch.along(l_port, target, words.get("left_length", both), -7, 0.45)
    sketch.along(r_port, target, words.get("right_length", both), 7, 0.45)
    if h and azimuth:  # the arc needs the room inside
        corner = np.array([r_port[0], target[1]])
        sketch.line(target, corner, grey=True, dash=_DOT, width=0.3)
        sketch.measure(r_port, corner, h, 10)
    elif h:
        long = depth * sketch.scale
        down = max(min(0.4 * long, long - 54), 21 if x else 12)  # clear of the arc and of the offset
        offset = foot[0] - middle[0]
        aside = 0 if abs(offset) < 0.2 * (r_port - l_port)[0] else -10 * np.sign(offset)
        sketch.text(foot - (0, down / sketch.scale), h, (aside, 0))
    sketch.measure(middle, foot, x, -9 * np.sign(foot[0] - middle[0]))
    if "manipulation_angle" in words:
        sketch.arc(target, l_port, r_port, 22, words["manipulation_angle"])
    if camera:
        sketch.measure(middle, lens, camera, 11 * np.sign(measures["camera"]))
    if azimuth:
        sketch.arc(target, l_port if azimuth == "left_azimuth" else r_port, lens, 30, words[azimuth], width=0.8)


def flat_phone(measures, words):
    """A phone lying flat on its panel, from the side: both ports in one place, the lens up the panel, the axis square to it.

    With a spacing, the triangle of the ports and the target stands beside it at the same scale.
    """
    up = np.array([np.cos(np.radians(35)), np.sin(np.radians(35))])
    inward = np.array([up[1], -up[0]])
    ports, lens = np.zeros(2), measures["camera_hole_up_panel"] * up
    target = lens + measures["working_distance"] * inward
    ends = -3.0 * up, lens + 4.5 * up
    places = [*ends, target]
    front = {name: measures[name] for name in ("spacing", "depth") if "spacing" in measures}
    if front:
        middle = np.array([min(place[0] for place in places) - front["spacing"] / 2 - 4, 0.0])
        places += [*(_corners(front) + middle)]
    sketch = Sketch(*places, room=(22, 30 if front else 24, 16, 26 if front else 16))
    sketch.line(*ends, width=1.6)
    sketch.phone(lens - 3.8 * up, lens + 3.8 * up, inward)
    sketch.line(lens, target, dash=_DASH, width=0.9)
    sketch.line(ports, target, width=2.2)
    sketch.port(ports, "left")
    sketch.lens(lens)
    sketch.target(target)
    sketch.measure(ports, lens, words.get("camera_hole_up_panel"), 16)
    sketch.along(ports, target, words.get("depth"), -7)
    sketch.along(lens, target, words.get("working_distance"), 8)
    if front:
        told = {name: words[name] for name in ("spacing", "manipulation_angle") if name in words}
        told["right_length"] = words.get("inserted_length", "").removesuffix(" cm")  # room is short
        _triangle_on(sketch, middle, front, told)
        sketch.text(middle - (0, front["depth"]), "square to both shafts", (0, -11), size=7)
        sketch.text(target, "from the side", (0, -11), size=7)
    return sketch.drawing


def azimuths(measures, words):
    """Two equal shafts on either side of the optical axis, which is upright between them."""
    turns = np.radians([90 + measures["left_azimuth"], 90 - measures["right_azimuth"], 90])
    l_end, r_end, axis = 14 * np.stack([np.cos(turns), np.sin(turns)], axis=-1)
    target = np.zeros(2)
    sketch = Sketch(l_end, r_end, axis, target, room=(26, 24, 26, 20), bar=False)
    sketch.line(target, axis, dash=_DASH, width=0.9)
    sketch.shafts(l_end, r_end, target)
    sketch.lens(axis)
    sketch.target(target)
    sketch.arc(target, l_end, axis, 34, words["left_azimuth"])
    sketch.arc(target, axis, r_end, 40, words["right_azimuth"])
    far = 0.84 * 14 * sketch.scale
    sketch.arc(target, l_end, r_end, far, "")
    middle = turns[:2].mean()
    sketch.text(target, words["manipulation_angle"], far * np.array([np.cos(middle), np.sin(middle)]))
    sketch.text(target, "angles to scale", (0, -14), size=7)
    return sketch.drawing


def picture_width(measures, words):
    """The camera's field of view from above, and how wide it is at the target."""
    distance = measures["working_distance"]
    half = distance * np.tan(np.radians(measures["field_of_view"] / 2))
    lens, target = np.zeros(2), np.array([0, -distance])
    left, right = np.array([-half, -distance]), np.array([half, -distance])
    sketch = Sketch(lens, left, right, room=(20, 34, 20, 16))
    for edge in (left, right):
        sketch.line(lens, edge, grey=True)
    sketch.line(left, right, width=1.2)
    sketch.line(lens, target, dash=_DASH, width=0.9)
    sketch.lens(lens)
    sketch.target(target)
    sketch.arc(lens, left, right, 24, words["field_of_view"])
    sketch.text(0.3 * lens + 0.7 * target, words["working_distance"])
    sketch.measure(left, right, words["seen_width"], -11)
    return sketch.drawing


def lever(measures, words):
    """An instrument in its hole, tip to the right; with "hand_travel" both ends also where they go, across the shaft."""
    inside = measures["inserted_length"]
    outside, handle = measures["instrument_length"] - inside, measures.get("handle_reach", 0.0)
    end, travel = -outside - handle, measures.get("hand_travel")
    places = [(end, -3.0), (inside, 3.0)]
    if travel:
        places += [(end, travel), (inside, -measures["tip_travel"])]
    sketch = Sketch(*places, room=(14, 40, 14, 26))
    sketch.line((0, 2.2), (0, 0.35), width=2.6)
    sketch.line((0, -0.35), (0, -2.2), width=2.6)
    sketch.line((-outside, 0), (inside, 0), width=2.2)
    if handle:
        sketch.line((end, 0), (-outside, 0), width=4.5, grey=True)
    sketch.text((inside, 0), "tip", (0, 10 if travel else -10), size=7)
    if not travel:
        sketch.text((end, 0), "hand" if handle else "outer end", (4, 10), size=7)
    for name, said in (("length_ratio", "inside / outside:"), ("tip_travel_per_hand_travel", "tip travel / hand travel:")):
        if words.get(name) == "?":  # a ratio has no place of its own
            middle = ((end + inside) / 2, 0)
            sketch.text(middle, said, (20, -52), align="end")
            sketch.text(middle, "?", (30, -52))
    sketch.measure((0, 0), (inside, 0), words.get("inserted_length"), -26)
    sketch.measure((end, 0), (-outside, 0), words.get("handle_reach"), -26)
    sketch.measure((-outside, 0), (inside, 0), words["instrument_length"], 24)
    if travel:
        for x, way, name in ((end, travel, "hand_travel"), (inside, -measures["tip_travel"], "tip_travel")):
            sketch.line((x, 0), (x, way), dash=_DASH)
            sketch.line((0, 0), (x, way), grey=True, width=0.5)
            sketch.text((x, way), words[name], (8 if way > 0 else -4, 8 * np.sign(way)))
    return sketch.drawing


def wedge(measures, words):
    """A wedge box from the side: operator at the left, ridge on top; a phone lies flat at the "camera_hole_fraction"."""
    side_a, side_b, share = measures["side_a"], measures["side_b"], measures.get("camera_hole_fraction")
    base = np.hypot(side_a, side_b)
    up = np.array([side_a, side_b]) / base
    foot, ridge, back = np.zeros(2), side_a * up, np.array([base, 0.0])
    sketch = Sketch(foot, ridge, back, room=(24 if share is None else 46, 20, 24, 16))
    sketch.line(foot, ridge, back, closed=True, width=1.6)
    if share is not None:
        lens, floor = share * ridge, share * back
        low, high = min(3.8, share * side_a - 0.3), min(3.8, (1 - share) * side_a - 0.3)
        sketch.phone(lens - low * up, lens + high * up, np.array([up[1], -up[0]]))
        sketch.line(lens, floor, dash=_DASH, width=0.9)
        sketch.lens(lens)
        sketch.text(0.5 * (lens + floor), words["working_distance"])
        sketch.measure(foot, lens, words["camera_hole_fraction"], 12)
    if "ridge_height" in words:
        sketch.line(ridge, (ridge[0], 0), grey=True, dash=_DOT, width=1)
        sketch.text((ridge[0], 0.45 * ridge[1]), words["ridge_height"], (-6, 0), align="end")
    sketch.along(foot, ridge, words["side_a"], 7, 0.5 if share is None else (1 + share) / 2)
    sketch.along(ridge, back, words["side_b"], 8)
    return sketch.drawing


def crate(measures, words):
    """A box with a level lid, from the side, and beside it the triangle in the instruments' plane, both at one scale."""
    height, beyond, spacing = (measures[name] for name in ("lid_height", "ahead", "spacing"))
    left, right = -3.0, beyond + 6
    port, target = np.array([0.0, height]), np.array([beyond, 0.0])
    middle = np.array([left - 7 - spacing / 2, height])
    front = {"spacing": spacing, "depth": np.hypot(height, beyond)}
    sketch = Sketch((left, 0), (right, height), *(_corners(front) + middle), room=(12, 34, 22, 26))
    sketch.line((left, height), (left, 0), (right, 0), (right, height), closed=True, width=1.4)
    sketch.line(port, target, width=2.2)
    sketch.port(port, "left")
    sketch.target(target)
    sketch.measure((0, 0), target, words["ahead"], -10)
    sketch.line(port, (0, 0), grey=True, dash=_DOT)
    sketch.measure((right, 0), (right, height), words["lid_height"], -9)
    sketch.text(((right + left) / 2, 0), "from the side", (0, -26), size=7)
    _triangle_on(sketch, middle, front, {name: words[name] for name in ("spacing", "manipulation_angle")})
    sketch.text(middle - (0, front["depth"]), "square to both shafts", (0, -12), size=7)
    return sketch.drawing


def light_post(measures, words):
    """A scope as who holds it sees it, along its shaft: where the post points at first and in the end, and the target."""
    off, below = measures["off"], measures["target_below_shaft"]
    rightward = 1 if measures["side"] == "right" else -1
    shaft, target = np.zeros(2), np.array([rightward * np.sqrt(off**2 - below**2), -below])
    up, away = np.array([0, 0.8 * off]), -0.8 * target
    sketch = Sketch(target, up, away, room=(34, 24, 34, 24))
    level = target * [1, 0]
    sketch.line(shaft, target, dash=_DASH, width=0.9)
    sketch.line(shaft, level, target, grey=True, dash=_DOT)
    sketch.line(shaft, up, width=1.6, grey=True)
    sketch.line(shaft, away, width=1.6)
    sketch.lens(shaft)
    sketch.target(target)
    sketch.text(up, "post", (0, 8), size=7)
    sketch.arc(shaft, up, away, 24, words["post_turn"])
    sketch.along(shaft, level, words.get("aside"), 7 * rightward * np.sign(below))
    sketch.along(level, target, words["target_below_shaft"], 7 * rightward * np.sign(below))
    return sketch.drawing


def row_of_holes(measures, words):
    """Three holes in a row and the lines from each to the target, in the plane that holds them all."""
    holes = {letter: np.array([measures[f"place_{letter}"], 0.0]) for letter in "ABC"}
    target, foot = np.array([0, -measures["depth"]]), np.zeros(2)
    sketch = Sketch(*holes.values(), target, foot, room=(26, 24, 26, 40))
    sketch.line(holes["A"], holes["C"], grey=True)
    for letter, hole in holes.items():
        sketch.line(hole, target, dash=_DASH, width=0.9)
        sketch.port(hole, "left")
        sketch.text(hole, letter, (0, 11), bold=True)
    sketch.target(target)
    sketch.measure(holes["A"], holes["B"], words["spacing_AB"], 26)
    sketch.measure(holes["B"], holes["C"], words["spacing_BC"], 26)
    if "depth" in words:
        sketch.line(foot, target, grey=True, dash=_DOT, width=1)
        sketch.text(0.45 * target, words["depth"])
    sketch.measure(holes["B"], foot, words.get("offset"), 9 * np.sign(holes["B"][0]))
    sketch.along(holes["A"], target, words.get("from_A"), -7, 0.4)
    sketch.along(holes["C"], target, words.get("from_C"), 7, 0.4)
    return sketch.drawing


def names(measures, words):
    """Which measure is which; no numbers, to no scale, and the same for every problem."""
    sketch = Sketch((-8, 0), (8, 0), (0, -13), room=(34, 24, 34, 26), bar=False)
    known = {"spacing": 16.0, "working_distance": 13.0}
    told = {"spacing": "port spacing", "manipulation_angle": "angle", "inserted_length": "length inside"}
    _triangle_on(sketch, (0, 0), known, told)
    sketch.text((0, -3.2), "working")
    sketch.text((0, -4.3), "distance")
    sketch.text((0, -13), "names only, not to scale", (0, -17), size=7)
    return sketch.drawing

"""One pen for the drawing of every measure: the same arrangement each time, with the measure in it drawn thick.

A drawing is told in a line, such as ``"space L.l T.l LTl"``: where it is seen from, and what is drawn. `LT` is a thick line,
`L-T` a dashed and `L.T` a dotted one, `L>T` an arrow, `LTR` the angle at T between two lines, and a word is an outline.
"""

from itertools import pairwise
from typing import NamedTuple
from urllib.parse import quote

import numpy as np

WIDTH, HEIGHT = 150, 110  # px
LETTER = 19  # px, of the symbol: letters as large may be a middle grey
_ROOM = 10  # px that stay free around the lines
# Each is at least 3 to 1 on a white page and on a dark one: an image does not know which of them it is on.
_BLUE, _VERMILLION, _GREEN, _PURPLE, _CARD, _GREY = "#0072B2", "#D55E00", "#009E73", "#A9487E", "#94764A", "#7A7A7A"
_ORANGE = "#E69F00"  # of the target, whose edge is grey
_WITH_BOX = {"front", "side", "space"}  # views that show it


class _Stroke(NamedTuple):
    """A line through places (n, 3) in cm, or a sign at one place."""

    places: np.ndarray
    colour: str
    width: float
    dash: str = ""
    filled: bool = False
    arrow: bool = False
    cap: str = "butt"


def sketch(told, symbol):
    """The drawing as an image for HTML, the same on a light page and on a dark one, and where no SVG is let in."""
    source = quote(svg(told, symbol), safe=" =:/,.-'()")
    return f'<img width="{WIDTH}" height="{HEIGHT}" alt="" src="data:image/svg+xml,{source}">'


def svg(told, symbol):
    """The drawing as SVG.

    >>> svg("front LR", "s").count("<path"), svg("space M.T MT", "h").count("<text")
    (10, 1)
    """
    view, *marks = told.split()
    strokes = [*_scene(view, marks), *map(_mark, marks), *_signs(view, marks)]
    flat = _fitted([stroke.places for stroke in strokes], view)
    flat = [_with_head(line) if stroke.arrow else line for stroke, line in zip(strokes, flat, strict=True)]
    about = next(line.mean(axis=0) for stroke, line in zip(strokes, flat, strict=True) if stroke.colour == _GREEN)
    x, y = _clear(np.vstack([_dense(line) for line in flat]), about, 0.6 * LETTER * len(symbol))
    words = f"font-family='sans-serif' font-weight='bold' font-size='{LETTER}' text-anchor='middle' fill='{_GREY}'"
    letter = f"<text x='{x:.0f}' y='{y + 0.35 * LETTER:.0f}' {words}>{symbol}</text>" if symbol else ""
    drawn = "".join(map(_drawn, strokes, flat))
    return f"<svg xmlns='http://www.w3.org/2000/svg' width='{WIDTH}' height='{HEIGHT}' fill='none'>{drawn}{letter}</svg>"


# What is drawn


def _scene(view, marks):
    """The box, and both shafts as far as the view shows them; to the hand where one is spoken of."""
    if view in _WITH_BOX:
        yield from (_Stroke(_OUTLINES[name], _CARD, 1) for name in ("floor", "panel"))
    for port, end, hand, colour, dash in (("L", "E", "G", _BLUE, ""), ("R", "F", "H", _VERMILLION, "6 3")):
        far = 0.6 * _PLACES[port] + 0.4 * _PLACES["T"] if view == "picture" else _PLACES[end]
        yield _Stroke(np.stack([_PLACES["T"], far]), colour, 3, dash)
        if any(hand in mark for mark in marks):
            yield _Stroke(_along(end + hand), _GREY, 1.5)
            yield _Stroke(_along(hand), _GREY, 10, cap="round")


def _mark(mark):
    if mark in _OUTLINES:
        return _Stroke(_OUTLINES[mark], _PURPLE, 1.5)
    letters = "".join(filter(str.isalpha, mark))
    if len(letters) == 3:
        return _Stroke(_sector(*_along(letters)), _GREEN, 2.5, filled=True)
    if "." in mark:
        return _Stroke(_along(letters), _GREY, 1.5, "2 3")
    return _Stroke(_along(letters), _GREEN, 3 if ">" in mark else 5, "4 3" if "-" in mark else "", arrow=">" in mark)


def _signs(view, marks):
    """The target, and where there are any in the picture, both ports and the lens."""
    yield from (_Stroke(_along("T"), colour, px, cap="round") for colour, px in ((_GREY, 13), (_ORANGE, 9)))
    if view != "picture":
        yield from (_Stroke(_along(port), colour, 9, cap="round") for port, colour in (("L", _BLUE), ("R", _VERMILLION)))
        yield _Stroke(_along("C"), _PURPLE, 9, cap="square")


def _along(letters):
    return np.stack([_PLACES[letter] for letter in letters])


def _sector(first, corner, second):
    """An angle as a line: from the corner along one side, round to the other, and back."""
    sides = np.stack([first, second]) - corner
    lengths = np.linalg.norm(sides, axis=1)
    one, other = sides / lengths[:, None]
    across = _unit(other - other @ one * one)
    turn = np.linspace(0, np.arctan2(other @ across, other @ one), 9)[:, None]
    arc = corner + 0.45 * lengths.min() * (np.cos(turn) * one + np.sin(turn) * across)
    return np.vstack([corner, arc, corner])


# Where it falls, in px


def _fitted(lines, view):
    """Each line as it is seen, all of them together as large as there is room."""
    turn, tilt = _VIEWS[view]
    right = np.array([np.cos(turn), np.sin(turn), 0])
    up = np.cross([np.sin(turn) * np.cos(tilt), -np.cos(turn) * np.cos(tilt), np.sin(tilt)], right)
    flat = [line @ np.stack([right, -up], axis=1) for line in lines]
    every = np.vstack(flat)
    low, high = every.min(axis=0), every.max(axis=0)
    px = np.min((np.array([WIDTH, HEIGHT]) - 2 * _ROOM) / (high - low))
    return [(line - (low + high) / 2) * px + (WIDTH / 2, HEIGHT / 2) for line in flat]


def _with_head(line):
    """An arrow: a line, and its head in one go."""
    back = _unit(line[0] - line[1])
    one, other = (line[1] + 8 * back + side * back[::-1] * (1, -1) for side in (-5, 5))
    return np.stack([*line, one, line[1], other])


def _dense(line):
    """Places along a line, close to each other."""
    share = np.linspace(0, 1, 24)[:, None]
    return np.vstack([line[:1], *(start + share * (end - start) for start, end in pairwise(line))])


def _clear(taken, about, width):
    """The middle of a letter near a place, inside the drawing, where it covers least of what is drawn."""
    half = np.array([width / 2, LETTER / 2])
    turn = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    far = np.repeat([14, 20, 28], len(turn))[:, None]
    places = about + far * np.tile(np.stack([np.cos(turn), np.sin(turn)], axis=1), (3, 1))
    places = np.clip(places, half, (WIDTH, HEIGHT) - half)
    covered = (np.abs(taken - places[:, None]) < half + 2).all(axis=-1).sum(axis=1)
    return places[np.argmin(covered + far[:, 0] / 10)]


def _drawn(stroke, line):
    """A stroke as SVG; a sign is a line without length."""
    path = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in line) + "h0" * (len(line) == 1)
    looks = f"stroke='{stroke.colour}' stroke-width='{stroke.width:g}'" + f" stroke-linecap='{stroke.cap}'" * (len(line) == 1)
    looks += f" stroke-dasharray='{stroke.dash}'" * bool(stroke.dash)
    looks += f" fill='{stroke.colour}' fill-opacity='.25'" * stroke.filled
    return f"<path d='{path}' {looks}/>"


# The arrangement


def _unit(vector):
    return vector / np.linalg.norm(vector)


def _foot(point, start, end):
    """The place on a line that is nearest to a point."""
    along = _unit(end - start)
    return start + (point - start) @ along * along


def _arranged():
    """Places by letter, outlines by name, and views: degrees round to the right, and up; cm, x right, y away, z up."""
    left, right, target, middle = map(np.array, ((-9.0, 0, 12), (9.0, 0, 12), (0, 10.0, 0), (0, 0, 12.0)))
    across, up = np.array([1.0, 0, 0]), np.array([0, np.cos(np.radians(20)), np.sin(np.radians(20))])  # the panel
    lens, ahead = middle + 4 * across + 6 * up, np.array([0, 8.0, 0])
    square, sight = _unit(np.cross(right - target, left - target)), _unit(lens - target)
    sideways, level = _unit(np.cross(left - target, square)), _unit(np.cross([0, 0, 1], sight))
    rolled = np.cos(0.4) * level + np.sin(0.4) * np.cross(sight, level)
    places = {"L": left, "R": right, "T": target, "M": middle, "C": lens}
    places |= {letter.lower(): places[letter] * [1, 1, 0] for letter in "LRMC"}  # straight below, on the floor
    for far, ends in ((1.5, "EF"), (1.9, "GH")):  # where the shafts end, and the hands
        places |= {end: target + far * (port - target) for end, port in zip(ends, (left, right), strict=True)}
    places |= {"g": places["G"] + 6 * sideways, "t": target - 6 / 0.9 * sideways}  # a hand that moves, and the tip
    places |= {"P": lens - (lens - target) @ square * square, "A": target + ahead}  # in the shafts' plane; beyond the target
    places |= {"K": target + np.linalg.norm(left - target) * _unit(middle - target), "N": left - 11 * np.cross(across, up)}
    places |= {"I": _foot(left, target, right), "J": _foot(lens, target, right)}
    places |= {"Y": target + ahead, "y": places["c"] + ahead, "U": target - 8 * _unit(sight * [1, 1, 0])}
    places |= {"Z": target - 9 * level, "S": target + 9 * level, "s": target + 9 * rolled}  # edges of the picture
    places |= {name: port - (port - target) @ sight * sight for name, port in zip("VW", (left, right), strict=True)}  # in it
    places |= {"B": target + 6 * across, "D": target + 6 * across + 0.7 * ahead, "O": lens * [0, 1, 1]}
    corners = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1)])
    outlines = {
        "floor": corners @ [14 * across, [0, 9, 0]] + [0, 9, 0],
        "panel": corners @ [14 * across, 9 * up] + middle + 2 * up,
        "frame": corners @ [9 * level, 6.5 * np.cross(sight, level)] + target,
        "rolled": corners @ [9 * rolled, 6.5 * np.cross(sight, rolled)] + target,
    }
    views = {"front": (0, 0), "side": (np.pi / 2, 0), "above": (0, np.pi / 2), "space": np.radians([-24, 20])}
    views |= {name: (np.arctan2(x, -y), np.arcsin(z)) for name, (x, y, z) in (("square", square), ("picture", sight))}
    return places, outlines, views


_PLACES, _OUTLINES, _VIEWS = _arranged()

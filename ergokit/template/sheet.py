"""Pages on paper: sizes, a pen that draws in cm, the frame with its check rulers, and large drawings on several sheets."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import ceil
from typing import NamedTuple

import numpy as np
from reportlab.lib.units import cm
from reportlab.pdfgen.canvas import Canvas

from ergokit.guidance.cautions import CUT_BY

#: Width and height of an upright sheet in cm: A4 and A3 by ISO 216, US Letter 8.5 x 11 inches.
PAPERS = {"A4": (21.0, 29.7), "A3": (29.7, 42.0), "Letter": (21.59, 27.94)}

CUT, FOLD, MIDDLE, OUTLINE = None, (0.28, 0.14), (0.5, 0.1, 0.06, 0.1), (0.08, 0.1)  # dashes in cm; a cut is a whole line
KEY = "whole line: cut     dashed: fold     dash and dot: centre lines     dotted: outlines, do not cut"
_FOOT = "For education. Not for planning an operation."
_SCALE = "Print at 100 % (actual size), not 'fit to page'. Both rulers must measure 10 cm."

# In cm: what no printer prints at the edge, and what the frame leaves to words and rulers.
_EDGE, _HEAD, _BOTTOM, _STRIP = 0.8, 1.85, 1.35, 1.25
OVERLAP = 1.0  # of neighbouring sheets
_HAIR = 0.4  # points


class Page(NamedTuple):
    """A page: its title, up to two lines of what to do, and `draw(pen)`, with (0, 0) in the frame's lower left corner.

    Whoever has a page in hand that is `cut_by` also has a knife in it: such a page carries the cautions for that.
    """

    title: str
    lines: tuple
    draw: Callable
    landscape: bool = True
    full_size: bool = True
    cut_by: bool = True


@dataclass(frozen=True)
class Pen:
    """Draws in cm from a place on the page, at a scale."""

    canvas: Canvas
    x: float
    y: float
    scale: float = 1.0

    def moved(self, x, y, scale=1.0):
        """A pen whose (0, 0) is this one's (x, y)."""
        return replace(self, x=self.x + x * self.scale, y=self.y + y * self.scale, scale=self.scale * scale)

    def _at(self, point):
        return (self.x + point[0] * self.scale) * cm, (self.y + point[1] * self.scale) * cm

    def line(self, points, width=0.9, dash=CUT, closed=False, fill=None):
        """A line through points; `fill` is a grey, 0 black to 1 white."""
        points = [self._at(point) for point in points]
        path = self.canvas.beginPath()
        path.moveTo(*points[0])
        for point in points[1:]:
            path.lineTo(*point)
        if closed:
            path.close()
        self._set(width, dash)
        if fill is not None:
            self.canvas.setFillGray(fill)
        self.canvas.drawPath(path, stroke=int(width > 0), fill=int(fill is not None))
        self.canvas.setFillGray(0)

    def rectangle(self, left, low, right, high, **looks):
        self.line([(left, low), (right, low), (right, high), (left, high)], closed=True, **looks)

    def circle(self, centre, radius, width=0.9, dash=CUT, fill=None):
        self._set(width, dash)
        if fill is not None:
            self.canvas.setFillGray(fill)
        self.canvas.circle(*self._at(centre), radius * self.scale * cm, stroke=int(width > 0), fill=int(fill is not None))
        self.canvas.setFillGray(0)

    def cross(self, centre, reach, width=_HAIR):
        u, v = centre
        self.line([(u - reach, v), (u + reach, v)], width)
        self.line([(u, v - reach), (u, v + reach)], width)

    def text(self, at, words, size=8, align="left", bold=False, turn=0, ground=False):
        """Words with their baseline at a place, turned anticlockwise; on a white ground where lines run behind."""
        canvas, font = self.canvas, "Helvetica-Bold" if bold else "Helvetica"
        wide = canvas.stringWidth(words, font, size)
        start = {"left": 0, "centre": -wide / 2, "right": -wide}[align]
        canvas.saveState()
        canvas.translate(*self._at(at))
        canvas.rotate(turn)
        if ground:
            canvas.setFillGray(1)
            canvas.rect(start - 1, -0.25 * size, wide + 2, 1.15 * size, stroke=0, fill=1)
            canvas.setFillGray(0)
        canvas.setFont(font, size)
        canvas.drawString(start, 0, words)
        canvas.restoreState()

    def arrows(self, start, end, words="", off=0.0, size=8, both=True):
        """A dimension line with an arrowhead at both ends or the end, `off` to its left on paper, and words along it.

        Nothing where it would be shorter than 1 mm.
        """
        start, end = np.array(start, float), np.array(end, float)
        length = np.linalg.norm(end - start)
        if length < 0.1:
            return
        along = (end - start) / length
        across = np.array([-along[1], along[0]])
        start, end = start + off / self.scale * across, end + off / self.scale * across
        self.line([start, end], _HAIR)
        for tip, way in ((end, -1), (start, 1))[: 1 + both]:
            barb = way * 0.22 * along / self.scale
            side = 0.06 * across / self.scale
            self.line([tip, tip + barb + side, tip + barb - side], 0, closed=True, fill=0)
        turn = float(np.degrees(np.arctan2(along[1], along[0])))
        over = 0.1 if -90 < turn <= 90 else 0.32  # words never stand on their head
        turn = (turn + 89.9) % 180 - 89.9
        self.text((start + end) / 2 + over / self.scale * across, words, size, "centre", turn=turn)

    def clip(self, width, height):
        path = self.canvas.beginPath()
        path.rect(self.x * cm, self.y * cm, width * cm, height * cm)
        self.canvas.clipPath(path, stroke=0, fill=0)

    def _set(self, width, dash):
        self.canvas.setLineWidth(width)
        self.canvas.setDash(*(([length * cm for length in dash], 0) if dash else ([], 0)))


def page_size(paper, landscape):
    short, long = PAPERS[paper]
    return (long, short) if landscape else (short, long)


def frame_size(paper, landscape, full_size=True):
    """Width and height of what a page leaves to its drawing, in cm."""
    width, height = page_size(paper, landscape)
    return width - 2 * _EDGE - _STRIP * full_size, height - 2 * _EDGE - _HEAD - _BOTTOM


def write(part, paper, title, pages, note=""):
    """Write the pages as one PDF file, with a note in the foot of each."""
    foot = f"{_FOOT} {note}".strip()
    canvas = Canvas(str(part), pageCompression=1, invariant=1)
    canvas.setTitle(title)
    canvas.setAuthor("ergokit")
    canvas.setSubject(foot)
    canvas.setViewerPreference("PrintScaling", "None")
    for number, page in enumerate(pages, 1):
        width, height = page_size(paper, page.landscape)
        canvas.setPageSize((width * cm, height * cm))
        whole = Pen(canvas, 0, 0)
        _furniture(whole, width, height, page, f"{foot}   page {number} of {len(pages)}")
        page.draw(whole.moved(_EDGE + _STRIP * page.full_size, _EDGE + _BOTTOM))
        canvas.showPage()
    canvas.save()


def _furniture(pen, width, height, page, foot):
    left = _EDGE + _STRIP * page.full_size
    top = height - _EDGE
    pen.text((_EDGE, top - 0.45), page.title, 14, bold=True)
    if page.cut_by:
        pen.text((width - _EDGE, top - 0.4), _SCALE if page.full_size else "Not at full size.", 9, "right", bold=True)
    for i, line in enumerate((*page.lines, *[" ".join(CUT_BY)] * page.cut_by)):
        pen.text((_EDGE, top - 0.92 - 0.38 * i), line, 8.5)
    pen.text((width - _EDGE, _EDGE + 0.02), foot, 7.5, "right")
    if page.full_size:
        _ruler(pen.moved(left, _EDGE + 0.55), (1, 0))
        _ruler(pen.moved(_EDGE + 0.55, _EDGE + _BOTTOM), (0, 1))
        pen.text((left + 10.4, _EDGE + 0.62), "10 cm both ways: measure before you cut", 7.5)


def _ruler(pen, way):
    """10 cm with a stroke for each mm, away from the frame."""
    x, y = way
    pen.line([(0, 0), (10 * x, 10 * y)], 0.8)
    for mm in range(101):
        out = -0.32 if mm % 10 == 0 else -0.22 if mm % 5 == 0 else -0.13
        at = np.array([x, y]) * mm / 10
        pen.line([at, at + out * np.array([y, x])], 0.8 if mm % 10 == 0 else _HAIR)
    for mark in range(11):
        at = np.array([x, y]) * mark + np.array([0, -0.55] if x else [-0.42, -0.08])
        pen.text(at, str(mark), 6.5, "centre" if x else "right")


class Tile(NamedTuple):
    """One sheet of a drawing: its name, and its left, lower, right and upper end in the drawing, in cm."""

    name: str
    left: float
    low: float
    right: float
    high: float


def tiles(paper, region, whole=()):
    """Whether the sheets lie across, and the fewest `Tile`s that cover a region, row by row from the top.

    `region` and each of `whole` is a left, low, right and high end. A drawing that fits one sheet is in its middle. Neighbours
    share a strip `OVERLAP` wide, which is kept off what is best left `whole`, where the sheets have room to move.
    """
    layouts = []
    for landscape in (True, False):
        room = frame_size(paper, landscape)
        across, up = (_spans(region[i], region[i + 2], room[i], [(each[i], each[i + 2]) for each in whole]) for i in (0, 1))
        layouts.append((landscape, across, up))
    landscape, across, up = min(layouts, key=lambda layout: len(layout[1]) * len(layout[2]))
    found = []
    for row, (low, high) in enumerate(reversed(up)):
        for column, (left, right) in enumerate(across):
            found.append(Tile(f"{'ABCDEFGHIJ'[row]}{column + 1}", left, low, right, high))
    return landscape, found


def _spans(low, high, room, whole):
    """Low and high ends of sheets that leave `room` each and cover low to high."""
    step = room - OVERLAP
    count = 1 if high - low <= room else ceil((high - low - OVERLAP) / step - 1e-9)
    spare = count * step + OVERLAP - (high - low)
    shared = np.arange(1, count) * step

    def cut(first):
        return sum(bool(a < low + OVERLAP and low < b) for low in first + shared for a, b in whole)

    middle_first = sorted(np.linspace(-spare / 2, spare / 2, 41), key=abs)
    first = min((float(low - spare / 2 + shift) for shift in middle_first), key=cut)
    return [(first + i * step, first + i * step + room) for i in range(count)]


def tiled(paper, region, title, lines, draw, whole=()):
    """Pages at full size of what `draw(pen)` draws in a region, on as many sheets as it takes."""
    landscape, sheets = tiles(paper, region, whole)
    several = len(sheets) > 1
    pages = []
    for tile in sheets:
        name = f"{title} {tile.name}" if several else title
        how = (*lines[:1], _joining(sheets)) if several else lines
        pages.append(Page(name, how, _sheet(tile, sheets, draw), landscape))
    return pages


def _joining(sheets):
    rows, columns = len({each.name[0] for each in sheets}), len({each.name[1:] for each in sheets})
    how = "Of two neighbours cut one along the dotted line and lay it on the other's: the rings close."
    return f"{len(sheets)} sheets, {rows} high (A on top) and {columns} wide. {how}"


def _sheet(tile, sheets, draw):
    def on_page(pen):
        width, height = tile.right - tile.left, tile.high - tile.low
        pen.canvas.saveState()
        pen.clip(width, height)
        draw(pen.moved(-tile.left, -tile.low))
        if len(sheets) > 1:
            _seams(pen.moved(-tile.left, -tile.low), tile, sheets)
            ends = f"{tile.name}: {tile.left:.2f} to {tile.right:.2f} cm across, {tile.low:.2f} to {tile.high:.2f} cm up"
            pen.text((0.15, height - 0.3), ends, 6.5, ground=True)
        pen.canvas.restoreState()
        pen.rectangle(0, 0, width, height, width=_HAIR)

    return on_page


def _seams(pen, tile, sheets):
    """Dotted lines along the middle of each overlap, and rings where they meet or cross a sheet's middle."""
    half = OVERLAP / 2
    lefts, lows = sorted({each.left for each in sheets}), sorted({each.low for each in sheets})
    across, up = [left + half for left in lefts[1:]], [low + half for low in lows[1:]]
    for u in across:
        pen.line([(u, tile.low), (u, tile.high)], _HAIR, OUTLINE)
    for v in up:
        pen.line([(tile.left, v), (tile.right, v)], _HAIR, OUTLINE)
    width, height = tile.right - tile.left, tile.high - tile.low
    for u in across:
        for v in [*up, *(low + share * height for low in lows for share in (0.25, 0.75))]:
            _ring(pen, u, v)
    for v in up:
        for u in (left + share * width for left in lefts for share in (0.25, 0.75)):
            _ring(pen, u, v)


def _ring(pen, u, v):
    pen.circle((u, v), 0.25, _HAIR)
    pen.cross((u, v), 0.4)

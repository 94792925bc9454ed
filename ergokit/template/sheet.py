"""The template's sheets: the frame with its check rulers, and large drawings on several sheets."""

from itertools import chain, product, repeat
from math import ceil
from typing import NamedTuple

import numpy as np

from ergokit._check import one_word
from ergokit._files import write_whole
from ergokit._pages import HAIR, OUTLINE, PAPERS, Drawn, Layout, write_pages
from ergokit.guidance.cautions import CUT_BY, IN_THE_FOOT

KEY = "whole line: cut     dashed: fold     dash and dot: centre lines     dotted: outlines, do not cut"
_SCALES = {
    True: "Print at 100 % (actual size), not 'fit to page'. Both rulers must measure 10 cm.",
    False: "Not at full size.",
}

# In cm: what no printer prints at the edge, and what the frame leaves to words and rulers.
_EDGE, _HEAD, _BOTTOM, _STRIP = 0.8, 1.85, 1.35, 1.25
OVERLAP = 1.0  # of neighbouring sheets


def sheet(paper, title, lines, story, landscape=True, full_size=False, cut_by=True):
    """Pages under a title and up to two lines of what to do, as a `Layout`.

    Whoever has a page in hand that is `cut_by` also has a knife in it: such a page carries the cautions for that.
    """
    width, height = size = page_size(paper, landscape)
    left, top = _EDGE + _STRIP * full_size, height - _EDGE
    head = "\n".join([*lines, " ".join(CUT_BY)] if cut_by else lines)
    titles = chain([title], repeat(f"{title}, continued"))

    def before(pen):
        pen.text((_EDGE, top - 0.45), next(titles), 14, bold=True)
        pen.text((_EDGE, top - 0.9), head, 8.5)
        if cut_by:
            pen.text((width - _EDGE, top - 0.4), _SCALES[full_size], 9, "right", bold=True)
        if full_size:
            _ruler(pen.moved(left, _EDGE + 0.55), (1, 0))
            _ruler(pen.moved(_EDGE + 0.55, _EDGE + _BOTTOM), (0, 1))
            pen.text((left + 10.4, _EDGE + 0.62), "10 cm both ways: measure before you cut", 7.5)

    return Layout(story, size, (left, _EDGE + _BOTTOM, _EDGE, _EDGE + _HEAD), before)


def a_paper(name, value):
    """One of `PAPERS`."""
    return one_word(name, value, PAPERS, ", ".join(map(repr, PAPERS)))


def write_sheets(path, layouts, title, overwrite, foot=""):
    """Write the pages as one PDF, with who it is for at the foot of each; returns the path."""
    foot = f"{IN_THE_FOOT} {foot}".strip()
    return write_whole(path, lambda part: write_pages(part, layouts, title, foot), overwrite)


def page_size(paper, landscape):
    short, long = PAPERS[paper]
    return (long, short) if landscape else (short, long)


def frame_size(paper, landscape=True, full_size=True):
    """Width and height of what a page leaves to its story, in cm."""
    width, height = page_size(paper, landscape)
    return width - 2 * _EDGE - _STRIP * full_size, height - 2 * _EDGE - _HEAD - _BOTTOM


def _ruler(pen, way):
    """10 cm with a stroke for each mm, away from the frame."""
    along, away = np.array(way), -np.array(way[::-1])
    pen.line([(0, 0), 10 * along], 0.8)
    for mm in range(101):
        size = 0.32 if mm % 10 == 0 else 0.22 if mm % 5 == 0 else 0.13
        pen.line([mm / 10 * along, mm / 10 * along + size * away], 0.8 if mm % 10 == 0 else HAIR)
    for mark in range(11):
        at, align = ((mark, -0.55), "centre") if way[0] else ((-0.42, mark - 0.08), "right")
        pen.text(at, str(mark), 6.5, align)


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
    grids = []
    for landscape in (True, False):
        room = frame_size(paper, landscape)
        across, up = (_spans(region[i], region[i + 2], room[i], [(each[i], each[i + 2]) for each in whole]) for i in (0, 1))
        grids.append((landscape, across, up))
    landscape, across, up = min(grids, key=lambda grid: len(grid[1]) * len(grid[2]))
    found = [
        Tile(f"{'ABCDEFGHIJ'[row]}{column}", left, low, right, high)
        for row, (low, high) in enumerate(reversed(up))
        for column, (left, right) in enumerate(across, 1)
    ]
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
    if several:
        rows, columns = (len({each[i] for each in sheets}) for i in (2, 1))
        how = "Trim one of two neighbouring sheets along the dotted line, lay it over the other, and complete the rings."
        lines = (lines[0], f"{len(sheets)} sheets, {rows} high (A on top) and {columns} wide. {how}")

    def page(tile):
        def on_page(pen):
            placed = pen.moved(-tile.left, -tile.low)
            draw(placed)
            if several:
                _seams(placed, tile, sheets)
                ends = f"{tile.left:.2f} to {tile.right:.2f} cm across, {tile.low:.2f} to {tile.high:.2f} cm up"
                placed.text((tile.left + 0.15, tile.high - 0.3), f"{tile.name}: {ends}", 6.5, ground=True)

        name = f"{title} {tile.name}" if several else title
        return sheet(paper, name, lines, [Drawn(on_page, framed=True)], landscape, full_size=True)

    return [page(tile) for tile in sheets]


def _seams(pen, tile, sheets):
    """Dotted lines along the middle of each overlap, and rings where they meet or cross a sheet's middle."""
    lefts, lows = sorted({each.left for each in sheets}), sorted({each.low for each in sheets})
    across, up = ([start + OVERLAP / 2 for start in starts[1:]] for starts in (lefts, lows))
    beside, above = (
        [start + share * size for start in starts for share in (0.25, 0.75)]
        for starts, size in ((lefts, tile.right - tile.left), (lows, tile.high - tile.low))
    )
    for u in across:
        pen.line([(u, tile.low), (u, tile.high)], HAIR, OUTLINE)
    for v in up:
        pen.line([(tile.left, v), (tile.right, v)], HAIR, OUTLINE)
    for ring in chain(product(across, up + above), product(beside, up)):
        pen.circle(ring, 0.25, HAIR)
        pen.cross(ring, 0.4)

"""PDF pages: sizes of paper, words and tables that flow from page to page, a pen that draws in cm, the foot of every page."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import NamedTuple
from xml.sax.saxutils import escape

import numpy as np
from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import cm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, NextPageTemplate, PageBreak, PageTemplate, Paragraph, Table

#: Width and height of an upright sheet in cm: A4 and A3 by ISO 216, US Letter 8.5 x 11 inches.
PAPERS = {"A4": (21.0, 29.7), "A3": (29.7, 42.0), "Letter": (21.59, 27.94)}

_FONT, _BOLD = "Helvetica", "Helvetica-Bold"
PLAIN = ParagraphStyle("plain", fontName=_FONT, fontSize=9.5, leading=13)
SMALL = ParagraphStyle("small", parent=PLAIN, fontSize=8.5, leading=10.2)
HEADING = ParagraphStyle("heading", parent=PLAIN, fontName=_BOLD, fontSize=11.5, leading=15, spaceBefore=6)
TITLE = ParagraphStyle("title", parent=HEADING, fontSize=15, leading=20, spaceBefore=0)
_BOLD_SMALL = ParagraphStyle("bold", parent=SMALL, fontName=_BOLD)
_STEP = ParagraphStyle("step", parent=PLAIN, leftIndent=14)
_TICK = ParagraphStyle("tick", fontSize=12, leading=15.5, leftIndent=20, spaceAfter=4, bulletFontName="ZapfDingbats")

CUT, FOLD, MIDDLE, OUTLINE = None, (0.28, 0.14), (0.5, 0.1, 0.06, 0.1), (0.08, 0.1)  # dashes in cm; a cut is a whole line
HAIR = 0.4  # points


class Layout(NamedTuple):
    """Pages of one look, as many as the story takes: sizes and edges (left, lower, right, upper) in cm."""

    story: list
    size: tuple
    edges: tuple
    before: Callable = lambda pen: None  # draws what stands on each page beside the story


def write_pages(part, layouts, title, foot):
    """Write the pages as one PDF, each with the foot and its number, all with the right edge of the first."""
    kept = []  # pages wait until it is known how many there are

    class Numbered(Canvas):
        def showPage(self):
            kept.append(dict(self.__dict__))
            self._startPage()

        def save(self):
            for number, page in enumerate(kept, 1):
                self.__dict__.update(page)
                end = self._pagesize[0] / cm - layouts[0].edges[2]
                Pen(self).text((end, 0.82), f"{foot}   page {number} of {len(kept)}", 7.5, "right")
                super().showPage()
            self.setViewerPreference("PrintScaling", "None")
            super().save()

    known = {"title": title, "author": "ergokit", "subject": foot, "creator": "ergokit", "producer": "ergokit"}
    document = BaseDocTemplate(str(part), **known, invariant=1, pageCompression=1)
    story = []
    for name, (part_of_story, size, edges, before) in enumerate(layouts):
        left, low, right_edge, high = np.multiply(edges, cm)
        width, height = np.multiply(size, cm)
        frame = Frame(left, low, width - left - right_edge, height - low - high, 0, 0, 0, 0)
        page = PageTemplate(str(name), [frame], lambda canvas, _, before=before: before(Pen(canvas)), pagesize=(width, height))
        document.addPageTemplates(page)
        story += [NextPageTemplate(str(name)), PageBreak(), *part_of_story]
    document.build(story[2:], canvasmaker=Numbered)


def words(text, style=PLAIN, bullet=None):
    """A paragraph of plain text, with a number or a mark before it."""
    return Paragraph(escape(text), style, bulletText=bullet)


def numbered(lines):
    return [words(line, _STEP, f"{i}.") for i, line in enumerate(lines, 1)]


def ticked(lines):
    """Paragraphs, each with a square to tick."""
    return [words(line, _TICK, "\u274f") for line in lines]


def table(head, rows, shares, height=None):
    """Rows of words, as wide as the page, under a head that comes again on each page; `shares` of the width.

    With a `height` in cm the rows leave room to write.
    """
    cells = [[words(cell, style) for cell in row] for style, row in [(_BOLD_SMALL, head), *((SMALL, row) for row in rows)]]
    look = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("TOPPADDING", (0, 0), (-1, -1), 1.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
        ("LINEBELOW", (0, 0), (-1, 0), 0.9, colors.black),
        ("LINEBELOW", (0, 1), (-1, -1), 0.25, colors.grey),
    ]
    heights = height and [None, *[height * cm] * len(rows)]
    return Table(cells, [f"{100 * share / sum(shares)}%" for share in shares], heights, repeatRows=1, style=look)


class Drawn(Flowable):
    """All the room that a page leaves, or a `height` of it in cm, with what `draw(pen)` draws from its lower left corner.

    A frame is drawn round it if wanted.
    """

    def __init__(self, draw, framed=False, height=None):
        super().__init__()
        self._draw, self._framed, self._height = draw, framed, height

    def wrap(self, *room):
        self._room = room if self._height is None else (room[0], self._height * cm)
        return self._room

    def draw(self):
        path = self.canv.beginPath()
        path.rect(0, 0, *self._room)
        self.canv.saveState()
        self.canv.clipPath(path, stroke=0, fill=0)
        self._draw(Pen(self.canv))
        self.canv.restoreState()
        if self._framed:
            self.canv.setLineWidth(HAIR)
            self.canv.rect(0, 0, *self._room)


@dataclass(frozen=True)
class Pen:
    """Draws in cm from a place on a canvas, at a scale; lines and letters are in points at any scale."""

    canvas: Canvas
    x: float = 0.0
    y: float = 0.0
    scale: float = 1.0

    def moved(self, x, y, scale=1.0):
        """A pen whose (0, 0) is this one's (x, y)."""
        return replace(self, x=self.x + x * self.scale, y=self.y + y * self.scale, scale=self.scale * scale)

    def line(self, points, width=0.9, dash=CUT, closed=False, fill=None):
        """A line through points; `fill` is a grey, 0 black to 1 white."""
        first, *rest = map(self._at, points)
        path = self.canvas.beginPath()
        path.moveTo(*first)
        for point in rest:
            path.lineTo(*point)
        if closed:
            path.close()
        self.canvas.drawPath(path, **self._look(width, dash, fill))

    def rectangle(self, left, low, right, high, **look):
        self.line([(left, low), (right, low), (right, high), (left, high)], closed=True, **look)

    def circle(self, centre, radius, width=0.9, fill=None):
        self.canvas.circle(*self._at(centre), radius * self.scale * cm, **self._look(width, CUT, fill))

    def cross(self, centre, reach, width=HAIR):
        for way in ((reach, 0), (0, reach)):
            self.line([np.subtract(centre, way), np.add(centre, way)], width)

    def target(self, centre, reach=0.5, width=1.0):
        """The sign of a target, as `ergokit.figures.style.target_sign` has it: a circle with a cross to its edge."""
        self.circle(centre, reach, width)
        self.cross(centre, reach, 0.8)

    def text(self, at, text, size=8, align="left", bold=False, turn=0, ground=False):
        """Lines of words, the first's baseline at a place, turned anticlockwise; on white where lines run behind."""
        canvas, font = self.canvas, _BOLD if bold else _FONT
        canvas.saveState()
        canvas.translate(*self._at(at))
        canvas.rotate(turn)
        canvas.setFont(font, size)
        for i, line in enumerate(text.split("\n")):
            wide = canvas.stringWidth(line, font, size)
            start, base = {"left": 0, "centre": -wide / 2, "right": -wide}[align], -1.3 * size * i
            if ground:
                canvas.setFillGray(1)
                canvas.rect(start - 1, base - 0.25 * size, wide + 2, 1.15 * size, stroke=0, fill=1)
            canvas.setFillGray(0)
            canvas.drawString(start, base, line)
        canvas.restoreState()

    def arrows(self, start, end, text="", off=0.0, both=True):
        """A dimension line with an arrowhead at both ends or the end, `off` to its left on paper, and words along it.

        Nothing where it would be shorter than 1 mm.
        """
        start, end = np.array(start, float), np.array(end, float)
        if (length := np.linalg.norm(end - start)) < 0.1:
            return
        along = (end - start) / length / self.scale
        across = np.array([-along[1], along[0]])
        start, end = start + off * across, end + off * across
        self.line([start, end], HAIR)
        for tip, back in ((end, -0.22 * along), (start, 0.22 * along))[: 1 + both]:
            self.line([tip, tip + back + 0.06 * across, tip + back - 0.06 * across], 0, closed=True, fill=0)
        turn = float(np.degrees(np.arctan2(along[1], along[0])))
        upright = -90 < turn <= 90  # words never stand on their head
        away = 0.1 if upright else 0.32
        self.text((start + end) / 2 + away * across, text, 8, "centre", turn=turn if upright else turn + 180)

    def _at(self, point):
        return (self.x + point[0] * self.scale) * cm, (self.y + point[1] * self.scale) * cm

    def _look(self, width, dash, fill):
        self.canvas.setLineWidth(width)
        self.canvas.setDash(np.multiply(dash or (), cm).tolist())
        self.canvas.setFillGray(fill or 0)
        return {"stroke": int(width > 0), "fill": int(fill is not None)}

"""A fan to hold between the shafts and a table of spacing and length to angle, on one sheet."""

import numpy as np
from reportlab.lib import colors
from reportlab.lib.units import cm
from reportlab.platypus import Table

from ergokit._pages import MIDDLE, Drawn
from ergokit.relations.triangle import one_triangle
from ergokit.template.mat import ANGLES
from ergokit.template.sheet import frame_size, sheet

_RADIUS = 14.0  # cm
_SPACINGS, _LENGTHS = range(12, 25, 2), range(14, 25)  # cm
_CELL, _ROW, _FIRST = 0.9, 0.6, 1.2  # cm: a cell, and the first of a row
_GREY = colors.Color(0.86, 0.86, 0.86)


def gauge_page(paper):
    """Fan gauge and pocket table."""
    lines = (
        "Cut out the fan and the table. Hold the fan in the plane of the two "
        "shafts, with its point where the tips meet or the shafts would cross.",
        "Read the angle between the shafts on the arc, or see which pair of lines they follow.",
    )
    left = frame_size(paper)[0] - _FIRST - _CELL * len(_SPACINGS) - 0.4

    def draw(pen):
        _fan(pen.moved(_RADIUS * np.sin(np.radians(max(ANGLES) / 2)) + 0.3, 0.6))
        _table(pen.moved(left, 1.3))

    return sheet(paper, "Fan gauge and pocket table", lines, [Drawn(draw)], full_size=True)


def _place(angle, radius):
    """A place on the fan where the shafts' angle is read, to the right of the middle, or to the left of it for less than 0."""
    turn = np.radians(angle / 2)
    return radius * np.array([np.sin(turn), np.cos(turn)])


def _fan(pen):
    widest = max(ANGLES)
    pen.line([(0, 0), *(_place(angle, _RADIUS) for angle in np.linspace(-widest, widest, 121))], 1.2, closed=True)
    pen.line([(0, 0), _place(0, _RADIUS)], 0.6, MIDDLE)
    for side in (-1, 1):
        for angle, dash in ANGLES.items():
            pen.line([(0, 0), _place(side * angle, _RADIUS)], 0.9, dash)
            inside = _place(side * (angle - 5.2), _RADIUS - 2.6)
            pen.text(inside, f"{angle}°", 11, "centre", bold=True, turn=-side * angle / 2)
        for angle in range(10, widest + 1):
            length = 0.7 if angle % 15 == 0 else 0.5 if angle % 5 == 0 else 0.25
            pen.line([_place(side * angle, _RADIUS - length), _place(side * angle, _RADIUS)], 0.5)
        for angle in range(20, widest, 10):
            at = _place(side * angle, _RADIUS - 1.1)
            pen.text(at, str(angle), 8, "centre", turn=-side * angle / 2, ground=True)
    pen.text(_place(0, 9.6), "angle between the shafts,\nfrom line to line", 8, "centre", ground=True)
    pen.text((0.5, 0.1), "point: where the tips meet", 8)


def _table(pen):
    """What angle the instruments meet at; grey where that is one of the fan's."""
    rows, good = [["inserted", *_SPACINGS]], []
    for j, length in enumerate(_LENGTHS, 1):
        found = [one_triangle(spacing=spacing, inserted_length=length).manipulation_angle for spacing in _SPACINGS]
        rows.append([length, *(f"{theta:.1f}" for theta in found)])
        good += [((i, j), (i, j)) for i, theta in enumerate(found, 1) if min(ANGLES) <= theta <= max(ANGLES)]
    look = [
        ("FONT", (0, 0), (-1, -1), "Helvetica", 8.5, 10),
        ("FONTSIZE", (0, 0), (0, 0), 7),
        ("ALIGN", (0, 0), (-1, -1), "CENTER"),
        ("LINEBELOW", (0, 0), (-1, 0), 0.8, colors.black),
        *(("FONTNAME", *cells, "Helvetica-Bold") for cells in [((1, 0), (-1, 0)), ((0, 1), (0, -1)), *good]),
        *(("BACKGROUND", *cells, _GREY) for cells in good),
    ]
    table = Table(rows, [_FIRST * cm] + [_CELL * cm] * len(_SPACINGS), _ROW * cm, style=look)
    width, height = (side / cm for side in table.wrapOn(pen.canvas, 0, 0))
    table.drawOn(pen.canvas, pen.x * cm, pen.y * cm)
    pen.rectangle(-0.15, -0.95, width + 0.15, height + 1.1, width=1.2)
    pen.text((width / 2, height + 0.65), "Angle between the instruments, degrees", 8.5, "centre", bold=True)
    pen.text(((width + _FIRST) / 2, height + 0.15), "port to port, cm", 8, "centre")
    words = "length inside of both instruments (cm);\ngrey: 45 to 75 degrees (knot tying on the bench, 1997)"
    pen.text((width / 2, -0.4), words, 7.5, "centre")

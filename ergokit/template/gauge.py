"""A fan to hold between the shafts and a table of spacing and length to angle, on one sheet."""

import numpy as np
from reportlab.lib import colors
from reportlab.lib.units import cm
from reportlab.platypus import Table

from ergokit._pages import MIDDLE, Drawn
from ergokit.relations.triangle import solve_triangle
from ergokit.template.mat import ANGLES
from ergokit.template.sheet import frame_size, sheet

_RADIUS = 14.0  # cm
_SPACINGS, _LENGTHS = range(12, 25, 2), range(14, 25)  # cm
_CELL, _ROW, _FIRST = 0.9, 0.6, 1.2  # cm: a cell, and the first of a row
_GREY = colors.Color(0.86, 0.86, 0.86)


def gauge_page(paper):
    """Fan gauge and pocket table."""
    lines = (
        "Cut out both. Hold the fan in the plane of the two shafts, its point where the tips meet or the shafts would cross:",
        "read the angle between the shafts on the arc, or see along which pair of lines they lie.",
    )
    left = frame_size(paper)[0] - _FIRST - _CELL * len(_SPACINGS) - 0.4

    def draw(pen):
        _fan(pen.moved(_RADIUS * np.sin(np.radians(max(ANGLES) / 2)) + 0.3, 0.6))
        pen.put(_table(), (left, 0.35))

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


def _table():
    """What angle the instruments meet at; grey where that is one of the fan's."""
    title, below = "Angle between the instruments, degrees", "grey: 45 to 75 degrees (knot tying on the bench, 1997)"
    rows = [[title], ["", "port to port, cm"], ["inserted", *_SPACINGS]]
    bold = [((0, 0), (0, 0)), ((1, 2), (-1, 2)), ((0, 3), (0, -2))]
    grey = []
    for j, length in enumerate(_LENGTHS, len(rows)):
        found = [solve_triangle(spacing=spacing, inserted_length=length)[0].manipulation_angle for spacing in _SPACINGS]
        rows.append([length, *(f"{theta:.1f}" for theta in found)])
        grey += [((i, j), (i, j)) for i, theta in enumerate(found, 1) if min(ANGLES) <= theta <= max(ANGLES)]
    rows.append([f"both instruments inserted as far (cm);\n{below}"])
    look = [
        ("FONT", (0, 0), (-1, -1), "Helvetica", 8.5, 10),
        ("FONTSIZE", (0, -1), (0, -1), 7.5),
        ("FONTSIZE", (0, 2), (0, 2), 7),
        ("ALIGN", (0, 0), (-1, -1), "CENTER"),
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("BOX", (0, 0), (-1, -1), 1.2, colors.black),
        ("LINEBELOW", (0, 2), (-1, 2), 0.8, colors.black),
        *(("SPAN", (first, row), (-1, row)) for first, row in ((0, 0), (1, 1), (0, -1))),
        *(("FONTNAME", *cells, "Helvetica-Bold") for cells in bold + grey),
        *(("BACKGROUND", *cells, _GREY) for cells in grey),
    ]
    heights = [_ROW * cm] * (len(rows) - 1) + [2 * _ROW * cm]
    return Table(rows, [_FIRST * cm] + [_CELL * cm] * len(_SPACINGS), heights, style=look)

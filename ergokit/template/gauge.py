"""A fan to hold between the shafts and a table of spacing and length to angle, on one sheet."""

import numpy as np

from ergokit.relations.triangle import one_triangle
from ergokit.template.mat import ANGLES
from ergokit.template.sheet import MIDDLE, Page, frame_size

_RADIUS = 14.0  # cm
_SPACINGS, _LENGTHS = range(12, 25, 2), range(14, 25)  # cm
_CELL = 0.9  # cm


def gauge_page(paper):
    """Fan gauge and pocket table, as a `Page`."""
    lines = (
        "Cut out both. Hold the fan in the plane of the two shafts, its point where the tips meet or the shafts would cross:",
        "read the angle between the shafts on the arc, or see along which pair of lines they lie.",
    )
    return Page("Fan gauge and pocket table", lines, lambda pen: _draw(pen, frame_size(paper, True)[0]))


def _draw(pen, width):
    half = _RADIUS * np.sin(np.radians(max(ANGLES) / 2))
    _fan(pen.moved(half + 0.3, 0.6))
    table = _CELL * len(_SPACINGS) + 0.9
    _table(pen.moved(width - table - 0.3, 1.3))


def _place(degrees, radius):
    """A place on the fan: an angle counted to the right of its middle."""
    turn = np.radians(degrees)
    return radius * np.array([np.sin(turn), np.cos(turn)])


def _fan(pen):
    edge = max(ANGLES) / 2
    arc = [_place(turn, _RADIUS) for turn in np.linspace(-edge, edge, 121)]
    pen.line([(0, 0), *arc], 1.2, closed=True)
    pen.line([(0, 0), _place(0, _RADIUS)], 0.6, MIDDLE)
    for angle, dash in ANGLES.items():
        for side in (-1, 1):
            pen.line([(0, 0), _place(side * angle / 2, _RADIUS)], 0.9, dash)
            inside = _place(side * (angle / 2 - 2.6), _RADIUS - 2.6)
            pen.text(inside, f"{angle}°", 11, "centre", bold=True, turn=-side * angle / 2)
    for angle in range(10, max(ANGLES) + 1, 1):
        for side in (-1, 1):
            length = 0.7 if angle % 15 == 0 else 0.5 if angle % 5 == 0 else 0.25
            pen.line([_place(side * angle / 2, _RADIUS - length), _place(side * angle / 2, _RADIUS)], 0.5)
    for angle in range(20, max(ANGLES), 10):
        for side in (-1, 1):
            at = _place(side * angle / 2, _RADIUS - 1.1)
            pen.text(at, str(angle), 8, "centre", turn=-side * angle / 2, ground=True)
    pen.text(_place(0, 9.6), "angle between the shafts,", 8, "centre", ground=True)
    pen.text(_place(0, 9.2), "from line to line", 8, "centre", ground=True)
    pen.text((0.5, 0.1), "point: where the tips meet", 8)


def _table(pen):
    cell, row = _CELL, 0.6
    right, top = 0.9 + cell * len(_SPACINGS), row * (len(_LENGTHS) + 3.2)
    pen.rectangle(-0.2, -0.95, right + 0.1, top + 0.2, width=1.2)
    pen.text((right / 2, top - 0.35), "Angle between the instruments, degrees", 8.5, "centre", bold=True)
    pen.text((0.9 + cell * len(_SPACINGS) / 2, top - 0.85), "port to port, cm", 8, "centre")
    pen.text((-0.02, top - 1.35), "inserted", 7)
    for i, spacing in enumerate(_SPACINGS):
        pen.text((0.9 + cell * (i + 0.5), top - 1.35), str(spacing), 8.5, "centre", bold=True)
    pen.line([(0, top - 1.5), (right, top - 1.5)], 0.8)
    for j, length in enumerate(_LENGTHS):
        v = top - 2.0 - row * j
        pen.text((0.55, v), str(length), 8.5, "right", bold=True)
        for i, spacing in enumerate(_SPACINGS):
            if spacing >= 2 * length:
                pen.text((0.9 + cell * (i + 0.5), v), "-", 8.5, "centre")
                continue
            theta = one_triangle(spacing=spacing, inserted_length=length).manipulation_angle
            good = min(ANGLES) <= theta <= max(ANGLES)
            if good:
                left = 0.9 + cell * i
                pen.rectangle(left + 0.02, v - 0.17, left + cell - 0.02, v + 0.39, width=0, fill=0.86)
            pen.text((0.9 + cell * (i + 0.5), v), f"{theta:.1f}", 8.5, "centre", bold=good)
    pen.text((right / 2, -0.4), "both instruments inserted as far (cm);", 7.5, "centre")
    pen.text((right / 2, -0.75), "grey: 45 to 75 degrees (knot tying on the bench, 1997)", 7.5, "centre")

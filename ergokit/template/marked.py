"""Square markers beside what is drawn: where there is room for them, and how they are drawn."""

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from ergokit._markers import QUIET, SIDE, STRIP, STRIP_SIZE, TENT, TENT_FACE, opencv, strip, tent
from ergokit._pages import CUT, FOLD, Drawn, Pen
from ergokit.template.sheet import OVERLAP, sheet, tiles

_GRID = 0.1  # cm between the places that are tried
_CLEAR = 0.2  # cm between a marker's quiet zone and what is drawn
_FLAP = 1.0  # cm, on which the tent stands on the mat
_CELLS = 8  # of a marker's side, its black rim included
_MOST = 10  # markers on a drawing, as many as it has numbers


@dataclass(frozen=True)
class _Trace(Pen):
    """A pen that draws nothing and remembers where there would be something: places in cm."""

    marks: list = field(default_factory=list)

    def line(self, points, width=0.9, dash=CUT, closed=False, fill=None):
        points = np.array([self._place(point) for point in points], float)
        ends = np.concatenate([points, points[:1]]) if closed else points
        for start, end in pairwise(ends):
            share = np.linspace(0, 1, 2 + int(np.linalg.norm(end - start) / _GRID))
            self.marks.append(start + share[:, None] * (end - start))
        if fill is not None:
            self._fill(points.min(axis=0), points.max(axis=0))

    def circle(self, centre, radius, width=0.9, fill=None):
        centre = self._place(centre)
        self._fill(centre - radius * self.scale, centre + radius * self.scale)

    def text(self, at, text, size=8, align="left", bold=False, turn=0, ground=False):
        lines, place, letter = text.split("\n"), self._place(at), size / 28.35  # cm
        wide = max(map(len, lines)) * 0.6 * letter
        start, base = {"left": 0, "centre": -wide / 2, "right": -wide}[align], -1.3 * letter * (len(lines) - 1)
        cos, sin = np.cos(np.radians(turn)), np.sin(np.radians(turn))
        x, y = np.meshgrid(np.arange(start, start + wide + _GRID, _GRID), np.arange(base - 0.1, letter + _GRID, _GRID))
        self.marks.append(place + np.stack([cos * x - sin * y, sin * x + cos * y], axis=-1).reshape(-1, 2))

    def _place(self, point):
        return np.array([self.x + point[0] * self.scale, self.y + point[1] * self.scale])

    def _fill(self, low, high):
        x, y = (np.arange(a, b + _GRID, _GRID) for a, b in zip(low, high, strict=True))
        self.marks.append(np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2))


def room_for(draw, region, keep_off=(), within=None):
    """Middles (n, 2) of up to ten markers, far from each other, that touch nothing of what `draw(pen)` draws.

    region
        left, low, right and high end of the paper, in cm
    keep_off
        further rectangles, as four ends each
    within
        the corners of a convex shape, in order, in which they are; None for anywhere
    """
    from scipy.ndimage import maximum_filter

    trace = _Trace(None)
    draw(trace)
    low, high = np.array(region[:2], float), np.array(region[2:], float)
    taken = np.zeros(np.ceil((high - low) / _GRID).astype(int) + 1, bool)
    spots = np.round((np.concatenate(trace.marks) - low) / _GRID).astype(int)
    taken[tuple(spots[((spots >= 0) & (spots < taken.shape)).all(axis=1)].T)] = True
    places = low + _GRID * np.stack(np.meshgrid(*map(np.arange, taken.shape), indexing="ij"), axis=-1)
    for left, below, right, above in keep_off:
        taken |= ((places >= (left, below)) & (places <= (right, above))).all(axis=-1)
    reach = SIDE / 2 + QUIET + _CLEAR
    free = ~maximum_filter(taken, size=2 * int(np.ceil(reach / _GRID)) + 1)
    free &= ((places - low >= reach) & (high - places >= reach)).all(axis=-1)
    if within is not None:
        ahead = np.roll(within, -1, axis=0) - within
        off = places[..., None, :] - within
        side = (ahead[:, 0] * off[..., 1] - ahead[:, 1] * off[..., 0]) / np.linalg.norm(ahead, axis=-1)
        free &= (np.abs(side) >= SIDE / 2 * np.sqrt(2)).all(axis=-1) & (np.abs(np.sign(side).sum(axis=-1)) == len(within))
    found, spots = [], places[free]
    while len(spots) and len(found) < _MOST:
        apart = np.linalg.norm(spots[:, None] - (found or [spots.mean(axis=0)]), axis=-1).min(axis=1)
        found.append(spots[apart.argmax()])
        spots = spots[np.abs(spots - found[-1]).max(axis=1) >= SIDE + 2 * QUIET]
    return np.array(found).reshape(-1, 2)


def seams(paper, region, whole):
    """The strips in which neighbouring sheets of a drawing overlap, as rectangles."""
    _, sheets = tiles(paper, region, whole)
    left, low, right, high = region
    across = [(each.left, low, each.left + OVERLAP, high) for each in sheets if each.left > left + OVERLAP]
    return across + [(left, each.low, right, each.low + OVERLAP) for each in sheets if each.low > low + OVERLAP]


def draw_markers(pen, sheet):
    """The markers of a sheet, black cells on white."""
    cell = SIDE / _CELLS
    for number, corners in sheet.markers.items():
        left, high = corners[0]
        for row, column in np.argwhere(_pattern(number) == 0).tolist():
            at = left + column * cell, high - (row + 1) * cell
            pen.rectangle(*at, at[0] + cell, at[1] + cell, width=0, fill=0)


def _pattern(number):
    """The cells of a marker, (8, 8): 0 for black."""
    cv2 = opencv()
    family = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    return cv2.aruco.generateImageMarker(family, int(number), _CELLS)


def strip_page(paper):
    """The strip and the tent, to cut out."""
    long, wide = STRIP_SIZE
    lines = (
        "Glue the strip on stiff card and cut it out. Push it under the box's front edge until only two markers are outside.",
        "Cut out the tent and stand it on the mat like a roof, away from the target and from all markers.",
    )

    def draw(pen):
        pen.rectangle(0, 0, long, wide, width=1.2)
        pen.text((long / 2, wide / 2), f"{STRIP}: this end into the box  >", 9, "centre")
        draw_markers(pen, strip())
        folded = tent()
        pen = pen.moved(-folded.low[0], wide + 1.2 - folded.low[1] + _FLAP)
        pen.rectangle(*(folded.low - np.array([0, _FLAP])), *(folded.high + np.array([0, _FLAP])), width=1.2)
        for y in (-TENT_FACE, 0, TENT_FACE):
            pen.line([(folded.low[0], y), (folded.high[0], y)], 0.9, FOLD)
        draw_markers(pen, folded)
        pen.text(
            (folded.high[0] + 0.4, 0),
            f"{TENT}: fold both faces down along the middle,\nand fold the flaps outwards to lie on the mat",
            9,
        )

    return sheet(paper, "Strip and tent for photographs", lines, [Drawn(draw)], full_size=True)

"""The square markers on the kit's papers: which is on which sheet of which box, and where its corners are."""

from __future__ import annotations

from typing import NamedTuple
from zlib import crc32

import numpy as np

FAMILY = "AprilTag 36h11"
MAT, PANEL, STRIP, TENT = "floor mat", "cutting template", "strip", "tent"
# Of the family's 587 numbers strip and tent have the first, the same for all boxes; then each box has ten a sheet.
_SHARED = {STRIP: 0, TENT: 4}
_FIRST_BOX, _A_SHEET = 8, 10
_BOXES = 28

SIDE = 2.0  # cm, of a marker's black square
QUIET = 0.3  # cm of white paper about it, more than one of its ten cells

# The strip lies under the box's front edge, flat on the table, one end in the box; x runs along it, into the box.
STRIP_SIZE = (24.0, 3.0)  # cm
_ON_STRIP = (1.6, 4.4, 19.6, 22.4)  # cm along it to the middles of its markers

# The tent: two faces that meet in a ridge, each TENT_FACE cm from the ridge to the floor, at 45 degrees.
TENT_FACE = 3.2
_ON_TENT = (-1.6, 1.6)  # cm along the ridge to the middles of a face's two markers


class Sheet(NamedTuple):
    """A paper with markers, in a frame of its own in cm: number -> four corners (4, 2), and how large the paper is.

    Corners come clockwise from the upper left, as the marker is read. `low` and `high` are the paper's ends.
    """

    markers: dict[int, np.ndarray]
    low: np.ndarray
    high: np.ndarray


class MarkedBox(NamedTuple):
    """The marked sheets of a box: its number, name -> `Sheet`, where the ports are on the cutting template, (2, 2), and the
    targets, (t, 3): where on the mat, and how high above it. All in cm."""

    number: int
    sheets: dict[str, Sheet]
    ports: np.ndarray
    targets: np.ndarray


def box_number(holes):
    """A number from 0 to 27 for a box, by where its holes are to a tenth of a mm: two boxes rarely have the same one."""
    return crc32(np.round(np.asarray(holes, float), 2).tobytes()) % _BOXES


def first_number(box, sheet):
    """The number of a sheet's first marker."""
    return _SHARED[sheet] if sheet in _SHARED else _FIRST_BOX + _A_SHEET * (2 * box + (sheet == PANEL))


def whose(number):
    """The box and the sheet of a marker, by its number: no box for strip and tent; None where the kit has no such marker."""
    if number < _FIRST_BOX:
        return None, STRIP if number < _SHARED[TENT] else TENT
    box, sheet = divmod((number - _FIRST_BOX) // _A_SHEET, 2)
    return (box, (MAT, PANEL)[sheet]) if box < _BOXES else None


def opencv():
    """OpenCV, which finds and draws markers; ValueError where it is not installed."""
    try:
        import cv2
    except ImportError:
        raise ValueError("Markers and photographs need OpenCV, which the install command in the README brings.") from None
    return cv2


def corners(middle, side=SIDE):
    """The corners of a marker about its middle."""
    return np.add(middle, side / 2 * np.array([(-1, 1), (1, 1), (1, -1), (-1, -1)]))


def flat_sheet(box, name, middles, low, high):
    """A sheet with markers at these middles, (n, 2)."""
    found = dict(enumerate(map(corners, middles), first_number(box, name)))
    return Sheet(found, np.asarray(low, float), np.asarray(high, float))


def strip():
    """The strip that joins what is seen inside the box with what is seen outside."""
    return flat_sheet(None, STRIP, [(x, STRIP_SIZE[1] / 2) for x in _ON_STRIP], (0, 0), STRIP_SIZE)


def tent():
    """The tent, unfolded: its ridge along y = 0, one face above it and the other below."""
    middles = [(x, y) for y in (TENT_FACE / 2, -TENT_FACE / 2) for x in _ON_TENT]
    wide = max(_ON_TENT) + SIDE / 2 + QUIET
    return flat_sheet(None, TENT, middles, (-wide, -TENT_FACE), (wide, TENT_FACE))


def folded(places, half_turn):
    """Places of the unfolded tent (n, 2) where it stands, (n, 3): each face leans by `half_turn` degrees off the floor.

    The ridge is up, along x, above the origin.
    """
    x, away = np.moveaxis(np.asarray(places, float), -1, 0)
    lean = np.radians(half_turn)
    return np.stack([x, away * np.cos(lean), (TENT_FACE - np.abs(away)) * np.sin(lean)], axis=-1)

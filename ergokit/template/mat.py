"""The floor mat: targets, where the picture ends and contours of the manipulation angle, at full size."""

from typing import NamedTuple

import numpy as np
from contourpy import contour_generator

from ergokit._markers import MAT, flat_sheet
from ergokit._pages import CUT, FOLD, MIDDLE, OUTLINE
from ergokit.surfaces import FlatBox, WedgeBox
from ergokit.template.marked import draw_markers, room_for, seams
from ergokit.template.sheet import frame_size, tiled
from ergokit.triangulation import manipulation_angle

#: Angles with their dashes, in cm, on mat and gauge.
ANGLES = {45: (0.12, 0.12), 60: (0.4, 0.12), 75: CUT}
_STEP = 0.25  # cm between the places at which the angle is computed
_AROUND = 2.0  # cm of paper about a target
_ON_FLOOR = 0.05  # cm of height up to which a target is on the floor


class Mat(NamedTuple):
    """What the floor mat shows: contours of the angle, where the picture ends, and the ends of the paper, all in cm."""

    box: WedgeBox | FlatBox
    targets: np.ndarray
    height: float
    contours: dict
    picture: np.ndarray
    region: tuple


def mat_of(paper, box, placement, camera):
    """The `Mat` of a placement; without a `camera` its picture is not known."""
    targets = placement.targets
    height = float(targets[:, 2].mean())
    picture = np.empty((0, 2)) if not camera else camera.picture_on_plane(0).corners[:, :2]
    return Mat(box, targets, height, _contours(box, placement, height), picture, _region(paper, box, targets, picture))


def marked_mat(paper, mat, box):
    """The floor mat with its markers, as many as fall into the picture: a `Sheet`."""
    within = mat.picture if len(mat.picture) > 2 else None
    middles = room_for(lambda pen: _draw(pen, mat), mat.region, seams(paper, mat.region, ()), within)
    return flat_sheet(box, MAT, middles, mat.region[:2], mat.region[2:])


def mat_pages(paper, mat, marked=None):
    """The pages of the floor mat; `marked` has the markers on it."""
    where = f"{mat.height:.1f} cm above the floor" if mat.height > _ON_FLOOR else "on the floor"
    behind = mat.region[1] - mat.box.bounds()[0, 1]
    lines = (
        f"Cut along the lowest line. Lay that edge {behind:.1f} cm behind the box's front edge, its centre line in the middle.",
        f"Angle between the instruments {where}: short dashes 45, long dashes 60, whole line 75 degrees."
        + (" Dotted line: the edge of the picture on the floor." if len(mat.picture) else ""),
    )

    return tiled(paper, mat.region, "Floor mat", lines, lambda pen: _draw(pen, mat, marked))


def _region(paper, box, targets, picture):
    """As much of the floor as one sheet takes, from where the picture begins; more where the targets need more."""
    low = box.bounds()[0, 1]
    width, depth = frame_size(paper)
    near = max(min([targets[:, 1].min() - _AROUND, *(picture[:, 1] - 0.8)]), low)
    side = max(width / 2, np.abs(targets[:, 0]).max() + _AROUND)
    return (-side, near, side, max(near + depth, targets[:, 1].max() + _AROUND))


def _contours(box, placement, height):
    """Angle -> lines of floor places (n, 2) above which, at a height, the instruments meet at it."""
    (left, low, _), (right, high, _) = box.bounds()
    x, y = np.arange(left, right + _STEP, _STEP), np.arange(low, high + _STEP, _STEP)
    places = np.stack([*np.meshgrid(x, y), np.full((y.size, x.size), height)], axis=-1)
    theta = manipulation_angle(placement.left_port, placement.right_port, places)
    lines = contour_generator(x, y, np.ma.masked_invalid(theta))
    return {angle: lines.lines(angle) for angle in ANGLES}


def _draw(pen, mat, marked=None):
    box, targets, _, contours, picture, region = mat
    (left, low, _), (right, high, _) = box.bounds()
    pen.line([(left, region[1]), (right, region[1])], 0.9)
    pen.text((max(left, region[0]) + 0.3, region[1] + 0.25), "operator's side", 8)
    pen.rectangle(left, low, right, high, width=1.6, dash=FOLD)
    pen.line([(0, low), (0, high)], 0.6, MIDDLE)
    pen.text((-0.12, region[3] - 2.5), "centre line", 8, turn=90)
    for angle, lines in contours.items():
        for line in lines:
            pen.line(line, 1.0, ANGLES[angle])
            shown = _on_paper(line, region, 1.0)
            for place in shown[[len(shown) // 5, -1 - len(shown) // 5]] if len(shown) else ():
                pen.text(place - (0, 0.1), f"{angle}°", 9, "centre", bold=True, ground=True)
    if len(picture):
        pen.line(picture, 1.2, OUTLINE, closed=True)
        for start, end in zip(picture, np.roll(picture, -1, axis=0), strict=True):
            shown = _on_paper(np.linspace(start, end, 101), region, 0.4)
            if len(shown) > 20:
                turn = (np.degrees(np.arctan2(*(end - start)[::-1])) + 90) % 180 - 90
                pen.text(shown[len(shown) // 3] - (0, 0.1), "picture ends", 8, "centre", turn=turn, ground=True)
        if picture[:, 1].max() > region[3]:
            far = f"the picture reaches to {picture[:, 1].max() - low:.1f} cm from the box's front edge"
            pen.text((0.3, region[3] - 0.5), far, 8, ground=True)
    pen.circle((0, 0), 0.2, 0.6)
    pen.cross((0, 0), 0.5)
    pen.text((0.5, -0.6), f"middle of the base, {-low:.1f} cm from the box's front edge", 8, ground=True)
    for i, (x, y, z) in enumerate(targets):
        pen.target((x, y))
        name = "target" if len(targets) == 1 else f"target {i + 1}"
        pen.text((x + 0.5, y + 0.3), f"{name}, {z:.1f} cm up" if z > _ON_FLOOR else name, 8, bold=True, ground=True)
    if marked:
        draw_markers(pen, marked)


def _on_paper(line, region, pad):
    """The places of a line that are on the paper, `pad` or more from its edge."""
    return line[((line > np.add(region[:2], pad)) & (line < np.subtract(region[2:], pad))).all(axis=1)]

"""Photographs of a box's papers as a phone would take them: pages rasterised, seen through a pinhole that bends lines.

Nothing of the kit's own geometry is used but where a page's drawing begins; the truth is what it was made from.
"""

import io
from dataclasses import dataclass, field

import cv2
import numpy as np
import pypdfium2
from pdfs import texts
from PIL import Image
from scipy.spatial.transform import Rotation

from ergokit.photos import Photo
from ergokit.surfaces import WedgeBox
from ergokit.template.mat import mat_of
from ergokit.template.panel import _marked_region, panel_of
from ergokit.template.sheet import tiles

WEDGE = WedgeBox(ridge=50, side_a=40, side_b=30)
MAT, PANEL, STRIP, TENT = "floor mat", "cutting template", "strip", "tent"
DOTS = 150  # an inch
_FINER = 4  # times as many dots, averaged: the rasteriser moves edges to whole dots
FRAME = (2.05, 2.15)  # cm from a page's left and lower edge to the drawing at full size
_PAPER = (21.0, 29.7)  # cm
_FACE = 3.2  # cm from the tent's ridge to the floor
_GREY = 120  # of the table
#: What each photograph shows: from the phone in its place, two from the front, one through the rear.
VIEWS = ((MAT, TENT), (PANEL, STRIP), (PANEL, STRIP), (MAT, STRIP, TENT))


@dataclass
class Truth:
    """A box as it was built and photographed: lengths in cm, angles in degrees, focal lengths in widths."""

    cameras: list  # (turn, place) each: Rotation from the world to the camera, and where the lens is
    bodies: dict  # sheet -> (Rotation, place)
    focal: np.ndarray
    bend: float = 0.0
    middle: np.ndarray = field(default_factory=lambda: np.zeros(2))
    fold: float = 45.0
    bows: dict = field(default_factory=dict)  # sheet -> a function of places (n, 2) that gives how far it rises there, cm
    # Of the slope to the fourth power, and of a lens that is off its axis: OpenCV's k2, p1, p2
    bend_more: tuple = (0.0, 0.0, 0.0)
    size: float = 1.0  # of what is printed, as a share of what it should be
    misprint: dict = field(default_factory=dict)  # marker -> how far it is from its place on the sheet, cm
    growth: np.ndarray = field(default_factory=lambda: np.zeros(4))  # pixels that black grows into white in each photograph

    def on(self, name, places):
        """Places (n, 2) of a sheet in the world."""
        places = self.size * np.asarray(places, float)
        local = np.pad(places, ((0, 0), (0, 1)))
        if name == TENT:
            lean = np.radians(self.fold)
            local[:, 1], local[:, 2] = places[:, 1] * np.cos(lean), (_FACE - abs(places[:, 1])) * np.sin(lean)
        if name in self.bows:
            local[:, 2] += self.bows[name](places)
        turn, move = self.bodies[name]
        return turn.apply(local) + move


def looking(place, at, roll=0.0):
    """A camera's Rotation and place."""
    ahead = np.subtract(at, place) / np.linalg.norm(np.subtract(at, place))
    right = np.cross(ahead, (0, 0, 1)) if abs(ahead[2]) < 1 - 1e-9 else np.array([1.0, 0, 0])
    right /= np.linalg.norm(right)
    turn = Rotation.from_matrix([right, np.cross(ahead, right), ahead])
    return Rotation.from_euler("z", roll, degrees=True) * turn, np.array(place, float)


def built(design, rng, off=1.0):
    """A `Truth` near a design, all things `off` by a little."""
    box, placement = design.box, design.placement
    low = box.bounds()[0, 1]
    origin = box.point(0, 0)
    axes = np.stack([box.point(1, 0) - origin, box.point(0, 1) - origin], axis=1)
    panel = Rotation.from_matrix(np.column_stack([axes, np.cross(*axes.T)]))
    lens = placement.camera + off * rng.normal(0, 0.3, 3)
    ahead = design.camera.axis + off * rng.normal(0, 0.02, 3)
    front = (0, low + 3, 5)
    cameras = [
        looking(lens, lens + ahead, off * rng.normal(0, 2)),
        looking(rng.normal((-25, low - 38, 30), 2), front),
        looking(rng.normal((22, low - 40, 38), 2), front),
        looking(rng.normal((3, -low + 1, 16), 1), (0, low / 3, 0)),
    ]
    bodies = {
        MAT: (Rotation.identity(), np.zeros(3)),
        PANEL: (Rotation.from_rotvec(off * rng.normal(0, 0.02, 3)) * panel, origin + off * rng.normal(0, 0.3, 3)),
        STRIP: (Rotation.from_euler("z", 90 + rng.normal(0, 3), degrees=True), np.array([1.5, low - 6, 0])),
        TENT: (Rotation.from_euler("z", rng.normal(0, 20), degrees=True), np.array([rng.uniform(-4, 4), 3.0, 0])),
    }
    focal = 0.5 / np.tan(np.radians(design.phone.field_of_view / 2)) * np.exp(rng.normal(0, 0.01, 4))
    return Truth(cameras, bodies, focal, rng.normal(0, 0.03), rng.normal(0, 0.004, 2), 45 + off * rng.normal(0, 3))


def ends_of(truth, design):
    """Left port, right port, target and lens of a box as it was built."""
    left, right = truth.on(PANEL, [design.holes[name] for name in ("left port", "right port")])
    return left, right, design.placement.targets[0], truth.cameras[0][1]


def corners(truth, marked, rng, noise=0.5, views=VIEWS, size=(4000, 3000)):
    """Photographs as numbers: what OpenCV projects of each marker, off by `noise` pixels."""
    width, height = size
    found = []
    for i, names in enumerate(views):
        turn, lens = truth.cameras[i]
        focal = truth.focal[i] * width
        middle = (width - 1) / 2 + truth.middle[0] * width, (height - 1) / 2 + truth.middle[1] * width
        matrix = np.array([[focal, 0, middle[0]], [0, focal, middle[1]], [0, 0, 1]])
        markers = {}
        for name in names:
            for number, flat in marked.sheets[name].markers.items():
                ahead = turn.apply(truth.on(name, flat + truth.misprint.get(number, 0)) - lens)
                bend = np.array([truth.bend, *truth.bend_more])
                spots = cv2.projectPoints(ahead, np.zeros(3), np.zeros(3), matrix, bend)[0][:, 0]
                if (ahead[:, 2] > 0).all() and ((spots > 0) & (spots < size)).all():
                    markers[number] = _grown(spots, truth.growth[i]) + rng.normal(0, noise, spots.shape)
        found.append(Photo(f"{i + 1}.jpg", size, markers))
    return found


def _grown(spots, off):
    """The corners (4, 2) of a quadrangle whose sides are moved out by `off`: lines in homogeneous coordinates."""
    flat = np.column_stack([spots, np.ones(4)])
    sides = np.cross(flat, np.roll(flat, -1, axis=0))
    inwards = np.sign(sides @ flat.mean(axis=0))
    sides[:, 2] += off * inwards * np.linalg.norm(sides[:, :2], axis=1)
    moved = np.cross(np.roll(sides, 1, axis=0), sides)
    return moved[:, :2] / moved[:, 2:]


def pages_of(path):
    """The pages of a template in greys, by what stands at their head."""
    heads = [" ".join(words.split()[:3]) for words in texts(path)]
    rough = {f"no_smooth{what}": True for what in ("text", "path", "image")}
    with pypdfium2.PdfDocument(path) as read:
        drawn = {
            head: page.render(scale=_FINER * DOTS / 72, grayscale=True, **rough).to_pil()
            for head, page in zip(heads, read, strict=True)
            if head.startswith(("Cutting template", "Floor mat", "Strip and tent"))
        }
    return {head: np.array(page.reduce(_FINER)) for head, page in drawn.items()}


def papers(pages, marked, design):
    """Sheet -> (picture, how its dots lie on the sheet (3, 3), corners of the paper (4, 2)), for each page."""
    panel = panel_of(design.box, design.placement, design.camera.axis, design.phone, design.hole)
    on_panel = {name: ends for name, *ends in tiles("A4", _marked_region(panel), panel.holes)[1]}
    found = {name: [] for name in (MAT, PANEL, STRIP, TENT)}
    tent = marked.sheets[TENT]
    for head, page in pages.items():
        if head.startswith("Strip"):
            found[STRIP].append((page, _dots_to_cm(page, (0, 0)), _rectangle((0, 0, 24, 3))))
            below = (tent.low[0], tent.low[1] - 3 - 1.2 - 1.0)
            for way in (1, -1):
                face = _rectangle((tent.low[0], min(0, way * _FACE), tent.high[0], max(0, way * _FACE)))
                found[TENT].append((page, _dots_to_cm(page, below), face))
        else:
            name = MAT if head.startswith("Floor") else PANEL
            tile = (
                mat_of("A4", design.box, design.placement, design.camera).region if name == MAT else on_panel[head.split()[-1]]
            )
            found[name].append((page, _dots_to_cm(page, tile[:2]), _rectangle(tile)))
    return found


def _dots_to_cm(page, corner):
    """A dot's number is that of its middle, and the first is at the page's upper left corner."""
    size, above = 2.54 / DOTS, min(_PAPER) if page.shape[1] > page.shape[0] else max(_PAPER)
    left, low = np.subtract(corner, FRAME)
    return np.array([[size, 0, left + size / 2], [0, -size, low + above - size / 2], [0, 0, 1]])


def _rectangle(ends):
    left, low, right, high = ends
    return np.array([(left, low), (right, low), (right, high), (left, high)], float)


def photographed(truth, which, sheets, size=(2000, 1500), noise=4.0, blur=0.8, quality=88, seed=0, hand=None):
    """The JPEG of one photograph, as bytes; `hand` covers a rectangle of it: left, top, right and bottom end, in shares."""
    width, height = size
    turn, lens = truth.cameras[which]
    focal = truth.focal[which] * width
    matrix = np.array(
        [
            [focal, 0, (width - 1) / 2 + width * truth.middle[0]],
            [0, focal, (height - 1) / 2 + width * truth.middle[1]],
            [0, 0, 1],
        ]
    )
    picture = np.full((height, width), _GREY, np.uint8)
    for name in VIEWS[which]:
        for page, dots, corners in sheets[name]:
            plane = _plane(truth, name, corners)
            seen = matrix @ turn.as_matrix() @ (plane - np.outer(lens, (0, 0, 1)))
            if name == TENT and np.cross(plane[:, 0], plane[:, 1]) @ (lens - plane @ (*corners.mean(axis=0), 1)) < 0:
                continue  # the face looks away
            ends = seen @ np.column_stack([corners, np.ones(4)]).T
            if (ends[2] < 1).any():
                continue
            cover = np.zeros_like(picture)
            cv2.fillConvexPoly(cover, np.round((ends[:2] / ends[2]).T).astype(np.int32), 255)
            page, dots = _coarser(page, dots, (ends[:2] / ends[2]).T, corners)
            there = cv2.warpPerspective(page, seen @ dots, size, flags=cv2.INTER_LINEAR, borderValue=_GREY)
            picture = np.where(cover > 0, there, picture)
    picture = _bent(picture, matrix, truth.bend)
    x, y = np.meshgrid(np.linspace(0, 1, width), np.linspace(0, 1, height))
    light = cv2.GaussianBlur(picture, (0, 0), blur) * (0.8 + 0.3 * x - 0.2 * y)
    if hand is not None:
        left, top, right, bottom = np.multiply(hand, [width, height] * 2).astype(int)
        light[top:bottom, left:right] = 90
    light = light + np.random.default_rng(seed).normal(0, noise, light.shape)
    file = io.BytesIO()
    Image.fromarray(np.clip(light, 0, 255).astype(np.uint8)).save(file, "JPEG", quality=quality)
    return file.getvalue()


def _coarser(page, dots, ends, corners):
    """The page and how its dots lie, with dots averaged where a pixel sees several."""
    sides = [np.linalg.norm(each - np.roll(each, 1, axis=0), axis=1) for each in (corners / (2.54 / DOTS), ends)]
    step = max(1, round(np.median(sides[0] / sides[1])))
    spread = np.array([[step, 0, (step - 1) / 2], [0, step, (step - 1) / 2], [0, 0, 1]])
    return np.array(Image.fromarray(page).reduce(step)), dots @ spread


def _plane(truth, name, corners):
    """What takes a place (x, y, 1) on a sheet to the world."""
    turn, place = truth.bodies[name]
    if name != TENT:
        return np.column_stack([turn.as_matrix()[:, :2], place])
    lean, way = np.radians(truth.fold), np.sign(corners[:, 1].sum())
    face = np.array([[1, 0, 0], [0, np.cos(lean), 0], [0, -way * np.sin(lean), _FACE * np.sin(lean)]])
    return turn.as_matrix() @ face + np.outer(place, (0, 0, 1))


def _bent(picture, matrix, bend):
    """The picture of a lens that moves what it sees at a slope of 1 outwards by the share `bend`."""
    height, width = picture.shape
    x, y = np.meshgrid(np.arange(width), np.arange(height))
    spots = np.stack([x, y], axis=-1).reshape(-1, 1, 2).astype(np.float64)
    straight = cv2.undistortPoints(spots, matrix, np.array([bend, 0, 0, 0]), P=matrix).reshape(height, width, 2)
    return cv2.remap(picture, straight.astype(np.float32), None, cv2.INTER_LINEAR, borderValue=_GREY)

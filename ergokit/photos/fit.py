"""Where sheets and cameras are, from the markers' corners in photographs: a least-squares adjustment of all at once.

The floor is z = 0, and the floor mat lies on it, but for what creases lift and tilt it. Every other sheet is a body of its own.
All sheets bow, twist, and are printed a little too large or small. Every photograph has a pose and a focal length of its own,
near a common one. What is known beforehand of each counts as a reading with an error (`PRIORS`): what photographs cannot tell
stays as uncertain as it was.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from ergokit._markers import MAT, PANEL, TENT, folded, opencv

#: One standard deviation of what is known beforehand (all from memory).
PRIORS = {
    "bow": 0.1,  # cm that a sheet rises or falls 10 cm from its middle, with the square of how far that is
    "lie": 0.045,  # cm that the floor mat lies off the floor: in its middle, and 10 cm from it where it is tilted
    "print": 0.002,  # share by which a printer's scale is off, after the ruler on the paper was measured
    "fold": 4.0,  # degrees that a face of the tent leans more or less than 45
    "focal": 0.02,  # share by which a photograph's focal length differs from the common one: a lens breathes as it focuses
    "common focal": 0.25,  # share by which the common one is off what is taken to start with
    "distortion": 0.1,  # share of a ray's slope, at a slope of 1, that grows with the slope's square
    "more distortion": 0.02,  # the same, for what grows with its fourth power
    "cut": 0.12,  # cm that a hole is off its mark, with the few that are far off counted in
    "height": 0.2,  # cm that a target is higher or lower than it was meant to be
    "growth": 0.0002,  # of a width, that black grows into white on all sides of a marker, by ink and by blur of bright light
    "decentring": 0.001,  # the same, of a lens that is not square to its sensor, right and down
    "middle": 0.01,  # of the picture's width, that the optical axis is off the middle of the picture
}
POINTS = "left", "right", "target", "camera"  # in the order in which readings of a tape number them
_KNOWN = ("focal", "common focal", "distortion", "more distortion", "growth", "decentring", "middle", "fold", "cut", "height")
CORNER = 0.5 / 4000  # of a width: one standard deviation of a corner, before the fit says better (from memory)
_FALSE = 5.0  # standard deviations beyond which a marker is false and left out
MISPLACED = 0.006  # cm that a marker is off its place on a sheet by print and creases, before the fit says better (from memory)
_LEAST = 0.25  # of both errors, whatever the fit says
_FIRST_GUESS = 5  # readings that what was taken for an error before the fit counts as
_MODES = (
    np.array([(1, 1, 1, 1), (1, 1, -1, -1), (1, -1, -1, 1), (1, -1, 1, -1)]) / 2
)  # of four corners: all together, and others
_ROUNDS = 3  # of weighing corners anew
_NEAR = 1e-3  # share of the misfit that a step must still mend on the way to a start that is near
_STEP = 1e-7  # of an unknown, to see what it changes
_POSE, _SHAPE = 6, 4  # numbers of a pose, and of a sheet's shape: bow across and along, twist, print


@dataclass(frozen=True, eq=False)
class Seen:
    """The corners that photographs show: one row a corner, the four of a marker one after another."""

    photo: np.ndarray  # (n,) number of the photograph
    sheet: np.ndarray  # (n,) number of the sheet
    marker: np.ndarray  # (n,)
    place: np.ndarray  # (n, 2) on the sheet, cm
    picture: np.ndarray  # (n, 2) in the picture, from its middle, right and down, in widths of the picture
    grown: np.ndarray  # (n, 2) how far a corner moves where a marker's sides all move out by one
    error: np.ndarray  # (n,) in widths, of each corner for itself
    misplaced: np.ndarray  # (n,) in widths, of the four corners of a marker together

    def kept(self, which):
        return replace(self, **{name: getattr(self, name)[which] for name in self.__dataclass_fields__})


@dataclass(frozen=True, eq=False)
class Adjustment:
    """The unknowns and what they are compared with; `sheets` are the names of those seen, the mat the first."""

    seen: Seen
    sheets: tuple
    middles: np.ndarray  # (sheets, 2) and half sizes, of each sheet
    halves: np.ndarray
    photos: int
    focal: float  # in widths, to start with
    ports: np.ndarray  # (2, 2) on the cutting template: left and right
    targets: np.ndarray  # (t, 3): on the mat, and how high above it
    tape: tuple = ()  # (points, reading, error): the names of two points, or of the one whose height was read, in cm

    @cached_property
    def parts(self):
        """Name -> (which, shape) of the numbers that are sought."""
        n, m = self.photos, len(self.sheets)
        shapes = {
            "camera": (n, _POSE),
            "body": (m - 1, _POSE),
            "focal": (n,),
            "common focal": (1,),
            "distortion": (1,),
            "more distortion": (1,),
            "growth": (n,),
            "decentring": (2,),
            "middle": (2,),
            "shape": (m, _SHAPE),
            "fold": (1,),
            "lie": (3,),
            "cut": (2, 2),
            "height": (1,),
        }
        found, at = {}, 0
        for name, shape in shapes.items():
            found[name] = slice(at, at := at + int(np.prod(shape))), shape
        return found

    @property
    def size(self):
        return self.parts["height"][0].stop

    def of(self, unknowns, name):
        """A part of the numbers (..., k) in its own shape."""
        which, shape = self.parts[name]
        return unknowns[..., which].reshape(*unknowns.shape[:-1], *shape)

    def put(self, unknowns, name, values):
        unknowns[self.parts[name][0]] = np.ravel(values)

    # From the numbers to the picture

    def world(self, unknowns, sheet, place):
        """Places (..., n, 2) on sheets (n,) in the world, (..., n, 3)."""
        shape = self.of(unknowns, "shape")[..., sheet, :]
        share = (place - self.middles[sheet]) / self.halves[sheet]
        rise = shape[..., 0] * (share[..., 0] ** 2 - 1 / 3) + shape[..., 1] * (share[..., 1] ** 2 - 1 / 3)
        rise = rise + shape[..., 2] * share[..., 0] * share[..., 1]
        up, tilt_x, tilt_y = np.moveaxis(self.of(unknowns, "lie")[..., None, :], -1, 0)
        rise = rise + (sheet == self.sheets.index(MAT)) * (up + tilt_x * share[..., 0] + tilt_y * share[..., 1])
        sized = self.middles[sheet] + (place - self.middles[sheet]) * (1 + shape[..., 3:])
        flat = np.concatenate([sized, rise[..., None]], axis=-1)
        if TENT in self.sheets:
            lean = 45 + self.of(unknowns, "fold")
            of_tent = sheet == self.sheets.index(TENT)
            flat = np.where(of_tent[:, None], folded(sized, lean) + [0, 0, 1] * rise[..., None], flat)
        none = np.zeros((*unknowns.shape[:-1], 1, _POSE))
        return moved(np.concatenate([none, self.of(unknowns, "body")], axis=-2), sheet, flat)

    def pictured(self, unknowns, points, photo):
        """Where points (..., n, 3) of the world are in photographs (n,), (..., n, 2)."""
        ahead = moved(self.of(unknowns, "camera"), photo, points)
        slope = ahead[..., :2] / np.maximum(ahead[..., 2:], 1e-3)
        square = np.sum(slope**2, axis=-1, keepdims=True)
        bent = 1 + square * (self.of(unknowns, "distortion") + self.of(unknowns, "more distortion") * square[..., 0])[..., None]
        off = self.of(unknowns, "decentring")[..., None, :]
        seen = slope * bent + off * square + 2 * slope * np.sum(off * slope, axis=-1, keepdims=True)
        return self.focals(unknowns)[..., photo, None] * seen + self.of(unknowns, "middle")[..., None, :]

    def focals(self, unknowns):
        """The focal length of each photograph, in widths."""
        return self.focal * np.exp(self.of(unknowns, "common focal") + self.of(unknowns, "focal"))

    def off_corners(self, unknowns):
        """How far corners are from where they should be, in widths: (..., n, 2)."""
        seen = self.seen
        there = self.pictured(unknowns, self.world(unknowns, seen.sheet, seen.place), seen.photo)
        return there + self.of(unknowns, "growth")[..., seen.photo, None] * seen.grown - seen.picture

    def misfit(self, unknowns):
        """Corners and what was known beforehand, each over its error: (..., 2 n + known).

        Of each marker first how far its corners are off together, then three ways in which they are off apart.
        """
        off = self.off_corners(unknowns) / self.seen.error[:, None]
        off = _MODES @ off.reshape(*unknowns.shape[:-1], -1, 4, 2)
        off[..., 0, :] /= np.sqrt(1 + self.together)[:, None]
        size = self.halves.T / 10
        bow, lie = PRIORS["bow"], PRIORS["lie"]
        shape = self.of(unknowns, "shape") / np.stack(
            [bow * size[0] ** 2, bow * size[1] ** 2, bow * size[0] * size[1], np.full(len(self.sheets), PRIORS["print"])],
            axis=-1,
        )
        tilt = self.of(unknowns, "lie") / [lie, lie * size[0, 0], lie * size[1, 0]]
        known = [self.of(unknowns, name) / PRIORS[name] for name in _KNOWN]
        parts = (off, shape, tilt, *known, self.off_tape(unknowns))
        return np.concatenate([part.reshape(*unknowns.shape[:-1], -1) for part in parts], axis=-1)

    @property
    def together(self):
        """The variance of how a marker's corners are off together, over that of a corner for itself: (n / 4,)."""
        return 4 * (self.seen.misplaced**2 / self.seen.error**2).reshape(-1, 4).mean(axis=1)

    def off_tape(self, unknowns):
        """How far each reading of the tape is off, over its error: (..., readings)."""
        if not self.tape:
            return np.empty((*unknowns.shape[:-1], 0))
        points, off = self.points(unknowns), []
        for (one, *other), reading, error in self.tape:
            to = points[other[0]] if other else points[one] * [1, 1, 0]
            off.append((np.linalg.norm(points[one] - to, axis=-1) - reading) / error)
        return np.stack(off, axis=-1)

    def points(self, unknowns):
        """Name -> place in the world, (..., 3): ports (where the cutting template is seen), first target, and the lens."""
        found = {"camera": self.lens(unknowns), "target": self.all_targets(unknowns)[..., 0, :]}
        if PANEL in self.sheets:
            on = np.full(2, self.sheets.index(PANEL))
            left, right = np.moveaxis(self.world(unknowns, on, self.ports + self.of(unknowns, "cut")), -2, 0)
            found |= {"left": left, "right": right}
        return found

    def all_targets(self, unknowns):
        """Where the targets are, (..., t, 3)."""
        on = np.full(len(self.targets), self.sheets.index(MAT))
        foot = self.world(unknowns, on, self.targets[:, :2])
        return foot + (self.targets[:, 2] + self.of(unknowns, "height"))[..., None] * [0, 0, 1]

    def lens(self, unknowns):
        """The entrance pupil of the first photograph, the one from the phone in its place."""
        camera = self.of(unknowns, "camera")[..., 0, :]
        return -np.einsum("...ji,...j->...i", turns(camera[..., :3]), camera[..., 3:])

    def axes(self, unknowns):
        """Unit vectors to the right, down and ahead in the first photograph, (..., 3, 3)."""
        return turns(self.of(unknowns, "camera")[..., 0, :3])

    def slopes(self, unknowns):
        """How each misfit changes with each unknown, (2 n + known, k)."""
        here, *ahead = self.misfit(unknowns + _STEP * np.eye(self.size + 1, self.size, -1))
        return (ahead - here).T / _STEP


def turns(vectors):
    """The matrices (..., 3, 3) of rotation vectors (..., 3)."""
    return Rotation.from_rotvec(vectors.reshape(-1, 3)).as_matrix().reshape(*vectors.shape, 3)


def moved(poses, which, points):
    """Points (..., n, 3), each moved by one of the poses (..., m, 6): that of its number in `which`, (n,)."""
    return np.einsum("...nk,...nik->...ni", points, turns(poses[..., :3])[..., which, :, :]) + poses[..., which, 3:]


def adjusted(problem, start):
    """The numbers that fit best, their covariance (k, k), and the `Adjustment` without false markers.

    Corners are weighed by how well they fit in the end; a marker farther off than chance explains is left out.
    """
    at = start
    for loss in ("soft_l1", "cauchy"):  # the second hardly minds what is far off, but needs a start that is near
        at = least_squares(problem.misfit, at, jac=problem.slopes, loss=loss, x_scale="jac", ftol=_NEAR, max_nfev=200).x
    while True:
        off = np.linalg.norm(problem.off_corners(at), axis=1) / problem.seen.error
        error = np.median(off) / 1.1774  # of a normal distribution in two directions
        which = problem.seen.photo * 1000 + problem.seen.marker
        false = np.isin(which, which[(off > _FALSE * max(error, 1.0)) & (off > off.max() / 2)])  # the worst first
        if not false.any():
            break
        problem = replace(problem, seen=problem.seen.kept(~false))
        at = least_squares(problem.misfit, at, jac=problem.slopes, x_scale="jac", max_nfev=200).x
    for _ in range(_ROUNDS):
        found = least_squares(problem.misfit, at, jac=problem.slopes, x_scale="jac", max_nfev=200)
        at, covariance = found.x, np.linalg.inv(found.jac.T @ found.jac)
        problem = replace(problem, seen=_weighed(problem, found.fun, found.jac, covariance))
    return at, covariance, problem


def _weighed(problem, misfit, slopes, covariance):
    """The corners with the errors that their misfits show, over how many readings are left after the fit.

    Two variance components, each a sum of squares over its redundancy, after Förstner: of corners, and of markers.
    """
    seen, count = problem.seen, 2 * len(problem.seen.photo)
    free = 1 - np.sum(slopes[:count] @ covariance * slopes[:count], axis=1)
    squares, free = (each.reshape(-1, 4, 2).sum(axis=2) for each in (misfit[:count] ** 2, free))
    corners = (squares[:, 1:].sum() + _FIRST_GUESS) / (free[:, 1:].sum() + _FIRST_GUESS)
    error, misplaced = seen.error * np.sqrt(corners), seen.misplaced.copy()
    for sheet in range(len(problem.sheets)):
        rows, markers = seen.sheet == sheet, seen.sheet[::4] == sheet
        if rows.any():
            both = (squares[markers, 0].sum() + _FIRST_GUESS) / (free[markers, 0].sum() + _FIRST_GUESS)
            own = np.mean(1 / problem.together[markers])
            misplaced[rows] *= np.sqrt(np.maximum(both * (1 + own) - own * corners, _LEAST**2))
    return replace(seen, error=error, misplaced=misplaced)


def after(outer, inner):
    """The pose that turns and moves by `inner` first and `outer` then."""
    turn = Rotation.from_rotvec(outer[:3])
    return np.concatenate([(turn * Rotation.from_rotvec(inner[:3])).as_rotvec(), turn.apply(inner[3:]) + outer[3:]])


def back(pose):
    """The pose that undoes another."""
    turn = Rotation.from_rotvec(pose[:3]).inv()
    return np.concatenate([turn.as_rotvec(), -turn.apply(pose[3:])])


def first_poses(seen, sheets, focal):
    """Poses to start with, of cameras and bodies, by each sheet's own pose in each photograph; what is not joined to the mat.

    Returns name of part -> poses, and the sheets (by number) that no chain of photographs joins to the mat.
    """
    cv2 = opencv()

    matrix, poses, weight = np.diag([focal, focal, 1.0]), {}, {}
    for photo, sheet in dict.fromkeys(zip(seen.photo.tolist(), seen.sheet.tolist(), strict=True)):
        rows = (seen.photo == photo) & (seen.sheet == sheet)
        place = seen.place[rows]
        flat = folded(place, 45) if sheets[sheet] == TENT else np.pad(place, ((0, 0), (0, 1)))
        way = cv2.SOLVEPNP_SQPNP if sheets[sheet] == TENT else cv2.SOLVEPNP_IPPE
        _, turns, moves, _ = cv2.solvePnPGeneric(flat, seen.picture[rows], matrix, None, flags=way)
        poses[photo, sheet] = np.concatenate([np.ravel(turns[0]), np.ravel(moves[0])])
        weight[photo, sheet] = int(rows.sum())
    cameras, bodies = {}, {sheets.index(MAT): np.zeros(_POSE)}
    todo = sorted(poses, key=lambda pair: -weight[pair])
    while True:
        ready = [(photo, sheet) for photo, sheet in todo if (photo in cameras) != (sheet in bodies)]
        if not ready:
            break
        photo, sheet = ready[0]
        if sheet in bodies:
            cameras[photo] = after(poses[photo, sheet], back(bodies[sheet]))
        else:
            bodies[sheet] = after(back(cameras[photo]), poses[photo, sheet])
    lost_photos = set(seen.photo.tolist()) - set(cameras)
    return cameras, bodies, lost_photos, set(seen.sheet.tolist()) - set(bodies)

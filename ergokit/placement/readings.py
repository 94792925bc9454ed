"""Tape readings and the arrangements of ports, target and camera that have them.

Ten numbers place the four points: half the spacing, both ports' heights, the target, and the camera aside, up and off a panel
of some slope through the middle of the port line, which is above the origin. A model says which of them are free. Where
nothing is known but the points, the panel is level and its slope no unknown, which leaves nine. In a box
(`Placement.from_tape`) the ports are level and the camera is on the panel's midline, which leaves seven.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ergokit.placement.measures import Arrangement

_LEFT, _RIGHT, _TARGET, _CAMERA = range(4)

#: What can be read: a distance between two points, the height of one above the floor, and three that a panel has.
READINGS = {
    "port_to_port": (_LEFT, _RIGHT),
    "left_to_target": (_LEFT, _TARGET),
    "right_to_target": (_RIGHT, _TARGET),
    "left_to_camera": (_LEFT, _CAMERA),
    "right_to_camera": (_RIGHT, _CAMERA),
    "camera_to_target": (_TARGET, _CAMERA),
    "left_height": (_LEFT,),
    "right_height": (_RIGHT,),
    "camera_height": (_CAMERA,),
    "target_height": (_TARGET,),
    "port_height": (),
    "camera_above_ports": (),
    "panel_slope": (),
}
NAMES = tuple(READINGS)
DISTANCE = {ends: name for name, ends in READINGS.items() if len(ends) == 2}
HEIGHT = {ends[0]: name for name, ends in READINGS.items() if len(ends) == 1}
_FROM, _TO = np.array(list(DISTANCE)).T

#: What readings were called in files of before.
OLD_NAMES = {
    "spacing": "port_to_port",
    "left": "left_to_target",
    "right": "right_to_target",
    "window_above_ports": "camera_above_ports",
}

EXACT = 0.01  # cm: a height of 0 is the floor itself, and no reading is better than this
_COLLINEAR = 1e-6  # of the spacing: a camera as little off the port line as this gives no panel


@dataclass(frozen=True, eq=False)
class Model:
    """Which of the ten numbers are free: `basis` (10, k) makes them of the unknowns; `anywhere` is without any symmetry, where
    a set of readings determines what it determines wherever it is well placed; `read` may settle what is open."""

    basis: np.ndarray
    anywhere: np.ndarray
    read: tuple
    low: np.ndarray | float = -np.inf
    high: np.ndarray | float = np.inf

    @property
    def sides(self):
        """Which unknowns count to the right: half the spacing, the target's place aside and the camera's."""
        return np.flatnonzero(self.basis[[0, 3, 6]].any(axis=0))


_OF_POINTS, _OF_PANEL = np.eye(10, 9), np.eye(10)[:, [0, 1, 3, 4, 5, 7, 9]]
_OF_POINTS[8, 1:3] = -0.5  # the last unknown is the camera's height, not how far it is above the middle of the ports
_OF_PANEL[2, 1] = 1  # both ports are level
POINTS = Model(
    _OF_POINTS,
    np.array([8.3, 13.1, 11.7, 1.9, 9.7, 0.8, -2.3, 3.9, 17.2]),
    NAMES[:10],
)
PANEL = Model(
    _OF_PANEL,
    np.array([8.3, 12.4, 1.9, 9.7, 0.8, 6.1, 38.0]),
    ("panel_slope", "port_height"),
    np.array([-np.inf] * 6 + [0]),
    np.array([np.inf] * 6 + [90]),
)


def _cos_sin(slope):
    return np.cos(slope * (np.pi / 180)), np.sin(slope * (np.pi / 180))


def coordinates(numbers):
    """The four points of the ten numbers, shape (..., 4, 3)."""
    half, left, right, _, _, _, aside, up, off, slope = (numbers[..., i] for i in range(10))
    cos, sin = _cos_sin(slope)
    points = np.zeros((*half.shape, 4, 3), numbers.dtype)
    points[..., 0, 0], points[..., 0, 2] = -half, left
    points[..., 1, 0], points[..., 1, 2] = half, right
    points[..., 2, :] = numbers[..., 3:6]
    points[..., 3, 0], points[..., 3, 1] = aside, up * cos - off * sin
    points[..., 3, 2] = (left + right) / 2 + up * sin + off * cos
    return points


def read_of(numbers):
    """All readings, shape (..., 13)."""
    points = coordinates(numbers)
    distances = np.sqrt(np.sum((points[..., _FROM, :] - points[..., _TO, :]) ** 2, axis=-1))
    of_a_panel = np.stack([(numbers[..., 1] + numbers[..., 2]) / 2, numbers[..., 7], numbers[..., 9]], axis=-1)
    return np.concatenate([distances, points[..., list(HEIGHT), 2], of_a_panel], axis=-1)


def slopes_of(model, unknowns):
    """How each reading changes with each unknown, (..., 13, k): the imaginary part that a tiny imaginary step leaves."""
    step = 1e-30
    there = unknowns[..., None, :] + 1j * step * np.eye(unknowns.shape[-1])
    return np.swapaxes(read_of(there @ model.basis.T).imag / step, -1, -2)


@dataclass(frozen=True, eq=False)
class Readings:
    """Readings, one a row: which, as read, and its error; and what is known without a tape."""

    which: np.ndarray
    read: np.ndarray
    error: np.ndarray
    model: Model
    flat_phone: bool
    camera_looks: str | None

    @classmethod
    def of(cls, model, given, error, errors, flat_phone=False, camera_looks=None):
        """From name -> one reading or a list of them; `errors` has the errors of single names."""
        rows = []
        for name, value in given.items():
            usual = errors.get(name, error)
            rows += [
                (NAMES.index(name), each, EXACT if each == 0 and name in HEIGHT.values() and name not in errors else usual)
                for each in np.atleast_1d(value)
            ]
        which, read, error = map(np.array, zip(*rows, strict=True))
        return cls(which, read, error, model, flat_phone, camera_looks)

    @property
    def names(self):
        return tuple(NAMES[i] for i in dict.fromkeys(self.which.tolist()))

    def without(self, name):
        kept = self.which != NAMES.index(name)
        return replace(self, which=self.which[kept], read=self.read[kept], error=self.error[kept])

    @cached_property
    def means(self):
        """Each reading by name: its weighted mean."""
        return {name: float(np.average(read, weights=error**-2)) for name, read, error in self.each()}

    @cached_property
    def doubts(self):
        """One standard deviation of each mean."""
        return {name: float(np.sum(error**-2) ** -0.5) for name, _, error in self.each()}

    def each(self):
        """Name, readings and errors of each that was read."""
        for name in self.names:
            row = self.which == NAMES.index(name)
            yield name, self.read[row], self.error[row]

    def fitted(self, unknowns):
        """What the readings are at some unknowns (..., k)."""
        return read_of(unknowns @ self.model.basis.T)[..., self.which]

    def misfit(self, unknowns):
        """How far that is from what was read, in errors."""
        return (self.fitted(unknowns) - self.read) / self.error

    def slopes(self, unknowns):
        return slopes_of(self.model, unknowns)[..., self.which, :] / self.error[:, None]

    def settle(self, at, near=1e-9, damping=1e-3):
        """Least squares from each of many starts (n, k), after Levenberg and Marquardt: the unknowns, and the squares left.

        The last step is at most `near`; `damping` is small where the start is close.
        """
        damping, same = np.full(len(at), damping), np.eye(at.shape[-1])
        misfit = self.misfit(at)
        for _ in range(150):
            slopes = self.slopes(at)
            uphill = (misfit[:, None] @ slopes)[:, 0]
            stuck = (at <= self.model.low) & (uphill > 0) | (at >= self.model.high) & (uphill < 0)
            slopes[np.broadcast_to(stuck[:, None], slopes.shape)] = uphill[stuck] = 0
            bend = np.swapaxes(slopes, 1, 2) @ slopes
            damped = damping * np.trace(bend, axis1=1, axis2=2)
            step = np.linalg.solve(bend + damped[:, None, None] * same, -uphill[..., None])[..., 0]
            there = np.clip(at + step, self.model.low, self.model.high)
            misfit_there = self.misfit(there)
            better = np.sum(misfit_there**2, axis=-1) <= np.sum(misfit**2, axis=-1)
            at, misfit = np.where(better[:, None], there, at), np.where(better[:, None], misfit_there, misfit)
            damping = np.clip(np.where(better, damping / 10, damping * 4), 1e-12, 1e3)
            if np.abs(step).max() < near:
                break
        # The left port is on the left: with all sides changed the readings are the same.
        at[:, self.model.sides] *= np.where(at[:, :1] < 0, -1, 1)
        return at, np.sum(misfit**2, axis=-1)

    def arrangement(self, unknowns, facing=1.0):
        """The arrangement at some unknowns (n, k), its front turned to its back where `facing` is -1."""
        numbers = unknowns @ self.model.basis.T
        left, right, target, camera = np.moveaxis(coordinates(numbers), -2, 0)
        aim = panel = None
        if self.model is PANEL:
            cos, sin = _cos_sin(numbers[..., 9])
            panel = np.stack([0 * cos, -sin, cos], axis=-1)
        elif self.flat_phone:  # the panel holds both ports and the phone, which looks to the target's side of it
            panel = np.cross(right - left, camera - left)
            size = np.linalg.norm(panel, axis=-1, keepdims=True)
            if (size <= _COLLINEAR * np.sum((right - left) ** 2, axis=-1, keepdims=True)).any():
                raise ValueError("The readings put the camera on the port line, so they do not give the panel (flat_phone).")
            side = np.sum((target - left) * panel, axis=-1, keepdims=True)
            panel = panel * np.where(side > 0, -1, 1) / size
        if self.flat_phone:
            aim = -panel
        turn = np.ones_like(left)
        turn[..., 1] = facing
        points = (None if each is None else each * turn for each in (left, right, target, camera, aim))
        return Arrangement(*points, panel_normal=None if panel is None else panel * turn)

    def facing(self, unknowns):
        """1 where the camera looks as it is said to, away from the operator unless said; -1 for the mirror image."""
        seen = self.arrangement(unknowns)
        ahead = (seen.targets - seen.camera if seen.aim is None else seen.aim)[..., 1]
        return np.where(ahead > 1e-9 if self.camera_looks == "towards" else ahead < -1e-9, -1.0, 1.0)

"""One real arrangement of ports, camera and targets, and its table of named measures (no verdicts)."""

from __future__ import annotations

import json
from dataclasses import asdict, fields
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from ergokit._check import between, brief, directions, flag, lengths, one, one_point, refused, shaft_lengths, target_points
from ergokit._files import MOST_BYTES, json_object, read_small, write_whole
from ergokit._types import FilePath
from ergokit.placement.measures import index_of, measure, rows_of
from ergokit.placement.readings import EXACT, OLD_NAMES, PANEL, Readings
from ergokit.placement.tape import TapeCheck, checked_box
from ergokit.triangulation import inserted_length, manipulation_angle, port_spacing, working_distance
from ergokit.view import Scope

if TYPE_CHECKING:
    from ergokit.placement.table import MeasureTable

__all__ = ["Placement"]

_HEAD = {"format": "ergokit placement", "version": 1, "units": {"length": "cm", "angle": "degrees"}}
_WITH_SCOPE = 2  # the version that also knows a camera that is a scope
_POINTS = ("left_port", "right_port", "target", "camera")
_TAPE = ("port_to_port", "left_to_target", "right_to_target", "camera_to_target", "camera_above_ports")
_MORE_TAPE = ("panel_slope", "port_height", "target_height", "flat_phone", "reading_error", "slope_error")
#: What `Placement.from_tape` takes, without the instruments.
TAPE_ARGUMENTS = (*_TAPE, *_MORE_TAPE)
_ARGUMENTS = (*_POINTS, "aim", "instrument_length", "handle_reach", "normal", "panel_normal")


class Placement:
    """Two ports, a camera and one target or many; immutable.

    Parameters, lengths in cm in the frame x right, y away from the operator, z up:

    left_port, right_port
        points (x, y, z)
    target
        a point, or n of them with shape (n, 3)
    camera
        a point, the lens of a phone with a level horizon, or an `ergokit.view.Scope`, whose tip, axis and picture it then is
    instrument_length, handle_reach
        the shaft, one length for both hands or a pair (left, right), and from its outer end to the hand. 36 cm is the
        "standard-length endoscopic instruments (360 mm)" of Emam et al., Arch Surg 2000;135(1):62-65; the reach of 10 cm is
        from memory (8 to 12)
    normal
        of the working plane; level unless given
    aim
        direction the camera looks; at the target (each one in turn) unless given. A scope has its own
    panel_normal
        outward normal of the panel that holds the ports; without it leans at the ports are not known

    `shafts` holds both lengths, left and right. `camera` is the lens or the scope's tip, `aim` also the direction of a
    scope's axis, `up` the top of its picture (None for a level horizon), `scope` the scope itself or None, and `camera_hole`
    the lens or the scope's port. Raises ValueError for a bad argument and for an arrangement that cannot exist: two ports in
    one place, a port or the camera on a target, an instrument too short to reach.

    >>> Placement((-9, 0, 12), (9, 0, 12), target=(0, 10, 0), camera=(0, 0, 12))
    Placement, in cm (x right, y away, z up)
      left port   -9.0, 0.0, 12.0
      right port  9.0, 0.0, 12.0
      camera      0.0, 0.0, 12.0, looking at the target
      target      0.0, 10.0, 0.0
      instruments 36.0 long, hand 10.0 beyond
      manipulation angle 59.9 degrees, working distance 15.6 cm
    """

    def __init__(
        self,
        left_port: ArrayLike,
        right_port: ArrayLike,
        target: ArrayLike,
        camera: ArrayLike | Scope,
        instrument_length: ArrayLike = 36,
        handle_reach: float = 10,
        *,
        normal: ArrayLike | None = None,
        aim: ArrayLike | None = None,
        panel_normal: ArrayLike | None = None,
    ) -> None:
        self.left_port = _frozen(one_point("left_port", left_port))
        self.right_port = _frozen(one_point("right_port", right_port))
        self.target = _frozen(target_points("target", target))
        self.scope = camera if isinstance(camera, Scope) else None
        self.up = None
        if self.scope is not None:
            if aim is not None:
                raise ValueError("A scope looks where its own view says; turn the scope, and leave the direction out (aim).")
            camera, aim, self.up = self.scope.tip, self.scope.axis, _frozen(self.scope.up)
        self.camera = _frozen(one_point("camera", camera))
        self.aim = None if aim is None else _frozen(one_point("aim", aim, directions))
        self.shafts = _frozen(shaft_lengths("instrument_length", instrument_length))
        self.handle_reach = one("handle_reach", handle_reach, lengths, zero=True)
        self.normal = None if normal is None else _frozen(one_point("normal", normal, directions))
        self.panel_normal = None if panel_normal is None else _frozen(one_point("panel_normal", panel_normal, directions))
        self.tape: TapeCheck | None = None
        self._refuse_the_impossible()
        self._settled = True

    def __setattr__(self, name, value):
        if getattr(self, "_settled", False):
            raise AttributeError(f"a Placement does not change; make another with .replace({name}=...)")
        super().__setattr__(name, value)

    def _refuse_the_impossible(self):
        if port_spacing(self.left_port, self.right_port) == 0:
            raise ValueError(f"Both ports are at {_at(self.left_port)}; move one of them (left_port, right_port).")
        for name in ("left_port", "right_port"):
            if self.scope is not None and port_spacing(getattr(self, name), self.camera_hole) == 0:
                raise ValueError(
                    f"A working port and the scope's port are both at {_at(self.camera_hole)}; move one of them ({name})."
                )
        for name, shaft in zip(("left_port", "right_port", "camera"), (*self.shafts, np.inf), strict=True):
            place = getattr(self, name)
            distance = np.atleast_1d(inserted_length(place, self.target))
            if (distance == 0).any():
                raise ValueError(f"The {name.replace('_', ' ')} is on the target at {_at(place)}; move one of them ({name}).")
            if (distance >= shaft).any():
                raise ValueError(
                    f"An instrument of {shaft:.1f} cm is too short for the {name.removesuffix('_port')} hand: "
                    f"its port is {distance.max():.1f} cm from the target (instrument_length)."
                )

    @classmethod
    def from_tape(
        cls,
        port_to_port: float,
        left_to_target: float,
        right_to_target: float,
        camera_to_target: float,
        camera_above_ports: float,
        panel_slope: float | None = None,
        *,
        port_height: float | None = None,
        target_height: float = 0,
        flat_phone: bool = False,
        instrument_length: ArrayLike = 36,
        handle_reach: float = 10,
        reading_error: float = 0.3,
        slope_error: float = 1,
    ) -> Placement:
        """The placement of a box measured with a tape: ports level on one panel, camera hole on its midline.

        Parameters, in cm and degrees:

        port_to_port, left_to_target, right_to_target
            between the two holes, and from each hole to the target (the lengths inside)
        camera_to_target
            lens to target
        camera_above_ports
            how far up the panel the lens sits above the middle of the port line
        panel_slope
            of the panel above the floor, 0 (a flat lid) to 90
        port_height, target_height
            of the ports and of the target above the floor; a target_height of 0 is the floor itself
        flat_phone
            True for a phone lying flat on the panel: it looks straight into it, not at the target
        reading_error, slope_error
            one standard deviation of a tape reading and of the slope (common practice, no source); 0 counts as 0.01

        It is a tape check (`ergokit.tape_check`) of a box whose shape is known; the placement remembers it as `tape`, with
        its `remarks`, `interval`, `repeat`, `compared` and `unchecked`. The placement is that of least squares.

        Distances alone cannot give the tilt of the triangle in the box. Without `panel_slope` or `port_height` nothing about
        elevation, angle seen from above or view is known, and with the camera less than 4 cm above the ports both are needed;
        `measures` then says so in place of a number. So it does where two slopes fit the readings. Its `uncertainty` column
        carries the reading errors through to every measure.

        The frame: the middle of the port line is above the origin, and the operator is where the picture is upright.
        Readings that no box can have raise ValueError.

        >>> box = Placement.from_tape(port_to_port=20, left_to_target=20, right_to_target=20, camera_to_target=15,
        ...                           camera_above_ports=8.66, panel_slope=36.87)
        >>> round(float(box.measures().value[1]), 1)  # the manipulation angle
        60.0
        """
        given = {
            "port_to_port": one("port_to_port", port_to_port, lengths),
            "left_to_target": one("left_to_target", left_to_target, lengths),
            "right_to_target": one("right_to_target", right_to_target, lengths),
            "camera_to_target": one("camera_to_target", camera_to_target, lengths),
            "camera_above_ports": one("camera_above_ports", camera_above_ports, lengths, zero=True),
        }
        if panel_slope is not None:
            given["panel_slope"] = one("panel_slope", panel_slope, between, 0, 90, "a slope of 0 to 90 degrees")
        if port_height is not None:
            given["port_height"] = one("port_height", port_height, lengths)
        given["target_height"] = one("target_height", target_height, lengths, zero=True)
        more = {
            "flat_phone": flag("flat_phone", flat_phone),
            "reading_error": one("reading_error", reading_error, lengths, zero=True),
            "slope_error": one("slope_error", slope_error, lengths, zero=True),
        }
        error, errors = max(more["reading_error"], EXACT), {"panel_slope": max(more["slope_error"], EXACT)}
        readings = Readings.of(PANEL, given, error, errors, more["flat_phone"], "away")
        make = partial(cls, instrument_length=instrument_length, handle_reach=handle_reach)
        check = checked_box(readings, make, given | more)
        object.__setattr__(check.placement, "tape", check)
        return check.placement

    @property
    def camera_hole(self) -> np.ndarray:
        """Where the camera comes through the wall: a phone's lens, or the port of a scope; shape (3,)."""
        return self.camera if self.scope is None else np.array(self.scope.port)

    @property
    def instrument_length(self) -> float | tuple[float, float]:
        """The length of both shafts, or a pair (left, right) where the two differ, in cm."""
        left, right = self.shafts.tolist()
        return left if left == right else (left, right)

    @property
    def targets(self) -> np.ndarray:
        """The targets with shape (n, 3), also when there is one."""
        return np.atleast_2d(self.target)

    def value(self, quantity: str, side: str = "") -> float:
        """One measure on the first target, in cm or degrees; NaN without a value.

        `side` is "left", "right" or "" for a measure without sides.

        >>> round(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16)).value("angle on the screen"), 1)
        120.4
        """
        rows = rows_of(self)
        return rows[index_of(rows, quantity, side)].value

    def replace(self, **changes: ArrayLike | Scope | None) -> Placement:
        """A copy with some arguments changed; it no longer remembers tape readings.

        >>> Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 0, 12)).replace(camera=(0, 4, 16)).camera
        array([ 0.,  4., 16.])
        """
        return type(self)(**(self._arguments() | changes))

    def spread(self, factor: float) -> Placement:
        """The placement with its ports `factor` times as far apart, about the same middle.

        >>> box = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 0, 12))
        >>> box.spread(0.5).left_port, box.spread(0.5).right_port
        (array([-4.5,  0. , 12. ]), array([ 4.5,  0. , 12. ]))
        """
        factor = one("factor", factor, lengths, takes="a factor of more than 0")
        middle = (self.left_port + self.right_port) / 2
        moved = {name: middle + factor * (getattr(self, name) - middle) for name in ("left_port", "right_port")}
        try:
            return self.replace(**moved)
        except ValueError as error:
            raise ValueError(f"{str(error).removesuffix(').')}, factor).") from None

    def measures(self, *quantities: str) -> MeasureTable:
        """Every measure as a pandas table: quantity, side, value, unit, note; a target column when there are several.

        With `quantities` only those measures. Shown with one decimal, kept in full. A measure without a value is NaN and its
        note says why; a placement from tape readings has a column `uncertainty` (one standard deviation).

        >>> Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 0, 12)).measures("manipulation angle")
                  quantity side value unit note
        manipulation angle       59.9  deg
        """
        table = measure(self)
        return table.of(*quantities) if quantities else table

    def as_code(self) -> str:
        """Python that makes this placement again.

        >>> print(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 0, 12)).as_code())
        Placement(
            left_port=(-9, 0, 12),
            right_port=(9, 0, 12),
            target=(0, 10, 0),
            camera=(0, 0, 12),
            instrument_length=36,
            handle_reach=10,
        )
        """
        if self.tape is not None:
            arguments = self.tape.given() | {"instrument_length": self.instrument_length, "handle_reach": self.handle_reach}
            name = "Placement.from_tape"
        else:
            arguments, name = self._arguments(), "Placement"
        return f"{name}(\n" + "".join(f"    {key}={_literal(value)},\n" for key, value in arguments.items()) + ")"

    # JSON: one object with "format", "version", "units" and the constructor's arguments; points as lists, absent where
    # not given. A placement from tape readings carries them under "tape" and is stood up from them again.

    def to_json(self) -> str:
        """The placement as JSON text (format "ergokit placement"; lengths in cm, angles in degrees).

        It is version 1 with a phone, which every ergokit reads, and version 2 with a scope.

        >>> placement = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 0, 12))
        >>> Placement.from_json(placement.to_json()) == placement
        True
        """
        record = dict(_HEAD) if self.scope is None else _HEAD | {"version": _WITH_SCOPE}
        record |= {key: _plain(value) for key, value in self._arguments().items()}
        if self.tape is not None:
            record["tape"] = self.tape.given()
        return json.dumps(record, indent=2)

    @classmethod
    def from_json(cls, text: str) -> Placement:
        """The placement that `to_json` wrote; ValueError says what is wrong with any other text."""
        if not isinstance(text, str) or len(text) > MOST_BYTES:
            raise refused("placement file", f"JSON text of at most {MOST_BYTES // 10**6} MB", text)
        record = json_object(text, "placement file")
        for key, value in _HEAD.items():
            takes = (value, _WITH_SCOPE) if key == "version" else (value,)
            if record.get(key) not in takes or isinstance(record[key], bool):
                raise refused("placement file", f"{key} {' or '.join(map(json.dumps, takes))}", record.get(key))
        _refuse_entries("placement file", record, _POINTS, (*_HEAD, *_ARGUMENTS, "tape"))
        given = {name: record[name] for name in _ARGUMENTS if name in record}
        if isinstance(given["camera"], dict):
            names = [field.name for field in fields(Scope)]
            _refuse_entries("camera", given["camera"], names, names)
            given["camera"] = Scope(**given["camera"])
        placement = cls(**given)
        if "tape" not in record:
            return placement
        tape = record["tape"]
        if of_before := isinstance(tape, dict) and not OLD_NAMES.keys().isdisjoint(tape):
            tape = {OLD_NAMES.get(name, name): value for name, value in tape.items()}
        _refuse_entries("tape", tape, _TAPE, TAPE_ARGUMENTS)
        stood = cls.from_tape(**tape, instrument_length=placement.instrument_length, handle_reach=placement.handle_reach)
        if not of_before and not stood._is_near(placement):  # before, spare readings did not move the points
            raise ValueError('The points do not follow from the "tape" readings; remove one of the two (placement file).')
        return stood

    def save(self, path: FilePath, overwrite: bool = False) -> Path:
        """Write `to_json` to a file, whole or not at all, and over an existing one only with `overwrite=True`."""
        return write_whole(path, lambda part: part.write_text(self.to_json() + "\n", encoding="utf-8"), overwrite)

    @classmethod
    def load(cls, path: FilePath) -> Placement:
        """The placement in a file that `save` wrote."""
        return cls.from_json(read_small(path, "a placement file"))

    def __eq__(self, other):
        if not isinstance(other, Placement):
            return NotImplemented
        return self.to_json() == other.to_json()

    def __hash__(self):
        return hash(self.to_json())

    def __repr__(self):
        camera = f"camera      {_at(self.camera)}, looking at the target"
        if self.scope is not None:
            view = f"{self.scope.direction_of_view:g} degrees, {self.scope.inserted_length:.1f} in from {_at(self.scope.port)}"
            camera = f"scope       {_at(self.camera)}, {view}"
        elif self.aim is not None:
            camera = f"camera      {_at(self.camera)}, looking along {_at(self.aim)}"
        n = len(self.targets)
        target = _at(self.target) if n == 1 else f"{n} of them, from {_at(self.targets[0])} to {_at(self.targets[-1])}"
        theta = np.atleast_1d(manipulation_angle(self.left_port, self.right_port, self.target))
        distance = np.atleast_1d(working_distance(self.camera, self.target))
        left, right = self.shafts
        shafts = f"{left:.1f}" if left == right else f"{left:.1f} (left) and {right:.1f} (right)"
        return (
            "Placement, in cm (x right, y away, z up)\n"
            f"  left port   {_at(self.left_port)}\n"
            f"  right port  {_at(self.right_port)}\n"
            f"  {camera}\n"
            f"  target{' ' if n == 1 else 's'}     {target}\n"
            f"  instruments {shafts} long, hand {self.handle_reach:.1f} beyond\n"
            f"  manipulation angle {_span(theta)} degrees, working distance {_span(distance)} cm"
        )

    def _arguments(self):
        """What the constructor takes to make it again."""
        given = {name: getattr(self, name) for name in _ARGUMENTS}
        if self.scope is not None:
            given |= {"camera": self.scope, "aim": None}
        return {name: value for name, value in given.items() if value is not None}

    def _is_near(self, other):
        """Whether both have the same arguments but for a tenth of a mm: least squares end a little apart on other machines."""

        def near(mine, theirs):
            return np.shape(mine) == np.shape(theirs) and np.allclose(mine, theirs, rtol=0, atol=0.01)

        mine, theirs = self._arguments(), other._arguments()
        return mine.keys() == theirs.keys() and all(map(near, mine.values(), theirs.values()))


def _refuse_entries(name, record, needed, allowed):
    if not isinstance(record, dict):
        raise refused(name, "named entries in braces", record)
    missing = [key for key in needed if key not in record]
    unknown = [key for key in record if key not in allowed]
    if missing:
        raise refused(name, f"all of {', '.join(needed)}", problem=f"Entries are missing: {', '.join(missing)}")
    if unknown:
        raise refused(name, f"some of {', '.join(allowed)}", problem=f"There is no entry {brief(unknown[0])}")


def _frozen(array):
    array = array + 0.0  # a copy of our own, without minus zero
    array.flags.writeable = False
    return array


def _at(point):
    return ", ".join(f"{part:z.1f}" for part in np.ravel(point))


def _span(values):
    low, high = f"{np.min(values):.1f}", f"{np.max(values):.1f}"
    return low if low == high else f"{low} to {high}"


def _plain(value):
    """A value as JSON has it."""
    return asdict(value) if isinstance(value, Scope) else value.tolist() if isinstance(value, np.ndarray) else value


def _literal(value):
    """Python for a value, to the last digit; whole numbers without a point."""
    if isinstance(value, Scope):
        return f"Scope({', '.join(f'{name}={_literal(part)}' for name, part in asdict(value).items())})"
    if isinstance(value, np.ndarray):
        return _literal(value.tolist())
    if isinstance(value, list | tuple):
        return f"({', '.join(map(_literal, value))}{',' if len(value) == 1 else ''})"
    return repr(int(value) if isinstance(value, float) and value.is_integer() else value)

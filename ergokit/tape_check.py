"""A box checked with a tape: from readings between its points and the floor to a placement, and how sure each measure is.

Four points (both ports, target, camera) have twelve coordinates; where they stand on the floor and which way the whole is
turned no reading tells, which leaves nine. Six distances and four heights can be read. How they are fitted is in
`ergokit.placement.tape`.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from ergokit import datasets
from ergokit._check import flag, instance, lengths, listed, one, one_word, refused, shaped
from ergokit._files import some_path
from ergokit._types import FilePath
from ergokit.placement import Placement
from ergokit.placement.readings import HEIGHT, OLD_NAMES, POINTS, Readings
from ergokit.placement.tape import TapeCheck, checked_box

__all__ = ["READINGS", "SheetView", "TapeCheck", "check_tape", "check_tape_file", "field_of_view_from_sheet", "tape_slips"]

#: What can be read: a distance between two points, or the height of one above the floor.
READINGS = POINTS.read

_READING_ERROR = 0.3  # cm, one standard deviation of a tape reading (common practice, no source)
_FARTHEST_SHEET = 100  # cm: farther away a sheet of paper is small in the picture, and a distance in mm likely


def check_tape(
    port_to_port: ArrayLike | None = None,
    left_to_target: ArrayLike | None = None,
    right_to_target: ArrayLike | None = None,
    left_to_camera: ArrayLike | None = None,
    right_to_camera: ArrayLike | None = None,
    camera_to_target: ArrayLike | None = None,
    left_height: ArrayLike | None = None,
    right_height: ArrayLike | None = None,
    camera_height: ArrayLike | None = None,
    target_height: ArrayLike | None = None,
    *,
    error: float = _READING_ERROR,
    errors: Mapping[str, float] | None = None,
    flat_phone: bool = False,
    camera_looks: str | None = None,
    instrument_length: ArrayLike = 36,
    handle_reach: float = 10,
) -> TapeCheck:
    """The placement that tape readings give, with the uncertainty of every measure: a `TapeCheck`.

    Parameters, lengths in cm; leave out what was not read, and give what was read several times as a list:

    port_to_port, left_to_target, right_to_target
        between the two holes, and from each hole to the target (the lengths inside)
    left_to_camera, right_to_camera, camera_to_target
        from each hole and from the target to the lens or the scope's tip
    left_height, right_height, camera_height, target_height
        above the floor; a height of 0 is the floor itself, without an error
    error, errors
        one standard deviation of a reading (0.3 cm is common practice, no source), and of single ones by name:
        ``errors={"camera_height": 0.5}``
    flat_phone
        True for a phone lying flat on the panel of the ports: it looks straight into the panel, not at the target
    camera_looks
        ``"away"`` from the operator or ``"towards"``. A tape cannot tell an arrangement from its mirror image; unless this is
        given, the camera is drawn looking away and the hand-eye rotation is not known
    instrument_length, handle_reach
        as for `Placement`

    A measure that the readings do not determine is not known, and its note says what to read. Readings that no arrangement
    can have raise ValueError, naming them.

    >>> check_tape(port_to_port=18.2, left_to_target=17.6, right_to_target=18.4, error=0.2)  # doctest: +ELLIPSIS
    Tape check of 3 readings
      manipulation angle 60.7 degrees, 95 % from 58.9 to 62.5
      not known: working distance; elevation angle; instrument plane tilt; angle seen from above; ...
      A tape cannot tell an arrangement from its mirror image; ...
      Repeat port to port: it carries 66 % of the variance of the manipulation angle, and one more reading of it brings ...
    """
    lengths_between = (port_to_port, left_to_target, right_to_target, left_to_camera, right_to_camera, camera_to_target)
    taken = (*lengths_between, left_height, right_height, camera_height, target_height)
    given = {name: value for name, value in zip(READINGS, taken, strict=True) if value is not None}
    flat_phone = flag("flat_phone", flat_phone)
    if camera_looks is not None:
        one_word("camera_looks", camera_looks, ("away", "towards"), "'away' or 'towards', or leave it out")
    if not given:
        raise refused("", f"at least one of {', '.join(READINGS)}", problem="There is no reading")
    error, errors = one("error", error, lengths), _errors(errors)
    if stray := [name for name in errors if name not in given]:
        raise refused("errors", f"an error only for a reading that is given, {listed(given, stray[0])}", stray[0])
    for name, value in given.items():
        given[name] = values = np.atleast_1d(lengths(name, value, zero=name in HEIGHT.values()))
        if values.ndim > 1:
            raise refused(name, "one reading or a list of readings", problem=shaped(values))
    errors = {name: one(f"errors[{name!r}]", own, lengths) for name, own in errors.items()}
    make = partial(Placement, instrument_length=instrument_length, handle_reach=handle_reach)
    return checked_box(Readings.of(POINTS, given, error, errors, flat_phone, camera_looks), make)


def check_tape_file(path: FilePath, **options: Any) -> TapeCheck:
    """The tape check of a CSV file of readings; `options` are those of `check_tape`.

    Columns: ``reading`` (an argument of `check_tape`; a length that was read twice has two rows), ``value``, ``error`` (one
    standard deviation; empty for the usual one), ``unit`` (cm) and ``how`` (free words). `data/demo_tape_check.csv` is an
    example. ValueError names the file, line and column of a cell that does not fit.

    >>> from ergokit import datasets
    >>> check_tape_file(datasets.folder() / "demo_tape_check.csv").interval("manipulation angle").round(1)
    array([61.5, 65.9])
    """
    given, errors = _read(path)
    return check_tape(**given, errors=errors | _errors(options.pop("errors", None)), **options)


def _read(path):
    """The readings of a file by name, each a list, and the errors of those that have one of their own."""
    path = some_path(path)
    rows = datasets.read(path, datasets.TABLES["demo_tape_check"], "a CSV file of readings")
    given: dict[str, Any] = {}
    errors: dict[str, float] = {}
    for row in rows:
        name, error = OLD_NAMES.get(row["reading"], row["reading"]), row["error"]
        one_word(f"{path.name}, column reading", name, READINGS)
        given.setdefault(name, []).append(row["value"])
        if not np.isnan(error) and errors.setdefault(name, error) != error:
            problem = f"{name} has two errors, {errors[name]:g} and {error:g}"
            raise refused(f"{path.name}, column error", "one error", problem=problem)
    return given, errors


def tape_slips(path: FilePath, **wrong: ArrayLike) -> str:
    """What the tape check says when one reading of a file is wrong, each of `wrong` by itself: a list in Markdown.

    `wrong` maps readings to what was read instead, a number or a list as in `check_tape`. ValueError for a file that does not
    check as it is, and for a reading that is not in it.

    >>> from ergokit import datasets
    >>> tape_slips(datasets.folder() / "demo_tape_check.csv", right_to_target=19.1)
    '- **right to target**, read as 19.1 cm: nothing is noticed, 95 % from 55.7 to 59.7 degrees.'
    """
    check_tape_file(path)
    given, errors = _read(path)
    lines = []
    for name, value in wrong.items():
        one_word("wrong", name, given)
        value = lengths(name, value, zero=True)
        try:
            low, high = check_tape(**given | {name: value}, errors=errors).interval("manipulation angle")
            said = f"nothing is noticed, 95 % from {low:.1f} to {high:.1f} degrees."
        except ValueError as error:
            said = str(error)
        read = " and ".join(f"{each:.1f}" for each in np.atleast_1d(value))
        lines.append(f"- **{name}**, read as {read} cm: {said}")
    return "\n".join(lines).replace("_", " ")


def _errors(errors):
    takes = "a mapping from the name of a reading to its error"
    return dict(instance("errors", errors, takes, Mapping, type(None)) or {})


class SheetView(NamedTuple):
    """A camera's field of view across its picture, in degrees, and one standard deviation of it."""

    field_of_view: float
    uncertainty: float


def field_of_view_from_sheet(
    distance: float,
    in_picture: float,
    picture_width: float,
    side: float = 29.7,
    error: float = _READING_ERROR,
    picture_error: float | None = None,
) -> SheetView:
    """The camera's field of view across the picture, from a photograph of a sheet of paper: a `SheetView`.

    Pin the sheet up square to the camera at a known `distance` from the lens (cm) and photograph it. On the photograph
    measure one side of the sheet, `in_picture`, and the whole `picture_width` along that side, both in the same unit: pixels,
    or cm on the screen. `side` is that side of the sheet in cm: 29.7 for the long one of A4, 21.0 for the short one (ISO
    216). For the field across the height, measure along the height. `error` is the error of the distance and `picture_error`
    that of `in_picture`, in its unit (1 % of the picture's width unless given), one standard deviation each (common practice,
    no source).

    >>> view = field_of_view_from_sheet(distance=30, in_picture=2970, picture_width=4000)
    >>> round(view.field_of_view, 1), round(view.uncertainty, 1)
    (67.4, 0.9)
    """
    distance, side = one("distance", distance, lengths), one("side", side, lengths)
    width = one("picture_width", picture_width, lengths, takes="a width of more than 0")
    seen = one("in_picture", in_picture, lengths, takes="a length of more than 0")
    error = one("error", error, lengths, zero=True)
    picture_error = 0.01 * width if picture_error is None else one("picture_error", picture_error, lengths, zero=True)
    if seen > width:
        problem = f"The sheet is {seen:g} wide in a picture {width:g} wide"
        raise refused("in_picture", "a width of the sheet within the picture's", problem=problem)
    if distance > _FARTHEST_SHEET:
        raise ValueError(f"{distance:g} cm is too far away; give at most {_FARTHEST_SHEET} cm, and not mm (distance).")
    half = side * width / seen / (2 * distance)  # the tangent of half the field: half the width seen over the distance
    spread = 2 * half / (1 + half**2) * np.hypot(error / distance, picture_error / seen)
    return SheetView(float(np.degrees(2 * np.arctan(half))), float(np.degrees(spread)))

"""Every way to give holes to the camera and the hands: what is checked before, and which of them can be."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import permutations

import numpy as np
from numpy.typing import ArrayLike

from ergokit._check import lengths, one, one_word, points, refused, shaped, target_points
from ergokit.holes.bodies import sizes_of
from ergokit.holes.result import NAMES, Assignments, Setup
from ergokit.triangulation import inserted_length, port_spacing

CAMERAS = ("scope", "phone")
#: Where another person stands: beside you, facing as you do, or opposite, facing you.
STANDS = ("left", "right", "opposite")
LEFT_HANDED = ("holes mirrored", "tasks swapped")
_FEWEST = 3  # holes; of the most, eight, there are 1680 ways
_VIEWS = "an angle of 0 to less than 90 degrees"


def assignments(
    holes: ArrayLike,
    target: ArrayLike,
    *,
    camera: str = "scope",
    distance: float = 10,
    direction_of_view: float = 0,
    sizes: Mapping[str, float] | None = None,
    instrument_length: float = 36,
    handle_reach: float = 10,
    camera_from: str = "left",
    assistant: str | None = "opposite",
    left_handed: str | None = None,
) -> Assignments:
    """Every way to give holes to the camera, your hands and an assistant's, with what each costs: `Assignments`.

    holes
        3 to 8 points (n, 3) in cm, called A, B, C and so on in this order
    target
        a point in the box, or n of them (n, 3); you face away from yourself, along y
    camera
        ``"scope"`` through its hole, or ``"phone"`` with its lens at its hole; both have the target in the middle of the
        picture
    distance, direction_of_view
        of the scope: from its tip to the target in cm, and of its view off its shaft in degrees. Its shaft lies in the vertical
        plane through hole and target, with the light post up, and its view leans away from the post
    sizes
        name -> cm, for the bodies' sizes in `SIZES` that differ from those stated there
    camera_from, assistant
        where the person with the scope and the assistant stand: ``"left"`` or ``"right"`` of you, facing as you do, or
        ``"opposite"``. The assistant's hand takes a hole where there are four or more; with None it takes none
    left_handed
        None, or how a left-handed operator works: with the ``"holes mirrored"`` about x = 0, or with the same holes and the
        ``"tasks swapped"``. Screen, team and anatomy are not mirrored

    Holes that cannot take the camera or an instrument are named in `remarks` and left out there. ValueError for a bad argument,
    and where no way is left.

    >>> result = assignments([(-9, 0, 9.36), (0, 0, 9.36), (9, 0, 9.36)], (0, 12.48, 0))
    >>> print(result.by_way()[["camera", "left", "right", "crossed", "manipulation angle (deg)", "gap between hands (cm)"]])
    camera left right  crossed manipulation angle (deg) gap between hands (cm)
         A    B     C    False                     30.0                   13.8
         B    A     C    False                     60.0                   36.0
         C    A     B    False                     30.0                   13.8
         A    C     B     True                     30.0                   13.8
         B    C     A     True                     60.0                   36.0
         C    B     A     True                     30.0                   13.8
    <BLANKLINE>
    A verdict describes geometry; it is not permission.
    """
    holes, target = _holes(holes), target_points("target", target)
    if left_handed is not None:
        one_word("left_handed", left_handed, LEFT_HANDED)
    if left_handed == "holes mirrored":
        holes = holes * [-1.0, 1, 1]
    if assistant is not None:
        one_word("assistant", assistant, STANDS)
    setup = Setup(
        one_word("camera", camera, CAMERAS),
        one("distance", distance, lengths),
        one("direction_of_view", direction_of_view, _views),
        sizes_of("sizes", sizes),
        one("instrument_length", instrument_length, lengths),
        one("handle_reach", handle_reach, lengths, zero=True),
        one_word("camera_from", camera_from, STANDS),
        assistant if len(holes) > _FEWEST else None,
        left_handed,
    )
    no_camera, no_hand = _left_out(holes, np.atleast_2d(target), setup)
    ways = np.array(list(permutations(range(len(holes)), 3 if setup.assistant is None else 4)))
    ways = ways[~np.isin(ways[:, 0], list(no_camera)) & ~np.isin(ways[:, 1:], list(no_hand)).any(axis=1)]
    if not len(ways):
        raise ValueError(f"These holes cannot be shared out: {next(iter((no_camera | no_hand).values()))} (holes).")
    return Assignments(holes, target, ways, setup, (*no_camera.values(), *no_hand.values()))


def _holes(value) -> np.ndarray:
    holes = points("holes", value)
    if holes.ndim != 2 or not _FEWEST <= len(holes) <= len(NAMES):
        raise refused("holes", f"{_FEWEST} to {len(NAMES)} points (n, 3)", problem=shaped(holes))
    first, second = np.triu_indices(len(holes), 1)
    same = np.equal(port_spacing(holes[first], holes[second]), 0)
    if same.any():
        both = f"Holes {NAMES[first[same][0]]} and {NAMES[second[same][0]]} are in one place"
        raise refused("holes", "each hole a place of its own", problem=both)
    return holes


def _views(name, value):
    angle = lengths(name, value, zero=True, takes=_VIEWS)
    if (angle >= 90).any():
        raise refused(name, _VIEWS, value)
    return angle


def _left_out(holes, targets, setup):
    """The holes that cannot take the camera, and those that cannot take a hand: its number -> why, in words."""
    inside = inserted_length(holes[:, None], targets)
    no_camera, no_hand = {}, {}
    for i, (near, far) in enumerate(zip(inside.min(axis=1), inside.max(axis=1), strict=True)):
        nearest, farthest = (f"hole {NAMES[i]} is {span:.1f} cm from a target" for span in (near, far))
        if near == 0:
            no_camera[i] = no_hand[i] = f"hole {NAMES[i]} lies on a target"
        elif setup.camera == "scope" and near < setup.distance:
            no_camera[i] = f"{nearest}, too near for the tip of a scope that is {setup.distance:g} cm off"
        elif setup.camera == "scope" and far - setup.distance >= setup.sizes["scope length"]:
            no_camera[i] = f"{farthest}, too far for a scope of {setup.sizes['scope length']:g} cm"
        if near > 0 and far >= setup.instrument_length:
            no_hand[i] = f"{farthest}, too far for an instrument of {setup.instrument_length:g} cm"
    return no_camera, no_hand

"""The bodies of a camera and of instruments at their holes: capsules of stated sizes, all from memory.

A cylinder is taken as the capsule that holds it, so that nothing is said to be free that touches; at its two ends that capsule
is longer than the cylinder by its radius.
"""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from ergokit._check import instance, lengths, one, one_word
from ergokit.holes.contact import Capsule


class Size(NamedTuple):
    """A size of a body in cm, and what it is the size of."""

    cm: float
    of: str


#: Every size that counts for contact, by name; all from memory.
SIZES = {
    "fist": Size(10, "a fist with its handle: a sphere, across"),
    "shaft": Size(0.5, "the shaft of an instrument, across: 0.3, 0.5 or 1.0"),
    "scope": Size(1.0, "the shaft of the scope, across: 0.3, 0.5 or 1.0"),
    "scope length": Size(33, "from the scope's tip to its camera head: 29 to 33"),
    "head": Size(5, "the camera head: a cylinder, across"),
    "head length": Size(12, "the camera head, along the scope"),
    "light post": Size(4, "from the scope's axis, at the camera head, to the cable"),
    "cable bend": Size(10, "straight on from the light post, before the cable can turn away"),
    "cable": Size(1.0, "the light post and the cable, across"),
    "trocar head": Size(5, "the trocar outside its hole: a cylinder, across"),
    "trocar head length": Size(6, "the trocar outside its hole, along the shaft"),
    "left out": Size(3, "before the target, where both instruments end: not counted between instruments"),
}


def sizes_of(name, value):
    """Every size by name in cm: those of a mapping `value` in place of the stated ones.

    >>> sizes_of("sizes", {"fist": 9})["fist"]
    9.0
    """
    given = instance(name, value, "a mapping from size to cm", Mapping, type(None)) or {}
    for each in given:
        one_word(name, each, SIZES, of="the sizes")
    given = {each: one(name, cm, lengths, zero=each != "scope length") for each, cm in given.items()}
    return {each: float(size.cm) for each, size in SIZES.items()} | given


def instrument(hole, target, reach, sizes):
    """The bodies of an instrument with its tip at the target, by name; `reach` is from there to the middle of the hand."""
    out = unit(hole - target)
    hand = target + reach * out
    return {
        "shaft": Capsule(target, hand, sizes["shaft"] / 2),
        "hand": Capsule(hand, hand, sizes["fist"] / 2),
        "trocar": _trocar(hole, out, sizes),
    }


def without_tip(bodies, sizes):
    """The bodies of an instrument as they count against another: without the end of the shaft at the target."""
    start, end, radius = bodies["shaft"]
    return bodies | {"shaft": Capsule(start + sizes["left out"] * unit(end - start), end, radius)}


def scope(hole, tip, out, sizes):
    """The bodies of a scope by name; `out` is the unit vector along its shaft, out of the box. The light post points up."""
    eyepiece = tip + sizes["scope length"] * out
    cable = eyepiece + (sizes["light post"] + sizes["cable bend"]) * upwards(out)
    return {
        "scope": Capsule(tip, eyepiece, sizes["scope"] / 2),
        "camera head": Capsule(eyepiece, eyepiece + sizes["head length"] * out, sizes["head"] / 2),
        "light cable": Capsule(eyepiece, cable, sizes["cable"] / 2),
        "camera trocar": _trocar(hole, out, sizes),
    }


def _trocar(hole, out, sizes):
    return Capsule(hole, hole + sizes["trocar head length"] * out, sizes["trocar head"] / 2)


def upwards(axis):
    """The unit vector across `axis` in the vertical plane that points upwards; away from the operator for an upright axis."""
    axis = unit(axis)
    upright = np.hypot(axis[..., 0], axis[..., 1])[..., None] < 1e-9
    wanted = np.where(upright, [0.0, 1.0, 0.0], [0.0, 0.0, 1.0])
    return unit(wanted - np.einsum("...i,...i", wanted, axis)[..., None] * axis)


def unit(vector):
    """The vectors at length 1; NaN for one of length 0."""
    with np.errstate(invalid="ignore"):
        return vector / np.linalg.norm(vector, axis=-1, keepdims=True)

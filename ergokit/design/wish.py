"""What a box is to do: targets, phone, rules and instruments, checked."""

from __future__ import annotations

from dataclasses import dataclass, fields
from numbers import Real

import numpy as np
from numpy.typing import ArrayLike

from ergokit._check import instance, lengths, numbers, one, refused, shaft_lengths, target_points
from ergokit._types import Rules
from ergokit.design.layouts import box_words
from ergokit.design.phone import Phone
from ergokit.guidance.quantities import named_in, ranges

#: Unless given. The angle: Hanna et al., Surg Endosc 1997;11(4):397-401. The working distance: Hanna et al. 1997, on direction
#: of view. The ratio: Emam et al., Arch Surg 2000;135(1):62-65. The lean at the port: of this kit, no source; a hole in card
#: leads a steep shaft badly.
RULES = {
    "manipulation angle": (45, 75),
    "working distance": (7.5, 15),
    "inside : outside": (1, None),
    "lean at the port": (None, 60),
}

STEPS = (0.5, 0.1)  # cm
_WIDEST = 150  # cm: a carton's side beyond this is likely in mm
_LONGEST_SHAFT = 100  # cm


@dataclass(frozen=True)
class Wish:
    """The arguments of `design_box` that hold for any carton, checked."""

    targets: ArrayLike | None = None
    phone: Phone | None = None
    rules: Rules | None = None
    manipulation_angle: float = 60
    target_height: float = 2
    hole: float = 1
    instrument_length: ArrayLike = 36  # of each instrument, once checked
    handle_reach: float = 10
    step: float = 0.5

    def __post_init__(self):
        takes = "an angle of more than 0 and less than 180 degrees"
        checked = {
            "phone": instance("phone", Phone() if self.phone is None else self.phone, "a Phone", Phone),
            "rules": ranges(self.rules, named_in("design_box"), RULES),
            "targets": None if self.targets is None else np.atleast_2d(target_points("targets", self.targets)),
            "manipulation_angle": one("manipulation_angle", self.manipulation_angle, numbers, takes),
            "target_height": one("target_height", self.target_height, lengths, zero=True),
            "hole": one("hole", self.hole, lengths),
            "instrument_length": shaft_lengths("instrument_length", self.instrument_length),
            "handle_reach": one("handle_reach", self.handle_reach, lengths, zero=True),
        }
        for name, value in checked.items():
            object.__setattr__(self, name, value)
        low, high = self.rules.get("manipulation angle", (0, 180))
        if not (0 < self.manipulation_angle < 180 and low <= self.manipulation_angle <= high):
            raise refused(
                "manipulation_angle", f"an angle within its rule, {low:g} to {high:g} degrees", self.manipulation_angle
            )
        if (longest := self.instrument_length.max()) > _LONGEST_SHAFT:
            raise ValueError(f"An instrument of {longest:g} cm is too long; give its length in cm, not mm (instrument_length).")
        if isinstance(self.step, bool) or not isinstance(self.step, Real) or self.step not in STEPS:
            raise refused("step", "0.5 or 0.1 cm", self.step)

    def targets_of(self, panel, layouts):
        """The targets of each layout, shape (m or 1, n, 3)."""
        if self.targets is not None:
            return self.targets[None]
        lens = panel.point(layouts.camera_hole)
        along = (lens[:, 2:] - self.target_height) / panel.normal[2]
        return (lens - along * panel.normal)[:, None]


def check_box(box_name, box, targets_name, targets):
    """Refuse a box so large that its sides are likely in mm, and targets outside it; `targets` may be None."""
    biggest = max(getattr(box, each.name) for each in fields(box))
    if biggest > _WIDEST:
        raise ValueError(f"A side of {biggest:g} cm is too long for a box; give its sides in cm, not mm ({box_name}).")
    if targets is not None and not box.encloses(targets).all():
        mm = ", in cm, not mm" if box.encloses(targets / 10).all() else ""
        raise ValueError(f"At least one target lies outside {box_words(box)}; move it inside{mm} ({targets_name}).")

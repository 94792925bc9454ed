"""Who gets which hole: every way to give holes to the camera and the hands, what each costs, and which bodies touch.

A table to compare, not to choose from: nothing in it is ranked. For education only.
"""

from ergokit.holes.assign import CAMERAS, LEFT_HANDED, STANDS, assignments
from ergokit.holes.bodies import SIZES
from ergokit.holes.contact import Capsule
from ergokit.holes.result import Assignments

__all__ = ["CAMERAS", "LEFT_HANDED", "SIZES", "STANDS", "Assignments", "Capsule", "assignments"]

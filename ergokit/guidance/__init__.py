"""What the literature and trade rules say of a placement, each with its source, and rules that cannot all hold.

A verdict describes geometry; it is not permission.
"""

from ergokit.guidance.cautions import CAUTION
from ergokit.guidance.rules import Clash, Conflicts, Relaxation, conflicts
from ergokit.guidance.studies import MeanAngles, advised, how_many_advised, mean_angles, reported, statements
from ergokit.guidance.verdicts import Verdict, judge, verdict

__all__ = [
    "CAUTION",
    "Clash",
    "Conflicts",
    "MeanAngles",
    "Relaxation",
    "Verdict",
    "advised",
    "conflicts",
    "how_many_advised",
    "judge",
    "mean_angles",
    "reported",
    "statements",
    "verdict",
]

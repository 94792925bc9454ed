"""What the literature and trade rules say of a placement, each with its source, and rules that cannot all hold.

A verdict describes geometry; it is not permission.
"""

from ergokit.guidance.rules import Clash, Conflicts, Relaxation, conflicts

__all__ = ["Clash", "Conflicts", "Relaxation", "conflicts"]

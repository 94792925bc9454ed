"""Closed forms of the triangle of two ports and a target.

`solve_triangle` needs numpy and the standard library only.
"""

from ergokit.relations.triangle import Triangle, solve_triangle

__all__ = ["Triangle", "solve_triangle"]

"""Any triangle of two ports and a target: unequal lengths, the target off the midline, all targets of one angle."""

import numpy as np
from sympy import Eq, Integral, asin, atan, atan2, cbrt, cos, cot, pi, sin, sqrt, symbols

from ergokit import triangulation
from ergokit.relations import RELATIONS
from ergokit.relations.quantities import L_L, L_R, V, h, rho, s, theta, x
from ergokit.relations.relation import Relation
from ergokit.relations.vectors import angle, cross, dot, norm, vector

u, v = vector(-s / 2 - x, h, 0), vector(s / 2 - x, h, 0)  # from the target to each port
_LEFT, _RIGHT = (s / 2 + x) / h, (s / 2 - x) / h  # tangents of the shafts' turns from the perpendicular on the port line

# Each proved by substitution in whichever relation solves with it.
_SOLUTIONS = {
    h: [s * cot(theta) / 2 + sign * sqrt((s / (2 * sin(theta))) ** 2 - x**2) for sign in (1, -1)],
    x: [sign * sqrt(s * h * cot(theta) + s**2 / 4 - h**2) for sign in (1, -1)],
    s: [2 * sqrt((h / sin(theta)) ** 2 + x**2) - 2 * h * cot(theta)],
}


def cosine_rule():
    u, v = vector(*symbols("u_1:4", real=True)), vector(*symbols("v_1:4", real=True))
    half_angle = sqrt((s - L_L + L_R) * (s + L_L - L_R) / ((L_L + L_R - s) * (L_L + L_R + s)))
    return Relation(
        title="Spacing from two lengths inside and the manipulation angle",
        equation=Eq(s**2, L_L**2 + L_R**2 - 2 * L_L * L_R * cos(theta)),
        vectors={"u": u, "v": v, "p": v - u},
        definitions={L_L: norm(u), L_R: norm(v), s: norm(v - u), theta: angle(u, v)},
        steps=(
            ("The line from port to port is the difference of the two shafts.", Eq(s**2, dot("p", "p"))),
            ("Multiply out.", Eq(dot("p", "p"), dot("u", "u") + dot("v", "v") - 2 * dot("u", "v"))),
            (
                "The dot product of two shafts is their lengths times the cosine between them.",
                Eq(dot("u", "v"), L_L * L_R * cos(theta)),
            ),
        ),
        solutions={theta: [2 * atan(half_angle)]},
        note="The cosine rule of plane trigonometry; at 90 degrees it is Pythagoras' theorem.",
    )


def offset_from_lengths():
    return Relation(
        title="Offset from two lengths inside and the spacing",
        equation=Eq(x, (L_L**2 - L_R**2) / (2 * s)),
        vectors={"u": u, "v": v},
        definitions={L_L: norm(u), L_R: norm(v)},
        steps=(
            ("The left shaft spans the depth and half the spacing with the offset added.", Eq(L_L**2, h**2 + (s / 2 + x) ** 2)),
            (
                "The right shaft spans the depth and half the spacing with the offset taken away.",
                Eq(L_R**2, h**2 + (s / 2 - x) ** 2),
            ),
            ("In their difference the depth is gone.", Eq(L_L**2 - L_R**2, 2 * s * x)),
        ),
        note="The longer instrument points across the midline: the target lies on the side of the shorter instrument.",
    )


def angle_at_offset():
    equation = Eq(theta, atan(_LEFT) + atan(_RIGHT))
    return Relation(
        title="Manipulation angle from spacing, depth and offset",
        equation=equation,
        vectors={"u": u, "v": v},
        definitions={theta: equation.rhs, L_L: norm(u), L_R: norm(v)},
        steps=(
            (
                "Turn from the left shaft to the perpendicular on the port line, then on to the right shaft. The sum of the "
                "two turns has the cosine that the dot product asks for,",
                Eq(L_L * L_R * cos(theta), dot("u", "v")),
            ),
            (
                "and the sine that the cross product asks for, so it is the manipulation angle.",
                Eq((L_L * L_R * sin(theta)) ** 2, cross("u", "v")),
            ),
        ),
        solutions=_SOLUTIONS,
        through=cot,
        note="On the midline both terms are equal: the angle is then twice the arctangent of half the spacing over the depth.",
    )


def offset_and_depth():
    return Relation(
        title="Spacing, depth and offset that belong to one manipulation angle",
        equation=Eq(h**2 + x**2 - s**2 / 4, s * h * cot(theta)),
        uses=("angle_at_offset",),
        definitions={theta: RELATIONS["angle_at_offset"].solve_for(theta)[0]},
        steps=(
            (
                "The cotangent of a sum of two turns is one less the product of their tangents, over the sum of these.",
                Eq(cot(theta), (1 - _LEFT * _RIGHT) / (_LEFT + _RIGHT)),
            ),
            ("Multiply above and below by the squared depth.", Eq(cot(theta), (h**2 - (s / 2 + x) * (s / 2 - x)) / (s * h))),
        ),
        solutions={theta: [atan2(s * h, h**2 + x**2 - s**2 / 4)]} | _SOLUTIONS,
    )


def same_angle_circle():
    return Relation(
        title="Circle of the targets with one manipulation angle",
        equation=Eq(rho, s / (2 * sin(theta))),
        uses=("offset_and_depth",),
        definitions={rho: s / (2 * sin(theta)), x: RELATIONS["offset_and_depth"].solve_for(x)[0]},
        steps=(
            (
                "Complete the square of the depth: a circle through both ports.",
                Eq(x**2 + (h - s * cot(theta) / 2) ** 2, s**2 / 4 * (1 + cot(theta) ** 2)),
            ),
            ("Its radius does not depend on where the target is.", Eq(x**2 + (h - s * cot(theta) / 2) ** 2, rho**2)),
        ),
        solutions={theta: [asin(s / (2 * rho)), pi - asin(s / (2 * rho))]},
        note="The inscribed-angle theorem. At 90 degrees it is the theorem of Thales: the spacing is the circle's diameter.",
    )


def same_angle_volume():
    equation = Eq(V, pi * s**3 * (2 + cos(theta) ** 2 + 3 * (pi - theta) * cot(theta)) / (12 * sin(theta) ** 2))
    t = symbols("t", real=True)
    radius = s / (2 * sin(theta))
    deep = s * cot(theta) / 2 + radius * cos(t)
    whole = Integral(pi * deep**2 * radius * cos(t), (t, theta - pi, pi - theta))
    return Relation(
        title="Space in which the manipulation angle is at least this wide",
        equation=equation,
        uses=("same_angle_circle",),
        definitions={x: radius * sin(t), h: deep, V: whole.doit(), rho: radius},
        steps=(
            (
                "Follow the circle from port to port, t being the turn from its deepest point. A target on it has "
                "the offset $\\rho \\sin t$ and this depth,",
                Eq(h, s * cot(theta) / 2 + rho * cos(t)),
            ),
            ("and keeps the manipulation angle.", Eq(h**2 + x**2 - s**2 / 4, s * h * cot(theta))),
            (
                "Turn it about the port line and add the slices; where the arc turns back, the slices count negative.",
                Eq(V, whole),
            ),
        ),
        solutions={s: [cbrt(V / equation.rhs.subs(s, 1))], theta: []},
        note="Halve the spacing and the space shrinks to an eighth. There is no closed solution for the angle. Within 5 "
        "degrees of 180 the sum in the brackets loses its digits; the volume of a same-angle surface keeps them.",
        placements=_spaces,
    )


def _spaces(rng, n, nodes=48):
    """Volumes by quadrature: along rays from the midpoint of the ports, as far as the measured angle is wide enough."""
    spacing, theta = rng.uniform(2, 25, n), rng.uniform(20, 165, n)
    place, weight = np.polynomial.legendre.leggauss(nodes)
    turn = np.pi / 4 * (place + 1)  # from the port line to square across it; the other half is alike
    ray = np.stack([np.cos(turn), np.sin(turn), np.zeros(nodes)], axis=-1)
    port = np.array([0.5, 0.0, 0.0])
    inside, outside = np.zeros((n, nodes)), np.full((n, nodes), 1e3)
    for _ in range(64):
        middle = (inside + outside) / 2
        wide = triangulation.manipulation_angle(-port, port, middle[..., None] * ray) >= theta[:, None]
        inside, outside = np.where(wide, middle, inside), np.where(wide, outside, middle)
    volume = 2 * spacing**3 * np.sum(weight * np.pi / 4 * 2 * np.pi / 3 * inside**3 * np.sin(turn), axis=-1)
    return {"spacing": spacing, "manipulation_angle": theta, "volume": volume}

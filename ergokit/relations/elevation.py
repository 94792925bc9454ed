"""Against the working plane: the two elevations, which are not the same, and the widest angle they allow.

Published advice asks for an elevation without saying which it means: each shaft's own angle above the working plane, or
the tilt of the plane that holds both instruments. They are named apart here, and related.
"""

import numpy as np
from sympy import Abs, Eq, acos, asin, atan2, cos, pi, sin, sqrt, symbols

from ergokit.relations import RELATIONS
from ergokit.relations.quantities import L_L, L_R, L, eps, eps_L, eps_R, phi, tau, theta, theta_max, theta_min, w_L, w_R
from ergokit.relations.relation import Relation
from ergokit.relations.vectors import angle, close, cross, dot, measured, norm, turned, vector

# Shafts of length 1 from the target: elevation first, then the turn about the working plane's normal, which is z.
u = vector(cos(eps_L), 0, sin(eps_L))
v = vector(cos(eps_R) * cos(phi), cos(eps_R) * sin(phi), sin(eps_R))

_EQUAL = {
    "holds": "both shafts have the same elevation.",
    "holds_at": lambda at: close(at["left_elevation"], at["right_elevation"]),
    "placements": lambda rng, n: _placed(rng, n, equal=True),
    "elsewhere": lambda rng: _placed(rng, 1),
}


def elevations_and_plan_angle():
    return Relation(
        title="Manipulation angle from the shafts' elevations and the angle seen from above",
        equation=Eq(cos(theta), cos(eps_L) * cos(eps_R) * cos(phi) + sin(eps_L) * sin(eps_R)),
        vectors={"u": u, "v": v},
        definitions={theta: angle(u, v)},
        steps=(
            ("Along the left shaft, a direction of length 1;", Eq(dot("u", "u"), 1)),
            ("and another along the right shaft, turned by the angle seen from above.", Eq(dot("v", "v"), 1)),
            ("So their dot product is the cosine between them.", Eq(cos(theta), dot("u", "v"))),
        ),
        solutions={
            phi: [acos((cos(theta) - sin(eps_L) * sin(eps_R)) / (cos(eps_L) * cos(eps_R)))],
            eps_L: _steepness(eps_R),
            eps_R: _steepness(eps_L),
        },
        note="The cosine rule of spherical trigonometry. One angle seen from above gives many angles in space: the steeper the "
        "shafts, the narrower the angle.",
    )


def _steepness(other):
    """The elevations that fit: A cos(e) + B sin(e) = C has e = atan2(B, A) ± acos(C / sqrt(A^2 + B^2))."""
    A, B = cos(other) * cos(phi), sin(other)
    size = sqrt(A**2 + B**2)
    return [atan2(B, A) + sign * acos(cos(theta) / size) for sign in (1, -1)]


def elevations_and_azimuths():
    earlier, whole = RELATIONS["elevations_and_plan_angle"], w_L + w_R
    turn = earlier.solve_for(phi)[0]
    equation = earlier.equation.subs(phi, whole)
    return Relation(
        title="Manipulation angle from the shafts' elevations and azimuths in the working plane",
        equation=equation,
        uses=("elevations_and_plan_angle", "working_azimuths"),
        definitions={theta: acos(equation.rhs), phi: whole},
        steps=(
            (
                "In the working plane the two azimuths make up the angle seen from above, whole turns apart.",
                Eq(cos(phi), cos(whole)),
            ),
        ),
        solutions={
            w_L: [turn - w_R, -turn - w_R],
            w_R: [turn - w_L, -turn - w_L],
            **{one: [each.subs(phi, whole) for each in earlier.solve_for(one)] for one in (eps_L, eps_R)},
        },
    )


def equal_elevations():
    u, v = (vector(cos(eps) * cos(phi / 2), side * cos(eps) * sin(phi / 2), sin(eps)) for side in (-1, 1))
    return Relation(
        title="Manipulation angle at equal elevations",
        equation=Eq(sin(theta / 2), cos(eps) * sin(phi / 2)),
        vectors={"u": u, "v": v, "p": v - u},
        definitions={theta: 2 * asin(cos(eps) * sin(phi / 2))},
        steps=(
            (
                "The ends of two shafts of length 1 are twice the sine of half the angle apart.",
                Eq(4 * sin(theta / 2) ** 2, dot("p", "p")),
            ),
            ("The dot product gives the same angle.", Eq(cos(theta), dot("u", "v"))),
        ),
        solutions={
            theta: [2 * asin(cos(eps) * sin(phi / 2))],
            phi: [2 * asin(sin(theta / 2) / cos(eps))],
            eps: [sign * acos(sin(theta / 2) / sin(phi / 2)) for sign in (1, -1)],
        },
        note="At an elevation of 60 degrees, an angle of 60 needs 180 degrees seen from above: the shafts come from opposite "
        "sides.",
        **_EQUAL,
    )


def widest_angle():
    equation = Eq(theta_max, pi - (eps_L + eps_R))
    earlier = RELATIONS["elevations_and_plan_angle"].equation.rhs
    return Relation(
        title="Widest manipulation angle at given elevations",
        equation=equation,
        uses=("elevations_and_plan_angle",),
        definitions={theta: acos(earlier), theta_max: equation.rhs},
        steps=(
            (
                "The cosine of the angle exceeds this cosine by a term that is never less than 0, and is 0 if phi is 180.",
                Eq(cos(theta) - cos(pi - eps_L - eps_R), cos(eps_L) * cos(eps_R) * (1 + cos(phi))),
            ),
            ("There the widest angle is reached.", Eq(cos(theta_max), earlier.subs(phi, pi))),
        ),
        holds="the shafts come from opposite sides (angle seen from above 180) and do not both point below the working plane.",
        holds_at=lambda at: close(at["plan_angle"], 180) & (at["left_elevation"] + at["right_elevation"] >= 0),
        placements=lambda rng, n: _placed(rng, n, plan=180, above=True),
        elsewhere=lambda rng: _placed(rng, 1, above=True),
        note="Steep instruments cannot open wide: 120 degrees at 30, 90 at 45, 60 at 60. From any other sides the angle is "
        "narrower.",
    )


def narrowest_angle():
    equation = Eq(theta_min, Abs(eps_L - eps_R))
    earlier = RELATIONS["elevations_and_plan_angle"].equation.rhs
    return Relation(
        title="Narrowest manipulation angle at given elevations",
        equation=equation,
        uses=("elevations_and_plan_angle",),
        definitions={theta: acos(earlier), theta_min: equation.rhs},
        steps=(
            (
                "The cosine of the angle falls short of this cosine by a term that is never less than 0, and is 0 if phi is 0.",
                Eq(cos(eps_L - eps_R) - cos(theta), cos(eps_L) * cos(eps_R) * (1 - cos(phi))),
            ),
            ("There the narrowest angle is reached.", Eq(cos(theta_min), earlier.subs(phi, 0))),
        ),
        solutions={eps_L: [eps_R + theta_min, eps_R - theta_min], eps_R: [eps_L + theta_min, eps_L - theta_min]},
        holds="the shafts come from the same side (angle seen from above 0).",
        holds_at=lambda at: close(at["plan_angle"], 0),
        placements=lambda rng, n: _placed(rng, n, plan=0),
        elsewhere=lambda rng: _placed(rng, 1),
    )


def equal_elevations_and_tilt():
    half, deep = symbols("p h", positive=True)  # half the spacing, the depth
    u, v = (vector(side * half, deep * cos(tau), deep * sin(tau)) for side in (-1, 1))
    across = v.cross(u)
    return Relation(
        title="A shaft's own elevation from the tilt of the instruments' plane, symmetric",
        equation=Eq(sin(eps), sin(tau) * cos(theta / 2)),
        vectors={"u": u, "v": v, "w": across, "z": vector(0, 0, 1)},
        definitions={L: norm(u), theta: 2 * asin(half / norm(u)), eps: asin(deep * sin(tau) / norm(u))},
        steps=(
            (
                "The tilt is the angle between the normals of the two planes.",
                Eq(cos(tau) ** 2 * dot("w", "w"), dot("w", "z") ** 2),
            ),
            ("Each shaft rises by its length times the sine of its elevation,", Eq(L * sin(eps), dot("u", "z"))),
            ("and also by the depth times the sine of the tilt.", Eq(dot("u", "z"), deep * sin(tau))),
            ("The depth is the shaft times the cosine of half the angle.", Eq(deep, L * cos(theta / 2))),
            ("The dot product of the shafts confirms that half angle.", Eq(L**2 * cos(theta), dot("u", "v"))),
        ),
        solutions={
            eps: [asin(sin(tau) * cos(theta / 2))],
            tau: [asin(sin(eps) / cos(theta / 2))],
            theta: [2 * acos(sin(eps) / sin(tau))],
        },
        holds="equal lengths inside and both shafts at the same elevation, at or above the working plane.",
        holds_at=lambda at: close(at["left_elevation"], at["right_elevation"]) & (at["elevation_angle"] >= 0),
        placements=lambda rng, n: _placed(rng, n, equal=True, above=True),
        elsewhere=lambda rng: _placed(rng, 1, above=True),
        note="A plane tilted by 60 degrees with an angle of 60 has each shaft at 48.6. Advice to hold an elevation of 60 "
        "does not say which of the two is meant.",
    )


def elevations_and_tilt():
    u, v = vector(*symbols("u_1:4", real=True)), vector(*symbols("v_1:4", real=True))
    across, u_z, v_z = u.cross(v), dot("u", "z"), dot("v", "z")
    left, right, tilt = sin(eps_L), sin(eps_R), sin(tau)
    return Relation(
        title="The shafts' elevations from the tilt of the instruments' plane, in general",
        equation=Eq(left**2 + right**2 - 2 * left * right * cos(theta), tilt**2 * sin(theta) ** 2),
        vectors={"u": u, "v": v, "w": across, "z": vector(0, 0, 1)},
        definitions={
            L_L: norm(u),
            L_R: norm(v),
            theta: angle(u, v),
            eps_L: asin(u[2] / norm(u)),
            eps_R: asin(v[2] / norm(v)),
            tau: acos(across[2] / sqrt(across.dot(across))),
        },
        steps=(
            ("The normal w = u × v of the instruments' plane.", Eq(dot("w", "w"), (L_L * L_R * sin(theta)) ** 2)),
            (
                "The tilt is its angle from the normal z of the working plane.",
                Eq(cross("w", "z"), (L_L * L_R * sin(theta) * sin(tau)) ** 2),
            ),
            (
                "The level component of w also follows from u and v, each times the rise of the other, one less the other.",
                Eq(cross("w", "z"), dot("v", "v") * u_z**2 + dot("u", "u") * v_z**2 - 2 * dot("u", "v") * u_z * v_z),
            ),
            ("A shaft rises by its length times the sine of its elevation.", Eq(u_z, L_L * left)),
        ),
        solutions={
            theta: [
                acos((left * right + sign * sqrt(tilt**2 - left**2) * sqrt(tilt**2 - right**2)) / tilt**2) for sign in (1, -1)
            ],
            eps_L: _rise(eps_R),
            eps_R: _rise(eps_L),
        },
    )


def _rise(other):
    """The elevations that fit: the other shaft turned by theta within the tilted plane, to either side."""
    swing = sin(theta) * sqrt(sin(tau) ** 2 - sin(other) ** 2)
    return [asin(sin(other) * cos(theta) + sign * swing) for sign in (1, -1)]


def _placed(rng, n, equal=False, plan=None, above=False):
    """Values measured on random shafts, at equal elevations, at a given angle from above, or above the working plane."""
    left, right = np.radians(rng.uniform(5 if above else -80, 80, (2, n)))
    turn = np.radians(rng.uniform(1, 179, n) if plan is None else np.full(n, plan))
    frame = turned(rng, n)
    a, b = rng.uniform(2, 30, (2, n))
    if equal:
        right, b = left, a
    ports = [
        np.einsum("in,nij->nj", length * np.array([np.cos(e) * np.cos(t), np.cos(e) * np.sin(t), np.sin(e)]), frame)
        for length, e, t in ((a, left, 0 * turn), (b, right, turn))
    ]
    return measured(*ports, np.zeros((n, 3)), normal=frame[:, 2])

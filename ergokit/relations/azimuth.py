"""The three azimuths: each from an instrument to the optical axis, taken backwards, but measured in three ways.

In the instruments' plane the two sum to the manipulation angle, as the published "30 degrees each gives 60" needs; in the
working plane they sum to the angle seen from above; in space each is the plain angle, and the sum is neither.
"""

import numpy as np
from sympy import Eq, acos, asin, atan, cos, sin, tan

from ergokit.relations.quantities import QUANTITIES, D, a, a_L, a_R, a_S, beta, phi, theta, w_L, w_R
from ergokit.relations.relation import Relation
from ergokit.relations.vectors import angle, anywhere, close, dot, measured, somewhere, unit, vector


def instruments_azimuths():
    return _sum(
        theta,
        (a_L, a_R),
        title="The azimuths in the instruments' plane make up the manipulation angle",
        note="Published as: 30 degrees on each side gives 60. The other two azimuths do not sum to it.",
    )


def working_azimuths():
    return _sum(
        phi,
        (w_L, w_R),
        title="The azimuths in the working plane make up the angle seen from above",
        note="The angle seen from above is not the manipulation angle: the instruments look wider apart than they are.",
    )


def _sum(whole, parts, title, note):
    left, right = parts
    names = [QUANTITIES[part].name for part in parts]
    e, u, v = vector(1, 0, 0), vector(cos(left), -sin(left), 0), vector(cos(right), sin(right), 0)
    return Relation(
        title=title,
        equation=Eq(whole, left + right),
        vectors={"e": e, "u": u, "v": v},
        definitions={whole: left + right},
        steps=(
            (
                "Seen along the axis in that plane, the left instrument is turned by its azimuth to one side,",
                Eq(cos(left), dot("u", "e")),
            ),
            ("and the right instrument by its azimuth to the other.", Eq(cos(right), dot("v", "e"))),
            ("The angle between the instruments is the sum of both turns.", Eq(dot("u", "v"), cos(whole))),
        ),
        holds="seen in that plane the camera does not lie between the two shafts produced beyond the target; "
        "there the sum is 360 degrees less.",
        holds_at=lambda at: at[names[0]] + at[names[1]] > 0,
        placements=lambda rng, n: _kept(anywhere(rng, 4 * n), lambda at: at[names[0]] + at[names[1]] > 0, n),
        elsewhere=lambda rng: measured(*(np.array([p], float) for p in ((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 20, -10)))),
        note=note,
    )


def space_azimuth():
    u, e = vector(1, 0, 0), vector(cos(beta) * cos(a), cos(beta) * sin(a), sin(beta))
    flat = vector(e[0], e[1], 0)
    return Relation(
        title="Azimuth in space from the azimuth in the instruments' plane",
        equation=Eq(cos(a_S), cos(beta) * cos(a)),
        vectors={"u": u, "e": e, "f": flat},
        definitions={a_S: angle(u, e)},
        steps=(
            (
                "The axis e is at the angle beta to the instruments' plane; f is its projection on that plane.",
                Eq(dot("f", "e"), cos(beta) ** 2),
            ),
            ("In the plane, f is at the azimuth from the shaft.", Eq(dot("f", "u"), cos(beta) * cos(a))),
            (
                "The shaft has no component off the plane, so the dot product in space is the same.",
                Eq(dot("e", "u"), dot("f", "u")),
            ),
        ),
        solutions={
            a_S: [acos(cos(beta) * cos(a))],
            a: [sign * acos(cos(a_S) / cos(beta)) for sign in (1, -1)],
            beta: [acos(cos(a_S) / cos(a))],
        },
        note="An axis out of the plane brings the azimuth nearer to 90: in space it is never nearer to 0 or 180 than in the "
        "plane.",
    )


def display_angle():
    u, v = (vector(side * sin(theta / 2), cos(theta / 2), 0) for side in (-1, 1))
    e = vector(0, cos(beta), sin(beta))
    left, right = u - u.dot(e) * e, v - v.dot(e) * e
    return Relation(
        title="Angle on the screen: what the picture shows of the manipulation angle",
        equation=Eq(tan(D / 2), tan(theta / 2) / sin(beta)),
        vectors={"u": u, "v": v, "e": e, "u'": left, "v'": right},
        definitions={D: 2 * atan(tan(theta / 2) / sin(beta))},
        steps=(
            (
                "The picture does not show components along the optical axis. Of the left shaft it keeps this much,",
                Eq(dot("u'", "u'"), sin(theta / 2) ** 2 + (cos(theta / 2) * sin(beta)) ** 2),
            ),
            ("and of the right shaft as much.", Eq(dot("v'", "v'"), dot("u'", "u'"))),
            (
                "The dot product of the two pictures: across the picture they point apart, up the picture together.",
                Eq(dot("u'", "v'"), (cos(theta / 2) * sin(beta)) ** 2 - sin(theta / 2) ** 2),
            ),
            ("So this is the cosine between them.", Eq(cos(D) * dot("u'", "u'"), dot("u'", "v'"))),
        ),
        solutions={
            D: [2 * atan(tan(theta / 2) / sin(beta))],
            theta: [2 * atan(tan(D / 2) * sin(beta))],
            beta: [asin(tan(theta / 2) / tan(D / 2))],
        },
        holds="the camera is aimed at the target from the plane that halves the angle between the shafts.",
        holds_at=lambda at: close(at["left_space_azimuth"], at["right_space_azimuth"]),
        placements=lambda rng, n: _halving(rng, n),
        elsewhere=lambda rng: anywhere(rng, 1),
        note="At 60 degrees the picture shows 60, 67, 78, 98 and 132 with the axis at 90, 60, 45, 30 and 15 degrees to the "
        "instruments' plane. With the axis in that plane it shows one straight line (180). A camera between the ports is in "
        "that plane.",
    )


def _halving(rng, n):
    """Values measured by cameras in the plane that halves the angle of the shafts."""
    left, right, target = (somewhere(rng, n) for _ in range(3))
    across, towards = unit(left - target) - unit(right - target), unit(left - target) + unit(right - target)
    axis = np.cross(across, towards) * rng.uniform(0.2, 2, (n, 1)) + towards * rng.uniform(-2, 2, (n, 1))
    return measured(left, right, target, target + 10 * axis)


def _kept(found, condition, n):
    """The first n of the placements found that meet a condition."""
    kept = np.flatnonzero(condition(found))[:n]
    return {name: values[kept] for name, values in found.items()}

"""The symmetric triangle: two equal lengths inside, the target on the midline between the ports."""

import numpy as np
from sympy import Eq, Rational, atan, cos, sin, sqrt, tan

from ergokit import triangulation
from ergokit.relations import RELATIONS
from ergokit.relations.quantities import L, g_h, g_s, h, s, theta
from ergokit.relations.relation import Relation
from ergokit.relations.vectors import close, dot, measured, norm, opening, somewhere, turned, vector

u, v = vector(-s / 2, h, 0), vector(s / 2, h, 0)  # from the target to each port

_COMMON = {
    "holds": "the two lengths inside are equal.",
    "holds_at": lambda at: close(at["left_length"], at["right_length"]),
    "placements": lambda rng, n: _measured(*_symmetric(rng, n)),
    "elsewhere": lambda rng: _measured(np.array([-9, 0, 12]), np.array([7, 3, 14]), np.array([2, 11, 1.5])),
}
_TRIANGLE = {"vectors": {"u": u, "v": v}, "definitions": {L: norm(u), theta: opening(u, v)}}
_LENGTH = (
    "From the target to each port it is half the spacing aside and the depth up: the short sides of a right-angled triangle.",
    Eq(L**2, h**2 + s**2 / 4),
)
_DOT_PRODUCT = (
    "In the shafts' dot product the components along the port line are opposed and the depth is shared.",
    Eq(dot("u", "v"), h**2 - s**2 / 4),
)
_ANGLE = ("The dot product is the lengths times the cosine between them.", Eq(L**2 * cos(theta), dot("u", "v")))


def spacing_from_length():
    return Relation(
        title="Spacing from length inside and manipulation angle",
        equation=Eq(s, 2 * L * sin(theta / 2)),
        steps=(
            _LENGTH,
            _DOT_PRODUCT,
            _ANGLE,
            ("Take the depth from the first step.", Eq(cos(theta), 1 - s**2 / (2 * L**2))),
            (
                "One less the cosine is twice the squared sine of half the angle.",
                Eq(2 * sin(theta / 2) ** 2, s**2 / (2 * L**2)),
            ),
        ),
        note="At 60 degrees the sine of half the angle is one half, so the three lengths are equal, whatever the length.",
        **_TRIANGLE,
        **_COMMON,
    )


def depth_from_length():
    return Relation(
        title="Depth from length inside and manipulation angle",
        equation=Eq(h, L * cos(theta / 2)),
        steps=(
            _LENGTH,
            _DOT_PRODUCT,
            _ANGLE,
            ("Take the spacing from the first step.", Eq(cos(theta), 2 * h**2 / L**2 - 1)),
            (
                "One more than the cosine is twice the squared cosine of half the angle.",
                Eq(2 * cos(theta / 2) ** 2, 2 * h**2 / L**2),
            ),
        ),
        **_TRIANGLE,
        **_COMMON,
    )


def spacing_from_depth():
    length = RELATIONS["depth_from_length"].solve_for(L)[0]
    return Relation(
        title="Spacing from depth and manipulation angle",
        equation=Eq(s, 2 * h * tan(theta / 2)),
        uses=("spacing_from_length", "depth_from_length"),
        definitions={s: RELATIONS["spacing_from_length"].solve_for(s)[0].subs(L, length)},
        steps=(("Put the length inside that belongs to this depth into the spacing.", Eq(s, 2 * sin(theta / 2) * length)),),
        **_COMMON,
    )


def angle_per_spacing():
    return _gain(
        "Manipulation angle gained for each cm of spacing",
        Eq(g_s, 4 * h / (4 * h**2 + s**2)),
        s,
        ("The slope of an arctangent.", Eq(g_s, 2 / (1 + (s / (2 * h)) ** 2) * Rational(1, 2) / h)),
        solutions={
            s: [2 * sqrt(h / g_s - h**2)],
            h: [(1 + sqrt(1 - g_s**2 * s**2)) / (2 * g_s), (1 - sqrt(1 - g_s**2 * s**2)) / (2 * g_s)],
        },
    )


def angle_per_depth():
    return _gain(
        "Manipulation angle gained for each cm of depth",
        Eq(g_h, -4 * s / (4 * h**2 + s**2)),
        h,
        ("The slope of an arctangent: deeper is narrower.", Eq(g_h, -2 / (1 + (s / (2 * h)) ** 2) * s / (2 * h**2))),
    )


def _gain(title, equation, by, slope, **solutions):
    angle = RELATIONS["spacing_from_depth"].solve_for(theta)[0]
    return Relation(
        title=title,
        equation=equation,
        uses=("spacing_from_depth",),
        definitions={theta: angle, equation.lhs: angle.diff(by)},
        steps=(("The angle as a function of spacing and depth.", Eq(theta, 2 * atan(s / (2 * h)))), slope),
        **solutions,
        **_COMMON,
    )


def _symmetric(rng, n):
    """Left ports, right ports and targets of random symmetric placements, turned every way in space."""
    frame = turned(rng, n)
    middle, half, deep = somewhere(rng, n), rng.uniform(1, 15, (n, 1)), rng.uniform(1, 25, (n, 1))
    return middle - half * frame[:, 0], middle + half * frame[:, 0], middle + deep * frame[:, 1]


def _measured(left, right, target):
    """The slopes come from moving the ports apart and the target away from their line."""
    found, along = measured(left, right, target), right - left
    foot = (left + right) / 2 + along * (found["offset"] / found["spacing"])[..., None]

    def wider(step):
        return triangulation.manipulation_angle(left - along * (step / 2), right + along * (step / 2), target)

    def deeper(step):
        return triangulation.manipulation_angle(left, right, target + (target - foot) * step)

    return found | {
        "angle_per_spacing": _slope(wider) / found["spacing"],
        "angle_per_depth": _slope(deeper) / found["depth"],
    }


def _slope(function, step=1e-3):
    """Slope at zero from five points, exact to the fourth power of the step."""
    return (8 * (function(step) - function(-step)) - (function(2 * step) - function(-2 * step))) / (12 * step)

"""The scope: a shaft of any length through a port, and a view that leans off it. Two different problems have two answers.

Where port, target and the shaft's direction are given, one tip at most has the target in the middle of its picture. Where
port, target and the distance are given, the tip's length inside follows and the shaft may lie anywhere on a cone.
"""

import numpy as np
from sympy import Eq, acos, asin, atan, cos, sin, sqrt, tan

from ergokit import triangulation
from ergokit.relations import RELATIONS
from ergokit.relations.quantities import along, below, d, gain, gamma, inside, lean, off, port_to_target, turn
from ergokit.relations.relation import Relation
from ergokit.relations.vectors import close, cross, dot, somewhere, turned, unit, vector

_COMMON = {
    "holds": "the target is in the middle of the scope's picture.",
    "holds_at": lambda at: close(at["off_centre"], 0),
    "placements": lambda rng, n: _measured(rng, n),
    "elsewhere": lambda rng: _measured(rng, 1, beside=4),
}
u, w = vector(1, 0, 0), vector(0, 1, 0)  # along the shaft, and across it to the side on which the target is
_TARGET = vector(inside + d * cos(lean), d * sin(lean), 0)
_AT_DISTANCE = -d * cos(lean) + sqrt(port_to_target**2 - d**2 * sin(lean) ** 2)  # the length inside
_FROM_TIP = {"vectors": {"u": u, "w": w, "t": _TARGET}, "definitions": {along: _TARGET[0], off: _TARGET[1]}}
_ALONG = (
    "The port is at the origin and the view leans towards w. Along the shaft the target lies this far,",
    Eq(dot("t", "u"), along),
)
_OFF = ("and this far beside the shaft.", Eq(dot("t", "w"), off))


def scope_length_along_shaft():
    return Relation(
        title="Length inside of a scope whose shaft is given",
        equation=Eq(inside, along - off / tan(lean)),
        steps=(
            _ALONG,
            _OFF,
            ("Seen from the tip, the target is off the shaft by the direction of view.", Eq((along - inside) * tan(lean), off)),
        ),
        note="There is at most one such tip: none if the length is negative, or if the target lies on the shaft's own line. If "
        "you push the scope farther in, it looks past the target.",
        **_FROM_TIP,
        **_COMMON,
    )


def scope_distance_along_shaft():
    return Relation(
        title="Working distance of a scope whose shaft is given",
        equation=Eq(d, off / sin(lean)),
        steps=(
            _ALONG,
            _OFF,
            ("The way from the tip to the target has two legs at a right angle.", Eq(d**2, (along - inside) ** 2 + off**2)),
        ),
        note="With the shaft given, the distance is not free: at 30 degrees it is twice the distance of the target from the "
        "shaft's line.",
        **_FROM_TIP,
        **_COMMON,
    )


def scope_length_at_distance():
    equation = Eq(inside, _AT_DISTANCE)
    return Relation(
        title="Length inside of a scope that is to be at a distance",
        equation=equation,
        vectors={"u": u, "t": _TARGET.subs(inside, _AT_DISTANCE), "e": d * vector(cos(lean), sin(lean), 0)},
        definitions={inside: equation.rhs},
        steps=(
            ("From the tip the target lies along the axis e,", Eq(dot("e", "e"), d**2)),
            ("which the direction of view turns off the shaft.", Eq(dot("e", "u"), d * cos(lean))),
            (
                "Port, tip and target form a triangle, so the cosine rule holds.",
                Eq(port_to_target**2, inside**2 + d**2 + 2 * inside * dot("e", "u")),
            ),
            ("This is the square of the line from port to target.", Eq(dot("t", "t"), port_to_target**2)),
        ),
        through=lambda side: (side + d * cos(lean)) ** 2,
        solutions={
            d: [-inside * cos(lean) + sqrt(port_to_target**2 - inside**2 * sin(lean) ** 2)],
            port_to_target: [sqrt(inside**2 + d**2 + 2 * inside * d * cos(lean))],
            lean: [acos((port_to_target**2 - inside**2 - d**2) / (2 * inside * d))],
        },
        note="With the target 15.6 cm from the port, a 30 degree scope 6.1 cm in has its tip 10 cm from the target. A straight "
        "scope has its tip there when it is 5.6 cm in.",
        **_COMMON,
    )


def scope_cone():
    equation = Eq(gamma, asin(d * sin(lean) / port_to_target))
    return Relation(
        title="The cone on which the shaft of a scope lies that is to be at a distance",
        equation=equation,
        uses=("scope_length_at_distance",),
        vectors={"u": u, "t": _TARGET.subs(inside, _AT_DISTANCE)},
        definitions={gamma: equation.rhs},
        steps=(
            (
                "Beside the shaft, the target is as far as the axis moves across the shaft,",
                Eq(cross("t", "u"), (d * sin(lean)) ** 2),
            ),
            (
                "and that distance is the line from port to target times the sine of its angle to the shaft.",
                Eq(dot("t", "t") * sin(gamma) ** 2, cross("t", "u")),
            ),
        ),
        through=sin,
        solutions={
            d: [port_to_target * sin(gamma) / sin(lean)],
            port_to_target: [d * sin(lean) / sin(gamma)],
            lean: [asin(port_to_target * sin(gamma) / d)],
        },
        note="The distance leaves one choice free: where on this cone the shaft lies. How far the scope must be turned about "
        "its shaft follows from that.",
        **_COMMON,
    )


def scope_angle_gained():
    equation = Eq(gain, lean - asin(d * sin(lean) / port_to_target))
    return Relation(
        title="What an angled scope gains: how far its line of sight is turned from a straight scope's",
        equation=equation,
        uses=("scope_cone",),
        definitions={gamma: RELATIONS["scope_cone"].equation.rhs, gain: equation.rhs},
        steps=(
            (
                "A straight scope in the same port looks along the line from port to target, this far off the shaft.",
                Eq(sin(gamma), d * sin(lean) / port_to_target),
            ),
            ("The axis is off the shaft by the direction of view, on the same side.", Eq(gain, lean - gamma)),
        ),
        through=lambda side: sin(lean - side),
        solutions={
            d: [port_to_target * sin(lean - gain) / sin(lean)],
            port_to_target: [d * sin(lean) / sin(lean - gain)],
            lean: [atan(sin(gain) / (cos(gain) - d / port_to_target))],
        },
        note="With the target 18 cm from the port and 10 cm from the tip, a view of 30 degrees turns the line of sight by 13.9 "
        "degrees. A nearer tip turns the line of sight by more.",
        **_COMMON,
    )


def scope_post_turn():
    equation = Eq(turn, acos(below / off))
    post = vector(0, -sin(equation.rhs), cos(equation.rhs))
    return Relation(
        title="How far the light post is turned for the view to lean towards a target",
        equation=equation,
        vectors={"n": vector(0, 0, 1), "p": post, "t": vector(along, 0, 0) - off * post},
        definitions={turn: equation.rhs},
        holds="the view leans straight towards the target, away from the light post.",
        holds_at=lambda at: close(at["target_aside"], 0),
        placements=_measured,
        elsewhere=lambda rng: _measured(rng, 1, aside=4),
        steps=(
            ("The post p is turned this far from n, which points up across the shaft.", Eq(dot("p", "n"), cos(turn))),
            ("The view leans away from the post, so the target lies off the shaft against p,", Eq(dot("t", "p"), -off)),
            ("and this far below the shaft's line.", Eq(dot("t", "n"), -below)),
        ),
        through=cos,
        solutions={below: [off * cos(turn)], off: [below / cos(turn)]},
        note="The turn is 0 for a target straight below the shaft and 90 for a target level with it; for a target above, the "
        "post turns by more.",
    )


def _measured(rng, n, beside=0.0, aside=0.0):
    """Values measured on random scopes whose picture has the target in its middle, or `beside` cm from there.

    `aside` is how far it lies from the plane of shaft and axis.
    """
    frame, port = turned(rng, n), somewhere(rng, n)
    length, distance, view = rng.uniform(1, 20, n), rng.uniform(2, 20, n), np.radians(rng.uniform(5, 85, n))
    shaft, across = frame[:, 0], frame[:, 1]
    tip = port + length[:, None] * shaft
    axis = np.cos(view)[:, None] * shaft + np.sin(view)[:, None] * across
    target = tip + distance[:, None] * axis + beside * np.cross(axis, frame[:, 2]) + aside * frame[:, 2]
    up = unit(np.array([0.0, 0.0, 1.0]) - shaft[:, 2:] * shaft)
    foot = np.sum((target - port) * shaft, axis=-1)
    return {
        "scope_inserted_length": triangulation.port_spacing(port, tip),
        "target_along_shaft": foot,
        "target_off_shaft": triangulation.depth(port, tip, target),
        "target_below_shaft": np.sum((port - target) * up, axis=-1),
        "target_aside": np.sum((target - port) * frame[:, 2], axis=-1),
        "post_turn": triangulation.manipulation_angle(up, -across, np.zeros(3)),
        "port_to_target": triangulation.port_spacing(port, target),
        "working_distance": triangulation.working_distance(tip, target),
        "direction_of_view": np.degrees(view),
        "cone_half_angle": triangulation.manipulation_angle(tip, target, port),
        "angle_gained": triangulation.off_centre_angle(port, target, aim=axis),
        "off_centre": triangulation.off_centre_angle(tip, target, aim=axis),
    }

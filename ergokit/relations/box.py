"""Panels, the wedge box cut from a carton, and the dome. The last two are checked against plain vectors, here."""

import numpy as np
from sympy import Eq, acos, cos, sin, sqrt, symbols

from ergokit import triangulation
from ergokit.relations.quantities import L, b, base, c, d, dome, entry, f, foot, q, ridge, rim, rise
from ergokit.relations.relation import Relation
from ergokit.relations.vectors import angle, close, cross, dot, norm, somewhere, turned, vector

# The carton's section, from the ridge, where its two sides meet squarely, to the far end of each. The cut joins A and B.
A, B = vector(b, 0, 0), vector(0, c, 0)

_BOX = {
    "holds": "the carton's corner is square and the cut runs from corner to corner.",
    "holds_at": lambda at: close(at["corner"], 90),
    "placements": lambda rng, n: _boxes(rng, n),
    "elsewhere": lambda rng: _boxes(rng, 1, corner=80),
}


def entry_angle():
    port, inward = vector(symbols("p_1", real=True), symbols("p_2", real=True), q), vector(0, 0, 1)
    return Relation(
        title="Lean at the port",
        equation=Eq(cos(entry), q / L),
        vectors={"u": port, "n": inward},
        definitions={L: norm(port), entry: angle(port, inward)},
        steps=(
            (
                "The component of the shaft along the panel's normal is the target's distance from the panel.",
                Eq(dot("u", "n"), q),
            ),
        ),
        placements=lambda rng, n: _entries(rng, n),
        solutions={entry: [acos(q / L)]},
        note="A shaft enters a port square above its target straight; the farther the port is to the side, the harder the "
        "shaft levers the panel.",
    )


def wedge_base():
    return Relation(
        title="Base of a wedge box",
        equation=Eq(base, sqrt(b**2 + c**2)),
        vectors={"A": A, "B": B, "e": B - A},
        definitions={base: norm(B - A)},
        steps=(
            ("The sides meet squarely at the ridge.", Eq(dot("A", "B"), 0)),
            (
                "The cut, which is the base of the box, is opposite the right angle.",
                Eq(dot("e", "e"), dot("A", "A") + dot("B", "B")),
            ),
        ),
        **_BOX,
    )


def wedge_ridge_height():
    return Relation(
        title="Ridge height of a wedge box",
        equation=Eq(ridge, b * c / sqrt(b**2 + c**2)),
        uses=("wedge_base",),
        vectors={"A": A, "B": B},
        definitions={base: norm(A - B), ridge: norm(A.cross(B)) / norm(A - B)},
        steps=(
            (
                "Twice the area of the section is side times side, as the sides are square to each other,",
                Eq(cross("A", "B"), (b * c) ** 2),
            ),
            ("and also base times height.", Eq((base * ridge) ** 2, cross("A", "B"))),
        ),
        through=lambda side: side**2,
        solutions={b: [ridge * c / sqrt(c**2 - ridge**2)], c: [ridge * b / sqrt(b**2 - ridge**2)]},
        **_BOX,
    )


def flat_phone_in_wedge():
    camera_hole, floor = A * (1 - f), B * f + A * (1 - f)
    return Relation(
        title="Working distance of a phone lying flat on a wedge box",
        equation=Eq(d, f * c),
        vectors={"A": A, "e": B - A, "y": floor - A, "d": floor - camera_hole},
        definitions={d: norm(floor - camera_hole)},
        steps=(
            ("The phone looks square to its panel, along the other side of the carton;", Eq(dot("d", "A"), 0)),
            ("from the camera hole its axis meets the cut, on which A and B lie.", Eq(cross("y", "e"), 0)),
        ),
        **_BOX,
    )


def flat_phone_foot():
    camera_hole, floor = A * (1 - f), B * f + A * (1 - f)
    return Relation(
        title="Where the axis of a phone lying flat on a wedge box meets the floor",
        equation=Eq(foot, f * sqrt(b**2 + c**2)),
        uses=("flat_phone_in_wedge", "wedge_base"),
        vectors={"A": A, "e": B - A, "y": floor - A, "d": floor - camera_hole},
        definitions={foot: norm(floor - A), base: norm(B - A)},
        steps=(
            ("The axis is square to the panel,", Eq(dot("d", "A"), 0)),
            ("so it meets the base as far along, as a share, as the camera hole is up the panel.", Eq(foot, f * base)),
        ),
        solutions={b: [sqrt((foot / f) ** 2 - c**2)], c: [sqrt((foot / f) ** 2 - b**2)]},
        **_BOX,
    )


def dome_radius():
    t = symbols("t", positive=True)
    edge, top = vector(dome * sin(t), 0, dome * cos(t)), vector(0, 0, dome)
    return Relation(
        title="Radius of the sphere a dome is cut from",
        equation=Eq(dome, (rim**2 + rise**2) / (2 * rise)),
        vectors={"E": edge, "Z": top, "g": top - edge},
        definitions={rim: dome * sin(t), rise: dome * (1 - cos(t))},
        steps=(
            (
                "From the middle of the sphere, the rim of the dome and its top are one radius away.",
                Eq(dot("E", "E"), dot("Z", "Z")),
            ),
            ("The distance from top to rim, from the base radius and the rise.", Eq(dot("g", "g"), rim**2 + rise**2)),
            (
                "The same distance from the radius: along the axis, the rim is at the radius less the rise.",
                Eq(rim**2 + (dome - rise) ** 2, dome**2),
            ),
        ),
        solutions={
            rim: [sqrt(rise * (2 * dome - rise))],
            rise: [dome + sign * sqrt(dome**2 - rim**2) for sign in (1, -1)],
        },
        holds="the dome is a cap of a sphere; an abdomen-like dome is that cap stretched along one axis.",
        holds_at=lambda at: close(at["stretch"], 1),
        placements=lambda rng, n: _domes(rng, n),
        elsewhere=lambda rng: _domes(rng, 1, stretch=1.4),
    )


def _entries(rng, n):
    """Entry angles of ports on random planes; the target's distance from the plane is a plain dot product."""
    frame, port, target = turned(rng, n), somewhere(rng, n), somewhere(rng, n)
    return {
        "inserted_length": triangulation.inserted_length(port, target),
        "panel_distance": np.abs(np.sum((target - port) * frame[:, 2], axis=-1)),
        "entry_angle": triangulation.entry_angle(port, target, frame[:, 2]),
    }


def _boxes(rng, n, corner=90.0):
    """Sections of cartons cut from corner to corner, in plain vectors of the section, the ridge at the origin."""
    side_a, side_b, share = rng.uniform(5, 50, n), rng.uniform(5, 50, n), rng.uniform(0.05, 0.95, n)
    along_a, along_b = np.array([1.0, 0.0]), np.array([np.cos(np.radians(corner)), np.sin(np.radians(corner))])
    square = np.array([0.0, 1.0])  # to the panel
    foot_a, foot_b = side_a[:, None] * along_a, side_b[:, None] * along_b
    cut, camera_hole = foot_b - foot_a, foot_a * (1 - share)[:, None]
    # camera hole + distance * square = foot_a + part * cut
    system = np.stack([np.broadcast_to(square, (n, 2)), -cut], axis=-1)
    distance = np.linalg.solve(system, (foot_a - camera_hole)[..., None])[:, 0]
    floor = camera_hole + distance * square
    length = np.linalg.norm(cut, axis=-1)
    return {
        "side_a": side_a,
        "side_b": side_b,
        "camera_hole_fraction": share,
        "base": length,
        "ridge_height": np.abs(foot_a[:, 0] * foot_b[:, 1] - foot_a[:, 1] * foot_b[:, 0]) / length,
        "working_distance": np.linalg.norm(floor - camera_hole, axis=-1),
        "foot_along_base": np.linalg.norm(floor - foot_a, axis=-1),
        "corner": np.full(n, corner),
    }


def _domes(rng, n, stretch=1.0):
    """Caps in plain vectors: the centre of the sphere through the top and three points of the rim, all equally far from it."""
    rim, rise = rng.uniform(5, 30, (2, n))
    turns = np.radians([0.0, 120.0, 240.0])
    round_rim = np.stack([np.cos(turns), stretch * np.sin(turns), np.zeros(3)], axis=-1)
    edge = rim[:, None, None] * round_rim
    top = rise[:, None, None] * np.array([0.0, 0.0, 1.0])
    # |centre - edge|^2 = |centre - top|^2 for each of the three: linear in the centre
    squares = np.sum(edge**2, axis=-1) - np.sum(top**2, axis=-1)
    centre = np.linalg.solve(2 * (edge - top), squares[..., None])[..., 0]
    return {
        "base_radius": rim,
        "rise": rise,
        "dome_radius": np.linalg.norm(centre - top[:, 0], axis=-1),
        "stretch": np.full(n, stretch),
    }

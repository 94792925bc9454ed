"""Where the camera stands: how far from the target, how far apart the ports may be, and how much the picture shows."""

import numpy as np
from sympy import Eq, asin, atan, cos, sin, sqrt, symbols, tan

from ergokit import triangulation
from ergokit.relations import RELATIONS
from ergokit.relations.quantities import L_L, L_R, L, W, chord, d, fov, h, k, s, theta, w, x
from ergokit.relations.relation import Relation
from ergokit.relations.vectors import close, dot, measured, norm, opening, somewhere, turned, unit, vector


def camera_at_middle():
    u, v = vector(*symbols("u_1:4", real=True)), vector(*symbols("v_1:4", real=True))
    return Relation(
        title="Working distance of a camera at the middle of the port line",
        equation=Eq(d**2, (2 * L_L**2 + 2 * L_R**2 - s**2) / 4),
        vectors={"u": u, "v": v, "p": v - u, "g": u + v},
        definitions={L_L: norm(u), L_R: norm(v), s: norm(v - u), d: norm((u + v) / 2)},
        steps=(
            ("The middle of the ports lies half way along the sum of the shafts.", Eq((2 * d) ** 2, dot("g", "g"))),
            (
                "In the parallelogram of the shafts, the squares of the "
                "diagonals have the same sum as the squares of the sides.",
                Eq(dot("g", "g") + dot("p", "p"), 2 * dot("u", "u") + 2 * dot("v", "v")),
            ),
        ),
        holds="the camera is at the middle of the port line.",
        holds_at=lambda at: close(at["camera_hole_up_panel"], 0) & close(at["camera_sideways"], 0),
        placements=lambda rng, n: _measured(rng, n, up=(0, 0)),
        elsewhere=lambda rng: _measured(rng, 1, up=(8, 8)),
        note="The median of the triangle. With equal lengths it is the depth.",
    )


def widest_spacing():
    middle = RELATIONS["camera_at_middle"].solve_for(d)[0].subs({L_L: L, L_R: L})
    return Relation(
        title="Widest spacing for a manipulation angle and a longest working distance",
        equation=Eq(s, 2 * d * tan(theta / 2)),
        uses=("camera_at_middle", "spacing_from_length", "depth_from_length"),
        definitions={d: RELATIONS["depth_from_length"].equation.rhs, s: RELATIONS["spacing_from_length"].equation.rhs},
        steps=(
            ("With equal lengths the camera at the middle of the port line is this far away,", Eq(d**2, middle**2)),
            ("which is the depth for this length and angle.", Eq(d, L * cos(theta / 2))),
            ("The spacing follows from the same length and angle; divide.", Eq(s / d, 2 * tan(theta / 2))),
        ),
        holds="equal lengths inside and the camera at the middle of the port line.",
        holds_at=lambda at: close(at["left_length"], at["right_length"]) & close(at["working_distance"], at["depth"]),
        placements=lambda rng, n: _measured(rng, n, up=(0, 0), sideways=(0, 0)),
        elsewhere=lambda rng: _measured(rng, 1, up=(8, 8), sideways=(0, 0)),
        note="60 degrees and at most 15 cm bound the spacing at 17.3 cm. Three equal 20 cm lengths are too long: the "
        "camera is then 17.3 cm away.",
    )


def camera_hole_up_panel():
    deep = symbols("n", positive=True)
    target, camera = vector(x, w, deep), vector(0, k, 0)
    return Relation(
        title="Working distance from a camera hole up the panel",
        equation=Eq(d**2, x**2 + h**2 + k**2 - 2 * k * w),
        vectors={"T": target, "C": camera, "e": target - camera},
        definitions={h: sqrt(w**2 + deep**2), d: norm(target - camera)},
        steps=(
            (
                "Measure from the middle of the ports: along their line, up the panel, and straight in. The depth has no "
                "component along the line.",
                Eq(dot("T", "T"), h**2 + x**2),
            ),
            ("The camera is only up the panel,", Eq(dot("T", "C"), k * w)),
            ("and this far from the target.", Eq(dot("e", "e"), dot("T", "T") + dot("C", "C") - 2 * dot("T", "C"))),
        ),
        holds="the camera hole is on the midline, straight up the panel from a level port line.",
        holds_at=lambda at: close(at["camera_sideways"], 0),
        placements=lambda rng, n: _measured(rng, n),
        elsewhere=lambda rng: _measured(rng, 1, aside=5),
        note="If the foot is at the port line, the lens is farther away than the depth; if the foot is at the camera hole, it "
        "is nearer.",
    )


def flat_phone():
    return Relation(
        title="Working distance of a phone lying flat on the panel",
        equation=Eq(d, sqrt(h**2 - k**2)),
        uses=("camera_hole_up_panel",),
        definitions={d: RELATIONS["camera_hole_up_panel"].solve_for(d)[0].subs({x: 0, w: k})},
        steps=(
            (
                "A flat phone looks straight in: the target's foot is at the camera hole, on the midline.",
                Eq(d**2, h**2 + k**2 - 2 * k * k),
            ),
        ),
        solutions={k: [sign * sqrt(h**2 - d**2) for sign in (1, -1)], h: [sqrt(d**2 + k**2)]},
        holds="the target is on the midline and in the middle of the picture of a phone lying flat.",
        holds_at=lambda at: (
            close(at["offset"], 0) & close(at["foot_up_panel"], at["camera_hole_up_panel"]) & close(at["camera_sideways"], 0)
        ),
        placements=lambda rng, n: _measured(rng, n, sideways=(0, 0), flat=True),
        elsewhere=lambda rng: _measured(rng, 1, sideways=(0, 0)),
        note="Equal 20 cm lengths: a lens 0, 4, 6, 8.66 and 10 cm up the panel gives 17.3, 16.9, 16.2, 15.0 and 14.1 cm.",
    )


def widest_spacing_flat_phone():
    depth = RELATIONS["flat_phone"].solve_for(h)[0]
    return Relation(
        title="Widest spacing for a manipulation angle, with a phone lying flat",
        equation=Eq(s, 2 * tan(theta / 2) * sqrt(d**2 + k**2)),
        uses=("flat_phone", "spacing_from_depth"),
        definitions={h: depth, s: RELATIONS["spacing_from_depth"].solve_for(s)[0].subs(h, depth)},
        steps=(("The depth that belongs to the working distance and the camera hole.", Eq(h**2, d**2 + k**2)),),
        through=lambda side: side**2,
        solutions={
            theta: [2 * atan(s / (2 * sqrt(d**2 + k**2)))],
            d: [sqrt((s / (2 * tan(theta / 2))) ** 2 - k**2)],
            k: [sign * sqrt((s / (2 * tan(theta / 2))) ** 2 - d**2) for sign in (1, -1)],
        },
        holds="equal lengths inside, and the target in the middle of the picture of a phone lying flat.",
        holds_at=lambda at: (
            close(at["offset"], 0) & close(at["foot_up_panel"], at["camera_hole_up_panel"]) & close(at["camera_sideways"], 0)
        ),
        placements=lambda rng, n: _measured(rng, n, sideways=(0, 0), flat=True),
        elsewhere=lambda rng: _measured(rng, 1, sideways=(0, 0)),
    )


def camera_port_distance():
    u, c = vector(L * sin(theta / 2), L * cos(theta / 2), 0), vector(0, L, 0)
    equation = Eq(chord, 2 * L * sin(theta / 4))
    return Relation(
        title="Distance from a camera port on the same arc to each working port",
        equation=equation,
        vectors={"u": u, "c": c, "q": u - c},
        definitions={chord: equation.rhs},
        steps=(
            ("Both ports are one length from the target, and half the angle apart.", Eq(dot("u", "c"), L**2 * cos(theta / 2))),
            ("The cosine rule.", Eq(dot("q", "q"), 2 * L**2 - 2 * L**2 * cos(theta / 2))),
            ("One less the cosine is twice the squared sine of half the angle.", Eq(dot("q", "q"), chord**2)),
        ),
        solutions={L: [chord / (2 * sin(theta / 4))], theta: [4 * asin(chord / (2 * L))]},
        holds="all three ports are at the same distance from the target, and the camera's port is half way round the arc.",
        holds_at=lambda at: close(at["inserted_length"], at["working_distance"]) & close(at["left_length"], at["right_length"]),
        placements=lambda rng, n: _measured(rng, n, up=(0, 0), sideways=(0, 0), arc=True),
        elsewhere=lambda rng: _measured(rng, 1, up=(0, 0), sideways=(0, 0)),
    )


def field_of_view():
    u, v = (vector(side * W / 2, d, 0) for side in (-1, 1))
    return Relation(
        title="Width of what the picture shows",
        equation=Eq(W, 2 * d * tan(fov / 2)),
        vectors={"u": u, "v": v, "p": v - u},
        definitions={fov: opening(u, v)},
        steps=(
            ("The lines of sight to the edges of the picture, square to the axis at the target.", Eq(dot("p", "p"), W**2)),
            ("The angle between these sights, from their dot product.", Eq(dot("u", "u") * cos(fov), dot("u", "v"))),
        ),
        holds="the target is in the middle of the picture.",
        holds_at=lambda at: close(at["off_centre"], 0),
        placements=lambda rng, n: _pictured(rng, n, off_centre=0),
        elsewhere=lambda rng: _pictured(rng, 1, off_centre=10),
        note="A lens of 70 degrees shows 14.0 cm at 10 cm and 21.0 cm at 15 cm.",
    )


def _measured(rng, n, up=(-9, 9), sideways=(-10, 10), aside=0.0, flat=False, arc=False):
    """Values measured on random placements: ports, target and camera placed against the panel, then turned in space.

    Along the port line, up the panel and straight in: the camera at (aside, up, 0), the target at (sideways, its foot, deep).
    """
    spacing, deep, up, sideways = (rng.uniform(*ends, n) for ends in ((2, 30), (10, 25), up, sideways))
    foot, zero = up if flat else rng.uniform(-8, 8, n), np.zeros(n)
    ports = [(side * spacing / 2, zero, zero) for side in (-1, 1)]
    frame, origin = turned(rng, n), somewhere(rng, n)
    places = np.array([*ports, (sideways, foot, deep), (aside + zero, up, zero)])
    left, right, target, camera = np.einsum("pin,nij->pnj", places, frame) + origin
    if arc:  # as far from the target as the ports, in the direction of their middle
        camera = target + np.linalg.norm(left - target, axis=-1, keepdims=True) * unit(origin - target)
    return measured(left, right, target, camera) | {
        "camera_hole_up_panel": np.sum((camera - origin) * frame[:, 1], axis=-1),
        "camera_sideways": np.sum((camera - origin) * frame[:, 0], axis=-1),
        "foot_up_panel": np.sum((target - origin) * frame[:, 1], axis=-1),
    }


def _pictured(rng, n, off_centre):
    """Two edges of a picture on a level plate at the target, with the camera square above it or `off_centre` cm beside it."""
    width, distance = rng.uniform(2, 30, n), rng.uniform(3, 30, n)
    frame, target = turned(rng, n), somewhere(rng, n)
    camera = target + distance[:, None] * frame[:, 1] + off_centre * frame[:, 0]
    edges = [target + side / 2 * width[:, None] * frame[:, 0] for side in (-1, 1)]
    return {
        "seen_width": triangulation.port_spacing(*edges),
        "working_distance": triangulation.working_distance(camera, target),
        "field_of_view": triangulation.manipulation_angle(*edges, camera),
        "off_centre": np.full(n, off_centre),
    }

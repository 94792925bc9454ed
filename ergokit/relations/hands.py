"""The instruments as levers: hands, inside : outside and tip travel. The port is the fulcrum."""

import numpy as np
from sympy import Eq, asin, cos, sin, symbols

from ergokit import triangulation
from ergokit.relations.quantities import H, L, S, hands, m, r, theta
from ergokit.relations.relation import Relation
from ergokit.relations.vectors import close, dot, measured, somewhere, vector

_INSIDE = {
    "holds": "the instrument is longer than its part inside.",
    "holds_at": lambda at: at["inserted_length"] < at["instrument_length"],
    "placements": lambda rng, n: _measured(rng, n),
}


def handle_separation():
    left, right = (vector(side * (S + H) * sin(theta / 2), (S + H) * cos(theta / 2), 0) for side in (-1, 1))
    return Relation(
        title="Handle separation",
        equation=Eq(hands, 2 * (S + H) * sin(theta / 2)),
        vectors={"A_L": left, "A_R": right},
        definitions={hands: 2 * (S + H) * sin(theta / 2)},
        steps=(
            ("Each hand is the shaft and the handle's reach away from the target,", Eq(dot("A_L", "A_L"), (S + H) ** 2)),
            ("the two lines are at the manipulation angle,", Eq(dot("A_L", "A_R"), (S + H) ** 2 * cos(theta))),
            (
                "so by the cosine rule the hands are this far from each other.",
                Eq(hands**2, 2 * (S + H) ** 2 * (1 - cos(theta))),
            ),
        ),
        solutions={theta: [2 * asin(hands / (2 * (S + H)))]},
        holds="both instruments have the same length and handle.",
        holds_at=lambda at: close(at["instrument_length"], at["right_instrument_length"]),
        placements=lambda rng, n: _measured(rng, n),
        elsewhere=lambda rng: _measured(rng, 1, alike=False),
        note="This holds whatever the lengths inside. At 60 degrees the hands are as far apart as each is from the target.",
    )


def length_ratio():
    port, end = vector(L, 0, 0), vector(S, 0, 0)
    return Relation(
        title="Inside : outside: shaft inside over shaft outside",
        equation=Eq(r, L / (S - L)),
        vectors={"P": port, "E": end, "e": end - port},
        definitions={r: L / (S - L)},
        steps=(
            (
                "From the tip, the port and the end of the shaft lie in one line: inside is P, outside e.",
                Eq(r**2 * dot("e", "e"), dot("P", "P")),
            ),
        ),
        note="Levels of 240:120, 180:180 and 120:240 mm, ratios 2, 1 and 0.5, were tested by Emam et al., "
        "Arch Surg 2000;135(1):62-65.",
        **_INSIDE,
    )


def tip_travel():
    turn = symbols("gamma", real=True)
    along = vector(cos(turn), sin(turn), 0)
    tip, hand = L * along, -(S - L + H) * along
    return Relation(
        title="Tip travel across the shaft for each cm of the hand",
        equation=Eq(m, L / (S - L + H)),
        vectors={"T": tip, "A": hand, "T'": tip.diff(turn), "A'": hand.diff(turn)},
        definitions={m: L / (S - L + H)},
        steps=(
            (
                "When the instrument turns about the port, the tip moves across the shaft in proportion to the length inside,",
                Eq(dot("T'", "T'"), L**2),
            ),
            (
                "and the hand moves the other way in proportion to the length outside, handle included.",
                Eq(dot("A'", "T'"), -L * (S - L + H)),
            ),
            ("Divide the first by the second.", Eq(m**2 * dot("A'", "A'"), dot("T'", "T'"))),
        ),
        note="Along the shaft the tip moves as the hand does. Above 1 the tip outruns the hand.",
        **_INSIDE,
    )


def _measured(rng, n, alike=True):
    left, right, target = (somewhere(rng, n) for _ in range(3))
    found = measured(left, right, target)
    shaft = np.maximum(found["left_length"], found["right_length"]) + rng.uniform(2, 20, n)
    other, reach = shaft if alike else shaft + 10, rng.uniform(0, 15, n)
    return found | {
        "instrument_length": shaft,
        "right_instrument_length": other,
        "handle_reach": reach,
        "handle_separation": triangulation.handle_separation(left, right, target, shaft, reach, right_instrument_length=other),
        "length_ratio": triangulation.length_ratio(left, target, shaft),
        "tip_travel_per_hand_travel": triangulation.tip_travel_per_hand_travel(left, target, shaft, reach),
    }

"""Problems answered with a letter: the better placement, the reading to repeat, rules that clash, who gets which hole."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from ergokit._words import joined
from ergokit.guidance import conflicts
from ergokit.guidance.quantities import range_in_words, rule_in_words
from ergokit.problems import figure
from ergokit.problems.draft import LETTERS, Draft, arccosine, arcsine, arctangent, by, sine, ways_from_foot
from ergokit.problems.draw import Reading
from ergokit.relations import RELATIONS
from ergokit.terms import QUANTITIES

_ROW = 36  # cm: the longest row of holes
_ROOM = 0.1  # of every range, that is left where one rule of a clash is given up
_COUNT = {2: "two", 3: "three", 4: "four"}
_BEYOND = 10  # cm from the shaft's end to the hand, as `conflicts` takes it
_SHORT = {  # what the words of a solution call the rule on a quantity
    "manipulation angle": "angle",
    "port spacing": "spacing",
    "working distance": "distance",
    "length inside": "length",
    "inside : outside": "ratio",
    "handle separation": "hands",
    "elevation angle": "elevation",
}

# The better of two


def nearer_of_equal(draw):
    placed = _pair(lambda: {"spacing": draw.grid(12, 22, 0.5), "inserted_length": draw.grid(14, 22, 0.5)})
    spacing, inside = map(np.array, placed.values())
    return _nearer("spacing_from_length", placed, {"half_sine": spacing / (2 * inside)})


def nearer_off_midline(draw):
    placed = _pair(
        lambda: {
            "spacing": draw.grid(14, 22, 0.5),
            "depth": draw.grid(10, 18, 0.5),
            "offset": draw.among((Reading(0, 0.5), draw.grid(3, 8, 0.5))),
        }
    )
    spacing, depth, offset = map(np.array, placed.values())
    where = [f"{each:g} cm to the right of the midline" if each else "on the midline" for each in offset]
    ways = ways_from_foot(depth, far=spacing / 2 + offset, near=spacing / 2 - offset)
    fit = offset[0] != offset[1] and np.all(ways["near"] >= 1)
    return _nearer("angle_at_offset", placed, {"where": where} | ways, fit)


def _nearer(relation, placed, besides, fit=True):
    theta = by(relation, "manipulation_angle")(**{name: np.array(pair) for name, pair in placed.items()})
    off = np.abs(theta - 60)
    best, wider = LETTERS[np.argmin(off)], LETTERS[np.argmax(theta)]
    return _better(
        placed,
        besides | {"angle": theta},
        relation=relation,
        working={"off_A": off[0], "off_B": off[1]},
        answer=best,
        fit=fit and np.all((theta > 35) & (theta < 95)) and abs(off[0] - off[1]) >= 5 and off.min() <= 12,
        amiss=lambda picked: ("farther", {"which": "the wider" if picked == wider else "the narrower"}),
    )


def both_rules(draw):
    placed = _pair(lambda: {"spacing": draw.grid(12, 22, 0.5), "inserted_length": draw.grid(13, 21, 0.5)})
    spacing, inside = map(np.array, placed.values())
    theta = by("spacing_from_length", "manipulation_angle")(spacing=spacing, inserted_length=inside)
    distance = by("camera_at_middle", "working_distance")(spacing=spacing, left_length=inside, right_length=inside)
    room = np.array([np.minimum(theta - 45, 75 - theta), np.minimum(distance - 7.5, 15 - distance)])
    met = room > 0
    kept = met.all(axis=0)
    best = int(np.argmax(kept))
    clear = np.all(np.abs(room) >= [[2.5], [0.5]])
    return _better(
        placed,
        {"angle": theta, "distance": distance, "half_sine": spacing / (2 * inside), "square": distance**2},
        relation="camera_at_middle",
        working={
            "other": LETTERS[1 - best],
            "failing": "distance" if met[0, 1 - best] else "angle",
            "working_distance_A": distance[0],  # the picture shows the lens
            "working_distance_B": distance[1],
        },
        answer=LETTERS[best],
        fit=kept.sum() == 1 and clear and met[:, 1 - best].sum() == 1,
        amiss=lambda picked: ("broken", {}),
    )


def _pair(drawn):
    """Measures of two placements, name -> that of A and of B."""
    first, second = drawn(), drawn()
    return {name: (first[name], second[name]) for name in first}


def _better(placed, besides, **draft):
    """The draft of a choice between placements A and B; `besides` is what the words name of each besides its measures."""
    return Draft(
        given={f"{name}_{letter}": pair[i] for i, letter in enumerate("AB") for name, pair in placed.items()},
        each=placed | besides,
        options={"A": "A", "B": "B"},
        picture=figure.two_triangles,
        **draft,
    )


# The reading to repeat


def spacing_or_depth(draw):
    s, h, error = draw.grid(10, 20, 0.5), draw.grid(10, 20, 0.5), draw.grid(0.2, 0.5, 0.1)
    return _spacing_or_depth(s, h, (error, error))


def spacing_or_depth_by_tape(draw):
    s, h = draw.grid(12, 22, 0.5), draw.grid(9, 20, 0.5)
    errors = draw.grid(0.1, 0.2, 0.1), draw.grid(0.3, 0.8, 0.1)
    return _spacing_or_depth(s, h, errors[::-1] if draw.among((False, True)) else errors)


def _spacing_or_depth(s, h, errors):
    read = {"spacing": s, "depth": h}
    pulls = [abs(float(by(name, name)(**read))) for name in ("angle_per_spacing", "angle_per_depth")]
    return _repeat(read, errors, pulls, {"beside": (h, s)}, relation="angle_per_spacing")


def reading_of_three(draw):
    s, left, right = draw.grid(12, 20, 0.5), draw.grid(13, 21, 0.5), draw.grid(13, 21, 0.5)
    errors = draw.shuffled((Reading(0.1, 0.1), draw.grid(0.2, 0.4, 0.1), draw.grid(0.5, 1, 0.1)))
    read = {"spacing": s, "left_length": left, "right_length": right}
    relation = RELATIONS["cosine_rule"]
    fit = abs(left - right) >= 1 and abs(left**2 - right**2) / (2 * s) < s / 2
    theta = relation.evaluate("manipulation_angle", **{name: np.array([value]) for name, value in read.items()})[0]
    pulls = [abs(float(relation.sensitivity(name, **read))) for name in read] if fit else [0.0] * 3
    foot = (left**2 - right**2 + s**2) / (2 * s)  # of the perpendicular from the target, counted from the left port
    square = left**2 - foot**2
    working = {"foot": foot, "rest": s - foot, "square": square, "depth": np.sqrt(square)}
    working |= {"left_cosine": f"{foot / left:.4f}", "right_cosine": f"{(s - foot) / right:.4f}"}
    cosines = {"cosine": ("1", working["left_cosine"], working["right_cosine"])}
    return _repeat(read, errors, pulls, cosines, working, relation="cosine_rule", fit=fit and 35 <= theta <= 85)


def _repeat(read, errors, pulls, besides, working=None, fit=True, *, relation):
    """The draft of a choice between readings; `besides` is what the words name of each besides its error and its pull."""
    names = [name.replace("_", " ") for name in read]
    shares = [pull * error for pull, error in zip(pulls, errors, strict=True)]
    second, best = np.argsort(shares)[-2:]

    def amiss(picked):
        i = LETTERS.index(picked)
        if errors[i] == max(errors) > errors[best]:
            what = "larger error"
        else:
            what = "worth most" if pulls[i] == max(pulls) else "neither"
        return what, {"name": names[i]}

    return Draft(
        relation=relation,
        given=read | {f"{name}_error": error for name, error in zip(read, errors, strict=True)},
        each={"name": names, "pull": pulls, "error": errors, "share": shares} | besides,
        working={"best": names[best]} | (working or {}),
        answer=LETTERS[best],
        options=dict(zip(LETTERS, names, strict=False)),
        fit=fit and shares[best] > 0 and shares[best] >= 1.25 * shares[second],
        amiss=amiss,
    )


# The rules that clash


class _Clash(NamedTuple):
    """Rules that clash, their relation, which words say why, and what these name for a shaft of some cm."""

    rules: dict
    relation: str
    why: str
    working: Callable


def two_of_three_rules(draw):
    return _clash(draw, _PAIRS, 3)


def two_of_four_rules(draw):
    return _clash(draw, (*_PAIRS, _spacing_and_length), 4)


def three_of_four_rules(draw):
    return _clash(draw, (_angle_spacing_lens, _angle_ratio_lens, _angle_ratio_spacing), 4)


def _clash(draw, made, count):
    """So many rules, of which those of one smallest set clash; `made` are functions that draw such a `_Clash`."""
    clash, relation, why, working = draw.among(made)(draw)
    others = draw.shuffled([name for name in _FILLERS if name not in clash])[: count - len(clash)]
    shaft = draw.among((33, 36))
    rules = dict(draw.shuffled([*clash.items(), *((name, _FILLERS[name](draw)) for name in others)]))
    result = conflicts(rules, instrument_length=shaft)
    letters = dict(zip(rules, LETTERS, strict=False))
    wanted = "".join(letters[name] for name in rules if name in clash)
    named = {}
    for name, (low, high) in clash.items():
        short = _SHORT[name]
        named |= {f"{short}_rule": letters[name], f"{short}_low": low, f"{short}_high": high}
    options = {letter: rule_in_words(name, *result.rules[name]) for name, letter in letters.items()}

    def amiss(picked):
        if set(wanted) < set(picked):
            return "too many", {}
        if len(picked) < len(wanted):
            return "too few", {"picks": joined(picked), "alone": "itself" if len(picked) == 1 else "themselves"}
        found = conflicts({name: rules[name] for name in rules if letters[name] in picked}, instrument_length=shaft)
        low, high = found.ranges["manipulation angle"]
        span = f"{low:.0f}" if round(low) == round(high) else f"{low:.0f} to {high:.0f}"
        return "hold", {"picks": joined(picked), "span": span}

    return Draft(
        words="rules_clash",
        relation=relation,
        given={},
        each={"rule": options.values()},
        working={
            "many": _COUNT[count],
            "Many": _COUNT[count].capitalize(),
            "wanted": _COUNT[len(clash)],
            "Wanted": _COUNT[len(clash)].capitalize(),
            "shaft": shaft,
            "changes": _changes(result, letters),
            "letters": joined(wanted),
        }
        | named
        | working(shaft),
        phrases={
            "why": why,
            "elevation": "elevation" if "elevation angle" in rules else "",
            "scope": _advanced(rules, shaft) if "working distance" in clash else "",
        },
        picture=figure.names,
        answer=wanted,
        options=options,
        fit=[set(each.rules) for each in result.clashes] == [set(clash)] and _clear(result, shaft),
        amiss=amiss,
    )


def _changes(result, letters):
    """How far each rule of a clash has to give way, by its letter, if no other does."""
    changes = [change for change in (result.relaxations or {}).values() if change]
    steps = [(change.quantity, range_in_words(change.quantity, change.by, change.by, decimals=1)) for change in changes]
    return joined([f"{letters[name]} by {step}" for name, step in steps], "or")


def _advanced(rules, shaft):
    """Which phrase says what becomes of the rules with a scope, whose tip slides."""
    slid = conflicts(rules, instrument_length=shaft, camera="scope")
    return "advanced" if slid.feasible else "not_advanced"


def _ratio_and_length(draw):
    ratio, most = draw.grid(1, 1.4, 0.1), draw.grid(12, 15, 0.5)
    return _Clash(
        {"inside : outside": (ratio, None), "length inside": (None, most)},
        "length_ratio",
        "ratio_and_length",
        lambda shaft: {"needed": _inside(ratio, shaft)},
    )


def _hands_and_angle(draw):
    most, angle = draw.grid(28, 36, 1), draw.grid(55, 70, 5)
    return _Clash(
        {"handle separation": (None, most), "manipulation angle": (angle, None)},
        "handle_separation",
        "hands_and_angle",
        lambda shaft: {"reach": shaft + _BEYOND, "half": angle / 2, "needed": 2 * (shaft + _BEYOND) * sine(angle / 2)},
    )


def _elevation_and_angle(draw):
    low = draw.grid(55, 70, 5)
    return _Clash(
        {"elevation angle": (low, None), "manipulation angle": (draw.grid(190 - 2 * low, 100, 5), None)},
        "widest_angle",
        "elevation_and_angle",
        lambda shaft: {"lean": 90 - low, "needed": 2 * (90 - low)},
    )


def _lens_and_length(draw):
    low = draw.grid(14, 17, 0.5)
    return _Clash(
        {"working distance": (low, None), "length inside": (None, low - draw.grid(1, 3, 0.5))},
        "camera_at_middle",
        "lens_and_length",
        lambda shaft: {},
    )


def _spacing_and_length(draw):
    low = draw.grid(20, 26, 1)
    return _Clash(
        {"port spacing": (low, None), "length inside": (None, low / 2 - draw.grid(0.5, 1.5, 0.5))},
        "spacing_from_length",
        "spacing_and_length",
        lambda shaft: {"needed": low / 2},
    )


def _angle_spacing_lens(draw):
    angle = draw.among((45, 50, 55)), draw.among((60, 65))
    spacing, distance = draw.grid(19, 24, 0.5), draw.grid(11, 15, 0.5)
    tangent = spacing / 2 / distance
    turn = arctangent(tangent)
    return _Clash(
        {"manipulation angle": angle, "port spacing": (spacing, None), "working distance": (None, distance)},
        "widest_spacing",
        "angle_spacing_lens",
        lambda shaft: {"half": spacing / 2, "tangent": tangent, "half_needed": turn, "needed": 2 * turn},
    )


def _angle_ratio_lens(draw):
    angle, ratio, distance = draw.among((60, 65, 70)), draw.grid(1, 1.5, 0.1), draw.grid(10, 14, 0.5)

    def working(shaft):
        inside = _inside(ratio, shaft)
        turn = arccosine(distance / inside)
        return {"inside": inside, "cosine": distance / inside, "half_needed": turn, "needed": 2 * turn}

    return _Clash(
        {"manipulation angle": (None, angle), "inside : outside": (ratio, None), "working distance": (None, distance)},
        "depth_from_length",
        "angle_ratio_lens",
        working,
    )


def _angle_ratio_spacing(draw):
    angle, ratio, spacing = draw.among((55, 60, 65)), draw.grid(1, 1.5, 0.1), draw.grid(11, 15, 0.5)

    def working(shaft):
        inside, half = _inside(ratio, shaft), spacing / 2
        turn = arcsine(half / inside)
        return {"inside": inside, "half": half, "sine": half / inside, "half_needed": turn, "needed": 2 * turn}

    return _Clash(
        {"manipulation angle": (angle, None), "inside : outside": (ratio, None), "port spacing": (None, spacing)},
        "spacing_from_length",
        "angle_ratio_spacing",
        working,
    )


def _inside(ratio, shaft):
    return by("length_ratio", "inserted_length")(length_ratio=ratio, instrument_length=shaft)


_PAIRS = (_ratio_and_length, _hands_and_angle, _elevation_and_angle, _lens_and_length)
_FILLERS = {
    "manipulation angle": lambda draw: (draw.grid(30, 45, 5), draw.grid(75, 90, 5)),
    "port spacing": lambda draw: (draw.grid(5, 8, 1), draw.grid(20, 28, 1)),
    "working distance": lambda draw: (draw.grid(5, 8, 0.5), draw.grid(15, 20, 1)),
    "length inside": lambda draw: (draw.grid(8, 11, 1), draw.grid(18, 24, 1)),
    "handle separation": lambda draw: (draw.grid(15, 25, 1), draw.grid(45, 60, 1)),
    "elevation angle": lambda draw: (draw.grid(0, 20, 5), draw.grid(50, 70, 5)),
}


def _clear(result, shaft):
    """Whether each rule of the clash would have to give way by a good step, and the others have room without it."""
    least = {"deg": 4, "cm": 0.75, "ratio": 0.12}
    changes = [change for change in result.relaxations.values() if change]
    if not changes or any(change.by < least[QUANTITIES[change.quantity].unit] for change in changes):
        return False
    without = ({name: ends for name, ends in result.rules.items() if name != spared} for spared in result.clashes[0].rules)
    rest = [conflicts(rules, instrument_length=shaft) for rules in without]
    return all(each.feasible and each.room >= _ROOM for each in rest)


# Who gets which hole


def hole_ahead(draw):
    first, second, depth = draw.grid(5, 22, 0.5), draw.grid(5, 22, 0.5), draw.grid(9, 18, 0.5)
    return _hole({"spacing_AB": first, "spacing_BC": second, "depth": depth}, [-first, 0, second], depth)


def hole_aside(draw):
    first, second, depth = draw.grid(5, 22, 0.5), draw.grid(5, 22, 0.5), draw.grid(9, 18, 0.5)
    given = {"spacing_AB": first, "spacing_BC": second, "depth": depth, "offset": draw.aside(2, 6, 0.5)}
    return _hole(given, np.array([-first, 0, second]) - given["offset"], depth)


def hole_by_tape(draw):
    first, second, near, far = (draw.grid(*ends, 0.5) for ends in ((5, 22), (5, 22), (11, 22), (11, 22)))
    given = {"spacing_AB": first, "spacing_BC": second, "from_A": near, "from_C": far}
    along = (near**2 - far**2 + (first + second) ** 2) / (2 * (first + second))  # from A to the foot of the target
    row = {"row": first + second, "along": along}
    return _hole(given, np.array([0, first, first + second]) - along, np.sqrt(near**2 - along**2), row)


def _hole(given, places, depth, working=None):
    """Three holes in a row at these places from the foot of the target, right positive; the camera takes one of them."""
    hands = [(1, 2), (0, 2), (0, 1)]  # what is left where the camera takes A, B, C
    turns = arctangent(np.divide(places, depth))
    angles = [turns[last] - turns[first] for first, last in hands]
    off = np.abs(np.subtract(angles, 60))
    best = int(np.argmin(off))
    left = [f"{LETTERS[first]} and {LETTERS[last]}" for first, last in hands]

    def amiss(picked):
        i = LETTERS.index(picked)
        return "other hands", {"hands": left[i], "angle": angles[i]}

    return Draft(
        relation="angle_at_offset",
        given=given,
        each={"place": places, "turn": turns, "hands": left, "angle": angles, "off": off},
        working={f"place_{letter}": place for letter, place in zip("ABC", places, strict=True)}
        | {"depth": depth, "hands": left[best]}
        | (working or {}),
        phrases={"foot": "at"} if "depth" in given else {},
        picture=figure.row_of_holes,
        answer=LETTERS[best],
        options={letter: f"hole {letter}" for letter in "ABC"},
        fit=places[2] - places[0] <= _ROW and depth >= 8 and off[best] <= 12 and np.sort(off)[1] - off[best] >= 5,
        amiss=amiss,
    )

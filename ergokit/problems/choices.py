"""Problems answered with a letter: the better of two placements, the reading to repeat, the rules that clash."""

from math import inf

import numpy as np

from ergokit._words import joined
from ergokit.guidance import conflicts
from ergokit.guidance.quantities import QUANTITIES, rule_in_words
from ergokit.problems import figure
from ergokit.problems.problem import Draft, Given, cosine
from ergokit.relations import RELATIONS

_LETTERS = "ABCD"
_ROOM = 0.1  # of every range, that is left where one rule of a clash is given up
_COUNT = {2: "two", 3: "three", 4: "four"}


def better_placement(level, draw):
    return (_nearer_of_equal, _nearer_off_midline, _both_rules)[level - 1](draw)


def reading_to_repeat(level, draw):
    return (_spacing_or_depth, _spacing_or_depth_by_tape, _of_three)[level - 1](draw)


def rules_clash(level, draw):
    """Rules of which one smallest set clashes: two of three, two of four, three of four."""
    made = _CLASHES[level - 1]
    clash, relation = draw.among(made)(draw)
    others = [name for name in _FILLERS if name not in clash]
    fillers = draw.shuffled(others)[: (3 if level == 1 else 4) - len(clash)]
    shaft = draw.among((33, 36))
    named = draw.shuffled([*clash.items(), *((name, _FILLERS[name](draw)) for name in fillers)])
    rules = dict(named)
    result = conflicts(rules, instrument_length=shaft)
    letters = dict(zip(rules, _LETTERS, strict=False))
    wanted = "".join(sorted(letters[name] for name in clash))
    options = {letter: rule_in_words(name, *_ends(rules[name])) for name, letter in letters.items()}
    listed = "; ".join(f"{letter}: {words}" for letter, words in options.items())
    many = _COUNT[len(rules)]
    told = (
        f"{many.capitalize()} teachers, {many} rules, and no placement that pleases all. {listed}.",
        f"A handout lists: {listed}. You try for an evening and cannot satisfy it.",
        f"Before you cut, you write down what you were told. {listed}. It cannot all be done.",
    )
    setting = (
        f"The instruments have {shaft:g} cm shafts, the hands are 10 cm beyond them, both are inserted alike, and the lens is "
        "midway between the ports."
    )
    if "elevation angle" in rules:
        setting += " The elevation is each shaft's own, above the floor."
    return Draft(
        question=f"{draw.among(told)} {setting} Which {_COUNT[len(clash)]} rules cannot hold together, whatever "
        "becomes of the rest?",
        given={},
        relation=relation,
        hint="Take the rules on angles first and ask what each leaves of the triangle; then the lengths. Half the angle has a "
        "sine, a cosine and a tangent, and each ties two of the measures together.",
        picture=lambda _: figure.names(),
        steps=lambda answer: (
            *(f"{words[0].upper()}{words[1:]}." for words in _plain(result.clashes)),
            f"Any one of these would help: {'; '.join(str(change) for change in result.relaxations.values() if change)}.",
            f"So {joined(answer)} clash; without one of them the rest can hold.",
        ),
        answer=wanted,
        options=options,
        fit=[set(each.rules) for each in result.clashes] == [set(clash)] and _clear(result, shaft),
        amiss=lambda picked: _amiss_rules(picked, wanted, {letters[name]: (name, ends) for name, ends in rules.items()}, shaft),
    )


# The better of two


def _nearer_of_equal(draw):
    lengths = [(draw.grid(12, 22, 0.5), draw.grid(14, 22, 0.5)) for _ in _LETTERS[:2]]
    evaluate = RELATIONS["spacing_from_length"].evaluate
    spacing, inside = np.array(lengths).T
    theta = evaluate(spacing=spacing, inserted_length=inside)
    told = (
        "Two boxes for the course. {}. Which gives the angle nearer to 60 degrees?",
        "You may leave the ports or move them. {}. Which of the two brings the instruments nearer to 60 degrees?",
        "Two students, two cartons, one prize for the angle nearest to 60 degrees. {}. Who wins, A or B?",
    )
    each = [f"{name}: ports {s:g} cm apart, {inside:g} cm of either instrument inside" for name, (s, inside) in _named(lengths)]
    return _nearer(
        draw.among(told).format("; ".join(each)),
        {f"spacing_{name}": s for name, (s, _) in _named(lengths)}
        | {f"inserted_length_{name}": inside for name, (_, inside) in _named(lengths)},
        theta,
        "spacing_from_length",
        "Half the spacing over the inserted length is the sine of half the angle; at 60 degrees that is a half.",
        [
            f"{name}: sin(angle / 2) = {s:g} / (2 × {inside:g}) = {s / (2 * inside):.3f}, angle {t:.1f} degrees."
            for (name, (s, inside)), t in zip(_named(lengths), theta, strict=True)
        ],
        [
            {
                "spacing": s,
                "depth": float(inside * cosine(t / 2)),
                "s": f"{s:g} cm",
                "left": f"{inside:g}",
                "right": f"{inside:g}",
            }
            for (s, inside), t in zip(lengths, theta, strict=True)
        ],
    )


def _nearer_off_midline(draw):
    places = [(draw.grid(14, 22, 0.5), draw.grid(10, 18, 0.5), draw.among((0, draw.grid(3, 8, 0.5)))) for _ in _LETTERS[:2]]
    spacing, depth, offset = np.array(places).T
    theta = RELATIONS["angle_at_offset"].evaluate(spacing=spacing, depth=depth, offset=offset)
    told = (
        "One target, two pairs of ports you could cut for it. {}. Which pair meets nearer to 60 degrees at the target?",
        "A session with a target off to the side. {}. Which placement comes nearer to 60 degrees?",
    )

    def aside(x):
        return f"the target {x:g} cm to the right of the midline" if x else "the target on the midline"

    each = [f"{name}: ports {s:g} cm apart, {aside(x)} and {h:g} cm from the port line" for name, (s, h, x) in _named(places)]
    given = {}
    for name, (s, h, x) in _named(places):
        given |= {f"spacing_{name}": s, f"depth_{name}": h, f"offset_{name}": x}
    return _nearer(
        draw.among(told).format("; ".join(each)),
        given,
        theta,
        "angle_at_offset",
        "From the perpendicular on the port line there is one turn to each port. Add the two turns of each placement.",
        [
            f"{name}: atan({s / 2 + x:g} / {h:g}) + atan({s / 2 - x:g} / {h:g}) = {t:.1f} degrees.".replace(
                " + atan(-", " - atan("
            )
            for (name, (s, h, x)), t in zip(_named(places), theta, strict=True)
        ],
        [
            {
                "spacing": s,
                "depth": h,
                "offset": x,
                "s": f"{s:g} cm",
                "h": f"{h:g}",
                "x": f"{x:g}" if x else "",
            }
            for s, h, x in places
        ],
        fit=offset.max() >= 3 and np.all(offset <= spacing / 2 - 1) and np.ptp(offset) > 0,
    )


def _nearer(question, given, theta, relation, hint, ways, sides, fit=True):
    off = np.abs(theta - 60)
    best = int(np.argmin(off))
    answer = _LETTERS[best]
    wider = _LETTERS[int(np.argmax(theta))]
    return Draft(
        question=question,
        given={name: Given(value, 0.5) for name, value in given.items()},
        relation=relation,
        hint=hint,
        picture=lambda _: figure.two_triangles(*sides),
        steps=lambda _: (
            "The same relation for both." if relation == "spacing_from_length" else "Add the two turns, for both.",
            *ways,
            f"Off by {off[0]:.1f} and {off[1]:.1f} degrees: {answer} is nearer to 60.",
        ),
        answer=answer,
        options={"A": "A", "B": "B"},
        fit=bool(fit and np.all((theta > 35) & (theta < 95)) and abs(off[0] - off[1]) >= 5 and off.min() <= 12),
        amiss=lambda picked: (
            _amiss_one(picked)
            or (
                f"Not {picked}. Its angle is {'the wider' if picked == wider else 'the narrower'} of the two; work out both "
                "and see how far each is from 60."
            )
        ),
    )


def _both_rules(draw):
    lengths = [(draw.grid(12, 22, 0.5), draw.grid(13, 21, 0.5)) for _ in _LETTERS[:2]]
    spacing, inside = np.array(lengths).T
    theta = RELATIONS["spacing_from_length"].evaluate(spacing=spacing, inserted_length=inside)
    distance = RELATIONS["camera_at_middle"].evaluate(
        "working_distance", spacing=spacing, left_length=inside, right_length=inside
    )
    angle_room = np.minimum(theta - 45, 75 - theta)
    distance_room = np.minimum(distance - 7.5, 15 - distance)
    met = (angle_room > 0) & (distance_room > 0)
    best = int(np.argmax(met))
    answer, other = _LETTERS[best], _LETTERS[1 - best]
    clear = np.all(np.abs(angle_room) >= 2.5) and np.all(np.abs(distance_room) >= 0.5)
    failing = "distance" if angle_room[1 - best] > 0 else "angle"
    told = (
        "Your teacher has two rules: the instruments meet at 45 to 75 degrees, and the lens, midway between the ports, is 7.5 "
        "to 15 cm from the target. {}. Which placement keeps both?",
        "Two rules on the wall of the skills room: an angle of 45 to 75 degrees, a working distance of 7.5 to 15 cm. The lens "
        "is at the middle of the port line. {}. One of them breaks a rule. Which one keeps both?",
    )
    each = [f"{name}: ports {s:g} cm apart, {i:g} cm of either instrument inside" for name, (s, i) in _named(lengths)]
    ways = [
        f"{name}: angle {t:.1f} degrees, distance square root of ({i:g}² - {s / 2:g}²) = {d:.1f} cm."
        for (name, (s, i)), t, d in zip(_named(lengths), theta, distance, strict=True)
    ]
    return Draft(
        question=draw.among(told).format("; ".join(each)),
        given={f"spacing_{name}": Given(s, 0.5) for name, (s, _) in _named(lengths)}
        | {f"inserted_length_{name}": Given(i, 0.5) for name, (_, i) in _named(lengths)},
        relation="camera_at_middle",
        hint="For each placement work out both: the angle from spacing and inserted length, and the median, which with equal "
        "lengths is the depth.",
        picture=lambda _: figure.two_triangles(
            *(
                {
                    "spacing": s,
                    "depth": float(d),
                    "s": f"{s:g} cm",
                    "left": f"{i:g}",
                    "right": f"{i:g}",
                    "lens": 0.0,
                }
                for (s, i), d in zip(lengths, distance, strict=True)
            )
        ),
        steps=lambda _: (
            "Spacing = 2 × inserted length × sin(angle / 2), and distance² = length² - (spacing / 2)².",
            *ways,
            f"{other} breaks the rule on the {failing}; {answer} keeps both.",
        ),
        answer=answer,
        options={"A": "A", "B": "B"},
        fit=bool(met.sum() == 1 and clear and (angle_room[1 - best] > 0) != (distance_room[1 - best] > 0)),
        amiss=lambda picked: (
            _amiss_one(picked) or f"Not {picked}: it keeps one of the rules and breaks the one on the {failing}."
        ),
    )


# The reading to repeat


def _spacing_or_depth(draw):
    s, h = draw.grid(10, 20, 0.5), draw.grid(10, 20, 0.5)
    error = draw.grid(0.2, 0.5, 0.1)
    told = (
        f"You read the spacing as {s:g} cm and the depth as {h:g} cm, each give or take {error:g} cm. There is time to read "
        "one of them again.",
        f"A tape, a box, a tired reader: spacing {s:g} cm, depth {h:g} cm, either one perhaps {error:g} cm off. One may be "
        "repeated.",
    )
    return _repeat(draw, told, {"spacing": (s, error), "depth": (h, error)}, h)


def _spacing_or_depth_by_tape(draw):
    s, h = draw.grid(12, 22, 0.5), draw.grid(9, 20, 0.5)
    fine, coarse = draw.grid(0.1, 0.2, 0.1), draw.grid(0.3, 0.8, 0.1)
    read = {"spacing": (s, fine), "depth": (h, coarse)}
    if draw.among((False, True)):
        read = {"spacing": (s, coarse), "depth": (h, fine)}
    told = (
        f"The spacing is {s:g} cm, give or take {read['spacing'][1]:g} cm. The depth is {h:g} cm, give or take "
        f"{read['depth'][1]:g} cm. You can read one of them once more.",
        f"Spacing {s:g} ± {read['spacing'][1]:g} cm, depth {h:g} ± {read['depth'][1]:g} cm, says the sheet in the box. There "
        "is time to repeat one.",
    )
    return _repeat(draw, told, read, h)


def _repeat(draw, told, read, h):
    (s, s_error), (_, h_error) = read["spacing"], read["depth"]
    pulls = {
        "spacing": float(RELATIONS["angle_per_spacing"].evaluate("angle_per_spacing", depth=h, spacing=s)),
        "depth": float(-RELATIONS["angle_per_depth"].evaluate("angle_per_depth", depth=h, spacing=s)),
    }
    return _which(
        f"{draw.among(told)} Which one makes the manipulation angle more certain, A the spacing or B the depth?",
        read,
        pulls,
        "angle_per_spacing",
        "For each: how many degrees a cm of it is worth, times how many cm the reading may be off.",
        (
            "For each cm of spacing the angle gains 4 × depth / (4 × depth² + spacing²) radians, and for each cm of depth it "
            "loses 4 × spacing / (the same).",
        ),
        lambda: figure.triangle(s, h, s=f"{s:g} ± {s_error:g} cm", h=f"{h:g} ± {h_error:g}", angle=""),
    )


def _of_three(draw):
    s, left, right = draw.grid(12, 20, 0.5), draw.grid(13, 21, 0.5), draw.grid(13, 21, 0.5)
    errors = draw.shuffled((0.1, draw.grid(0.2, 0.4, 0.1), draw.grid(0.5, 1, 0.1)))
    read = dict(zip(("spacing", "left_length", "right_length"), zip((s, left, right), errors, strict=True), strict=True))
    relation = RELATIONS["cosine_rule"]
    given = {name: value for name, (value, _) in read.items()}
    fit = abs(left - right) >= 1 and abs(left**2 - right**2) / (2 * s) < s / 2 and max(left, right) < s + min(left, right)
    theta = relation.evaluate("manipulation_angle", **{name: np.array([value]) for name, value in given.items()})[0]
    pulls = {name: abs(float(relation.sensitivity(name, **given))) for name in given} if fit else dict.fromkeys(given, 0.0)
    told = (
        f"From hole to hole {s:g} ± {errors[0]:g} cm; left instrument {left:g} ± {errors[1]:g} cm inside, right one {right:g} "
        f"± {errors[2]:g} cm. One reading can be repeated.",
        f"Three readings from a box in another town, by telephone: spacing {s:g} cm to {errors[0]:g} cm, left length {left:g} "
        f"cm to {errors[1]:g} cm, right length {right:g} cm to {errors[2]:g} cm. You may ask for one of them again.",
    )
    x = (left**2 - right**2) / (2 * s)
    depth = float(np.sqrt(max(left**2 - (s / 2 + x) ** 2, 0.01)))
    return _which(
        f"{draw.among(told)} Which one makes the manipulation angle most certain: A the spacing, B the left length or C the "
        "right length?",
        read,
        pulls,
        "cosine_rule",
        "For each: how many degrees a cm of it is worth, times its error. A cm of spacing is worth more than a cm of either "
        "length, but the errors differ.",
        (
            "From the cosine rule: a cm of spacing is worth 1 / depth radians, a cm of a length that times the cosine of the "
            "angle at its port.",
        ),
        lambda: figure.triangle(
            s, depth, x, s=f"{s:g} ± {errors[0]:g}", left=f"{left:g} ± {errors[1]:g}", right=f"{right:g} ± {errors[2]:g}"
        ),
        fit=bool(fit and 35 <= theta <= 85),
    )


def _which(question, read, pulls, relation, hint, form, picture, fit=True):
    errors = {name: error for name, (_, error) in read.items()}
    shares = {name: pulls[name] * errors[name] for name in read}
    ranked = sorted(shares, key=shares.get, reverse=True)
    letters = dict(zip(read, _LETTERS, strict=False))
    best = ranked[0]
    names = {letters[name]: name.replace("_", " ") for name in read}

    def amiss(picked):
        if words := _amiss_one(picked):
            return words
        name = next(name for name in read if letters[name] == picked)
        if errors[name] == max(errors.values()) and errors[name] > errors[best]:
            return f"The {names[picked]} has the larger error, but the angle feels it less. Multiply the two."
        if pulls[name] == max(pulls.values()):
            return f"A cm of the {names[picked]} is worth most, but it was read well. Multiply by its error."
        return f"Not the {names[picked]}: work out for each how far its error moves the angle."

    return Draft(
        question=question,
        given={name: Given(value, 0.5) for name, (value, _) in read.items()}
        | {f"{name}_error": Given(error, 0.1) for name, error in errors.items()},
        relation=relation,
        hint=hint,
        picture=lambda _: picture(),
        steps=lambda answer: (
            *form,
            *(
                f"{letters[name]}, the {names[letters[name]]}: {pulls[name]:.2f} degrees per cm × {errors[name]:g} cm = "
                f"{shares[name]:.2f} degrees."
                for name in read
            ),
            f"Repeat {answer}, the {names[answer]}.",
        ),
        answer=letters[best],
        options=names,
        fit=fit and shares[best] > 0 and shares[best] >= 1.25 * shares[ranked[1]],
        amiss=amiss,
    )


# Rules that clash: makers of (rules, the relation that says why)


def _ratio_and_length(draw):
    return {"length ratio": (draw.grid(1, 1.4, 0.1), None), "inserted length": (None, draw.grid(12, 15, 0.5))}, "length_ratio"


def _hands_and_angle(draw):
    return {
        "handle separation": (None, draw.grid(28, 36, 1)),
        "manipulation angle": (draw.grid(55, 70, 5), None),
    }, "handle_separation"


def _elevation_and_angle(draw):
    low = draw.grid(55, 70, 5)
    return {"elevation angle": (low, None), "manipulation angle": (draw.grid(190 - 2 * low, 100, 5), None)}, "widest_angle"


def _lens_and_length(draw):
    low = draw.grid(14, 17, 0.5)
    return {"working distance": (low, None), "inserted length": (None, low - draw.grid(1, 3, 0.5))}, "camera_at_middle"


def _spacing_and_length(draw):
    low = draw.grid(20, 26, 1)
    return {"port spacing": (low, None), "inserted length": (None, low / 2 - draw.grid(0.5, 1.5, 0.5))}, "spacing_from_length"


def _angle_spacing_lens(draw):
    return {
        "manipulation angle": (draw.among((45, 50, 55)), draw.among((60, 65))),
        "port spacing": (draw.grid(19, 24, 0.5), None),
        "working distance": (None, draw.grid(11, 15, 0.5)),
    }, "widest_spacing"


def _angle_ratio_lens(draw):
    return {
        "manipulation angle": (None, draw.among((60, 65, 70))),
        "length ratio": (draw.grid(1, 1.5, 0.1), None),
        "working distance": (None, draw.grid(10, 14, 0.5)),
    }, "depth_from_length"


def _angle_ratio_spacing(draw):
    return {
        "manipulation angle": (draw.among((55, 60, 65)), None),
        "length ratio": (draw.grid(1, 1.5, 0.1), None),
        "port spacing": (None, draw.grid(11, 15, 0.5)),
    }, "spacing_from_length"


_PAIRS = (_ratio_and_length, _hands_and_angle, _elevation_and_angle, _lens_and_length)
_CLASHES = (_PAIRS, (*_PAIRS, _spacing_and_length), (_angle_spacing_lens, _angle_ratio_lens, _angle_ratio_spacing))
_FILLERS = {
    "manipulation angle": lambda draw: (draw.grid(30, 45, 5), draw.grid(75, 90, 5)),
    "port spacing": lambda draw: (draw.grid(5, 8, 1), draw.grid(20, 28, 1)),
    "working distance": lambda draw: (draw.grid(5, 8, 0.5), draw.grid(15, 20, 1)),
    "inserted length": lambda draw: (draw.grid(8, 11, 1), draw.grid(18, 24, 1)),
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


def _ends(rule):
    low, high = rule
    return -inf if low is None else low, inf if high is None else high


def _plain(clashes):
    """What the clashes say, in letters that any printer has."""
    for clash in clashes:
        words = clash.words
        for sign, plain in (("θ", "angle"), ("ε", "elevation"), ("α", "azimuth"), ("≥", "at least"), ("≤", "at most")):
            words = words.replace(sign, plain)
        yield words


def _amiss_rules(picked, wanted, rules, shaft):
    if set(wanted) < set(picked):
        return "The clash is among these, but one of them can be left out: name the smallest set."
    if len(picked) < len(wanted):
        alone = "itself" if len(picked) == 1 else "themselves"
        return f"{_COUNT[len(wanted)].capitalize()} letters are wanted; {joined(picked)} can hold by {alone}."
    found = conflicts(dict(rules[letter] for letter in picked), instrument_length=shaft)
    low, high = found.ranges["manipulation angle"]
    span = f"{low:.0f}" if round(low) == round(high) else f"{low:.0f} to {high:.0f}"
    return f"{joined(picked)} can hold together, with an angle of {span} degrees. Look for others."


def _amiss_one(picked):
    return "One letter, please." if len(picked) > 1 else ""


def _named(items):
    return list(zip(_LETTERS, items, strict=False))

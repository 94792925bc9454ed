"""Problems: the answer that points in space give, slips told apart, sheets read back, the same for ever.

The answers are found again without the relations: ports, target and camera are placed in space, turned at random, and measured
with `triangulation`; what cannot be placed directly is moved until the measures are those given.
"""

import csv
import itertools
import re
import tomllib
from collections import defaultdict
from pathlib import Path

import numpy as np
import pdfplumber
import pytest
from bs4 import BeautifulSoup
from draws import draws
from hypothesis import given, settings
from hypothesis import strategies as st
from pdfs import texts
from reportlab.pdfbase.pdfmetrics import stringWidth
from scipy.spatial.transform import Rotation

from ergokit import triangulation as tri
from ergokit.guidance import conflicts
from ergokit.guidance.cautions import FOR_EDUCATION
from ergokit.problems import _FORMS, KINDS, LEVELS, Problem, lever_and_box, make_problem, make_problems, write_sheet
from ergokit.problems.draft import WORDS
from ergokit.problems.draw import Draw
from ergokit.problems.figure import HEIGHT, WIDTH
from ergokit.problems.problem import LESSONS, section_of
from ergokit.relations import RELATIONS
from ergokit.surfaces import WedgeBox
from ergokit.tape_check import check_tape
from ergokit.view import Camera

SEEDS = draws(250, 500)
CHOICES = ("better placement", "reading to repeat", "rules clash", "who gets which hole")
NUMERIC = [kind for kind in KINDS if kind not in CHOICES]
STORED = Path(__file__).parent / "problems_regression.csv"
UP = np.array([0.0, 0.0, 1.0])


@pytest.fixture(scope="module")
def problems():
    return {kind: [make_problem(kind, seed) for seed in range(SEEDS)] for kind in KINDS}


# Points in space, n at once


def somewhere(*places):
    """The same places (n, 3), each set of them turned and moved as a whole."""
    rng = np.random.default_rng(7)
    n = len(places[0])
    turn, move = Rotation.random(n, random_state=7), rng.uniform(-20, 20, (n, 3))
    return [turn.apply(place) + move for place in places]


def at(x=0.0, y=0.0, z=0.0):
    return np.stack(np.broadcast_arrays(x, y, z), axis=-1).astype(float)


def until(measured, wanted, low, high, halvings=40):
    """The numbers between low and high where a measure that rises with them is as wanted, by halving."""
    low, high = np.broadcast_arrays(np.asarray(low, float), high)
    low, high = low + 0 * wanted, high + 0 * wanted
    for _ in range(halvings):
        middle = (low + high) / 2
        less = measured(middle) < wanted
        low, high = np.where(less, middle, low), np.where(less, high, middle)
    return middle


def hinged(left_length, right_length, theta):
    """Two shafts of these lengths, opened by an angle in degrees, from the target at the origin."""
    half = np.radians(theta) / 2
    return (
        at(-left_length * np.sin(half), left_length * np.cos(half)),
        at(right_length * np.sin(half), right_length * np.cos(half)),
        at(0 * theta),
    )


def opened(left_length, right_length, spacing):
    """The same, opened until the ports are that far apart."""
    theta = until(lambda t: tri.port_spacing(*hinged(left_length, right_length, t)[:2]), spacing, 0.0, 180.0)
    return hinged(left_length, right_length, theta)


def hanging(spacing, depth, offset=0.0):
    """Ports along x, the target so far below their line and aside."""
    return at(-spacing / 2), at(spacing / 2), at(offset, 0 * spacing, -depth)


def deep(spacing, theta, offset=0.0):
    """The same, so deep that the shafts meet at the angle, below the depth at which it is widest."""
    widest = np.sqrt(np.maximum(offset**2 - spacing**2 / 4, 0)) + 1e-9
    depth = until(lambda h: -tri.manipulation_angle(*hanging(spacing, h, offset)), -theta, widest, 80.0)
    return hanging(spacing, depth, offset)


def spread(theta, depth):
    """The same, the ports so far apart that the shafts meet at the angle."""
    return hanging(until(lambda s: tri.manipulation_angle(*hanging(s, depth)), theta, 0.0, 90.0), depth)


def panel(distance, camera_hole):
    """The middle of the port line, lens and target of a phone lying flat on a panel that rises by 35 degrees."""
    slope = np.radians(35)
    lens = at(0, camera_hole * np.cos(slope), camera_hole * np.sin(slope))
    return at(0 * distance), lens, lens + distance[:, None] * np.array([0, np.sin(slope), -np.cos(slope)])


def flat_phone(camera_hole, depth):
    """The distance of the lens, moved until the target is so far from the port line, which runs along x."""
    return until(lambda d: tri.depth(at(-1 + 0 * d), at(1 + 0 * d), panel(d, camera_hole)[2]), depth, 0.0, 60.0)


def found(kind, asked, g):
    """The quantity asked, from the given ones `g` (name -> array), by points in space."""
    names = set(g)
    if kind == "angle":
        places = opened(g["inserted_length"], g["inserted_length"], g["spacing"]) if "inserted_length" in g else None
        places = places or (opened(g["left_length"], g["right_length"], g["spacing"]) if "left_length" in g else hanging(**g))
        return tri.manipulation_angle(*somewhere(*places))
    if kind == "spacing":
        theta = g["manipulation_angle"]
        if "camera_hole_up_panel" in g:
            line, _, target = panel(g["working_distance"], g["camera_hole_up_panel"])
            places = spread(theta, tri.inserted_length(line, target))
        elif "inserted_length" in g:
            places = hinged(g["inserted_length"], g["inserted_length"], theta)
        elif "left_length" in g:
            places = hinged(g["left_length"], g["right_length"], theta)
        else:
            places = spread(theta, g[(names - {"manipulation_angle"}).pop()])
        return tri.port_spacing(*somewhere(*places)[:2])
    if kind == "depth":
        if "inserted_length" in g:
            places = hinged(g["inserted_length"], g["inserted_length"], g["manipulation_angle"])
        elif "left_length" in g:
            places = opened(g["left_length"], g["right_length"], g["spacing"])
        else:
            places = deep(g["spacing"], g["manipulation_angle"], g.get("offset", 0.0))
        return tri.depth(*somewhere(*places))
    if kind == "camera distance":
        return camera_distance(g)
    if kind == "azimuths":
        return azimuth(asked, g)
    if kind == "inside : outside":
        return lever(asked, g)
    if kind == "light post":
        return post_turn(g)
    return least_box(asked, g)


def post_turn(g):
    """The target to the right: the post of a scope is turned to the left about its shaft until the view leans that way."""
    n = len(g["target_below_shaft"])
    turn = Rotation.random(n, random_state=3)
    right, along, up = (turn.apply(at(*axis)) for axis in np.eye(3))

    def post(angle):
        return Rotation.from_rotvec(-np.radians(angle)[:, None] * along).apply(up)

    def below(place):
        return -np.sum(place * up, axis=-1)

    if "working_distance" in g:

        def from_tip(angle):
            lean = np.radians(g["direction_of_view"])[:, None] * np.cross(post(angle), along)
            return g["working_distance"][:, None] * Rotation.from_rotvec(lean).apply(along)

        return until(lambda angle: -below(from_tip(angle)), -g["target_below_shaft"], 0.0, 180.0)
    target = 10 * along + g["aside"][:, None] * right - g["target_below_shaft"][:, None] * up
    # until the target is no more beside the plane of shaft and view
    return until(lambda angle: np.sum(along * np.cross(target, post(angle)), axis=-1), 0 * g["aside"], 0.0, 180.0)


def camera_distance(g):
    if "field_of_view" in g:  # a strip as wide as the picture

        def edge(d):
            shown = [
                Camera((0, 0, one), (0, 0, -1), field_of_view=field).project((width / 2, 0, 0))[0]
                for one, field, width in zip(d, g["field_of_view"], g["seen_width"], strict=True)
            ]
            return -np.abs(shown)

        return until(edge, -np.ones_like(g["seen_width"]), 1.0, 60.0, 24)
    if "inserted_length" in g and "camera_hole_up_panel" not in g:
        left, right, target = somewhere(*opened(g["inserted_length"], g["inserted_length"], g["spacing"]))
        return tri.working_distance((left + right) / 2, target)
    if "left_length" in g:
        left, right, target = somewhere(*opened(g["left_length"], g["right_length"], g["spacing"]))
        return tri.working_distance((left + right) / 2, target)
    depth = g["depth"] if "depth" in g else tri.depth(*opened(g["inserted_length"], g["inserted_length"], g["spacing"]))
    return flat_phone(g["camera_hole_up_panel"], depth)


def azimuth(asked, g):
    side = 0 if asked == "left_azimuth" else 1
    if "spacing" in g:
        left, right, target = hanging(g["spacing"], g["depth"], g.get("offset", 0.0))
        return tri.azimuth_angles(*somewhere(left, right, target, at(g["camera"])), "instruments")[side]
    part = g["right_azimuth" if side == 0 else "left_azimuth"]
    turn = np.radians(part) * (1 if side == 0 else -1)  # from the known shaft to the axis, out of the plane too
    theta = np.radians(g["manipulation_angle"]) * (1 if side == 0 else -1)
    known, other = at(14 * np.ones_like(part)), at(12 * np.cos(theta), 12 * np.sin(theta))
    camera, target = at(9 * np.cos(turn), 9 * np.sin(turn), 5.0), at(0 * part)
    left, right = (other, known) if side == 0 else (known, other)
    return tri.azimuth_angles(*somewhere(left, right, target, camera), "instruments")[side]


def lever(asked, g):
    shaft = g["instrument_length"]
    if asked == "inserted_length":
        return until(lambda inside: tri.length_ratio(at(inside), at(0 * inside), shaft), g["length_ratio"], 0.0, shaft - 1e-6)
    if "spacing" in g:
        left, _, target = somewhere(*spread(g["manipulation_angle"], 0 * shaft + 10))  # any size, then grown to the spacing
        size = g["spacing"] / tri.port_spacing(*spread(g["manipulation_angle"], 0 * shaft + 10)[:2])
        port, target = left * size[:, None], target * size[:, None]
    else:
        port, target = somewhere(at(g["inserted_length"]), at(0 * shaft))
    if asked == "length_ratio":
        return tri.length_ratio(port, target, shaft)
    hand = np.stack([tri.handle_position(*each) for each in zip(port, target, shaft, g["handle_reach"], strict=True)])
    return tri.inserted_length(port, target) / tri.inserted_length(hand, port) * g.get("hand_travel", 1.0)


def least_box(asked, g):
    if asked == "lid_height":

        def angle(height):
            ports = at(-g["spacing"] / 2, 0.0, height), at(g["spacing"] / 2, 0.0, height)
            return -tri.manipulation_angle(*somewhere(*ports, at(0.0, g["ahead"], 0 * height)))

        return until(angle, -g["manipulation_angle"], 0.1, 60.0)

    def boxes(b):
        return [WedgeBox(50, one, other) for one, other in zip(g["side_a"], b, strict=True)]

    if "ridge_height" in g:
        return until(lambda b: np.array([box.bounds()[1, 2] for box in boxes(b)]), g["ridge_height"], 1.0, 100.0, 24)

    def axis(b):
        lens = np.stack([box.point(0, f * box.side_a) for f, box in zip(g["camera_hole_fraction"], boxes(b), strict=True)])
        inward = -np.stack([box.normal(0, 1) for box in boxes(b)])
        return lens[:, 2] / -inward[:, 2]

    return until(axis, g["working_distance"], 1.0, 100.0, 24)


def groups(problems):
    """Numeric problems that have the same quantities, with what is given as arrays."""
    alike = defaultdict(list)
    for problem in problems:
        alike[(problem.kind, problem.asked, tuple(problem.given))].append(problem)
    for (kind, asked, names), members in alike.items():
        yield kind, asked, {name: np.array([each.given[name] for each in members], float) for name in names}, members


@pytest.mark.parametrize("kind", NUMERIC)
def test_the_answer_is_what_points_in_space_give(problems, kind):
    count = 0
    for _, asked, numbers, members in groups(problems[kind]):
        assert found(kind, asked, numbers) == pytest.approx([each.answer for each in members], rel=1e-6), asked
        count += len(members)
    assert count == SEEDS


@pytest.mark.parametrize("kind", NUMERIC)
def test_what_rounding_does_is_within_the_tolerance(problems, kind):
    rng = np.random.default_rng(1)
    for _, asked, numbers, members in groups(problems[kind]):
        step = {name: np.array([each.steps[name] for each in members]) for name in numbers}
        shaken = {name: value + step[name] * rng.uniform(-0.5, 0.5, len(value)) for name, value in numbers.items()}
        moved = np.abs(found(kind, asked, shaken) - [each.answer for each in members])
        tolerance = np.array([each.tolerance for each in members])
        assert np.all(moved <= 1.1 * tolerance), asked  # the bound is of first order
        assert np.median(moved / tolerance) > 0.05, "the tolerance has nothing to do with the rounding"


def alike(problems):
    """Problems that have the same quantities, with what is given as arrays."""
    for _, _, numbers, members in groups(problems):
        yield numbers, members


def test_the_better_placement_is_better_in_space(problems):
    for level in LEVELS:
        for numbers, members in alike([problem for problem in problems["better placement"] if problem.level == level]):
            theta, distance = np.empty((2, 2, len(members)))
            for i, letter in enumerate("AB"):
                g = {name[:-2]: value for name, value in numbers.items() if name.endswith(letter)}
                places = hanging(**g) if level == 2 else opened(g["inserted_length"], g["inserted_length"], g["spacing"])
                left, right, target = somewhere(*places)
                theta[i] = tri.manipulation_angle(left, right, target)
                distance[i] = tri.working_distance((left + right) / 2, target)
            if level < 3:
                off = np.abs(theta - 60)
                assert np.all(np.abs(off[0] - off[1]) >= 5)
                better = np.argmin(off, axis=0)
            else:
                met = (theta >= 45) & (theta <= 75) & (distance >= 7.5) & (distance <= 15)
                assert np.all(met.sum(axis=0) == 1)
                better = np.argmax(met, axis=0)
            assert [problem.answer for problem in members] == ["AB"[i] for i in better]


def test_hands_in_the_other_two_holes_are_nearest_to_60_degrees(problems):
    for numbers, members in alike(problems["who gets which hole"]):
        first, second = numbers["spacing_AB"], numbers["spacing_BC"]
        if "from_A" in numbers:
            a, c, target = opened(numbers["from_A"], numbers["from_C"], first + second)
            holes = a, a + (first / (first + second))[:, None] * (c - a), c
        else:
            holes = at(-first), at(0 * first), at(second)
            target = at(numbers.get("offset", 0.0), 0 * first, -numbers["depth"])
        *holes, target = somewhere(*holes, target)
        off = np.array([np.abs(tri.manipulation_angle(*(holes[i] for i in range(3) if i != k), target) - 60) for k in range(3)])
        ranked = np.sort(off, axis=0)
        assert np.all(ranked[1] - ranked[0] >= 4.999) and np.all(ranked[0] <= 12.001)
        assert [problem.answer for problem in members] == ["ABC"[i] for i in np.argmin(off, axis=0)]


def test_wrong_holes_are_answered_with_what_they_leave(problems):
    for problem in problems["who gets which hole"][:100]:
        for picked in set("ABC") - {problem.answer}:
            rest = " and ".join(letter for letter in "ABC" if letter != picked)
            words = problem.check(f"hole {picked}").words
            assert f"hands have {rest}" in words and re.search(r"meet at \d+ degrees", words)


def test_the_reading_to_repeat_moves_the_angle_most(problems):
    def theta(**size):
        if "left_length" in size:
            return tri.manipulation_angle(*somewhere(*opened(size["left_length"], size["right_length"], size["spacing"])))
        return tri.manipulation_angle(*somewhere(*hanging(**size)))

    for numbers, members in alike(problems["reading to repeat"]):
        size = {name: value for name, value in numbers.items() if not name.endswith("_error")}
        either = [
            [theta(**size | {name: value + way * numbers[f"{name}_error"]}) for way in (-1, 1)] for name, value in size.items()
        ]
        moved = np.abs(np.diff(either, axis=1))[:, 0]
        ranked = np.sort(moved, axis=0)
        assert np.all(ranked[-1] > 1.15 * ranked[-2])
        assert [problem.answer for problem in members] == ["ABC"[i] for i in np.argmax(moved, axis=0)]


def test_the_reading_to_repeat_is_that_of_a_tape_check(problems):
    tape = {"spacing": "port_to_port", "left_length": "left_to_target", "right_length": "right_to_target"}
    asked = [problem for problem in problems["reading to repeat"] if problem.level == 3][:40]
    for problem in asked:
        read = {tape[name]: problem.given[name] for name in tape}
        errors = {tape[name]: problem.given[f"{name}_error"] for name in tape}
        repeat = check_tape(**read, errors=errors).repeat()
        assert repeat.startswith(f"Repeat {list(tape.values())['ABC'.index(problem.answer)].replace('_', ' ')}:")


# Rules, tried on a million symmetric placements: half the angle, the length inside, and how the plane of the shafts leans.
HALF, INSIDE, TILT = (
    part.ravel() for part in np.meshgrid(np.arange(1, 90, 1.0), np.arange(0.5, 36, 0.5), np.arange(1, 91, 4.0), indexing="ij")
)


@pytest.fixture(scope="module")
def tried():
    """Measures of the placements, for both shafts."""
    lean, half = np.radians(TILT), np.radians(HALF)
    deep_by, aside = INSIDE * np.cos(half), INSIDE * np.sin(half)
    left, right = (at(side * aside, 0.0, deep_by * np.sin(lean)) for side in (-1, 1))
    target = at(0.0, deep_by * np.cos(lean), 0 * lean)
    measures = {
        "manipulation angle": tri.manipulation_angle(left, right, target),
        "port spacing": tri.port_spacing(left, right),
        "length inside": tri.inserted_length(left, target),
        "working distance": tri.working_distance((left + right) / 2, target),
        "elevation angle": tri.elevation_angle(left, target),
    }
    return {
        shaft: measures
        | {
            "inside : outside": tri.length_ratio(left, target, shaft),
            "handle separation": tri.handle_separation(left, right, target, shaft, 10),
        }
        for shaft in (33, 36)
    }


def meets(measure, words):
    """Where a rule as written is met."""
    numbers = [float(each) for each in re.findall(r"[\d.]+", words)]
    if "at least" in words:
        return measure >= numbers[0]
    if "at most" in words:
        return measure <= numbers[0]
    return (measure >= numbers[0]) & (measure <= numbers[1])


def test_the_rules_clash_and_no_fewer_of_them(problems, tried):
    for problem in problems["rules clash"]:
        shaft = int(re.search(r"(\d+) cm shafts", problem.question)[1])
        measures = tried[shaft]
        reachable = shaft > INSIDE
        met = {}
        for letter, words in problem.options.items():
            name = next(name for name in measures if words.startswith(name))
            assert f"{letter}: {words}" in problem.question
            met[letter] = meets(measures[name], words) & reachable
        assert not np.any(np.all([met[letter] for letter in problem.answer], axis=0)), problem.question
        for spared in problem.answer:
            rest = [met[letter] for letter in met if letter != spared]
            assert np.any(np.all(rest, axis=0)), f"without {spared}: {problem.question}"


# What is said to an answer


def typed(value):
    return f"{value:.2f}"


@pytest.mark.parametrize("kind", NUMERIC)
def test_right_answers_are_right_however_typed(problems, kind):
    for problem in problems[kind]:
        number = typed(problem.answer)
        units = {"cm": (" cm", "cm"), "deg": ("°", " degrees", " deg"), "": (":1",)}[problem.unit]
        for text in (number, number.replace(".", ","), f" {number} ", *(number + unit for unit in units)):
            assert problem.check(text), text
        if problem.unit == "cm":
            assert problem.check(f"{10 * problem.answer:.1f} mm")
            assert problem.check(f"{problem.answer / 100:.4f} m")
        if problem.unit == "deg":
            assert problem.check(f"{np.radians(problem.answer):.4f} rad")
            beside = problem.check(f"{np.radians(problem.answer) + 0.05:.4f}")
            assert not beside and beside.slip != "radians"
        if problem.unit == "":
            assert problem.check(f"{100 * problem.answer:.1f} %")
        for beyond in (1.05, 1.5):
            assert not problem.check(f"{problem.answer + beyond * problem.tolerance:.6f}")
            assert not problem.check(f"{problem.answer - beyond * problem.tolerance:.6f}")


def slipped(problem):
    """What common slips lead to, worked out anew: slip -> number."""
    g, answer, kind = problem.given, problem.answer, problem.kind
    one = {name: np.array([value], float) for name, value in g.items()}
    told = {}
    if problem.unit == "deg":
        told["radians"] = np.radians(answer)
    if kind == "angle" and ("inserted_length" in g or ("depth" in g and "offset" not in g)):
        told["half"] = answer / 2
    if kind == "angle" and "offset" in g:
        told["offset left out"] = tri.manipulation_angle(*hanging(one["spacing"], one["depth"]))[0]
    if kind == "angle" and "left_length" in g:
        told["wrong sign"] = 180 - answer
    if kind == "spacing" and "left_length" not in g:
        told["half"] = answer / 2
    if kind == "spacing" and "inserted_length" in g:
        told["whole angle"] = tri.port_spacing(*hinged(*[one["inserted_length"]] * 2, 2 * one["manipulation_angle"])[:2])[0]
    if kind == "spacing" and "left_length" in g:
        told["right angle"] = tri.port_spacing(*hinged(one["left_length"], one["right_length"], np.array([90.0]))[:2])[0]
    if kind == "spacing" and "camera_hole_up_panel" in g:
        told["camera hole left out"] = tri.port_spacing(*spread(one["manipulation_angle"], one["working_distance"])[:2])[0]
    if kind == "depth" and "inserted_length" in g:
        told["whole angle"] = tri.depth(*hinged(*[one["inserted_length"]] * 2, 2 * one["manipulation_angle"]))[0]
        told["calculator"] = g["inserted_length"] * np.cos(g["manipulation_angle"] / 2)
    if kind == "depth" and "offset" in g:
        told["offset left out"] = tri.depth(*deep(one["spacing"], one["manipulation_angle"]))[0]
    if kind == "depth" and "left_length" in g:
        longer = np.maximum(one["left_length"], one["right_length"])
        told["offset left out"] = tri.depth(*opened(longer, longer, one["spacing"]))[0]
    if kind == "depth" and set(g) == {"spacing", "manipulation_angle"}:
        told["whole spacing"] = 2 * answer
    if kind == "camera distance" and "inserted_length" in g and "camera_hole_up_panel" not in g:
        told["length inside"] = g["inserted_length"]
    if kind == "camera distance" and "camera_hole_up_panel" in g and "depth" in g:
        told["depth"] = g["depth"]
    if kind == "camera distance" and "left_length" in g:
        told["depth"] = tri.depth(*opened(one["left_length"], one["right_length"], one["spacing"]))[0]
    if kind == "camera distance" and {"inserted_length", "camera_hole_up_panel"} <= set(g):
        told["camera hole left out"] = tri.depth(*opened(one["inserted_length"], one["inserted_length"], one["spacing"]))[0]
    if kind == "camera distance" and "seen_width" in g:
        told["whole width"] = 2 * answer
    if "left_length" in g:  # the two shafts taken for equal ones of their mean length
        mean = (one["left_length"] + one["right_length"]) / 2
        equal = opened(mean, mean, one["spacing"]) if "spacing" in g else hinged(mean, mean, one["manipulation_angle"])
        measured = {"angle": tri.manipulation_angle, "spacing": lambda *ports: tri.port_spacing(*ports[:2])}
        told["mean"] = measured.get(kind, tri.depth)(*equal)[0]
    if kind == "azimuths":
        mirror = {"left_azimuth": "right_azimuth", "right_azimuth": "left_azimuth"}[problem.asked]
        told["left for right"] = azimuth(mirror, one)[0] if "spacing" in g else g[mirror]
    if kind == "light post":
        told["towards"] = 180 - answer
        if "aside" in g:  # the angle to the level, where that to the vertical is asked
            told["other corner"] = (0 if answer < 90 else 180) + np.degrees(np.arctan(g["target_below_shaft"] / g["aside"]))
        else:
            told["distance"] = post_turn(one | {"direction_of_view": np.array([90.0])})[0]
    if kind == "inside : outside" and problem.asked == "inserted_length":
        told["upside down"] = g["instrument_length"] - answer
    elif kind == "inside : outside":
        travel = g.get("hand_travel", 1.0)
        told["upside down"] = travel / (answer / travel)
    if kind == "inside : outside" and problem.asked == "tip_travel_per_hand_travel":
        told["handle left out"] = tri.length_ratio(at(one["inserted_length"]), at(0.0), g["instrument_length"])[0]
    if kind == "least box" and "camera_hole_fraction" in g:
        told["multiplied"] = answer * g["camera_hole_fraction"] ** 2
    if kind == "least box" and "ridge_height" in g:
        told["height for side"] = g["ridge_height"]
    if problem.asked == "lid_height":
        told["depth"] = np.hypot(answer, g["ahead"])
    return told


@pytest.mark.parametrize("kind", NUMERIC)
def test_slips_are_told_apart(problems, kind):
    seen = set()
    for problem in problems[kind]:
        slips = slipped(problem)
        assert slips, problem.question
        for name, value in slips.items():
            assert abs(value - problem.answer) >= 1.99 * problem.tolerance, "a slip would nearly pass"
            verdict = problem.check(f"{value:.3f}")
            assert (verdict.right, verdict.slip) == (False, name), (problem.question, value, verdict)
            seen.add(name)
        names = [slip.name for slip in problem.slips]
        assert len(set(names)) == len(names)
        for slip in problem.slips:
            assert problem.check(f"{slip.value:.3f}").slip == slip.name
            assert f"{problem.answer:.1f}" not in slip.words, "the answer is given away"
    assert len(seen) >= 2


@pytest.mark.parametrize("kind", NUMERIC)
def test_mm_for_cm_and_a_lost_sign(problems, kind):
    for problem in problems[kind]:
        if problem.unit == "cm":
            ten = problem.check(f"{10 * problem.answer:.1f}")
            assert (ten.right, ten.slip) == (False, "mm") and "mm?" in ten.words
            assert problem.check(f"{10 * problem.answer:.1f} cm").slip == "mm"
            assert problem.check(f"{problem.answer:.2f} mm").slip == "mm"
        assert problem.check(f"-{problem.answer:.2f}").slip in ("sign", "calculator")


NONSENSE = [
    "",
    "   ",
    "sixty",
    "6 0",
    "1.2.3",
    "15 miles",
    "nan",
    "inf",
    "1e9",
    "__import__('os')",
    "½",
    "15.6 cm cm",
    "9" * 400,
    "🙂",
]


@pytest.mark.parametrize("text", [*NONSENSE, None, 12.5, float("nan"), [1]])
@pytest.mark.parametrize("kind", KINDS)
def test_nonsense_gets_a_plain_sentence(kind, text):
    problem = make_problem(kind, 0, 1)
    verdict = problem.check(text)
    assert not verdict and not verdict.words[0].islower() and verdict.words.endswith((".", "?")) and len(verdict.words) < 160
    if text != 12.5:
        assert verdict.slip == "unread", verdict


@given(st.sampled_from(list(KINDS)), st.integers(0, 30), st.text(max_size=12))
@settings(max_examples=100)
def test_check_takes_any_text(kind, seed, text):
    verdict = make_problem(kind, seed).check(text)
    assert isinstance(verdict.words, str) and isinstance(verdict.right, bool)


@pytest.mark.parametrize(
    ("text", "words"),
    [("60 degrees", "is an angle"), ("0 cm", "too small"), ("99 cm", "too large"), ("15.6 kg", "type a length")],
)
def test_units_of_another_kind_and_how_it_errs(text, words):
    assert words in make_problem("spacing", 0, 1).check(text).words


def test_letters_however_typed(problems):
    for problem in problems["rules clash"]:
        spaced = " and ".join(problem.answer.lower())
        for text in (problem.answer, problem.answer[::-1], spaced, ", ".join(problem.answer), f"rules {spaced}"):
            assert problem.check(text), text
        assert "left out" in problem.check("".join(problem.options)).words or len(problem.options) == len(problem.answer)
        assert "letters are wanted" in problem.check(problem.answer[0]).words
    for kind in ("better placement", "reading to repeat", "who gets which hole"):
        for problem in problems[kind]:
            wrong = next(letter for letter in problem.options if letter != problem.answer)
            assert problem.check(problem.answer.lower()) and not problem.check(wrong)
            assert problem.check("AB").words == "One letter, please."
    reading = problems["reading to repeat"][0]
    assert reading.check(f"the {reading.options[reading.answer]}") or reading.check(reading.options[reading.answer])


def test_a_scope_heals_a_clash_just_where_the_lens_would_be_too_far(problems):
    """Advancing brings a tip nearer and never farther: so a low end of the working distance is not helped."""
    told = set()
    for problem in problems["rules clash"]:
        [option] = [each for letter, each in problem.options.items() if letter in problem.answer and "working" in each] or [""]
        said = [words for words in ("all of them can hold", "they clash all the same") if words in problem.solution]
        assert said == (["all of them can hold"] if "at most" in option else ["they clash all the same"] if option else [])
        told.update(said)
    assert len(told) == 2


def limits(words):
    """A rule in words as (low, high)."""
    numbers = [float(each) for each in re.findall(r"[\d.]+", words)]
    return (numbers[0], None) if "at least" in words else (None, numbers[0]) if "at most" in words else tuple(numbers)


def test_the_solution_of_a_clash_shows_what_one_side_needs_and_how_far_each_rule_gives_way(problems):
    names = ("handle separation", "manipulation angle", "length inside")  # what the steps work out, where it has a rule
    told = set()
    for problem in problems["rules clash"][:200]:
        shaft = int(re.search(r"(\d+) cm shafts", problem.question)[1])
        rules = {re.split(r" (?:at|\d)", words)[0]: limits(words) for words in problem.options.values()}
        named = dict(zip(rules, problem.options, strict=True))
        clash = {name: ends for name, ends in rules.items() if named[name] in problem.answer}
        needed = conflicts(clash, instrument_length=shaft).relaxations[next(name for name in names if name in clash)].needed
        assert round(needed, 1) in [float(each) for each in re.findall(r"\d+\.?\d*", problem.solution)], problem.solution
        for name, change in conflicts(rules, instrument_length=shaft).relaxations.items():
            assert change is None or f"{named[name]} by {round(change.by, 2 if 'outside' in name else 1):g}" in problem.solution
        assert all(f"ule {letter}" in problem.solution for letter in problem.answer)
        told.add(tuple(sorted(clash)))
    assert len(told) == 8


def test_wrong_rules_are_answered_with_what_they_allow(problems, tried):
    for problem in problems["rules clash"][:100]:
        if len(problem.options) < 4 or len(problem.answer) != 2:
            continue
        rest = "".join(letter for letter in problem.options if letter not in problem.answer)
        words = problem.check(rest).words
        assert re.search(r"can hold together, with an angle of [\d to]+ degrees", words)


# Sensible, various and the same for ever


@pytest.mark.parametrize("kind", KINDS)
def test_problems_are_sensible_and_various(problems, kind):
    every = problems[kind]
    assert {problem.level for problem in every} == set(LEVELS)
    assert len({problem.question for problem in every}) > 0.85 * SEEDS
    shapes = {re.sub(r"[\d.]+|left|right", "#", problem.question) for problem in every}
    assert len(shapes) >= 6
    for problem in every:
        assert problem.lesson == LESSONS[problem.relation] and problem.relation in RELATIONS
        assert problem.solution.endswith(f"\nSee lesson {problem.lesson[:2]}, {section_of(problem.relation)}")
        assert problem.right_answer.split(" ")[0] in problem.solution or problem.options or problem.asked.endswith("azimuth")
        assert problem.question.endswith("?") and problem.hint.endswith(".")
        for text in (problem.question, problem.hint, problem.solution):
            text.encode("cp1252")  # the letters a PDF's own fonts have
            assert "  " not in text and not re.search(r"\d\.\d{5}|nan|inf\b|np\.|\{|\}", text), text
        if not problem.options:
            assert str(round(problem.answer, 1)) not in problem.hint
            assert 0 < problem.tolerance <= max(0.06 * problem.answer, 2.5 if problem.unit == "deg" else 0.1)
    answers = [problem.answer for problem in every]
    if kind in CHOICES:
        assert all(answers.count(letter) > 0.15 * SEEDS for letter in "AB") or kind == "rules clash"
    else:
        assert all(2 < answer < 100 for answer in answers if kind in ("angle", "spacing", "depth", "camera distance"))


SUM = re.compile(r"(?:^|(?<=[:=,] )|(?<=is ))([-\d.(][-\d.()+×/² ]*?[-+×/²][-\d.()+×/² ]*?) = (-?[\d.]*\d)(?![\d.]*[²×/+])")


def test_every_sum_in_a_solution_is_right(problems):
    """What stands left of an equals sign, worked out from the rounded numbers on the page, gives what stands right of it."""
    sums = 0
    for problem in itertools.chain(*problems.values()):
        for left, right in SUM.findall(problem.solution):
            numbers = [(number, 0.5 * 10 ** -len(number.partition(".")[2])) for number in re.findall(r"\d+\.\d+|\d+", left)]
            words = re.sub(r"\d+\.\d+|\d+", "{}", left).replace("×", "*").replace("²", "**2")
            value = eval(words.format(*(number for number, _ in numbers)))
            moved = [
                eval(words.format(*(float(number) + half * (i == j) for j, (number, half) in enumerate(numbers))))
                for i in range(len(numbers))
                if "." in numbers[i][0]
            ]
            off = sum(abs(each - value) for each in moved) + 0.501 * 10 ** -len(right.partition(".")[2])
            assert value == pytest.approx(float(right), abs=off), (left, right)
            sums += 1
    assert sums > 2 * SEEDS * len(NUMERIC)


def test_a_root_that_falls_away_is_shown_and_said_why(problems):
    told = {}
    for problem in itertools.chain(*problems.values()):
        for line in problem.solution.split("\n"):
            if "roots" in line or "Two angles" in line:
                told.setdefault(problem.kind, set()).add(re.sub(r"[-\d.]+", "#", line))
                assert re.search(r"(less than 90|positive).*is ruled out", line), line
    assert {"angle", "spacing", "depth", "camera distance", "least box", "better placement"} <= set(told)


def test_solutions_are_sentences_of_at_most_30_words(problems):
    for problem in itertools.chain(*problems.values()):
        for text in (problem.question, problem.hint, *problem.solution.split("\n"), *(slip.words for slip in problem.slips)):
            for sentence in re.split(r"(?<=[.?!:;])\s+", text):
                assert len(re.findall(r"[A-Za-z]+", sentence)) <= 30, sentence
        assert "RELATIONS" not in problem.solution and "atan" not in problem.solution


def test_every_slip_has_words_and_all_words_are_of_use():
    used = {"slips"}
    for form in {form for levels in _FORMS.values() for forms in levels for form in forms}:
        with np.errstate(all="ignore"):
            drafts = [form(Draw("words", seed)) for seed in range(20)]
        for draft in drafts:
            name = draft.words or form.__name__
            said = WORDS.get(WORDS[name].get("like"), {}) | WORDS[name]
            own, shared = said.get("slips", {}), WORDS["slips"].get(draft.unit, {})
            assert set(own) <= set(draft.slips) <= set(own) | set(shared), name
            assert len(said["asks"]) >= 2 and said["hint"] and ("amiss" in said) is bool(draft.options), name
            used |= {name}
    assert used == set(WORDS)


def test_the_kind_that_the_developers_page_adds(monkeypatch):
    page = (Path(__file__).parent.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    code, words = (re.search(rf"```{kind}\n(def ridge.*?|\[ridge\].*?)```", page, re.DOTALL)[1] for kind in ("python", "toml"))
    assert len(code.splitlines()) + len(words.splitlines()) + 2 <= 25, "lines of the kind, and its two in KINDS and _FORMS"
    names = vars(lever_and_box) | {}
    exec(code, names)
    monkeypatch.setitem(WORDS, "ridge", tomllib.loads(words)["ridge"])
    monkeypatch.setitem(KINDS, "ridge", "how high the ridge is")
    monkeypatch.setitem(_FORMS, "ridge", ([names["ridge"]],) * 3)
    for seed in range(50):
        problem = make_problem("ridge", seed)
        box = WedgeBox(50, problem.given["side_a"], problem.given["side_b"])
        assert problem.answer == pytest.approx(box.bounds()[1, 2]) and problem.check(problem.right_answer)
        assert [problem.check(f"{slip.value:.2f}").slip for slip in problem.slips] == ["base", "shorter side"]
        assert [shape.text for shape in problem.figure.contents if hasattr(shape, "text")].count("?") == 1


def test_every_lesson_named_is_one():
    lessons = {path.stem for path in (Path(__file__).parent.parent / "notebooks").glob("*.ipynb")}
    assert set(LESSONS.values()) <= lessons


def stored():
    with open(STORED, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def as_stored(problem):
    answer = problem.answer if problem.options else f"{problem.answer:.4f}"
    return {
        "kind": problem.kind,
        "seed": str(problem.seed),
        "level": str(problem.level),
        "answer": answer,
        "tolerance": "" if problem.options else f"{problem.tolerance:g}",
        "question": problem.question,
    }


def test_the_same_seed_gives_the_same_problem_for_ever():
    for row in stored():
        assert as_stored(make_problem(row["kind"], int(row["seed"]), int(row["level"]))) == row


def test_every_form_of_question_is_among_those_kept_for_ever(problems):
    def forms(made):
        return {(each.kind, each.level, each.relation, each.asked, tuple(each.given)) for each in made}

    kept = [make_problem(row["kind"], int(row["seed"]), int(row["level"])) for row in stored()]
    assert len(kept) >= 10 * len(KINDS)
    assert forms(each for every in problems.values() for each in every) == forms(kept)


def test_a_problem_is_made_again_from_what_it_says():
    for problem in make_problems(20, seed=5):
        again = make_problem(problem.kind, problem.seed, problem.level)
        assert again == problem and str(again) == problem.question
    assert make_problem("angle", 3) == make_problem("angle", np.int64(3), make_problem("angle", 3).level)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("angles", 0), r"give one of angle, spacing.*\(kind\)"),
        (("angle", -1), r"-1 cannot be used; give a whole number of at least 0 \(seed\)"),
        (("angle", 1.5), r"give a whole number.*\(seed\)"),
        (("angle", True), r"give a whole number.*\(seed\)"),
        (("angle", 0, 4), r"4 cannot be used; give 1, 2 or 3, or None for any \(level\)"),
        (("angle", 0, True), r"give 1, 2 or 3.*\(level\)"),
        ((["angle"], 0), r"give one of.*\(kind\)"),
    ],
)
def test_bad_arguments_are_refused(arguments, message):
    with pytest.raises(ValueError, match=message):
        make_problem(*arguments)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ({"n": 0}, r"0 cannot be used; give a whole number from 1 to 200 \(n\)"),
        ({"n": 500}, r"give a whole number from 1 to 200.*\(n\)"),
        ({"n": "many"}, r"give a whole number.*\(n\)"),
        ({"kinds": ["angle", "torsion"]}, r"'torsion' cannot be used; give some of .* \(kinds\)"),
        ({"kinds": []}, r"give some of.*\(kinds\)"),
        ({"kinds": 5}, r"5 cannot be used; give some of .* \(kinds\)"),
        ({"kinds": [["angle"]]}, r"give some of.*\(kinds\)"),
        ({"level": 0}, r"give 1, 2 or 3.*\(level\)"),
    ],
)
def test_bad_sheets_are_refused(arguments, message, tmp_path):
    with pytest.raises(ValueError, match=message):
        make_problems(**arguments)
    with pytest.raises(ValueError, match=message):
        write_sheet(tmp_path / "sheet.pdf", **arguments)
    assert not list(tmp_path.iterdir())


def test_a_sheet_has_every_kind_and_rising_levels():
    problems = make_problems(2 * len(KINDS), seed=4)
    kinds = [problem.kind for problem in problems]
    assert kinds.count("angle") == 2 and set(kinds[: len(KINDS)]) == set(KINDS)
    levels = [problem.level for problem in problems]
    assert levels == sorted(levels) and set(levels) == set(LEVELS)
    assert {problem.level for problem in make_problems(5, seed=4, level=2)} == {2}
    assert {problem.kind for problem in make_problems(5, kinds="angle")} == {"angle"}
    assert (
        [p.question for p in make_problems(2 * len(KINDS), seed=4)]
        == [p.question for p in problems]
        != [p.question for p in make_problems(2 * len(KINDS), seed=5)]
    )


# The figures


@pytest.mark.parametrize("kind", KINDS)
def test_figures_are_black_and_white_whole_and_to_scale(problems, kind):
    for problem in problems[kind][:60]:
        drawing = problem.figure
        words = [shape.text for shape in drawing.contents if hasattr(shape, "text")]
        if kind in CHOICES:
            assert "?" not in words
        else:
            assert words.count("?") == 1
        for shape in drawing.contents:
            left, low, right, high = shape.getBounds()
            assert left >= -0.6 and low >= -0.6 and right <= WIDTH + 0.6 and high <= HEIGHT + 0.6, (problem.question, shape)
            for colour in (getattr(shape, "strokeColor", None), getattr(shape, "fillColor", None)):
                assert colour is None or colour.red == colour.green == colour.blue
        if "names only, not to scale" in words or "angles to scale" in words:
            continue
        bar = next(shape for shape in drawing.contents)
        assert words[0] == "5 cm" and bar.y1 == bar.y2
        scale = (bar.x2 - bar.x1) / 5
        shafts = [shape for shape in drawing.contents if getattr(shape, "strokeWidth", 0) == 2.2 and len(shape.points) == 4]
        lengths = [np.hypot(*(np.array(shape.points[2:]) - shape.points[:2])) / scale for shape in shafts]
        if len(shafts) == 2:  # the left one whole, the right one dashed
            left, right = sorted(shafts, key=lambda shape: shape.points[0])
            assert left.strokeDashArray is None and right.strokeDashArray, problem.question
        assert drawn_to_scale(problem, lengths), (problem.question, lengths)


@pytest.mark.parametrize("kind", KINDS)
def test_no_words_lie_on_others(problems, kind):
    for problem in problems[kind][: draws(100, SEEDS)]:
        boxes = np.array(
            [
                (
                    shape.x,
                    shape.y,
                    shape.x + stringWidth(shape.text, shape.fontName, shape.fontSize),
                    shape.y + 0.68 * shape.fontSize,
                )
                for shape in problem.figure.contents
                if hasattr(shape, "text")
            ]
        )
        low, high = boxes[:, None, :2], boxes[:, None, 2:]
        over = np.all((low < boxes[:, 2:]) & (boxes[:, :2] < high), axis=-1)
        assert over.sum() == len(boxes), problem.question


def drawn_to_scale(problem, lengths):
    """Whether the shafts in the figure are as long as in the problem."""
    g = problem.given
    wanted = [g[name] for name in g if "length" in name and "instrument" not in name and "error" not in name]
    if problem.kind == "inside : outside":
        return any(length == pytest.approx(g["instrument_length"], rel=1e-6) for length in lengths)
    return all(any(length == pytest.approx(one, rel=1e-6) for length in lengths) for one in wanted)


def test_a_notebook_shows_question_and_figure():
    page = BeautifulSoup(make_problem("angle", 3, 1)._repr_html_(), "html.parser")
    assert make_problem("angle", 3, 1).question in page.get_text() and "angle" in page.svg["aria-label"]


@pytest.mark.parametrize("kind", KINDS)
def test_a_figure_in_a_notebook_has_the_colours_of_the_page(kind):
    page = BeautifulSoup(make_problem(kind, 0)._repr_html_(), "html.parser")
    for each in page.svg.find_all(style=True):
        for colour in re.findall(r"(?:fill|stroke): ?([^;]+)", each["style"]):
            assert re.fullmatch(r"none|None|var\(--space-(ink|grey|paper), \S+\)", colour)
    assert "background: var(--space-paper, white)" in page.svg["style"]


# Sheets, read back


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    return write_sheet(tmp_path_factory.mktemp("sheets") / "evening.pdf", n=20, seed=2)


def plain(text):
    return re.sub(r"\s+", " ", text.replace("\xa0", " "))


def test_a_printed_sheet_reads_back(written):
    problems = make_problems(20, seed=2)
    with pdfplumber.open(written) as pdf:
        assert all(abs(page.width - 595.28) < 0.1 and abs(page.height - 841.89) < 0.1 for page in pdf.pages)  # A4
        left_half = [plain(page.crop((0, 0, 350, page.height)).extract_text()) for page in pdf.pages]
        texts = [plain(page.extract_text()) for page in pdf.pages]
        for page in pdf.pages:
            for each in (*page.lines, *page.rects, *page.curves, *page.chars):
                for ink in (each.get("stroking_color"), each.get("non_stroking_color")):
                    assert ink is None or len(set(ink)) == 1, "colour"
                assert each["x0"] >= 30 and each["x1"] <= page.width - 30 and each["top"] >= 20
    first_answer = next(i for i, text in enumerate(texts) if "Port placement: answers" in text)
    for number, problem in enumerate(problems, 1):
        where = [i for i, text in enumerate(left_half[:first_answer]) if plain(problem.question) in text]
        assert len(where) == 1, f"question {number} is not whole on one page"
        assert not any(plain(problem.question) in text for text in left_half[first_answer:])
        [key] = [
            text for text in texts[first_answer:] if re.search(rf"(^| ){number}\. {re.escape(problem.right_answer)}", text)
        ]
        for line in problem.solution.split("\n"):
            assert plain(line) in key, line
        assert not any(line in text for text in texts[:first_answer] for line in problem.solution.split("\n"))
    assert all(FOR_EDUCATION in text for text in texts)


def test_a_sheet_for_a_class_has_no_answers(tmp_path):
    path = write_sheet(tmp_path / "class.pdf", n=4, seed=2, answers=False)
    text = "".join(texts(path))
    assert "answers" not in text and "See lesson" not in text


def test_a_sheet_is_written_whole_or_not_at_all(tmp_path, monkeypatch):
    path = write_sheet(tmp_path / "a.pdf", n=2)
    before = path.read_bytes()
    assert write_sheet(path, n=2, overwrite=True).read_bytes() == before, "the same sheet, byte for byte"
    with pytest.raises(ValueError, match="exists"):
        write_sheet(path, n=3)
    monkeypatch.setattr(Problem, "figure", property(lambda self: 1 / 0))
    with pytest.raises(ZeroDivisionError):
        write_sheet(path, n=3, overwrite=True)
    assert path.read_bytes() == before and list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("name", ["sheet", "sheet.docx", "sheet.html", "sheet.pdf.txt"])
def test_other_endings_are_refused(tmp_path, name):
    with pytest.raises(ValueError, match=r"cannot be used; give a name that ends in \.pdf \(path\)"):
        write_sheet(tmp_path / name, n=2)


@pytest.mark.parametrize("seed", [185, 252])
def test_rules_that_can_all_hold_are_drawn_anew(seed):
    assert len(make_problem("rules clash", seed, 3).answer) >= 2  # the first draw of each clashes nowhere

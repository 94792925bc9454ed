"""What a form of question comes to: numbers drawn, slips worked out; weighed, and put into the words of `words.toml`."""

import tomllib
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import combinations
from math import ceil, degrees, radians
from pathlib import Path

import numpy as np

from ergokit.problems import figure
from ergokit.problems.problem import Problem, Slip, place_of
from ergokit.relations import RELATIONS

#: What is said in each form of question; the file's first lines say how.
WORDS = tomllib.loads((Path(__file__).parent / "words.toml").read_text(encoding="utf-8"))
LETTERS = "ABCD"

_UNITS = dict.fromkeys(("manipulation_angle", "left_azimuth", "right_azimuth", "post_turn"), "deg")
_UNITS |= dict.fromkeys(("length_ratio", "tip_travel_per_hand_travel", ""), "")  # any other answer is a length in cm
_LEAST = {"cm": 0.1, "deg": 1.0, "": 0.02}  # a reader rounds so far
_MOST = {"cm": (0.04, 0.0), "deg": (0.0, 2.5), "": (0.06, 0.0)}  # a share of the answer, and what is allowed besides
_STEP = {"cm": 0.1, "deg": 0.5, "": 0.01}
_CLEAR = 2  # tolerances between the answer and what a slip leads to, and between two slips


@dataclass
class Draft:
    """The numbers of a problem, before it is weighed and put into words.

    `solve(**given)` takes arrays; without it the relation is evaluated for the quantity `asked`.
    """

    relation: str
    given: dict  # name -> Reading
    asked: str = ""
    words: str = ""  # the form in whose words it is put, unless the form that drew it
    solve: Callable | None = None
    sensible: tuple = (-np.inf, np.inf)  # where the answer may lie
    fit: bool = True  # whether the numbers drawn are worth asking about
    slips: dict = field(default_factory=dict)  # name -> what the slip leads to
    working: dict = field(default_factory=dict)  # name -> what else the words name or the picture shows
    phrases: dict = field(default_factory=dict)  # name -> which phrase of its words is said there, or none
    each: dict = field(default_factory=dict)  # the same for A, B and so on, where several things are told in the same words
    picture: Callable = figure.triangle  # of all measures, by name, and of what is written at them
    answer: str = ""  # the letters of a choice
    options: dict | None = None
    amiss: Callable | None = None  # letters that are wrong -> what is said then, and what it names besides

    @property
    def unit(self):
        return _UNITS.get(self.asked, "cm")


def weighed(kind, seed, level, form, draft, draw):
    """The `Problem` of a draft; None where its numbers are not sensible or a slip would pass for the answer."""
    said = WORDS[draft.words or form]
    ask = draw.among(said["asks"])  # also for what is thrown away: what is drawn next stays what it was
    judged = draft.fit and ((draft.answer, None, {}) if draft.options else _judged(draft))
    if not judged:
        return None
    answer, tolerance, slips = judged
    said = WORDS.get(said.get("like"), {}) | said
    names = _named(draft, said, answer)

    def say(words, **more):
        return words.format_map(names | more)

    def amiss(picked):
        what, more = draft.amiss(picked)
        return say(said["amiss"][what], picked=picked, **more)

    told = WORDS["slips"].get(draft.unit, {}) | said.get("slips", {})
    relation = draft.relation
    return Problem(
        kind=kind,
        seed=seed,
        level=level,
        question=" ".join(map(say, filter(None, (ask, said.get("close"))))),
        answer=answer,
        unit=draft.unit,
        tolerance=tolerance,
        hint=said["hint"],
        solution="\n".join([*map(say, said["steps"]), f"See {place_of(relation)}"]),
        relation=relation,
        given={name: float(reading) for name, reading in draft.given.items()},
        steps={name: reading.step for name, reading in draft.given.items()},
        asked=draft.asked,
        options=draft.options or {},
        slips=tuple(Slip(name, float(value), say(told[name])) for name, value in slips.items()),
        _picture=lambda: draft.picture(
            draft.given | draft.working | {draft.asked: answer}, figure.labels(draft.given, draft.asked)
        ),
        _amiss=amiss,
    )


def by(relation, wanted):
    """A `solve` that evaluates a relation for the quantity wanted; where it has two solutions, the larger."""

    def solve(**given):
        found = RELATIONS[relation].evaluate(wanted, **given)
        return np.fmax(*found) if isinstance(found, tuple) else found

    return solve


def sine(angle):
    return np.sin(np.radians(angle))


def cosine(angle):
    return np.cos(np.radians(angle))


def tangent(angle):
    return np.tan(np.radians(angle))


def arcsine(value):
    return np.degrees(np.arcsin(value))


def arccosine(value):
    return np.degrees(np.arccos(value))


def arctangent(value):
    return np.degrees(np.arctan(value))


def ways_from_foot(depth, **ways):
    """Ways along the port line from the foot of a target, and the tangent and the turn of each, in degrees."""
    found = dict(ways)
    for name, way in ways.items():
        found |= {f"{name}_tangent": way / depth, f"{name}_turn": arctangent(way / depth)}
    return found


def in_radians(function, angle):
    """What a calculator set to radians gives for an angle typed in degrees."""
    return function(degrees(angle))


def _judged(draft):
    """Answer, tolerance and slips; None where the answer is not sensible or a slip comes near it or another."""
    answer, spread = _answer(draft)
    low, high = draft.sensible
    if not low <= answer <= high:  # also where there is no answer, NaN
        return None
    step, least, (share, besides) = _STEP[draft.unit], _LEAST[draft.unit], _MOST[draft.unit]
    tolerance = round(step * ceil(max(least, spread) / step - 1e-9), 9)
    if tolerance > max(least, share * answer + besides):
        return None
    slips = draft.slips | ({"radians": radians(answer)} if draft.unit == "deg" else {})
    wrong_unit = (10 * answer, answer / 10) if draft.unit == "cm" else ()
    if any(abs(slip - one) <= tolerance * max(1, one / answer) for slip in slips.values() for one in wrong_unit):
        return None
    apart = all(abs(one - other) >= _CLEAR * tolerance for one, other in combinations((answer, *slips.values()), 2))
    return (answer, tolerance, slips) if apart else None


def _answer(draft):
    """The answer, and how far the rounding of what is given can have moved it."""
    values = np.array(list(draft.given.values()))
    halves = np.diag([reading.step / 2 for reading in draft.given.values()])
    rows = np.vstack([values, values + halves])
    solve = draft.solve or by(draft.relation, draft.asked)
    found = solve(**dict(zip(draft.given, rows.T, strict=True)))
    return float(found[0]), float(np.sum(np.abs(found[1:] - found[0])))


def _named(draft, said, answer):
    """What the words may name."""
    names = _with_halves(draft.given | {"answer": answer})
    for name in {"offset", "camera"} & set(draft.given):
        names |= {name: abs(names[name]), f"{name}_side": "right" if names[name] > 0 else "left"}
    names |= draft.working | {"typed": "{typed}"}
    rows = [dict(zip(draft.each, row, strict=True)) for row in zip(*draft.each.values(), strict=True)]
    told = [names | _with_halves(one) | {"letter": letter} for letter, one in zip(LETTERS, rows, strict=False)]
    names["each"] = "; ".join(said["each"].format_map(one) for one in told if "each" in said)
    names["ways"] = "\n".join(said["way"].format_map(one) for one in told if "way" in said)
    return names | {name: said[phrase].format_map(names) if phrase else "" for name, phrase in draft.phrases.items()}


def _with_halves(numbers):
    return numbers | {f"half_{name}": value / 2 for name, value in numbers.items() if isinstance(value, float)}

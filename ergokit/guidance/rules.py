"""Rules for port placement that cannot all hold: which of them clash, by what closed form, and what restores agreement.

The placement is symmetric: level ports on a panel, the target under the operator's midline, the camera on that midline. It
has three unknowns: half the manipulation angle a = theta/2, the length inside L and the tilt tau of the instruments' plane.
Every length a rule can name is L times a shape of a, or is turned into one of these first:

    depth h = L cos(a)      length inside L      port spacing s = 2 L sin(a)      chord to the camera port c = 2 L sin(a/2)

In this order each shape over an earlier one grows with a. So a low end of one length and a high end of another agree just
on one side of the a at which the two are equal, which is a closed form; elevation and azimuth bound a in the same way,
through sin(eps) = sin(tau) cos(a) and sin(a) = cos(eps) sin(alpha). What all rules allow is therefore one interval of a; a
clash is a lower end above an upper one, each set by at most two rules, and nothing has to be searched for.

A scope has a port and a tip. The port takes the lens's place in these forms; the tip slides along the line from port to
target, so a working distance d can be had wherever the port is d or more from the target, by less than the scope's length.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from math import acos, asin, atan, cos, degrees, dist, hypot, inf, nextafter, pi, radians, sin, sqrt, tan
from typing import NamedTuple

from ergokit._check import lengths, one, one_word, refused, some_words
from ergokit._types import Rules
from ergokit.guidance.cautions import CAUTION
from ergokit.guidance.quantities import TIE, figure, named_in, ranges, rule_in_words, unit_of
from ergokit.placement import Placement
from ergokit.terms import with_entries_in_list
from ergokit.view import Scope

_AZIMUTH = "azimuth angle, working plane"
_OPEN = 1e-6  # a limit that can be approached and not attained is kept this far away
_NOWHERE = -1.0  # an upper end of a that no angle is under
_FREE = (-inf, inf)

_SHAPES = {"h": cos, "L": lambda a: 1.0, "s": lambda a: 2 * sin(a), "c": lambda a: 2 * sin(a / 2)}
_ORDER = "hLsc"
# The a at which the second shape over the first is q > 0; 0 where q is too small, 90 degrees or more where it is too large.
_CROSSINGS = {
    "hL": (lambda q: acos(min(1.0, 1 / q)), "cos(θ/2) = h/L"),
    "hs": (lambda q: atan(q / 2), "tan(θ/2) = s/(2h)"),
    "hc": (lambda q: 2 * asin(q / (1 + sqrt(1 + 2 * q * q))), "2 sin(θ/4)/cos(θ/2) = c/h"),
    "Ls": (lambda q: asin(min(1.0, q / 2)), "sin(θ/2) = s/(2L)"),
    "Lc": (lambda q: 2 * asin(min(1.0, q / 2)), "sin(θ/4) = c/(2L)"),
    "sc": (lambda q: 2 * acos(min(1.0, 1 / (2 * q))), "cos(θ/4) = s/(2c)"),
}

_E_LOW, _E_HIGH = (("elevation angle", "low"),), (("elevation angle", "high"),)
_A_LOW, _A_HIGH, _A_ANY = ((_AZIMUTH, "low"),), ((_AZIMUTH, "high"),), ((_AZIMUTH, "any"),)


class Relaxation(NamedTuple):
    """The least change of one rule that lets all of them hold: its `end` ("low" or "high") from `given` to `needed`."""

    quantity: str
    end: str
    given: float
    needed: float

    @property
    def by(self) -> float:
        """How far the end has to move."""
        return abs(self.needed - self.given)

    def __str__(self):
        unit, given = unit_of(self.quantity), figure(self.given, self.quantity)
        needed, by = (figure(each, self.quantity, decimals=1) for each in (self.needed, self.by))
        if not float(by):
            return f"{self.quantity}: {self.end} end from {given}{unit} to just {'below' if self.end == 'low' else 'above'} it"
        return f"{self.quantity}: {self.end} end from {given} to {needed}{unit}, by {by}{unit}"


class Clash(NamedTuple):
    """A smallest set of rules that cannot hold together, the closed form that says so, and the same in words."""

    rules: tuple[str, ...]
    form: str
    words: str


@dataclass(frozen=True, eq=False, repr=False)
class Conflicts:
    """What `conflicts` found about `rules`.

    problem
        the rules' setting: the instruments and the place of the camera
    feasible
        whether all can hold at once
    placement
        if so, the one with the most room, a `Placement`; its camera is a `Scope` where a scope was asked for
    room
        if so, the share by which every range can shrink towards its middle; a limit on one side counts as a range that
        ends where the other rules end it, and a ratio inside : outside that nothing ends rises by that share of itself
    ranges
        if so, what each quantity can be: name -> (low, high), or None where it is not defined
    clashes
        if not, the smallest sets of rules that clash
    relaxations
        if not, for each rule in a clash its smallest change that lets all rules hold, or None if no such change exists
    """

    rules: dict[str, tuple[float, float]]
    problem: _Problem
    feasible: bool
    placement: Placement | None = None
    room: float | None = None
    ranges: dict[str, tuple[float, float] | None] | None = None
    clashes: tuple[Clash, ...] = ()
    relaxations: dict[str, Relaxation | None] | None = None

    def allowed(self, quantity: str, names: Collection[str] | None = None) -> tuple[float, float] | None:
        """What the rules with these names, all unless given, leave of a quantity: (low, high), or None where they clash.

        Two rules that agree one by one with a third may clash with it together:

        >>> result = conflicts({"manipulation angle": 60, "port spacing": 20, "working distance": (7.5, 15)})
        >>> low, high = result.allowed("working distance", ["manipulation angle", "port spacing"])
        >>> round(low, 2), round(high, 2)
        (17.32, 17.32)
        """
        one_word("quantity", quantity, named_in("conflicts"))
        takes = f"some of these rules, {', '.join(self.rules)}"
        names = list(self.rules) if names is None else some_words("names", names, self.rules, takes)
        return self.problem.span(quantity, {quantity: _FREE} | {name: self.rules[name] for name in names})

    @property
    def sentence(self) -> str:
        """Whether the rules can all hold, and for which camera and instruments.

        >>> conflicts({"port spacing": 20, "length inside": (12, None)}).sentence
        'These rules can all hold, with the lens fixed at the wall, at the middle of the port line, and instruments of 36 cm.'
        """
        return f"{self._verdict}, with {self.problem.setting}."

    @property
    def _verdict(self):
        return f"These rules {'can' if self.feasible else 'cannot'} all hold"

    def __repr__(self):
        return "\n".join(self._lines("", "", "  "))

    def _repr_markdown_(self):
        return with_entries_in_list("\n".join(self._lines("\n", "**", "- ")))

    def _lines(self, gap, strong, item):
        yield f"{strong}{self._verdict}{strong}, with {self.problem.setting}:{gap}"
        yield from (f"{item}{rule_in_words(name, *ends)}" for name, ends in self.rules.items())
        if self.feasible:
            yield f"{gap}While they all hold:{gap}"
            for name, ends in self.ranges.items():
                yield f"{item}{rule_in_words(name, *ends, decimals=1) if ends else f'{name} not defined'}"
            p = self.placement
            points = {"left port": p.left_port, "right port": p.right_port, "target": p.target, "camera": p.camera}
            if p.scope is not None:
                points |= {"camera": p.camera_hole, "tip": p.camera}
            places = ", ".join(f"{name} ({', '.join(f'{x + 0:.1f}' for x in at)})" for name, at in points.items())
            yield f"{gap}Most room, {100 * self.room:.0f} percent of each range: {places} cm."
        else:
            yield f"{gap}Clashes:{gap}"
            yield from (f"{item}{clash.words}" for clash in self.clashes)
            yield f"{gap}The smallest change of one rule that lets all of them hold:{gap}"
            yield from (
                f"{item}{change or f'{name}: no change of this rule alone is enough'}"
                for name, change in self.relaxations.items()
            )
        yield f"{gap}{CAUTION}"


def conflicts(
    rules: Rules,
    instrument_length: float = 36,
    handle_reach: float = 10,
    camera_hole: float = 0,
    camera: str = "panel",
    scope_length: float = 33,
) -> Conflicts:
    """Whether rules for a symmetric placement can all hold; if not, which clash, and which change lets them: `Conflicts`.

    rules
        a mapping from quantity to (low, high), None where there is no limit on that side, or to one number. In cm and
        degrees: manipulation angle, port spacing, length inside, depth, working distance, inside : outside, handle separation,
        elevation angle (of the shafts), azimuth angle, working plane (half the angle seen from above; 90 is a limit at an
        upright plane, not attained), chord to camera port (from a working port to a camera port on the same arc about the
        target)
    instrument_length, handle_reach
        in cm; a shaft must reach the target, whatever the rules
    camera_hole
        how far up the panel from the port line the lens of a flat-lying phone is, or the port of a scope that goes in square
        to the panel, in cm: it is sqrt(h^2 - camera_hole^2) from the target
    camera
        ``"panel"`` for a lens fixed at the panel; ``"arc"`` for one as far from the target as the ports, d = L; ``"scope"`` for
        a 0 degree scope in that hole, whose tip can be slid to any distance up to the port's
    scope_length
        of the scope's shaft, in cm: how far its tip goes in. 33 unless given; 30 to 33 are usual (common practice, no source)

    The answer is exact, from closed forms of the triangle; a value within 1e-9 of a limit counts as met.
    ValueError for a bad argument.

    >>> result = conflicts({"manipulation angle": 60, "port spacing": 20, "working distance": (7.5, 15)})
    >>> result.feasible, result.clashes[0].form
    (False, 'tan(θ/2) = s/(2h); h = d')
    >>> print(result.relaxations["working distance"])
    working distance: high end from 15 to 17.3 cm, by 2.3 cm

    A lens at the wall cannot hold these three; a scope is advanced by those 2.3 cm:

    >>> conflicts(result.rules, camera="scope").feasible
    True
    """
    rules = ranges(rules, named_in("conflicts"))
    if not rules:
        raise refused("rules", "a mapping from quantity to low and high end", rules)
    problem = _Problem(
        rules,
        one("instrument_length", instrument_length, lengths),
        one("handle_reach", handle_reach, lengths, zero=True),
        one("camera_hole", camera_hole, lengths, zero=True),
        camera,
        one("scope_length", scope_length, lengths),
    )
    clashes = _clashes(*problem.bounds(rules), rules)
    if clashes:
        involved = [name for name in rules if any(name in clash.rules for clash in clashes)]
        relaxations = {name: problem.relaxation(name, rules) for name in involved}
        return Conflicts(rules, problem, False, clashes=clashes, relaxations=relaxations)
    spans = {name: problem.span(name, {name: _FREE} | rules) for name in named_in("conflicts")}
    closed = {name: _closed(*ends, *spans[name]) for name, ends in rules.items()}
    room = problem.room(closed)
    placement = problem.placement(_shrunk(closed, room))
    return Conflicts(rules, problem, True, placement, room, spans)


class _Limit(NamedTuple):
    """One end of a length: `value` of the shape `shape`, set by the rules' `ends` through `form`."""

    shape: str
    value: float
    ends: tuple
    form: str


class _Bound(NamedTuple):
    """One end of the interval of a, in radians, set by the rules' `ends` through the closed forms `forms`."""

    a: float
    ends: tuple
    forms: tuple


class _Problem:
    """What rules make of a and L and tau, for given instruments and a given place of the camera."""

    def __init__(self, rules, instrument_length, handle_reach, camera_hole, camera, scope_length):
        one_word("camera", camera, ("panel", "arc", "scope"), "'panel', 'arc' or 'scope'")
        if camera == "arc" and camera_hole:
            raise refused("camera_hole", "0 cm for a camera on the arc", camera_hole)
        if camera_hole + 0.001 > instrument_length:
            raise refused("camera_hole", f"less than the instrument_length of {instrument_length:g} cm", camera_hole)
        self.shaft, self.reach = instrument_length, handle_reach
        self.hands = 2 * (instrument_length + handle_reach)  # how far apart both hands are at θ = 180
        self.camera_hole, self.on_arc, self.with_scope = camera_hole, camera == "arc", camera == "scope"
        self.slide = scope_length if self.with_scope else 0.0  # how far the tip can be nearer to the target than its port
        place = f"{camera_hole:g} cm up from the port line" if camera_hole else "at the middle of the port line"
        if self.on_arc:
            where, distance = "the lens fixed at the wall, as far from the target as the ports", ("L", float, float, "L = d")
        elif camera_hole:
            where = f"a phone flat on the panel {place}"
            distance = (
                "h",
                lambda d: hypot(d, camera_hole),
                lambda h: sqrt(max(0.0, (h - camera_hole) * (h + camera_hole))),
                "h² = d² + k²",
            )
        else:
            where, distance = f"the lens fixed at the wall, {place}", ("h", float, float, "h = d")
        if self.with_scope:
            port = f"{place}, square to the panel" if camera_hole else place
            where = f"a 0 degree scope of {scope_length:g} cm in a port {port}, slid in as far as needed"
            *turned, form = distance
            distance = (*turned, f"{form.replace('d', 'D')}, D - {scope_length:g} ≤ d ≤ D")
        self.setting = f"{where}, and instruments of {instrument_length:g} cm"
        #: For each length: its shape, into and out of the shape's value, and the form that does it.
        self.lengths = {
            "port spacing": ("s", float, float, ""),
            "length inside": ("L", float, float, ""),
            "depth": ("h", float, float, ""),
            "chord to camera port": ("c", float, float, ""),
            "working distance": distance,
            "inside : outside": ("L", self._inside, self._ratio, "L = S r/(1 + r)"),
        }
        near_0 = {self.lengths[name][0] for name, (_, high) in rules.items() if name in self.lengths and high < 2 * _OPEN}
        #: Of other lengths θ > 0 says as much.
        self.above_0 = [_Limit(shape, _OPEN, (), f"{shape} > 0") for shape in _ORDER if shape in near_0 | {"L"}]

    def _inside(self, ratio):
        return self.shaft * ratio / (1 + ratio)

    def _ratio(self, inside):
        outside = self.shaft - inside
        return inside / outside if outside > 2 * _OPEN else inf

    def bounds(self, rules, tie=TIE, only=lambda limits, pick: limits) -> tuple[list[_Bound], list[_Bound]]:
        """Every lower and every upper end that the rules set to a, or that `only` some limits of lengths set."""
        lower, upper = self._angle_bounds(rules, tie)
        lows, highs = self._limits(rules, tie)
        _add_crossings(only(lows, max), only(highs, min), lower, upper)
        return lower, upper

    def interval(self, rules, tie=TIE):
        """The least and the most a that the rules allow; the least lies above the most where they clash."""
        lower, upper = self.bounds(rules, tie, _tightest)
        return max(bound.a for bound in lower), min(bound.a for bound in upper)

    def _limits(self, rules, tie):
        """The low and the high ends of lengths; no length is 0, and L < S and h > k hold without a rule."""
        lows, highs = [*self.above_0], [_Limit("L", self.shaft - _OPEN, (), "L < S")]
        if self.camera_hole:
            nearest = max(hypot(self.camera_hole, _OPEN), nextafter(self.camera_hole, inf))  # d > 0
            lows.append(_Limit("h", nearest, (), "h > k"))
        for name, (shape, turned, _, form) in self.lengths.items():
            low, high = rules.get(name, _FREE)
            if name == "working distance":
                high += self.slide
            if low > tie:
                lows.append(_Limit(shape, turned(low - tie), ((name, "low"),), form))
            if high < inf:
                highs.append(_Limit(shape, turned(max(high + tie, 0.0)), ((name, "high"),), form))
        return lows, highs

    def _angle_bounds(self, rules, tie):
        lower = [_Bound(radians(_OPEN), (), ("θ > 0",))]
        upper = [_Bound(pi / 2 - radians(_OPEN), (), ("θ < 180",))]
        for name, half, form in (
            ("manipulation angle", lambda theta: radians(theta) / 2, ""),
            ("handle separation", lambda w: asin(max(-1.0, min(1.0, w / self.hands))), "sin(θ/2) = w/(2(S + H))"),
        ):
            low, high = rules.get(name, _FREE)
            if low > -inf:
                lower.append(_Bound(half(low - tie), ((name, "low"),), (form,)))
            if high < inf:
                upper.append(_Bound(half(high + tie), ((name, "high"),), (form,)))
        if self.with_scope and rules.get("working distance", _FREE)[1] + tie < _OPEN:
            upper.append(_Bound(_NOWHERE, (("working distance", "high"),), ("d > 0",)))
        e_low, e_high = rules.get("elevation angle", _FREE)
        if e_low > 0:
            upper.append(_Bound(radians(90 - e_low + tie), _E_LOW, ("θ ≤ 180 - 2 ε",)))
        if e_high + tie < 0:
            upper.append(_Bound(_NOWHERE, _E_HIGH, ("ε ≥ 0",)))
        if _AZIMUTH in rules:
            self._azimuth_bounds(e_low, e_high, *rules[_AZIMUTH], tie, lower, upper)
        return lower, upper

    def _azimuth_bounds(self, e_low, e_high, a_low, a_high, tie, lower, upper):
        bounded = a_high < 90 - _OPEN
        if bounded:
            upper.append(_Bound(radians(a_high + tie), _A_HIGH, ("θ ≤ 2 α",)))
        if a_low > 90 - _OPEN:
            upper.append(_Bound(_NOWHERE, _A_LOW, ("α < 90",)))
        elif a_low > 0 and e_high < 90:
            least = asin(cos(radians(max(e_high + tie, 0.0))) * sin(radians(a_low - tie)))
            lower.append(_Bound(least, _E_HIGH + _A_LOW, ("sin(θ/2) = cos ε sin α",)))
        if e_low > 0:  # an upright plane, where θ = 180 - 2 ε, has no azimuth
            upright = radians(90 - e_low - _OPEN)
            upper.append(_Bound(upright, _E_LOW + _A_ANY, ("θ < 180 - 2 ε where α is defined",)))
            if bounded:
                most = asin(cos(radians(e_low - tie)) * sin(radians(a_high + tie)))
                upper.append(_Bound(min(most, upright), _E_LOW + _A_HIGH, ("sin(θ/2) = cos ε sin α",)))

    def span(self, name, rules):
        """What a quantity can be while the rules hold, as (low, high); None where they clash."""
        for tie in (0.0, TIE):  # the tie widens the answer only where nothing holds without it
            least, most = self.interval(rules, tie)
            if least <= most:
                return tuple(sorted(self._span(name, rules, tie, least, most)))
        return None

    def _span(self, name, rules, tie, least, most):
        if name == "manipulation angle":
            return degrees(2 * least), degrees(2 * most)
        if name == "handle separation":
            return self.hands * sin(least), self.hands * sin(most)
        if name not in self.lengths:
            return _lean(name, rules, least, most)
        letter, _, back, _ = self.lengths[name]
        shape = _SHAPES[letter]
        lows, highs = self._limits(rules, tie)
        lows, highs = _tightest(lows, max), _tightest(highs, min)
        low = min(shape(a) * _inserted(max, lows, a) for a in _turning_points(lows, least, most))
        high = max(shape(a) * _inserted(min, highs, a) for a in _turning_points(highs, least, most))
        low, high = back(low), back(high)
        if name == "working distance" and self.with_scope:
            return self._tip(low, high, *rules.get(name, _FREE))
        return low, high

    def _tip(self, nearest, farthest, low, high):
        """The least and the most from tip to target, with the port `nearest` to `farthest` from it, that a rule leaves."""
        return max(low, nearest - self.slide, min(_OPEN, farthest)), min(high, farthest)

    def relaxation(self, name, rules):
        """The least change of this rule alone that lets all hold, or None."""
        span = self.span(name, rules | {name: _FREE})
        if span is None:
            return None
        low, high = rules[name]
        return Relaxation(name, "low", low, span[1]) if low > span[1] else Relaxation(name, "high", high, span[0])

    def room(self, rules):
        """The largest share by which all ranges can shrink and still hold together, to 9 digits, by halving."""
        if all(low == high for low, high in rules.values()):
            return 0.0

        def holds(share):
            least, most = self.interval(_shrunk(rules, share))
            return least <= most

        if holds(1.0):
            return 1.0
        fits, fails = 0.0, 1.0
        for _ in range(30):
            middle = (fits + fails) / 2
            fits, fails = (middle, fails) if holds(middle) else (fits, middle)
        return fits

    def placement(self, rules):
        """The placement in the middle of what the rules allow."""
        a = sum(self.interval(rules)) / 2
        lows, highs = self._limits(rules, TIE)
        inserted = (_inserted(max, lows, a) + _inserted(min, highs, a)) / 2
        depth, half = inserted * cos(a), inserted * sin(a)
        flattest, steepest = _tilts(a, rules)
        swing = acos(min(1.0, self.camera_hole / depth))  # at the port line, from the target to the foot of a flat phone's axis
        if self.camera_hole and _AZIMUTH in rules:  # which is counted from the operator's side, so the phone has to be there
            if flattest < swing:
                steepest = min(steepest, swing)
            else:
                swing = -swing
        tilt = (flattest + steepest) / 2
        height, ahead = depth * sin(tilt), depth * cos(tilt)
        camera = (0.0, self.camera_hole * cos(swing - tilt), height + self.camera_hole * sin(swing - tilt))
        if self.on_arc:
            camera = (0.0, ahead - inserted * cos(tilt), inserted * sin(tilt))
        if self.with_scope:
            away = dist(camera, (0.0, ahead, 0.0))
            nearest, farthest = self._tip(away, away, *rules.get("working distance", _FREE))
            distance = (min(nearest, farthest) + farthest) / 2  # they may cross by a tie
            camera = Scope.at_distance(camera, (0.0, ahead, 0.0), distance, direction_of_view=0)
        return Placement(
            (-half, 0.0, height),
            (half, 0.0, height),
            (0.0, ahead, 0.0),
            camera,
            instrument_length=self.shaft,
            handle_reach=self.reach,
        )


def _add_crossings(lows, highs, lower, upper):
    """Add the end of a that each low end of a length sets with each high one."""
    for low in lows:
        for high in highs:
            ends, forms = low.ends + high.ends, (low.form, high.form)
            i, j = _ORDER.index(low.shape), _ORDER.index(high.shape)
            if i < j:
                crossing, form = _CROSSINGS[low.shape + high.shape]
                upper.append(_Bound(crossing(high.value / low.value) if high.value else 0.0, ends, (form, *forms)))
            elif i > j:
                crossing, form = _CROSSINGS[high.shape + low.shape]
                lower.append(_Bound(crossing(low.value / high.value) if high.value else pi / 2, ends, (form, *forms)))
            elif low.value > high.value:
                upper.append(_Bound(_NOWHERE, ends, forms))


def _tightest(limits, pick):
    """Of each shape the limit that decides."""
    of_shape = {}
    for limit in limits:
        of_shape.setdefault(limit.shape, []).append(limit)
    return [pick(alike, key=lambda limit: limit.value) for alike in of_shape.values()]


def _inserted(tightest, limits, a):
    """The tightest of these limits (max of low ends, min of high ones) as a length inside at a."""
    return tightest(limit.value / _SHAPES[limit.shape](a) for limit in limits)


def _turning_points(limits, least, most):
    """Every a at which a shape times the tightest of these limits can turn: the ends, and where two limits cross."""
    yield from (least, most)
    for first in limits:
        for second in limits:
            if crossing := _CROSSINGS.get(first.shape + second.shape):
                yield min(max(crossing[0](second.value / first.value), least), most)


def _lean(name, rules, least, most):
    """The span of elevation or azimuth, from sin(a) = cos(eps) sin(alpha): the first falls with a, the second rises."""
    e_low, e_high = _within_right_angle(rules, "elevation angle")
    a_low, a_high = _within_right_angle(rules, _AZIMUTH)
    if name == "elevation angle":
        low = acos(min(1.0, sin(most) / sin(a_low))) if a_low else 0.0
        high = acos(min(1.0, sin(least) / sin(a_high)))
        if _AZIMUTH in rules and a_high == pi / 2:
            high -= radians(_OPEN)
        return degrees(max(low, e_low)), degrees(min(high, e_high))
    low = asin(min(1.0, sin(least) / cos(e_low)))
    high = min(asin(min(1.0, sin(most) / cos(e_high))), pi / 2 - radians(_OPEN))
    return degrees(max(low, a_low)), degrees(min(high, a_high))


def _tilts(a, rules):
    """The least and the largest tilt, in radians, that elevation and azimuth allow at a."""
    e_low, e_high = _within_right_angle(rules, "elevation angle", TIE)
    a_low, a_high = _within_right_angle(rules, _AZIMUTH, TIE)
    flattest, steepest = asin(min(1.0, sin(e_low) / cos(a))), asin(min(1.0, sin(e_high) / cos(a)))
    if a_low:
        flattest = max(flattest, acos(min(1.0, tan(a) / tan(a_low))))
    if a_high < pi / 2:
        steepest = min(steepest, acos(min(1.0, tan(a) / tan(a_high))))
    return flattest, steepest


def _within_right_angle(rules, name, tie=0.0):
    low, high = rules.get(name, (0.0, 90.0))
    return radians(max(low - tie, 0.0)), radians(min(high + tie, 90.0))


def _closed(low, high, least, most):
    """A range, its missing ends taken from what all rules allow, and what no placement has left out of it."""
    return min(least, high) if low == -inf else max(low, min(least, 0.0)), max(most, low) if high == inf else high


def _shrunk(rules, share):
    """Each range shrunk by this share towards its middle; a ratio without an upper end rises by this share."""
    return {
        name: (
            low + share * (abs(low) if high == inf else (high - low) / 2),
            high if high == inf else high - share * (high - low) / 2,
        )
        for name, (low, high) in rules.items()
    }


def _clashes(lower, upper, rules):
    """The smallest sets of rules by which a lower end of a lies above an upper one."""
    found = {}
    upper = sorted(upper, key=lambda bound: bound.a != _NOWHERE)  # the plainest reason first
    for low in lower:
        for high in upper:
            if low.a > high.a:
                named = {name for name, _ in low.ends + high.ends}
                found.setdefault(tuple(name for name in rules if name in named), (low, high))
    smallest = [names for names in found if not any(set(other) < set(names) for other in found)]
    return tuple(_clash(names, *found[names], rules) for names in smallest)


def _clash(names, low, high, rules):
    form = "; ".join(dict.fromkeys(form for form in low.forms + high.forms if form))
    if high.a == _NOWHERE:
        return Clash(names, form, f"{_ends(high.ends, rules)} cannot be [{_forms(high)}]")
    least, most = _told_apart(degrees(2 * low.a), degrees(2 * high.a))
    below = "<" if _A_ANY[0] in high.ends else "≤"
    parts = [(low, f"θ ≥ {least}"), (high, f"θ {below} {most}")]
    parts.sort(key=lambda part: not part[0].ends)  # what holds without a rule comes last
    return Clash(names, form, "; ".join(_part(*part, rules) for part in parts))


def _part(bound, needed, rules):
    if not bound.ends:
        return f"but always {_forms(bound)}"
    forms = f" [{_forms(bound)}]" if _forms(bound) else ""
    return f"{_ends(bound.ends, rules)} {'needs' if len(bound.ends) == 1 else 'need'} {needed}{forms}"


def _forms(bound):
    return ", ".join(dict.fromkeys(form for form in bound.forms if form))


def _ends(ends, rules):
    return " with ".join(_end(name, end, *rules[name]) for name, end in ends)


def _end(name, end, low, high):
    if end == "any":
        return f"any {name}"
    if end == "low":
        return rule_in_words(name, low, high if high == low else inf)
    return rule_in_words(name, low if high == low else -inf, high)


def _told_apart(first, second):
    """Two numbers with one decimal, or with more where that tells them apart."""
    texts = [(f"{first:.{decimals}f}", f"{second:.{decimals}f}") for decimals in (1, 2, 3, 4)]
    return next((pair for pair in texts if pair[0] != pair[1]), texts[0])

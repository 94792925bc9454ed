"""How exact the holes of a placement must be: what an error of each hole does to every measure.

A hole is made somewhere within its error of its mark, any place as likely as any other: on a disc in the panel where the
placement has a `panel_normal`, else in a ball; the target, which is no hole, always in a ball. A shaft thinner than its hole
lies off the middle of the hole as well, by up to its `play`, in the same way. Two ways to carry that to a measure check each
other. First order takes the slope of the measure at the marks and draws a straight line: exact for small
errors, and quick. Monte Carlo makes the box many times, each hole somewhere else, and measures every one. Where they differ
the first order fails, and Monte Carlo is right.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import partial
from math import floor, inf, isinf
from typing import TYPE_CHECKING

import numpy as np

from ergokit._check import instance, lengths, number_of_target, one, one_word, refused, some_words, whole
from ergokit._words import joined
from ergokit.placement import Placement
from ergokit.placement.measures import Arrangement, called, changes, index_of, one_by_one

if TYPE_CHECKING:
    from ergokit.placement.table import MeasureTable

__all__ = ["HOLES", "ErrorEffects", "HoleTolerance", "error_effects", "hole_tolerance"]

HOLES = ("left_port", "right_port", "camera", "target")
PORTS = HOLES[:2]
PLAY = 0.25  # cm each way, of a 5 mm shaft in a hole of 1 cm (common practice, no source); 0 in a hole that is lined

_STEP = 0.01  # cm: five points this far apart give a slope to ten digits
_FIVE_POINTS = np.array([-2, -1, 1, 2])
_SLOPE_OF_FIVE = np.array([1, -8, 8, -1]) / (12 * _STEP)
_AGREE = 0.1  # how far, as a share, the first order may be from Monte Carlo before it is said to fail
_FAILS = "first order fails: the measure does not follow the holes in a straight line"
_LARGEST = 20  # cm off a mark: more is likely in mm
_MOST_DRAWS = 10_000_000
_NOTHING = 1e-9  # a slope or a change this small is rounding


def error_effects(
    placement: Placement,
    error: float = 0.3,
    *,
    errors: Mapping[str, float] | None = None,
    play: float = PLAY,
    focus: int = 0,
    draws: int = 100_000,
    seed: int = 0,
) -> ErrorEffects:
    """The effects of errors of the holes on every measure of a placement: `ErrorEffects`.

    Both ports and the camera hole are each made within `error` cm of their marks, the target is where it should be;
    `errors` says otherwise for single ones, ``errors={"camera": 0, "target": 0.2}``. `play` is how far each shaft may lie off
    the middle of its hole, in cm: half of what the hole is wider than the shaft, 0 where the hole is lined. `focus` is the
    number of the target, where there are many. The same `seed` draws the same boxes.

    >>> from ergokit import Placement
    >>> table = error_effects(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 5, 16)), error=0.5).measures()
    >>> table[table.quantity == "manipulation angle"]
              quantity side value first order Monte Carlo  low high unit note
    manipulation angle       59.9         1.1         1.1 57.7 62.1  deg
    """
    play = one("play", play, lengths, zero=True)
    errors = _errors(error, errors, play)
    draws, rng = whole("draws", draws, 1000, _MOST_DRAWS), np.random.default_rng(whole("seed", seed))
    plays = dict.fromkeys(PORTS, play)
    names, slopes = _slopes(placement, focus, [name for name in HOLES if errors[name] or plays.get(name)])
    shifts, first_order = {}, np.zeros(len(names))
    for name, slope in slopes.items():
        frame = _frame(placement, name)
        shifts[name] = sum(radius * _anywhere(rng, draws, frame) for radius in (errors[name], plays.get(name)) if radius)
        off = np.hypot(errors[name], plays.get(name, 0))
        each_way = off / np.sqrt(len(frame) + 2)  # standard deviation: half the radius of a disc, 0.45 of a ball's
        first_order = np.hypot(first_order, each_way * np.linalg.norm(slope, axis=0))
    values, changes = _changes(placement, focus, shifts)
    rows = []
    for (quantity, side, unit), value, straight, change in zip(names, values, first_order, changes, strict=True):
        if np.isnan(value):
            continue
        found = change[~np.isnan(change)]
        if not found.size:
            rows.append((quantity, side, value, straight, np.nan, np.nan, np.nan, unit, "no box has a value"))
            continue
        spread = np.sqrt(np.mean(found**2))
        low, high = value + np.percentile(found, [2.5, 97.5])
        notes = [] if _agree(straight, spread) else [_FAILS]
        if len(found) < draws:
            notes.append(f"no value in {100 - 100 * len(found) / draws:.1f} % of the boxes")
        rows.append((quantity, side, value, straight, spread, low, high, unit, "; ".join(notes)))
    return ErrorEffects(rows, errors, draws, play)


@dataclass(frozen=True, eq=False, repr=False)
class ErrorEffects:
    """What errors of the holes do to every measure; made by `error_effects`."""

    _rows: list
    errors: dict[str, float]
    draws: int
    play: float

    def measures(self) -> MeasureTable:
        """A table: quantity, side, value, first order and Monte Carlo (one standard deviation each), low and high (where 95 %
        of the boxes lie), unit, note. Measures without a value are left out; the note says where the first order fails."""
        from ergokit.placement.table import MeasureTable

        columns = ["quantity", "side", "value", "first order", "Monte Carlo", "low", "high", "unit", "note"]
        return MeasureTable(self._rows, columns=columns)

    @property
    def first_order_fails(self) -> list[str]:
        """The measures, by quantity and side, for which the first order is more than a tenth off."""
        return [called(row) for row in self._rows if row[-1].startswith(_FAILS)]

    def __repr__(self):
        made = ", ".join(f"{_words(name)} {error:g}" for name, error in (self.errors | {"play": self.play}).items() if error)
        fails = ", ".join(self.first_order_fails)
        verdict = f"fails for {fails}" if fails else "agrees with Monte Carlo for every measure"
        return f"Effects of errors (cm: {made}) on {len(self._rows)} measures, from {self.draws} boxes; first order {verdict}."


def hole_tolerance(
    placement: Placement,
    within: float = 5,
    quantity: str = "manipulation angle",
    side: str = "",
    *,
    holes: Collection[str] = PORTS,
    play: float = PLAY,
    focus: int = 0,
    draws: int = 100_000,
    seed: int = 0,
) -> HoleTolerance:
    """How far each hole may be from its mark while a measure stays `within` so much of its value: a `HoleTolerance`.

    `within` is in the measure's own unit, degrees for an angle. `holes` names those that may be off, of left_port,
    right_port, camera and target; the others are where they should be. Each shaft may lie `play` cm off the middle of its
    hole besides, as in `error_effects`. The result is for the worst direction of every error, not the usual one: the measure
    stays within the limit for any direction. Monte Carlo tries `draws` of them, each hole at the rim of its error, and so
    misses the very worst by a little.

    For the manipulation angle the first order is within / (1/L_left + 1/L_right) less the play, the angle in radians: a shaft
    moved across itself at its hole turns by the distance over the length inside.

    >>> from ergokit import Placement
    >>> hole_tolerance(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 5, 16)), within=5)  # doctest: +NORMALIZE_WHITESPACE
    Each hole within 0.5 cm of its mark keeps the manipulation angle within 5.0 degrees of 59.9.
    If only one is off: left port 1.0 cm, right port 1.0 cm. The formula and random trials agree.
    Each shaft may lie 2.5 mm off the middle of its hole; that is counted.
    """
    play = one("play", play, lengths, zero=True)
    within = one("within", within, lengths, takes="a change of more than 0")
    draws, takes = whole("draws", draws, 1000, _MOST_DRAWS), f"some of {', '.join(HOLES)}, each only once"
    holes = tuple(some_words("holes", holes, HOLES, takes))
    if len(set(holes)) < len(holes):
        raise refused("holes", takes, holes)
    plays = dict.fromkeys(PORTS, play) if play else {}
    names, slopes = _slopes(placement, focus, dict.fromkeys((*holes, *plays)))
    which = index_of(names, quantity, side)
    value = float(_changes(placement, focus, {}, (quantity, side))[0][0])
    if np.isnan(value):
        raise ValueError(f"The {quantity} has no value in this placement; choose another measure (quantity).")
    rng = np.random.default_rng(whole("seed", seed))
    rims = {name: _rim(rng, draws, _frame(placement, name)) for name in slopes}
    farthest = max(_room(placement, focus, holes) - play, 0.0)

    def worst(moved, error):
        shifts = {name: (error * (name in moved) + plays.get(name, 0)) * rim for name, rim in rims.items()}
        change = _changes(placement, focus, shifts, (quantity, side))[1]
        return np.abs(np.where(np.isnan(change), inf, change)).max()

    slope = {name: np.linalg.norm(slopes[name][:, which]) for name in slopes}
    left = max(within - sum(plays[name] * slope[name] for name in plays), 0.0)  # by the play
    limits = {}
    for moved in dict.fromkeys([holes, *((name,) for name in holes)]):
        steepest = sum(slope[name] for name in moved)
        first_order = float(left / steepest) if steepest * farthest >= left and steepest else inf
        limits[moved] = first_order, _largest(partial(worst, moved), within, first_order, farthest)
    if all(isinf(most) for _, most in limits.values()) and worst(holes, farthest) - worst((), 0.0) < _NOTHING:
        raise ValueError(f"The {quantity} does not depend on {joined(holes)}; choose another measure (quantity).")
    return HoleTolerance(quantity, side, value, names[which][2], within, holes, limits, farthest, play)


@dataclass(frozen=True, eq=False, repr=False)
class HoleTolerance:
    """How near its mark each hole must be, in cm; made by `hole_tolerance`.

    `limits` maps holes that are off together to (first order, Monte Carlo), infinite where no error up to `farthest` is too
    much: beyond that a hole would come near the target or another hole.
    """

    quantity: str
    side: str
    value: float
    unit: str
    within: float
    holes: tuple[str, ...]
    limits: dict[tuple[str, ...], tuple[float, float]]
    farthest: float
    play: float

    @property
    def each(self) -> float:
        """The error that each hole may have while the others have it too: the smaller of first order and Monte Carlo."""
        return min(self.limits[self.holes])

    @property
    def agree(self) -> bool:
        """Whether first order and Monte Carlo are within a tenth of each other for all the holes together."""
        return _agree(*(limit + self.play for limit in self.limits[self.holes]))

    def __repr__(self):
        unit = {"deg": " degrees", "cm": " cm", "": ""}[self.unit]
        digits = 1 if unit else 2
        name = called((self.quantity, self.side))
        kept = f"the {name} within {self.within:.{digits}f}{unit} of {self.value:.{digits}f}"
        off = f"each shaft may lie {10 * self.play:.1f} mm off the middle of its hole"
        if self.each == 0:
            return f"Even holes on their marks do not keep {kept}: {off}. Line the holes, and say so with play=0."
        who = "Each hole" if len(self.holes) > 1 else f"The {_words(self.holes[0])}"
        text = f"{who} within {self._shown(self.each)} of its mark keeps {kept}."
        if len(self.holes) > 1:
            alone = [f"{_words(hole)} {self._shown(min(self.limits[hole,]))}" for hole in self.holes]
            text += f" If only one is off: {', '.join(alone)}."
        first_order, monte_carlo = self.limits[self.holes]
        text += (
            " The formula and random trials agree."
            if self.agree
            else f" The first order fails here: it gives {self._shown(first_order)}, Monte Carlo {self._shown(monte_carlo)}; "
            "the smaller is shown."
        )
        return f"{text} {off[0].upper()}{off[1:]}; that is counted." if self.play else text

    def _shown(self, error):
        """Rounded down to what a ruler shows, so that it still holds."""
        if isinf(error):
            return f"{self.farthest:.1f} cm (no more was tried)"
        return f"{floor(10 * error + 1e-6) / 10:.1f} cm" if error >= 0.1 else "less than 0.1 cm"


def _largest(worst, within, guess, farthest):
    """The smallest error at which the worst change reaches `within`; infinite where none up to `farthest` does."""
    from scipy.optimize import brentq

    if worst(0.0) >= within:
        return 0.0
    below, error = 0.0, min(max(min(guess, farthest) / 4, 1e-3), farthest)
    while worst(error) < within:
        if error == farthest:
            return inf
        below, error = error, min(1.5 * error, farthest)
    return brentq(lambda at: min(worst(at), 1e6) - within, below, error, xtol=1e-4)


def _agree(first_order, monte_carlo):
    return isinf(first_order) == isinf(monte_carlo) and (
        isinf(first_order) or abs(first_order - monte_carlo) <= _AGREE * monte_carlo + _NOTHING
    )


def _words(name):
    return name.replace("_", " ")


def _errors(error, errors, play) -> dict[str, float]:
    error = one("error", error, lengths, zero=True)
    instance("errors", errors, "a mapping from the name of a hole to its error", Mapping, type(None))
    found = dict.fromkeys(HOLES, error) | {"target": 0.0}
    for name, own in (errors or {}).items():
        one_word("errors", name, HOLES, f"names out of {', '.join(HOLES)}")
        found[name] = one(f"errors[{name!r}]", own, lengths, zero=True)
    largest = max(found.values())
    if largest > _LARGEST:
        raise ValueError(f"An error of {largest:g} cm is too large; give at most {_LARGEST} cm, and not mm (error).")
    if not any(found.values()) and not play:
        raise ValueError("All errors are 0; give more than 0 cm for at least one hole (error).")
    return found


# Moving the points


def _frame(placement, name):
    """Unit vectors along which a point may be off: two in the panel, or three."""
    if placement.panel_normal is None or name == "target":
        return np.eye(3)
    return np.linalg.svd(placement.panel_normal[None])[2][1:]


def _rim(rng, draws, frame):
    """Places 1 cm off, evenly in every direction of the frame, shape (draws, 3)."""
    around = rng.normal(size=(draws, len(frame)))
    return around / np.linalg.norm(around, axis=-1, keepdims=True) @ frame


def _anywhere(rng, draws, frame):
    """Places evenly within 1 cm, on the disc or in the ball of the frame, shape (draws, 3)."""
    return _rim(rng, draws, frame) * rng.random((draws, 1)) ** (1 / len(frame))


def _changes(placement, focus, shifts, only=None):
    """Of every measure, or of `only` one: the value, and how much it changes with each shift; (k,) and (k, n)."""
    still, moved = (_values(placement, focus, each, only) for each in ({}, shifts))
    n = max([len(shift) for shift in shifts.values()], default=1)
    off = [changes(np.broadcast_to(there, n), unit, here) for (*_, unit, here), (*_, there) in zip(still, moved, strict=True)]
    return np.array([values[0] for *_, values in still]), np.array(off)


def _values(placement, focus, shifts, only=None):
    """(quantity, side, unit, values) of every measure, or of `only` one, with points moved by many shifts (n, 3).

    A scope moves with its port and keeps its direction.
    """
    points = {name: np.atleast_2d(place + shifts.get(name, 0.0)) for name, place in _places(placement, focus).items()}
    points["targets"] = points.pop("target")
    unknown = () if placement.tape is None else placement.tape.not_known()
    found = []
    for quantity, side, unit, value, _ in one_by_one(Arrangement.of(placement, **points)):
        if quantity not in unknown and only in (None, (quantity, side)):
            found.append((quantity, side, unit, np.atleast_1d(value)))
            if only is not None:
                break
    return found


def _slopes(placement, focus, holes):
    """Every measure's (quantity, side, unit), and their slopes along each hole's frame, shape (directions, measures)."""
    _check_focus(placement, focus)
    slopes = {}
    for name in holes:
        frame = _frame(placement, name)
        shifts = (_STEP * _FIVE_POINTS[:, None] * frame[:, None]).reshape(-1, 3)
        change = _changes(placement, focus, {name: shifts})[1]
        slopes[name] = (change.reshape(len(change), len(frame), 4) @ _SLOPE_OF_FIVE).T
    return [row[:3] for row in _values(placement, focus, {})], slopes


def _check_focus(placement, focus):
    instance("placement", placement, "a Placement", Placement)
    number_of_target("focus", focus, len(placement.targets))


def _room(placement, focus, holes):
    """How far holes may be off without coming near the target or another hole: half of the shortest way between them."""
    places = _places(placement, focus) | {"camera": placement.camera_hole}
    return min(np.linalg.norm(places[a] - places[b]) for a in holes for b in HOLES if a != b) / 2.001


def _places(placement, focus):
    """Where each of `HOLES` is."""
    return {name: getattr(placement, name) for name in HOLES[:3]} | {"target": placement.targets[focus]}

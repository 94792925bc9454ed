"""What a closed form is here: an equation between named quantities, its derivation, and where it holds.

Nothing is taken on trust. Every step is verified by sympy when the relation is built, every solution by putting it back
into the equation, and `Relation.check` compares the equation with values measured on random placements.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache, cached_property

import numpy as np
import sympy as sp
from numpy.typing import ArrayLike

from ergokit._check import broadcasting, numbers, refused
from ergokit._words import joined
from ergokit.relations import page
from ergokit.relations.quantities import QUANTITIES, Quantity
from ergokit.relations.vectors import anywhere, products


class ProofError(Exception):
    """A step, an equation or a solution that sympy could not verify."""


@dataclass(frozen=True)
class Relation:
    """A closed form between quantities of a placement.

    `vectors` and `definitions` say what the symbols are in space; each of `steps` (prose, equation) and the equation
    itself must become an identity when the definitions are put in, or ProofError is raised. `placements(rng, n)` measures
    random placements where the relation holds, anywhere unless given, `elsewhere(rng)` one where it does not, and `holds_at`
    tells which from the measured values.
    """

    title: str
    equation: sp.Eq
    steps: tuple
    holds: str = "always."
    holds_at: Callable = lambda at: True
    placements: Callable = anywhere
    vectors: dict = field(default_factory=dict)
    definitions: dict = field(default_factory=dict)
    uses: tuple = ()
    elsewhere: Callable | None = None
    solutions: dict = field(default_factory=dict)
    through: Callable = sp.Id  # one to one on the range of both sides: they go through it when a solution is put back
    note: str = ""
    _solved: dict = field(default_factory=dict, init=False)

    def __post_init__(self):
        self.prove()

    @cached_property
    def quantities(self) -> tuple[Quantity, ...]:
        """The quantities of the equation, the one on its left first."""
        left, right = (side.free_symbols for side in self.equation.args)
        return tuple(QUANTITIES[symbol] for symbol in (*sorted(left, key=str), *sorted(right - left, key=str)))

    def prove(self) -> None:
        """Verify every step and the equation; ProofError names the first that fails."""
        definitions = products(self.vectors) | self.definitions
        for prose, claim in (*self.steps, ("the equation itself", self.equation)):
            if not vanishes((claim.lhs - claim.rhs).xreplace(definitions).doit()):
                raise ProofError(f"{self.title}: sympy cannot verify {claim} ({prose}).")

    def solve_for(self, symbol: str | sp.Symbol) -> list[sp.Expr]:
        """The solutions for a symbol (or the name of its quantity) that lie in its range, each proved by substitution.

        Lengths are in cm and angles in radians, as sympy has them.

        >>> from ergokit.relations import RELATIONS
        >>> RELATIONS["spacing_from_depth"].solve_for("manipulation_angle")
        [2*atan(s/(2*h))]
        """
        return list(self._branches(self._quantity(symbol)))

    @broadcasting
    def evaluate(self, target: str | sp.Symbol | None = None, /, **known: ArrayLike) -> float | np.ndarray | tuple:
        """The quantity that is not given, from all the others: lengths in cm, angles in degrees, numbers or arrays.

        `target` may name it for the reader. Where the relation has two solutions for it a tuple of both comes back, NaN
        where one is out of range. What is impossible is NaN in arrays; for single numbers ValueError says what does not
        fit and the nearest values that do.

        >>> from ergokit.relations import RELATIONS
        >>> round(RELATIONS["spacing_from_length"].evaluate("spacing", inserted_length=20, manipulation_angle=60), 9)
        np.float64(20.0)
        >>> RELATIONS["spacing_from_length"].evaluate(inserted_length=10, spacing=25)  # doctest: +ELLIPSIS
        Traceback (most recent call last):
        ValueError: No manipulation_angle fits inserted_length 10 cm, spacing 25 cm; nearest possible: ...
        """
        wanted, known = self._ask(known, target)
        found = self._solve(wanted, known)
        if not np.ndim(found[0]) and np.isnan(found).all():
            raise ValueError(self._impossible(wanted, known))
        return tuple(found) if len(found) > 1 else found[0]

    @broadcasting
    def sensitivity(self, symbol: str | sp.Symbol, /, **known: ArrayLike) -> float | np.ndarray | tuple:
        """How much the quantity that is not given changes for each unit of `symbol`, in its unit per that unit.

        All the others are kept. As with `evaluate`, a tuple where there are two solutions.

        >>> from ergokit.relations import RELATIONS
        >>> round(RELATIONS["spacing_from_depth"].sensitivity("spacing", spacing=18, depth=15.6), 2)  # degrees per cm
        np.float64(2.76)
        """
        wanted, known = self._ask(known)
        by = self._quantity(symbol)
        if by is wanted:
            raise ValueError(f"{by.name} is the quantity sought; name one of the given quantities (symbol).")
        residual = self.equation.lhs - self.equation.rhs
        slope = -sp.diff(residual, by.symbol) / sp.diff(residual, wanted.symbol)
        values = [self._at(slope, known | {wanted.name: value}) for value in self._solve(wanted, known)]
        slopes = [value * by.scale / wanted.scale for value in values]
        return tuple(slopes) if len(slopes) > 1 else slopes[0]

    def check(self, n: int = 1000, seed: int = 0) -> float:
        """Largest relative disagreement of the two sides of the equation over `n` measured placements where it holds.

        >>> from ergokit.relations import RELATIONS
        >>> RELATIONS["spacing_from_depth"].check(n=1000, seed=0) < 1e-9
        True
        """
        measured = self.placements(np.random.default_rng(seed), n)
        if not np.all(self.holds_at(measured)):
            raise ValueError(f"{self.title}: the placements of the check do not all meet: {self.holds}")
        return float(np.max(self._disagreement(measured)))

    @cached_property
    def counterexample(self) -> dict | None:
        """Measured values where the relation does not hold, with the relative `disagreement`; None where it always holds."""
        if self.elsewhere is None:
            return None
        measured = {name: np.squeeze(value) for name, value in self.elsewhere(np.random.default_rng(0)).items()}
        values = {q.name: float(measured[q.name]) for q in self.quantities}
        return values | {"holds": bool(self.holds_at(measured)), "disagreement": float(self._disagreement(values))}

    def __repr__(self):
        return f"{self.title}: {sp.sstr(self.equation.lhs)} = {sp.sstr(self.equation.rhs)}"

    def _repr_html_(self):
        return page.html(self)

    def _quantity(self, symbol):
        for quantity in self.quantities:
            if isinstance(symbol, str | sp.Symbol) and symbol in (quantity.name, quantity.symbol):
                return quantity
        raise refused("symbol", f"one of {', '.join(q.name for q in self.quantities)}", symbol)

    def _ask(self, known, target=None):
        """The quantity sought and the checked known values as arrays."""
        checked = {}
        for name, value in known.items():
            quantity = self._quantity(name)
            array = numbers(name, value, quantity.takes)
            if not np.all(quantity.has(array)):
                wrong = array[~quantity.has(array)].flat[0]
                why = quantity.why and wrong in (quantity.low, quantity.high) and f"{wrong:g} cannot be used, as {quantity.why}"
                raise refused(name, quantity.takes, wrong, why)
            checked[name] = array
        missing = [q for q in self.quantities if q.name not in checked]
        if len(missing) != 1 or (target is not None and self._quantity(target) is not missing[0]):
            names = ", ".join(q.name for q in self.quantities)
            raise ValueError(f"This relation links {names}; give all but the quantity sought, not {joined(known) or 'none'}.")
        return missing[0], checked

    def _branches(self, quantity):
        if quantity.symbol not in self._solved:
            solved = {self.equation.lhs: [self.equation.rhs]} | self.solutions
            found = solved[quantity.symbol] if quantity.symbol in solved else sp.solve(self.equation, quantity.symbol)
            measured = self.placements(np.random.default_rng(1), 200)
            known = {q.name: measured[q.name] for q in self.quantities if q is not quantity}
            kept = [each for each in found if np.isfinite(self._value(each, quantity, known)).any()]
            for each in kept:
                difference = self.through(self.equation.lhs) - self.through(self.equation.rhs)
                if not vanishes(difference.subs(quantity.symbol, each)):
                    raise ProofError(f"{self.title}: {quantity.symbol} = {each} does not solve the equation.")
            self._solved[quantity.symbol] = kept
        return self._solved[quantity.symbol]

    def _at(self, expression, values):
        """An expression at values in public units; quantities it does not use may be missing."""
        function = _numeric(tuple(q.symbol for q in self.quantities), expression)
        with np.errstate(all="ignore"):
            return function(*(values.get(q.name, np.nan) * q.scale for q in self.quantities))

    def _solve(self, wanted, known):
        branches = self._branches(wanted)
        if not branches:
            raise ValueError(f"{self.title} has no closed solution for {wanted.name}.")
        return [self._value(branch, wanted, known) for branch in branches]

    def _value(self, branch, wanted, known):
        """A solution in public units, NaN where it leaves the range or does not satisfy the equation."""
        value = self._at(branch, known) / wanted.scale
        if wanted.unit == "degrees" and wanted.low < 0:  # the same after a whole turn
            value = 180 - np.mod(180 - value, 360)
        values = known | {wanted.name: value}
        left, right = self._sides(values)
        terms = [term for side in self.equation.args for term in sp.Add.make_args(side)]
        size = np.max(np.broadcast_arrays(*(np.abs(self._at(term, values)) for term in terms)), axis=0)
        fits = wanted.has(value) & (np.abs(left - right) <= 1e-6 * size + 1e-12)
        return np.where(fits, value, np.nan)[()]

    def _sides(self, values):
        """Both sides of the equation; one beyond 1e15 is the tangent of a right angle."""
        return [np.clip(self._at(side, values), -1e15, 1e15) for side in self.equation.args]

    def _disagreement(self, values):
        left, right = self._sides(values)
        return np.abs(left - right) / np.maximum(np.maximum(np.abs(left), np.abs(right)), np.finfo(float).tiny)

    def _impossible(self, wanted, known):
        given = ", ".join(f"{name} {known[name]:g} {self._quantity(name).unit}".strip() for name in known)
        nearest = [
            f"{name} {value:.1f} {self._quantity(name).unit}".strip()
            for name in known
            if (value := self._nearest(wanted, known, name)) is not None
        ]
        hint = f"; nearest possible: {joined(nearest, 'or')}" if nearest else ""
        return f"No {wanted.name} fits {given}{hint}."

    def _nearest(self, wanted, known, name):
        """The value of one known nearest to the given one for which the relation has a solution; None where none has."""

        def fits(values):
            return np.isfinite(self._solve(wanted, known | {name: values})).any(axis=0)

        given = float(known[name])
        grid = self._quantity(name).spread(given)
        possible = grid[fits(grid)]
        if not possible.size:
            return None
        inside, outside = possible[np.argmin(np.abs(possible - given))], given
        for _ in range(60):
            middle = (inside + outside) / 2
            inside, outside = (middle, outside) if fits(middle) else (inside, middle)
        return inside


@cache
def _numeric(symbols, expression):
    inverse = {"asin": lambda sine: np.arcsin(_within_one(sine)), "acos": lambda cosine: np.arccos(_within_one(cosine))}
    return sp.lambdify(symbols, expression, modules=[inverse, np])


def vanishes(expression):
    """Whether sympy can show that an expression is zero."""
    return any(tidy(expression) == 0 for tidy in (sp.expand, _numerator, sp.simplify))


def _numerator(expression):
    """What stands above the common denominator, in sines and cosines of single angles, squared sines as cosines."""
    even = expression.replace(
        lambda e: isinstance(e, sp.cos) and isinstance(e.args[0], sp.Abs), lambda e: sp.cos(e.args[0].args[0])
    )
    terms = (
        sp.expand_trig(even).replace(sp.cot, lambda t: sp.cos(t) / sp.sin(t)).replace(sp.tan, lambda t: sp.sin(t) / sp.cos(t))
    )
    above = sp.expand(sp.numer(sp.together(terms)))
    return sp.expand(
        above.replace(
            lambda e: isinstance(e, sp.Pow) and isinstance(e.base, sp.sin) and e.exp.is_Integer and e.exp > 1,
            lambda e: (1 - sp.cos(e.base.args[0]) ** 2) ** (e.exp // 2) * e.base ** (e.exp % 2),
        )
    )


def _within_one(value):
    """Sines and cosines that pass 1 by rounding, back to 1."""
    return np.where(np.abs(value) <= 1 + 1e-12, np.clip(value, -1, 1), np.nan)

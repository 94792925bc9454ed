"""The best arrangement near a given one: linear programs, each within a step that is trusted."""

from time import monotonic
from typing import NamedTuple

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from ergokit.search.aims import AnyPair

_STEPS = 20
_SHORTEST = 1e-6  # of the size of the surface: a trusted step that is not worth another program
_AS_WANTED = 1e-6  # radians: what comes so near to the wanted angle, and breaks no rule, is not worth another program either
_DIFFERENCE = 1e-6  # of the size of the surface, for slopes
_PRICE = 1.0  # radians for each cm or degree by which a rule is broken
_INSIDE = 1e-7  # cm or degrees by which the limits of rules are drawn in, so that they hold in spite of curvature


def descend(task, start):
    """An arrangement (d,) near `start` with no larger value, or less broken rules."""
    size = task.high - task.low
    here, trust = start, 0.1
    model = _model(task, here)
    for _ in range(_STEPS):
        if task.late or (model.merit < _AS_WANTED and model.rows.max() <= 0):
            break
        least, most = np.maximum((task.low - here) / size, -trust), np.minimum((task.high - here) / size, trust)
        step = _program(task, model, least, most)
        there = np.clip(here + step * size, task.low, task.high)
        new = _model(task, there)
        if new.merit < model.merit:
            gained = model.merit - new.merit
            here, model = there, new
            trust = min(2 * trust, 0.2)
            if gained < 1e-9:
                break
        else:
            trust = min(trust, np.abs(step).max()) / 4
            if trust < _SHORTEST:
                break
    return here


class _Model(NamedTuple):
    """An arrangement's merit, its angles (n,) and rows of rules (m,), and their slopes over the size of the surface."""

    merit: float
    angles: np.ndarray
    rows: np.ndarray
    slope: np.ndarray
    slope_of_rows: np.ndarray


def _model(task, here):
    d = len(here)
    shifts = np.concatenate([np.zeros((1, d)), np.eye(d), -np.eye(d)]) * (_DIFFERENCE * (task.high - task.low))
    angles, rows = _measured(task, here[:, None] + shifts.T)  # all at once: a few columns take as long as one
    slopes = ((near[:, 1 : d + 1] - near[:, d + 1 :]) / (2 * _DIFFERENCE) for near in (angles, rows))
    return _Model(_merit(task, angles[:, :1], rows[:, :1])[0], angles[:, 0], rows[:, 0], *slopes)


def merit(task, arrangements):
    """The value of arrangements (d, N) and what the rules that they break cost, (N,)."""
    together = max(task.at_once // len(task.targets), 16)
    parts = [arrangements[:, i : i + together] for i in range(0, arrangements.shape[1], together)]
    return np.concatenate([_merit(task, *_measured(task, part)) for part in parts])


def _measured(task, arrangements):
    """The angles, (n, N), and by how much each row of each rule lies over its high and under its low end, (m, N)."""
    scene, _ = task.scene(arrangements)
    rows = []
    for rule in task.rules:
        value, _ = rule.bounds(scene)
        inside = min(_INSIDE, (rule.high - rule.low) / 2)
        if np.isfinite(rule.high):
            rows.append(value - rule.high + inside)
        if np.isfinite(rule.low):
            rows.append(rule.low + inside - value)
    return scene.theta, np.clip(np.concatenate(rows), -1e3, 1e3)  # a ratio beyond the shaft is infinite


def _merit(task, theta, rows):
    return task.aim.value(theta) + _PRICE * np.maximum(rows.max(axis=0), 0)


def _program(task, model, least, most):
    """The step within bounds for which the linear model of the merit is least."""
    _, theta, rows, slope, slope_of_rows = model
    d = len(least)
    longest = np.maximum(-least, most)
    near = rows + np.abs(slope_of_rows) @ longest > 0
    rows, slope_of_rows = rows[near], slope_of_rows[near]
    if isinstance(task.aim, AnyPair):
        off, slope, count = theta[:0], slope[:0], 0
    else:  # one excess for all, and only of those that can come to be the largest
        off, way, count = theta - task.aim.wanted, np.abs(slope) @ longest, 1
        large = np.abs(off) + way >= (np.abs(off) - way).max()
        off, slope = off[large], slope[large]
    # the variables: the step, the excess of the angles, that of the rules
    angles, rules = np.ones((len(off), count)), np.ones((len(rows), 1))
    none, over = np.zeros((len(off), 1)), np.zeros((len(rows), count))
    left = np.block([[slope, -angles, none], [-slope, -angles, none], [slope_of_rows, over, -rules]])
    right = np.concatenate([-off, off, -rows])
    bounds = Bounds(np.append(least, np.zeros(count + 1)), np.append(most, np.full(count + 1, np.inf)))
    options = {"time_limit": max(task.until - monotonic(), 0.1)} if np.isfinite(task.until) else {}
    cost = np.append(np.zeros(d), [*np.ones(count), _PRICE])
    # `milp` with no integer is a linear program, in less than half the time that `linprog` takes to hand it over
    found = milp(cost, constraints=LinearConstraint(left, ub=right), bounds=bounds, options=options)
    return found.x[:d] if found.x is not None else np.zeros(d)

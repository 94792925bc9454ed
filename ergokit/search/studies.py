"""What is given up for what: the front of the worst deviation against a limit, and how good each place can be at best."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from ergokit._check import a_front, checked, lengths, one, one_word, refused, takes_also
from ergokit._words import joined
from ergokit.guidance.quantities import named_in, ranges
from ergokit.guidance.studies import advised
from ergokit.search.ports import best_ports
from ergokit.search.task import Task
from ergokit.surfaces import Surface
from ergokit.terms import QUANTITIES

if TYPE_CHECKING:
    import pandas as pd

    from ergokit.placement.table import MeasureTable

#: Against what a front can be drawn: the high end of the rule that is tightened, in cm or degrees.
AGAINST = ("working distance", "azimuth difference", "port spacing")
_TIES = ("port to camera", "azimuth difference", "shaft clearance")  # rules that tie a free camera to the ports
#: Of a free camera that no rule ties to the ports: 15 to 45 degrees on each side differ by no more (published: `guidance`).
_AZIMUTHS_DIFFER = 30
_HALVINGS = 7
_MOST_PLACES = 5000  # of a map: each is looked at with each


@takes_also(Task)
def front(surface: Surface, targets: ArrayLike, against: str, limits: ArrayLike, **arguments: Any) -> MeasureTable:
    """The least worst deviation under each of several limits: a table with a row for each limit.

    `against` is "working distance", "azimuth difference" or "port spacing", and `limits` are its largest values allowed, in cm
    or degrees. The other arguments are those of `best_ports`; the camera is free unless given. Where no rule ties a free camera
    to the ports, their azimuth difference is kept to 30 degrees.

    >>> from ergokit.surfaces import FlatBox
    >>> table = front(FlatBox(40, 30, 18), [(-4, 0, 0), (4, 0, 0)], "azimuth difference", [40, 10], camera=(0, -5, 18))
    >>> table["worst deviation (deg)"].is_monotonic_increasing
    True
    """
    from ergokit.placement.table import MeasureTable

    one_word("against", against, AGAINST, joined(map(repr, AGAINST), "or"))
    if (camera := arguments.pop("camera", None)) is None:
        camera = "free"
    rules: dict[str, tuple] = ranges(arguments.pop("rules", None), named_in("best_ports"))
    if against == "working distance" and isinstance(camera, str) and not any(name in rules for name in _TIES):
        rules["azimuth difference"] = (None, _AZIMUTHS_DIFFER)
    limits = np.sort(np.atleast_1d(lengths("limits", limits, zero=True)))[::-1]
    low = rules.get(against, (None, None))[0]
    rows = []
    for limit in limits:
        best = best_ports(surface, targets, camera=camera, rules=rules | {against: (low, float(limit))}, **arguments)
        rows.append((limit, best.worst_deviation, best.lower_bound, best.gap, best.finished))
    first = f"{against} at most ({QUANTITIES[against].unit})"
    return MeasureTable(rows, columns=[first, "worst deviation (deg)", "lower bound (deg)", "gap (deg)", "finished"])


@checked(front=a_front)
def tightest_limit(front: pd.DataFrame) -> float:
    """The tightest limit of a `front` under which a pair of ports was found with all targets in the advised range.

    NaN if there is no such limit; ValueError for another table.

    >>> from ergokit.surfaces import FlatBox
    >>> tightest_limit(front(FlatBox(40, 30, 18), [(-9, 0, 0), (9, 0, 0)], "port spacing", [25, 20, 15]))
    20.0
    """
    limits, worst = front.iloc[:, 0], front.iloc[:, 1]
    low, high = advised("manipulation angle")
    return float(limits[worst <= (high - low) / 2].min())


def largest_turn(length: float, moved: float) -> float:
    """The largest turn of a shaft of `length` cm about its target when its port moves by up to `moved` cm, in degrees.

    The search uses this bound. ValueError where `moved` is not less than `length`.

    >>> round(largest_turn(24, 3), 1)
    7.2
    """
    length, moved = one("length", length, lengths), one("moved", moved, lengths)
    if not moved < length:
        raise refused("moved", f"less than the length of {length:g} cm", moved)
    return float(np.degrees(np.arcsin(moved / length)))


class PortMap(NamedTuple):
    """How good each place of one port can be with the other port where it is best for it.

    `u` and `v` of the places, in cm, and `best`, shape (v, u): the worst deviation in degrees, NaN off the surface and where
    no second port meets the rules.
    """

    u: np.ndarray
    v: np.ndarray
    best: np.ndarray


@takes_also(Task)
def port_map(surface: Surface, targets: ArrayLike, step: float = 2, **arguments: Any) -> PortMap:
    """The best that each place on a grid of `step` cm can do as one port, with the other anywhere: a `PortMap`.

    The arguments are those of `best_ports`, with the camera fixed or None. The other port is sought on the same grid and then
    in ever smaller steps about the best found there, so a value can be a little worse than the best possible.

    >>> from ergokit.surfaces import FlatBox
    >>> found = port_map(FlatBox(40, 30, 18), [(-4, 0, 0), (4, 0, 0)], step=5)
    >>> found.best.shape, bool(found.best.min() < 1)
    ((5, 7), True)
    """
    task = Task(surface, targets, **arguments)
    if task.free_camera:
        raise refused("camera", "a point or None for a map", arguments["camera"])
    step = one("step", step, lengths)
    outline = surface.outline_uv()
    ends = outline.min(axis=0) + task.hole / 2, outline.max(axis=0) - task.hole / 2
    least = np.sqrt(np.prod(np.subtract(ends[1], ends[0])) / _MOST_PLACES)
    if step < least:
        raise refused("step", f"at least {np.ceil(100 * least) / 100:g} cm for a surface of this size", step)
    axes = [_axis(low, high, step) for low, high in zip(*ends, strict=True)]
    u, v = (part.ravel() for part in np.meshgrid(*axes))
    on = surface.contains(u, v, radius=task.hole / 2)
    places = np.stack([u[on], v[on]])
    best, partner = _best_partner(task, places)
    for halving in range(1, _HALVINGS + 1):
        best, partner = _moved_partner(task, places, best, partner, step / 2**halving)
    values = np.full(u.shape, np.nan)
    values[on] = np.where(np.isfinite(best), np.degrees(best), np.nan)
    return PortMap(axes[0], axes[1], values.reshape(axes[1].size, axes[0].size))


def _axis(low, high, step):
    """A grid of `step` about the middle, within the ends."""
    middle, count = (low + high) / 2, int((high - low) / 2 / step)
    return middle + step * np.arange(-count, count + 1)


def _best_partner(task, places):
    """The least value of each place (2, M) with any other of them, and that other."""
    count = places.shape[1]
    best, partner = np.full(count, np.inf), np.zeros_like(places)
    together = max(task.at_once // (count * len(task.targets)), 1)
    for first in range(0, count, together):
        here = np.arange(first, min(first + together, count))
        one, other = (part.ravel() for part in np.meshgrid(here, np.arange(count), indexing="ij"))
        value = _values(task, places[:, one], places[:, other]).reshape(here.size, count)
        least = value.argmin(axis=1)
        best[here], partner[:, here] = value[np.arange(here.size), least], places[:, least]
    return best, partner


def _moved_partner(task, places, best, partner, step):
    """The same with the partners moved by up to one step where that is better."""
    for du, dv in np.array([(i, j) for i in (-1, 0, 1) for j in (-1, 0, 1) if (i, j) != (0, 0)]) * step:
        moved = partner + np.array([[du], [dv]])
        on = np.flatnonzero(task.surface.contains(*moved, radius=task.hole / 2))
        if not on.size:
            continue
        value = _values(task, places[:, on], moved[:, on])
        better = value < best[on]
        best[on] = np.where(better, value, best[on])
        partner[:, on] = np.where(better, moved[:, on], partner[:, on])
    return best, partner


def _values(task, one, other):
    """The value of each pair of places (u, v), infinite where a rule is broken."""
    scene, _ = task.scene(np.concatenate([task.places.from_uv(one), task.places.from_uv(other)]))
    return np.where(task.holds(scene), task.aim.value(scene.theta), np.inf)

"""Many targets and the best pair of ports for all of them: found while you watch, with what is proved about any other pair."""

from __future__ import annotations

import asyncio
import html
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from itertools import islice
from math import floor, inf
from typing import Any, ClassVar, Literal

import ipywidgets as w
import numpy as np
from numpy.typing import ArrayLike

from ergokit import datasets
from ergokit._check import a, checked, flag, named_targets, one_word, points, target_points
from ergokit._types import Rules
from ergokit._words import joined
from ergokit.explorers.controls import HIDDEN, Layout, button, choice, group, labelled, named_points, points_named, slider, tick
from ergokit.explorers.measures import unseen
from ergokit.explorers.ranges import RangeTrack, Ruled, RulesExplorer
from ergokit.figures.targets import SHADES, plain_targets
from ergokit.guidance.cautions import CAUTION, OF_A_DOME
from ergokit.guidance.quantities import ranges
from ergokit.guidance.studies import advised
from ergokit.search import BestPorts, best_ports_so_far, port_map
from ergokit.surfaces import Dome, Surface, WedgeBox
from ergokit.terms import with_buttons

_AXES = ("target sideways", "target away")
_TRACKS = {
    "port spacing": RangeTrack(4, 40, 0.5),
    "port to camera": RangeTrack(2, 30, 0.5),
    "azimuth difference": RangeTrack(0, 90, 0.5),
}
_RANGES = {"port spacing": (-inf, 16.0), "port to camera": (5.0, 12.0), "azimuth difference": (-inf, 30.0)}  # to start with
_OF_CAMERA = ("port to camera", "azimuth difference")
_NO_CAMERA, _FIXED, _FREE = "none", "in its camera hole", "where it is best"
_PAUSE = 0.03  # seconds between two slices of a search, in which the kernel hears the controls
_AT_ONCE = 8  # states of a search that are waited for where an explorer opens: few sets of targets need more
_GRID = 2  # cm, of the map
_FAR = 30  # degrees at the right end of the bar
_BOX = WedgeBox(44, 36, 27)
_INK, _OPEN, _ADVISED, _TRACK = (f"var(--space-{name})" for name in ("ink", "orange", "green", "mist"))
_LISTED = {  # columns of `BestPorts.by_target` -> what they are called here
    "manipulation angle (deg)": "manipulation angle",
    "deviation (deg)": "off 60",
    "length inside left (cm)": "length inside left",
    "length inside right (cm)": "length inside right",
    "working distance (cm)": "working distance",
}
_HATCH = "repeating-linear-gradient(135deg, var(--space-grey) 0 2px, var(--space-paper) 2px 6px)"
_ORIGIN = "You stand below the picture. x = 0 is your midline, and y = 0 is halfway along the floor."


@checked(surface=a(Surface), numbers=flag)
def targets_explorer(
    surface: Surface | None = None,
    *,
    targets: Mapping[str, ArrayLike] | ArrayLike | None = None,
    camera: ArrayLike | Literal["free"] | None = None,
    rules: Rules | None = None,
    numbers: bool = True,
) -> TargetsExplorer:
    """Explore the best pair of ports for many targets.

    A plan of `surface` with the targets and the best ports, and on request other pairs that come near and how good a port can
    be at each place. Move a target with two sliders or edit the list; tick rules and drag their ranges. The search goes on
    while you watch: a bar shows the best found and what is proved, and the gap between them shrinks. Stop it, or move on.

    `targets` maps names to points, or is points alone; an invented set unless given. `camera` is a point, "free" or None;
    `rules` maps any of "port spacing", "port to camera" and "azimuth difference" to (low, high). With `numbers=False` every
    value is hidden until the reader asks. The explorer's `.best` is the result for the current controls.

    >>> explorer = targets_explorer()
    >>> explorer.controls["target away"].value = 0
    >>> explorer.finish().found, round(explorer.best.worst_deviation, 1)
    (True, 7.3)
    """
    if targets is None:
        targets = {row["target"]: (row["x"], row["y"], row["z"]) for row in datasets.records("demo_targets")}
    if isinstance(camera, str):
        one_word("camera", camera, ("free",), "a point, 'free' or None")
    if not isinstance(targets, Mapping):
        targets = {str(i): point for i, point in enumerate(np.atleast_2d(target_points("targets", targets)), 1)}
    targets = {name: tuple(point.tolist()) for name, point in named_targets("targets", targets).items()}
    given = ranges(rules, _TRACKS)
    if camera is None and any(name in _OF_CAMERA for name in given):
        raise ValueError(f"The rules {joined(_OF_CAMERA)} need a camera, and there is none; leave them out (rules).")
    hole = None if camera is None or isinstance(camera, str) else tuple(points("camera", camera).tolist())
    start = Course(
        surface=surface or _BOX,
        hole=hole,
        where=_FREE if isinstance(camera, str) else _FIXED if hole else _NO_CAMERA,
        ends=_RANGES | given,
        ticked=frozenset(given),
        numbers=numbers,
    )
    return TargetsExplorer(start.placed(targets))


@dataclass(frozen=True, kw_only=True)
class Course(Ruled):
    """Targets on a surface, what is asked of their ports, and what is found for that."""

    tracks: ClassVar = _TRACKS

    surface: Surface
    hole: tuple[float, float, float] | None
    where: str
    targets: Mapping[str, tuple[float, float, float]] = field(default_factory=dict)
    listed: str = ""  # the list as it is being typed
    focus: int = 0
    others: bool = False
    shaded: bool = False
    halted: Any = None  # the question whose search the reader has stopped
    results: Mapping[Any, BestPorts] = field(default_factory=dict)  # question -> what is found
    last: BestPorts | None = None

    # What the reader does

    def placed(self, targets):
        """Other targets: name -> point."""
        listed = points_named(targets.items())
        return replace(self, targets=targets, listed=listed, focus=min(self.focus, len(targets) - 1))

    def as_listed(self):
        """The targets that are listed, one a line: name: x, y, z."""
        return replace(self, focus=0).placed(dict(named_points(self.listed)))

    def move(self, axis, value):
        """The target in focus is moved along an axis."""
        point = list(self.targets[self.names[self.focus]])
        point[_AXES.index(axis)] = value
        return self.placed({**self.targets, self.names[self.focus]: tuple(point)})

    def halt(self):
        """The search is stopped, or taken up again."""
        return replace(self, halted=self.question if self.searching else None)

    def found(self, question, best):
        """The search for the answer to a question has come further."""
        ended = {asked: known for asked, known in self.results.items() if known.finished}
        last = best if question == self.question else self.last  # the reader may have moved something meanwhile
        return replace(self, results={**ended, question: best}, last=last)

    # What that comes to

    @property
    def names(self):
        return tuple(self.targets)

    @property
    def camera(self):
        """As `best_ports` takes it: a point, "free" or None."""
        return {_NO_CAMERA: None, _FREE: "free"}.get(self.where, self.hole)

    @property
    def rules(self):
        """The ticked rules that limit something: quantity -> (low, high), None where there is no limit."""
        return {name: ends for name, ends in super().rules.items() if ends != (None, None) and not self.idle(name)}

    def idle(self, name):
        """Whether a rule waits for a camera."""
        return name in _OF_CAMERA and self.where == _NO_CAMERA

    @cached_property
    def question(self):
        """All that the search depends on."""
        return tuple(self.targets.values()), self.camera, tuple(self.rules.items())

    @cached_property
    def search(self):
        """The search for the best ports, from its beginning; ValueError where there is nothing to search."""
        return best_ports_so_far(self.surface, list(self.targets.values()), camera=self.camera, rules=self.rules)

    @property
    def best(self):
        """What is found so far; None until there is something."""
        return self.results.get(self.question)

    @property
    def ended(self):
        return self.best is not None and bool(self.best.finished)

    @property
    def searching(self):
        return not self.ended and self.halted != self.question

    @property
    def ports(self):
        """The pair that is drawn: until another is found, the last one."""
        best = self.best or self.last
        return np.stack([best.left_port, best.right_port]) if best is not None and best.found else None

    # What is shown

    @property
    def notice(self):
        if self.ended:
            return ""
        if self.searching:
            return "The search goes on. If you move anything, the search starts again."
        return "You stopped the search early. Press “go on” to continue."

    def at(self, axis):
        return self.targets[self.names[self.focus]][_AXES.index(axis)]

    def drawing(self):
        camera = self.camera
        if camera == "free":
            camera = None if self.best is None else self.best.camera
        others = self.best.runners_up if self.ended and self.others else ()
        places = _places(self.surface, *self.question) if self.ended and self.shaded and self.where != _FREE else None
        at = list(self.targets.values())
        return plain_targets(self.surface, at, self.names, self.ports, camera, self.focus, self.numbers, others, places)

    def bar(self):
        return _bar(self.best) if self.numbers else ""

    def shades(self):
        """What the colours of the places mean, while they show."""
        if not self.shaded or self.where == _FREE:
            return ""
        names = (*(f"{5 * i}°" for i in range(1, len(SHADES))), "more")
        return _key("Worst miss with a port there, less than:", zip(SHADES, names, strict=True), "var(--ergokit-shade)")

    def sentence(self):
        if not self.numbers:
            return HIDDEN
        best, words = self.best, ""
        if best is not None:
            words = best.sentence
            if best.found and not best.finished:  # the sentence itself is of a search that has ended or was stopped
                words = f"The best pair so far misses 60 by {best.worst_deviation:.1f} degrees at worst."
        return f'<div style="line-height: 18px">{html.escape(words)}</div>'

    def table(self):
        """One line a target."""
        if not self.numbers or self.best is None or not self.best.found:
            return ""
        table = self.best.by_target()
        shown = table[[name for name in _LISTED if name in table]].rename(columns=_LISTED)
        marks = ("✓" if good else "✗" for good in table["in range"])
        shown.insert(0, "target", [f"{mark} {name}" for mark, name in zip(marks, self.names, strict=True)])
        return with_buttons(shown.to_html(classes="ergokit-measures", index=False, border=0, float_format=_one_decimal))

    def foot(self):
        limits = ""
        if self.numbers and self.best is not None:
            limits = "✓ in range &nbsp;✗ outside; degrees and cm."
            if self.best.found and self.best.finished:
                limits += f" At their limit: {html.escape(', '.join(self.best.binding) or 'nothing')}."
        caution = " ".join([CAUTION, *([OF_A_DOME] if isinstance(self.surface, Dome) else [])])
        return f'<div class="ergokit-foot">{limits}</div><div class="ergokit-foot">{caution}</div>'

    def told(self):
        """What the picture shows, for somebody who cannot see it."""
        also = " and other good pairs" if self.others else ""
        said = f"The surface for the ports seen from above, with the targets, the best pair of ports found{also}."
        if self.numbers and self.best is not None and self.best.found:
            table = self.best.by_target()
            rows = zip(self.names, table["manipulation angle (deg)"], table["in range"], strict=True)
            each = "; ".join(f"{name} {angle:.1f} degrees, {'in' if good else 'out of'} range" for name, angle, good in rows)
            said = f"{said} {self.best.sentence} {each}."
        return unseen(html.escape(said))


class TargetsExplorer(RulesExplorer):
    """See `targets_explorer`."""

    #: The one whose search goes on: two would take each other's time, and one may be out of sight.
    _at_work: TargetsExplorer | None = None

    def __init__(self, start):
        self._asked, self._states, self._task = start.question, start.search, None
        for best in islice(start.search, _AT_ONCE):  # most sets of targets are answered before the reader sees the explorer
            start = start.found(start.question, best)
        super().__init__(start)
        self._keep_up()

    @property
    def best(self) -> BestPorts | None:
        """What is found for the current state; None until there is something."""
        return self.state.best

    # What the reader does

    def reset(self) -> None:
        """Back to where the explorer started; what was found meanwhile is kept."""
        self.dispatch(lambda state: replace(self.start, numbers=state.numbers, results=state.results | self.start.results))

    def stop(self) -> None:
        """Stop the search and keep what it has found."""
        if self.state.searching:
            self.dispatch(Course.halt)

    def finish(self) -> BestPorts:
        """Bring the search to its end, here and now, and return what it found."""
        while not self.state.ended:
            self._advance()
        return self.state.best

    # The search

    def dispatch(self, event, *given, draft=False):
        with self._lock:
            done = super().dispatch(event, *given, draft=draft)
            self._keep_up()
            return done

    def _keep_up(self):
        """Let the search that goes on be the one that the state asks for."""
        if self._asked != self.state.question:
            self._pause()
            self._asked, self._states = self.state.question, self.state.search
        if not self.state.searching:
            self._pause()
        elif self._task is None:
            try:
                loop = asyncio.get_running_loop()
            except RuntimeError:  # outside JupyterLab nothing goes on by itself; there is `finish`
                return
            if TargetsExplorer._at_work is not None:
                TargetsExplorer._at_work.stop()
            TargetsExplorer._at_work = self
            self._task = loop.create_task(self._run())

    async def _run(self):
        await asyncio.sleep(_PAUSE)  # a slider that is dragged moves again before, and cancels this
        while self.state.searching:
            self._advance()
            await asyncio.sleep(_PAUSE)

    def _advance(self):
        """Search a moment longer and show what is found; what was refused before stays refused."""
        asked, states = self._asked, self._states
        self.dispatch(Course.found, asked, next(states), draft=True)

    def _pause(self):
        if self._task is not None:
            self._task.cancel()
            self._task, TargetsExplorer._at_work = None, None

    # What is shown

    def build(self):
        rows = self.rule_rows(144, 76, 100)
        low, high = self.start.surface.bounds()
        tips = "right positive", "away from you positive"
        for axis, tip, least, most in zip(_AXES, tips, low, high, strict=False):
            self.controls[axis] = slider(axis, tip, least, most)
            self.bind(self.controls[axis], axis, Course.at, Course.move)
        self.target = choice([], "the target that the sliders move and the shafts point at", "158px")
        layout = Layout(width="306px", height="152px")
        self.target_list = w.Textarea(tooltip="one target a line: name: x, y, z", layout=layout)
        self.where = choice([_NO_CAMERA, *([_FIXED] if self.start.hole else []), _FREE], "where the camera is", "158px")
        self.others = tick("other good pairs", "other pairs that come near, and by how much they miss", "140px")
        self.shaded = tick("how good each place is", "shade each place by how good a port there can be", "176px")
        self.halt = button("stop", "stop the search, or go on with it", lambda: self.dispatch(Course.halt), "70px")
        self.bar, self.shades = w.HTML(layout=Layout(min_height="62px")), w.HTML(layout=Layout(min_height="16px"))
        self.sentence = w.HTML(layout=Layout(min_height="54px", margin="0 4px"))
        self.table, self.foot = w.HTML(layout=Layout(max_height="260px", overflow="auto")), w.HTML()
        self.picture = self.drawn(Course.drawing, about="The surface seen from above.")
        self.display(self.target, lambda state: state.names, trait="options")
        self.bind(self.target, "focus", trait="index")
        self.bind(self.target_list, "listed", draft=True)
        for name in ("where", "others", "shaded"):
            self.bind(getattr(self, name), name)
        for name in ("bar", "shades", "sentence", "table", "foot"):
            self.display(getattr(self, name), getattr(Course, name))
        self.display(self.description, Course.told)
        self.display(self.halt, lambda state: state.ended, trait="disabled")
        self.display(self.halt, lambda state: "stop" if state.searching or state.ended else "go on", trait="description")
        self.display(self.shaded, lambda state: state.where == _FREE, trait="disabled")
        for name in _OF_CAMERA:
            self.display(self.ticks[name], Course.idle, name, trait="disabled")
        return self._arranged(rows)

    def _arranged(self, rows):
        moves = [labelled(f"{axis} (cm)", self.controls[axis], "26px") for axis in _AXES]
        first = w.VBox([labelled("target to move", self.target), *moves, labelled("camera", self.where), *rows])
        use = button(
            "Use these targets", "search for the targets in the list", lambda: self.dispatch(Course.as_listed), "150px"
        )
        second = w.VBox([w.HTML("One a line, in cm: <code>hook: 0, 9, 0</code>"), self.target_list, use])
        tabs = w.Tab([first, second])
        tabs.titles = ("Move", "Targets")
        left = [
            group("Controls", "Move a target, or tick the rules to keep."),
            tabs,
            group("Numbers", "Each target with the ports found."),
            w.HBox([self.numbers, self.projector, self.restart]),
            self.table,
            self.foot,
        ]
        right = [
            group("Picture", "The best pair of ports found, and more if you ask:"),
            w.HBox([self.others, self.shaded]),
            w.HBox([self.halt, self.status]),
            self.bar,
            self.shades,
            self.sentence,
            self.picture,
            w.HTML(f'<div class="ergokit-foot">{_ORIGIN}</div>'),
        ]
        return [w.HBox([w.VBox(left, layout=Layout(width="350px", flex="0 0 auto")), w.VBox(right)])]

    def show(self, state):
        if state.question != self._asked:
            _ = state.search  # refused here, where it cannot be
        super().show(state)

    def follows(self):
        super().follows()
        if self._asked != self.state.question:
            raise AssertionError("what is searched for is not what the state asks for.")


@lru_cache(maxsize=8)
def _places(surface, targets, camera, rules):
    """How good a port can be at each place of a grid, seen from above: x, y and the values."""
    u, v, best = port_map(surface, targets, step=_GRID, camera=camera, rules=dict(rules))
    return surface.point(u, v[v.size // 2])[:, 0], surface.point(u[u.size // 2], v)[:, 1], best


def _one_decimal(value):
    return f"{value:z.1f}".replace("-", "−")


def _key(opening, shades, opacity="1"):
    """Shades with their names, in a line."""
    box = f"display: inline-block; width: 14px; height: 10px; margin: 0 3px 0 8px; opacity: {opacity}; background:"
    names = "".join(
        f'<span style="white-space: nowrap"><span style="{box} {shade}"></span>{name}</span>' for shade, name in shades
    )
    return f'<div class="ergokit-foot">{opening}{names}</div>'


def _bar(best):
    """The worst miss on a line of degrees: what no pair can do, what was found, and what lies open between."""
    low, high = advised("manipulation angle")
    bound, worst, words = 0.0, _FAR, "Nothing is found yet."
    if best is not None:
        bound = min(best.lower_bound, _FAR)
    if best is not None and best.found:
        worst = min(best.worst_deviation, _FAR)
        found, proved = round(best.worst_deviation, 1), floor(10 * best.lower_bound) / 10  # a bound is never rounded up
        words = f"Worst miss: found {found:.1f}°, proved at least {proved:.1f}°, open {found - proved:.1f}°."
    left, right, end = (f"{100 * value / _FAR:.1f}%" for value in (bound, worst, (high - low) / 2))
    at = "position: absolute; top: 0; height: 14px;"
    parts = [
        f"{at} background: {_HATCH}; left: 0; width: {left}",
        f"{at} background: {_OPEN}; left: {left}; right: calc(100% - {right})",
        f"{at} background: {_INK}; left: calc({right} - 2px); width: {0 if worst == _FAR else 4}px",
        f"position: absolute; top: 0; height: 18px; left: {end}; border-left: 3px dotted {_ADVISED}",
    ]
    line = "".join(f'<div style="{part}"></div>' for part in parts)
    ends = (
        f'<span>0°</span><span style="position: absolute; left: {end}; transform: translateX(-50%)">'
        f'{(high - low) / 2:g}°: end of {low:g} to {high:g}</span><span style="position: absolute; right: 0">{_FAR}°</span>'
    )
    key = _key("", [(_HATCH, "proved: no pair is here"), (_OPEN, "still open"), (_INK, "the best pair found")])
    return (
        f'<div role="img" aria-label="{words}" style="width: 470px; line-height: 16px; font-size: 12px">{words}'
        f'<div style="position: relative; height: 14px; background: {_TRACK}">{line}</div>'
        f'<div style="position: relative; height: 16px; margin-top: 2px">{ends}</div>{key}</div>'
    )

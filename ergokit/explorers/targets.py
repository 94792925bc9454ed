"""Many targets and the best pair of ports for all of them: found while you watch, with what is proved about any other pair."""

from __future__ import annotations

import asyncio
import html
from collections.abc import Mapping
from math import floor, isfinite
from typing import Literal

import ipywidgets as w
import numpy as np
from numpy.typing import ArrayLike

from ergokit import datasets
from ergokit._check import a, checked, flag, named_targets, one_word, points, refused, target_points
from ergokit._types import Rules
from ergokit._words import joined
from ergokit.explorers.cells import keep_one
from ergokit.explorers.controls import (
    HIDDEN,
    STYLE,
    Layout,
    button,
    choice,
    fit,
    labelled,
    named_points,
    on_grid,
    said,
    slider,
    toggle,
)
from ergokit.figures.layers import advised
from ergokit.figures.picture import Picture
from ergokit.figures.style import GREEN, GREY, INK, ORANGE, PALE
from ergokit.figures.targets import plain_targets
from ergokit.guidance.cautions import CAUTION, OF_A_DOME
from ergokit.guidance.quantities import ranges
from ergokit.search import BestPorts, best_ports_so_far, port_map
from ergokit.surfaces import Dome, Surface, WedgeBox

_AXES = ("target sideways", "target away")
_RULES = {  # quantity -> between what, unit, track, and the range it starts with
    "port spacing": ("between the two ports", " cm", (4, 40), (4, 16)),
    "port to camera": ("from each port to the camera", " cm", (2, 30), (5, 12)),
    "azimuth difference": ("between the left and the right instrument", "°", (0, 90), (0, 30)),
}
_OF_CAMERA = ("port to camera", "azimuth difference")
_NO_CAMERA, _FIXED, _FREE = "none", "in its camera hole", "anywhere: sought too"
_PAUSE = 0.03  # seconds between two slices of a search, in which the kernel hears the controls
_AT_ONCE = 8  # states of a search that are waited for where an explorer opens: few sets of targets need more
_GRID = 2  # cm, of the map
_FAR = 30  # degrees at the right end of the bar
_BOX = WedgeBox(44, 36, 27)
_COMPARED = ("target in focus", "in range", "out of range", "without ports", "left port", "right port", "left shaft", "camera")


@checked(surface=a(Surface), numbers=flag)
def targets_explorer(
    surface: Surface | None = None,
    targets: Mapping[str, ArrayLike] | ArrayLike | None = None,
    camera: ArrayLike | Literal["free"] | None = None,
    rules: Rules | None = None,
    numbers: bool = True,
) -> TargetsExplorer:
    """Explore the best pair of ports for many targets.

    A plan of `surface` with the targets, the best ports, other pairs that come near, and on request how good a port can be at
    each place. Move a target with two sliders or edit the list; tick rules and drag their ranges. The search goes on while you
    watch: a bar shows the best found and what is proved, and the gap between them shrinks. Stop it, or move on.

    `targets` maps names to points, or is points alone; an invented set unless given. `camera` is a point, "free" or None;
    `rules` maps any of "port spacing", "port to camera" and "azimuth difference" to (low, high). With `numbers=False` every
    value is hidden until the reader asks. The explorer's `.best` is what is found for where the controls stand.

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
    targets = named_targets("targets", targets)
    return TargetsExplorer(surface or _BOX, targets, camera, rules, numbers)


class TargetsExplorer(w.VBox):
    """See `targets_explorer`."""

    #: The one whose search goes on: two would take each other's time, and one may be out of sight.
    _at_work: TargetsExplorer | None = None

    def __init__(self, surface, targets, camera, rules, numbers):
        rules = {name: tuple(end if isfinite(end) else None for end in ends) for name, ends in ranges(rules, _RULES).items()}
        if camera is None and any(name in _OF_CAMERA for name in rules):
            raise refused("rules", f"{joined(_OF_CAMERA)} only where there is a camera", got="camera=None")
        self.surface = surface
        self.best = None  # what is found for where the controls stand; None until there is something
        self._start = {name: tuple(map(float, point)) for name, point in targets.items()}, camera, dict(rules)
        self._point = None if camera is None or isinstance(camera, str) else tuple(points("camera", camera).tolist())
        self._states = self._running = self._asked = None
        self._known, self._maps = {}, {}  # what was asked -> what was found, of searches that came to their end
        self._ports = None  # the pair that is drawn: the last one found
        self._settling = True  # while controls are moved to where things are, that is no move of the reader's
        self._build_controls(numbers)
        self._set_out()
        self.picture = Picture(plain_targets(surface, self._points, self._names), about="The surface seen from above.")
        self._search()
        for _ in range(_AT_ONCE):  # most sets of targets are answered before the reader sees the explorer
            if not self._advance():
                break
        super().__init__([STYLE, w.HBox([self._left(), self._right()]), self.description])
        self.add_class("ergokit")
        keep_one(self)
        self._settling = False
        self._observe()
        if self._states is not None:
            self.go_on()

    def __repr__(self):
        return "The explorer appears here once this cell has run (Shift + Enter)."

    # What it shows

    @property
    def targets(self) -> dict[str, tuple[float, float, float]]:
        """The targets as they stand: name -> point."""
        return dict(zip(self._names, map(tuple, self._points.tolist()), strict=True))

    @property
    def camera(self) -> ArrayLike | None:
        """As `best_ports` takes it: a point, "free" or None."""
        return {_NO_CAMERA: None, _FREE: "free"}.get(self.where.value, self._point)

    @property
    def rules(self) -> dict[str, tuple[float | None, float | None]]:
        """The ticked rules: quantity -> (low, high), None where there is no limit."""
        ticked = {name: self._ends(name) for name, box in self.ticks.items() if box.value and not box.disabled}
        return {name: ends for name, ends in ticked.items() if ends != (None, None)}

    @property
    def focus(self) -> int:
        """The number of the target in focus."""
        return self.target.index or 0

    def follows(self) -> None:
        """Raise AssertionError unless picture, bar and table show the targets and what is found (or the status why not)."""
        if "⚠" in self.status.value:
            return
        if self._asked != self._question():
            raise AssertionError("what is searched for is not what the controls say.")
        fresh = plain_targets(self.surface, self._points, self._names, self._ports, self._camera_drawn(), self.focus)
        for trace in fresh["data"]:
            if trace["name"] in _COMPARED:
                shown, found = (np.column_stack([each["x"], each["y"]]) for each in (self.picture.part(trace["name"]), trace))
                if shown.shape != found.shape or not np.allclose(shown.astype(float), found, atol=1e-4):
                    raise AssertionError(f"the picture shows {trace['name']} at {shown}; the library says {found}.")
        if self.best is not None and self.best.found:
            of_targets = self.best.by_target()[["x (cm)", "y (cm)", "z (cm)"]].to_numpy()
            if not np.array_equal(of_targets, self._points) or not np.array_equal(self._ports, _pair(self.best)):
                raise AssertionError("the ports shown are not those found for the targets shown.")
        if self._words() != (self.bar.value, self.sentence.value, self.table.value, self.foot.value):
            raise AssertionError("bar, sentence and table do not say what is found.")

    # What the reader does

    def reset(self) -> None:
        """Back to where the explorer started."""
        self._settling = True
        self._set_out()
        self._settling = False
        self._search()
        self.go_on()

    def use_targets(self) -> None:
        """Search for the targets that are listed, one a line: name: x, y, z."""
        try:
            found = named_points(self.target_list.value)
            best_ports_so_far(self.surface, [point for _, point in found], camera=self.camera, rules=self.rules)
        except ValueError as error:
            self.stop()
            self._say(str(error), wrong=True)
            return
        self._settling = True
        self._place(dict(found))
        self._settling = False
        self._search()
        self.go_on()

    def stop(self) -> None:
        """Stop the search and keep what it has found; `go_on` takes it up again."""
        self._pause()
        self._show()

    def go_on(self) -> None:
        """Go on with the search while the kernel has nothing else to do; it hears every control meanwhile."""
        if self._states is None or self._running is not None:
            return
        if TargetsExplorer._at_work is not None:
            TargetsExplorer._at_work.stop()
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:  # outside JupyterLab nothing goes on by itself; there is `finish`
            return
        TargetsExplorer._at_work = self
        self._running = loop.create_task(self._run())
        self._show()

    def finish(self) -> BestPorts:
        """Bring the search to its end, here and now, and return what it found."""
        self._pause()
        while self._advance():
            pass
        return self.best

    # The search

    def _question(self):
        rules = tuple((name, *ends) for name, ends in self.rules.items())
        camera = self.camera if isinstance(self.camera, str) or self.camera is None else tuple(self.camera)
        return tuple(map(tuple, self._points.tolist())), camera, rules

    def _search(self):
        """Drop the search that goes on for the one that the controls ask for; the ports stay until there are others."""
        self._pause()
        self._asked, self._states, self.best = self._question(), None, None
        self._limit_controls()
        try:
            states = best_ports_so_far(self.surface, self._points, camera=self.camera, rules=self.rules)
        except ValueError as error:
            self.halt.disabled = True
            self._say(str(error), wrong=True)
            return
        self.best = self._known.get(self._asked)
        if self.best is None:
            self._states = states
        self._show()

    def _advance(self):
        """Search a moment longer and show what is found; False once there is nothing more to find."""
        if self._states is None:
            return False
        self.best = next(self._states)
        if self.best.finished:
            self._states, self._known[self._asked] = None, self.best
        self._show()
        return not self.best.finished

    async def _run(self):
        await asyncio.sleep(_PAUSE)  # a slider that is dragged moves again before, and cancels this
        while self._advance():
            await asyncio.sleep(_PAUSE)
        self._pause()

    def _pause(self):
        if self._running is not None:
            self._running.cancel()
            self._running = None
        if TargetsExplorer._at_work is self:
            TargetsExplorer._at_work = None

    def _move(self, axis, value):
        if self._settling or abs(value - on_grid(self.controls[_AXES[axis]], self._points[self.focus, axis])) < 1e-6:
            return
        self._points = self._points.copy()  # what was found before keeps its own
        self._points[self.focus, axis] = value
        self._write_list()
        self._search()
        self.go_on()

    def _ask_anew(self):
        if not self._settling:
            self._search()
            self.go_on()

    # How it is shown

    def _show(self):
        """Let the picture and the words follow; compute all before anything moves."""
        found, ended = (False, False) if self.best is None else (self.best.found, bool(self.best.finished))
        if self.best is not None:
            self._ports = _pair(self.best) if found else None
        others = self.best.runners_up if found and ended and self.others.value else ()
        places = self._map() if ended and self.map.value and not self.map.disabled else None
        camera, numbers = self._camera_drawn(), self.numbers.value
        about = self._points, self._names, self._ports, camera, self.focus, numbers, others, places
        self.picture.show(plain_targets(self.surface, *about))
        self.bar.value, self.sentence.value, self.table.value, self.foot.value = self._words()
        self.halt.description = "go on" if self._running is None and not ended else "stop"
        self.halt.disabled = ended
        self.description.value = f'<div class="ergokit-description">{html.escape(self._told())}</div>'
        self._say(self._notice(ended, places is not None))

    def _notice(self, ended, mapped):
        if not ended:
            return "Searching; move anything to search anew." if self._running else "Not at its end: press go on."
        return "Worst miss with a port there: under 5, 10, 15°, and in grey 20, 25° or more." if mapped else ""

    def _say(self, message, wrong=False):
        self.status.value = said(message, wrong)

    def _camera_drawn(self):
        if self.camera == "free":
            return None if self.best is None else self.best.camera
        return self.camera

    def _map(self):
        """How good a port can be at each place of a grid, seen from above: x, y and the values."""
        if self._asked not in self._maps:
            u, v, best = port_map(self.surface, self._points, step=_GRID, camera=self.camera, rules=self.rules)
            x, y = self.surface.point(u, v[v.size // 2])[:, 0], self.surface.point(u[u.size // 2], v)[:, 1]
            self._maps[self._asked] = x, y, best
        return self._maps[self._asked]

    def _words(self):
        """Bar, sentence and table of what is found, and what stands below the table."""
        caution = " ".join([CAUTION, *([OF_A_DOME] if isinstance(self.surface, Dome) else [])])
        foot = f'<div class="ergokit-foot">{caution}</div>'
        if not self.numbers.value:
            return "", HIDDEN, "", foot
        if self.best is None:
            return _bar(None), "", "", foot
        sentence = self.best.sentence
        if self.best.found and not self.best.finished:  # the sentence itself is of a search that has ended or was stopped
            sentence = f"So far the best pair misses 60 by {self.best.worst_deviation:.1f} degrees at worst."
        limits = (
            f"At their limit: {', '.join(self.best.binding) or 'nothing'}." if self.best.found and self.best.finished else ""
        )
        table = _table(self._names, self.best.by_target()) if self.best.found else ""
        key = f'<div class="ergokit-foot">✓ in range &nbsp;✗ outside; degrees and cm. {html.escape(limits)}</div>'
        return _bar(self.best), f'<div style="line-height: 18px">{html.escape(sentence)}</div>', table, key + foot

    def _told(self):
        """What the picture shows, for somebody who cannot see it."""
        opening = "The surface for the ports seen from above, with the targets, the best pair of ports found, and other pairs."
        if not self.numbers.value or self.best is None or not self.best.found:
            return opening
        table = self.best.by_target()
        rows = zip(self._names, table["manipulation angle (deg)"], table["in range"], strict=True)
        targets = "; ".join(f"{name} {angle:.1f} degrees, {'in' if good else 'out of'} range" for name, angle, good in rows)
        return f"{opening} {self.best.sentence} {targets}."

    # How it is built

    def _build_controls(self, numbers):
        low, high = self.surface.bounds()
        tips = "right positive", "away from the operator positive"
        self.controls = {name: slider(name, tips[i], low[i], high[i]) for i, name in enumerate(_AXES)}
        self.ticks, self.ranges = {}, {}
        for name, (tip, _, (low, high), start) in _RULES.items():
            looks = {
                "readout": False,
                "tooltip": f"{name}: the range this rule allows, {tip}; no limit at the end of the track",
            }
            looks["layout"] = Layout(width="86px", margin="0")
            self.controls[name] = w.FloatRangeSlider(value=start, min=low, max=high, step=0.5, **looks)
            looks = {"indent": False, "layout": Layout(width="150px", margin="0")}
            self.ticks[name] = w.Checkbox(description=name, tooltip=f"hold to the rule on {name}", **looks)
            self.ranges[name] = w.Label(layout=Layout(width="92px"))
        self.target = choice(list(self._start[0]), "the target in focus", "158px")
        layout = Layout(width="306px", height="152px")
        self.target_list = w.Textarea(tooltip="one target a line: name: x, y, z", layout=layout)
        self.where = choice([_NO_CAMERA, *([_FIXED] if self._point else []), _FREE], "where the camera is", "158px")
        self.others = toggle("others", "other pairs that come near, and by how much they miss", "70px", True)
        self.map = toggle("map", "how good a port can be at each place, the other one being where it suits best", "60px")
        self.numbers = toggle("numbers", "show or hide every value", "80px", numbers)
        self.halt = button("stop", "stop the search, or go on with it", self._halt, "70px")
        self.status = w.HTML(layout=Layout(min_height="28px"))
        self.bar = w.HTML(layout=Layout(min_height="44px"))
        self.sentence = w.HTML(layout=Layout(min_height="58px", margin="0 4px"))
        self.table, self.foot = w.HTML(layout=Layout(max_height="300px", overflow="auto")), w.HTML()
        self.description = w.HTML(layout=Layout(height="0"))

    def _set_out(self):
        """Put targets and controls where the explorer starts."""
        targets, camera, rules = self._start
        self._place(targets)
        self.where.value = _FREE if isinstance(camera, str) else _FIXED if self._point else _NO_CAMERA
        for name, (_, _, track, start) in _RULES.items():
            ends = rules.get(name, start)
            self.ticks[name].value = name in rules
            self.controls[name].value = tuple(
                at if end is None else on_grid(self.controls[name], end) for end, at in zip(ends, track, strict=True)
            )

    def _place(self, targets):
        """Take other targets, name -> point."""
        self._names, self._points = list(targets), np.array(list(targets.values()), dtype=float)
        self.target.options = self._names
        self._write_list()
        self._focus()

    def _write_list(self):
        lines = (f"{name}: {', '.join(f'{part:g}' for part in point)}" for name, point in self.targets.items())
        self.target_list.value = "\n".join(lines)

    def _focus(self):
        """Move the sliders to the target in focus."""
        settling, self._settling = self._settling, True
        for axis, name in enumerate(_AXES):
            fit(self.controls[name], self._points[self.focus, axis])
        self._settling = settling

    def _look_at(self):
        if not self._settling:
            self._focus()
            self._show()

    def _halt(self):
        if self._running is None:
            self.go_on()
        else:
            self.stop()

    def _limit_controls(self):
        """Say what each rule allows; those of the camera wait for one, and a map for a camera that stays."""
        for name, words in self.ranges.items():
            words.value = _range_in_words(*self._ends(name), _RULES[name][1])
        for name in _OF_CAMERA:
            self.ticks[name].disabled = self.where.value == _NO_CAMERA
        self.map.disabled = self.where.value == _FREE

    def _ends(self, name):
        """The ends of a rule's range, None at an end of the track; on its grid, as a browser reports 15.000000000000002."""
        low, high = (on_grid(self.controls[name], end) for end in self.controls[name].value)
        least, most = _RULES[name][2]
        return None if low <= least else low, None if high >= most else high

    def _observe(self):
        for axis, name in enumerate(_AXES):
            self.controls[name].observe(lambda change, axis=axis: self._move(axis, change["new"]), "value")
        for control in (*(self.controls[name] for name in _RULES), *self.ticks.values(), self.where):
            control.observe(lambda change: self._ask_anew(), "value")
        for control in (self.others, self.map, self.numbers):
            control.observe(lambda change: self._show(), "value")
        self.target.observe(lambda change: self._look_at(), "index")

    def _left(self):
        rules = [
            w.HBox([self.ticks[name], self.controls[name], self.ranges[name]], layout=Layout(height="28px")) for name in _RULES
        ]
        moves = [labelled(f"{name} (cm)", self.controls[name], "28px") for name in _AXES]
        first = w.VBox([labelled("target in focus", self.target), *moves, labelled("camera", self.where), *rules])
        use = button("Use these targets", "search for the targets in the list", self.use_targets, "150px")
        second = w.VBox([w.HTML("One a line, in cm: <code>hook: 0, 9, 0</code>"), self.target_list, use])
        tabs = w.Tab([first, second])
        tabs.titles = ("Move", "Targets")
        return w.VBox([tabs, self.table, self.foot], layout=Layout(width="350px", flex="0 0 auto"))

    def _right(self):
        reset = button("reset", "back to where we started", self.reset, "70px")
        row = w.HBox([self.halt, self.others, self.map, self.numbers, reset])
        return w.VBox([row, self.status, self.bar, self.sentence, self.picture])


def _pair(best):
    return np.stack([best.left_port, best.right_port])


def _range_in_words(low, high, unit):
    if low is None and high is None:
        return "no limit"
    if low is None or high is None:
        return f"at most {high:g}{unit}" if low is None else f"at least {low:g}{unit}"
    return f"{low:g} to {high:g}{unit}"


def _table(names, table):
    """One line a target."""
    columns = ["manipulation angle (deg)", "deviation (deg)", "length inside left (cm)", "length inside right (cm)"]
    heads = ["angle", "off 60", "inside left", "inside right"]
    if "working distance (cm)" in table:
        columns, heads = [*columns, "working distance (cm)"], [*heads, "to lens"]
    lines = []
    for name, good, values in zip(names, table["in range"], table[columns].to_numpy(), strict=True):
        cells = "".join(f"<td>{value:z.1f}</td>".replace("-", "−") for value in values)
        lines.append(f"<tr><td>{'✓' if good else '✗'} {html.escape(name)}</td>{cells}</tr>")
    head = "".join(f"<th>{words}</th>" for words in ("target", *heads))
    return f'<table class="ergokit-measures"><tr>{head}</tr>{"".join(lines)}</table>'


def _bar(best):
    """The worst miss on a line of degrees: what no pair can do, what was found, and what lies open between."""
    low, high = advised("manipulation angle")
    allowed = (high - low) / 2
    bound, worst = 0.0, _FAR
    words = "Nothing is found yet."
    if best is not None:
        bound = min(best.lower_bound, _FAR)
    if best is not None and best.found:
        worst = min(best.worst_deviation, _FAR)
        found, proved = round(best.worst_deviation, 1), floor(10 * best.lower_bound) / 10  # a bound is never rounded up
        words = f"Worst miss: found {found:.1f}°, proved at least {proved:.1f}°, open {found - proved:.1f}°."
    left, right, end = (f"{100 * value / _FAR:.1f}%" for value in (bound, worst, allowed))
    strip = "position: absolute; top: 0; height: 14px; background:"
    hatch = f"repeating-linear-gradient(135deg, {GREY} 0 2px, #FFFFFF 2px 6px)"
    parts = [
        f"{strip} {hatch}; left: 0; width: {left}",
        f"{strip} {ORANGE}; left: {left}; right: calc(100% - {right})",
        f"{strip} {INK}; left: calc({right} - 2px); width: 4px",
        f"position: absolute; top: 0; height: 18px; left: {end}; border-left: 3px dotted {GREEN}",
    ]
    if best is None or not best.found:
        parts.pop(2)
    line = "".join(f'<div style="{part}"></div>' for part in parts)
    ends = (
        f'<span>0°</span><span style="position: absolute; left: {end}; transform: translateX(-50%); color: {GREEN}">'
        f'{allowed:g}°: end of {low:g} to {high:g}</span><span style="position: absolute; right: 0">{_FAR}°</span>'
    )
    return (
        f'<div role="img" aria-label="{words}" style="width: 470px; line-height: 16px; font-size: 12px">{words}'
        f'<div style="position: relative; height: 14px; background: {PALE}">{line}</div>'
        f'<div style="position: relative; height: 16px; margin-top: 2px">{ends}</div></div>'
    )

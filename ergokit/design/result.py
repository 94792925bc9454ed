"""A designed box: its holes and placement, what the phone sees, what is not met and why."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cached_property
from typing import Any

import numpy as np

from ergokit import triangulation as tri
from ergokit.design.layouts import ROUNDING, Panel, above_panel, box_words, on_panel, values
from ergokit.design.phone import Phone
from ergokit.design.search import SIDES, best, chosen, smallest
from ergokit.design.wish import RULES, Wish
from ergokit.guidance import CAUTION, conflicts
from ergokit.guidance.quantities import named_in, unit_of
from ergokit.placement import Placement
from ergokit.surfaces import FlatBox, WedgeBox
from ergokit.terms import with_entries_in_list
from ergokit.view import Camera, width_seen

_HOLES = ("left port", "right port", "camera hole")


@dataclass(frozen=True, eq=False, repr=False)
class BoxDesign:
    """A box with its holes, as `design_box` gives it.

    box, placement, phone
        the `WedgeBox` or `FlatBox`, the `Placement` in it (whose measures `judge` gives with their verdicts) and the `Phone`
        on it
    holes
        name -> (u, v) in cm on the box's first face, of "left port", "right port" and "camera hole"
    hole
        the diameter of a port hole, in cm
    rules
        quantity -> (low, high), infinite where there is no limit
    not_met
        a sentence for each rule or limit of the phone that is not met; empty if all are met
    """

    box: WedgeBox | FlatBox
    placement: Placement
    phone: Phone
    holes: dict[str, tuple[float, float]]
    hole: float
    rules: dict[str, tuple[float, float]]
    not_met: tuple[str, ...]
    _wish: Wish

    @property
    def camera(self) -> Camera:
        """The phone in its place on the panel, as an `ergokit.view.Camera`."""
        return self.phone.camera(self.placement.camera, Panel.of(self.box).normal)

    @property
    def picture_centre(self) -> np.ndarray:
        """Where the middle of the picture falls on the floor, (x, y, z) in cm."""
        return self.camera.on_plane((0, 0))

    @property
    def picture_width(self) -> float:
        """The width of the floor that the picture shows, through its middle, in cm."""
        away = tri.working_distance(self.placement.camera, self.picture_centre)
        return float(width_seen(away, self.phone.field_of_view))

    @property
    def sees(self) -> np.ndarray:
        """What the phone sees of each target: 'seen', 'too near', 'out of view' or 'behind'."""
        return np.atleast_1d(self.camera.sees(self.placement.targets))

    @property
    def distance_less_depth(self) -> np.ndarray:
        """Working distance less the triangle's depth, one for each target, in cm: negative where the lens is the nearer."""
        p = self.placement
        return np.subtract(tri.working_distance(p.camera, p.targets), tri.depth(p.left_port, p.right_port, p.targets))

    def arguments(self) -> dict[str, Any]:
        """The arguments with which `design_box` makes this design again.

        >>> from ergokit.design import design_box
        >>> design = design_box(WedgeBox(44, 36, 27))
        >>> design_box(**design.arguments()).holes == design.holes
        True
        """
        wish = {each.name: getattr(self._wish, each.name) for each in fields(self._wish)}
        limits = {name: tuple(None if np.isinf(end) else end for end in ends) for name, ends in self.rules.items()}
        dropped = dict.fromkeys(RULES.keys() - limits.keys())
        ports = [self.holes["left port"], self.holes["right port"]]
        return (
            {"carton": self.box, "ports": ports, "camera_hole": self.holes["camera hole"]} | wish | {"rules": limits | dropped}
        )

    @cached_property
    def why(self) -> tuple[str, ...]:
        """Sentences on why a rule is not met: rules that clash in any box, or other holes or a carton that would meet all."""
        if not self.not_met:
            return ()
        if clashes := self._clashes():
            return clashes
        panel = Panel.of(self.box)
        other = best(panel, self._wish, chosen(panel, self._wish, None, None))
        if other is not None and not designed(panel, self._wish, other).not_met:
            (_, up), (half, _), (_, camera_hole) = (part[0] - [0, panel.low] for part in other)
            return (
                f"Other holes in this carton meet all the rules. The ports are {half:.1f} cm to either side of the centre line "
                f"and {up:.1f} cm from the {self._edge}, and the camera hole is {camera_hole:.1f} cm from that edge.",
            )
        kind = type(self.box)
        box = smallest(kind, self._wish)
        if box is None:
            return (f"No {kind.__name__} with sides up to {SIDES[-1]} cm meets all the rules.",)
        return (f"The smallest carton that meets all the rules is {box_words(box)}.",)

    def _clashes(self):
        p, nearest = self.placement, self.phone.close_focus
        _, farthest = self.rules.get("working distance", (0.0, np.inf))
        if nearest > farthest:
            return (f"The phone is sharp from {nearest:g} cm on, and the working distance must be at most {farthest:g} cm.",)
        rules = {name: ends for name, ends in self.rules.items() if name in named_in("conflicts")}
        above = self.holes["camera hole"][1] - self.holes["left port"][1]
        centred = len(p.targets) == 1 and tri.off_centre_angle(p.camera, p.targets[0], aim=p.aim) < 0.1
        if not rules or not centred or above < 0 or p.shafts[0] != p.shafts[1]:
            return ()
        found = conflicts(rules, p.instrument_length, p.handle_reach, above)
        return tuple(f"With the camera hole {above:.1f} cm above the ports {clash.words}." for clash in found.clashes)

    def __repr__(self):
        return "\n".join(self._lines("", "", "  ", "    "))

    def _repr_markdown_(self):
        return with_entries_in_list("\n".join(self._lines("\n", "**", "- ", "  ")))

    def _lines(self, gap, strong, item, more):
        p, low = self.placement, self.box.outline_uv()[:, 1].min()
        yield f"{strong}Holes in {box_words(self.box)}{strong}, from the centre line and from the {self._edge}:{gap}"
        for name, (u, v) in self.holes.items():
            side = "on the centre line" if u == 0 else f"{abs(u):.1f} cm to the {'right' if u > 0 else 'left'}"
            yield f"{item}{name}: {side}, {v - low:.1f} cm from the edge"
        yield f"{gap}The phone looks straight into the box, square to the panel:{gap}"
        x, y, _ = self.picture_centre
        sideways = f" and {x:.1f} cm sideways" if abs(x) > 0.05 else ""
        floor = f"{y - self.box.bounds()[0, 1]:.1f} cm from the panel's foot{sideways}"
        yield f"{item}the middle of its picture falls on the floor {floor}, where it shows {self.picture_width:.1f} cm across"
        theta = tri.manipulation_angle(p.left_port, p.right_port, p.targets)
        off = tri.off_centre_angle(p.camera, p.targets, aim=p.aim)
        d = tri.working_distance(p.camera, p.targets)
        left, right = (tri.entry_angle(port, p.targets, p.panel_normal) for port in (p.left_port, p.right_port))
        for i, (seen, less) in enumerate(zip(self.sees, self.distance_less_depth, strict=True)):
            name = "target" if len(theta) == 1 else f"target {i + 1}"
            compared = f"{abs(less):.1f} cm {'less' if less < 0 else 'more'} than the triangle's depth"
            entry = f"{left[i]:.1f} and {right[i]:.1f}"
            yield f"{item}{name}: {seen}, {off[i]:.1f} degrees off the middle, {d[i]:.1f} cm away, {compared};"
            yield f"{more}the instruments meet at {theta[i]:.1f} degrees and lean {entry} degrees at the ports"
        if self.not_met:
            yield f"{gap}Not met:{gap}"
            yield from (f"{item}{sentence}" for sentence in (*self.not_met, *self.why))
        else:
            yield f"{gap}All rules are met."
        yield f"{gap}{CAUTION}"

    @property
    def _edge(self):
        """From where all is measured up the panel."""
        return "panel's lower edge" if isinstance(self.box, WedgeBox) else "lid's front edge"


# What came of it


def designed(panel, wish, layout):
    targets = wish.targets_of(panel, layout)
    left, right, camera = (panel.point(part)[0] for part in layout)
    placement = Placement(
        left,
        right,
        targets[0] if targets.shape[1] > 1 else targets[0, 0],
        camera,
        aim=-panel.normal,
        instrument_length=wish.instrument_length,
        handle_reach=wish.handle_reach,
        panel_normal=panel.normal,
    )
    holes = {name: tuple(part[0].tolist()) for name, part in zip(_HOLES, layout, strict=True)}
    not_met = (*_broken_rules(panel, wish, layout, targets), *_unseen(panel, wish, layout, targets))
    for obstacles in (on_panel, above_panel):
        found = obstacles(panel, wish, layout, targets)
        not_met += tuple(f"{words[0].upper()}{words[1:]}." for words, wrong in found if wrong.any())
    return BoxDesign(panel.box, placement, wish.phone, holes, wish.hole, wish.rules, not_met, wish)


def _broken_rules(panel, wish, layout, targets):
    for name, value in values(panel, wish, layout, targets).items():
        low, high = wish.rules[name]
        wrong = ~((value >= low - ROUNDING) & (value <= high + ROUNDING))
        for side, target in zip(*np.nonzero(wrong[:, 0]), strict=True):
            of = f" of the {('left', 'right')[side]} instrument" if len(value) == 2 else ""
            at = f" at target {target + 1}" if value.shape[2] > 1 else ""
            got, unit = value[side, 0, target], unit_of(name)
            way, end = ("at least", low) if got < low else ("at most", high)
            yield (
                f"The {name}{of}{at} is {_told(got, end, unit)}{unit}; the "
                f"rule asks for {way} {f'{end:g}' if unit else f'{end:.2f}'}."
            )


def _unseen(panel, wish, layout, targets):
    camera = wish.phone.camera(panel.point(layout.camera_hole)[0], panel.normal)
    words = {
        "too near": f"nearer than the phone's close focus of {wish.phone.close_focus:g} cm",
        "out of view": "out of the picture",
        "behind": "behind the phone",
    }
    for i, seen in enumerate(camera.sees(targets[0])):
        if seen != "seen":
            yield f"{'The target' if targets.shape[1] == 1 else f'Target {i + 1}'} is {words[seen]}."


def _told(value, limit, unit):
    """With one decimal, a ratio with two, or with more where that tells it from the limit."""
    texts = (f"{value:.{decimals}f}" for decimals in range(1 if unit else 2, 5))
    return next((text for text in texts if float(text) != round(limit, 4)), f"{value:g}")

"""Many layouts of holes on one panel at once: what they measure, what they leave to spare, what is in their way."""

from typing import NamedTuple

import numpy as np

from ergokit import triangulation as tri
from ergokit.surfaces import FlatBox, WedgeBox

ROUNDING = 1e-9

# In cm. The first is from memory, the others are this kit's own choice, no source.
_BARE_HOLE = 2  # of shaft that a handle needs outside a hole
MARGIN = 2  # of card between a hole and the panel's edge
BRIDGE = 1  # of card between two holes
_CLEAR = 1  # between the phone and a shaft or its hole
HAND = 5  # between the phone and the middle of a hand: half a fist


class Layouts(NamedTuple):
    """m layouts, each three places (u, v) on the panel: shapes (m, 2)."""

    left: np.ndarray
    right: np.ndarray
    camera_hole: np.ndarray

    def of(self, which):
        return Layouts(*(part[which] for part in self))


class Panel(NamedTuple):
    """The first face of a box: its normal, half its width, its lower and its upper edge."""

    box: WedgeBox | FlatBox
    normal: np.ndarray
    half: float
    low: float
    high: float

    @classmethod
    def of(cls, box):
        outline = box.outline_uv()
        (_, low), (half, high) = outline.min(axis=0), outline.max(axis=0)
        return cls(box, box.normal(0, low), float(half), float(low), float(high))

    def point(self, uv):
        return self.box.point(uv[:, 0], uv[:, 1])

    def uvw(self, point):
        """Along the panel, up it and out of it."""
        out = (point - self.box.point(0, self.low)) @ self.normal
        return np.concatenate([self.box.uv(point), out[..., None]], axis=-1)


class View(NamedTuple):
    """Everything that a measure of many layouts needs: both ports (2, m, 1, 3), points (m, 1, 3), targets (m or 1, n, 3)."""

    ports: np.ndarray
    camera: np.ndarray
    target: np.ndarray
    panel_normal: np.ndarray
    shafts: np.ndarray
    reach: float


#: Of each quantity a rule may name: its values for all layouts and targets, for each side where it has sides.
MEASURES = {
    "manipulation angle": lambda v: tri.manipulation_angle(v.ports[0], v.ports[1], v.target),
    "port spacing": lambda v: tri.port_spacing(*v.ports),
    "length inside": lambda v: tri.inserted_length(v.ports, v.target),
    "depth": lambda v: tri.depth(v.ports[0], v.ports[1], v.target),
    "working distance": lambda v: tri.working_distance(v.camera, v.target),
    "inside : outside": lambda v: tri.length_ratio(v.ports, v.target, v.shafts[:, None, None]),
    "handle separation": lambda v: tri.handle_separation(
        v.ports[0], v.ports[1], v.target, v.shafts[0], v.reach, right_instrument_length=v.shafts[1]
    ),
    "elevation angle": lambda v: tri.elevation_angle(v.ports, v.target),
    "lean at the port": lambda v: tri.entry_angle(v.ports, v.target, v.panel_normal),
    "off-centre angle": lambda v: tri.off_centre_angle(v.camera, v.target, aim=-v.panel_normal),
}


def seen_as(panel, wish, layouts, targets):
    left, right, camera = (panel.point(part)[:, None] for part in layouts)
    return View(np.stack([left, right]), camera, targets, panel.normal, wish.instrument_length, wish.handle_reach)


def values(panel, wish, layouts, targets):
    """Quantity -> values of shape (sides, m, n)."""
    view = seen_as(panel, wish, layouts, targets)
    shape = (len(layouts.left), targets.shape[1])
    found = {}
    for name in wish.rules:
        value = MEASURES[name](view)
        found[name] = np.broadcast_to(value, (*value.shape[:-2], *shape)).reshape(-1, *shape)
    return found


def room(panel, wish, layouts, targets):
    """What each rule, and the phone, leaves to spare at its worst target, shape (rules + 2, m); below 0 it is not met.

    1 in the middle of a range and 0 at its ends; a limit on one side leaves a share of itself, at most 1. The manipulation
    angle, which has a wanted value, is only met or not.
    """
    rooms = []
    for name, value in values(panel, wish, layouts, targets).items():
        share = _share(value, *wish.rules[name]).min(axis=(0, 2))
        rooms.append(np.where(share >= -ROUNDING, 1.0, -1.0) if name == "manipulation angle" else share)
    lens = wish.phone.camera((0, 0, 0), panel.normal)
    from_lens = targets - panel.point(layouts.camera_hole)[:, None]
    across = np.abs(lens.project(from_lens)) * [1, lens.shape]
    in_view = 1 - np.nan_to_num(across.max(axis=-1), nan=2.0)
    along = from_lens @ lens.axis
    sharp = _share(along, lens.close_focus, np.inf) if lens.close_focus else np.where(along > 0, 1.0, -1.0)
    return np.stack([*rooms, in_view.min(axis=-1), sharp.min(axis=-1)])


def _share(value, low, high):
    value = np.nan_to_num(value, nan=-np.inf if high == np.inf else np.inf)
    if np.isfinite(low) and np.isfinite(high):
        half = max((high - low) / 2, ROUNDING)
        return np.minimum(value - low, high - value) / half
    if np.isfinite(low):
        return np.minimum((value - low) / (abs(low) or 1.0), 1.0)
    return np.minimum((high - value) / (abs(high) or 1.0), 1.0) if np.isfinite(high) else np.ones_like(value)


def fitting(panel, wish, layouts, targets):
    """Those layouts, and their targets, whose holes, phone and hands have room."""
    for obstacles in (on_panel, above_panel):
        if len(layouts.left):
            wrong = [where for _, where in obstacles(panel, wish, layouts, targets)]
            layouts, targets = kept(layouts, targets, ~np.any(wrong, axis=0))
    return layouts, targets


def kept(layouts, targets, keep):
    return layouts.of(keep), targets if len(targets) == 1 else targets[keep]


def on_panel(panel, wish, layouts, targets, flat=True):
    """Yield what is in the way on the panel, in words, and in which layouts; of the phone only where it lies `flat` on it."""
    phone, radius = wish.phone, wish.hole / 2
    left, low, right, high = phone.body
    low = phone.ledge[1]
    for name, port in (("left", layouts.left), ("right", layouts.right)):
        u, v = port.T
        card = np.minimum(panel.half - np.abs(u), np.minimum(v - panel.low, panel.high - v)) - radius
        yield f"the {name} port has less than {MARGIN} cm of card between it and the panel's edge", card < MARGIN - ROUNDING
        card = gap(layouts.camera_hole - port, phone.camera_hole, wish.hole)
        yield f"the {name} port has less than {BRIDGE} cm of card between it and the camera hole", card < BRIDGE - ROUNDING
        if not flat:
            continue
        from_middle = port - layouts.camera_hole - [(left + right) / 2, (low + high) / 2]
        card = gap(from_middle, (right - left, high - low), wish.hole)
        yield f"the {name} port is within {_CLEAR} cm of the phone or its ledge", card < _CLEAR - ROUNDING
    if not flat:
        return
    u, v = layouts.camera_hole.T
    over = (u + left < -panel.half) | (u + right > panel.half) | (v + low < panel.low) | (v + high > panel.high)
    yield "the phone or its ledge reaches over the panel's edge", over


def above_panel(panel, wish, layouts, targets, flat=True):
    """Yield what is in the way above the panel, or of the instruments, in words, and in which layouts."""
    phone, view = wish.phone, seen_as(panel, wish, layouts, targets)
    lens, target = panel.uvw(view.camera), panel.uvw(targets)
    for name, port, shaft in zip(("left", "right"), view.ports, view.shafts, strict=True):
        inside = tri.inserted_length(port, targets)
        short = inside > shaft - _BARE_HOLE
        yield f"the {name} shaft has less than {_BARE_HOLE} cm outside", short.any(axis=-1)
        if not flat:
            continue
        place = panel.uvw(port)
        outwards = (place - target) / inside[..., None]
        # Only the part of the shaft that is low enough to come near the phone. The distance to a body without hollows has one
        # minimum along a line, so a few places tell it.
        low = np.minimum((phone.thickness + _CLEAR) / np.maximum(outwards[..., 2], ROUNDING), np.maximum(shaft - inside, 0))
        along = low * np.linspace(0, 1, 9)[:, None, None]
        near = _from_body(place + along[..., None] * outwards - lens, phone) < _CLEAR - ROUNDING
        yield f"the {name} shaft comes within {_CLEAR} cm of the phone", near.any(axis=(0, 2))
        out = np.maximum(shaft - inside, 0) + wish.handle_reach
        near = _from_body(place + out[..., None] * outwards - lens, phone) < HAND - ROUNDING
        yield f"the {name} hand comes within {HAND} cm of the phone", near.any(axis=-1)


def _from_body(from_lens, phone):
    """Distance from places, counted along, up and out from the lens, to the phone's body."""
    left, low, right, high = phone.body
    centre = np.array([(left + right) / 2, (low + high) / 2, phone.thickness / 2])
    half = np.array([(right - left) / 2, (high - low) / 2, phone.thickness / 2])
    return np.linalg.norm(np.maximum(np.abs(from_lens - centre) - half, 0), axis=-1)


def gap(apart, sides, hole):
    """Card between a rectangle and a hole, their middles `apart` in (u, v), in cm; 0 or less where they overlap."""
    beyond = np.maximum(np.abs(apart) - np.divide(sides, 2), 0)
    return np.hypot(beyond[..., 0], beyond[..., 1]) - hole / 2


def symmetric(half, v, camera_hole):
    return Layouts(np.stack([-half, v], axis=-1), np.stack([half, v], axis=-1), camera_hole)


def box_words(box):
    if isinstance(box, WedgeBox):
        return f"a wedge box of ridge {box.ridge:g}, side a {box.side_a:g}, side b {box.side_b:g} cm"
    return f"a flat box {box.width:g} wide, {box.depth:g} deep and {box.height:g} cm high"

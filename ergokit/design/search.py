"""The best layout on a carton, and the smallest carton in which one meets everything."""

import numpy as np

from ergokit import triangulation as tri
from ergokit._check import numbers, refused, shaped
from ergokit.design.layouts import MARGIN, ROUNDING, Layouts, Panel, fitting, gap, kept, room, seen_as, symmetric
from ergokit.design.wish import STEPS

SIDES = range(12, 61)  # cm: sides of cartons tried for the smallest that would do
_NARROWEST = 5  # cm of port spacing (this kit's own choice, no source)
_AS_NEAR = 1  # degrees by which an angle may be farther from the wanted one for the sake of room


def chosen(panel, wish, ports, camera_hole):
    """Layouts that have the chosen holes, which are refused where they cannot be cut: the one, or all on a grid of 1 cm.

    Where nothing is chosen also those of a grid of 0.5 cm that have the wanted angle.
    """
    hole, sides = wish.hole, wish.phone.camera_hole
    if ports is not None:
        ports = numbers("ports", ports, "u, v of the left hole, then u, v of the right hole, in cm")
        if ports.shape != (2, 2) or ports[0, 0] >= ports[1, 0]:
            raise refused("ports", "u, v of the left hole, then u, v of the right hole, in cm", ports.tolist())
        for u, v in ports:
            _check_hole(panel, "ports", u, v, hole / 2, hole / 2)
        if np.hypot(*(ports[1] - ports[0])) <= hole:
            raise ValueError(f"Holes of {hole:g} cm overlap there; put the ports farther apart (ports).")
    if camera_hole is not None:
        camera_hole = one_pair("camera_hole", camera_hole)
        _check_hole(panel, "camera_hole", *camera_hole, sides[0] / 2, sides[1] / 2)
    if ports is not None and camera_hole is not None:
        for name, port in zip(("left", "right"), ports, strict=True):
            if gap(camera_hole - port, sides, hole) <= 0:
                raise ValueError(
                    f"The camera hole at ({camera_hole[0]:g}, {camera_hole[1]:g}) cm overlaps the {name} port "
                    f"at ({port[0]:g}, {port[1]:g}) cm; move one of them (camera_hole)."
                )
        return Layouts(ports[:1], ports[1:], camera_hole[None])
    up = np.arange(np.ceil(panel.low), panel.high)
    half = np.arange(_NARROWEST / 2, max(panel.half, 3.0), 0.5)
    if camera_hole is not None:
        half, v = (part.ravel() for part in np.meshgrid(half, up))
        return symmetric(half, v, np.broadcast_to(camera_hole, (half.size, 2)))
    if ports is not None:
        camera_hole = np.stack([0 * up, up], axis=-1)
        return Layouts(*(np.broadcast_to(port, camera_hole.shape) for port in ports), camera_hole)
    half, v, v_hole = (part.ravel() for part in np.meshgrid(half, up, up))
    above = v_hole >= v
    coarse = symmetric(half[above], v[above], np.stack([0 * v_hole[above], v_hole[above]], axis=-1))
    fine = _on_the_angle(panel, wish)
    return coarse if fine is None else Layouts(*map(np.concatenate, zip(coarse, fine, strict=True)))


def one_pair(name, value):
    """`value` as one place (u, v) on a panel in cm, (2,)."""
    place = numbers(name, value, "one pair of numbers u, v in cm")
    if place.shape != (2,):
        raise refused(name, "one pair of numbers u, v in cm", problem=shaped(place))
    return place


def _check_hole(panel, name, u, v, half_width, half_height):
    if abs(u) + half_width > panel.half or v - half_height < panel.low or v + half_height > panel.high:
        fits_in_mm = abs(u) / 10 + half_width <= panel.half and panel.low <= v / 10 - half_height <= panel.high
        mm = ", not mm" if fits_in_mm and max(abs(u), abs(v)) > SIDES[-1] else ""
        aside = panel.half - half_width
        raise ValueError(
            f"The hole at u = {u:g}, v = {v:g} cm reaches over the panel's edge; give u from {-aside:g} to {aside:g} "
            f"and v from {panel.low + half_height:g} to {panel.high - half_height:g} cm{mm} ({name})."
        )


def best(panel, wish, layouts):
    """The best of these layouts, then of a finer grid about it; None where the angle's rule holds in none."""
    free_ports, free_hole = ((places != places[:1]).any() for places in (layouts.left, layouts.camera_hole))
    found = _pick(panel, wish, layouts)
    for reach, step in ((1, 0.5), (0.5, 0.1))[: 1 + STEPS.index(wish.step)]:
        if found is None:
            return None
        move = np.arange(-round(reach / step), round(reach / step) + 1) * step
        du, dv, dw = (part.ravel() for part in np.meshgrid(move * free_ports, move * free_ports, move * free_hole))
        left = found.left + np.stack([-du, dv], axis=-1)
        right = found.right + np.stack([du, dv], axis=-1)
        camera_hole = found.camera_hole + np.stack([0 * dw, dw], axis=-1)
        found = _pick(panel, wish, Layouts(*(np.round(part, 6) for part in (left, right, camera_hole))))
    return found


def _pick(panel, wish, layouts):
    """Of the layouts with the fewest rules broken, and of those the nearest to the wanted angle, the one with most room."""
    inside = np.ones(len(layouts.left), bool)
    for u, v in (part.T for part in layouts):
        inside &= (np.abs(u) <= panel.half) & (v >= panel.low) & (v <= panel.high)
    inside &= layouts.right[:, 0] - layouts.left[:, 0] >= _NARROWEST - ROUNDING
    layouts = layouts.of(inside)
    if len(layouts.left) == 0:
        return None
    layouts, targets = fitting(panel, wish, layouts, wish.targets_of(panel, layouts))
    if len(layouts.left) == 0:
        return None
    theta = tri.manipulation_angle(*seen_as(panel, wish, layouts, targets).ports, targets)
    spare = room(panel, wish, layouts, targets)
    broken = (spare < -ROUNDING).sum(axis=0)
    if "manipulation angle" in wish.rules:
        met = spare[list(wish.rules).index("manipulation angle")] > 0
        if not met.any():
            return None
        broken = np.where(met, broken, len(spare) + 1)
    off = np.abs(theta - wish.manipulation_angle).max(axis=-1)
    fewest = np.flatnonzero(broken == broken.min())
    near = fewest[off[fewest] <= off[fewest].min() + _AS_NEAR]
    first = near[np.argmax(spare[:, near].min(axis=0))]
    return layouts.of(slice(first, first + 1))


def _on_the_angle(panel, wish):
    """Layouts on a grid of 0.5 cm up the panel, with the spacing at which the targets have the wanted angle on average.

    Only those whose camera hole is as far from the targets as the rules and the phone's close focus want it.
    """
    up = np.arange(np.ceil(panel.low), panel.high, 0.5)
    centre_line = np.stack([0 * up, up], axis=-1)
    no_ports = symmetric(np.ones(up.size), up, centre_line)
    from_lens = wish.targets_of(panel, no_ports) - panel.point(centre_line)[:, None]
    near, far = wish.rules.get("working distance", (0.0, np.inf))
    distance = np.linalg.norm(from_lens, axis=-1)
    usable = (distance >= near) & (distance <= far) & (from_lens @ -panel.normal >= wish.phone.close_focus)
    v, v_hole = (part.ravel() for part in np.meshgrid(up, up[usable.all(axis=-1)]))
    v, v_hole = v[v < v_hole], v_hole[v < v_hole]
    if v.size == 0:
        return None
    layouts = symmetric(np.ones(v.size), v, np.stack([0 * v_hole, v_hole], axis=-1))
    targets = wish.targets_of(panel, layouts)
    left, right = (panel.point(port)[:, None] for port in (layouts.left, layouts.right))
    h, x = tri.depth(left, right, targets), targets[..., 0]
    cot = 1 / np.tan(np.radians(wish.manipulation_angle))
    half = (np.sqrt((h * cot) ** 2 + h**2 + x**2) - h * cot).mean(axis=-1)  # s²/4 + s h cot θ = h² + x²
    half = np.maximum(np.round(half / wish.step) * wish.step, _NARROWEST / 2)
    return symmetric(half, v, layouts.camera_hole)


def smallest(kind, wish):
    """The box of least volume that allows the wanted angle and meets all rules, or None."""
    found, least = None, np.inf
    left, _, right, _ = wish.phone.body
    widest = 10 * SIDES[-1]
    narrowest = 2 * max(-left, right)
    sideways = 0.0 if wish.targets is None else np.abs(wish.targets[:, 0]).max()
    for sides in sorted(((a, b) for a in SIDES for b in SIDES), key=lambda sides: sides[0] * sides[1]):
        if sides[0] * sides[1] * narrowest >= least:
            break
        panel = Panel.of(kind(widest, *sides))
        if wish.targets is not None and not panel.box.encloses(wish.targets).all():
            continue
        layouts = _on_the_angle(panel, wish)
        if layouts is None:
            continue
        targets = wish.targets_of(panel, layouts)
        layouts, targets = kept(layouts, targets, (room(panel, wish, layouts, targets) >= -ROUNDING).all(axis=0))
        layouts, _ = fitting(panel, wish, layouts, targets)
        if len(layouts.left) == 0:
            continue
        half = layouts.right[:, 0].min() + wish.hole / 2 + MARGIN
        width = np.ceil(max(2 * half, narrowest, 2 * sideways) - ROUNDING)
        if width <= SIDES[-1] and width * sides[0] * sides[1] < least:
            found, least = kind(width, *sides), width * sides[0] * sides[1]
    return found

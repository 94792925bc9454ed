"""Several pairs of holes on one panel for one target and one camera hole: what they share, what differs, which do not fit.

The target is `away` from the panel's plane, straight under its foot on the panel. A pair lies at right angles to the line from
the foot to its middle, so that both holes are as far from the target. With L from hole to target and theta between the two, the
holes are 2 L sin(theta/2) apart, the target is h = L cos(theta/2) deep, and the pair's middle is sqrt(h² - away²) from the
foot. All holes of one L lie on a circle about the foot; all pairs of one h lie in one row.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from ergokit import triangulation as tri
from ergokit._check import lengths, numbers, one, one_point, one_word, refused
from ergokit._words import joined
from ergokit.design import BoxDesign, Phone, design_box
from ergokit.design.layouts import BRIDGE, HAND, MARGIN, ROUNDING, Layouts, above_panel, on_panel
from ergokit.design.layouts import Panel as Face
from ergokit.design.search import one_pair
from ergokit.design.wish import Wish, check_box
from ergokit.placement import Placement
from ergokit.surfaces import FlatBox, WedgeBox

if TYPE_CHECKING:
    from ergokit.placement.table import MeasureTable

__all__ = ["KINDS", "SIGNS", "ComparisonPanel", "HolePair", "comparison_panel"]

#: How pairs are told apart on card, in the order of their values.
SIGNS = ("circle", "triangle", "square", "diamond", "cross")


class Kind(NamedTuple):
    """A way to compare: what differs on purpose, its values unless given, and the length that the pairs share, in cm."""

    varies: str
    values: tuple
    name: str
    shares: str | None
    usual: float


#: 20 cm inside is 60 degrees with holes 20 cm apart; 17 cm deep is nearly the same triangle (this kit's own choice, no source).
KINDS = {
    "circle": Kind("manipulation angle", (30, 60, 90), "{:g}°", "length inside", 20),
    "row": Kind("manipulation angle", (30, 60, 90), "{:g}°", "depth", 17),
    "ratio": Kind("inside : outside", (1, 1.5, 2), "ratio {:.2f}", None, 0),
    "azimuths": Kind("azimuth left", (15, 30, 45), "azimuth {:g}°", "length inside", 20),
}
_UP = 6  # cm from the foot up to the camera hole where azimuths differ (this kit's own choice, no source)
_ALIKE = 0.05  # up to which two values are the same to a reader, who sees one decimal or two
_STEP = 0.1  # cm between the lengths that are tried


class HolePair(NamedTuple):
    """Two holes of a comparison: name, sign, places (u, v) on the panel in cm, and the placement."""

    name: str
    sign: str
    left: np.ndarray
    right: np.ndarray
    placement: Placement

    @property
    def apart(self) -> float:
        """From the middle of one hole to that of the other, in cm."""
        return float(np.linalg.norm(self.right - self.left))


@dataclass(frozen=True, eq=False, repr=False)
class ComparisonPanel:
    """Pairs of holes to compare on one panel, as `comparison_panel` gives them.

    box, target, camera_hole, phone, hole
        the box, the target in space, (u, v) of the camera hole, the phone (None where the camera aims at the target) and the
        diameter of a port hole, in cm
    kind, length, foot
        one of the kinds of `comparison_panel`, the length that the pairs share in cm (None for "ratio"), and (u, v) straight
        above the target
    pairs, left_out
        those that fit; and name -> why, for those that do not
    """

    box: WedgeBox | FlatBox
    target: np.ndarray
    camera_hole: np.ndarray
    phone: Phone | None
    hole: float
    kind: str
    length: float | None
    foot: np.ndarray
    pairs: tuple[HolePair, ...]
    left_out: dict[str, tuple[str, ...]]

    def measures(self) -> MeasureTable:
        """One row for each pair that fits: what it measures, in cm and degrees.

        >>> comparison_panel(WedgeBox(44, 36, 27)).measures()["manipulation angle (deg)"].round(1).tolist()
        [30.0, 60.0, 90.0]
        """
        from ergokit.placement.table import MeasureTable

        table = MeasureTable(self._columns(), index=[pair.name for pair in self.pairs])
        return table.rename_axis("pair")

    def _columns(self):
        if not self.pairs:
            return {}
        first = self.pairs[0].placement
        left, right = (np.array([getattr(pair.placement, side) for pair in self.pairs]) for side in ("left_port", "right_port"))
        target, shaft = self.target, first.shafts[0]
        azimuths = tri.azimuth_angles(left, right, target, first.camera, aim=first.aim)
        ports = np.stack([left, right])
        return {
            "manipulation angle (deg)": tri.manipulation_angle(left, right, target),
            "length inside (cm)": tri.inserted_length(left, target),
            "inside : outside": tri.length_ratio(left, target, shaft),
            "port spacing (cm)": tri.port_spacing(left, right),
            "depth (cm)": tri.depth(left, right, target),
            "instrument plane tilt (deg)": tri.instrument_plane_tilt(left, right, target),
            "hand to hand (cm)": tri.handle_separation(left, right, target, shaft, first.handle_reach),
            "lean at the port (deg)": tri.entry_angle(left, target, first.panel_normal),
            "working distance (cm)": np.full(len(left), tri.working_distance(first.camera, target)),
            **dict(zip(("elevation left (deg)", "elevation right (deg)"), tri.elevation_angle(ports, target), strict=True)),
            **dict(zip(("azimuth left (deg)", "azimuth right (deg)"), azimuths, strict=True)),
        }

    @property
    def same(self) -> dict[str, float]:
        """What all pairs that fit share: measure -> its value.

        >>> list(comparison_panel(WedgeBox(44, 36, 27), kind="row").same)
        ['depth (cm)', 'instrument plane tilt (deg)', 'working distance (cm)']
        """
        return {name: float(values.mean()) for name, values in self.measures().items() if np.ptp(values) <= _alike(name)}

    @property
    def placements(self) -> dict[str, Placement]:
        """Each pair that fits, by its name, as a placement."""
        return {pair.name: pair.placement for pair in self.pairs}

    @property
    def differs(self) -> dict[str, tuple[float, ...]]:
        """What differs between the pairs that fit: measure -> its value at each."""
        return {name: tuple(values) for name, values in self.measures().items() if name not in self.same}

    @property
    def sentences(self) -> tuple[str, ...]:
        """What the pairs share, what differs and which do not fit, in words.

        >>> comparison_panel(WedgeBox(44, 36, 27), kind="row").sentences[0]
        'All 3 pairs fit.'
        """
        count = len(self.pairs) + len(self.left_out)
        found = [f"{len(self.pairs)} of {count} pairs fit." if self.left_out else f"All {count} pairs fit."]
        if len(self.pairs) > 1:
            same, differs = self.same, self._without_sides(self.differs)
            words = joined(f"{_plain(name)} {_said(name, value)}" for name, value in same.items())
            found.append(f"The same for all pairs: {words}." if same else "Nothing is the same for all pairs.")
            found.append(f"Different from pair to pair: {joined(map(_plain, differs))}.")
            left, right = (self.measures()[f"azimuth {side} (deg)"] for side in ("left", "right"))
            if np.allclose(left, right, atol=_ALIKE):
                found.append("At each pair the azimuths of the two hands are equal.")
        found += [f"The pair {name} does not fit: {joined(why)}." for name, why in self.left_out.items()]
        return (*found, WEB)

    def _without_sides(self, names):
        """Names of measures, those of two sides in one word where the sides are equal."""
        found, table = {}, self.measures()
        for name in names:
            other = name.replace("left", "right")
            equal = other in table and np.allclose(table[name], table[other], atol=_ALIKE)
            found[name.replace(" left", "") if equal else name] = None
        return [name for name in found if name.replace(" right", "") not in found or name.replace(" right", "") == name]

    def __repr__(self):
        return "\n".join(self.sentences)


#: The rule on card, for whatever is printed.
WEB = (
    f"Between two holes {BRIDGE} cm of card stay, and {MARGIN} cm between a hole and the panel's edge "
    "(common practice, no source)."
)


def comparison_panel(
    box: BoxDesign | WedgeBox | FlatBox,
    target: ArrayLike | None = None,
    *,
    kind: str = "circle",
    values: ArrayLike | None = None,
    length: float | None = None,
    angle: float = 60,
    camera_hole: ArrayLike | None = None,
    phone: Phone | None = None,
    hole: float = 1,
    instrument_length: float = 36,
    handle_reach: float = 10,
) -> ComparisonPanel:
    """Several pairs of holes on one panel, to try one after another: a `ComparisonPanel`.

    box, target
        a `BoxDesign`, or a `WedgeBox` or `FlatBox`; unless given the target is the design's first one, that of `design_box` for
        a box or, if a pair does not fit there, one before another camera hole on the centre line. Its foot on the panel is the
        place from which it is seen along the panel's normal
    kind
        ``"circle"``: the angles differ and all holes lie on one circle about the foot, so that length inside, ratio and lean
        are the same; ``"row"``: the angles differ in one row, so that depth, tilt and equal azimuths are the same;
        ``"ratio"``: inside : outside differs at one angle; ``"azimuths"``: the left hand's azimuth differs at one angle, by
        turning the pair about the foot; for that the camera must aim at the target, as a scope or a propped phone does, since
        before a phone lying flat hands as far from the target always have equal azimuths
    values
        the two to five angles, ratios or azimuths; 30, 60 and 90 degrees, 1, 1.5 and 2, or 15, 30 and 45 degrees
    length
        inside in cm, or the depth in a row; unless given the one at which most pairs fit, and of those the nearest to 20 cm
        inside or 17 cm deep
    angle
        of all pairs where not the angles differ, in degrees
    camera_hole
        (u, v) of the one camera hole; that of the design, or the foot, or 6 cm up the panel from the foot for "azimuths"
    phone, hole, instrument_length, handle_reach
        as in `design_box`; a BoxDesign brings its own

    A pair fits if 2 cm of card stay at the panel's edge and 1 cm between two holes (common practice, no source), if shafts and
    hands keep clear of the phone and hands clear of the table, and if the camera hole is off the pair's line. ValueError for a
    bad argument, or for a box that `design_box` refuses where no target is given.

    >>> panel = comparison_panel(WedgeBox(50, 40, 30), (0, 0, 3), length=20)
    >>> panel.measures()["port spacing (cm)"].round(1).tolist(), panel.measures()["hand to hand (cm)"].round().tolist()
    ([10.4, 20.0, 28.3], [24.0, 46.0, 65.0])
    """
    return _made(box, target, kind, values, length, angle, camera_hole, phone, hole, instrument_length, handle_reach)


def _made(box, target, kind, values, length, angle, camera_hole, phone, hole, instrument_length, handle_reach):
    chosen = KINDS[one_word("kind", kind, KINDS)]
    if not isinstance(box, BoxDesign | WedgeBox | FlatBox):
        raise refused("box", "a BoxDesign, a WedgeBox or a FlatBox", box)
    reach = {"phone": phone, "hole": hole, "instrument_length": instrument_length, "handle_reach": handle_reach}
    if target is None and not isinstance(box, BoxDesign):
        more = {"kind": kind, "values": values, "length": length, "angle": angle, "camera_hole": camera_hole}
        return _for_most(design_box(box, **reach), more)
    if isinstance(box, BoxDesign):
        phone, hole, box, placement, design = box.phone, box.hole, box.box, box.placement, box
        if placement.shafts[0] != placement.shafts[1]:
            raise ValueError(
                "The two instruments of this design differ in length; a comparison needs two of the same length (box)."
            )
        instrument_length, handle_reach = placement.shafts[0], placement.handle_reach
        if target is None:
            target = placement.targets[0]
            camera_hole = design.holes["camera hole"] if camera_hole is None and kind != "azimuths" else camera_hole
    wish = Wish(target, phone, hole=hole, instrument_length=instrument_length, handle_reach=handle_reach)
    check_box("box", box, "target", wish.targets)
    target, face, flat = one_point("target", target), Face.of(box), kind != "azimuths"
    *foot, out = face.uvw(target)
    up = 0 if flat else min(_UP, face.high - wish.phone.camera_hole[1] / 2 - foot[1])
    lens = np.add(foot, [0, up]) if camera_hole is None else one_pair("camera_hole", camera_hole)
    box.check_hole(*(lens + np.multiply.outer((-0.5, 0.5), wish.phone.camera_hole)).T)
    values, shaft = _checked_values(values, chosen), wish.instrument_length[0]
    tried = _tried(chosen, length, -out, shaft)
    inside, theta = _triangles(kind, values, tried, _checked_angle(angle), shaft)
    turn = np.zeros(theta.shape) if flat else _turns(np.radians(values), inside, theta, -out, lens - foot)
    holes = _holes(inside, theta, turn, foot, -out)
    names = [chosen.name.format(value) for value in values]
    fits, faults = _faults(face, wish, holes, lens, names, flat)
    best = np.lexsort((np.abs(tried - chosen.usual), -fits.sum(axis=1)))[0]
    more = {"target": target, "camera": face.point(lens[None])[0], "aim": -face.normal if flat else None}
    more |= {"instrument_length": shaft, "handle_reach": wish.handle_reach, "panel_normal": face.normal}
    pairs = [
        HolePair(name, sign, left, right, Placement(*face.point(np.stack([left, right])), **more))
        for name, sign, (left, right), fit in zip(names, SIGNS, holes[best], fits[best], strict=False)
        if fit
    ]
    left_out = {
        name: tuple(words for words, wrong in faults if wrong[best, i]) for i, name in enumerate(names) if not fits[best, i]
    }
    return ComparisonPanel(
        box=box,
        target=target,
        camera_hole=lens,
        phone=wish.phone if flat else None,
        hole=wish.hole,
        kind=kind,
        length=float(tried[best]) if chosen.shares else None,
        foot=np.array(foot),
        pairs=tuple(pairs),
        left_out=left_out,
    )


def _for_most(design, more):
    """The comparison of a design or, if a pair does not fit there, one whose camera hole is elsewhere on the centre line.

    The target is then in the middle of the picture and as high as the design's, and most pairs fit; of such camera holes the
    nearest to the design's.
    """
    first = comparison_panel(design, **more)
    face, height = Face.of(design.box), design.placement.targets[0, 2]
    up = sorted(np.arange(np.ceil(face.low), face.high), key=lambda v: abs(v - first.foot[1])) if first.left_out else []
    for v in up:
        lens = face.point(np.array([[0.0, v]]))[0]
        try:
            other = comparison_panel(design, lens - (lens[2] - height) / face.normal[2] * face.normal, **more)
        except ValueError:  # no room for the camera hole there
            continue
        first = max(first, other, key=lambda panel: len(panel.pairs))
    return first


def _checked_values(values, kind):
    values = np.array(kind.values if values is None else numbers("values", values, "two to five numbers"), float)
    least, most = (-180, 180) if kind.varies == "azimuth left" else (0, np.inf if kind.varies == "inside : outside" else 180)
    if (
        values.ndim != 1
        or not 2 <= len(set(values)) == len(values) <= len(SIGNS)
        or not ((values > least) & (values < most)).all()
    ):
        raise refused(
            "values", f"two to {len(SIGNS)} different values of the {kind.varies}, from {least:g} to {most:g}", values.tolist()
        )
    return values


def _checked_angle(angle):
    angle = one("angle", angle, numbers, "an angle of more than 0 and less than 180 degrees")
    if not 0 < angle < 180:
        raise refused("angle", "an angle of more than 0 and less than 180 degrees", angle)
    return angle


def _tried(kind, length, away, shaft):
    """Lengths to choose from, shape (m,), in cm."""
    if kind.shares is None:
        return np.zeros(1)
    if length is not None:
        return np.array([one("length", length, lengths)])
    return np.arange(np.ceil(away / _STEP), max(shaft, away + 1) / _STEP) * _STEP


def _triangles(kind, values, tried, angle, shaft):
    """Length inside in cm and angle between the instruments in rad, of m lengths and p values, shapes (m, p)."""
    if kind == "ratio":
        inside, theta = shaft * values / (1 + values), np.full(values.shape, angle)
    elif kind == "azimuths":
        inside, theta = tried[:, None], np.full(values.shape, angle)
    else:
        inside, theta = tried[:, None], values
    theta = np.radians(theta)
    if kind == "row":
        inside = inside / np.cos(theta / 2)
    return np.broadcast_arrays(np.atleast_2d(inside), theta)


def _turns(azimuth, inside, theta, away, lens):
    """How far a pair is turned about the foot, anticlockwise in rad, for this azimuth of the left hand; NaN where none does.

    With the lens k up the panel from the foot, the pair's middle w from the foot and delta = azimuth - theta/2, the axis lies
    delta to the right of the line from target to middle where  k h sin(turn) = tan(delta) (away² - k w cos(turn)).
    """
    k, h = np.hypot(*lens), inside * np.cos(theta / 2)
    delta = azimuth - theta / 2
    with np.errstate(invalid="ignore", divide="ignore"):
        w = np.sqrt(h**2 - away**2)
        sine, cosine = k * h * np.cos(delta), k * w * np.sin(delta)
        turn = np.arcsin(np.sin(delta) * away**2 / np.hypot(sine, cosine)) - np.arctan2(cosine, sine)
        ahead = (away**2 - k * w * np.cos(turn)) * np.cos(delta) + k * h * np.sin(turn) * np.sin(delta)
    turn = np.where(ahead > 0, turn, np.nan)
    return turn + np.arctan2(-lens[0], lens[1])


def _holes(inside, theta, turn, foot, away):
    """Places (u, v) of the left and the right hole of each pair, shape (m, p, 2, 2); NaN where there is no such pair."""
    h = inside * np.cos(theta / 2)
    with np.errstate(invalid="ignore"):
        out = np.sqrt(h**2 - away**2)
    half = inside * np.sin(theta / 2)
    middle = foot + out[..., None] * np.stack([np.sin(turn), -np.cos(turn)], axis=-1)
    along = half[..., None] * np.stack([np.cos(turn), np.sin(turn)], axis=-1)
    return np.stack([middle - along, middle + along], axis=-2)


def _faults(face, wish, holes, lens, names, flat):
    """Which pairs fit, shape (m, p), and what is in the way of the others: words, and of which, shape (m, p)."""
    shape = holes.shape[:2]
    exists = np.isfinite(holes).all(axis=(-2, -1))
    left, right = np.moveaxis(np.where(exists[..., None, None], holes, lens).reshape(-1, 2, 2), 1, 0)
    layouts = Layouts(left, right, np.broadcast_to(lens, left.shape))
    targets = wish.targets_of(face, layouts)
    off_row = _off_row(left, right, lens, wish.phone.camera_hole[1])
    found = [
        *on_panel(face, wish, layouts, targets, flat),
        (f"its two holes have less than {BRIDGE} cm of card between them", _card(left, right, wish.hole) < BRIDGE - ROUNDING),
        (f"the camera hole is within {BRIDGE} cm of the line through its two holes", off_row < BRIDGE - ROUNDING),
    ]
    free = exists.ravel() & ~np.any([wrong for _, wrong in found], axis=0)
    if free.any():
        above = *above_panel(face, wish, layouts.of(free), targets, flat), _low_hands(face, wish, layouts.of(free), targets)
        for words, wrong in above:
            of_all = np.zeros(free.shape, bool)
            of_all[free] = wrong
            found.append((words, of_all))
    found = [(words, wrong.reshape(shape) & exists) for words, wrong in found]
    missing = (
        "the target is too far from the panel for such a pair"
        if flat
        else "no turn of the pair about the foot gives these azimuths"
    )
    found.append((missing, ~exists))
    fits = ~np.any([wrong for _, wrong in found], axis=0)
    for j, i in combinations(range(len(names)), 2):
        card = _card(holes[:, i, :, None], holes[:, j, None, :], wish.hole).min(axis=(1, 2))
        wrong = np.zeros(shape, bool)
        wrong[:, i] = fits[:, i] & fits[:, j] & (card < BRIDGE - ROUNDING)
        fits &= ~wrong
        found.append((f"less than {BRIDGE} cm of card is left between its holes and those of {names[j]}", wrong))
    return fits, found


def _low_hands(face, wish, layouts, targets):
    ports = np.stack([face.point(layouts.left), face.point(layouts.right)])
    heights = tri.handle_height(ports, targets[0, 0], wish.instrument_length[0], wish.handle_reach)
    return f"a hand would be less than {HAND} cm above the table", (heights < HAND - ROUNDING).any(axis=0)


def _card(one, other, hole):
    """Card between two holes, in cm."""
    return np.linalg.norm(one - other, axis=-1) - hole


def _off_row(left, right, lens, height):
    """Card between the camera hole and the line through both holes, in cm."""
    along, to_lens = np.moveaxis(right - left, -1, 0), np.moveaxis(lens - left, -1, 0)
    apart = np.maximum(np.hypot(*along), ROUNDING)
    return np.abs(along[0] * to_lens[1] - along[1] * to_lens[0]) / apart - height / 2


def _alike(name):
    return _ALIKE if "(" in name else _ALIKE / 10


def _plain(name):
    return name.partition(" (")[0]


def _said(name, value):
    unit = {"(deg)": " degrees", "(cm)": " cm"}.get(name[name.find("(") :], "")
    return f"{value:.1f}{unit}" if unit else f"{value:.2f}"

"""What every way to give holes to camera and hands comes to: measures, contact of their bodies, and what is said of them."""

from __future__ import annotations

from functools import cached_property, lru_cache
from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ergokit import triangulation as tri
from ergokit._check import number_of_target, whole
from ergokit.guidance import CAUTION, verdict
from ergokit.holes.bodies import SIZES, instrument, scope, unit, upwards, without_tip
from ergokit.holes.contact import Capsule, gap
from ergokit.placement import Placement
from ergokit.placement.measures import figure
from ergokit.view import Scope

if TYPE_CHECKING:
    from ergokit.placement.table import MeasureTable

_WANTED = 60.0  # degrees: of three manipulation angles tried, knots were tied fastest at this one (Hanna et al. 1997)
_OFF_ROW = 4.0  # cm: of the hole that is offered off a row
_ON_LINE = 0.1  # cm: holes this near to a line are in one row
_IN_WORDS = 24  # ways that a result says in words: all there are for four holes
_TOUCH = 1e-9  # cm: a gap this small is rounding
NAMES = "ABCDEFGH"  # of the holes, in the order given
_ROLES = ("camera", "left", "right", "assistant")
_OF = {"camera": "", "left": "left ", "right": "right ", "assistant": "assistant's "}
#: What is judged: as it is called here, the quantity of the published rows, and its unit in a column's title.
_JUDGED = (
    ("manipulation angle", "manipulation angle", " (deg)"),
    ("azimuth", "azimuth angle", " (deg)"),
    ("elevation", "elevation angle", " (deg)"),
    ("inside : outside", "inside : outside", ""),
    ("camera's side", "camera's side", " (deg)"),
)
_FREE = "no contact at these targets and sizes"
_NOT_MODELLED = (
    "“No contact” speaks of these bodies at these targets and sizes, and the sizes are from memory. Forearms, the hand on the "
    "camera head and the walls of the box are not modelled."
)
_AT_THE_SIDE = (
    "The camera goes to the side when the work is to one side, the assistant needs the middle, or the camera hand is in the "
    "way (from memory)."
)
_LEFT_HANDED = {
    "holes mirrored": "Left-handed, holes mirrored: the holes have changed sides about x = 0, and the left hand does the right "
    "hand's work. Targets, screen and team are where they were.",
    "tasks swapped": "Left-handed, tasks swapped: the holes are where they were, and the left hand does the right hand's work. "
    "Targets, screen and team are where they were too.",
}


class Setup(NamedTuple):
    """What is the same for every way: see `assignments`."""

    camera: str
    distance: float
    direction_of_view: float
    sizes: dict[str, float]
    instrument_length: float
    handle_reach: float
    camera_from: str
    assistant: str | None
    left_handed: str | None

    @property
    def reach(self) -> float:
        """From an instrument's tip to the middle of the hand, in cm."""
        return self.instrument_length + self.handle_reach


class Assignments:
    """Every way to give holes to the camera and the hands in one box, as `assignments` gives it.

    holes, target, setup
        as given to `assignments`; the holes mirrored for a left-handed operator who asked for that
    ways
        the holes' numbers, counted from 0, of camera, left hand, right hand and, where there is one, the assistant's hand:
        (n, 3) or (n, 4). Those without crossed hands come first; nothing else ranks them
    """

    def __init__(self, holes, target, ways, setup, left_out):
        self.holes, self.target, self.setup, self._left_out = holes, target, setup, left_out
        at = np.broadcast_arrays(holes[:, None], self.targets)  # each hole and target, (h, m, 3)
        self._tip, out = _scopes(*at, setup)
        self._instrument = instrument(*at, setup.reach, setup.sizes)
        self._camera = scope(at[0], self._tip, out, setup.sizes) if setup.camera == "scope" else {}
        hands = self._instrument["hand"].start
        crossed = (hands[ways[:, 1]] - hands[ways[:, 2]])[..., 0].max(axis=1) > 0
        order = np.argsort(crossed, kind="stable")
        self.ways, self.crossed = ways[order], crossed[order]

    def __len__(self):
        return len(self.ways)

    @property
    def targets(self) -> np.ndarray:
        """The targets with shape (n, 3), also when there is one."""
        return np.atleast_2d(self.target)

    def sizes(self) -> MeasureTable:
        """The bodies' sizes that count for contact, as a table: all from memory."""
        from ergokit.placement.table import MeasureTable

        rows = [(name, cm, "cm", SIZES[name].of, "from memory") for name, cm in self.setup.sizes.items()]
        return MeasureTable(rows, columns=["size", "value", "unit", "of what", "basis"])

    def placement(self, i: int, focus: int | None = None) -> Placement:
        """Way number `i` as a `Placement` with one target: number `focus`, or the target that `by_way` uses.

        >>> from ergokit.holes import assignments
        >>> assignments([(-9, 0, 9.36), (0, 0, 9.36), (9, 0, 9.36)], (0, 12.48, 0)).placement(1).camera.round(2)
        array([0.  , 4.48, 6.  ])
        """
        i, focus = self._numbers(i, focus)
        camera, left, right = self.holes[self.ways[i, :3]]
        target, setup = self.targets[focus], self.setup
        if setup.camera == "scope":
            camera = Scope.at_distance(camera, target, setup.distance, setup.direction_of_view)
        shafts = {"instrument_length": setup.instrument_length, "handle_reach": setup.handle_reach}
        return Placement(left, right, target=target, camera=camera, **shafts)

    def bodies(self, i: int, focus: int | None = None) -> dict[tuple[str, str], Capsule]:
        """The bodies of way number `i` at one target: (role, name of the body) -> `Capsule` of two points (3,).

        >>> from ergokit.holes import assignments
        >>> bodies = assignments([(-9, 0, 9.36), (0, 0, 9.36), (9, 0, 9.36)], (0, 12.48, 0)).bodies(1)
        >>> list(bodies)[:3], bodies["left", "hand"].radius
        ([('camera', 'scope'), ('camera', 'camera head'), ('camera', 'light cable')], 5.0)
        """
        i, focus = self._numbers(i, focus)
        return {
            (role, name): Capsule(body.start[hole, focus], body.end[hole, focus], body.radius)
            for role, hole in zip(self.roles, self.ways[i], strict=True)
            for name, body in (self._camera if role == "camera" else self._instrument).items()
        }

    @property
    def roles(self) -> tuple[str, ...]:
        """Who has a hole: "camera", "left" and "right" hand and, where there is one, "assistant"."""
        return _ROLES[: self.ways.shape[1]]

    @cached_property
    def gaps(self) -> dict[tuple[str, str], np.ndarray]:
        """The least gap over all targets of two bodies in different hands: their names -> (n,) in cm, negative in contact."""
        setup = self.setup
        ends = without_tip(self._instrument, setup.sizes)
        with_camera, between = _table(self._camera, self._instrument), _table(ends, ends)
        found = {}
        for (a, one), (b, other) in combinations(enumerate(self.roles), 2):
            for (first, second), gaps in (with_camera if one == "camera" else between).items():
                found[_OF[one] + first, _OF[other] + second] = gaps[self.ways[:, a], self.ways[:, b]]
        return found

    @cached_property
    def worst(self) -> np.ndarray:
        """The number of the target whose manipulation angle is farthest from 60 degrees, for each way: (n,)."""
        return np.abs(self._angle - _WANTED).argmax(axis=1)

    @cached_property
    def contact(self) -> list[str]:
        """For each way which bodies touch and by how many cm, or that none do at these targets and sizes: n sentences."""
        names, gaps = list(self.gaps), np.array(list(self.gaps.values()))
        said = []
        for column in gaps.T:
            touch = [f"{' and '.join(names[k])} by {-column[k]:.1f} cm" for k in column.argsort() if column[k] <= _TOUCH]
            said.append(f"contact: {'; '.join(touch)}" if touch else _FREE)
        return said

    def by_way(self) -> MeasureTable:
        """One row a way. Angles, ratios and the advice on them are those at one target, the one whose
        manipulation angle is farthest from 60 degrees; gaps, contact and reaching across are the worst over all targets.

        Columns: who has which hole; "crossed", whether the left hand is to the right of the right one; manipulation angle,
        azimuths (in the instruments' plane), elevations and ratio inside : outside; the camera's side seen from above,
        0 with you, 90 from your right and 180 against you, for you and for the assistant; the gap between your hands,
        and the distance from the middle of the camera head to that of the nearer hand; the least gap of all bodies and which
        touch by how much; who reaches across whom; what published advice says of the angles and ratios.
        """
        from ergokit.placement.table import MeasureTable

        names = np.array(list(NAMES))[self.ways]
        columns = dict(zip(self.roles, names.T, strict=True)) | {"crossed": self.crossed}
        if len(self.targets) > 1:
            columns["target"] = self.worst + 1
        measures = self._measures
        columns |= measures
        if self.setup.assistant:
            _, _, target, tip = self._seen
            facing = (0, -1, 0) if self.setup.assistant == "opposite" else (0, 1, 0)
            columns["camera's side, assistant (deg)"] = self._at_worst(tri.camera_side(tip, target, facing=facing))
        columns["gap between hands (cm)"] = self.gaps["left hand", "right hand"]
        if self._camera:
            columns["head to nearer hand (cm)"] = self._head_to_hand
        columns["least gap (cm)"] = np.min(list(self.gaps.values()), axis=0)
        columns |= {"contact": self.contact, "reaches across": self._reaches}
        columns["advice"] = [_advice({name: values[i] for name, values in measures.items()}) for i in range(len(self))]
        table = MeasureTable(columns)
        table.foot = CAUTION
        return table

    def in_short(self) -> MeasureTable:
        """One row a way, those with crossed hands left out: who has which hole, the angle, the azimuths and what touches.

        >>> from ergokit.holes import assignments
        >>> assignments([(-9, 0, 9.36), (0, 0, 9.36), (9, 0, 9.36)], (0, 12.48, 0)).in_short()["camera"].tolist()
        ['A', 'B', 'C']
        """
        table = self.by_way()
        measured = ["manipulation angle (deg)", "azimuth left (deg)", "azimuth right (deg)"]
        return table.loc[~self.crossed, [*self.roles, *measured, "contact"]]

    @cached_property
    def remarks(self) -> tuple[str, ...]:
        """What holds for the whole table, in sentences."""
        found = [self._of_the_row(), self._of_the_side(), _LEFT_HANDED.get(self.setup.left_handed, "")]
        if self.setup.assistant == "opposite":
            found.append("The assistant stands opposite: a camera that is with you is against the assistant.")
        if self.setup.camera == "phone":
            found.append("The phone counts as its lens alone: its body and its stand are not modelled.")
        found += [f"Left out: {why}." for why in self._left_out]
        return tuple(filter(None, [*found, _NOT_MODELLED]))

    def __repr__(self):
        crossed = int(self.crossed.sum())
        ways = f"{len(self)} ways to give {len(self.holes)} holes to {', '.join(self.roles)} in this box"
        at = "at this target" if len(self.targets) == 1 else f"at these {len(self.targets)} targets"
        lines = [f"{ways}, {at}; in {crossed} of them the hands are crossed."]
        for i, way in enumerate(self.by_way().head(_IN_WORDS).to_dict("records")):
            holes = ", ".join(f"{role} {way[role]}" for role in self.roles)
            azimuths, ratios = (
                " and ".join(figure(way[f"{name} {side}{unit}"], unit) for side in _ROLES[1:3])
                for name, unit in (("azimuth", " (deg)"), ("inside : outside", ""))
            )
            lines.append(
                f"  {i}  {holes}{' (crossed)' if way['crossed'] else ''}: {way['manipulation angle (deg)']:.1f} degrees, "
                f"azimuths {azimuths}, inside : outside {ratios}, {way['gap between hands (cm)']:.1f} cm between the hands; "
                f"{way['contact']}."
            )
        more = [f"  and {len(self) - _IN_WORDS} more in the table."] if len(self) > _IN_WORDS else []
        return "\n".join([*lines, *more, *self.remarks, CAUTION])

    def _numbers(self, i, focus):
        i = whole("i", i, 0, len(self) - 1)
        return i, int(self.worst[i]) if focus is None else number_of_target("focus", focus, len(self.targets))

    # For each way and target, (n, m)

    @cached_property
    def _seen(self):
        """The arguments that functions of a placement take: left and right port (n, 1, 3), targets, tips (n, m, 3)."""
        camera, left, right = self.ways.T[:3]
        return self.holes[left][:, None], self.holes[right][:, None], self.targets, self._tip[camera]

    @cached_property
    def _angle(self):
        return tri.manipulation_angle(*self._seen[:3])

    @cached_property
    def _rightward(self):
        """How far to your right the middle of each role's hand is, the camera head's for the camera: role -> (n, m)."""
        middle = dict.fromkeys(_ROLES[1:], self._instrument["hand"].start)
        middle["camera"] = self._head if self._camera else self._tip
        return {role: middle[role][hole][..., 0] for role, hole in zip(self.roles, self.ways.T, strict=True)}

    @property
    def _head(self):
        """The middle of the camera head."""
        return (self._camera["camera head"].start + self._camera["camera head"].end) / 2

    # For each way, (n,)

    def _at_worst(self, values):
        return np.broadcast_to(values, self._angle.shape)[np.arange(len(self)), self.worst]

    @cached_property
    def _measures(self):
        left, right, target, tip = self._seen
        shaft = self.setup.instrument_length
        pairs = {
            "azimuth {} (deg)": tri.azimuth_angles(left, right, target, tip),
            "elevation {} (deg)": [tri.elevation_angle(port, target) for port in (left, right)],
            "inside : outside {}": [tri.length_ratio(port, target, shaft) for port in (left, right)],
        }
        found = {"manipulation angle (deg)": self._angle}
        found |= {
            name.format(side): value for name, both in pairs.items() for side, value in zip(_ROLES[1:3], both, strict=True)
        }
        found["camera's side (deg)"] = tri.camera_side(tip, target)
        return {name: self._at_worst(values) for name, values in found.items()}

    @property
    def _head_to_hand(self):
        hands = self._instrument["hand"].start
        heads = self._head[self.ways[:, 0]]
        each = [np.linalg.norm(heads - hands[self.ways[:, k]], axis=-1).min(axis=1) for k in range(1, len(self.roles))]
        return np.min(each, axis=0)

    @property
    def _at_side(self):
        """Whether the camera is beside both hands, seen from above, at all targets."""
        places = self._rightward
        low, high = np.sort([places["left"], places["right"]], axis=0)
        return ((places["camera"] <= low) | (places["camera"] >= high)).all(axis=1)

    @property
    def _reaches(self):
        """Who reaches across whom: you across your own hand, another person across each hand on the way to the own one."""
        places, names = self._rightward, {"camera": "camera hand", "left": "left hand", "right": "right hand"}
        names["assistant"] = "assistant's hand"
        pairs = [("left", "right", self.crossed)]
        for role, stands in (("camera", self.setup.camera_from if self._camera else None), ("assistant", self.setup.assistant)):
            for other in self.roles:
                if stands in ("left", "right") and other != role:
                    beyond = (places[role] - places[other]) * (1 if stands == "left" else -1)
                    pairs.append((role, other, (beyond > _TOUCH).any(axis=1)))
        return [
            "; ".join(f"{names[one]} across {names[other]}" for one, other, across in pairs if across[i])
            for i in range(len(self))
        ]

    # Words

    def _of_the_row(self):
        """That a camera in one row with the hands sees both shafts in one line, and from which hole it does not."""
        row, target = _in_a_row(self.holes), self.targets[0]
        first, last = self.holes[row[[0, -1]]] if len(row) else (target, target)
        across = np.cross(last - first, target - first)
        if np.linalg.norm(across) < _ON_LINE or (self._camera and self.setup.direction_of_view):
            return ""
        other = (first + last) / 2 + _OFF_ROW * unit(across * (np.sign(across[2]) or 1))
        place = f"a hole {_OFF_ROW:g} cm off that plane, at {', '.join(f'{part:z.1f}' for part in other)}"
        if len(beside := np.setdiff1d(np.arange(len(self.holes)), row)):
            other, place = self.holes[beside[0]], f"hole {NAMES[beside[0]]}"
        seen = tri.display_angle(first, last, target, other)
        names = [NAMES[k] for k in row]
        return (
            f"Holes {', '.join(names[:-1])} and {names[-1]} are in one row, so they lie in one plane with the target. A "
            f"camera there that looks straight ahead sees both shafts in one line. From {place}, the shafts through {names[0]} "
            f"and {names[-1]} would appear at {seen:.1f} degrees."
        )

    def _of_the_side(self):
        """What a camera at the side costs against one between the hands; never which is right."""
        spans = []
        for words, which in (("between the hands", ~self._at_side), ("at the side", self._at_side)):
            which = which & ~self.crossed
            if which.any():
                ratios = np.concatenate([self._measures[f"inside : outside {side}"][which] for side in _ROLES[1:3]])
                angle = _span(self._measures["manipulation angle (deg)"][which], " (deg)")
                of_length = f"inside : outside ratios of {_span(ratios, '')}"
                spans.append(f"With the camera {words}, the instruments meet at {angle} degrees, with {of_length}.")
        return " ".join([*spans, _AT_THE_SIDE]) if self._at_side.any() else ""


def _scopes(holes, targets, setup):
    """The tip of a scope in each hole, or the lens there, and the unit vector along the shaft out of the box."""
    sight = targets - holes
    if setup.camera == "phone":
        return holes, -unit(sight)
    # The shaft lies on a cone about the line of sight, where that is highest.
    reach, view = np.linalg.norm(sight, axis=-1, keepdims=True), np.radians(setup.direction_of_view)
    along, across = setup.distance * np.cos(view), setup.distance * np.sin(view)
    with np.errstate(invalid="ignore"):  # of a hole that is too near, which takes no camera
        root = np.sqrt(reach**2 - across**2)
        shaft = (root * unit(sight) + across * upwards(sight)) / reach
    return holes + (root - along) * shaft, -shaft


def _in_a_row(holes):
    """The numbers of three or more holes in one row, from one end of it to the other; none where there are no such."""
    for one, other in combinations(range(len(holes)), 2):
        along = unit(holes[other] - holes[one])
        off = np.linalg.norm(np.cross(holes - holes[one], along), axis=-1)
        [row] = np.nonzero(off <= _ON_LINE)
        if len(row) > 2:
            return row[np.argsort(holes[row] @ along)]
    return np.array([], dtype=int)


def _table(bodies, others):
    """The least gap over all targets of each body in one hole and each in another: (body, body) -> (h, h) in cm."""
    return {
        (name, other): gap(_in(body, np.s_[:, None]), _in(others[other], np.s_[None])).min(axis=-1)
        for name, body in bodies.items()
        for other in others
    }


def _in(body, where):
    return Capsule(body.start[where], body.end[where], body.radius)


def _advice(measures):
    """Where each measure of one way is by published advice, and whose range that is."""
    theta, said = measures["manipulation angle (deg)"], []
    for name, quantity, suffix in _JUDGED:
        values = [measures.get(f"{name}{side}{suffix}", np.nan) for side in ("", " left", " right")]
        found = [_verdict(quantity, value, theta) for value in values if not np.isnan(value)]
        places = dict.fromkeys(f"{each.place} ({each.whence})" for each in found)
        said.append(f"{name} {' and '.join(places) or 'not defined'}")
    return "; ".join(said)


@lru_cache(10_000)
def _verdict(quantity, value, theta):
    """The same hands are judged again for each hole that the camera may take."""
    return verdict(quantity, value, {"manipulation angle": theta, "camera roll": 0.0})  # its horizon is level


def _span(values, unit):
    low, high = figure(np.min(values), unit), figure(np.max(values), unit)
    return low if low == high else f"{low} to {high}"

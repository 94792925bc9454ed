"""You at the box, from the side and to scale: hands, elbows, eyes, monitor and table, as joints and segments."""

from __future__ import annotations

from math import cos, radians, sin, sqrt
from typing import NamedTuple

import numpy as np
import plotly.graph_objects as go

from ergokit import datasets
from ergokit._check import a, checked, flag, lengths, number_of_target, one, pixels, refused
from ergokit.figures.plain import notes, traces, xy
from ergokit.figures.section import box_in_section
from ergokit.figures.style import CARD, GREEN, GREY, INK, LEFT, PURPLE, RIGHT, target_sign, to_scale
from ergokit.guidance.body import body
from ergokit.guidance.verdicts import source_in_short
from ergokit.placement import Placement
from ergokit.surfaces import FlatBox, WedgeBox
from ergokit.triangulation import handle_position, table_height

_STEEPEST = 60  # degrees below the eyes at which a monitor is still drawn
_EVEN = 0.05  # cm from which on a difference is said
_FITS = 5  # cm: half the way to the next height of handles that was tried (Berquer et al. 2002, published)
_SCREEN = 30  # cm from the lower to the upper edge of the monitor that is drawn, as of a 24-inch one (from memory)


@checked(placement=a(Placement), box=a(WedgeBox, FlatBox, type(None)), seated=flag, numbers=flag, width=pixels)
def operator_figure(
    placement: Placement,
    focus: int = 0,
    box: WedgeBox | FlatBox | None = None,
    *,
    elbow_height: float = 105,
    table: float | None = None,
    monitor_distance: float = 100,
    monitor_below: float = 15,
    seated: bool = False,
    numbers: bool = True,
    width: float = 700,
) -> go.Figure:
    """You at the box, seen from your right: what brings hands to elbows, and eyes to the monitor.

    elbow_height, seated
        of your elbow above the floor of the room, upper arm hanging, in cm: standing, or on your seat
    table
        height of the table top in cm; the one that brings the hands to the elbows unless given. It is said to fit where the
        hands are at most 5 cm off: handles at the elbow were best, the next tried were 10 off (Berquer et al. 2002, published)
    monitor_distance, monitor_below
        from the eyes to the middle of the monitor in cm, and how far that is below the eyes, 0 to 60 degrees. The shaded region
        is advised (Ronstrom et al. 2017, published, for a 19-inch screen)
    box
        drawn around the ports, where given

    Seen from above, eyes, target and monitor are in one line: a monitor straight ahead was best with the camera at 0
    (Haveran et al. 2007, published). Eyes, shoulder and seat are as far from the elbow as those of one man of a survey
    (`data/published_values.csv`, Gordon et al. 2012; military adults, not surgeons), from elbow to fist it is 36 cm (from
    memory). The upper arm hangs, and the eyes are drawn straight above it. ValueError where hands cannot be reached so.

    >>> placement = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))
    >>> [note.text for note in operator_figure(placement, table=80).layout.annotations if "table" in note.text]
    ['table 80.0 cm<br>5.6 cm too high for these elbows<br>hands 30.6 cm above it']
    """
    target = placement.targets[number_of_target("focus", focus, len(placement.targets))]
    you = _at_the_table(placement, target, one("elbow_height", elbow_height, lengths), table, seated)
    distance, below = one("monitor_distance", monitor_distance, lengths), one("monitor_below", monitor_below, _below)
    return go.Figure(plain_operator(you, box, distance, below, numbers, width))


def plain_operator(you, box, distance, below, numbers=True, width=700):
    """The same as plain data, of an `_Operator` and a monitor."""
    near, far, ways = _advised()
    screen = _from(you.eyes, distance, below)
    front, back = you.hands[:, 0].min() + np.array([8, 75]) if box is None else box.bounds()[:, 1] + np.array([-4, 10])
    left, right = you.elbows[:, 0].min() - 32, max(you.eyes[0] + max(distance, far), back) + 8
    bottom, top = -24.0, max(you.eyes[1], screen[1] + _SCREEN / 2) + 14
    parts = _drawn(you, box, (left, right), (front, back), screen)
    parts["advised"] = np.concatenate([_arc(you.eyes, near, ways), _arc(you.eyes, far, ways[::-1])])
    if not numbers:
        parts["table that fits"] = _NOTHING
    up = 1 if you.off > _EVEN else -1  # the words on the hands stand where the forearms are not
    places = {
        "posture": (you.eyes[0], you.seat - 6 if you.seated else 20),
        "eyes": you.eyes,
        "elbows": you.elbows.min(axis=0),
        "hands": you.hands[(up * you.hands[:, 1]).argmax()],
        "table": (front, you.table),
        "table that fits": (back, you.table - you.off),
        "monitor": screen,
        "advised": np.maximum(_from(you.eyes, far, ways[0]), (-np.inf, screen[1] + _SCREEN / 2)),
        "whence": (left, 0),
    }
    said = {name: name for name in places} | {"table that fits": ""}
    if numbers:
        said |= _heights(you) | {
            "monitor": f"monitor<br>{distance:.0f} cm away<br>{below:.0f}° below",
            "advised": f"advised: {near:.0f} to {far:.0f} cm,<br>{ways[0]:.0f} to {ways[-1]:.0f}° below",
        }
    seat = f"seated at {you.seat:.1f} cm" if numbers else "seated"
    said |= {"posture": seat if you.seated else "standing", "whence": _whence()}
    words = {name: {"text": said[name], "x": float(x), "y": float(y)} for name, (x, y) in places.items()}
    words["hands"] |= {"yanchor": "bottom" if up > 0 else "top", "yshift": 10 * up}
    layout = to_scale(width, max(round(width * (top - bottom) / (right - left)), 40), (left, right), (bottom, top)) | {
        "annotations": notes(_LOOKS, words.values()),
    }
    drawn = {name: xy(points) for name, points in parts.items()}
    return {"data": traces(_PARTS, drawn, hoverinfo="skip"), "layout": layout}


class _Operator(NamedTuple):
    """Joints and heights in the plane of the side view, (along, up) in cm: along is away from you, up from the floor."""

    table: float
    off: float  # how much higher the table is than the one that brings the hands to the elbows
    target: np.ndarray
    hands: np.ndarray
    elbows: np.ndarray
    shoulder: float
    eyes: np.ndarray
    seat: float
    seated: bool


def _at_the_table(placement, target, elbow, table, seated):
    ports = np.stack([placement.left_port, placement.right_port])
    hands = handle_position(ports, target, placement.shafts, placement.handle_reach)[:, 1:]
    above = hands[:, 1].mean()
    fitting = float(table_height(elbow, above))
    if fitting < 0 and table is None:
        raise refused("elbow_height", f"at least {above:.1f} cm, the height of the hands above the table", elbow)
    table = fitting if table is None else one("table", table, lengths, zero=True)
    joints = body()
    seat = elbow - joints["elbow above seat"] if seated else 0.0
    if seat < 0:
        raise refused("elbow_height", f"at least {joints['elbow above seat']:.1f} cm if you are seated", elbow)
    hands = hands + np.array([0, table])
    elbows = _elbows(hands, elbow, joints["elbow to grip length"])
    eyes = np.array([elbows[:, 0].mean(), elbow + joints["eyes above elbow"]])
    on_table = target[1:] + np.array([0, table])
    return _Operator(table, table - fitting, on_table, hands, elbows, elbow + joints["upper arm"], eyes, seat, seated)


def _drawn(you, box, floor, table, screen):
    """Points of each part, (n, 2)."""
    here, (front, back) = you.eyes[0], table
    sight = screen - you.eyes
    across = _SCREEN / 2 * np.array([-sight[1], sight[0]]) / np.linalg.norm(sight)  # the monitor is square to the line of sight
    fitting = you.table - you.off
    parts = {
        "floor": _level(*floor, 0),
        "table": np.array([[front, you.table], [back, you.table], [np.nan, np.nan], [back - 4, you.table], [back - 4, 0]]),
        "table that fits": _NOTHING if abs(you.off) <= _FITS else _level(front, back, fitting),
        "box": _NOTHING if box is None else box_in_section(box)[:, 1:] + np.array([0, you.table]),
        "body": np.array([[here, you.seat], you.eyes]),
        "seat": _level(here - 15, here + 15, you.seat) if you.seated else _NOTHING,
        "line of sight": np.stack([you.eyes, screen]),
        "level": _level(here, here + np.linalg.norm(sight) / 2, you.eyes[1]),
        "monitor": np.stack([screen - across, screen + across]),
        "eyes": you.eyes[None],
        "target": you.target[None],
    }
    for side, elbow, hand in zip(("left", "right"), you.elbows, you.hands, strict=True):
        parts[f"{side} shaft"] = np.stack([hand, you.target])
        parts[f"{side} arm"] = np.stack([[elbow[0], you.shoulder], elbow, hand])
        parts[f"{side} hand"] = hand[None]
    return parts


def _level(start, end, height):
    return np.array([[start, height], [end, height]])


def _below(name, value):
    takes = f"an angle of 0 to {_STEEPEST} degrees"
    angle = lengths(name, value, zero=True, takes=takes)
    if (angle > _STEEPEST).any():
        raise refused(name, takes, value)
    return angle


def _advised():
    """The nearest and the farthest advised monitor, in cm, and the advised angles below the eyes, in steps."""
    rows = [row for row in datasets.records("published_values") if row["source"] == "ronstrom-2017"]
    ends = {row["quantity"]: (row["low"], row["high"]) for row in rows}
    return *ends["monitor distance"], np.linspace(*ends["screen centre below eye level"], 9)


def _elbows(hands, height, forearm):
    """The elbows of upper arms that hang, each behind its hand."""
    rise = hands[:, 1] - height
    worst = rise[np.abs(rise).argmax()]
    if abs(worst) >= forearm:
        where = "above" if worst > 0 else "below"
        raise ValueError(
            f"The hands would be {abs(worst):.1f} cm {where} the elbows, and the forearm to the fist is {forearm:g} cm; choose "
            "another height (table)."
        )
    return np.stack([hands[:, 0] - [sqrt(forearm**2 - each**2) for each in rise], np.full(2, height)], axis=1)


def _from(eyes, distance, below):
    return eyes + distance * np.array([cos(radians(below)), -sin(radians(below))])


def _arc(eyes, distance, ways):
    return np.stack([_from(eyes, distance, way) for way in ways])


def _heights(you):
    """What is written about heights, by the name of its place."""
    elbow, hands = you.elbows[0, 1], you.hands[:, 1].mean()
    rise, fits = hands - elbow, abs(you.off) <= _FITS
    way = "level with<br>" if abs(rise) < _EVEN else f"{abs(rise):.1f} cm<br>{'above' if rise > 0 else 'below'} "
    too = "it fits" if fits else f"{abs(you.off):.1f} cm too {'high' if you.off > 0 else 'low'} for"
    return {
        "eyes": f"eyes {you.eyes[1]:.1f} cm",
        "elbows": f"elbows {elbow:.1f} cm",
        "hands": f"hands {way}the elbows",
        "table": f"table {you.table:.1f} cm<br>{too} these elbows<br>hands {hands - you.table:.1f} cm above it",
        "table that fits": "" if fits else f"{you.table - you.off:.1f} cm fits",
    }


def _whence():
    """Where the lengths of the body and the shaded region are from, and what the side view cannot show."""
    rows = {row["source"]: row for row in datasets.records("published_values")}
    survey, region = (source_in_short(rows[name]) for name in ("army-2012", "ronstrom-2017"))
    return (
        f"Body: one man of a survey ({survey}),<br>elbow to fist from memory. Monitor: {region}.<br>"
        "Seen from above, eyes, target and monitor are in line."
    )


_NOTHING = np.full((1, 2), np.nan)


def _arm(side):
    line = {"color": side["colour"], "width": 5, "dash": side["dash"]}
    return {"mode": "lines+markers", "line": line, "marker": {"symbol": side["marker"], "color": side["colour"], "size": 9}}


def _hand(side):
    marker = {"symbol": f"{side['marker']}-open", "color": side["colour"], "size": 16, "line": {"width": 4}}
    return {"mode": "markers", "marker": marker}


_PARTS = {
    "floor": {"mode": "lines", "line": {"color": GREY, "width": 3}},
    "advised": {"mode": "lines", "line": {"width": 0}, "fill": "toself", "fillcolor": "rgba(0, 158, 115, 0.22)"},
    "table": {"mode": "lines", "line": {"color": GREY, "width": 6}},
    "table that fits": {"mode": "lines", "line": {"color": GREEN, "width": 3, "dash": "dot"}},
    "box": {"mode": "lines", "line": {"color": CARD, "width": 5}},
    "body": {"mode": "lines", "line": {"color": GREY, "width": 2, "dash": "dot"}},
    "seat": {"mode": "lines", "line": {"color": GREY, "width": 6}},
    "line of sight": {"mode": "lines", "line": {"color": PURPLE, "width": 2}},
    "level": {"mode": "lines", "line": {"color": GREY, "width": 1, "dash": "dash"}},
    "monitor": {"mode": "lines", "line": {"color": INK, "width": 8}},
    "left shaft": {"mode": "lines", "line": {"color": LEFT["colour"], "width": 3, "dash": LEFT["dash"]}},
    "right shaft": {"mode": "lines", "line": {"color": RIGHT["colour"], "width": 3, "dash": RIGHT["dash"]}},
    "left arm": _arm(LEFT),
    "right arm": _arm(RIGHT),
    "left hand": _hand(LEFT),
    "right hand": _hand(RIGHT),
    "eyes": {"mode": "markers", "marker": {"symbol": "circle", "color": PURPLE, "size": 14}},
    "target": {"mode": "markers", "marker": target_sign(15)},
}
_LOOKS = (
    {"xanchor": "left", "xshift": 8},
    {"xanchor": "right", "xshift": -14},
    {"xanchor": "right", "xshift": -10},
    {"xanchor": "right", "xshift": -4, "align": "right"},
    {"xanchor": "left", "yanchor": "top", "yshift": -6, "align": "left"},
    {"xanchor": "right", "yanchor": "top", "bgcolor": "rgba(255, 255, 255, 0.75)"},
    {"xanchor": "left", "xshift": 12, "align": "left"},
    {"xanchor": "right", "yanchor": "bottom", "yshift": 4, "align": "right"},  # above the monitor: the box is below it
    {"xanchor": "left", "yanchor": "top", "xshift": 8, "yshift": -6, "align": "left", "font": {"size": 12, "color": GREY}},
)

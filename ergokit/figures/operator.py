"""You at the box, from the side and to scale: hands, elbows, eyes, monitor and table, as joints and segments."""

from math import cos, radians, sin, sqrt

import numpy as np
import plotly.graph_objects as go

from ergokit import datasets
from ergokit._check import a, checked, flag, lengths, number_of_target, one, pixels, refused
from ergokit.figures.plain import notes, traces
from ergokit.figures.section import box_in_section
from ergokit.figures.style import CARD, GREEN, GREY, INK, LEFT, ORANGE, PLAIN, PURPLE, RIGHT
from ergokit.guidance.verdicts import source_in_short
from ergokit.placement import Placement
from ergokit.surfaces import FlatBox, WedgeBox
from ergokit.triangulation import handle_position, table_height

_STEEPEST = 60  # degrees below the eyes at which a monitor is still drawn
_EVEN = 0.05  # cm from which on a difference is said
_FITS = 5  # cm: half the way to the next height of handles that was tried (Berquer et al. 2002, published)
_SCREEN = 30  # cm from the lower to the upper edge of the monitor that is drawn, as of a 24-inch one (from memory)


def _below_eyes(name, value):
    takes = f"an angle of 0 to {_STEEPEST} degrees"
    angle = one(name, value, lengths, zero=True, takes=takes)
    if angle > _STEEPEST:
        raise refused(name, takes, got=f"{angle:g}")
    return angle


@checked(placement=a(Placement), box=a(WedgeBox, FlatBox, type(None)), seated=flag, numbers=flag, width=pixels)
def operator_figure(
    placement,
    focus=0,
    box=None,
    *,
    elbow_height=105,
    table=None,
    monitor_distance=100,
    monitor_below=15,
    seated=False,
    numbers=True,
    width=700,
):
    """You at the box, seen from your right: what brings hands to elbows, and eyes to the monitor.

    elbow_height, seated
        of your elbow above the floor of the room, upper arm hanging, in cm: standing, or on your seat
    table
        height of the table top in cm; the one that brings the hands to the elbows unless given. It is said to fit where the
        hands are at most 5 cm off: handles at the elbow were best, the next tried were 10 off (Berquer et al. 2002, published)
    monitor_distance, monitor_below
        from the eyes to the middle of the monitor in cm, and how far that is below the eyes in degrees. The shaded region is
        advised (Ronstrom et al. 2017, published, for a 19-inch screen)
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
    return go.Figure(
        plain_operator(placement, focus, box, elbow_height, table, monitor_distance, monitor_below, seated, numbers, width)
    )


def plain_operator(
    placement,
    focus=0,
    box=None,
    elbow_height=105,
    table=None,
    monitor_distance=100,
    monitor_below=15,
    seated=False,
    numbers=True,
    width=700,
):
    """The same as plain data."""
    target = placement.targets[number_of_target("focus", focus, len(placement.targets))]
    elbow = one("elbow_height", elbow_height, lengths)
    ports = np.stack([placement.left_port, placement.right_port])
    hands = handle_position(ports, target, placement.shafts, placement.handle_reach)[:, 1:]
    above = hands[:, 1].mean()
    fitting = float(table_height(elbow, above))
    top = fitting if table is None else one("table", table, lengths, zero=True)
    if top < 0:
        raise refused("elbow_height", f"more than the hands' {above:.1f} cm above the table", got=f"{elbow:g}")
    distance, below = one("monitor_distance", monitor_distance, lengths), _below_eyes("monitor_below", monitor_below)
    body = _body()
    on_table = np.array([0, top])
    hands = hands + on_table
    elbows = _elbows(hands, elbow, body["elbow to grip length"])
    here = elbows[:, 0].mean()
    shoulder, eyes = elbow + body["upper arm"], np.array([here, elbow + body["eyes above elbow"]])
    seat = elbow - body["elbow above seat"] if seated else 0.0
    if seat < 0:
        raise refused("elbow_height", f"at least {body['elbow above seat']:.1f} cm where you are seated", got=f"{elbow:g}")
    near, far, ways = _advised()
    screen = _from(eyes, distance, below)
    tilt = _SCREEN / 2 * np.array([sin(radians(below)), cos(radians(below))])  # square to the line of sight
    front, back = (hands[:, 0].min() + 8, hands[:, 0].min() + 75) if box is None else box.bounds()[:, 1] + np.array([-4, 10])
    edges = np.array([[front, top], [back, top], [np.nan, np.nan], [back - 4, top], [back - 4, 0]])
    left, right = elbows[:, 0].min() - 32, max(here + max(distance, far) + 8, back + 8)
    parts = {
        "floor": np.array([[left, 0], [right, 0]]),
        "advised": np.concatenate([_arc(eyes, near, ways), _arc(eyes, far, ways[::-1])]),
        "table": edges,
        "table that fits": np.array([[front, fitting], [back, fitting]])
        if abs(top - fitting) > _FITS and numbers
        else _NOTHING,
        "box": _NOTHING if box is None else box_in_section(box)[:, 1:] + on_table,
        "body": np.array([[here, seat], [here, shoulder], eyes]),
        "seat": np.array([[here - 15, seat], [here + 15, seat]]) if seated else _NOTHING,
        "line of sight": np.stack([eyes, screen]),
        "level": np.stack([eyes, [eyes[0] + distance / 2, eyes[1]]]),
        "monitor": np.stack([screen - tilt, screen + tilt]),
        "eyes": eyes[None],
        "target": target[None, 1:] + on_table,
    }
    for i, side in enumerate(("left", "right")):
        parts[f"{side} shaft"] = np.stack([hands[i], target[1:] + on_table])
        parts[f"{side} arm"] = np.stack([[elbows[i, 0], shoulder], elbows[i], hands[i]])
        parts[f"{side} hand"] = hands[i][None]
    way = 1 if top - fitting > _EVEN else -1  # the words on the hands stand where the forearms are not
    places = {
        "posture": (here, seat - 6 if seated else 20.0),
        "eyes": eyes,
        "elbows": elbows.min(axis=0),
        "hands": hands[(way * hands[:, 1]).argmax()],
        "table": (front, top),
        "fitting": (back, fitting),
        "monitor": screen,
        "advised": _from(eyes, far, ways[-1]),
        "whence": (left, 0.0),
    }
    said = _words(seat, eyes[1], elbow, hands[:, 1].mean(), top, fitting) if numbers else _HIDDEN
    said = said | {"posture": said["posture"] if seated else "standing", "whence": _whence()}
    if numbers:
        said["monitor"] = f"monitor<br>{distance:.0f} cm away<br>{below:.0f}° below"
        said["advised"] = f"advised: {near:.0f} to {far:.0f} cm,<br>{ways[0]:.0f} to {ways[-1]:.0f}° below"
    bottom, highest = -18.0, max(eyes[1], screen[1] + _SCREEN / 2) + 14
    words = {name: {"text": said[name], "x": float(x), "y": float(y)} for name, (x, y) in places.items()}
    words["hands"] |= {"yanchor": "bottom" if way > 0 else "top", "yshift": 10 * way}
    layout = PLAIN | {
        "width": width,
        "height": max(round(width * (highest - bottom) / (right - left)), 40),
        "margin": {"l": 0, "r": 0, "t": 0, "b": 0},
        "xaxis": {"visible": False, "range": (left, right), "fixedrange": True},
        "yaxis": {"visible": False, "range": (bottom, highest), "scaleanchor": "x", "fixedrange": True},
        "annotations": notes(_LOOKS, words.values()),
    }
    drawn = {name: {"x": points[:, 0], "y": points[:, 1]} for name, points in parts.items()}
    return {"data": traces(_PARTS, drawn, hoverinfo="skip"), "layout": layout}


def _body():
    """What the joints are apart, in cm: of one man of a survey, and from elbow to fist from memory."""
    names = ("army-2012", "none")
    rows = {row["quantity"]: row["low"] for row in datasets.records("published_values") if row["source"] in names}
    upper_arm = rows["acromion to radiale length"]
    seat = rows["stature"] - rows["sitting height"]  # what sitting takes off, seat on the floor
    elbow_above_seat = rows["acromial height"] - upper_arm - seat
    return {
        "upper arm": upper_arm,
        "elbow above seat": elbow_above_seat,
        "eyes above elbow": rows["eye height sitting"] - elbow_above_seat,
        "elbow to grip length": rows["elbow to grip length"],
    }


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
            f"the hands would be {abs(worst):.1f} cm {where} the elbows, and from elbow to fist it is {forearm:g} cm; choose "
            "another height (table)."
        )
    return np.stack([hands[:, 0] - [sqrt(forearm**2 - each**2) for each in rise], np.full(2, height)], axis=1)


def _from(eyes, distance, below):
    return eyes + distance * np.array([cos(radians(below)), -sin(radians(below))])


def _arc(eyes, distance, ways):
    return np.stack([_from(eyes, distance, way) for way in ways])


def _words(seat, eyes, elbow, hands, top, fitting):
    """What is written about heights, by the name of its place."""
    rise, off = hands - elbow, top - fitting
    fits = abs(off) <= _FITS
    way = "level with<br>" if abs(rise) < _EVEN else f"{abs(rise):.1f} cm<br>{'above' if rise > 0 else 'below'} "
    too = "it fits" if fits else f"{abs(off):.1f} cm too {'high' if off > 0 else 'low'} for"
    return {
        "posture": f"seated at {seat:.1f} cm",
        "eyes": f"eyes {eyes:.1f} cm",
        "elbows": f"elbows {elbow:.1f} cm",
        "hands": f"hands {way}the elbows",
        "table": f"table {top:.1f} cm<br>{too} these elbows<br>hands {hands - top:.1f} cm above it",
        "fitting": "" if fits else f"{fitting:.1f} cm fits",
    }


def _whence():
    """Where the lengths of the body and the shaded region are from, and what the side view cannot show."""
    rows = {row["source"]: row for row in datasets.records("published_values")}
    survey, region = (source_in_short(rows[name]) for name in ("army-2012", "ronstrom-2017"))
    return (
        f"Body: one man of a survey ({survey}); elbow to fist from memory. Monitor: {region}, published.<br>"
        "Seen from above, eyes, target and monitor are in one line."
    )


_HIDDEN = {name: name for name in ("eyes", "elbows", "hands", "table", "monitor", "advised")}
_HIDDEN |= {"posture": "seated", "fitting": ""}
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
    "target": {
        "mode": "markers",
        "marker": {"symbol": "cross", "color": ORANGE, "size": 13, "line": {"color": INK, "width": 1}},
    },
}
_LOOKS = (
    {"xanchor": "left", "xshift": 8},
    {"xanchor": "right", "xshift": -14},
    {"xanchor": "right", "xshift": -10},
    {"xanchor": "right", "xshift": -4, "align": "right"},
    {"xanchor": "left", "yanchor": "top", "yshift": -6, "align": "left"},
    {"xanchor": "right", "yanchor": "bottom", "font": {"color": GREEN}, "bgcolor": "rgba(255, 255, 255, 0.75)"},
    {"xanchor": "left", "xshift": 12, "align": "left"},
    {"xanchor": "right", "yanchor": "top", "yshift": -6, "align": "right", "font": {"color": GREEN}},
    {"xanchor": "left", "yanchor": "top", "xshift": 8, "yshift": -6, "align": "left", "font": {"size": 12, "color": GREY}},
)

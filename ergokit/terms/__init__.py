"""The one table of measures: what each is called, means and looks like, and the lesson that teaches it."""

from __future__ import annotations

import re
from html import escape
from textwrap import fill
from typing import NamedTuple

from ergokit._check import one_word
from ergokit.terms.sketch import sketch

__all__ = ["Glossary", "glossary"]


class Quantity(NamedTuple):
    """A measure.

    `unit` is as in a table of data, `lesson` the number of the one that teaches it, `drawn` what `sketch` draws for it, and
    `functions` are those whose rules may name it.
    """

    unit: str
    symbol: str
    means: str
    lesson: str
    drawn: str
    functions: str = ""


_ALL = "conflicts best_ports design_box"
_UNITS = {"deg": "degrees", "cm": "cm", "ratio": "a ratio"}

#: Every quantity of the kit by the one name that readers see, in the order of a table of measures.
QUANTITIES = {
    "port spacing": Quantity("cm", "s", "The port spacing is the distance from one port to the other.", "01", "front LR", _ALL),
    "manipulation angle": Quantity(
        "deg",
        "θ",
        "The manipulation angle is the angle between the two instruments where they meet at the target, measured in space.",
        "01",
        "space LTR",
        "conflicts design_box",
    ),
    "working distance": Quantity(
        "cm", "d", "The working distance is the distance from the lens to the target.", "01", "side CT", _ALL
    ),
    "depth": Quantity(
        "cm",
        "h",
        "The depth is the distance from the target to the line through both ports.",
        "01",
        "space L.R MT",
        "conflicts design_box",
    ),
    "length inside": Quantity(
        "cm", "L", "The length inside is the part of the shaft from the port to the target.", "01", "space LT", _ALL
    ),
    "length outside": Quantity(
        "cm", "Lₑ", "The length outside is the part of the shaft left outside the port, without the handle.", "07", "space LE"
    ),
    "inside : outside": Quantity(
        "ratio",
        "r",
        "The ratio inside : outside is the length of shaft inside divided by the length outside.",
        "07",
        "square LT L-E",
        _ALL,
    ),
    "movement scaling": Quantity(
        "ratio",
        "m",
        "Movement scaling is how far the tip moves sideways for each cm that the hand moves. The port is the pivot.",
        "07",
        "square T>t G>g",
    ),
    "handle separation": Quantity(
        "cm", "A", "The handle separation is the distance from one hand to the other.", "07", "space GH", "conflicts design_box"
    ),
    "elevation angle": Quantity(
        "deg",
        "ε",
        "The elevation angle is how steeply one shaft rises from the working plane.",
        "09",
        "space L.l T.l LTl",
        _ALL,
    ),
    "instrument plane tilt": Quantity(
        "deg",
        "τ",
        "The instrument plane tilt is how steeply the plane through both shafts rises from the working plane.",
        "09",
        "side M.m T.m MTm",
    ),
    "angle seen from above": Quantity(
        "deg",
        "φ",
        "The angle seen from above is the manipulation angle as it looks from straight above the working plane.",
        "09",
        "above lTr",
    ),
    "azimuth angle, instruments' plane": Quantity(
        "deg",
        "α",
        "This azimuth angle lies between a shaft and the camera's axis, measured in the plane of both shafts. The left and the "
        "right one add up to the manipulation angle.",
        "09",
        "square T.P LTP PTR",
    ),
    "azimuth angle, working plane": Quantity(
        "deg",
        "αʷ",
        "This azimuth angle lies between a shaft and the camera's axis, measured in the working plane. The left and the right "
        "one add up to the angle seen from above.",
        "09",
        "above T.c lTc cTr",
        "conflicts",
    ),
    "azimuth angle, space": Quantity(
        "deg",
        "αˢ",
        "This azimuth angle is the plain angle in space between a shaft and the camera's axis.",
        "09",
        "space T.C LTC",
    ),
    "view angle": Quantity(
        "deg",
        "",
        "The view angle is how steeply the camera looks down on the working plane. At 90 degrees the camera looks straight "
        "down.",
        "02",
        "side C.T C.c c.T CTc",
    ),
    "off-centre angle": Quantity(
        "deg",
        "",
        "The off-centre angle is the angle at the lens between the camera's axis and the target. At 0 degrees the target is in "
        "the middle of the picture.",
        "02",
        "side C.A C.T ACT",
        "design_box",
    ),
    "angle on the screen": Quantity(
        "deg",
        "D",
        "The angle on the screen is the angle between the two shafts in the picture on the monitor. The angle on the screen is "
        "seldom the true angle.",
        "08",
        "picture frame VTW",
    ),
    "hand-eye rotation": Quantity(
        "deg",
        "ψ",
        "The hand-eye rotation is how far the picture is turned from the way you face. At 0 degrees picture and hands are "
        "aligned; at 180 degrees you face the camera.",
        "08",
        "above frame T>Y T>U YTU",
    ),
    "camera's side": Quantity(
        "deg",
        "",
        "The camera's side is the direction in which the camera looks, seen from above. The camera looks the way you face at 0 "
        "degrees, in from your right at 90, and back at you at 180.",
        "08",
        "above c.T c>y ycT",
    ),
    "camera roll": Quantity(
        "deg",
        "",
        "The camera roll is how far the camera is turned about its own axis. At 0 degrees the horizon is level.",
        "08",
        "picture frame rolled STs",
    ),
    "lean at the port": Quantity(
        "deg",
        "η",
        "The lean at the port is the angle between a shaft and the straight way in through the panel.",
        "03",
        "side L.N NLT",
        "design_box",
    ),
    "chord to camera port": Quantity(
        "cm",
        "c",
        "The chord is the distance from the camera port to each working port, all three on one arc about the target.",
        "10",
        "square T.K LK KR",
        "conflicts",
    ),
    "port to camera": Quantity(
        "cm", "", "This rule is about the distance from each port to the camera.", "11", "space LC RC", "best_ports"
    ),
    "azimuth difference": Quantity(
        "deg",
        "",
        "The azimuth difference is how far apart the left and the right azimuth angle are.",
        "11",
        "square T.P LTP PTR",
        "best_ports",
    ),
    "shaft clearance": Quantity(
        "cm",
        "",
        "The shaft clearance is the distance from the nearer port to the other shaft, and from the lens to either shaft.",
        "11",
        "space LI CJ",
        "best_ports",
    ),
    "field of view": Quantity(
        "deg",
        "",
        "The field of view is the angle at the lens between the left and the right edge of the picture.",
        "02",
        "space frame Z.C S.C ZCS",
    ),
    "picture's turn": Quantity(
        "deg",
        "",
        "The picture's turn is how far the photograph is turned about the camera's axis from a level horizon.",
        "04",
        "picture frame rolled STs",
    ),
    "axis on the floor, to the right of the target": Quantity(
        "cm",
        "",
        "This measure says how far to the right of the target the camera's axis meets the floor.",
        "04",
        "above C.D D.B TB",
    ),
    "axis on the floor, beyond the target": Quantity(
        "cm",
        "",
        "This measure says how far beyond the target the camera's axis meets the floor.",
        "04",
        "above C.D T.B BD",
    ),
    "lens to the right of the target": Quantity(
        "cm", "", "This measure says how far the lens is to the right of the target, seen from above.", "04", "above T.O OC"
    ),
    "lens above the floor": Quantity("cm", "", "This measure says how high the lens is above the floor.", "04", "side Cc"),
}
#: What narrow columns call a measure.
_IN_COLUMNS = {
    "azimuth": "azimuth angle, instruments' plane",
    "elevation": "elevation angle",
    "hand to hand": "handle separation",
}


def _label(names):
    """A pattern for one of the names, with its side and unit or without."""
    return rf"({'|'.join(map(re.escape, sorted(names, key=len, reverse=True)))})(?: left| right)?(?: \((?:cm|deg|°)\))?"


_LABEL, _COLUMN = _label(QUANTITIES), _label([*QUANTITIES, *_IN_COLUMNS])
# How an entry lies below its name in a cell, and beside others.
_BELOW = "width:17em;margin-left:auto;text-align:left;white-space:normal;font-weight:normal"
_BESIDE = "display:inline-block;width:17em;vertical-align:top;margin:0 12px 12px 0"


def unit_in_words(name):
    """Symbol and unit of a measure, such as "θ, in degrees"; the unit alone where there is no symbol."""
    unit, symbol = QUANTITIES[name].unit, QUANTITIES[name].symbol
    unit = _UNITS[unit] if unit == "ratio" else f"in {_UNITS[unit]}"
    return f"{symbol}, {unit}" if symbol else unit


def entry(name):
    """What a measure is, in HTML: symbol and unit, a drawing, a sentence or two, and the lesson."""
    quantity = QUANTITIES[name]
    drawing = sketch(quantity.drawn, quantity.symbol)
    return f"<i>{unit_in_words(name)}</i><br>{drawing}<br>{escape(quantity.means)} <i>Lesson {quantity.lesson}.</i>"


def with_entries(table):
    """An HTML table in which each measure's name, where it stands first, opens its entry."""
    told = set()

    def opening(found):
        name = _IN_COLUMNS.get(found[1], found[1])
        if name in told:
            return found[0]
        told.add(name)
        return f'<details><summary>{found[0]}</summary><div style="{_BELOW}">{entry(name)}</div></details>'

    return re.sub(rf"(?<=<t[hd]>){_COLUMN}(?=</t[hd]>)", opening, table)


def with_buttons(table):
    """A table or list of an explorer, in HTML, with each measure's name as a button; `explorer.js` shows the entry.

    >>> with_buttons("<td>depth</td><td>needle</td>")
    '<td><button>depth</button></td><td>needle</td>'
    """
    cell = rf"(?<=<t[hd]>){_LABEL}(?=</t[hd]>| \*</td>)|(?<=<li>){_LABEL}"
    return re.sub(cell, lambda found: f"<button>{found[0]}</button>", table)


def is_measure(label):
    """Whether a label names a measure, with its side and unit or without.

    >>> is_measure("length inside left (cm)"), is_measure("target sideways (cm)")
    (True, False)
    """
    return re.fullmatch(_LABEL, label) is not None


class Glossary:
    """Entries of the glossary; made by `glossary`."""

    def __init__(self, names: list[str]) -> None:
        self.names = names

    def __repr__(self):
        return "\n\n".join(
            fill(f"{name} ({unit_in_words(name)}): {QUANTITIES[name].means} Lesson {QUANTITIES[name].lesson}.", 100)
            for name in self.names
        )

    def _repr_html_(self):
        return "".join(f'<div style="{_BESIDE}"><b>{name}</b>, {entry(name)}</div>' for name in self.names)


def glossary(name: str | None = None) -> Glossary:
    """What each measure means, with its symbol and unit, a drawing, and the lesson that teaches it.

    All measures in alphabetical order, or the one called `name`.

    >>> glossary("depth")
    depth (h, in cm): The depth is the distance from the target to the line through both ports. Lesson
    01.
    >>> glossary("dept")
    Traceback (most recent call last):
    ValueError: 'dept' cannot be used; give one of depth, ... (name).
    """
    if name is not None:
        one_word("name", name, QUANTITIES)
    return Glossary([name] if name else sorted(QUANTITIES))

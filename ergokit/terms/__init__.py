"""The glossary of measures: what each is called, means and looks like, and the lesson that teaches it.

All of it is in `data/measures.csv`.
"""

from __future__ import annotations

import re
from html import escape
from textwrap import fill
from typing import NamedTuple

from ergokit import datasets
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
    lesson: str
    drawn: str
    functions: str
    means: str


_UNITS = {"deg": "in degrees", "cm": "in cm", "ratio": "a ratio"}

#: Every quantity of the kit by the one name that readers see, in the order of a table of measures.
QUANTITIES = {row["measure"]: Quantity(*(row[field] for field in Quantity._fields)) for row in datasets.records("measures")}
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
    unit, symbol = _UNITS[QUANTITIES[name].unit], QUANTITIES[name].symbol
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
        called = "" if name == found[1] else f"<b>{name}</b>, "
        return f'<details><summary>{found[0]}</summary><div style="{_BELOW}">{called}{entry(name)}</div></details>'

    return re.sub(rf"(?<=<t[hd]>){_COLUMN}(?=</t[hd]>)", opening, table)


def with_entries_in_list(text):
    """A text in Markdown whose list items open the entry of the measure that they begin with, the first item of each.

    >>> with_entries_in_list("- depth 12 cm\\n- needle")[:46]
    '- <details><summary>depth 12 cm</summary><div '
    """
    told = set()

    def opening(found):
        said, name = found[1], found[2]
        if name in told:
            return found[0]
        told.add(name)
        below = f'<div style="width:24em"><b>{name}</b>, {entry(name)}</div>'
        return f"- <details><summary>{escape(said, quote=False)}</summary>{below}</details>"

    return re.sub(rf"^- ((?:The )?{_LABEL}\b.*)$", opening, text, flags=re.MULTILINE)


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

"""The explorers' view of the measures: four large numbers, a table of the rest, and a sentence for a screen reader."""

import html
import math
import re

from ergokit.guidance import CAUTION
from ergokit.guidance.verdicts import verdicts_on
from ergokit.placement.measures import Row, figure, give_or_take
from ergokit.terms import with_buttons

_LEGEND = (
    "✓ in &nbsp;≈ near &nbsp;✗ outside a range: <i>advised</i> in a text that was read, on a secondary <i>page</i>, from "
    "<i>memory</i>, common <i>practice</i>, or the best level <i>tried</i>. Point at a row to see why."
)
_UNITS = {"deg": "°", "cm": " cm", "": ""}
_AZIMUTH = "azimuth angle, instruments' plane"
#: The numbers that stand large above a picture.
LARGE = ("manipulation angle", "working distance", "inside : outside", _AZIMUTH)


def table(rows, but=()):
    """One line a quantity, left and right side by side, with a mark for the verdict and its reason as a tip; none of `but`."""
    lines, verdicts = [], _verdicts(rows)
    for quantity, group in _by_quantity(rows).items():
        if quantity in but:
            continue
        notes = "; ".join(_notes(group))
        found = [verdicts[id(row)] for row in group]
        told = [each for each in found if each]
        tip = html.escape(" ".join(filter(None, [notes, _reasons(told)])), quote=True)
        values = list(map(_cell, group, found))
        whence = " ".join(dict.fromkeys(each.whence for each in told if each.whence))
        body = "".join(f"<td>{value}</td>" for value in values) if len(group) == 2 else f'<td colspan="2">{values[0]}</td>'
        name = quantity + (" *" if notes else "")
        lines.append(
            f'<tr title="{tip}"><td>{name}</td>{body}<td>{_UNITS[group[0].unit].strip()}</td>'
            f'<td class="ergokit-whence">{whence}</td></tr>'
        )
    head = "<tr><th>measure</th><th>left</th><th>right</th><th></th><th></th></tr>"
    return with_buttons(f'<table class="ergokit-measures">{head}{"".join(lines)}</table>')


def foot(rows):
    """What the marks in a table mean, and its notes."""
    notes = "".join(f"<div>* {html.escape(note)}</div>" for note in _notes(rows))
    return f'<div class="ergokit-foot">{_LEGEND} {CAUTION}{notes}</div>'


def _notes(rows):
    """Their notes, each once, with readings by the words of a form."""
    return dict.fromkeys(row.note.replace("_", " ") for row in rows if row.note)


def large(rows, numbers=True):
    """The four numbers that matter most, each against published advice; of these as many as there are among the rows."""
    groups, verdicts = _by_quantity(rows), _verdicts(rows)
    cells = (_large(groups[quantity], verdicts, numbers) for quantity in LARGE if quantity in groups)
    return f'<div class="ergokit-large">{"".join(cells)}</div>'


def _large(group, verdicts, numbers):
    quantity, unit = group[0].quantity, group[0].unit
    if not numbers:
        return f"<div><button>{quantity}</button><b>?</b></div>"
    found = [verdicts[id(row)] for row in group]
    if quantity == _AZIMUTH:  # advice is on the difference of the two
        found = verdicts_on([Row("azimuth difference", "", abs(group[0].value - group[1].value), unit, "", None)])
    found = [each for each in found if each]
    # A reason begins with the row that decides, such as "45 to 75 degrees advised, from knot tying on the bench".
    advice = re.split(r", | \(", found[0].because)[0] if found else ""
    advice = (
        "equal advised" if advice and quantity == _AZIMUTH else f"{advice[:1].lower()}{advice[1:]}".replace(" degrees", "°")
    )
    signs = [each.sign for each in found]
    signs = " | ".join(signs if len(set(signs)) == 2 else signs[:1])
    known = [row for row in group if not math.isnan(row.value)]
    values = " ".join(f"<i>{row.side[:1].upper()}</i>{_value(row)}{_UNITS[unit]}" for row in known) or _value(group[0])
    spread = " | ".join(filter(None, map(_spread, group)))
    tip = html.escape(_reasons(found), quote=True)
    return f'<div title="{tip}"><button>{quantity}</button><b>{values}</b>{spread}<span>{signs} {advice}</span></div>'


def part_told(state, i):
    """One part of what a state has told: the large numbers, the table, the words below it, or those for a screen reader."""
    return state.told[i]


def unseen(words):
    """What a screen reader says, out of sight."""
    return f'<div class="ergokit-description">{words}</div>'


def sentence(rows, opening="Two instruments, a camera and a target in 3D."):
    """What the picture shows, for somebody who cannot see it."""
    said = (f"{' '.join(filter(None, (row.side, row.quantity)))} {with_uncertainty(row)} {row.unit}".strip() for row in rows)
    return f"{opening} {'; '.join(said)}."


def _verdicts(rows):
    """The verdict on each row, by its id: one may depend on other rows."""
    return dict(zip(map(id, rows), verdicts_on(rows), strict=True))


def _reasons(found):
    """Why verdicts are what they are, for a tip."""
    return " ".join(dict.fromkeys(f"{each.status[0].upper()}{each.status[1:]}. {each.because}" for each in found))


def _by_quantity(rows):
    groups = {}
    for row in rows:
        groups.setdefault(row.quantity, []).append(row)
    return groups


def _value(row):
    if math.isnan(row.value):
        return "not known" if row.note.startswith("needs ") else "not defined"
    return figure(row.value, row.unit)


def _cell(row, verdict):
    spread = _spread(row)
    return " ".join(filter(None, (_value(row), spread and f"<small>{spread}</small>", verdict and verdict.sign)))


def _spread(row):
    """Give or take how much, where that is known."""
    return "" if row.uncertainty is None or math.isnan(row.uncertainty) else f"± {give_or_take(row.uncertainty, row.unit)}"


def with_uncertainty(row):
    """A value as it is shown, give or take how much where that is known."""
    return " ".join(filter(None, (_value(row), _spread(row))))

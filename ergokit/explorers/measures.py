"""The explorers' view of the measures: a table with verdicts, big numerals for a room, a sentence for a screen reader."""

import html
import math

from ergokit.guidance import CAUTION
from ergokit.guidance.verdicts import verdicts_on
from ergokit.placement.measures import figure, give_or_take

_LEGEND = (
    "✓ in &nbsp;≈ near &nbsp;✗ outside a range: <i>advised</i> in a text that was read, on a secondary <i>page</i>, from "
    "<i>memory</i>, common <i>practice</i>, or the best level <i>tried</i>. Point at a row for why."
)
_UNITS = {"deg": "°", "cm": " cm", "": ""}
# Short enough for one line beside the scene.
_SHORT = {
    "azimuth angle, instruments' plane": "azimuth, instruments",
    "azimuth angle, working plane": "azimuth, working plane",
    "azimuth angle, space": "azimuth, space",
}
_BIG = ("manipulation angle", "working distance", "angle on the screen", "inside : outside")


def table(rows):
    """One line a quantity, left and right side by side, with a mark for the verdict and its reason as a tip."""
    lines, verdicts = [], dict(zip(map(id, rows), verdicts_on(rows), strict=True))
    for group in _by_quantity(rows):
        quantity, unit = group[0].quantity, group[0].unit
        notes = "; ".join(dict.fromkeys(row.note for row in group if row.note))
        found = [verdicts[id(row)] for row in group]
        told = [each for each in found if each]
        said = (f"{each.status[0].upper()}{each.status[1:]}. {each.because}" for each in told)
        tip = html.escape(" ".join(filter(None, [notes, *dict.fromkeys(said)])), quote=True)
        values = [f"{_shown(row)} {each.sign if each else ''}".strip() for row, each in zip(group, found, strict=True)]
        whence = " ".join(dict.fromkeys(each.whence for each in told if each.whence))
        body = "".join(f"<td>{value}</td>" for value in values) if len(group) == 2 else f'<td colspan="2">{values[0]}</td>'
        name = _SHORT.get(quantity, quantity) + (" *" if notes else "")
        lines.append(
            f'<tr title="{tip}"><td>{name}</td>{body}<td>{_UNITS[unit].strip()}</td>'
            f'<td class="ergokit-whence">{whence}</td></tr>'
        )
    notes = "".join(f"<div>* {html.escape(note)}</div>" for note in dict.fromkeys(row.note for row in rows if row.note))
    head = "<tr><th>measure</th><th>left</th><th>right</th><th></th><th></th></tr>"
    foot = f'<div class="ergokit-foot">{_LEGEND}<br>{CAUTION}{notes}</div>'
    return f'<table class="ergokit-measures">{head}{"".join(lines)}</table>{foot}'


def numerals(rows):
    """The few numbers to read from the back of a room."""
    lines = []
    for group in _by_quantity(rows):
        if group[0].quantity in _BIG:
            values = " | ".join(f"{_shown(row)}{_UNITS[row.unit]}" for row in group)
            lines.append(f'<div class="ergokit-numeral"><small>{group[0].quantity}</small><br>{values}</div>')
    return "".join(lines)


def sentence(rows, opening="Two instruments, a camera and a target in 3D."):
    """What the picture shows, for somebody who cannot see it."""
    said = (f"{' '.join(filter(None, (row.side, row.quantity)))} {_shown(row)} {row.unit}".strip() for row in rows)
    return f"{opening} {'; '.join(said)}."


def _by_quantity(rows):
    groups = {}
    for row in rows:
        groups.setdefault(row.quantity, []).append(row)
    return groups.values()


def _shown(row):
    if math.isnan(row.value):
        return "not known" if row.note.startswith("needs ") else "not defined"
    if row.uncertainty is None or math.isnan(row.uncertainty):
        return figure(row.value, row.unit)
    return f"{figure(row.value, row.unit)} ± {give_or_take(row.uncertainty, row.unit)}"

"""One HTML page for juniors: a placement to move with sliders, offline and without Python, with its numbers and verdicts.

The page is `handout.html` with its style, its script and its data put in. The script has the formulas of
`ergokit.triangulation` again; names, units, verdicts and sources come from here as data.
"""

from __future__ import annotations

import json
from html import escape
from itertools import pairwise
from math import isnan
from pathlib import Path
from string import Template

import numpy as np

from ergokit._check import a, checked, flag, instance, refused
from ergokit._files import ending_in, free_path, write_whole
from ergokit._types import FilePath
from ergokit.figures.card import card_of
from ergokit.figures.scene import scope_ends
from ergokit.figures.space import VIEWS, framed
from ergokit.figures.style import LOOKS, SPACE_CSS, SPACE_JS, palette_css
from ergokit.guidance import verdict
from ergokit.guidance.cautions import CAUTIONS, CUT_BY, FOR_EDUCATION
from ergokit.guidance.verdicts import basis_of, citation_of, conditions_on, says, source_in_short, turning_points
from ergokit.placement import Placement
from ergokit.placement.demo import remark
from ergokit.placement.measures import _BARE_HOLE, _SHORT, _STEEP, _UNSTABLE, _WHY_NOT, rows_of
from ergokit.surfaces import Surface
from ergokit.terms import QUANTITIES
from ergokit.triangulation import hand_eye_rotation, inserted_length, manipulation_angle

_HERE = Path(__file__).parent
_TITLE = "Ports, camera and target: move them and see"
_VIEWS = (  # from the shoulder, of which the page takes the one that shows the angle; from above; from the side
    {"turn": -25, "tilt": 10, "eye": 4.5},
    {"turn": -25, "tilt": 58, "eye": 4.5},
    VIEWS["plan"],
    VIEWS["side"],
)
_SHAPE, _ROOM = 1.4, 0.72  # of the drawing on a phone, and the share of it that ports, camera, target and box may fill
_DIGITS = 6  # of a cm: so that the page has the same bytes on every machine


@checked(placement=a(Placement), overwrite=flag)
def write_handout(
    path: FilePath, placement: Placement, *, box: Surface | None = None, title: str = _TITLE, overwrite: bool = False
) -> Path:
    """Write one self-contained HTML page about `placement` and return its path.

    The reader moves ports, camera and target with sliders and sees a drawing, the monitor's picture, every measure and its
    verdict; no network and no Python. Several targets become a list to choose from. `box` is one of `ergokit.surfaces` to
    draw. Measures that tape readings leave open are "not known" on the page.

    ValueError for a path that does not end in .html or cannot be written, for a file that exists unless `overwrite`, and for
    anything that is not a placement, a surface or a title.

    >>> from ergokit import Placement
    >>> write_handout("page.pdf", Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16)))
    Traceback (most recent call last):
    ValueError: 'page.pdf' cannot be used; give a name that ends in .html (path).
    """
    free_path(ending_in(path, [".html"]), overwrite)
    instance("box", box, "a surface such as WedgeBox(50, 40, 30)", Surface, type(None))
    if not isinstance(title, str) or not title.strip():
        raise refused("title", "some words", title)
    page = _page(placement, box, title)
    return write_whole(path, lambda part: part.write_text(page, encoding="utf-8", newline="\n"), overwrite)


def _page(placement, box, title):
    guided = _guided(placement)
    return Template(_source("html")).substitute(
        title=escape(title),
        remark=remark(placement),
        style=f"{_palette()}\n{SPACE_CSS}{_source('css')}",
        script=SPACE_JS.replace("export function", "function") + _source("js"),
        data=json.dumps(_data(placement, box), ensure_ascii=False).replace("<", "\\u003c"),
        questions=_questions(placement),
        rules=_rules(guided),
        sources=_sources(guided),
        first=escape(" ".join((FOR_EDUCATION, *CUT_BY))),
        cautions=_listed(CAUTIONS),
    )


def _listed(lines):
    return "\n".join(f"<li>{escape(words)}</li>" for words in lines)


def _palette():
    return f":root {{{palette_css()}}} @media (prefers-color-scheme: dark) {{ :root {{{palette_css(dark=True)}}} }}"


def _source(ending):
    return (_HERE / f"handout.{ending}").read_text(encoding="utf-8").rstrip()


# What the script is given


def _data(placement, box):
    quantities = {}
    outlines = _outlines(placement, box)
    ends = placement.left_port, placement.right_port, placement.camera, placement.camera_hole, placement.targets
    seen = np.vstack([*ends, *outlines])
    for row in rows_of(placement):
        entry = quantities.setdefault(row.quantity, {"unit": row.unit, "means": QUANTITIES[row.quantity].means, "sides": []})
        entry["sides"].append(row.side)
    return {
        "placement": _arguments(placement),
        "scope": _scope(placement),
        "targets": _rounded(placement.targets),
        "outlines": outlines,
        "looks": LOOKS,
        "views": [framed(seen, view, _SHAPE, _ROOM) for view in _VIEWS],
        "quantities": quantities,
        "verdicts": {quantity: _pieces(quantity) for quantity in quantities},
        "notKnown": {} if placement.tape is None else placement.tape.not_known(),
        "whyNot": _WHY_NOT,
        "steep": {"from": _STEEP, "note": _UNSTABLE},
        "short": {"below": _BARE_HOLE, "note": _SHORT},
    }


def _arguments(placement):
    record = {name: _rounded(getattr(placement, name)) for name in ("left_port", "right_port", "camera")}
    record["target"] = _rounded(placement.targets[0])
    for name in ("aim", "normal", "panel_normal"):
        value = getattr(placement, name)
        record[name] = None if value is None else _rounded(value)
    return record | {"instrument_length": placement.shafts.tolist(), "handle_reach": placement.handle_reach}


def _scope(placement):
    """A scope as the page moves it, with its tip: the top of its picture, and port, camera head and light post from the tip."""
    if placement.scope is None:
        return None
    ends = np.stack([placement.camera_hole, *scope_ends(placement.scope)])
    return {"up": placement.up.tolist(), "ends": _rounded(ends - placement.camera)}


def _rounded(points):
    return (np.round(points, _DIGITS) + 0.0).tolist()


def _outlines(placement, box):
    """Closed lines to draw the box by; without a box a piece of the panel that holds the ports, where it is known."""
    if box is not None:
        return [_rounded(box.outline(face)) for face in box.faces]
    if placement.panel_normal is None:
        return []
    return [_rounded(card_of(placement).corners)]


def _pieces(quantity):
    """What `verdict` says all along the number line, for each condition that its rows have, and for none of them met.

    `needs` is the condition; `changes` are the places where it may change, `at` and `between` the number of its words there
    and before, between and after them.
    """
    return [_pieces_where(quantity, needs) for needs in (*([one] for one in conditions_on(quantity)), [])]


def _pieces_where(quantity, needs):
    given = {other: wanted for other, wanted, _ in needs}
    changes = turning_points(quantity)
    gaps = [changes[0] - 1, *((low + high) / 2 for low, high in pairwise(changes)), changes[-1] + 1]
    words = []

    def number(value):
        said = verdict(quantity, value, given)
        said = {name: getattr(said, name) for name in ("status", "because", "place", "sign", "whence")}
        if said not in words:
            words.append(said)
        return words.index(said)

    return {"needs": needs, "changes": changes, "at": [*map(number, changes)], "between": [*map(number, gaps)], "words": words}


# What stands in words


def _guided(placement):
    """Quantity -> the rows that advise something about it, of those measured on the page."""
    quantities = dict.fromkeys(row.quantity for row in rows_of(placement))
    found = {quantity: verdict(quantity, 0) for quantity in quantities}
    return {quantity: one for quantity, one in found.items() if one.status != "no guidance"}


def _references(guided):
    """The sources in the order they are first named: citation -> its number."""
    citations = dict.fromkeys(citation_of(row) for found in guided.values() for row in found.records if row["source"] != "none")
    return {citation: number for number, citation in enumerate(citations, 1)}


def _rules(guided):
    references = _references(guided)
    parts = []
    for quantity, found in guided.items():
        items = []
        for row in found.records:
            who, words = escape(source_in_short(row)), says(row)
            if row["source"] != "none":
                number = references[citation_of(row)]
                who = f'<a href="#source-{number}">{who} [{number}]</a>'
            items.append(
                f"<li><strong>{escape(words[0].upper() + words[1:])}.</strong> {escape(row['statement'])} "
                f'<span class="source">{who}, {escape(basis_of(row))}.</span></li>'
            )
        parts.append(f"<h3>{escape(quantity)}</h3>\n<ul>\n" + "\n".join(items) + "\n</ul>")
    return "\n".join(parts)


def _sources(guided):
    return "\n".join(f'<li id="source-{number}">{escape(citation)}</li>' for citation, number in _references(guided).items())


def _questions(placement):
    """Predict, then look: each question with its answer folded away and a button that shows it."""
    left, right, target, camera = placement.left_port, placement.right_port, placement.targets[0], placement.camera
    apart = 2 * (right - left) / np.linalg.norm(right - left)
    wide = {"left_port": left - apart, "right_port": right + apart}
    far = {"target": target + np.array([0, 4, 0])}
    aside = {"camera": camera + np.array([10, 0, 0])}
    angle, wider, farther = (
        _said(manipulation_angle(*ports, place), "degrees")
        for ports, place in (((left, right), target), (wide.values(), target), ((left, right), far["target"]))
    )
    inside = [_said(inserted_length(left, place), "cm") for place in (target, far["target"])]
    turned = [
        _said(hand_eye_rotation(place, target, normal=placement.normal, aim=placement.aim, up=placement.up), "degrees")
        for place in (camera, aside["camera"])
    ]
    asked = (
        (
            "The ports move 4 cm farther apart, 2 cm each. How does the manipulation angle change?",
            f"The angle goes from {angle} to {wider}. You settle it when you make the holes.",
            wide,
        ),
        (
            "The target moves 4 cm farther away from you. How do the angle and the left length inside change?",
            f"The angle goes from {angle} to {farther}, the length from {inside[0]} to {inside[1]}. One pair of ports gives "
            "each target its own angle.",
            far,
        ),
        (
            "The camera moves 10 cm to the right and the ports stay. How do the manipulation angle and the picture change?",
            f"The angle stays {angle}: the camera plays no part in it. The hand-eye rotation goes from {turned[0]} to "
            f"{turned[1]}, and the angle on the monitor changes with it.",
            aside,
        ),
    )
    return "\n".join(
        f"<li><p>{escape(question)}</p>\n<details><summary>Answer</summary><p>{escape(answer)}</p>"
        f'<button type="button" data-moves="{escape(json.dumps({name: _rounded(to) for name, to in moves.items()}))}">'
        "Show it above</button></details></li>"
        for question, answer, moves in asked
    )


def _said(value, unit):
    return "not defined" if isnan(value) else f"{value:z.1f} {unit}"

"""Several pairs of holes on one panel at full size: what they share and where to cut them, each with its sign and its name."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from reportlab.platypus import Spacer

from ergokit._check import a, checked, flag
from ergokit._pages import FOLD, HEADING, MIDDLE, OUTLINE, Drawn, numbered, table, words
from ergokit._types import FilePath
from ergokit.guidance.cautions import FOR_EDUCATION
from ergokit.hands_on.comparison import ComparisonPanel
from ergokit.surfaces import WedgeBox
from ergokit.template.panel import draw_camera_hole, draw_phone, panel_of
from ergokit.template.sheet import KEY, a_paper, sheet, tiled, write_sheets

__all__ = ["write_comparison"]

_SIGN = 0.22  # cm from the middle of a sign to its corners
_SMALL = (16, 5.5)  # cm: room for the whole panel on the page of words
_PAD = 1.2  # cm of paper about the holes, for their names
_CORNERS = {"triangle": (90, 210, 330), "square": (45, 135, 225, 315), "diamond": (0, 90, 180, 270)}  # degrees
_TITLES = {
    "circle": "Comparison panel: three angles, one length inside",
    "row": "Comparison panel: three angles in one row",
    "ratio": "Comparison panel: one angle, different ratios",
    "azimuths": "Comparison panel: one angle, different azimuths",
}
_SHOWN = (
    "manipulation angle (deg)",
    "length inside (cm)",
    "inside : outside",
    "depth (cm)",
    "instrument plane tilt (deg)",
    "hand to hand (cm)",
    "azimuth left (deg)",
    "azimuth right (deg)",
)


@checked(panel=a(ComparisonPanel), paper=a_paper, overwrite=flag)
def write_comparison(path: FilePath, panel: ComparisonPanel, *, paper: str = "A4", overwrite: bool = False) -> Path:
    """Write the template of a comparison panel as a PDF to print at 100 % and cut through; returns the path.

    path
        of the file; written whole or not at all, and over an existing one only with `overwrite=True`
    panel
        from `comparison_panel`
    paper
        ``"A4"``, ``"A3"`` or ``"Letter"``

    ValueError for a bad argument, and for a panel that no pair fits.

    >>> import tempfile
    >>> from ergokit import WedgeBox, comparison_panel
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_comparison(f"{folder}/panel.pdf", comparison_panel(WedgeBox(44, 36, 27))).read_bytes()[:4]
    b'%PDF'
    """
    if not panel.pairs:
        raise ValueError(f"No pair of holes fits this panel, so there is nothing to cut. {panel.sentences[1]} (panel)"[:300])
    placement = panel.pairs[0].placement
    axis = placement.target - placement.camera if placement.aim is None else placement.aim
    card = panel_of(panel.box, placement, axis, panel.phone or False, panel.hole)
    layouts = [_words_page(paper, panel, card), *_cutting_pages(paper, panel, card)]
    return write_sheets(path, layouts, _TITLES[panel.kind], overwrite)


def _words_page(paper, panel, card):
    steps = [
        f"Cut a piece of card to the size of {card.name}"
        f"{', or take the second wedge of your carton' if isinstance(panel.box, WedgeBox) else ''}.",
        "Draw its centre line. Tape the cutting template on it, centre line on centre line.",
        "Cut the camera hole and all port holes. Draw the sign of each hole on the card, and write its name beside the sign.",
        "Line each hole with slit tape, so that a shaft does not slip sideways.",
        f"Put the target {panel.target[2]:.1f} cm above the floor, {_beside(panel.target[0])} and "
        f"{panel.target[1] - panel.box.bounds()[0, 1]:.1f} cm behind the front edge of the box.",
    ]
    if panel.kind == "azimuths":
        steps.append(
            "Use a scope or a propped phone that aims at the target. A phone lying flat sees equal azimuths at all pairs."
        )
    rows = panel.measures()
    head = ("pair", "sign", "left hole", "right hole", *(name.partition(" (")[0] for name in _SHOWN))
    cells = [
        [
            pair.name,
            pair.sign,
            *(f"{u:.1f} | {v - card.ends[1]:.1f}" for u, v in (pair.left, pair.right)),
            *(f"{rows[name][pair.name]:.{1 if '(' in name else 2}f}" for name in _SHOWN),
        ]
        for pair in panel.pairs
    ]
    story = [
        *(words(sentence) for sentence in panel.sentences),
        Spacer(0, 8),
        table(head, cells, (2.2, 2, 2.6, 2.6, *([2.2] * len(_SHOWN)))),
        words(
            f"Holes: cm to the right of the centre line (less than 0: to the left) | cm from the {card.edge} of {card.name}."
        ),
        words("In this order", HEADING),
        *numbered(steps),
        Spacer(0, 8),
        Drawn(lambda pen: _overview(pen, panel, card)),
    ]
    return sheet(paper, _TITLES[panel.kind], [FOR_EDUCATION], story)


def _overview(pen, panel, card):
    """The whole panel, small."""
    width, height = card.ends[2:] - card.ends[:2]
    scale = min(_SMALL[0] / width, _SMALL[1] / height)
    pen = pen.moved(0.2 - card.ends[0] * scale, 0.6 - card.ends[1] * scale, scale)
    pen.rectangle(*card.ends, width=0.9, dash=FOLD)
    pen.line([(0, card.ends[1]), (0, card.ends[3])], 0.4, MIDDLE)
    pen.rectangle(*card.camera_hole, width=0.9)
    for pair in panel.pairs:
        for place, way, align in ((pair.left, -1, "right"), (pair.right, 1, "left")):
            pen.circle(place, panel.hole / 2, 0.9)
            pen.text(place + np.array([0.25 * way, -0.08]) / scale, pair.name, 7, align)
    pen.text(
        (card.ends[0], card.ends[1] - 0.4 / scale), f"{card.name} at a small scale, with its {card.edge} at the bottom", 7.5
    )


def _beside(x):
    return "on the centre line" if abs(x) < 0.05 else f"{abs(x):.1f} cm to the {'right' if x > 0 else 'left'}"


def _cutting_pages(paper, panel, card):
    holes = np.array([place for pair in panel.pairs for place in (pair.left, pair.right)])
    rings = np.concatenate([holes - panel.hole / 2, holes + panel.hole / 2], axis=1)
    ends = np.array([card.camera_hole, *rings, *((card.body, card.ledge) if card.phone else ())])
    region = (
        *np.maximum(ends[:, :2].min(axis=0) - _PAD, card.ends[:2] - 0.3),
        *np.minimum(ends[:, 2:].max(axis=0) + _PAD, card.ends[2:] + 0.3),
    )
    lines = (
        f"Draw the centre line on {card.name}. Trim the sheets, lay their centre line on yours, tape them down and cut.",
        KEY,
    )
    return tiled(paper, region, "Cutting template", lines, lambda pen: _draw(pen, panel, card), [card.camera_hole, *rings])


def _draw(pen, panel, card):
    _, low, _, high = card.ends
    if card.phone:
        draw_phone(pen, card, card.phone)
    pen.line([(0, low), (0, high)], 0.6, MIDDLE)
    pen.text((-0.12, low + 0.4), "centre line", 8, turn=90)
    pen.rectangle(*card.ends, width=1.4, dash=FOLD)
    pen.text((0.4, low + 0.15), f"{card.edge} of {card.name}", 8)
    if panel.kind in ("circle", "azimuths"):
        turn = np.linspace(0, 2 * np.pi, 181)
        reach = np.linalg.norm(panel.pairs[0].left - panel.foot)
        pen.line(panel.foot + reach * np.stack([np.cos(turn), np.sin(turn)], axis=-1), 0.5, OUTLINE)
    draw_camera_hole(pen, card)
    widest = max(panel.pairs, key=lambda pair: pair.apart)
    for pair in panel.pairs if panel.kind != "row" else [widest]:
        pen.line([pair.left, pair.right], 0.5, MIDDLE)
    for pair in panel.pairs:
        for place in (pair.left, pair.right):
            _draw_hole(pen, panel, pair, place)


def _draw_hole(pen, panel, pair, place):
    radius, (u, v) = panel.hole / 2, place
    pen.circle(place, radius, 1.2, fill=1)
    pen.cross(place, radius + 0.3)
    pen.circle(place, 0.04, 0, fill=0)
    draw_sign(pen, (u - 0.55, v - radius - 0.52), pair.sign)
    pen.text((u - 0.2, v - radius - 0.64), pair.name, 9, bold=True, ground=True)
    pen.text((u - 0.2, v - radius - 1.0), f"{pair.apart:.1f} cm apart", 7.5, ground=True)


def draw_sign(pen, at, sign):
    """The sign of a pair, about a place."""
    if sign == "circle":
        pen.circle(at, _SIGN, 1.2, fill=1)
    elif sign == "cross":
        pen.cross(at, _SIGN, 1.6)
    else:
        turn = np.radians(_CORNERS[sign])
        pen.line(np.add(at, 1.2 * _SIGN * np.stack([np.cos(turn), np.sin(turn)], axis=-1)), 1.2, closed=True, fill=1)

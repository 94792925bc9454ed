"""Slides to talk from: a .pptx with native titles and text, pictures, and notes with the derivation and the sources."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Collection, Iterable
from copy import deepcopy
from pathlib import Path

import sympy as sp
from lxml import etree
from pptx import Presentation
from pptx.dml.color import RGBColor
from pptx.enum.shapes import PP_PLACEHOLDER
from pptx.enum.text import MSO_ANCHOR
from pptx.oxml import parse_xml
from pptx.oxml.ns import nsdecls, qn
from pptx.util import Inches, Pt

from ergokit._check import a, a_function, a_text, checked, flag, some_words
from ergokit._files import ending_in, free_path, write_whole
from ergokit._types import FilePath
from ergokit._words import joined
from ergokit.figures.export import Size, canvas, pictures
from ergokit.figures.gallery import GALLERY, drawable
from ergokit.figures.style import BLUE, PALE
from ergokit.guidance import CAUTION, judge
from ergokit.guidance.cautions import CUT_BY, FOR_EDUCATION, ON_SLIDE
from ergokit.placement import Placement
from ergokit.placement.demo import remark
from ergokit.placement.measures import with_unit
from ergokit.relations import RELATIONS
from ergokit.surfaces import FlatBox, WedgeBox
from ergokit.triangulation import manipulation_angle, working_distance

#: What the notes derive below each picture.
_DERIVED = {
    "triangle": ("cosine_rule", "spacing_from_length"),
    "side by side": ("angle_per_spacing",),
    "zone": ("same_angle_circle",),
    "zone in space": ("offset_and_depth",),
    "angle map": ("camera_at_middle",),
    "monitor": ("display_angle",),
    "lever": ("length_ratio", "tip_travel"),
    "elevation": ("equal_elevations",),
    "experiments": (),
    "rules": ("depth_from_length", "widest_spacing"),
    "box": ("camera_hole_up_panel", "entry_angle"),
    "tolerance": ("angle_per_spacing", "angle_per_depth"),
}
#: The measures on the second slide.
_MEASURED = (
    "manipulation angle",
    "port spacing",
    "length inside",
    "inside : outside",
    "working distance",
    "angle on the screen",
    "hand-eye rotation",
)
_SOURCE = "Computed from the geometry by ergokit."
_FOOT = FOR_EDUCATION.partition(":")[0] + "."

# Inches on a slide of 13.333 x 7.5: left, top, width, height.
_TITLE = (0.6, 0.35, 12.13, 0.95)
_BESIDE = {"picture": (0.6, 1.4, 8.0, 5.3), "text": (8.9, 1.4, 3.83, 5.3)}
_BELOW = {"picture": (0.6, 1.4, 12.13, 4.7), "text": (0.6, 6.15, 12.13, 0.75)}
_FAR_BELOW = {"picture": (0.6, 1.4, 12.13, 3.7), "text": (0.6, 5.2, 12.13, 1.7)}
_BODY = (0.6, 1.5, 12.13, 5.1)
_INK, _GREY = "222222", "595959"
_WORDS, _SMALL = 20, 12  # points
_PX = 96  # to the inch
#: What is said with a picture that somebody will cut by.
_SAID_WITH = {"box": CUT_BY}


@checked(
    placement=a(Placement), title=a_text, other=a(Placement), box=a(WedgeBox, FlatBox), overwrite=flag, progress=a_function
)
def write_deck(
    path: FilePath,
    placement: Placement,
    *,
    figures: Collection[str] | None = None,
    title: str = "Where do the ports go?",
    author: str = "",
    focus: int = 0,
    other: Placement | None = None,
    box: WedgeBox | FlatBox | None = None,
    overwrite: bool = False,
    progress: Callable[[Iterable], Iterable] | None = None,
) -> Path:
    """Write slides about a placement as a .pptx file, 16:9; returns the path.

    figures
        names of `ergokit.figures.GALLERY`, in the order of the talk; all that can be drawn of the placement unless given
    title, author
        of the first slide and of the file; the author is nobody unless given
    focus
        number of the target that is meant, where there are many
    other
        a placement to set side by side with this one; the same with its ports half as far apart unless given
    box
        the `WedgeBox` or `FlatBox` the placement is in, to draw it whole
    progress
        stands for the progress bar, as in `figures.save_all`

    Each picture has a slide with its title and what to notice as text to edit, a description for a reader who cannot see it,
    and in the speaker notes how the formula is derived and where the numbers are from. The last slide holds the cautions.
    Slides of demo data say in their foot that they are invented. The pictures are drawn by Chrome or Chromium. ValueError says
    what is wrong; the file is written whole or not at all, and over an existing one only with `overwrite=True`.

    >>> from ergokit import Placement
    >>> write_deck("talk.ppt", Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16)))
    Traceback (most recent call last):
    ValueError: path takes a name that ends in .pptx; got 'talk.ppt'.
    """
    free_path(ending_in(path, [".pptx"]), overwrite)
    names = drawable(placement) if figures is None else some_words("figures", figures, GALLERY)
    options: dict[str, dict] = {"side by side": {"other": other}, "box": {"surface": box}}
    drawn = {name: GALLERY[name](placement, focus, **options.get(name, {})) for name in names}
    deck = _Deck(f"{_FOOT} {remark(placement)}".strip())
    deck.open(title, placement, focus)
    deck.measures(placement, focus)
    places = {name: _places(name, figure) for name, figure in drawn.items()}
    laid_out = [canvas(figure, _size(places[name]), bare=True) for name, figure in drawn.items()]
    for (name, figure), png in zip(drawn.items(), pictures(laid_out, dots=1.5, progress=progress), strict=True):
        deck.picture(png, figure.layout.meta, places[name], _SAID_WITH.get(name, ()), _notes(name, figure.layout.meta))
    deck.cautions()
    _anonymous(deck.file, title, author)
    return write_whole(path, lambda part: deck.file.save(str(part)), overwrite)


def _places(name, figure):
    if figure.layout.width < 1.8 * figure.layout.height:
        return _BESIDE
    return _FAR_BELOW if name in _SAID_WITH else _BELOW


def _size(places):
    *_, width, height = places["picture"]
    return Size(_PX * width, _PX * height, words=24, foot=16, dots=1.5)


class _Deck:
    """Slides as they are made, on layouts of 16:9, with `foot` in the foot of each."""

    def __init__(self, foot):
        self.file, self.foot = Presentation(), foot
        self.file.slide_width, self.file.slide_height = Inches(13.333), Inches(7.5)
        layouts = list(self.file.slide_layouts)
        self._opening, self._text, self._table, self._beside, self._below = (layouts[i] for i in (0, 1, 5, 7, 8))
        for layout in layouts:
            if layout not in (self._opening, self._text, self._table, self._beside, self._below):
                self.file.slide_layouts.remove(layout)
        # The layout with a caption at the side takes any content; a picture is all it gets here.
        _placeholder(self._beside, 1)._element.ph.set("type", "pic")
        for layout in (self.file.slide_master, *self.file.slide_layouts):
            _lay_out(layout, foot)
        for layout, places in ((self._beside, _BESIDE), (self._below, _BELOW)):
            _set(_placeholder(layout, 1), places["picture"])
            _set(_placeholder(layout, 2), places["text"], _WORDS, anchor="ctr" if layout is self._beside else "t")
        _set(_placeholder(self._text, 1), _BODY, _WORDS)
        _set(_placeholder(self._opening, 0), (0.9, 2.2, 11.5, 1.6), 48, bold=True, anchor="b")
        _set(_placeholder(self._opening, 1), (0.9, 4.0, 11.5, 1.6), 24)

    def open(self, title, placement, focus):
        slide = self._add(self._opening, title)
        target = placement.targets[focus]
        theta = float(manipulation_angle(placement.left_port, placement.right_port, target))
        lens = float(working_distance(placement.camera, target))
        slide.placeholders[1].text = f"{theta:.1f}° between the instruments, lens {lens:.1f} cm from the target\n{self.foot}"
        _note(slide, (title, f"The placement, to make it again:\n{placement.as_code()}", FOR_EDUCATION))

    def measures(self, placement, focus):
        """A table of what the placement measures, with the verdicts; why, in the notes."""
        slide = self._add(self._table, "What this placement measures")
        table = judge(placement)
        if "target" in table:
            table = table[table["target"] == table["target"].unique()[focus]]
        rows, why = [("measure", "here", "against published advice")], []
        for name in _MEASURED:
            mine = table[table["quantity"] == name].to_dict("records")
            values = joined(with_unit(row["value"], row["unit"]) for row in mine)
            found = [(row["against published advice"], row["because"]) for row in mine]
            verdicts = joined(dict.fromkeys(said.partition(";")[0] for said, _ in found))  # the rest is in the notes
            rows.append((name + (", left and right" if len(mine) > 1 else ""), values, verdicts))
            why += dict.fromkeys(f"{name}: {said}. {because}" for said, because in found if because)
        frame = slide.shapes.add_table(len(rows), 3, *map(Inches, (0.6, 1.5, 12.13, 0.6 * len(rows))))
        frame._element.nvGraphicFramePr.cNvPr.set("descr", "; ".join(": ".join(row) for row in rows[1:]))
        for width, column in zip((4.4, 3.2, 4.53), frame.table.columns, strict=True):
            column.width = Inches(width)
        for i, row in enumerate(rows):
            for j, text in enumerate(row):
                _fill(frame.table.cell(i, j), text, head=i == 0)
        _note(slide, ("Why", *why, CAUTION))

    def picture(self, png, about, places, more, notes):
        beside = places is _BESIDE
        slide = self._add(self._beside if beside else self._below, about["title"], about["source in short"])
        _set(slide.placeholders[2], places["text"])
        _set(slide.placeholders[1], places["picture"])  # to whose shape the picture is cut
        picture = slide.placeholders[1].insert_picture(io.BytesIO(png))
        _set(picture, places["picture"])
        picture._element.nvPicPr.cNvPr.set("descr", about["alt"])
        says = about["says"] if beside else [" ".join(about["says"])]
        slide.placeholders[2].text = "\n".join([*says, *more])
        _note(slide, notes)

    def cautions(self):
        slide = self._add(self._text, "Cautions")
        slide.placeholders[1].text = "\n".join(ON_SLIDE)
        _note(slide, ("Say these before anybody cuts a box or copies a placement; they hold for every slide.",))

    def _add(self, layout, title, source=None):
        slide = self.file.slides.add_slide(layout)
        slide.shapes.title.text = title
        for shape in layout.placeholders:  # which are not copied to a new slide
            if shape.placeholder_format.type in (PP_PLACEHOLDER.FOOTER, PP_PLACEHOLDER.SLIDE_NUMBER):
                slide.shapes._spTree.append(deepcopy(shape._element))
            if source and shape.placeholder_format.type == PP_PLACEHOLDER.FOOTER:
                _placeholder(slide, shape.placeholder_format.idx).text = f"{self.foot} Source: {source}."
        return slide


def _anonymous(file, title, author):
    """Take out what the slide library's own template says of whoever made it; title and author are the speaker's."""
    package = file.part.package
    for relation in list(package.iter_rels()):
        kind = relation.reltype.rpartition("/")[2]
        if kind in ("thumbnail", "extended-properties"):
            package.drop_rel(relation.rId)
        elif kind == "printerSettings":
            file.part.drop_rel(relation.rId)
        elif kind == "presProps":
            relation.target_part.blob = f"<p:presentationPr {nsdecls('p')}/>".encode()
        elif kind == "theme":
            _rename(relation.target_part)
    _without_date(file.notes_master)
    file.part._element.sldSz.attrib.pop("type", None)  # "a screen of 4:3"
    properties = file.core_properties
    for each in list(properties._element):
        properties._element.remove(each)
    properties.title, properties.author = title, author


def _rename(theme):
    """Colours, letters and effects of the theme are used as they are; their names are a maker's."""
    own = hasattr(theme, "_element")  # a part that python-pptx writes from its elements, not from its bytes
    root = theme._element if own else parse_xml(theme.blob)
    for each in root.iter():
        if each.get("name", "").startswith("Office"):
            each.set("name", "plain")
    if not own:
        theme.blob = etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)


def _without_date(layout):
    for shape in list(layout.placeholders):
        if shape.placeholder_format.type == PP_PLACEHOLDER.DATE:
            shape._element.getparent().remove(shape._element)


# Placeholders


def _placeholder(layout, index):
    return next(shape for shape in layout.placeholders if shape.placeholder_format.idx == index)


def _lay_out(layout, foot):
    """Title, footer and slide number where a slide of 16:9 has them; no date."""
    _without_date(layout)
    for shape in layout.placeholders:
        kind = shape.placeholder_format.type
        if kind == PP_PLACEHOLDER.FOOTER:
            _set(shape, (0.6, 6.95, 10.9, 0.35), _SMALL, colour=_GREY, anchor="ctr")
            shape.text_frame.text = foot
        elif kind == PP_PLACEHOLDER.SLIDE_NUMBER:
            _set(shape, (11.73, 6.95, 1.0, 0.35), _SMALL, colour=_GREY, anchor="ctr", align="r")
        elif kind == PP_PLACEHOLDER.TITLE:
            _set(shape, _TITLE, 32, bold=True, anchor="ctr")


def _set(shape, place, points=None, *, bold=False, colour=_INK, anchor="t", align="l"):
    """Where a placeholder is, in inches, and its letters."""
    shape.left, shape.top, shape.width, shape.height = map(Inches, place)
    if points is None:
        return
    body = shape._element.txBody
    body.bodyPr.set("anchor", anchor)
    for inset in ("lIns", "rIns"):
        body.bodyPr.set(inset, "0")
    for fit in body.bodyPr.findall(qn("a:normAutofit")):
        body.bodyPr.remove(fit)
    look = (
        f'<a:lstStyle {nsdecls("a")}><a:lvl1pPr algn="{align}" marL="0" indent="0">'
        f'<a:spcBef><a:spcPts val="{0 if bold else 900}"/></a:spcBef><a:buNone/>'
        f'<a:defRPr sz="{100 * points}" b="{int(bold)}"><a:solidFill><a:srgbClr val="{colour}"/></a:solidFill>'
        '<a:latin typeface="Arial"/></a:defRPr></a:lvl1pPr></a:lstStyle>'
    )
    body.replace(body.find(qn("a:lstStyle")), parse_xml(look))


def _fill(cell, text, head):
    cell.text = text
    cell.vertical_anchor = MSO_ANCHOR.MIDDLE
    font = cell.text_frame.paragraphs[0].runs[0].font
    font.size, font.bold, font.name = Pt(_WORDS), head, "Arial"
    font.color.rgb = RGBColor.from_string("FFFFFF" if head else _INK)
    cell.fill.solid()
    cell.fill.fore_color.rgb = RGBColor.from_string((BLUE if head else PALE).lstrip("#"))


# Notes


def _note(slide, parts):
    slide.notes_slide.notes_text_frame.text = "\n\n".join(parts)


def _notes(name, about):
    """What to say, the derivation, the sources and the caution."""
    return (
        " ".join(about["says"]),
        *(_derivation(RELATIONS[relation]) for relation in _DERIVED[name]),
        f"Source: {about['source'] or _SOURCE}",
        FOR_EDUCATION,
    )


def _derivation(relation):
    steps = [f"{i}. {prose}  {_plain(claim)}" for i, (prose, claim) in enumerate(relation.steps, 1)]
    symbols = ", ".join(f"{_letters(sp.sstr(q.symbol))} {q.name.replace('_', ' ')}" for q in relation.quantities)
    return "\n".join([f"{relation.title}: {_plain(relation.equation)}", f"With {symbols}. Holds: {relation.holds}", *steps])


def _plain(claim):
    """An equation in one line of plain letters."""
    return f"{_letters(sp.sstr(claim.lhs))} = {_letters(sp.sstr(claim.rhs))}"


def _letters(text):
    text = re.sub(r"\\vec{(.+?)}", r"\1", text).replace(r" \cdot ", " · ").replace("**", "^").replace("*", " ")
    for name in ("theta", "alpha", "beta", "gamma", "epsilon", "eta", "phi", "rho", "tau"):
        text = re.sub(rf"\b{name}(?=\b|_)", sp.pretty(sp.Symbol(name)), text)
    return text

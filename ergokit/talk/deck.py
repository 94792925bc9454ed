"""Slides to talk from: a .pptx with native titles and text, pictures, and notes with the derivation and the sources."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Collection, Iterable
from copy import deepcopy
from pathlib import Path

import numpy as np
import segno
import sympy as sp
from lxml import etree
from pptx import Presentation
from pptx.dml.color import RGBColor
from pptx.enum.shapes import PP_PLACEHOLDER
from pptx.enum.text import MSO_ANCHOR
from pptx.oxml import parse_xml
from pptx.oxml.ns import nsdecls, qn
from pptx.util import Inches, Pt

from ergokit._check import a, a_function, a_text, checked, flag, refused, some_words
from ergokit._files import ending_in, free_path, write_whole
from ergokit._types import FilePath
from ergokit._words import joined
from ergokit.figures.export import Size, canvas, pictures
from ergokit.figures.gallery import GALLERY
from ergokit.figures.style import BLUE, PALE
from ergokit.guidance import CAUTION, judge, verdict
from ergokit.guidance.cautions import CUT_BY, FOR_EDUCATION, IN_THE_FOOT, ON_SLIDE
from ergokit.guidance.verdicts import says, source_in_short
from ergokit.placement import Placement
from ergokit.placement.demo import remark
from ergokit.placement.measures import with_unit
from ergokit.relations import RELATIONS
from ergokit.surfaces import FlatBox, WedgeBox
from ergokit.talk.plan import DERIVED, ENDS, MINUTES, WAIT, Slide, minutes_of, planned, shown_as

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

# Inches on a slide of 13.333 x 7.5: left, top, width, height.
_TITLE = (0.6, 0.3, 12.13, 0.95)
_BESIDE = {"picture": (0.6, 1.35, 8.0, 5.25), "text": (8.9, 1.35, 3.83, 5.25)}
_BELOW = {"picture": (0.6, 1.35, 12.13, 4.35), "text": (0.6, 5.75, 12.13, 0.95)}
_FAR_BELOW = {"picture": (0.6, 1.35, 12.13, 3.7), "text": (0.6, 5.1, 12.13, 1.6)}
_ALONE = {"picture": (0.6, 1.25, 12.13, 5.05), "text": (0.6, 6.3, 12.13, 0.45)}
_BODY = (0.6, 1.4, 12.13, 5.25)
_BESIDE_CODE = (0.6, 1.4, 9.2, 5.25)
_CODE = (10.1, 1.6, 2.6, 2.6)
_FOOTER, _NUMBER = (0.6, 6.75, 11.0, 0.65), (11.73, 6.75, 1.0, 0.65)
_INK, _GREY = "222222", "595959"
_LARGE, _WORDS, _LEAST = 26, 20, 18  # points; nothing on a slide is smaller than the last
_PX = 96  # to the inch
_QUESTIONS = "Leave this slide on while there are questions. Each source is named in the foot of the slide that uses it."
_FEW = 7  # references on a slide
_TALL = ("harder?", "harder", "side by side")  # have a slide to themselves, but for a line
#: What is said with a picture that somebody will cut by.
_SAID_WITH = {"box": CUT_BY}


def _an_address(name, value):
    a_text(name, value)
    if (value and not value.isprintable()) or len(value) > 200:
        raise refused(name, "an address of at most 200 letters, such as https://example.org/box", value)
    return value


@checked(
    placement=a(Placement),
    minutes=minutes_of,
    title=a_text,
    author=a_text,
    place=a_text,
    date=a_text,
    name=a_text,
    address=_an_address,
    other=a(Placement),
    box=a(WedgeBox, FlatBox),
    overwrite=flag,
    progress=a_function,
)
def write_deck(
    path: FilePath,
    placement: Placement,
    *,
    minutes: int = 10,
    figures: Collection[str] = (),
    title: str = "Where do the ports go?",
    author: str = "",
    place: str = "",
    date: str = "",
    name: str = "",
    address: str = "",
    focus: int = 0,
    other: Placement | None = None,
    box: WedgeBox | FlatBox | None = None,
    overwrite: bool = False,
    progress: Callable[[Iterable], Iterable] | None = None,
) -> Path:
    """Write slides for a talk of 5, 10 or 20 `minutes` about a placement as a .pptx file, 16:9; returns the path.

    figures
        names of `ergokit.figures.GALLERY`, for spare slides behind the references, where the talk does not show them
    title, author, place, date
        of the first slide; title and author are also those of the file, and the author is nobody unless given
    name
        of the box that was built, as a heading for its measures
    address
        where listeners find the page for their phones, say; its QR code is beside the lines to take home
    focus
        number of the target, where there are many
    other
        a placement to set side by side with this one; the same with its ports half as far apart unless given
    box
        the `WedgeBox` or `FlatBox` the placement is in, to draw it whole
    progress
        replaces the progress bar, as in `figures.save_all`

    Questions have slides of their own, before their findings. Each picture has a title and what to notice as text to edit, and
    a description for a reader who cannot see it. The notes hold what to say, the common wrong guess and why it is wrong, the
    seconds, how the formula is derived and where the numbers are from. Slides of demo data say in their foot that they are
    invented. The pictures are drawn by Chrome or Chromium. ValueError says what is wrong; the file is written whole or not at
    all, and over an existing one only with `overwrite=True`.

    >>> from ergokit import Placement
    >>> write_deck("talk.ppt", Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16)))
    Traceback (most recent call last):
    ValueError: 'talk.ppt' cannot be used; give a name that ends in .pptx (path).
    """
    free_path(ending_in(path, [".pptx"]), overwrite)
    spare = some_words("figures", figures, GALLERY) if figures else []
    deck = _Deck(f"{IN_THE_FOOT} {remark(placement)}".strip(), MINUTES.index(minutes))
    slides = planned(placement, minutes, focus, other)
    seen = {slide.name for slide in slides} | {"side by side"}  # the first question and its finding show it
    options: dict[str, dict] = {"side by side": {"other": other}, "box": {"surface": box}}
    behind = [
        shown_as(each, GALLERY[each](placement, focus, **options.get(each, {})), (0, 0, 0), "", derives=DERIVED[each])
        for each in spare
        if each not in seen
    ]
    drawn = [slide for slide in [*slides, *behind] if slide.figure is not None]
    laid_out = [canvas(slide.figure, _size(_places(slide)), bare=True) for slide in drawn]
    made = dict(zip(map(id, drawn), pictures(laid_out, dots=1.5, progress=progress), strict=True))
    deck.open(title, (author, " · ".join(filter(None, (place, date)))), placement)
    deck.interests()
    for slide in slides:
        if slide.name == "measures":
            deck.measures(slide, placement, focus, name)
        elif slide.name == "take home":
            deck.take_home(slide, address)
        else:
            deck.show(slide, made.get(id(slide)))
    deck.cautions()
    deck.references([*slides, *behind])
    if "measures" not in seen:
        deck.measures(Slide("measures", "", (0, 0, 0), ""), placement, focus, name)
    for slide in behind:
        deck.show(slide, made[id(slide)])
    _anonymous(deck.file, title, author)
    return write_whole(path, lambda part: deck.file.save(str(part)), overwrite)


def _places(slide):
    if slide.figure.layout.width < 1.8 * slide.figure.layout.height:
        return _BESIDE
    if slide.name in _TALL:
        return _ALONE
    return _FAR_BELOW if slide.name in _SAID_WITH else _BELOW


def _size(places):
    *_, width, height = places["picture"]
    return Size(_PX * width, _PX * height, words=24, foot=24, dots=1.5)


class _Deck:
    """Slides as they are made, on layouts of 16:9, with `foot` in the foot of each; `i` is the length of the talk."""

    def __init__(self, foot, i):
        self.file, self.foot, self.i = Presentation(), foot, i
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

    def open(self, title, lines, placement):
        slide = self._add(self._opening, title)
        words = "\n".join(filter(None, lines))
        if words:
            slide.placeholders[1].text = words
        else:
            slide.placeholders[1]._element.getparent().remove(slide.placeholders[1]._element)
        again = f"This code makes the placement again:\n{placement.as_code()}"
        _note(slide, (self._seconds(ENDS[0].seconds), ENDS[0].say, again, FOR_EDUCATION))

    def interests(self):
        """A slide left blank for the speaker to fill in."""
        slide = self._add(self._text, ENDS[1].title)
        _note(slide, (self._seconds(ENDS[1].seconds), ENDS[1].say))

    def measures(self, plan, placement, focus, name):
        """A table of what the placement measures, what is advised and by whom, and the verdicts; why, in the notes."""
        invented = remark(placement).startswith("Invented")
        what = f"the box “{name}”" if name else "the invented demo box" if invented else "this placement"
        slide = self._add(self._table, f"What {what} measures")
        table = judge(placement)
        if "target" in table:
            table = table[table["target"] == table["target"].unique()[focus]]
        rows, why = [("measure", "here", "advised", "against published advice")], []
        for quantity in _MEASURED:
            mine = table[table["quantity"] == quantity].to_dict("records")
            values = joined(with_unit(row["value"], row["unit"]) for row in mine)
            found = [(row["against published advice"], row["because"]) for row in mine]
            verdicts = joined(dict.fromkeys(said.partition(";")[0] for said, _ in found))  # the rest is in the notes
            rows.append((quantity + (", left and right" if len(mine) > 1 else ""), values, _advised(mine), verdicts))
            why += dict.fromkeys(f"{quantity}: {said}. {because}" for said, because in found if because)
        frame = slide.shapes.add_table(len(rows), 4, *map(Inches, (0.6, 1.35, 12.13, 0.65 * len(rows))))
        frame._element.nvGraphicFramePr.cNvPr.set("descr", "; ".join(": ".join(row) for row in rows[1:]))
        for width, column in zip((2.9, 2.5, 3.7, 3.03), frame.table.columns, strict=True):
            column.width = Inches(width)
        for i, row in enumerate(rows):
            for j, text in enumerate(row):
                _fill(frame.table.cell(i, j), text, head=i == 0)
        _note(slide, (self._seconds(plan.seconds), plan.say, "Why", *why, CAUTION))

    def show(self, plan, png):
        """A slide with its picture, if it has one, and what to notice."""
        if png is None:
            slide = self._lines(plan.title, plan.says, _BODY, _LARGE, plan.in_short)
        else:
            places = _places(plan)
            beside = places is _BESIDE
            slide = self._add(self._beside if beside else self._below, plan.title, plan.in_short)
            _set(slide.placeholders[2], places["text"])
            _set(slide.placeholders[1], places["picture"])  # to whose shape the picture is cut
            picture = slide.placeholders[1].insert_picture(io.BytesIO(png))
            _set(picture, places["picture"])
            picture._element.nvPicPr.cNvPr.set("descr", plan.alt)
            says = plan.says if beside else [" ".join(plan.says)]
            slide.placeholders[2].text = "\n".join([*says, *_SAID_WITH.get(plan.name, ())])
        _note(slide, self._notes(plan))

    def take_home(self, plan, address):
        slide = self._lines(plan.title, plan.says, _BESIDE_CODE if address else _BODY, _LARGE, plan.in_short)
        if address:
            code = slide.shapes.add_picture(_code(address), *map(Inches, _CODE))
            code._element.nvPicPr.cNvPr.set("descr", f"QR code of {address}")
            words = slide.shapes.add_textbox(*map(Inches, (9.9, 4.3, 2.9, 1.2))).text_frame
            words.word_wrap, words.text = True, address
            font = words.paragraphs[0].runs[0].font
            font.size, font.name = Pt(_LEAST), "Arial"
        _note(slide, self._notes(plan))

    def cautions(self):
        slide = self._add(self._text, ENDS[2].title)
        slide.placeholders[1].text = "\n".join(ON_SLIDE)
        _note(slide, (self._seconds(ENDS[2].seconds), ENDS[2].say))

    def references(self, plans):
        """The sources of all slides, in the order in which they are first named."""
        found = list(dict.fromkeys(each for plan in plans for each in plan.source.split("; ") if each))
        for i in range(0, len(found), _FEW):
            slide = self._lines("References" if i == 0 else "References, continued", found[i : i + _FEW], _BODY, _LEAST)
            _note(slide, (_QUESTIONS,))

    def _lines(self, title, lines, place, points, source=None):
        """A slide of lines of words alone."""
        slide = self._add(self._text, title, source)
        slide.placeholders[1].text = "\n".join(lines)
        _set(slide.placeholders[1], place, points)
        return slide

    def _notes(self, plan):
        """What to say and for how long, the wrong guesses to expect, the derivation, the sources and the caution."""
        guesses = [f"A common wrong guess: {each.guess} {each.reply}" for each in plan.guesses]
        answer = (
            [f"The answer is in the range {plan.ranges[plan.right]}. The next slide shows the answer."] if plan.asks else []
        )
        return (
            self._seconds(plan.seconds),
            plan.say or " ".join(plan.says),
            *([WAIT, f"Ranges: {', '.join(plan.ranges)}."] if plan.asks else []),
            *guesses,
            *answer,
            *(_derivation(RELATIONS[relation]) for relation in plan.derives),
            f"Source: {plan.source or _SOURCE}",
            FOR_EDUCATION,
        )

    def _seconds(self, seconds):
        return f"{seconds[self.i]} seconds." if seconds[self.i] else "A spare slide, for questions."

    def _add(self, layout, title, source=None):
        slide = self.file.slides.add_slide(layout)
        slide.shapes.title.text = title
        for shape in layout.placeholders:  # which are not copied to a new slide
            if shape.placeholder_format.type in (PP_PLACEHOLDER.FOOTER, PP_PLACEHOLDER.SLIDE_NUMBER):
                slide.shapes._spTree.append(deepcopy(shape._element))
            if source and shape.placeholder_format.type == PP_PLACEHOLDER.FOOTER:
                _placeholder(slide, shape.placeholder_format.idx).text = f"{self.foot} Source: {source}."
        return slide


def _advised(rows):
    """What the row that decides says of a measure, and its source; of the first of both sides."""
    row = rows[0]
    found = verdict(row["quantity"], row["value"]) if np.isfinite(row["value"]) else None
    for record in found.records if found else ():
        if found.because.lower().startswith(says(record).lower()):
            span = says(record).partition(",")[0].removesuffix(" advised")
            return f"{span}, {source_in_short(record)}"
    return "nothing"


def _code(address):
    """The QR code of an address as the bytes of a picture."""
    png = io.BytesIO()
    segno.make(address, micro=False).save(png, kind="png", scale=12, border=4)
    png.seek(0)
    return png


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
            _set(shape, _FOOTER, _LEAST, colour=_GREY, anchor="ctr")
            shape.text_frame.text = foot
        elif kind == PP_PLACEHOLDER.SLIDE_NUMBER:
            _set(shape, _NUMBER, _LEAST, colour=_GREY, anchor="ctr", align="r")
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
    font.size, font.bold, font.name = Pt(_LEAST), head, "Arial"
    font.color.rgb = RGBColor.from_string("FFFFFF" if head else _INK)
    cell.fill.solid()
    cell.fill.fore_color.rgb = RGBColor.from_string((BLUE if head else PALE).lstrip("#"))


# Notes


def _note(slide, parts):
    slide.notes_slide.notes_text_frame.text = "\n\n".join(parts)


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

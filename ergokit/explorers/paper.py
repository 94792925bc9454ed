"""Sheets to print as links to save them: no file is left in the folder of the lesson."""

from __future__ import annotations

import html
from collections.abc import Sequence
from typing import Any

import ipywidgets as w

from ergokit._check import a, checked
from ergokit._files import file_name
from ergokit.design import BoxDesign
from ergokit.design.layouts import box_words
from ergokit.explorers.controls import LinkForm, SaveLink, choice, number
from ergokit.hands_on import ComparisonPanel, comparison_panel
from ergokit.hands_on.orders import PAIRS
from ergokit.placement.demo import CARTON
from ergokit.surfaces import WedgeBox
from ergokit.template import write_comparison, write_complaints, write_session_sheet, write_template


@checked(design=a(BoxDesign), name=file_name)
def template_link(design: BoxDesign, *, paper: str = "A4", name: str = "my_box.pdf", **options: Any) -> SaveLink:
    """A link that saves the template of a `BoxDesign` as a PDF; `options` are those of `ergokit.template.write_template`.

    The browser saves the file to your usual download folder, and never over another file.

    >>> from ergokit.design import design_box
    >>> from ergokit.surfaces import WedgeBox
    >>> template_link(design_box(WedgeBox(44, 36, 27))).data[:4]
    b'%PDF'
    """
    met = "all rules met" if not design.not_met else "<b>not all rules met</b>"
    about = f"{box_words(design.box).capitalize()}; {met}; paper {paper}."
    return SaveLink(name, lambda path: write_template(path, design, paper=paper, **options), about)


@checked(panel=a(ComparisonPanel), name=file_name)
def comparison_link(panel: ComparisonPanel, *, paper: str = "A4", name: str = "comparison_panel.pdf") -> SaveLink:
    """A link that saves the template of a comparison panel as a PDF; see `ergokit.template.write_comparison`.

    >>> from ergokit import WedgeBox, comparison_panel
    >>> comparison_link(comparison_panel(WedgeBox(44, 36, 27))).data[:4]
    b'%PDF'
    """
    about = f"{panel.sentences[0]} Paper {paper}."
    return SaveLink(name, lambda path: write_comparison(path, panel, paper=paper), about)


def comparison_form(name: str = "comparison_panel.pdf") -> LinkForm:
    """A form for the comparison panel of a carton: which pairs fit, and the link that saves its template.

    >>> comparison_form().made.children[0].children[1].data[:4]
    b'%PDF'
    """
    sizes = {"ridge (cm)": CARTON.ridge, "side a (cm)": CARTON.side_a, "side b (cm)": CARTON.side_b}
    tips = ("the length of the carton's edge that becomes the ridge", "the panel with the holes", "the other side")
    controls = {label: number(label, tip, 10, 100, 0.5) for label, tip in zip(sizes, tips, strict=True)}
    for label, size in sizes.items():
        controls[label].value = size
    kinds = {"manipulation angle, on one circle": "circle", "manipulation angle, in one row": "row"}
    kinds |= {"inside : outside": "ratio", "azimuths": "azimuths"}
    controls["the pairs differ in"] = choice(list(kinds), "what differs from pair to pair", "260px")

    def make(ridge, side_a, side_b, kind):
        panel = comparison_panel(WedgeBox(ridge, side_a, side_b), kind=kinds[kind])
        told = "".join(f"<li>{html.escape(sentence)}</li>" for sentence in panel.sentences)
        return w.VBox([w.HTML(f"<ul>{told}</ul>"), comparison_link(panel, name=name)])

    return LinkForm(controls, make)


@checked(name=file_name)
def session_link(people: int = 2, *, pairs: Sequence[str] = PAIRS, paper: str = "A4", name: str = "session.pdf") -> SaveLink:
    """A link that saves the sheets of a session for two or more as a PDF; see `ergokit.template.write_session_sheet`.

    >>> session_link(4).data[:4]
    b'%PDF'
    """
    about = f"For {people} people. Paper {paper}."
    return SaveLink(name, lambda path: write_session_sheet(path, people, pairs=pairs, paper=paper), about)


@checked(name=file_name)
def complaints_link(*, paper: str = "A4", name: str = "complaints.pdf") -> SaveLink:
    """A link that saves the table from a complaint to a change as a PDF; see `ergokit.template.write_complaints`.

    >>> complaints_link().data[:4]
    b'%PDF'
    """
    return SaveLink(name, lambda path: write_complaints(path, paper=paper), f"One page. Paper {paper}.")

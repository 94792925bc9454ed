"""Sheets to print as links to save them: no file is left in the folder of the lesson."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ergokit._check import a, checked
from ergokit._files import file_name
from ergokit.design import BoxDesign
from ergokit.design.layouts import box_words
from ergokit.explorers.controls import SaveLink
from ergokit.hands_on import ComparisonPanel
from ergokit.hands_on.orders import PAIRS
from ergokit.template import write_comparison, write_complaints, write_session_sheet, write_template


@checked(design=a(BoxDesign), name=file_name)
def template_link(design: BoxDesign, *, paper: str = "A4", name: str = "my_box.pdf", **options: Any) -> SaveLink:
    """A link that saves the template of a `BoxDesign` as a PDF; `options` are those of `ergokit.template.write_template`.

    The browser saves it where it saves everything, and never over another file.

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

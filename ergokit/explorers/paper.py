"""The template of a designed box as a link to save it: no file is left in the folder of the lesson."""

from __future__ import annotations

from typing import Any

from ergokit._check import a, checked
from ergokit._files import file_name
from ergokit.design import BoxDesign
from ergokit.design.layouts import box_words
from ergokit.explorers.controls import SaveLink
from ergokit.template import write_template


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

"""The template of a designed box as a link to save it: no file is left in the folder of the lesson."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import ipywidgets as w

from ergokit._check import a, checked
from ergokit._files import file_name
from ergokit.design import BoxDesign
from ergokit.design.layouts import box_words
from ergokit.explorers.controls import save_link
from ergokit.template import write_template


@checked(design=a(BoxDesign), name=file_name)
def template_link(design: BoxDesign, paper: str = "A4", name: str = "my_box.pdf", **options: Any) -> TemplateLink:
    """A link that saves the template of a `BoxDesign` as a PDF; `options` are those of `ergokit.template.write_template`.

    The browser saves it where it saves everything, and never over another file.

    >>> from ergokit.design import design_box
    >>> from ergokit.surfaces import WedgeBox
    >>> template_link(design_box(WedgeBox(44, 36, 27))).pdf[:4]
    b'%PDF'
    """
    return TemplateLink(design, paper, name, options)


class TemplateLink(w.HTML):
    """See `template_link`; `pdf` is the file itself."""

    def __init__(self, design, paper, name, options):
        with tempfile.TemporaryDirectory() as folder:
            self.pdf = write_template(Path(folder, "box.pdf"), design, paper=paper, **options).read_bytes()
        met = "all rules met" if not design.not_met else "<b>not all rules met</b>"
        super().__init__(
            f'<b style="font-size: 16px">{save_link(name, self.pdf, "application/pdf", f"Save {name}")}</b>'
            f"<br>{box_words(design.box).capitalize()}; {met}; paper {paper}."
        )

    def __repr__(self):
        return "The link to your template appears here once this cell has run (Shift + Enter)."

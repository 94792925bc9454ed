"""Paper to cut through: a PDF at full size of a box's holes, its cut list, a floor mat, a fan gauge and a pocket table."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import numpy as np

from ergokit._check import checked, flag, instance, lengths, one
from ergokit._markers import MAT, PANEL, STRIP, TENT, MarkedBox, box_number, strip, tent
from ergokit._pages import PAPERS
from ergokit._types import FilePath
from ergokit.design import BoxDesign, Phone
from ergokit.design.wish import check_box
from ergokit.placement import Placement
from ergokit.placement.demo import remark
from ergokit.surfaces import FlatBox, WedgeBox
from ergokit.template.comparison import write_comparison
from ergokit.template.gauge import gauge_page
from ergokit.template.marked import strip_page
from ergokit.template.mat import marked_mat, mat_of, mat_pages
from ergokit.template.net import net_of, net_page
from ergokit.template.panel import cutting_template_pages, marked_template, panel_of, short_of_edge, whole_panel_pages
from ergokit.template.session import write_complaints, write_session_sheet
from ergokit.template.sheet import a_paper, write_sheets
from ergokit.template.words import cut_list_pages, measure_pages, photograph_page, set_up_page, table_page
from ergokit.view import Camera

__all__ = ["PAPERS", "marked_box", "write_comparison", "write_complaints", "write_session_sheet", "write_template"]


@checked(paper=a_paper, whole_panel=flag, overwrite=flag, markers=flag)
def write_template(
    path: FilePath,
    box: BoxDesign | WedgeBox | FlatBox,
    placement: Placement | None = None,
    *,
    paper: str = "A4",
    phone: Phone | Literal[False] | None = None,
    hole: float | None = None,
    whole_panel: bool = False,
    markers: bool = False,
    overwrite: bool = False,
) -> Path:
    """Write the template of a box as a PDF to print at 100 % and cut through; returns the path.

    path
        of the file; written whole or not at all, and over an existing one only with `overwrite=True`
    box, placement
        a `BoxDesign`, which holds all that is needed; or a `WedgeBox` or `FlatBox`, and a `Placement` whose ports are on
        panel a, or on the lid, and whose camera is not a scope
    paper
        ``"A4"``, ``"A3"`` or ``"Letter"``
    phone
        the `ergokit.design.Phone` that lies on the panel: its outline, ledge and camera hole, and where its picture ends. None
        for that of the design or, as in `design_box`, a common phone; False for another camera, which gets a hole as for the
        common phone, 3 x 3 cm (common practice, no source)
    hole
        diameter of a port hole, in cm; None for that of the design, or 1
    whole_panel
        True for the whole panel on as many sheets as it takes, after the cutting template
    markers
        True for markers on cutting template and floor mat, and the strip and tent that go with them, so that photographs can
        measure the box (`ergokit.photos`); needs OpenCV, from the extra ``photos``

    First come a list for set-up and safety, then what you need, how to choose the card and how to set up the table, then the
    cutting template; a drawing that does not fit one sheet goes on several that overlap by 1 cm. Then the box
    laid flat and the cut list, the floor mat, the gauge and the table, and the measures. The phone's outline is drawn if the
    placement's camera looks straight into the panel; if the camera is not on the panel there is no camera hole.

    >>> from ergokit.design import design_box
    >>> design = design_box(WedgeBox(ridge=50, side_a=40, side_b=30))
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_template(f"{folder}/box.pdf", design).read_bytes()[:4]
    b'%PDF'
    """
    box, placement, panel, mat = _drawn(box, placement, paper, phone, hole)
    sheets = _marked(paper, panel, mat).sheets if markers else {}
    net = net_of(box)
    note = remark(placement, box)
    layouts = [
        set_up_page(paper, net, panel, note),
        table_page(paper, net, placement, short_of_edge(paper, panel, markers)),
        *cutting_template_pages(paper, panel, sheets.get(PANEL)),
        *(whole_panel_pages(paper, panel) if whole_panel else ()),
        net_page(paper, net, panel),
        cut_list_pages(paper, net, panel),
        *mat_pages(paper, mat, sheets.get(MAT)),
        *([strip_page(paper), photograph_page(paper, sheets)] if markers else ()),
        gauge_page(paper),
        measure_pages(paper, placement),
    ]
    return write_sheets(path, layouts, "Template of a practice box", overwrite, note)


@checked(paper=a_paper)
def marked_box(
    box: BoxDesign | WedgeBox | FlatBox,
    placement: Placement | None = None,
    *,
    paper: str = "A4",
    phone: Phone | Literal[False] | None = None,
    hole: float | None = None,
) -> MarkedBox:
    """Where the markers are on a box's papers, for `ergokit.photos.check_photos`; arguments as for `write_template`.

    >>> from ergokit.design import design_box
    >>> list(marked_box(design_box(WedgeBox(ridge=50, side_a=40, side_b=30))).sheets)
    ['floor mat', 'cutting template', 'strip', 'tent']
    """
    _, _, panel, mat = _drawn(box, placement, paper, phone, hole)
    return _marked(paper, panel, mat)


def _marked(paper, panel, mat):
    number = box_number(panel.holes)
    sheets = {
        MAT: marked_mat(paper, mat, number),
        PANEL: marked_template(paper, panel, number),
        STRIP: strip(),
        TENT: tent(),
    }
    return MarkedBox(number, sheets, np.array([panel.left, panel.right]), mat.targets)


def _drawn(box, placement, paper, phone, hole):
    """The box and its placement, checked, with what is drawn of them: `Panel` and `Mat`."""
    if isinstance(box, BoxDesign):
        if placement is not None:
            raise ValueError("A BoxDesign has a placement of its own; leave the other one out (placement).")
        design, placement, box = box, box.placement, box.box
        phone, hole = design.phone if phone is None else phone, design.hole if hole is None else hole
    instance("box", box, "a BoxDesign, or a WedgeBox or a FlatBox, which can be cut from card", WedgeBox, FlatBox)
    placement = instance("placement", placement, "a Placement", Placement)
    check_box("box", box, "placement", placement.targets)
    if placement.scope is not None:
        raise ValueError(
            "A template is for a box with a phone, and this placement has a scope; give the camera as a point (placement)."
        )
    phone = Phone() if phone is None else phone
    if phone is not False:
        instance("phone", phone, "a Phone, None for a common one or False for another camera", Phone)
    axis = placement.targets[0] - placement.camera if placement.aim is None else placement.aim
    panel = panel_of(box, placement, axis, phone, one("hole", 1 if hole is None else hole, lengths))
    camera = phone and Camera(placement.camera, axis, field_of_view=phone.field_of_view, shape=phone.shape)
    return box, placement, panel, mat_of(paper, box, placement, camera)

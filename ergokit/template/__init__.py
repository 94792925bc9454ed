"""Paper to cut through: a PDF at full size of a box's holes, its cut list, a floor mat, a fan gauge and a pocket table."""

from ergokit._check import checked, flag, instance, lengths, one, one_word
from ergokit._files import write_whole
from ergokit.design import Phone
from ergokit.design.wish import check_box
from ergokit.placement import Placement
from ergokit.placement.demo import remark
from ergokit.surfaces import FlatBox, WedgeBox
from ergokit.template.cutting import net_of, net_page
from ergokit.template.drilling import drilling_pages, panel_of, whole_panel_pages
from ergokit.template.gauge import gauge_page
from ergokit.template.mat import mat_pages
from ergokit.template.sheet import PAPERS, write
from ergokit.template.words import list_pages, measure_pages, set_up_page
from ergokit.view import Camera

__all__ = ["PAPERS", "write_template"]

_COMMON = Phone()


@checked(whole_panel=flag, overwrite=flag)
def write_template(path, box, placement, paper="A4", *, phone=_COMMON, hole=1, whole_panel=False, overwrite=False):
    """Write the box as a PDF to print at 100 % and cut through; returns the path.

    path
        of the file; written whole or not at all, and over an existing one only with `overwrite=True`
    box, placement
        a `WedgeBox` or `FlatBox` and a `Placement` whose ports are on panel a, or on the lid, and whose camera is no scope
    paper
        ``"A4"``, ``"A3"`` or ``"Letter"``
    phone
        the `ergokit.design.Phone` that lies on the panel: its outline, ledge and window, and where its picture ends. None
        for another camera, which gets a window of 3 x 3 cm
    hole
        diameter of a port hole, in cm
    whole_panel
        True for the whole panel on as many sheets as it takes, after the drilling sheet

    A list to set up by and to work safely by comes first, then the drilling sheet; what does not fit one sheet goes on several
    that overlap by 1 cm. Then the box laid flat and the cut list, the floor mat, the gauge and the table, and the measures. The
    phone's outline is drawn where the placement's camera looks straight into the panel; where the camera is not on the panel
    there is no window.

    >>> from ergokit.design import design_box
    >>> design = design_box(WedgeBox(ridge=50, side_a=40, side_b=30))
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = write_template(f"{folder}/box.pdf", design.box, design.placement, phone=design.phone, hole=design.hole)
    ...     path.read_bytes()[:4]
    b'%PDF'
    """
    instance("box", box, "a WedgeBox or a FlatBox, which can be cut from card", WedgeBox, FlatBox)
    instance("placement", placement, "a Placement", Placement)
    check_box("box", box, "placement takes targets", placement.targets)
    one_word("paper", paper, PAPERS, ", ".join(map(repr, PAPERS)))
    instance("phone", phone, "a Phone or None", Phone, type(None))
    if placement.scope is not None:
        raise ValueError("a box is cut for a phone, whose window a scope does not need; give the lens as a point (placement).")
    axis = placement.targets[0] - placement.camera if placement.aim is None else placement.aim
    panel = panel_of(box, placement, axis, phone, one("hole", hole, lengths))
    camera = phone and Camera(placement.camera, axis, field_of_view=phone.field_of_view, shape=phone.shape)
    net = net_of(box)
    note = remark(placement, box)
    pages = [
        *set_up_page(paper, net, panel, note),
        *drilling_pages(paper, panel),
        *(whole_panel_pages(paper, panel) if whole_panel else ()),
        net_page(paper, net, panel),
        *list_pages(paper, net, panel),
        *mat_pages(paper, box, placement, camera),
        gauge_page(paper),
        *measure_pages(paper, placement),
    ]
    return write_whole(path, lambda part: write(part, paper, "Template of a practice box", pages, note), overwrite)

"""Pages of words and tables: the cut list, the placement's measures with their verdicts, the cautions."""

from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import cm
from reportlab.platypus import Paragraph, Spacer, Table

from ergokit.guidance import judge
from ergokit.guidance.cautions import CAUTIONS
from ergokit.placement.measures import with_unit
from ergokit.template.cutting import cut_list
from ergokit.template.sheet import Page, frame_size

_PLAIN = ParagraphStyle("plain", fontName="Helvetica", fontSize=9.5, leading=12.5)
_SMALL = ParagraphStyle("small", parent=_PLAIN, fontSize=8.5, leading=10.2)
_BOLD = ParagraphStyle("bold", parent=_SMALL, fontName="Helvetica-Bold")
_HEADING = ParagraphStyle("heading", parent=_PLAIN, fontName="Helvetica-Bold", fontSize=11.5, leading=15, spaceBefore=6)


def list_pages(paper, net, panel):
    """Steps and cut list, as `Page`s."""
    steps = [
        *net.steps,
        "Lay the drilling sheet on the panel and cut port holes and window through it; then the openings of the list below.",
        "Lay the mat on the floor, and a cool light at its opening.",
    ]
    if panel.phone:
        low, high = panel.phone.ledge[1::2]
        steps.insert(
            -1,
            f"Fold the ledge and glue its part of {high - low:.1f} cm on the hatched strip. The other, "
            f"{panel.phone.thickness:.1f} cm high, stands up along the phone's lower edge, so that the phone cannot slide.",
        )
    story = [Paragraph("In this order", _HEADING)]
    story += [Paragraph(f"{i}.&nbsp; {escape(step)}", _PLAIN) for i, step in enumerate(steps, 1)]
    head = ("what", "in", "size, cm", "from the centre line, cm", f"from the {panel.edge}, cm")
    story += [Spacer(0, 10), Paragraph("Cuts", _HEADING), _table(head, cut_list(net, panel), (5.2, 2.6, 5.8, 4.8, 5.0), paper)]
    return _flow(paper, "Cut list", ("Left and right as you look at the panel from outside.",), story)


def measure_pages(paper, placement):
    """Measures, verdicts and cautions, as `Page`s."""
    table = judge(placement)
    several = "target" in table
    rows = []
    for row in table.to_dict("records"):
        name = f"{row['quantity']}, {row['side']}" if row["side"] else row["quantity"]
        value = with_unit(row["value"], row["unit"])
        because = " ".join(filter(None, (row["because"], row["note"])))
        rows.append(((str(row["target"]),) if several else ()) + (name, value, row["verdict"], because))
    head = (("target",) if several else ()) + ("measure", "value", "verdict", "because")
    widths = ((1.6,) if several else ()) + (6.2, 2.4, 5.0, 8.2 if several else 9.8)
    story = [
        Paragraph("Cautions", _HEADING),
        *(Paragraph(escape(words), _PLAIN) for words in CAUTIONS),
        Spacer(0, 8),
        Paragraph("Measures of the placement", _HEADING),
        _table(head, rows, widths, paper),
    ]
    return _flow(paper, "Measures and cautions", ("As drawn; measure the box once it is cut.",), story)


def _table(head, rows, widths, paper):
    room = frame_size(paper, True, full_size=False)[0]
    widths = [width * room / sum(widths) * cm for width in widths]
    cells = [
        [Paragraph(escape(words), style) for words in row] for style, row in [(_BOLD, head), *((_SMALL, row) for row in rows)]
    ]
    rules = [("LINEBELOW", (0, 0), (-1, 0), 0.9, colors.black), ("LINEBELOW", (0, 1), (-1, -1), 0.25, colors.grey)]
    rules += [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("TOPPADDING", (0, 0), (-1, -1), 1.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
    ]
    return Table(cells, widths, repeatRows=1, style=rules, hAlign="LEFT")


def _flow(paper, title, lines, story):
    """As many pages as the story takes."""
    width, height = (side * cm for side in frame_size(paper, True, full_size=False))
    columns, left, rest = [[]], height, list(story)
    while rest:
        part = rest.pop(0)
        tall = part.wrap(width, height)[1] + part.getSpaceBefore()
        if tall <= left:
            left -= tall
            columns[-1].append((part, left))
        elif len(pieces := part.split(width, left)) > 1:
            rest[:0] = pieces
        else:
            rest.insert(0, part)
            columns.append([])
            left = height
    titles = [title] + [f"{title}, continued"] * (len(columns) - 1)
    return [Page(name, lines, _column(column), full_size=False) for name, column in zip(titles, columns, strict=True)]


def _column(column):
    def draw(pen):
        for part, up in column:
            part.drawOn(pen.canvas, pen.x * cm, pen.y * cm + up)

    return draw

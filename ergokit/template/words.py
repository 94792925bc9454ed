"""Pages of words and tables: the list to set up by, the cut list, the placement's measures with their verdicts."""

from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import cm
from reportlab.platypus import Flowable, Paragraph, Spacer, Table

from ergokit.guidance import CAUTION, judge
from ergokit.guidance.cautions import FOR_EDUCATION, STEPS
from ergokit.placement.measures import with_unit
from ergokit.template.cutting import cut_list
from ergokit.template.sheet import Page, frame_size

_PLAIN = ParagraphStyle("plain", fontName="Helvetica", fontSize=9.5, leading=12.5)
_TO_DO = ParagraphStyle("to do", parent=_PLAIN, fontSize=12, leading=15.5)
_SMALL = ParagraphStyle("small", parent=_PLAIN, fontSize=8.5, leading=10.2)
_BOLD = ParagraphStyle("bold", parent=_SMALL, fontName="Helvetica-Bold")
_HEADING = ParagraphStyle("heading", parent=_PLAIN, fontName="Helvetica-Bold", fontSize=11.5, leading=15, spaceBefore=6)


def set_up_page(paper, net, panel, note):
    """What to have, to check and to beware of before the first cut, each with a square to tick, as a `Page`."""
    have = [
        "These lie ready: craft knife, steel ruler, cutting board, cut-resistant glove, pencil, tape and glue.",
        f"{net.carton} {note or 'Measure it: another carton needs its own sheets.'}",
        "Both rulers on the drilling sheet measure 10 cm.",
    ]
    if panel.phone:
        size = f"{panel.phone.length:.1f} x {panel.phone.width:.1f} cm"
        have.insert(2, f"The phone measures {size}. Measure yours, and find out how near it is still sharp.")
    lists = {"set-up": have} | STEPS
    columns = [list(lists)[:3], list(lists)[3:]]
    story = [[part for topic in column for part in _ticked(topic, lists[topic])] for column in columns]
    room = frame_size(paper, True, full_size=False)[0] * cm
    look = [("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (0, 0), 0), ("LEFTPADDING", (1, 0), (1, 0), 12)]
    table = Table([story], [room / 2] * 2, style=look)
    lines = "Go through this list before the first cut, and tick each line. " + FOR_EDUCATION
    return _flow(paper, "Set-up and safety", (lines,), [table], cut_by=False)


def _ticked(topic, lines):
    heading = Paragraph(escape(topic.capitalize()), _HEADING)
    look = [("VALIGN", (0, 0), (-1, -1), "TOP"), *((side, (0, 0), (-1, -1), 2) for side in ("TOPPADDING", "BOTTOMPADDING"))]
    ticks = [[_Square(), Paragraph(escape(line), _TO_DO)] for line in lines]
    return [heading, Table(ticks, [0.7 * cm, None], style=[*look, ("LEFTPADDING", (0, 0), (-1, -1), 0)])]


class _Square(Flowable):
    """To tick."""

    def wrap(self, *room):
        return 9, 12

    def draw(self):
        self.canv.setLineWidth(0.8)
        self.canv.rect(0, 0, 9, 9)


def list_pages(paper, net, panel):
    """Steps and cut list, as `Page`s."""
    steps = [
        *net.steps,
        "Lay the drilling sheet on the panel and cut port holes and window through it; then the openings of the list below.",
        "Lay the mat on the floor, and put a battery LED at the opening for light.",
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
    """Measures and verdicts, as `Page`s."""
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
    lines = "Measures of the placement as drawn: measure the box once it is cut.", CAUTION
    return _flow(paper, "Measures", lines, [_table(head, rows, widths, paper)], cut_by=False)


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


def _flow(paper, title, lines, story, cut_by=True):
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
    drawn = zip(titles, columns, strict=True)
    return [Page(name, lines, _column(column), full_size=False, cut_by=cut_by) for name, column in drawn]


def _column(column):
    def draw(pen):
        for part, up in column:
            part.drawOn(pen.canvas, pen.x * cm, pen.y * cm + up)

    return draw

"""Pages of words and tables: the list to set up by, the steps and cuts, the placement's measures with their verdicts."""

from reportlab.platypus import Spacer, Table

from ergokit._pages import HEADING, numbered, table, ticked, words
from ergokit._words import joined
from ergokit.guidance import CAUTION, judge
from ergokit.guidance.cautions import BEFORE_A_PHOTOGRAPH, FOR_EDUCATION, HOW_TO_PHOTOGRAPH, STEPS
from ergokit.placement.measures import with_unit
from ergokit.template.net import cuts
from ergokit.template.sheet import sheet

_FEW = 4  # markers, below which a sheet is seen badly


def set_up_page(paper, net, panel, note):
    """What to have, to check and to beware of before the first cut, each with a square to tick."""
    have = [
        "Have ready: craft knife, steel ruler, cutting board, cut-resistant glove, pencil, tape and glue.",
        f"The carton measures {net.carton}. {note or 'Measure it: another carton needs its own sheets.'}",
        "Both rulers on the cutting template measure 10 cm.",
    ]
    if panel.phone:
        size = f"{panel.phone.length:.1f} x {panel.phone.width:.1f} cm"
        have.insert(2, f"The phone measures {size}. Measure yours, and find the nearest distance at which it is sharp.")
    lists = list(({"set-up": have} | STEPS).items())
    columns = [
        [part for topic, lines in column for part in (words(topic.capitalize(), HEADING), *ticked(lines))]
        for column in (lists[:3], lists[3:])
    ]
    look = [("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (0, 0), 0), ("LEFTPADDING", (1, 0), (1, 0), 12)]
    story = [Table([columns], ["50%"] * 2, style=look)]
    lines = "Go through this list before the first cut, and tick each line. " + FOR_EDUCATION
    return sheet(paper, "Set-up and safety", [lines], story, cut_by=False)


def photograph_page(paper, marked):
    """What to do, and what to beware of, before the box of these sheets is photographed, each with a square to tick."""
    lists = {"Take care": BEFORE_A_PHOTOGRAPH, "Take the pictures": HOW_TO_PHOTOGRAPH}
    story = [part for head, lines in lists.items() for part in (words(head, HEADING), *ticked(lines))]
    lines = ["Lesson 04 measures the box with photographs of the marked sheets. No real photograph has been tried yet."]
    if few := [f"the {name}" for name, each in marked.items() if len(each.markers) < _FEW]:
        lines.append(f"Fewer than {_FEW} markers fit beside the drawing on {joined(few)}: photographs tell less of this box.")
    return sheet(paper, "Set-up for photographs", lines, story, cut_by=False)


def cut_list_pages(paper, net, panel):
    """Steps and cuts."""
    steps = [
        *net.steps,
        "Lay the cutting template on the panel and cut the holes through it; then cut the openings of the list below.",
        "Lay the mat on the floor, and put a battery LED at the opening for light.",
    ]
    if panel.phone:
        low, high = panel.phone.ledge[1::2]
        steps.insert(
            -1,
            f"Fold the ledge and glue its side of {high - low:.1f} cm onto the hatched strip. The other side, "
            f"{panel.phone.thickness:.1f} cm high, stands up along the phone's lower edge and keeps the phone from sliding.",
        )
    head = ("what", "in", "size, cm", "from the centre line, cm", f"from the {panel.edge}, cm")
    rows = table(head, cuts(net, panel), (5.2, 2.6, 5.8, 4.8, 5.0))
    story = [words("In this order", HEADING), *numbered(steps), Spacer(0, 10), words("Cuts", HEADING), rows]
    return sheet(paper, "Cut list", ["Left and right as you look at the panel from outside."], story)


def measure_pages(paper, placement):
    """Measures and verdicts."""
    judged = judge(placement)
    several = "target" in judged
    rows = []
    for row in judged.to_dict("records"):
        name = f"{row['quantity']}, {row['side']}" if row["side"] else row["quantity"]
        because = " ".join(filter(None, (row["because"], row["note"])))
        cells = [name, with_unit(row["value"], row["unit"]), row["against published advice"], because]
        rows.append([str(row["target"]), *cells] if several else cells)
    head, widths = ["measure", "value", "against published advice", "because"], [6.2, 2.4, 5.0, 9.8]
    if several:
        head, widths = ["target", *head], [1.6, *widths]
    lines = "Measures of the placement as drawn: measure the box once it is cut.", CAUTION
    return sheet(paper, "Measures", lines, [table(head, rows, widths)], cut_by=False)

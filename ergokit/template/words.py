"""Pages of words and tables: the list to set up by, the steps and cuts, the placement's measures with their verdicts."""

import numpy as np
from reportlab.platypus import Spacer, Table

from ergokit._pages import HEADING, numbered, table, ticked, words
from ergokit._words import joined
from ergokit.guidance import CAUTION, judge
from ergokit.guidance.cautions import BEFORE_A_PHOTOGRAPH, FOR_EDUCATION, HOW_TO_PHOTOGRAPH, STEPS
from ergokit.placement.measures import with_unit
from ergokit.template.net import cuts, drawn_carton
from ergokit.template.sheet import frame_size, sheet
from ergokit.triangulation import handle_height

_CARTON = 6.2  # cm of page for the drawing of the carton and its cut
_CARTON_SAYS = (
    "Cut along the thick dashes on both ends. The thick line becomes the ridge. The light grey side is side a, which faces you."
)
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
        have.insert(
            2, f"The phone measures {size}. Measure yours, and find the nearest distance at which its picture is sharp."
        )
    lists = list(({"set-up": have} | STEPS).items())
    lines = "Go through this list before the first cut, and tick each line. " + FOR_EDUCATION
    return sheet(paper, "Set-up and safety", [lines], _ticked_columns(lists[:3], lists[3:]), cut_by=False)


def _ticked_columns(*columns):
    """Topics with their lines, each with a square to tick, in columns beside each other."""
    cells = [
        [part for topic, lines in column for part in (words(topic.capitalize(), HEADING), *ticked(lines))] for column in columns
    ]
    look = [("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (0, 0), 0), ("LEFTPADDING", (1, 0), (1, 0), 12)]
    return [Table([cells], ["50%"] * 2, style=look)]


def table_page(paper, net, placement, short):
    """What to have for the build, which wedge to keep and how, and how the box stands on its table, each with a square to tick.

    `short` is how far above the panel's lower edge the cutting template ends, in cm.
    """
    have = [
        f"A carton of {net.carton}, packing tape 5 cm wide, double-sided tape or glue, a pencil.",
        "A craft knife, a steel ruler of 30 cm, a cutting board, a cut-resistant glove.",
        "Scraps of foam or card to line the holes, a battery LED, a string to tether the phone.",
        "Two graspers, a cork, a ribbon of 20 cm; a clamp or two bags of sand.",
    ]
    heights = handle_height(
        np.stack([placement.left_port, placement.right_port]), placement.targets[0], placement.shafts, placement.handle_reach
    )
    table_top = [
        "Clamp the box to the table, or put the two bags inside it at its back edge.",
        "Set the phone to do not disturb, and lock its lens and its focus.",
        "Show the picture on a screen straight ahead of you, by cable. A wireless picture lags.",
        f"The hands are about {heights.mean():.0f} cm above the table: lower the table, or stand on a step, until they are at "
        "elbow height.",
        f"Fix the target with double-sided tape, its top {placement.targets[0, 2]:.1f} cm above the floor.",
        "Switch on the light, and look at the picture before you begin.",
        "Needles come last: begin without them.",
    ]
    columns = [("what you need", have), ("the card", [*net.keep, _short(short)])], [("at the table", table_top)]
    return sheet(paper, "Material, card and table", [FOR_EDUCATION], _ticked_columns(*columns))


def _short(short):
    if short <= 0:
        return "The cutting template shows the lower edge of the panel: lay that line on the edge of the card."
    return f"The cutting template ends {short:.1f} cm above the edge of the panel: go by the lines you draw, not by the sheet."


def photograph_page(paper, marked):
    """What to do, and what to beware of, before the box of these sheets is photographed, each with a square to tick."""
    lists = {"Take care": BEFORE_A_PHOTOGRAPH, "Take the pictures": HOW_TO_PHOTOGRAPH}
    story = [part for head, lines in lists.items() for part in (words(head, HEADING), *ticked(lines))]
    lines = ["Lesson 04 measures the box with photographs of the marked sheets. No real photograph has been tried yet."]
    if few := [f"the {name}" for name, each in marked.items() if len(each.markers) < _FEW]:
        lines.append(
            f"Fewer than {_FEW} markers fit beside the drawing on {joined(few)}: photographs measure this box less exactly."
        )
    return sheet(paper, "Set-up for photographs", lines, story, cut_by=False)


def cut_list_pages(paper, net, panel):
    """Steps and cuts, and how the carton is cut where it is cut in two."""
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
    if net.views:
        drawing = drawn_carton(net.views, frame_size(paper, full_size=False)[0], _CARTON)
        story += [Spacer(0, 10), words("The carton", HEADING), words(_CARTON_SAYS), drawing]
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

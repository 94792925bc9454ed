"""The one table of cautions: whatever the kit prints, projects, sends to a phone or shows of a dome takes its words from here.

A list takes the `brief` of each topic; a hand that is about to cut or to suture gets its `steps`, one to a line.
"""

from typing import NamedTuple


class Caution(NamedTuple):
    """What is said of a topic in brief, and step by step where the hand is; `on_slide` unless a talk can do without it."""

    topic: str
    brief: str
    steps: tuple = ()
    on_slide: bool = True


CAUTION = "A verdict describes geometry; it is not permission."
FOR_EDUCATION = (
    "For education. Not for planning an operation: port placement in a patient is the decision of the supervising surgeon "
    "under local policy."
)
#: The same for the foot of a page or a slide.
IN_THE_FOOT = FOR_EDUCATION.partition(":")[0] + "."
#: The order is that of every list.
TABLE = (
    Caution("education", FOR_EDUCATION),
    Caution(
        "knife",
        "Cutting: use a craft knife on a board, never a scalpel, and cut away from yourself. Wear a cut-resistant glove on the "
        "other hand: theatre gloves stop no blade. Keep children away.",
        (
            "Use a craft knife, never a scalpel, and wear a cut-resistant glove on the other hand.",
            "Never rely on theatre gloves: they stop no blade.",
            "Cut on a board and away from yourself. To cut into a box or a wedge, put a board inside.",
            "Draw the blade in between cuts, and whenever you put the knife down.",
            "Push a pencil through a hole only with no hand behind it.",
        ),
    ),
    Caution(
        "light",
        "Fire risk: near cardboard use only a battery LED that is still cool after ten minutes.",
        (
            "Use only a battery LED that is still cool after ten minutes.",
            "Never put a theatre light lead, a halogen lamp, diathermy or a power bank inside: cardboard burns.",
        ),
    ),
    Caution(
        "needles",
        "Begin without needles. Later use a needle holder and a sharps bin, count needles out and in, and if one is missing "
        "stop and find it.",
        (
            "Begin without needles.",
            "Later touch a needle only with a needle holder, and keep a sharps bin at hand.",
            "Count needles out and in. If one is missing, stop and find it.",
        ),
    ),
    Caution(
        "at the box",
        "Keep food, children and pets away from the box, and use no animal tissue.",
        (
            "Put no hand inside while instruments move.",
            "Tether the phone so that it cannot fall in, and leave its torch off.",
            "Keep food, children and pets away.",
            "Use no animal tissue.",
        ),
    ),
    Caution(
        "instruments",
        "Practice instruments never go back to clinical use, and used theatre instruments never come here.",
        ("Use no used theatre instrument.", "Never take a practice instrument back to clinical use."),
    ),
    Caution(
        "if you are hurt",
        "After a needle-stick wash the wound and report it. Press on a deep cut and seek help.",
        ("After a needle-stick wash the wound and report it.", "Press on a deep cut and seek help."),
    ),
    Caution(
        "photographs",
        "Photograph only card, paper and the practice pad: never in hospital, and never patients, lists, screens or faces.",
        on_slide=False,
    ),
    Caution("dome", "A dome models no vessels, bladder or adhesions."),
    Caution("verdict", CAUTION),
    Caution("score", "A score is your own and never an assessment.", on_slide=False),
)
_BY_TOPIC = {caution.topic: caution for caution in TABLE}

#: For a list: in the README, the start lesson and the page for a phone; and the few of them that a slide holds.
CAUTIONS = tuple(caution.brief for caution in TABLE)
ON_SLIDE = tuple(caution.brief for caution in TABLE if caution.on_slide)
#: Topic -> what to do, one to a line, for whoever builds a box and works in it.
STEPS = {caution.topic: caution.steps for caution in TABLE if caution.steps}
#: The two lines that stand on whatever is cut by.
CUT_BY = STEPS["knife"][0], STEPS["light"][0]
OF_A_DOME = _BY_TOPIC["dome"].brief
#: For a sheet of questions, beside the words for a score.
OF_QUESTIONS = f"Numbers and rules in these questions are invented: none of them is advice. {_BY_TOPIC['score'].brief}"
#: Before a photograph of a box is taken.
BEFORE_A_PHOTOGRAPH = (
    _BY_TOPIC["photographs"].brief,
    "No wristband, tissue or name may be in the picture: cover the address label of the carton.",
    "Phones upload pictures by themselves: switch that off before, and delete the pictures afterwards.",
    "The kit keeps the places of the markers and nothing else, and ignores where a picture was taken.",
)
#: How a box is photographed so that the pictures can be measured.
HOW_TO_PHOTOGRAPH = (
    "Print the template with markers at 100 % and check both rulers. Leave the cutting template glued on, and put matt tape "
    "over shiny places.",
    "Weight the box down, and move nothing between pictures. Switch the light on and the torch off. Take the instruments out, "
    "and leave the target standing.",
    "Use the 1x lens without zoom, with macro off. Use a timer or a remote: a thumb moves the phone.",
    "Take the first picture with the phone in its place. Take two more from the front, which show the whole cutting template "
    "and the outer end of the strip. Take one through the rear, which shows the mat and the inner end of the strip.",
)

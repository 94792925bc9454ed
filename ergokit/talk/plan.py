"""What a talk shows, in what order and for how long: each question before its finding.

The slides and the teacher's page are made from the same plan. Every number comes from the library.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

import plotly.graph_objects as go

from ergokit import datasets
from ergokit._check import whole
from ergokit.figures.apart import apart_figure
from ergokit.figures.circle import inscribed_angle_figure
from ergokit.figures.gallery import GALLERY, drawable, triangle_of
from ergokit.figures.pair import pair_figure
from ergokit.figures.triangle import drawn_triangles, triangle_figure
from ergokit.guidance import verdict
from ergokit.guidance.studies import advice, advised
from ergokit.guidance.verdicts import citation_of, found_on, source_in_short
from ergokit.placement import Placement
from ergokit.problems.draft import WORDS
from ergokit.relations import one_triangle
from ergokit.triangulation import (
    azimuth_angles,
    handle_height,
    handle_separation,
    inserted_length,
    length_ratio,
    manipulation_angle,
    table_height,
    tip_travel_per_hand_travel,
)

MINUTES = (5, 10, 20)
_SHAFT = 36.0  # cm, as everywhere in the kit unless the placement says otherwise
_ELBOW = 105.0  # cm above the floor, standing: the kit's example
_HAND = 5.0  # cm that a hand moves
_SIDE, _AWAY = 18.0, 5.0  # cm: the sides of the triangle that is asked about, and how far its target goes
_PICTURE = (470, 311)  # px, beside words
_SLIPS = {unit: WORDS["slips"][unit] for unit in ("deg", "cm")}

#: What the notes derive below a figure of the gallery.
DERIVED = {
    "triangle": ("cosine_rule", "spacing_from_length"),
    "side by side": ("angle_per_spacing",),
    "zone": ("same_angle_circle",),
    "zone in space": ("offset_and_depth",),
    "angle map": ("camera_at_middle",),
    "monitor": ("display_angle",),
    "lever": ("length_ratio", "tip_travel"),
    "elevation": ("equal_elevations",),
    "experiments": (),
    "rules": ("depth_from_length", "widest_spacing"),
    "box": ("camera_hole_up_panel", "entry_angle"),
    "tolerance": ("angle_per_spacing", "angle_per_depth"),
}


class Guess(NamedTuple):
    """A wrong guess to expect, and the reply that says why it is wrong."""

    guess: str
    reply: str


class Slide(NamedTuple):
    """What one slide shows, and what its speaker says while it does.

    seconds
        for talks of 5, 10 and 20 minutes; 0 leaves it out
    ranges, right
        of a question: the four ranges for a show of hands, and which of them holds the answer
    guesses, board
        the wrong guesses to expect, and what to draw on a board where there is no screen
    """

    name: str
    title: str
    seconds: tuple[int, int, int]
    say: str
    figure: go.Figure | None = None
    says: Sequence[str] = ()
    alt: str = ""
    source: str = ""
    in_short: str = ""
    guesses: Sequence[Guess] = ()
    ranges: Sequence[str] = ()
    right: int = 0
    board: str = ""
    derives: Sequence[str] = ()

    @property
    def asks(self) -> bool:
        return bool(self.ranges)


#: What opens a talk, what it declares, and what ends it.
ENDS = (
    Slide("opening", "The title", (10, 15, 20), "Say who you are and what everybody will be able to do at the end."),
    Slide(
        "interests",
        "Interests to declare",
        (5, 10, 10),
        "Write your own interests on this slide, or that you have none. Read them out.",
    ),
    Slide(
        "cautions",
        "Cautions",
        (20, 20, 20),
        "Say these before anybody cuts a box or copies a placement; they hold for every slide.",
    ),
)
#: How a question is asked of a room.
WAIT = (
    "Everybody writes a guess down and tells a neighbour. Then ask for hands for the four ranges, one after the other. Take no "
    "answer from the room before that: the loudest answer anchors all others."
)


def minutes_of(name, value):
    """One of `MINUTES`."""
    if whole(name, value) not in MINUTES:
        raise ValueError(f"There is no talk of {value} minutes; give 5, 10 or 20 ({name}).")
    return value


def planned(placement: Placement, minutes: int, focus: int = 0, other: Placement | None = None) -> list[Slide]:
    """The slides of a talk about a placement between its opening and its references, in order, without those for no time."""
    i = MINUTES.index(minutes)
    slides = [
        *_harder(placement, focus, other),
        _stills(),
        _measures(),
        *_cost(),
        _three_holes(),
        *(_longer(placement, focus) if minutes == MINUTES[-1] else ()),
        _of_gallery("experiments", placement, focus, (40, 55, 70), _TESTED),
        *_again(),
        _take_home(),
    ]
    return [slide for slide in slides if slide.seconds[i]]


def shown_as(name, figure, seconds, say, **more):
    """A slide of a figure that carries its own title and words."""
    about = figure.layout.meta
    source = {"source": about["source"] or "", "in_short": about["source in short"] or ""}
    return Slide(name, about["title"], seconds, say, figure, about["says"], about["alt"], **source, **more)


def _of_gallery(name, placement, focus, seconds, say):
    return shown_as(name, GALLERY[name](placement, focus), seconds, say, derives=DERIVED[name])


_MONITOR = (
    "The box has one angle and the monitor shows another. Moving the camera changes the picture and leaves the angle alone. "
    "If the horizon is tilted, turn the camera head; if you see the work from the side, move yourself, the "
    "screen or the camera."
)
_PIVOT = (
    "The hole is the pivot. The lever on your side ends at the hand, not at the end of the shaft. With little shaft outside "
    "the tip runs ahead of the hand; with much outside it lags behind."
)
_RULES = (
    "Each of these rules is sound by itself. Together they leave no place for a lens that is fixed at the wall, midway between "
    "the ports. Say which rule you would give up, and why."
)
_TESTED = (
    "Squares are mean times that somebody measured. Nothing was measured between them, so no curve joins them. Nobody timed "
    "your task in your box, and no result here is about a patient."
)


def _longer(placement, focus):
    """What only the longest talk has time for: it is not drawn for the others."""
    known = drawable(placement)
    if "monitor" in known:
        yield _of_gallery("monitor", placement, focus, (0, 0, 70), _MONITOR)
    yield from _lever(placement, focus)
    if "elevation" in known:
        yield _hands(placement, focus)
    yield _of_gallery("rules", placement, focus, (0, 0, 70), _RULES)


# The first question, and the same with new numbers


def _harder(placement, focus, other):
    draw = GALLERY["side by side"]
    asked, told = (draw(placement, focus, other=other, numbers=numbers) for numbers in (False, True))
    first, second = told.layout.meta["angles"]
    guesses = [
        Guess(f"{second / 2:.1f} degrees.", _SLIPS["deg"]["half"].format(typed=f"{second / 2:.1f}")),
        Guess("The camera makes it hard.", "The camera decides how the angle looks. Two ports and the target make the angle."),
    ]
    if other is None:
        guesses.insert(
            0,
            Guess(
                f"{first / 2:.1f} degrees: half the spacing, half the angle.",
                "The tangent of half the angle halves with the spacing, and the angle itself does not.",
            ),
        )
    harder = verdict("manipulation angle", second)
    question = shown_as(
        "harder?",
        asked,
        (70, 70, 90),
        "Which of the two is harder to tie a knot in, and how wide is the angle on the right? Write both down, "
        "tell a neighbour, "
        "then raise a hand for one of the four ranges.",
        guesses=guesses,
        **_ranges(second, 30, 45, 60),
        board="Two triangles at one scale, with their lengths and without their angles.",
    )
    finding = shown_as(
        "harder",
        told,
        (40, 45, 60),
        f"The angle on the right is {second:.1f} degrees: {harder.status}. Two ports and the target set it, and nothing "
        "else does.",
        derives=DERIVED["side by side"],
    )
    row = advice("manipulation angle")
    low, high = advised("manipulation angle")
    alike = " All else is the same." if other is None else ""
    says = (f"Advised: {low:g} to {high:g}°, from {found_on(row)}.{alike}",)
    return question, finding._replace(says=says, source=citation_of(row), in_short=source_in_short(row))


def _ranges(value, low, middle, high, unit="°"):
    """Four ranges with these edges, and which of them holds a value, as a `Slide` has both."""
    between = f"{low} to {middle}{unit}", f"{middle} to {high}{unit}"
    right = sum(value >= edge for edge in (low, middle, high))
    return {"ranges": (f"below {low}{unit}", *between, f"{high}{unit} or more"), "right": right}


@cache  # the same for every placement
def _again():
    near, far = (one_triangle(spacing=15, inserted_length=inside) for inside in (15, 24))
    drawn = [pair_figure((near, far), ("A", "B"), numbers=numbers, height=244) for numbers in (False, True)]
    lengths = "Ports 15.0 cm apart in both. A has 15.0 cm of each shaft inside, B 24.0 cm."
    half = far.manipulation_angle / 2
    guesses = [
        Guess("B, because it is wider: its shafts are longer.", "Longer shafts over the same spacing close the angle."),
        Guess(f"{half:.1f} degrees.", _SLIPS["deg"]["half"].format(typed=f"{half:.1f}")),
    ]
    return (
        Slide(
            "again?",
            "Once more, with new numbers: which is harder?",
            (0, 55, 60),
            "The question is the same, with new numbers. How wide is the angle of B?",
            drawn[0],
            (lengths,),
            f"Two triangles at one scale, without their angles. {lengths}",
            guesses=guesses,
            **_ranges(far.manipulation_angle, 30, 45, 60),
            board="The same two triangles with these lengths.",
        ),
        Slide(
            "again",
            f"A meets at {near.manipulation_angle:.1f}°, B at {far.manipulation_angle:.1f}°",
            (0, 30, 30),
            "Three equal sides are 60 degrees. With longer shafts over the same spacing the angle closes.",
            drawn[1],
            (lengths,),
            f"The same two triangles with their angles, {near.manipulation_angle:.1f} and "
            f"{far.manipulation_angle:.1f} degrees.",
            derives=("spacing_from_length",),
        ),
    )


# The triangle, and what a moved target costs


@cache  # the same for every placement
def _stills():
    shown = [one_triangle(spacing=spacing, inserted_length=_SIDE) for spacing in (_SIDE / 2, _SIDE, 1.5 * _SIDE)]
    angles = [f"{each.manipulation_angle:.1f}" for each in shown]
    return Slide(
        "stills",
        f"Equal sides give {shown[1].manipulation_angle:.0f}°: narrow, equal, wide",
        (40, 45, 60),
        "Three lengths set the angle and nothing else does. Both shafts are 18 cm inside in all three; only "
        "the holes are moved. "
        "Three equal lengths always make 60 degrees.",
        triangle_figure(*shown, width=680, height=244, names=False),
        (f"Both shafts {_SIDE:g} cm inside. Only the spacing changes: {angles[0]}°, {angles[1]}°, {angles[2]}°.",),
        f"Three triangles at one scale with shafts of {_SIDE:g} cm inside and ports {_SIDE / 2:g}, {_SIDE:g} and "
        f"{1.5 * _SIDE:g} cm apart. Their angles are {', '.join(angles)} degrees.",
        board="One triangle with three sides of a hand's length, then the same with the ports half as far apart.",
        derives=("cosine_rule", "spacing_from_length"),
    )


def _moved():
    """The triangle of three equal sides, and the same with its target moved sideways, deeper and nearer."""
    equal = one_triangle(spacing=_SIDE, inserted_length=_SIDE)
    aside = one_triangle(spacing=_SIDE, depth=equal.depth, offset=_AWAY)
    return equal, aside, *(one_triangle(spacing=_SIDE, depth=equal.depth + way * _AWAY) for way in (1, -1))


def _neighbours(equal):
    """Its right port and the middle of its ports, with the same target."""
    return one_triangle(spacing=_SIDE / 2, depth=equal.depth, offset=-_SIDE / 4)


@cache  # the same for every placement
def _cost():
    equal, aside, deeper, nearer = _moved()
    turn = float(manipulation_angle((-_SIDE / 2, 0, 0), (_AWAY, 0, 0), (_AWAY, -equal.depth, 0)))
    # Seen from straight above the target: the camera has followed it along the port line.
    ports, target, above = ((-_SIDE / 2, 0, 0), (_SIDE / 2, 0, 0)), (_AWAY, -aside.depth, 0), (_AWAY, 0, 0)
    azimuths = azimuth_angles(*ports, target, above, normal=(0, 0, 1))
    ratios = [float(length_ratio(port, target, _SHAFT)) for port in ports]
    slips = WORDS["angle_off_midline"]["slips"]
    asked = drawn_triangles(
        (equal,),
        width=_PICTURE[0],
        height=_PICTURE[1],
        goes=((_AWAY, equal.depth, "sideways"), (0, equal.depth + _AWAY, "deeper")),
    )
    question = Slide(
        "sideways or deeper?",
        "Sideways or deeper: which costs more?",
        (0, 85, 110),
        f"The ports are {_SIDE:g} cm apart and the instruments meet at 60 degrees. The target goes {_AWAY:g} cm sideways or "
        f"{_AWAY:g} cm deeper. Which costs more, and what is left of the 60 degrees when it goes deeper?",
        asked,
        (
            f"Ports {_SIDE:g} cm apart, 60°.",
            f"The target goes {_AWAY:g} cm sideways, or {_AWAY:g} cm deeper.",
            "Which costs more of the angle?",
        ),
        f"A triangle with three sides of {_SIDE:g} cm, and two other places of its target: {_AWAY:g} cm "
        f"sideways and {_AWAY:g} cm "
        "deeper.",
        guesses=[
            Guess(
                "Sideways, because then nothing is even any more.",
                f"The triangle is uneven, and {aside.manipulation_angle:.0f} degrees are left.",
            ),
            Guess("60 degrees when it goes sideways.", slips["offset left out"].format(typed="60")),
            Guess(
                f"{turn:.0f} degrees when it goes sideways.", slips["one turn"].format(typed=f"{turn:.0f}", other_side="left")
            ),
        ],
        **_ranges(deeper.manipulation_angle, 40, 50, 55),
        board="An equal triangle and two crosses: one beside its target, one below.",
    )
    figure = inscribed_angle_figure(
        _SIDE, (60,), [(0, equal.depth), (_AWAY, aside.depth), (0, deeper.depth)], *_PICTURE, tell=True
    )
    price = (
        f"Sideways has its price: azimuths {azimuths[0]:.0f} and {azimuths[1]:.0f}°, shaft inside over outside "
        f"{ratios[0]:.2f} and {ratios[1]:.2f}."
    )
    finding = Slide(
        "sideways or deeper",
        f"{aside.manipulation_angle:.0f}° against {deeper.manipulation_angle:.0f}°: deeper costs more than sideways",
        (0, 75, 90),
        f"Along the arc the angle does not change at all. {_AWAY:g} cm sideways leave {aside.manipulation_angle:.0f} degrees, "
        f"{_AWAY:g} cm deeper {deeper.manipulation_angle:.0f}. {price} These azimuths are seen from straight above the target, "
        f"with {_SHAFT:g} cm shafts. {_AWAY:g} cm nearer would give {nearer.manipulation_angle:.0f} degrees.",
        figure,
        ("On the arc every target has 60°.", price, f"{_AWAY:g} cm nearer would give {nearer.manipulation_angle:.0f}°."),
        f"The arc of 60 degrees through both ports with three targets: on it, {_AWAY:g} cm sideways at "
        f"{aside.manipulation_angle:.1f} degrees, and {_AWAY:g} cm deeper at {deeper.manipulation_angle:.1f} degrees.",
        board="The arc through both ports and the target.",
        derives=("angle_at_offset", "same_angle_circle", "offset_and_depth"),
    )
    return question, finding


@cache  # the same for every placement
def _three_holes():
    middle = one_triangle(spacing=_SIDE, inserted_length=_SIDE)
    side = _neighbours(middle)
    angles = middle.manipulation_angle, side.manipulation_angle
    names = ("camera in the middle", "camera at the side")
    return Slide(
        "three holes",
        f"Camera from the middle to the side: {angles[0]:.0f}° becomes {angles[1]:.0f}°",
        (45, 60, 75),
        f"Three holes in a row, {_SIDE / 2:g} cm from each to the next, and the same target. With the camera in "
        f"the middle the hands "
        "have the outer two. With the camera at the side the hands have neighbours, and the angle is halved.",
        pair_figure((middle, side), names, width=680, height=244, cameras=(0, -0.75 * _SIDE)),
        (
            f"The same three holes, {_SIDE / 2:g} cm apart, and the same target. If instruments and camera "
            f"clash, move the camera.",
        ),
        f"Two triangles on the same three holes. Camera in the middle: {angles[0]:.1f} degrees. Camera in the left hole: "
        f"{angles[1]:.1f} degrees.",
        board="Three holes in a row and one target; join the outer two to it, then two neighbours.",
        derives=("angle_at_offset",),
    )


# What takes longer


def _measures():
    return Slide("measures", "", (0, 0, 75), "One placement in seven numbers, each beside the published advice and its source.")


def _lever(placement, focus):
    ports, target = (placement.left_port, placement.right_port), placement.targets[focus]
    found = _of_gallery("lever", placement, focus, (0, 0, 70), _PIVOT)
    shaft, reach = placement.shafts[0], placement.handle_reach
    travel = float(tip_travel_per_hand_travel(ports[0], target, shaft, reach))
    without, slips = float(length_ratio(ports[0], target, shaft)), WORDS["tip_travel"]["slips"]
    inside = float(inserted_length(ports[0], target))
    question = Slide(
        "lever?",
        f"The left hand moves {_HAND:g} cm. How far does the tip go?",
        (0, 0, 100),
        f"The left hand moves {_HAND:g} cm across the shaft, {inside:.1f} cm of the {shaft:g} cm shaft are "
        f"inside, and the hand "
        f"sits {reach:g} cm beyond its end. How far does the tip move?",
        says=(
            f"Shaft {shaft:g} cm, {inside:.1f} cm of it inside.",
            f"The hand sits {reach:g} cm beyond the end of the shaft.",
            f"It moves {_HAND:g} cm across the shaft. How far does the tip move?",
        ),
        guesses=[
            Guess(f"{_HAND / travel:.1f} cm.", slips["upside down"].format(typed=f"{_HAND / travel:.1f} / {_HAND:g}")),
            Guess(f"{_HAND * without:.1f} cm.", slips["handle left out"].format(typed=f"{_HAND * without:.1f} / {_HAND:g}")),
            Guess(
                f"{_HAND:g} cm, as the hand.",
                "The tip moves as far as the hand only if both arms of the lever are equally long.",
            ),
        ],
        **_ranges(_HAND * travel, 2, 4, 6, " cm"),
        board="A line through a hole, a third of it inside.",
    )
    return question, found


def _hands(placement, focus):
    left, right, target = placement.left_port, placement.right_port, placement.targets[focus]
    shafts = {"instrument_length": placement.shafts[0], "right_instrument_length": placement.shafts[1]}
    apart = float(handle_separation(left, right, target, handle_reach=placement.handle_reach, **shafts))
    heights = [
        float(handle_height(port, target, shaft, placement.handle_reach))
        for port, shaft in zip((left, right), placement.shafts, strict=True)
    ]
    table = float(table_height(_ELBOW, sum(heights) / 2))
    says = (
        f"Your hands are {apart:.1f} cm apart.",
        f"They are {heights[0]:.1f} and {heights[1]:.1f} cm above the table.",
        f"For elbows at {_ELBOW:g} cm the table top belongs at {table:.1f} cm. Shoulders up? Table down, or step up.",
    )
    [row] = [
        row
        for row in datasets.records("published_values")
        if row["quantity"] == "handle height above elbow" and row["source"] == "berquer-2002"
    ]
    return Slide(
        "hands and table",
        f"Hands {apart:.0f} cm apart, and the table at {table:.0f} cm",
        (0, 0, 80),
        "The wider the angle, the farther apart the hands, whatever the lengths inside. Handles at elbow height gave the least "
        "discomfort of the heights that were tried.",
        apart_figure(triangle_of(placement, focus), placement.shafts + placement.handle_reach, *_PICTURE),
        says,
        f"Both instruments from the target to the hands, in their own plane and to scale. {' '.join(says)}",
        citation_of(row),
        source_in_short(row),
        board="The triangle with both shafts drawn on to the hands.",
        derives=("handle_separation",),
    )


# The end


def _take_home():
    equal, aside, deeper, _ = _moved()
    side = _neighbours(equal)
    cost = [equal.manipulation_angle - each.manipulation_angle for each in (deeper, aside)]
    low, high = advised("manipulation angle")
    lines = (
        "Two ports and the target set the angle. The camera does not.",
        f"Three equal sides give 60°. Advised are {low:g} to {high:g}°: knots on the bench, 1997.",
        f"With ports {_SIDE:g} cm apart {_AWAY:g} cm deeper costs {cost[0]:.0f}°, and {_AWAY:g} cm sideways {cost[1]:.0f}°.",
        f"Camera in the middle of three holes: {equal.manipulation_angle:.0f}°. At the side: {side.manipulation_angle:.0f}°.",
        "Measure your own box with a tape. In a patient, ask your supervisor.",
    )
    row = advice("manipulation angle")
    return Slide(
        "take home",
        "Five lines to take home",
        (30, 35, 40),
        "Read the five lines aloud and stop. The card says what to do at the box.",
        says=lines,
        source=citation_of(row),
        in_short=source_in_short(row),
    )

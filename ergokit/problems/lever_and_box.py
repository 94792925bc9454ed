"""Problems of the instrument as a lever, and of the smallest box that will do."""

import numpy as np

from ergokit.problems import figure
from ergokit.problems.problem import Draft, Given, Slip, by, sine, tangent


def length_ratio(level, draw):
    return (_ratio, draw.among((_inside_from_ratio, _tip_travel)), _tip_travel_of_triangle)[level - 1](draw)


def least_box(level, draw):
    return (_other_side_for_flat_phone, _other_side_for_height, _lid_height)[level - 1](draw)


def _ratio(draw):
    shaft, inside = draw.among((30, 33, 36, 42)), draw.grid(11, 24, 0.5)
    outside = shaft - inside
    told = (
        f"The shaft is {shaft:g} cm long, and {inside:g} cm of it are inside when the tip touches the target. What is the "
        "length ratio, shaft inside over shaft outside?",
        f"You pinch the shaft at its hole, pull it out and find {inside:g} cm below your fingers. The whole shaft is "
        f"{shaft:g} cm. Shaft inside over shaft outside: what is the ratio?",
        f"An instrument with a {shaft:g} cm shaft has {inside:g} cm in the box. What is its length ratio, inside to outside, "
        "the handle not counted?",
    )
    return Draft(
        question=draw.among(told),
        given={"instrument_length": Given(shaft, 0), "inserted_length": Given(inside, 0.5)},
        relation="length_ratio",
        asked="length_ratio",
        unit="",
        sensible=(0.45, 2.4),
        hint="What is not inside is outside: take one length from the shaft to get the other.",
        steps=lambda r: (
            "Ratio = inside / (shaft - inside).",
            f"{inside:g} / ({shaft:g} - {inside:g}) = {inside:g} / {outside:g} = {r:.2f}.",
        ),
        slips=(
            Slip("upside down", outside / inside, "{typed} is outside over inside. Turn it upside down."),
            Slip(
                "share",
                inside / shaft,
                "{typed} is the share of the shaft that is inside. The ratio divides by what is outside.",
            ),
        ),
        picture=lambda r: figure.lever(
            inside, outside, i=f"{inside:g} cm", whole=f"shaft {shaft:g} cm", ratio="inside / outside:"
        ),
    )


def _inside_from_ratio(draw):
    shaft, ratio = draw.among((30, 33, 36, 42)), draw.grid(0.6, 2.0, 0.1)
    told = (
        f"A teacher insists on a length ratio of {ratio:g}, shaft inside over shaft outside. How much of a {shaft:g} cm shaft "
        "does she want inside?",
        f"A rule on a slip of paper: {ratio:g} parts of the shaft inside for one part outside. Your shaft is {shaft:g} cm. How "
        "much of it goes in?",
        f"Somewhere it says “inside to outside, {ratio:g} to 1”. With a shaft of {shaft:g} cm, how far in is the tip?",
    )
    return Draft(
        question=draw.among(told),
        given={"length_ratio": Given(ratio, 0.05), "instrument_length": Given(shaft, 0)},
        relation="length_ratio",
        asked="inserted_length",
        unit="cm",
        sensible=(10, 28),
        fit=ratio != 1,
        hint="Inside and outside make up the shaft. If outside is one part, inside is as many parts as the ratio says.",
        steps=lambda inside: (
            "Ratio = inside / (shaft - inside), so inside = shaft × ratio / (1 + ratio).",
            f"{shaft:g} × {ratio:g} / {1 + ratio:g} = {inside:.1f} cm.",
        ),
        slips=(
            Slip("upside down", shaft / (1 + ratio), "{typed} cm is what is left outside."),
            Slip(
                "share",
                shaft * ratio if ratio < 1 else shaft / ratio,
                "{typed} cm takes the ratio for a share of the whole shaft. It compares inside with outside.",
            ),
        ),
        picture=lambda inside: figure.lever(inside, shaft - inside, i="?", whole=f"shaft {shaft:g} cm"),
    )


def _tip_travel(draw):
    shaft, inside, reach = draw.among((30, 33, 36, 42)), draw.grid(11, 27, 0.5), draw.grid(8, 12, 0.5)
    lever = shaft - inside + reach
    told = (
        f"A {shaft:g} cm shaft with {inside:g} cm inside; the hand sits {reach:g} cm beyond the end of the shaft. For each cm "
        "the hand moves across the shaft, how many cm does the tip move?",
        f"By how much does the tip run ahead of the hand, or lag behind? {inside:g} cm of a {shaft:g} cm shaft are inside, "
        f"and the hand holds {reach:g} cm beyond its end. What is tip travel over hand travel, across the shaft?",
        f"The hole is a fulcrum. On the far side {inside:g} cm of shaft, on yours the rest of {shaft:g} cm and {reach:g} cm "
        "of handle. Tip travel over hand travel, across the shaft: what is it?",
    )
    return Draft(
        question=draw.among(told),
        given={
            "instrument_length": Given(shaft, 0),
            "inserted_length": Given(inside, 0.5),
            "handle_reach": Given(reach, 0.5),
        },
        relation="tip_travel",
        asked="tip_travel_per_hand_travel",
        unit="",
        sensible=(0.35, 1.8),
        hint="A lever with its fulcrum at the hole: each end moves as far as its arm is long. Your arm has the handle on it.",
        steps=lambda m: (
            "Tip travel / hand travel = inside / (shaft - inside + handle).",
            f"{inside:g} / ({shaft:g} - {inside:g} + {reach:g}) = {inside:g} / {lever:g} = {m:.2f}.",
        ),
        slips=(
            Slip("upside down", lever / inside, "{typed} is hand travel over tip travel. Turn it upside down."),
            Slip(
                "handle left out",
                inside / (shaft - inside),
                "{typed} is the length ratio, shaft over shaft. The lever on your side ends at the hand.",
            ),
        ),
        picture=lambda m: figure.lever(
            inside,
            shaft - inside,
            reach,
            i=f"{inside:g} cm",
            hand=f"{reach:g} cm",
            whole=f"shaft {shaft:g} cm",
            ratio="tip travel / hand travel:",
        ),
    )


def _tip_travel_of_triangle(draw):
    shaft, reach, hand = draw.among((30, 33, 36)), draw.grid(8, 12, 0.5), draw.grid(3, 7, 0.5)
    s, theta = draw.grid(12, 22, 0.5), draw.grid(45, 75, 5)
    inside = float(s / (2 * sine(theta / 2)))
    lever = shaft - inside + reach
    told = (
        f"Ports {s:g} cm apart, {theta:g} degrees between two equal instruments with {shaft:g} cm shafts; each hand is "
        f"{reach:g} cm beyond the shaft's end. One hand moves {hand:g} cm across its shaft. How far does the tip move?",
        f"You yawn, and one hand moves {hand:g} cm across its shaft. Ports {s:g} cm apart, {theta:g} degrees "
        f"between equal instruments, shafts of {shaft:g} cm, hands {reach:g} cm beyond them. By how much does the tip move?",
        f"Your box: holes {s:g} cm apart, both shafts inserted alike, {theta:g} degrees where they meet. Shafts of {shaft:g} "
        f"cm, hands {reach:g} cm beyond. You move a hand {hand:g} cm sideways, across the shaft. By how much does the tip "
        "move?",
    )

    def solve(spacing, manipulation_angle, instrument_length, handle_reach, hand_travel):
        length = by("spacing_from_length", "inserted_length")(spacing=spacing, manipulation_angle=manipulation_angle)
        ratio = by("tip_travel", "tip_travel_per_hand_travel")(
            inserted_length=length, instrument_length=instrument_length, handle_reach=handle_reach
        )
        return ratio * hand_travel

    return Draft(
        question=draw.among(told),
        given={
            "spacing": Given(s, 0.5),
            "manipulation_angle": Given(theta, 1),
            "instrument_length": Given(shaft, 0),
            "handle_reach": Given(reach, 0.1),
            "hand_travel": Given(hand, 0.1),
        },
        relation="tip_travel",
        asked="tip_travel",
        solve=solve,
        unit="cm",
        sensible=(1, 10),
        fit=10 <= inside <= shaft - 4,
        hint="First the inserted length, from the triangle; then the lever, with its fulcrum at the hole and the hand at its "
        "end.",
        steps=lambda tip: (
            f"Inserted length = spacing / (2 × sin(angle / 2)) = {s:g} / (2 × {sine(theta / 2):.3f}) = {inside:.2f} cm.",
            "Tip travel / hand travel = inside / (shaft - inside + handle).",
            f"{hand:g} × {inside:.2f} / ({shaft:g} - {inside:.2f} + {reach:g}) = {hand:g} × {inside / lever:.3f} = {tip:.1f} "
            "cm.",
        ),
        slips=(
            Slip("upside down", hand * lever / inside, "{typed} cm has the ratio upside down: hand over tip."),
            Slip(
                "handle left out",
                hand * inside / (shaft - inside),
                "{typed} cm leaves the handle out. The lever on your side ends at the hand.",
            ),
        ),
        picture=lambda tip: figure.lever(
            inside, shaft - inside, reach, hand=f"{reach:g} cm", whole=f"shaft {shaft:g} cm", tip="?", travel=(hand, tip)
        ),
    )


def _other_side_for_flat_phone(draw):
    share, d, side_a = draw.grid(0.3, 0.6, 0.05), draw.grid(9, 15, 0.5), draw.grid(30, 45, 1)
    told = (
        f"A carton, cut corner to corner, becomes a wedge box. On its panel of {side_a:g} cm a phone lies flat, the lens "
        f"{share:g} of the way up. From the lens to the floor along its axis you want at least {d:g} cm. How long must the "
        "other side of the carton be at least?",
        f"Somebody has left a carton with one good side, {side_a:g} cm, for the panel. A phone will lie flat on it, its lens "
        f"{share:g} of the way up, and its axis should run {d:g} cm or more to the floor. What must the other side measure at "
        "least?",
        f"You look for a carton in the cellar. The panel with the phone will be {side_a:g} cm, the lens {share:g} of the way "
        f"up it, the phone flat, and its axis at least {d:g} cm long to the floor. What is the shortest other side that does?",
    )
    return Draft(
        question=draw.among(told),
        given={"side_a": Given(side_a, 1), "window_fraction": Given(share, 0.01), "working_distance": Given(d, 0.1)},
        relation="flat_phone_in_wedge",
        asked="side_b",
        solve=lambda side_a, **axis: by("flat_phone_in_wedge", "side_b")(**axis),
        unit="cm",
        sensible=(18, 45),
        fit=0.55 * side_a <= d / share <= 1.3 * side_a,
        hint="The axis of a flat phone is parallel to the other panel, and as much shorter as the lens is lower than the "
        "ridge.",
        steps=lambda b: (
            "Axis to the floor = share up the panel × other side; the panel's own length does not matter.",
            f"{d:g} / {share:g} = {b:.1f} cm.",
        ),
        slips=(
            Slip(
                "multiplied",
                d * share,
                "{typed} cm is shorter than the axis itself. The axis is only a share of the other side: divide.",
            ),
            Slip(
                "from the ridge",
                d / (1 - share),
                "{typed} cm counts the share from the ridge down. It is counted up from the floor.",
            ),
        ),
        picture=lambda b: figure.wedge(
            side_a, b, a=f"{side_a:g} cm", b="?", share=share, axis=f"{d:g} cm", f=f"{share:g} of it"
        ),
    )


def _other_side_for_height(draw):
    side_a, height = draw.grid(30, 50, 1), draw.grid(16, 26, 0.5)
    root = float(np.sqrt(max(side_a**2 - height**2, 0.01)))
    told = (
        f"A wedge box, cut from a carton corner to corner, must be at least {height:g} cm high at its ridge, so that the "
        f"instruments have room. One side of the carton's section is {side_a:g} cm. How long is the other at least?",
        f"A handle wants {height:g} cm of air under the ridge of a wedge box. Along the slope that faces you the carton gives "
        f"{side_a:g} cm. How long must the other slope be, at least?",
        f"The carton is {side_a:g} cm deep; what counts is its height. Cut from corner to corner and laid on the cut, the "
        f"ridge must stand {height:g} cm above the table or more. What height of carton do you look for, at least?",
    )
    return Draft(
        question=draw.among(told),
        given={"side_a": Given(side_a, 1), "ridge_height": Given(height, 0.1)},
        relation="wedge_ridge_height",
        asked="side_b",
        unit="cm",
        sensible=(18, 45),
        hint="Twice the area of the section can be written in two ways: side times side, and base times height. The base is "
        "the longest side.",
        steps=lambda b: (
            "Height = side × side / square root of (side² + side²). Solved for the other side:",
            "other side = height × side / square root of (side² - height²).",
            f"{height:g} × {side_a:g} / square root of ({side_a:g}² - {height:g}²) = {height:g} × {side_a:g} / {root:.2f} = "
            f"{b:.1f} cm.",
        ),
        slips=(
            Slip(
                "height for side",
                height,
                "{typed} cm is the height itself. The ridge stands lower than either side is long: the sides lean.",
            ),
            Slip(
                "wrong leg",
                root,
                "{typed} cm is the part of the base under the known side. The other side makes a right angle with that side, "
                "at the ridge.",
            ),
        ),
        picture=lambda b: figure.wedge(side_a, b, a=f"{side_a:g} cm", b="?", height=f"{height:g} cm"),
    )


def _lid_height(draw):
    s, theta, beyond = draw.grid(12, 20, 0.1), draw.grid(45, 70, 5), draw.grid(5, 13, 0.1)
    deep = float(s / (2 * tangent(theta / 2)))

    def solve(spacing, manipulation_angle, ahead):
        depth = by("spacing_from_depth", "depth")(spacing=spacing, manipulation_angle=manipulation_angle)
        return np.sqrt(depth**2 - ahead**2)

    told = (
        f"A crate with a level lid, the holes {s:g} cm apart in it. The bead lies on the floor, on the midline, {beyond:g} cm "
        f"beyond the line of the holes as seen from above. The instruments should meet at {theta:g} degrees and no wider. How "
        "high must the lid be at least?",
        f"Two holes in a level lid, {s:g} cm apart, and on the floor, {beyond:g} cm farther away than their line, a bead "
        f"midway between them. Above {theta:g} degrees the students' wrists complain. How high does the box have to be, at "
        "least?",
        f"You may choose the height of a flat box. Ports in its lid, {s:g} cm apart; target on the floor, midway between them "
        f"and {beyond:g} cm farther from you. At most {theta:g} degrees are wanted at the target. What is the least height of "
        "the lid?",
    )
    return Draft(
        question=draw.among(told),
        given={"spacing": Given(s, 0.1), "manipulation_angle": Given(theta, 1), "ahead": Given(beyond, 0.1)},
        relation="spacing_from_depth",
        asked="lid_height",
        solve=solve,
        unit="cm",
        sensible=(7, 20),
        hint="Two triangles: the one of the ports gives the depth, which leans; the one seen from the side has the depth as "
        "its longest side.",
        steps=lambda height: (
            f"Depth = spacing / (2 × tan(angle / 2)) = {s:g} / (2 × tan({theta / 2:g}°)) = {deep:.2f} cm; less would be wider.",
            f"From the side the depth spans the height and {beyond:g} cm: height = square root of ({deep:.2f}² - {beyond:g}²) "
            f"= {height:.1f} cm.",
        ),
        slips=(
            Slip("depth", deep, "{typed} cm is the depth. It leans from the lid to the bead, so the lid is lower than that."),
            Slip(
                "wrong sign",
                float(np.hypot(deep, beyond)),
                "{typed} cm adds the squares. The depth is the longest side, so they are taken from each other.",
            ),
        ),
        picture=lambda height: figure.crate(height, beyond, s, s=f"{s:g} cm", angle=f"{theta:g}°", y=f"{beyond:g} cm", up="?"),
    )

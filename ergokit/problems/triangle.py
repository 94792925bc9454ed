"""Problems of the triangle of ports and target: the angle, the spacing, the depth."""

import numpy as np

from ergokit.problems import figure
from ergokit.problems.problem import Draft, Given, Slip, by, cosine, in_radians, mean_taken, sine, tangent

_HALF = "That is half of it: {typed} degrees is from the midline to one instrument. The angle between both is twice that."
_ONE_PORT = "{typed} cm is from the midline to one port. The spacing runs from port to port: twice that."
_WHOLE = "{typed} cm comes of the whole angle where half of it belongs: the midline halves it."
_RADIANS = "{typed} cm is what a calculator set to radians gives. Set it to degrees."


def angle(level, draw):
    return (_angle_from_lengths, _angle_from_depth, draw.among((_angle_off_midline, _angle_of_unequal)))[level - 1](draw)


def spacing(level, draw):
    return (_spacing_from_length, _spacing_from_depth, draw.among((_spacing_of_unequal, _spacing_flat_phone)))[level - 1](draw)


def depth(level, draw):
    return (_depth_from_length, _depth_from_spacing, draw.among((_depth_of_unequal, _depth_off_midline)))[level - 1](draw)


def _angle_from_lengths(draw):
    s, inside = draw.grid(10, 22, 0.5), draw.grid(13, 22, 0.5)
    half = s / (2 * inside)
    told = (
        f"Two ports are {s:g} cm apart, and each instrument has {inside:g} cm inside when the tips meet. At what angle do "
        "they meet?",
        f"A colleague lends you a box. Its holes are {s:g} cm apart, and from either hole to the bead on the floor it is "
        f"{inside:g} cm. What angle will the instruments make at the bead?",
        f"End of a long list, one box left to set up: holes {s:g} cm apart, {inside:g} cm from each hole to the glove that "
        "wants suturing. What is the manipulation angle?",
        f"Both shafts carry a mark {inside:g} cm from the tip, and both marks sit in their holes. The holes are {s:g} cm "
        "apart and the tips touch. At what angle?",
    )
    return Draft(
        question=draw.among(told),
        given={"spacing": Given(s, 0.5), "inserted_length": Given(inside, 0.5)},
        relation="spacing_from_length",
        asked="manipulation_angle",
        unit="deg",
        sensible=(30, 100),
        hint="The midline cuts the triangle into two equal right-angled ones. In one of them you know the side opposite the "
        "half angle, and the longest side.",
        steps=lambda theta: (
            "Spacing = 2 × inserted length × sin(angle / 2).",
            f"sin(angle / 2) = {s:g} / (2 × {inside:g}) = {half:.3f}, so angle / 2 = {theta / 2:.1f} degrees.",
            f"The angle is twice that: {theta:.1f} degrees.",
        ),
        slips=(
            Slip("half", float(np.degrees(np.arcsin(half))), _HALF),
            Slip(
                "length for depth",
                float(2 * np.degrees(np.arctan(half))),
                "{typed} degrees comes of the tangent: it takes the inserted length, along the shaft, for the depth.",
            ),
        ),
        picture=lambda theta: figure.triangle(
            s, inside * cosine(theta / 2), s=f"{s:g} cm", left=f"{inside:g} cm", right=f"{inside:g} cm", angle="?"
        ),
    )


def _angle_from_depth(draw):
    s, h = draw.grid(10, 22, 0.5), draw.grid(9, 20, 0.5)
    half = s / (2 * h)
    told = (
        f"The holes in your carton are {s:g} cm apart. The suture pad lies on the midline, {h:g} cm from the line between the "
        "holes. What is the manipulation angle?",
        f"Two working ports {s:g} cm apart, the target on their midline and {h:g} cm from the line of the ports. At what angle "
        "do the instruments meet?",
        f"A student has drawn a box on a napkin: holes {s:g} cm apart, bead midway between them, {h:g} cm from the line of the "
        "holes. She asks for the angle. What do you write on the napkin?",
    )
    return Draft(
        question=draw.among(told),
        given={"spacing": Given(s, 0.5), "depth": Given(h, 0.5)},
        relation="spacing_from_depth",
        asked="manipulation_angle",
        unit="deg",
        sensible=(30, 100),
        hint="Half the spacing and the depth are the two short sides of a right-angled triangle.",
        steps=lambda theta: (
            "Spacing = 2 × depth × tan(angle / 2).",
            f"tan(angle / 2) = {s:g} / (2 × {h:g}) = {half:.3f}, so angle / 2 = {theta / 2:.1f} degrees.",
            f"The angle is twice that: {theta:.1f} degrees.",
        ),
        slips=(
            Slip("half", float(np.degrees(np.arctan(half))), _HALF),
            Slip(
                "whole spacing",
                float(2 * np.degrees(np.arctan(2 * half))),
                "{typed} degrees comes of the whole spacing over the depth. From the midline to one port is half of it.",
            ),
        ),
        picture=lambda theta: figure.triangle(s, h, s=f"{s:g} cm", h=f"{h:g} cm", angle="?"),
    )


def _angle_off_midline(draw):
    s, h, x = draw.grid(12, 22, 0.5), draw.grid(10, 18, 0.1), draw.grid(4, 10, 0.1) * draw.among((-1, 1))
    side, far, near = "right" if x > 0 else "left", s / 2 + abs(x), s / 2 - abs(x)
    other = "left" if x > 0 else "right"
    told = (
        f"The holes are {s:g} cm apart. Somebody has pushed the pad {abs(x):g} cm to the {side} of the midline; it is still "
        f"{h:g} cm from the line of the holes. What is the manipulation angle now?",
        f"The last target of the session lies {abs(x):g} cm to the {side} of the midline, {h:g} cm from the line of the ports. "
        f"The ports are {s:g} cm apart. At what angle do the instruments meet there?",
        f"Pegs in a row: the last one stands {abs(x):g} cm {side} of the middle. The row is {h:g} cm from the line of the "
        f"holes, the holes are {s:g} cm apart. Which angle does that peg get?",
    )
    turns = np.degrees(np.arctan([far / h, near / h]))
    return Draft(
        question=draw.among(told),
        given={"spacing": Given(s, 0.5), "depth": Given(h, 0.1), "offset": Given(x, 0.1)},
        relation="angle_at_offset",
        asked="manipulation_angle",
        unit="deg",
        sensible=(30, 90),
        hint="Drop the perpendicular from the target to the line of the ports. The angle is made of two turns, one to each "
        "side of it; they are no longer equal.",
        steps=lambda theta: (
            "Angle = atan((spacing / 2 + offset) / depth) + atan((spacing / 2 - offset) / depth), atan the arctangent.",
            f"From the perpendicular to the {other} port: {s / 2:g} + {abs(x):g} = {far:g} cm, atan({far:g} / {h:g}) = "
            f"{turns[0]:.1f} degrees.",
            f"To the {side} port: {s / 2:g} - {abs(x):g} = {near:g} cm, atan({near:g} / {h:g}) = {turns[1]:.1f} degrees.",
            f"Together {theta:.1f} degrees.",
        ),
        slips=(
            Slip(
                "offset left out",
                float(2 * np.degrees(np.arctan(s / (2 * h)))),
                "{typed} degrees would be right on the midline. The target is off it.",
            ),
            Slip(
                "one turn",
                float(turns[0]),
                f"{{typed}} degrees is the turn from the perpendicular to the {other} port alone. Add the other.",
            ),
        ),
        picture=lambda theta: figure.triangle(s, h, x, s=f"{s:g} cm", h=f"{h:g} cm", x=f"{abs(x):g} cm", angle="?"),
    )


def _angle_of_unequal(draw):
    s, left, right = draw.grid(11, 20, 0.1), draw.grid(12, 22, 0.1), draw.grid(12, 22, 0.1)
    told = (
        f"You pinch each shaft at its hole and pull it out: {left:g} cm were inside on the left, {right:g} cm on the right. "
        f"The holes are {s:g} cm apart. At what angle did the tips meet?",
        f"The left port had to go round a scar. Now {left:g} cm of the left instrument are inside and {right:g} cm of the "
        f"right one, with {s:g} cm between the ports. What is the manipulation angle?",
        f"A box from the attic, holes cut by eye: {s:g} cm from hole to hole, {left:g} cm from the left one to the bead, "
        f"{right:g} cm from the right one. What is the angle at the bead?",
    )
    cos_theta = (left**2 + right**2 - s**2) / (2 * left * right)
    return Draft(
        question=draw.among(told),
        given={"spacing": Given(s, 0.1), "left_length": Given(left, 0.1), "right_length": Given(right, 0.1)},
        relation="cosine_rule",
        asked="manipulation_angle",
        unit="deg",
        sensible=(35, 75),
        hint="Three sides of a triangle are known and the angle opposite the spacing is wanted: no right angle anywhere, so a "
        "rule that needs none.",
        steps=lambda theta: (
            "Spacing² = left² + right² - 2 × left × right × cos(angle).",
            f"cos(angle) = ({left:g}² + {right:g}² - {s:g}²) / (2 × {left:g} × {right:g}) = {cos_theta:.3f}.",
            f"The angle is {theta:.1f} degrees.",
        ),
        slips=(
            Slip(
                "wrong sign",
                float(180 - np.degrees(np.arccos(np.clip(cos_theta, -1, 1)))),
                "{typed} degrees is what is missing to 180: the sign of the cosine is turned. The spacing's square is taken "
                "away.",
            ),
            mean_taken(2 * np.degrees(np.arcsin(min(s / (left + right), 1))), "degrees"),
        ),
        picture=lambda theta: figure.triangle(
            s, *_below(s, left, right), s=f"{s:g} cm", left=f"{left:g} cm", right=f"{right:g} cm", angle="?"
        ),
    )


def _spacing_from_length(draw):
    inside, theta = draw.grid(13, 23, 0.5), draw.grid(45, 75, 5)
    told = (
        f"You want {theta:g} degrees at the bead, and both instruments {inside:g} cm in. How far apart do you cut the holes?",
        f"Each instrument reaches the target with {inside:g} cm inside. How far apart must the ports be for a manipulation "
        f"angle of {theta:g} degrees?",
        f"The registrar before you left a note in the box: “{inside:g} cm in on both sides, {theta:g} degrees, lovely.” She "
        "forgot the spacing of the holes. What was it?",
        f"Two shafts with tape wound round them {inside:g} cm from the tip, so that they stop there. What spacing of the holes "
        f"makes the tips meet at {theta:g} degrees?",
    )
    return Draft(
        question=draw.among(told),
        given={"inserted_length": Given(inside, 0.5), "manipulation_angle": Given(theta, 1)},
        relation="spacing_from_length",
        asked="spacing",
        unit="cm",
        sensible=(8, 28),
        hint="Half the spacing is opposite half the angle, and the inserted length is the longest side.",
        steps=lambda s: (
            "Spacing = 2 × inserted length × sin(angle / 2).",
            f"2 × {inside:g} × sin({theta / 2:g}°) = 2 × {inside:g} × {sine(theta / 2):.3f} = {s:.1f} cm.",
        ),
        slips=(
            Slip("half", float(inside * sine(theta / 2)), _ONE_PORT),
            Slip("whole angle", float(2 * inside * sine(theta)), _WHOLE),
            Slip("calculator", 2 * inside * in_radians(sine, theta / 2), _RADIANS),
        ),
        picture=lambda s: figure.triangle(
            s, inside * cosine(theta / 2), s="?", left=f"{inside:g} cm", right=f"{inside:g} cm", angle=f"{theta:g}°"
        ),
    )


def _spacing_from_depth(draw):
    h, theta = draw.grid(9, 19, 0.5), draw.grid(45, 75, 5)
    lens = draw.among((False, True))
    told = (
        f"Your phone must stay {h:g} cm from the target, its lens at the middle of the line of the holes. Which spacing of the "
        f"holes gives {theta:g} degrees?",
        f"Lens midway between the ports, {h:g} cm from lens to target. How far apart are the ports when the instruments meet "
        f"at {theta:g} degrees?",
    )
    plain = (
        f"The pad lies {h:g} cm from the line on which the holes will be, straight below its middle. Which spacing gives "
        f"{theta:g} degrees?",
        f"The target is on the midline, {h:g} cm deep, measured from the line of the ports. For {theta:g} degrees, how far "
        "apart are the ports?",
    )
    relation, name = ("widest_spacing", "working_distance") if lens else ("spacing_from_depth", "depth")
    return Draft(
        question=draw.among(told if lens else plain),
        given={name: Given(h, 0.5), "manipulation_angle": Given(theta, 1)},
        relation=relation,
        asked="spacing",
        unit="cm",
        sensible=(7, 28),
        hint="The midline is square to the line of the ports. Half the spacing over that distance is a tangent.",
        steps=lambda s: (
            f"Spacing = 2 × {'working distance' if lens else 'depth'} × tan(angle / 2).",
            f"2 × {h:g} × tan({theta / 2:g}°) = 2 × {h:g} × {tangent(theta / 2):.3f} = {s:.1f} cm.",
        ),
        slips=(
            Slip("half", float(h * tangent(theta / 2)), _ONE_PORT),
            Slip("whole angle", float(2 * h * tangent(theta)), _WHOLE),
            Slip("calculator", 2 * h * in_radians(tangent, theta / 2), _RADIANS),
        ),
        picture=lambda s: figure.triangle(
            s,
            h,
            s="?",
            angle=f"{theta:g}°",
            **({"lens": 0.0, "d": f"{h:g} cm"} if lens else {"h": f"{h:g} cm"}),
        ),
    )


def _spacing_of_unequal(draw):
    left, right, theta = draw.grid(12, 22, 0.1), draw.grid(12, 22, 0.1), draw.grid(45, 75, 1)
    told = (
        f"The left instrument has {left:g} cm inside, the right one {right:g} cm, and a protractor at the tips says {theta:g} "
        "degrees. How far apart are the ports?",
        f"One hole is nearer to the bead than the other: {left:g} cm on the left, {right:g} cm on the right. You want "
        f"{theta:g} degrees at the bead. How far apart do the holes have to be?",
        f"Two sticks, {left:g} and {right:g} cm, are tied together at their tips and opened to {theta:g} degrees. Their free "
        "ends are where the holes go, left and right. What is the spacing?",
    )
    return Draft(
        question=draw.among(told),
        given={"left_length": Given(left, 0.1), "right_length": Given(right, 0.1), "manipulation_angle": Given(theta, 1)},
        relation="cosine_rule",
        asked="spacing",
        unit="cm",
        sensible=(9, 26),
        fit=abs(left - right) <= 7,
        hint="Two sides and the angle between them are known; the third side is wanted, and there is no right angle.",
        steps=lambda s: (
            "Spacing² = left² + right² - 2 × left × right × cos(angle).",
            f"{left:g}² + {right:g}² - 2 × {left:g} × {right:g} × {cosine(theta):.3f} = {s**2:.1f}, and the square root of "
            f"that is {s:.1f} cm.",
        ),
        slips=(
            Slip(
                "wrong sign",
                float(np.sqrt(left**2 + right**2 + 2 * left * right * cosine(theta))),
                "{typed} cm comes of adding the last term. It is taken away: below 90 degrees the ports come nearer.",
            ),
            Slip(
                "right angle",
                float(np.hypot(left, right)),
                "{typed} cm is Pythagoras, as if the instruments met at 90 degrees. The term with the cosine is missing.",
            ),
            mean_taken((left + right) * sine(theta / 2), "cm"),
        ),
        picture=lambda s: figure.triangle(
            s, *_below(s, left, right), s="?", left=f"{left:g} cm", right=f"{right:g} cm", angle=f"{theta:g}°"
        ),
    )


def _spacing_flat_phone(draw):
    d, k, theta = draw.grid(9, 15, 0.1), draw.grid(5, 10, 0.1), draw.grid(45, 75, 5)
    depth = float(np.hypot(d, k))
    told = (
        f"A phone lies flat on the panel, its lens {k:g} cm up the panel from the middle of the line of the holes. The bead, "
        f"in the middle of the picture, is {d:g} cm from the lens. Which spacing of the holes gives {theta:g} degrees?",
        f"Your window is {k:g} cm above the line of the holes, up the panel, and the phone lies flat: its axis meets the "
        f"target {d:g} cm from the lens. How far apart must the holes be for {theta:g} degrees?",
    )
    return Draft(
        question=draw.among(told),
        given={"working_distance": Given(d, 0.1), "window_up_panel": Given(k, 0.1), "manipulation_angle": Given(theta, 1)},
        relation="widest_spacing_flat_phone",
        asked="spacing",
        unit="cm",
        sensible=(8, 28),
        hint="First the depth: a flat phone looks squarely into the panel, so panel and axis make a right angle. Then the "
        "spacing.",
        steps=lambda s: (
            "Spacing = 2 × tan(angle / 2) × square root of (working distance² + window²).",
            f"The depth is the square root of {d:g}² + {k:g}²: {depth:.2f} cm.",
            f"2 × {tangent(theta / 2):.3f} × {depth:.2f} = {s:.1f} cm.",
        ),
        slips=(
            Slip(
                "window left out",
                float(2 * d * tangent(theta / 2)),
                "{typed} cm would do with the lens on the line of the holes. Up the panel it is nearer to the target than that "
                "line is.",
            ),
            Slip("half", float(depth * tangent(theta / 2)), _ONE_PORT),
        ),
        picture=lambda s: figure.flat_phone(
            d, k, k=f"{k:g} cm", d=f"{d:g} cm", front={"spacing": s, "depth": depth, "s": "?", "angle": f"{theta:g}°"}
        ),
    )


def _depth_from_length(draw):
    inside, theta = draw.grid(13, 23, 0.5), draw.grid(45, 80, 5)
    told = (
        f"Both instruments are {inside:g} cm in and meet at {theta:g} degrees. How far is the target from the line of the "
        "ports?",
        f"You have {inside:g} cm of each shaft inside, and the angle between them is {theta:g} degrees. How deep is the bead "
        "below the line of the holes, measured along the midline?",
        f"A lens at the middle of the port line would be as far from the target as that line is. Both shafts are {inside:g} "
        f"cm in, at {theta:g} degrees to each other. How far is that?",
    )
    return Draft(
        question=draw.among(told),
        given={"inserted_length": Given(inside, 0.5), "manipulation_angle": Given(theta, 1)},
        relation="depth_from_length",
        asked="depth",
        unit="cm",
        sensible=(8, 22),
        hint="The depth lies next to half the angle, and the inserted length is the longest side.",
        steps=lambda h: (
            "Depth = inserted length × cos(angle / 2).",
            f"{inside:g} × cos({theta / 2:g}°) = {inside:g} × {cosine(theta / 2):.3f} = {h:.1f} cm.",
        ),
        slips=(
            Slip("whole angle", float(inside * cosine(theta)), _WHOLE),
            Slip(
                "sine",
                float(inside * sine(theta / 2)),
                "{typed} cm comes of the sine: that is half the spacing. The depth lies next to the half angle, not opposite "
                "it.",
            ),
            Slip("calculator", inside * in_radians(cosine, theta / 2), _RADIANS),
        ),
        picture=lambda h: figure.triangle(
            2 * inside * sine(theta / 2), h, left=f"{inside:g} cm", right=f"{inside:g} cm", h="?", angle=f"{theta:g}°"
        ),
    )


def _depth_from_spacing(draw):
    s, theta = draw.grid(10, 22, 0.5), draw.grid(45, 80, 5)
    told = (
        f"The holes are cut, {s:g} cm apart, and you will not cut others tonight. How far from their line does the pad have to "
        f"lie, on the midline, for {theta:g} degrees?",
        f"Ports {s:g} cm apart. At what depth on the midline do the instruments meet at {theta:g} degrees?",
        f"You can raise the pad on books. The holes are {s:g} cm apart, and you want {theta:g} degrees: how far from the line "
        "of the holes should the pad be?",
    )
    return Draft(
        question=draw.among(told),
        given={"spacing": Given(s, 0.5), "manipulation_angle": Given(theta, 1)},
        relation="spacing_from_depth",
        asked="depth",
        unit="cm",
        sensible=(7, 24),
        hint="Half the spacing over the depth is the tangent of half the angle. Turn that round.",
        steps=lambda h: (
            "Spacing = 2 × depth × tan(angle / 2), so depth = spacing / (2 × tan(angle / 2)).",
            f"{s:g} / (2 × tan({theta / 2:g}°)) = {s:g} / {2 * tangent(theta / 2):.3f} = {h:.1f} cm.",
        ),
        slips=(
            Slip(
                "whole spacing",
                float(s / tangent(theta / 2)),
                "{typed} cm comes of the whole spacing. From the midline to one port is half of it.",
            ),
            Slip("whole angle", float(s / (2 * tangent(theta))), _WHOLE),
            Slip("calculator", s / (2 * in_radians(tangent, theta / 2)), _RADIANS),
        ),
        picture=lambda h: figure.triangle(s, h, s=f"{s:g} cm", h="?", angle=f"{theta:g}°"),
    )


def _depth_of_unequal(draw):
    s, left, right = draw.grid(11, 20, 0.1), draw.grid(12, 22, 0.1), draw.grid(12, 22, 0.1)
    x = by("offset_from_lengths", "offset")(left_length=left, right_length=right, spacing=s)

    def solve(spacing, left_length, right_length):
        offset = by("offset_from_lengths", "offset")(left_length=left_length, right_length=right_length, spacing=spacing)
        return np.sqrt(np.maximum(left_length**2 - (spacing / 2 + offset) ** 2, 0))

    told = (
        f"Left instrument {left:g} cm in, right one {right:g} cm, ports {s:g} cm apart. How far is the target from the line of "
        "the ports, square to it?",
        f"With tape and string: {s:g} cm from hole to hole, {left:g} cm from the left hole to the bead, {right:g} cm from the "
        "right one. How deep is the bead, square to the line of the holes?",
    )
    return Draft(
        question=draw.among(told),
        given={"spacing": Given(s, 0.1), "left_length": Given(left, 0.1), "right_length": Given(right, 0.1)},
        relation="offset_from_lengths",
        asked="depth",
        solve=solve,
        unit="cm",
        sensible=(8, 20),
        fit=3 <= abs(left - right) <= 7 and abs(x) < s / 2 - 1,
        hint="Find first how far off the midline the target is; the longer instrument points across. Then Pythagoras, from "
        "either port.",
        steps=lambda h: (
            "Offset = (left² - right²) / (2 × spacing), to the right where positive.",
            f"({left:g}² - {right:g}²) / (2 × {s:g}) = {x:.2f} cm. So the foot of the depth is {s / 2:g} "
            f"{'+' if x >= 0 else '-'} {abs(x):.2f} = {s / 2 + x:.2f} cm from the left port.",
            f"Depth = square root of ({left:g}² - {s / 2 + x:.2f}²) = {h:.1f} cm.",
        ),
        slips=(
            Slip(
                "offset left out",
                float(np.sqrt(max(max(left, right) ** 2 - s**2 / 4, 0))),
                "{typed} cm takes the target to be on the midline, with the longer instrument. The lengths differ, so it is "
                "not.",
            ),
            mean_taken(np.sqrt((left + right) ** 2 - s**2) / 2, "cm"),
        ),
        picture=lambda h: figure.triangle(s, h, float(x), s=f"{s:g} cm", left=f"{left:g} cm", right=f"{right:g} cm", h="?"),
    )


def _depth_off_midline(draw):
    s, x, theta = draw.grid(12, 22, 0.5), draw.grid(4, 9, 0.1) * draw.among((-1, 1)), draw.grid(45, 65, 1)
    side = "right" if x > 0 else "left"
    b = s / tangent(theta)
    told = (
        f"A peg stands {abs(x):g} cm {side} of the midline. The holes are {s:g} cm apart. How far from the line of the holes "
        f"may it be so that it still gets {theta:g} degrees?",
        f"You want {theta:g} degrees for a target {abs(x):g} cm to the {side} of the midline, with ports {s:g} cm apart. How "
        "far from the line of the ports is it then?",
    )
    return Draft(
        question=draw.among(told),
        given={"spacing": Given(s, 0.5), "offset": Given(x, 0.1), "manipulation_angle": Given(theta, 1)},
        relation="offset_and_depth",
        asked="depth",
        unit="cm",
        sensible=(7, 22),
        hint="Targets with one angle lie on a circle through both ports. Its equation in depth and offset is quadratic in the "
        "depth; take the larger root.",
        steps=lambda h: (
            "Depth² + offset² - spacing² / 4 = spacing × depth / tan(angle).",
            f"depth² - {b:.2f} × depth + ({abs(x):g}² - {s:g}² / 4) = 0, that is depth² - {b:.2f} × depth "
            f"{'+' if x**2 >= s**2 / 4 else '-'} {abs(x**2 - s**2 / 4):.2f} = 0.",
            f"The larger root is {h:.1f} cm.",
        ),
        slips=(
            Slip(
                "offset left out",
                float(s / (2 * tangent(theta / 2))),
                "{typed} cm is the depth on the midline. Off it the same angle is found nearer to the ports.",
            ),
        ),
        picture=lambda h: figure.triangle(s, h, x, s=f"{s:g} cm", h="?", x=f"{abs(x):g} cm", angle=f"{theta:g}°"),
    )


def _below(s, left, right):
    """Depth and offset of the target of three lengths."""
    x = (left**2 - right**2) / (2 * s)
    return float(np.sqrt(left**2 - (s / 2 + x) ** 2)), float(x)

"""Problems of the camera: how far it is from the target, and its azimuths."""

import numpy as np

from ergokit.problems import figure
from ergokit.problems.problem import Draft, Given, Slip, by, mean_taken, tangent


def distance(level, draw):
    middle = (_flat_phone, _field_of_view)
    return (_distance_of_equal, draw.among(middle), draw.among((_distance_of_unequal, _flat_phone_of_triangle)))[level - 1](
        draw
    )


def azimuths(level, draw):
    return (_azimuth_from_sum, _azimuth_beside_middle, _azimuth_in_general)[level - 1](draw)


def _distance_of_equal(draw):
    s, inside = draw.grid(10, 22, 0.5), draw.grid(13, 23, 0.5)
    told = (
        f"The lens sits midway between the ports, on the line that joins them. The ports are {s:g} cm apart and both "
        f"instruments are {inside:g} cm in when they touch the target. How far is the lens from the target?",
        f"Three holes in a row: left port, camera, right port, evenly spaced. The outer two are {s:g} cm apart, and from each "
        f"of them it is {inside:g} cm to the bead. What is the working distance?",
        f"“Is the scope too close?” Ports {s:g} cm apart, scope port exactly between them, {inside:g} cm inside on either "
        "side. How far is the scope's tip from the target if it does not stick out of its port?",
    )
    return Draft(
        question=draw.among(told),
        given={"spacing": Given(s, 0.5), "inserted_length": Given(inside, 0.5)},
        relation="camera_at_middle",
        asked="working_distance",
        solve=lambda spacing, inserted_length: by("camera_at_middle", "working_distance")(
            spacing=spacing, left_length=inserted_length, right_length=inserted_length
        ),
        unit="cm",
        sensible=(8, 21),
        hint="With equal lengths the camera's axis is the midline: square to the line of the ports. Pythagoras does the rest.",
        steps=lambda d: (
            "Distance² = (2 × left² + 2 × right² - spacing²) / 4; with equal lengths that is length² - (spacing / 2)².",
            f"{inside:g}² - {s / 2:g}² = {inside**2 - s**2 / 4:.1f}, and its square root is {d:.1f} cm.",
        ),
        slips=(
            Slip(
                "whole spacing",
                float(np.sqrt(inside**2 - s**2)),
                "{typed} cm takes the whole spacing for the short side. From the lens to one port is half of it.",
            ),
            Slip(
                "inserted length",
                inside,
                "{typed} cm is the inserted length, from a port. The lens is midway between the ports, and nearer.",
            ),
            Slip(
                "wrong sign",
                float(np.hypot(inside, s / 2)),
                "{typed} cm adds the squares. The inserted length is the longest side, so they are taken from each other.",
            ),
        ),
        picture=lambda d: figure.triangle(s, d, s=f"{s:g} cm", left=f"{inside:g} cm", right=f"{inside:g} cm", lens=0.0, d="?"),
    )


def _flat_phone(draw):
    h, k = draw.grid(12, 20, 0.5), draw.grid(5, 11, 0.5)
    told = (
        f"The phone lies flat on the panel, its lens {k:g} cm up the panel from the line of the holes. The bead is {h:g} cm "
        "from that line and in the middle of the picture. How far is it from the lens?",
        f"From the line of the holes it is {h:g} cm to the target. The window is {k:g} cm farther up the panel, and the phone "
        "on it looks squarely in, straight at the target. What is the working distance?",
        f"You moved the window {k:g} cm up the panel from the line of the holes, and laid the phone flat on it. The target, "
        f"{h:g} cm from the line of the holes, is now in the middle of the picture. How far is it from the lens?",
    )
    return Draft(
        question=draw.among(told),
        given={"depth": Given(h, 0.5), "window_up_panel": Given(k, 0.5)},
        relation="flat_phone",
        asked="working_distance",
        unit="cm",
        sensible=(8, 18),
        hint="A flat phone looks squarely into the panel: the right angle is at the lens.",
        steps=lambda d: (
            "Distance = square root of (depth² - window²).",
            f"{h:g}² - {k:g}² = {h**2 - k**2:.1f}, and its square root is {d:.1f} cm.",
        ),
        slips=(
            Slip(
                "wrong sign",
                float(np.hypot(h, k)),
                "{typed} cm adds the squares, as if the right angle were at the line of the holes. It is at the lens, so the "
                "depth is the longest side.",
            ),
            Slip("depth", h, "{typed} cm is the depth, from the line of the holes. The lens is up the panel, and nearer."),
        ),
        picture=lambda d: figure.flat_phone(d, k, h=f"{h:g} cm", k=f"{k:g} cm", d="?"),
    )


def _field_of_view(draw):
    width, field = draw.grid(9, 20, 0.5), draw.grid(58, 76, 1)
    told = (
        f"Your phone's camera takes in {field:g} degrees across its picture. At what distance does the picture show {width:g} "
        "cm of the target, square on?",
        f"The pad is {width:g} cm wide and should just fill the picture from side to side. The camera sees {field:g} degrees "
        "across. How far away is the lens?",
        f"You lay a strip of {width:g} cm across the target; it runs from one edge of the picture to the other. The field of "
        f"view is {field:g} degrees across. What is the working distance?",
    )
    half = field / 2
    return Draft(
        question=draw.among(told),
        given={"seen_width": Given(width, 0.5), "field_of_view": Given(field, 1)},
        relation="field_of_view",
        asked="working_distance",
        unit="cm",
        sensible=(7, 17),
        hint="The optical axis halves the picture and the field of view: half the width over the distance is a tangent.",
        steps=lambda d: (
            "Width = 2 × distance × tan(field of view / 2).",
            f"Distance = {width:g} / (2 × tan({half:g}°)) = {width:g} / {2 * tangent(half):.3f} = {d:.1f} cm.",
        ),
        slips=(
            Slip(
                "whole width",
                float(width / tangent(half)),
                "{typed} cm comes of the whole width. From the axis to the edge of the picture is half of it.",
            ),
            Slip(
                "whole angle",
                float(width / (2 * tangent(field))),
                "{typed} cm comes of the whole field of view where half of it belongs: the axis halves it.",
            ),
        ),
        picture=lambda d: figure.picture_width(d, field, width=f"{width:g} cm", angle=f"{field:g}°", d="?"),
    )


def _distance_of_unequal(draw):
    s, left, right = draw.grid(11, 20, 0.1), draw.grid(12, 22, 0.1), draw.grid(12, 22, 0.1)
    told = (
        f"The lens is at the middle of the line between the ports, which are {s:g} cm apart. The left instrument has {left:g} "
        f"cm inside, the right one {right:g} cm. How far is the lens from the target?",
        f"Holes {s:g} cm apart with the window exactly between them. To the bead it is {left:g} cm from the left hole and "
        f"{right:g} cm from the right one. How far is it from the window?",
    )
    squares = 2 * left**2 + 2 * right**2
    x = (left**2 - right**2) / (2 * s)
    h = float(np.sqrt(max(left**2 - (s / 2 + x) ** 2, 0.01)))
    return Draft(
        question=draw.among(told),
        given={"spacing": Given(s, 0.1), "left_length": Given(left, 0.1), "right_length": Given(right, 0.1)},
        relation="camera_at_middle",
        asked="working_distance",
        unit="cm",
        sensible=(8, 20),
        fit=4 <= abs(left - right) <= 8 and abs(x) < s / 2,
        hint="From the middle of one side of a triangle to the opposite corner: the median. Its square is half of the mean "
        "square of the sides, in a way; the spacing's square is taken away.",
        steps=lambda d: (
            "Distance² = (2 × left² + 2 × right² - spacing²) / 4.",
            f"(2 × {left:g}² + 2 × {right:g}² - {s:g}²) / 4 = {(squares - s**2) / 4:.1f}, and its square root is {d:.1f} cm.",
        ),
        slips=(
            Slip(
                "spacing left out",
                float(np.sqrt(squares / 4)),
                "{typed} cm leaves the spacing's square in. It is taken away before the quarter.",
            ),
            Slip(
                "depth",
                h,
                "{typed} cm is the depth, square to the line of the ports. The lengths differ, so the target is off the "
                "midline and farther from the middle.",
            ),
            mean_taken(np.sqrt((left + right) ** 2 - s**2) / 2, "cm"),
        ),
        picture=lambda d: figure.triangle(s, h, x, s=f"{s:g} cm", left=f"{left:g} cm", right=f"{right:g} cm", lens=0.0, d="?"),
    )


def _flat_phone_of_triangle(draw):
    s, inside, k = draw.grid(12, 21, 0.1), draw.grid(15, 22, 0.1), draw.grid(6, 11, 0.1)

    def solve(spacing, inserted_length, window_up_panel):
        depth = by("camera_at_middle", "working_distance")(
            spacing=spacing, left_length=inserted_length, right_length=inserted_length
        )
        return by("flat_phone", "working_distance")(depth=depth, window_up_panel=window_up_panel)

    h = float(np.sqrt(max(inside**2 - s**2 / 4, 0.01)))
    told = (
        f"Holes {s:g} cm apart, {inside:g} cm from each to the bead. The phone lies flat on the panel, its lens {k:g} cm up "
        "the panel from the middle of the line of the holes, and has the bead in the middle of its picture. How far is the "
        "lens from the bead?",
        f"With the lens between the holes the picture was too small, so you cut a window {k:g} cm up the panel and laid the "
        f"phone flat on it, target in the middle of the picture. The holes are {s:g} cm apart, and {inside:g} cm of each "
        "instrument are inside. What is the working distance now?",
    )
    return Draft(
        question=draw.among(told),
        given={"spacing": Given(s, 0.1), "inserted_length": Given(inside, 0.1), "window_up_panel": Given(k, 0.1)},
        relation="flat_phone",
        asked="working_distance",
        solve=solve,
        unit="cm",
        sensible=(8, 17),
        hint="Two right angles, one after the other: first the depth in the plane of the shafts, then the lens, which looks "
        "squarely into the panel.",
        steps=lambda d: (
            f"The depth is the square root of inserted length² - (spacing / 2)²: {inside:g}² - {s / 2:g}² = {h**2:.1f}, so "
            f"{h:.2f} cm.",
            "Distance = square root of (depth² - window²).",
            f"{h**2:.1f} - {k:g}² = {h**2 - k**2:.1f}, and its square root is {d:.1f} cm.",
        ),
        slips=(
            Slip(
                "window left out",
                h,
                "{typed} cm is the depth, and the distance of a lens between the holes. The window is up the panel.",
            ),
            Slip(
                "spacing left out",
                float(np.sqrt(max(inside**2 - k**2, 0))),
                "{typed} cm takes the inserted length for the depth. The ports are not on the midline.",
            ),
            Slip(
                "wrong sign",
                float(np.hypot(h, k)),
                "{typed} cm adds the window's square. The right angle is at the lens, so it is taken away.",
            ),
        ),
        picture=lambda d: figure.flat_phone(
            d, k, k=f"{k:g} cm", d="?", front={"spacing": s, "depth": h, "s": f"{s:g} cm", "left": "", "right": f"{inside:g}"}
        ),
    )


_OTHER = {"left": "right", "right": "left"}
_MIRRORED = "{{typed}} degrees is the azimuth of the {} instrument. Asked is the {} one."


def _azimuth_from_sum(draw):
    theta, part = draw.grid(50, 80, 1), draw.grid(15, 55, 1)
    side = draw.among(("left", "right"))
    other = _OTHER[side]
    told = (
        f"The instruments meet at {theta:g} degrees. In their own plane the {other} one is {part:g} degrees from the optical "
        f"axis, which runs between them. What is the azimuth of the {side} one, measured in the same plane?",
        f"Manipulation angle {theta:g} degrees, {other} azimuth {part:g} degrees in the plane of the instruments, the camera "
        f"between the two. And the {side} azimuth?",
        f"A camera looks in between the instruments. Projected on the plane of the shafts its axis stands {part:g} degrees "
        f"from the {other} one, and the shafts make {theta:g} degrees. How far is it from the {side} one?",
    )
    names = {"manipulation_angle": Given(theta, 1), f"{other}_azimuth": Given(part, 1)}
    left = part if other == "left" else theta - part
    return Draft(
        question=draw.among(told),
        given=names,
        relation="instruments_azimuths",
        asked=f"{side}_azimuth",
        unit="deg",
        sensible=(10, 60),
        hint="Between the two instruments lie both turns, from each of them to the axis.",
        steps=lambda found: (
            "Angle = left azimuth + right azimuth, measured in the instruments' plane.",
            f"{theta:g} - {part:g} = {found:.0f} degrees.",
        ),
        slips=(
            Slip("left for right", part, _MIRRORED.format(other, side)),
            Slip(
                "equal",
                theta / 2,
                "{typed} degrees would be right with the axis in the middle. It is not: the other azimuth is given.",
            ),
            Slip(
                "sum", theta + part, "{typed} degrees is the sum. The two azimuths together make the angle between the shafts."
            ),
        ),
        picture=lambda found: figure.azimuth(
            left, theta - left, whole=f"{theta:g}°", words=("?", f"{part:g}°") if side == "left" else (f"{part:g}°", "?")
        ),
    )


def _azimuth_beside_middle(draw):
    s, h, c = draw.grid(12, 22, 0.5), draw.grid(10, 18, 0.5), draw.grid(2, 6, 0.5) * draw.among((-1, 1))
    side, beside = draw.among(("left", "right")), "right" if c > 0 else "left"
    told = (
        f"Ports {s:g} cm apart, target on the midline, {h:g} cm from their line. The camera port is on that line too, "
        f"{abs(c):g} cm to the {beside} of the middle. What is the azimuth of the {side} instrument?",
        f"Somebody has cut the window {abs(c):g} cm too far to the {beside}, on the line of the holes. The holes are {s:g} cm "
        f"apart and the bead is {h:g} cm deep, midway between them. How many degrees is it from the {side} shaft to the "
        "optical axis?",
        f"A handle in the way: the camera goes {abs(c):g} cm to the {beside} of the middle of the port line. Spacing {s:g} "
        f"cm, depth {h:g} cm, target on the midline. What is the {side} azimuth?",
    )
    return _azimuth(draw.among(told), {"spacing": Given(s, 0.5), "depth": Given(h, 0.5), "camera": Given(c, 0.5)}, side)


def _azimuth_in_general(draw):
    s, h = draw.grid(12, 22, 0.1), draw.grid(10, 18, 0.1)
    x, c = draw.grid(2, 7, 0.1) * draw.among((-1, 1)), draw.grid(2, 6, 0.1) * draw.among((-1, 1))
    side, beside, off = draw.among(("left", "right")), "right" if c > 0 else "left", "right" if x > 0 else "left"
    told = (
        f"Ports {s:g} cm apart and the camera port on the same line, {abs(c):g} cm to the {beside} of the middle. The target "
        f"is {h:g} cm from the line and {abs(x):g} cm to the {off} of the midline. What is the azimuth of the {side} "
        "instrument?",
        f"The bead has rolled {abs(x):g} cm to the {off}; it is {h:g} cm from the line of the holes, which are {s:g} cm "
        f"apart. The window is on that line, {abs(c):g} cm {beside} of the middle. How many degrees from the {side} shaft to "
        "the optical axis?",
    )
    given = {"spacing": Given(s, 0.1), "depth": Given(h, 0.1), "camera": Given(c, 0.1), "offset": Given(x, 0.1)}
    return _azimuth(draw.among(told), given, side)


def _azimuth(question, given, side):
    other, sign = _OTHER[side], -1 if side == "left" else 1
    s, h, c = (given[name].value for name in ("spacing", "depth", "camera"))
    x = given["offset"].value if "offset" in given else 0.0

    def solve(spacing, depth, camera, offset=0.0, sign=sign):
        # Turns from the perpendicular on the port line, positive towards this instrument.
        port, lens = spacing / 2 - sign * offset, sign * (camera - offset)
        return np.degrees(np.arctan2(port, depth) - np.arctan2(lens, depth))

    port, lens = s / 2 - sign * x, sign * (c - x)
    turns = np.degrees(np.arctan([port / h, lens / h]))
    mirrored = float(solve(s, h, c, x, -sign))
    return Draft(
        question=question,
        given=given,
        relation="instruments_azimuths",
        asked=f"{side}_azimuth",
        solve=solve,
        unit="deg",
        sensible=(8, 75),
        fit=abs(c) <= s / 2 - 2 and abs(c - x) >= 1.5 and 8 <= mirrored <= 75,
        hint="Camera, ports and target are in one plane. Drop the perpendicular from the target to the line of the ports, and "
        "turn from it to the port and to the lens.",
        steps=lambda found: (
            f"The {side} port is {port:.4g} cm from the foot of the depth: a turn of atan({port:.4g} / {h:g}) = {turns[0]:.1f} "
            "degrees, atan the arctangent.",
            f"The lens is {abs(lens):.4g} cm from it on {'the same' if lens > 0 else 'the other'} side: atan({abs(lens):.4g} "
            f"/ {h:g}) = {abs(turns[1]):.1f} degrees.",
            f"From shaft to axis: {turns[0]:.1f} {'-' if lens > 0 else '+'} {abs(turns[1]):.1f} = {found:.1f} degrees.",
            f"Check: angle = left azimuth + right azimuth; the {other} one is {mirrored:.1f} degrees, together "
            f"{found + mirrored:.1f}.",
        ),
        slips=(
            Slip("left for right", mirrored, _MIRRORED.format(other, side)),
            Slip(
                "equal",
                (float(solve(s, h, c, x)) + mirrored) / 2,
                "{typed} degrees is half the manipulation angle: right only with the axis in the middle between the shafts.",
            ),
        ),
        picture=lambda found: figure.triangle(
            s,
            h,
            x,
            s=f"{s:g} cm",
            h=f"{h:g} cm",
            x=f"{abs(x):g} cm" if x else "",
            lens=c,
            lens_aside=f"{abs(c):g} cm",
            azimuth=(side, "?"),
        ),
    )

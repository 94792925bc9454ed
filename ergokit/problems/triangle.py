"""Problems of the triangle of ports and target: the angle, the spacing, the depth."""

import numpy as np

from ergokit.problems import figure
from ergokit.problems.draft import Draft, arcsine, arctangent, by, cosine, in_radians, sine, tangent, ways_from_foot


def angle_from_lengths(draw):
    s, inside = draw.grid(10, 22, 0.5), draw.grid(13, 22, 0.5)
    half = s / (2 * inside)
    right_angled = arcsine(half)
    return Draft(
        relation="spacing_from_length",
        given={"spacing": s, "inserted_length": inside},
        asked="manipulation_angle",
        sensible=(30, 100),
        slips={"half": right_angled, "length for depth": 2 * arctangent(half)},
        working={"half_sine": half, "obtuse": 180 - right_angled},
    )


def angle_from_depth(draw):
    s, h = draw.grid(10, 22, 0.5), draw.grid(9, 20, 0.5)
    half = s / (2 * h)
    return Draft(
        relation="spacing_from_depth",
        given={"spacing": s, "depth": h},
        asked="manipulation_angle",
        sensible=(30, 100),
        slips={"half": arctangent(half), "whole spacing": 2 * arctangent(2 * half)},
        working={"half_tangent": half},
    )


def angle_off_midline(draw):
    s, h, x = draw.grid(12, 22, 0.5), draw.grid(10, 18, 0.1), draw.aside(4, 10, 0.1)
    ways = ways_from_foot(h, far=s / 2 + abs(x), near=s / 2 - abs(x))
    beyond = ways["near"] < 0
    return Draft(
        relation="angle_at_offset",
        given={"spacing": s, "depth": h, "offset": x},
        asked="manipulation_angle",
        sensible=(30, 90),
        slips={"offset left out": 2 * arctangent(s / (2 * h)), "one turn": ways["far_turn"]},
        working=ways
        | {
            "other_side": "left" if x > 0 else "right",
            "near_size": abs(ways["near_turn"]),
            "sign": "-" if beyond else "+",
        },
        phrases={"beyond": "beyond" if beyond else ""},
    )


def angle_of_unequal(draw):
    s, left, right = draw.grid(11, 20, 0.1), draw.grid(12, 22, 0.1), draw.grid(12, 22, 0.1)
    cos_theta = (left**2 + right**2 - s**2) / (2 * left * right)
    return Draft(
        relation="cosine_rule",
        given={"spacing": s, "left_length": left, "right_length": right},
        asked="manipulation_angle",
        sensible=(35, 75),
        slips={
            "wrong sign": 180 - np.degrees(np.arccos(np.clip(cos_theta, -1, 1))),
            "mean": 2 * arcsine(min(s / (left + right), 1)),
        },
        working={"cosine": cos_theta},
    )


def spacing_from_length(draw):
    inside, theta = draw.grid(13, 23, 0.5), draw.grid(45, 75, 5, read=1)
    return Draft(
        relation="spacing_from_length",
        given={"inserted_length": inside, "manipulation_angle": theta},
        asked="spacing",
        sensible=(8, 28),
        **_by_half(sine, theta, lambda factor: 2 * inside * factor, half=inside * sine(theta / 2)),
    )


def spacing_from_depth(draw):
    h, theta = draw.grid(9, 19, 0.5), draw.grid(45, 75, 5, read=1)
    lens = draw.among((False, True))
    return Draft(
        words="spacing_from_working_distance" if lens else "",
        relation="widest_spacing" if lens else "spacing_from_depth",
        given={"working_distance" if lens else "depth": h, "manipulation_angle": theta},
        asked="spacing",
        sensible=(7, 28),
        **_by_half(tangent, theta, lambda factor: 2 * h * factor, half=h * tangent(theta / 2)),
    )


def spacing_of_unequal(draw):
    left, right, theta = draw.grid(12, 22, 0.1), draw.grid(12, 22, 0.1), draw.grid(45, 75, 1)
    last = 2 * left * right * cosine(theta)
    return Draft(
        relation="cosine_rule",
        given={"left_length": left, "right_length": right, "manipulation_angle": theta},
        asked="spacing",
        sensible=(9, 26),
        fit=abs(left - right) <= 7,
        slips={
            "wrong sign": np.sqrt(left**2 + right**2 + last),
            "right angle": np.hypot(left, right),
            "mean": (left + right) * sine(theta / 2),
        },
        working={"cosine": cosine(theta), "square": left**2 + right**2 - last},
    )


def spacing_flat_phone(draw):
    d, k, theta = draw.grid(9, 15, 0.1), draw.grid(5, 10, 0.1), draw.grid(45, 75, 5, read=1)
    depth = np.hypot(d, k)
    return Draft(
        relation="widest_spacing_flat_phone",
        given={"working_distance": d, "camera_hole_up_panel": k, "manipulation_angle": theta},
        asked="spacing",
        sensible=(8, 28),
        slips={"camera hole left out": 2 * d * tangent(theta / 2), "half": depth * tangent(theta / 2)},
        working={"depth": depth, "square": depth**2, "half_tangent": tangent(theta / 2)},
        picture=figure.flat_phone,
    )


def depth_from_length(draw):
    inside, theta = draw.grid(13, 23, 0.5), draw.grid(45, 80, 5, read=1)
    return Draft(
        relation="depth_from_length",
        given={"inserted_length": inside, "manipulation_angle": theta},
        asked="depth",
        sensible=(8, 22),
        **_by_half(cosine, theta, lambda factor: inside * factor, sine=inside * sine(theta / 2)),
    )


def depth_from_spacing(draw):
    s, theta = draw.grid(10, 22, 0.5), draw.grid(45, 80, 5, read=1)
    return Draft(
        relation="spacing_from_depth",
        given={"spacing": s, "manipulation_angle": theta},
        asked="depth",
        sensible=(7, 24),
        **_by_half(tangent, theta, lambda factor: s / (2 * factor), **{"whole spacing": s / tangent(theta / 2)}),
    )


def depth_of_unequal(draw):
    s, left, right = draw.grid(11, 20, 0.1), draw.grid(12, 22, 0.1), draw.grid(12, 22, 0.1)
    offset = by("offset_from_lengths", "offset")
    x = float(offset(left_length=left, right_length=right, spacing=s))

    def solve(spacing, left_length, right_length):
        foot = spacing / 2 + offset(left_length=left_length, right_length=right_length, spacing=spacing)
        return np.sqrt(np.maximum(left_length**2 - foot**2, 0))

    return Draft(
        relation="offset_from_lengths",
        given={"spacing": s, "left_length": left, "right_length": right},
        asked="depth",
        solve=solve,
        sensible=(8, 20),
        fit=3 <= abs(left - right) <= 7 and abs(x) < s / 2 - 1,
        slips={
            "offset left out": np.sqrt(max(max(left, right) ** 2 - s**2 / 4, 0)),
            "mean": np.sqrt((left + right) ** 2 - s**2) / 2,
        },
        working={
            "aside": x,
            "sign": "+" if x >= 0 else "-",
            "size": abs(x),
            "foot": s / 2 + x,
            "square": left**2 - (s / 2 + x) ** 2,
        },
        phrases={"leftward": "leftward" if x < 0 else ""},
    )


def depth_off_midline(draw):
    s, x, theta = draw.grid(12, 22, 0.5), draw.aside(4, 9, 0.1), draw.grid(45, 65, 1)
    factor, last = s / tangent(theta), x**2 - s**2 / 4
    root = np.sqrt(factor**2 / 4 - last)
    return Draft(
        relation="offset_and_depth",
        given={"spacing": s, "offset": x, "manipulation_angle": theta},
        asked="depth",
        sensible=(7, 22),
        fit=last < 0,  # past a port two depths give the angle
        slips={"offset left out": s / (2 * tangent(theta / 2))},
        working={
            "factor": factor,
            "size": -last,
            "middle": factor / 2,
            "root": root,
            "smaller": factor / 2 - root,
        },
    )


def _by_half(function, theta, length, **slips):
    """Slips and working where what is asked is a `length` of the sine, cosine or tangent of half the angle."""
    slips |= {"whole angle": length(function(theta)), "calculator": length(in_radians(function, theta / 2))}
    return {"slips": slips, "working": {f"half_{function.__name__}": function(theta / 2)}}

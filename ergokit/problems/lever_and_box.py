"""Problems of the instrument as a lever, and of the smallest box that will do."""

import numpy as np

from ergokit.problems import figure
from ergokit.problems.draft import Draft, by, sine, tangent
from ergokit.problems.draw import Reading

_SHAFTS = [Reading(length, 0) for length in (30, 33, 36, 42)]  # as sold: nothing is rounded


def ratio(draw):
    shaft, inside = draw.among(_SHAFTS), draw.grid(11, 24, 0.5)
    outside = shaft - inside
    return Draft(
        relation="length_ratio",
        given={"instrument_length": shaft, "inserted_length": inside},
        asked="length_ratio",
        sensible=(0.45, 2.4),
        slips={"upside down": outside / inside, "share": inside / shaft},
        working={"outside": outside},
        picture=figure.lever,
    )


def inside_from_ratio(draw):
    shaft, ratio = draw.among(_SHAFTS), draw.grid(0.6, 2.0, 0.1, read=0.05)
    return Draft(
        relation="length_ratio",
        given={"length_ratio": ratio, "instrument_length": shaft},
        asked="inserted_length",
        sensible=(10, 28),
        fit=ratio != 1,
        slips={"upside down": shaft / (1 + ratio), "share": shaft * ratio if ratio < 1 else shaft / ratio},
        working={"parts": 1 + ratio, "outside": shaft / (1 + ratio)},
        picture=figure.lever,
    )


def tip_travel(draw):
    shaft, inside, reach = draw.among(_SHAFTS), draw.grid(11, 27, 0.5), draw.grid(8, 12, 0.5)
    lever = shaft - inside + reach
    return Draft(
        relation="tip_travel",
        given={"instrument_length": shaft, "inserted_length": inside, "handle_reach": reach},
        asked="tip_travel_per_hand_travel",
        sensible=(0.35, 1.8),
        slips={"upside down": lever / inside, "handle left out": inside / (shaft - inside)},
        working={"lever": lever},
        picture=figure.lever,
    )


def tip_travel_of_triangle(draw):
    shaft, reach, hand = draw.among(_SHAFTS[:3]), draw.grid(8, 12, 0.5, read=0.1), draw.grid(3, 7, 0.5, read=0.1)
    s, theta = draw.grid(12, 22, 0.5), draw.grid(45, 75, 5, read=1)
    inside = s / (2 * sine(theta / 2))
    lever = shaft - inside + reach

    def solve(spacing, manipulation_angle, hand_travel, **instrument):
        length = by("spacing_from_length", "inserted_length")(spacing=spacing, manipulation_angle=manipulation_angle)
        return by("tip_travel", "tip_travel_per_hand_travel")(inserted_length=length, **instrument) * hand_travel

    return Draft(
        relation="tip_travel",
        given={
            "spacing": s,
            "manipulation_angle": theta,
            "instrument_length": shaft,
            "handle_reach": reach,
            "hand_travel": hand,
        },
        asked="tip_travel",
        solve=solve,
        sensible=(1, 10),
        fit=10 <= inside <= shaft - 4,
        slips={"upside down": hand * lever / inside, "handle left out": hand * inside / (shaft - inside)},
        working={"half_sine": sine(theta / 2), "inserted_length": inside, "lever": lever},
        picture=figure.lever,
    )


def other_side_for_flat_phone(draw):
    share, d, side_a = draw.grid(0.3, 0.6, 0.05, read=0.01), draw.grid(9, 15, 0.5, read=0.1), draw.grid(30, 45, 1)
    return Draft(
        relation="flat_phone_in_wedge",
        given={"side_a": side_a, "camera_hole_fraction": share, "working_distance": d},
        asked="side_b",
        solve=lambda side_a, **axis: by("flat_phone_in_wedge", "side_b")(**axis),
        sensible=(18, 45),
        fit=0.55 * side_a <= d / share <= 1.3 * side_a,
        slips={"multiplied": d * share, "from the ridge": d / (1 - share)},
        picture=figure.wedge,
    )


def other_side_for_height(draw):
    side_a, height = draw.grid(30, 50, 1), draw.grid(16, 26, 0.5, read=0.1)
    root = np.sqrt(side_a**2 - height**2)
    return Draft(
        relation="wedge_ridge_height",
        given={"side_a": side_a, "ridge_height": height},
        asked="side_b",
        sensible=(18, 45),
        slips={"height for side": height, "wrong leg": root},
        working={"square": (height * side_a / root) ** 2},
        picture=figure.wedge,
    )


def lid_height(draw):
    s, theta, beyond = draw.grid(12, 20, 0.1), draw.grid(45, 70, 5, read=1), draw.grid(5, 13, 0.1)
    half_tangent = tangent(theta / 2)
    deep = s / (2 * half_tangent)

    def solve(ahead, **triangle):
        return np.sqrt(by("spacing_from_depth", "depth")(**triangle) ** 2 - ahead**2)

    return Draft(
        relation="spacing_from_depth",
        given={"spacing": s, "manipulation_angle": theta, "ahead": beyond},
        asked="lid_height",
        solve=solve,
        sensible=(7, 20),
        slips={"depth": deep, "wrong sign": np.hypot(deep, beyond)},
        working={"depth": deep, "half_tangent": half_tangent, "square": deep**2 - beyond**2},
        picture=figure.crate,
    )

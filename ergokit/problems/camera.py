"""Problems of the camera: how far it is from the target, its azimuths, and how a scope is turned."""

import numpy as np

from ergokit.problems import figure
from ergokit.problems.draft import Draft, arccosine, by, sine, tangent, ways_from_foot
from ergokit.problems.draw import Reading


def distance_of_equal(draw):
    s, inside = draw.grid(10, 22, 0.5), draw.grid(13, 23, 0.5)
    return Draft(
        relation="camera_at_middle",
        given={"spacing": s, "inserted_length": inside},
        asked="working_distance",
        solve=_distance_of_equal,
        sensible=(8, 21),
        slips={
            "whole spacing": np.sqrt(inside**2 - s**2),
            "length inside": inside,
            "wrong sign": np.hypot(inside, s / 2),
        },
        working={"square": inside**2 - s**2 / 4},
    )


def flat_phone(draw):
    h, k = draw.grid(12, 20, 0.5), draw.grid(5, 11, 0.5)
    return Draft(
        relation="flat_phone",
        given={"depth": h, "camera_hole_up_panel": k},
        asked="working_distance",
        sensible=(8, 18),
        slips={"wrong sign": np.hypot(h, k), "depth": h},
        working={"square": h**2 - k**2},
        picture=figure.flat_phone,
    )


def field_of_view(draw):
    width, field = draw.grid(9, 20, 0.5), draw.grid(58, 76, 1)
    half = tangent(field / 2)
    return Draft(
        relation="field_of_view",
        given={"seen_width": width, "field_of_view": field},
        asked="working_distance",
        sensible=(7, 17),
        slips={"whole width": width / half, "whole angle": width / (2 * tangent(field))},
        working={"half_tangent": half},
        picture=figure.picture_width,
    )


def distance_of_unequal(draw):
    s, left, right = draw.grid(11, 20, 0.1), draw.grid(12, 22, 0.1), draw.grid(12, 22, 0.1)
    squares = 2 * left**2 + 2 * right**2
    x = (left**2 - right**2) / (2 * s)
    return Draft(
        relation="camera_at_middle",
        given={"spacing": s, "left_length": left, "right_length": right},
        asked="working_distance",
        sensible=(8, 20),
        fit=4 <= abs(left - right) <= 8 and abs(x) < s / 2,
        slips={
            "spacing left out": np.sqrt(squares / 4),
            "depth": np.sqrt(left**2 - (s / 2 + x) ** 2),
            "mean": np.sqrt((left + right) ** 2 - s**2) / 2,
        },
        working={"square": (squares - s**2) / 4},
    )


def flat_phone_of_triangle(draw):
    s, inside, k = draw.grid(12, 21, 0.1), draw.grid(15, 22, 0.1), draw.grid(6, 11, 0.1)
    square = inside**2 - s**2 / 4
    h = np.sqrt(square)

    def solve(camera_hole_up_panel, **sides):
        return by("flat_phone", "working_distance")(
            depth=_distance_of_equal(**sides), camera_hole_up_panel=camera_hole_up_panel
        )

    return Draft(
        relation="flat_phone",
        given={"spacing": s, "inserted_length": inside, "camera_hole_up_panel": k},
        asked="working_distance",
        solve=solve,
        sensible=(8, 17),
        slips={
            "camera hole left out": h,
            "spacing left out": np.sqrt(max(inside**2 - k**2, 0)),
            "wrong sign": np.hypot(h, k),
        },
        working={"depth": h, "depth_square": square, "square": square - k**2},
        picture=figure.flat_phone,
    )


def _distance_of_equal(spacing, inserted_length):
    middle = by("camera_at_middle", "working_distance")
    return middle(spacing=spacing, left_length=inserted_length, right_length=inserted_length)


_OTHER = {"left": "right", "right": "left"}


def azimuth_from_sum(draw):
    theta, part = draw.grid(50, 80, 1), draw.grid(15, 55, 1)
    side = draw.among(("left", "right"))
    other = _OTHER[side]
    return Draft(
        relation="instruments_azimuths",
        given={"manipulation_angle": theta, f"{other}_azimuth": part},
        asked=f"{side}_azimuth",
        sensible=(10, 60),
        slips={"left for right": part, "equal": theta / 2, "sum": theta + part},
        working={"side": side, "other": other, "other_azimuth": part},
        picture=figure.azimuths,
    )


def azimuth_beside_middle(draw):
    given = {"spacing": draw.grid(12, 22, 0.5), "depth": draw.grid(10, 18, 0.5), "camera": draw.aside(2, 6, 0.5)}
    return _azimuth(given, draw.among(("left", "right")))


def azimuth_in_general(draw):
    given = {"spacing": draw.grid(12, 22, 0.1), "depth": draw.grid(10, 18, 0.1)}
    given |= {"offset": draw.aside(2, 7, 0.1), "camera": draw.aside(2, 6, 0.1)}
    return _azimuth(given, draw.among(("left", "right")))


def _azimuth(given, side):
    sign = -1 if side == "left" else 1
    s, h, c, x = (given.get(name, 0.0) for name in ("spacing", "depth", "camera", "offset"))

    def solve(spacing, depth, camera, offset=0.0, sign=sign):
        # Turns from the perpendicular on the port line, positive towards this instrument.
        port, lens = spacing / 2 - sign * offset, sign * (camera - offset)
        return np.degrees(np.arctan2(port, depth) - np.arctan2(lens, depth))

    port, lens = s / 2 - sign * x, sign * (c - x)
    ways, same_side = ways_from_foot(h, port=abs(port), lens=abs(lens)), (port > 0) == (lens > 0)
    smaller, larger = sorted((ways["port_turn"], ways["lens_turn"]))
    mirrored = solve(**given, sign=-sign)
    whole = solve(**given) + mirrored
    return Draft(
        relation="instruments_azimuths",
        given=given,
        asked=f"{side}_azimuth",
        solve=solve,
        sensible=(8, 75),
        fit=abs(c) <= s / 2 - 2 and abs(c - x) >= 1.5 and 8 <= mirrored <= 75,
        slips={"left for right": mirrored, "equal": whole / 2},
        working=ways
        | {
            "side": side,
            "other": _OTHER[side],
            "port_side": side if port > 0 else _OTHER[side],
            "lens_side": side if lens > 0 else _OTHER[side],
            "larger": larger,
            "smaller": smaller,
            "sign": "-" if same_side else "+",
            "mirrored": mirrored,
            "together": whole,
        },
        phrases={"how": "same" if same_side else "opposite"},
    )


def post_below(draw):
    return _post(draw, {"aside": draw.grid(2, 7, 0.1), "target_below_shaft": draw.grid(2, 7, 0.1)}, np.hypot)


def post_above(draw):
    above = draw.grid(2, 7, 0.1)
    return _post(draw, {"aside": draw.grid(2, 7, 0.1), "target_below_shaft": Reading(-above, above.step)}, np.hypot)


def post_at_distance(draw):
    view, distance = Reading(draw.among((30, 45)), 0), draw.grid(8, 14, 0.1)
    given = {"working_distance": distance, "direction_of_view": view, "target_below_shaft": draw.grid(2, 7, 0.1)}
    wrong = {"distance": arccosine(given["target_below_shaft"] / distance)}
    return _post(draw, given, lambda distance, view, _: distance * sine(view), wrong)


def _post(draw, given, reach, slips=None):
    """The target to one side of the shaft; `reach` says of the numbers given how far it is from the shaft's line."""
    side, below, off = draw.among(("left", "right")), given["target_below_shaft"], reach(*given.values())
    turn = arccosine(below / off)

    def solve(**given):
        turned = by("scope_post_turn", "post_turn")
        return turned(target_off_shaft=reach(*given.values()), target_below_shaft=given["target_below_shaft"])

    return Draft(
        relation="scope_post_turn",
        given=given,
        asked="post_turn",
        solve=solve,
        sensible=(15, 165),
        slips={"towards": 180 - turn, "other corner": (90 if below > 0 else 270) - turn} | (slips or {}),
        working={"side": side, "other": _OTHER[side], "height": abs(below), "off": off, "cosine": below / off},
        picture=figure.light_post,
    )

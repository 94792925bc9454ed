"""Every angle and length again at 50 digits, straight from the definitions, to hold the kit's quick versions against.

One placement at a time, in mpmath. Where a quantity can be had another way it is: angles by acos and asin, planes by
their own axes, the picture by projecting points through a pinhole. Only placements where everything has a value.
"""

import mpmath

mp = mpmath.MPContext()  # its own context, so that no other test's precision is touched
mp.dps = 50


def measures(
    left_port,
    right_port,
    target,
    camera,
    normal=(0, 0, 1),
    aim=None,
    facing=(0, 1, 0),
    up=None,
    panel_normal=(0, 0, 1),
    instrument_length=36,
    handle_reach=10,
    right_instrument_length=None,
):
    """Each quantity by its name in words; one value a hand where the name ends in left or right."""
    left, right, target, camera = (vector(point) for point in (left_port, right_port, target, camera))
    n, facing = unit(vector(normal)), vector(facing)
    whole, reach = mp.mpf(instrument_length), mp.mpf(handle_reach)
    whole_right = whole if right_instrument_length is None else mp.mpf(right_instrument_length)
    u, v, sight = minus(left, target), minus(right, target), minus(target, camera)
    c = unit(sight if aim is None else vector(aim))
    back = times(-1, c)

    spacing, inside_left, inside_right = norm(minus(right, left)), norm(u), norm(v)
    foot = dot(u, minus(left, right)) / spacing  # from the left port to the foot of the depth
    hand_left, hand_right = (plus(target, times(s + reach, unit(shaft))) for shaft, s in ((u, whole), (v, whole_right)))

    first = unit(u)
    second = unit(off(v, first))  # with `first` the axes of the instruments' plane
    flat_u, flat_v, flat_back = off(u, n), off(v, n), off(back, n)

    picture_left, picture_right = (picture(shaft, sight, c) for shaft in (u, v))
    if up is None:
        straight_down = c[0] == c[1] == 0 and c[2] < 0
        up = facing if straight_down else vector((0, 0, 1))
    else:
        up = vector(up)
    ahead = unit(off(facing, n))

    return {
        "port spacing": spacing,
        "length inside left": inside_left,
        "length inside right": inside_right,
        "working distance": norm(sight),
        "depth": mp.sqrt(inside_left**2 - foot**2),
        "length outside left": whole - inside_left,
        "length outside right": whole_right - inside_right,
        "inside : outside left": inside_left / (whole - inside_left),
        "inside : outside right": inside_right / (whole_right - inside_right),
        "tip travel left": inside_left / (whole - inside_left + reach),
        "tip travel right": inside_right / (whole_right - inside_right + reach),
        "hand left": hand_left,
        "hand right": hand_right,
        "handle separation": norm(minus(hand_left, hand_right)),
        "manipulation angle": angle(u, v),
        "angle seen from above": angle(flat_u, flat_v),
        "elevation left": above(u, n),
        "elevation right": above(v, n),
        "tilt": arc(mp.asin, mp.hypot(dot(first, n), dot(second, n))),
        "azimuth instruments left": towards(u, v, back),
        "azimuth instruments right": towards(v, u, back),
        "azimuth working left": towards(flat_u, flat_v, flat_back),
        "azimuth working right": towards(flat_v, flat_u, flat_back),
        "azimuth space left": angle(u, back),
        "azimuth space right": angle(v, back),
        "axis to instruments' plane": arc(mp.acos, mp.hypot(dot(first, c), dot(second, c))),
        "view": above(back, n),
        "off centre": angle(sight, c),
        "display": angle(picture_left, picture_right),
        "camera side": full(ahead, cross(n, ahead), off(c, n)),
        "camera roll": full(unit(off((0, 0, 1), c)), unit(cross(c, (0, 0, 1))), off(up, c)),
        "hand-eye rotation": full(ahead, cross(n, ahead), off(off(up, c), n)),
        "entry left": arc(mp.acos, abs(dot(u, unit(vector(panel_normal)))) / inside_left),
        "entry right": arc(mp.acos, abs(dot(v, unit(vector(panel_normal)))) / inside_right),
    }


def scope(port, shaft, inserted_length, direction_of_view, post_angle, head_angle):
    """A scope's light post, tip, axis and the top of its picture: every turn by a rotation about its own axis."""
    u = unit(vector(shaft))
    up = unit(off((0, 0, 1), u))
    post = spun(up, u, -mp.radians(post_angle))
    hinge, view = unit(cross(post, u)), mp.radians(direction_of_view)
    return {
        "light post": post,
        "tip": plus(vector(port), times(mp.mpf(inserted_length), u)),
        "axis": spun(u, hinge, view),
        "up": spun(spun(up, u, mp.radians(head_angle)), hinge, view),
    }


def spun(a, axis, turn):
    """The vector a turned about a unit vector, anticlockwise as seen from where it points (Rodrigues)."""
    ahead, aside = off(a, axis), cross(axis, a)
    return plus(times(dot(a, axis), axis), plus(times(mp.cos(turn), ahead), times(mp.sin(turn), aside)))


def vector(values):
    return tuple(mp.mpf(value) for value in values)


def plus(a, b):
    return tuple(x + y for x, y in zip(a, b, strict=True))


def minus(a, b):
    return tuple(x - y for x, y in zip(a, b, strict=True))


def times(k, a):
    return tuple(k * x for x in a)


def dot(a, b):
    return mp.fdot(a, b)


def norm(a):
    return mp.sqrt(dot(a, a))


def unit(a):
    return times(1 / norm(a), a)


def cross(a, b):
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def off(a, n):
    """What is left of a without its part along the unit vector n."""
    return minus(a, times(dot(a, n), n))


def arc(inverse, value):
    """acos or asin in degrees; the last of the 50 digits may stand beyond 1."""
    return mp.degrees(inverse(max(-1, min(1, value))))


def angle(a, b):
    return arc(mp.acos, dot(a, b) / mp.sqrt(dot(a, a) * dot(b, b)))


def above(a, n):
    """Of a above the plane with unit normal n."""
    return arc(mp.asin, dot(a, n) / norm(a))


def full(ahead, aside, a):
    """Of a from `ahead`, positive on the side of `aside`, -180 to 180."""
    return mp.degrees(mp.atan2(dot(a, aside), dot(a, ahead)))


def towards(shaft, other, axis):
    """From a shaft to the axis in the plane of both shafts, positive on the other shaft's side."""
    ahead = unit(shaft)
    return full(ahead, unit(off(other, ahead)), axis)


def picture(shaft, sight, c):
    """The shaft in the picture of a pinhole camera looking along c: from the target's image to another point's of it."""
    first = unit(cross(c, min(((1, 0, 0), (0, 1, 0), (0, 0, 1)), key=lambda axis: abs(dot(axis, c)))))
    second = cross(c, first)
    ahead = dot(sight, c)
    part = ahead / (2 * (abs(dot(shaft, c)) + ahead))  # short enough to stay in front of the camera
    point = plus(sight, times(part, shaft))
    return tuple(dot(point, side) / dot(point, c) - dot(sight, side) / ahead for side in (first, second))

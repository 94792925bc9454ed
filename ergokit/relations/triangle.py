"""Solve the triangle of two ports and a target from what is known of it.

The depth cuts the triangle into two right-angled ones that share it: on the left ``left_length**2 = depth**2 + p**2``,
on the right ``right_length**2 = depth**2 + q**2``, where p and q run along the port line from each port to the foot
of the target, ``p + q = spacing`` and ``(p - q) / 2 = offset``. Every problem here is reduced to (p, q, depth): p or q is
negative where the target lies outside the ports.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import asin, asinh, atan2, copysign, cos, degrees, hypot, pi, radians, sin, sinh, sqrt, tan

from ergokit._check import FARTHEST, angles, lengths, numbers, one, takes_also
from ergokit._words import joined

_SYMMETRIC = ("spacing", "inserted_length", "manipulation_angle", "depth")
_GENERAL = ("spacing", "left_length", "right_length", "manipulation_angle", "depth", "offset")
_NAMES = (*_GENERAL, "inserted_length")

# A square that comes out below zero by no more than this share of its parts is rounding of the given values.
_ROUNDING = 1e-13


@dataclass(frozen=True, repr=False)
class Triangle:
    """Two ports and a target: lengths in cm, the manipulation angle in degrees.

    `offset` is the target's signed place along the port line from the midline, right positive.
    """

    spacing: float
    left_length: float
    right_length: float
    manipulation_angle: float
    depth: float
    offset: float

    def __repr__(self):
        return (
            f"Triangle(spacing {self.spacing:.1f} cm, left length {self.left_length:.1f} cm, "
            f"right length {self.right_length:.1f} cm, manipulation angle {self.manipulation_angle:.1f}°, "
            f"depth {self.depth:.1f} cm, offset {self.offset + 0.0:.1f} cm)"
        )


def solve_triangle(
    *,
    spacing: float | None = None,
    left_length: float | None = None,
    right_length: float | None = None,
    inserted_length: float | None = None,
    manipulation_angle: float | None = None,
    depth: float | None = None,
    offset: float | None = None,
) -> list[Triangle]:
    """Every triangle of two ports and a target that has the given values, as a list of `Triangle`.

    Give any two of spacing, inserted_length, manipulation_angle, depth for the symmetric case (equal lengths), or any
    three of spacing, left_length, right_length, manipulation_angle, depth, offset. Lengths in cm, the angle in degrees.
    Where two triangles fit both are returned, the closer ports first. ValueError says why where none does, or where the
    values leave the triangle free.

    >>> solve_triangle(spacing=18, manipulation_angle=60)  # doctest: +NORMALIZE_WHITESPACE
    [Triangle(spacing 18.0 cm, left length 18.0 cm, right length 18.0 cm,
              manipulation angle 60.0°, depth 15.6 cm, offset 0.0 cm)]
    >>> [round(t.offset, 1) for t in solve_triangle(spacing=18, manipulation_angle=50, depth=16)]
    [-8.2, 8.2]
    >>> solve_triangle(spacing=25, inserted_length=10)
    Traceback (most recent call last):
    ValueError: Two lengths of 10 cm cannot span 25 cm; they span less than 20.0 cm.
    """
    values = (spacing, left_length, right_length, manipulation_angle, depth, offset, inserted_length)
    given = _three_of({name: _checked(name, value) for name, value in zip(_NAMES, values, strict=True) if value is not None})
    mirrored = "right_length" in given and "left_length" not in given
    seen = _in_mirror(given) if mirrored else given
    names = tuple(name for name in _GENERAL if name in seen)
    feet = _SOLVERS[names](*(seen[name] for name in names))
    found, beyond = set(), ValueError("No triangle has these values.")
    for p, q, h in feet:
        try:
            found.add(_triangle(q, p, h, given) if mirrored else _triangle(p, q, h, given))
        except ValueError as problem:  # flat, or kilometres large: no answer where there is another
            beyond = problem
    if not found:
        raise beyond
    return sorted(found, key=lambda triangle: (triangle.spacing, triangle.offset))


@takes_also(solve_triangle)
def one_triangle(**known: float | None) -> Triangle:
    """The one triangle with the given values, which are those of `solve_triangle`; ValueError where two have them.

    >>> round(one_triangle(depth=15, manipulation_angle=60).spacing, 1)
    17.3
    """
    found = solve_triangle(**known)
    if len(found) > 1:
        both = joined(f"{each.spacing:.1f} cm apart, offset {each.offset:z.1f}" for each in found)
        raise ValueError(f"Two triangles fit, with ports {both}; give another value, or take both from solve_triangle.")
    return found[0]


def _checked(name, value):
    if name == "manipulation_angle":
        return one(name, value, angles, "both instruments lie in one line")
    if name == "offset":
        return one(name, value, numbers, "a length in cm, right positive")
    return one(name, value, lengths)


def _three_of(known):
    """The given values as three of `_GENERAL`; the symmetric case is equal lengths or offset 0."""
    symmetric = [name for name in _SYMMETRIC if name in known]
    if "inserted_length" in known:
        if len(known) == 2 and len(symmetric) == 2:
            length = known["inserted_length"]
            other = {name: value for name, value in known.items() if name != "inserted_length"}
            return {"left_length": length, "right_length": length} | other
        if len(symmetric) > 2:
            raise ValueError(f"Too many values: {joined(symmetric[:2])} are enough.")
        raise ValueError(
            f"{joined(known)} do not go together; beside inserted_length, which is two equal lengths, give one of spacing, "
            "manipulation_angle and depth."
        )
    if len(known) == 3:
        return known
    if len(known) > 3:
        raise ValueError(f"Too many values: {joined([name for name in _GENERAL if name in known][:3])} are enough.")
    if len(symmetric) == 2:
        return known | {"offset": 0.0}
    raise ValueError(
        f"Too few values: give two of {joined(_SYMMETRIC)} for equal lengths, or three of {joined(_GENERAL)}; "
        f"got {joined(known) or 'none'}."
    )


def _in_mirror(given):
    """The same triangle seen from the other side, so that only the left length need be handled alone."""
    mirrored = {"left_length" if name == "right_length" else name: value for name, value in given.items()}
    return mirrored | ({"offset": -given["offset"]} if "offset" in given else {})


def _triangle(p, q, h, given):
    """The triangle with these feet and depth; the given values stand in it as they came."""
    spacing = p + q
    fields = {
        "spacing": spacing,
        "left_length": hypot(h, p),
        "right_length": hypot(h, q),
        "manipulation_angle": degrees(atan2(h * spacing, h * h - p * q)),
        "depth": h,
        "offset": (p - q) / 2,
    } | given
    largest = max(abs(value) for name, value in fields.items() if name != "manipulation_angle")
    if not largest <= FARTHEST:
        raise ValueError(f"These values need a triangle of {largest:.3g} cm, which is beyond {FARTHEST:g} cm.")
    if not (spacing > 0 and h > 0 and 0 < fields["manipulation_angle"] < 180):
        raise ValueError("These values put the ports and the target in one line, where there is no triangle.")
    return Triangle(**fields)


# One solver a set of knowns: arguments in the order of _GENERAL, angles in degrees; each returns a list of (p, q, h).


def _from_sides(s, a, b):
    if s >= a + b:
        lengths_named = f"Two lengths of {a:g} cm" if a == b else f"Lengths of {a:g} and {b:g} cm"
        raise ValueError(f"{lengths_named} cannot span {s:g} cm; they span less than {a + b:.1f} cm.")
    if s <= abs(a - b):
        raise ValueError(
            f"Lengths of {a:g} and {b:g} cm cannot meet across {s:g} cm; their spacing is more than {abs(a - b):.1f} cm."
        )
    # Heron's formula with the sides sorted keeps its digits in a needle (W. Kahan, "Miscalculating Area and Angles...").
    x, y, z = sorted((s, a, b), reverse=True)
    area = sqrt(max((x + (y + z)) * (z - (x - y)) * (z + (x - y)) * (x + (y - z)), 0.0)) / 4
    return [((a * a + (s - b) * (s + b)) / (2 * s), (b * b + (s - a) * (s + a)) / (2 * s), 2 * area / s)]


def _from_spacing_length_angle(s, a, angle):
    theta = radians(angle)
    half, product = a * cos(theta), (a - s) * (a + s)
    roots = _quadratic(half, product, (s - a * sin(theta)) * (s + a * sin(theta)), s * s)
    found = [b for b in roots if b > 0]
    if not found:
        widest = degrees(asin(min(s / a, 1.0)))
        raise ValueError(
            f"A length of {a:g} cm across {s:g} cm cannot open to {angle:g} degrees; the widest angle there is {widest:.1f}."
        )
    return [feet for b in found for feet in _from_lengths_angle(a, b, angle)]


def _from_lengths_angle(a, b, angle, more=None):
    """`more` is a - b, where more of its digits are known than those two have."""
    theta, more = radians(angle), a - b if more is None else more
    lag = 2 * sin(theta / 2) ** 2  # 1 - cos(theta) with all its digits
    s = hypot(more, 2 * sqrt(a * b) * sin(theta / 2))
    return [(a * (more + b * lag) / s, b * (a * lag - more) / s, a * b * sin(theta) / s)]


def _from_spacing_length_depth(s, a, h):
    return [(p, s - p, h) for p in _feet(a, h)]


def _from_spacing_length_offset(s, a, x):
    p = s / 2 + x
    if a <= abs(p):
        raise ValueError(
            f"At spacing {s:g} and offset {x:g} cm a length of {a:g} cm cannot reach the target, whose foot on the port line "
            f"is {abs(p):.1f} cm from the port."
        )
    return [(p, s / 2 - x, sqrt((a - p) * (a + p)))]


def _from_spacing_angle_depth(s, angle, h):
    t = tan(radians(angle) / 2)
    deepest = s / (2 * t)
    square = (deepest - h) * (h + s * t / 2)  # offset squared
    if square < -_ROUNDING * h * h:
        raise ValueError(
            f"At spacing {s:g} cm no target {h:g} cm deep has {angle:g} degrees; the deepest is at {deepest:.1f} cm."
        )
    x = sqrt(max(square, 0.0))
    return [(s / 2 + x, s / 2 - x, h), (s / 2 - x, s / 2 + x, h)]


def _from_spacing_angle_offset(s, angle, x):
    theta = radians(angle)
    half = s / (2 * tan(theta))
    radius = s / (2 * sin(theta))  # of the circle of targets with this angle; its centre is `half` deep
    farthest = radius if angle < 90 else s / 2
    roots = _quadratic(half, -(s / 2 - x) * (s / 2 + x), (radius - x) * (radius + x), radius * radius)
    found = [h for h in roots if h > 0]
    if not found:
        raise ValueError(
            f"At spacing {s:g} cm no target {abs(x):g} cm sideways has {angle:g} degrees; the farthest is at {farthest:.1f} cm."
        )
    return [(s / 2 + x, s / 2 - x, h) for h in found]


def _from_spacing_depth_offset(s, h, x):
    return [(s / 2 + x, s / 2 - x, h)]


def _from_lengths_depth(a, b, h):
    p, q = _feet(a, h)[0], _feet(b, h)[0]
    if p == q == 0:
        raise ValueError(f"Two lengths of {a:g} cm at {h:g} cm deep put both ports in one place; make the depth less.")
    found = [(p, q, h)]
    if p != q:  # the target may also lie outside the ports, beyond that of the shorter length
        found.append((p, -q, h) if p > q else (-p, q, h))
    return found


def _from_lengths_offset(a, b, x):
    if a == b and x == 0:
        raise ValueError(
            "Equal lengths with offset 0 leave the spacing free: "
            "give spacing, manipulation_angle or depth instead of the offset."
        )
    least, most = abs(a - b) / 2, (a + b) / 2
    if not least < abs(x) < most or (a > b) != (x > 0):
        side = "" if a == b else ", towards the port of the shorter one"
        raise ValueError(
            f"Lengths of {a:g} and {b:g} cm cannot put the target {x:g} cm from the midline; "
            f"its offset lies between {least:.1f} and {most:.1f} cm{side}."
        )
    return _from_sides((a - b) * (a + b) / (2 * x), a, b)


def _from_length_angle_depth(a, angle, h):
    found = []
    for p in _feet(a, h):
        other = radians(angle) - atan2(p, h)  # the other instrument's angle from the perpendicular to the port line
        if -pi / 2 < other < pi / 2:
            found.append((p, h * tan(other), h))
    if not found:
        widest = 90 + degrees(atan2(_feet(a, h)[0], h))
        raise ValueError(
            f"A length of {a:g} cm at {h:g} cm deep cannot open to {angle:g} degrees; the angle there is below {widest:.1f}."
        )
    return found


def _from_length_angle_offset(a, angle, x):
    """With k = 1 - u the other length over this one, 2 s x = a**2 - b**2 and the cosine rule give the offset

        x(k) = (a / 2) (1 - k**2) / sqrt(1 - 2 k cos(theta) + k**2),

    which below 90 degrees rises from a / 2 to one peak, where t = (k - cos(theta)) / sin(theta) is the only root of
    t**3 + 3 t + 2 cot(theta), and then falls without end. Each side holds at most one answer, found by halving. What is
    sought is u: in a needle of two nearly equal lengths k keeps half of its digits only.
    """
    theta = radians(angle)

    def offset(u):
        return a / 2 * u * (2 - u) / hypot(u, 2 * sqrt(1 - u) * sin(theta / 2))

    peak = min(1.0, 2 * sin(theta / 2) ** 2 + 2 * sin(theta) * sinh(asinh(1 / tan(theta)) / 3))
    farthest = offset(peak)
    if x > farthest * (1 + _ROUNDING) or (x >= farthest and peak == 1):
        raise ValueError(
            f"A length of {a:g} cm at {angle:g} degrees cannot have the target {abs(x):g} cm past the midline; "
            f"it lies at most {farthest:.1f} cm past it."
        )
    beyond = 0.0
    while offset(beyond) > x:
        beyond = 2 * beyond - 1
    shares = [_halve(offset, x, peak, beyond)]
    if x > a / 2:
        shares.append(_halve(offset, x, peak, 1.0))
    return [feet for u in shares for feet in _from_lengths_angle(a, a - u * a, angle, u * a)]


def _from_length_depth_offset(a, h, x):
    found = [(p, p - 2 * x, h) for p in _feet(a, h) if p > x]
    if not found:
        raise ValueError(
            f"A length of {a:g} cm at {h:g} cm deep cannot have the target {abs(x):g} cm past the midline; "
            f"it lies less than {_feet(a, h)[0]:.1f} cm past it."
        )
    return found


def _from_angle_depth_offset(angle, h, x):
    theta = radians(angle)
    radius = hypot(h / sin(theta), x)
    halves = _quadratic(-h / tan(theta), -(h * h + x * x), radius * radius, radius * radius)
    return [(half + x, half - x, h) for half in halves if half > 0]


_SOLVERS: dict[tuple[str, ...], Callable] = {
    ("spacing", "left_length", "right_length"): _from_sides,
    ("spacing", "left_length", "manipulation_angle"): _from_spacing_length_angle,
    ("spacing", "left_length", "depth"): _from_spacing_length_depth,
    ("spacing", "left_length", "offset"): _from_spacing_length_offset,
    ("spacing", "manipulation_angle", "depth"): _from_spacing_angle_depth,
    ("spacing", "manipulation_angle", "offset"): _from_spacing_angle_offset,
    ("spacing", "depth", "offset"): _from_spacing_depth_offset,
    ("left_length", "right_length", "manipulation_angle"): _from_lengths_angle,
    ("left_length", "right_length", "depth"): _from_lengths_depth,
    ("left_length", "right_length", "offset"): _from_lengths_offset,
    ("left_length", "manipulation_angle", "depth"): _from_length_angle_depth,
    ("left_length", "manipulation_angle", "offset"): _from_length_angle_offset,
    ("left_length", "depth", "offset"): _from_length_depth_offset,
    ("manipulation_angle", "depth", "offset"): _from_angle_depth_offset,
}


def _feet(length, h):
    """Where the foot of a target `h` deep lies from the port of this length inside: on one side or the other."""
    if length < h:
        raise ValueError(f"A length of {length:g} cm cannot reach {h:g} cm deep; it reaches at most {length:.1f} cm.")
    p = sqrt((length - h) * (length + h))
    return [p, -p] if p else [p]


def _quadratic(half, product, discriminant, scale):
    """Real roots of z**2 - 2 half z + product, the second from the product so that it does not cancel."""
    if discriminant < -_ROUNDING * scale:
        return []
    first = half + copysign(sqrt(max(discriminant, 0.0)), half)  # the larger; where it is rounding both are 0
    return [first, product / first] if abs(first) > _ROUNDING * sqrt(scale) else [0.0]


def _halve(function, value, above, below):
    """Where a function takes `value`, between a place where it lies at or above it and one where it lies below."""
    while True:
        middle = (above + below) / 2
        if middle in (above, below):
            return middle
        if function(middle) >= value:
            above = middle
        else:
            below = middle

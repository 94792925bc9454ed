"""Every triangle of two ports and a target, solved from any two or three of its values."""

from itertools import combinations
from math import atan2, cos, degrees, hypot, pi, radians, sin, tan

import numpy as np
import pytest
from draws import draws
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from skspatial.objects import Triangle as SpatialTriangle

from ergokit import depth, inserted_length, manipulation_angle, port_spacing
from ergokit.relations import Triangle, one_triangle, solve_triangle

GENERAL = ("spacing", "left_length", "right_length", "manipulation_angle", "depth", "offset")
SYMMETRIC = ("spacing", "inserted_length", "manipulation_angle", "depth")


def measured(triangle):
    """The triangle's values measured again on three points in space, placed by its spacing, offset and depth."""
    s, x, h = triangle.spacing, triangle.offset, triangle.depth
    left, right, target = (-s / 2, 0, 0), (s / 2, 0, 0), (x, 0, -h)
    return Triangle(
        spacing=float(port_spacing(left, right)),
        left_length=float(inserted_length(left, target)),
        right_length=float(inserted_length(right, target)),
        manipulation_angle=float(manipulation_angle(left, right, target)),
        depth=float(depth(left, right, target)),
        offset=x,
    )


def residual(triangle):
    """Largest disagreement with its measured self: lengths as a share of the largest, the angle as a share of itself.

    Coordinates are rounded to 1e-16 of the largest length, which turns the shortest side by so much of its own length: the
    angle is forgiven a few of these.
    """
    again = measured(triangle)
    sides = triangle.spacing, triangle.left_length, triangle.right_length
    rounding = degrees(8 * np.finfo(float).eps * max(sides) / min(sides))
    turned = max(0.0, abs(triangle.manipulation_angle - again.manipulation_angle) - rounding) / triangle.manipulation_angle
    lengths = [name for name in GENERAL if name != "manipulation_angle"]
    return max(turned, *(abs(getattr(triangle, name) - getattr(again, name)) / max(sides) for name in lengths))


def built(s, x, h):
    """A triangle from its coordinates, by the two right-angled halves."""
    p, q = s / 2 + x, s / 2 - x
    return Triangle(s, hypot(h, p), hypot(h, q), degrees(atan2(h * s, h * h - p * q)), h, x)


def test_the_builder_of_these_tests_agrees_with_a_general_purpose_library():
    triangle = SpatialTriangle((-9, 0, 0), (9, 0, 0), (3, 0, -10))
    a, b, theta = triangle.length("b"), triangle.length("a"), np.degrees(triangle.angle("C"))
    assert agree(built(18, 3, 10), Triangle(18, a, b, theta, 10, 3), 1e-12)


def agree(one, other, within):
    return all(getattr(one, name) == pytest.approx(getattr(other, name), rel=within, abs=within) for name in GENERAL)


def test_the_named_case_is_three_equal_sides():
    (triangle,) = solve_triangle(spacing=18, manipulation_angle=60)
    assert triangle.left_length == pytest.approx(18) and triangle.right_length == pytest.approx(18)
    assert triangle.depth == pytest.approx(9 * 3**0.5) and triangle.offset == 0 and triangle.spacing == 18


# Common practice, no source: equal sides of 16, 18 and 20 cm put the target 13.8 (cut), 15.6 and 17.3 cm deep.
@pytest.mark.parametrize(("side", "deep"), [(16, 13.856), (18, 15.588), (20, 17.321)])
@pytest.mark.parametrize("pair", list(combinations(SYMMETRIC, 2)), ids="-".join)
def test_each_pair_gives_the_equal_sided_triangle(pair, side, deep):
    values = dict(zip(SYMMETRIC, (side, side, 60, side * 3**0.5 / 2), strict=True))
    (triangle,) = solve_triangle(**{name: values[name] for name in pair})
    assert triangle.depth == pytest.approx(deep, abs=1e-3)
    assert agree(triangle, Triangle(side, side, side, 60, values["depth"], 0), 1e-12)


# How many triangles share the three values: with the target between the ports, outside them, and on the midline.
# Counted on paper: each length known with the depth may slope either way, each angle known with the spacing is a circle.
SHAPES = {"between": (18.0, 3.0, 10.0), "outside": (12.0, 9.0, 8.0), "midline": (18.0, 0.0, 12.0)}
COUNTS = {
    ("spacing", "left_length", "right_length"): (1, 1, 1),
    ("spacing", "left_length", "manipulation_angle"): (1, 2, 1),
    ("spacing", "right_length", "manipulation_angle"): (1, 1, 1),
    ("spacing", "left_length", "depth"): (2, 2, 2),
    ("spacing", "right_length", "depth"): (2, 2, 2),
    ("spacing", "left_length", "offset"): (1, 1, 1),
    ("spacing", "right_length", "offset"): (1, 1, 1),
    ("spacing", "manipulation_angle", "depth"): (2, 2, 1),
    ("spacing", "manipulation_angle", "offset"): (1, 2, 1),
    ("spacing", "depth", "offset"): (1, 1, 1),
    ("left_length", "right_length", "manipulation_angle"): (1, 1, 1),
    ("left_length", "right_length", "depth"): (2, 2, 1),
    ("left_length", "right_length", "offset"): (1, 1, 0),
    ("left_length", "manipulation_angle", "depth"): (1, 1, 1),
    ("right_length", "manipulation_angle", "depth"): (1, 2, 1),
    ("left_length", "manipulation_angle", "offset"): (1, 2, 1),
    ("right_length", "manipulation_angle", "offset"): (1, 1, 1),
    ("left_length", "depth", "offset"): (1, 1, 1),
    ("right_length", "depth", "offset"): (1, 2, 1),
    ("manipulation_angle", "depth", "offset"): (1, 1, 1),
}


def test_every_triple_is_covered():
    assert set(COUNTS) == set(combinations(GENERAL, 3))


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("triple", COUNTS, ids="-".join)
def test_each_triple_finds_its_triangle_and_its_twin(triple, shape):
    triangle = built(*(SHAPES[shape][i] for i in (0, 1, 2)))
    known = {name: getattr(triangle, name) for name in triple}
    count = COUNTS[triple][list(SHAPES).index(shape)]
    if not count:
        with pytest.raises(ValueError, match="leave the spacing free"):
            solve_triangle(**known)
        return
    found = solve_triangle(**known)
    assert len(found) == count
    assert sum(agree(triangle, each, 1e-9) for each in found) == 1
    for each in found:
        assert residual(each) < 1e-14
        assert all(getattr(each, name) == value for name, value in known.items())  # the given values stand as they came


def test_two_answers_are_mirror_images_where_only_depth_and_angle_are_known():
    left, right = solve_triangle(spacing=18, manipulation_angle=50, depth=16)
    assert left.offset == -right.offset < 0 and left.left_length == pytest.approx(right.right_length)


def test_a_twin_without_bounds_does_not_hide_the_triangle():
    """From the longer length, angle and depth: the other foot of that length would need a port 1e15 cm away."""
    triangle = built(244.0, -366.0, 7.625)
    (found,) = solve_triangle(
        right_length=triangle.right_length, manipulation_angle=triangle.manipulation_angle, depth=triangle.depth
    )
    assert agree(found, triangle, 1e-9)


LENGTH = st.floats(0.01, 1000)
FOOT = st.floats(0.01, 2) | st.floats(-2, -0.01)
NEAR = st.sampled_from([1e-6, 1e-3, 1.0])  # how close to flat, and to a port or the midline


@given(s=LENGTH, foot=FOOT, deep=st.floats(0.01, 3), flat=NEAR, off=NEAR, edge=st.sampled_from([-0.5, 0, 0.5]))
@example(s=1, foot=-2, deep=0.03125, flat=1e-6, off=1, edge=-0.5)  # a needle of two lengths that differ by 2.4e-8 cm
@example(s=244, foot=-2, deep=0.03125, flat=1, off=1, edge=0.5)  # with a twin of 10 km, which is not shown
@settings(max_examples=draws(50, 100), deadline=None)
@pytest.mark.parametrize("triple", COUNTS, ids="-".join)
def test_every_answer_measures_as_it_says(triple, s, foot, deep, flat, off, edge):
    triangle = built(s, s * (edge + off * foot), s * deep * flat)
    try:
        found = solve_triangle(**{name: getattr(triangle, name) for name in triple})
    except ValueError:
        # Rounded to floats, a nearly flat triangle may no longer close; equal lengths at offset 0 leave the spacing free.
        free = triple == ("left_length", "right_length", "offset") and triangle.left_length == triangle.right_length
        assert flat < 1 or off < 1 or free
        return
    for each in found:
        assert residual(each) < 1e-9
    if flat == off == 1:
        assert any(agree(triangle, each, 1e-3) for each in found)


@given(a=LENGTH, angle=st.floats(5, 175), share=st.floats(-3, 1.5))
@settings(max_examples=draws(100, 200), deadline=None)
def test_one_length_angle_and_offset_have_all_the_roots_of_their_quartic(a, angle, share):
    # Independent: (a^2 - b^2)^2 = 4 x^2 (a^2 + b^2 - 2 a b cos(theta)) for the other length b = k a, sign of x that of a - b.
    c, x2 = cos(radians(angle)), share * share
    k = np.roots([1, 0, -2 - 4 * x2, 8 * x2 * c, 1 - 4 * x2])
    assume(abs(share) > 1e-3 and abs(share - 0.5) > 1e-3)
    others = sorted(z.real for z in k if abs(z.imag) < 1e-12 and z.real > 1e-9 and (z.real < 1) == (share > 0))
    assume(all(abs(one - other) > 1e-3 for one, other in combinations(k, 2)))
    if not others:
        with pytest.raises(ValueError, match="past the midline"):
            solve_triangle(left_length=a, manipulation_angle=angle, offset=share * a)
        return
    found = solve_triangle(left_length=a, manipulation_angle=angle, offset=share * a)
    assert sorted(t.right_length / a for t in found) == pytest.approx(others, rel=1e-6)


@given(s=LENGTH, foot=st.floats(-2, 2), deep=st.floats(0.01, 3))
@settings(max_examples=draws(50, 100), deadline=None)
def test_seen_in_a_mirror_left_and_right_change_places(s, foot, deep):
    triangle = built(s, s * foot, s * deep)
    here = solve_triangle(left_length=triangle.left_length, depth=triangle.depth, offset=triangle.offset)
    there = solve_triangle(right_length=triangle.left_length, depth=triangle.depth, offset=-triangle.offset)
    assert [(t.left_length, t.right_length, t.offset) for t in here] == [
        (t.right_length, t.left_length, -t.offset) for t in there
    ]


@pytest.mark.parametrize(
    ("known", "words"),
    [
        # no triangle closes: the reason and the nearest possible value
        ({"spacing": 10, "left_length": 10, "manipulation_angle": 90}, "the widest angle there is 90.0"),  # target on a port
        ({"spacing": 10, "manipulation_angle": 90, "offset": 5}, "the farthest is at 5.0 cm"),
        ({"spacing": 25, "inserted_length": 10}, r"Two lengths of 10 cm cannot span 25 cm; they span less than 20\.0 cm"),
        ({"spacing": 20, "inserted_length": 10}, "cannot span 20 cm"),
        ({"spacing": 5, "left_length": 20, "right_length": 10}, r"cannot meet across 5 cm; their spacing is more than 10\.0"),
        ({"inserted_length": 10, "depth": 12}, r"A length of 10 cm cannot reach 12 cm deep; it reaches at most 10\.0 cm"),
        ({"inserted_length": 10, "depth": 10}, "put both ports in one place"),
        ({"spacing": 8, "left_length": 20, "manipulation_angle": 60}, r"the widest angle there is 23\.6"),
        ({"spacing": 18, "left_length": 18, "manipulation_angle": 100}, r"the widest angle there is 90\.0"),
        ({"spacing": 18, "left_length": 10, "offset": 5}, r"is 14\.0 cm from the port\."),
        ({"spacing": 18, "manipulation_angle": 60, "depth": 20}, r"the deepest is at 15\.6 cm"),
        ({"spacing": 18, "manipulation_angle": 60, "offset": 12}, r"the farthest is at 10\.4 cm"),
        ({"spacing": 18, "manipulation_angle": 120, "offset": 9.5}, r"the farthest is at 9\.0 cm"),
        ({"left_length": 20, "right_length": 10, "offset": 4}, r"between 5\.0 and 15\.0 cm"),
        ({"left_length": 20, "right_length": 10, "offset": -8}, "towards the port of the shorter one"),
        ({"left_length": 20, "right_length": 10, "offset": 0}, "cannot put the target 0 cm from the midline"),
        ({"left_length": 0.2, "right_length": 17, "offset": 3}, r"; its offset lies between 8\.4 and 8\.6 cm, towards"),
        ({"left_length": 10, "manipulation_angle": 150, "depth": 8}, r"the angle there is below 126\.9"),
        ({"left_length": 20, "manipulation_angle": 60, "offset": 12}, r"at most 10.5 cm past it"),
        ({"right_length": 20, "manipulation_angle": 60, "offset": -12}, r"at most 10.5 cm past it"),
        ({"left_length": 20, "manipulation_angle": 120, "offset": 10}, r"at most 10\.0 cm past it"),
        ({"left_length": 10, "depth": 6, "offset": 9}, r"less than 8\.0 cm past it"),
        # free, flat, and slips
        ({"left_length": 20, "right_length": 20, "offset": 0}, "leave the spacing free"),
        ({"spacing": 18, "manipulation_angle": 0}, "At 0 degrees both instruments lie in one line"),
        ({"spacing": 18, "manipulation_angle": 180}, "At 180 degrees both instruments lie in one line"),
        (
            {"spacing": 18, "manipulation_angle": 200},
            r"^200 cannot be used; give an angle of more than 0 and less than 180 degrees \(manipulation_angle\)",
        ),
        ({"spacing": 18, "depth": 0}, r"0 cannot be used; give a length of more than 0 cm \(depth\)"),
        ({"spacing": -18, "depth": 3}, r"-18 cannot be used; give a length of more than 0 cm \(spacing\)"),
        ({"spacing": float("nan"), "depth": 3}, r"give a length.*\(spacing\)"),
        ({"spacing": [18, 20], "depth": 3}, r"give one number.*\(spacing\)"),
        ({}, "Too few values.*got none"),
        ({"spacing": 18}, "Too few values.*got spacing"),
        ({"spacing": 18, "left_length": 18}, "Too few values.*got spacing and left_length"),
        ({"spacing": 18, "inserted_length": 18, "depth": 15}, "Too many values: spacing and inserted_length are enough"),
        ({"spacing": 18, "left_length": 18, "right_length": 18, "depth": 1}, "left_length and right_length are enough"),
        ({"left_length": 20, "inserted_length": 18}, "inserted_length, which is two equal lengths"),
        ({"spacing": 1e6, "manipulation_angle": 0.001}, "beyond 1e\\+06 cm"),
    ],
)
def test_impossible_and_mistaken_values_are_named(known, words):
    with pytest.raises(ValueError, match=words) as error:
        solve_triangle(**known)
    assert str(error.value).endswith(".") and "\n" not in str(error.value)


def test_one_triangle_is_the_only_one_or_a_sentence_names_both():
    assert one_triangle(spacing=18, inserted_length=20) == solve_triangle(spacing=18, inserted_length=20)[0]
    with pytest.raises(
        ValueError, match=r"Two triangles fit, with ports 18.0 cm apart, offset -8.2 and 18.0 cm apart, offset 8.2"
    ):
        one_triangle(spacing=18, manipulation_angle=50, depth=16)


@pytest.mark.parametrize(
    ("known", "name", "edge", "side"),
    [
        ({"inserted_length": 10}, "spacing", 20, -1),
        ({"left_length": 20, "right_length": 10}, "spacing", 10, 1),
        ({"spacing": 8, "left_length": 20}, "manipulation_angle", np.degrees(np.arcsin(0.4)), -1),
        ({"spacing": 18, "manipulation_angle": 60}, "depth", 9 / tan(pi / 6), -1),
        ({"spacing": 18, "manipulation_angle": 60}, "offset", 9 / sin(pi / 3), -1),
        ({"left_length": 20, "right_length": 10}, "offset", 15, -1),
        ({"left_length": 10, "depth": 8}, "manipulation_angle", 90 + np.degrees(np.arccos(0.8)), -1),
        ({"left_length": 10, "depth": 6}, "offset", 8, -1),
    ],
)
def test_just_inside_the_edge_there_is_a_triangle_and_just_outside_none(known, name, edge, side):
    assert max(map(residual, solve_triangle(**known, **{name: edge * (1 + side * 1e-4)}))) < 1e-9
    with pytest.raises(ValueError):
        solve_triangle(**known, **{name: edge * (1 - side * 1e-4)})


def test_reads_with_one_decimal_and_units():
    (triangle,) = solve_triangle(spacing=18, inserted_length=20)
    assert repr(triangle) == (
        "Triangle(spacing 18.0 cm, left length 20.0 cm, right length 20.0 cm, manipulation angle 53.5°, depth 17.9 cm, "
        "offset 0.0 cm)"
    )

"""Every closed form: proven by sympy, checked in space, solved for each symbol, and caught when a sign is wrong."""

import re
import subprocess
import sys
from dataclasses import replace
from functools import cache

import mpmath
import numpy as np
import pytest
import sympy as sp
from draws import draws
from skspatial.objects import Line, Plane, Points, Sphere, Vector
from skspatial.objects import Triangle as SpatialTriangle

from ergokit.relations import RELATIONS
from ergokit.relations.relation import ProofError, Relation, vanishes

NAMES = list(RELATIONS)
EVERYWHERE = {
    "cosine_rule",
    "offset_from_lengths",
    "offset_and_depth",
    "angle_at_offset",
    "same_angle_circle",
    "same_angle_volume",
    "elevations_and_plan_angle",
    "elevations_and_azimuths",
    "elevations_and_tilt",
    "space_azimuth",
    "length_ratio",
    "tip_travel",
    "entry_angle",
}
INSIDE = {"same_angle_volume": 5.0}  # degrees: nearer to 180 its sum cancels, as its note says
UNSOLVED = {("same_angle_volume", "manipulation_angle")}  # transcendental: no closed solution exists


@cache
def exactly(equation, symbols):
    """The two sides of an equation, then all of their terms, as one function in mpmath."""
    terms = [term for side in equation.args for term in sp.Add.make_args(side)]
    return sp.lambdify(symbols, [*equation.args, *terms], "mpmath")


def residual(relation, values):
    """Disagreement of the two sides at 40 digits, apart from the relation's own arithmetic, as a share of the largest term."""
    with mpmath.workdps(40):
        units = [mpmath.pi / 180 if "degrees" in q.unit else 1 for q in relation.quantities]
        off_zero = mpmath.mpf("1e-35")  # what is divided by zero is then large
        exact = [off_zero + unit * float(values[q.name]) for q, unit in zip(relation.quantities, units, strict=True)]
        left, right, *terms = exactly(relation.equation, tuple(q.symbol for q in relation.quantities))(*exact)
        if min(abs(left), abs(right)) > 1e12:  # the tangent of a right angle
            return 0.0
        # where every term is zero, of 1e-8
        return float(abs(left - right) / max(1e-8, *map(abs, terms)))


def measured(relation, n=1000, seed=7):
    values = relation.placements(np.random.default_rng(seed), n)
    return {q.name: np.asarray(values[q.name]) for q in relation.quantities}


@pytest.mark.parametrize("name", NAMES)
def test_proven(name):
    relation = RELATIONS[name]  # where it cannot be proven this fails, as wrong steps and equations do below
    assert relation.steps and relation.title and relation.holds.endswith(".")
    assert {q.symbol for q in relation.quantities} == relation.equation.free_symbols
    assert set(relation.uses) <= set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_checked(name):
    assert RELATIONS[name].check(n=1000, seed=0) <= 1e-9


@pytest.mark.parametrize("name", NAMES)
def test_does_not_hold_elsewhere(name):
    counterexample = RELATIONS[name].counterexample
    assert (counterexample is None) == (name in EVERYWHERE)
    if counterexample:
        assert not counterexample["holds"] and counterexample["disagreement"] > 1e-3


@pytest.mark.parametrize("name", NAMES)
def test_solved_for_every_symbol(name):
    relation = RELATIONS[name]
    values = measured(relation)
    for quantity in relation.quantities:
        known = {each: value for each, value in values.items() if each != quantity.name}
        if (name, quantity.name) in UNSOLVED:
            assert relation.solve_for(quantity.symbol) == []
            with pytest.raises(ValueError, match="no closed solution"):
                relation.evaluate(**known)
            continue
        branches = relation.solve_for(quantity.name)
        assert branches and branches == relation.solve_for(quantity.symbol)
        found = relation.evaluate(quantity.name, **known)
        found = np.array(found if isinstance(found, tuple) else [found])
        # one of the solutions is the measured value; near a double root half the digits are all there are
        off = np.nanmin(np.abs(found - values[quantity.name]), axis=0)
        assert np.max(off / np.maximum(np.abs(values[quantity.name]), 1)) < 1e-6
        # and every solution satisfies the equation
        assert all(
            residual(relation, {k: v[0] for k, v in known.items()} | {quantity.name: each}) < 1e-9
            for each in found[:, 0]
            if each == each
        )


@pytest.mark.parametrize("name", NAMES)
def test_edges_of_the_ranges(name):
    relation = RELATIONS[name]
    values = {each: float(value[0]) for each, value in measured(relation, n=1).items()}
    for quantity in relation.quantities:
        for edge, bracket, inwards in ((quantity.low, "[", 1), (quantity.high, "]", -1)):
            if np.isinf(edge):
                continue
            others = [q.name for q in relation.quantities if q is not quantity and (name, q.name) not in UNSOLVED]
            for wanted in others:
                known = {each: value for each, value in values.items() if each != wanted}
                if bracket not in quantity.edges:
                    with pytest.raises(ValueError, match=rf"^{edge:g} cannot be used.*\({quantity.name}\)"):
                        relation.evaluate(**known | {quantity.name: edge})
                at_edge = known | {
                    quantity.name: edge if bracket in quantity.edges else edge + INSIDE.get(name, 1e-4) * inwards
                }
                try:
                    found = relation.evaluate(**at_edge)
                except ValueError as error:
                    assert re.match(f"No {wanted} fits ", str(error))
                    continue
                for each in found if isinstance(found, tuple) else (found,):
                    assert np.isnan(each) or residual(relation, at_edge | {wanted: each}) < 1e-6


def wrong_signs(expression):
    """The expression with one term of one of its sums negated, and negated as a whole."""
    yield -expression
    for node in sp.preorder_traversal(expression):
        if isinstance(node, sp.Add):
            for term in node.args:
                yield expression.xreplace({node: node - 2 * term})


@pytest.mark.parametrize("name", NAMES)
def test_a_wrong_sign_is_caught_by_proof_and_by_check(name, monkeypatch):
    relation = RELATIONS[name]
    wrong = [sp.Eq(relation.equation.lhs, each, evaluate=False) for each in wrong_signs(relation.equation.rhs)]
    wrong = wrong[-draws(1, len(wrong)) :]  # the last has one term of a sum negated, if there is a sum
    for equation in wrong:
        with pytest.raises(ProofError):
            replace(relation, equation=equation, steps=())  # those are proven already
    monkeypatch.setattr(Relation, "prove", lambda self: None)
    for equation in wrong:
        assert not replace(relation, equation=equation).check(n=100) <= 1e-9


def test_a_wrong_step_is_an_error():
    relation = RELATIONS["spacing_from_length"]
    for i, (prose, claim) in enumerate(relation.steps):
        wrong = sp.Eq(claim.lhs, 2 * claim.rhs, evaluate=False)
        steps = (*relation.steps[:i], (prose, wrong), *relation.steps[i + 1 :])
        with pytest.raises(ProofError, match=re.escape(prose)):
            replace(relation, steps=steps)


def test_a_wrong_solution_is_an_error():
    relation = RELATIONS["spacing_from_length"]
    s, L, theta = (q.symbol for q in relation.quantities)
    almost = replace(relation, solutions={L: [s / (2 * sp.sin(theta / 2)) * (1 + sp.Rational(1, 10**8))]})
    with pytest.raises(ProofError, match="does not solve the equation"):
        almost.solve_for(L)


def test_what_sympy_cannot_show_is_not_taken_as_zero():
    x = sp.Symbol("x", real=True)
    assert vanishes(sp.sin(x) ** 2 + sp.cos(x) ** 2 - 1)
    assert not vanishes(sp.sqrt(x**2) - x)  # false for negative x
    assert not vanishes(sp.sin(x) ** 2 + sp.cos(x) ** 2 - 1 + sp.Rational(1, 10**12))


def test_a_placement_where_it_does_not_hold_is_refused_by_the_check():
    relation = RELATIONS["spacing_from_length"]
    stray = replace(relation, placements=lambda rng, n: relation.elsewhere(rng))
    with pytest.raises(ValueError, match="do not all meet: the two lengths inside are equal"):
        stray.check()


# Values from outside and by other means


@pytest.mark.parametrize(
    ("name", "known", "value", "within"),
    [
        # Common practice, no source: equal sides of 18 and 20 cm put the target 15.6 and 17.3 cm deep.
        ("depth_from_length", {"inserted_length": [18, 20], "manipulation_angle": 60}, [15.6, 17.3], 0.05),
        # Elementary geometry: the sides 13, 14, 15 have the cosine 198/390 opposite 14; 3, 4, 5 is right-angled.
        ("cosine_rule", {"spacing": [14, 5], "left_length": [13, 3], "right_length": [15, 4]}, [59.4898, 90], 1e-4),
        # Thales: the angle in a semicircle is a right angle. Euclid III.20-21: the same from everywhere on the arc.
        ("angle_at_offset", {"spacing": 10, "depth": [5, 4, 3], "offset": [0, 3, 4]}, [90, 90, 90], 1e-12),
        ("same_angle_circle", {"spacing": 10, "manipulation_angle": [30, 90, 150]}, [10, 5, 10], 1e-12),
        # Standard spherical trigonometry: sides of 45 and 45 degrees with 60 between them have cosine 3/4 opposite;
        # an octant has three right angles; on the equator the angle is the difference of longitude.
        (
            "elevations_and_plan_angle",
            {"left_elevation": [45, 0, 0], "right_elevation": [45, 0, 0], "plan_angle": [60, 90, 37]},
            [np.degrees(np.arccos(0.75)), 90, 37],
            1e-12,
        ),
        # A cube's body diagonal lies 35.26 degrees above its base, and two of them meet at 70.53 (crystallography).
        ("equal_elevations", {"elevation_angle": 35.26439, "plan_angle": 90}, 70.52878, 1e-4),
        # Frede et al., J Endourol 1999;13(3):191-198: trocars 6 to 12 cm apart, 25 to 10 cm inside; angles computed apart.
        ("spacing_from_length", {"spacing": [6, 12], "inserted_length": [25, 10]}, [13.8, 73.7], 0.05),
        # A published table of lenses for a picture 36 mm wide (list post of 1999-08-20): 24, 28, 35 and 50 mm.
        ("field_of_view", {"seen_width": 3.6, "working_distance": [2.4, 2.8, 3.5, 5]}, [73.740, 65.470, 54.432, 39.598], 1e-3),
        # A phone camera of 52.68 degrees shows 0.990 m at 1 m.
        ("field_of_view", {"working_distance": 100, "field_of_view": 52.68}, 99.0, 0.05),
        # Computed apart from this kit: visible width with a 70 degree lens at 5 to 15 cm.
        (
            "field_of_view",
            {"working_distance": [5, 7.5, 10, 12.5, 15], "field_of_view": 70},
            [7.0, 10.5, 14.0, 17.51, 21.01],
            6e-3,
        ),
        # Computed apart from this kit: the angle from above needed at elevations 0, 30, 45, 60 for 60, 45, 75 and 90 degrees.
        ("equal_elevations", {"elevation_angle": [0, 30, 45, 60], "manipulation_angle": 60}, [60, 70.53, 90, 180], 6e-3),
        ("equal_elevations", {"elevation_angle": [0, 30, 45, 60], "manipulation_angle": 45}, [45, 52.45, 65.53, 99.88], 6e-3),
        ("equal_elevations", {"elevation_angle": [0, 30, 45, 60], "manipulation_angle": 75}, [75, 89.33, 118.84, np.nan], 6e-3),
        ("equal_elevations", {"elevation_angle": [0, 30, 45, 60], "manipulation_angle": 90}, [90, 109.47, 180, np.nan], 6e-3),
        ("widest_angle", {"left_elevation": [30, 45, 60], "right_elevation": [30, 45, 60]}, [120, 90, 60], 1e-12),
        # The numbers the notes give.
        ("equal_elevations_and_tilt", {"instrument_plane_tilt": 60, "manipulation_angle": 60}, 48.59, 5e-3),
        (
            "display_angle",
            {"manipulation_angle": 60, "axis_to_instruments_plane": [90, 60, 45, 30, 15, 0]},
            [60, 67, 78, 98, 132, 180],
            0.5,
        ),
        ("angle_at_offset", {"spacing": 18, "depth": 15.6, "offset": 5}, 56.3, 0.05),
        ("angle_at_offset", {"spacing": 18, "depth": [20.6, 10.6], "offset": 0}, [47.2, 80.7], 0.05),
        ("widest_spacing", {"working_distance": 15, "manipulation_angle": 60}, 17.32, 5e-3),
        ("camera_at_middle", {"spacing": 20, "left_length": 20, "right_length": 20}, 17.32, 5e-3),
        ("flat_phone", {"depth": 17.3205, "camera_hole_up_panel": [0, 4, 6, 8.66, 10]}, [17.3, 16.9, 16.2, 15.0, 14.1], 0.05),
        (
            "widest_spacing_flat_phone",
            {"working_distance": 15, "camera_hole_up_panel": 8.66, "manipulation_angle": 60},
            20,
            1e-3,
        ),
        ("handle_separation", {"instrument_length": 36, "handle_reach": 10, "manipulation_angle": 60}, 46, 1e-12),
        # Pythagoras, and a bowl 10 wide at the rim and 5 deep is half a sphere of radius 5.
        ("wedge_base", {"side_a": 30, "side_b": 40}, 50, 1e-12),
        ("wedge_ridge_height", {"side_a": 30, "side_b": 40}, 24, 1e-12),
        ("dome_radius", {"base_radius": [5, 12], "rise": [5, 8]}, [5, 13], 1e-12),
        ("camera_port_distance", {"inserted_length": 20, "manipulation_angle": 120}, 20, 1e-12),
        # Worked by hand.
        (
            "scope_length_at_distance",
            {"port_to_target": 15.6, "working_distance": 10, "direction_of_view": [30, 45]},
            [6.12, 6.83],
            5e-3,
        ),
        ("scope_cone", {"port_to_target": 15.6, "working_distance": 10, "direction_of_view": 30}, 18.69, 5e-3),
        ("scope_angle_gained", {"port_to_target": 18, "working_distance": 10, "direction_of_view": 30}, 13.9, 0.05),
        (
            "scope_length_along_shaft",
            {"target_along_shaft": 14, "target_off_shaft": [5, 6], "direction_of_view": [30, 45]},
            [5.34, 8],
            5e-3,
        ),
        ("scope_post_turn", {"target_off_shaft": 5, "target_below_shaft": [3, 0, -3, 5]}, [53.13, 90, 126.87, 0], 5e-3),
        ("scope_distance_along_shaft", {"target_off_shaft": [5, 6], "direction_of_view": [30, 45]}, [10, 8.485], 1e-3),
    ],
)
def test_published_handbook_and_taught_values(name, known, value, within):
    assert RELATIONS[name].evaluate(**known) == pytest.approx(np.array(value), abs=within, nan_ok=True)


@pytest.mark.parametrize("seed", range(20))
def test_a_general_purpose_library_agrees(seed):
    rng = np.random.default_rng(seed)
    left, right, target = rng.uniform(-20, 20, (3, 3))
    triangle, ground = SpatialTriangle(left, right, target), Plane([0, 0, 0], [0, 0, 1])
    a, b, s = triangle.length("b"), triangle.length("a"), triangle.length("c")
    theta = np.degrees(triangle.angle("C"))
    h = Line.from_points(left, right).distance_point(target)
    x = Vector.from_points((left + right) / 2, target).dot(Vector(right - left).unit())
    rises = [
        np.degrees(np.arcsin(ground.distance_point_signed(port - target) / length)) for port, length in ((left, a), (right, b))
    ]
    normal = Plane.from_points(left, right, target).normal
    tilt = np.degrees(normal.angle_between([0, 0, 1]))
    evaluate = {name: RELATIONS[name].evaluate for name in NAMES}
    assert evaluate["cosine_rule"](spacing=s, left_length=a, right_length=b) == pytest.approx(theta, rel=1e-9)
    assert evaluate["angle_at_offset"](spacing=s, depth=h, offset=x) == pytest.approx(theta, rel=1e-9)
    assert evaluate["offset_from_lengths"](spacing=s, left_length=a, right_length=b) == pytest.approx(x, rel=1e-9)
    tilted = evaluate["elevations_and_tilt"](left_elevation=rises[0], right_elevation=rises[1], manipulation_angle=theta)
    assert tilted == pytest.approx(min(tilt, 180 - tilt), rel=1e-7)
    middle = Points([left, right]).centroid()
    assert evaluate["camera_at_middle"](spacing=s, left_length=a, right_length=b) == pytest.approx(
        middle.distance_point(target)
    )
    panel = Plane(left, rng.normal(size=3))
    entry = np.degrees(Vector.from_points(target, left).angle_between(panel.normal))
    found = evaluate["entry_angle"](inserted_length=a, panel_distance=panel.distance_point(target))
    assert found == pytest.approx(min(entry, 180 - entry), rel=1e-7)
    radius = rng.uniform(5, 20)
    rise = rng.uniform(0.1, 0.9) * radius
    rim, _ = Sphere([0, 0, 0], radius).intersect_line(Line([0, 0, radius - rise], [1, 0, 0]))
    assert evaluate["dome_radius"](base_radius=abs(rim[0]), rise=rise) == pytest.approx(radius)


# Use


@pytest.mark.parametrize(
    ("name", "known", "words"),
    [
        (
            "equal_elevations",
            {"manipulation_angle": 75, "elevation_angle": 60},
            r"No plan_angle fits manipulation_angle 75 degrees, elevation_angle 60 degrees; "
            r"nearest possible: manipulation_angle 60\.0 degrees or elevation_angle 52\.5 degrees\.",
        ),
        (
            "cosine_rule",
            {"spacing": 25, "left_length": 10, "right_length": 10},
            r"spacing 20\.0 cm, left_length 15\.0 cm or right",
        ),
        (
            "angle_per_depth",
            {"angle_per_depth": -20, "depth": 10},
            r"nearest possible: angle_per_depth -5\.7 degrees per cm or depth 2\.9",
        ),
        (
            "offset_from_lengths",
            {"offset": "far", "left_length": 20, "right_length": 18},
            r"'far' cannot be used; give a number of cm \(offset\)",
        ),
        ("flat_phone", {"depth": 17.3, "camera_hole_up_panel": 20}, r"depth 20\.0 cm or camera_hole_up_panel 17\.3 cm"),
        (
            "spacing_from_length",
            {"inserted_length": 10, "manipulation_angle": 180},
            "^180 cannot be used, as both instruments would lie in one line",
        ),
        (
            "spacing_from_length",
            {"inserted_length": 10, "manipulation_angle": 0},
            "^0 cannot be used, as both instruments would lie in one line",
        ),
        (
            "spacing_from_length",
            {"inserted_length": 10, "manipulation_angle": 200},
            "^200 cannot be used; give more than 0 and less than 180 degrees",
        ),
        (
            "spacing_from_length",
            {"inserted_length": -1, "manipulation_angle": 60},
            r"-1 cannot be used; give more than 0 cm \(inserted_length\)",
        ),
        (
            "spacing_from_length",
            {"inserted_length": "long", "manipulation_angle": 60},
            "^'long' cannot be used; give more than 0 cm",
        ),
        (
            "spacing_from_length",
            {"inserted_length": float("nan"), "manipulation_angle": 60},
            "^nan cannot be used; give more than 0 cm",
        ),
        (
            "spacing_from_length",
            {"inserted_length": 10},
            "This relation links spacing, inserted_length, manipulation_angle; give all but the quantity sought",
        ),
        ("spacing_from_length", {}, "not none"),
        (
            "spacing_from_length",
            {"length": 10},
            r"'length' cannot be used; give one of spacing, inserted_length, .* \(symbol\)",
        ),
    ],
)
def test_impossible_and_mistaken_demands_are_named(name, known, words):
    with pytest.raises(ValueError, match=words) as error:
        RELATIONS[name].evaluate(**known)
    assert "\n" not in str(error.value)


def test_evaluate_takes_arrays_and_gives_nan_where_there_is_nothing():
    relation = RELATIONS["equal_elevations"]
    found = relation.evaluate(manipulation_angle=[45, 60, 75], elevation_angle=[[30], [60]])
    assert found.shape == (2, 3) and np.isnan(found).sum() == 1
    assert RELATIONS["spacing_from_length"].evaluate("spacing", inserted_length=20, manipulation_angle=60) == pytest.approx(20)
    with pytest.raises(ValueError, match="all but the quantity sought"):
        RELATIONS["spacing_from_length"].evaluate("inserted_length", inserted_length=20, manipulation_angle=60)


@pytest.mark.parametrize(
    ("name", "known", "value"),
    [
        ("offset_and_depth", {"spacing": 10, "depth": 5, "offset": 0}, 90),
        ("offset_and_depth", {"spacing": 10, "depth": 4, "offset": 3}, 90),
        ("space_azimuth", {"azimuth": 90, "axis_to_instruments_plane": 50}, 90),
        ("elevations_and_plan_angle", {"left_elevation": 0, "right_elevation": 20, "plan_angle": 90}, 90),
        ("equal_elevations_and_tilt", {"elevation_angle": 0, "manipulation_angle": 60}, 0),
        ("camera_hole_up_panel", {"working_distance": 15, "depth": 15, "camera_hole_up_panel": 0, "foot_up_panel": 0}, (0, 0)),
    ],
)
def test_right_angles_and_zeros_are_found(name, known, value):
    assert RELATIONS[name].evaluate(**known) == pytest.approx(value, abs=1e-6)


def test_two_solutions_come_back_together():
    near, far = RELATIONS["cosine_rule"].evaluate(spacing=18, left_length=20, manipulation_angle=60)
    assert (near, far) == pytest.approx((10 - 24**0.5, 10 + 24**0.5))
    one, none = RELATIONS["cosine_rule"].evaluate(spacing=18, left_length=10, manipulation_angle=60)[::-1]
    assert one == pytest.approx(5 + 249**0.5) and np.isnan(none)


@pytest.mark.parametrize("symbol", ["spacing", "depth"])
def test_sensitivity_is_the_slope_in_degrees_per_cm(symbol):
    relation = RELATIONS["spacing_from_depth"]
    at = {"spacing": 18.0, "depth": 15.6}
    slope = relation.sensitivity(symbol, **at)
    more, less = (relation.evaluate(**at | {symbol: at[symbol] + step}) for step in (1e-4, -1e-4))
    assert slope == pytest.approx((more - less) / 2e-4, rel=1e-7)
    closed = {"spacing": "angle_per_spacing", "depth": "angle_per_depth"}[symbol]
    assert slope == pytest.approx(RELATIONS[closed].evaluate(**at), rel=1e-12)
    with pytest.raises(ValueError, match="is the quantity sought"):
        relation.sensitivity("manipulation_angle", **at)


def test_sensitivity_of_a_length_to_an_angle_is_in_cm_per_degree():
    relation = RELATIONS["spacing_from_length"]
    at = {"inserted_length": 20.0, "manipulation_angle": np.array([30.0, 60.0])}
    steps = [relation.evaluate(**at | {"manipulation_angle": at["manipulation_angle"] + step}) for step in (1e-4, -1e-4)]
    assert relation.sensitivity("manipulation_angle", **at) == pytest.approx((steps[0] - steps[1]) / 2e-4, rel=1e-7)


@pytest.mark.parametrize("name", NAMES)
def test_reads_as_a_page(name):
    relation = RELATIONS[name]
    page = relation._repr_html_()
    assert page.count("<details>") == page.count("</details>") == 2 and page.count("$") % 2 == 0
    assert sp.latex(relation.equation) in page and relation.title in page
    assert all(q.name in page and q.meaning in page for q in relation.quantities)
    assert repr(relation).startswith(relation.title)


def test_nothing_is_built_before_it_is_used():
    code = """
import sys
from ergokit.relations import RELATIONS, solve_triangle, same_angle_surface
assert len(RELATIONS) >= 20 and "flat_phone" in RELATIONS and "flat_phone" in repr(RELATIONS)
assert "sympy" not in sys.modules, "importing the room loads sympy"
RELATIONS["spacing_from_depth"]
assert "sympy" in sys.modules
assert "ergokit.relations.symmetric" in sys.modules and "ergokit.relations.box" not in sys.modules
assert RELATIONS["spacing_from_depth"] is RELATIONS["spacing_from_depth"]
"""
    subprocess.run([sys.executable, "-c", code], check=True)
    with pytest.raises(KeyError):
        RELATIONS["unheard_of"]

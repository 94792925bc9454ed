"""`conflicts` against worked examples, a brute-force sampler, and its own claims (smallest, least, most room)."""

from functools import cache
from math import atan, cos, degrees, inf, radians, sin, sqrt, tan

import numpy as np
import pytest
from draws import draws
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

import ergokit as ek
from ergokit.guidance import conflicts
from ergokit.guidance.quantities import named_in

MA, S, L, H, D = "manipulation angle", "port spacing", "length inside", "depth", "working distance"
R, W, E, A, C = (
    "inside : outside",
    "handle separation",
    "elevation angle",
    "azimuth angle, working plane",
    "chord to camera port",
)
SEARCH = settings(max_examples=draws(30, 100), deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
SCOPE = {"camera": "scope"}
SETTINGS = (
    {},
    {"instrument_length": 33},
    {"camera_hole": 4.25},
    {"camera": "arc"},
    SCOPE,
    SCOPE | {"camera_hole": 4.25, "scope_length": 8},
)


def measured(left, right, target, camera, instrument_length=36, handle_reach=10):
    """The ten quantities, from the ground floor's functions of points; both hands are alike."""
    theta, inserted = ek.manipulation_angle(left, right, target), ek.inserted_length(left, target)
    return {
        MA: theta,
        S: ek.port_spacing(left, right),
        L: inserted,
        H: ek.depth(left, right, target),
        D: ek.working_distance(camera, target),
        R: ek.length_ratio(left, target, instrument_length),
        W: ek.handle_separation(left, right, target, instrument_length, handle_reach),
        E: ek.elevation_angle(left, target),
        A: ek.azimuth_angles(left, right, target, camera, measured_in="working")[0],
        C: 2 * inserted * np.sin(np.radians(theta) / 4),
    }


@cache
def samples(instrument_length=36, camera_hole=0, camera="panel", scope_length=33):
    """Many symmetric placements: level ports, the target on the floor, any angle, length and tilt, and any tip of a scope."""
    rng = np.random.default_rng(1)
    a, tilt, share = rng.uniform(0.001, 0.999, size=(3, 200_000)) * [[np.pi / 2], [np.pi / 2], [1]]
    inserted = share * instrument_length
    depth, half, zero = inserted * np.cos(a), inserted * np.sin(a), np.zeros_like(a)
    seen = depth > camera_hole
    height, ahead = depth * np.sin(tilt), depth * np.cos(tilt)
    wall = np.sqrt(np.where(seen, depth**2 - camera_hole**2, 1))
    advanced = rng.uniform(0, 1, size=a.shape) * np.minimum(wall, scope_length)
    lens = {"panel": wall, "arc": inserted, "scope": wall - advanced}[camera]
    # For the azimuth only the lens's side counts: the operator's. Its distance is `lens`.
    at = np.stack([zero, ahead - lens * np.cos(tilt), lens * np.sin(tilt)], -1)
    left, right = np.stack([-half, zero, height], -1), np.stack([half, zero, height], -1)
    values = measured(left, right, np.stack([zero, ahead, zero], -1), at, instrument_length)
    return {name: value[seen] for name, value in values.items()}


def meets(values, rules, slack=0.0):
    return np.all(
        [(values[name] >= low - slack) & (values[name] <= high + slack) for name, (low, high) in rules.items()], axis=0
    )


def met_by(result):
    p = result.placement
    return measured(p.left_port, p.right_port, p.target, p.camera, p.instrument_length, p.handle_reach)


def ends(low, high):
    return st.tuples(st.floats(low, high).map(lambda x: round(x, 1)), st.floats(low, high).map(lambda x: round(x, 1))).map(
        lambda pair: tuple(sorted(pair))
    )


INTERVALS = {
    MA: ends(5, 175),
    S: ends(1, 40),
    L: ends(2, 35),
    H: ends(1, 30),
    D: ends(1, 30),
    R: ends(0.1, 4),
    W: ends(5, 90),
    E: ends(0, 85),
    A: ends(5, 89),
    C: ends(1, 20),
}


@st.composite
def problems(draw, most=5):
    names = draw(st.lists(st.sampled_from(list(INTERVALS)), min_size=1, max_size=most, unique=True))
    rules = {name: draw(INTERVALS[name]) for name in names}
    one_sided = draw(st.sampled_from([None, None, "low", "high"]))
    if one_sided:
        low, high = rules[names[0]]
        rules[names[0]] = (low, inf) if one_sided == "low" else (-inf, high)
    return rules, draw(st.sampled_from(SETTINGS))


@given(problems())
@SEARCH
def test_never_infeasible_where_a_sample_fits_and_a_feasible_placement_meets_every_rule(problem):
    rules, setting = problem
    result = conflicts(rules, **setting)
    if not result.feasible:
        assert not meets(samples(**setting), rules).any()
    else:
        assert meets(met_by(result), rules, slack=3e-9)


@given(problems())
@SEARCH
def test_each_clash_is_a_clash_and_a_smallest_one(problem):
    rules, setting = problem
    result = conflicts(rules, **setting)
    assume(not result.feasible)
    assert result.clashes
    for clash in result.clashes:
        assert 1 <= len(clash.rules) <= 4 and clash.form and all(name in clash.words for name in clash.rules)
        part = {name: rules[name] for name in clash.rules}
        assert not conflicts(part, **setting).feasible
        for name in part:
            rest = {other: ends for other, ends in part.items() if other != name}
            assert not rest or conflicts(rest, **setting).feasible


@given(problems())
@SEARCH
def test_each_relaxation_restores_agreement_and_is_the_least_that_does(problem):
    rules, setting = problem
    result = conflicts(rules, **setting)
    assume(not result.feasible)
    for name, change in result.relaxations.items():
        low, high = rules[name]
        if change is None:
            assert not conflicts(rules | {name: (None, None)}, **setting).feasible
            continue
        moved = (change.needed, high) if change.end == "low" else (low, change.needed)
        assert conflicts(rules | {name: moved}, **setting).feasible
        short = 1e-5 if change.end == "low" else -1e-5
        less = (change.needed + short, high) if change.end == "low" else (low, change.needed + short)
        if change.by > 2e-5:
            assert not conflicts(rules | {name: less}, **setting).feasible


@given(problems())
@SEARCH
def test_ranges_are_what_the_samples_fill_and_their_ends_are_attained(problem):
    rules, setting = problem
    result = conflicts(rules, **setting)
    assume(result.feasible)
    values = samples(**setting)
    fits = meets(values, rules)
    for name, span in result.ranges.items():
        if span is None:  # an azimuth where only an upright plane is left
            assert name == A and not fits.any()
            continue
        if fits.any():
            assert values[name][fits].min() >= span[0] - 3e-6 and values[name][fits].max() <= span[1] + 3e-6
        for end in span:
            if end < inf:
                assert conflicts(
                    rules | {name: (max(end - 3e-6, rules.get(name, (-inf, inf))[0]), end + 3e-6)}, **setting
                ).feasible


@given(problems())
@SEARCH
def test_room_is_the_largest_common_shrinking(problem):
    rules, setting = problem
    result = conflicts(rules, **setting)
    assume(result.feasible)
    closed = {}  # a range without an end has the one that the rules give it
    for name, (low, high) in rules.items():
        least, most = result.ranges[name]
        closed[name] = (min(least, high) if low == -inf else low, max(most, low) if high == inf else high)
    assume(any(low < high for low, high in closed.values()))

    def shrunk(share):
        halves = {name: share * (low if high == inf else (high - low) / 2) for name, (low, high) in closed.items()}
        return {name: (low + halves[name], high - halves[name]) for name, (low, high) in closed.items()}

    assert 0 <= result.room <= 1
    if result.room > 1e-7:
        assert conflicts(shrunk(result.room - 1e-7), **setting).feasible
    if result.room < 1 - 1e-5:
        assert not conflicts(shrunk(result.room + 1e-5), **setting).feasible


# Worked examples. The numbers are arithmetic on the closed forms, written out beside each.


def test_sixty_degrees_and_twenty_centimetres_need_a_longer_working_distance():
    result = conflicts({MA: 60, S: 20, D: (7.5, 15)})
    assert not result.feasible and result.placement is None
    (clash,) = result.clashes
    assert set(clash.rules) == {MA, S, D} and clash.form == "tan(θ/2) = s/(2h); h = d"
    assert "port spacing of 20 cm with working distance at most 15 cm need θ ≥ 67.4" in clash.words
    distance, spacing, angle = (result.relaxations[name] for name in (D, S, MA))
    assert distance.end == "high" and distance.by == pytest.approx(10 * sqrt(3) - 15, abs=1e-9)  # 2.32
    assert spacing.end == "low" and spacing.needed == pytest.approx(2 * 15 * tan(radians(30)), abs=1e-9)  # 17.32
    assert angle.end == "high" and angle.needed == pytest.approx(2 * degrees(atan(20 / 30)), abs=1e-9)  # 67.38
    for text in (repr(result), result._repr_markdown_()):
        assert "by 2.3 cm" in text and "θ ≥ 67.4" in text and "not permission" in text


def test_sixty_degrees_and_the_advised_distances_leave_a_range_of_spacings():
    result = conflicts({MA: (60, 60), D: (7.5, 15)})
    assert result.feasible and not result.clashes
    assert result.ranges[S] == pytest.approx((2 * 7.5 * tan(radians(30)), 2 * 15 * tan(radians(30))), abs=1e-9)  # 8.66, 17.32
    assert met_by(result)[D] == pytest.approx(11.25) and result.room == 1
    for text in (repr(result), result._repr_markdown_()):
        assert "port spacing 8.7 to 17.3 cm" in text and "not permission" in text


def test_steep_shafts_cannot_open_a_wide_angle():
    result = conflicts({E: 60, MA: 75})
    assert result.clashes[0].form == "θ ≤ 180 - 2 ε" and set(result.clashes[0].rules) == {E, MA}
    assert result.relaxations[E].needed == pytest.approx(52.5) and result.relaxations[MA].needed == pytest.approx(60)


def test_ports_on_one_arc_do_not_give_the_angles_claimed_beside_them():
    layout = {D: (15, 20), L: (15, 20), C: (5, 7)}
    least, most = conflicts(layout, camera="arc").ranges[MA]
    assert (round(least, 1), round(most, 1)) == (28.7, 54.0)  # 4 asin(5/40), 4 asin(7/30)
    result = conflicts(layout | {MA: (60, 90)}, camera="arc")
    assert {frozenset(clash.rules) for clash in result.clashes} == {frozenset({D, C, MA}), frozenset({L, C, MA})}
    assert result.relaxations[C].needed == pytest.approx(30 * sin(radians(15)))  # 7.76
    assert result.relaxations[D] is None and result.relaxations[L] is None  # each alone leaves the other


@pytest.mark.parametrize(
    ("setting", "feasible"),
    [
        ({}, False),  # h = 18 cos 30 = 15.59, above 15
        ({"instrument_length": 33}, True),  # h = 16.5 cos 30 = 14.29
        ({"camera_hole": 4.25}, True),  # d = sqrt(15.5885^2 - 4.25^2) = 14.998
        ({"camera_hole": 4.2}, False),  # d = 15.012
    ],
)
def test_half_the_shaft_inside_at_sixty_degrees_within_fifteen_centimetres(setting, feasible):
    rules = {MA: 60, D: (None, 15), R: (1, None)}
    result = conflicts(rules, **setting)
    assert result.feasible == feasible
    if not feasible:
        assert {frozenset(clash.rules) for clash in result.clashes} == {frozenset(rules)}
    if not setting:  # 18 cm inside are needed, 15 / cos 30 = 17.32 allowed
        inside = 15 / cos(radians(30))
        assert result.relaxations[R].needed == pytest.approx(inside / (36 - inside))
        assert conflicts({MA: 60, D: (None, 15)}).ranges[L][1] == pytest.approx(17.3205080757)


def test_azimuth_of_ninety_is_a_limit_that_is_not_attained():
    assert conflicts({E: 60, MA: 60}).feasible and conflicts({E: 60, MA: 60}).ranges[A] is None
    result = conflicts({E: 60, MA: 60, A: (0, 90)})
    assert not result.feasible and result.relaxations[A] is None
    assert not conflicts({A: 90}).feasible and conflicts({A: (89, 90)}).feasible


@pytest.mark.parametrize(
    ("rules", "setting"),
    [
        ({D: 18, MA: 75, E: (30, 50)}, {"camera": "arc"}),
        ({D: (11, 12), MA: 60, A: 40}, {"camera_hole": 4}),
        (
            {H: (8, 9), A: (60, 70), MA: (40, 60)},
            {"camera_hole": 7},
        ),  # so steep that only a camera hole below the ports is on the right side
    ],
)
def test_the_camera_of_the_placement_stands_where_the_rules_want_it(rules, setting):
    result = conflicts(rules, **setting)
    ends = {name: value if isinstance(value, tuple) else (value, value) for name, value in rules.items()}
    assert meets(met_by(result), ends, slack=3e-9)
    p = result.placement
    up = p.camera - (p.left_port + p.right_port) / 2
    assert np.hypot(*up[1:]) == pytest.approx(setting.get("camera_hole", np.hypot(*up[1:])))
    if "camera_hole" in setting:  # a phone lying flat looks straight into the panel
        assert up @ (p.target - p.camera) == pytest.approx(0, abs=1e-9)


def test_four_rules_can_clash_where_any_three_agree():
    result = conflicts({L: (14, None), S: (None, 13), H: (None, 16), E: (None, 50), A: (50, None)})
    (clash,) = result.clashes
    assert set(clash.rules) == {L, S, E, A}
    # 2 asin(cos 50 sin 50) = 59.0 against 2 asin(13/28) = 55.3
    assert "θ ≥ 59.0 [sin(θ/2) = cos ε sin α]" in clash.words and "θ ≤ 55.3 [sin(θ/2) = s/(2L)]" in clash.words


@pytest.mark.parametrize("name", [S, L, H, D, R, W, C])
@pytest.mark.parametrize("setting", SETTINGS)
def test_no_length_can_be_0_and_the_least_that_can_be_is_named(name, setting):
    result = conflicts({name: 0}, **setting)
    assert not result.feasible and len(result.clashes) == 1
    change = result.relaxations[name]
    assert change.end == "high" and change.needed > 0
    assert conflicts({name: (0, change.needed)}, **setting).feasible


@pytest.mark.parametrize(("name", "form"), [(S, "s > 0"), (L, "L > 0"), (H, "h > 0"), (D, "h > 0, h = d")])
def test_a_length_of_0_cannot_be(name, form):
    assert conflicts({name: 0}).clashes[0].words == f"{name} of 0 cm cannot be [{form}]"


@pytest.mark.parametrize("beyond", [5e-10, 5e-9])
def test_ties_within_a_billionth_count_as_met(beyond):
    assert conflicts({MA: 60, L: 18, S: 18 + beyond}).feasible == (beyond < 1e-9)
    assert conflicts({L: (18, None), R: (None, 1 - beyond)}).feasible == (beyond < 1e-9)


@pytest.mark.parametrize(
    ("rules", "setting", "message"),
    [
        ({}, {}, r"give a mapping.*\(rules\)"),
        ([(MA, 60)], {}, r"give a mapping.*\(rules\)"),
        (
            {"manipulaton angle": 60},
            {},
            r"'manipulaton angle' cannot be used; give quantities out of port spacing, manipulation angle.* \(rules\)",
        ),
        ({MA: (75, 45)}, {}, r"give one number, or.*\(rules\['manipulation angle'\]\)"),
        ({MA: (float("nan"), 45)}, {}, "a high end that is no lower"),
        ({MA: "60"}, {}, r"^'60' cannot be used; give one number, or a low and a high end"),
        ({MA: (45, 60, 75)}, {}, r"cannot be used; give one number, or a low and a high end"),
        ({MA: 60}, {"camera": "ceiling"}, r"'ceiling' cannot be used; give 'panel', 'arc' or 'scope' \(camera\)"),
        ({MA: 60}, SCOPE | {"scope_length": 0}, r"\(scope_length\)"),
        ({MA: 60}, {"camera": "arc", "camera_hole": 3}, r"give 0 cm.*\(camera_hole\)"),
        ({MA: 60}, {"camera_hole": 36}, r"36 cannot be used; give less than the instrument_length of 36 cm \(camera_hole\)"),
        ({MA: 60}, {"instrument_length": 0}, r"\(instrument_length\)"),
    ],
)
def test_bad_arguments_are_refused_in_one_sentence(rules, setting, message):
    with pytest.raises(ValueError, match=message):
        conflicts(rules, **setting)


def test_a_rule_may_name_any_of_the_ten_quantities_and_all_at_once():
    p = ek.Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 0, 12))
    values = measured(p.left_port, p.right_port, p.target, p.camera)
    assert set(values) == set(named_in("conflicts"))
    result = conflicts({name: (0.98 * value, 1.02 * value) for name, value in values.items()})
    assert result.feasible and result.room > 0.9
    assert result.ranges[MA][0] < 59.8981638998 < result.ranges[MA][1]  # the first of the worked placements


@pytest.mark.parametrize(("camera_hole", "shaft"), [(1, 36), (4.25, 36), (8, 33), (20, 36), (30, 36), (90, 100)])
def test_a_flat_phone_may_come_as_near_as_it_likes(camera_hole, shaft):
    """The depth only has to be more than the window's height up the panel, so the distance may be anything above 0."""
    setting = {"camera_hole": camera_hole, "instrument_length": shaft}
    low, high = conflicts({S: (5, 30)}, **setting).ranges[D]
    assert low == pytest.approx(0, abs=2e-6)
    assert high == pytest.approx(sqrt(shaft**2 - 2.5**2 - camera_hole**2), abs=1e-5)
    near = conflicts({S: (5, 30), D: (None, 1e-3)}, **setting)
    assert near.feasible and 0 < met_by(near)[D] <= 1e-3 + 1e-9
    assert not conflicts({D: (None, 0)}, **setting).feasible


def test_a_scope_is_advanced_where_a_lens_at_the_wall_is_too_far():
    """The working distance ends only the port's distance from below: the tip slides from there towards the target."""
    rules = {MA: 60, S: 20, D: (7.5, 15)}  # the port is 10 / tan 30 = 17.32 from the target
    assert not conflicts(rules).feasible
    result = conflicts(rules, **SCOPE)
    assert result.feasible and result.ranges[D] == pytest.approx((7.5, 15)) and met_by(result)[D] == pytest.approx(11.25)
    assert "0 degree scope of 33 cm" in repr(result) and "slid in as far as needed" in repr(result)
    assert "tip (0.0, 4.3, 8.0) cm" in repr(result)  # 11.25 of 17.32 back along the line from (0, 12.25, 0) to (0, 0, 12.25)
    near = conflicts(rules | {D: (18, None)}, **SCOPE)
    assert [set(clash.rules) for clash in near.clashes] == [set(rules)] and near.clashes[0].form.startswith("tan(θ/2) = s/(2h)")
    assert near.relaxations[D].end == "low" and near.relaxations[D].needed == pytest.approx(10 * sqrt(3))
    short = conflicts(rules, **SCOPE, scope_length=2)  # its tip comes to 15.32
    assert short.relaxations[D].end == "high" and short.relaxations[D].needed == pytest.approx(10 * sqrt(3) - 2)
    assert conflicts({MA: 60, S: 20}, **SCOPE, scope_length=2).ranges[D] == pytest.approx((10 * sqrt(3) - 2, 10 * sqrt(3)))
    assert not conflicts({D: (None, 0)}, **SCOPE).feasible


@given(problems())
@SEARCH
def test_a_scope_holds_whatever_a_lens_at_the_wall_holds_and_stays_in_its_port(problem):
    rules, setting = problem
    setting = {name: value for name, value in setting.items() if name != "camera"}
    result = conflicts(rules, **setting | SCOPE)
    if not result.feasible:
        assert not conflicts(rules, **setting | {"camera": "panel"}).feasible
        return
    p, length = result.placement, setting.get("scope_length", 33)
    assert 0 <= p.scope.inserted_length <= length + 3e-9
    middle = (p.left_port + p.right_port) / 2
    wall, hole = p.target - p.camera_hole, p.camera_hole - middle
    assert np.linalg.norm(hole) == pytest.approx(setting.get("camera_hole", 0), abs=1e-9)
    assert wall @ hole == pytest.approx(0, abs=1e-9)  # square to the panel
    assert np.linalg.norm(np.cross(p.camera - p.camera_hole, p.target - p.camera_hole)) == pytest.approx(0, abs=1e-9)
    free = {name: ends for name, ends in rules.items() if name != D}
    if free and D in rules:  # a low end is met by the port, a high end by the length of the scope
        far = conflicts(free, **setting | {"camera": "panel"}).allowed(D)
        low, high = rules[D]
        assert far[1] >= low - 3e-9 and far[0] <= high + length + 3e-9


def test_what_each_rule_leaves_by_itself_shows_where_the_clash_comes_from():
    rules = {MA: 60, S: 20, D: (7.5, 15)}
    result = conflicts(rules)
    assert result.allowed(D) is None
    assert result.allowed(D, [D]) == (7.5, 15)
    assert result.allowed(D, [MA, S]) == pytest.approx([10 * sqrt(3)] * 2)
    low, high = result.allowed(D, [S])  # from θ = 180 to a shaft wholly inside
    assert low == pytest.approx(0, abs=1e-6) and high == pytest.approx(sqrt(36**2 - 10**2), abs=1e-5)
    met = conflicts({MA: 60, D: (7.5, 15)}, camera_hole=4)
    assert all(met.allowed(name) == met.ranges[name] for name in named_in("conflicts"))
    with pytest.raises(ValueError, match=r"'depth' cannot be used; give some of these rules, manipulation angle, .* \(names\)"):
        result.allowed(D, [H])
    with pytest.raises(
        ValueError, match=r"'distance' cannot be used; give one of port spacing, manipulation angle, .* \(quantity\)"
    ):
        result.allowed("distance")


def test_the_azimuth_names_its_plane():
    result = conflicts({A: (None, 20), MA: (60, None)})
    assert not result.feasible and "azimuth angle, working plane at most 20 degrees" in repr(result)
    with pytest.raises(ValueError, match=r"^'azimuth angle' cannot be used; .*azimuth angle, working plane"):
        conflicts({"azimuth angle": 30})

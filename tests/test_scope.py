"""A scope's tip, axis and picture: against OpenCV, at 50 digits, and each of its three problems put back."""

import re

import numpy as np
import pytest
import references
from hypothesis import assume, given
from hypothesis import strategies as st
from pinhole import held, thrown

from ergokit.relations import RELATIONS
from ergokit.view import Scope

NEAR = 2e-13

coordinate = st.floats(-20, 20)
point = st.tuples(coordinate, coordinate, coordinate)
direction = point.filter(lambda u: np.linalg.norm(u) > 0.1)
turn = st.floats(-180, 180)
views = st.sampled_from([0, 12, 25, 30, 45, 70, 90]) | st.floats(0, 90)


@st.composite
def scopes(draw):
    return Scope(draw(point), draw(direction), draw(st.floats(0, 25)), draw(views), draw(turn), draw(turn))


def arguments(number, seed=0):
    """Random scopes, a fifth of them with a shaft 1e-10 to 1e-1 off the vertical."""
    rng = np.random.default_rng(seed)
    shafts = rng.normal(size=(number, 3))
    steep = np.arange(number) % 5 == 0
    shafts[steep, :2] *= 10 ** rng.uniform(-10, -1, (steep.sum(), 1))
    usual = rng.choice([0, 12, 25, 30, 45, 70, 90], number)
    view = np.where(rng.random(number) < 0.5, usual, rng.uniform(0, 90, number))
    ports, turns = rng.uniform(-20, 20, (number, 3)), rng.uniform(-180, 180, (number, 2))
    return list(zip(ports, shafts, rng.uniform(0, 25, number), view, *turns.T, strict=True))


def steepness(shaft):
    """The sine of the shaft's angle to the vertical: near 0 "up" is lost, and with it where post and head point."""
    return np.hypot(*shaft[:2]) / np.linalg.norm(shaft)


def angle(u, v):
    return np.degrees(np.arctan2(np.linalg.norm(np.cross(u, v)), np.dot(u, v)))


def test_scopes_at_50_digits(number=1000):
    """Ten thousand of them in tests/slow."""
    for each in arguments(number):
        scope, exact = Scope(*each), references.scope(*each)
        found = {"light post": scope.light_post, "tip": scope.tip, "axis": scope.axis, "up": scope.up}
        for name, values in found.items():
            error = np.abs(values - np.array([float(part) for part in exact[name]])).max()
            assert error <= NEAR / (1 if name == "tip" else steepness(each[1])), (name, each)


def test_scopes_seen_by_opencv(number=1000):
    """Points of the picture are where a camera has them whose frame was turned by other means, head and post apart."""
    made = arguments(number, seed=1)
    _, shafts, _, *angles = map(np.array, zip(*made, strict=True))
    places = np.random.default_rng(1).uniform((-1, -0.5, 3), (1, 0.5, 20), (4, 3))
    for each, turned in zip(made, held(shafts, *angles), strict=True):
        scope = Scope(*each)
        camera = scope.camera(field_of_view=90)
        points = scope.tip + places[:, 2:] * (places[:, :2] @ [camera.right, camera.up] + camera.axis)
        image, ahead = thrown(points, scope.tip, turned, 90)
        bound = NEAR / steepness(each[1])
        assert np.abs(camera.project(points) - image).max() <= bound, each
        assert np.abs(ahead - places[:, 2]).max() <= 20 * bound


@given(scope=scopes())
def test_the_axis_is_the_view_off_the_shaft_and_away_from_the_post(scope):
    u = np.array(scope.shaft) / np.linalg.norm(scope.shaft)
    v = np.radians(scope.direction_of_view)
    np.testing.assert_allclose(scope.axis, np.cos(v) * u - np.sin(v) * scope.light_post, atol=1e-14)
    np.testing.assert_allclose([scope.light_post @ u, scope.axis @ scope.up], 0, atol=1e-12)
    np.testing.assert_allclose([np.linalg.norm(scope.up), np.linalg.norm(scope.axis)], 1, atol=1e-13)
    assert angle(scope.axis, u) == pytest.approx(scope.direction_of_view, abs=1e-6)
    np.testing.assert_allclose(scope.tip - scope.port, scope.inserted_length * u, atol=1e-12)


@given(scope=scopes(), post=turn, more=turn)
def test_turning_the_post_of_a_straight_scope_leaves_the_picture(scope, post, more):
    """A 0 degree scope has one picture whatever its post; an angled one swings its axis on a cone about the shaft."""
    straight = [Scope(scope.port, scope.shaft, 5, 0, each, scope.head_angle) for each in (post, more)]
    np.testing.assert_allclose(straight[0].axis, straight[1].axis, atol=1e-14)
    np.testing.assert_allclose(straight[0].up, straight[1].up, atol=1e-14)


@given(scope=scopes(), post=turn)
def test_turning_the_post_leaves_the_head_still(scope, post):
    """Carried back from axis to shaft the top of the picture is the head's up, which knows no post."""

    def head(one):
        u = np.array(one.shaft) / np.linalg.norm(one.shaft)
        hinge = np.cross(u, one.axis)
        back = np.cross(one.up, hinge) + one.up * (one.axis @ u) + hinge * (hinge @ one.up) / (1 + one.axis @ u)
        return back  # Rodrigues, with sine and cosine as products

    turned = Scope(scope.port, scope.shaft, scope.inserted_length, scope.direction_of_view, post, scope.head_angle)
    np.testing.assert_allclose(head(turned), head(scope), atol=1e-9)


@given(scope=scopes(), turn=turn)
def test_the_head_turns_the_picture_alone(scope, turn):
    """By its own angle, whatever the view and the post: the axis stays."""
    other = Scope(
        scope.port, scope.shaft, scope.inserted_length, scope.direction_of_view, scope.post_angle, scope.head_angle + turn
    )
    np.testing.assert_array_equal(other.axis, scope.axis)
    right = np.cross(scope.axis, scope.up)
    turned = np.degrees(np.arctan2(other.up @ right, other.up @ scope.up))
    assert abs((turned - turn + 180) % 360 - 180) < 1e-9


@pytest.mark.parametrize(
    "shaft, post, post_points, axis",
    [
        ((0, 1, 0), 0, (0, 0, 1), (0, 0.8660254, -0.5)),  # level, post up: looks down
        ((0, 1, 0), 90, (-1, 0, 0), (0.5, 0.8660254, 0)),  # post to the left: looks right
        ((0, 1, 0), 180, (0, 0, -1), (0, 0.8660254, 0.5)),
        ((0, 1, 0), -90, (1, 0, 0), (-0.5, 0.8660254, 0)),
        ((1, 0, 0), 90, (0, 1, 0), (0.8660254, -0.5, 0)),  # from the left side: its right is towards the operator
        ((0, 0, -1), 0, (0, 1, 0), (0, -0.5, -0.8660254)),  # straight down: up is away from the operator
        ((0, 0, 1), 0, (0, -1, 0), (0, 0.5, 0.8660254)),  # straight up: up is towards the operator
    ],
)
def test_how_the_post_is_counted(shaft, post, post_points, axis):
    scope = Scope((0, 0, 0), shaft, 5, post_angle=post)
    np.testing.assert_allclose(scope.light_post, post_points, atol=1e-15)
    np.testing.assert_allclose(scope.axis, axis, atol=1e-7)


def test_what_a_teacher_tells_of_30_degrees():
    """ "When you point the endoscope straight on an object ... the monitor image will show you what is slightly below" it; "aim
    the endoscope slightly higher": bart.sys.virginia.edu/hci/CT, "Driving the Camera", a page for medical students. Turned
    half round the scope looks above it, the axis 60 degrees from where it was (elementary)."""
    pointed = Scope((0, 0, 10), (0, 1, -0.2), 5)
    assert pointed.camera().project((0, 20, 6))[1] > 0  # on the shaft's line, so above the middle
    higher = Scope((0, 0, 10), (0, 1, 0.1), 5)
    assert abs(higher.camera().project((0, 20, 6))[1]) < pointed.camera().project((0, 20, 6))[1]
    assert angle(pointed.axis, Scope((0, 0, 10), (0, 1, -0.2), 5, post_angle=180).axis) == pytest.approx(60)


# The three problems


def in_the_middle(scope, target):
    """The target's place off the optical axis over what that is read from, as a share of its distance."""
    return np.linalg.norm(np.cross(scope.axis, np.subtract(target, scope.tip)))


@given(scope=scopes(), distance=st.floats(0.5, 20))
def test_along_a_shaft_the_scope_that_sees_the_target_is_found_again(scope, distance):
    """(i) There is one tip at most: whatever scope has the target in its middle is the one found."""
    assume(scope.direction_of_view > 1)
    target = scope.tip + distance * scope.axis
    off = distance * np.sin(np.radians(scope.direction_of_view))
    found = Scope.along_shaft(scope.port, scope.shaft, target, scope.direction_of_view, scope.head_angle)
    lost = 1e-12 / (np.sin(np.radians(scope.direction_of_view)) * min(off / 20, 1) * max(steepness(scope.shaft), 1e-16))
    assume(lost < 1e-3)
    assert found.inserted_length == pytest.approx(scope.inserted_length, abs=max(lost, 1e-10))
    turned = found.post_angle - scope.post_angle
    assert abs((turned + 180) % 360 - 180) < 60 * lost
    assert in_the_middle(found, target) < 1e-9


@given(port=point, target=point, share=st.floats(0.01, 1), view=views, swing=turn)
def test_at_a_distance_each_swing_has_its_scope(port, target, share, view, swing):
    """(ii) The tip is at the distance, the target in the middle, the shaft on the cone, whatever the swing."""
    sight = np.subtract(target, port)
    reach = np.linalg.norm(sight)
    assume(reach > 1)
    distance = share * reach
    scope = Scope.at_distance(port, target, distance, view, swing)
    assert scope.distance_to(target) == pytest.approx(distance, abs=1e-12)
    assume(steepness(scope.shaft) > 1e-6)
    assert in_the_middle(scope, target) < 1e-9
    sine = np.sin(np.radians(view))
    assert angle(scope.shaft, sight) == pytest.approx(np.degrees(np.arcsin(min(share * sine, 1))), abs=1e-5)
    assert angle(scope.axis, sight) == pytest.approx(scope.angle_gained(target), abs=1e-9)
    if 1 < view < 89 and share < 0.99:
        given = {"port_to_target": reach, "working_distance": distance, "direction_of_view": view}
        assert scope.inserted_length == pytest.approx(RELATIONS["scope_length_at_distance"].evaluate(**given), abs=1e-9)
        assert scope.angle_gained(target) == pytest.approx(RELATIONS["scope_angle_gained"].evaluate(**given), abs=1e-6)
        again = Scope.along_shaft(port, scope.shaft, target, view)
        np.testing.assert_allclose(again.tip, scope.tip, atol=1e-6)


@given(port=point, target=point, share=st.floats(0.1, 0.99), view=st.floats(5, 85))
def test_the_usual_swing_looks_down_from_above(port, target, share, view):
    """The shaft in the vertical plane of port and target, above their line, the post up."""
    sight = np.subtract(target, port)
    assume(np.hypot(*sight[:2]) > 1 and np.degrees(np.arctan2(sight[2], np.hypot(*sight[:2]))) < 0)
    scope = Scope.at_distance(port, target, share * np.linalg.norm(sight), view)
    assert scope.post_angle == pytest.approx(0, abs=1e-6)
    assert np.dot(np.cross(scope.shaft, sight), (0, 0, 1)) == pytest.approx(0, abs=1e-9)
    assert scope.light_post[2] > 0


def test_worked_by_hand():
    """D = 15.6, d = 10, v = 30: l = 6.12 and a half-angle of 18.69; D = 18, d = 10: the line of sight turns by 13.9."""
    scope = Scope.at_distance((0, 0, 15.6), (0, 0, 0), 10)
    assert scope.inserted_length == pytest.approx(6.12, abs=5e-3)
    assert angle(scope.shaft, (0, 0, -1)) == pytest.approx(18.69, abs=5e-3)
    assert Scope.at_distance((0, -18, 0), (0, 0, 0), 10).angle_gained((0, 0, 0)) == pytest.approx(13.9, abs=0.05)
    straight = Scope.at_distance((0, 0, 15.6), (0, 0, 0), 10, direction_of_view=0)
    assert straight.inserted_length == pytest.approx(5.6) and straight.angle_gained((0, 0, 0)) == 0
    at_port = Scope.at_distance((0, 0, 15.6), (0, 0, 0), 15.6)
    assert at_port.inserted_length == 0 and at_port.angle_gained((0, 0, 0)) == pytest.approx(0, abs=1e-9)


def test_nothing_is_lost_where_the_tip_is_near_the_port():
    reach = 15.6
    for short in 10.0 ** np.arange(-9, 0):
        distance = reach - short
        exact = references.mp
        d, v = exact.mpf(distance), exact.radians(30)
        length = -d * exact.cos(v) + exact.sqrt(exact.mpf(reach) ** 2 - (d * exact.sin(v)) ** 2)
        found = Scope.at_distance((0, 0, reach), (0, 0, 0), distance).inserted_length
        assert abs(found - float(length)) <= 1e-14 * float(length)


@pytest.mark.parametrize(
    "wrong, words",
    [
        (lambda: Scope((0, 0, 1), (0, 0, 0), 5), "give a direction"),
        (lambda: Scope((0, 0, 1), (0, 0, 1), -1), "-1 cannot be used; give a length of at least 0 cm (inserted_length)."),
        (
            lambda: Scope((0, 0, 1), (0, 0, 1), 5, 120),
            "120 cannot be used; give an angle of 0 to 90 degrees (direction_of_view).",
        ),
        (lambda: Scope((0, 0, 1), (0, 0, 1), 5, 30, "left"), "'left' cannot be used; give an angle in degrees (post_angle)."),
        (lambda: Scope.along_shaft((0, 0, 9), (0, 0, -1), (0, 0, 0)), "A 30 degree scope does not look along its shaft"),
        (lambda: Scope.along_shaft((0, 0, 9), (0, 0, -1), (0, 3, 0), 0), "The target is 3.0 cm beside the line of the shaft"),
        (
            lambda: Scope.along_shaft((0, 0, 9), (0, 0, -1), (0, 3, 0), 1e-300),
            "The target is 3.0 cm beside the line of the shaft",
        ),
        (
            lambda: Scope.along_shaft((0, 0, 9), (0, 0, -1), (0, 0, 0), 0),
            "A 0 degree scope has many places along this shaft; give the distance",
        ),
        (lambda: Scope.along_shaft((0, 0, 9), (0, 0, -1), (0, 9, 0)), "would be 6.6 cm outside the port"),
        (
            lambda: Scope.at_distance((0, 0, 9), (0, 0, 0), 9.1),
            "9.1 cannot be used; give at most the 9.0 cm from the port to the target (distance).",
        ),
        (lambda: Scope.at_distance((0, 0, 9), (0, 0, 9), 5), "The port and the target are both at (0.0, 0.0, 9.0)"),
        (lambda: Scope.at_distance((0, 0, 9), (0, 0, 0), 0), "0 cannot be used; give a length of more than 0 cm (distance)."),
    ],
)
def test_no_solution_is_one_clear_sentence(wrong, words):
    with pytest.raises(ValueError, match=re.escape(words)) as refusal:
        wrong()
    assert str(refusal.value).count(".") - str(refusal.value).count(". ") >= 1 and "\n" not in str(refusal.value)

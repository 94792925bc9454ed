"""The camera against a published lens table and the ground floor's own angles; against OpenCV see test_outside."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ergokit import display_angle, hand_eye_rotation
from ergokit.view import Camera, equivalent_distance, field_of_view, width_seen

coordinate = st.floats(-30, 30)
point = st.tuples(coordinate, coordinate, coordinate)
optics = {"field_of_view": st.floats(20, 130), "shape": st.floats(0.5, 2), "roll": st.floats(-180, 180)}


in_picture = {"x": st.floats(-1, 1), "y": st.floats(-1, 1), "distance": st.floats(2, 30)}
direction = point.filter(lambda aim: np.linalg.norm(aim) > 0.1)


@st.composite
def cameras(draw, **fixed):
    choices = {"position": point, "aim": direction} | optics | fixed
    return Camera(**{name: draw(values) for name, values in choices.items()})


def seen_from(camera, x, y, along):
    """The point at picture coordinates x, y, so far along the axis; made from the camera's public directions."""
    half = np.tan(np.radians(camera.field_of_view / 2))
    return camera.position + along * (camera.axis + half * (x * camera.right + y * camera.up))


@given(camera=cameras(roll=st.just(0.0)))
def test_horizon_is_level(camera):
    assume(np.hypot(*camera.axis[:2]) > 1e-6)
    assert abs(camera.right[2]) < 1e-12
    assert camera.up[2] > 0
    frame = np.array([camera.right, camera.up, camera.axis])
    np.testing.assert_allclose(frame @ frame.T, np.eye(3), atol=1e-12)
    np.testing.assert_allclose(np.cross(camera.right, camera.up), -camera.axis, atol=1e-12)  # not mirrored


@pytest.mark.parametrize(
    "aim, up", [((0, 0, -1), (0, 1, 0)), ((0, 0, 5), (0, -1, 0)), ((0, 1, 0), (0, 0, 1)), ((0, -3, 0), (0, 0, 1))]
)
def test_top_of_the_picture(aim, up):
    """Straight down: away from the operator; level: up; straight up: what a camera tipped back from level shows."""
    np.testing.assert_allclose(Camera((1, 2, 3), aim).up, up, atol=1e-15)


def test_roll_turns_the_camera_clockwise_and_the_picture_anticlockwise():
    camera = Camera((0, 0, 0), (0, 1, 0), roll=90, field_of_view=90)
    np.testing.assert_allclose(camera.project((0, 10, 5)), (-0.5, 0), atol=1e-15)  # what was above is now on the left


@given(camera=cameras(), left=point, right=point, **in_picture)
def test_angle_between_projected_shafts_is_the_display_angle(camera, left, right, x, y, distance):
    target = seen_from(camera, x, y, distance)
    shafts = np.array([left, right]) - target
    assume((np.linalg.norm(shafts, axis=1) > 1).all())
    near_tips = target + shafts * 1e-3  # near the target: in front of the camera whatever the ports are
    image = camera.project(near_tips) - camera.project(target)
    assume((np.linalg.norm(image, axis=1) > 1e-5).all())  # nearly end on, a shaft's image is a dot
    (a, b), (c, d) = image
    angle = np.degrees(np.arctan2(abs(a * d - b * c), a * c + b * d))
    assert display_angle(left, right, target, camera.position, aim=camera.aim) == pytest.approx(angle, abs=1e-5)


above_the_floor = st.tuples(coordinate, coordinate, st.floats(1, 30))
downwards = st.tuples(coordinate, coordinate, st.floats(-30, -2))


@given(camera=cameras(position=above_the_floor, aim=downwards, roll=st.just(0.0)))
def test_up_the_picture_on_the_floor_is_the_hand_eye_rotation(camera):
    centre, above = camera.on_plane([(0, 0), (0, 1e-3)])
    across, away = (above - centre)[:2]
    psi = hand_eye_rotation(camera.position, centre, aim=camera.aim)
    turned = np.degrees(np.arctan2(-across, away))
    assert abs((psi - turned + 180) % 360 - 180) < 1e-4


@given(camera=cameras())
def test_rolled_up_agrees_with_the_hand_eye_rotation(camera):
    assume(np.hypot(*camera.up[:2]) > 1e-3)
    psi = hand_eye_rotation(camera.position, (0, 0, 0), aim=camera.aim, up=camera.up)
    turned = np.degrees(np.arctan2(-camera.up[0], camera.up[1]))
    assert abs((psi - turned + 180) % 360 - 180) < 1e-8


def test_looking_straight_down_agrees_with_the_hand_eye_rotation():
    for roll in (0, 30, -100):
        camera = Camera((1, 2, 20), (0, 0, -1), roll=roll)
        up = None if roll == 0 else camera.up
        assert hand_eye_rotation(camera.position, (1, 2, 0), aim=camera.aim, up=up) == pytest.approx(-roll, abs=1e-12)


@given(camera=cameras(), shaft=direction, before=st.floats(0, 3), after=st.floats(0.01, 3), **in_picture)
def test_clipped_segment_is_what_a_walk_along_it_sees(camera, shaft, before, after, x, y, distance):
    inside = seen_from(camera, x, y / camera.shape, distance)
    start, end = inside - before * np.array(shaft), inside + after * np.array(shaft)
    walk = start + np.linspace(0, 1, 401)[:, None] * np.subtract(end, start)
    seen = camera.sees(walk) == "seen"
    ends = camera.project_segment(start, end)
    assume(seen.sum() > 1)
    seen_at = camera.project(walk[seen])
    assert (np.abs(ends) <= np.array([1, 1 / camera.shape]) + 1e-6).all()
    along = ends[1] - ends[0]
    assume(np.linalg.norm(along) > 1e-6)
    share = (seen_at - ends[0]) @ along / (along @ along)
    off_line = (seen_at - ends[0]) @ (along[1], -along[0]) / np.linalg.norm(along)
    np.testing.assert_allclose(off_line, 0, atol=1e-6)
    assert share.min() > -1e-6 and share.max() < 1 + 1e-6  # all that is seen lies on it, in order
    assert (np.diff(share) > -1e-9).all()
    for end_seen, first in ((seen[0], 0), (seen[-1], -1)):  # an end in the picture stays where it is
        if end_seen:
            np.testing.assert_allclose(ends[first], camera.project(walk[first]), atol=1e-6)


DOWN = Camera((0, 0, 20), (0, 0, -1), field_of_view=90, shape=2)


@pytest.mark.parametrize(
    "start, end, expected",
    [
        ((-5, 0, 0), (5, 0, 0), [(-0.25, 0), (0.25, 0)]),
        ((-90, 0, 0), (90, 0, 0), [(-1, 0), (1, 0)]),
        ((0, -90, 0), (0, 3, 0), [(0, -0.5), (0, 0.15)]),
        ((0, 0, 0), (0, 0, 40), [(0, 0), (0, 0)]),  # end on, through the lens
        ((0, 0, 20), (10, 0, 0), [(0.5, 0), (0.5, 0)]),  # from the lens itself: a dot
        ((-0.1, 0, 20.3), (0.2, 0, 19.4), [(1 / 3, 0), (1 / 3, 0)]),  # the same, where thirds are not exact
        ((3, 0, 0), (3, 0, 0), [(0.15, 0), (0.15, 0)]),  # no length
        ((10, 0, 0), (10, 0, 60), [(0.5, 0), (1, 0)]),  # ends behind the camera: leaves over the edge
    ],
)
def test_segments_worked_by_hand(start, end, expected):
    np.testing.assert_allclose(DOWN.project_segment(start, end), expected, atol=1e-12)


@pytest.mark.parametrize("start, end", [((30, 0, 0), (30, 5, 0)), ((0, 0, 25), (1, 0, 30)), ((-5, 0, 20), (5, 0, 20))])
def test_segments_out_of_the_picture(start, end):
    assert np.isnan(DOWN.project_segment(start, end)).all()


def test_everything_broadcasts():
    starts, ends = np.zeros((4, 1, 3)), np.ones((5, 3))
    assert DOWN.project_segment(starts, ends).shape == (4, 5, 2, 2)
    assert DOWN.project(np.zeros((4, 5, 3))).shape == (4, 5, 2)
    assert DOWN.sees(np.zeros((4, 5, 3))).shape == (4, 5)
    assert DOWN.on_plane(np.zeros((4, 5, 2))).shape == (4, 5, 3)
    assert isinstance(DOWN.sees((0, 0, 0)), str)


@given(position=point, target=point)
def test_a_camera_looking_at_its_target_has_it_in_the_middle(position, target):
    assume(np.linalg.norm(np.subtract(position, target)) > 1e-3)
    np.testing.assert_allclose(Camera.looking_at(position, target).project(target), 0, atol=1e-9)


def test_a_phone_lying_flat_looks_against_the_outward_normal():
    assert Camera.lying_flat((0, -9, 12), (0, -3, 4)) == Camera((0, -9, 12), (0, 3, -4))


def test_what_a_camera_sees_in_words():
    camera = Camera((0, 0, 20), (0, 0, -1), close_focus=10)
    points = [(0, 0, 0), (0, 0, 10), (0, 0, 11), (30, 0, 0), (9, 0, 15), (0, 0, 30), (0, 0, 20)]
    words = ["seen", "seen", "too near", "out of view", "out of view", "behind", "behind"]
    assert camera.sees(points).tolist() == words


def test_close_focus_counts_along_the_axis():
    camera = Camera((0, 0, 20), (0, 0, -1), field_of_view=100, close_focus=10)
    assert camera.sees([(10, 0, 9.99), (10, 0, 10.01)]).tolist() == ["seen", "too near"]


@given(camera=cameras(), normal=direction, **in_picture)
def test_on_plane_undoes_project(camera, normal, x, y, distance):
    place = seen_from(camera, x, y, distance)
    n = np.array(normal) / np.linalg.norm(normal)
    sight = place - camera.position
    assume(abs(sight @ n) > 1e-3 * np.linalg.norm(sight))  # seen along the plane, its place cannot be told
    assume(np.abs(place).max() < 1e3)
    np.testing.assert_allclose(camera.on_plane((x, y), place @ n, normal=normal), place, atol=1e-6)
    np.testing.assert_allclose(camera.project(place), (x, y), atol=1e-9)


def test_lines_of_sight_that_miss_the_plane():
    camera = Camera((0, 0, 20), (0, 1, 0), field_of_view=90)
    assert np.isnan(camera.on_plane([(0, 0), (0.3, 0.2)])).all()
    np.testing.assert_allclose(camera.on_plane([(0.5, -0.5), (0.5, 0.5)], height=10), [(10, 20, 10), (np.nan,) * 3])


@given(camera=cameras(), height=st.floats(-5, 5))
def test_outline_on_the_floor_holds_what_is_seen_of_it(camera, height):
    """Its corners lie on the floor, in the picture, no farther than the cut; what it leaves out is not seen, or is farther."""
    assume(abs(camera.position[2] - height) > 0.5)
    outline = camera.picture_on_plane(height, farthest=60)
    corners = outline.corners
    assert len(corners) in (0, 3, 4, 5)
    x, y = np.random.default_rng(1).uniform(-1, 1, (2, 400))
    seen = camera.on_plane(np.stack([x, y / camera.shape], axis=-1), height)
    near = (seen - camera.position) @ camera.axis <= 60  # False where a line of sight misses the floor
    assert near.all() or not outline.whole
    if outline.whole:
        assert len(corners) == 4
    if not len(corners):
        assert near.mean() < 0.02  # nothing but at most a sliver between the samples
        return
    np.testing.assert_allclose(corners[:, 2], height, atol=1e-7)
    assert ((corners - camera.position) @ camera.axis < 60 + 1e-6).all()
    image = camera.project(corners)
    assert (np.abs(image) <= np.array([1, 1 / camera.shape]) + 1e-7).all()
    edges = np.roll(corners, -1, axis=0)[:, :2] - corners[:, :2]
    to_samples = seen[near][:, None, :2] - corners[:, :2]
    side = (edges[:, 0] * to_samples[..., 1] - edges[:, 1] * to_samples[..., 0]) * np.sign(camera.position[2] - height)
    assert (side > -1e-4).all()


@pytest.mark.parametrize(
    "aim, roll, corners, whole",
    [
        ((0, 0, -1), 0, 4, True),
        ((1, 3, -3), 0, 4, True),
        ((0, 1, -0.2), 0, 4, False),  # level horizon across the picture
        ((0, 1, -0.2), 40, 5, False),  # slanting horizon that cuts off one corner
        ((0, 1, 0.3), 40, 3, False),  # or leaves one
        ((0, 0, 1), 0, 0, False),
    ],
)
def test_outline_and_the_horizon(aim, roll, corners, whole):
    outline = Camera((0, 0, 20), aim, roll=roll, field_of_view=60).picture_on_plane(farthest=500)
    assert (len(outline.corners), outline.whole) == (corners, whole)


def test_camera_in_the_plane_sees_none_of_it():
    assert Camera((0, 0, 0), (0, 1, 0)).picture_on_plane().corners.shape == (0, 3)
    assert np.isnan(Camera((0, 0, 0), (0, 1, -1)).on_plane((0, 0))).all()


# 35 mm format lens coverage table (mailing-list post 1999-08-20, leica-users.org v10/msg04586): width, height, diagonal
LENSES = {
    24: (73.740, 53.130, 84.062),
    28: (65.470, 46.397, 75.381),
    35: (54.432, 37.849, 63.440),
    50: (39.598, 26.991, 46.793),
}


@pytest.mark.parametrize("matched_on", ["diagonal", "width"])
@pytest.mark.parametrize("focal_length", LENSES)
def test_published_lens_table(focal_length, matched_on):
    assert field_of_view(focal_length, 3 / 2, matched_on) == pytest.approx(LENSES[focal_length], abs=1e-3)
    assert Camera((0, 0, 0), (0, 1, 0), field_of_view=LENSES[focal_length][0], shape=3 / 2).vertical_field_of_view == (
        pytest.approx(LENSES[focal_length][1], abs=1e-3)
    )


def test_phone_angles_as_published():
    """52.68 by 40.74 degrees, a phone's two angles from a question-and-answer page (weak source): a 4:3 picture."""
    camera = Camera((0, 0, 0), (0, 1, 0), field_of_view=52.68, shape=4 / 3)
    assert camera.vertical_field_of_view == pytest.approx(40.74, abs=0.01)


@given(focal_length=st.floats(5, 200), shape=st.floats(0.3, 3))
def test_conventions_keep_what_they_name(focal_length, shape):
    assert field_of_view(focal_length, shape).diagonal == pytest.approx(field_of_view(focal_length, 3 / 2).diagonal)
    matched = field_of_view(focal_length, shape, "width")
    assert max(matched[:2]) == pytest.approx(field_of_view(focal_length, 3 / 2).horizontal)
    if abs(shape - 1.5) > 0.01 and abs(shape - 1 / 1.5) > 0.01:
        assert abs(field_of_view(focal_length, shape).horizontal - matched.horizontal) > 1e-3


@given(distance=st.floats(1, 100), view=st.floats(5, 170), other=st.floats(5, 170))
def test_equivalent_distance_sees_the_same_width(distance, view, other):
    same = equivalent_distance(distance, view, other)
    assert width_seen(same, other) == pytest.approx(width_seen(distance, view))
    camera = Camera((0, 0, distance), (0, 0, -1), field_of_view=view)
    left, right = camera.on_plane([(-1, 0), (1, 0)])
    assert np.linalg.norm(right - left) == pytest.approx(width_seen(distance, view))


@pytest.mark.parametrize(
    "wrong, words",
    [
        (lambda: Camera((0, 0), (0, 0, -1)), "give three coordinates"),
        (
            lambda: Camera([(0, 0, 1), (0, 0, 2)], (0, 0, -1)),
            "An array of shape (2, 3) cannot be used; give only one x, y, z (position).",
        ),
        (lambda: Camera((0, 0, 1), (0, 0, 0)), "give a direction"),
        (
            lambda: Camera((0, 0, 1), (0, 0, -1), field_of_view=180),
            "give an angle of more than 0 and less than 180",
        ),
        (lambda: Camera((0, 0, 1), (0, 0, -1), roll="left"), "'left' cannot be used; give an angle in degrees (roll)."),
        (lambda: Camera((0, 0, 1), (0, 0, -1), shape=0), "give a width over a height"),
        (
            lambda: Camera((0, 0, 1), (0, 0, -1), close_focus=-1),
            "-1 cannot be used; give a length of at least 0 cm (close_focus).",
        ),
        (lambda: Camera.looking_at((0, 0, 1), (0, 0, 1)), "The camera and the target are both at (0.0, 0.0, 1.0)"),
        (lambda: Camera.lying_flat((0, 0, 1), (0, 0, 0)), "give a direction"),
        (lambda: DOWN.project((0, np.nan, 0)), "nan cannot be used; give three coordinates x, y, z in cm (point)."),
        (
            lambda: DOWN.on_plane((0, 0, 0)),
            "An array of shape (3,) cannot be used; give two picture coordinates x, y (picture).",
        ),
        (lambda: DOWN.picture_on_plane(farthest=0), "0 cannot be used; give a length of more than 0 cm (farthest)."),
        (lambda: DOWN.picture_on_plane(normal=(0, 0, 0)), "give a direction"),
        (lambda: field_of_view(26, matched_on="height"), "'height' cannot be used; give 'diagonal' or 'width' (matched_on)."),
        (lambda: field_of_view(0), "0 cannot be used; give a focal length of more than 0 mm (equivalent_focal_length)."),
        (
            lambda: width_seen(10, [60, 200]),
            "200 cannot be used; give an angle of more than 0 and less than 180 degrees (field_of_view).",
        ),
        (lambda: equivalent_distance(10, 60, 0), "give an angle"),
        (lambda: equivalent_distance(10, 60, 5e-324), "give an angle"),
    ],
)
def test_bad_arguments_are_refused_in_a_sentence(wrong, words):
    with pytest.raises(ValueError) as refusal:
        wrong()
    assert words in str(refusal.value)


def test_a_camera_is_a_value():
    camera = Camera(np.array([0, 0, 20]), [0, 0, -1])
    assert camera == Camera((0, 0, 20), (0, 0, -1)) and hash(camera) == hash(Camera((0, 0, 20), (0, 0, -1)))
    with pytest.raises(AttributeError):
        camera.roll = 10

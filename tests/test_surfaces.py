"""Boxes and domes against solid geometry's own values, and a carton worked by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ergokit import length_ratio, manipulation_angle, off_centre_angle, working_distance
from ergokit.surfaces import Dome, FlatBox, Surface, WedgeBox
from ergokit.view import Camera

size = st.floats(5, 60)
share = st.floats(-0.95, 0.95)
wedges = st.builds(WedgeBox, size, size, size)
flats = st.builds(FlatBox, size, size, size)
domes = st.builds(lambda a, b, m, w: Dome(a, b, m * min(a, b), w), size, size, st.floats(0.05, 1), st.floats(0, 20))
faces = wedges.flatmap(lambda box: st.sampled_from([(box, "a"), (box, "b")])) | (flats | domes).map(lambda box: (box, None))


RIM = 1e-6  # cm: where the skin of a half ball meets its rim it stands upright, and rounding in (u, v) shows as its square root


def on(face, across, up):
    """A place (u, v) of a face: shares of the way from the middle of its extent to its edge."""
    box, name = face
    low, high = box.outline_uv(name).min(axis=0), box.outline_uv(name).max(axis=0)
    if isinstance(box, Dome):
        across, up = across * 0.7, up * 0.7  # inside the round rim
    return (low + high) / 2 + np.array([across, up]) * (high - low) / 2


# Handbook: in a right triangle with legs b and c the altitude on the hypotenuse is b c / sqrt(b^2 + c^2) and divides it
# into b^2 / sqrt(b^2 + c^2) and the like for c; a worked example, 5-12-13 gives 60/13 (stemcalculators.app, geometric mean).
@pytest.mark.parametrize("side_a, side_b, base, altitude", [(5, 12, 13, 60 / 13), (40, 30, 50, 24), (30, 40, 50, 24)])
def test_wedge_is_the_handbook_right_triangle(side_a, side_b, base, altitude):
    box = WedgeBox(50, side_a, side_b)
    assert box.base == pytest.approx(base)
    assert box.ridge_height == pytest.approx(altitude)
    ridge = box.point(0, side_a, "a")
    np.testing.assert_allclose(ridge, (0, side_a**2 / base - base / 2, altitude), atol=1e-12)
    np.testing.assert_allclose(box.point(0, side_b, "b"), ridge, atol=1e-12)  # both panels end in the same ridge
    assert np.tan(np.radians(box.slope_a)) == pytest.approx(altitude / (side_a**2 / base))
    assert np.tan(np.radians(box.slope_b)) == pytest.approx(altitude / (side_b**2 / base))


@given(wedges)
def test_wedge_has_a_right_angle_at_the_ridge(box):
    assert box.slope_a + box.slope_b == pytest.approx(90)
    assert box.normal(0, 1, "a") @ box.normal(0, 1, "b") == pytest.approx(0, abs=1e-12)
    along_a = box.point(0, box.side_a, "a") - box.point(0, 0, "a")
    along_b = box.point(0, box.side_b, "b") - box.point(0, 0, "b")
    assert along_a @ along_b == pytest.approx(0, abs=1e-9)


def test_panel_a_faces_the_operator_and_each_panel_is_read_from_its_own_front():
    box = WedgeBox(50, 40, 30)
    assert box.faces == ("a", "b")
    assert box.normal(0, 1, "a")[1] < 0 < box.normal(0, 1, "b")[1]
    assert box.point(10, 5, "a")[0] == 10
    assert box.point(10, 5, "b")[0] == -10


@given(faces, share, share)
def test_normal_is_a_unit_vector_across_the_face_and_out_of_the_box(face, across, up):
    box, name = face
    u, v = on(face, across, up)
    normal = box.normal(u, v, name)
    assert np.linalg.norm(normal) == pytest.approx(1)
    step = 1e-5
    along_u = (box.point(u + step, v, name) - box.point(u - step, v, name)) / (2 * step)
    along_v = (box.point(u, v + step, name) - box.point(u, v - step, name)) / (2 * step)
    np.testing.assert_allclose([along_u @ normal, along_v @ normal], 0, atol=1e-6)
    assert np.cross(along_u, along_v) @ normal > 0  # right-handed as seen from outside: a sheet in (u, v) is no mirror image
    inside = (0, 0, box.bounds()[1, 2] / 4)
    assert (box.point(u, v, name) - inside) @ normal > 0


@given(faces, share, share)
def test_uv_undoes_point(face, across, up):
    box, name = face
    place = on(face, across, up)
    np.testing.assert_allclose(box.uv(box.point(*place, name), name), place, atol=1e-9)


@given(faces)
def test_outline_closes_and_holes_may_go_right_up_to_it(face):
    box, name = face
    edge = box.outline_uv(name)
    assert (edge[0] == edge[-1]).all()
    assert box.contains(*edge.T, face=name).all()
    middle = edge[:-1].mean(axis=0)
    assert not box.contains(*(middle + (edge - middle) * 1.001).T, face=name).any()
    np.testing.assert_allclose(box.outline(name), box.point(*edge.T, name))


@given(faces, share, share, st.floats(0.1, 3))
def test_a_hole_on_the_face_has_all_its_rim_on_it(face, across, up, radius):
    box, name = face
    u, v = on(face, across, up)
    turn = np.linspace(0, 2 * np.pi, 181)
    rim_on = box.contains(u + radius * np.cos(turn), v + radius * np.sin(turn), face=name).all()
    if box.contains(u, v, radius, name):
        assert rim_on
    elif not isinstance(box, Dome):
        assert not rim_on


def test_hole_just_fits():
    box = WedgeBox(50, 40, 30)
    assert box.contains([0, 24.4, 24.5, -24.5], [0.6, 20, 20, 20], 0.6).tolist() == [True, True, False, False]
    dome = Dome(15, 20, 6)
    assert dome.contains([14.4, 14.5], 0, 0.6).tolist() == [True, False]  # at the ends of the shorter half the limit is exact


# Spherical cap of base radius a and height m: sphere radius (a^2 + m^2) / (2 m), skin 2 pi R m, volume pi m (3 a^2 + m^2) / 6;
# worked example a = 3, m = 2: R = 3.25, skin 13 pi, volume 31 pi / 3 (calculatorlib.com, spherical cap).
def test_dome_is_the_handbook_cap():
    cap = Dome(3, 3, 2, wall=0)
    assert cap.sphere_radius == pytest.approx(3.25)
    out, round_ = np.meshgrid((np.arange(400) + 0.5) / 400 * 3, np.arange(24) * np.pi / 12)
    place, ring = (out * np.cos(round_), out * np.sin(round_)), out * 3 / 400 * np.pi / 12  # of a ring's piece, seen from above
    assert np.sum(ring / cap.normal(*place)[..., 2]) == pytest.approx(13 * np.pi, rel=1e-5)
    assert np.sum(ring * cap.point(*place)[..., 2]) == pytest.approx(31 * np.pi / 3, rel=1e-5)
    u, v = np.random.default_rng(3).uniform(-2, 2, (2, 50))
    to_centre = cap.point(u, v) - [0, 0, 2 - 3.25]
    np.testing.assert_allclose(np.linalg.norm(to_centre, axis=-1), 3.25)
    np.testing.assert_allclose(cap.normal(u, v), to_centre / 3.25)


@given(wedges, flats, domes)
def test_bounds(wedge, flat, dome):
    def standing(x, y, z):
        return [[-x / 2, -y / 2, 0], [x / 2, y / 2, z]]

    np.testing.assert_allclose(wedge.bounds(), standing(wedge.ridge, wedge.base, wedge.ridge_height), atol=1e-9)
    np.testing.assert_allclose(flat.bounds(), standing(flat.width, flat.depth, flat.height), atol=1e-9)
    extent = 2 * dome.half_width, 2 * dome.half_length, dome.wall + dome.rise
    np.testing.assert_allclose(dome.bounds(), standing(*extent), atol=RIM)


@given(domes)
def test_dome_stands_on_its_wall(dome):
    np.testing.assert_allclose(dome.outline()[:, 2], dome.wall, atol=RIM)
    assert dome.point(0, 0)[2] == pytest.approx(dome.wall + dome.rise)


def test_hemisphere_up_to_its_rim_and_a_rounding_error_beyond():
    half_ball = Dome(10, 10, 10, wall=0)
    np.testing.assert_allclose(half_ball.point([10, 10 + 5e-10], 0), [(10, 0, 0), (10, 0, 0)], atol=RIM)
    np.testing.assert_allclose(half_ball.normal([10, 10 + 5e-10], 0), [(1, 0, 0), (1, 0, 0)], atol=RIM)


@given(size, size, st.floats(0.05, 1))
def test_turning_a_dome_by_a_quarter_changes_nothing_else(width, length, share_of_rise):
    rise = share_of_rise * min(width, length)
    one_way, other_way = Dome(width, length, rise), Dome(length, width, rise)
    place = 0.4 * width, 0.3 * length
    np.testing.assert_allclose(one_way.point(*place), other_way.point(*place[::-1])[[1, 0, 2]])
    np.testing.assert_allclose(one_way.normal(*place), other_way.normal(*place[::-1])[[1, 0, 2]])


def test_everything_broadcasts():
    for box, name in ((WedgeBox(50, 40, 30), "b"), (FlatBox(40, 30, 20), "lid"), (Dome(15, 20, 6), "dome")):
        u, v = np.zeros((4, 1)), np.ones(5)
        assert isinstance(box, Surface)
        assert box.point(u, v, name).shape == box.normal(u, v, name).shape == (4, 5, 3)
        assert box.contains(u, v, face=name).shape == (4, 5)
        assert box.uv(box.point(u, v, name), name).shape == (4, 5, 2)
        assert np.ndim(box.contains(0, 1)) == 0


class TestCarton:
    """Section 40 x 30 cm, camera hole half-way up the 40 side, ports 20 cm apart 8.66 cm below it, a phone lying flat.

    The picture's middle falls 15 cm away on the floor (the phone's axis runs parallel to the 30 side, half its length), at
    sqrt(15^2 + 8.66^2 + 10^2) = 20 cm from the ports, which makes theta 2 asin(10 / 20) = 60. The targets off it follow by
    Pythagoras in the same way.
    """

    box = WedgeBox(ridge=50, side_a=40, side_b=30)
    left, right = box.point([-10, 10], 20 - 8.66)
    phone = Camera.lying_flat(box.point(0, 20), box.normal(0, 20))
    centre = phone.on_plane((0, 0))

    def measures(self, target):
        theta = manipulation_angle(self.left, self.right, target)
        return round(theta, 1), round(working_distance(self.phone.position, target), 1)

    def test_middle_of_the_picture_on_the_floor(self):
        np.testing.assert_allclose(self.centre, 0, atol=1e-12)  # half-way along the base
        assert self.measures(self.centre) == (60.0, 15.0)
        for port in (self.left, self.right):
            assert round(working_distance(port, self.centre), 1) == 20.0
            assert round(length_ratio(port, self.centre, 36), 2) == 1.25

    def test_targets_off_it(self):
        along_axis = self.phone.on_plane((0, 0), height=2)  # the floor raised by 2 cm
        assert self.measures(np.add(self.centre, (0, 0, 2))) == (62.0, 13.5)
        assert self.measures(along_axis) == (66.7, 12.5)
        assert self.measures(np.add(self.centre, (5, 0, 0))) == (57.0, 15.8)

    def test_phone_sees_up_the_panel_at_the_top(self):
        np.testing.assert_allclose(self.phone.up, (0, 0.8, 0.6), atol=1e-12)
        assert off_centre_angle(self.phone.position, self.centre, aim=self.phone.aim) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(
    "wrong, words",
    [
        (lambda: WedgeBox(0, 40, 30), "0 cannot be used; give a length of more than 0 cm (ridge)."),
        (lambda: WedgeBox(50, -4, 30), "-4 cannot be used; give a length of more than 0 cm (side_a)."),
        (lambda: WedgeBox(50, 40, float("nan")), "nan cannot be used; give a length of more than 0 cm (side_b)."),
        (lambda: FlatBox(40, "30", 20), "'30' cannot be used; give a length of more than 0 cm (depth)."),
        (lambda: FlatBox([40, 50], 30, 20), "An array of shape (2,) cannot be used; give one number (width)."),
        (lambda: Dome(15, 20, 16), "16 cannot be used; give at most the shorter half of the dome, 15 cm (rise)."),
        (lambda: Dome(15, 20, 6, wall=-1), "-1 cannot be used; give a length of at least 0 cm (wall)."),
        (lambda: WedgeBox(50, 40, 30).point(0, 1, face="c"), "'c' cannot be used; give 'a' or 'b' (face)."),
        (
            lambda: WedgeBox(50, 40, 30).point([0, 26], 31, face="b"),
            "A hole at u = 0, v = 31 cm misses panel b: u runs from -25 to 25 and v from 0 to 30 cm.",
        ),
        (
            lambda: FlatBox(40, 30, 20).normal(0, -15.1),
            "A hole at u = 0, v = -15.1 cm misses the lid: u runs from -20 to 20 and v from -15 to 15 cm.",
        ),
        (
            lambda: Dome(15, 20, 6).check_hole(12, 13),
            "A hole at u = 12, v = 13 cm misses the dome: (u / 15)² + (v / 20)² is at most 1.",
        ),
        (
            lambda: Dome(15, 20, 6).check_hole(0, [0, 19.5], radius=[0.6, 0.7]),
            "A hole of radius 0.7 cm at u = 0, v = 19.5 cm misses the dome",
        ),
        (lambda: FlatBox(40, 30, 20).contains("left", 0), "'left' cannot be used; give a place on the surface in cm (u)."),
        (lambda: FlatBox(40, 30, 20).contains(0, 0, radius=-1), "-1 cannot be used; give a length of at least 0 cm (radius)."),
        (lambda: FlatBox(40, 30, 20).uv((0, 0)), "give three coordinates x, y, z in cm"),
    ],
)
def test_bad_sizes_and_holes_are_refused_in_a_sentence(wrong, words):
    with pytest.raises(ValueError) as refusal:
        wrong()
    assert words in str(refusal.value)


def test_a_hole_that_fits_is_let_through():
    WedgeBox(50, 40, 30).check_hole([-24.4, 24.4], [0.6, 39.4], radius=0.6)


def test_a_surface_is_a_value():
    assert WedgeBox(50, 40, 30) == WedgeBox(50.0, 40.0, 30.0) != WedgeBox(50, 30, 40)
    assert "vessels, bladder or adhesions" in Dome.__doc__

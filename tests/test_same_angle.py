"""Targets of one manipulation angle: the surface, its mesh, and the zone between two angles."""

import mpmath
import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from ergokit import manipulation_angle
from ergokit.relations import angle_zone, same_angle_surface

PORTS = ((-9.0, 0.0, 12.0), (7.0, 3.0, 14.0))
ANGLES = [5.0, 30.0, 60.0, 90.0, 120.0, 150.0, 175.0]


def enclosed(surface):
    """Volume inside a closed mesh whose faces look outwards (divergence theorem)."""
    a, b, c = (surface.vertices[surface.faces[:, i]] - surface.left_port for i in range(3))
    return np.sum(a * np.cross(b, c)) / 6


@pytest.mark.parametrize("angle", ANGLES)
def test_every_vertex_of_the_mesh_has_the_angle(angle):
    surface = same_angle_surface(*PORTS, angle)
    measured = manipulation_angle(*PORTS, surface.vertices[1:-1])
    assert np.max(np.abs(measured - angle)) < 1e-9
    assert (surface.vertices[0] == PORTS[0]).all() and (surface.vertices[-1] == PORTS[1]).all()


@pytest.mark.parametrize("angle", ANGLES)
def test_the_mesh_is_closed(angle):
    faces = same_angle_surface(*PORTS, angle, around=7, along=5).faces
    edges = [tuple(edge) for face in faces.tolist() for edge in zip(face, face[1:] + face[:1], strict=True)]
    assert len(set(edges)) == len(edges)
    assert {edge[::-1] for edge in edges} == set(edges)  # each edge is walked once each way
    assert set(faces.ravel()) == set(range(2 + 7 * 4))


@pytest.mark.parametrize("angle", ANGLES)
def test_the_volume_is_that_of_the_mesh(angle):
    # A mesh inscribed with n steps lacks a share of about 1/n**2; from two of them the limit follows.
    coarse, fine = (enclosed(same_angle_surface(*PORTS, angle, around=n, along=n)) for n in (100, 200))
    surface = same_angle_surface(*PORTS, angle)
    assert 0 < surface.volume - fine < 2e-3 * surface.volume
    assert (4 * fine - coarse) / 3 == pytest.approx(surface.volume, rel=1e-5)


@pytest.mark.parametrize("angle", [30.0, 60.0, 90.0, 120.0])
def test_the_volume_is_what_random_targets_find(angle):
    surface = same_angle_surface(*PORTS, angle)
    low, high = surface.vertices.min(axis=0) - 0.1, surface.vertices.max(axis=0) + 0.1
    targets = np.random.default_rng(0).uniform(low, high, (200_000, 3))
    share = np.mean(manipulation_angle(*PORTS, targets) >= angle)
    spread = np.sqrt(share * (1 - share) / len(targets)) * np.prod(high - low)
    assert share * np.prod(high - low) == pytest.approx(surface.volume, abs=4 * spread)


@pytest.mark.parametrize("angle", [0.01, 1, 60, 89.999, 90, 120, 143, 144, 170, 179, 179.99])
def test_the_volume_keeps_its_digits(angle):
    with mpmath.workdps(50):
        theta = mpmath.mpf(angle) * mpmath.pi / 180
        a, radius = mpmath.mpf(9), 9 / mpmath.sin(theta)
        c = a * mpmath.cot(theta)
        exact = 2 * mpmath.pi * (c * (radius**2 * (mpmath.pi - theta) + a * c) + 2 * a**3 / 3)
    assert same_angle_surface((-9, 0, 0), (9, 0, 0), angle).volume == pytest.approx(float(exact), rel=1e-11)


def test_at_90_degrees_it_is_the_sphere_of_thales():
    # Thales: the angle in a semicircle is a right angle, so the ports span a diameter.
    surface = same_angle_surface((-9, 0, 0), (9, 0, 0), 90)
    assert np.linalg.norm(surface.vertices, axis=-1) == pytest.approx(9, rel=1e-14)
    assert surface.tube_radius == pytest.approx(9) and surface.centre_depth == pytest.approx(0, abs=1e-14)
    assert surface.volume == pytest.approx(4 / 3 * np.pi * 9**3)


def test_inscribed_angle_is_half_the_central_angle():
    # Euclid, Elements III.20: seen from the arc's centre the ports are twice as far apart in angle.
    surface = same_angle_surface((-9, 0, 0), (9, 0, 0), 60)
    centre = (0, surface.centre_depth, 0)
    assert manipulation_angle((-9, 0, 0), (9, 0, 0), centre) == pytest.approx(120)
    assert np.hypot(9, surface.centre_depth) == pytest.approx(surface.tube_radius)


POINT = st.tuples(*[st.floats(-30, 30)] * 3)


@given(left=POINT, right=POINT, target=POINT, angle=st.floats(1, 179))
@settings(max_examples=200, deadline=None)
def test_the_implicit_form_tells_wider_from_narrower(left, right, target, angle):
    theta = manipulation_angle(left, right, target)
    apart = [np.linalg.norm(np.subtract(*pair)) for pair in ((left, right), (left, target), (right, target))]
    assume(min(apart) > 0.1 and abs(theta - angle) > 1e-3)
    assert (same_angle_surface(left, right, angle, 3, 3).implicit(target) < 0) == (theta > angle)


def test_the_implicit_form_vanishes_on_the_surface():
    for angle in ANGLES:
        surface = same_angle_surface(*PORTS, angle)
        assert np.max(np.abs(surface.implicit(surface.vertices))) < 1e-12 * surface.tube_radius**2


def test_zone_contains_what_lies_between_its_surfaces():
    zone = angle_zone(*PORTS, 45, 75)
    targets = np.random.default_rng(1).uniform(-40, 40, (50, 40, 3))
    between = (zone.outer.implicit(targets) <= 0) & (zone.inner.implicit(targets) >= 0)
    assert zone.contains(targets).shape == (50, 40)
    assert (zone.contains(targets) == between).all() and 0.01 < between.mean() < 0.9
    assert zone.volume == zone.outer.volume - zone.inner.volume > 0
    assert not zone.contains(PORTS).any()


def test_reads_with_one_decimal_and_units():
    assert repr(same_angle_surface((-9, 0, 0), (9, 0, 0), 90)) == (
        "SameAngleSurface(angle 90.0°, tube radius 9.0 cm, volume 3053.6 cm³)"
    )
    assert repr(angle_zone((-9, 0, 0), (9, 0, 0), 60, 90)).startswith("AngleZone(60.0° to 90.0°, volume ")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"angle": 0}, r"^At 0 degrees both instruments would lie in one line; give .* \(angle\)"),
        ({"angle": 180}, "^At 180 degrees both instruments would lie in one line"),
        ({"angle": -5}, r"-5 cannot be used; give an angle of more than 0 and less than 180 degrees \(angle\)"),
        ({"angle": float("nan")}, r"\(angle\)"),
        ({"angle": [60, 70]}, r"give one number.*\(angle\)"),
        ({"right_port": PORTS[0]}, r"^Both ports are in one place; give two different places \(right_port\)"),
        ({"left_port": [PORTS[0]] * 2}, r"give only one x, y, z.*\(left_port\)"),
        ({"left_port": (1, 2)}, r"give three coordinates.*\(left_port\)"),
        ({"around": 2}, r"2 cannot be used; give a whole number from 3 to 2000 \(around\)"),
        ({"along": 4.5}, r"4.5 cannot be used; give a whole number from 3 to 2000 \(along\)"),
    ],
)
def test_slips_are_named(change, words):
    arguments = {"left_port": PORTS[0], "right_port": PORTS[1], "angle": 60} | change
    with pytest.raises(ValueError, match=words):
        same_angle_surface(**arguments)


def test_zone_bounds_in_the_wrong_order_are_named():
    with pytest.raises(ValueError, match=r"75 cannot be used; give an angle below the high end, 45 degrees \(low\)"):
        angle_zone(*PORTS, 75, 45)

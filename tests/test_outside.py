"""Numbers from outside the kit: each from a source it names or from a library it does not use, and each shown to be needed.

Every check gets the room of the kit it is about. It must agree with the room as it is, and must not with the same room when one
formula in it is bent, one slip in its source: a check that cannot tell the two proves nothing.
"""

import importlib
import re
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import NamedTuple

import numpy as np
import pytest
from pinhole import pictured
from scipy.integrate import quad
from scipy.optimize import brentq, minimize
from scipy.spatial.distance import euclidean
from scipy.spatial.transform import Rotation
from skspatial.objects import Line, Plane, Point, Sphere, Triangle, Vector

import ergokit

UP = np.array([0.0, 0.0, 1.0])
SKSPATIAL, SCIPY, OPENCV = "scikit-spatial", "scipy", "OpenCV"
LENSES = "35 mm format lens coverage table, mailing-list post of 1999-08-20, leica-users.org v10/msg04586"
RNG = np.random.default_rng(3)
PLACES = RNG.uniform((-20, -20, 0), (20, 20, 20), (4, 40, 3))  # left ports, right ports, targets, cameras
LEFT, RIGHT, TARGET, CAMERA = PLACES
NORMAL, SURFACE, AIM = RNG.normal(size=(3, 40, 3)) + 1.5 * UP
U, V, BACK = (list(map(Vector, ends - TARGET)) for ends in (LEFT, RIGHT, CAMERA))


class Outside(NamedTuple):
    """A check: whose number, the room, the slip in it, how near the two must be; `compare(room)` gives found and expected."""

    source: str
    room: str
    old: str
    new: str
    within: float
    compare: Callable


CHECKS = {}


def outside(source, room, old, new, within=1e-9):
    def keep(compare):
        CHECKS[compare.__name__.replace("_", " ")] = Outside(source, room, old, new, within, compare)
        return compare

    return keep


def agree(check, room):
    found, expected = (np.array(side, dtype=float) for side in check.compare(room))
    assert found.shape == expected.shape and found.size and np.isfinite(expected).all()
    return bool((np.abs(found - expected) <= check.within).all())  # NaN is no agreement


def bent(check, monkeypatch):
    """The check's room with the slip in its source, beside the real one."""
    path = Path(ergokit.__file__).parent.joinpath(*check.room.split(".")).with_suffix(".py")
    text = path.read_text(encoding="utf-8")
    assert text.count(check.old) == 1, f"{check.room} no longer holds just one {check.old!r}: bend something else there"
    module = ModuleType(f"bent_{path.stem}")
    monkeypatch.setitem(sys.modules, module.__name__, module)  # where dataclasses look
    exec(compile(text.replace(check.old, check.new), f"{path.name}, bent", "exec"), module.__dict__)
    return module


def degrees(angles):
    return np.degrees(list(map(float, angles)))


def plane_of(normal):
    return Plane((0, 0, 0), normal)


def laid(vectors, normals):
    """Vectors as they lie on planes of these normals."""
    return [plane_of(normal).project_vector(vector) for vector, normal in zip(vectors, normals, strict=True)]


def between(first, second):
    return degrees(a.angle_between(b) for a, b in zip(first, second, strict=True))


def signed(first, second, about):
    """Turns from one to the other, both in the plane across `about`; scikit-spatial counts them anticlockwise about it."""
    return degrees(a.angle_signed_3d(b, c) for a, b, c in zip(first, second, about, strict=True))


def acute(angles):
    return np.minimum(angles, 180 - angles)


# Lengths and angles of a placement

TRI = "triangulation"
ACROSS = [u.cross(v) for u, v in zip(U, V, strict=True)]


@outside(SCIPY, TRI, "np.sqrt(_dot(a, a))", "np.sqrt(_dot(a, a) + a[0] * a[1] / 1e3)")
def distances(room):
    found = room.port_spacing(LEFT, RIGHT), room.inserted_length(LEFT, TARGET), room.working_distance(CAMERA, TARGET)
    return found, [list(map(euclidean, *ends)) for ends in ((LEFT, RIGHT), (LEFT, TARGET), (CAMERA, TARGET))]


@outside(SKSPATIAL, TRI, "along)), _norm(along))", "along)), _norm(u))")
def depth(room):
    lines = map(Line.from_points, LEFT, RIGHT)
    return room.depth(LEFT, RIGHT, TARGET), [line.distance_point(at) for line, at in zip(lines, TARGET, strict=True)]


@outside(
    SKSPATIAL, TRI, "_degrees(_norm(_cross(u, v)), _dot(u, v))", "_degrees(_norm(_cross(u, v)), _norm(u) * _norm(v))", 1e-6
)
def manipulation_angle(room):
    return room.manipulation_angle(LEFT, RIGHT, TARGET), between(U, V)


@outside(SKSPATIAL, TRI, "np.abs(_turn(u, v, _normal(normal)))", "np.abs(_turn(u, v, _normal(None)))", 1e-6)
def plan_angle(room):
    return room.plan_angle(LEFT, RIGHT, TARGET, normal=NORMAL), between(laid(U, NORMAL), laid(V, NORMAL))


@outside(SKSPATIAL, TRI, "_degrees(_dot(u, n), _norm(_cross(u, n)))", "_degrees(_dot(u, n), _norm(u) * _norm(n))", 1e-6)
def elevation_angle(room):
    return room.elevation_angle(LEFT, TARGET, normal=NORMAL), 90 - between(U, map(Vector, NORMAL))


@outside(SKSPATIAL, TRI, "_norm(_cross(across, n)), np.abs(_dot(across, n))", "_norm(_cross(across, n)), _dot(across, n)", 1e-6)
def instrument_plane_tilt(room):
    return room.instrument_plane_tilt(LEFT, RIGHT, TARGET, normal=NORMAL), acute(between(ACROSS, map(Vector, NORMAL)))


@outside(SKSPATIAL, TRI, "        side: float | np.ndarray = 1.0\n", "        side = -1.0\n", 1e-6)
def azimuths_in_the_instruments_plane(room):
    flat = laid(BACK, ACROSS)
    return room.azimuth_angles(LEFT, RIGHT, TARGET, CAMERA), [signed(U, flat, ACROSS), signed(V, flat, [-a for a in ACROSS])]


@outside(SKSPATIAL, TRI, "side = _side(u, v, about)", "side = np.ones_like(u[0])", 1e-6)
def azimuths_in_the_working_plane(room):
    about = [Vector(n) * np.sign(Vector(n).dot(across)) for n, across in zip(NORMAL, ACROSS, strict=True)]
    left, right, axis = (laid(part, NORMAL) for part in (U, V, BACK))
    found = room.azimuth_angles(LEFT, RIGHT, TARGET, CAMERA, "working", normal=NORMAL)
    return found, [signed(left, axis, about), signed(right, axis, [-a for a in about])]


@outside(SKSPATIAL, TRI, "return _angle(u, axis), _angle(v, axis)", "return _angle(u, axis), _angle(u, axis)", 1e-6)
def azimuths_in_space(room):
    return room.azimuth_angles(LEFT, RIGHT, TARGET, CAMERA, "space"), [between(U, BACK), between(V, BACK)]


@outside(
    SKSPATIAL, TRI, "np.abs(_dot(axis, across)), _norm(_cross(axis, across))", "np.abs(_dot(axis, across)), _norm(axis)", 1e-6
)
def optical_axis_to_the_instruments_plane(room):
    return room.axis_to_instruments_plane(LEFT, RIGHT, TARGET, CAMERA), 90 - acute(between(BACK, ACROSS))


@outside(SKSPATIAL, TRI, "_above(_axis_back(camera, target, aim), ", "_above(_axis_back(camera, target, None), ", 1e-6)
def view_angle(room):
    return room.view_angle(CAMERA, TARGET, normal=NORMAL, aim=AIM), 90 - between(
        [-Vector(aim) for aim in AIM], map(Vector, NORMAL)
    )


@outside(SKSPATIAL, TRI, "left, right = _cross(u, sight), _cross(v, sight)", "left, right = u, v", 1e-6)
def display_angle(room):
    def image(shaft, camera, target, picture):  # of a place on the shaft, thrown from the lens on a plane through the target
        place = Point(target) + shaft / 1000
        return Vector.from_points(target, picture.intersect_line(Line.from_points(camera, place)))

    pictures = list(map(Plane, TARGET, BACK))
    images = [[image(*each) for each in zip(shafts, CAMERA, TARGET, pictures, strict=True)] for shafts in (U, V)]
    return room.display_angle(LEFT, RIGHT, TARGET, CAMERA), between(*images)


@outside(SKSPATIAL, TRI, "_turn(facing, _cross(back, _cross(upright, back)), n)", "_turn(facing, upright, n)", 1e-6)
def hand_eye_rotation(room):
    tops = laid(laid([Vector(UP)] * 40, BACK), NORMAL)
    facing = laid([Vector((0, 1, 0))] * 40, NORMAL)
    return room.hand_eye_rotation(CAMERA, TARGET, normal=NORMAL), signed(facing, tops, map(Vector, NORMAL))


@outside(SKSPATIAL, TRI, "_norm(_cross(u, n)), np.abs(_dot(u, n))", "_norm(_cross(u, n)), _dot(u, n)", 1e-6)
def entry_angle(room):
    return room.entry_angle(LEFT, TARGET, SURFACE), acute(between(U, map(Vector, SURFACE)))


def hands(shafts):
    return [Line(target, shaft.unit()).to_point(t=70) for target, shaft in zip(TARGET, shafts, strict=True)]


@outside(SKSPATIAL, TRI, 'shaft + lengths("handle_reach"', 'shaft - lengths("handle_reach"')
def hand(room):
    return room.handle_position(LEFT, TARGET, 60, 10), hands(U)


@outside(SKSPATIAL, TRI, "return _norm(_minus(left, right))", "return _norm(_minus(left, -right))")
def handle_separation(room):
    return room.handle_separation(LEFT, RIGHT, TARGET, 60, 10), list(map(Point.distance_point, hands(U), hands(V)))


@outside(SKSPATIAL, TRI, "instrument_length, handle_reach)[..., 2][()]", "instrument_length, handle_reach)[..., 1][()]")
def handle_height(room):
    return room.handle_height(LEFT, TARGET, 60, 10), list(map(plane_of(UP).distance_point_signed, hands(U)))


@outside(SKSPATIAL, TRI, "(elbow + numbers(", "(elbow - numbers(")
def table_height(room):
    """The box is put on the table; the hands are then so far above the plane of the elbow, level above the room's floor."""
    handles = room.handle_height(LEFT, TARGET, 60, 10)
    raised = [np.add(at, (0, 0, table)) for at, table in zip(hands(U), room.table_height(104, handles, 5), strict=True)]
    return list(map(Plane((0, 0, 104), UP).distance_point_signed, raised)), [5] * 40


@outside(SCIPY, TRI, 'else _parts(directions("aim", aim)))', 'else _parts(-directions("aim", aim)))')
def off_centre_angle(room):
    turns = np.linspace(5, 175, 40)
    across = np.cross(BACK, AIM)
    about = across / np.linalg.norm(across, axis=1)[:, None] * np.radians(turns)[:, None]
    return room.off_centre_angle(CAMERA, TARGET, aim=Rotation.from_rotvec(about).apply(TARGET - CAMERA)), turns


@outside(
    "Pick DL et al., J Endourol 2004;18(6):572-575, abstract: from 11 + 6 cm up, 25 cm reach no farther than 18 cm",
    TRI,
    "instrument_length) - inserted_length(port, target)",
    "instrument_length) - 1.05 * inserted_length(port, target)",
)
def farthest_port(room):
    away = np.arange(10, 26)
    ports = np.stack([away, 0 * away, 0 * away + 11 + 6], axis=-1)
    return [away[room.outside_length(ports, (0, 0, 0), 25) >= 0].max()], [18]


# The camera


def both_pictures(room, aims, roll=0):
    """Picture coordinates by the room and by OpenCV, of points at least 1 cm ahead: OpenCV loses digits nearer by."""
    rng = np.random.default_rng(7)
    found, expected = [], []
    for aim in aims:
        position, field = rng.uniform(-20, 20, 3), rng.uniform(20, 130)
        points = rng.uniform(-50, 50, (200, 3))
        theirs, ahead = pictured(points, position, aim, field, roll)
        ours = room.Camera(position, aim, roll=roll, field_of_view=field).project(points)
        assert np.array_equal(np.isnan(ours), np.isnan(theirs))
        found.append(ours[ahead > 1])
        expected.append(theirs[ahead > 1])
    return np.concatenate(found), np.concatenate(expected)


@outside(
    OPENCV, "view.camera", "from_lens[..., :2] / (along * self._half_width)", "from_lens[..., :2] / (along + self._half_width)"
)
def picture(room):
    return both_pictures(room, AIM)


@outside(OPENCV, "view.camera", "right = np.cross(axis, upright)", "right = np.cross(upright, axis)")
def level_horizon(room):
    return both_pictures(room, [*AIM * [1, 1, -1], (0, 0, -1), (0, 0, 1), (0, -1, 0)])


@outside(OPENCV, "view.camera", "right * np.cos(turn) - up * np.sin(turn)", "right * np.cos(turn) + up * np.sin(turn)")
def camera_roll(room):
    return both_pictures(room, AIM, roll=35)


@outside(OPENCV, "view.camera", "top - up, top + up", "top - up, side + up")
def edge_of_the_picture(room):
    camera = room.Camera((1, -3, 30), (0.2, 0.5, -1), roll=20, field_of_view=55, shape=16 / 9)
    points = np.random.default_rng(1).uniform((-40, -40, 0), (40, 40, 10), (2000, 3))
    image, _ = pictured(points, camera.position, camera.aim, 55, 20)
    return camera.sees(points) == "seen", (np.abs(image) <= [1, 9 / 16]).all(axis=1)


@outside(
    OPENCV, "view.camera", "self.position + along[..., None] * sight", "self.position + along[..., None] * self.axis", 1e-6
)
def place_on_the_floor(room):
    floor = np.random.default_rng(2).uniform((-15, -15, 0), (15, 15, 0), (50, 3))
    image, _ = pictured(floor, (3, -8, 25), (-0.1, 0.3, -1), 70, -15)
    return room.Camera((3, -8, 25), (-0.1, 0.3, -1), roll=-15, field_of_view=70).on_plane(image), floor


_LENSES = {
    24: (73.740, 53.130, 84.062),
    28: (65.470, 46.397, 75.381),
    35: (54.432, 37.849, 63.440),
    50: (39.598, 26.991, 46.793),
}


@outside(
    LENSES,
    "view.camera",
    "width = np.hypot(36, 24) * shape / np.hypot(shape, 1)",
    "width = np.hypot(36, 24) * shape / (shape + 1)",
    1e-3,
)
def lenses_matched_on_the_diagonal(room):
    return [room.field_of_view(focal, 3 / 2) for focal in _LENSES], list(_LENSES.values())


@outside(LENSES, "view.camera", "else 36 * np.minimum(shape, 1)", "else 36 / np.maximum(shape, 1)", 1e-3)
def lenses_matched_on_the_width(room):
    return [room.field_of_view(focal, 3 / 2, "width") for focal in _LENSES], list(_LENSES.values())


@outside(
    LENSES,
    "view.camera",
    'return 2 * lengths("distance", distance) * np.tan(',
    'return 2 * lengths("distance", distance) * np.sin(',
    1e-4,
)
def width_of_a_frame_of_36_mm(room):
    return [room.width_seen(focal / 10, across) for focal, (across, _, _) in _LENSES.items()], [3.6] * 4


@outside(
    "a phone's 52.68 by 40.74 degrees, 4:3, from a question-and-answer page (weak source)",
    "view.camera",
    "np.arctan(self._half_width / self.shape)",
    "np.arctan(self._half_width) / self.shape",
    0.01,
)
def height_of_a_phone_s_picture(room):
    return [room.Camera((0, 0, 0), (0, 1, 0), field_of_view=52.68, shape=4 / 3).vertical_field_of_view], [40.74]


# Boxes and domes


@outside(
    "worked example of stemcalculators.app, geometric mean: in the triangle 5, 12, 13 the height on 13 is 60/13",
    "surfaces",
    "self.side_a * self.side_b / self.base",
    "self.side_a * self.side_b / (self.side_a + self.side_b)",
)
def ridge_height(room):
    return [room.WedgeBox(50, 5, 12).ridge_height], [60 / 13]


@outside(SKSPATIAL, "surfaces", "(0, cos_a, sin_a)", "(0, sin_a, cos_a)")
def section_of_a_wedge(room):
    box = room.WedgeBox(50, 40, 30)
    section = Triangle((0, -box.base / 2, 0), (0, box.base / 2, 0), box.point(0, 40, "a"))
    return [section.length("b"), section.length("a"), np.degrees(section.angle("C"))], [40, 30, 90]


@outside(SKSPATIAL, "surfaces", "np.cross(self.along_u, self.along_v)", "np.cross(self.along_v, self.along_u)")
def normal_of_a_panel(room):
    box = room.WedgeBox(50, 40, 30)
    outlines = [box.outline(face) for face in box.faces]
    return [box.normal(3, 7, face) for face in box.faces], [
        Plane.from_points(*corners[:3]).normal.unit() for corners in outlines
    ]


@outside(
    "worked example of calculatorlib.com, spherical cap: 3 across and 2 high, of a sphere of 3.25",
    "surfaces",
    "(self._shorter**2 + self.rise**2) / (2 * self.rise)",
    "(self._shorter**2 - self.rise**2) / (2 * self.rise)",
)
def radius_of_a_dome(room):
    return [room.Dome(3, 3, 2, wall=0).sphere_radius], [3.25]


@outside(SKSPATIAL, "surfaces", "across / (self.radius + above_centre)", "across / (2 * self.radius)")
def skin_of_a_dome(room):
    u, v = np.random.default_rng(3).uniform(-2, 2, (2, 50))
    sphere = Sphere((0, 0, 2 - 3.25), 3.25)
    return list(map(sphere.distance_point, room.Dome(3, 3, 2, wall=0).point(u, v))), [0] * 50


# Closed forms


@outside(SCIPY, "relations.same_angle", "(12 * np.sin(theta) ** 2)", "(12 * np.sin(theta))", 1e-6)
def space_with_at_least_an_angle(room):
    """Turned about the port line: at each place along it as far out as the two turns still make 120 degrees."""

    def out(x):
        return brentq(lambda h: np.arctan((9 + x) / h) + np.arctan((9 - x) / h) - np.radians(120), 1e-9, 20, xtol=1e-13)

    surface = room.same_angle_surface((-9, 0, 0), (9, 0, 0), 120)
    return [surface.volume], [quad(lambda x: np.pi * out(x) ** 2, -9, 9, epsabs=1e-9)[0]]


@outside(
    SKSPATIAL, "relations.same_angle", "radius = spacing / (2 * np.sin(theta))\n    end", "radius = spacing / 2\n    end", 1e-6
)
def targets_of_one_angle(room):
    left, right = np.array((-9.0, 0, 12)), np.array((7.0, 3, 14))
    targets = room.same_angle_surface(left, right, 40, around=7, along=8).vertices[1:-1]
    return [40] * len(targets), between(map(Vector, left - targets), map(Vector, right - targets))


@outside(SKSPATIAL, "relations.triangle", "2 * area / s)]", "area / s)]", 1e-6)
def triangle_of_three_sides(room):
    triangle = Triangle((-9, 0, 0), (8, 2, 1), (3, 1, -12))
    sides = {"spacing": triangle.length("c"), "left_length": triangle.length("b"), "right_length": triangle.length("a")}
    (found,) = room.solve_triangle(**sides)
    return [found.manipulation_angle, found.depth], [np.degrees(triangle.angle("C")), triangle.altitude("C").direction.norm()]


@outside(SKSPATIAL, "relations.triangle", "a * b * sin(theta) / s)]", "a * b * cos(theta) / s)]", 1e-6)
def triangle_of_two_sides_and_the_angle(room):
    triangle = Triangle((-9, 0, 0), (8, 2, 1), (3, 1, -12))
    theta, lengths = (
        np.degrees(triangle.angle("C")),
        {"left_length": triangle.length("b"), "right_length": triangle.length("a")},
    )
    (found,) = room.solve_triangle(**lengths, manipulation_angle=theta)
    return [found.spacing, found.depth], [triangle.length("c"), triangle.altitude("C").direction.norm()]


@outside(SCIPY, "guidance.rules", '"s": lambda a: 2 * sin(a)', '"s": lambda a: sin(a)', 1e-4)
def spacing_that_rules_leave(room):
    """An angle of 45 to 75 degrees and 7.5 to 15 cm to the lens between the ports, by a search that knows no closed form."""

    def farthest(way):
        def spacing(at):
            theta, distance = at
            half = Rotation.from_euler("z", theta / 2, degrees=True).apply((0, 1, 0))
            return way * 2 * abs(half[0]) * distance / half[1]

        return way * minimize(spacing, (60, 11), bounds=((45, 75), (7.5, 15))).fun

    rules = {"manipulation angle": (45, 75), "working distance": (7.5, 15)}
    return room.conflicts(rules).ranges["port spacing"], [farthest(1), farthest(-1)]


# Each as it is, and bent


@pytest.mark.parametrize("name", CHECKS)
def test_the_kit_agrees(name):
    check = CHECKS[name]
    assert agree(check, importlib.import_module(f"ergokit.{check.room}"))


@pytest.mark.parametrize("name", CHECKS)
def test_a_bent_formula_does_not(name, monkeypatch):
    check = CHECKS[name]
    assert not agree(check, bent(check, monkeypatch))


def test_they_are_counted_by_name():
    told = (Path(__file__).parent.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    counted = told.partition("## Numbers from outside")[2].partition("\n## ")[0]
    assert len(CHECKS) >= 30 and f"{len(CHECKS)} checks" in counted
    assert set(CHECKS) <= {name.strip() for name in re.split(r"[,|]", counted)}

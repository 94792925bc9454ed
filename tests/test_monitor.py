"""The monitor figure: what it draws is where the pinhole camera puts it, and its words say what is not in the picture."""

import numpy as np
import pytest

from ergokit import Placement, display_angle, hand_eye_rotation, manipulation_angle
from ergokit.explorers.presets import PRESETS
from ergokit.figures.monitor import camera_of, monitor_figure, out_of_view
from ergokit.view import Camera

FIRST = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))
FLAT = Placement((-9, 0, 12), (7, 3, 14), [(2, 11, 1.5), (0, 8, 0)], (0, 4, 16), aim=(0, 0.3, -1), normal=(0, -0.2, 1))
PLACEMENTS = {name: make() for name, (make, _) in PRESETS.items()} | {"first": FIRST, "flat phone, tilted plane": FLAT}


def drawn(figure):
    return {trace.name: np.column_stack([trace.x, trace.y]).astype(float) for trace in figure.data}


def words(figure):
    return [note.text for note in figure.layout.annotations if note.visible is not False and note.text]


def turn(u, v):
    return np.degrees(np.arctan2(np.abs(u[0] * v[1] - u[1] * v[0]), u @ v))


@pytest.mark.parametrize("placement", PLACEMENTS.values(), ids=PLACEMENTS)
def test_draws_what_the_camera_projects_and_the_angle_between_the_drawn_shafts_is_the_display_angle(placement):
    figure, target = monitor_figure(placement), placement.targets[0]
    parts = drawn(figure)
    camera = camera_of(placement, field_of_view=70, shape=4 / 3)
    at = camera.project(target)
    assert parts["target"][0] == pytest.approx(at)
    for side, port in (("left", placement.left_port), ("right", placement.right_port)):
        assert parts[f"{side} shaft"] == pytest.approx(camera.project_segment(target, port))
    sought = display_angle(placement.left_port, placement.right_port, target, placement.camera, aim=placement.aim)
    assert turn(parts["left shaft"][1] - at, parts["right shaft"][1] - at) == pytest.approx(sought, abs=1e-6)
    arc = parts["angle on the screen"] - at
    assert turn(arc[0], arc[-1]) == pytest.approx(sought, abs=1e-6) and f"{sought:.1f}°" in words(figure)
    for end, side in ((arc[0], "left"), (arc[-1], "right")):
        assert turn(end, parts[f"{side} shaft"][1] - at) == pytest.approx(0, abs=1e-6)
    rotation = hand_eye_rotation(placement.camera, target, normal=placement.normal, aim=placement.aim)
    assert f"hand-eye rotation {rotation:z.1f}°" in words(figure)


def test_the_grid_lies_on_the_working_plane_and_inside_the_frame():
    figure = monitor_figure(FLAT)
    ends = drawn(figure)["grid"]
    ends = ends[np.isfinite(ends).all(axis=1)]
    assert len(ends) > 8 and (np.abs(ends) <= np.array([1, 3 / 4]) + 1e-9).all()
    normal = FLAT.normal / np.linalg.norm(FLAT.normal)
    on_plane = camera_of(FLAT, shape=4 / 3).on_plane(ends, FLAT.targets[0] @ normal, normal=normal) - FLAT.targets[0]
    right = np.array([1.0, 0, 0])
    across = np.column_stack([on_plane @ right, on_plane @ np.cross(normal, right)]) / 5
    assert np.abs(across - across.round()).min(axis=1) == pytest.approx(np.zeros(len(ends)), abs=1e-6)


@pytest.mark.parametrize(("camera", "points"), [((0, 4, 16), (0, 1)), ((0, 22, 12), (0, -1)), ((14, 10, 12), (1, 0))])
def test_the_arrow_points_where_away_is_in_the_picture(camera, points):
    [arrow] = [note for note in monitor_figure(FIRST.replace(camera=camera)).layout.annotations if note.showarrow]
    head = np.array([arrow.xshift, arrow.yshift])
    assert head / np.linalg.norm(head) == pytest.approx(np.array(points), abs=1e-6)
    assert (arrow.ax, arrow.ay) == pytest.approx((-2 * head[0], 2 * head[1]))  # the tail, counted from the head, down positive


def test_a_level_view_has_no_away_and_says_so():
    level = Placement((-9, 0, 5), (9, 0, 8), (0, 10, 0), (0, -10, 0))
    figure = monitor_figure(level)
    assert "away from you: not in the picture" in words(figure) and "hand-eye rotation not defined" in words(figure)


@pytest.mark.parametrize(
    ("aim", "optics", "says"),
    [
        (None, {}, "target and both instruments in view"),
        (None, {"close_focus": 20}, "<b>target too near to be sharp</b>"),
        ((0.6, 0, -1), {"field_of_view": 40}, "<b>target out of view, left instrument out of view</b>"),
        ((0, -1, 0.5), {}, "<b>target behind the camera, both instruments out of view</b>"),
    ],
)
def test_says_what_is_out_of_view_and_draws_no_angle_without_a_target(aim, optics, says):
    figure = monitor_figure(FIRST.replace(aim=aim), **optics)
    assert says in words(figure)
    seen = "target" not in says or "sharp" in says or "both instruments in" in says
    assert np.isfinite(drawn(figure)["target"]).all() == seen and any("°" in each[:7] for each in words(figure)) == seen


@pytest.mark.parametrize("width", [250, 330, 500])
def test_the_picture_keeps_its_shape_and_everything_fits(width):
    figure = monitor_figure(FIRST, width=width)
    x, y = (np.ptp(figure.layout[axis].range) for axis in ("xaxis", "yaxis"))
    assert x / width == pytest.approx(y / figure.layout.height, rel=0.01)
    assert np.ptp(drawn(figure)["frame"], axis=0) == pytest.approx((2, 1.5))


def test_hidden_numbers_are_hidden_and_hands_differ_in_more_than_colour():
    figure = monitor_figure(FIRST, numbers=False)
    assert not any(character.isdigit() for text in words(figure) for character in text)
    dashes = {trace.line.dash for trace in figure.data if trace.name.endswith("shaft")}
    assert len(dashes) == 2 and {"left", "right"} <= set(words(figure))


def test_a_camera_looking_at_the_angle_square_on_shows_it_as_it_is():
    across = np.cross(FIRST.left_port - FIRST.target, FIRST.right_port - FIRST.target)
    square = FIRST.replace(camera=FIRST.target + 15 * across / np.linalg.norm(across))
    shown = f"{manipulation_angle(FIRST.left_port, FIRST.right_port, FIRST.target):.1f}°"
    assert shown in words(monitor_figure(square))


def test_out_of_view_names_the_one_instrument():
    camera = Camera((0, 4, 16), aim=(0.6, 0, -1), field_of_view=40)
    assert out_of_view(camera, FIRST) == "target out of view, left instrument out of view"

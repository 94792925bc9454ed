"""Figures: what they draw is where the library says it is."""

import numpy as np
import pytest

from ergokit import Placement, handle_separation, manipulation_angle, solve_triangle, tip_travel_per_hand_travel
from ergokit.figures import (
    LAYERS,
    elevation_bound_figure,
    inscribed_angle_figure,
    scene,
    stand,
    triangle_figure,
    update_scene,
)

FIRST = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))
PORTS = FIRST.left_port, FIRST.right_port
SECOND = Placement((-9, 0, 12), (7, 3, 14), [(2, 11, 1.5), (0, 8, 0)], (0, 4, 16), aim=(0, 0.3, -1), normal=(0, -0.2, 1))


def drawn(figure):
    return {trace.name: np.column_stack([trace.x, trace.y, trace.z]) for trace in figure.data if trace.visible}


@pytest.mark.parametrize("placement", [FIRST, SECOND], ids=["first", "second"])
@pytest.mark.parametrize("last", [False, True])
def test_scene_draws_the_placement(placement, last):
    focus = len(placement.targets) - 1 if last else 0
    parts, target = drawn(scene(placement, focus)), placement.targets[focus]
    for side, port in (("left", placement.left_port), ("right", placement.right_port)):
        inside, outside = parts[f"{side} shaft, inside"], parts[f"{side} shaft, outside"]
        assert inside == pytest.approx(np.stack([target, port]))
        assert np.linalg.norm(outside[1] - target) == pytest.approx(placement.instrument_length + placement.handle_reach)
        assert np.cross(outside[1] - target, port - target) == pytest.approx(np.zeros(3), abs=1e-9)
    arc = parts["manipulation angle"] - target
    assert manipulation_angle(arc[0], arc[-1], (0, 0, 0)) == pytest.approx(
        manipulation_angle(placement.left_port, placement.right_port, target)
    )
    assert np.ptp(np.linalg.norm(arc, axis=1)) < 1e-9
    plane = parts["working plane"] - target
    plane = plane[~np.isnan(plane[:, 0])]
    normal = (0, 0, 1) if placement.normal is None else placement.normal
    assert plane @ np.asarray(normal) == pytest.approx(np.zeros(len(plane)), abs=1e-9)
    assert len(parts["targets"]) == len(placement.targets)


def test_axes_have_one_scale_and_hold_everything():
    far = Placement((-60, 0, 40), (60, 0, 40), (0, 90, 0), (0, 20, 70), instrument_length=130)
    for placement in (FIRST, SECOND, far):
        figure = scene(placement)
        axes = figure.layout.scene
        spans = np.array([np.diff(axis.range)[0] for axis in (axes.xaxis, axes.yaxis, axes.zaxis)])
        ratio = axes.aspectratio
        assert spans / spans[0] == pytest.approx(np.array([ratio.x, ratio.y, ratio.z]))
        for name, points in drawn(figure).items():
            if name != "working plane":
                low, high = np.array([axis.range for axis in (axes.xaxis, axes.yaxis, axes.zaxis)]).T
                assert ((points >= low) & (points <= high)).all(), name


def test_update_moves_a_scene_to_what_a_new_one_would_show():
    moved, fresh = scene(FIRST), scene(SECOND)
    update_scene(moved, SECOND)
    for name, points in drawn(fresh).items():
        assert drawn(moved)[name] == pytest.approx(points, nan_ok=True), name
    assert [note.text for note in moved.layout.scene.annotations] == [note.text for note in fresh.layout.scene.annotations]
    assert [note.x for note in moved.layout.scene.annotations] == [note.x for note in fresh.layout.scene.annotations]


def test_instruments_in_one_line_still_have_an_arc():
    level = Placement((-9, 0, 5), (9, 0, 5), (0, 0, 5), (0, 8, 16))
    assert np.isfinite(drawn(scene(level))["manipulation angle"]).all()


def test_left_and_right_differ_in_more_than_colour():
    symbols = {trace.name: trace.marker.symbol for trace in scene(FIRST).data if trace.name.endswith((" port", " hand"))}
    assert symbols["left port"] != symbols["right port"] and symbols["left hand"] != symbols["right hand"]
    dashes = [trace.line.dash for trace in triangle_figure(*solve_triangle(spacing=18, depth=15)).data if trace.line.width == 5]
    assert len(set(dashes)) == 2


def test_triangles_side_by_side_share_one_scale():
    sides = (16, 20)
    figure = triangle_figure(*(solve_triangle(spacing=side, inserted_length=side)[0] for side in sides))
    port_lines = [np.ptp(trace.x) for trace in figure.data if trace.mode == "lines" and trace.y[0] == trace.y[-1] == 0]
    assert port_lines == pytest.approx(sides)
    assert figure.layout.yaxis.scaleanchor == "x"
    words = " ".join(note.text for note in figure.layout.annotations)
    assert "13.9" in words and "17.3" in words and "60.0°" in words


def test_hidden_numbers_are_hidden_everywhere():
    figure = triangle_figure(*solve_triangle(spacing=18, depth=15), numbers=False)
    assert not any(character.isdigit() for note in figure.layout.annotations for character in note.text)
    assert scene(FIRST, numbers=False).layout.scene.annotations[0].text == "?"


def test_every_point_of_an_arc_has_its_angle():
    figure = inscribed_angle_figure(18, (45, 60, 110), targets=[(5, 15.6)])
    for trace, angle in zip(figure.data, (45, 60, 110), strict=False):
        on_arc = np.column_stack([trace.x, trace.y, np.zeros_like(trace.x)])
        assert manipulation_angle((-9, 0, 0), (9, 0, 0), on_arc) == pytest.approx(angle, abs=1e-9)


def test_elevation_lines_end_where_the_shafts_come_from_opposite_sides():
    figure = elevation_bound_figure((60, 90))
    lines = [trace for trace in figure.data if trace.mode == "lines"]
    for trace, angle in zip(lines, (60, 90), strict=True):
        elevation, plan = np.radians(trace.x), np.radians(trace.y)
        level = np.cos(elevation)
        shaft = np.stack([np.cos(plan / 2) * level, np.sin(plan / 2) * level, np.sin(elevation)], axis=-1)
        assert manipulation_angle(shaft * [1, -1, 1], shaft, (0, 0, 0)) == pytest.approx(angle)
        assert (trace.x[-1], trace.y[-1]) == pytest.approx((90 - angle / 2, 180))


@pytest.mark.parametrize("layer", LAYERS)
def test_each_layer_is_drawn_where_it_belongs(layer):
    shown, target = drawn(scene(FIRST, layers=[layer])), FIRST.targets[0]
    if layer == "zone":
        for edge, angle in (("outer", 45), ("inner", 75)):  # the published advice for knotting
            mesh = shown[f"zone, {edge}"]
            on_it = mesh[(mesh[:, 2] > 1e-9) & (np.abs(mesh[:, 2] - 12) > 1e-9)]
            assert manipulation_angle(FIRST.left_port, FIRST.right_port, on_it) == pytest.approx(angle, abs=1e-6)
            assert mesh[:, 2].min() >= -1e-9 and mesh[:, 2].max() == pytest.approx(12)
        assert shown["zone, outer"][:, 2].min() == pytest.approx(0, abs=1e-9)  # cut off at the floor
    elif layer == "distance":
        for edge, radius in (("nearest", 7.5), ("farthest", 15)):  # the published advice for knotting
            assert np.linalg.norm(shown[f"distance, {edge}"] - target, axis=1) == pytest.approx(radius)
    elif layer == "hands":
        assert np.linalg.norm(np.diff(shown["hands"], axis=0)) == pytest.approx(handle_separation(*PORTS, target, 36))
    else:
        for side, port in zip(("left", "right"), PORTS, strict=True):
            hand, moved, _, tip, from_target, _ = shown[f"lever, {side}"]
            assert np.linalg.norm(moved - hand) == pytest.approx(5)
            travel = tip_travel_per_hand_travel(port, target, 36)
            assert np.linalg.norm(tip - from_target) == pytest.approx(5 * travel)
            # Hand, hole and tip stay in one line.
            assert np.cross(moved - port, tip - port) == pytest.approx(np.zeros(3), abs=1e-9)


def test_views_hide_the_axis_that_points_at_the_reader():
    figure = scene(FIRST)
    stand(figure, "plan")
    assert [figure.layout.scene[axis].visible for axis in ("xaxis", "yaxis", "zaxis")] == [True, True, False]
    assert figure.layout.scene.camera.projection.type == "orthographic"

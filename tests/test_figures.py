"""Figures: what they draw is where the library says it is."""

import numpy as np
import pytest

from ergokit import Placement, handle_separation, manipulation_angle, one_triangle, solve_triangle, tip_travel_per_hand_travel
from ergokit.figures import LAYERS, elevation_bound_figure, inscribed_angle_figure, scene, triangle_figure
from ergokit.figures.style import LOOKS
from ergokit.surfaces import Dome, FlatBox, WedgeBox

FIRST = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))
PORTS = FIRST.left_port, FIRST.right_port
SECOND = Placement((-9, 0, 12), (7, 3, 14), [(2, 11, 1.5), (0, 8, 0)], (0, 4, 16), aim=(0, 0.3, -1), normal=(0, -0.2, 1))


def drawn(items):
    """Name -> points (n, 3) of what is drawn in a scene, a pen that is up as NaN; all corners of a face."""
    found = {}
    for name, item in items.items():
        lists = item["at"] + item.get("rims", []) if {"face", "sheet"} & set(item) else [item["at"]]
        points = [point for points in lists for point in points]
        found[name] = np.array([(np.nan,) * 3 if point is None else point for point in points])
    return found


@pytest.mark.parametrize("placement", [FIRST, SECOND], ids=["first", "second"])
@pytest.mark.parametrize("last", [False, True])
def test_scene_draws_the_placement(placement, last):
    focus = len(placement.targets) - 1 if last else 0
    parts, target = drawn(scene(placement, focus)), placement.targets[focus]
    for side, port in (("left", placement.left_port), ("right", placement.right_port)):
        inside, outside = parts[f"{side} shaft, inside"], parts[f"{side} shaft, outside"]
        assert inside == pytest.approx(np.stack([target, port]), abs=1e-4)
        assert np.linalg.norm(outside[1] - target) == pytest.approx(
            placement.instrument_length + placement.handle_reach, abs=1e-3
        )
        assert np.cross(outside[1] - target, port - target) == pytest.approx(np.zeros(3), abs=0.02)
    arc = parts["angle"] - target
    assert manipulation_angle(arc[0], arc[-1], (0, 0, 0)) == pytest.approx(
        manipulation_angle(placement.left_port, placement.right_port, target), abs=0.01
    )
    assert np.ptp(np.linalg.norm(arc, axis=1)) < 2e-4
    plane = parts["working plane"] - target
    plane = plane[~np.isnan(plane[:, 0])]
    normal = (0, 0, 1) if placement.normal is None else placement.normal
    assert plane @ np.asarray(normal) == pytest.approx(np.zeros(len(plane)), abs=2e-4)
    assert len(parts["target"]) == 1 and len(parts.get("other targets", ())) == len(placement.targets) - 1


def test_instruments_in_one_line_still_have_an_arc():
    level = Placement((-9, 0, 5), (9, 0, 5), (0, 0, 5), (0, 8, 16))
    assert np.isfinite(drawn(scene(level))["angle"]).all()


def test_left_and_right_differ_in_more_than_colour():
    items, marks, lines = scene(FIRST), LOOKS["marks"], LOOKS["lines"]
    for what in ("port", "hand"):
        assert len({marks[items[f"{side} {what}"]["mark"]]["shape"] for side in ("left", "right")}) == 2
        assert {items[f"{side} {what}, words"]["text"] for side in ("left", "right")} == {f"left {what}", f"right {what}"}
    assert len({str(lines[items[f"{side} shaft, inside"]["line"]]["dash"]) for side in ("left", "right")}) == 2
    dashes = [trace.line.dash for trace in triangle_figure(*solve_triangle(spacing=18, depth=15)).data if trace.line.width == 5]
    assert len(set(dashes)) == 2


def test_triangles_side_by_side_share_one_scale():
    sides = (16, 20)
    figure = triangle_figure(*(one_triangle(spacing=side, inserted_length=side) for side in sides))
    port_lines = [np.ptp(trace.x) for trace in figure.data if trace.mode == "lines" and trace.y[0] == trace.y[-1] == 0]
    assert port_lines[1] / port_lines[0] == pytest.approx(sides[1] / sides[0])
    assert figure.layout.yaxis.scaleanchor == "x"
    words = " ".join(note.text for note in figure.layout.annotations)
    assert "13.9" in words and "17.3" in words and "60.0°" in words


def test_hidden_numbers_are_hidden_everywhere():
    figure = triangle_figure(*solve_triangle(spacing=18, depth=15), numbers=False)
    assert not any(character.isdigit() for note in figure.layout.annotations for character in note.text)
    assert scene(FIRST, numbers=False)["angle, words"]["text"] == "?"


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
            for part in ("near", "far"):
                sheet = shown[f"zone, {edge}, {part}"]
                on_it = sheet[(sheet[:, 2] > 1e-9) & (np.abs(sheet[:, 2] - 12) > 0.01)]
                assert manipulation_angle(FIRST.left_port, FIRST.right_port, on_it) == pytest.approx(angle, abs=0.2)
                assert sheet[:, 2].min() >= 0 and sheet[:, 2].max() <= 12
        assert shown["zone, outer, near"][:, 2].min() == 0  # cut off at the floor
    elif layer == "distance":
        for edge, radius in (("nearest", 7.5), ("farthest", 15)):  # the published advice for knotting
            away = np.linalg.norm(shown[f"distance, {edge}"] - target, axis=1)
            assert away == pytest.approx(radius, abs=0.01)
    elif layer == "hands":
        assert np.linalg.norm(np.diff(shown["hands"], axis=0)) == pytest.approx(handle_separation(*PORTS, target, 36), abs=1e-3)
    else:
        for side, port in zip(("left", "right"), PORTS, strict=True):
            hand, moved, _, tip, from_target = shown[f"lever, {side}"]
            assert np.linalg.norm(moved - hand) == pytest.approx(5, abs=1e-3)
            travel = tip_travel_per_hand_travel(port, target, 36)
            assert np.linalg.norm(tip - from_target) == pytest.approx(5 * travel, abs=1e-3)
            # Hand, hole and tip stay in one line.
            assert np.cross(moved - port, tip - port) == pytest.approx(np.zeros(3), abs=0.02)


@pytest.mark.parametrize("surface", [WedgeBox(44, 36, 27), FlatBox(44, 32, 14), Dome(17, 21, 6)], ids=["wedge", "flat", "dome"])
def test_a_surface_is_drawn_by_its_own_points(surface):
    shown, (low, high) = drawn(scene(FIRST, surface=surface)), surface.bounds()
    fill = shown["surface"]
    faces = [np.abs(np.array(fill) - surface.point(*surface.uv(fill, face).T, face)).max(axis=1) for face in surface.faces]
    assert np.min(faces, axis=0) == pytest.approx(0, abs=1e-3), "the fill is off the faces"
    for name in ("surface", "surface, edges", "surface, thin"):
        points = shown[name][~np.isnan(shown[name][:, 0])]
        assert (points >= low - 1e-3).all() and (points <= high + 1e-3).all()
    floor = shown["surface, thin"][-5:]
    assert not floor[:, 2].any() and len(floor) == 5

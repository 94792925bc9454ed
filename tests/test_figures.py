"""Figures: what they draw is where the library says it is."""

import numpy as np
import pytest

from ergokit import Placement, handle_separation, manipulation_angle, one_triangle, solve_triangle, tip_travel_per_hand_travel
from ergokit.explorers.presets import PRESETS
from ergokit.figures import LAYERS, elevation_bound_figure, inscribed_angle_figure, scene, triangle_figure
from ergokit.figures.style import LOOKS, PALETTE
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
    parts, target = drawn(scene(placement, focus, layers=("hands",))), placement.targets[focus]
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
    floor = parts["floor"][~np.isnan(parts["floor"][:, 0])]
    assert not floor[:, 2].any()
    if placement.normal is None:
        assert "working plane" not in parts, "it is level, as the floor is"
    else:
        plane = parts["working plane"] - target
        assert plane @ np.asarray(placement.normal) == pytest.approx(np.zeros(len(plane)), abs=2e-4)
    assert len(parts["target"]) == 1 and len(parts.get("other targets", ())) == len(placement.targets) - 1


@pytest.mark.parametrize("preset", PRESETS)
def test_the_card_holds_the_holes_and_stands_on_the_floor(preset):
    placement = PRESETS[preset][0]()
    shown = drawn(scene(placement))
    corners = shown["panel, edge"]
    normal = np.cross(corners[1] - corners[0], corners[3] - corners[0])
    normal /= np.linalg.norm(normal)
    assert (corners[:, 2].min(), np.ptp(corners[[0, 1], 2])) == pytest.approx((0, 0), abs=1e-3), "it stands on the floor"
    ports = placement.left_port, placement.right_port
    assert [(port - corners[0]) @ normal for port in ports] == pytest.approx([0, 0], abs=1e-3)
    rims = np.split(shown["holes"], np.flatnonzero(np.isnan(shown["holes"][:, 0])))
    rims = [rim[~np.isnan(rim[:, 0])] for rim in rims if len(rim) > 1]
    in_the_card = abs((placement.camera - corners[0]) @ normal) < 0.1
    assert len(rims) == 2 + in_the_card
    for rim, hole in zip(rims, (*ports, placement.camera), strict=False):
        across = np.linalg.norm(rim - hole, axis=1)
        assert across == pytest.approx(0.5 if len(rim) > 5 else 1.5 * np.sqrt(2), abs=1e-3)
        assert (rim - hole) @ normal == pytest.approx(np.zeros(len(rim)), abs=1e-3)
        assert rim[0] == pytest.approx(rim[-1])


def test_hands_and_whole_shafts_are_drawn_on_request():
    short, whole = drawn(scene(FIRST)), drawn(scene(FIRST, layers=("hands",)))
    for side, port in zip(("left", "right"), PORTS, strict=True):
        start, end = short[f"{side} shaft, outside"]
        assert np.linalg.norm(end - start) == pytest.approx(5, abs=1e-3) and start == pytest.approx(port, abs=1e-3)
        assert whole[f"{side} shaft, outside"][1] == pytest.approx(whole[f"{side} hand"][0], abs=1e-3)
    assert not {name for name in short if "hand" in name} and "table" not in short


@pytest.mark.parametrize(("half", "words"), [(9, None), (2.4, None), (2, "the hands touch"), (0.5, "the hands touch")])
def test_a_sign_stands_where_the_hands_touch(half, words):
    placement = Placement((-half, 0, 16), (half, 0, 16), (0, 14, 0), (0, 4, 20))
    items = scene(placement)
    assert items.get("clash, words", {}).get("text") == words
    apart = handle_separation(placement.left_port, placement.right_port, placement.target, 36)
    assert (apart < 10) == (words is not None), "two fists of 10 cm"
    if words:
        sign, ends = drawn(items)["clash"][0], [drawn(items)[f"{side} shaft, outside"][1] for side in ("left", "right")]
        assert sign == pytest.approx(np.mean(ends, axis=0), abs=1e-3)


def test_a_hand_on_the_other_shaft_and_two_shafts_are_told_apart():
    """A short instrument ends beside the longer one: 6 cm of shaft outside, the ports 4 cm apart."""
    placement = Placement((-2, 0, 16), (2, 0, 16), (0, 14, 0), (0, 4, 20), instrument_length=(60, 25), handle_reach=2)
    assert scene(placement)["clash, words"]["text"] == "a hand touches the other shaft"


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_words_lines_and_signs_stand_out_and_shafts_outshine_the_grid(dark):
    """By the formula of WCAG 2.1: 4.5 for words, 3 for lines; of a target's sign the edge or the disc."""

    def light(colour):
        parts = np.array(list(bytes.fromhex(PALETTE[colour][dark][1:]))) / 255
        return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4) @ (0.2126, 0.7152, 0.0722)

    def contrast(colour):
        low, high = sorted([light(colour), light("paper")])
        return (high + 0.05) / (low + 0.05)

    lines = {look["colour"] for kind in ("lines", "marks") for look in LOOKS[kind].values()} - {"mist", "orange"}
    assert min(map(contrast, lines)) >= 3 and max(contrast("edge"), contrast("orange")) >= 3
    assert min(contrast(look["colour"]) for look in LOOKS["labels"].values()) >= 4.5 and contrast("wrong") >= 4.5
    assert min(contrast("blue"), contrast("vermillion")) > 2 * contrast("mist")


def test_instruments_in_one_line_still_have_an_arc():
    level = Placement((-9, 0, 5), (9, 0, 5), (0, 0, 5), (0, 8, 16))
    assert np.isfinite(drawn(scene(level))["angle"]).all()


def test_left_and_right_differ_in_more_than_colour():
    items, marks, lines = scene(FIRST, layers=("hands",)), LOOKS["marks"], LOOKS["lines"]
    for what in ("port", "hand"):
        assert len({marks[items[f"{side} {what}"]["mark"]]["shape"] for side in ("left", "right")}) == 2
        assert {items[f"{side} {what}, words"]["text"] for side in ("left", "right")} == {f"left {what}", f"right {what}"}
    assert len({str(lines[items[f"{side} shaft, inside"]["line"]]["dash"]) for side in ("left", "right")}) == 2
    dashes = [trace.line.dash for trace in triangle_figure(*solve_triangle(spacing=18, depth=15)).data if trace.line.width == 5]
    assert len(set(dashes)) == 2


def test_no_button_of_a_figure_uploads_it():
    assert "sendChartToCloud" in triangle_figure(one_triangle(spacing=16, depth=12)).layout.modebar.remove


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
    elif layer == "table":
        hands = np.vstack([shown["left hand"], shown["right hand"]])
        assert not shown["table"][:, 2].any() and shown["elbow line"][:, 2] == pytest.approx(hands[:, 2].mean(), abs=1e-3)
        low, high = shown["table"].min(axis=0), shown["table"].max(axis=0)
        assert (hands[:, :2] > low[:2]).all() and (hands[:, :2] < high[:2]).all()
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
    for name in ("surface", "surface, edges"):
        points = shown[name][~np.isnan(shown[name][:, 0])]
        assert (points >= low - 1e-3).all() and (points <= high + 1e-3).all()
    floor = shown["surface, edges"][-5:]
    assert not floor[:, 2].any() and len(floor) == 5

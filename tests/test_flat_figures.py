"""The lever, the section of a box and the angle map: drawn to scale and where the library says, with its values."""

import numpy as np
import pytest

from ergokit import (
    Placement,
    datasets,
    handle_height,
    length_ratio,
    manipulation_angle,
    tip_travel_per_hand_travel,
    working_distance,
)
from ergokit.design import design_box
from ergokit.figures.angle_map import angle_map_figure
from ergokit.figures.lever import lever_figure
from ergokit.figures.operator import operator_figure
from ergokit.figures.section import section_figure
from ergokit.surfaces import FlatBox, WedgeBox
from ergokit.view import Camera

FIRST = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))
TILTED = Placement((-9, 0, 12), (7, 3, 14), [(2, 11, 1.5), (0, 8, 0)], (0, 4, 16), normal=(0, -0.2, 1))
BOX = WedgeBox(44, 36, 27)


def drawn(figure):
    return {t.name: np.column_stack([t.x, t.y]).astype(float) for t in figure.data if t.type == "scatter"}


def words(figure):
    return [note.text for note in figure.layout.annotations if note.visible is not False and note.text]


def in_box(camera_hole, target, flat=False):
    """Ports 12 cm up the panel, the lens `camera_hole` cm above them, the target so far from the panel's foot."""
    lens, foot = BOX.point(0, 12 + camera_hole), BOX.bounds()[0, 1]
    aim = -BOX.normal(0, 12 + camera_hole) if flat else None
    return Placement(BOX.point(-8, 12), BOX.point(8, 12), (0, foot + target, 0), lens, aim=aim)


def same(moved, fresh):
    for name, points in drawn(fresh).items():
        assert drawn(moved)[name] == pytest.approx(points, nan_ok=True), name
    assert words(moved) == words(fresh)
    for one, other in zip(moved.layout.annotations, fresh.layout.annotations, strict=True):
        assert not one.text or (one.x, one.y) == pytest.approx((other.x, other.y))


# The lever


@pytest.mark.parametrize("inside", [4, 12, 18, 24, 33])
def test_lever_is_to_scale_and_turns_about_the_hole(inside):
    parts = drawn(lever_figure(inside, hand_travel=4))
    before, shaft, hand, tip = (parts[f"{name} 1"] for name in ("before", "shaft", "hand", "tip"))
    assert before == pytest.approx(np.array([[inside - 46, 0], [inside, 0]]))
    assert np.linalg.norm(shaft[1] - shaft[0]) == pytest.approx(36)
    assert np.linalg.norm(hand[0] - shaft[0]) == pytest.approx(10)
    assert np.cross(np.append(hand[0], 0), np.append(tip[0], 0)) == pytest.approx(np.zeros(3), abs=1e-9)  # through the hole

    def path(name):
        return np.linalg.norm(np.diff(parts[f"{name} path 1"], axis=0), axis=1).sum()

    assert path("hand") == pytest.approx(4, rel=1e-3)
    assert path("tip") / path("hand") == pytest.approx(tip_travel_per_hand_travel((0, 0, inside), (0, 0, 0), 36), rel=1e-6)
    assert parts["hand path 1"][-1] == pytest.approx(hand[0]) and parts["tip path 1"][-1] == pytest.approx(tip[0])


def test_lever_says_its_values_and_hides_them():
    said = words(lever_figure(24, instrument_length=33, handle_reach=8, hand_travel=4))
    ratio = length_ratio((0, 0, 24), (0, 0, 0), 33)
    tip = 4 * tip_travel_per_hand_travel((0, 0, 24), (0, 0, 0), 33, 8)
    expected = ["handle 8.0 cm", "outside 9.0 cm", "inside 24.0 cm", "hand 4.0 cm", f"tip {tip:.1f} cm"]
    assert said == [*expected, f"inside : outside {ratio:.2f}"]
    hidden = " ".join(words(lever_figure(24, numbers=False))).replace("hand 5.0 cm", "")
    assert not any(character.isdigit() for character in hidden)


def test_levers_side_by_side_share_one_scale_and_do_not_meet():
    figure = lever_figure(24, 18, 12)
    x, y = (np.ptp(figure.layout[axis].range) for axis in ("xaxis", "yaxis"))
    assert x / (figure.layout.width - 4) == pytest.approx(y / (figure.layout.height - 4), rel=0.01)
    lowest = [min(np.nanmin(points[:, 1]) for name, points in drawn(figure).items() if name.endswith(str(i))) for i in (1, 2)]
    highest = [max(np.nanmax(points[:, 1]) for name, points in drawn(figure).items() if name.endswith(str(i))) for i in (2, 3)]
    assert lowest[0] > highest[0] and lowest[1] > highest[1]


def test_a_lever_with_nothing_outside_is_refused():
    with pytest.raises(ValueError, match=r"36 cannot be used; give less than the instrument's 36 cm \(inserted_length\)"):
        lever_figure(36)


# The section


@pytest.mark.parametrize("camera_hole", [2, 7, 10])
def test_a_flat_phones_axis_is_drawn_to_where_the_closed_form_lands_it(camera_hole):
    # f sqrt(b^2 + c^2) along the base and f c from the lens, the relations flat_phone_foot and flat_phone_in_wedge
    figure = section_figure(in_box(camera_hole, 20, flat=True), BOX)
    share = (12 + camera_hole) / BOX.side_a
    axis = drawn(figure)["axis"]
    landing = share * np.hypot(BOX.side_a, BOX.side_b)
    assert axis[1] == pytest.approx((BOX.bounds()[0, 1] + landing, 0))
    assert np.linalg.norm(axis[1] - axis[0]) == pytest.approx(share * BOX.side_b)
    assert f"axis {landing:.1f} cm from the panel's foot" in words(figure)


@pytest.mark.parametrize("flat", [True, False])
def test_section_draws_field_and_close_focus_where_the_camera_has_them(flat):
    placement = in_box(7, 18, flat)
    figure = section_figure(placement, BOX, field_of_view=60, close_focus=9)
    parts, target = drawn(figure), placement.target
    axis = -BOX.normal(0, 19) if flat else target - placement.camera
    camera = Camera(placement.camera, axis, field_of_view=60, shape=4 / 3)
    corners = camera.picture_on_plane().corners
    assert sorted(parts["field"][[0, 2], 0]) == pytest.approx(sorted({round(y, 9) for y in corners[:, 1]}))
    along = (parts["nearest sharp"] - placement.camera[1:]) @ camera.axis[1:]
    assert along == pytest.approx([9, 9])
    assert f"{working_distance(placement.camera, target):.1f} cm" in words(figure)
    assert parts["target"][0] == pytest.approx(target[1:]) and parts["lens"][0] == pytest.approx(placement.camera[1:])


@pytest.mark.parametrize("box", [BOX, FlatBox(40, 30, 20)], ids=["wedge", "flat"])
def test_section_shows_the_whole_box_to_scale(box):
    placement = Placement(box.point(-8, 2), box.point(8, 2), (0, 0, 0), box.point(0, 5))
    figure = section_figure(placement, box)
    x, y = (np.ptp(figure.layout[axis].range) for axis in ("xaxis", "yaxis"))
    assert x / figure.layout.width == pytest.approx(y / figure.layout.height, rel=0.01)
    outline = drawn(figure)["box"]
    assert np.nanmax(outline[:, 1]) == pytest.approx(box.bounds()[1, 2])
    assert np.ptp(outline[~np.isnan(outline[:, 0]), 0]) == pytest.approx(np.ptp(box.bounds()[:, 1]))


def test_section_hides_numbers():
    figure = section_figure(in_box(3, 22, flat=True), BOX, numbers=False)
    assert not any(character.isdigit() for text in words(figure) for character in text)


def test_an_axis_that_never_meets_the_floor_is_drawn_upward_and_lands_nowhere():
    up = in_box(7, 18).replace(aim=(0, 1, 0.3))
    figure = section_figure(up, BOX)
    start, end = drawn(figure)["axis"]
    assert end[1] > start[1] and not any("axis" in text for text in words(figure))


# The angle map


@pytest.mark.parametrize(("placement", "focus"), [(FIRST, 0), (TILTED, 1)], ids=["level", "tilted"])
def test_map_holds_the_angles_of_the_plane_and_labels_its_contours_where_they_are(placement, focus):
    figure = angle_map_figure(placement, focus)
    normal = np.array([0, 0, 1.0]) if placement.normal is None else placement.normal / np.linalg.norm(placement.normal)
    right, away = np.array([1.0, 0, 0]), np.cross(normal, [1.0, 0, 0])
    height = placement.targets[focus] @ normal
    contour, rng = figure.data[0], np.random.default_rng(5)

    def angle(x, y):
        return manipulation_angle(placement.left_port, placement.right_port, height * normal + x * right + y * away)

    for i, j in rng.integers(len(contour.x), size=(20, 2)):
        assert contour.z[j][i] == pytest.approx(angle(contour.x[i], contour.y[j]))
    labels = {note.text: note for note in figure.layout.annotations if note.text.startswith("<b>")}
    assert {"<b>45</b>", "<b>60</b>"} <= set(labels)
    for text, note in labels.items():
        assert angle(note.x, note.y) == pytest.approx(float(text[3:-4]), abs=0.3), "the label is off its contour"
    assert (contour.contours.start, contour.contours.end, contour.contours.size) == (45, 75, 15)
    target = placement.targets[focus]
    assert drawn(figure)["target"][0] == pytest.approx((target @ right, target @ away))
    assert f"{manipulation_angle(placement.left_port, placement.right_port, target):.1f}°" in words(figure)


@pytest.mark.parametrize("placement", [FIRST.replace(camera=(2, 4, 12)), TILTED], ids=["level", "tilted"])
def test_every_place_on_the_cameras_circle_is_15_cm_from_the_lens(placement):
    figure = angle_map_figure(placement)
    normal = np.array([0, 0, 1.0]) if placement.normal is None else placement.normal / np.linalg.norm(placement.normal)
    x, y = drawn(figure)["camera's circle"].T[..., None]
    points = (placement.targets[0] @ normal) * normal + x * [1.0, 0, 0] + y * np.cross(normal, [1.0, 0, 0])
    far = placement.camera[2] > 15
    assert (np.isnan(points) if far else np.isclose(working_distance(placement.camera, points), 15)).all()
    assert ("lens within 15 cm" in words(figure)) is not far


def test_map_draws_an_outline_and_hides_numbers():
    outline = np.column_stack([BOX.bounds()[[0, 1, 1, 0, 0], 0], BOX.bounds()[[0, 0, 1, 1, 0], 1]])
    figure = angle_map_figure(TILTED, 1, numbers=False, outline=outline)
    assert drawn(figure)["outline"] == pytest.approx(outline)
    assert "?" in words(figure) and not any("°" in text for text in words(figure))


# You at the box


def survey():
    """Of the man of the survey: elbow, eyes and shoulder standing, and elbow and eyes above the seat."""
    rows = {row["quantity"]: row["low"] for row in datasets.records("published_values") if row["source"] == "army-2012"}
    elbow = rows["acromial height"] - rows["acromion to radiale length"]
    eyes = rows["stature"] - (rows["sitting height"] - rows["eye height sitting"])
    sat = elbow - (rows["stature"] - rows["sitting height"])
    return elbow, eyes, rows["acromial height"], sat, rows["eye height sitting"]


@pytest.mark.parametrize("placement", [FIRST, TILTED])
@pytest.mark.parametrize("table", [None, 72.5])
def test_operator_is_to_scale_and_joined_up(placement, table):
    figure = operator_figure(placement, elbow_height=105, table=table, monitor_distance=90, monitor_below=12)
    parts, (elbow, eyes, shoulder, *_) = drawn(figure), survey()
    heights = [handle_height(port, placement.targets[0], 36) for port in (placement.left_port, placement.right_port)]
    top = 105 - np.mean(heights) if table is None else table
    assert parts["table"][:2, 1] == pytest.approx(top)
    for side, height in zip(("left", "right"), heights, strict=True):
        arm, shaft = parts[f"{side} arm"], parts[f"{side} shaft"]
        assert arm[2, 1] == pytest.approx(top + height) and arm[2] == pytest.approx(parts[f"{side} hand"][0])
        assert arm[1, 1] == 105 and arm[0] - arm[1] == pytest.approx([0, shoulder - elbow])  # the upper arm hangs
        assert np.linalg.norm(arm[2] - arm[1]) == pytest.approx(36) and arm[2, 0] > arm[1, 0]
        assert shaft[0] == pytest.approx(arm[2]) and shaft[1] == pytest.approx(parts["target"][0])
    assert parts["eyes"][0, 1] == pytest.approx(105 + eyes - elbow)
    sight, screen = np.diff(parts["line of sight"], axis=0)[0], np.diff(parts["monitor"], axis=0)[0]
    assert np.linalg.norm(sight) == pytest.approx(90) and sight[1] == pytest.approx(-90 * np.sin(np.radians(12)))
    assert sight @ screen == pytest.approx(0, abs=1e-9) and screen[1] > 0
    assert parts["monitor"].mean(axis=0) == pytest.approx(parts["line of sight"][1])
    x, y = (np.ptp(figure.layout[axis].range) for axis in ("xaxis", "yaxis"))
    assert x / figure.layout.width == pytest.approx(y / figure.layout.height, rel=0.01)
    assert sum(note.text == "standing" for note in figure.layout.annotations) == 1


def test_operator_shades_where_a_monitor_is_advised():
    parts = drawn(operator_figure(FIRST))
    from_eyes = parts["advised"] - parts["eyes"][0]
    below = np.degrees(np.arctan2(-from_eyes[:, 1], from_eyes[:, 0]))
    assert sorted(set(np.linalg.norm(from_eyes, axis=1).round(2))) == [76.2, 121.92]  # 2.5 and 4 feet, the row's own words
    assert (below.min(), below.max()) == pytest.approx((10, 20))


def test_operator_says_standing_or_seated_and_whether_the_table_fits():
    box = design_box(BOX).placement  # of the carton of the lessons: its hands are 14 cm up
    for table, said in ((90, "it fits these elbows"), (75, "16.0 cm too low for these elbows"), (110, "19.0 cm too high")):
        text = " ".join(words(operator_figure(box, box=BOX, elbow_height=105, table=table)))
        assert said in text and "standing" in text and "hands 14.0 cm above it" in text
        assert ("91.0 cm fits" in text) == (table != 90)
    assert "level with<br>the elbows" in " ".join(words(operator_figure(box)))
    *_, sat, eyes = survey()
    seated = operator_figure(box, elbow_height=45 + sat, seated=True)
    assert {"seated at 45.0 cm", f"eyes {45 + eyes:.1f} cm"} <= set(words(seated)) and "standing" not in words(seated)
    assert drawn(seated)["seat"][:, 1] == pytest.approx(45)
    hidden = words(operator_figure(box, table=75, numbers=False))[:-1]  # the last names the sources and their years
    assert not any(character.isdigit() for text in hidden for character in text)
    assert "survey" in words(seated)[-1] and "from memory" in words(seated)[-1]


@pytest.mark.parametrize(
    ("setting", "message"),
    [
        ({"table": 20}, r"hands would be .* below the elbows.*\(table\)"),
        ({"table": 120}, r"hands would be .* above the elbows.*\(table\)"),
        (
            {"elbow_height": 25},
            r"25 cannot be used; give at least 30\.6 cm, the height of the hands above the table \(elbow_height\)",
        ),
        ({"elbow_height": 27, "table": 0, "seated": True}, r"\(elbow_height\)"),
        ({"monitor_below": 75}, r"75 cannot be used; give an angle of 0 to 60 degrees \(monitor_below\)"),
        ({"focus": 1}, r"\(focus\)"),
    ],
)
def test_operator_refuses_in_one_sentence(setting, message):
    with pytest.raises(ValueError, match=message):
        operator_figure(FIRST, **setting)

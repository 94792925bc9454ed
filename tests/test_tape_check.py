"""Readings between the points of a box and the box found again, intervals that cover as they say, what is not known, slips."""

import re
from math import atan, degrees, dist, sqrt

import numpy as np
import pytest
from draws import draws
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from ergokit import Placement, datasets
from ergokit.tape_check import READINGS, check_tape, check_tape_file, field_of_view_from_sheet, tape_slips
from ergokit.view import width_seen

HEIGHTS = [name for name in READINGS if "height" in name]
DISTANCES = [name for name in READINGS if "height" not in name]
# ports at different heights, nothing in the middle, the camera well above the port line
POINTS = ((-9, 0, 12.1), (9, 0, 13), (1.4, 9.5, 1.5), (-1.3, 4.6, 16.2))
ON_THE_PORT_LINE = ((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 0, 12))


def taped(left, right, target, camera):
    """What an exact tape reads."""
    return {
        "port_to_port": dist(left, right),
        "left_to_target": dist(left, target),
        "right_to_target": dist(right, target),
        "left_to_camera": dist(left, camera),
        "right_to_camera": dist(right, camera),
        "camera_to_target": dist(camera, target),
        "left_height": left[2],
        "right_height": right[2],
        "camera_height": camera[2],
        "target_height": target[2],
    }


def without(readings, *names):
    return {name: value for name, value in readings.items() if name not in names}


def row(found, quantity, side=""):
    table = found.measures()
    (one,) = table[(table.quantity == quantity) & (table.side == side)].itertuples()
    return one


def not_known(found):
    table = found.measures()
    return set(table.quantity[table.note.str.startswith("needs ")])


# Exact readings give the box back


@st.composite
def boxes(draw):
    """Ports and target and camera in the tape check's own frame, the camera looking away."""
    half = draw(st.floats(4, 12))
    low, high = st.floats(0, 4), st.floats(8, 15)
    left, right = (-half, 0, draw(high)), (half, 0, draw(high))
    target = (draw(st.floats(-6, 6)), draw(st.floats(-8, 14)), draw(low))
    camera = (draw(st.floats(-8, 8)), draw(st.floats(-10, 10)), draw(st.floats(9, 20)))
    assume(camera[1] < target[1] - 0.1)
    flat = draw(st.booleans())
    assume(not flat or _off_the_panel(left, right, camera, target))
    return (left, right, target, camera), flat


def _off_the_panel(left, right, camera, target):
    """A flat phone whose panel is one, has the target to one side of it and looks away."""
    normal = np.cross(np.subtract(right, left), np.subtract(camera, left))
    size = np.linalg.norm(normal)
    if size < 20:
        return False
    inside = normal @ np.subtract(target, left) / size
    return abs(inside) > 0.5 and normal[1] / size * inside > 0.01


@settings(deadline=None, max_examples=draws(75, 150))
@example(box=(((-4.0, 0, 8.0), (4.0, 0, 13.0), (0.0, 5.0, 4.0), (0.0, -6.0, 9.0)), False))  # came back left for right
@given(boxes())
def test_exact_readings_give_the_placement_back(box):
    """The points to 1e-6 cm, and the measures, which follow from them."""
    points, flat = box
    found = check_tape(**taped(*points), error=0.05, camera_looks="away", flat_phone=flat, instrument_length=60)
    placement = found.placement
    for name, point in zip(("left_port", "right_port", "target", "camera"), points, strict=True):
        np.testing.assert_allclose(getattr(placement, name), point, rtol=0, atol=1e-6, err_msg=name)
    if flat:
        normal = np.cross(np.subtract(points[1], points[0]), np.subtract(points[3], points[0]))
        assert np.linalg.norm(np.cross(placement.aim, normal)) < 1e-6 * np.linalg.norm(normal)
        assert placement.aim @ np.subtract(points[2], points[0]) > 0
    table, truth = found.measures(), placement.measures()
    known = ~table.note.str.startswith("needs ")
    assert list(table.quantity + table.side) == list(truth.quantity + truth.side)
    np.testing.assert_array_equal(table.value[known], truth.value[known])


@pytest.mark.parametrize(
    ("kept", "exact"),
    [
        (DISTANCES, {"manipulation angle", "working distance", "angle on the screen", "azimuth angle, instruments' plane"}),
        (
            DISTANCES[:3] + HEIGHTS[:2] + HEIGHTS[3:],
            {"elevation angle", "instrument plane tilt", "angle seen from above", "depth"},
        ),
        (["camera_to_target", "camera_height", "target_height"], {"view angle", "working distance"}),
    ],
    ids=["distances", "no camera", "camera alone"],
)
def test_fewer_readings_give_what_they_determine(kept, exact):
    found = check_tape(**{name: value for name, value in taped(*POINTS).items() if name in kept})
    truth = Placement(*POINTS).measures()
    table = found.measures()
    for quantity in exact:
        same = table.quantity == quantity
        assert same.any()
        np.testing.assert_allclose(table.value[same], truth.value[same], rtol=0, atol=1e-6, err_msg=quantity)


def test_the_mirror_image_is_the_reader_s_to_tell():
    exact = taped(*POINTS)
    silent, away, towards = (check_tape(**exact, camera_looks=looks) for looks in (None, "away", "towards"))
    turning = ("hand-eye rotation", "camera's side")
    assert [row(silent, name).note for name in turning] == ["needs camera_looks"] * 2
    assert "mirror image" in repr(silent) and "mirror image" not in repr(away)
    np.testing.assert_allclose(towards.placement.camera * [1, -1, 1], away.placement.camera, rtol=0, atol=1e-9)
    assert silent.placement == away.placement
    for name in turning:
        before, after = (row(found, name).value for found in (away, towards))
        assert (after - (180 - before)) % 360 == pytest.approx(0, abs=1e-6)
    known = ~away.measures().quantity.isin(turning)
    np.testing.assert_allclose(towards.measures().value[known], away.measures().value[known], rtol=0, atol=1e-6)


# How certain


@pytest.fixture(scope="module")
def trials():
    """Many times reading the same well-placed box anew: tables of values, uncertainties and what they should be."""
    exact, rng = taped(*POINTS), np.random.default_rng(20)
    names, errors = list(exact), {name: error for name, error in zip(exact, [0.2, 0.3] * 5, strict=True)}
    values, spreads, refused = [], [], 0
    for noise in rng.normal(size=(draws(200, 2000), 10)):
        read = {name: exact[name] + each * errors[name] for name, each in zip(names, noise, strict=True)}
        try:
            rows = check_tape(**read, errors=errors, camera_looks="away").rows
        except ValueError as refusal:  # farther off than one honest set in 370
            assert "do not fit together" in str(refusal)
            refused += 1
            continue
        values.append([each.value for each in rows])
        spreads.append([each.uncertainty for each in rows])
    measures = Placement(*POINTS).measures()
    return measures, np.array(values), np.array(spreads), refused


def test_the_interval_covers_the_truth_as_often_as_it_says(trials):
    """95 %, give or take four standard deviations of so many trials. What is exact by definition is covered always."""
    measures, values, spreads, refused = trials
    assert refused < draws(10, 20)  # 0.5 and 5.4 expected
    off = np.abs(values - measures.value.to_numpy())
    assert off.max() < 90  # no angle turned over
    covered = (off <= 1.959964 * spreads + 1e-9).mean(axis=0)
    by_name = dict(zip(measures.quantity + " " + measures.side, covered, strict=True))
    assert by_name.pop("off-centre angle ") == by_name.pop("camera roll ") == 1
    chance = 4 * np.sqrt(0.05 * 0.95 / len(values))
    outside = {name: share for name, share in by_name.items() if not abs(share - 0.95) <= chance}
    assert not outside, outside
    assert len(by_name) == 27


def test_the_uncertainty_is_the_spread_of_reading_again(trials):
    _, values, spreads, _ = trials
    np.testing.assert_allclose(spreads.mean(axis=0), values.std(axis=0), rtol=draws(0.15, 0.08), atol=1e-9)


def test_the_angle_s_uncertainty_in_closed_form():
    """Three readings: the law of cosines, differentiated by hand."""
    s, left, right, error = 18.2, 17.6, 18.4, 0.01
    theta = np.arccos((left**2 + right**2 - s**2) / (2 * left * right))
    slopes = np.array([s, -(s**2 + left**2 - right**2) / (2 * left), -(s**2 + right**2 - left**2) / (2 * right)])
    expected = np.degrees(error * np.linalg.norm(slopes) / (left * right * np.sin(theta)))
    found = check_tape(s, left, right, error=error)
    assert row(found, "manipulation angle").uncertainty == pytest.approx(expected, rel=1e-3)
    low, high = found.interval("manipulation angle")
    assert (high - low) / 2 == pytest.approx(1.959964 * expected, rel=1e-3)


def test_an_interval_stays_where_the_measure_can_be():
    """A flat triangle: its angle is 180 at most, and its depth nothing at least."""
    found = check_tape(port_to_port=30.1, left_to_target=15, right_to_target=15.2)
    low, high = found.interval("manipulation angle")
    assert low < 170 and high == 180
    assert found.interval("depth")[0] == 0


@pytest.mark.parametrize(("quantity", "side"), [("manipulation angle", ""), ("view angle", ""), ("elevation angle", "left")])
def test_the_reading_to_repeat_is_the_one_whose_repetition_helps_most(quantity, side):
    """Every reading is really given twice, the second time as fitted, and the table asked."""
    exact = taped(*POINTS)
    found = check_tape(**exact)
    sentence = found.repeat(quantity, side)
    after = {name: row(check_tape(**exact | {name: [value] * 2}), quantity, side).uncertainty for name, value in exact.items()}
    best = min(after, key=after.get)
    assert sentence.startswith(f"Repeat {best.replace('_', ' ')}: ")
    before = row(found, quantity, side).uncertainty
    assert f"from {before:.1f} to {after[best]:.1f} degrees" in sentence
    assert after[best] < 0.95 * before


def test_readings_to_spare_are_compared_with_the_fit():
    """The lengths' own weights: two readings of one length meet in their mean."""
    found = check_tape(18, [17, 17.4], 18)
    table = found.compared()
    np.testing.assert_allclose(table.fitted, [18, 17.2, 17.2, 18], rtol=0, atol=1e-6)
    assert list(table.read) == [18, 17, 17.4, 18]
    found = check_tape(18, [17, 17.3], 18, errors={"left_to_target": 0.1})
    assert row(found, "length inside", "left").uncertainty == pytest.approx(0.1 / sqrt(2), rel=1e-3)


def test_a_height_of_zero_is_the_floor():
    ground = taped((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 5, 16))
    assert dict(check_tape(**ground).compared()[["reading", "error"]].values)["target_height"] == 0.01
    assert (
        row(check_tape(**ground), "view angle").uncertainty
        < row(check_tape(**ground, errors={"target_height": 0.3}), "view angle").uncertainty
    )


# What is not known, and what is not well placed


def test_distances_alone_say_nothing_about_the_floor():
    found = check_tape(**without(taped(*POINTS), *HEIGHTS))
    floor = {"elevation angle", "instrument plane tilt", "angle seen from above", "azimuth angle, working plane", "view angle"}
    assert not_known(found) == floor | {"hand-eye rotation", "camera's side"}
    assert row(found, "elevation angle", "left").note == "needs left_height and target_height"
    assert np.isnan(row(found, "view angle").value) and np.isnan(row(found, "view angle").uncertainty)
    assert "view angle" in repr(found) and "mirror image" in repr(found)
    with pytest.raises(ValueError, match=r"has no interval: needs camera_height and target_height \(quantity\)\.$"):
        found.interval("view angle")
    assert found.repeat("view angle") == "The view angle has no value yet: needs camera_height and target_height."


@pytest.mark.parametrize("names", [(), ("right_height",), ("camera_to_target",), ("left_to_target", "left_height")])
def test_what_a_note_needs_is_enough_and_not_too_much(names):
    """Each measure left open becomes known with the readings its note names, and with none of them left out."""
    exact = taped(*POINTS)
    few = without(exact, "left_to_camera", "camera_height", "target_height", *names)
    for measure in check_tape(**few).rows:
        if not measure.note.startswith("needs ") or "camera_looks" in measure.note:
            continue
        more = measure.note.removeprefix("needs ").split(":")[0].split(" or ")[0].replace(" and ", ", ").split(", ")
        for readings in (more, *(more[:i] + more[i + 1 :] for i in range(len(more)))):
            after = row(check_tape(**few | {name: exact[name] for name in readings}), measure.quantity, measure.side)
            open_still = after.note.startswith("needs ") and "another" not in after.note and "camera_looks" not in after.note
            assert open_still == (readings is not more), (measure, measure.note, readings)


def test_a_second_arrangement_is_named():
    """Without its height the camera may stand on either side of the plane of ports and target."""
    left, right, target, camera = map(np.array, POINTS)
    found = check_tape(**without(taped(*POINTS), "camera_height"))
    normal = np.cross(right - left, target - left)
    image = camera - 2 * ((camera - left) @ normal) * normal / (normal @ normal)
    assert dist(image, target) == pytest.approx(dist(camera, target)) and image[2] > target[2]
    assert row(found, "view angle").note == "needs camera_height: another arrangement fits too"
    assert not found.well_placed and "Two arrangements" in repr(found)
    assert row(found, "working distance").value == pytest.approx(dist(camera, target))
    assert check_tape(**taped(*POINTS)).well_placed


@pytest.mark.parametrize(
    "kept", [DISTANCES, [name for name in READINGS if name != "camera_height"]], ids=["distances", "no camera height"]
)
@pytest.mark.parametrize("off", [0, 0.2, -0.2])
def test_a_camera_on_the_port_line_is_not_well_placed(kept, off):
    exact = {name: value for name, value in taped(*ON_THE_PORT_LINE).items() if name in kept}
    exact["left_to_camera"] += off
    found = check_tape(**exact)
    assert not found.well_placed
    assert "camera is, as it lies close to the port line, and a move across that line hardly changes left_to_camera" in repr(
        found
    )
    assert "rough" in row(found, "angle on the screen").note
    assert row(found, "manipulation angle").value == pytest.approx(59.9, abs=0.3)


def test_the_camera_s_height_places_a_camera_on_the_port_line():
    """All but the angle on the screen, which is at the end of its range there."""
    found = check_tape(**without(taped(*ON_THE_PORT_LINE), "camera_height"))
    assert "read camera_height as well" in repr(found)
    found = check_tape(**taped(*ON_THE_PORT_LINE), camera_looks="away")
    assert found.well_placed
    table = found.measures()
    assert set(table.quantity[table.note != ""]) == {"angle on the screen"}


def test_a_flat_triangle_is_not_well_placed():
    """Ports wider apart by a hair than the shafts reach: within the errors, so it is drawn flat, and said."""
    found = check_tape(port_to_port=30.1, left_to_target=15, right_to_target=15)
    assert row(found, "manipulation angle").value == pytest.approx(180, abs=1)
    assert not found.well_placed and "target is, as it lies close to the port line" in repr(found)


# Readings that no arrangement has, and slips

EXACT = taped(*POINTS)
EVEN = taped((-9, 0, 12), (9, 0, 12), (0, 10, 1), (0, 5, 16))


@pytest.mark.parametrize(
    ("readings", "message"),
    [
        ({}, r"^There is no reading; give at least one of port_to_port, "),
        ({"port_to_port": float("nan")}, r"^nan cannot be used; give a length of more than 0 cm \(port_to_port\)"),
        ({"port_to_port": "wide"}, r"^'wide' cannot be used; give a length of more than 0 cm \(port_to_port\)"),
        ({"left_height": -1}, r"^-1 cannot be used; give a length of at least 0 cm \(left_height\)"),
        (
            {"left_to_target": [[17, 18]]},
            r"^An array of shape \(1, 2\) cannot be used; give one reading or a list of readings \(left_to_target\)",
        ),
        ({"left_to_target": 17, "error": 0}, r"^0 cannot be used; give a length of more than 0 cm \(error\)"),
        (
            {"left_to_target": 17, "errors": {"left": 1}},
            r"^'left' cannot be used; give an error only for a reading that is given, .*\(errors\)",
        ),
        ({"left_to_target": 17, "errors": 0.2}, r"give a mapping.*\(errors\)"),
        (
            {"left_to_target": 17, "errors": {"left_to_target": 0}},
            r"give a length of more than 0.*\(errors\['left_to_target'\]\)",
        ),
        ({"left_to_target": 17, "flat_phone": "yes"}, r"give True or False.*\(flat_phone\)"),
        ({"left_to_target": 17, "camera_looks": "up"}, r"give 'away' or 'towards'.*\(camera_looks\)"),
        (
            {name: 10 * value for name, value in EXACT.items()},
            "^A box has no port to port of 180.* give readings in cm, not mm, of at most 50 cm",
        ),
        (EXACT | {"left_to_target": 176}, "^A box has no left to target of 176 cm; give readings in cm, not mm"),
        (EVEN | {"target_height": 10}, "^Target height of 10 cm does not fit the others, which give 1.0 cm; give cm, not mm"),
        (
            EVEN | {"target_height": 45},
            r"most likely target height of 45 cm \(the others give 1.0\) is wrong, so measure it again\.$",
        ),
        (
            EXACT | {"port_to_port": 40},
            r"most likely port to port of 40 cm \(the others give 18.0\) is wrong",
        ),
        (
            EXACT | {"camera_height": 35},
            r"most likely camera height of 35 cm \(the others give 16.2\) is wrong",
        ),
        (
            {"left_to_target": 17, "left_height": 30, "target_height": 1},
            r"most likely left height of 30 cm \(the others allow 18.0\)",
        ),
        (EXACT | {"port_to_port": [18, 20]}, "^Port to port was read as 18 and 20 cm, farther apart than an error of 0.3"),
        (
            EXACT | {"camera_height": 18.5},
            r"do not fit together; most likely camera height of 18.5 cm \(the others give 16.2\)",
        ),
        (
            dict(zip(DISTANCES, [18, 18, 18, 9.2, 9.2, 26], strict=True)),
            r"most likely camera to target of 26 cm \(the others allow 17.4\)",
        ),
        (
            EXACT | {"left_to_target": 45, "right_height": 5, "camera_height": 30},
            "^No box has these readings, in cm: port to port 18.02, left to target 45,",
        ),
        (
            {"left_to_target": 17, "left_height": 2, "right_to_target": 17, "right_height": 2, "target_height": 14},
            "above both ports",
        ),
        (taped(*ON_THE_PORT_LINE) | {"flat_phone": True}, r"^The readings put the camera on the port line, .*\(flat_phone\)"),
        (
            {"left_to_target": 38},
            "^An instrument of 36.0 cm is too short for the left hand: its port is 38.0 cm from the target",
        ),
    ],
)
def test_bad_readings_are_named(readings, message):
    with pytest.raises(ValueError, match=message):
        check_tape(**readings)


def test_an_unknown_measure_is_named():
    with pytest.raises(
        ValueError,
        match=r"^\('elevation angle', ''\) cannot be used; give one of left elevation angle, .* \(quantity and side\)\.$",
    ):
        check_tape(18, 18, 18).interval("elevation angle")


# From a file


def test_the_demo_file_is_read():
    rows = datasets.load("demo_tape_check")
    found = check_tape_file(datasets.folder() / "demo_tape_check.csv", camera_looks="away")
    assert found.well_placed and not not_known(found)
    assert list(found.compared().read) == list(rows.value)
    np.testing.assert_array_equal(found.compared().error, rows.error.fillna(0.3))


def test_a_file_of_before_is_read(tmp_path):
    """Whose three lengths had shorter names."""
    path = tmp_path / "box.csv"
    path.write_text("reading,value,error,unit,how\nspacing,18,,cm,\nleft,17,0.2,cm,\nright,17.5,,cm,\n")
    now = check_tape(port_to_port=18, left_to_target=17, right_to_target=17.5, errors={"left_to_target": 0.2})
    assert check_tape_file(path).measures().equals(now.measures())


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "reading,value,unit,how\nport_to_port,18,cm,\n",
            r"^The header 'reading, value, unit, how' lacks error; give the columns .* \(box\.csv, line 1\)\.$",
        ),
        ("reading,error,how\n", r"^The header 'reading, error, how' lacks value, unit; give .*\(box\.csv, line 1\)"),
        ("", r"^This table is empty; give the columns reading, value, error, unit, how \(box\.csv, line 1\)\.$"),
        (
            "reading,value,error,unit,how\nport_to_port,180,,mm,\n",
            r"^'mm' cannot be used; give one of cm \(box\.csv, line 2, column unit\)\.$",
        ),
        (
            "reading,value,error,unit,how\nport_to_port,wide,,cm,\n",
            r"^'wide' cannot be used; give a number .* \(box\.csv, line 2, column value\)",
        ),
        (
            "reading,value,error,unit,how\nport_to_port,,,cm,\n",
            r"^This cell is empty; give a number \(box\.csv, line 2, column value\)",
        ),
        (
            "reading,value,error,unit,how\nwidth,18,,cm,\n",
            r"^'width' cannot be used; give one of port_to_port, .* \(box\.csv, column reading\)\.$",
        ),
        (
            "reading,value,error,unit,how\nport_to_port,18,0.2,cm,\nport_to_port,18,0.3,cm,\n",
            r"^port_to_port has two errors, 0\.2 and 0\.3; give one error \(box\.csv, column error\)\.$",
        ),
    ],
)
def test_a_bad_file_is_named(tmp_path, text, message):
    path = tmp_path / "box.csv"
    path.write_text(text)
    with pytest.raises(ValueError, match=message):
        check_tape_file(path)


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(ValueError, match=r"^'.*none\.csv' cannot be read: .*; give a CSV file of readings \(path\)"):
        check_tape_file(tmp_path / "none.csv")


# The camera's field of view


@given(st.floats(20, 120), st.floats(25, 80), st.floats(0.5, 1))
def test_a_photographed_sheet_gives_the_field_of_view(field, distance, share):
    """A pinhole: the sheet takes the same share of the picture's width as of the width seen."""
    side = share * width_seen(distance, field)
    assert field_of_view_from_sheet(distance, share * 4000, 4000, side=side).field_of_view == pytest.approx(field, rel=1e-12)


def test_the_field_s_uncertainty_is_that_of_photographing_again():
    rng = np.random.default_rng(3)
    again = [field_of_view_from_sheet(30 + 0.3 * a, 2970 + 20 * b, 4000).field_of_view for a, b in rng.normal(size=(4000, 2))]
    view = field_of_view_from_sheet(30, 2970, 4000, error=0.3, picture_error=20)
    assert view.field_of_view == pytest.approx(2 * degrees(atan(20 / 30)))
    assert view.uncertainty == pytest.approx(np.std(again), rel=0.05)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((300, 2970, 4000), r"^300 cm is too far away; give at most 100 cm, and not mm \(distance\)\.$"),
        ((30, 4100, 4000), r"^The sheet is 4100 wide in a picture 4000 wide; give .*\(in_picture\)"),
        ((0, 2970, 4000), r"^0 cannot be used; give a length of more than 0 cm \(distance\)"),
        ((30, 2970, float("inf")), r"^inf cannot be used; give a width of more than 0 \(picture_width\)"),
    ],
)
def test_a_bad_photograph_is_named(arguments, message):
    with pytest.raises(ValueError, match=message):
        field_of_view_from_sheet(*arguments)


DEMO = datasets.folder() / "demo_tape_check.csv"


def test_a_slip_is_caught_where_readings_check_each_other_and_not_in_the_triangle():
    slips = {"camera_to_target": 148, "camera_height": 17.1, "left_to_target": [16.7, 18.0], "right_to_target": 19.1}
    in_mm, too_high, twice, long = tape_slips(DEMO, **slips).split("\n")
    assert "camera to target" in in_mm and " mm" in in_mm
    assert "camera height" in too_high and "left to target" in twice
    assert all("measure it again" in said for said in (too_high, twice))
    [low, high] = re.findall(r"right to target.* nothing is noticed, 95 % from (\S+) to (\S+) degrees", long)[0]
    given = {"port_to_port": 17.4, "left_to_target": 16.85, "right_to_target": 19.1}
    angle = degrees(2 * atan(sqrt(_tangent_squared(*given.values()))))
    assert float(low) < angle < float(high)
    with pytest.raises(ValueError, match="left_height"):
        tape_slips(DEMO, middle_height=3)


def _tangent_squared(opposite, a, b):
    """Of half the angle between a and b in a triangle (the half-angle formula)."""
    half = (opposite + a + b) / 2
    return (half - a) * (half - b) / half / (half - opposite)


def test_the_uncertainty_is_a_quarter_of_the_interval():
    found = check_tape_file(DEMO)
    low, high = found.interval("manipulation angle")
    assert found.uncertainty("manipulation angle") == pytest.approx((high - low) / 2 / 1.959964)
    assert np.isnan(check_tape(port_to_port=18).uncertainty("manipulation angle"))


def test_a_slip_that_turns_no_known_angle_is_not_held_up():
    alone, tall = (
        check_tape(port_to_port=18),
        check_tape(port_to_port=18.2, left_to_target=17.6, right_to_target=18.4, left_height=9),
    )
    assert alone.unchecked() == {} and "unnoticed" not in repr(alone)
    assert list(tall.unchecked()) == ["port_to_port", "left_to_target", "right_to_target"]

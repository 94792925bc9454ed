"""A box as built beside its design: known slips of the knife come back, with intervals that hold, and what to do follows."""

import numpy as np
import pytest
from draws import draws
from pdfs import texts

from ergokit.built import compare_built
from ergokit.design import Phone, design_box, ways_to_lay
from ergokit.explorers.box_form import TAPE
from ergokit.figures import built_figure, carton_figure, readings_figure
from ergokit.figures.carton import carton_views
from ergokit.placement import Placement
from ergokit.surfaces import FlatBox, WedgeBox
from ergokit.template import write_template
from ergokit.triangulation import manipulation_angle

DESIGN = design_box(WedgeBox(44, 36, 27))


def cut(half=0.0, lens=0.0, target=(0, 0, 0), noise=None, **more):
    """The readings of the design's box whose ports are `half` farther out each, its lens `lens` higher up the panel."""
    box, (u, v), (_, w) = DESIGN.box, DESIGN.holes["right port"], DESIGN.holes["camera hole"]
    left, right, camera = box.point(-u - half, v), box.point(u + half, v), box.point(0, w + lens)
    spot = DESIGN.placement.target + target
    read = [np.linalg.norm(b - a) for a, b in ((left, right), (left, spot), (right, spot), (camera, spot))]
    read = np.array([*read, w + lens - v]) + (0 if noise is None else noise)
    slope = np.degrees(np.arccos(box.normal(0, 1)[2]))
    return Placement.from_tape(*read, **{"panel_slope": slope, "target_height": spot[2]} | more)


def off(found, hole, way):
    return next(each for each in found.holes if (each.hole, each.way) == (hole, way))


def test_a_box_built_as_designed_differs_nowhere():
    found = compare_built(DESIGN, cut())
    assert found.verdict == "yes" and found.to_do() == ("Leave it.",)
    assert found.built_angle[0] == pytest.approx(found.planned_angle, abs=1e-4)
    assert not any(each.told for each in found.holes) and max(abs(each.off) for each in found.holes) < 1e-4


def test_known_slips_come_back_shared_out_by_the_alignment():
    found = compare_built(DESIGN, cut(half=0.8, lens=0.9))
    assert off(found, "left port", "sideways").off == pytest.approx(-0.8, abs=1e-3)
    assert off(found, "right port", "sideways").off == pytest.approx(0.8, abs=1e-3)
    assert off(found, "camera hole", "up the panel").off == pytest.approx(0.6, abs=1e-3)  # two thirds, the ports the third
    assert off(found, "left port", "up the panel").off == pytest.approx(-0.3, abs=1e-3)
    assert off(found, "camera hole", "sideways").words == "not read", "the form takes the lens as on the midline"
    assert off(found, "left port", "sideways").words.startswith("0.8 cm to the left (")


def test_how_the_tape_s_arrangement_stands_does_not_matter():
    """Without a slope the panel is drawn level; the alignment leans it as the design has it."""
    level = cut(half=0.8, panel_slope=None, target_height=0)
    assert abs(level.camera[2] - level.left_port[2]) < 0.1
    assert off(compare_built(DESIGN, level), "right port", "sideways").off == pytest.approx(0.8, abs=1e-3)
    assert off(compare_built(DESIGN, level), "camera hole", "up the panel").off == pytest.approx(0, abs=1e-3)


@pytest.mark.parametrize("wrong", [{"half": 1.6}, {"half": -1.6}])
def test_what_to_do_when_the_angle_is_off_brings_it_back(wrong):
    found = compare_built(DESIGN, cut(**wrong))
    assert found.verdict == "no"
    left, right, _, target = found._aligned[0]
    there = target - (0, found.nearer, 0)
    if np.isfinite(found.nearer):
        assert manipulation_angle(left, right, there) == pytest.approx(found.planned_angle, abs=1e-6)
        assert found.to_do()[0].startswith(
            f"Move the target {abs(found.nearer):.1f} cm {'nearer' if found.nearer > 0 else 'away'}"
        )
    again = found.to_do()[-1]
    side = "right" if wrong["half"] > 0 else "left"
    assert "cut again" in again and f"the left port 1.6 cm to the {side}" in again


def test_a_move_out_of_the_picture_is_not_proposed():
    narrow = design_box(WedgeBox(44, 36, 27), phone=Phone(field_of_view=12))
    assert np.isnan(compare_built(narrow, cut(half=1.6)).nearer)
    assert "Move the target" not in repr(compare_built(narrow, cut(half=1.6)))


def test_poor_readings_leave_it_open_and_say_which_to_repeat():
    found = compare_built(DESIGN, cut(half=0.4, reading_error=1.5))
    assert found.verdict == "the readings do not tell"
    assert found.to_do()[0].startswith("The readings leave open whether the angle is near enough. Repeat port to port")
    assert all(each.words in ("the readings do not tell", "not read") for each in found.holes)


def test_intervals_hold_for_95_of_100_boxes():
    rng, n = np.random.default_rng(5), draws(60, 1000)
    held = []
    for noise in rng.normal(0, 0.3, (n, 5)):
        found = compare_built(DESIGN, cut(half=0.5, lens=-0.4, noise=noise))
        each = off(found, "right port", "sideways"), off(found, "camera hole", "up the panel")
        held.append([one.low <= truth <= one.high for one, truth in zip(each, (0.5, -0.4 * 2 / 3), strict=True)])
    assert np.all(np.abs(np.mean(held, axis=0) - 0.95) < 4 * np.sqrt(0.05 * 0.95 / n))


def test_readings_are_needed():
    with pytest.raises(
        ValueError, match=r"^Placement.* cannot be used; give a placement made by Placement\.from_tape \(built\)"
    ):
        compare_built(DESIGN, DESIGN.placement)


def test_the_picture_says_what_the_table_says():
    found = compare_built(DESIGN, cut(half=0.8))
    fig = built_figure(found)
    for trace, hole in zip(fig.data, ("left port", "camera hole", "right port"), strict=True):
        across, up = off(found, hole, "sideways"), off(found, hole, "up the panel")
        assert (trace.x[0], trace.y[0]) == (across.off, up.off)
        assert np.isnan(across.low) or trace.error_x.value == pytest.approx((across.high - across.low) / 2)
    assert all(any(words in note.text for note in fig.layout.annotations) for words in found.table().difference)
    assert found.verdict in fig.layout.title.text


# A carton before it is cut


def test_six_ways_to_lay_a_carton_are_ranked_by_what_design_box_finds():
    ways = ways_to_lay((25, 40, 30), phone=Phone(length=15.5))
    assert len(ways) == len({way.box for way in ways}) == 6
    assert all(sorted((way.box.ridge, way.box.side_a, way.box.side_b)) == [25, 30, 40] for way in ways)
    drawn = [way for way in ways if way.design]
    assert ways[: len(drawn)] == drawn and len(drawn) == 4
    for way in drawn:
        assert design_box(way.box, phone=Phone(length=15.5)).holes == way.design.holes
    broken = [(len(way.design.not_met), -round(way.to_spare, 2)) for way in drawn]
    assert broken == sorted(broken)
    with pytest.raises(ValueError, match=r"In a wedge box of ridge 25, .* the instruments cannot meet"):
        design_box(ways[-1].box, phone=Phone(length=15.5))


def test_the_carton_s_drawing_is_to_scale():
    box = WedgeBox(44, 36, 27)
    fig = carton_figure(box)
    views = carton_views(box)

    def lengths(name):
        return [np.linalg.norm(np.diff(line, axis=0), axis=1) for line in views.shapes[name]]

    ends, cuts, back = lengths("end"), lengths("cut"), np.hypot(0.4, 0.27) * 44
    for wedge, sides in zip(ends, ([36, 27, 45], [27, 36, 45], [36, 27, 36, 27]), strict=True):  # laid, apart, in the carton
        np.testing.assert_allclose(wedge, sides)
    np.testing.assert_allclose(lengths("other wedge"), [[36, 45, 27]])
    np.testing.assert_allclose(
        np.concatenate(cuts), [45, back, back, 45]
    )  # a diagonal, the edges that join it to the other, on the table
    np.testing.assert_allclose(np.concatenate(lengths("cut, hidden")), [45])
    np.testing.assert_allclose(lengths("panel a"), [[36, back, 36, back]] * 3)
    corners = {tuple(np.round(point, 9)) for point in views.shapes["end"][2]}  # of the carton
    across = {tuple(np.round(point, 9)) for point in views.shapes["cut"][0]}
    assert across < corners and not across & {tuple(np.round(views.shapes["ridge"][2][0], 9))}
    per_cm = [fig.layout[side] / np.ptp(fig.layout[axis].range) for side, axis in (("width", "xaxis"), ("height", "yaxis"))]
    assert per_cm[0] == pytest.approx(per_cm[1])


@pytest.mark.parametrize("box", [WedgeBox(44, 36, 27), WedgeBox(20, 40, 30), WedgeBox(60, 25, 40)])
def test_the_carton_s_drawings_are_beside_each_other(box):
    shapes, _, (left, low, right, high) = carton_views(box)
    points = np.concatenate([line for lines in shapes.values() for line in lines])
    np.testing.assert_allclose([*points.min(axis=0), *points.max(axis=0)], [left, low, right, high], atol=1e-9)
    carton, other, laid = shapes["end"][2], shapes["other wedge"][0], shapes["panel a"][0]
    assert carton[:, 0].max() < other[:, 0].min() < other[:, 0].max() < laid[:, 0].min()


def test_the_cut_list_draws_the_carton(tmp_path):
    def drawn(box, **asked):
        path = write_template(tmp_path / f"{box.__class__.__name__}.pdf", design_box(box, **asked))
        [words] = [words for words in texts(path) if "In this order" in words]
        return words

    words = drawn(WedgeBox(44, 36, 27))
    for said in ("1. Cut the closed carton", "ridge 44.0 cm", "side a 36.0 cm", "on the cut, 45.0 cm", "both ends"):
        assert said in words
    assert "closed carton" not in drawn(FlatBox(40, 30, 15), rules={"working distance": None}).partition("Cuts")[2]


# What is measured from where


def test_the_drawing_has_every_reading_of_the_form_by_its_name():
    words = [note.text.replace("<br>", " ") for note in readings_figure().layout.annotations]
    assert all(label.partition(" (")[0] in words for label, *_ in TAPE.values())


def test_the_drawing_of_the_readings_is_to_scale():
    fig, box = readings_figure(), design_box(WedgeBox(44, 36, 27)).placement
    raised = box.target + np.array([0, 0, 3])
    at = {trace.name: np.array([trace.x, trace.y]).T for trace in fig.data}
    length = {name: np.linalg.norm(points[-1] - points[0]) for name, points in at.items()}
    assert length["port to port"] == pytest.approx(np.linalg.norm(box.right_port - box.left_port))
    assert length["left to target"] == pytest.approx(np.linalg.norm(raised - box.left_port))
    assert length["camera to target"] == pytest.approx(np.linalg.norm(raised - box.camera))
    assert (length["port height"], length["target height"]) == pytest.approx((box.left_port[2], raised[2]))
    per_cm = [fig.layout[side] / np.ptp(fig.layout[axis].range) for side, axis in (("width", "xaxis"), ("height", "yaxis"))]
    assert per_cm[0] == pytest.approx(per_cm[1], rel=0.01)

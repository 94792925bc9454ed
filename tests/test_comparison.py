"""The comparison panel against 50-digit closed forms, on random cartons, and read back from its PDF."""

import mpmath as mp
import numpy as np
import pdfplumber
import pytest
from draws import draws
from hypothesis import given, settings
from hypothesis import strategies as st
from pdfs import texts

from ergokit import WedgeBox, comparison_panel, design_box
from ergokit.design import Phone
from ergokit.hands_on.comparison import KINDS, SIGNS
from ergokit.surfaces import Dome, FlatBox
from ergokit.template import write_comparison
from ergokit.triangulation import azimuth_angles, length_ratio, manipulation_angle

CM = 72 / 2.54
BOX = WedgeBox(50, 40, 30)
LID = FlatBox(40, 30, 15)


def closed_form(length, theta, shaft=36, reach=10):
    """Port spacing, depth, ratio and hand to hand of a symmetric triangle, at 50 digits."""
    with mp.workdps(50):
        half = mp.radians(theta) / 2
        length, shaft = mp.mpf(length), mp.mpf(shaft)
        spacing, depth = 2 * length * mp.sin(half), length * mp.cos(half)
        return [float(x) for x in (spacing, depth, length / (shaft - length), 2 * (shaft + reach) * mp.sin(half))]


COLUMNS = ["port spacing (cm)", "depth (cm)", "inside : outside", "hand to hand (cm)"]


def test_one_circle_has_one_length_inside():
    panel = comparison_panel(BOX, (0, 0, 3), length=20)
    for theta, row in zip((30, 60, 90), panel.measures()[COLUMNS].to_numpy(), strict=True):
        np.testing.assert_allclose(row, closed_form(20, theta), rtol=1e-12)
    assert [round(x, 1) for x in panel.measures()["port spacing (cm)"]] == [10.4, 20.0, 28.3]  # as the issue works them out
    assert [round(x) for x in panel.measures()["hand to hand (cm)"]] == [24, 46, 65]
    assert {"length inside (cm)", "inside : outside", "lean at the port (deg)", "working distance (cm)"} == set(panel.same)
    reach = [np.linalg.norm(place - panel.foot) for pair in panel.pairs for place in (pair.left, pair.right)]
    np.testing.assert_allclose(reach, np.sqrt(20**2 - 12.6**2), rtol=1e-12)  # the target is 15 - 0.8 x 3 cm off


def test_one_row_has_one_depth():
    panel = comparison_panel(BOX, (0, 1, 2), kind="row", length=17)
    for theta, row in zip((30, 60, 90), panel.measures()[COLUMNS].to_numpy(), strict=True):
        with mp.workdps(50):
            inside = mp.mpf(17) / mp.cos(mp.radians(theta) / 2)
        np.testing.assert_allclose(row, closed_form(inside, theta), rtol=1e-12)
    assert [round(x, 2) for x in panel.measures()["inside : outside"]] == [0.96, 1.20, 2.01]
    assert {"depth (cm)", "instrument plane tilt (deg)", "working distance (cm)"} == set(panel.same)
    assert len({round(float(place[1]), 9) for pair in panel.pairs for place in (pair.left, pair.right)}) == 1
    assert abs(panel.camera_hole[1] - panel.pairs[0].left[1]) > 1.5 + 1  # the camera hole is off the row


def test_on_a_flat_lid_the_circle_keeps_elevation_too():
    panel = comparison_panel(LID, (3, 4, 2))
    assert {"elevation left (deg)", "elevation right (deg)", "lean at the port (deg)", "inside : outside"} <= set(panel.same)


def test_ratio_alone_keeps_angle_hands_and_azimuths():
    panel = comparison_panel(BOX, (0, 1, 2), kind="ratio")
    np.testing.assert_allclose(panel.measures()["inside : outside"], [1, 1.5, 2], rtol=1e-12)
    assert {"manipulation angle (deg)", "hand to hand (cm)", "azimuth left (deg)", "azimuth right (deg)"} <= set(panel.same)


def test_azimuths_alone_turn_the_pair_about_the_foot():
    panel = comparison_panel(BOX, (4, 1, 2), kind="azimuths", camera_hole=(3, 28), values=(15, 30, 40))
    np.testing.assert_allclose(panel.measures()["azimuth left (deg)"], [15, 30, 40], atol=1e-9)
    np.testing.assert_allclose(panel.measures()["azimuth right (deg)"], [45, 30, 20], atol=1e-9)
    kept = {"manipulation angle (deg)", "length inside (cm)", "inside : outside", "depth (cm)", "hand to hand (cm)"}
    assert kept <= set(panel.same)


def test_before_a_flat_phone_equal_lengths_have_equal_azimuths():
    panel = comparison_panel(BOX, (4, 1, 2), kind="azimuths", camera_hole=(3, 28))
    for pair in panel.pairs:
        p = pair.placement
        left, right = azimuth_angles(p.left_port, p.right_port, p.target, p.camera, aim=-p.panel_normal)
        assert left == pytest.approx(30, abs=1e-9) and right == pytest.approx(30, abs=1e-9)


sides = st.integers(20, 60)


@settings(max_examples=draws(40, 600), deadline=None)
@given(
    st.sampled_from([WedgeBox, FlatBox]), sides, sides, st.integers(10, 45), st.floats(-8, 8), st.floats(-8, 8),
    st.floats(0, 4), st.sampled_from(list(KINDS)),
)  # fmt: skip
def test_any_carton(kind, width, side, other, x, y, z, compared):
    """Whatever fits has its angle, what it promises to keep, its webs, and one camera hole; the rest has a reason."""
    try:
        panel = comparison_panel(kind(width, side, other), (x, y, z), kind=compared)
    except ValueError as refusal:
        assert "inside" in str(refusal) or "hole" in str(refusal)
        return
    assert len(panel.pairs) + len(panel.left_out) == 3 and all(panel.left_out.values())
    holes = np.array([place for pair in panel.pairs for place in (pair.left, pair.right)]).reshape(-1, 2)
    low, high = panel.box.outline_uv().min(axis=0), panel.box.outline_uv().max(axis=0)
    assert ((holes - 0.5 >= low + 2 - 1e-9) & (holes + 0.5 <= high - 2 + 1e-9)).all()
    apart = np.linalg.norm(holes[:, None] - holes[None], axis=-1)[np.triu_indices(len(holes), 1)]
    assert (apart - 1 >= 1 - 1e-9).all()
    beyond = np.maximum(np.abs(holes - panel.camera_hole) - 1.5, 0)
    assert (np.hypot(*beyond.T) - 0.5 >= 1 - 1e-9).all()
    names = [KINDS[compared].name.format(value) for value in KINDS[compared].values]
    for pair in panel.pairs:
        value = KINDS[compared].values[names.index(pair.name)]
        assert pair.sign == SIGNS[names.index(pair.name)]
        p = pair.placement
        np.testing.assert_allclose(p.camera, panel.pairs[0].placement.camera)
        theta = manipulation_angle(p.left_port, p.right_port, p.target)
        inside = panel.length / np.cos(np.radians(value) / 2) if compared == "row" else panel.length
        assert theta == pytest.approx(value if compared in ("circle", "row") else 60, abs=1e-7)
        ratio = value if compared == "ratio" else inside / (36 - inside)
        assert length_ratio(p.left_port, p.target, 36) == pytest.approx(ratio, abs=1e-9)
        assert length_ratio(p.right_port, p.target, 36) == pytest.approx(ratio, abs=1e-9)
    if compared == "azimuths" and panel.pairs:
        wanted = [value for name, value in zip(names, KINDS[compared].values, strict=True) if name not in panel.left_out]
        np.testing.assert_allclose(panel.measures()["azimuth left (deg)"], wanted, atol=1e-6)


def read_back(path, box):
    """Middles of the round holes and of the camera hole, (u, v) in cm from the panel's own dashed edges, and all words."""
    low, high = box.outline_uv().min(axis=0), box.outline_uv().max(axis=0)
    circles, squares, text = [], [], ""
    with pdfplumber.open(path) as pdf:
        for page, words in zip(pdf.pages, texts(path), strict=True):
            text += words
            if "Print at 100 %" not in words:
                continue
            rectangles = np.array([(each["x0"], each["y0"], each["x1"], each["y1"]) for each in page.rects]) / CM
            sizes = rectangles[:, 2:] - rectangles[:, :2]
            [edges] = rectangles[np.isclose(sizes, high - low, atol=0.01).all(axis=1)]
            for curve in page.curves:
                ends = np.array([(curve["x0"], curve["y0"]), (curve["x1"], curve["y1"])]) / CM
                if np.allclose(ends[1] - ends[0], 1, atol=0.01) and len(curve["pts"]) == 5:
                    circles.append(ends.mean(axis=0) - edges[:2] + low)
            of_size = rectangles[np.isclose(sizes, 3, atol=0.01).all(axis=1)]
            squares += list((of_size[:, :2] + of_size[:, 2:]) / 2 - edges[:2] + low)
    return np.array(circles), np.array(squares), text


PRINTED = [
    (WedgeBox(44, 36, 27), None, "circle", "A4"),
    (BOX, (4, 1, 2), "row", "A4"),
    (LID, (3, 4, 2), "circle", "A4"),
    (LID, (-2, 3, 2), "azimuths", "Letter"),
]


@pytest.mark.parametrize("box, target, kind, paper", PRINTED)
def test_read_back_from_the_pdf(tmp_path, box, target, kind, paper):
    panel = comparison_panel(box, target, kind=kind)
    assert len(panel.pairs) == 3
    circles, squares, text = read_back(write_comparison(tmp_path / "panel.pdf", panel, paper=paper), box)
    expected = np.array([(pair.left, pair.right) for pair in panel.pairs]).reshape(-1, 2)
    assert np.linalg.norm(circles[:, None] - expected, axis=-1).min(axis=1).max() < 0.02  # nothing else is cut
    np.testing.assert_allclose(squares, np.broadcast_to(panel.camera_hole, squares.shape), atol=0.02)
    read = circles[np.linalg.norm(circles[:, None] - expected, axis=-1).argmin(axis=0)]
    apart = np.linalg.norm(read[:, None] - read, axis=-1)[np.triu_indices(6, 1)]
    assert apart.min() - 1 >= 1 - 0.02  # of card
    low, high = box.outline_uv().min(axis=0), box.outline_uv().max(axis=0)
    assert (np.minimum(read - low, high - read) - 0.5 >= 2 - 0.02).all()
    for pair, places in zip(panel.pairs, read.reshape(-1, 2, 2), strict=True):
        ports, measured = box.point(*places.T), panel.measures().loc[pair.name]
        assert pair.name in text and pair.sign in text
        wanted = measured["manipulation angle (deg)"]
        assert manipulation_angle(*ports, panel.target) == pytest.approx(wanted, abs=0.2)
        np.testing.assert_allclose(length_ratio(ports, panel.target, 36), measured["inside : outside"], atol=0.02)
    for words in ("common practice, no source", "The same for all pairs", "For education"):
        assert words in text


@pytest.mark.parametrize(
    "call, words",
    [
        (lambda: comparison_panel(Dome(15, 20, 6)), r"give a BoxDesign, a WedgeBox or a FlatBox.*\(box\)"),
        (
            lambda: comparison_panel(BOX, kind="square"),
            r"^'square' cannot be used; give one of circle, row, ratio, azimuths \(kind\)",
        ),
        (
            lambda: comparison_panel(BOX, values=(30, 200)),
            r"give two to 5 different values of the manipulation angle.*\(values\)",
        ),
        (lambda: comparison_panel(BOX, values=(30, 30)), r"give two to 5.*\(values\)"),
        (lambda: comparison_panel(BOX, kind="ratio", angle=0), r"give an angle of more than 0.*\(angle\)"),
        (lambda: comparison_panel(BOX, (0, 0, 40)), r"^At least one target lies outside a wedge box .*\(target\)"),
        (lambda: comparison_panel(BOX, camera_hole=(0, 39.5)), "misses panel a"),
        (lambda: comparison_panel(design_box(BOX, instrument_length=(36, 33))), "differ in length"),
    ],
)
def test_refusals(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_a_design_brings_its_camera_hole_its_phone_and_its_hole():
    design = design_box(BOX, phone=Phone(lens_at="left"), hole=0.8)
    panel = comparison_panel(design)
    assert tuple(panel.camera_hole) == design.holes["camera hole"] and panel.phone.lens_at == "left" and panel.hole == 0.8
    np.testing.assert_allclose(panel.target, design.placement.target)


def test_what_does_not_fit_is_told_and_not_cut(tmp_path):
    small = comparison_panel(WedgeBox(26, 20, 18), length=16)
    assert "90°" in small.left_out and "does not fit" in " ".join(small.sentences)
    none = comparison_panel(BOX, (0, 1, 2), length=14.1, values=(120, 150))
    assert not none.pairs
    with pytest.raises(ValueError, match="No pair of holes fits this panel"):
        write_comparison(tmp_path / "panel.pdf", none)

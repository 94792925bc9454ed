"""The template read back by an independent reader, in cm from the lower left corner of the page."""

import os
import re
from contextlib import ExitStack
from functools import cached_property
from itertools import pairwise, product
from types import SimpleNamespace

import numpy as np
import pdfplumber
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from pdfs import texts

from ergokit import datasets, handle_position, judge, manipulation_angle
from ergokit.design import BoxDesign, Phone, design_box
from ergokit.guidance import CAUTION
from ergokit.placement.demo import CARTON
from ergokit.surfaces import Dome, FlatBox, WedgeBox
from ergokit.template import PAPERS, write_template
from ergokit.template.sheet import OVERLAP, frame_size, tiles

CM = 72 / 2.54  # points
EXACT = 0.02  # cm: what a template must hold

BOX = WedgeBox(ridge=50, side_a=40, side_b=30)
DESIGN = design_box(BOX, ports=[(-10, 11.34), (10, 11.34)], camera_hole=(0, 20), target_height=0)
MANY = design_box(FlatBox(40, 30, 15), [(0, -2, 2), (5, 0, 1), (-5, 0, 3)], rules={"working distance": None})
# Nothing level, nothing in the middle: (u, v) from the centre line and from the lower, or the front, edge.
UNEVEN = {"left port": (-12, 9), "right port": (7, 13), "camera hole": (2.5, 22)}
WIDE = design_box(WedgeBox(60, 45, 40), manipulation_angle=75, rules={"port spacing": (25, 40)})


class Sheet:
    """One page as the reader sees it: words, and lines (n, 2) in cm. What is drawn is read when it is asked for."""

    def __init__(self, page, text):
        self.page, self.text = page, text
        self.width, self.height = page.width / CM, page.height / CM

    @property
    def words(self):
        return self.page.extract_words(use_text_flow=True)

    @property
    def chars(self):
        return self.page.chars

    @cached_property
    def drawn(self):
        return [*self.page.lines, *self.page.rects, *self.page.curves]

    @property
    def inks(self):
        return [each[name] for each in self.drawn for name in ("stroking_color", "non_stroking_color")]

    @cached_property
    def lines(self):
        return [self._cm(each["pts"], self.page) for each in self.drawn if each["stroke"]]

    @cached_property
    def circles(self):
        return [self._cm(each["pts"], self.page) for each in self.page.curves if len(each["pts"]) == 5 and each["stroke"]]

    @cached_property
    def rectangles(self):
        return [self._box(each) for each in self.page.rects if each["stroke"]]

    @staticmethod
    def _cm(points, page):
        return np.array([(x / CM, (page.height - y) / CM) for x, y in points])

    @staticmethod
    def _box(each):
        return np.array([each["x0"], each["y0"], each["x1"], each["y1"]]) / CM

    def circles_of(self, diameter):
        """Middles of the circles of this size."""
        of_size = [circle for circle in self.circles if np.allclose(np.ptp(circle, axis=0), diameter, atol=EXACT)]
        return np.array([(circle.min(axis=0) + circle.max(axis=0)) / 2 for circle in of_size]).reshape(-1, 2)

    def rectangles_of(self, width, height):
        return [box for box in self.rectangles if np.allclose((box[2] - box[0], box[3] - box[1]), (width, height), atol=EXACT)]

    @property
    def full_size(self):
        return "Print at 100 %" in self.text

    @property
    def frame(self):
        """Left, lower, right and upper end of the frame, the last rectangle drawn on the page."""
        return self.rectangles[-1]


@pytest.fixture(scope="module")
def sheets(tmp_path_factory):
    """Write and read back a template, once for each; without the two pages to set up by unless asked."""
    kept = {}

    def read(name, design, paper="A4", set_up=False, **more):
        if name not in kept:
            path = tmp_path_factory.mktemp("template") / "box.pdf"
            what = (design,) if isinstance(design, BoxDesign) else (design.box, design.placement)
            assert write_template(path, *what, paper=paper, **more) == path
            kept[name] = list(map(Sheet, opened.enter_context(pdfplumber.open(path)).pages, texts(path)))
        return kept[name][0 if set_up else 2 :]

    with ExitStack() as opened:
        yield read


@pytest.fixture(scope="module")
def every(sheets):
    """Every page of several templates."""
    return [
        *sheets("first", DESIGN, set_up=True),
        *sheets("many", MANY, "Letter", set_up=True, whole_panel=True),
        *sheets("wide A4", WIDE, set_up=True),
        *sheets("wide A3", WIDE, "A3", set_up=True),
    ]


# ISO 216:2007, A4 210 x 297 and A3 297 x 420 mm, as quoted on a secondary page; Letter 8.5 x 11 inches (from memory).
@pytest.mark.parametrize("paper, short, long", [("A4", 21.0, 29.7), ("A3", 29.7, 42.0), ("Letter", 8.5 * 2.54, 11 * 2.54)])
def test_paper_sizes(sheets, paper, short, long):
    assert set(PAPERS) == {"A4", "A3", "Letter"}
    for sheet in sheets(f"wide {paper}", WIDE, paper):
        assert sorted((sheet.width, sheet.height)) == pytest.approx([short, long], abs=EXACT)
    sizes = {row["quantity"]: row["low"] for row in datasets.records("published_values")}
    if paper != "Letter":
        assert (short, long) == (sizes[f"{paper} width"], sizes[f"{paper} height"])


def test_both_rulers_measure_10_cm(every):
    full = [sheet for sheet in every if sheet.full_size]
    assert len(full) >= 10
    for sheet in full:
        assert "10 cm both ways" in sheet.text
        lengths = [np.ptp(line, axis=0) for line in sheet.lines if len(line) == 2]
        for way in ([10, 0], [0, 10]):
            assert any(np.allclose(length, way, atol=EXACT) for length in lengths)
        ticks = [line for line in sheet.lines if len(line) == 2 and 0.1 < np.ptp(line, axis=0).max() < 0.35]
        for axis in (0, 1):  # a stroke at each mm: their places along the ruler, in order
            across = [line for line in ticks if np.ptp(line[:, axis]) < 1e-6 and line[:, 1 - axis].min() < 2.2]
            places = np.unique(np.round([line[0, axis] for line in across], 4))
            run = max(np.split(places, np.flatnonzero(~np.isclose(np.diff(places), 0.1, atol=0.002)) + 1), key=len)
            assert len(run) == 101 and np.ptp(run) == pytest.approx(10, abs=EXACT)


def test_cutting_template_of_a_carton_worked_by_hand_fits_one_a4_landscape(sheets):
    """Ports 20 cm apart, the camera hole 8.66 cm above their line."""
    first, second = sheets("first", DESIGN)[:2]
    assert "Cutting template" in first.text and "Cutting template" not in second.text
    assert (first.width, first.height) == pytest.approx((29.7, 21.0), abs=EXACT)
    left, right = sorted(first.circles_of(1.0).tolist())
    np.testing.assert_allclose(np.subtract(right, left), (20, 0), atol=EXACT)
    middle = np.add(left, right) / 2
    (camera_hole,) = first.rectangles_of(3, 3)
    lens = (camera_hole[:2] + camera_hole[2:]) / 2
    np.testing.assert_allclose(lens - middle, (0, 8.66), atol=EXACT)
    (phone,) = first.rectangles_of(15, 7.5)
    np.testing.assert_allclose(phone - np.tile(lens, 2), DESIGN.phone.body, atol=EXACT)
    (ledge,) = first.rectangles_of(15, 1)
    np.testing.assert_allclose(ledge - np.tile(lens, 2), DESIGN.phone.ledge, atol=EXACT)
    centre_line = [line for line in first.lines if len(line) == 2 and np.ptp(line[:, 0]) < 1e-6 and np.ptp(line[:, 1]) > 30]
    assert any(abs(line[0, 0] - middle[0]) < EXACT for line in centre_line)
    for port in (left, right):  # a cross through each middle
        for axis in (0, 1):
            assert any(
                len(line) == 2 and np.allclose(line.mean(axis=0), port, atol=EXACT) and np.ptp(line[:, axis]) > 1.5
                for line in first.lines
            )
    for words in ("port line, 11.3 cm from the lower edge of panel a", "20.0 cm from middle to middle"):
        assert words in first.text


@pytest.mark.parametrize("box, edge", [(BOX, 0), (FlatBox(50, 40, 20), -20)], ids=["wedge", "lid"])
def test_holes_that_are_uneven_are_on_their_own_sides(sheets, box, edge):
    """On every sheet that has them: as far from the centre line, on that side, and as high as their numbers say."""
    places = {name: (u, v + edge) for name, (u, v) in UNEVEN.items()}
    design = design_box(
        box, ports=[places["left port"], places["right port"]], camera_hole=places["camera hole"], target_height=0
    )
    pages = sheets(f"uneven {edge}", design, whole_panel=True)
    holes = np.array([UNEVEN["left port"], UNEVEN["right port"]])
    first, whole = pages[0], [page for page in pages if "Whole panel" in page.text]
    assert "Cutting template" in first.text and whole
    middle = {line[0, 0] for line in first.lines if len(line) == 2 and np.ptp(line[:, 0]) < 1e-6 and np.ptp(line[:, 1]) > 30}
    circles = first.circles_of(1.0)[np.argsort(first.circles_of(1.0)[:, 0])]
    (camera_hole,) = first.rectangles_of(3, 3)
    lens = (camera_hole[:2] + camera_hole[2:]) / 2
    np.testing.assert_allclose(circles - lens, holes - UNEVEN["camera hole"], atol=EXACT)
    assert any(np.allclose([*circles[:, 0], lens[0]] - x, [-12, 7, 2.5], atol=EXACT) for x in middle)
    for side, circle in zip(("left", "right"), circles, strict=True):
        [word] = [a for a, b in pairwise(first.words) if (a["text"], b["text"]) == (side, "port")]
        at = np.array([word["x0"] / CM, first.height - word["bottom"] / CM])
        assert np.linalg.norm(at - circle) < 2.5, side
    for sheet in whole:
        shift = placed(sheet).shift - (0, edge)
        found = sheet.circles_of(1.0) + shift
        assert all(np.abs(found - hole).max(axis=1).min() < EXACT for hole in holes)
        assert len(found) == 2
    (net,) = [page for page in pages if "The box laid flat" in page.text]
    scale = float(re.search(r"1 : ([\d.]+)", net.text)[1])
    outline = max(net.lines, key=len)
    foot = (outline[:, 0].min() + outline[:, 0].max()) / 2, outline[:, 1].min() + (0 if edge == 0 else box.height / scale)
    circles = net.circles_of(1.0 / scale)
    np.testing.assert_allclose((circles[np.argsort(circles[:, 0])] - foot) * scale, holes, atol=scale * EXACT)
    for there in ("12.0 | 9.0", "7.0 | 13.0", "2.5 | 22.0"):
        assert there in net.text
    for name, side, u, v in (("left port", "left", 12, 9), ("right port", "right", 7, 13), ("camera hole", "right", 2.5, 22)):
        assert re.search(rf"{name}.* {u:.1f} {side} {v:.1f} to its middle", " ".join(page.text for page in pages)), name


def placed(sheet):
    """Name of a tile, and what to add to a place on the page for the drawing's own (across, up)."""
    number = r"(-?[\d.]+)"
    name, *ends = re.search(rf"([A-J]\d+): {number} to {number} cm across, {number} to {number} cm up", sheet.text).groups()
    left, right, low, high = map(float, ends)
    np.testing.assert_allclose(sheet.frame[2:] - sheet.frame[:2], (right - left, high - low), atol=EXACT)
    return SimpleNamespace(name=name, ends=(left, low, right, high), shift=np.array([left, low]) - sheet.frame[:2])


def test_sheets_put_together_cover_the_panel(sheets):
    whole = [sheet for sheet in sheets("many", MANY, "Letter", whole_panel=True) if "Whole panel" in sheet.text]
    tiled = [placed(sheet) for sheet in whole]
    assert [tile.name for tile in tiled] == ["A1", "A2", "B1", "B2"]
    u, v = np.meshgrid(np.linspace(-20, 20, 81), np.linspace(-15, 15, 61))
    covered = [(u >= left) & (u <= right) & (v >= low) & (v <= high) for left, low, right, high in (t.ends for t in tiled)]
    assert np.any(covered, axis=0).all()
    assert tiled[0].ends[2] - tiled[1].ends[0] == pytest.approx(OVERLAP, abs=EXACT)
    assert tiled[2].ends[3] - tiled[0].ends[1] == pytest.approx(OVERLAP, abs=EXACT)
    for sheet, tile in zip(whole, tiled, strict=True):
        outline = [box for box in sheet.rectangles if np.allclose(box[2:] - box[:2], (40, 30), atol=EXACT)]
        np.testing.assert_allclose(outline[0] + np.tile(tile.shift, 2), (-20, -15, 20, 15), atol=EXACT)
        for name in ("left port", "right port"):  # drawn where it is on the panel, on whichever sheet that falls
            place = np.array(MANY.holes[name])
            np.testing.assert_allclose(np.abs(sheet.circles_of(1.0) + tile.shift - place).max(axis=1).min(), 0, atol=EXACT)
    seams = [sheet.circles_of(0.5) + tile.shift for sheet, tile in zip(whole, tiled, strict=True)]
    for rings in seams[1:]:  # the rings of all sheets are in the same places of the panel
        np.testing.assert_allclose(np.sort(rings, axis=0), np.sort(seams[0], axis=0), atol=EXACT)
    middle = (tiled[0].ends[2] + tiled[1].ends[0]) / 2, (tiled[2].ends[3] + tiled[0].ends[1]) / 2
    assert (np.abs(seams[0] - middle).min(axis=1) < EXACT).all()  # each in the middle of an overlap


def test_a_large_cutting_template_is_split_between_its_holes(sheets):
    parts = [sheet for sheet in sheets("wide A4", WIDE) if "Cutting template" in sheet.text]
    tiled = [placed(part) for part in parts]
    assert [tile.name for tile in tiled] == ["A1", "A2"]
    left, right = (np.array(WIDE.holes[f"{side} port"]) for side in ("left", "right"))
    for part, tile, port in zip(parts, tiled, (left, right), strict=True):
        assert np.abs(part.circles_of(1.0) + tile.shift - port).max(axis=1).min() < EXACT
    assert tiled[0].ends[2] < -1.5 or tiled[1].ends[0] > 1.5 or tiled[0].ends[2] - OVERLAP > 1.5 or tiled[1].ends[0] < -1.5
    assert [sheet.text.startswith("Cutting template") for sheet in sheets("wide A3", WIDE, "A3")][:2] == [True, False]


@given(
    st.sampled_from(sorted(PAPERS)),
    st.tuples(st.floats(-60, 60), st.floats(-60, 60), st.floats(1, 90), st.floats(1, 90)),
    st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1)), max_size=3),
)
def test_tiles_cover_any_region_and_overlap(paper, region, holes):
    left, low, width, height = region
    region = (left, low, left + width, low + height)
    whole = [(left + x * width - 1, low + y * height - 1, left + x * width + 1, low + y * height + 1) for x, y in holes]
    landscape, sheets = tiles(paper, region, whole)
    across, up = sorted({(t.left, t.right) for t in sheets}), sorted({(t.low, t.high) for t in sheets})
    assert len(sheets) == len(across) * len(up) == len({sheet.name for sheet in sheets})
    for spans, room, (first, last) in zip((across, up), frame_size(paper, landscape), (region[::2], region[1::2]), strict=True):
        assert spans[0][0] <= first + 1e-9 and spans[-1][1] >= last - 1e-9
        for (_, end), (start, _) in pairwise(spans):
            assert end - start == pytest.approx(OVERLAP)
        assert all(high - low == pytest.approx(room) for low, high in spans)


@given(st.floats(-10, 10), st.floats(0, 1))
def test_a_seam_keeps_off_a_hole_where_it_can(hole, shift):
    """Two sheets across with 6 cm to spare leave a hole of 3 cm whole."""
    step = frame_size("A4", True)[0] - OVERLAP
    width = 2 * step + OVERLAP - 8
    assume(abs(hole) < width / 2 - 2)
    landscape, sheets = tiles("A4", (-width / 2, 0, width / 2, 10), [(hole - 1.5, 3, hole + 1.5, 6)])
    assert landscape and len(sheets) == 2
    assert sheets[1].left >= hole + 1.5 or sheets[0].right <= hole - 1.5


@pytest.mark.parametrize("name, design", [("first", DESIGN), ("many", MANY), ("wide A4", WIDE)])
def test_floor_mat(sheets, name, design):
    (mat,) = [sheet for sheet in sheets(name, design) if "Floor mat" in sheet.text]
    targets = design.placement.targets
    rings = mat.circles_of(1.0)
    assert len(rings) == len(targets)
    # The mat has no sheet name: its first target's ring tells where it is, and the other rings must then follow.
    origin = rings[0] - targets[0, :2]
    np.testing.assert_allclose(rings - origin, targets[:, :2], atol=EXACT)
    assert np.abs(mat.circles_of(0.4) - origin).max() < EXACT  # the middle of the base
    contours = [line - origin for line in mat.lines if len(line) > 20]
    found = set()
    for line in contours:
        places = np.column_stack([line, np.full(len(line), targets[:, 2].mean())])
        theta = manipulation_angle(design.placement.left_port, design.placement.right_port, places)
        found.add(int(np.round(np.median(theta))))
        np.testing.assert_allclose(theta, np.round(np.median(theta)), atol=0.1)
    assert found <= {45, 60, 75} and found >= {60}
    corners = design.camera.picture_on_plane(0).corners[:, :2]
    sides = [line[:4] - origin for line in mat.lines if len(line) in (4, 5)]
    assert any(np.allclose(side, corners, atol=EXACT) for side in sides)
    front = design.box.bounds()[0, 1]
    behind = float(re.search(r"([\d.]+) cm behind the box's front edge", mat.text)[1])
    assert mat.frame[1] - origin[1] - front == pytest.approx(behind, abs=0.051)  # where the lowest line is
    assert f"middle of the base, {abs(front):.1f} cm from the box's front edge" in mat.text


def test_fan_gauge_and_pocket_table(sheets):
    (gauge,) = [sheet for sheet in sheets("first", DESIGN) if "Fan gauge" in sheet.text]
    rays = [line for line in gauge.lines if len(line) == 2 and np.linalg.norm(np.ptp(line, axis=0)) > 10.1]
    apex = rays[0][0]
    angles = [np.degrees(np.arctan2(*(ray[1] - ray[0]))) for ray in rays if np.allclose(ray[0], apex, atol=EXACT)]
    assert sorted(np.round(angles, 2)) == [-37.5, -30, -22.5, 0, 22.5, 30, 37.5]
    (outline,) = [line for line in gauge.lines if len(line) > 50]
    assert np.linalg.norm(outline[1:-1] - apex, axis=1) == pytest.approx(14, abs=EXACT)
    ticks = {}  # angle between the shafts, in degrees -> length of its stroke at the rim
    for line in gauge.lines:
        inner, outer = sorted(np.linalg.norm(line[[0, -1]] - apex, axis=1))
        if len(line) == 2 and outer == pytest.approx(14, abs=EXACT) and inner > 12:
            turned = np.degrees(np.arctan2(*(line.mean(axis=0) - apex)))
            ticks[round(2 * turned)] = outer - inner
    assert set(ticks) == {side * angle for angle in range(10, 76) for side in (-1, 1)}
    for angle, length in ticks.items():
        assert length == pytest.approx(0.7 if angle % 15 == 0 else 0.5 if angle % 5 == 0 else 0.25, abs=EXACT), angle
    rows = {int(row[0]): row[1].split() for row in re.findall(r"(\d\d)((?: [\d.]+){7})$", gauge.text, re.MULTILINE)}
    for length, spacing in product(range(14, 25), range(12, 25, 2)):
        theta = 2 * np.degrees(np.arcsin(spacing / 2 / length))
        assert rows[length][(spacing - 12) // 2] == f"{theta:.1f}"


def test_cut_list_and_the_whole_box(sheets):
    net, words = sheets("first", DESIGN)[1:3]
    assert "1 : 5" in net.text and not net.full_size
    (outline,) = [line for line in net.lines if len(line) == 9]
    np.testing.assert_allclose(np.ptp(outline, axis=0) * 5, (50 + 2 * 30, 40 + 30), atol=0.1)
    area = 50 * 40 + 50 * 30 + 40 * 30  # two panels and two right triangles
    x, y = (outline - outline[0]).T * 5
    assert abs(x[:-1] @ y[1:] - x[1:] @ y[:-1]) / 2 == pytest.approx(area, rel=1e-3)
    assert len(net.circles_of(1.0 / 5)) == 2
    for row in (
        "left port hole panel a 1.0 wide, round 10.0 left 11.3 to its middle",
        "right port hole panel a 1.0 wide, round 10.0 right 11.3 to its middle",
        "camera hole panel a 3.0 x 3.0 on it 20.0 to its middle",
        "opening for hands panel b 20.0 x 10.0 in the middle 2.0 to 12.0",
        "opening for light panel b 10.0 x 3.0 in the middle 25.0 to 28.0",
        "15.0 x 1.9, folded 1.0 from a long edge from 13.0 left to 2.0 right 17.0 to 18.0",
    ):
        assert row in " ".join(words.text.split())
    assert "24.0 cm high" in words.text and "50.0 cm from front to back" in words.text


@pytest.mark.parametrize("name, design", [("first", DESIGN), ("many", MANY)])
def test_measures_with_their_verdicts(sheets, name, design):
    text = " ".join(" ".join(sheet.text for sheet in sheets(name, design) if sheet.text.startswith("Measures")).split())
    assert CAUTION in text
    for row in judge(design.placement).to_dict("records"):
        side = f", {row['side']}" if row["side"] else ""
        value = {"cm": f"{row['value']:.1f} cm", "deg": f"{row['value']:.1f}°", "": f"{row['value']:.2f}"}[row["unit"]]
        value = "no value" if np.isnan(row["value"]) else value
        start = " ".join(row["against published advice"].split()[:3])  # a longer one goes on in the next line of its cell
        assert f"{row['quantity']}{side} {value} {start}" in text and set(row["against published advice"].split()) <= set(
            text.split()
        )


def test_every_page_is_black_and_white_readable_and_within_its_edges(every):
    for number, sheet in enumerate(every):
        assert re.search(r"For education\. Not for planning an operation\. page \d+ of \d+", sheet.text), number
        assert all(np.ptp(ink) == 0 for ink in sheet.inks if ink is not None)  # one number for grey, three alike
        assert not {"■", "\ufffd"} & set(sheet.text)
        header = [char for char in sheet.chars if char["top"] < 2.6 * CM and char["upright"]]
        # A drawing on several sheets is cut at their frames; on all others no word is.
        whole = header if re.match(r".* [A-J]\d\n", sheet.text) else sheet.chars
        ends = np.array([[char["x0"], char["y0"], char["x1"], char["y1"]] for char in whole]) / CM
        on_paper = ends[(ends[:, 2:] > 0).all(axis=1) & (ends[:, :2] < (sheet.width, sheet.height)).all(axis=1)]
        assert on_paper.min() >= 0.6 and (on_paper[:, 2:] <= np.subtract((sheet.width, sheet.height), 0.75)).all(), number
        title = [char for char in header if char["size"] > 13]
        scale = [char for char in header if char["size"] == 9 and "Bold" in char["fontname"]]
        assert not scale or max(char["x1"] for char in title) < min(char["x0"] for char in scale)


@pytest.mark.parametrize("lens_at", ["left", "right"])
def test_the_height_of_the_lens_is_measured_beside_the_phone(sheets, lens_at):
    first, *_ = sheets(lens_at, DESIGN, phone=Phone(lens_at=lens_at))
    (phone,) = first.rectangles_of(15, 7.5)
    middle = first.circles_of(1.0).mean(axis=0)
    [rise] = [line for line in first.lines if len(line) == 2 and np.allclose(np.ptp(line, axis=0), (0, 8.66), atol=EXACT)]
    assert rise[:, 1].min() == pytest.approx(middle[1], abs=EXACT)
    assert rise[0, 0] < phone[0] if lens_at == "left" else rise[0, 0] > phone[2]


def test_ports_may_be_half_a_millimetre_off_the_panel(tmp_path):
    def off(by):
        left = DESIGN.placement.left_port + by * DESIGN.placement.panel_normal
        return DESIGN.placement.replace(left_port=left)

    write_template(tmp_path / "near.pdf", BOX, off(0.049))
    with pytest.raises(ValueError, match=r"^The left_port is 0\.1 cm off panel a; move it onto the panel \(placement\)\.$"):
        write_template(tmp_path / "far.pdf", BOX, off(0.051))


def test_a_camera_that_is_no_flat_phone(sheets):
    looking = DESIGN.placement.replace(aim=None, target=(0, 3, 0))
    first, *rest = sheets("looking", SimpleNamespace(box=BOX, placement=looking))
    assert first.rectangles_of(3, 3) and not first.rectangles_of(15, 7.5)
    assert not any("ledge" in sheet.text for sheet in rest)
    assert any("picture ends" in sheet.text for sheet in rest)
    other = SimpleNamespace(box=BOX, placement=DESIGN.placement.replace(camera=(0, 5, 30), aim=None))
    first, *rest = sheets("other", other, phone=False, hole=0.8)
    assert len(first.circles_of(0.8)) == 2 and not first.rectangles_of(3, 3)
    assert not any("picture ends" in sheet.text for sheet in rest)


def test_a_port_on_the_centre_line_and_the_window_level_with_the_ports(sheets):
    places = BOX.point([0, 12, -4], [20, 20, 20])
    level = DESIGN.placement.replace(left_port=places[0], right_port=places[1], camera=places[2])
    first, *_ = sheets("level", SimpleNamespace(box=BOX, placement=level), phone=False)
    left, right = sorted(first.circles_of(1.0).tolist())
    np.testing.assert_allclose(np.subtract(right, left), (12, 0), atol=EXACT)
    assert "12.0 cm" in first.text and not re.search(r"(?<!\d)0\.0 cm", first.text)


def test_a_design_is_its_box_placement_phone_and_hole(tmp_path):
    design = design_box(BOX, phone=Phone(thickness=1.3), hole=0.8)
    parts = {"phone": design.phone, "hole": design.hole}
    whole = write_template(tmp_path / "design.pdf", design).read_bytes()
    assert write_template(tmp_path / "parts.pdf", design.box, design.placement, **parts).read_bytes() == whole
    assert write_template(tmp_path / "hole.pdf", design, hole=1).read_bytes() != whole
    plain = write_template(tmp_path / "plain.pdf", design.box, design.placement).read_bytes()
    assert write_template(tmp_path / "common.pdf", design, phone=Phone(), hole=1).read_bytes() == plain, (
        "no phone: a common one"
    )
    with pytest.raises(ValueError, match=r"^A BoxDesign has a placement of its own; leave the other one out \(placement\)"):
        write_template(tmp_path / "both.pdf", design, design.placement)


def test_whole_or_not_at_all_and_never_over_another(tmp_path, monkeypatch):
    path = tmp_path / "box.pdf"
    write_template(str(path), BOX, DESIGN.placement)
    before = path.read_bytes()
    with pytest.raises(
        ValueError, match=r"^The file '.*box\.pdf' exists already; pass overwrite=True to replace it \(path\)\.$"
    ):
        write_template(path, BOX, DESIGN.placement, paper="A3")
    with pytest.raises(ValueError, match=r"^The folder '.*' does not exist; choose one that does \(path\)"):
        write_template(tmp_path / "none" / "box.pdf", BOX, DESIGN.placement)
    monkeypatch.setattr(os, "replace", lambda *_: (_ for _ in ()).throw(OSError(28, "No space left on device")))
    with pytest.raises(ValueError, match=r"cannot be written: No space left on device \(path\)\.$"):
        write_template(path, BOX, DESIGN.placement, paper="A3", overwrite=True)
    assert path.read_bytes() == before and os.listdir(tmp_path) == ["box.pdf"]
    monkeypatch.undo()
    write_template(path, BOX, DESIGN.placement, paper="A3", overwrite=True)
    assert path.read_bytes() != before
    write_template(path, BOX, DESIGN.placement, overwrite=True)
    assert path.read_bytes() == before  # the same again, to the byte


@pytest.mark.parametrize(
    "box, change, more, message",
    [
        (
            Dome(15, 20, 6),
            {},
            {},
            r"^Dome.* cannot be used; give a BoxDesign, or a WedgeBox or a FlatBox, which can be cut from card \(box\)",
        ),
        (WedgeBox(500, 400, 300), {}, {}, r"^A side of 500 cm is too long for a box; give its sides in cm, not mm \(box\)\.$"),
        (BOX, {"target": (0, 0, -1)}, {}, r"^At least one target lies outside a wedge box .*; move it inside \(placement\)\.$"),
        (BOX, {}, {"paper": "A5"}, r"^'A5' cannot be used; give 'A4', 'A3', 'Letter' \(paper\)\.$"),
        (
            BOX,
            {},
            {"phone": 3},
            r"^3 cannot be used; give a Phone, None for a common one or False for another camera \(phone\)",
        ),
        (BOX, {}, {"hole": 0}, r"^0 cannot be used; give a length of more than 0 cm \(hole\)"),
        (
            BOX,
            {"left_port": (-10, 0, 20)},
            {},
            r"^The left_port is 1\.0 cm off panel a; move it onto the panel \(placement\)\.$",
        ),
        (BOX, {"right_port": BOX.point(-9, 5, "b")}, {}, r"^The right_port is .* off panel a; "),
        (BOX, {"left_port": (-24.8, -9, 12)}, {}, r"^A hole of radius 0.5 cm at u = -24.8, v = 20 cm misses panel a"),
        (BOX, {"left_port": (-1, -9, 12)}, {}, r"^The camera hole overlaps the left port; move one of them \(placement\)"),
        (BOX, {"camera": BOX.point(0, 39)}, {}, "^A hole at u = .* misses panel a"),
        (BOX, {}, {"phone": Phone(camera_hole=(4, 4)), "hole": 60}, "^A hole of radius 30 cm"),
    ],
)
def test_refused_with_no_file(tmp_path, box, change, more, message):
    with pytest.raises(ValueError, match=message):
        write_template(tmp_path / "box.pdf", box, DESIGN.placement.replace(**change), **more)
    assert os.listdir(tmp_path) == []


def test_sheets_for_the_invented_carton_say_so(sheets):
    carton = design_box(CARTON)
    for sheet in sheets("carton", carton, set_up=True):
        assert "This is the invented carton of the lessons" in " ".join(sheet.text.split())
    for sheet in sheets("first", DESIGN, set_up=True):
        assert "invented" not in sheet.text
    first, *_ = sheets("first", DESIGN, set_up=True)
    assert "The carton measures 50.0 x 40.0 x 30.0 cm." in " ".join(first.text.split())


@pytest.mark.parametrize("name, design, paper", [("first", DESIGN, "A4"), ("many", MANY, "Letter")])
def test_material_card_and_table(sheets, name, design, paper):
    """How far the sheet ends from the edge is what the sheet itself shows; the hands are where the placement has them."""
    text = " ".join(sheets(name, design, paper, set_up=True)[1].text.split())
    for words in (
        "craft knife",
        "cutting board",
        "seam",
        "spread",
        "opening for hands",
        "do not disturb",
        "by cable",
        "Needles come last",
    ):
        assert words in text
    p = design.placement
    hands = [handle_position(port, p.targets[0], 36, 10)[2] for port in (p.left_port, p.right_port)]
    assert f"hands are about {np.mean(hands):.0f} cm above the table" in text
    template = [sheet for sheet in sheets(name, design, paper) if "Cutting template" in sheet.text][-1]
    told = re.search(r"ends ([\d.]+) cm above the edge", text)
    edge = template.frame[1] - panel_edge(template, design.box)
    assert float(told[1]) == pytest.approx(edge, abs=0.06) if told else edge <= EXACT


def panel_edge(sheet, box):
    """Where the dashed lower edge of the panel is on a page, also beyond its frame."""
    low, high = box.outline_uv().min(axis=0), box.outline_uv().max(axis=0)
    [edges] = sheet.rectangles_of(*(high - low))
    return edges[1]

"""A box measured with photographs: of its own PDF's pages, rendered, and of corners made from a known box."""

import io
from itertools import pairwise, product

import cv2
import numpy as np
import pdfplumber
import pytest
from draws import draws
from pdfs import texts
from photographs import FRAME, MAT, PANEL, STRIP, TENT, WEDGE, built, corners, ends_of, pages_of, papers, photographed
from PIL import Image
from scipy.spatial.transform import Rotation

from ergokit import manipulation_angle, working_distance
from ergokit._markers import QUIET, first_number, whose
from ergokit._pages import PAPERS, write_pages
from ergokit.design import design_box
from ergokit.photos import Photo, check_photos, read_photo
from ergokit.surfaces import FlatBox
from ergokit.template import _drawn, _marked, marked_box, write_template
from ergokit.template.mat import mat_pages
from ergokit.template.panel import _marked_region, cutting_template_pages
from ergokit.template.sheet import tiles

FLAT = FlatBox(width=40, depth=32, height=16)


@pytest.fixture(scope="module")
def design():
    return design_box(WEDGE)


@pytest.fixture(scope="module")
def marked(design):
    return marked_box(design)


@pytest.fixture(scope="module")
def pages(design, tmp_path_factory):
    """The pages with markers, rasterised by another program: head -> greys."""
    return pages_of(write_template(tmp_path_factory.mktemp("pages") / "box.pdf", design, markers=True))


@pytest.fixture(scope="module")
def sheets(design, marked, pages):
    return papers(pages, marked, design)


def test_photographs_of_the_printed_pages_give_the_box_that_was_built(design, marked, sheets):
    truth = built(design, np.random.default_rng(4))
    photos = [photographed(truth, i, sheets, seed=i, hand=(0, 0, 0.2, 0.3) if i == 2 else None) for i in range(4)]
    found = check_photos([read_photo(each, f"photo {i + 1}") for i, each in enumerate(photos)], marked)
    left, right, target, lens = ends_of(truth, design)
    for quantity, true in {
        "manipulation angle": manipulation_angle(left, right, target),
        "working distance": working_distance(lens, target),
        "field of view": np.degrees(2 * np.arctan(0.5 / truth.focal[0])),
        "lens above the floor": lens[2],
    }.items():
        low, high = found.interval(quantity)
        assert low <= true <= high, (quantity, true, low, high)
    assert np.diff(found.interval("manipulation angle")) < 3 and (found.photos["corner error (pixels)"] < 1).all()
    assert found.placement is not None and not found.not_known()
    assert "GPS" not in repr(found) and len(found.photos) == 4


def test_markers_touch_nothing_that_is_drawn(design, marked, pages, tmp_path):
    """Where the pages with markers are black, those without are white, a quiet zone round each marker too."""
    sizes = {PANEL: 10, MAT: 10, STRIP: 4, TENT: 4}
    assert {name: len(sheet.markers) for name, sheet in marked.sheets.items()} == sizes
    for head, page in pages.items():
        seen = read_photo(_png(page), head)
        for spots in seen.markers.values():
            low, high = spots.min(axis=0), spots.max(axis=0)
            side = (high - low).mean()
            assert side == pytest.approx(2.0 / 2.54 * 150, abs=1.5)  # 2 cm
            rim = int(0.12 * side)
            (left, top), (right, bottom) = (np.round(low) - rim).astype(int), (np.round(high) + rim).astype(int)
            around = page[top:bottom, left:right].copy()
            around[rim - 1 : 1 - rim, rim - 1 : 1 - rim] = 255
            assert around.min() > 200, head
    assert sum(len(read_photo(_png(page), head).markers) for head, page in pages.items()) == sum(sizes.values())


_CASES = [*product((None,), (WEDGE, FLAT), PAPERS), *product((False,), (WEDGE, FLAT), PAPERS)]


@pytest.mark.parametrize(("phone", "box", "paper"), draws(_CASES[:6:2], _CASES))
def test_on_no_paper_do_markers_touch_what_is_cut_or_read(phone, box, paper, tmp_path):
    """The PDF's own lines, outlines and letters, in cm of the drawing, against the markers and the white about them."""
    _, _, panel, mat = _drawn(design_box(box), None, paper, phone, None)
    marked = _marked(paper, panel, mat).sheets
    taken = [*panel.holes, *((panel.body, panel.ledge) if panel.phone else ())]
    for name, layouts, region, whole in (
        (PANEL, cutting_template_pages(paper, panel, marked[PANEL]), _marked_region(panel), panel.holes),
        (MAT, mat_pages(paper, mat, marked[MAT]), mat.region, ()),
    ):
        markers = np.array(list(marked[name].markers.values()))
        low, high = markers[:, 3] - QUIET, markers[:, 1] + QUIET
        assert len(markers) >= 6, name
        for left, below, right, above in taken if name == PANEL else ():
            assert ((high <= (left, below)) | (low >= (right, above))).any(axis=1).all(), "a marker is cut or covered"
        write_pages(tmp_path / "pages.pdf", layouts, name, "")
        seen = np.zeros(len(markers), int)
        with pdfplumber.open(tmp_path / "pages.pdf") as pdf:
            for page, tile in zip(pdf.pages, tiles(paper, region, whole)[1], strict=True):
                cells, spots = (each / 28.3464567 - FRAME + tile[1:3] for each in _cells_and_spots(page))
                inside = ((cells[:, None] > low + QUIET) & (cells[:, None] < high - QUIET)).all(axis=-1)
                there = ((low >= tile[1:3]) & (high <= tile[3:])).all(axis=1)
                assert there[inside.any(axis=0)].all() or len(pdf.pages) > 1, "a marker is cut by the paper's edge"
                assert (inside.sum(axis=1) == 1).all() and (inside[:, there].sum(axis=0) >= 28).all()  # its rim has 28 cells
                spots = spots[((spots >= tile[1:3]) & (spots <= tile[3:])).all(axis=1)]  # not the words of the frame
                touched = ((spots[:, None] > low) & (spots[:, None] < high)).all(axis=-1).any(axis=0)
                assert not touched.any(), (name, markers[touched])
                seen += there
        assert (seen > 0).all(), "a marker is on no sheet whole"


def _cells_and_spots(page):
    """Middles of a page's black cells, and places on its lines, outlines and letters; from its lower left corner, in points."""
    cells = [each for each in page.rects if each["fill"] and each["non_stroking_color"] in (0, (0,), (0.0,))]
    middles = np.array([((each["x0"] + each["x1"]) / 2, (each["y0"] + each["y1"]) / 2) for each in cells])
    spots = [np.array([[c["x0"], c["y0"]], [c["x1"], c["y0"]], [c["x0"], c["y1"]], [c["x1"], c["y1"]]]) for c in page.chars]
    for each in page.lines + page.curves + [rect for rect in page.rects if rect["stroke"]]:
        ends = np.array(each["pts"]) * [1, -1] + [0, float(page.height)]
        for start, end in pairwise(np.concatenate([ends, ends[:1]]) if each["object_type"] == "rect" else ends):
            share = np.linspace(0, 1, 2 + int(np.linalg.norm(end - start) / 5))
            spots.append(start + share[:, None] * (end - start))
    return middles, np.concatenate(spots)


def test_a_sheet_with_too_few_markers_is_named(design, marked, tmp_path, monkeypatch):
    full = marked.sheets[PANEL]
    few = full._replace(markers=dict(list(full.markers.items())[:3]))
    said = []
    for each in (full, few):
        monkeypatch.setattr("ergokit.template.marked_template", lambda *given, each=each: each)
        words = texts(write_template(tmp_path / "few.pdf", design, markers=True, overwrite=True))
        said.append(next(text for text in words if text.startswith("Set-up for photographs")))
    assert "Fewer than 4 markers fit beside the drawing on the cutting template" in said[1] and "Fewer" not in said[0]


def _png(grey):
    file = io.BytesIO()
    Image.fromarray(grey).save(file, "PNG")
    return file.getvalue()


@pytest.mark.parametrize("blur", [0.6, 1.0])
def test_blur_does_not_move_corners(marked, blur):
    """A marker 40 pixels wide, turned, of 16 times as many dots averaged: OpenCV's own corners are 0.3 pixels too far in."""
    fine, side, number = 16, 40, first_number(marked.number, MAT)
    family = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    whole = np.full((fine * 400, fine * 400), 255, np.uint8)
    ends = 180 * fine + np.array([0, side * fine])
    whole[slice(*ends), slice(*ends)] = cv2.aruco.generateImageMarker(family, number, side * fine)
    turn = cv2.getRotationMatrix2D((200.0 * fine, 200.0 * fine), 17, 1.0)
    picture = cv2.resize(cv2.warpAffine(whole, turn, whole.shape, borderValue=255), (400, 400), interpolation=cv2.INTER_AREA)
    low, high = ends - 0.5
    true = np.array([(low, low, 1), (high, low, 1), (high, high, 1), (low, high, 1)]) @ turn.T
    found = read_photo(_png(cv2.GaussianBlur(picture, (0, 0), blur)), "marker.png").markers[number]
    np.testing.assert_allclose(found, (true + 0.5) / fine - 0.5, rtol=0, atol=0.1)


# From corners


def test_corners_without_error_give_the_box(design, marked):
    rng = np.random.default_rng(1)
    truth = built(design, rng)
    left, right, target, lens = ends_of(truth, design)
    found = check_photos(corners(truth, marked, rng, noise=0), marked)
    rows = {row.quantity: row.value for row in found.rows}
    assert rows["manipulation angle"] == pytest.approx(manipulation_angle(left, right, target), abs=0.02)
    assert rows["working distance"] == pytest.approx(working_distance(lens, target), abs=0.02)
    assert rows["field of view"] == pytest.approx(np.degrees(2 * np.arctan(0.5 / truth.focal[0])), abs=0.05)


def test_ink_that_spreads_and_bright_light_do_not_change_what_is_told(design, marked):
    """Both make black squares grow or shrink on all sides, by different amounts in each photograph."""
    told = []
    for growth in ((0, 0, 0, 0), (1.5, -1, 0.5, -1.5)):
        truth, rng = built(design, np.random.default_rng(10)), np.random.default_rng(1)
        truth.growth = np.array(growth)
        told.append(check_photos(corners(truth, marked, rng, noise=0.2), marked).rows)
    for one, other in zip(*told, strict=True):
        assert one.uncertainty is None or not abs(one.value - other.value) > 0.5 * one.uncertainty, one.quantity


def test_another_route_gives_the_lens_within_its_error(design, marked):
    """OpenCV's own iterative pose of the mat alone, with the true focal length."""
    rng = np.random.default_rng(2)
    truth = built(design, rng)
    truth.bend, truth.middle = 0.0, np.zeros(2)
    photos = corners(truth, marked, rng)
    on_mat = {number: spots for number, spots in photos[0].markers.items() if whose(number)[1] == MAT}
    places = np.concatenate([np.pad(marked.sheets[MAT].markers[number], ((0, 0), (0, 1))) for number in on_mat])
    matrix = np.array([[truth.focal[0] * 4000, 0, 1999.5], [0, truth.focal[0] * 4000, 1499.5], [0, 0, 1]])
    _, turn, move = cv2.solvePnP(places, np.concatenate(list(on_mat.values())), matrix, None, flags=cv2.SOLVEPNP_ITERATIVE)
    height = Rotation.from_rotvec(turn[:, 0]).inv().apply(-move[:, 0])[2]
    found = check_photos(photos, marked)
    row = next(row for row in found.rows if row.quantity == "lens above the floor")
    assert abs(row.value - height) < 3 * row.uncertainty


def test_intervals_cover_what_they_say(design, marked):
    """Corners with noise, holes off their marks; 95 % give or take three standard deviations of so many trials."""
    rng, covered = np.random.default_rng(7), []
    for _ in range(draws(3, 200)):
        truth = built(design, rng)
        left, right, target, lens = ends_of(truth, design)
        turn = truth.bodies[PANEL][0]
        left, right = (port + turn.apply([*0.07 * rng.standard_t(3, 2), 0]) for port in (left, right))  # cuts: heavy tails
        target = target + rng.normal(0, (0, 0, 0.2))
        found = check_photos(corners(truth, marked, rng), marked)
        truths = {
            "manipulation angle": manipulation_angle(left, right, target),
            "working distance": working_distance(lens, target),
            "field of view": np.degrees(2 * np.arctan(0.5 / truth.focal[0])),
            "lens above the floor": lens[2],
        }
        covered.append([low <= true <= high for q, true in truths.items() for low, high in [found.interval(q)]])
    share, n = np.mean(covered), np.size(covered)
    assert abs(share - 0.95) < max(0.03, 3 * np.sqrt(0.05 * 0.95 / n)), np.mean(covered, axis=0)


def test_one_photograph_tells_what_the_phone_sees_and_no_more(design, marked):
    rng = np.random.default_rng(3)
    found = check_photos(corners(built(design, rng), marked, rng)[:1], marked)
    assert found.placement is None and "manipulation angle" in found.not_known()
    assert "working distance" not in found.not_known() and np.diff(found.interval("lens above the floor")) < 1
    with pytest.raises(ValueError, match=r"needs a photograph that shows the cutting template, .* \(quantity\)\.$"):
        found.interval("manipulation angle")


def test_tape_and_photographs_are_fitted_together(design, marked):
    rng = np.random.default_rng(5)
    truth = built(design, rng)
    left, right, *_ = ends_of(truth, design)
    photos = corners(truth, marked, rng)
    alone = check_photos(photos, marked)
    both = check_photos(photos, marked, tape={"port_to_port": float(np.linalg.norm(left - right))}, tape_error=0.05)
    spread = [next(row.uncertainty for row in each.rows if row.quantity == "port spacing") for each in (alone, both)]
    assert spread[1] < 0.5 * spread[0]


def test_a_tape_that_does_not_go_with_the_photographs_is_named(design, marked):
    rng = np.random.default_rng(5)
    truth = built(design, rng)
    left, right, *_ = ends_of(truth, design)
    photos, apart = corners(truth, marked, rng), float(np.linalg.norm(left - right))
    with pytest.raises(
        ValueError, match=rf"Port to port was read as {apart + 3:.1f} cm, and the photographs say .* read it again"
    ):
        check_photos(photos, marked, tape={"port_to_port": apart + 3, "left_height": left[2]})
    with pytest.raises(ValueError, match="Tape readings of the holes need a photograph"):
        check_photos(photos[:1], marked, tape={"port_to_port": apart})


def test_a_false_marker_is_left_out(design, marked):
    rng = np.random.default_rng(6)
    photos = corners(built(design, rng), marked, rng)
    number = next(iter(photos[0].markers))
    photos[0].markers[number] = photos[0].markers[number] + [60, -40]
    found = check_photos(photos, marked)
    assert found.photos["left out"].tolist() == [1, 0, 0, 0]


def test_a_flat_lid_and_a_tent_tell_height_from_focal_length():
    """Without the tent a flat phone over a flat lid sees the mat head-on, and the two hang together."""
    design = design_box(FLAT)
    marked, rng = marked_box(design), np.random.default_rng(8)
    photos = corners(built(design, rng, off=0.0), marked, rng)[:1]
    without = [Photo("1.jpg", photos[0].size, {n: s for n, s in photos[0].markers.items() if whose(n)[1] == MAT})]
    wide = [np.ptp(check_photos(each, marked).interval("lens above the floor")) for each in (photos, without)]
    assert wide[0] < 0.5 * wide[1]


# What is refused


def some(marked, box=None, names=(MAT,), size=(4000, 3000), phone="", focal=None):
    square = np.array([(0, 0), (90, 0), (90, 90), (0, 90)], float)
    number = marked.number if box is None else box
    markers = {first_number(number, name) + i: square + 200 * i + 100 for name in names for i in range(3)}
    return Photo(f"{'-'.join(names)}.jpg", size, markers, focal, phone)


@pytest.mark.parametrize(
    ("photos", "says"),
    [
        (lambda m: [], "a list of photographs"),
        (lambda m: "photo.jpg", "a list of photographs"),
        (lambda m: [some(m, names=(PANEL,))], "does not show the floor mat"),
        (lambda m: [some(m, (m.number + 1) % 28)], "shows the sheets of another box"),
        (lambda m: [Photo("two.jpg", (4000, 3000), some(m).markers | some(m, (m.number + 1) % 28).markers)], "two boxes"),
        (lambda m: [some(m, phone="One"), some(m, names=(PANEL,), phone="Other")], "use one phone for all"),
        (lambda m: [some(m), some(m, names=(PANEL,), size=(2000, 3000))], "do not crop them"),
        (lambda m: [some(m, focal=0.75), some(m, names=(PANEL,), focal=0.4)], "two lenses of the phone"),
    ],
)
def test_photographs_that_do_not_belong_together_are_refused(marked, photos, says):
    with pytest.raises(ValueError, match=says):
        check_photos(photos(marked), marked)


def test_what_does_not_hang_together_is_named(design, marked):
    rng = np.random.default_rng(9)
    photos = corners(built(design, rng), marked, rng)
    with pytest.raises(ValueError, match=r"Nothing joins the cutting template.*2\.jpg.* to the floor mat: take a photograph"):
        check_photos(photos[:2], marked)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"this is a text", "is not a JPEG, PNG or HEIC picture"),
        (_png(np.full((400, 600), 200, np.uint8)), "No marker is found"),
        (_png(np.full((40, 60), 200, np.uint8)), "too few to find markers in"),
    ],
    ids=["text", "empty", "tiny"],
)
def test_a_file_that_is_no_photograph_of_markers_is_refused(data, says):
    with pytest.raises(ValueError, match=says):
        read_photo(data, "a.jpg")


def test_large_mirrored_and_zoomed_are_refused(pages, tmp_path):
    page = next(iter(pages.values()))
    with pytest.raises(ValueError, match="is mirrored, as a selfie camera shows it"):
        read_photo(_png(page[:, ::-1]), "selfie.png")
    image, path = Image.fromarray(page), tmp_path / "zoomed.jpg"
    facts = Image.Exif()
    facts.get_ifd(0x8769)[0xA404] = 2.0
    image.save(path, exif=facts)
    with pytest.raises(ValueError, match=r"zoomed\.jpg was zoomed 2\.0 times"):
        read_photo(path)
    facts = Image.Exif()
    facts.get_ifd(0x8769).update({0xA002: 4000, 0xA003: 3000})
    image.save(path, exif=facts)
    with pytest.raises(ValueError, match=r"zoomed\.jpg was cropped"):
        read_photo(path)
    with pytest.raises(ValueError, match=r"nowhere\.jpg cannot be read"):
        read_photo(tmp_path / "nowhere.jpg")
    Image.new("1", (20000, 10000)).save(tmp_path / "huge.png")
    with pytest.raises(ValueError, match="has more than 60 million pixels"):
        read_photo(tmp_path / "huge.png")


def test_a_frame_of_a_film_is_read(pages, tmp_path):
    page = next(iter(pages.values()))
    path, (height, width) = tmp_path / "box.mp4", page.shape
    film = cv2.VideoWriter(str(path), cv2.VideoWriter_fourcc(*"mp4v"), 10, (width // 2 * 2, height // 2 * 2))
    frame = cv2.cvtColor(page[: height // 2 * 2, : width // 2 * 2], cv2.COLOR_GRAY2BGR)
    for _ in range(3):
        film.write(frame)
    film.release()
    assert read_photo(path).markers.keys() == read_photo(_png(page)).markers.keys()
    path.write_bytes(b"no film")
    with pytest.raises(ValueError, match=r"box\.mp4 is not a film"):
        read_photo(path)


def test_a_photograph_turned_by_its_file_is_read_upright(pages):
    """A phone held upright saves the picture lying and says so; corners are where they are to be looked at."""
    page = next(iter(pages.values()))
    facts, file = Image.Exif(), io.BytesIO()
    facts[0x0112] = 6  # turn a quarter clockwise to look at it
    Image.fromarray(np.rot90(page)).save(file, "JPEG", quality=95, exif=facts)
    upright, turned = read_photo(_png(page)), read_photo(file.getvalue())
    assert turned.size == upright.size and turned.markers.keys() == upright.markers.keys()
    for number, spots in upright.markers.items():
        np.testing.assert_allclose(turned.markers[number], spots, rtol=0, atol=1.0)

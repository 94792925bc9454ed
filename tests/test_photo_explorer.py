"""Photographs added one after another: what each event makes of the state, without and with widgets."""

import html
import sys
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from photographs import WEDGE, built, corners

from ergokit import photo_explorer
from ergokit.design import design_box
from ergokit.desk import keep_box
from ergokit.explorers import carton_explorer, exercise, photos
from ergokit.guidance.cautions import BEFORE_A_PHOTOGRAPH, HOW_TO_PHOTOGRAPH
from ergokit.photos import Photo, check_photos
from ergokit.placement import Placement
from ergokit.template import marked_box, write_template


@pytest.fixture(scope="module")
def design():
    return design_box(WEDGE)


@pytest.fixture(scope="module")
def taken(design):
    rng = np.random.default_rng(3)
    return corners(built(design, rng), marked_box(design), rng)


@pytest.fixture
def reading(monkeypatch, taken):
    """Uploads that bring the photograph of that name, or another box's."""
    named = {photo.name: photo for photo in taken}
    stranger = {number + 20: spots for number, spots in taken[0].markers.items() if number >= 8}
    named["other.jpg"] = Photo("other.jpg", (4000, 3000), stranger)
    monkeypatch.setattr(photos, "read_photo", lambda data, name: named[name])

    def upload(name, size=1000):
        of_file = {"type": "image/jpeg", "last_modified": datetime.now(UTC), "content": memoryview(b"")}
        return ({"name": name, "size": size, **of_file},)

    upload.named = named
    return upload


def test_photographs_are_kept_until_they_hang_together(design, reading):
    explorer = photo_explorer(design)
    for name, says in (("1.jpg", "view is known"), ("2.jpg", "Nothing joins"), ("4.jpg", "connect all sheets")):
        explorer.upload.value = reading(name)
        assert says in explorer.status.value and "⚠" not in explorer.status.value
        explorer.follows()
    assert explorer.check.placement is not None and len(explorer.state.photos) == 3
    assert "by pictures" in explorer.table.value and "field of view" in explorer.table.value
    assert explorer.seen.value.count("<figure") == 3 and "pixels" in explorer.seen.value
    explorer.take_away()
    assert explorer.check is None and "Nothing joins" in explorer.status.value
    explorer.reset()
    assert explorer.state.photos == () and "Add the picture" in explorer.status.value


def test_a_photograph_that_does_not_belong_is_refused_and_the_others_stay(design, reading):
    explorer = photo_explorer(design)
    explorer.upload.value = reading("1.jpg")
    for files, says in (
        (reading("other.jpg"), "another box"),
        (reading("1.jpg"), "was added before"),
        (reading("2.jpg", 20_000_000), "has 20 MB, and a page can send 9 MB"),
    ):
        explorer.upload.value = files
        assert says in explorer.status.value and "⚠" in explorer.status.value
        assert len(explorer.state.photos) == 1
        explorer.follows()


def test_a_folder_is_read_and_one_that_does_not_exist_is_said(design, reading, monkeypatch, tmp_path):
    explorer = photo_explorer(design)
    monkeypatch.setattr(photos, "read_photo", lambda path: reading.named[path.name])
    nowhere = (tmp_path / "nowhere", "~stranger/x", "a" * 300, "a: 0, 9, 1\n" * 3000, "\0", "\ud800")
    for folder, says in (*((each, "does not exist") for each in nowhere), (tmp_path, "has no pictures"), ("", "")):
        explorer.folder.value = str(folder)
        assert says in explorer.status.value and explorer.state.photos == ()
        explorer.follows()
    for name in ("4.jpg", "1.jpg", "2.JPG", "notes.txt"):
        (tmp_path / name).touch()
    reading.named["2.JPG"] = reading.named["2.jpg"]
    explorer.folder.value = str(tmp_path)
    assert [photo.name for photo in explorer.state.photos] == ["1.jpg", "2.jpg", "4.jpg"]
    assert "connect all sheets" in explorer.status.value
    explorer.folder.value = ""
    explorer.folder.value = str(tmp_path)
    assert "was added before" in explorer.status.value and len(explorer.state.photos) == 3


def test_tape_and_pictures_are_fitted_together(desk, taken):
    """Of a box of the reader's own, which comes before the lesson's, with the readings that were saved with it."""
    design = design_box(WEDGE)
    alone = check_photos(taken, marked_box(design))
    p, spacing = alone.placement, next(row.value for row in alone.rows if row.quantity == "port spacing")
    lengths = (float(np.linalg.norm(p.target - place)) for place in (p.left_port, p.right_port, p.camera))
    built_box = Placement.from_tape(spacing, *lengths, camera_above_ports=7.5, reading_error=0.05)
    keep_box("shoe box", design, built_box)
    explorer = photo_explorer(design)
    assert explorer.box.options == ("shoe box", "the lesson's box")
    explorer.dispatch(lambda state: replace(state, photos=tuple(taken)))
    apart = explorer.check.interval("port spacing")
    assert explorer.table.value.count("<th>") == 4 and "by pictures</th>" in explorer.table.value
    explorer.with_tape.value = True
    explorer.follows()
    assert "by pictures and tape" in explorer.table.value
    assert np.ptp(explorer.check.interval("port spacing")) < 0.7 * np.ptp(apart)
    explorer.box.value = "the lesson's box"
    assert explorer.state.photos == () and not explorer.with_tape.value
    explorer.with_tape.value = True
    assert "has no tape readings" in explorer.status.value and not explorer.with_tape.value


def test_what_to_beware_of_stands_before_the_button(design):
    words = "".join(getattr(part, "value", "") for part in photo_explorer(design).children[:3])
    assert "<details open>" in words and "The kit keeps only numbers" in words
    for line in (*BEFORE_A_PHOTOGRAPH, *HOW_TO_PHOTOGRAPH):
        assert html.escape(line) in words


def test_without_opencv_one_sentence_says_so(design, monkeypatch, tmp_path):
    monkeypatch.setitem(sys.modules, "cv2", None)
    form = carton_explorer()
    form.markers.value = True
    assert "need OpenCV" in form.status.value and not form.markers.value
    form.follows()
    with pytest.raises(ValueError, match="need OpenCV, which the install command in the README brings"):
        write_template(tmp_path / "box.pdf", design, markers=True)


def test_the_carton_s_template_has_markers_where_wanted(desk):
    form = carton_explorer()
    plain = form.link.value
    form.markers.value = True
    form.follows()
    assert len(form.link.value) > len(plain) + 1000
    form.markers.value = False
    assert form.link.value == plain


def test_it_stands_up_without_photographs(design):
    explorer = photo_explorer(design)
    assert "answers" in exercise(explorer)
    assert "designed" in explorer.table.value and "by pictures" not in explorer.table.value

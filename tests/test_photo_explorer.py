"""Photographs added one after another: what each event makes of the state, without and with widgets."""

from datetime import UTC, datetime

import numpy as np
import pytest
from photographs import WEDGE, built, corners

from ergokit import photo_explorer
from ergokit.design import design_box
from ergokit.explorers import exercise, photos
from ergokit.photos import Photo
from ergokit.template import marked_box


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

    return upload


def test_photographs_are_kept_until_they_hang_together(design, reading):
    explorer = photo_explorer(design)
    for name, says in (("1.jpg", "view is known"), ("2.jpg", "nothing joins"), ("4.jpg", "connect all sheets")):
        explorer.upload.value = reading(name)
        assert says in explorer.status.value and "⚠" not in explorer.status.value
        explorer.follows()
    assert explorer.check.placement is not None and len(explorer.state.photos) == 3
    assert "by pictures" in explorer.table.value and "field of view" in explorer.table.value
    assert explorer.seen.value.count("<figure") == 3 and "pixels" in explorer.seen.value
    explorer.take_away()
    assert explorer.check is None and "nothing joins" in explorer.status.value
    explorer.reset()
    assert explorer.state.photos == () and "Add the picture" in explorer.status.value


def test_a_photograph_that_does_not_belong_is_refused_and_the_others_stay(design, reading):
    explorer = photo_explorer(design)
    explorer.upload.value = reading("1.jpg")
    for files, says in (
        (reading("other.jpg"), "another box"),
        (reading("1.jpg"), "was added before"),
        (reading("2.jpg", 20_000_000), "has 20 MB, and a page takes 9"),
    ):
        explorer.upload.value = files
        assert says in explorer.status.value and "⚠" in explorer.status.value
        assert len(explorer.state.photos) == 1
        explorer.follows()


def test_it_stands_up_without_photographs(design):
    explorer = photo_explorer(design)
    assert "answers" in exercise(explorer)
    assert "designed" in explorer.table.value and "by pictures" not in explorer.table.value

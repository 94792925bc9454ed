"""A placement whose camera is a scope: everything that works for a phone works for it, or says why not."""

import json
from dataclasses import replace

import numpy as np
import pytest

from ergokit import Placement, judge
from ergokit.design import design_box
from ergokit.explorers import exercise, placement_explorer
from ergokit.figures import GALLERY, drawable, monitor_figure, section_figure
from ergokit.figures.monitor import camera_of
from ergokit.figures.scene import extent, scene
from ergokit.placement.edit import edited, mirrored, readings_of
from ergokit.placement.measures import rows_of
from ergokit.surfaces import WedgeBox
from ergokit.talk.handout import write_handout
from ergokit.template import write_template
from ergokit.tolerance import error_effects, hole_tolerance
from ergokit.view import Scope

TARGET = (0, 10, 0)
TURNED = Scope((2, 4, 16), (0.1, 1, -2), 8, 30, post_angle=40, head_angle=-25)
REST = {"left_port": (-9, 0, 12), "right_port": (9, 0, 12), "target": TARGET}
SCOPE = Placement(**REST, camera=TURNED)
PHONE = Placement(**REST, camera=TURNED.tip, aim=TURNED.axis)
LEVEL = Placement(**REST, camera=Scope.at_distance((0, 4, 16), TARGET, 10))
BOX = WedgeBox(50, 40, 30)


def values(placement):
    return {(row.quantity, row.side): row.value for row in rows_of(placement)}


def test_tip_and_axis_stand_where_lens_and_aim_stood():
    np.testing.assert_array_equal(SCOPE.camera, TURNED.tip)
    np.testing.assert_array_equal(SCOPE.aim, TURNED.axis)
    np.testing.assert_array_equal(SCOPE.up, TURNED.up)
    np.testing.assert_array_equal(SCOPE.camera_hole, TURNED.port)
    assert PHONE.scope is PHONE.up is None and PHONE.camera_hole is PHONE.camera
    found, expected = values(SCOPE), values(PHONE)
    turned = {name for name in found if abs(found[name] - expected[name]) > 1e-12}
    assert turned == {("hand-eye rotation", ""), ("camera roll", "")}  # what the top of the picture decides, and nothing else


@pytest.mark.parametrize(
    ("down", "post", "side", "roll"), [(50, 90, -41.9, -30.8), (50, -90, 41.9, 30.8), (70, 0, 180, 180), (40, 0, 0, 0)]
)
def test_the_picture_may_be_rolled_and_upright_to_the_hands(down, post, side, roll):
    """The two examples of 30 degrees, one of them to either side: the head was not turned, and the rotation is none."""
    scope = Scope((0, 0, 15), (0, np.cos(np.radians(down)), -np.sin(np.radians(down))), 8, 30, post)
    found = values(Placement(**REST | {"target": scope.tip + 8 * scope.axis}, camera=scope))
    names = ("camera's side", "camera roll", "hand-eye rotation")
    assert [round(found[name, ""], 1) for name in names] == [side, roll, 0]


def test_nobody_works_against_a_scope_that_leans_back_over_its_target():
    scope = Scope((0, 0, 15), (0, np.cos(np.radians(70)), -np.sin(np.radians(70))), 8)
    judged = judge(Placement(**REST | {"target": scope.tip + 8 * scope.axis}, camera=scope)).set_index("quantity")[
        "against published advice"
    ]
    assert judged["hand-eye rotation"] == "at 0 degrees, the best tried"
    assert judged["camera's side"] == judged["camera roll"] == "no guidance"


def test_a_file_keeps_the_scope_and_older_files_load(tmp_path):
    record = json.loads(SCOPE.to_json())
    assert record["version"] == 2 and "aim" not in record and record["camera"]["post_angle"] == 40
    assert Placement.from_json(SCOPE.to_json()) == SCOPE != PHONE
    SCOPE.save(tmp_path / "scope.json")
    assert Placement.load(tmp_path / "scope.json") == SCOPE
    older = '{"format": "ergokit placement", "version": 1, "units": {"length": "cm", "angle": "degrees"}, '
    older += '"left_port": [-9, 0, 12], "right_port": [9, 0, 12], "target": [0, 10, 0], "camera": [0, 4, 16]}'
    phone = Placement.from_json(older)
    assert phone.scope is None and json.loads(phone.to_json())["version"] == 1
    assert eval(SCOPE.as_code(), {"Placement": Placement, "Scope": Scope}) == SCOPE
    assert "scope       2.4, 7.6, 8.9, 30 degrees, 8.0 in from 2.0, 4.0, 16.0" in repr(SCOPE)


def test_replace_takes_a_scope_for_a_phone_and_back():
    assert PHONE.replace(camera=TURNED, aim=None) == SCOPE
    assert SCOPE.replace(camera=(0, 4, 16)) == Placement(**REST, camera=(0, 4, 16))
    assert SCOPE.replace(instrument_length=33).scope == TURNED
    for refused in (lambda: SCOPE.replace(aim=(0, 0, -1)), lambda: PHONE.replace(camera=TURNED)):
        with pytest.raises(ValueError, match=r"^A scope looks where its own view says; [^\n]* \(aim\)\.$"):
            refused()
    with pytest.raises(ValueError, match=r"^A working port and the scope\'s port are both at .*\(left_port\)"):
        SCOPE.replace(left_port=TURNED.port)
    with pytest.raises(ValueError, match="camera is on the target"):
        SCOPE.replace(target=TURNED.tip)


@pytest.mark.parametrize("name", readings_of(SCOPE))
def test_every_edit_moves_the_scope_as_one(name):
    now = readings_of(SCOPE)[name]
    after = edited(SCOPE, name, now + 0.5)
    assert readings_of(after)[name] == pytest.approx(now + 0.5)
    moved = np.subtract(after.scope.port, TURNED.port)
    np.testing.assert_allclose(after.camera - SCOPE.camera, moved, atol=1e-12)
    assert after.scope == Scope(after.scope.port, TURNED.shaft, 8, 30, 40, -25)
    assert moved.any() == (name in ("depth", "camera hole above ports") or name.startswith("camera"))


def test_a_held_distance_moves_it_along_its_sight():
    after = edited(SCOPE, "target sideways", 3, hold="working distance")
    before, found = values(SCOPE)["working distance", ""], values(after)["working distance", ""]
    assert found == pytest.approx(before) and after.scope.shaft == TURNED.shaft


def test_its_mirror_image_mirrors_the_picture():
    mirror = mirrored(SCOPE)
    assert mirrored(mirror) == SCOPE
    flip = np.array([-1, 1, 1])
    for name in ("camera", "aim", "up", "camera_hole"):
        np.testing.assert_allclose(getattr(mirror, name), getattr(SCOPE, name) * flip, atol=1e-14)
    before, after = values(SCOPE), values(mirror)
    for name in ("hand-eye rotation", "camera's side", "camera roll"):
        assert after[name, ""] == pytest.approx(-before[name, ""])


def test_the_monitor_shows_the_scope_s_picture():
    assert camera_of(SCOPE, field_of_view=60) == TURNED.camera(field_of_view=60)
    words = [note.text for note in monitor_figure(SCOPE).layout.annotations]
    found = values(SCOPE)
    assert f"hand-eye rotation {found['hand-eye rotation', '']:.1f}°, roll {found['camera roll', '']:.1f}°" in words
    assert not any("roll" in note.text for note in monitor_figure(PHONE).layout.annotations)
    assert "hand-eye rotation ?, roll ?" in [note.text for note in monitor_figure(SCOPE, numbers=False).layout.annotations]


def test_the_scene_draws_shaft_post_and_view():
    items, plain = scene(SCOPE), scene(PHONE)
    new = {"scope, inside", "scope, outside", "light post", "light post, words"}
    assert items.keys() - plain.keys() == new and not plain.keys() - items.keys()
    tip, port = np.array(items["scope, inside"]["at"])
    np.testing.assert_allclose([tip, port], [TURNED.tip, TURNED.port], atol=1e-4)
    head, post = np.array(items["light post"]["at"])
    np.testing.assert_allclose(head, TURNED.tip - 33 * TURNED.inwards, atol=1e-4)  # 29 to 33 cm, from memory
    np.testing.assert_allclose(post - head, 4 * TURNED.light_post, atol=2e-4)
    lens, seen = np.array(items["optical axis"]["at"])
    np.testing.assert_allclose(np.cross(seen - lens, TURNED.axis), 0, atol=1e-3)
    for point in (head, post, port):
        assert np.abs(extent(SCOPE) - point).max(axis=1).min() < 1e-3


def test_a_section_draws_the_shaft():
    figure = section_figure(LEVEL, BOX)
    [shaft] = [trace for trace in figure.data if trace.name == "scope"]
    np.testing.assert_allclose(np.stack([shaft.x, shaft.y]).T, [LEVEL.camera[1:], (4, 16)])
    assert "scope's tip" in [note.text for note in figure.layout.annotations]


def test_an_explorer_s_controls_move_the_scope():
    explorer = placement_explorer(SCOPE)
    assert "followed" in exercise(explorer)
    moved = explorer.placement.scope
    assert moved == replace(TURNED, port=moved.port)


def test_every_figure_and_file_takes_it_or_says_why_not(tmp_path):
    for name in drawable(LEVEL):
        GALLERY[name](LEVEL)
    design = design_box(BOX)
    with pytest.raises(ValueError, match=r"^A template is for a box with a phone, [^\n]* \(placement\)\.$"):
        write_template(tmp_path / "box.pdf", design.box, design.placement.replace(camera=TURNED, aim=None))
    page = write_handout(tmp_path / "page.html", SCOPE).read_text(encoding="utf-8")
    [data] = [line for line in page.splitlines() if line.startswith('{"placement"')]
    sent = json.loads(data)
    np.testing.assert_allclose(sent["scope"]["up"], TURNED.up)
    np.testing.assert_allclose(sent["scope"]["ends"][0] + SCOPE.camera, TURNED.port, atol=1e-5)
    assert error_effects(SCOPE, draws=1000).measures().quantity.isin(["camera roll"]).any()
    assert hole_tolerance(SCOPE, draws=1000).each > 0

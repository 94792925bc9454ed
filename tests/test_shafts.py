"""A shaft of its own length for each hand: in a placement, its file, its measures, and in all that is made of them."""

import json
from math import cos, hypot, radians, sqrt

import numpy as np
import pytest
import references
from hypothesis import given, settings
from hypothesis import strategies as st

from ergokit import Placement
from ergokit.design import design_box
from ergokit.explorers import placement_explorer
from ergokit.figures import GALLERY, lever_figure, scene
from ergokit.placement.edit import edited, mirrored
from ergokit.search import best_ports
from ergokit.surfaces import FlatBox, WedgeBox
from ergokit.tape_check import check_tape
from ergokit.tolerance import error_effects

POINTS = {"left_port": (-9, 0, 12), "right_port": (7, 3, 14), "target": (2, 11, 1.5), "camera": (0, 4, 16)}
PAIR = Placement(**POINTS, instrument_length=(36, 28))
READ = {
    "port_to_port": 18,
    "left_to_target": 18,
    "right_to_target": 17.2,
    "camera_to_target": 14.5,
    "camera_above_ports": 7.1,
    "panel_slope": 37,
}
length = st.floats(25, 80)


def values(table, name="value"):
    return {(row.quantity, row.side): getattr(row, name) for row in table.itertuples()}


# The placement and its file


def test_a_pair_of_equal_lengths_is_the_number():
    number, pair = Placement(**POINTS, instrument_length=30), Placement(**POINTS, instrument_length=[30, 30])
    assert pair == number and pair.to_json() == number.to_json() and pair.instrument_length == 30.0
    assert '"instrument_length": 30.0,' in pair.to_json() and "instrument_length=30," in pair.as_code()


def test_what_it_holds_and_how_it_reads():
    assert PAIR.instrument_length == (36, 28) and PAIR.shafts.tolist() == [36, 28]
    assert Placement(**POINTS).shafts.tolist() == [36, 36]
    assert "  instruments 36.0 (left) and 28.0 (right) long, hand 10.0 beyond\n" in repr(PAIR)
    assert PAIR.replace(camera=(0, 5, 16)).instrument_length == (36, 28)
    assert PAIR.replace(instrument_length=36) == Placement(**POINTS)
    assert len({PAIR, PAIR.replace(), PAIR.replace(instrument_length=(28, 36))}) == 2
    with pytest.raises(ValueError, match="read-only"):
        PAIR.shafts[0] = 1


def test_the_file_holds_a_list_of_two_or_as_ever_a_number():
    record = json.loads(PAIR.to_json())
    assert record["instrument_length"] == [36, 28]
    assert Placement.from_json(PAIR.to_json()) == PAIR
    assert eval(PAIR.as_code(), {"Placement": Placement}) == PAIR
    old = json.dumps(record | {"instrument_length": 36})
    assert Placement.from_json(old) == Placement(**POINTS)
    for bad in ([36], [36, 30, 30], [36, "30"], [[36, 28]], [36, None], []):
        with pytest.raises(ValueError, match=r"^[^\n]*; give [^\n]* \(instrument_length\)\.$"):
            Placement.from_json(json.dumps(record | {"instrument_length": bad}))


# The measures


@settings(deadline=None)
@given(length, length, st.floats(0, 15))
def test_each_side_is_as_with_two_of_its_length(left, right, reach):
    """But for the hands' distance, by the law of cosines; and so at 50 digits."""
    made = Placement(**POINTS, instrument_length=(left, right), handle_reach=reach)
    found = values(made.measures())
    theta = radians(found["manipulation angle", ""])
    for side, shaft in zip(("left", "right"), (left, right), strict=True):
        alone = values(made.replace(instrument_length=shaft).measures())
        assert {key: found[key] for key in found if key[1] == side} == {key: alone[key] for key in alone if key[1] == side}
    a, b = left + reach, right + reach
    assert found["handle separation", ""] == pytest.approx(sqrt(a * a + b * b - 2 * a * b * cos(theta)), rel=1e-12)
    exact = references.measures(**POINTS, instrument_length=left, right_instrument_length=right, handle_reach=reach)
    names = {"length outside": "length outside", "inside : outside": "inside : outside", "movement scaling": "tip travel"}
    for name, short in names.items():
        for side in ("left", "right"):
            assert found[name, side] == pytest.approx(float(exact[f"{short} {side}"]), rel=1e-9)
    assert found["handle separation", ""] == pytest.approx(float(exact["handle separation"]), rel=1e-12)


@settings(deadline=None)
@given(length, length)
def test_a_mirror_swaps_the_sides_and_the_shafts(left, right):
    placement = Placement(**POINTS, instrument_length=(left, right))
    here, there = values(placement.measures()), values(mirrored(placement).measures())
    assert mirrored(placement).shafts.tolist() == [right, left]
    other = {"left": "right", "right": "left", "": ""}
    for (quantity, side), value in here.items():
        sign = -1 if quantity in ("hand-eye rotation", "camera's side", "camera roll") else 1
        assert there[quantity, other[side]] == pytest.approx(sign * value, rel=1e-9, abs=1e-9), (quantity, side)


@pytest.mark.parametrize(
    "make",
    [
        lambda shafts: Placement.from_tape(**READ, instrument_length=shafts).measures(),
        lambda shafts: check_tape(port_to_port=18, left_to_target=18, right_to_target=17, instrument_length=shafts).measures(),
        lambda shafts: error_effects(PAIR.replace(instrument_length=shafts), 0.2).measures().rename(
            columns={"first order": "uncertainty"}
        ),
    ],
    ids=["tape", "tape check", "tolerance"],
)  # fmt: skip
def test_uncertainties_are_each_side_s(make):
    found, *alone = (values(make(shafts), "uncertainty") for shafts in ((36, 28), 36, 28))
    for side, one in zip(("left", "right"), alone, strict=True):
        for quantity in ("length outside", "inside : outside", "movement scaling"):
            assert found[quantity, side] == pytest.approx(one[quantity, side], rel=1e-9)
    assert found["inside : outside", "right"] != pytest.approx(alone[0]["inside : outside", "right"], rel=0.1)


def test_a_tape_s_file_keeps_both():
    box = Placement.from_tape(**READ, instrument_length=(36, 28))
    again = Placement.from_json(box.to_json())
    assert again == box and again.tape is not None and again.instrument_length == (36, 28)
    assert eval(box.as_code(), {"Placement": Placement}) == box


# What is made of them


def test_hands_in_the_pictures_are_at_the_ends_of_their_own_shafts():
    items = scene(PAIR, layers=("hands", "lever"))
    target = np.array(POINTS["target"])
    hands = {side: np.array(items[f"{side} hand"]["at"][0]) for side in ("left", "right")}
    assert np.linalg.norm(hands["left"] - target) == pytest.approx(46, abs=1e-3)
    assert np.linalg.norm(hands["right"] - target) == pytest.approx(38, abs=1e-3)
    found = values(PAIR.measures())
    assert items["hands, words"]["text"] == f"hands {found['handle separation', '']:.1f} cm apart"
    for side in ("left", "right"):
        assert items[f"lever, {side}, words"]["text"].endswith(f"tip {found['movement scaling', side]:.1f} cm")
    drawn = GALLERY["lever"](PAIR)
    for i, side in enumerate(("left", "right")):
        ratio = f"inside : outside {found['inside : outside', side]:.2f}"
        assert [note.y for note in drawn.layout.annotations if note.text == ratio] == [pytest.approx(-4.9 - 16.5 * i)]
    assert "The instruments are 36 cm long, as the longer one here, and" in GALLERY["rules"](PAIR).layout.meta["says"][0]
    with pytest.raises(
        ValueError, match=r"^An array.* cannot be used; give one number or one for each of 3 instruments \(instrument_length\)"
    ):
        lever_figure(24, 18, 12, instrument_length=(36, 28))


def test_a_slider_keeps_the_pair_and_the_shafts_own_makes_it_one():
    assert edited(PAIR, "port spacing", 20).instrument_length == (36, 28)
    assert edited(PAIR, "instrument length", 33).instrument_length == 33
    explorer = placement_explorer(PAIR)
    explorer.follows()
    explorer.controls["depth"].value += 1
    explorer.controls["handle reach"].value = 8
    assert explorer.placement.instrument_length == (36, 28) and explorer.placement.handle_reach == 8
    explorer.mirror()
    assert explorer.placement.instrument_length == (28, 36)
    explorer.controls["instrument length"].value = 34
    assert explorer.placement.instrument_length == 34
    explorer.follows()


def test_a_search_reaches_with_each_hand():
    """A short right shaft: its port stays within its reach of every target; mirrored, the same answer mirrored."""
    targets, box = np.array([(-9, 0, 0), (-3, 6, 0), (2, -5, 3)]), FlatBox(60, 45, 18)
    best = best_ports(box, targets, instrument_length=(60, 24), rules={"inside : outside": (None, 8)})
    other = best_ports(box, targets * [-1, 1, 1], instrument_length=(24, 60), rules={"inside : outside": (None, 8)})
    even = best_ports(box, targets, instrument_length=60)
    assert best.finished and best.left_port[0] < best.right_port[0] and best.placement.instrument_length == (60, 24)
    inside = np.linalg.norm(best.right_port - targets, axis=1)
    assert (inside / (24 - inside) <= 8 + 1e-6).all()
    assert other.worst_deviation == pytest.approx(best.worst_deviation, abs=0.1)
    assert best.lower_bound > even.worst_deviation
    assert best.lower_bound - 0.1 <= least_worst(targets, 18, (60, 24)) and best.worst_deviation < 90
    assert "inside : outside at most 8.00" in best.binding
    with pytest.raises(ValueError, match=r"give one number or one for each of 2 instruments.*\(instrument_length\)"):
        best_ports(box, targets, instrument_length=(36, 30, 20))


def least_worst(targets, height, shafts):
    """The least worst miss of 60 degrees of ports every 3 cm on a lid whose right-hand ratio is at most 8, by trying all."""
    u, v = (part.ravel() for part in np.meshgrid(np.arange(-27, 28, 3), np.arange(-21, 22, 3)))
    ports = np.stack([u, v, np.full(u.size, height)], axis=1)
    ways = ports[:, None] - targets
    inside = np.linalg.norm(ways, axis=2)
    left, right = ((inside < shaft * 8 / 9).all(axis=1) for shaft in shafts)
    units = ways / inside[..., None]
    theta = np.degrees(np.arccos(np.einsum("ltk,rtk->lrt", units[left], units[right]).clip(-1, 1)))
    in_order = ports[left][:, None, 0] < ports[right][None, :, 0]
    return np.abs(theta - 60).max(axis=2)[in_order].min()


def test_no_reach_names_both_lengths():
    best = best_ports(FlatBox(60, 45, 25), [(0, 0, 0)], instrument_length=(36, 20))
    assert best.sentence.endswith("(proved): reach of 36 and 20 cm instruments leaves none.")


def test_a_design_measures_each_shaft():
    box = WedgeBox(ridge=50, side_a=40, side_b=30)
    holes = {"ports": [(-10, 11.34), (10, 11.34)], "camera_hole": (0, 20), "target_height": 0}
    design = design_box(box, **holes, instrument_length=(36, 50))
    inside = hypot(10, sqrt(300))
    assert design.placement.instrument_length == (36, 50)
    told = f"The inside : outside of the right instrument is {inside / (50 - inside):.2f}; the rule asks for at least 1.00."
    assert design.not_met == (told,)
    assert design_box(box, **holes, instrument_length=(36, 36)).not_met == ()
    with pytest.raises(
        ValueError, match=r"^An instrument of 360 cm is too long; give its length in cm, not mm \(instrument_length\)\.$"
    ):
        design_box(box, instrument_length=(36, 360))

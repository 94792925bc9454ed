"""Who gets which hole: the worked case by hand, contact against a second implementation, and what is said and not said."""

import re
from math import atan, cos, degrees, radians, sin, sqrt

import numpy as np
import pytest
from draws import draws
from scipy.optimize import minimize

from ergokit import Placement, display_angle, hand_eye_rotation, manipulation_angle, tolerance
from ergokit.figures import holes_figure, holes_scene
from ergokit.guidance import judge, verdict
from ergokit.holes import SIZES, assignments
from ergokit.holes.contact import Capsule, between_segments, gap

#: Three holes in a row, 9 and 9 cm apart, and a target 15.6 cm below the row; the triangle leans as 3, 4, 5.
DEPTH = 15.6
TARGET = (0, 0.8 * DEPTH, 0)
ROW = [(x, 0, 0.6 * DEPTH) for x in (-9, 0, 9)]
REACH = 36 + 10  # from an instrument's tip to the hand
FREE = "no contact at these targets and sizes"
MANY = draws(600, 2000)  # random ways to share the holes


@pytest.fixture(scope="module")
def row():
    return assignments(ROW, TARGET)


def way(result, *holes):
    """The row of the table with these holes, counted from 1, for camera, left, right and assistant."""
    table = result.by_way()
    [i] = np.flatnonzero((result.ways + 1 == holes).all(axis=1))
    return table.iloc[i]


# The worked case, by hand


def test_the_camera_in_the_middle_leaves_the_outer_two_to_the_hands(row):
    found = way(row, 2, 1, 3)
    half = atan(9 / DEPTH)
    inside = sqrt(9**2 + DEPTH**2)
    assert found["manipulation angle (deg)"] == pytest.approx(degrees(2 * half))
    assert found["azimuth left (deg)"] == pytest.approx(degrees(half)) == found["azimuth right (deg)"]
    assert found["inside : outside left"] == pytest.approx(inside / (36 - inside)) == found["inside : outside right"]
    assert found["gap between hands (cm)"] + 10 == pytest.approx(2 * REACH * sin(half))
    assert [round(value, 1) for value in (degrees(2 * half), degrees(half), 2 * REACH * sin(half))] == [60.0, 30.0, 46.0]
    assert round(found["inside : outside left"], 2) == 1.00 and not found["crossed"]
    assert found["camera's side (deg)"] == pytest.approx(0)


@pytest.mark.parametrize("holes, outer, inner", [((1, 2, 3), "right", "left"), ((3, 1, 2), "left", "right")])
def test_the_camera_at_an_end_leaves_neighbours(row, holes, outer, inner):
    found = way(row, *holes)
    theta = atan(9 / DEPTH)
    inside = sqrt(9**2 + DEPTH**2)
    assert found["manipulation angle (deg)"] == pytest.approx(degrees(theta))
    assert found[f"azimuth {inner} (deg)"] == pytest.approx(-degrees(theta))
    assert found[f"azimuth {outer} (deg)"] == pytest.approx(2 * degrees(theta))
    assert found[f"inside : outside {inner}"] == pytest.approx(DEPTH / (36 - DEPTH))
    assert found[f"inside : outside {outer}"] == pytest.approx(inside / (36 - inside))
    assert found["gap between hands (cm)"] + 10 == pytest.approx(2 * REACH * sin(theta / 2))
    assert round(2 * REACH * sin(theta / 2), 1) == 23.8
    assert [f"{found[f'inside : outside {side}']:.2f}" for side in (inner, outer)] == ["0.76", "1.00"]


def test_the_camera_head_is_as_far_from_the_nearer_hand_in_each(row):
    """Its middle is 10 + 33 + 6 = 49 cm from the target, at 30 degrees to a hand 46 cm off: the law of cosines."""
    apart = sqrt(49**2 + REACH**2 - 2 * 49 * REACH * cos(atan(9 / DEPTH)))
    assert round(apart, 1) == 24.7
    assert row.by_way()["head to nearer hand (cm)"].to_numpy() == pytest.approx(apart)
    assert row.contact == [FREE] * 6


def test_the_crossed_twins_change_sides_and_nothing_else(row):
    assert row.crossed.tolist() == [False] * 3 + [True] * 3
    sides = [name for name in row.by_way() if "left (" in name or name.endswith("ratio left")]
    for camera, left, right in ((1, 2, 3), (2, 1, 3), (3, 1, 2)):
        straight, crossed = way(row, camera, left, right), way(row, camera, right, left)
        assert not straight["crossed"] and crossed["crossed"] and "left hand across right hand" in crossed["reaches across"]
        assert straight["manipulation angle (deg)"] == crossed["manipulation angle (deg)"]
        assert straight["least gap (cm)"] == crossed["least gap (cm)"]
        for name in sides:
            assert straight[name] == pytest.approx(crossed[name.replace("left", "right")])


def test_holes_in_a_row_are_in_one_plane_with_the_target_and_another_hole_is_not(row):
    [said] = [remark for remark in row.remarks if "row" in remark]
    for i in range(len(row)):
        p = row.placement(i)
        seen = display_angle(p.left_port, p.right_port, TARGET, p.camera)
        assert min(abs(seen), abs(seen - 180)) == pytest.approx(0, abs=1e-5)
    x, y, z, angle = map(float, re.search(r"plane, at (.*), (.*), (.*), the shafts .* at ([\d.]+) degrees", said).groups())
    normal = np.array([0, 0.6, 0.8])
    assert (np.array([x, y, z]) - ROW[1]) @ normal == pytest.approx(4, abs=0.1)
    tilt = atan(4 / DEPTH)  # of the line of sight to the plane: tan(D/2) = tan(theta/2) / sin(tilt)
    assert angle == pytest.approx(degrees(2 * atan(9 / DEPTH / sin(tilt))), abs=0.05)
    for result in (assignments([*ROW[:2], (9, 1, 12)], TARGET), assignments(ROW, TARGET, direction_of_view=30)):
        assert not any("row" in remark for remark in result.remarks)
    four = assignments([(3, 5, 13), *ROW[::-1]], TARGET)
    seen = display_angle(ROW[0], ROW[2], TARGET, (3, 5, 13))
    assert four.remarks[0].startswith("Holes B, C and D are in one row")
    assert four.remarks[0].endswith(f"From hole A, the shafts through B and D would appear at {seen:.1f} degrees.")


# Contact


def by_golden_section(start, end, other_start, other_end):
    """The least distance between segments (n, 3), by golden section: that of one point of the first is convex along it."""

    def off(share):
        point, along = start + share[:, None] * (end - start), other_end - other_start
        length = np.maximum((along**2).sum(axis=1), 1e-300)
        foot = np.clip(((point - other_start) * along).sum(axis=1) / length, 0, 1)
        return np.sqrt(((point - other_start - foot[:, None] * along) ** 2).sum(axis=1))

    low, high, golden = np.zeros(len(start)), np.ones(len(start)), (sqrt(5) - 1) / 2
    for _ in range(45):
        left, right = high - golden * (high - low), low + golden * (high - low)
        nearer = off(left) < off(right)
        low, high = np.where(nearer, low, left), np.where(nearer, right, high)
    return off((low + high) / 2)


def segments(rng, n):
    """Segments of all kinds: at random, parallel, crossing, of no length, end to end."""
    start, end, other = rng.uniform(-20, 20, (3, n, 3))
    other_end = np.where(
        rng.random((n, 1)) < 0.3, other + (end - start) * rng.uniform(-2, 2, (n, 1)), rng.uniform(-20, 20, (n, 3))
    )
    end = np.where(rng.random((n, 1)) < 0.1, start, end)
    other_end = np.where(rng.random((n, 1)) < 0.1, other, other_end)
    other = np.where(rng.random((n, 1)) < 0.1, end, other)
    return start, end, other, other_end


def test_distances_are_those_of_a_golden_section():
    drawn = segments(np.random.default_rng(1), 20_000)
    assert between_segments(*drawn) == pytest.approx(by_golden_section(*drawn), abs=1e-6)


def test_distances_are_those_of_scipy():
    for start, end, other, other_end in zip(*segments(np.random.default_rng(2), 60), strict=True):

        def square(at, a=start, b=end, c=other, d=other_end):
            return ((a + at[0] * (b - a) - c - at[1] * (d - c)) ** 2).sum()

        least = minimize(square, [0.5, 0.5], bounds=[(0, 1)] * 2, tol=1e-14, method="L-BFGS-B").fun  # it is convex
        assert between_segments(start, end, other, other_end) == pytest.approx(sqrt(least), abs=1e-4)


def test_nearly_parallel_segments():
    start, end = np.zeros((9, 3)), np.tile([10.0, 0, 0], (9, 1))
    other = start + np.array([0, 3, 0])
    other_end = end + np.stack([0 * np.arange(9.0), 3 + 10.0 ** -np.arange(2, 20, 2), 0 * np.arange(9.0)], axis=1)
    assert between_segments(start, end, other, other_end) == pytest.approx(3)


def test_the_capsule_holds_the_cylinder():
    """Every point of a cylinder's surface is in the capsule that stands for it."""
    turn, along = np.meshgrid(np.linspace(0, 2 * np.pi, 40), np.linspace(0, 12, 40))
    for share in (1, 0.5):
        points = np.stack([2.5 * share * np.cos(turn), 2.5 * share * np.sin(turn), along], axis=-1)
        capsule = Capsule(np.zeros(3), np.array([0, 0, 12.0]), 2.5)
        assert (gap(capsule, Capsule(points, points, 0.0)) < 1e-12).all()


def own_bodies(role, hole, target, sizes, distance):
    """The bodies of one role from plain vectors, shafts of instruments whole: name -> (start, end, radius)."""
    out = (hole - target) / np.linalg.norm(hole - target)
    trocar = (hole, hole + sizes["trocar head length"] * out, sizes["trocar head"] / 2)
    if role != "camera":
        hand = target + REACH * out
        return {"shaft": (target, hand, sizes["shaft"] / 2), "hand": (hand, hand, sizes["fist"] / 2), "trocar": trocar}
    tip = target + distance * out
    back = tip + sizes["scope length"] * out
    level = np.hypot(*out[:2])
    up = np.array([*(-out[:2] * out[2] / level), level])
    return {
        "scope": (tip, back, sizes["scope"] / 2),
        "head": (back, back + sizes["head length"] * out, sizes["head"] / 2),
        "cable": (back, back + (sizes["light post"] + sizes["cable bend"]) * up, sizes["cable"] / 2),
        "trocar": trocar,
    }


def test_of_many_random_assignments_none_said_free_touches():
    rng, names, drawn, kit, free, least = np.random.default_rng(17), ("camera", "left", "right", "assistant"), [], [], [], []
    while len(free) < MANY:
        holes = np.column_stack([rng.uniform(-12, 12, 4), rng.uniform(-8, 8, 4), rng.uniform(10, 16, 4)])
        target = np.array([rng.uniform(-6, 6), rng.uniform(4, 12), rng.uniform(0, 3)])
        chosen = {
            "shaft": rng.choice([0.3, 0.5, 1.0]),
            "scope": rng.choice([0.3, 0.5, 1.0]),
            "scope length": rng.uniform(29, 33),
        }
        distance = rng.uniform(5, 8)
        result = assignments(holes, target, distance=distance, sizes=chosen)
        sizes = {name: size.cm for name, size in SIZES.items()} | chosen
        said = np.array(list(result.gaps.values()))
        for i, taken in enumerate(result.ways):
            first = len(drawn)
            bodies = [own_bodies(role, holes[hole], target, sizes, distance) for role, hole in zip(names, taken, strict=False)]
            for a in range(len(bodies)):
                for b in range(a + 1, len(bodies)):
                    for one, (start, end, radius) in bodies[a].items():
                        for other, (other_start, other_end, other_radius) in bodies[b].items():
                            if a and one == "shaft":
                                start = target + 3 * (end - target) / REACH
                            if a and other == "shaft":
                                other_start = target + 3 * (other_end - target) / REACH
                            drawn.append((start, end, other_start, other_end, radius + other_radius))
            free.append(result.contact[i] == FREE)
            least.append((first, len(drawn)))
            kit.extend(said[:, i])
    starts, ends, others, other_ends = (np.array([each[k] for each in drawn]) for k in range(4))
    gaps = by_golden_section(starts, ends, others, other_ends) - [each[4] for each in drawn]
    assert gaps == pytest.approx(np.array(kit), abs=1e-6), "of every two bodies"
    own = np.array([gaps[a:b].min() for a, b in least])
    assert 0.1 < np.mean(free) < 0.9
    assert (own[np.array(free)] > 0).all() and (own[~np.array(free)] < 1e-6).all()


def test_what_touches_is_named_with_how_deep():
    # A hole 4 cm off the middle one: the camera head comes to lie beside a hand.
    result = assignments([*ROW, (0, 4, 13)], TARGET, assistant=None)
    touching = {tuple(result.ways[i] + 1): said for i, said in enumerate(result.contact) if said != FREE}
    assert touching
    for holes, said in touching.items():
        pairs = re.findall(r"([\w' ]+) and ([\w' ]+) by ([\d.]+) cm", said.removeprefix("contact:"))
        one, other, deep = pairs[0]
        i = np.flatnonzero((result.ways + 1 == holes).all(axis=1))[0]
        assert float(deep) == pytest.approx(-result.by_way()["least gap (cm)"][i], abs=0.05)
        assert result.gaps[one.strip(), other][i] == result.by_way()["least gap (cm)"][i]


def test_the_last_centimetres_are_left_out_between_instruments_and_not_for_the_scope():
    narrow = assignments(
        [(-1.5, 0, 12), (1.5, 0, 12), (0, -9, 12)], (0, 9, 0), sizes={"shaft": 0.3, "trocar head": 0, "fist": 0}
    )
    [i] = np.flatnonzero((narrow.ways == (2, 0, 1)).all(axis=1))
    theta = radians(manipulation_angle((-1.5, 0, 12), (1.5, 0, 12), (0, 9, 0)))
    assert narrow.gaps["left shaft", "right shaft"][i] == pytest.approx(2 * 3 * sin(theta / 2) - 0.3)
    whole = assignments(narrow.holes, (0, 9, 0), sizes={"shaft": 0.3, "left out": 0})
    assert whole.gaps["left shaft", "right shaft"][i] == pytest.approx(-0.3)
    near = assignments(ROW, TARGET, distance=0.4)  # the tip is nearer to the target than the shafts are thick
    assert near.gaps["scope", "left shaft"][1] == pytest.approx(0.4 * sin(atan(9 / DEPTH)) - 0.75)


def test_gaps_are_the_least_over_all_targets():
    targets = [(0, 12, 0), (5, 10, 2), (-4, 13, 1)]
    together = assignments(ROW, targets)
    apart = [assignments(ROW, target) for target in targets]
    for names, gaps in together.gaps.items():
        assert gaps == pytest.approx(np.min([each.gaps[names] for each in apart], axis=0))
    for i in range(len(together)):
        angles = [each.by_way()["manipulation angle (deg)"][i] for each in apart]
        worst = int(np.argmax(np.abs(np.array(angles) - 60)))
        assert together.by_way()["target"][i] == worst + 1
        assert together.by_way()["manipulation angle (deg)"][i] == pytest.approx(angles[worst])
        assert together.placement(i) == apart[worst].placement(i) == together.placement(i, worst)


# The camera


def test_a_phone_has_no_head_and_looks_from_its_hole():
    result = assignments(ROW, TARGET, camera="phone")
    assert "head to nearer hand (cm)" not in result.by_way() and not any(
        "camera" in one for pair in result.gaps for one in pair
    )
    assert result.placement(1) == Placement(ROW[0], ROW[2], TARGET, ROW[1])
    assert any("phone" in remark for remark in result.remarks) and "camera hand" not in "".join(
        result.by_way()["reaches across"]
    )


@pytest.mark.parametrize("view", [0, 30, 45])
def test_the_scope_is_at_its_distance_with_the_target_in_the_middle_of_its_picture(view):
    result = assignments([*ROW, (3, -4, 14)], TARGET, direction_of_view=view)
    for i, (camera, *_) in enumerate(result.ways):
        tip, eyepiece, _ = result.bodies(i)["camera", "scope"]
        shaft = (tip - eyepiece) / np.linalg.norm(tip - eyepiece)
        sight = np.subtract(TARGET, tip)
        assert np.linalg.norm(sight) == pytest.approx(10) and shaft @ sight / 10 == pytest.approx(cos(radians(view)))
        back = result.holes[camera] - tip
        assert back / np.linalg.norm(back) == pytest.approx(-shaft), "the shaft runs through its hole"
        post = result.bodies(i)["camera", "light cable"].end - eyepiece
        assert post @ shaft == pytest.approx(0, abs=1e-9) and post[2] > 0
        assert post @ (sight / 10 - cos(radians(view)) * shaft) == pytest.approx(-14 * sin(radians(view)), abs=1e-9)
        own = result.placement(i).scope  # of another room, built apart
        assert own.tip == pytest.approx(tip) and 14 * own.light_post == pytest.approx(post)


def test_30_degrees_by_hand():
    """D = 15.6, d = 10, v = 30: the tip 6.12 cm inside its hole, and the shaft 18.69 degrees off the line of sight."""
    result = assignments(ROW, TARGET, direction_of_view=30)
    tip, eyepiece, _ = result.bodies(1)["camera", "scope"]
    inside, shaft = np.linalg.norm(tip - ROW[1]), (tip - eyepiece) / 33
    assert round(float(inside), 2) == 6.12
    assert round(degrees(np.arccos(shaft @ np.subtract(TARGET, ROW[1]) / DEPTH)), 2) == 18.69


def test_the_light_post_of_an_upright_scope_points_away_from_you():
    result = assignments([(-9, 0, 16), (0, 0, 16), (9, 0, 16)], (0, 0, 0))
    eyepiece, cable, _ = result.bodies(1)["camera", "light cable"]
    assert cable - eyepiece == pytest.approx([0, 14, 0]) and eyepiece == pytest.approx([0, 0, 43])


def test_the_camera_s_side_is_each_person_s_own():
    holes = [*ROW, (0, 22, 10)]  # the last one lets a camera look back at you
    result = assignments(holes, TARGET)
    towards, against = way(result, 2, 1, 3, 4), way(result, 4, 1, 3, 2)
    side = "camera's side (deg)"
    assert (towards[side], towards["camera's side, assistant (deg)"]) == pytest.approx((0, 180))
    assert (against[side], against["camera's side, assistant (deg)"]) == pytest.approx((180, 0))
    assert way(assignments([*ROW, (30, TARGET[1], 10)], TARGET), 4, 1, 3, 2)[side] == pytest.approx(90), "from your right"
    beside = assignments(holes, TARGET, assistant="left").by_way()
    assert beside[side].tolist() == beside["camera's side, assistant (deg)"].tolist()
    p = result.placement(np.flatnonzero((result.ways + 1 == (1, 2, 3, 4)).all(axis=1))[0])
    assert way(result, 1, 2, 3, 4)[side] == pytest.approx(hand_eye_rotation(p.camera, p.target)), "a level horizon"
    above = assignments([(-9, 0, 12), (0, 0, 12), (9, 0, 12)], (0, 0, 0))
    assert np.isnan(way(above, 2, 1, 3)[side])


def test_who_reaches_across_whom():
    """From your left to your right the holes are in the order of their numbers."""
    left, right, opposite = (assignments(ROW, TARGET, camera_from=stands) for stands in ("left", "right", "opposite"))
    assert way(left, 1, 2, 3)["reaches across"] == ""
    assert way(left, 2, 1, 3)["reaches across"] == "camera hand across left hand"
    assert way(left, 3, 1, 2)["reaches across"] == "camera hand across left hand; camera hand across right hand"
    assert way(right, 2, 1, 3)["reaches across"] == "camera hand across right hand"
    assert set(opposite.by_way()["reaches across"][:3]) == {""}
    four = assignments([*ROW, (18, 0, 0.6 * DEPTH)], TARGET, assistant="left")
    assert "assistant's hand across right hand" in way(four, 1, 2, 3, 4)["reaches across"]


# Who works


def test_left_handed_with_the_holes_mirrored_or_the_tasks_swapped():
    holes, target = [(-9, 0, 10), (1, 2, 12), (7, -1, 9)], (2, 11, 1)
    mirrored = assignments(holes, target, left_handed="holes mirrored")
    assert mirrored.holes == pytest.approx(np.array([(9, 0, 10), (-1, 2, 12), (-7, -1, 9)])) and mirrored.target[0] == 2
    other = assignments(np.multiply(holes, [-1, 1, 1]), target)
    assert mirrored.by_way().equals(other.by_way())
    swapped = assignments(holes, target, left_handed="tasks swapped")
    assert swapped.by_way().equals(assignments(holes, target).by_way())
    for result, word in ((mirrored, "holes mirrored"), (swapped, "tasks swapped")):
        assert any(word in remark and "screen and team" in remark for remark in result.remarks)


def test_a_camera_at_the_side_is_shown_with_its_price_and_never_called_wrong(row):
    [said] = [remark for remark in row.remarks if "at the side" in remark]
    assert "between the hands, the instruments meet at 60.0 degrees, with inside : outside ratios of 1.00." in said
    assert "at the side, the instruments meet at 30.0 degrees, with inside : outside ratios of 0.76 to 1.00." in said
    for reason in ("work is to one side", "assistant needs the middle", "camera hand is in the way (from memory)"):
        assert reason in said


def test_words_that_are_not_said():
    for result in (assignments([*ROW, (0, 4, 13)], [TARGET, (3, 11, 1)]), assignments(ROW, TARGET, camera="phone")):
        said = f"{result!r} {result.by_way()!r} {' '.join(result.remarks)}"
        assert not re.search(r"\b(best|recommended|wrong|optimal|ideal|safe|patient|abdomen)\b", said, re.I)
        assert "in this box" in said and "at these targets and sizes" in said and "Forearms" in said
        assert result.by_way().to_string() and "A verdict describes geometry; it is not permission." in said


def test_advice_is_that_of_the_verdicts(row):
    for i, said in enumerate(row.by_way()["advice"]):
        found = row.by_way().iloc[i]
        theta = found["manipulation angle (deg)"]
        judged = verdict("manipulation angle", theta)
        assert said.startswith(f"manipulation angle {judged.place} ({judged.whence}); azimuth ")
        ratios = [verdict("inside : outside", found[f"inside : outside {side}"]) for side in ("left", "right")]
        assert f"inside : outside {' and '.join(dict.fromkeys(f'{each.place} ({each.whence})' for each in ratios))};" in said
        side = verdict("camera's side", found["camera's side (deg)"], {"camera roll": 0})
        assert said.endswith(f"camera's side {side.place} ({side.whence})")
    assert judge(row.placement(1))["against published advice"].str.contains("in the advised range").any()


def test_a_placement_of_each_goes_into_the_other_rooms(row):
    for i in range(len(row)):
        p = row.placement(i)
        assert manipulation_angle(p.left_port, p.right_port, TARGET) == row.by_way()["manipulation angle (deg)"][i]
        assert np.linalg.norm(p.camera - p.target) == pytest.approx(10)
    assert tolerance.error_effects(row.placement(0), draws=1000)


def test_sizes_are_stated_in_one_table_from_memory(row):
    assert set(row.sizes()["basis"]) == {"from memory"} and len(row.sizes()) == len(SIZES)
    changed = assignments(ROW, TARGET, sizes={"fist": 8})
    assert changed.sizes().set_index("size")["value"]["fist"] == 8
    wider = changed.by_way()["gap between hands (cm)"] - row.by_way()["gap between hands (cm)"]
    assert wider.to_numpy() == pytest.approx(2)


def test_what_cannot_be_is_left_out_and_said():
    result = assignments([*ROW, (0, 5, 3)], TARGET)  # the last is 8.1 cm from the target, its tip should be 10
    assert not (result.ways[:, 0] == 3).any() and (result.ways[:, 1:] == 3).any()
    assert any(remark.startswith("Left out: hole D is 8.1 cm") for remark in result.remarks)
    far = assignments([*ROW, (0, -30, 9)], TARGET, assistant=None)
    assert not (far.ways == 3).any() and sum(remark.startswith("Left out: hole D") for remark in far.remarks) == 2


@pytest.mark.parametrize(
    "changed, said",
    [
        ({"holes": ROW[:2]}, r"give 3 to 8 points.*\(holes\)"),
        ({"holes": [ROW[0], ROW[0], ROW[1]]}, "Holes A and B are in one place"),
        ({"camera": "eye"}, r"give one of scope, phone.*\(camera\)"),
        ({"sizes": {"thumb": 2}}, r"\(sizes\)"),
        ({"sizes": {"fist": -1}}, r"give a length.*\(sizes\)"),
        ({"direction_of_view": 90}, r"give an angle of 0 to less than 90.*\(direction_of_view\)"),
        ({"assistant": "above"}, r"give one of left, right, opposite.*\(assistant\)"),
        ({"left_handed": True}, r"give one of holes mirrored, tasks swapped.*\(left_handed\)"),
        ({"distance": 20}, "These holes cannot be shared out: hole A is 18.0 cm from a target, too near"),
    ],
)
def test_bad_arguments_are_named(changed, said):
    with pytest.raises(ValueError, match=said):
        assignments(**({"holes": ROW, "target": TARGET} | changed))


# The pictures


def wire(item):
    return np.array([point for point in item["at"] if point is not None])


@pytest.mark.parametrize("i", range(6))
def test_bodies_are_drawn_where_they_are_in_space_and_from_above(row, i):
    items = holes_scene(row, i)
    traces = {trace.name: np.column_stack([trace.x, trace.y]) for trace in holes_figure(row, i).data}
    for (role, name), body in row.bodies(i).items():
        if f"{role}, {name}" in items and name not in ("scope", "shaft"):
            shown = wire(items[f"{role}, {name}"])
            own = Capsule(body.start, body.end, 0.0)
            assert np.abs(gap(own, Capsule(shown, shown, body.radius))).max() < 1e-3, "on the surface"
        edge = np.column_stack([traces[f"{role}, {name}"], np.zeros(27)])
        flat = Capsule(body.start * [1, 1, 0], body.end * [1, 1, 0], 0.0)
        assert np.abs(gap(flat, Capsule(edge, edge, body.radius))).max() < 1e-9, "at the radius from the axis, seen from above"
    assert traces["target"] == pytest.approx(np.array([TARGET[:2]]))
    assert traces["holes"] == pytest.approx(np.array(ROW)[:, :2])


def test_the_picture_says_what_touches_and_hides_numbers():
    result = assignments([*ROW, (0, 4, 13)], TARGET, assistant=None)
    i = next(i for i, said in enumerate(result.contact) if said != FREE)
    for numbers in (True, False):
        said = [note.text for note in holes_figure(result, i, numbers=numbers).layout.annotations]
        assert (result.contact[i].replace("; ", "<br>") in said) == numbers
        assert numbers or not any(re.search(r"\d", text) for text in said)
    assert not any("camera head" in name for name in holes_scene(assignments(ROW, TARGET, camera="phone"), 0))
    third = holes_scene(assignments([*ROW, (0, 4, 13)], TARGET), 0)
    assert third["assistant, shaft"]["at"][0] == pytest.approx(TARGET) and "assistant's hand, words" in third


def test_crossed_hands_are_greyed_in_the_table():
    row = assignments([(-9, 0, 12), (0, 0, 12), (9, 0, 12)], (0, 10, 0))
    ways = row.by_way()._repr_html_().split("<tr")[2:]
    assert ["opacity" in way.partition(">")[0] for way in ways] == row.by_way()["crossed"].tolist()
    assert sum(row.by_way()["crossed"]) == 3 and "style=opacity" not in row.by_way().drop(columns="crossed")._repr_html_()

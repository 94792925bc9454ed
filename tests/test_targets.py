"""Many targets in a figure and an explorer: what is drawn is what is found, and the search reacts while it goes on."""

import asyncio
import html
import re
from dataclasses import replace

import numpy as np
import pytest
from walks import says

from ergokit import datasets, manipulation_angle
from ergokit.explorers import exercise, targets_explorer
from ergokit.explorers.targets import Course, _bar
from ergokit.figures.targets import _PARTS, front_figure, targets_figure, turn_figure
from ergokit.guidance.cautions import OF_A_DOME
from ergokit.search import best_ports, port_map
from ergokit.search.task import Task
from ergokit.surfaces import Dome, FlatBox, WedgeBox

BOX = WedgeBox(44, 36, 27)
COURSE = {row["target"]: (row["x"], row["y"], row["z"]) for row in datasets.records("demo_targets")}
WINDOW = tuple(BOX.point(0, 20))
TWO = {"near": (0, -6, 0), "far": (2, 8, 0)}
FAR = (-15, 20, 0)
SLOW = {"camera": WINDOW, "rules": {"azimuth difference": (None, 5)}}  # many slices


@pytest.fixture
def endless(monkeypatch):
    """Searches that nothing but a stop ends: none comes so near to the best."""
    monkeypatch.setitem(Task.__init__.__kwdefaults__, "tolerance", 1e-9)


def text(widget):
    return html.unescape(re.sub("<[^>]*>", " ", widget.value)).strip()


def drawn(figure, name):
    [trace] = [trace for trace in figure.data if trace.name == name]
    return np.column_stack([trace.x, trace.y]).astype(float).reshape(-1, 2)


def shown(explorer, name):
    trace = explorer.picture.part(name)
    return np.column_stack([trace["x"], trace["y"]]).astype(float).reshape(-1, 2)


def words(figure, name):
    return list(next(trace for trace in figure.data if trace.name == name).text or ())


# The figures


@pytest.mark.parametrize("surface", [BOX, FlatBox(44, 40, 20), Dome(17, 21, 6)], ids=repr)
def test_each_target_is_marked_by_its_angle_in_space(surface):
    ports = surface.point([-9, 9], surface.uv((0, -6, 0))[1])
    points = np.array(list(COURSE.values()))
    figure = targets_figure(surface, points, list(COURSE), ports, surface.point(0, 3))
    angles = manipulation_angle(*ports, points)
    inside = (angles >= 45) & (angles <= 75)
    assert 0 < inside.sum() < len(points)
    for name, which, mark in (("in range", inside, "✓"), ("out of range", ~inside, "✗")):
        assert drawn(figure, name) == pytest.approx(points[which, :2])
        told = [
            f"{mark} {each}: {angle:.1f}°" for each, angle in zip(np.array(list(COURSE))[which], angles[which], strict=True)
        ]
        assert words(figure, name) == told
    assert drawn(figure, "left shaft") == pytest.approx(np.array([ports[0], points[0]])[:, :2])
    assert drawn(figure, "surface") == pytest.approx(surface.outline()[:, :2])


def test_names_may_be_a_column_of_a_table():
    table = datasets.load("demo_targets")
    figure = targets_figure(BOX, table[["x", "y", "z"]].to_numpy(), table.target)
    assert list(table.target) == words(figure, "without ports")


def test_without_ports_no_target_is_judged_and_without_numbers_none_is_told():
    figure = targets_figure(BOX, [(0, 0, 0), (3, 4, 0)])
    assert len(drawn(figure, "without ports")) == 2 and not len(drawn(figure, "in range"))
    figure = targets_figure(BOX, [(0, 0, 0)], ["1st"], BOX.point([-10, 10], 20), numbers=False)
    assert words(figure, "in range") == ["✓ 1st"]
    crowd = targets_figure(BOX, [(0, 0, 0.1 * i) for i in range(20)], ports=BOX.point([-10, 10], 20))
    assert words(crowd, "in range")[0] == "✓ 1", "words beside twenty targets would cover each other"


def test_words_go_above_a_target_with_a_port_below():
    place = {}
    for way in (1, -1):
        ports = np.array([(0, -5 - way, 13), (15, -5, 13)])
        figure = targets_figure(FlatBox(44, 44, 13), [(0, -5, 0)], ports=ports)
        place[way] = next(trace.textposition[0] for trace in figure.data if trace.name == "in range")
    assert place == {1: "top center", -1: "bottom center"}


def test_the_front_shows_what_is_found_above_what_is_proved():
    from ergokit.search import front

    table = front(FlatBox(40, 30, 18), list(TWO.values()), "azimuth difference", [40, 20, 10], camera=(0, -5, 18))
    figure = front_figure(table)
    bars, squares = figure.data[:2]
    assert bars.y == pytest.approx(table["lower bound (deg)"]) and squares.y == pytest.approx(table["worst deviation (deg)"])
    assert squares.text[0] == f"{table['worst deviation (deg)'][0]:.1f}°"
    assert figure.layout.yaxis.range[1] > max(squares.y)


@pytest.mark.parametrize(("length", "moved"), [(24, 1), (24, 3), (10, 8)])
def test_the_turned_shafts_touch_where_the_port_can_be(length, moved):
    figure = turn_figure(length, moved)
    turned = [np.array([trace.x[1], trace.y[1]]) for trace in figure.data if trace.name == "turned"]
    for end in turned:
        assert np.hypot(*(end - (length, 0))) == pytest.approx(moved)
        assert end @ (end - (length, 0)) == pytest.approx(0, abs=1e-9), "a tangent is square to the radius"
    angle = float(re.search(r"[\d.]+", figure.layout.annotations[0].text)[0])
    assert angle == pytest.approx(np.degrees(np.arctan2(*abs(turned[0][::-1]))), abs=0.05)


@pytest.mark.parametrize("moved", [0, -1, 24, float("nan")])
def test_a_port_that_could_reach_its_target_has_no_turn(moved):
    with pytest.raises(ValueError, match=r"give (more than 0 and less than|a length of more than 0).*\(moved\)"):
        turn_figure(24, moved)


# The explorer


def test_it_opens_with_the_best_pair_and_says_what_is_proved():
    explorer = targets_explorer()
    best = best_ports(BOX, list(COURSE.values()))
    assert explorer.best.sentence == best.sentence == text(explorer.sentence)
    assert shown(explorer, "left port")[0] == pytest.approx(best.left_port[:2], abs=1e-4)
    assert not explorer.others.value, "their values lie over those of the targets"
    explorer.others.value = True
    others = np.array([pair.right_port[:2] for pair in best.runners_up])
    assert shown(explorer, "right port, others") == pytest.approx(others, abs=1e-4)
    rows = re.findall(r"[✓✗] (\w+)\s+([\d.]+)", text(explorer.table))
    assert rows == [(n, f"{a:.1f}") for n, a in zip(COURSE, best.by_target()["manipulation angle (deg)"], strict=True)]
    assert explorer.halt.disabled
    explorer.follows()


def test_exercise_passes_and_ends_where_it_began():
    explorer = targets_explorer(targets=TWO)
    before = text(explorer.table), text(explorer.description), text(explorer.bar)
    assert exercise(explorer).startswith("5 controls moved")
    assert (text(explorer.table), text(explorer.description), text(explorer.bar)) == before


def test_a_move_keeps_the_ports_and_judges_the_targets_anew_until_others_are_found():
    explorer = targets_explorer(targets=TWO)
    before = explorer.best
    explorer.controls["target sideways"].value, explorer.controls["target away"].value = FAR[:2]
    assert explorer.best is None and explorer.state.targets["near"] == FAR
    assert shown(explorer, "left port")[0] == pytest.approx(before.left_port[:2], abs=1e-4)
    explorer.follows()
    assert manipulation_angle(before.left_port, before.right_port, FAR) < 45 and len(shown(explorer, "out of range"))
    found = explorer.finish()
    explorer.follows()
    assert np.linalg.norm(found.left_port - before.left_port) > 1
    assert found.sentence == best_ports(BOX, [FAR, (2, 8, 0)]).sentence
    assert before.placement.targets[0, 1] == -6, "what was found before is still about what was asked then"


def test_ticked_rules_are_those_of_the_search_and_an_end_at_the_end_of_its_track_is_none():
    explorer = targets_explorer(targets=COURSE, camera=WINDOW)
    explorer.ticks["port spacing"].value = True
    assert explorer.state.rules == {"port spacing": (None, 16)} and text(explorer.ranges["port spacing"]) == "at most 16 cm"
    assert explorer.finish().sentence.startswith("No pair of ports on this surface that meets the rules brings all 8")
    assert explorer.best.lower_bound > 15 and "At their limit: port spacing at most 16 cm" in text(explorer.foot)
    explorer.controls["port spacing"].value = (10, 40)
    assert explorer.state.rules == {"port spacing": (10, None)}
    explorer.controls["port spacing"].value = (4, 40)
    assert explorer.state.rules == {}


def test_rules_of_the_camera_wait_for_a_camera():
    explorer = targets_explorer(targets=[(0, 0, 0)], camera=WINDOW)
    explorer.ticks["port to camera"].value = True
    assert explorer.state.rules == {"port to camera": (5, 12)}
    explorer.where.value = "none"
    assert explorer.ticks["port to camera"].disabled and explorer.state.rules == {} and explorer.finish().camera is None
    explorer.where.value = "where it is best"
    found = explorer.finish()
    assert shown(explorer, "camera")[0] == pytest.approx(found.camera[:2], abs=1e-4) and explorer.shaded.disabled
    explorer.reset()
    assert explorer.state.camera == pytest.approx(WINDOW) and explorer.state.rules == {}


def test_rules_that_leave_nothing_are_named_and_no_target_is_judged():
    explorer = targets_explorer(targets=TWO, camera=WINDOW, rules={"port to camera": (29.5, 30), "port spacing": (None, 5)})
    assert not explorer.finish().found and "No position of the ports" in text(explorer.sentence)
    assert len(shown(explorer, "without ports")) == 2 and not len(shown(explorer, "left port"))
    explorer.follows()


def test_the_map_is_that_of_the_library():
    explorer = targets_explorer(targets=TWO)
    explorer.shaded.value = True
    trace = explorer.picture.part("how good a port can be")
    found = port_map(BOX, list(TWO.values()), step=2)
    assert "5°" in text(explorer.shades) and "more" in text(explorer.shades), "the shades have names"
    assert trace["visible"] and np.array(trace["z"], dtype=float) == pytest.approx(found.best, abs=1e-4, nan_ok=True)
    assert BOX.point(found.u[3], found.v[5])[:2] == pytest.approx((trace["x"][3], trace["y"][5]))
    explorer.controls["target away"].value = 0
    assert not explorer.picture.part("how good a port can be")["visible"], "the map of another course"


def test_what_cannot_be_is_said_and_the_last_good_picture_stays():
    explorer = targets_explorer(targets=TWO)
    last = explorer.picture.number
    for listed, reason in (
        ("needle 1 2 3", "is not a target; type a line such as"),
        ("", "The list of targets is empty"),
        ("a: 1, 2, 0\na: 3, 4, 0", "each needs a name of its own"),
        ("high: 0, -20, 12", "outside the box, "),
    ):
        explorer.target_list.value = listed
        explorer.dispatch(Course.as_listed)
        assert explorer.target_list.value == listed, "there to be corrected"
        assert reason in text(explorer.status) and "⚠" in text(explorer.status)
        assert explorer.picture.number == last
        explorer.follows()
    explorer.dispatch(Course.found, explorer.state.question, explorer.best, draft=True)
    assert "⚠" in text(explorer.status), "a search that goes on is no move"
    explorer.target_list.value = "bead, 1: 1; 2,5".replace("2,5", "2.5; 0")
    explorer.dispatch(Course.as_listed)
    assert explorer.state.targets == {"bead, 1": (1, 2.5, 0)} and explorer.finish().worst_deviation < 0.1
    explorer.reset()
    assert explorer.state.targets == {name: tuple(map(float, point)) for name, point in TWO.items()}


@pytest.mark.parametrize(
    ("arguments", "reason"),
    [
        ({"targets": [(0, 0)]}, "targets"),
        ({"targets": {"hook": (0, 0)}}, "targets"),
        ({"camera": (0, 1)}, "camera"),
        ({"rules": {"port to camera": (5, 12)}}, "need a camera, and there is none; leave"),
        (
            {"rules": {"colour": (1, 2)}},
            r"'colour' cannot be used; give quantities out of port spacing, .* \(rules\)",
        ),
    ],
)
def test_bad_arguments_are_refused(arguments, reason):
    with pytest.raises(ValueError, match=reason):
        targets_explorer(**arguments)


def test_a_dome_carries_its_caution_and_a_box_does_not():
    dome = targets_explorer(Dome(17, 21, 6), targets=[(0, 0, 0)], numbers=False)
    assert OF_A_DOME in text(dome.foot)
    assert OF_A_DOME not in text(targets_explorer(targets=[(0, 0, 0)]).foot)


def test_points_without_names_are_numbered():
    assert list(targets_explorer(targets=[(0, 0, 0), (3, 3, 0)]).state.targets) == ["1", "2"]


def test_numbers_stay_hidden_until_asked():
    explorer = targets_explorer(numbers=False)
    explorer.controls["target away"].value = 0
    explorer.finish()
    said = [
        text(each)
        for each in (explorer.bar, explorer.sentence, explorer.table, explorer.foot, explorer.description, explorer.status)
    ]
    said += [str(explorer.picture.part(name).get("text")) for name in _PARTS]
    assert not re.search(r"\d", " ".join(said))
    explorer.numbers.value = True
    assert re.search(r"\d\.\d", text(explorer.bar)) and re.search(r"\d\.\d", text(explorer.description))


def test_a_bound_is_never_rounded_up():
    explorer = targets_explorer(targets=COURSE)
    proved = float(re.search(r"proved at least ([\d.]+)", _bar(explorer.best))[1])
    assert proved <= explorer.best.lower_bound < proved + 0.1
    assert f"better than {proved:.1f} (proved)" in explorer.best.sentence


@pytest.mark.parametrize("broken", ["picture", "ports", "table", "question"], ids=lambda each: f"a {each} that does not follow")
def test_follows_catches(broken):
    explorer = targets_explorer(targets=TWO)
    if broken == "picture":
        explorer.picture.part("in range")["x"][:] = [0, 1]
    elif broken == "ports":
        explorer.state = explorer.state.found(explorer.state.question, best_ports(BOX, [FAR, (2, 8, 0)]))
    elif broken == "table":
        explorer.table.value = "stale"
    else:
        explorer._asked = None
    with pytest.raises(AssertionError, match=r"shows|shown|asks"):
        explorer.follows()


def test_where_zero_is_and_what_the_bar_shows_are_said():
    explorer = targets_explorer(targets=[(0, 0, 0)])
    assert "y = 0 is halfway along the floor" in says(explorer)
    assert all(name in text(explorer.bar) for name in ("proved: no pair is here", "still open", "the best pair found"))


# Without widgets


def test_events_make_another_state_and_leave_the_old_one_alone():
    start = targets_explorer(targets=TWO, camera=WINDOW).start
    moved = start.move("target away", 3.0)
    assert moved.targets["near"] == (0, 3, 0) and start.targets["near"] == (0, -6, 0)
    assert moved.listed.splitlines()[0] == "near: 0, 3, 0" and moved.best is None and moved.searching
    assert moved.ports == pytest.approx(start.ports), "until others are found"
    halted = moved.halt()
    assert not halted.searching and "go on" in halted.notice and halted.halt().searching
    assert halted.move("target away", 4.0).searching, "whatever is moved is searched for"
    assert halted.move("target away", -6.0).best is start.best, "known from before"
    late = moved.found(start.question, start.best)
    assert late.best is None and late.last is moved.last, "found for what was asked before"
    ruled = start.tick("port to camera", True)
    assert ruled.rules == {"port to camera": (5, 12)} and replace(ruled, where="none").rules == {}
    other = replace(start, focus=1, listed="a: 1, 2, 0\nb: 3, 4, 0\nc: 1, 1, 1").as_listed()
    assert other.names == ("a", "b", "c") and other.focus == 0 and other.listed.startswith("a: 1, 2, 0")
    with pytest.raises(ValueError, match="each needs a name of its own"):
        replace(start, listed="a: 1, 2, 0\na: 3, 4, 0").as_listed()
    with pytest.raises(ValueError, match="outside the box, "):
        _ = start.placed({"high": (0.0, -20.0, 12.0)}).search


# While a kernel runs


async def until(condition, seconds=240):
    for _ in range(int(seconds / 0.02)):
        if condition():
            return
        await asyncio.sleep(0.02)
    raise AssertionError("it did not come about")


def test_a_search_goes_on_by_itself_and_ends_as_finish_does():
    async def read():
        explorer = targets_explorer()
        explorer.controls["target away"].value = 1
        assert explorer.best is None
        await until(lambda: explorer.best is not None and explorer.best.finished)
        explorer.follows()
        return explorer

    explorer = asyncio.run(read())
    points = np.array(list(COURSE.values()), dtype=float)
    points[0, 1] = 1
    assert explorer.best.sentence == best_ports(BOX, points).sentence
    assert text(explorer.status) == "" and explorer.halt.disabled


def test_stop_holds_the_search_and_go_on_takes_it_up(endless):
    async def read():
        explorer = targets_explorer(**SLOW)
        assert not explorer.best.finished and explorer.halt.description == "stop"
        explorer.halt.click()
        held = explorer.best
        assert explorer.halt.description == "go on" and "go on" in text(explorer.status)
        await asyncio.sleep(0.4)
        assert explorer.best is held, "it went on after stop"
        explorer.follows()
        explorer.halt.click()
        await until(lambda: explorer.best is not held)
        explorer.follows()
        assert explorer.best.lower_bound >= held.lower_bound and explorer.best.seconds > held.seconds
        explorer.stop()

    asyncio.run(read())


def test_a_move_cancels_the_search_for_the_place_before():
    async def read():
        explorer = targets_explorer(**SLOW)
        explorer.ticks["azimuth difference"].value = False
        explorer.controls["target away"].value = -2
        explorer.controls["target away"].value = -1
        assert sum(not task.done() and not task.cancelling() for task in asyncio.all_tasks()) == 2  # this and the last search
        await until(lambda: explorer.best is not None and explorer.best.finished)
        assert explorer.best.by_target()["y (cm)"][0] == -1 and explorer.state.rules == {}
        explorer.follows()

    asyncio.run(read())


def test_only_one_explorer_searches_at_a_time(endless):
    async def read():
        first, second = targets_explorer(**SLOW), targets_explorer(**SLOW)
        held = first.best
        await until(lambda: second.best.seconds > held.seconds)
        assert first.best is held and first.halt.description == "go on" and second.halt.description == "stop"
        second.stop()

    asyncio.run(read())

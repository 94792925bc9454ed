"""Space drawn flat: the two ways to draw a scene agree, all of it stays in the picture, and labels keep off the ports."""

import mpmath as mp
import numpy as np
import plotly.graph_objects as go
import pytest
from boxes import amiss, page_for_figures
from draws import draws
from hypothesis import given
from hypothesis import strategies as st

from ergokit import Placement, manipulation_angle
from ergokit.explorers.presets import PRESETS
from ergokit.figures import GALLERY, LAYERS, scene
from ergokit.figures.export import canvas
from ergokit.figures.scene import extent, view_of
from ergokit.figures.space import VIEWS, framed, kept_in, place_labels, project, space_figure
from ergokit.figures.style import LOOKS, SPACE_JS
from ergokit.placement.demo import demo_box
from ergokit.surfaces import Dome, FlatBox, WedgeBox

SIZE = 505, 525
SCENES = {
    "usual": (PRESETS["symmetric"][0](), (), None),
    "layers": (PRESETS["one port higher"][0](), tuple(LAYERS), None),
    "wedge": (PRESETS["camera looking back at the operator"][0](), (), WedgeBox(44, 36, 27)),
    "flat": (PRESETS["target behind the ports"][0](), ("zone",), FlatBox(44, 32, 14)),
    "dome": (PRESETS["deep target"][0](), ("distance",), Dome(17, 21, 6)),
    "targets": (Placement((-9, 0, 12), (7, 3, 14), [(2, 11, 1.5), (0, 8, 0)], (0, 4, 16), normal=(0, -0.2, 1)), (), None),
}


@pytest.fixture(scope="module")
def js(running):
    """space.js in a page, to be asked by name."""
    page = running.new_page()
    page.set_content("<svg id='picture'></svg>")
    page.add_script_tag(
        content=f"{SPACE_JS}\nwindow.space = {{ projection, keptIn, placeLabels, paint, turnable }};", type="module"
    )
    page.wait_for_function("window.space")
    yield page
    page.close()


def views_of(placement):
    rng = np.random.default_rng(2)
    for view in VIEWS:
        yield view_of(placement, view, SIZE[0] / SIZE[1])
    for _ in range(6):
        view = {"turn": rng.uniform(-180, 180), "tilt": rng.uniform(-90, 90), "eye": rng.choice([0, 2.5, 4.5])}
        yield framed(extent(placement), view, SIZE[0] / SIZE[1]) | {"zoom": rng.uniform(0.5, 3)}


@pytest.mark.parametrize("name", SCENES)
def test_browser_and_numpy_put_every_point_and_label_in_the_same_place(js, name):
    placement, layers, surface = SCENES[name]
    items = scene(placement, layers=layers, surface=surface)
    points = np.vstack(
        [
            np.reshape([p for p in item["at"] if p and {"line", "mark", "label"} & set(item)] or [(0, 0, 0)], (-1, 3))
            for item in items.values()
        ]
    )
    for view in views_of(placement):
        found = js.evaluate(
            "([points, view, size]) => points.map(space.projection(view, ...size))", [points.tolist(), view, SIZE]
        )
        assert np.array(found) == pytest.approx(project(points, view, *SIZE), rel=1e-9, abs=1e-9)
        placed = js.evaluate(
            "([items, view, size, looks]) => space.placeLabels(items, space.projection(view, ...size), looks, ...size)"
            ".map(([item, place]) => [item.text, ...place])",
            [items, view, SIZE, LOOKS],
        )
        expected = [(item["text"], *place) for item, place in place_labels(items, view, *SIZE)]
        assert [text for text, *_ in placed] == [text for text, *_ in expected]
        assert np.array([p[1:] for p in placed]) == pytest.approx(np.array([p[1:] for p in expected]), rel=1e-9, abs=1e-9)
        for reach in (view["reach"], view["reach"] / 3):
            nearer = view | {"reach": reach}
            found = js.evaluate("([items, view, size]) => space.keptIn(items, view, ...size)", [items, nearer, SIZE])
            expected = kept_in(items, nearer, *SIZE)
            assert found == expected | {"zoom": pytest.approx(expected["zoom"], rel=1e-9)}


@given(st.floats(-180, 180), st.floats(-90, 90), st.sampled_from([0, 2.5, 4.5]), st.tuples(*3 * [st.floats(-40, 40)]))
def test_projection_against_50_digits(turn, tilt, eye, point):
    """A pinhole from first principles: the point's line to the eye cut with the plane through the centre."""
    view = {"turn": turn, "tilt": tilt, "eye": eye, "centre": [1.0, 9.0, 4.0], "reach": 30.0, "zoom": 1.25}
    with mp.workdps(50):
        round_, above = mp.radians(turn), mp.radians(tilt)
        back = mp.matrix([mp.sin(round_) * mp.cos(above), -mp.cos(round_) * mp.cos(above), mp.sin(above)])
        right = mp.matrix([mp.cos(round_), mp.sin(round_), 0])
        up = mp.matrix([-mp.sin(above) * mp.sin(round_), mp.sin(above) * mp.cos(round_), mp.cos(above)])
        away = mp.matrix(point) - mp.matrix(view["centre"])
        dot = lambda a, b: sum(x * y for x, y in zip(a, b, strict=True))  # noqa: E731
        if eye:
            sight = eye * mp.mpf(30)
            if dot(away, back) > mp.mpf("0.85") * sight:
                return  # nearer than the eye sees
            away = away * (sight / (sight - dot(away, back)))
        px = mp.mpf(1.25) * 400 / 2 / 30
        expected = [float(250 + px * dot(away, right)), float(200 - px * dot(away, up))]
    assert project([point], view, 500, 400)[0, :2] == pytest.approx(expected, abs=1e-9)


def covered(items, view):
    """What is wrong with the labels of a scene: cut off, on a port, or on each other."""
    seen = kept_in(items, view, *SIZE)
    ports = [project(items[f"{side} port"]["at"], seen, *SIZE)[0, :2] for side in ("left", "right")]
    wrong, boxes = [], []
    for item, (x, y) in place_labels(items, seen, *SIZE):
        size, text = LOOKS["labels"][item["label"]]["size"], item["text"]
        wide, high = 0.28 * size * len(text), 0.6 * size
        if not (wide <= x <= SIZE[0] - wide and high <= y <= SIZE[1] - high):
            wrong.append(f"{text} is cut off")
        wrong += [f"{text} covers a port" for u, v in ports if abs(u - x) < wide + 4 and abs(v - y) < high + 4]
        wrong += [
            f"{text} lies on {b[0]}" for b in boxes if abs(x - b[1]) < wide + b[3] - 1 and abs(y - b[2]) < high + b[4] - 1
        ]
        boxes.append((text, x, y, wide, high))
    return wrong


@pytest.mark.parametrize("layers", [(), tuple(LAYERS)], ids=["plain", "all layers"])
@pytest.mark.parametrize("preset", PRESETS)
@pytest.mark.parametrize("view", VIEWS)
def test_the_whole_placement_fits_and_labels_keep_off_the_ports_and_each_other(preset, view, layers):
    placement = PRESETS[preset][0]()
    seen = view_of(placement, view, SIZE[0] / SIZE[1], layers=layers)
    at = project(extent(placement, layers=layers), seen, *SIZE)[:, :2]
    assert (at > 20).all() and (at < np.array(SIZE) - 20).all()
    assert np.max(np.ptp(at, axis=0) / SIZE) == pytest.approx(0.86, abs=1e-3), "triangle and card fill the picture"
    assert not covered(scene(placement, layers=layers), seen)


def test_while_sliders_move_the_view_stays_and_signs_and_labels_stay_in_the_picture():
    rng, start = np.random.default_rng(3), PRESETS["symmetric"][0]()
    seen, shares = view_of(start, "from the operator", SIZE[0] / SIZE[1]), []
    for _ in range(30):
        left, right, target, camera = rng.uniform(
            [(-25, -9, 4), (0.5, -9, 4), (-15, 0, 0), (-8, 0, 6)], [(0, 5, 25), (25, 5, 25), (15, 25, 4), (8, 8, 35)]
        )
        items = scene(start.replace(left_port=left, right_port=right, target=target, camera=camera, instrument_length=60))
        assert not covered(items, seen)
        kept = kept_in(items, seen, *SIZE)
        assert kept | {"zoom": 1} == seen, "only nearer or farther"
        signs = np.vstack([project(item["at"], kept, *SIZE)[:, :2] for item in items.values() if "mark" in item])
        assert (np.abs(signs / SIZE - 0.5) <= 0.46 + 1e-9).all()
        shares.append(kept["zoom"])
        assert kept_in(items, seen | {"zoom": 2}, *SIZE)["zoom"] == 2 * kept["zoom"], "the reader's own zoom stays"
    assert kept_in(scene(start), seen, *SIZE) == seen and min(shares) < 0.9 and max(shares) == 1


def test_straight_at_the_instruments_their_angle_is_seen_in_its_true_size_left_on_the_left():
    rng = np.random.default_rng(5)
    placements = [make() for make, _ in PRESETS.values()]
    placements += [
        Placement(rng.uniform(-20, 20, 3), rng.uniform(-20, 20, 3), rng.uniform(-9, 9, 3), (0, 4, 30), 90) for _ in range(40)
    ]
    for placement in placements:
        view = view_of(placement, "straight at the instruments")
        ports = placement.left_port, placement.right_port
        target, left, right = project([placement.target, *ports], view, 500, 500)[:, :2]
        (x, y), (u, v) = left - target, right - target
        seen = np.degrees(np.arctan2(abs(x * v - y * u), x * u + y * v))
        assert seen == pytest.approx(manipulation_angle(*ports, placement.target), abs=1e-4)
        assert left[0] <= right[0] + 1e-6


def test_a_view_straight_at_instruments_in_one_line_exists():
    level = Placement((-9, 0, 5), (9, 0, 5), (0, 0, 5), (0, 8, 16))
    assert view_of(level, "straight at the instruments")["turn"] == 0


def test_what_lies_behind_is_drawn_first(js):
    """A face across a line: the part of the line in front of it is drawn after it, in both ways to draw."""
    items = {
        "near": {"line": "left inside", "at": [[0, -10, 5], [0, -1, 5]]},
        "card": {"face": "card", "at": [[[-5, 0, 0], [5, 0, 0], [5, 0, 10], [-5, 0, 10]]]},
        "far": {"line": "right inside", "at": [[0, 1, 5], [0, 10, 5]]},
    }
    view = framed([(-5, -10, 0), (5, 10, 10)], VIEWS["front"])
    assert [trace.name for trace in space_figure(items, view).data] == ["far", "card", "near"]
    js.evaluate(
        "([items, view, looks]) => space.paint(picture, { items, width: 500, height: 400, looks }, view)", [items, view, LOOKS]
    )
    drawn = js.evaluate("[...picture.children].map((part) => part.getAttribute('stroke') ?? part.getAttribute('fill'))")
    assert drawn == ["var(--space-vermillion)", "var(--space-card)", "var(--space-blue)"]


def test_keys_and_drag_turn_the_picture_and_a_name_is_never_read_as_markup(js):
    js.evaluate(
        """() => {
            window.view = { turn: 170, tilt: 85, zoom: 1 };
            window.rested = [];
            picture.setAttribute("tabindex", 0);
            picture.style = "width: 400px; height: 300px; display: block";
            space.turnable(picture, () => view, (next, rests) => { view = next; rested.push(rests); });
        }"""
    )
    js.focus("#picture")
    for key in ("ArrowRight", "ArrowRight", "ArrowRight", "ArrowUp", "ArrowUp", "+"):
        js.keyboard.press(key)
    assert js.evaluate("view") == {"turn": -175, "tilt": 90, "zoom": 1.15}
    box = js.locator("#picture").bounding_box()
    js.mouse.move(box["x"] + 200, box["y"] + 150)
    js.mouse.down()
    js.mouse.move(box["x"] + 180, box["y"] + 140, steps=2)
    assert js.evaluate("[view.turn, view.tilt, rested.at(-1)]") == [-165, 86, False]
    js.mouse.up()
    assert js.evaluate("rested.at(-1)") is True
    items = {"name": {"label": "word", "at": [[0, 0, 0]], "text": "<img src=x onerror=boom()> & co", "side": "above"}}
    view = framed([(-5, -10, 0), (5, 10, 10)], VIEWS["front"])
    js.evaluate(
        "([items, view, looks]) => space.paint(picture, { items, width: 500, height: 400, looks }, view)", [items, view, LOOKS]
    )
    assert js.locator("#picture text").text_content() == items["name"]["text"] and js.locator("#picture img").count() == 0


@pytest.mark.parametrize("surface", [WedgeBox(44, 36, 27), FlatBox(44, 32, 14), Dome(17, 21, 6)], ids=["wedge", "flat", "dome"])
def test_the_whole_box_fits(surface):
    seen = view_of(PRESETS["symmetric"][0](), "from the operator", SIZE[0] / SIZE[1], surface=surface)
    for face in surface.faces:
        at = project(surface.outline(face), seen, *SIZE)[:, :2]
        assert (at > 0).all() and (at < SIZE).all()


@pytest.mark.parametrize("size", draws(["slide"], ["own", "slide", "column"]))
def test_the_words_of_flat_figures_are_neither_cut_off_nor_on_each_other(running, size):
    """In the browser's own boxes, of the demo box and a very uneven placement; many more in tests/slow."""
    page = page_for_figures(running)
    wild = Placement((-3, 6, 22), (20, -8, 9), (14, 18, 0), (-8, 3, 15))
    for placement in (demo_box(), wild):
        for name in sorted(set(GALLERY) - {"zone in space", "monitor", "box"}):
            figure = GALLERY[name](placement)
            assert not amiss(page, figure if size == "own" else canvas(figure, size)), name
    page.close()


def test_words_that_are_cut_off_or_on_each_other_are_found(running):
    page = page_for_figures(running)
    figure = go.Figure(layout={"width": 200, "height": 100, "xaxis": {"visible": False}, "yaxis": {"visible": False}})
    for x, text in ((0.5, "left port"), (0.55, "right port"), (-3, "far")):
        figure.add_annotation(x=x, y=0.5, xref="paper", yref="paper", text=text, showarrow=False)
    assert amiss(page, figure) == ["'right port' lies on 'left port'", "'far' is cut off"]
    page.close()

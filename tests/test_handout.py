"""The handout as a junior meets it: in a browser on a phone and on a desk, offline, with its sliders moved."""

import math
import re
from datetime import datetime
from itertools import product

import numpy as np
import pytest
from browser import eventually
from draws import draws
from pinhole import pictured
from playwright.sync_api import expect

from ergokit import Placement, datasets
from ergokit.figures.style import LEFT, PALETTE, RIGHT
from ergokit.guidance import verdict
from ergokit.guidance.cautions import CAUTIONS, FOR_EDUCATION
from ergokit.placement.demo import INVENTED
from ergokit.placement.measures import rows_of
from ergokit.surfaces import WedgeBox
from ergokit.talk import handout, write_handout

FIRST = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))
SIZES = {"phone": (390, 844), "desk": (1280, 800)}
STATE = """() => ({placement, impossible: impossible(placement), shown: [...document.querySelectorAll("output[data-quantity]")]
    .map(one => [one.dataset.quantity, one.dataset.side, one.textContent.trim()])})"""
#: Each slider from the start to both ends and to some places between, as a hand does it, and what the page shows then.
EVERY_SLIDER = f"""shares => Object.keys(GROUPS).flatMap(name => {{
    document.querySelector(`.groups input[value="${{name}}"]`).click();
    return [...document.querySelectorAll(".sliders input")].flatMap(slider => shares.map(share => {{
        placement = DATA.placement;
        slider.value = Number(slider.min) + share * (slider.max - slider.min);
        slider.dispatchEvent(new Event("input", {{bubbles: true}}));
        return {{...({STATE})(), value: Number(slider.value), said: slider.getAttribute("aria-valuetext")}};
    }}));
}})"""


def demo():
    return Placement.from_tape(**{row["reading"]: row["value"] for row in datasets.records("demo_box")})


@pytest.fixture
def open_page(tmp_path, running):
    """Opens a handout without a network; the page must ask for nothing but itself, and complain of nothing."""
    pages, complaints = [], []

    def open_one(placement, size="phone", **options):
        path = write_handout(tmp_path / "handout.html", placement, **options)
        width, height = SIZES[size]
        page = running.new_page(viewport={"width": width, "height": height}, offline=True)
        page.on("console", lambda message: complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("request", lambda request: request.url == path.as_uri() or complaints.append(request.url))
        page.goto(path.as_uri())
        pages.append(page)
        return page

    yield open_one
    assert not complaints
    for page in pages:
        page.close()


def choose(page, name, **exactly):
    """Press one of several, and again where the page was still laid out under the mouse."""
    choice = page.get_by_role("radio", name=name, **exactly)

    def press():
        choice.click()
        assert choice.is_checked()

    eventually(press)


def shown_on(page):
    """What the page shows: (quantity, side) -> text."""
    return {(quantity, side): text for quantity, side, text in page.evaluate(STATE)["shown"]}


def library_s(state):
    """The library's measures of the placement at which the page stands."""
    return {(row.quantity, row.side): row.value for row in rows_of(Placement(**state["placement"]))}


def check_numbers(state):
    """Every number and mark on the page is the library's, or a dash where the library refuses the placement."""
    try:
        rows = library_s(state)
    except ValueError:
        assert state["impossible"]
        assert {text for *_, text in state["shown"]} == {"–"}
        return False
    assert not state["impossible"]
    assert {(quantity, side) for quantity, side, _ in state["shown"]} == set(rows)
    given = {quantity: value for (quantity, side), value in rows.items() if not side and not math.isnan(value)}
    for quantity, side, text in state["shown"]:
        value = rows[quantity, side]
        if math.isnan(value):
            assert text == "not defined"
            continue
        number, _, rest = text.replace("−", "-").replace("°", " ").partition(" ")
        decimals = 2 if quantity in ("inside : outside", "movement scaling") else 1
        assert len(number.partition(".")[2]) == decimals
        assert abs(float(number) - value) <= 0.5 * 10**-decimals + 1e-9, (quantity, side, text, value)
        said = verdict(quantity, value, given)
        assert rest.replace("cm", "").split() == [*said.sign, *said.whence.split()], (quantity, side, text, value)
    return True


@pytest.mark.parametrize("size", draws(["phone"], SIZES))
def test_every_slider_moves_the_numbers_as_the_library_does(open_page, size):
    page = open_page(demo(), size)
    assert check_numbers(page.evaluate(STATE))
    states = page.evaluate(EVERY_SLIDER, [0, 1, *np.random.default_rng(0).uniform(size=3)])
    assert all(float(state["said"].removesuffix(" cm")) == state["value"] for state in states)
    assert len(states) == 5 * 18 and len({str(state["placement"]) for state in states}) > 80
    possible = [check_numbers(state) for state in states]
    assert 0.7 < np.mean(possible) < 1
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), "the page scrolls sideways"


def test_a_slider_moves_just_what_it_says(open_page):
    page = open_page(FIRST)
    expected = {
        ("both ports", "spacing"): {"left_port": [-5, 0, 12], "right_port": [5, 0, 12]},
        ("both ports", "away from you"): {"left_port": [-9, 10, 12], "right_port": [9, 10, 12]},
        ("left port", "to the right"): {"left_port": [10, 0, 12]},
        ("right port", "up"): {"right_port": [9, 0, 10]},
        ("camera", "away from you"): {"camera": [0, 10, 16]},
        ("target", "up"): {"target": [0, 10, 10]},
        ("shafts", "length"): {"instrument_length": [30, 30]},
        ("shafts", "handle beyond"): {"handle_reach": 10},
    }
    for (group, name), moved in expected.items():
        choose(page, group, exact=True)
        page.get_by_role("button", name="Back to the start").click()
        page.get_by_role("slider", name=f"{group}: {name}").fill("30" if name == "length" else "10")
        assert page.evaluate("placement") == page.evaluate("DATA.placement") | moved


def test_shafts_of_two_lengths_have_a_slider_each(open_page):
    """The numbers are the library's wherever either is moved; both hands end where their own shafts do."""
    page = open_page(demo().replace(instrument_length=(36, 30)))
    states = page.evaluate(EVERY_SLIDER, [0, 0.4, 1])
    assert len(states) == 3 * 19 and all(float(state["said"].removesuffix(" cm")) == state["value"] for state in states)
    assert 0.7 < np.mean([check_numbers(state) for state in states]) < 1
    page.get_by_role("button", name="Back to the start").click()
    for hand, moved in (("left", [32, 30]), ("right", [32, 41])):
        page.get_by_role("slider", name=f"shafts: {hand} length").fill(str(moved[hand == "right"]))
        assert page.evaluate("placement.instrument_length") == moved
    items, placement = page.evaluate("sceneOf(placement, measures(placement), '')"), Placement(**page.evaluate("placement"))
    for side, shaft in zip(("left", "right"), placement.shafts, strict=True):
        assert math.dist(items[f"{side} outside"]["at"][1], placement.target) == pytest.approx(shaft + 10)


def random_placements(rng, n):
    """Placements of a box's size, some with an aim, a sloping working plane or a panel, then the awkward ones."""
    places = rng.uniform((-20, -15, -5), (20, 15, 30), (n, 4, 3))
    aims, normals = rng.normal(size=(2, n, 3))
    for i, ((left, right, target, camera), aim, normal) in enumerate(zip(places, aims, normals, strict=True)):
        extra = {"aim": aim if i % 3 == 0 else None, "normal": normal if i % 4 == 0 else None}
        yield Placement(left, right, target, camera, instrument_length=(80, 80 + i % 2), panel_normal=normal, **extra)
    yield FIRST.replace(camera=(0, 10, 16))  # looks straight down
    yield FIRST.replace(camera=(0, 4, 0))  # level
    yield FIRST.replace(camera=(0, 10, -16))  # looks straight up
    yield FIRST.replace(left_port=(-9, 10, 0), right_port=(9, 10, 0))  # in one line
    yield FIRST.replace(left_port=(0, 10, 12))  # a vertical shaft
    yield FIRST.replace(camera=(-4.5, 5, 6))  # along a shaft
    yield FIRST.replace(aim=(0, -1, 0))  # the target behind the camera
    yield FIRST.replace(right_port=(9, 20, 12), camera=(9, 10, 6))  # opposed in the plan


def test_the_page_measures_and_judges_as_the_library_does(open_page):
    placements = list(random_placements(np.random.default_rng(1), draws(40, 200)))
    page, undefined = open_page(FIRST.replace(panel_normal=(0, 0, 1))), 0
    given = [handout._arguments(placement) for placement in placements]
    found = page.evaluate(
        """all => all.map(one => Object.entries(measures(one)).flatMap(([quantity, values]) => values.map(value =>
            [quantity, value, Number.isNaN(value) ? null : verdictOn(quantity, value, measures(one))])))""",
        given,
    )
    for record, rows in zip(given, found, strict=True):
        expected = rows_of(Placement(**record))
        beside = {row.quantity: row.value for row in reversed(expected) if not math.isnan(row.value)}  # of two hands the left
        for (quantity, value, judged), row in zip(rows, expected, strict=False):
            assert quantity == row.quantity
            assert math.isnan(value) == math.isnan(row.value), (quantity, value, row.value)
            if math.isnan(value):
                undefined += 1
                continue
            digits = 1e-9 * max(1, abs(row.value))
            assert abs(value - row.value) <= digits or abs(abs(value - row.value) - 360) <= digits, (quantity, value, row.value)
            assert judged == fields(verdict(quantity, value, beside))
        assert len(rows) == len(expected)
    assert undefined >= 15


def fields(found):
    return {name: getattr(found, name) for name in ("status", "because", "place", "sign", "whence")}


def test_verdicts_change_where_the_library_s_do(open_page):
    """At every range's end, as far outside as counts as near, and a little to both sides."""
    page, seen = open_page(FIRST), set()
    changes = page.evaluate("Object.entries(DATA.verdicts).map(([quantity, [{changes}]]) => [quantity, changes])")
    for (quantity, places), theta in product(changes, draws((28,), (20, 28, 31.9, 57.9, 58, 62, 62.1))):
        beside = {"manipulation angle": theta, "camera roll": theta - 28, "camera's side": theta - 58}
        values = [change + step for change in places for step in (-0.01, -1e-6, 0, 1e-6, 0.01)]
        judged = page.evaluate(
            "([quantity, values, beside]) => values.map(value => verdictOn(quantity, value, beside))",
            [quantity, values, {name: [value] for name, value in beside.items()}],
        )
        assert judged == [fields(verdict(quantity, value, beside)) for value in values]
        seen |= {(one["place"], one["whence"]) for one in judged}
    whence = {whence for _, whence in seen}
    assert {place for place, _ in seen} == {"in range", "near", "outside", ""} and {"advised", "page", "tried", ""} <= whence


def test_what_cannot_be_is_said_and_what_has_no_value_is_not_a_number(open_page):
    page = open_page(FIRST)
    choose(page, "left port")
    page.get_by_role("slider", name="left port: to the right").fill("-25")
    page.get_by_role("slider", name="left port: up").fill("30")
    expect(page.locator("#told")).to_have_text("The left shaft of 36.0 cm is too short: its port is 40.3 cm from the target.")
    page.get_by_role("button", name="Back to the start").click()
    expect(page.locator("#told")).to_contain_text("Instruments meet at 59.9° (in the advised range)")
    choose(page, "camera")
    page.get_by_role("slider", name="camera: up").fill("0")
    page.get_by_role("heading", name="Every measure").click()
    line = page.locator(".measure", has_text="hand-eye rotation")
    line.locator("summary").click()
    assert "not defined" in line.inner_text() and "The view is level" in line.inner_text()


#: What the monitor has drawn: the middle of each tube at both its ends, the target's sign, and the lines of the working plane.
DRAWN = """() => {
    const svg = document.querySelector("#monitor"), middle = (a, b) => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    const ends = one => ["1", "2"].map(i => [one.getAttribute("x" + i), one.getAttribute("y" + i)].map(Number));
    const tube = side => {
        const d = svg.querySelector(`.tube.${side}`).getAttribute("d");
        const corners = d.slice(1).split("L").map(corner => corner.split(" ").map(Number));
        return [middle(corners[0], corners[3]), middle(corners[1], corners[2])];
    };
    return {size: svg.getAttribute("viewBox").split(" ").map(Number), left: tube("left"), right: tube("right"),
        target: svg.querySelector("path[transform]").getAttribute("transform").match(/-?[\\d.]+/g).map(Number),
        plane: [...svg.querySelectorAll(".plane")].map(ends)};
}"""


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"left_port": (-6, -3, 9), "right_port": (10, 2, 15), "target": (3, 8, 1), "camera": (-5, 2, 20)},
        {"camera": (2, -4, 14), "aim": (-0.1, 0.8, -0.6), "right_port": (5, 1, 9)},  # the target off the middle
        {"camera": (1, 9, 25), "target": (1, 9, 0), "left_port": (-9, 4, 8)},  # straight down
        {"camera": (4, 30, 15), "left_port": (-9, 2, 10)},  # against the operator
    ],
)
def test_the_monitor_shows_what_opencv_projects(open_page, changes):
    """70 degrees across and 4:3 (common practice, no source), level horizon; the working plane in squares of 5 cm."""
    placement = FIRST.replace(**changes)
    page = open_page(placement, "desk")
    drawn = page.evaluate(DRAWN)
    _, _, width, height = drawn["size"]
    assert width / height == pytest.approx(4 / 3)
    target = placement.targets[0]
    steps = np.arange(-25, 26, 5)
    lines = [
        [target + np.array(end)[order] for end in ((k, -25, 0), (k, 25, 0))] for k in steps for order in ([0, 1, 2], [1, 0, 2])
    ]
    shapes = [("target", [target]), *((side, [target, getattr(placement, f"{side}_port")]) for side in ("left", "right"))]
    shapes += [(i, line) for i, line in enumerate(lines)]
    compared = 0
    for name, points in shapes:
        aim = target - placement.camera if placement.aim is None else placement.aim
        seen, ahead = pictured(np.array(points), placement.camera, aim, 70)
        if (ahead > 0.5).all():  # what is nearer the page cuts off
            found = np.reshape(drawn["plane"][name] if isinstance(name, int) else drawn[name], (-1, 2))
            expected = [width / 2, height / 2] + seen * [width / 2, -width / 2]
            rounded = 0.006 if name == "target" else 1e-6 * np.abs(expected).max()  # a sign is set to a hundredth of a px
            np.testing.assert_allclose(found, expected, atol=rounded, err_msg=str(name))
            compared += 1
    assert compared >= 10


def test_pictures_keyboard_and_names(open_page):
    page = open_page(demo())
    named = "one => one.labels?.length || one.getAttribute('aria-label') || one.textContent"
    assert page.locator("input, select, button, svg").evaluate_all(f"all => all.every({named})"), "a control without a name"
    for view, seen, unseen in (("monitor", "#monitor", "#drawing"), ("above", "#drawing", "#monitor")):
        choose(page, view)
        expect(page.locator(seen)).to_be_visible()
        expect(page.locator(unseen)).to_be_hidden()
    above = page.locator("#drawing").inner_html()
    spacing = page.get_by_role("slider", name="both ports: spacing")
    spacing.press("ArrowRight")
    assert page.evaluate("GROUPS['both ports'][0].get(placement)") == pytest.approx(18.5)  # from 18.2, on a grid of 0.5
    assert page.locator("#drawing").inner_html() != above
    assert f"at {shown_on(page)['manipulation angle', ''].split()[0]}: left port" in page.locator("#drawing").get_attribute(
        "aria-label"
    )
    box = page.locator("#drawing").bounding_box()
    page.mouse.move(box["x"] + 100, box["y"] + 100)
    page.mouse.down()
    page.mouse.move(box["x"] + 150, box["y"] + 100)
    page.mouse.up()
    assert page.evaluate("look.turn") == pytest.approx(-25)
    page.evaluate("scrollTo(0, 0)")
    ends = page.evaluate("[...document.querySelectorAll('.cautions, .tiles')].map(one => one.getBoundingClientRect().bottom)")
    assert max(ends) < 844 and FOR_EDUCATION in page.locator(".cautions > p").inner_text()
    visible = page.evaluate("document.querySelector('.sliders').getBoundingClientRect().top < innerHeight - 80")
    assert visible, "cautions, picture, numbers and sliders do not share the first screen"
    assert page.evaluate("document.documentElement.scrollHeight") <= 4000


def test_a_slider_plays_by_itself_and_is_still_where_motion_is_unwanted(open_page):
    page = open_page(FIRST)
    page.clock.install(time=datetime(2026, 1, 1))
    page.clock.pause_at(datetime(2026, 1, 2))  # time passes only as it is told to
    spacing = "GROUPS['both ports'][0].get(placement)"
    button = page.get_by_role("button", name="play spacing")
    button.click()
    page.clock.run_for(600)
    assert page.evaluate(spacing) == pytest.approx(18 + 10 * 0.5), "a step of 0.5 cm each 60 ms"
    button.click()
    page.clock.run_for(600)
    assert page.evaluate(spacing) == pytest.approx(23), "pressed again it stops"
    button.click()
    seen = []
    for _ in range(40):
        page.clock.run_for(600)
        seen.append(page.evaluate(f"[{spacing}, impossible(placement)]"))
    assert seen[-1] == [pytest.approx(23), ""] and min(seen)[0] < 5 and max(seen)[0] > 37, "from end to end and back"
    assert not any(wrong for _, wrong in seen) and button.inner_text() == "▶"
    page.emulate_media(reduced_motion="reduce")
    expect(button).to_be_hidden()


def test_answers_are_hidden_until_asked_for_and_true(open_page):
    page = open_page(demo())
    for question, place in zip(page.locator(".questions > li").all(), ("left_port", "target", "camera"), strict=True):
        expect(question.locator("details p")).to_be_hidden()
        question.locator("summary").click()
        answer = question.locator("details p").inner_text()
        question.get_by_role("button").click()
        assert page.evaluate("placement")[place] != page.evaluate("DATA.placement")[place]
        rows = library_s(page.evaluate(STATE))
        assert f"{rows['manipulation angle', '']:.1f} degrees" in answer
        if place == "target":
            assert f"{rows['length inside', 'left']:.1f} cm" in answer
        if place == "camera":
            assert f"to {rows['hand-eye rotation', '']:.1f} degrees" in answer


def test_targets_box_and_title(open_page):
    box = WedgeBox(50, 40, 30)
    placement = Placement(
        box.point(-8, 15), box.point(8, 15), [(0, -2, 0), (5, 0, 0)], box.point(0, 22), aim=-box.normal(0, 20)
    )
    page = open_page(placement, box=box, title="Ports & <targets>")
    assert page.title() == page.locator("h1").inner_text() == "Ports & <targets>"
    assert page.locator("#drawing polygon[fill='var(--space-card)']").count() == 2
    choose(page, "target")
    page.get_by_label("go to target").select_option("2")
    assert page.evaluate("placement.target") == [5, 0, 0]
    assert check_numbers(page.evaluate(STATE))


def test_what_a_tape_leaves_open_stays_not_known(open_page):
    page = open_page(Placement.from_tape(18, 18, 18, camera_to_target=14, camera_above_ports=7))
    shown = shown_on(page)
    assert shown["view angle", ""] == shown["elevation angle", "left"] == "not known"
    assert shown["manipulation angle", ""] == "60.0° ✓ advised"


def test_rules_sources_and_cautions_stand_in_the_page(tmp_path):
    text = write_handout(tmp_path / "page.html", demo()).read_text(encoding="utf-8")
    assert len(text) < 200_000 and "http" not in text
    for row in datasets.records("published_values"):
        if row["kind"] == "advice" and row["quantity"] in (
            "manipulation angle",
            "working distance",
            "inside : outside",
            "view angle",
        ):
            assert handout.escape(row["statement"]) in text
    assert all(handout.escape(words) in text for words in CAUTIONS)
    assert set(re.findall(r'href="#([^"]+)"', text)) == set(re.findall(r'<li id="(source-[^"]+)"', text))


def test_only_a_page_of_demo_data_says_that_it_is_invented(tmp_path):
    for placement, said in ((demo(), True), (Placement.from_json(demo().to_json()), True), (FIRST, False)):
        page = write_handout(tmp_path / "page.html", placement, overwrite=True).read_text(encoding="utf-8")
        assert (INVENTED in page.partition("</header>")[0]) is said


def test_the_floor_of_the_monitor_is_grey():
    """Red, green and blue alike: a colour there would look like tissue."""
    grounds = re.findall(r"--screen(?:-grid)?: #([0-9a-f]+)", handout._source("css"))
    assert len(grounds) == 6
    for ground in grounds:
        assert ground[: len(ground) // 3] * 3 == ground


def test_the_kept_page_is_the_one_written_now(tmp_path):
    kept = datasets.folder() / "demo_handout.html"
    assert INVENTED in kept.read_text(encoding="utf-8")
    now = write_handout(tmp_path / "now.html", demo(), title="The demo box: move it and see")
    assert kept.read_bytes() == now.read_bytes(), "write_handout(kept, demo(), title=..., overwrite=True) writes it anew"


@pytest.mark.parametrize(
    ("path", "placement", "options", "message"),
    [
        ("there.html", FIRST, {}, r"^The file '.*there\.html' exists already; pass overwrite=True to replace it \(path\)\.$"),
        ("nowhere/page.html", FIRST, {}, r"^The folder '.*nowhere' does not exist; choose one that does \(path\)\.$"),
        ("page.pdf", FIRST, {}, r"^.*page\.pdf' cannot be used; give a name that ends in \.html \(path\)"),
        ("page.html", "a box", {}, r"^'a box' cannot be used; give a Placement \(placement\)\.$"),
        ("page.html", FIRST, {"box": 3}, r"^3 cannot be used; give a surface such as WedgeBox\(50, 40, 30\) \(box\)\.$"),
        ("page.html", FIRST, {"title": " "}, r"^' ' cannot be used; give some words \(title\)\.$"),
    ],
)
def test_refused_writes_leave_nothing(tmp_path, path, placement, options, message):
    (tmp_path / "there.html").write_text("mine")
    with pytest.raises(ValueError, match=message):
        write_handout(tmp_path / path, placement, **options)
    assert [(file.name, file.read_text()) for file in tmp_path.iterdir()] == [("there.html", "mine")]
    with pytest.raises(ValueError, match=r"^3 cannot be used; give a name that ends in \.html \(path\)\.$"):
        write_handout(3, FIRST)


def test_an_existing_page_is_replaced_when_asked(tmp_path):
    path = write_handout(tmp_path / "page.html", FIRST)
    assert write_handout(path, FIRST, title="Again", overwrite=True) == path
    assert "<h1>Again</h1>" in path.read_text(encoding="utf-8")


def _luminance(colour):
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    return np.dot([0.2126, 0.7152, 0.0722], [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts])


def _contrast(one, other):
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("theme", [0, 1, 2], ids=["light", "dark", "print"])
def test_words_and_lines_stand_out_in_both_themes(theme):
    """Contrast as in WCAG 2.1: 4.5 for words, 3 for lines and marks."""
    block = re.findall(r":root \{(.*?)\}", handout._source("css"), re.DOTALL)[theme]
    colours = {
        name: value if len(value) == 7 else "#" + "".join(2 * c for c in value[1:])
        for name, value in re.findall(r"--([a-z-]+): (#[0-9a-f]{3,6})", block)
    }
    words = ("ink", "soft", "accent", "bad", "angle")
    pairs = [(word, ground, 4.5) for word in words for ground in ("paper", "card")] + [
        ("ink", "screen", 4.5),
        ("angle", "screen", 4.5),
    ]
    pairs += [(line, ground, 3) for line in ("left", "right", "camera") for ground in ("card", "screen")]
    for front, back, least in pairs:
        assert _contrast(colours[front], colours[back]) >= least, (front, back)
    for ground in ("card", "screen"):  # of the target's sign the edge stands out on a light page, the disc on a dark one
        sign = [PALETTE[name][theme == 1] for name in ("edge", "orange")]
        assert max(_contrast(colour, colours[ground]) for colour in sign) >= 3
    if theme != 1:  # on a dark ground the two hands are the same hues, lighter
        assert [colours["left"], colours["right"]] == [LEFT["colour"].lower(), RIGHT["colour"].lower()]

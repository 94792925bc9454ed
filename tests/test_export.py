"""Figures as files, read back by others: Pillow, an XML parser, pdfplumber and a browser without a network."""

import asyncio
import re
import resource
import signal
import threading
import xml.etree.ElementTree as ET
from contextlib import contextmanager
from functools import cache

import kaleido
import numpy as np
import pdfplumber
import plotly.graph_objects as go
import pytest
from browser import browser as playwright_browser
from browser import eventually
from PIL import Image

from ergokit import Placement, manipulation_angle
from ergokit.explorers.presets import PRESETS
from ergokit.figures import GALLERY, SIZES, browser, drawable, elevation_bound_figure, save, save_all
from ergokit.figures.export import canvas
from ergokit.figures.near import near_scene
from ergokit.guidance.cautions import FOR_EDUCATION
from ergokit.surfaces import Dome, WedgeBox

PLACEMENT = PRESETS["symmetric"][0]()
_figure = cache(lambda name: GALLERY[name](PLACEMENT))
_canvas = cache(lambda name, size: canvas(_figure(name), size))
TITLE = "What steep instruments cost"


@pytest.fixture(scope="module")
def drawn(needs_browser, tmp_path_factory):
    """A folder of files of one figure, all drawn by one browser, one of them from within a running event loop."""
    folder, starts, start = tmp_path_factory.mktemp("drawn"), [], kaleido.Kaleido.open
    figure = _figure("triangle")

    async def in_a_notebook():  # whose loop is busy with the cell
        save(figure, folder / "square.png", size="square")

    async def counted(self):
        starts.append(self)
        await start(self)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(kaleido.Kaleido, "open", counted)
        with browser():
            save_all({folder / f"slide.{ending}": figure for ending in ("png", "svg", "pdf")})
            save_all({folder / f"column.{ending}": figure for ending in ("png", "svg", "pdf")}, size="column")
            asyncio.run(in_a_notebook())
    assert len(starts) == 1, "one browser for all"
    return folder


# What is drawn


@pytest.mark.parametrize(("name", "size"), [("slide", (1920, 1080)), ("column", (1890, None)), ("square", (1080, 1080))])
def test_a_png_has_the_size_of_its_preset_and_nothing_touches_its_edge(drawn, name, size):
    picture = Image.open(drawn / f"{name}.png")
    width, height = picture.size
    assert width == size[0] and (height == size[1] or size[1] is None)
    dots = np.asarray(picture.convert("L"))
    for edge in (dots[:5], dots[-5:], dots[:, :5], dots[:, -5:]):
        assert (edge == 255).all(), "something is cut off"
    assert 0.01 < (dots < 200).mean() < 0.4, "neither empty nor crowded"


def _svg_texts(path):
    """Text -> (px of its letters, its colour)."""
    texts = {}
    for element in ET.parse(path).iter("{http://www.w3.org/2000/svg}text"):
        style = dict(part.split(":", 1) for part in element.get("style").replace(" ", "").strip(";").split(";"))
        texts["".join(element.itertext())] = float(style["font-size"].removesuffix("px")), style["fill"]
    return texts


@pytest.mark.parametrize("name", ["slide", "column"])
def test_an_svg_has_its_words_as_text_large_enough_and_dark_enough(drawn, name):
    texts, size = _svg_texts(drawn / f"{name}.svg"), SIZES[name]
    assert {"The instruments meet at 60.0°", "spacing 16.0 cm", "depth 13.9 cm", "60.0°"} <= set(texts)
    assert any(text.startswith("Source: ") for text in texts) and any("For education. Not for" in text for text in texts)
    for text, (letters, colour) in texts.items():
        foot = text.startswith("Source: ")
        assert letters >= (size.foot if foot else size.words), text
        assert _contrast(colour) >= (7 if foot else 3 if letters >= 24 else 4.5), f"{text} is too pale"  # WCAG 2.2, 1.4.3


@pytest.mark.parametrize(("name", "points"), [("slide", (960, 540)), ("column", (453.6, None))])  # 13.3 inches; 16 cm
def test_a_pdf_has_its_words_as_text_on_one_page_of_the_right_size(drawn, name, points):
    with pdfplumber.open(drawn / f"{name}.pdf") as pdf:
        [page] = pdf.pages
        words = " ".join(page.extract_text().split())
        assert pdf.metadata == {"Title": "The instruments meet at 60.0°"}, "the figure's title, and nobody's name or time"
    assert page.width == pytest.approx(points[0], abs=1)
    assert points[1] is None or page.height == pytest.approx(points[1], abs=1)
    assert "The instruments meet at 60.0°" in words and FOR_EDUCATION in words


def test_an_html_file_opens_without_a_network(needs_browser, tmp_path):
    path = save(near_scene(PLACEMENT, layers=("zone",)), tmp_path / "scene.html", title=TITLE, source="our own box")
    with playwright_browser() as running:
        page = running.new_context(offline=True, viewport={"width": 1280, "height": 720}).new_page()
        asked, wrong = [], []
        page.on("request", lambda request: asked.append(request.url))
        page.on("pageerror", lambda error: wrong.append(error))
        page.goto(path.as_uri())
        page.wait_for_function("document.querySelector('.js-plotly-plot .main-svg .lines') !== null", timeout=60_000)
        words = page.locator(".js-plotly-plot").first.text_content()
    assert not wrong and all(url.startswith(("file:", "data:", "blob:")) for url in asked)
    assert TITLE in words and "Source: our own box." in words and "60.0°" in words


# How it is laid out


def _contrast(colour):
    """Of a colour on white, by the formula of WCAG 2.2."""
    if colour.startswith("#"):
        parts = [int(colour[i : i + 2], 16) for i in (1, 3, 5)]
    else:
        parts = [float(part) for part in re.findall(r"[\d.]+", colour)[:3]]
    parts = np.array(parts) / 255
    linear = np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    return 1.05 / (linear @ (0.2126, 0.7152, 0.0722) + 0.05)


def test_contrast_is_what_it_is_known_to_be():
    assert _contrast("#000000") == pytest.approx(21) and _contrast("rgb(255, 255, 255)") == pytest.approx(1)
    # From memory: the lightest grey that passes on white, and pure red, green and blue.
    known = {"#767676": 4.54, "#FF0000": 4.0, "#00FF00": 1.37, "#0000FF": 8.59}
    assert {colour: round(_contrast(colour), 2) for colour in known} == known


def _fonts(item, path=()):
    """(path, font) of every font in a figure but those of its template."""
    for key, value in item.items() if isinstance(item, dict) else enumerate(item):
        if key == "template":
            continue
        if isinstance(key, str) and key.endswith("font") and isinstance(value, dict):
            yield (*path, key), value
        elif isinstance(value, dict | list | tuple):
            yield from _fonts(value, (*path, key))


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", GALLERY)
def test_every_letter_of_the_gallery_can_be_read_at_every_size(name, size):
    laid_out = _canvas(name, size).to_plotly_json()
    fonts = list(_fonts({"data": laid_out["data"], "layout": laid_out["layout"]}))
    assert len(fonts) >= 3
    foot = len(laid_out["layout"]["annotations"]) - 1
    for path, font in fonts:
        small = path[:3] == ("layout", "annotations", foot)
        letters = font.get("size", laid_out["layout"]["font"]["size"])
        assert letters >= (SIZES[size].foot if small else SIZES[size].words), path
        assert _contrast(font.get("color", "#222222")) >= (3 if letters >= 24 else 4.5), path


def test_a_figure_to_scale_keeps_its_shape_and_any_other_fills_the_room():
    def room(layout):
        margin = layout.margin
        return (layout.width - margin.l - margin.r) / (layout.height - margin.t - margin.b)

    for name in ("triangle", "zone", "angle map", "monitor", "lever", "box"):
        figure = _figure(name)
        for size in SIZES:
            assert room(_canvas(name, size).layout) == pytest.approx(room(figure.layout), rel=1e-6), (name, size)
    filled = canvas(elevation_bound_figure(), "slide").layout
    assert filled.margin.l + filled.margin.r < 0.2 * filled.width


@pytest.mark.parametrize("preset", ["symmetric", "one port higher", "target behind the ports", "deep target"])
def test_a_scene_is_as_near_as_it_fits(preset):
    figure = near_scene(PRESETS[preset][0](), width=560, height=400)
    names = ["panel, edge", "camera", "target"] + [f"{side} shaft, outside" for side in ("left", "right")]
    drawn = [np.array([trace.x, trace.y], dtype=float) for trace in figure.data if trace.name in names]
    x, y = np.concatenate(drawn, axis=1)
    share = np.ptp(x) / 560, np.ptp(y) / 400
    assert max(share) == pytest.approx(0.86, abs=1e-3)
    assert x.min() > 0 and y.min() > 0 and x.max() < 560 and y.max() < 400


def test_what_is_in_px_grows_and_what_is_in_data_does_not():
    figure = go.Figure(
        [
            go.Scatter(x=[1], y=[2], line={"width": 3, "dash": "12px,6px"}, marker={"size": 5}),
            go.Bar(x=[1], y=[1], width=[0.3]),
            go.Contour(z=[[1, 2], [3, 4]], contours={"start": 1, "end": 4, "size": 1}),
        ],
        {"width": 640, "height": 300, "font": {"size": 14}, "margin": {"l": 10, "r": 10, "t": 10, "b": 10}},
    )
    figure.add_annotation(x=1, y=2, text="a", xshift=4, showarrow=False)
    figure.update_yaxes(scaleanchor="x")
    scatter, bar, contour = canvas(figure, "slide").data
    scale = scatter.marker.size / 5
    assert scale > 1.5
    assert scatter.line.width == pytest.approx(3 * scale) and scatter.line.dash == f"{12 * scale:.1f}px,{6 * scale:.1f}px"
    assert (scatter.x, bar.width, contour.contours.size) == ((1,), (0.3,), 1)
    assert canvas(figure, "slide").layout.annotations[0].xshift == pytest.approx(4 * scale)
    assert figure.data[0].marker.size == 5, "the figure itself is left as it was"


def test_the_figures_own_foot_becomes_the_source():
    figure = _figure("experiments")
    laid_out = canvas(figure)
    [foot] = [note for note in laid_out.layout.annotations if note.name == "foot"]
    assert foot.text.count("World J Lap") == 1 and "2008;22(4)" in foot.text and "For education" in foot.text
    assert not [note for note in canvas(figure, bare=True).layout.annotations if note.name == "foot"]


# The gallery


@pytest.mark.parametrize("preset", ["one port higher", "both ports on one side of the camera", "target behind the ports"])
def test_the_gallery_draws_placements_of_all_kinds_and_says_what_it_is(preset):
    placement = PRESETS[preset][0]()
    assert drawable(placement) == tuple(GALLERY)
    theta = f"{manipulation_angle(placement.left_port, placement.right_port, placement.target):.1f}"
    for name, function in GALLERY.items():
        about = function(placement).layout.meta
        words = " ".join((about["title"], about["alt"], *about["says"]))
        assert 15 < len(about["title"]) < 60 and len(about["alt"]) > 60 and about["says"], name
        assert "nan" not in words.split() and "None" not in words, name
        if name in ("triangle", "side by side", "zone", "monitor", "tolerance", "angle map"):
            assert theta in about["alt"] or theta in about["title"], name


def test_the_gallery_draws_nothing_that_the_readings_leave_open():
    placement = Placement.from_tape(16, 16, 16, camera_to_target=15, camera_above_ports=6)
    for name in set(GALLERY) - set(drawable(placement)):
        with pytest.raises(
            ValueError,
            match=r"^The .* is not known from these tape readings: .* needs panel_slope or port_height .*\(placement\)",
        ):
            GALLERY[name](placement)
    for name in drawable(placement):
        assert isinstance(GALLERY[name](placement), go.Figure)


def test_the_play_of_a_shaft_in_its_hole_is_told_and_may_be_too_much():
    """At 18.0 cm of shaft 5 degrees are 0.79 cm of both ports together, 2.5 mm of it play; at 5.8 cm they are 0.25 cm."""
    roomy, tight = (
        Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 5, 16)),
        Placement((-3, 0, 4), (3, 0, 4), (0, 3, 0), (0, 2, 9)),
    )
    about, told = (GALLERY["tolerance"](placement) for placement in (roomy, tight))
    assert about.layout.meta["title"] == "Holes within 0.5 cm keep the angle within 5°"
    assert told.layout.meta["title"] == "Holes must be lined to keep the angle within 5°"
    for figure in (about, told):
        assert "the play of a 5 mm shaft in a hole of 1 cm, 2.5 mm each way" in figure.layout.meta["says"][0].replace(
            "The", "the"
        )
        assert figure.data[0].y[0] < figure.data[1].y[0] < figure.data[0].y[-1]  # a spread before any hole is off its mark


def test_a_box_is_drawn_with_its_holes_where_they_are():
    box = WedgeBox(50, 40, 30)
    placement = Placement(box.point(-8, 15), box.point(8, 15), (0, -2, 0), box.point(0, 21))
    figure = GALLERY["box"](placement, surface=box)
    assert "Ports 16.0 cm apart, 15.0 cm above the lower edge. Camera hole 6.0 cm above them." in figure.layout.meta["alt"]
    ports = [trace for trace in figure.data if trace.type == "scatter" and len(trace.x) == 1 and trace.xaxis != "x2"]
    assert [(trace.x[0], trace.y[0]) for trace in ports] == [pytest.approx((-8, 15)), pytest.approx((8, 15))]
    with pytest.raises(ValueError, match=r"give a WedgeBox or a FlatBox.*\(surface\)"):
        GALLERY["box"](placement, surface=Dome(30, 25, 8))


# What is refused, and what is left behind


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "old.html").write_text("old")
    return tmp_path


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("figure.gif", r"'.*figure\.gif' cannot be used; give a name that ends in \.html, \.png, \.svg or \.pdf \(path\)"),
        ("figure", r"give a name that ends in.*\(path\)"),
        ("lever/hand.html", r"^The folder '.*lever' does not exist; choose one that does \(path\)"),
        ("60/75.png", r"^The folder '.*' does not exist; choose one that does \(path\)"),
        ("old.html", r"^The file '.*old\.html' exists already; pass overwrite=True"),
        (f"{'long' * 80}.html", r".longlong.* cannot be a file's name on every system; choose another name \(path\)"),
    ],
)
def test_a_path_that_cannot_be_is_refused_in_one_sentence_before_anything_is_drawn(folder, name, says, monkeypatch):
    monkeypatch.setattr("ergokit.figures.export.browser", None)  # would fail if it came to that
    monkeypatch.setattr(go.Figure, "write_html", None)
    with pytest.raises(ValueError, match=says) as refused:
        save_all({folder / "first.html": elevation_bound_figure(), folder / name: elevation_bound_figure()})
    assert "\n" not in str(refused.value)
    assert [path.name for path in folder.iterdir()] == ["old.html"]


def test_what_is_no_figure_or_no_size_is_refused(folder):
    with pytest.raises(
        ValueError, match=r"Placement.* cannot be used; give a plotly figure, such as an explorer's .picture.still\(\) \(fig\)"
    ):
        save(PLACEMENT, folder / "a.html")
    with pytest.raises(ValueError, match=r"'poster' cannot be used; give 'slide', 'column', 'square' or a Size \(size\)"):
        save(elevation_bound_figure(), folder / "a.html", size="poster")


def test_an_old_file_is_replaced_only_when_asked(folder):
    save(elevation_bound_figure(), folder / "old.html", overwrite=True)
    assert (folder / "old.html").stat().st_size > 1e6
    assert [path.name for path in folder.iterdir()] == ["old.html"]


@contextmanager
def _no_room_beyond(size):
    """No file of this process can grow beyond so many bytes: what a full disk does, at a place of our choosing."""
    limits = resource.getrlimit(resource.RLIMIT_FSIZE)
    handler = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, limits[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limits)
        signal.signal(signal.SIGXFSZ, handler)


def test_a_full_disk_leaves_nothing_behind(folder):
    with (
        _no_room_beyond(100_000),
        pytest.raises(ValueError, match=r"' cannot be written: File too.*\(path\)"),
    ):
        save(elevation_bound_figure(), folder / "new.html")
    assert [path.name for path in folder.iterdir()] == ["old.html"]


def test_a_read_only_place_is_refused_in_one_sentence():
    # /proc takes no new file from anybody, the superuser included.
    with pytest.raises(ValueError, match=r"^'/proc/new\.html' cannot be written: .*\(path\)"):
        save(elevation_bound_figure(), "/proc/new.html")


@pytest.mark.parametrize("overwrite", [False, True])
def test_an_interrupted_write_leaves_the_old_file_or_none(folder, monkeypatch, overwrite):
    def half(self, part, **options):
        part.write_text("half of it")
        raise KeyboardInterrupt

    monkeypatch.setattr(go.Figure, "write_html", half)
    with pytest.raises(KeyboardInterrupt):
        save(elevation_bound_figure(), folder / ("old.html" if overwrite else "new.html"), overwrite=overwrite)
    assert [path.name for path in folder.iterdir()] == ["old.html"]
    assert (folder / "old.html").read_text() == "old"


def test_the_browser_does_not_outlive_an_interruption(needs_browser, monkeypatch):
    closed, close, before = [], kaleido.Kaleido.close, set(threading.enumerate())

    async def noted(self):
        await close(self)
        closed.append(self)

    monkeypatch.setattr(kaleido.Kaleido, "close", noted)
    with pytest.raises(KeyboardInterrupt), browser():
        raise KeyboardInterrupt
    assert closed

    def gone():
        assert set(threading.enumerate()) <= before

    eventually(gone)  # a thread that closes files ends by itself


@pytest.mark.parametrize(
    ("chrome", "says"), [("/nowhere/chromium", "There is no Chrome or Chromium on"), ("/bin/false", "does not start")]
)
def test_without_a_browser_it_says_what_to_install_and_html_works(folder, monkeypatch, chrome, says):
    monkeypatch.setenv("BROWSER_PATH", chrome)
    with pytest.raises(
        ValueError, match=rf"{says}.*: install it .*sudo apt install chromium.*\. An \.html file needs no browser"
    ):
        save(elevation_bound_figure(), folder / "new.png")
    assert [path.name for path in folder.iterdir()] == ["old.html"]
    save(elevation_bound_figure(), folder / "new.html")

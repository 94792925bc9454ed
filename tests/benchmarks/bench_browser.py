"""The placement explorer in JupyterLab next to the barest thing that moves: one slider on a one-line 3D figure.

Run on demand (`pytest -n 0 -s tests/benchmarks/bench_browser.py`) on a quiet machine; prints medians in milliseconds and the
kernel's memory, and asserts nothing about time.
"""

import statistics

import nbformat
import pytest
from browser import BROWSER, Lesson, browser, jupyterlab

pytestmark = pytest.mark.skipif(BROWSER is None, reason="no Chromium or Chrome on this machine")

BARE = """
import ipywidgets, plotly.graph_objects as go
figure = go.FigureWidget([go.Scatter3d(x=[0, 1], y=[0, 1], z=[0, 1], mode="lines")], layout={"width": 505, "height": 525})
slider = ipywidgets.FloatSlider(min=1, max=9, step=0.1)
slider.observe(lambda change: figure.data[0].update(x=[0, change["new"]]), "value")
box = ipywidgets.VBox([slider, figure])
box.add_class("bare")
box
"""
EXPLORER = "from ergokit.explorers import placement_explorer\nexplorer = placement_explorer()\nexplorer"
ZONE = "explorer.layers['zone'].value = True"
MEMORY = "import resource; print('peak', resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024, 'MB')"
_WATCH = """selector => {
    const plot = document.querySelector(selector + ' .js-plotly-plot');
    window.painted = null;
    const painted = () => window.painted = performance.now();
    plot.on('plotly_afterplot', () => requestAnimationFrame(() => requestAnimationFrame(painted)));
    document.addEventListener('keydown', () => { window.pressed = performance.now(); window.painted = null; }, true);
}"""
_SHOWN = "selector => !!document.querySelector(selector + ' .js-plotly-plot .gl-container canvas')"


def notebook(folder, name, *cells):
    book = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(cell) for cell in cells])
    book.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3", "language": "python"}
    nbformat.write(book, folder / name)


@pytest.fixture(scope="module")
def open_notebook(tmp_path_factory):
    folder = tmp_path_factory.mktemp("bench")
    notebook(folder, "bare.ipynb", BARE)
    notebook(folder, "explorer.ipynb", EXPLORER)
    notebook(folder, "both.ipynb", BARE, EXPLORER, MEMORY)
    notebook(folder, "zone.ipynb", BARE, EXPLORER, ZONE)
    with jupyterlab(folder) as address, browser() as running:
        yield lambda name, **options: Lesson(running, address, name, **options)


def moves(lesson, selector, times=25):
    """Median and slow end of key press to painted picture, in ms."""
    lesson.look_at(selector)
    lesson.page.wait_for_function(_SHOWN, arg=selector)
    lesson.page.wait_for_timeout(2000)
    lesson.page.evaluate(_WATCH, selector)
    handle = lesson.page.locator(f"{selector} [role=slider]").first
    took = []
    for i in range(times):
        handle.press("ArrowRight" if i % 2 == 0 else "ArrowLeft")
        lesson.page.wait_for_function("window.painted !== null", timeout=10_000)
        lesson.page.wait_for_timeout(250)  # the last of several redraws counts
        took.append(lesson.page.evaluate("window.painted - window.pressed"))
    return statistics.median(took[3:]), sorted(took[3:])[-2]


@pytest.mark.parametrize("name", ["both.ipynb", "zone.ipynb"])
def test_moves(open_notebook, name):
    lesson = open_notebook(name)
    bare, explorer = moves(lesson, ".bare"), moves(lesson, ".ergokit")
    print(f"\n{name}: bare {bare[0]:.0f} ms (slow {bare[1]:.0f}), explorer {explorer[0]:.0f} ms (slow {explorer[1]:.0f})")
    print(f"{explorer[0] / bare[0]:.2f} times as long")
    if name == "both.ipynb":
        print(lesson.page.get_by_text("peak").last.inner_text())
    lesson.page.close()


def test_first_picture(open_notebook):
    """From Run All to the first canvas, bare and explorer by turns; the first of each warms the disk up."""
    times = {"bare": [], "explorer": []}
    for _ in range(4):
        for name, selector in (("bare", ".bare"), ("explorer", ".ergokit")):
            lesson = open_notebook(f"{name}.ipynb", until=(_SHOWN, selector))
            times[name].append(lesson.seconds)
            lesson.close_kernel()
    bare, explorer = (statistics.median(times[name][1:]) for name in times)
    print(f"\nfirst picture: bare {bare:.1f} s, explorer {explorer:.1f} s, {explorer / bare:.2f} times as late")

"""The placement explorer in JupyterLab next to the barest thing that moves: one slider on a one-line 3D figure.

Run on demand (`pytest -n 0 -s tests/benchmarks/bench_browser.py`) on a quiet machine; prints medians in milliseconds and the
kernel's memory, and asserts nothing about time.
"""

import shutil
import statistics
import subprocess
import sys

import nbformat
import pytest
from browser import BROWSER, NOTEBOOKS, Lesson, browser, jupyterlab

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
    const plot = document.querySelector(selector + ' .js-plotly-plot'), svg = document.querySelector(selector + ' svg.space');
    window.painted = null;
    const painted = () => window.painted = performance.now();
    const after = () => requestAnimationFrame(() => requestAnimationFrame(painted));
    if (plot) plot.on('plotly_afterplot', after);
    else new MutationObserver(after).observe(svg, { childList: true });
    document.addEventListener('keydown', () => { window.pressed = performance.now(); window.painted = null; }, true);
}"""
#: Counts what comes from the kernel, without what JupyterLab itself asks for.
_COUNT = """
window.heard = 0;
const Heard = window.WebSocket;
window.WebSocket = class extends Heard {
    constructor(...args) {
        super(...args);
        if (String(args[0]).includes('/channels')) this.addEventListener('message', ({ data }) => {
            window.heard += data.size ?? data.byteLength ?? data.length;
        });
    }
};
"""
_EVERY = """
import resource, statistics, time
import numpy as np
from ergokit import explorers
from ergokit.explorers.controls import on_grid
made = {name: getattr(explorers, name)() for name in explorers.__all__ if name.endswith('_explorer')}
made |= {'practice': explorers.practice(), 'talk kit': explorers.talk_kit()}
print('peak with every explorer open', resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024, 'MB')
explorer, rng, took = made['placement_explorer'], np.random.default_rng(5), []
names = list(explorer.controls)
while len(took) < 500:
    control, number = explorer.controls[names[rng.integers(len(names))]], explorer.picture.number
    value = on_grid(control, np.clip(control.value + rng.uniform(-3, 3), control.min, control.max))
    start = time.process_time()
    control.value = value
    took += [1000 * (time.process_time() - start)] * (explorer.picture.number != number)
print(f'kernel work a move: {statistics.median(took):.1f} ms in the median of 500')
"""
_SHOWN = "selector => !!document.querySelector(`${selector} .gl-container canvas, ${selector} .painted svg.space`)"


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
    with jupyterlab(folder) as address, browser(webgl=True) as running:  # for the bare rival

        def opened(name, **options):
            return Lesson(running, address, name, **options)

        opened.folder = folder
        yield opened


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


#: Holds a key down as a hand does, 30 times a second for three seconds; how long after letting go the picture still changed.
_HOLD = """async selector => {
    const root = document.querySelector(selector), handle = root.querySelector('[role=slider]');
    const words = () => [...root.querySelectorAll('svg.space text, .ergokit-large b')].map(each => each.textContent).join();
    const press = { key: 'ArrowRight', bubbles: true, cancelable: true };
    const wait = ms => new Promise(resolve => setTimeout(resolve, ms));
    handle.focus();
    const start = performance.now();
    while (performance.now() - start < 3000) {
        handle.dispatchEvent(new KeyboardEvent('keydown', press));
        await wait(33);
    }
    const end = performance.now();
    let last = words(), when = end;
    while (performance.now() - end < 3000) {
        await wait(10);
        if (words() !== last) [last, when] = [words(), performance.now()];
    }
    return when - end;
}"""


def test_holding_a_slider_down(open_notebook):
    lesson = open_notebook("explorer.ipynb")
    lesson.look_at(".ergokit")
    took = [lesson.page.evaluate(_HOLD, ".ergokit") for _ in range(3)]
    print(f"\nthe picture stands {', '.join(f'{ms:.0f}' for ms in took)} ms after a slider held for 3 s is let go")
    lesson.page.close()


def test_first_picture(open_notebook):
    """From Run All to the first canvas, bare and explorer by turns; the first of each warms the disk up."""
    times = {"bare": [], "explorer": []}
    for _ in range(4):
        for name, selector in (("bare", ".bare"), ("explorer", ".ergokit")):
            lesson = open_notebook(f"{name}.ipynb", until=(_SHOWN, selector))
            times[name].append(lesson.seconds)
            lesson.close()
    bare, explorer = (statistics.median(times[name][1:]) for name in times)
    print(f"\nfirst picture: bare {bare:.1f} s, explorer {explorer:.1f} s, {explorer / bare:.2f} times as late")


def test_turning(tmp_path):
    """Pictures a second while the scene is dragged round, without a graphics card or WebGL."""
    notebook(tmp_path, "turn.ipynb", EXPLORER, ZONE)
    with jupyterlab(tmp_path) as address, browser() as running:
        frames = turned(Lesson(running, address, "turn.ipynb"))
    print(f"\nturning with the zone: {frames:.0f} pictures a second")


def turned(lesson):
    lesson.look_at(".ergokit")
    return lesson.page.evaluate(
        """async () => {
            const svg = document.querySelector('.ergokit svg.space'), box = svg.getBoundingClientRect();
            let painted = 0;
            new MutationObserver(() => painted++).observe(svg, { childList: true });
            const at = (type, i) => svg.dispatchEvent(new PointerEvent(type, { pointerId: 1, isPrimary: true, bubbles: true,
                clientX: box.x + 250 + 100 * Math.sin(i / 20), clientY: box.y + 250 }));
            svg.setPointerCapture = () => {};
            at('pointerdown', 0);
            const start = performance.now();
            for (let i = 0; performance.now() - start < 3000; i++) {
                at('pointermove', i);
                await new Promise(requestAnimationFrame);
            }
            at('pointerup', 0);
            return painted / 3;
        }"""
    )


def test_sent_at_run_all(open_notebook, tmp_path):
    """What the kernel sends when lesson 05 is run, in MB, by the browser's own count."""
    shutil.copy(NOTEBOOKS / "05_off_axis_targets.ipynb", open_notebook.folder)
    lesson = open_notebook("05_off_axis_targets.ipynb", script=_COUNT)
    print(f"\nsent at Run All of lesson 05: {lesson.page.evaluate('window.heard') / 1e6:.2f} MB")
    lesson.page.close()


def test_memory_of_every_explorer():
    """Peak memory of a kernel with every explorer open, in MB, and the time a random move takes it."""
    made = subprocess.run([sys.executable, "-c", _EVERY], capture_output=True, text=True, check=True)
    print(f"\n{made.stdout}")

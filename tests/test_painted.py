"""Every move of every explorer is painted: the browser says after each what it shows. All of it can be read in both themes."""

import json
import re

import pytest
from browser import Lesson, write_notebook
from draws import draws

from ergokit import explorers
from ergokit.figures.style import PALETTE

#: Those with sliders to move; a form has pictures that its own browser tests ask for.
FORMS = {
    "carton_explorer",
    "complaint_explorer",
    "experiments_explorer",
    "log_explorer",
    "photo_explorer",
    "readings_explorer",
    "session_explorer",
}
EXPLORERS = sorted(name for name in explorers.__all__ if name.endswith("_explorer") and name not in FORMS)
#: Shows one explorer after the other and moves it; after each move the browser has to say that it painted what the kernel
#: drew: its number, and the words in it.
_WALKS = """
import asyncio
import json

import ipywidgets
import numpy as np

from ergokit import explorers

stage, told = ipywidgets.Box(), ipywidgets.Label("on the way")

async def walk(explorer):
    rng, names = np.random.default_rng(1), list(explorer.controls)
    pictures = getattr(explorer, "pictures", None) or [explorer.picture]
    stage.children = [explorer]
    for i in range({moves}):
        control = explorer.controls[names[rng.integers(len(names))]]
        ends = np.sort(rng.uniform(control.min, control.max, 2)).round(1).tolist()
        control.value = ends if isinstance(control.value, tuple) else ends[0]
        explorer.follows()
        for picture in pictures:
            for _ in range(6000):
                if picture.shown and picture.shown[-1] == (picture.number, picture.words):
                    break
                await asyncio.sleep(0.01)
            else:
                return f"move {{i}}: {{picture.shown}} is shown, {{picture.number, picture.words}} is drawn"
    return "every move was painted"

async def walk_all():
    ends, made = {{}}, []
    for name in {names}:
        try:
            made.append(getattr(explorers, name)())
            ends[name] = await walk(made[-1])
        except Exception as error:
            ends[name] = repr(error)
    stage.children = [ipywidgets.VBox(made)]
    told.value = json.dumps(ends)

task = asyncio.get_running_loop().create_task(walk_all())
ipywidgets.VBox([stage, told])
"""

#: Every word of the explorers, every slider's handle and every line and sign of their figures: [what, contrast with what is
#: behind it], by the formula of WCAG 2.1. Left out are grids, which only help to read, and clouds of faint lines.
_CONTRASTS = """(grids) => {
    const parsed = (colour) => {
        const parts = (colour.match(/[\\d.]+/g) ?? [0, 0, 0, 0]).map(Number);
        return [...parts.slice(0, 3), parts[3] ?? 1];
    };
    const over = ([r, g, b, a], under) => [r, g, b].map((part, i) => a * part + (1 - a) * under[i]);
    const light = (colour) => colour.map((part) => part / 255)
        .map((part) => part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4)
        .reduce((sum, part, i) => sum + [0.2126, 0.7152, 0.0722][i] * part, 0);
    const contrast = (one, other) => {
        const [dark, bright] = [light(one), light(other)].sort((a, b) => a - b);
        return (bright + 0.05) / (dark + 0.05);
    };
    const outwards = (element) => element ? [element, ...outwards(element.parentElement)] : [];
    const ground = (element) => outwards(element).map((each) => parsed(getComputedStyle(each).backgroundColor)).reverse()
        .reduce((under, colour) => over(colour, under), [255, 255, 255]);
    const faded = (element) => outwards(element).reduce((share, each) => share * getComputedStyle(each).opacity, 1);
    const shown = (each) => each.checkVisibility({ visibilityProperty: true }) && each.getBoundingClientRect().width > 1;
    const words = [], lines = [];
    for (const element of document.querySelectorAll(".ergokit *")) {
        if (!shown(element) || element.disabled) continue;
        const style = getComputedStyle(element), inFigure = element.closest("svg");
        const own = [...element.childNodes].map((node) => node.nodeType === 3 ? node.textContent.trim() : "").join("");
        const text = own || (element.matches("input[type=text], input[type=number], textarea") && element.value);
        const seen = (kind) => {
            const colour = parsed(style[kind]), behind = ground(element);
            colour[3] *= style[`${kind}Opacity`] * faded(element);
            return style[kind] === "none" ? 1 : contrast(over(colour, behind), behind);
        };
        if (text && !element.closest("style, script, option")) {
            const back = ground(element);
            words.push([text.slice(0, 40), inFigure ? seen("fill") : contrast(over(parsed(style.color), back), back)]);
        } else if (element.matches(".noUi-handle")) {
            const behind = ground(element.parentElement);
            lines.push(["slider", contrast(over(parsed(style.backgroundColor), behind), behind)]);
        } else if (element.matches("svg.space path, .scatterlayer path, .annotation-arrow-g path")) {
            if (element.closest(".fills, .errorbars") || faded(element) < 0.5) continue;
            if (grids.includes(style.stroke)) continue;
            const sign = style.fill !== "none" && style.fillOpacity > 0 ? seen("fill") : 1;
            const line = parseFloat(style.strokeWidth) > 0 ? seen("stroke") : 1;
            if (sign > 1 || line > 1) lines.push([`${style.stroke} ${style.fill}`, Math.max(sign, line)]);
        }
    }
    return [words, lines];
}"""


def _in_theme(lesson, name):
    """What is seen once JupyterLab shows a theme: words and lines, each with its contrast."""
    for item in ("Settings", "Theme", name):
        lesson.page.locator(".lm-MenuBar-itemLabel, .lm-Menu-itemLabel", has_text=re.compile(f"^{item}$")).last.click()
    shown = "name => document.body.dataset.jpThemeName === name && !document.querySelector('.ergokit-canvas:not(.painted)')"
    lesson.page.wait_for_function(shown, arg=name, polling=100)
    lesson.page.wait_for_timeout(500)  # JupyterLab fades colours
    return lesson.page.evaluate(
        _CONTRASTS, [f"rgb({', '.join(map(str, bytes.fromhex(mist[1:])))})" for mist in PALETTE["mist"]]
    )


def painted(running, lab, moves, themes=()):
    """Explorer -> what came of moving it at random and waiting each time until its pictures are painted; and theme -> words and
    lines, as they are then seen in all explorers."""
    folder, address = lab
    write_notebook(folder / "walks.ipynb", _WALKS.format(names=EXPLORERS, moves=moves))
    lesson = Lesson(running, address, "walks.ipynb")
    assert not lesson.errors()
    label = lesson.page.locator(".jp-OutputArea-output .widget-label").last
    lesson.look_at(".ergokit")
    ended = "label => label.textContent !== 'on the way'"
    lesson.page.wait_for_function(ended, arg=label.element_handle(), polling=100, timeout=1_800_000)
    ends = json.loads(label.inner_text())
    seen = {theme: _in_theme(lesson, theme) for theme in themes}
    assert not lesson.complaints
    lesson.close()
    return ends, seen


@pytest.fixture(scope="module")
def ends(running, lab):
    return painted(running, lab, draws(4, 15), ("JupyterLab Dark", "JupyterLab Light"))


@pytest.mark.parametrize("name", EXPLORERS)
def test_every_move_of_an_explorer_is_painted(name, ends):
    assert ends[0][name] == "every move was painted"


@pytest.mark.parametrize("theme", ["JupyterLab Dark", "JupyterLab Light"])
def test_words_and_lines_stand_out_in_both_themes(theme, ends):
    words, lines = ends[1][theme]
    assert len(words) > 300 and len(lines) > 150
    assert not {text: round(contrast, 2) for text, contrast in words if contrast < 4.5}
    assert not {colours: round(contrast, 2) for colours, contrast in lines if contrast < 3}

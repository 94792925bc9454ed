"""The words of plotly figures as a browser paints them: which are cut off, and which lie on each other."""

import numpy as np
from plotly.offline import get_plotlyjs

from ergokit import Placement

_MEASURE = """text => Plotly.newPlot("here", {...JSON.parse(text), config: {staticPlot: true}}).then(plot => {
    const frame = plot.querySelector(".main-svg").getBoundingClientRect();
    const found = [...plot.querySelectorAll(".main-svg text")].filter(text => text.textContent.trim()).map(text => {
        const box = text.getBoundingClientRect();
        return [text.textContent, box.left - frame.left, box.top - frame.top, box.right - frame.left, box.bottom - frame.top];
    });
    Plotly.purge(plot);
    return [frame.width, frame.height, found.filter(([, left, , right]) => right > left)];
})"""
_TOUCH = 1.0  # px that boxes may share, and letters may lie beyond the edge: rounding
_AIR = 0.16  # of a line's height, above its capitals and below its foot, has no ink


def page_for_figures(running):
    """A page of a Playwright browser with plotly's own script, for `amiss`."""
    page = running.new_context(offline=True, viewport={"width": 1400, "height": 1200}).new_page()
    page.set_content('<div id="here"></div>')
    page.add_script_tag(content=get_plotlyjs())
    return page


def amiss(page, figure):
    """What is wrong with a figure's words, a sentence each: cut off at the edge, or two on top of each other."""
    width, height, found = page.evaluate(_MEASURE, figure.to_json())
    said = []
    for i, (text, left, top, right, bottom) in enumerate(found):
        if min(left, top) < -_TOUCH or right > width + _TOUCH or bottom > height + _TOUCH:
            said.append(f"{text!r} is cut off")
        for other, *box in found[:i]:
            wide = min(right, box[2]) - max(left, box[0])
            high = min(bottom, box[3]) - max(top, box[1]) - _AIR * min(bottom - top, box[3] - box[1])
            if min(wide, high) > _TOUCH:
                said.append(f"{text!r} lies on {other!r}")
    return said


def uneven(rng):
    """A placement, uneven in every way a box allows; one in three is very uneven."""
    wild = 2.5 if rng.random() < 1 / 3 else 1.0
    while True:
        left = rng.uniform((-12 * wild, -4 * wild, 8), (-2, 4 * wild, 8 + 6 * wild))
        right = rng.uniform((2, -4 * wild, 8), (12 * wild, 4 * wild, 8 + 6 * wild))
        target = rng.uniform((-6 * wild, 2, 0), (6 * wild, 8 + 5 * wild, 3))
        camera = rng.uniform((-6 * wild, -2, 10), (6 * wild, 6, 22))
        lengths = np.linalg.norm(np.stack([left, right]) - target, axis=1)
        if lengths.max() < 34:
            return Placement(left, right, target, camera)

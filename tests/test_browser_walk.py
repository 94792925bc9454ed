"""Every explorer in JupyterLab, in a real browser, moved about at random."""

import nbformat
import pytest
from browser import Lesson, jupyterlab

from ergokit import explorers

EXPLORERS = sorted(name for name in explorers.__all__ if name.endswith("_explorer"))
_WALK = """
import numpy as np
rng, names = np.random.default_rng(1), list(explorer.controls)
for _ in range(500):
    control = explorer.controls[names[rng.integers(len(names))]]
    ends = np.sort(rng.uniform(control.min, control.max, 2)).round(1).tolist()
    control.value = ends if isinstance(control.value, tuple) else ends[0]
    explorer.follows()
explorer.reset()
exercise(explorer)
"""


@pytest.mark.parametrize("name", EXPLORERS)
def test_explorer_survives_a_random_walk_of_500_moves(name, tmp_path, running):
    cells = [f"from ergokit.explorers import exercise, {name}\nexplorer = {name}()\nexplorer", _WALK]
    book = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(cell) for cell in cells])
    book.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3", "language": "python"}
    nbformat.write(book, tmp_path / "walk.ipynb")
    with jupyterlab(tmp_path) as address:
        lesson = Lesson(running, address, "walk.ipynb")
        assert not lesson.errors()
        lesson.page.get_by_text("the picture and the numbers followed").wait_for(state="attached", timeout=60_000)
        lesson.look_at(".ergokit")
        lesson.page.locator(".ergokit .js-plotly-plot .main-svg").first.wait_for(timeout=60_000)
        assert not lesson.complaints
        lesson.page.close()

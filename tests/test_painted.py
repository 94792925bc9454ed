"""Every move of every explorer is painted: the browser says after each what it shows."""

import json

import pytest
from browser import Lesson, write_notebook
from draws import draws

from ergokit import explorers

EXPLORERS = sorted(name for name in explorers.__all__ if name.endswith("_explorer"))
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
    ends = {{}}
    for name in {names}:
        try:
            ends[name] = await walk(getattr(explorers, name)())
        except Exception as error:
            ends[name] = repr(error)
    told.value = json.dumps(ends)

task = asyncio.get_running_loop().create_task(walk_all())
ipywidgets.VBox([stage, told])
"""


def painted(running, lab, moves):
    """Explorer -> what came of moving it at random and waiting each time until its pictures are painted."""
    folder, address = lab
    write_notebook(folder / "walks.ipynb", _WALKS.format(names=EXPLORERS, moves=moves))
    lesson = Lesson(running, address, "walks.ipynb")
    assert not lesson.errors()
    label = lesson.page.locator(".jp-OutputArea-output .widget-label").last
    lesson.look_at(".ergokit")
    ended = "label => label.textContent !== 'on the way'"
    lesson.page.wait_for_function(ended, arg=label.element_handle(), polling=100, timeout=1_800_000)
    ends = json.loads(label.inner_text())
    assert not lesson.complaints
    lesson.close()
    return ends


@pytest.fixture(scope="module")
def ends(running, lab):
    return painted(running, lab, moves=draws(6, 15))


@pytest.mark.parametrize("name", EXPLORERS)
def test_every_move_of_an_explorer_is_painted(name, ends):
    assert ends[name] == "every move was painted"

"""On demand: every lesson, every explorer, two hundred moves. `python -m pytest -n 0 tests/slow/test_long_evening.py`"""

import pytest
from browser import NOTEBOOKS
from test_cells import leaves_one, notebook
from test_never_blank import comes_up
from test_painted import EXPLORERS, painted

__all__ = ["notebook"]  # a fixture


@pytest.mark.parametrize("name", sorted(path.name for path in NOTEBOOKS.glob("*.ipynb")))
def test_no_picture_of_any_lesson_is_empty(running, lab, name):
    comes_up(running, lab, name)


def test_two_hundred_moves_are_painted(running, lab):
    assert set(painted(running, lab, moves=200)[0].values()) == {"every move was painted"}


@pytest.mark.parametrize("name", [*EXPLORERS, "practice", "talk_kit"])
def test_a_cell_run_again_leaves_one_explorer(notebook, name):
    leaves_one(notebook, name, times=15)

"""Running a cell again closes the explorer that it replaces: in a kernel of its own, as JupyterLab asks it to run a cell."""

import json
import os
from pathlib import Path

import pytest
from draws import draws
from jupyter_client.manager import start_new_kernel

ROOT = Path(__file__).parents[1]
STATE = """
import gc, json, psutil
from ipywidgets.widgets.widget import _instances
gc.collect()
print(json.dumps([len(_instances), psutil.Process().memory_info().rss / 1e6]))
"""


class Notebook:
    """A kernel, and what its cells print."""

    def __init__(self):
        path = os.pathsep.join(filter(None, (str(ROOT), os.environ.get("PYTHONPATH"))))
        self.manager, self.client = start_new_kernel(env=os.environ | {"PYTHONPATH": path})

    def run(self, code, cell=None):
        """Run a cell as JupyterLab does: with its id, where it has one."""
        content = {"code": code, "silent": False, "store_history": True, "user_expressions": {}, "allow_stdin": False}
        message = self.client.session.msg("execute_request", content, metadata={} if cell is None else {"cellId": cell})
        self.client.shell_channel.send(message)
        printed = ""
        while True:
            answer = self.client.get_iopub_msg(timeout=120)
            if answer["parent_header"].get("msg_id") != message["header"]["msg_id"]:
                continue
            kind, content = answer["msg_type"], answer["content"]
            assert kind != "error", "\n".join(content["traceback"])
            printed += content["text"] if kind == "stream" and content["name"] == "stdout" else ""
            if kind == "status" and content["execution_state"] == "idle":
                return printed

    def state(self):
        """How many widgets are alive, and the memory of the kernel in MB."""
        return json.loads(self.run(STATE))


@pytest.fixture(scope="module")
def notebook():
    notebook = Notebook()
    yield notebook
    notebook.client.stop_channels()
    notebook.manager.shutdown_kernel(now=True)


# A scene that is moved, a search that goes on by itself, and a form; the others in tests/slow/test_long_evening.py.
@pytest.mark.parametrize("name", ["placement_explorer", "targets_explorer", "talk_kit"])
def test_a_cell_that_runs_again_leaves_one_explorer(notebook, name):
    leaves_one(notebook, name)


TIMES = draws(2, 4)


def leaves_one(notebook, name, times=TIMES):
    """Run a cell that makes an explorer some times more: no more widgets than at first, and the memory within 10 %."""
    code = f"from ergokit.explorers import {name}\nshown = {name}()\nshown"
    notebook.run(code, name)
    notebook.run(code, name)
    widgets, memory = notebook.state()
    for _ in range(times):
        notebook.run(code, name)
    again, grown = notebook.state()
    assert again == widgets
    assert grown < 1.1 * memory


def test_the_new_explorer_works_and_the_other_cells_keep_theirs(notebook):
    notebook.run("from ergokit.explorers import lever_explorer, predict\nguess = predict('How wide?', 60)\nguess", "first")
    for _ in range(2):
        notebook.run("shown = lever_explorer()\nshown", "second")
    shown = "shown.controls['length inside'].value = 24\nshown.follows()\nprint('numbers' in str(shown.children))"
    assert notebook.run(shown).strip() == "True"
    assert notebook.run("print(guess.comm is not None, shown.comm is not None)").strip() == "True True"


def test_without_the_id_of_a_cell_nothing_is_closed(notebook):
    notebook.run("from ergokit.explorers import predict\none = predict('How wide?', 60)")
    notebook.run("two = predict('How wide?', 60)")
    assert notebook.run("print(one.comm is not None)").strip() == "True"

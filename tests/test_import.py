"""`import ergokit` stays light, and every public name is there."""

import inspect
import json
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import ergokit
from ergokit import triangulation

HEAVY = ("plotly", "pandas", "sympy", "scipy", "ipywidgets")
PUBLIC = ergokit.__all__


def loaded_by(statement):
    code = f"import sys; {statement}; print(*sys.modules, sep='\\n')"
    return subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True).stdout.split()


def test_import_loads_numpy_and_the_standard_library_alone():
    packages = {name.partition(".")[0] for name in loaded_by("import ergokit")}
    bare = {name.partition(".")[0] for name in loaded_by("import numpy")}
    assert "ergokit" in packages
    assert packages.isdisjoint(HEAVY)
    assert packages - bare - sys.stdlib_module_names == {"ergokit"}


def test_an_explorer_loads_only_the_rooms_it_needs():
    statement = "from ergokit.explorers import placement_explorer; placement_explorer()"
    packages = {name.partition(".")[0] for name in loaded_by(statement)}
    assert "plotly" in packages and not packages & {"scipy", "sympy", "reportlab", "pptx", "contourpy"}


IN_A_KERNEL = """
import sys
from types import SimpleNamespace
from IPython.core.displaypub import CapturingDisplayPublisher
from ipykernel.zmqshell import ZMQInteractiveShell

shell = ZMQInteractiveShell.instance()
shell.display_pub = CapturingDisplayPublisher()
from ergokit import one_triangle, triangle_figure

figure = triangle_figure(one_triangle(spacing=18, depth=15))
assert shell.display_formatter.format(figure) == ({}, {})  # it shows itself
assert "nbformat" not in sys.modules
sys.modules["nbformat"] = SimpleNamespace(__version__="5")
figure._ipython_display_()  # as plotly does it
from plotly import io

io.renderers.default = "json"
shell.display_formatter.format(figure)
mine, plotly_s, chosen = shell.display_pub.outputs
assert list(mine["data"]) == ["application/vnd.plotly.v1+json"]
assert mine == plotly_s and list(chosen["data"]) == ["application/json"]
"""


def test_a_figure_shows_itself_in_a_kernel_as_plotly_would_without_loading_nbformat():
    subprocess.run([sys.executable, "-c", IN_A_KERNEL], check=True)


@pytest.mark.parametrize("name", PUBLIC)
def test_every_public_name_resolves(name):
    assert getattr(ergokit, name) is not None


def test_every_angle_and_length_is_public():
    functions = inspect.getmembers(triangulation, inspect.isfunction)
    own = {name for name, f in functions if f.__module__ == triangulation.__name__ and name[0] != "_"}
    assert own <= set(PUBLIC)


def test_the_licence_ships_with_its_text():
    root = Path(__file__).parent.parent
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["license"] == "MIT" and project["license-files"] == ["ergokit/LICENSE"]
    text = " ".join((root / "ergokit" / "LICENSE").read_text(encoding="utf-8").split())
    assert text.startswith("MIT License Copyright (c)") and 'THE SOFTWARE IS PROVIDED "AS IS"' in text
    assert "ergokit/LICENSE" in (root / "README.md").read_text(encoding="utf-8")


def test_what_a_lesson_imports_comes_from_the_kit_itself():
    lessons = sorted((Path(__file__).parent.parent / "notebooks").glob("*.ipynb"))
    cells = [cell for path in lessons for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]]
    code = "\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "code")
    assert len(lessons) == 16 and code.count("from ergokit import ") >= 15 and "from ergokit." not in code

"""What tests share: a browser and JupyterLab, the mark of what needs them, and how Hypothesis looks for counterexamples."""

import gc
import itertools
import os
import shutil
import sys
import tempfile

import pytest
from browser import BROWSER, DESK, NOTEBOOKS, browser, jupyterlab
from draws import draws
from hypothesis import settings

# Nothing here may read or write what the reader of this machine made: lessons and doctests have an empty desk of their own.
os.environ["ERGOKIT_HOME"] = tempfile.mkdtemp(prefix="ergokit-desk-")

# Workers, kernels and JupyterLab read what the first of them compiled, even where Python is told to keep nothing, and each of
# them reckons in one thread: on small matrices more only wait for one another. Numpy is not loaded yet.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
gc.set_threshold(50_000)
gc.disable()  # until all tests are collected: these stay

_DESKS = itertools.count()

EXAMPLES = draws(30, 100)
EACH = {"deadline": None, "max_examples": EXAMPLES}  # a busy machine is no reason to fail
settings.register_profile("here", **EACH, derandomize=False)  # new ones, also where CI is set to nothing
settings.register_profile("ci", **EACH, derandomize=True)  # the same examples each time
settings.load_profile("ci" if os.environ.get("CI") else "here")


def pytest_collection_finish():
    gc.freeze()
    gc.enable()


def pytest_collection_modifyitems(items):
    """What opens a browser is marked so and comes first: it mostly waits, and the rest is done meanwhile. Lessons come next."""
    for item in items:
        if "needs_browser" in getattr(item, "fixturenames", ()):
            item.add_marker("browser")
    items.sort(key=lambda item: 0 if item.get_closest_marker("browser") else 1 if item.path.suffix == ".ipynb" else 2)


@pytest.fixture(autouse=True)
def desk(request, tmp_path_factory, monkeypatch):
    """An empty desk for every test, in this process and in the kernels of its browser; its folder, which does not exist yet."""
    folder = tmp_path_factory.getbasetemp() / f"desk{next(_DESKS)}" / "ergokit"
    monkeypatch.setenv("ERGOKIT_HOME", str(folder))
    if "lab" in request.fixturenames:
        lessons, _ = request.getfixturevalue("lab")
        shutil.rmtree(lessons / DESK, ignore_errors=True)
        folder = lessons / DESK
    return folder


def pytest_unconfigure():
    shutil.rmtree(os.environ["ERGOKIT_HOME"], ignore_errors=True)


@pytest.fixture(scope="session")
def needs_browser():
    """Without a browser a reader's test is skipped; in CI it fails."""
    if BROWSER is None and not os.environ.get("CI"):
        pytest.skip("no Chromium or Chrome on this machine")
    assert BROWSER, "CI needs a browser: install Debian's chromium"


@pytest.fixture(scope="module")
def running(needs_browser):
    """A headless browser for the tests of one file: no longer, since Playwright keeps others from running an event loop."""
    with browser() as one:
        yield one


@pytest.fixture(scope="session")
def lab(needs_browser, tmp_path_factory):
    """A folder with all lessons, served by one JupyterLab for all tests of a worker, and its address."""
    folder = tmp_path_factory.mktemp("lab")
    for path in NOTEBOOKS.glob("*.ipynb"):
        shutil.copy(path, folder)
    with jupyterlab(folder) as address:
        yield folder, address

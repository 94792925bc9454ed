"""On demand: as many random examples as the quick runs are spared. `python -m pytest -n 0 tests/slow/test_many.py`"""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]


DRAWING = [path.name for path in sorted(TESTS.glob("test_*.py")) if re.search(r"draws\(|@given", path.read_text("utf-8"))]


@pytest.mark.parametrize("name", DRAWING)
def test_with_many_examples(name):
    command = [sys.executable, "-m", "pytest", "-n", "0", "-q", str(TESTS / name)]
    done = subprocess.run(command, cwd=TESTS.parent, env=os.environ | {"ERGOKIT_MANY": "1"}, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout[-3000:]

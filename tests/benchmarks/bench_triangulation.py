"""How quick the ground floor is, run on demand: pytest -n 0 tests/benchmarks/bench_triangulation.py

Wanted: a million manipulation angles in at most twice the time of the plainest arithmetic with one arctan2, and
`import ergokit` in at most one and a half times that of `import numpy`.
"""

import subprocess
import sys

import numpy as np
import pytest

from ergokit import manipulation_angle

LEFT, RIGHT = (-9.0, 0.0, 12.0), (9.0, 0.0, 12.0)


@pytest.fixture(scope="module")
def targets():
    return np.random.default_rng(0).uniform((-10, 0, 0), (10, 20, 5), size=(1_000_000, 3))


def plain(left, right, target):
    """Checks nothing, works for this shape alone."""
    ux, uy, uz = left[0] - target[:, 0], left[1] - target[:, 1], left[2] - target[:, 2]
    vx, vy, vz = right[0] - target[:, 0], right[1] - target[:, 1], right[2] - target[:, 2]
    x, y, z = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    return np.degrees(np.arctan2(np.sqrt(x * x + y * y + z * z), ux * vx + uy * vy + uz * vz))


@pytest.mark.benchmark(group="a million manipulation angles")
@pytest.mark.parametrize("angle", [plain, manipulation_angle])
def test_manipulation_angle(benchmark, angle, targets):
    result = benchmark.pedantic(angle, args=(LEFT, RIGHT, targets), rounds=15, warmup_rounds=2)
    np.testing.assert_allclose(result[:1000], plain(LEFT, RIGHT, targets[:1000]), rtol=0, atol=1e-12)


@pytest.mark.benchmark(group="import in a fresh Python")
@pytest.mark.parametrize("package", ["numpy", "ergokit"])
def test_import(benchmark, package):
    command = [sys.executable, "-c", f"import {package}"]
    benchmark.pedantic(subprocess.run, args=(command,), kwargs={"check": True}, rounds=15, warmup_rounds=2)

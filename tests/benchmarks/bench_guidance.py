"""How quick the guidance is, run on demand: pytest -n 0 tests/benchmarks/bench_guidance.py

Wanted: `conflicts` on a problem that names all ten quantities in under 10 ms, feasible or not.
"""

import pytest

from ergokit import Placement
from ergokit.guidance import conflicts, judge

TEN = {
    "manipulation angle": (45, 75),
    "port spacing": (15, 21),
    "length inside": (16, 20),
    "depth": (14, 17),
    "working distance": (12, 16),
    "inside : outside": (0.8, 1.2),
    "handle separation": (40, 52),
    "elevation angle": (35, 50),
    "azimuth angle, working plane": (35, 50),
    "chord to camera port": (8, 11),
}


@pytest.mark.parametrize(("spacing", "feasible"), [((15, 21), True), ((22, 24), False)], ids=["feasible", "clashing"])
def test_ten_quantities(benchmark, spacing, feasible):
    assert benchmark(conflicts, TEN | {"port spacing": spacing}).feasible == feasible


def test_judge(benchmark):
    placement = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 0, 12))
    assert len(benchmark(judge, placement)) == len(placement.measures())

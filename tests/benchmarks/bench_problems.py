"""How quick a sheet of questions is, run on demand: pytest -n 0 tests/benchmarks/bench_problems.py

Wanted: a sheet of 20 in under 5 s, the first one of a session too.
"""

import subprocess
import sys

import pytest

from ergokit.problems import KINDS, make_problem, write_sheet


def test_sheet_of_20(benchmark, tmp_path):
    path = benchmark(write_sheet, tmp_path / "sheet.pdf", n=20, overwrite=True)
    assert path.stat().st_size > 10_000


def test_first_sheet_of_a_session(benchmark, tmp_path):
    path = tmp_path / "sheet.pdf"
    code = f"from ergokit.problems import write_sheet; write_sheet({str(path)!r}, n=20, overwrite=True)"
    benchmark.pedantic(subprocess.run, args=([sys.executable, "-c", code],), kwargs={"check": True}, rounds=3)
    assert path.exists()


@pytest.mark.parametrize("kind", KINDS)
def test_problem(benchmark, kind):
    seeds = iter(range(10**6))
    assert benchmark(lambda: make_problem(kind, next(seeds))).kind == kind

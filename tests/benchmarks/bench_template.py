"""How quick a template and a design are, run on demand: pytest -n 0 tests/benchmarks/bench_template.py

Wanted: a template in under 2 s.
"""

import pytest

from ergokit.design import design_box
from ergokit.surfaces import WedgeBox
from ergokit.template import write_template

BOX = WedgeBox(ridge=50, side_a=40, side_b=30)


@pytest.mark.parametrize("whole_panel", [False, True], ids=["usual", "whole panel"])
def test_template(benchmark, tmp_path, whole_panel):
    placement = design_box(BOX).placement
    path = tmp_path / "box.pdf"
    benchmark(write_template, path, BOX, placement, whole_panel=whole_panel, overwrite=True)
    assert path.stat().st_size > 10_000


@pytest.mark.parametrize("carton", [BOX, WedgeBox], ids=["given carton", "smallest carton"])
def test_design(benchmark, carton):
    assert benchmark(design_box, carton).not_met == ()

"""How quick four photographs are, run on demand: pytest -n 0 tests/benchmarks/bench_photos.py

Wanted: four of 12 megapixels in at most 12 s and 600 MB.
"""

import resource

import numpy as np
from photographs import WEDGE, built, pages_of, papers, photographed

from ergokit.design import design_box
from ergokit.photos import check_photos, read_photo
from ergokit.template import marked_box, write_template


def test_four_photographs(benchmark, tmp_path):
    design = design_box(WEDGE)
    marked = marked_box(design)
    sheets = papers(pages_of(write_template(tmp_path / "box.pdf", design, markers=True)), marked, design)
    truth = built(design, np.random.default_rng(4))
    photos = [photographed(truth, i, sheets, size=(4000, 3000), seed=i) for i in range(4)]
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    found = benchmark(lambda: check_photos([read_photo(each, f"{i}.jpg") for i, each in enumerate(photos)], marked))
    benchmark.extra_info["MB more"] = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
    assert found.placement is not None

"""How quick four photographs are, run on demand: pytest -n 0 tests/benchmarks/bench_photos.py

Wanted: four of 12 megapixels in at most 12 s and 600 MB.
"""

import resource

import numpy as np
from photographs import built, photographed

from ergokit.photos import check_photos, read_photo


def test_four_photographs(benchmark, design, marked, sheets):
    truth = built(design, np.random.default_rng(4))
    photos = [photographed(truth, i, sheets, size=(4000, 3000), seed=i) for i in range(4)]
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    found = benchmark(lambda: check_photos([read_photo(each, f"{i}.jpg") for i, each in enumerate(photos)], marked))
    benchmark.extra_info["MB more"] = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
    assert found.placement is not None

"""How quick four photographs are, run on demand: pytest -n 0 -s tests/benchmarks/bench_photos.py

Wanted: four of 12 megapixels in at most 12 s and 600 MB more than before, in a process of their own.
"""

import os
import subprocess
import sys

import numpy as np
from photographs import WEDGE, built, pages_of, papers, photographed

from ergokit.design import design_box
from ergokit.template import marked_box, write_template

_MEASURED = """
import re, sys, time
from pathlib import Path
import cv2
from photographs import WEDGE
from ergokit.design import design_box
from ergokit.photos import check_photos
from ergokit.template import marked_box
marked = marked_box(design_box(WEDGE))
used = lambda: int(re.search(r"VmHWM:\\s+(\\d+)", Path("/proc/self/status").read_text())[1]) / 1024  # MB; Linux only
before, since, wall = used(), time.process_time(), time.perf_counter()
found = check_photos(sorted(Path(sys.argv[1]).glob("*.jpg")), marked)
print(time.perf_counter() - wall, time.process_time() - since, used() - before, found.placement is not None)
"""


def test_four_photographs(tmp_path):
    design = design_box(WEDGE)
    sheets = papers(pages_of(write_template(tmp_path / "box.pdf", design, markers=True)), marked_box(design), design)
    truth = built(design, np.random.default_rng(4))
    for i in range(4):
        (tmp_path / f"{i}.jpg").write_bytes(photographed(truth, i, sheets, size=(4000, 3000), seed=i))
    found = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    run = subprocess.run([sys.executable, "-c", _MEASURED, tmp_path], capture_output=True, text=True, check=True, env=found)
    wall, cpu, more, placed = run.stdout.split()
    print(f"\n{float(wall):.1f} s on the clock, {float(cpu):.1f} s of the processor, {float(more):.0f} MB more")
    assert placed == "True" and float(cpu) <= 12 and float(more) <= 600

"""How quick the tolerances and tape checks are, run on demand: pytest -n 0 tests/benchmarks/bench_tolerance.py

Wanted: every measure of 100,000 boxes, each with its holes somewhere else, in under 0.5 s.
"""

from ergokit import Placement
from ergokit.tape_check import check_tape
from ergokit.tolerance import error_effects, hole_tolerance

PLACEMENT = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 5, 16))


def test_effects_of_100_000_boxes(benchmark):
    found = benchmark(error_effects, PLACEMENT, 0.3, draws=100_000)
    assert found.draws == 100_000 and len(found.measures()) == 27


def test_hole_tolerance_from_100_000_boxes(benchmark):
    assert benchmark(hole_tolerance, PLACEMENT, 5, draws=100_000).agree


def test_tape_check(benchmark):
    lengths = {"port_to_port": 17.4, "left_to_target": 16.7, "right_to_target": 16.1, "camera_to_target": 14.8}
    to_camera = {"left_to_camera": 10.1, "right_to_camera": 11}
    heights = {"left_height": 11.5, "right_height": 11.8, "camera_height": 15.1, "target_height": 1}
    assert benchmark(check_tape, **lengths, **to_camera, **heights).well_placed

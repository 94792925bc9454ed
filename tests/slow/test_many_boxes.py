"""On demand: 2,000 honest boxes measured with a tape, `python -m pytest -n 0 -s tests/slow/test_many_boxes.py`."""

import numpy as np
from test_tape import noisy_boxes, refused
from test_tape_check import taped

from ergokit import display_angle
from ergokit.tape_check import check_tape


def test_one_in_a_hundred_honest_boxes_is_refused_at_most():
    count = refused(noisy_boxes(2000, 7))
    print(f"\n{count} of 2,000 refused")
    assert count <= 20


def test_the_angle_on_the_screen_is_covered_with_readings_missing():
    """One to three of the ten readings left out, each of the others 0.3 cm off as one standard deviation."""
    rng, covered = np.random.default_rng(5), []
    for _ in range(2000):
        half, level = rng.uniform(7, 11), rng.uniform(9, 15)
        left, right = ((side * half, 0, level + rng.normal(0, 0.5)) for side in (-1, 1))
        target = rng.uniform((-4, 3, 0), (4, 13, 3))
        camera = rng.uniform((-4, target[1] - 11, level + 1), (4, target[1] - 1, level + 8))
        exact = taped(left, right, target, camera)
        kept = rng.choice(list(exact), rng.integers(7, 10), replace=False)
        read = {name: max(exact[name] + rng.normal(0, 0.3), 0.05) for name in kept}
        check = check_tape(**read, errors=dict.fromkeys(read, 0.3), camera_looks="away")
        row = next(row for row in check.rows if row.quantity == "angle on the screen")
        if not np.isnan(row.value):
            low, high = check.interval(row.quantity)
            covered.append(low <= display_angle(left, right, target, camera) <= high)
    share = np.mean(covered)
    print(f"\n{len(covered)} known, {100 * share:.1f} % covered")
    assert len(covered) > 400 and share >= 0.95 - 3 * np.sqrt(0.05 * 0.95 / len(covered))

"""On demand: how many of 2,000 honest boxes `Placement.from_tape` refuses: `python -m pytest -n 0 -s tests/slow`."""

from test_tape import noisy_boxes, refused


def test_one_in_a_hundred_honest_boxes_is_refused_at_most():
    count = refused(noisy_boxes(2000, 7))
    print(f"\n{count} of 2,000 refused")
    assert count <= 20

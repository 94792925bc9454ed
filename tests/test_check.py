"""What the gate lets through, what it refuses and in which words."""

from functools import partial

import numpy as np
import pytest

from ergokit._check import FARTHEST, directions, lengths, one, points
from ergokit._check import numbers as any_numbers

numbers = partial(any_numbers, takes="a number")

POINT = "three coordinates x, y, z in cm"


@pytest.mark.parametrize(
    ("check", "value", "shape"),
    [
        (numbers, 5, ()),
        (numbers, [[1, 2], [3, 4]], (2, 2)),
        (numbers, np.array([1, 2], dtype=np.uint8), (2,)),
        (numbers, np.array([1.5], dtype=np.float32), (1,)),
        (numbers, [FARTHEST, -FARTHEST], (2,)),
        (points, (1, 2, 3), (3,)),
        (points, np.zeros((4, 1, 3)), (4, 1, 3)),
        (points, [(0, 0, 0), [1, 2.5, -3]], (2, 3)),
        (directions, (0, 0, 1e-9), (3,)),
        (directions, np.eye(3), (3, 3)),
        (lengths, 1e-9, ()),
        (lengths, [36, 33.5], (2,)),
    ],
)
def test_lets_through_as_float64(check, value, shape):
    found = check("thing", value)
    assert found.dtype == np.float64
    assert found.shape == shape
    np.testing.assert_array_equal(found, value)


def test_zero_is_a_length_only_where_said():
    assert lengths("reach", 0, zero=True) == 0
    with pytest.raises(ValueError, match=r"^0 cannot be used; give a length of more than 0 cm \(reach\)\.$"):
        lengths("reach", 0)


def test_an_array_is_neither_copied_nor_changed():
    array = np.arange(6.0).reshape(2, 3)
    before = array.copy()
    assert points("target", array) is array
    np.testing.assert_array_equal(array, before)


@pytest.mark.parametrize(
    ("check", "value", "says"),
    [
        (numbers, "wide", "'wide' cannot be used; give a number (thing)."),
        (numbers, None, "None cannot be used; give a number (thing)."),
        (numbers, True, "True cannot be used; give a number (thing)."),
        (numbers, [1j], "[1j] cannot be used; give a number (thing)."),
        (numbers, [], "[] cannot be used; give a number (thing)."),
        (numbers, [[1], [2, 3]], "[[1], [2, 3]] cannot be used; give a number (thing)."),
        (numbers, float("nan"), "nan cannot be used; give a number (thing)."),
        (numbers, [1, -np.inf], "-inf cannot be used; give a number (thing)."),
        (numbers, [1, 2e6, np.nan], "2e+06 is beyond 1e+06 cm; give a number (thing)."),
        (numbers, "x" * 10**6, f"'{'x' * 56}... cannot be used; give a number (thing)."),
        (points, 5, f"5 cannot be used; give {POINT} (thing)."),
        (points, [1, 2], f"An array of shape (2,) cannot be used; give {POINT} (thing)."),
        (points, np.zeros((3, 4)), f"An array of shape (3, 4) cannot be used; give {POINT} (thing)."),
        (points, np.zeros((0, 3)), f"array([], shape=(0, 3), dtype=float64) cannot be used; give {POINT} (thing)."),
        (directions, (0, 0, 0), "(0, 0, 0) cannot be used; give a direction x, y, z that is not zero (thing)."),
        (directions, [(0, 0, 1), (0, 0, 0)], "(0, 0, 0) cannot be used; give a direction x, y, z that is not zero (thing)."),
        (lengths, -1, "-1 cannot be used; give a length of more than 0 cm (thing)."),
        (lengths, [36, 0], "0 cannot be used; give a length of more than 0 cm (thing)."),
        (lengths, "36", "'36' cannot be used; give a length of more than 0 cm (thing)."),
    ],
)
def test_refuses_in_one_sentence(check, value, says):
    with pytest.raises(ValueError) as refusal:
        check("thing", value)
    assert str(refusal.value) == says


def test_one_gives_a_single_python_float_that_passes_its_check():
    found = one("spacing", np.float32(18), lengths)
    assert type(found) is float and found == 18
    assert one("reach", 0, lengths, zero=True) == 0
    with pytest.raises(ValueError, match=r"^An array of shape \(1,\) cannot be used; give one number \(spacing\)\.$"):
        one("spacing", [18], lengths)
    with pytest.raises(ValueError, match=r"^-18 cannot be used; give a length of more than 0 cm \(spacing\)\.$"):
        one("spacing", -18, lengths)
    with pytest.raises(ValueError, match=r"^0 cannot be used; give a gap in cm \(spacing\)\.$"):
        one("spacing", 0, lengths, takes="a gap in cm")

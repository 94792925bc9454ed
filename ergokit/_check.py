"""Refuse bad arguments in one clear sentence that names the argument, what came and what is accepted."""

import numpy as np

#: Coordinates and lengths beyond this many centimetres (10 km) are slips of the keyboard, not boxes.
FARTHEST = 1e6


def numbers(name, value, takes):
    """`value` as a float64 array of finite numbers no larger than `FARTHEST`, or ValueError.

    >>> numbers("spacing", "wide", "a length in cm")
    Traceback (most recent call last):
    ValueError: spacing takes a length in cm; got 'wide'.
    """
    try:
        array = np.asarray(value)
    except ValueError:  # rows of unequal length
        array = None
    if array is None or array.dtype.kind not in "iuf" or array.size == 0:
        raise ValueError(f"{name} takes {takes}; got {_brief(value)}.")
    array = array.astype(np.float64, copy=False)
    low, high = array.min(), array.max()
    if not (low >= -FARTHEST and high <= FARTHEST):  # also true for NaN
        wrong = array[~(np.abs(array) <= FARTHEST)].flat[0]
        beyond = "" if not np.isfinite(wrong) else f", beyond {FARTHEST:g} cm"
        raise ValueError(f"{name} takes {takes}; got {wrong:g}{beyond}.")
    return array


def points(name, value):
    """`value` as an array of points in cm, last axis 3.

    >>> points("target", [1, 2])
    Traceback (most recent call last):
    ValueError: target takes three coordinates x, y, z in cm; got an array of shape (2,).
    """
    takes = "three coordinates x, y, z in cm"
    array = numbers(name, value, takes)
    if array.ndim == 0 or array.shape[-1] != 3:
        got = f"an array of shape {array.shape}" if array.ndim else _brief(value)
        raise ValueError(f"{name} takes {takes}; got {got}.")
    return array


def directions(name, value):
    """`value` as an array of directions (any length but zero), last axis 3."""
    array = points(name, value)
    if not array.any(axis=-1).all():
        raise ValueError(f"{name} takes a direction x, y, z that is not zero; got (0, 0, 0).")
    return array


def lengths(name, value, zero=False, takes=None):
    """`value` as an array of lengths in cm, positive (or zero where `zero`)."""
    takes = takes or f"a length of {'at least' if zero else 'more than'} 0 cm"
    array = numbers(name, value, takes)
    smallest = array.min()
    if smallest < 0 or (smallest == 0 and not zero):
        raise ValueError(f"{name} takes {takes}; got {smallest:g}.")
    return array


def one(name, value, check, *args, **kwargs):
    """A single Python float that passes `check`, for arguments that describe one real thing.

    >>> one("spacing", [18, 20], lengths)
    Traceback (most recent call last):
    ValueError: spacing takes one number; got an array of shape (2,).
    """
    array = check(name, value, *args, **kwargs)
    if array.ndim:
        raise ValueError(f"{name} takes one number; got an array of shape {array.shape}.")
    return float(array)


def _brief(value):
    text = repr(value)
    return text if len(text) <= 40 else text[:37] + "..."

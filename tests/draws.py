"""How many random examples a test draws: a few each time, and many on demand (`tests/slow/test_many.py`)."""

import os


def draws(few, many):
    """The number of examples for this run."""
    return many if os.environ.get("ERGOKIT_MANY") else few

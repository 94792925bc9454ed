"""Hypothesis looks for new counterexamples on a contributor's machine; a CI run is the same each time."""

import os

from hypothesis import settings

settings.register_profile("ci", derandomize=True)
if os.environ.get("CI"):
    settings.load_profile("ci")

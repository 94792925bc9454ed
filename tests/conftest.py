"""Hypothesis looks for new counterexamples on a contributor's machine; a CI run is the same each time."""

import os

from hypothesis import settings

settings.register_profile("here", deadline=None)  # a busy machine is no reason to fail
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "here")

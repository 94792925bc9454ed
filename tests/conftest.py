"""What tests share: a browser, and how Hypothesis looks for counterexamples, the same each time in a CI run."""

import os

import pytest
from browser import BROWSER, browser
from hypothesis import settings

settings.register_profile("here", deadline=None)  # a busy machine is no reason to fail
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "here")


@pytest.fixture(scope="session")
def needs_browser():
    """Without a browser a reader's test is skipped; in CI it fails."""
    if BROWSER is None and not os.environ.get("CI"):
        pytest.skip("no Chromium or Chrome on this machine")
    assert BROWSER, "CI needs a browser: install Debian's chromium"


@pytest.fixture(scope="module")
def running(needs_browser):
    """A headless browser for the tests of one file."""
    with browser() as one:
        yield one

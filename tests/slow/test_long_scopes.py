"""On demand: ten thousand scopes, of which the suite takes a thousand: `python -m pytest -n 0 tests/slow`."""

import test_scope


def test_ten_thousand_scopes_at_50_digits():
    test_scope.test_scopes_at_50_digits(10_000)


def test_ten_thousand_scopes_seen_by_opencv():
    test_scope.test_scopes_seen_by_opencv(10_000)

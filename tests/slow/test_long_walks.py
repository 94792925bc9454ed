"""On demand: five thousand random events for each explorer. `python -m pytest -n 0 tests/slow/test_long_walks.py`"""

import pytest
from test_walks import walked
from walks import every_explorer

EVENTS = 5000


@pytest.mark.parametrize("name", every_explorer())
def test_five_thousand_events_leave_no_explorer_deaf(name, tmp_path, monkeypatch):
    monkeypatch.setenv("HOME", str(tmp_path))
    walked(name, EVENTS, monkeypatch, seed=15)

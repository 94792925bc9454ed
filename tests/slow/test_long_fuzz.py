"""On demand: fifty thousand bad calls, and what came of them by function: `python -m pytest -n 0 -s tests/slow`."""

from collections import Counter

from fuzz import bad_call, outcome, prepare, subjects
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

CASES = 50_000


def test_fifty_thousand_bad_calls(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    prepare(monkeypatch)
    wrong = []
    each = -(-CASES // sum(bool(parameters) for _, parameters in subjects().values()))
    table = {name: came_of(name, each, wrong) for name in subjects()}
    print(f"\n{'function':45} result refused")
    for name, came in (table | {"all": sum(table.values(), Counter())}).items():
        print(f"{name:45} {came['result']:6} {came['refused']:7}{'  wrong: ' + str(came['wrong']) if came['wrong'] else ''}")
    assert not wrong, "\n".join(dict.fromkeys(wrong))


def came_of(name, cases, wrong):
    """How often each outcome came; what was wrong goes into a list."""
    table = Counter()
    quick = {"suppress_health_check": list(HealthCheck), "deadline": None, "database": None, "phases": [Phase.generate]}

    @settings(max_examples=cases, **quick)
    @given(data=st.data())
    def call(data):
        args, kwargs, _ = bad_call(data.draw, name)
        try:
            came = outcome(name, args, kwargs)
        except Exception as error:
            came = "wrong"
            wrong.append(f"{name}: {type(error).__name__}: {error!s:.300}")
        table[came] += 1

    call()
    return table

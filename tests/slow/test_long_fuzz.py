"""On demand: fifty thousand bad calls, and what came of them by function: `python -m pytest -n 0 -s tests/slow`."""

from collections import Counter

from fuzz import bad_call, outcome, prepare, subjects
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

CASES = 50_000


def test_fifty_thousand_bad_calls(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    prepare(monkeypatch)
    table, wrong = {}, []
    for name in subjects():
        table[name] = Counter()

        @settings(
            max_examples=-(-CASES // len(subjects())),
            suppress_health_check=list(HealthCheck),
            deadline=None,
            database=None,
            phases=[Phase.generate],
        )
        @given(data=st.data())
        def call(data, name=name):
            args, kwargs, _ = bad_call(data.draw, name)
            try:
                came = outcome(name, args, kwargs)
            except Exception as error:
                came = "wrong"
                wrong.append(f"{name}: {error!s:.300}")
            table[name][came] += 1

        call()
    print(f"\n{'function':45} result refused")
    for name, came in table.items():
        print(f"{name:45} {came['result']:6} {came['refused']:7}{'  wrong: ' + str(came['wrong']) if came['wrong'] else ''}")
    print(f"{'all':45} {sum(c['result'] for c in table.values()):6} {sum(c['refused'] for c in table.values()):7}")
    assert not wrong, "\n".join(dict.fromkeys(wrong))

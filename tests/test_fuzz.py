"""Many bad calls, spread over every public function: a result, or one sentence of the kit's own."""

import pytest
from draws import draws
from fuzz import bad_call, outcome, prepare, strangers, subjects
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

CASES = draws(1200, 2000)


def test_every_public_parameter_has_a_good_value_to_start_from():
    assert not strangers()


@pytest.fixture(autouse=True)
def elsewhere(tmp_path_factory, monkeypatch):
    """Files that a call makes come to be in a folder of their own."""
    monkeypatch.chdir(tmp_path_factory.mktemp("fuzz"))
    prepare(monkeypatch)


@pytest.mark.parametrize("name", subjects())
@settings(max_examples=-(-CASES // len(subjects())), suppress_health_check=list(HealthCheck), deadline=None, database=None)
@given(data=st.data())
def test_bad_arguments_give_a_result_or_one_sentence(name, data):
    args, kwargs, _ = bad_call(data.draw, name)
    outcome(name, args, kwargs)

"""Bars of rules: each shows what `conflicts` says of its rules, and the gap is the least change that restores agreement."""

import pytest

from ergokit import Placement
from ergokit.figures import GALLERY, rules_figure
from ergokit.guidance import conflicts
from ergokit.guidance.quantities import named_in, unit_of

MA, S, D, E = "manipulation angle", "port spacing", "working distance", "elevation angle"
CLASH = conflicts({MA: 60, S: 20, D: (7.5, 15)})
AGREE = conflicts({MA: 60, D: (7.5, 15)})


def bars(figure):
    """Row -> (kind, low, high, words)."""
    words = dict(enumerate(next(trace for trace in figure.data if trace.name == "words").text))
    found = {}
    for trace in figure.data:
        if trace.type == "bar":
            for row, base, width in zip(trace.y, trace.base, trace.x, strict=True):
                found[int(row)] = (trace.name, float(base), float(base + width), words[int(row)])
    return found


def test_a_clash_is_a_gap_between_the_rule_and_what_the_others_leave():
    drawn = bars(rules_figure(CLASH, D))
    assert [drawn[row][0] for row in range(5)] == ["own", "another", "another", "the others", "gap"]
    assert drawn[0][:3] == ("own", 7.5, 15)
    assert drawn[3][:3] == ("the others", pytest.approx(17.3205, abs=1e-3), pytest.approx(17.3205, abs=1e-3))
    assert drawn[4][:3] == ("gap", 15, pytest.approx(17.3205, abs=1e-3))
    assert drawn[4][3] == "all together: no value fits, the limits are 2.3 cm apart"


def test_in_brief_the_rule_the_others_and_the_gap_are_left():
    drawn = bars(rules_figure(CLASH, D, brief=True))
    assert [drawn[row][0] for row in range(3)] == ["own", "the others", "gap"] and len(drawn) == 3


def test_agreement_is_a_bar_where_the_rules_meet():
    drawn = bars(rules_figure(AGREE, S))
    kind, low, high, words = drawn[2]
    assert kind == "all" and (low, high) == pytest.approx(AGREE.allowed(S)) and words == "all together leave 8.7 to 17.3 cm"


def test_it_says_whether_the_lens_is_fixed_and_a_scope_closes_the_gap():
    """The same rules: a lens at the wall is 2.3 cm too far, and a scope may be anywhere in its own range."""
    slid = rules_figure(conflicts(CLASH.rules, camera="scope"), D)
    assert "fixed at the wall" in rules_figure(CLASH, D).layout.xaxis.title.text
    assert "scope's tip that slides" in slid.layout.xaxis.title.text and "wall" not in slid.layout.xaxis.title.text
    said = next(trace for trace in slid.data if trace.name == "words").text
    assert said[-2:] == ("the others together leave 0 to 17.3 cm", "all together leave 7.5 to 15 cm")
    shown = GALLERY["rules"](Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))).layout.meta
    assert (
        "the lens is fixed at the wall" in shown["says"][0]
        and "A scope pushed in from there lets all three hold." in shown["says"][0]
    )


@pytest.mark.parametrize("quantity", named_in("conflicts"))
@pytest.mark.parametrize("result", [CLASH, AGREE, conflicts({E: 60, MA: (45, 75)}), conflicts({D: (None, 15)})])
def test_every_bar_is_what_its_rules_leave_within_the_axis(result, quantity):
    figure = rules_figure(result, quantity)
    low, high = figure.layout.xaxis.range
    others = [name for name in result.rules if name != quantity]
    order = [[quantity]] * (quantity in result.rules) + [[name] for name in others]
    if quantity in result.rules and len(others) > 1:
        order.append(others)
    drawn = bars(figure)
    for row, names in enumerate(order):
        start, end = result.allowed(quantity, names)
        if names == [quantity]:
            start, end = result.rules[quantity]
        assert drawn[row][1:3] == pytest.approx((min(max(start, low), high), min(max(end, low), high)))
    assert unit_of(quantity).strip() in figure.layout.xaxis.title.text and quantity in figure.layout.xaxis.title.text


def test_hidden_numbers_hide_the_answer_and_keep_the_rules():
    drawn = bars(rules_figure(CLASH, D, numbers=False))
    assert {kind for kind, *_ in drawn.values()} == {"own", "another"}
    assert not any("leaves" in words for *_, words in drawn.values())


def test_kinds_of_bar_differ_in_pattern_or_shade_and_in_words():
    looks = {(t.marker.color, t.marker.pattern.shape) for t in rules_figure(CLASH, D).data if t.type == "bar"}
    assert len(looks) == 5 and len({shape for _, shape in looks}) == 4  # the two kinds of single rule by shade and words


def test_room_is_kept_for_rows_to_come_and_few_bars_are_spread_over_it():
    figure, plain = rules_figure(AGREE, S, rows=6), rules_figure(AGREE, S)
    assert bars(figure) == bars(plain) and figure.layout.height > plain.layout.height
    assert figure.layout.xaxis.title.text == "port spacing (cm)"
    assert figure.layout.yaxis.range == (3.5, -0.5) and plain.layout.yaxis.range == (len(bars(plain)) - 0.5, -0.5)


def test_a_rule_that_cannot_hold_at_all_says_so():
    drawn = bars(rules_figure(conflicts({E: 90, MA: 60}), MA))
    figure = rules_figure(conflicts({E: 90, MA: 60}), MA)
    words = next(trace for trace in figure.data if trace.name == "words").text
    assert words[1] == "elevation angle of 90 degrees cannot hold" and 1 not in drawn


def test_an_unknown_quantity_is_refused():
    with pytest.raises(ValueError, match=r"'angle' cannot be used; give one of manipulation angle, .* \(quantity\)"):
        rules_figure(CLASH, "angle")

"""Rules on the axis of one quantity: what each leaves of it, and where they meet or how far apart they end."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from ergokit._check import a, checked, flag, one_word, pixels, whole
from ergokit.figures.plain import traces
from ergokit.figures.style import AXIS, GREEN, GREY, INK, PLAIN, PURPLE, VERMILLION
from ergokit.guidance import Conflicts
from ergokit.guidance.quantities import range_in_words, rule_in_words, unit_of
from ergokit.placement.measures import decimals, give_or_take
from ergokit.terms import QUANTITIES

_AXES = {  # what the axis of each quantity shows; a bar that goes on beyond it is cut off there
    "manipulation angle": (0, 180),
    "port spacing": (0, 40),
    "length inside": (0, 40),
    "depth": (0, 40),
    "working distance": (0, 40),
    "inside : outside": (0, 4),
    "handle separation": (0, 100),
    "elevation angle": (0, 90),
    "azimuth angle, working plane": (0, 90),
    "chord to camera port": (0, 20),
}
_KINDS = {  # the kinds of bar: colour and pattern
    "own": (GREY, ""),
    "another": ("#C5CBD0", ""),
    "the others": (PURPLE, "/"),
    "all": (GREEN, "x"),
    "gap": (VERMILLION, "|"),
}
_ROW = 46  # px
_FEWEST = 4  # bars that fill a picture with room for more: fewer would be too broad


def _rows(name, value):
    return whole(name, value, 1, 50)


@checked(result=a(Conflicts), numbers=flag, width=pixels, rows=_rows, brief=flag)
def rules_figure(
    result: Conflicts,
    quantity: str,
    numbers: bool = True,
    width: float = 700,
    rows: int | None = None,
    brief: bool = False,
) -> go.Figure:
    """What the rules of a `Conflicts` result leave of one quantity, a bar each, and below them all together.

    The last two bars are the ones to compare: the rule on the quantity itself comes first, *the others together* leave
    the striped bar, and *all together* hold where both meet, or leave a gap. With `numbers=False` neither of the two shows.
    `rows` makes the figure as high as that many bars need; fewer bars are spread over it. `brief` leaves out the bars of the
    other rules by themselves. ValueError for an unknown quantity.

    >>> from ergokit.guidance import conflicts
    >>> rules = {"manipulation angle": 60, "port spacing": 20, "working distance": (7.5, 15)}
    >>> figure = rules_figure(conflicts(rules), "working distance")
    >>> next(trace for trace in figure.data if trace.name == "words").text[-1]
    'all together: no value fits, the limits are 2.3 cm apart'
    """
    one_word("quantity", quantity, _AXES)
    return go.Figure(plain_rules(result, quantity, numbers, width, rows, brief))


def plain_rules(result, quantity, numbers=True, width=700, rows=None, brief=False):
    """The same as plain data."""
    bars = [bar for bar in _bars(result, quantity, numbers) if not (brief and bar[0] == "another")]
    rows = rows or len(bars)
    low, high = _AXES[quantity]
    drawn = []
    for name, (colour, shape) in _KINDS.items():
        mine = [(row, np.clip(span, low, high)) for row, (kind, span, _) in enumerate(bars) if kind == name and span]
        pattern = {"shape": shape, "fillmode": "overlay", "fgcolor": "white", "size": 8}
        drawn.append(
            {
                "name": name,
                "type": "bar",
                "hoverinfo": "skip",
                "orientation": "h",
                "y": [row for row, _ in mine],
                "base": [start for _, (start, _) in mine],
                "x": [end - start for _, (start, end) in mine],
                "width": 0.36,
                "marker": {"color": colour, "pattern": pattern, "line": {"color": colour, "width": 1}},
            }
        )
    ends = [(end, row) for row, (_, span, _) in enumerate(bars) for end in span or () if low <= end <= high]
    words = [words for *_, words in bars]
    marker = {"color": INK, "symbol": "line-ns", "size": 13, "line": {"color": INK, "width": 3}}
    drawn += traces(
        {
            "ends": {
                "mode": "markers",
                "marker": marker,
                "hovertemplate": f"%{{x:.{decimals(QUANTITIES[quantity].unit)}f}}<extra></extra>",
            },
            "words": {"mode": "text", "textposition": "middle right", "textfont": {"size": 13}, "hoverinfo": "skip"},
        },
        {
            "ends": {"x": [end for end, _ in ends], "y": [row for _, row in ends]},
            "words": {"x": [low] * len(words), "y": np.arange(len(words)) - 0.36, "text": words},
        },
    )
    unit = unit_of(quantity).strip()
    title = f"{quantity} ({unit})" if unit else quantity
    if quantity == "working distance":
        title += ", of a scope's tip that slides" if result.problem.with_scope else ", with the lens fixed at the wall"
    layout = PLAIN | {
        "width": width,
        "height": _ROW * rows + 60,
        "margin": {"l": 10, "r": 25, "t": 5, "b": 55},
        "barmode": "overlay",
        "xaxis": AXIS
        | {
            "showline": True,
            "linecolor": GREY,
            "range": (low, high),
            "title": {"text": title, "font": {"size": 14}},
        },
        "yaxis": AXIS | {"range": (max(len(bars), min(rows, _FEWEST)) - 0.5, -0.5), "visible": False},
    }
    return {"data": drawn, "layout": layout}


def _bars(result, quantity, numbers):
    """Kind, span and words of every bar, from the top; a span is None where nothing is left."""
    own = {name: ends for name, ends in result.rules.items() if name == quantity}
    others = [name for name in result.rules if name != quantity]
    bars = [("own", ends, rule_in_words(name, *ends)) for name, ends in own.items()]
    for name in others:
        bars.append(_leaves("another", rule_in_words(name, *result.rules[name]), result, quantity, [name], numbers))
    if not numbers:
        return bars
    if own and len(others) > 1:
        bars.append(_leaves("the others", "the others together", result, quantity, others, numbers))
    if len(result.rules) > 1:
        bars.append(_all(result, quantity))
    return bars


def _leaves(kind, who, result, quantity, names, numbers):
    span = result.allowed(quantity, names)
    if not numbers:
        return kind, span, who
    if span is None:
        return kind, None, f"{who} cannot hold"
    left = range_in_words(quantity, *span, decimals=1)
    return kind, span, f"{who} {'leave' if len(names) > 1 else 'leaves'} {'any' if left == 'at least 0.00' else left}"


def _all(result, quantity):
    if result.feasible:
        span = result.allowed(quantity)
        return "all", span, f"all together leave {range_in_words(quantity, *span, decimals=1)}" if span else "all together hold"
    change = result.relaxations.get(quantity)
    if change is None:
        return "gap", None, "all together cannot hold"
    between = give_or_take(change.by, QUANTITIES[quantity].unit) + unit_of(quantity)
    return "gap", tuple(sorted((change.given, change.needed))), f"all together: no value fits, the limits are {between} apart"

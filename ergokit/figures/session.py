"""A session and a log as flat figures: each person's three times as a line, paired differences with their ends, minutes."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from ergokit._check import a, checked, pixels
from ergokit.figures.style import AXIS, BLUE, GREEN, GREY, INK, PLAIN
from ergokit.hands_on import PracticeLog, Session
from ergokit.hands_on.session import FEWEST

_SYMBOLS = ("circle", "diamond", "square", "triangle-up", "cross", "x")
_TICKS = (1, 1.5, 2, 3, 4, 6, 8, 10, 15, 20, 30, 40, 60)  # s, on a log axis
_RATIOS = (0.25, 0.33, 0.5, 0.67, 0.8, 1, 1.25, 1.5, 2, 3, 4)


@checked(session=a(Session), width=pixels)
def session_figure(session: Session, width: float = 840) -> go.Figure:
    """Each person's time per pass with the three pairs as a line, and beside it the paired differences with their ends.

    The three intervals hold together in 95 of 100 groups. Below four people there are lines only.

    >>> from ergokit import Run
    >>> figure = session_figure(Session((Run("1A", "30°", 1, 8), Run("1A", "60°", 2, 10))))
    >>> [float(y) for y in figure.data[0].y[:2]]
    [7.5, 6.0]
    """
    return go.Figure(plain_session(session, width))


def plain_session(session, width=840, numbers=True):
    """The same as plain data; without `numbers` the differences are left out."""
    times, drawn, notes = session.times(), [], []
    for i, (person, row) in enumerate(times.iterrows()):
        marker = {"color": INK, "symbol": _SYMBOLS[i % len(_SYMBOLS)], "size": 9}
        line = {"color": GREY, "width": 1.5}
        drawn.append({"name": f"person {person}", "x": [0, 1, 2], "y": row.to_numpy(), "line": line, "marker": marker})
    shown = [d for d in session.differences if np.isfinite(d.low)] if numbers else []
    beside = {"xaxis": "x2", "yaxis": "y2"}
    for d in shown:
        i, colour = session.differences.index(d), INK if d.low <= 1 <= d.high else GREEN
        ends = {"x": [d.low, d.high], "y": [i, i], "line": {"color": colour, "width": 4}, "mode": "lines"}
        middle = {"x": [d.ratio], "y": [i], "mode": "markers", "marker": {"color": colour, "symbol": "diamond", "size": 13}}
        drawn += [{"name": f"ends {i + 1}"} | beside | ends, {"name": f"ratio {i + 1}"} | beside | middle]
    if not shown:
        words = f"Intervals appear from<br>{FEWEST} people on." if numbers else "Hidden: press numbers."
        middle = {"x": 0.83, "y": 0.5, "xref": "paper", "yref": "paper", "xanchor": "center"}
        notes.append({"text": words, "font": {"size": 12}, "showarrow": False} | middle)
    alike = {"x": [1, 1], "y": [-0.5, 2.5], "mode": "lines", "line": {"color": GREY, "width": 1.5, "dash": "dot"}}
    drawn.append({"name": "alike", "visible": bool(shown)} | beside | alike)
    drawn.append({"name": "frame", "x": [0], "y": [np.nan]})  # axes that no trace is on are not drawn
    for x, words in ((0.24, "Each line is one person"), (0.81, "How many times as long")):
        above = {"xref": "paper", "yref": "paper", "xanchor": "center", "yanchor": "bottom", "showarrow": False}
        notes.append({"text": f"<b>{words}</b>", "x": x, "y": 1.02} | above)
    seconds = times.to_numpy()[np.isfinite(times.to_numpy())]
    low, high = (seconds.min() / 1.2, seconds.max() * 1.2) if seconds.size else (2, 30)
    notes += _codes(times, 0.045 * np.log10(high / low))
    ends = [end for d in shown for end in (d.low, d.high)]
    least, most = min([0.67, *ends]) / 1.1, max([1.5, *ends]) * 1.1
    names = [f"{d.first}<br>over {d.second}" for d in session.differences]
    layout = PLAIN | {
        "width": width,
        "height": 360,
        "margin": {"l": 60, "r": 20, "t": 40, "b": 50},
        "xaxis": AXIS | {"domain": [0, 0.5], "range": [-0.2, 2.5], "tickvals": [0, 1, 2], "ticktext": list(session.pairs)},
        "yaxis": AXIS | _log(low, high, _TICKS) | {"title": {"text": "seconds per pass"}},
        "xaxis2": AXIS
        | _log(least, most, _RATIOS)
        | {"domain": [0.66, 1], "title": {"text": "time with the first over the second"}},
        "yaxis2": AXIS | {"anchor": "x2", "range": [2.5, -0.5], "tickvals": [0, 1, 2], "ticktext": names, "showgrid": False},
        "annotations": notes,
    }
    always = {"type": "scatter", "mode": "lines+markers", "hoverinfo": "skip"}
    return {"data": [always | trace for trace in drawn], "layout": layout}


def _codes(times, apart):
    """Each person's code beside the last point of the line, at least so far from its neighbour on the log axis."""
    last = times.ffill(axis=1).iloc[:, -1].dropna().sort_values()
    found, lowest = [], -np.inf
    for person, seconds in last.items():
        lowest = max(np.log10(seconds), lowest + apart)
        place = {"x": 2.08, "y": lowest, "xanchor": "left", "font": {"size": 11}, "showarrow": False}
        found.append({"text": person} | place)
    return found


def _log(low, high, ticks):
    """A log axis from low to high, with those of some ticks that lie on it."""
    shown = [tick for tick in ticks if low <= tick <= high]
    return {"type": "log", "range": np.log10([low, high]), "tickvals": shown, "ticktext": [f"{tick:g}" for tick in shown]}


@checked(log=a(PracticeLog), width=pixels)
def log_figure(log: PracticeLog, width: float = 640) -> go.Figure:
    """Minutes in the box, a bar for each evening.

    >>> from ergokit import Evening
    >>> log_figure(PracticeLog((Evening("2026-03-01", 20), Evening("2026-03-08", 35)))).layout.title.text
    '55 minutes in the box on 2 evenings'
    """
    return go.Figure(plain_log(log, width))


def plain_log(log, width=640):
    """The same as plain data."""
    days = log.per_day()
    evenings = f"{len(days)} evening{'s' * (len(days) != 1)}"
    layout = PLAIN | {
        "width": width,
        "height": 220,
        "margin": {"l": 55, "r": 10, "t": 45, "b": 60},
        "title": {
            "text": f"{log.minutes:g} minutes in the box on {evenings}" if days else "No evening noted yet",
            "font": {"size": 15},
            "x": 0.02,
        },
        "xaxis": AXIS | {"type": "category", "showgrid": False, "tickangle": -30, "nticks": 12},
        "yaxis": AXIS | {"title": {"text": "minutes"}, "rangemode": "tozero"},
    }
    bars = {"name": "minutes", "type": "bar", "x": list(days), "y": list(days.values())}
    return {"data": [bars | {"marker": {"color": BLUE}, "width": 0.6, "hoverinfo": "skip"}], "layout": layout}

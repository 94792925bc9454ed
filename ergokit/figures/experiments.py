"""The published experiments as they were read: a point where a value stood in the text, a gap where none did, no curve."""

from __future__ import annotations

from collections.abc import Collection
from textwrap import wrap

import plotly.graph_objects as go
from plotly.subplots import make_subplots

from ergokit import datasets
from ergokit._check import checked, one_word, pixels, some_words
from ergokit.figures.style import AXIS, GREEN, GREY, INK, PALE, PLAIN, PURPLE
from ergokit.guidance.studies import advice, mean_angles
from ergokit.guidance.verdicts import basis_of, citation_of, found_on

#: What was varied in the experiments of which a result was read.
EXPERIMENTS = (
    "manipulation angle",
    "working distance",
    "view angle",
    "inside : outside",
    "instrument length",
    "camera's side",
)

_SERIES = ((GREEN, "square"), (PURPLE, "triangle-up-open"), (INK, "triangle-down-open"))  # not the hands' colours and markers
_UNITS = {"deg": "degrees", "deg/s": "degrees per s", "percent": "%", "score": "", "ratio": ""}
_LINE, _SMALL = 15, 11  # px of a line in the foot, and of its letters


@checked(width=pixels)
def experiments_figure(against: str, width: float = 840, results: Collection[str] | None = None) -> go.Figure:
    """What was measured while one quantity was varied, one of `EXPERIMENTS`: a panel for each experiment and result.

    `results` names those to show, all unless given. Ticks are at the levels that were tried and nowhere else; "not read" is
    written over a level that was tried and whose value was not read. The foot gives each source and how far it was verified.
    ValueError for another quantity.

    >>> figure = experiments_figure("view angle")
    >>> [float(y) for trace in figure.data if trace.name == "read" for y in trace.y]
    [17.0, 79.0]
    """
    one_word("against", against, EXPERIMENTS)
    rows = datasets.records("published_values")
    known = [row["quantity"] for row in rows if row["kind"] == "result" and row["against"] == against]
    results = None if results is None else some_words("results", results, known)
    panels: dict[tuple, list] = {}
    for row in rows:
        if row["kind"] == "result" and row["against"] == against and (results is None or row["quantity"] in results):
            panels.setdefault((row["quantity"], row["source"]), []).append(row)
    columns = min(2, len(panels))
    down = -(-len(panels) // columns)
    common = {panel: _common(results) for panel, results in panels.items()}
    titles = [_title(results, common[panel]) for panel, results in panels.items()]
    figure = make_subplots(down, columns, subplot_titles=titles, horizontal_spacing=0.09, vertical_spacing=0.3 / down)
    for i, (panel, found) in enumerate(panels.items()):
        tried = next((r["levels"] for r in rows if (r["quantity"], r["source"]) == (against, panel[1]) and r["levels"]), ())
        _draw(figure, found, tried, common[panel], i // columns + 1, i % columns + 1)
    foot = _foot({row["source"]: row for results in panels.values() for row in results}, width)
    height = 300 * down
    figure.update_xaxes(title=_with_unit(against, next(row["unit"] for row in rows if row["quantity"] == against)), row=down)
    figure.update_annotations(font={"size": 15}, yshift=6)
    _finish(figure, width, height, foot, top=36)
    return figure


@checked(width=pixels)
def mean_angles_figure(width: float = 840) -> go.Figure:
    """The ten mean manipulation angles of the colorectal study, each port pair in its lane, against the advised range.

    Marks are filled within the range and hollow outside.

    >>> trace = next(trace for trace in mean_angles_figure().data if trace.name == "in range")
    >>> [float(x) for x in trace.x]
    [52.0, 58.0, 56.0]
    """
    study, band = mean_angles(), advice("manipulation angle")
    lanes: dict[tuple, list] = {}
    for operation, pair, target, angle in sorted(study.rows, key=lambda row: row[-1]):
        lanes.setdefault((operation, pair), []).append((angle, target))
    order = list(dict.fromkeys(row[:2] for row in study.rows))
    figure = go.Figure()
    figure.add_vrect(
        x0=band["low"], x1=band["high"], fillcolor=PALE, line={"color": INK, "width": 1, "dash": "dash"}, layer="below"
    )
    points = [(angle, order.index(lane), target, i) for lane, found in lanes.items() for i, (angle, target) in enumerate(found)]
    points.sort(key=lambda point: (point[1], point[3]))
    for name, colour, symbol in (("in range", GREEN, "square"), ("outside", INK, "square-open")):
        inside = [point for point in points if (band["low"] <= point[0] <= band["high"]) == (name == "in range")]
        figure.add_scatter(
            name=name,
            x=[angle for angle, *_ in inside],
            y=[lane for _, lane, *_ in inside],
            text=[f"{_two_lines(target)} {angle:g}°" for angle, _, target, _ in inside],
            textposition=["bottom center" if i == 1 else "top center" for *_, i in inside],  # neighbours keep apart
            mode="markers+text",
            textfont={"size": 12},
            marker={"color": colour, "symbol": symbol, "size": 13, "line": {"color": INK, "width": 2}},
            hovertemplate="%{text}<extra>" + name + "</extra>",
        )
    says = f"{band['low']:g} to {band['high']:g}° advised<br>({found_on(band)})"
    figure.add_annotation(x=(band["low"] + band["high"]) / 2, y=1, yref="paper", text=says, showarrow=False, yanchor="bottom")
    figure.update_layout(
        xaxis=AXIS | {"range": (0, 90), "dtick": 15, "title": "mean manipulation angle (degrees)"},
        yaxis=AXIS
        | {
            "range": (len(order) - 0.4, -0.6),
            "tickvals": list(range(len(order))),
            "ticktext": [f"<b>{operation}</b><br>{pair.replace(' and ', ' and<br>')}" for operation, pair in order],
            "showgrid": False,
        },
    )
    _finish(figure, width, 120 * len(order) + 80, _foot({"angles": study.records[0], "band": band}, width), top=48, left=190)
    return figure


def _draw(figure, results, tried, common, row, column):
    at = {"row": row, "col": column}
    levels = tried or sorted({result["at"] for result in results})
    highest = 1.3 * max(result["low"] for result in results)
    series = list(dict.fromkeys(_own(result, common) for result in results))
    ranks = {id(r): sum(o["low"] < r["low"] for o in results if o["at"] == r["at"]) for r in results}
    for name, (colour, symbol) in zip(series, _SERIES, strict=False):
        mine = [result for result in results if _own(result, common) == name]
        figure.add_scatter(
            name=name or "read",
            x=[result["at"] for result in mine],
            y=[result["low"] for result in mine],
            text=[f"{name} {result['low']:g}".strip() for result in mine],
            textposition=["bottom center" if len(series) > 1 and ranks[id(result)] == 0 else "top center" for result in mine],
            mode="markers+text",
            cliponaxis=False,
            textfont={"size": 13},
            marker={"color": colour, "symbol": symbol, "size": 11, "line": {"color": colour, "width": 2}},
            hovertemplate="%{x:g}: %{text}<extra></extra>",
            **at,
        )
    unread = [level for level in levels if level not in {result["at"] for result in results}]
    if unread:
        figure.add_scatter(
            name="tried, value not read",
            x=unread,
            y=[0] * len(unread),
            text=["not read"] * len(unread),
            textposition="top center",
            mode="text",
            cliponaxis=False,
            textfont={"size": 12, "color": GREY},
            hovertemplate="%{x:g}: tried, value not read<extra></extra>",
            **at,
        )
    margin = 0.14 * (levels[-1] - levels[0])
    looks = AXIS | {"showline": True, "linecolor": GREY}
    figure.update_xaxes(
        range=(levels[0] - margin, levels[-1] + margin), tickvals=levels, ticks="outside", showgrid=False, **looks, **at
    )
    figure.update_yaxes(range=(0, highest), nticks=5, **looks, **at)


def _common(results):
    """The conditions that hold for every result, such as that they are medians."""
    return [
        part
        for part in results[0]["condition"].split("; ")
        if part and all(part in r["condition"].split("; ") for r in results)
    ]


def _own(result, common):
    return "; ".join(part for part in result["condition"].split("; ") if part not in common)


def _title(results, common):
    name = results[0]["quantity"]
    return ", ".join([_with_unit(name, results[0]["unit"]), *(part for part in common if part not in name)])


def _with_unit(name, unit):
    unit = _UNITS.get(unit, unit)
    return f"{name} ({unit})" if unit else name


def _two_lines(target):
    return target.replace(" ", "<br>", 1)


def _foot(rows, width):
    """One entry a source, with its basis, broken into lines that fit."""
    entries = (f"{citation_of(row)} [{basis_of(row)}]" for row in rows.values())
    return [line for entry in entries for line in wrap(entry, int(width / 5.9), subsequent_indent="   ")]


def _finish(figure, width, height, foot, top, left=55):
    space = _LINE * len(foot) + 8
    figure.update_layout(**PLAIN, width=width, height=height + space, margin={"l": left, "r": 25, "t": top, "b": 65 + space})
    figure.add_annotation(
        name="foot",
        text="<br>".join(foot),
        x=0,
        xref="paper",
        xshift=10 - left,
        xanchor="left",
        y=0,
        yref="paper",
        yshift=-60,
        yanchor="top",
        align="left",
        showarrow=False,
        font={"size": _SMALL, "color": GREY},
    )

"""A box as built beside its design: each hole's mark at full size, and where the readings put the hole."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from ergokit._check import a, checked, pixels
from ergokit.built import BuiltBox
from ergokit.figures.style import FONT, GREY, INK, LEFT, PLAIN, PURPLE, RIGHT

_HALF = 2.0  # cm shown to each side of a mark, or as far as the hole is off
_LOOKS = {"left port": LEFT, "camera hole": {"colour": PURPLE, "marker": "square"}, "right port": RIGHT}
_TOP, _BOTTOM = 70, 105  # px


@checked(found=a(BuiltBox), width=pixels)
def built_figure(found: BuiltBox, width: float = 660) -> go.Figure:
    """A panel for each hole: a ring at the designed place, and a filled mark where the tape puts the hole, with 95 % intervals.

    >>> from ergokit import Placement, WedgeBox, compare_built, design_box
    >>> built = Placement.from_tape(20.4, 19.6, 19.7, camera_to_target=13.8, camera_above_ports=10.2, panel_slope=37)
    >>> built_figure(compare_built(design_box(WedgeBox(44, 36, 27)), built)).layout.title.text
    'Designed 60.3°, built 62.5 ± 1.3°. Within 5°: yes'
    """
    value, spread = found.built_angle
    ways = {hole: [each for each in found.holes if each.hole == hole] for hole in _LOOKS}
    half = max(_HALF, *(np.nanmax(np.abs([each.off, each.low, each.high])) + 0.5 for each in found.holes))
    fig, third = go.Figure(), 1 / len(_LOOKS)
    for i, (hole, look) in enumerate(_LOOKS.items()):
        axes, start = str(i + 1) if i else "", i * third
        across, up = ways[hole]
        radius = (np.array(found.design.phone.camera_hole) if hole == "camera hole" else np.full(2, found.design.hole)) / 2
        shape = "rect" if hole == "camera hole" else "circle"
        ends = dict(zip(("x0", "y0", "x1", "y1"), (*-radius, *radius), strict=True))
        line = {"color": GREY, "width": 2, "dash": "dot"}
        fig.add_shape(type=shape, xref=f"x{axes}", yref=f"y{axes}", line=line, **ends)
        fig.add_scatter(
            x=[across.off],
            y=[up.off],
            mode="markers",
            marker={"color": look["colour"], "symbol": look["marker"], "size": 11},
            error_x=_bar(across, look["colour"]),
            error_y=_bar(up, look["colour"]),
            xaxis=f"x{axes}",
            yaxis=f"y{axes}",
            hoverinfo="skip",
        )
        told = "<br>".join(f"<i>{each.way}</i><br>{each.words}" for each in (across, up))
        place = {"xref": "paper", "yref": "paper", "x": start + third / 2, "xanchor": "center", "showarrow": False}
        fig.add_annotation(text=f"<b>{hole}</b>, cm from its mark", y=1, yanchor="bottom", yshift=4, **place)
        fig.add_annotation(text=told, y=0, yanchor="top", yshift=-26, font={"size": 12}, **place)
        ticks = {"fixedrange": True, "zerolinecolor": GREY, "gridcolor": "#E3E8EC", "dtick": 1, "range": (-half, half)}
        fig.layout[f"xaxis{axes}"] = ticks | {"domain": (start + 0.03, start + third - 0.03), "anchor": f"y{axes}"}
        fig.layout[f"yaxis{axes}"] = ticks | {"scaleanchor": f"x{axes}", "anchor": f"x{axes}", "showticklabels": i == 0}
    title = f"Designed {found.planned_angle:.1f}°, built {value:.1f} ± {spread:.1f}°. Within {found.within:g}°: {found.verdict}"
    square = width * (third - 0.06)
    return fig.update_layout(
        PLAIN | {"width": width, "height": round(square + _TOP + _BOTTOM), "margin": {"l": 0, "r": 0, "t": _TOP, "b": _BOTTOM}},
        title={"text": title, "font": FONT | {"size": 16, "color": INK}, "x": 0.01, "y": 0.985, "yanchor": "top"},
    )


def _bar(way, colour):
    """The 95 % interval of one way; none where it was not read."""
    if np.isnan(way.low):
        return {"visible": False}
    return {"type": "constant", "value": (way.high - way.low) / 2, "color": colour, "thickness": 2, "width": 6}

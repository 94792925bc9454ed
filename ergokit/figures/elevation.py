"""What steep instruments cost: the angle seen from above they must come in at, and where that ends."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go

from ergokit._check import checked, pixels, some_angles
from ergokit.figures.style import AXIS, BLUE, GREEN, PLAIN, PURPLE, VERMILLION, sign
from ergokit.relations import RELATIONS

_LINES = ((BLUE, "dash", "circle"), (GREEN, "solid", "diamond"), (VERMILLION, "dot", "square"), (PURPLE, "dashdot", "cross"))


@checked(angles=some_angles, width=pixels, height=pixels)
def elevation_bound_figure(
    angles: Sequence[float] | np.ndarray = (45, 60, 75, 90), width: float = 700, height: float = 430
) -> go.Figure:
    """Angle seen from above against the shafts' own elevation, both equal, one line a manipulation angle.

    A line ends where the shafts come from opposite sides: steeper instruments cannot reach that angle.

    >>> figure = elevation_bound_figure((60,))
    >>> [note.text for note in figure.layout.annotations]
    ['60° ends at 60°']
    """
    relation = RELATIONS["equal_elevations"]
    figure = go.Figure()
    for angle, (colour, dash, symbol) in zip(angles, _LINES, strict=False):
        steepest = 90 - angle / 2
        elevation = np.linspace(0, steepest, 200)[:-1]
        plan = relation.evaluate("plan_angle", manipulation_angle=angle, elevation_angle=elevation)
        elevation, plan = np.append(elevation, steepest), np.append(plan, 180)
        figure.add_scatter(
            x=elevation,
            y=plan,
            mode="lines",
            line={"color": colour, "width": 3, "dash": dash},
            hovertemplate=f"{angle:g}°: elevation %{{x:.1f}}°, angle seen from above %{{y:.1f}}°<extra></extra>",
        )
        figure.add_scatter(x=[steepest], y=[180], mode="markers", marker=sign(symbol, colour, 12), hoverinfo="skip")
        text = f"{angle:g}° ends at {steepest:g}°"
        corner = {"xanchor": "left", "yanchor": "bottom", "yshift": 4, "textangle": -35}
        figure.add_annotation(x=steepest, y=180, text=text, showarrow=False, **corner)
    axis = AXIS | {"ticksuffix": "°"}
    figure.update_layout(
        **PLAIN,
        width=width,
        height=height,
        margin={"l": 70, "r": 70, "t": 70, "b": 50},
        xaxis=axis | {"range": (0, 75), "title": "elevation angle of each shaft", "dtick": 15},
        yaxis=axis | {"range": (0, 185), "title": "angle seen from above needed", "tickvals": [30, 60, 90, 120, 150, 180]},
    )
    return figure

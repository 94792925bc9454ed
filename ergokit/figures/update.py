"""Moving what is drawn: traces and annotations are built once, and only what differs travels to the browser."""

import numpy as np


def move(figure, parts, notes=(), **layout):
    """Give traces (name -> values), annotations (in order) and the layout new values, in one batch.

    A trace that is not among the `parts` is left alone.

    >>> import plotly.graph_objects as go
    >>> figure = go.Figure(go.Scatter(name="shaft", x=[0, 1], y=[0, 1]))
    >>> move(figure, {"shaft": {"y": [0, 2]}})
    >>> figure.data[0].y
    (0, 2)
    """
    with figure.batch_update():
        for trace in figure.data:
            _change(trace, parts.get(trace.name, {}))
        for annotation, note in zip(figure.layout.annotations, notes, strict=len(notes) > 0):
            _change(annotation, note)
        _change(figure.layout, layout)


def _change(item, values):
    for key, value in values.items():
        # As lists: a browser reports arrays of numbers back as mappings, which then stand in the figure.
        value = _plain(value)
        if _plain(item[key]) != value:
            item[key] = value


def _plain(value):
    """Arrays and tuples as lists, None for NaN."""
    if isinstance(value, np.ndarray):
        value = value.tolist()
    if isinstance(value, list | tuple):
        return [_plain(part) for part in value]
    return None if isinstance(value, float) and np.isnan(value) else value

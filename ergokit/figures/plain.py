"""Flat figures as plain data, which a `Picture` takes as it is: to have plotly check each entry takes longer than to draw."""

import numpy as np


def traces(looks, values, **always):
    """One trace a name, in the order of `looks`: what it always looks like, and where it is now."""
    return [{"name": name, "type": "scatter"} | always | look | values.get(name, {}) for name, look in looks.items()]


def xy(points):
    """Points (n, 2), or (n, 3) seen from above, as the coordinates of a trace."""
    x, y = np.atleast_2d(np.asarray(points, dtype=float))[:, :2].T
    return {"x": x, "y": y}


def line(colour, width, dash="solid"):
    """How a trace of lines looks."""
    return {"mode": "lines", "line": {"color": colour, "width": width, "dash": dash}}


def lifted(lines):
    """Lines, each (m, d), as one, the pen up after each."""
    parts = [part for each in lines for part in (each, np.full((1, np.shape(each)[1]), np.nan))]
    return np.concatenate(parts) if parts else np.empty((0, 3))


def notes(looks, values):
    """What is written, in order: what each always looks like, and where it is and what it says now."""
    blank = {"text": "", "x": 0, "y": 0, "showarrow": False}
    return [blank | look | value for look, value in zip(looks, values, strict=True)]

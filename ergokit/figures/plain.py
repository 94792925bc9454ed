"""Flat figures as plain data, which a `Picture` takes as it is: to have plotly check each entry takes longer than to draw."""


def traces(looks, values, **always):
    """One trace a name, in the order of `looks`: what it always looks like, and where it is now."""
    return [{"name": name, "type": "scatter"} | always | look | values.get(name, {}) for name, look in looks.items()]


def notes(looks, values):
    """What is written, in order: what each always looks like, and where it is and what it says now."""
    blank = {"text": "", "x": 0, "y": 0, "showarrow": False}
    return [blank | look | value for look, value in zip(looks, values, strict=True)]

"""Small pieces that every explorer is built from."""

import ipywidgets as w

_LABEL, _TRACK = "158px", "156px"

#: For the explorers' root, which carries the class ``ergokit``: ipywidgets leaves more room around than 840 pixels have.
STYLE = w.HTML(
    "<style>.ergokit .jupyter-widget-tab > .widget-tab-contents {padding: 6px 4px}"
    ".ergokit .widget-readout {width: 46px; min-width: 46px}"
    ".ergokit .widget-label {font-size: 12.5px}</style>",
    layout=w.Layout(display="none"),
)


def slider(label, tip, low, high, step=0.1):
    """A slider for a number with one decimal; its tip is what a screen reader says."""
    looks = {"readout_format": ".1f", "tooltip": f"{label}: {tip}", "layout": w.Layout(width=_TRACK, margin="0")}
    return w.FloatSlider(value=low, min=low, max=high, step=step, **looks)


def entry(label, tip, optional=False):
    """A box for a reading typed by hand, with a point or a comma."""
    hint, layout = "not measured" if optional else "", w.Layout(width="110px", margin="0")
    return w.Text(placeholder=hint, tooltip=f"{label}: {tip}", layout=layout, continuous_update=False)


def labelled(label, control, height="30px"):
    """A control with its label to the left, where it does not eat the track."""
    return w.HBox([w.Label(label, layout=w.Layout(width=_LABEL)), control], layout=w.Layout(height=height))


def on_grid(control, value):
    """The place on a slider's track nearest to a value.

    The browser would move it there, and report that as the reader's move.
    """
    return round(round(value / control.step) * control.step, 9)


def fit(control, value):
    """Move a slider to a value, widening its track where the value lies outside."""
    value = on_grid(control, value)
    if value < control.min:
        control.min = value
    if value > control.max:
        control.max = value
    control.value = value


def button(text, tip, action, width="auto"):
    made = w.Button(description=text, tooltip=tip, layout=w.Layout(width=width))
    made.on_click(lambda _: action())
    return made

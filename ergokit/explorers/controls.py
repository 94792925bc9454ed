"""Small pieces that every explorer is built from."""

import base64
import html

import anywidget
import ipywidgets as w

from ergokit._check import MOST_TARGETS, brief, read_point, refused, target_points
from ergokit.figures.style import SPACE_CSS, palette_css

_LABEL, _TRACK = "160px", "158px"


class Layout(w.Layout):
    """A layout that sends what it sets; ipywidgets sends seventy empty entries with each, and an explorer has a hundred."""

    def get_state(self, key=None, drop_defaults=False):
        state = super().get_state(key, drop_defaults)
        return {name: value for name, value in state.items() if value is not None} if key is None else state


class _Names(anywidget.AnyWidget):
    """Gives sliders and number boxes their tips as accessible names: ipywidgets leaves those on a label that nobody reads."""

    _esm = """
    const unnamed = "[role=slider], input[type=number]";
    function name(control) {
        const label = control.closest(".jupyter-widgets").querySelector("label[title]");
        if (label) control.setAttribute("aria-label", label.title);
    }
    export default {
        render({ el }) {
            requestAnimationFrame(() => {
                const root = el.closest(".ergokit");
                root?.querySelectorAll(unnamed).forEach(name);
                root?.addEventListener("focusin", (event) => event.target.matches(unnamed) && name(event.target));
            });
        },
    };
    """


_LOOKS = w.HTML(
    f"<style>:root {{{palette_css()}}} body[data-jp-theme-light=false] {{{palette_css(dark=True)}}} {SPACE_CSS}"
    """
    .ergokit-canvas {background: var(--space-paper)}
    .ergokit-canvas.painted + .ergokit-late {display: none}
    .ergokit-late {visibility: hidden; animation: ergokit-late 0s 8s forwards}
    @keyframes ergokit-late {to {visibility: visible}}
    .ergokit .jupyter-widget-tab > .widget-tab-contents {padding: 6px 4px}
    .ergokit .lm-TabBar-tabLabel {font-size: 12px}
    .ergokit .widget-readout {width: 46px; min-width: 46px}
    .ergokit .widget-label {font-size: 12.5px}
    .ergokit-measures {border-collapse: collapse; font-size: 12px; line-height: 14px; width: 100%}
    .ergokit-measures td, .ergokit-measures th {padding: 0 2px; text-align: right; border-bottom: 1px solid #88888844}
    .ergokit-measures td {white-space: nowrap}
    .ergokit-measures td[colspan] {text-align: center}
    .ergokit-measures td:first-child, .ergokit-measures th:first-child {text-align: left}
    .ergokit-measures .ergokit-whence {font-size: 11px; text-align: left; padding-left: 6px}
    .ergokit-foot {font-size: 11px; line-height: 13px}
    .ergokit-numeral {font-size: 36px; line-height: 40px; margin: 4px 0}
    .ergokit-numeral small {font-size: 15px}
    .ergokit-description {position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%)}
    body[data-jp-theme-light="false"] .ergokit .main-svg:first-of-type {background: #111111 !important}
    body[data-jp-theme-light="false"] .ergokit .main-svg .gridlayer path {stroke: var(--space-mist) !important}
    body[data-jp-theme-light="false"] .ergokit .main-svg text {fill: #EEEEEE !important}
    body[data-jp-theme-light="false"] .ergokit .annotation-text-g .bg {fill: #111111 !important}
    </style>"""
)
#: For the explorers' root, which carries the class ``ergokit``: ipywidgets leaves more room around than 840 pixels have, and
#: JupyterLab's dark theme wants light letters in the figures.
STYLE = w.VBox([_LOOKS, _Names()], layout=Layout(display="none"))


def slider(label, tip, low, high, step=0.1):
    """A slider for a number with one decimal; its tip is what a screen reader says."""
    looks = {"readout_format": ".1f", "tooltip": f"{label}: {tip}", "layout": Layout(width=_TRACK, margin="0")}
    return w.FloatSlider(value=low, min=low, max=high, step=step, **looks)


def number(label, tip, low, high, step=0.1):
    """A box for a number with one decimal, where there is no room for a slider."""
    layout = Layout(width="54px", margin="0")
    return w.BoundedFloatText(value=low, min=low, max=high, step=step, tooltip=f"{label}: {tip}", layout=layout)


def entry(label, tip, optional=False):
    """A box for a reading typed by hand, with a point or a comma."""
    hint, layout = "not measured" if optional else "", Layout(width="110px", margin="0")
    return w.Text(placeholder=hint, tooltip=f"{label}: {tip}", layout=layout, continuous_update=False)


def labelled(label, control, height="30px", width=_LABEL):
    """A control with its label to the left, where it does not eat the track."""
    return w.HBox([w.Label(label, layout=Layout(width=width)), control], layout=Layout(height=height))


def on_grid(control, value):
    """The place on a slider's track nearest to a value, of each end of a range; a control without steps takes any value.

    The browser would move it there, and report that as the reader's move.
    """
    if isinstance(value, tuple):
        return tuple(on_grid(control, end) for end in value)
    step = getattr(control, "step", None)
    return value if step is None else round(round(value / step) * step, 9)


def fit(control, value):
    """Move a slider to a value, widening its track where the value lies outside."""
    value = on_grid(control, value)
    if value < control.min:
        control.min = value
    if value > control.max:
        control.max = value
    control.value = value


def toggle(text, tip, width, on=False):
    return w.ToggleButton(on, description=text, tooltip=tip, layout=Layout(width=width))


def choice(options, tip, width):
    return w.Dropdown(options=options, tooltip=tip, layout=Layout(width=width))


def button(text, tip, action, width="auto"):
    made = w.Button(description=text, tooltip=tip, layout=Layout(width=width))
    made.on_click(lambda _: action())
    return made


def named_points(text):
    """The points of a list typed by hand, one a line, as pairs of name and coordinates.

    >>> named_points("needle: 0, 9, 0")
    [('needle', (0.0, 9.0, 0.0))]
    """
    lines = [line for line in text.splitlines() if line.strip()]
    if not lines:
        raise ValueError("targets takes at least one line such as  needle: 0, 9, 0.")
    if len(lines) > MOST_TARGETS:
        raise refused("targets", f"at most {MOST_TARGETS} lines", got=len(lines))
    found = {}
    for name, point in map(_named_point, lines):
        if name in found:
            raise refused("targets", "each name once", got=f"{brief(name)} twice")
        found[name] = point
    target_points("targets", list(found.values()))
    return list(found.items())


def _named_point(line):
    name, _, point = line.rpartition(":")
    try:
        if name.strip():
            return name.strip(), read_point(point)
    except ValueError:
        pass
    raise refused("targets", "lines such as  needle: 0, 9, 0", line.strip())


def said(message, wrong=False):
    """A sentence for the status line; one that says what is wrong is marked.

    >>> said("35 cm is too short.", wrong=True)
    '<span role="status" style="color:#D55E00">⚠ 35 cm is too short.</span>'
    """
    colour = "color:#D55E00" if wrong else ""
    return f'<span role="status" style="{colour}">{"⚠ " if wrong else ""}{html.escape(message)}</span>'


def save_link(name, data, mime, text):
    """A link that saves bytes as a file: the browser puts it where it puts all it saves, and never over another file.

    >>> save_link("a.txt", b"12 cm", "text/plain", "save").partition(" style")[0]
    '<a download="a.txt" href="data:text/plain;base64,MTIgY20="'
    """
    coded = base64.b64encode(data).decode()
    return (
        f'<a download="{html.escape(name, quote=True)}" href="data:{mime};base64,{coded}" '
        f'style="text-decoration: underline; color: var(--jp-content-link-color, #0072B2)">{html.escape(text)}</a>'
    )


HIDDEN = "<p><i>Numbers hidden: make your prediction, then press <b>numbers</b>.</i></p>"

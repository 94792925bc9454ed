"""Small pieces that every explorer is built from."""

import base64
import html
import tempfile
from pathlib import Path

import anywidget
import ipywidgets as w
import traitlets as t

from ergokit._check import MOST_TARGETS, brief, read_point, refused, target_points
from ergokit.explorers.cells import keep_one
from ergokit.figures.style import lab_css
from ergokit.terms import QUANTITIES, is_measure
from ergokit.terms import entry as entry_of

WIDE = "186px"  # for the longest label, "camera hole above ports (cm)"
_LABEL, _TRACK = "160px", "146px"
_HERE = Path(__file__).parent


class Layout(w.Layout):
    """A layout that sends what it sets; ipywidgets sends seventy empty entries with each, and an explorer has a hundred."""

    def get_state(self, key=None, drop_defaults=False):
        state = super().get_state(key, drop_defaults)
        return {name: value for name, value in state.items() if value is not None} if key is None else state


class _Front(anywidget.AnyWidget):
    """What the browser does for every explorer: see explorer.js."""

    _esm = (_HERE / "explorer.js").read_text(encoding="utf-8")
    #: The glossary, sent once: measure -> its entry, the longest name first.
    entries = t.Dict({name: entry_of(name) for name in sorted(QUANTITIES, key=len, reverse=True)}).tag(sync=True)


_LOOKS = w.HTML(f"<style>{lab_css()}{(_HERE / 'explorer.css').read_text(encoding='utf-8')}</style>")
#: For the explorers' root, which carries the class ``ergokit``.
STYLE = w.VBox([_LOOKS, _Front()], layout=Layout(display="none"))


def slider(label, tip, low, high, step=0.1):
    """A slider for a number with one decimal; its tip is what a screen reader says."""
    looks = {"readout_format": ".1f", "tooltip": f"{label}: {tip}", "layout": Layout(width=_TRACK, margin="0")}
    return w.FloatSlider(value=low, min=low, max=high, step=step, **looks)


def number(label, tip, low, high, step=0.1):
    """A box for a number with one decimal, where there is no room for a slider."""
    layout = Layout(width="54px", margin="0")
    box = w.BoundedFloatText(value=low, min=low, max=high, step=step, tooltip=f"{label}: {tip}", layout=layout)
    return box.add_class("ergokit-typed")


def entry(label, tip, optional=False):
    """A box for a reading typed by hand, with a point or a comma."""
    hint, layout = "optional" if optional else "", Layout(width="110px", margin="0")
    box = w.Text(placeholder=hint, tooltip=f"{label}: {tip}", layout=layout, continuous_update=False)
    return box.add_class("ergokit-typed")


def labelled(label, control, height="30px", width=_LABEL):
    """A control with its label to the left, where it does not eat the track; one that names a measure opens its entry."""
    return w.HBox([measure_named(w.Label(label, layout=Layout(width=width)), label), control], layout=Layout(height=height))


def what_is(name, width):
    """A question mark, `width` px wide, that opens the entry of a measure in the glossary; its tip names the measure."""
    mark = f'<button class="ergokit-what" title="{name}: what this is" aria-label="{name}: what this is">?</button>'
    return w.HTML(mark, layout=Layout(width=f"{width}px", margin="0"))


def measure_named(widget, label):
    """The widget, whose label opens the entry of a measure in the glossary if it names one."""
    return widget.add_class("ergokit-term") if is_measure(label) else widget


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


def toggle(text, tip, width):
    return w.ToggleButton(description=text, tooltip=tip, layout=Layout(width=width))


def tick(text, tip, width="auto", on=False):
    """A box to tick, with its words beside it."""
    return w.Checkbox(on, description=text, tooltip=tip, indent=False, layout=Layout(width=width, margin="0"))


def group(heading, help):
    """What a group of controls is for, and a line of help."""
    return w.HTML(f'<div class="ergokit-group"><b>{heading}</b> {help}</div>')


def choice(options, tip, width=_TRACK):
    return w.Dropdown(options=options, tooltip=tip, layout=Layout(width=width))


def button(text, tip, action=None, width="auto", primary=False):
    """A button; one without an action is the browser's own."""
    made = w.Button(description=text, tooltip=tip, layout=Layout(width=width), button_style="primary" if primary else "")
    if action:
        made.on_click(lambda _: action())
    return made


def named_points(text):
    """The points of a list typed by hand, one a line, as pairs of name and coordinates.

    >>> named_points("needle: 0, 9, 0")
    [('needle', (0.0, 9.0, 0.0))]
    """
    lines = [line for line in text.splitlines() if line.strip()]
    if not lines:
        raise ValueError("The list of targets is empty; type a line such as  needle: 0, 9, 0  (targets).")
    if len(lines) > MOST_TARGETS:
        raise refused("targets", f"at most {MOST_TARGETS}", problem=f"{len(lines)} lines are too many")
    found = {}
    for name, point in map(_named_point, lines):
        if name in found:
            raise ValueError(f"Two targets are called {brief(name)}; each needs a name of its own (targets).")
        found[name] = point
    target_points("targets", list(found.values()))
    return list(found.items())


def points_named(pairs):
    """The list of pairs of name and point, to a tenth of a millimetre, as `named_points` reads it.

    >>> points_named([("needle", (0.0, 9.0, 0.5))])
    'needle: 0, 9, 0.5'
    """
    return "\n".join(f"{name}: {', '.join(f'{round(part, 2) + 0:g}' for part in point)}" for name, point in pairs)


def _named_point(line):
    name, _, point = line.rpartition(":")
    try:
        if name.strip():
            return name.strip(), read_point(point)
    except ValueError:
        pass
    raise ValueError(f"{brief(line.strip())} is not a target; type a line such as  needle: 0, 9, 0  (targets).")


def upload(accept, text, tip, width, take):
    """A button that loads a file and calls `take` with it: its ``"name"``, ``"size"`` and ``"content"``."""
    made = w.FileUpload(accept=accept, description=text, tooltip=tip, layout=Layout(width=width))

    def hear(change):
        if change.new:
            take(change.new[0])
            made.value = ()  # so that the same file can be chosen again

    made.observe(hear, "value")
    return made


def said(message, wrong=False):
    """A sentence for the status line; one that says what is wrong is marked.

    >>> said("35 cm is too short.", wrong=True)
    '<span role="status" class="ergokit-wrong">⚠ 35 cm is too short.</span>'
    """
    looks = ' class="ergokit-wrong"' if wrong else ""
    return f'<span role="status"{looks}>{"⚠ " if wrong else ""}{html.escape(message)}</span>'


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


class SaveLink(w.HTML):
    """A link that saves what `write` writes, with a line about it; `data` is the file itself."""

    def __init__(self, name, write, about):
        with tempfile.TemporaryDirectory() as folder:
            self.data = write(Path(folder, "file").with_suffix(Path(name).suffix)).read_bytes()
        link = save_link(name, self.data, "application/pdf", f"Save {name}")
        super().__init__(f'<b style="font-size: 16px">{link}</b><br>{about}')

    def __repr__(self):
        return "The link to your file appears here once this cell has run (Shift + Enter)."


class Below(w.VBox):
    """What a cell shows, in the kit's look, until the cell runs again; before it has run, `what` appears is said."""

    what = "The explorer appears"

    def __init__(self, parts, *classes):
        super().__init__([STYLE, *parts])
        for name in ("ergokit", *classes):
            self.add_class(name)
        keep_one(self)

    def __repr__(self):
        return f"{self.what} here once this cell has run (Shift + Enter)."


class LinkForm(Below):
    """Controls, and below them what `make` makes of their values: anew after each change, or the sentence that refuses it."""

    what = "The form appears"

    def __init__(self, controls, make):
        self.controls_by_name, self._make, self.made = controls, make, w.VBox()
        for control in controls.values():
            control.observe(lambda _: self.remake(), "value")
        rows = [labelled(name, control) for name, control in controls.items()]
        super().__init__([*rows, self.made])
        self.remake()

    def remake(self) -> None:
        try:
            self.made.children = [self._make(*(control.value for control in self.controls_by_name.values()))]
        except ValueError as error:
            self.made.children = [w.HTML(said(str(error), wrong=True))]


HIDDEN = "<p style='line-height: 18px'><i>Numbers hidden: make your prediction, then press <b>numbers</b>.</i></p>"

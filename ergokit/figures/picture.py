"""A picture in JupyterLab that always comes up and follows: a scene in space or a flat plotly figure, as a widget of our own.

plotly's FigureWidget opens empty, and its data follow in messages that a busy machine may lose for good. Here the whole picture
is in the message that opens the widget, and only what differs travels after that; `picture.js` is the other end.
"""

from importlib.metadata import version
from pathlib import Path
from threading import RLock
from uuid import uuid4

import anywidget
import ipywidgets as w
import numpy as np
import plotly.graph_objects as go
import traitlets as t
from IPython import get_ipython
from plotly.offline import get_plotlyjs

from ergokit.figures.space import space_figure
from ergokit.figures.style import LOOKS, SPACE_JS


class Picture(w.VBox):
    """Shows a drawing and follows it.

    A drawing is a scene, ``{"items": items, "width": px, "height": px}`` (see `ergokit.figures.scene`), or a plotly figure as
    plain data, ``{"data": [...], "layout": {...}}``. Its size stays as it begins.

    view
        where a scene is seen from, until the reader turns it: see `space.framed`
    about
        what a screen reader calls it

    `show` another drawing and what differs travels; `shown` is what the browser last painted.

    >>> from ergokit import Placement
    >>> from ergokit.figures.scene import extent, scene
    >>> from ergokit.figures.space import VIEWS, framed
    >>> p = Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))
    >>> picture = Picture({"items": scene(p), "width": 500, "height": 400}, framed(extent(p), VIEWS["side"], 5 / 4))
    >>> picture.part("target")["at"]
    [[0.0, 10.0, 0.0]]
    """

    def __init__(self, drawing, view=None, about="A picture."):
        self._canvas = _Canvas(_parts(drawing), _size(drawing), view, about)
        shell = get_ipython()
        cell = f"cell [{shell.displayhook.prompt_count}]" if shell else "its cell"
        late = w.HTML(f"The picture has not come up. Run {cell} again: click in it and press Shift + Enter.")
        late.add_class("ergokit-late")
        super().__init__([self._canvas, late])

    @classmethod
    def of(cls, figure, about):
        """A picture of a plotly figure, whose traces may be nameless or share a name, as those of several panels do."""
        drawing = figure.to_dict()
        traces = {}
        for i, trace in enumerate(drawing["data"]):
            name = trace.get("name") or str(i)
            name = f"{name} ({i})" if name in traces else name
            traces[name] = trace | {"name": name}
        return cls(drawing | {"data": list(traces.values())}, about=about)

    def show(self, drawing):
        """Show another drawing: only the parts that differ are sent, in one message, or none where nothing does."""
        self._canvas.show(_parts(drawing))

    def shows(self, drawing):
        """Whether it shows just this drawing."""
        return self._canvas.picture["parts"] == _parts(drawing)

    @property
    def view(self):
        """Where the scene is seen from now: as it was set, or as the reader turned it."""
        return self._canvas.view

    @view.setter
    def view(self, view):
        self._canvas.view = view

    def part(self, name):
        """What is drawn under a name: an item of a scene, a trace, or the "layout"; None where there is none."""
        return self._canvas.picture["parts"].get(name)

    @property
    def words(self):
        """What is written in the picture, in order."""
        return _words(self._canvas.picture["parts"])

    @property
    def number(self):
        """How many times what is drawn has differed from what was drawn before."""
        return self._canvas.picture["n"]

    @property
    def shown(self):
        """What the browser says it painted last, in each view of this picture: (number, words)."""
        return list(self._canvas.shown.values())

    def still(self):
        """What is drawn as a plotly figure of its own, seen as the reader turned it."""
        picture = self._canvas.picture
        parts = dict(picture["parts"])
        if self.view:
            return space_figure(parts, self.view, picture["width"], picture["height"])
        layout = parts.pop("layout")
        return go.Figure(list(parts.values()), layout)

    def close(self):
        """Close the widget with all that it is made of."""
        for part in self.children:
            part.close()
        super().close()


def _size(drawing):
    return {side: drawing.get("layout", drawing)[side] for side in ("width", "height")}


def _parts(drawing):
    """What a drawing is made of, name -> plain lists: what differs is told and sent by these names."""
    if "items" in drawing:
        return drawing["items"]
    return {trace["name"]: _plain(trace) for trace in drawing["data"]} | {"layout": _plain(drawing["layout"])}


def _plain(value):
    """Arrays and tuples as lists, None for NaN, lengths to a micrometre."""
    if isinstance(value, np.ndarray):
        if value.dtype.kind != "f":
            return value.tolist()
        listed = value.round(4).tolist()
        return _plain(listed) if np.isnan(value).any() else listed
    if isinstance(value, dict):
        return {key: _plain(part) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(part) for part in value]
    if isinstance(value, float):
        return None if value != value else float(value)
    return value.item() if isinstance(value, np.generic) else value


def _words(parts):
    notes = parts["layout"].get("annotations", ()) if "layout" in parts else parts.values()
    return [note["text"] for note in notes if note.get("text") and note.get("visible", True)]


_MODULE = SPACE_JS + (Path(__file__).parent / "picture.js").read_text(encoding="utf-8")


class _Canvas(anywidget.AnyWidget):
    """The widget itself. `picture` changes in place and is never assigned: what differs is sent by hand."""

    _esm = t.Unicode(_MODULE).tag(sync=True)
    name = t.Unicode().tag(sync=True)
    picture = t.Dict().tag(sync=True, to_json=lambda picture, _: dict(picture))
    view = t.Dict(allow_none=True).tag(sync=True)
    looks = t.Dict().tag(sync=True)
    about = t.Unicode().tag(sync=True)
    library = t.Unicode().tag(sync=True)
    version = t.Unicode().tag(sync=True)

    def __init__(self, parts, size, view, about):
        self._lock = RLock()  # a comm may be heard in another thread than that of the cell which draws
        self.shown = {}
        given = {"looks": LOOKS} if view else {"library": _library(), "version": version("plotly")}
        given["_dom_classes"] = ("ergokit-canvas",)  # in the opening message, as all the rest
        given["layout"] = w.Layout(**{side: f"{px:g}px" for side, px in size.items()}, overflow="hidden")
        name = uuid4().hex  # by which picture.js finds the model inside anywidget's
        super().__init__(name=name, model_id=name, picture=size | {"n": 0, "parts": parts}, view=view, about=about, **given)
        self.on_msg(lambda _, content, buffers: self._hear(content))

    def show(self, parts):
        with self._lock:
            known = self.picture["parts"]
            changed = {name: part for name, part in parts.items() if name not in known or known[name] != part}
            changed |= {name: None for name in known if name not in parts}
            if changed:
                parts = {name: parts[name] for name in known if name in parts} | parts  # in the order that the browser has them
                self.picture |= {"parts": parts, "n": self.picture["n"] + 1}
                self.send({"n": self.picture["n"], "parts": changed})

    def get_state(self, key=None, drop_defaults=False):
        with self._lock:
            return super().get_state(key, drop_defaults)

    def _hear(self, content):
        if content.get("ask") == "whole":
            with self._lock:
                self.send({"whole": dict(self.picture)})
        elif "shown" in content:
            self.shown[content["shown"]] = content["n"], content["words"]


class _Library(w.Widget):
    """plotly.js for all flat pictures of a kernel: no view, no module, just its text in the message that opens it."""

    _model_name = t.Unicode("WidgetModel").tag(sync=True)
    code = t.Unicode().tag(sync=True)


_libraries: list[_Library] = []


def _library():
    """The name of the one that is open, opened when a flat picture first needs it."""
    if not _libraries or _libraries[-1].comm is None:
        _libraries.append(_Library(code=get_plotlyjs()))
    return _libraries[-1].model_id

"""Figures as files: html, png, svg or pdf, at the size of a slide, a column of text or a square, whole or not at all."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, nullcontext
from pathlib import Path
from textwrap import wrap
from typing import NamedTuple

import plotly.graph_objects as go
from plotly.basedatatypes import BaseFigure

from ergokit._check import a_function, a_text, checked, flag, instance, one_word
from ergokit._files import ending_in, free_path, write_whole
from ergokit._types import FilePath
from ergokit.guidance.cautions import FOR_EDUCATION


class Size(NamedTuple):
    """Of a figure to export, in px, 96 to the inch: the smallest letters of its words and of its foot, and how many dots a
    png has for each px. Without a height it follows the figure."""

    width: float
    height: float | None
    words: float
    foot: float
    dots: float

    @property
    def width_cm(self) -> float:
        return self.width * 2.54 / 96

    def points_in(self, other: Size) -> float:
        """The smallest words in points, 72 to the inch, once this figure is shrunk or enlarged to the width of another size.

        >>> SIZES["slide"].points_in(SIZES["slide"])
        18.0
        """
        return self.words * 72 / 96 * other.width / self.width


#: Letters of at least 18 points on a slide, 12 in its foot, are what a back row reads (common practice, no source).
SIZES = {
    "slide": Size(1280, 720, words=24, foot=16, dots=1.5),  # 16:9, 13.3 inches wide
    "column": Size(605, None, words=11, foot=9, dots=3.125),  # 16 cm of text on A4; 300 dots to the inch
    "square": Size(1080, 1080, words=24, foot=16, dots=1),
}
_ENDINGS = (".html", ".png", ".svg", ".pdf")
_COMPUTED = "computed from the geometry by ergokit"
_GREY = "#595959"  # 7 to 1 on white: small letters
_INSTALL = (
    "install it (on Debian and Ubuntu: sudo apt install chromium; elsewhere: kaleido_get_chrome) for png, svg, pdf and slides. "
    "An .html file needs no browser."
)
_LARGER, _LARGEST = 1.2, 1.75  # of the smallest words: those of a figure as it is made, and any other, without a title
_PAD = 0.7  # of a word's height, about a figure


@checked(title=a_text, source=a_text, overwrite=flag)
def save(
    fig: BaseFigure,
    path: FilePath,
    *,
    size: str | Size = "slide",
    title: str | None = None,
    source: str | None = None,
    overwrite: bool = False,
) -> Path:
    """Write a figure to a file whose ending says what it is: .html, .png, .svg or .pdf; returns the path.

    fig
        a plotly figure: one of `ergokit.figures`, or an explorer's `.picture.still()`
    size
        ``"slide"`` (16:9), ``"column"`` (16 cm of text on an A4 page), ``"square"``, or a `Size`. Letters that would be too
        small to read there are made larger. A figure drawn to scale keeps its shape, any other fills the room
    title, source
        above and below the figure; its own unless given. The caution is beside the source
    overwrite
        True to replace a file

    An html file holds all it needs, opens without a network and lets the reader turn the figure. The other kinds are drawn by
    Chrome or Chromium. ValueError says what is wrong; nothing is left half-written.

    >>> import tempfile
    >>> from ergokit.figures import elevation_bound_figure
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     save(elevation_bound_figure(), f"{folder}/bound.html").name
    'bound.html'
    """
    path = ending_in(path, _ENDINGS)
    _save({path: canvas(fig, size, title, source)}, size, overwrite)
    return path


@checked(overwrite=flag, progress=a_function)
def save_all(
    figs: Mapping[str, BaseFigure] | Mapping[Path, BaseFigure],
    *,
    size: str | Size = "slide",
    overwrite: bool = False,
    progress: Callable[[Iterable], Iterable] | None = None,
) -> list[Path]:
    """Write many figures, `{path: figure}`, as `save` does, with one browser and a progress bar; returns the paths.

    All paths are checked before the first figure is drawn. `progress` takes the figures and gives them one by one, as `tqdm`
    does, in place of the bar.
    """
    instance("figs", figs, "a mapping from path to figure", Mapping)
    return _save({path: canvas(fig, size) for path, fig in figs.items()}, size, overwrite, progress)


def pictures(figs, dots=1, progress=None):
    """The png of each of many figures as they are, drawn by one browser with a progress bar."""
    with browser() as draw:
        return [draw(fig, "png", dots) for fig in (progress or _bar)(figs)]


def _save(figs, size, overwrite, progress=None):
    size = _size(size)
    paths = [free_path(ending_in(path, _ENDINGS), overwrite) for path in figs]
    written = []
    with nullcontext() if all(path.suffix == ".html" for path in paths) else browser() as draw:
        for path, fig in zip(paths, (progress or _bar)(figs.values()), strict=True):

            def write(part, fig=fig):
                if part.suffix.lower() == ".html":
                    fig.write_html(part, include_plotlyjs=True, config={"displaylogo": False})
                else:
                    drawn = draw(fig, kind := part.suffix[1:].lower(), size.dots)
                    part.write_bytes(_titled(drawn, fig.layout.title.text or "") if kind == "pdf" else drawn)

            written.append(write_whole(path, write, overwrite))
    return written


def _titled(pdf, title):
    """A PDF whose properties are its figure's title alone, not the name, version and time of the browser.

    The new properties are appended, with a table of where they are that goes before the one there is (ISO 32000-1, 7.5.6,
    from memory).
    """
    title = " ".join(re.sub("<[^>]+>", " ", title).split())
    trailer = pdf[pdf.rindex(b"trailer") :]
    number, root, earlier = (
        re.search(entry, trailer)[1].decode() for entry in (rb"/Size (\d+)", rb"/Root (\d+ \d+ R)", rb"startxref\s+(\d+)")
    )
    number, words = int(number), (b"\xfe\xff" + title.encode("utf-16-be")).hex()
    properties = f"{number} 0 obj\n<</Title <{words}>>>\nendobj\n".encode()
    at = len(pdf), len(pdf) + len(properties)
    table = f"xref\n{number} 1\n{at[0]:010d} 00000 n \ntrailer\n<</Size {number + 1} /Root {root} /Info {number} 0 R"
    return pdf + properties + f"{table} /Prev {earlier}>>\nstartxref\n{at[1]}\n%%EOF\n".encode()


def _bar(figs):
    from tqdm.auto import tqdm  # a widget in a notebook, a line in a terminal

    figs = list(figs)
    return tqdm(figs, desc="drawing", unit="figure", disable=len(figs) < 2)


def _size(size):
    if isinstance(size, Size):
        return size
    return SIZES[one_word("size", size, SIZES, f"{', '.join(map(repr, SIZES))} or a Size")]


# The browser


_running: list = []


@contextmanager
def browser() -> Iterator[Callable[[BaseFigure, str, float], bytes]]:
    """Keep one browser for all that is drawn within: ``with browser(): save_all(...); write_deck(...)``.

    The block gets a function of a figure, a format and the dots for each px, which returns the bytes of the file.
    """
    with nullcontext(_running[0]) if _running else _started() as draw:
        _running.append(draw)
        try:
            yield draw
        finally:
            _running.pop()


@contextmanager
def _started():
    """A browser in a thread of its own, because the event loop of a notebook is busy with the cell that asks.

    kaleido's own server for this (`start_sync_server` of 1.5) waits for ever where no browser starts.
    """
    import kaleido
    from anyio.from_thread import start_blocking_portal
    from choreographer import errors

    closed = errors.BrowserClosedError, errors.ChannelClosedError

    def draw(fig, format, dots):
        # A vector has no dots: scaled, it would only be another size on the page.
        opts = {"format": format, "width": fig.layout.width, "height": fig.layout.height}
        try:
            return thread.call(chrome.calc_fig, fig, opts | {"scale": dots if format == "png" else 1})
        except (*closed, TimeoutError):
            raise ValueError(
                "The browser stopped before the figure was drawn; try again, with fewer figures at a time."
            ) from None

    with start_blocking_portal() as thread:
        try:
            chrome = kaleido.Kaleido(mathjax=False)  # which would come from the network
            thread.call(chrome.open)
        except errors.ChromeNotFoundError:
            raise ValueError(f"There is no Chrome or Chromium on this computer: {_INSTALL}") from None
        except (errors.BrowserFailedError, errors.BrowserDepsError, *closed):
            raise ValueError(f"Chrome or Chromium is on this computer but does not start: {_INSTALL}") from None
        try:
            yield draw
        finally:
            thread.call(chrome.close)


# Laid out for its size


def canvas(fig, size="slide", title=None, source=None, bare=False):
    """A copy of a figure laid out for a size: title above, source and caution below, letters no smaller than can be read.

    `bare` leaves out title, source and caution, for a picture that others stand beside.
    """
    size = _size(size)
    instance("fig", fig, "a plotly figure, such as an explorer's .picture.still()", BaseFigure)
    spec = fig.to_dict()
    layout = spec["layout"]
    meta = layout["meta"] if isinstance(layout.get("meta"), dict) else {}
    title = next(filter(None, (title, meta.get("title"), layout.pop("title", {}).get("text"))), None)
    margin = layout["margin"] = {"l": 80, "r": 80, "t": 100, "b": 80} | layout.get("margin", {})
    wide, high = layout.get("width", 700), layout.get("height", 450)
    own_foot, freed = _take_foot(layout)
    source, high = source or own_foot or meta.get("source"), high - freed
    letters = layout.setdefault("font", {}).setdefault("size", 12)

    pad = _PAD * size.words
    heading = 1.5 * size.words
    largest = _LARGEST * size.words if bare else heading
    head_lines = wrap(title, int((size.width - 2 * pad) / (0.55 * heading))) if title and not bare else []
    head = 1.25 * heading * len(head_lines) + pad
    foot_lines = _foot_lines(source, FOR_EDUCATION, (size.width - 2 * pad) / (0.48 * size.foot)) if not bare else []
    below = 1.4 * size.foot * len(foot_lines) + pad

    tied = any("scaleanchor" in part or key.startswith("scene") for key, part in layout.items() if isinstance(part, dict))
    scale = size.width / wide
    if size.height is not None:
        scale = min(scale, (size.height - head - below) / high)
    if not tied:
        scale = max(scale, size.words / letters)
    height = head + below + scale * high if size.height is None else size.height
    spec = _magnified(spec, scale, size.words, letters, largest)
    layout, margin = spec["layout"], spec["layout"]["margin"]
    aside = (size.width - scale * wide) / 2 if tied else 0
    beyond = (height - head - below - scale * high) / 2 if tied else 0
    for side, more in (("l", aside), ("r", aside), ("t", head + beyond), ("b", below + beyond)):
        margin[side] += more
    layout |= {"width": size.width, "height": height}
    if head_lines:
        layout["title"] = {
            "text": f"<b>{'<br>'.join(head_lines)}</b>",
            "font": {"size": heading, "color": "#222222"},
            "x": pad / size.width,
            "xanchor": "left",
            "y": 1 - pad / height,
            "yanchor": "top",
            "automargin": False,
        }
    if foot_lines:
        layout["annotations"] = [*layout.get("annotations", ()), _foot_note(foot_lines, size, margin, pad)]
    return go.Figure(spec)


def _take_foot(layout):
    """Take the note called "foot" out of a layout, with the room below the axis title that it stood in: its text, the px."""
    notes = layout.get("annotations", [])
    foot = next((note for note in notes if note.get("name") == "foot"), None)
    if foot is None:
        return None, 0
    layout["annotations"] = [note for note in notes if note is not foot]
    freed = layout["margin"]["b"] + foot["yshift"]
    layout["margin"]["b"] -= freed
    return " ".join(foot["text"].replace("<br>", " ").split()), freed


def _foot_lines(source, caution, letters):
    source = (source or _COMPUTED).rstrip(".")
    return [line for text in (f"Source: {source}.", caution) for line in wrap(text, int(letters))]


def _foot_note(lines, size, margin, pad):
    return {
        "name": "foot",
        "text": "<br>".join(lines),
        "font": {"size": size.foot, "color": _GREY},
        "align": "left",
        "showarrow": False,
        "xref": "paper",
        "yref": "paper",
        "x": 0,
        "y": 0,
        "xanchor": "left",
        "yanchor": "bottom",
        "xshift": pad - margin["l"],
        "yshift": pad / 2 - margin["b"],
    }


#: Which entries of a figure are px, by the entry they are in.
_PIXELS = {
    "font": ("size",),
    "line": ("width",),
    "marker": ("size",),
    "pattern": ("size",),
    "margin": ("l", "r", "t", "b"),
    "annotations": ("xshift", "yshift", "ax", "ay", "borderpad", "arrowwidth", "standoff"),
}


def _magnified(item, scale, words, letters, largest, within=""):
    """A figure's dictionary with all that is in px `scale` times as large.

    Its words, of so many `letters`, become at least `words` px and at most a fifth larger; no letter is above the `largest`.
    """
    if isinstance(item, list | tuple):
        if not (item and isinstance(item[0], dict)):
            return item
        return [_magnified(part, scale, words, letters, largest, within) for part in item]
    written = min(scale, _LARGER * words / letters)
    found = {}
    for key, value in item.items():
        kind = "font" if key.endswith("font") else key
        if isinstance(value, dict | list | tuple):
            value = _magnified(value, scale, words, letters, largest, kind)
        elif isinstance(value, int | float) and key in _PIXELS.get(within, ()):
            value = min(max(written * value, words), largest) if within == "font" else scale * value
        elif key == "dash" and "px" in str(value):
            value = re.sub(r"[\d.]+", lambda px: f"{scale * float(px[0]):.1f}", value)
        found[key] = value
    return found

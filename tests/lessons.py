"""A lesson worked in this process, as Run All and a reader who presses "show me" would: what each cell shows, and when."""

import ast
import contextlib
import html
import io
import json
import re
from typing import NamedTuple

import ipywidgets as w
from browser import NOTEBOOKS
from walks import parts

from ergokit.explorers.prediction import Prediction

LESSONS = sorted(NOTEBOOKS.glob("*.ipynb"))


class Cell(NamedTuple):
    """A cell that has run: what a reader sees of it before any guess, its predictions, and other things it made."""

    seen: str
    predictions: list
    made: list


class Worked(NamedTuple):
    name: str
    stored: dict  # the notebook
    cells: list
    revealed: dict  # prediction -> what "show me" brought


def worked(path):
    """All cells of a lesson run in order; then "show me" is pressed everywhere, from the first to the last."""
    cells, names, stored = [], {"__name__": "__main__"}, json.loads(path.read_text(encoding="utf-8"))
    for cell in stored["cells"]:
        source = "".join(cell["source"])
        if cell["cell_type"] == "markdown":
            cells.append(Cell(source, [], []))
            continue
        folded = cell["metadata"].get("jupyter", {}).get("source_hidden")
        shown = source.split("\n")[0] if folded else source
        printed, value = _run(source, names, f"{path.stem} {cell['id']}")
        asked = [each for each in _widgets(value) if isinstance(each, Prediction)]
        cells.append(Cell("\n".join([shown, printed, text_of(value)]), asked, [value]))
    revealed = {}
    for one in (each for cell in cells for each in cell.predictions):
        before = words_of(one)
        one.reveal()
        revealed[one] = "\n".join([words_of(one).removeprefix(before), *map(text_of, one.shown)])
    return Worked(path.stem, stored, cells, revealed)


def _run(source, names, where):
    """What a cell prints, and the value of its last line."""
    lines = ast.parse(source)
    last = ast.Expression(lines.body.pop().value) if isinstance(lines.body[-1], ast.Expr) else None
    with contextlib.redirect_stdout(io.StringIO()) as printed:
        exec(compile(lines, where, "exec"), names)
        value = eval(compile(last, where, "eval"), names) if last else None
    return printed.getvalue(), value


def explorers_of(lesson):
    """Everything in a lesson that can be exercised: what cells ended with, and what came with an answer."""
    made = [each for cell in lesson.cells for each in cell.made]
    found = [part for value in [*made, *(each for one in lesson.revealed for each in one.shown)] for part in _widgets(value)]
    return [one for one in dict.fromkeys(found) if hasattr(one, "controls") or hasattr(one, "exercise")]


def _widgets(value):
    return parts(value) if isinstance(value, w.Widget) else []


def text_of(value):
    """All that a value says when it is shown: a table, a figure's words, the HTML of a widget, a text."""
    if value is None or isinstance(value, str):
        return value or ""
    if isinstance(value, tuple) and not hasattr(value, "_repr_markdown_"):
        return "\n".join(map(text_of, value))
    if isinstance(value, w.Widget):
        return words_of(value)
    if hasattr(value, "to_plotly_json"):
        return "\n".join(_strings(value.to_plotly_json()))
    for kind in ("_repr_markdown_", "_repr_html_"):
        if hasattr(value, kind):
            return plain(getattr(value, kind)())
    return repr(value)


def words_of(widget):
    """What stands in a widget's HTML, labels, buttons and boxes."""
    said = [one.value for one in parts(widget) if isinstance(one, w.HTML | w.Label)]
    said += [str(option) for one in parts(widget) if isinstance(one, w.ToggleButtons) for option in one.options]
    return plain("\n".join(said))


def plain(text):
    return html.unescape(re.sub(r"<style.*?</style>|<[^>]*>", " ", text, flags=re.DOTALL))


def _strings(value, key=""):
    if isinstance(value, str):
        return [plain(value)] if key in ("text", "title", "name", "ticktext", "texttemplate") else []
    if isinstance(value, dict):
        return [each for name, inner in value.items() for each in _strings(inner, name)]
    return [each for inner in value for each in _strings(inner, key)] if isinstance(value, list | tuple) else []

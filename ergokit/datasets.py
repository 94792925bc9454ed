"""The tables in `data/`: one loader, and one sentence for a row that does not fit.

A published value keeps how far it was verified in its `basis`: ``published`` (the source's words were read), ``from memory``
or ``common practice`` (no source). Its `secondary` says that the words were read on a page about the source or one without
review, not in the source itself. A row without a source names ``none``.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from ergokit._check import MOST_TARGETS, brief, instance, numbers, one_word, read_number, refused
from ergokit._files import read_small, some_path
from ergokit._types import FilePath

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["BASES", "KINDS", "READ_IN", "TABLES", "UNITS", "demo_targets", "folder", "load", "read", "records", "rows_of"]

BASES = ("published", "from memory", "common practice")
#: What a row of published values says: a range somebody advises, the best of the levels tried, levels or a range that
#: were tried, a result that was measured, or how large something is.
KINDS = ("advice", "best", "tested", "result", "dimension")
_SIDES: dict[str, Callable] = {"both": lambda x: True, "left": lambda x: x < 0, "right": lambda x: x >= 0}
UNITS = ("cm", "deg", "ratio", "s", "deg/s", "percent", "score", "count", "L")
READ_IN = ("abstract", "article text", "table", "page scan", "book page", "data file", "secondary page", "not read")


def load(name: str) -> pd.DataFrame:
    """The table `name` as a pandas DataFrame, checked row by row.

    ``"published_values"``: quantity, kind, low, high, unit, levels (those tried, a tuple), against and at (what a result was
    measured against, or a condition speaks of, and where), condition (when the row holds; or, begun with "from", what it was
    found on), may_mean (another quantity that the source's word may mean), statement, source, basis, secondary.
    Lengths in cm, angles in degrees; NaN where a range has no end on that side.

    ``"sources"``: id, citation, doi, from_memory (parts of the entry that were not read), read_in.

    ``"measures"``: the glossary: measure, unit, symbol, lesson (that teaches it), drawn (what its drawing shows, see
    `ergokit.terms.sketch`), functions (whose rules may name it), means (a sentence or two).

    ``"demo_box"``: an invented box with a tape laid along it: reading (an argument of `Placement.from_tape`), value, unit, how.

    ``"demo_built"``: an invented box cut by the design of lesson 03, with the same columns.

    ``"demo_targets"``: an invented set of targets for practice: target (its name), x, y, z, unit, task.

    ``"demo_tape_check"``: another, read between all its points: reading (an argument of `check_tape`), value, error (NaN for
    the usual one), unit, how.

    ValueError for an unknown name, and for a bad row, with its file, line and column.

    >>> values = load("published_values")
    >>> values[(values.quantity == "working distance") & (values.kind == "advice")][["low", "high", "source"]]
       low  high           source
    1  7.5  15.0  hanna-1997-view
    """
    import pandas as pd

    return pd.DataFrame(records(name), columns=list(_table(name)))


def records(name: str) -> tuple[dict, ...]:
    """The table `name` as a tuple of mappings from column to value, checked like `load` and read once."""
    _table(name)
    return _records(name)


@cache
def _records(name):
    return read(folder() / f"{name}.csv", _table(name))


def demo_targets(side: str = "both") -> tuple[list[str], np.ndarray]:
    """The names and the points (n, 3), in cm, of the invented set of targets: all, or those "left" or "right" of the midline.

    >>> names, points = demo_targets("left")
    >>> names, points.shape
    (['dish', 'hook', 'sponge', 'coin'], (4, 3))
    """
    keep = _SIDES[one_word("side", side, _SIDES)]
    rows = [row for row in records("demo_targets") if keep(row["x"])]
    return [row["target"] for row in rows], np.array([[row[axis] for axis in "xyz"] for row in rows])


def folder() -> Path:
    """The folder of tables: `data` beside the package in a checkout, inside it once installed."""
    package = Path(__file__).parent
    inside = package / "data"
    return inside if inside.is_dir() else package.parent / "data"


def read(path: FilePath, columns: Mapping[str, Callable], what: str = "a table as CSV") -> tuple[dict, ...]:
    """The rows of a CSV file as mappings; `columns` maps each name to a function from text to value.

    The file may be as spreadsheets write it: commas, or semicolons with decimal commas, or tabs between; UTF-8 with a mark
    before it or not; names of columns in capitals, blanks about a cell, empty lines. A line that begins with # is a remark.
    ValueError names the file, the line and the column, and `what` is read.
    """
    path = some_path(path)
    return rows_of(read_small(path, what), path.name, columns)


def rows_of(text: str, name: str, columns: Mapping[str, Callable]) -> tuple[dict, ...]:
    """The rows of a table as CSV in a text, as `read` gives those of a file; `name` is what the table is called.

    >>> rows_of("what; cm\\nhole; 1,5", "the table", {"what": _text, "cm": _number})
    ({'what': 'hole', 'cm': 1.5},)
    """
    instance("columns", columns, "a mapping from name to function", Mapping)
    instance("text", text, "a table as CSV", str)
    text = text.removeprefix("\ufeff")
    head = next((line for line in text.splitlines() if line.strip() and not line.strip().startswith(("#", '"#'))), "")
    lines = csv.reader(io.StringIO(text, newline=""), strict=True, delimiter=max(",;\t", key=head.count))
    rows: list[dict] = []
    at = None
    try:
        for cells in lines:
            cells = [cell.strip() for cell in cells]
            while cells and not cells[-1] and len(cells) > len(at or columns):
                cells.pop()  # as an edge of the sheet that was touched leaves behind
            if not any(cells) or cells[0].startswith("#"):
                continue
            where = f"{name}, line {lines.line_num}"
            if at is None:
                at = _places(where, [cell.lower() for cell in cells], columns)
            elif len(cells) != len(at):
                raise refused(where, f"{len(at)} columns", problem=f"{len(cells)} columns were found")
            elif len(rows) == MOST_TARGETS:
                raise refused(where, f"at most {MOST_TARGETS} rows", problem="This table is too long")
            else:
                rows.append(_row(where, {column: cells[place] for column, place in at.items()}, columns))
    except csv.Error as error:
        raise ValueError(
            f"A cell is too long, or a quotation mark is never closed: {error} ({name}, line {lines.line_num})."
        ) from None
    if at is None:
        _places(f"{name}, line 1", [], columns)
    return tuple(rows)


def _places(where, header, columns):
    """Where each column stands in a header, which may have them in any order."""
    if sorted(header) != sorted(columns):
        missing = ", ".join(column for column in columns if column not in header)
        problem = f"The header {brief(', '.join(header))} {f'lacks {missing}' if missing else 'has other columns'}"
        raise refused(where, f"the columns {', '.join(columns)}", problem=problem if header else "This table is empty")
    return {column: header.index(column) for column in columns}


def _row(where, cells, columns):
    row = {}
    for column, convert in columns.items():
        try:
            row[column] = convert(cells[column], row)
        except ValueError as error:
            raise ValueError(f"{str(error).removesuffix('.')} ({where}, column {column}).") from None
    return row


def _table(name):
    return TABLES[one_word("name", name, TABLES)]


# From the text of one cell, and the cells before it in the row, to its value.


def _text(cell, row):
    if not cell.strip():
        raise refused("", "some words", problem="This cell is empty")
    return cell


def _words_or_nothing(cell, row):
    return cell


def _number(cell, row):
    """A number; NaN for an empty cell."""
    if not cell:
        return math.nan
    try:
        return float(numbers("", read_number(cell), "a number"))
    except ValueError:
        raise refused("", "a number or nothing", cell) from None


def _reading(cell, row):
    if not cell:
        raise refused("", "a number", problem="This cell is empty")
    return _number(cell, row)


def _high(cell, row):
    high = _number(cell, row)
    if high < row["low"]:
        raise refused("", f"a number of at least the low end, {row['low']:g}", cell)
    if math.isnan(high) and math.isnan(row["low"]):
        raise refused("", "a number", problem="This row has no low end and no high end")
    return high


def _levels(cell, row):
    levels = tuple(_number(part.strip() or "nothing", row) for part in cell.split(";")) if cell else ()
    if list(levels) != sorted(set(levels)):
        raise refused("", "rising numbers separated by semicolons", cell)
    return levels


def _at(cell, row):
    if bool(cell) != bool(row["against"]):
        raise refused("", "a number where the column against names a quantity, and nothing elsewhere", cell)
    return _number(cell, row)


def _one_of(*choices):
    def check(cell, row):
        if cell not in choices:
            raise refused("", f"one of {', '.join(choices)}", cell)
        return cell

    return check


def _yes_or_no(cell, row):
    return _one_of("yes", "no")(cell, row) == "yes"


def _source(cell, row):
    known = [source["id"] for source in records("sources")]
    if cell != "none" and cell not in known:
        raise refused("", "the id of a row in sources.csv, or none", cell)
    return cell


def _basis(cell, row):
    basis = _one_of(*BASES)(cell, row)
    if (basis == "published" and row["source"] == "none") or (basis == "common practice" and row["source"] != "none"):
        raise ValueError(f"The basis {basis!r} does not go with the source {row['source']!r}.")
    return basis


def _doi(cell, row):
    if cell and not cell.startswith("10."):
        raise refused("", "a DOI that begins with 10., or nothing", cell)
    return cell


TABLES = {
    "sources": {
        "id": _text,
        "citation": _text,
        "doi": _doi,
        "from_memory": _words_or_nothing,
        "read_in": _one_of(*READ_IN),
    },
    "published_values": {
        "quantity": _text,
        "kind": _one_of(*KINDS),
        "low": _number,
        "high": _high,
        "unit": _one_of(*UNITS),
        "levels": _levels,
        "against": _words_or_nothing,
        "at": _at,
        "condition": _words_or_nothing,
        "may_mean": _words_or_nothing,
        "statement": _text,
        "source": _source,
        "basis": _basis,
        "secondary": _yes_or_no,
    },
    "measures": {
        "measure": _text,
        "unit": _one_of("cm", "deg", "ratio"),
        "symbol": _words_or_nothing,
        "lesson": _text,
        "drawn": _text,
        "functions": _words_or_nothing,
        "means": _text,
    },
    "demo_box": {"reading": _text, "value": _number, "unit": _one_of(*UNITS), "how": _text},
    "demo_built": {"reading": _text, "value": _number, "unit": _one_of(*UNITS), "how": _text},
    "demo_targets": {"target": _text, "x": _number, "y": _number, "z": _number, "unit": _one_of("cm"), "task": _text},
    "demo_tape_check": {"reading": _text, "value": _reading, "error": _number, "unit": _one_of("cm"), "how": _words_or_nothing},
}

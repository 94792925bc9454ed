"""Everything in the reader's folder: looked at, taken along as one file, deleted."""

from __future__ import annotations

import csv
import io
import zipfile
from typing import NamedTuple

from ergokit.desk import place
from ergokit.desk.boxes import read_box
from ergokit.desk.events import happened, read_event

_KINDS = ("boxes", "events")
_MOST_TEXT = 5000  # characters; what the kit writes has fewer


class Item(NamedTuple):
    """A file in the reader's folder: its kind, its content in words, what is wrong with the file, if anything, and its text."""

    name: str
    kind: str
    holds: str
    wrong: str
    text: str


def contents() -> list[Item]:
    """Every file in the reader's folder, boxes first.

    >>> from ergokit.desk import folder_at
    >>> with folder_at("nowhere"):
    ...     contents()
    []
    """
    found = []
    for path, box, wrong in place.read("boxes", read_box):
        parts = {"a design": box.design, "tape readings": box.built} if box else {}
        has = " and ".join(name for name, part in parts.items() if part is not None)
        found.append(Item(path.name, "box", has, wrong, _text(path)))
    for path, event, wrong in place.read("events", read_event):
        found.append(Item(path.name, "event", event["what"] if event else "", wrong, _text(path)))
    return found


def _text(path):
    """The beginning of a file, whatever is in it."""
    try:
        with open(path, encoding="utf-8", errors="replace") as file:
            return file.read(_MOST_TEXT)
    except OSError:
        return ""


def export() -> bytes:
    """All files as a zip, readable or not, with all events once more in one table, ``progress.csv``.

    >>> from ergokit.desk import folder_at
    >>> with folder_at("nowhere"):
    ...     zipfile.ZipFile(io.BytesIO(export())).namelist()
    ['progress.csv']
    """
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as zipped:
        for kind in _KINDS:
            for path in place.files(kind):
                try:
                    zipped.writestr(f"{kind}/{path.name}", path.read_bytes())
                except OSError as error:
                    raise ValueError(f"{path.name} in your folder cannot be read ({error.strerror}).") from None
        zipped.writestr("progress.csv", _table(happened()))
    return data.getvalue()


def clear() -> int:
    """Delete every box and every event; returns the number of files. ValueError if a file cannot be deleted.

    Nothing else in the folder is touched.
    """
    paths = [path for kind in _KINDS for path in place.files(kind)]
    for path in paths:
        try:
            path.unlink()
        except OSError as error:
            raise ValueError(f"{path.name} in your folder cannot be deleted ({error.strerror}).") from None
    return len(paths)


def _table(events):
    text = io.StringIO(newline="")
    columns = dict.fromkeys(["at", "what", *(name for event in events for name in event)])
    table = csv.DictWriter(text, [name for name in columns if name not in ("format", "version")], extrasaction="ignore")
    table.writeheader()
    table.writerows(events)
    return text.getvalue()

"""The reader's own folder: where it is, and how a file in it is read and written. No other room knows."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from ergokit._files import json_object, put_whole, read_small, short_path, some_path
from ergokit._types import FilePath

T = TypeVar("T")

HOME = "ERGOKIT_HOME"
VERSION = 1  # a newer kit adds fields and gives none another meaning; this one ignores what it does not know, and keeps it


def folder() -> Path:
    """The folder of the reader's own files: `ERGOKIT_HOME` if that is set, else where the system keeps a program's data.

    The folder need not exist yet. On a shared server it is a folder of that server.

    >>> with folder_at("somewhere"):
    ...     folder().name
    'somewhere'
    """
    own = os.environ.get(HOME, "").strip()
    if own:
        return Path(os.path.expanduser(some_path(own, HOME))).absolute()
    import platformdirs

    return platformdirs.user_data_path("ergokit", appauthor=False)


@contextmanager
def folder_at(path: FilePath) -> Iterator[Path]:
    """Use another folder inside a `with` block, in this process and in those that this process starts there.

    >>> with folder_at("somewhere") as there:
    ...     there == folder()
    True
    """
    before = os.environ.get(HOME)
    os.environ[HOME] = str(some_path(path))
    try:
        yield folder()
    finally:
        if before is None:
            del os.environ[HOME]
        else:
            os.environ[HOME] = before


def files(kind: str) -> list[Path]:
    """The files of one kind, ``"boxes"`` or ``"events"``, by name; none where the folder does not exist or cannot be read."""
    try:
        return sorted(each for each in (folder() / kind).iterdir() if each.suffix == ".json")
    except OSError:
        return []


def read(kind: str, reader: Callable[[Path], T]) -> Iterator[tuple[Path, T | None, str]]:
    """Each file of a kind, with what `reader` makes of it, or None, and what is wrong with the file, if anything."""
    for path in files(kind):
        try:
            yield path, reader(path), ""
        except ValueError as error:
            yield path, None, str(error)


def put(kind: str, name: str, what: str, record: dict[str, Any]) -> Path:
    """Write a record as the file `name` of a kind, whole or not at all, over the one before; ValueError where it cannot be."""
    path = folder() / kind / f"{name}.json"
    record = {"format": f"ergokit {what}", "version": VERSION} | record
    text = json.dumps(record, indent=2, ensure_ascii=False, default=np.ndarray.tolist)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        put_whole(path, lambda part: part.write_text(text + "\n", encoding="utf-8"))
    except OSError as error:
        where = short_path(folder())
        raise ValueError(f"Nothing was kept: your folder {where} cannot be written ({error.strerror}).") from None
    return path


def take(path: Path, what: str) -> dict[str, Any]:
    """The record in a file that `put` wrote, in this version or another; ValueError says in one sentence what is wrong."""
    record = json_object(read_small(path, f"a file of your {what}"), f"{path.name} in your folder")
    version = record.get("version")
    if record.get("format") != f"ergokit {what}" or isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise ValueError(f"{path.name} in your folder is not a {what} that this kit wrote, so the kit leaves the file alone.")
    return record


def kept_with(record: dict[str, Any], before: object, known: tuple[str, ...]) -> dict[str, Any]:
    """A record with what an earlier one held beyond the `known` fields, which a newer kit may have written."""
    unknown = {name: value for name, value in before.items() if name not in known} if isinstance(before, dict) else {}
    return unknown | record

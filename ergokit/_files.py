"""Read a small file; write a file whole or not at all, and never over another unless asked."""

import json
import os
import platform
import re
import shutil
import tempfile
import time
import zlib
from collections.abc import Collection
from pathlib import Path

from ergokit._check import brief, instance, refused
from ergokit._words import joined

MOST_BYTES = 10_000_000
_PREFIX = f".ergokit-{zlib.crc32(platform.node().encode()):08x}-"  # of this machine's unfinished writes
_DAY = 24 * 3600  # seconds
_RESERVED = re.compile(r"(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³])\s*(\..*)?", re.IGNORECASE)
_FORBIDDEN = re.compile(r'[<>:"/\\|?*\x00-\x1f]')


def file_name(name, value):
    """`value`, a file's name that every system takes, Windows too; ValueError otherwise.

    >>> file_name("name", "con.pdf")
    Traceback (most recent call last):
    ValueError: 'con.pdf' cannot be a file's name on every system; choose another name (name).
    """
    if (
        not isinstance(value, str)
        or not 0 < len(value) <= 240
        or _FORBIDDEN.search(value)
        or _RESERVED.fullmatch(value)
        or value != value.rstrip(". ")
        or not _encodes(value)
    ):
        raise ValueError(f"{brief(value)} cannot be a file's name on every system; choose another name ({name}).")
    return value


def some_path(path: object, name: str = "path") -> Path:
    """The path as a `Path`, if it can be one; ValueError otherwise.

    >>> some_path(None)
    Traceback (most recent call last):
    ValueError: None cannot be used; give a file's name, or a pathlib.Path (path).
    """
    if not isinstance(path, str | Path) or not _encodes(text := os.fspath(path)) or not text or "\0" in text:
        raise refused(name, "a file's name, or a pathlib.Path", path)
    return Path(path)


def ending_in(path: object, endings: Collection[str], name: str = "path") -> Path:
    """The path as a `Path` whose name ends in one of `endings`; ValueError otherwise.

    >>> ending_in("box.doc", [".pdf", ".html"])
    Traceback (most recent call last):
    ValueError: 'box.doc' cannot be used; give a name that ends in .pdf or .html (path).
    """
    if not isinstance(path, str | Path) or Path(path).suffix.lower() not in endings:
        got = Path(path).name if isinstance(path, str | Path) else path
        raise refused(name, f"a name that ends in {joined(endings, 'or')}", got)
    return some_path(path)


def free_path(path, overwrite=False):
    """The path, if a file can come to be there: ValueError where one exists already, or the folder does not.

    A link stays: the path of what it points to comes back.

    >>> free_path("nowhere/box.txt")
    Traceback (most recent call last):
    ValueError: The folder 'nowhere' does not exist; choose one that does (path).
    """
    path = some_path(path)
    file_name("path", path.name)
    try:
        if os.path.lexists(path) and not overwrite:
            raise ValueError(f"The file '{short_path(path)}' exists already; pass overwrite=True to replace it (path).")
        if path.is_symlink():
            path = Path(os.path.realpath(path))
        if path.is_dir():
            raise refused("path", "the name of a file", problem=f"'{short_path(path)}' is a folder")
        if not path.parent.is_dir():
            raise ValueError(f"The folder '{short_path(path.parent)}' does not exist; choose one that does (path).")
    except OSError as error:
        raise _cannot(path, error) from None
    return path


def write_whole(path, write, overwrite=False):
    """Have `write(part)` write a new file and put that at `path`, which is returned; ValueError where it cannot be.

    >>> write_whole("nowhere/box.txt", lambda part: part.write_text("box"))
    Traceback (most recent call last):
    ValueError: The folder 'nowhere' does not exist; choose one that does (path).
    """
    place = free_path(path, overwrite)
    try:
        put_whole(place, write)
    except OSError as error:
        raise _cannot(place, error) from None
    return Path(path)


def put_whole(place, write):
    """Have `write(part)` write a new file and put that at `place`, over what is there; OSError where it cannot be."""
    _sweep(place.parent)
    with tempfile.TemporaryDirectory(dir=place.parent, prefix=f"{_PREFIX}{os.getpid()}-") as folder:
        part = Path(folder, place.name)
        write(part)
        os.replace(part, place)


def read_small(path, what):
    """The text of a file of at most 10 MB in UTF-8, with a mark before it or without; `what` says what is read.

    >>> read_small("nowhere.csv", "a CSV file of readings")
    Traceback (most recent call last):
    ValueError: 'nowhere.csv' cannot be read: No such file or directory; give a CSV file of readings (path).
    """
    path = some_path(path)
    try:
        with open(path, "rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise refused("path", what, problem=f"'{short_path(path)}' cannot be read: {error.strerror}") from None
    return decoded(data, short_path(path), "path")


def decoded(data, who, name="file"):
    """Bytes of a small file as text; `who` is what the ValueError calls the file, and `name` the argument."""
    if len(data) > MOST_BYTES:
        raise ValueError(f"'{who}' is larger than {MOST_BYTES // 10**6} MB; choose a smaller file ({name}).")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ValueError(f"'{who}' is not text in UTF-8; save it as UTF-8 ({name}).") from None


def json_object(text, what):
    """The one JSON object in a text, as a dict; `what` is what the ValueError calls the text.

    >>> json_object("[1]", "placement file")
    Traceback (most recent call last):
    ValueError: [1] cannot be used; give one JSON object (placement file).
    """
    try:
        found = json.loads(text.removeprefix("\ufeff"), object_pairs_hook=_once_each)
    except RecursionError:
        why = "it is nested too deep"
    except (json.JSONDecodeError, _Twice) as error:
        why = str(error)
    except ValueError:  # a whole number of thousands of digits
        why = "a number in it is too long"
    else:
        return instance(what, found, "one JSON object", dict)
    raise ValueError(f"This is not JSON text: {why} ({what}).")


class _Twice(ValueError):
    """A name that a JSON object has twice."""


def _once_each(pairs):
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        raise _Twice(f"it has {brief(next(name for name in names if names.count(name) > 1))} twice")
    return found


def _encodes(text):
    """Whether a text has no half characters, which no file's name can have."""
    return text == text.encode("utf-8", "ignore").decode()


def _sweep(folder):
    """Clear away what killed writes have left: of processes of this machine that are no more, or older than a day."""
    for left in folder.glob(".ergokit-*-*"):
        writer = left.name.removeprefix(_PREFIX).partition("-")[0]
        try:
            if (writer.isdecimal() and not _lives(int(writer))) or time.time() - left.stat().st_mtime > _DAY:
                shutil.rmtree(left, ignore_errors=True)
        except OSError:
            continue  # another writer has just cleared it away


def _lives(process):
    if os.name != "posix":  # elsewhere asking ends the process
        return True
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        pass
    return True


def _cannot(path, error):
    return ValueError(f"'{short_path(path)}' cannot be written: {error.strerror} (path).")


def short_path(path):
    text = "".join(each if each.isprintable() else "?" for each in str(path))
    return text if len(text) <= 80 else f"...{text[-77:]}"

"""Write a file whole or not at all, and never over another unless asked."""

import os
import tempfile
from pathlib import Path


def free_path(path, overwrite=False):
    """The path, if a file can come to be there: ValueError where one exists already, or the folder does not.

    >>> free_path("nowhere/box.txt")
    Traceback (most recent call last):
    ValueError: path takes a file in a folder that exists; nowhere does not.
    """
    path = Path(path)
    try:
        if path.exists() and not overwrite:
            raise ValueError(f"path names a file that exists, {path}; pass overwrite=True to replace it.")
        if not path.parent.is_dir():
            raise ValueError(f"path takes a file in a folder that exists; {path.parent} does not.")
    except OSError as error:
        raise _cannot(path, error) from None
    return path


def write_whole(path, write, overwrite=False):
    """Have `write(part)` write a new file and put that at `path`, which is returned; ValueError where it cannot be.

    >>> write_whole("nowhere/box.txt", lambda part: part.write_text("box"))
    Traceback (most recent call last):
    ValueError: path takes a file in a folder that exists; nowhere does not.
    """
    path = free_path(path, overwrite)
    try:
        with tempfile.TemporaryDirectory(dir=path.parent, prefix=".") as folder:
            part = Path(folder, path.name)
            write(part)
            os.replace(part, path)
    except OSError as error:
        raise _cannot(path, error) from None
    return path


def _cannot(path, error):
    return ValueError(f"path takes a file that can be written; {path} cannot: {error.strerror}.")

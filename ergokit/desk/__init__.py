"""The reader's desk: the folder in which the kit keeps what the reader made."""

from __future__ import annotations

import os
from pathlib import Path

import platformdirs

__all__ = ["folder"]


def folder() -> Path:
    """The reader's folder, which need not exist yet: ERGOKIT_HOME where that is set, else where the system keeps such things.

    >>> folder().is_absolute()
    True
    """
    return Path(os.environ.get("ERGOKIT_HOME") or platformdirs.user_data_path("ergokit", appauthor=False)).absolute()

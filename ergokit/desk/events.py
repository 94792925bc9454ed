"""What happened, one small file an event: two notebooks at once lose nothing."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from ergokit._check import a_text, checked
from ergokit.desk import place

Event = dict[str, Any]


@checked(what=a_text)
def note(what: str, **facts: Any) -> str:
    """Note that something happened, with its facts (words and numbers); returns "", or why it could not be kept.

    >>> import tempfile
    >>> from ergokit.desk import folder_at
    >>> with tempfile.TemporaryDirectory() as there, folder_at(there):
    ...     note("answer", kind="depth", level=1, right=True)
    ...     [event["kind"] for event in happened("answer")]
    ''
    ['depth']
    """
    now = datetime.now(UTC)
    name = f"{now:%Y-%m-%dT%H-%M-%S-%f}-{secrets.token_hex(4)}"
    try:
        place.put("events", name, "event", {"at": now.isoformat(), "what": what} | facts)
    except ValueError as error:
        return str(error)
    return ""


def happened(what: str | None = None) -> list[Event]:
    """All events so far, of one kind or of every kind, the oldest first; files that cannot be read are left out."""
    return [event for _, event, _ in place.read("events", read_event) if event and what in (None, event["what"])]


def read_event(path: Path) -> Event:
    """The event in a file; ValueError says in one sentence what is wrong with any other."""
    record = place.take(path, "event")
    try:
        at = datetime.fromisoformat(record["at"])
    except (KeyError, TypeError, ValueError):
        at = None
    if at is None or at.tzinfo is None or not isinstance(record.get("what"), str):
        raise ValueError(f"{path.name} in your folder does not say what happened and when, so the kit leaves the file alone.")
    return record | {"at": at}

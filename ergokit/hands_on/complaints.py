"""From a complaint to what to measure and to change first, in the box; each with a placement that shows it."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from typing import NamedTuple

import numpy as np

from ergokit._check import one_word
from ergokit.holes import assignments
from ergokit.placement import Placement
from ergokit.placement.measures import rows_of
from ergokit.view import Scope

__all__ = ["COMPLAINTS", "IN_THE_BOX", "STOP", "Complaint", "complaint"]

#: What stands on every copy of the table.
IN_THE_BOX = "This is for the box only. In theatre none of it is yours to change, but you can ask your supervisor the question."
STOP = "Stop if pain or numbness lasts, and see occupational health."
#: Where the target and the ports are unless a complaint says otherwise: three equal lengths of 16 cm.
_USUAL = {
    "left_port": (-8, 0, 10.785),
    "right_port": (8, 0, 10.785),
    "target": (0, 8.7, 0),
    "camera": (0, 4.7, 14.46),
}


class Complaint(NamedTuple):
    """One row: what is said, what to measure, the likely cause, what to change first, what that changes too, and what to ask.

    `quantity` is the one measure by which `before`, a placement that shows the complaint, differs from `after` the change;
    `after` is None where nothing at the ports changes.
    """

    name: str
    measure: str
    cause: str
    change: str
    also: str
    ask: str
    quantity: str
    before: Placement
    after: Placement | None

    @property
    def numbers(self) -> str:
        """The quantity before and after the first change, in a sentence.

        >>> complaint("The instruments clash").numbers
        'Here the manipulation angle is 24.4 degrees; after the change it is 60.0 degrees.'
        """
        here = f"Here the {self.quantity} is {told(self.before, self.quantity)}"
        if self.after is None:
            return f"{here}; the change is not at the ports."
        return f"{here}; after the change it is {told(self.after, self.quantity)}."


def told(placement: Placement, quantity: str) -> str:
    """A quantity of a placement with its unit, both hands where they differ.

    >>> told(complaint("My hands feel unequal").after, "length inside")
    '16.0 cm'
    """
    if quantity == "head to nearer hand":
        return f"{_head_to_hand(placement):.1f} cm"
    rows = [row for row in rows_of(placement) if row.quantity == quantity]
    unit = {"deg": " degrees", "cm": " cm"}.get(rows[0].unit, "")
    values = [f"{row.value:.{1 if unit else 2}f}" for row in rows]
    return " and ".join(dict.fromkeys(values)) + unit


def _head_to_hand(placement):
    """From the camera head of the scope to the nearer hand, in cm, by the sizes of `ergokit.holes`."""
    scope = placement.scope
    holes = np.stack([placement.left_port, scope.port, placement.right_port])
    away = float(np.linalg.norm(placement.target - placement.camera))
    ways = assignments(holes, placement.target, distance=away, direction_of_view=scope.direction_of_view, assistant=None)
    return float(ways.by_way().query("camera == 'B' and not crossed")["head to nearer hand (cm)"].iloc[0])


def _row(row):
    after = row.get("after", {})
    return Complaint(**row | {"before": _placement(row["before"]), "after": None if after == "same" else _placement(after)})


def _placement(given):
    arguments = _USUAL | given
    scope = arguments.pop("scope", None)
    if scope:
        arguments["camera"] = Scope.at_distance(target=arguments["target"], **scope)
    return Placement(**arguments)


_TABLE = tomllib.loads((files(__package__) / "complaints.toml").read_text(encoding="utf-8"))["complaint"]
_ROWS = {row["name"]: _row(row) for row in _TABLE}
#: The names of the complaints, in the order of the table.
COMPLAINTS = tuple(_ROWS)


def complaint(name: str) -> Complaint:
    """The row of the table for one complaint; ValueError for another name.

    >>> complaint("The tip overshoots").ask
    'Is the port too far away?'
    """
    return _ROWS[one_word("name", name, COMPLAINTS, of="one of the complaints, such as")]

"""What photographs found: the placement, how sure each of its measures is, and what the phone really sees."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ergokit._check import refused
from ergokit._markers import PANEL
from ergokit.photos.fit import Adjustment
from ergokit.placement.measures import Arrangement, Row, changes, range_of, rows

if TYPE_CHECKING:
    from ergokit.placement import Placement
    from ergokit.placement.table import MeasureTable

_SPAN_95 = 1.959964
_NO_PORTS = "needs a photograph that shows the cutting template, and the strip or the tape to join it to the mat"
_PLACES = {"left": (-9, 0, 1), "right": (9, 0, 1), "target": (0, 0, 0), "camera": (0, 0, 0)}  # ports that are not seen: there
#: What only a photograph tells, of the phone in its place: measure -> unit.
SEEN = {
    "field of view": "deg",
    "picture's turn": "deg",
    "axis on the floor, to the right of the target": "cm",
    "axis on the floor, beyond the target": "cm",
    "lens to the right of the target": "cm",
    "lens above the floor": "cm",
}


@dataclass(frozen=True, eq=False, repr=False)
class PhotoCheck:
    """The result of a photo check of a box; made by `check_photos`.

    placement
        with the lens at the entrance pupil of the phone in its place, looking along its optical axis; None where no photograph
        tells where the ports are
    rows
        the measures as rows: quantity, side, value, unit, note, uncertainty. Those of the picture come last
    photos
        one row a photograph: its name, the sheets and markers seen in it, the mean error of a corner in pixels, and how many
        markers were left out as false
    """

    placement: Placement | None
    rows: tuple[Row, ...]
    photos: MeasureTable

    def measures(self) -> MeasureTable:
        """The table of `Placement.measures` and of the picture, with the column `uncertainty`: one standard deviation."""
        from ergokit.placement.table import MeasureTable

        columns = ["quantity", "side", "value", "uncertainty", "unit", "note"]
        return MeasureTable([[getattr(row, name) for name in columns] for row in self.rows], columns=columns)

    def not_known(self) -> dict[str, str]:
        """What the photographs leave open: quantity -> what would settle it."""
        return {row.quantity: row.note for row in self.rows if row.note.startswith("needs ")}

    def interval(self, quantity: str, side: str = "") -> np.ndarray:
        """Where the measure lies with a probability of 95 %: an array (low, high), within what the measure can be."""
        row = next((row for row in self.rows if (row.quantity, row.side) == (quantity, side)), None)
        if row is None:
            raise refused("quantity and side", "a measure of the table", (quantity, side))
        if np.isnan(row.value) or row.uncertainty is None:
            raise ValueError(f"The {quantity} has no interval: {row.note} (quantity).")
        ends = row.value + np.array([-1, 1]) * _SPAN_95 * row.uncertainty
        return ends if quantity in SEEN else np.clip(ends, *range_of(quantity, row.unit))

    def __repr__(self):
        lines = [f"Photo check of {len(self.photos)} photograph{'s' if len(self.photos) > 1 else ''}"]
        for row in self.rows:
            if row.quantity in ("manipulation angle", "working distance", *SEEN) and not np.isnan(row.value):
                low, high = self.interval(row.quantity)
                unit = {"deg": "degrees", "cm": "cm"}[row.unit]
                lines.append(f"{row.quantity} {row.value:.1f} {unit}, 95 % from {low:.1f} to {high:.1f}")
        if lost := self.not_known():
            lines.append(f"not known: {'; '.join(lost)}")
        return "\n  ".join(lines)


def measured(problem: Adjustment, at, covariance, shafts, handle_reach):
    """The arrangement found, unchecked, and every measure with its uncertainty as rows."""
    sizes, ways = np.linalg.eigh(covariance)
    moves = (ways * np.sqrt(np.maximum(sizes, 0))).T
    unknowns = np.concatenate([at[None], at - moves, at + moves])
    seen = _arrangement(problem, unknowns)._replace(shafts=shafts, handle_reach=handle_reach)
    needs = set()
    if PANEL not in problem.sheets:  # what changes with where the ports may be is not known
        elsewhere = seen._replace(left_port=seen.left_port - [3, 1, 2], right_port=seen.right_port - [3, 2, 1])
        needs = {here[:2] for here, there in zip(rows(seen), rows(elsewhere), strict=True) if here[2][0] != there[2][0]}
    table = []
    for quantity, side, values, unit, note in [*rows(seen), *_views(problem, unknowns, seen)]:
        off = changes(values, unit, values[0])[1:].reshape(2, -1)
        value, note, spread = float(values[0]), str(note[0]), float(np.sqrt(np.sum(np.mean(off**2, axis=0))))
        if (quantity, side) in needs:
            value, note, spread = np.nan, _NO_PORTS, np.nan
        table.append(Row(quantity, side, value, unit, note, spread))
    return seen, tuple(table)


def _arrangement(problem, unknowns):
    """The points of each row of unknowns in a placement's frame; without a cutting template in the mat's, ports anywhere."""
    points, axes = problem.points(unknowns), problem.axes(unknowns)
    places = np.stack([points.get(name, points["camera"] + shift) for name, shift in _PLACES.items()], axis=-2)
    ways = np.stack([axes[:, 2], -axes[:, 1]], axis=-2)
    if "left" in points:
        along = (points["right"] - points["left"]) * [1, 1, 0]
        along = along / np.linalg.norm(along, axis=-1, keepdims=True)
        frame = np.stack([along, np.cross([0, 0, 1], along), np.broadcast_to([0.0, 0, 1], along.shape)], axis=-1)
        places = (places - (points["left"] + points["right"])[:, None] / 2 * [1, 1, 0]) @ frame
        ways = ways @ frame
    return Arrangement(*np.moveaxis(places, -2, 0), *np.moveaxis(ways, -2, 0))


def _views(problem, unknowns, seen):
    """The measures of the picture: quantity, side, values, unit, notes."""
    ahead, up = seen.aim, seen.up
    with np.errstate(divide="ignore", invalid="ignore"):
        floor = seen.camera - ahead * (seen.camera[:, 2:] / np.where(ahead[:, 2:] < 0, ahead[:, 2:], np.nan))
    level = np.cross(ahead, [0.0, 0, 1])
    level = level / np.linalg.norm(level, axis=-1, keepdims=True)
    right = np.cross(ahead, up)
    turn = np.degrees(np.arctan2(np.sum(np.cross(level, right) * ahead, axis=-1), np.sum(level * right, axis=-1)))
    width = np.degrees(2 * np.arctan(0.5 / problem.focals(unknowns)[:, 0]))
    off = floor - seen.targets
    values = (width, turn, off[:, 0], off[:, 1], seen.camera[:, 0] - seen.targets[:, 0], seen.camera[:, 2])
    notes = np.full(len(unknowns), "", dtype=object)
    return [(name, "", value, unit, notes) for (name, unit), value in zip(SEEN.items(), values, strict=True)]

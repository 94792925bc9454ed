"""Three tape readings and how far they may be off: the angle they give, and how sure it is."""

from __future__ import annotations

from ergokit._check import checked, flag
from ergokit.explorers.controls import choice
from ergokit.explorers.small import SmallExplorer, Track
from ergokit.figures.tape import plain_tape
from ergokit.placement.measures import Row
from ergokit.tape_check import TapeCheck, check_tape

_TRACKS = {
    "port to port": Track("between the middles of the two holes", 10, 30, 18.2),
    "left to target": Track("left hole to target", 10, 26, 17.6),
    "right to target": Track("right hole to target", 10, 26, 18.4),
    "reading error": Track("one standard deviation of a single reading", 0.1, 2, 0.3),
}
_TIMES = {"once": 1, "twice": 2, "four times": 4, "nine times": 9}
_SHOWN = ("manipulation angle", "port spacing", "length inside", "depth", "handle separation")


@checked(numbers=flag)
def tape_explorer(numbers: bool = True) -> TapeExplorer:
    """Explore what three tape readings say: the angle with its uncertainty, and which reading to repeat.

    >>> explorer = tape_explorer()
    >>> explorer.choices["each was read"].value = "four times"
    >>> explorer.check.interval("manipulation angle").round(1)
    array([59.4, 62. ])
    """
    return TapeExplorer(numbers)


class TapeExplorer(SmallExplorer):
    """See `tape_explorer`."""

    opening = "The triangle of two ports and a target as a tape found it, among others that fit the readings too."

    def __init__(self, numbers):
        super().__init__(_TRACKS, numbers, {"each was read": choice(list(_TIMES), "how often, with the same result", "158px")})

    @property
    def check(self) -> TapeCheck:
        """What the readings give now."""
        return self._state()

    def _state(self):
        times = _TIMES[self.choices["each was read"].value]
        readings = {name.replace(" ", "_"): [self._at(name)] * times for name in list(_TRACKS)[:3]}
        return check_tape(**readings, error=self._at("reading error"))

    def _drawings(self, found):
        return [plain_tape(found, self.numbers.value)]

    def _rows(self, found):
        rows = found.measures().itertuples()
        return [Row(r.quantity, r.side, r.value, r.unit, r.note, r.uncertainty) for r in rows if r.quantity in _SHOWN]

    def _facts(self, found):
        low, high = found.interval("manipulation angle")
        return f"Manipulation angle: 95 % from <b>{low:.1f}</b> to <b>{high:.1f}</b> degrees.", found.repeat()

    def _compared(self, found):
        drawn = self.pictures[0].part
        values = {row.quantity: row.value for row in self._rows(found)}
        yield "a spacing of", drawn("right port")["x"][0] - drawn("left port")["x"][0], values["port spacing"]
        yield "a depth of", drawn("left port")["y"][0] - drawn("target")["y"][0], values["depth"]
        yield "an angle of", drawn("angle")["x"][0], values["manipulation angle"]
        yield "an interval of", drawn("interval")["x"], found.interval("manipulation angle")

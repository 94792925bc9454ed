"""Three tape readings and how far they may be off: the angle they give, and how sure it is."""

from __future__ import annotations

from functools import cached_property

from ergokit._check import checked, flag
from ergokit.explorers.small import Choice, SmallExplorer, SmallState, Track
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
def tape_explorer(*, numbers: bool = True) -> TapeExplorer:
    """Explore what three tape readings say: the angle with its uncertainty, and which reading to repeat.

    >>> explorer = tape_explorer()
    >>> explorer.choices["each was read"].value = "four times"
    >>> explorer.check.interval("manipulation angle").round(1)
    array([59.4, 62. ])
    """
    times = Choice("how often, with the same result", list(_TIMES), "once")
    return TapeExplorer(Tape(tracks=_TRACKS, choices={"each was read": times}, numbers=numbers))


class Tape(SmallState):
    """Three readings, how often each was read, and how far one may be off."""

    opening = "The triangle of two ports and a target as a tape measured it, among other triangles that fit the readings."

    @cached_property
    def check(self):
        readings = {name.replace(" ", "_"): [self[name]] * _TIMES[self["each was read"]] for name in list(_TRACKS)[:3]}
        return check_tape(**readings, error=self["reading error"])

    def drawings(self):
        return [plain_tape(self.check, self.numbers)]

    def rows(self):
        rows = self.check.measures().itertuples()
        return [Row(r.quantity, r.side, r.value, r.unit, r.note, r.uncertainty) for r in rows if r.quantity in _SHOWN]

    def facts(self):
        low, high = self.check.interval("manipulation angle")
        return f"Manipulation angle: 95 % from <b>{low:.1f}</b> to <b>{high:.1f}</b> degrees.", self.check.repeat()

    def compared(self, pictures):
        drawn = pictures[0].part
        values = {row.quantity: row.value for row in self.rows()}
        yield "a spacing of", drawn("right port")["x"][0] - drawn("left port")["x"][0], values["port spacing"]
        yield "a depth of", drawn("left port")["y"][0] - drawn("target")["y"][0], values["depth"]
        yield "an angle of", drawn("angle")["x"][0], values["manipulation angle"]
        yield "an interval of", drawn("interval")["x"], self.check.interval("manipulation angle")


class TapeExplorer(SmallExplorer):
    """See `tape_explorer`."""

    @property
    def check(self) -> TapeCheck:
        """What the readings give now."""
        return self.state.check

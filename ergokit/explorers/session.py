"""The results of a session: passes typed in, lines and paired differences out, published times beside them."""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import ipywidgets as w

from ergokit import desk
from ergokit._check import a, checked, flag, read_number
from ergokit.explorers.controls import HIDDEN, Layout, button, choice, labelled, save_link
from ergokit.explorers.explorer import Explorer
from ergokit.figures.session import plain_session
from ergokit.guidance.verdicts import citation_of
from ergokit.hands_on import Run, Session, orders, published_times
from ergokit.hands_on.orders import MOST_PEOPLE, PAIRS, three_pairs
from ergokit.template.session import APPRAISAL, LEARNING

_WIDTH = 840  # px
_CELL = "88px"


@checked(session=a(Session), numbers=flag)
def session_explorer(
    session: Session | None = None, people: int = 2, *, pairs: Sequence[str] = PAIRS, numbers: bool = True
) -> SessionExplorer:
    """Type what was counted in a session, and see each person's times and the paired differences.

    session
        the session to start from; unless given, an empty session for so many `people`, in the orders of `orders`
    pairs
        the names of the three pairs of holes

    Type into a cell the passes in 60 s, or passes and drops with a comma or a blank between: ``12`` or ``12, 1``.

    >>> explorer = session_explorer(people=2)
    >>> explorer.cells["1A", "30°"].value = "8, 1"
    >>> explorer.session.runs
    (Run(person='1A', pair='30°', position=1, passes=8, drops=1, seconds=60.0),)
    """
    pairs = three_pairs("pairs", pairs) if session is None else session.pairs
    codes = tuple(orders(people, pairs)) if session is None or not session.runs else session.people
    return SessionExplorer(_Results(session or Session(pairs=pairs), codes, numbers))


@dataclass(frozen=True)
class _Results:
    """A session, the codes that have a row, and a sentence on what was done last."""

    session: Session
    codes: tuple[str, ...]
    numbers: bool = True
    notice: str = field(default="Type the passes in 60 seconds, or passes and drops, such as 12 or 12, 1, and press Enter.")

    @property
    def people(self):
        return max(len(self.codes), 2)

    def manned(self, _, people):
        """So many rows; refused where a row that goes holds runs."""
        rows = tuple(orders(people, self.session.pairs))
        if gone := [person for person in self.session.people if person not in rows]:
            raise ValueError(f"{gone[0]} has runs that would lose their row; empty those cells first.")
        return replace(self, codes=rows, notice="")

    def cell(self, at):
        """What stands in a cell: passes, and drops where there were any."""
        for run in self.session.runs:
            if (run.person, run.pair) == at:
                return f"{run.passes}, {run.drops}" if run.drops else f"{run.passes}"
        return ""

    def typed(self, at, text):
        """The session with what was typed into a cell; an empty one takes its run away."""
        person, pair = at
        if not text.strip():
            kept = tuple(run for run in self.session.runs if (run.person, run.pair) != at)
            return replace(self, session=Session(kept, self.session.pairs), notice="")
        passes, drops = _counts(text)
        order = orders(self.people, self.session.pairs).get(person)
        run = Run(person, pair, order.index(pair) + 1 if order else 0, passes, drops)
        return replace(self, session=self.session.with_run(run), notice="")

    def loaded(self, text):
        """The session in a table as CSV, with a row for each of its people."""
        session = Session.from_csv(text, self.session.pairs)
        return replace(self, session=session, codes=session.people, notice=f"{len(session.runs)} runs loaded.")

    def kept(self):
        """The same, kept in the reader's folder."""
        wrong = desk.note("session", csv=self.session.to_csv(), pairs=list(self.session.pairs))
        return replace(self, notice=wrong or "Kept in your own folder.")

    def last(self):
        """The session that was kept last."""
        found = [event for event in desk.happened("session") if event.get("pairs") == list(self.session.pairs)]
        if not found:
            raise ValueError("No session with these pairs has been kept yet.")
        return self.loaded(str(found[-1].get("csv")))

    # What is shown

    def drawing(self):
        return plain_session(self.session, _WIDTH, self.numbers)

    def link(self):
        return save_link("session.csv", self.session.to_csv().encode(), "text/csv", "save as CSV")

    def words(self):
        """The differences, and below them the published times."""
        found = "".join(f"<li>{html.escape(each.words)}</li>" for each in self.session.differences)
        read = "".join(
            f"<li>{row['quantity']} at {row['at']:g}°: {row['low']:g} s ({row['condition'].partition(';')[0]}). "
            f"{html.escape(citation_of(row))}</li>"
            for row in published_times()
        )
        return (
            f"<b>{LEARNING} {APPRAISAL}</b>{f'<ul>{found}</ul>' if self.numbers else HIDDEN}"
            f"<b>Published times of other tasks and other people</b> (beside yours, never mixed in)"
            f'<ul class="ergokit-foot">{read}</ul>'
        )


def _counts(text):
    parts = text.replace(",", " ").replace(";", " ").split()
    if not 1 <= len(parts) <= 2:
        raise ValueError(f"{text.strip()[:20]!r} cannot be read; type passes, or passes and drops, such as 12 or 12, 1.")
    counts = [read_number(part) for part in parts]
    if any(count != int(count) for count in counts):
        raise ValueError(f"{text.strip()[:20]!r} cannot be counted; passes and drops are whole numbers.")
    return [*map(int, counts), 0][:2]


class SessionExplorer(Explorer):
    """See `session_explorer`."""

    @property
    def session(self) -> Session:
        """The session shown now."""
        return self.state.session

    def build(self):
        self.cells, self._rows = {}, {}
        self.many = choice([(f"{n} people", n) for n in range(2, MOST_PEOPLE + 1)], "how many people", "110px")
        self.bind(self.many, "people", event=_Results.manned)
        tip = "a CSV file with person, pair, position, passes, drops and seconds"
        self.upload = self.table_upload(tip)
        self.grid, self.words, self.saved = w.VBox(), w.HTML(layout=Layout(width=f"{_WIDTH}px")), w.HTML()
        self.picture = self.drawn(_Results.drawing, about="Each person's times, and the differences.")
        self.display(self.words, _Results.words)
        self.display(self.saved, _Results.link)
        self.display(self.grid, lambda state: tuple(map(self._row_of, state.codes)), trait="children")
        keep = button("keep", "keep the session in your own folder", lambda: self.dispatch(_Results.kept), "60px")
        last = button("open the last", "open the session that you kept last", lambda: self.dispatch(_Results.last), "110px")
        row = w.HBox([self.many, self.numbers, self.restart, keep, last, self.upload, self.saved])
        return [row, self.grid, self.status, self.picture, self.words]

    def _row_of(self, code):
        """The row of a person, made when it is first shown."""
        if code not in self._rows:
            made = []
            for pair in self.start.session.pairs:
                tip = f"{code}, {pair}: passes in 60 s, or passes and drops"
                cell = w.Text(tooltip=tip, placeholder=pair, continuous_update=False, layout=Layout(width=_CELL))
                self.cells[code, pair] = cell
                self.bind(cell, (code, pair), _Results.cell, _Results.typed)
                made.append(cell)
            self._rows[code] = labelled(code, w.HBox(made), width="96px")
        return self._rows[code]

    def show(self, state):
        for code in state.codes:
            self._row_of(code)  # which binds its cells
        super().show(state)

    def exercise(self) -> str:
        """Type a session of four, wrongly once, and check lines and words; ends where it began."""
        self.many.value = 4
        for i, cell in enumerate(list(self.cells.values())[:12]):
            cell.value = "many"
            if "⚠" not in self.status.value:
                raise AssertionError("nonsense was taken for passes")
            cell.value = f"{6 + i % 5}, {i % 2}"
            self.follows()
        self.reset()
        self.follows()
        return "Twelve runs typed: the lines and the words followed."

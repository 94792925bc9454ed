"""A log of evenings in the box, kept in the reader's own folder: the learner's own."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import ipywidgets as w

from ergokit import desk
from ergokit._check import a, checked, read_number
from ergokit.explorers.controls import Layout, button, labelled, save_link
from ergokit.explorers.explorer import Explorer
from ergokit.figures.session import plain_log
from ergokit.hands_on import Evening, PracticeLog

_WIDTH = 640  # px


@checked(log=a(PracticeLog))
def log_explorer(log: PracticeLog | None = None) -> LogExplorer:
    """Note an evening in the box: its day, minutes, the pair of holes and what was trained; earlier evenings are shown too.

    `log` is a log to show in place of the reader's own.

    >>> explorer = log_explorer(PracticeLog())
    >>> explorer.minutes.value, explorer.trained.value = "20", "sling"
    >>> explorer.add()
    >>> explorer.log.minutes
    20.0
    """
    return LogExplorer(_Noted(_kept() if log is None else log, keeps=log is None))


def _kept():
    """The log in the reader's folder; evenings that cannot be read are left out."""
    found = []
    for event in desk.happened("evening"):
        try:
            log = PracticeLog((Evening(*(event.get(name, "") for name in Evening._fields)),))
        except ValueError:
            continue
        found += log.evenings
    return PracticeLog(tuple(found))


@dataclass(frozen=True)
class _Noted:
    """A log, what is typed for the next evening, and whether it is the reader's own, which is kept."""

    log: PracticeLog
    keeps: bool
    day: str = ""
    minutes: str = ""
    pair: str = ""
    trained: str = ""
    numbers: bool = True
    notice: str = "Minutes in the box, for yourself only."

    def drawing(self):
        return plain_log(self.log, _WIDTH)

    def link(self):
        return save_link("log.csv", self.log.to_csv().encode(), "text/csv", "save as CSV")

    def adding(self):
        """The log with the evening that is typed."""
        day = self.day.strip() or date.today().isoformat()
        if not self.minutes.strip():
            raise ValueError("Type how many minutes you were in the box.")
        [evening] = PracticeLog((Evening(day, read_number(self.minutes), self.pair, self.trained),)).evenings
        wrong = desk.note("evening", **evening._asdict()) if self.keeps else ""
        log = PracticeLog((*self.log.evenings, evening))
        return replace(self, log=log, minutes="", trained="", notice=wrong or f"{evening.minutes:g} minutes on {evening.day}.")

    def loaded(self, text):
        """The log in a table as CSV, to look at; it is not added to the reader's own."""
        log = PracticeLog.from_csv(text)
        return replace(
            self, log=log, keeps=False, notice=f"{len(log.evenings)} evenings loaded to look at; your own log is unchanged."
        )


class LogExplorer(Explorer):
    """See `log_explorer`."""

    @property
    def log(self) -> PracticeLog:
        """The log shown now."""
        return self.state.log

    def build(self):
        fields = {
            "day": ("day", "such as 2026-03-01; today unless typed", "today"),
            "minutes": ("minutes", "in the box", ""),
            "pair": ("pair", "which pair of holes", "60°"),
            "trained": ("what you trained", "in a few words", ""),
        }
        made = []
        for name, (label, tip, hint) in fields.items():
            control = w.Text(placeholder=hint, tooltip=f"{label}: {tip}", layout=Layout(width="150px"))
            setattr(self, name, control)
            self.bind(control, name, draft=True)
            made.append(labelled(label, control, width="130px"))
        tip = "a CSV file with day, minutes, pair and trained"
        self.upload = self.table_upload(tip)
        self.saved = w.HTML()
        self.display(self.saved, _Noted.link)
        self.picture = self.drawn(_Noted.drawing, about="Minutes in the box, a bar for each evening.")
        row = w.HBox([button("add", "note this evening", self.add, "60px"), self.upload, self.saved])
        return [w.HBox([w.VBox(made), w.VBox([self.picture])]), row, self.status]

    def add(self) -> None:
        """Note the evening that is typed."""
        self.dispatch(_Noted.adding)

    def exercise(self) -> str:
        """Note an evening in a log of its own, wrongly once, and check the chart; this one stays as it is."""
        other = log_explorer(PracticeLog())
        other.minutes.value = "long"
        other.add()
        if "⚠" not in other.status.value:
            raise AssertionError("nonsense was taken for minutes")
        other.day.value, other.minutes.value = "2026-03-01", "20"
        other.add()
        other.follows()
        other.close()
        return "An evening noted: the chart followed."

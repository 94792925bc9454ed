"""What the reader's own folder holds: looked at, taken along, deleted; and the one quiet table of what was done."""

from __future__ import annotations

import html
from collections import Counter

import ipywidgets as w

from ergokit import desk
from ergokit.desk import Item, Progress
from ergokit.explorers.controls import Below, Layout, button, said, save_link

_MOST = 200  # files listed: the newest say enough


def my_desk() -> MyDesk:
    """A view of what the kit keeps for you: your boxes and your progress, the folder, and buttons to save or delete it all.

    >>> from ergokit.desk import folder_at
    >>> with folder_at("nowhere"):
    ...     my_desk().items
    []
    """
    return MyDesk()


class MyDesk(Below):
    """See `my_desk`. `items` are the files that it last found."""

    what = "What the kit keeps for you appears"

    def __init__(self):
        self.about, self.table, self.files, self.link = w.HTML(), w.HTML(), w.HTML(), w.HTML()
        self.status = w.HTML(layout=Layout(min_height="28px"))
        self.sure = w.Checkbox(description="I am sure", indent=False, layout=Layout(width="90px"))
        self.sure.tooltip = "tick this before you delete everything"
        row = w.HBox(
            [
                button("look again", "at what is kept now", self.show, "95px"),
                button("list the files", "each file and what it holds", self.list_files, "105px"),
                button("take it along", "all of it as one zip file", self.export, "110px"),
                button("delete everything", "boxes and progress, for good", self.delete, "150px"),
                self.sure,
                self.link,
            ],
            layout=Layout(align_items="center"),
        )
        super().__init__([self.about, self.table, row, self.status, self.files])
        self.show()

    def show(self) -> None:
        """Look at the folder now."""
        self.items = desk.contents()
        self.about.value = _about(self.items)
        self.table.value = _table(desk.progress())
        self.files.value = self.link.value = self.status.value = ""
        if broken := [item for item in self.items if item.wrong]:
            self.status.value = said(f"{broken[0].wrong} {_more(len(broken) - 1)}".strip(), wrong=True)

    def list_files(self) -> None:
        """List the files, the newest first."""
        self.show()
        self.files.value = "".join(map(_file, self.items[::-1][:_MOST])) or "There are no files yet."

    def export(self) -> None:
        """Offer all of it as a zip file."""
        try:
            self.link.value = save_link("my_ergokit.zip", desk.export(), "application/zip", "Save my_ergokit.zip")
            self.status.value = said("It holds your boxes, your answers, and progress.csv for a spreadsheet.")
        except ValueError as error:
            self.status.value = said(str(error), wrong=True)

    def delete(self) -> None:
        """Delete boxes and progress, where the reader is sure."""
        if not self.sure.value:
            self.status.value = said("Tick 'I am sure' first: nothing brings your boxes and your progress back.", wrong=True)
            return
        try:
            count = desk.clear()
            self.sure.value = False
            self.show()
            self.status.value = said(f"{count} file{'s' * (count != 1)} deleted.")
        except ValueError as error:
            self.status.value = said(str(error), wrong=True)


def _file(item):
    """A file, its text folded away."""
    line = html.escape(f"{item.name}: {item.wrong or item.holds}")
    return f"<details><summary>{line}</summary><pre>{html.escape(item.text)}</pre></details>"


def _about(items: list[Item]) -> str:
    counts = Counter(item.kind for item in items)
    boxes = ", ".join(html.escape(item.name.removesuffix(".json")) for item in items if item.kind == "box")
    kept = [f"<b>Boxes</b>: {boxes or 'none yet; lesson 03 makes one'}."]
    kept.append(f"<b>Answers</b>: {counts['event']}; each prediction and each first answer counts as one.")
    where = f"Everything is in {html.escape(str(desk.folder()))}, on the computer that runs the kit, and nowhere else."
    kept.append(f"{where} If the kit runs on a shared server, the folder is on that server.")
    return f'<div style="line-height: 19px">{"<br>".join(kept)}</div>'


def _table(rows: list[Progress]) -> str:
    if not rows:
        return ""
    head = ("lesson", "predictions", "right direction", "usually off by", "questions", "right at once")
    lines = [_row("th", head), *(_row("td", _cells(row)) for row in rows)]
    foot = "The first guess and the first answer count. This table is for you alone and assesses nobody."
    return (
        f'<table class="ergokit-measures" style="width: 620px">{"".join(lines)}</table><div class="ergokit-foot">{foot}</div>'
    )


def _cells(row):
    turned = f"{row.right_direction} of {row.directions}" if row.directions else ""
    off = "" if row.off is None else f"{row.off:.0f} %"
    return row.lesson.replace("_", " ") or "elsewhere", row.predicted, turned, off, row.asked, row.right


def _row(tag, cells):
    return f"<tr>{''.join(f'<{tag}>{html.escape(str(cell))}</{tag}>' for cell in cells)}</tr>"


def _more(count):
    return f"{count} more files cannot be read either; list the files." if count else ""

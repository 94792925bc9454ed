"""Photographs of a box, added one after another: what each shows, and what they say beside the design and a tape."""

from __future__ import annotations

import html
from dataclasses import dataclass, replace
from functools import cached_property

import ipywidgets as w

from ergokit._check import a, checked
from ergokit.design import BoxDesign
from ergokit.explorers.controls import Layout, button, group
from ergokit.explorers.explorer import Explorer
from ergokit.explorers.measures import with_uncertainty
from ergokit.guidance.cautions import BEFORE_A_PHOTOGRAPH
from ergokit.photos import SEEN, MarkedBox, Photo, PhotoCheck, check_photos, read_photo
from ergokit.placement.measures import rows_of
from ergokit.tape_check import TapeCheck
from ergokit.template import marked_box

_COMPARED = ("port spacing", "manipulation angle", "working distance", "depth", "inside : outside", "angle on the screen")
_MOST_BYTES = 9_000_000  # a message of Jupyter's takes 10 MiB, and a file grows a little on its way
_HOW = (
    "Print at 100 % and check both rulers. Leave the cutting template glued on, and press matt tape over shiny places.",
    "Weight the box down and move nothing between pictures. Light on, torch off; instruments out, targets in.",
    "Use the 1x lens without zoom, macro off, with a timer or a remote: a thumb moves the phone.",
    "First one picture from the phone in its place. Then two from in front that show the whole cutting template and the outer "
    "end of the strip, and one through the rear that shows the mat and the inner end of the strip.",
)


@checked(design=a(BoxDesign), check=a(TapeCheck, type(None)))
def photo_explorer(design: BoxDesign, check: TapeCheck | None = None, *, paper: str = "A4") -> PhotoExplorer:
    """Measure a box with photographs: add them one after another, the one from the phone in its place first.

    `design` is what the marked sheets were printed for, `check` what a tape found, to stand beside it, and `paper` what the
    sheets were printed on. Only the places of markers are kept, not the pictures. The explorer's `.check` is the `PhotoCheck`.

    >>> from ergokit.design import design_box
    >>> from ergokit.surfaces import WedgeBox
    >>> photo_explorer(design_box(WedgeBox(50, 40, 30))).state.notice
    'Add the photograph from the phone in its place first.'
    """
    return PhotoExplorer(Photos(design, marked_box(design, paper=paper), check))


@dataclass(frozen=True)
class Photos:
    """The photographs of a box that were added."""

    design: BoxDesign
    box: MarkedBox
    tape: TapeCheck | None
    photos: tuple[Photo, ...] = ()
    numbers: bool = True

    @cached_property
    def _found(self):
        if not self.photos:
            return None, "Add the photograph from the phone in its place first."
        try:
            return check_photos(self.photos, self.box), "These photographs hang together."
        except ValueError as error:
            return None, str(error)

    @property
    def check(self) -> PhotoCheck | None:
        """What the photographs say; None while they do not hang together."""
        return self._found[0]

    @property
    def notice(self):
        return self._found[1]


def added(state, files):
    """The state with one more photograph, read from what an upload brings."""
    if not files:
        return state
    file = files[0]
    if file["size"] > _MOST_BYTES:
        size = f"{file['name']} has {file['size'] / 1e6:.0f} MB"
        raise ValueError(f"{size}, and a page takes 9: send it to yourself in a smaller size, as JPEG (photo).")
    photo = read_photo(bytes(file["content"]), file["name"])
    if photo.name in [each.name for each in state.photos]:
        raise ValueError(f"{photo.name} is in already (photo).")
    if photo.boxes - {state.box.number}:
        raise ValueError(f"{photo.name} shows the sheets of another box: print this box's sheets (photo).")
    return replace(state, photos=(*state.photos, photo))


def without_last(state):
    """The state without the photograph that was added last."""
    if not state.photos:
        raise ValueError("There is no photograph to take away.")
    return replace(state, photos=state.photos[:-1])


class PhotoExplorer(Explorer):
    """See `photo_explorer`."""

    @property
    def check(self) -> PhotoCheck | None:
        """What the photographs say now; None while they do not hang together."""
        return self.state.check

    def build(self):
        self.upload = w.FileUpload(accept=".jpg,.jpeg,.png,.heic", description="Add a photograph", layout=Layout(width="170px"))
        self.upload.observe(lambda change: self._take(change["new"]), "value")
        last = button("take away the last", "leave out the photograph that was added last", self.take_away, "150px")
        self.seen, self.table = w.HTML(), w.HTML()
        before = "".join(f"<li>{html.escape(line)}</li>" for line in (*BEFORE_A_PHOTOGRAPH, *_HOW))
        how = w.HTML(f"<details><summary>Before you take them</summary><ul>{before}</ul></details>")
        return [
            group("Photographs", BEFORE_A_PHOTOGRAPH[0]),
            how,
            w.HBox([self.upload, last, self.restart]),
            self.status,
            w.HBox([self.seen, self.table], layout=Layout(flex_flow="row wrap")),
        ]

    def take_away(self) -> None:
        """Leave out the photograph that was added last."""
        self.dispatch(without_last)

    def show(self, state):
        seen = "".join(_sketch(photo, state) for photo in state.photos)
        table = _table(state)
        super().show(state)
        self.seen.value, self.table.value = seen, table

    def follows(self):
        super().follows()
        if self.table.value != _table(self.state):
            raise AssertionError("the table does not show what the photographs say.")

    def exercise(self) -> str:
        """Take away and reset, which is all that needs no photograph; a sentence on what was tried."""
        self.take_away()
        self.follows()
        self.reset()
        self.follows()
        return "The explorer answers; photographs are yours to add."

    def _take(self, files):
        if files:
            self.dispatch(added, files)
            self.upload.value = ()  # room for the next


def _sketch(photo, state):
    """A photograph as numbers: its outline, the markers seen in it, and how well they fit."""
    width, height = photo.size
    squares = "".join(
        f'<polygon points="{" ".join(f"{x:.0f},{y:.0f}" for x, y in corners)}" fill="currentColor"/>'
        for corners in photo.markers.values()
    )
    drawn = (
        f'<svg viewBox="0 0 {width} {height}" width="150" role="img" aria-label="markers in {html.escape(photo.name)}">'
        f'<rect width="{width}" height="{height}" fill="none" stroke="currentColor" stroke-width="{width / 100:.0f}"/>'
        f"{squares}</svg>"
    )
    words = f"{len(photo.markers)} markers"
    if state.check is not None:
        row = state.check.photos.iloc[state.photos.index(photo)]
        words = f"{row['markers']} markers, off by {row['corner error (pixels)']:.1f} pixels"
        if row["left out"]:
            words += f", {row['left out']} left out"
    return f'<figure style="margin: 4px">{drawn}<figcaption>{html.escape(photo.name)}: {words}</figcaption></figure>'


def _table(state):
    """The measures as designed, by tape and by photographs; then what the phone really sees."""
    columns = {"designed": rows_of(state.design.placement)}
    if state.tape is not None:
        columns["by tape"] = state.tape.rows
    if state.check is not None:
        columns["by photographs"] = state.check.rows
    shown = {name: {(row.quantity, row.side): row for row in rows} for name, rows in columns.items()}
    wanted = [key for key in shown["designed"] if key[0] in _COMPARED]
    if state.check is not None:
        wanted += [key for key in shown["by photographs"] if key[0] in SEEN]
    head = "".join(f"<th>{name}</th>" for name in ("measure", *shown))
    lines = []
    for key in wanted:
        cells = "".join(f"<td>{with_uncertainty(rows[key]) if key in rows else ''}</td>" for rows in shown.values())
        unit = next(rows[key].unit for rows in shown.values() if key in rows)
        name = " ".join(filter(None, (key[1], key[0]))) + {"deg": " (°)", "cm": " (cm)", "": ""}[unit]
        lines.append(f"<tr><td>{name}</td>{cells}</tr>")
    return f'<table class="ergokit-measures" style="width: auto"><tr>{head}</tr>{"".join(lines)}</table>'

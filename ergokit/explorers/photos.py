"""Photographs of a box, added one after another: what each shows, and what they say beside the design and a tape."""

from __future__ import annotations

import html
import os
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from pathlib import Path

import ipywidgets as w

from ergokit import desk
from ergokit._check import a, brief, checked
from ergokit.design import BoxDesign
from ergokit.explorers.controls import Layout, button, choice, group, labelled, tick, upload
from ergokit.explorers.explorer import Explorer
from ergokit.explorers.measures import with_uncertainty
from ergokit.guidance.cautions import BEFORE_A_PHOTOGRAPH, HOW_TO_PHOTOGRAPH
from ergokit.photos import SEEN, TAPE, Photo, PhotoCheck, check_photos, read_photo
from ergokit.placement.measures import rows_of
from ergokit.tape_check import TapeCheck
from ergokit.template import PAPERS, marked_box
from ergokit.terms import with_buttons

_COMPARED = ("port spacing", "manipulation angle", "working distance", "depth", "inside : outside", "angle on the screen")
_MOST_BYTES = 9_000_000  # a message of Jupyter's takes 10 MiB, and a file grows a little on its way
_PICTURES, _FILMS = (".jpg", ".jpeg", ".png", ".heic"), (".mp4", ".mov")
_MOST_IN_FOLDER = 12  # pictures: each takes a second or two, and four are enough
_LESSON = "the lesson's box"
_ADDING = (
    "The kit keeps only numbers: the place of each marker in each picture. Add the picture from the phone in its place first."
)
_TRIED = (
    "No real photograph has been tried yet. The kit was tested with rendered pictures of its own pages, so compare the result "
    "with your tape."
)


@checked(design=a(BoxDesign), check=a(TapeCheck, type(None)))
def photo_explorer(design: BoxDesign, check: TapeCheck | None = None) -> PhotoExplorer:
    """Measure a box with photographs: add one after another, first the photograph from the phone in its place.

    `design` is the design for which the marked sheets were printed, and `check` is the tape check to compare with. Boxes of the
    reader's own come before that one. Only the places of markers are kept, not the pictures. The explorer's `.check` is the
    `PhotoCheck`.

    >>> from ergokit.design import design_box
    >>> from ergokit.surfaces import WedgeBox
    >>> photo_explorer(design_box(WedgeBox(50, 40, 30))).state.notice
    'Add the picture from the phone in its place first.'
    """
    own = {box.name: (box.design, box.built.tape if box.built else None) for box in desk.boxes() if box.design}
    boxes = own | {_LESSON: (design, check)}
    return PhotoExplorer(Photos(boxes, next(iter(boxes))))


_marked = lru_cache(maxsize=8)(marked_box)


@dataclass(frozen=True)
class Photos:
    """The photographs of one of several boxes: name -> its design, and what a tape found or None."""

    boxes: Mapping[str, tuple[BoxDesign, TapeCheck | None]]
    name: str
    paper: str = "A4"
    photos: tuple[Photo, ...] = ()
    with_tape: bool = False
    folder: str = ""
    numbers: bool = True

    @property
    def design(self):
        return self.boxes[self.name][0]

    @property
    def tape(self):
        return self.boxes[self.name][1]

    @property
    def box(self):
        """The box's marked sheets."""
        return _marked(self.design, paper=self.paper)

    @property
    def readings(self):
        """The lengths that the tape read between ports, target and lens, and their error; a height not read counts as 0."""
        given = self.tape.given() if self.tape else {}
        error = {"tape_error": given["reading_error"]} if "reading_error" in given else {}
        return {name: given[name] for name in TAPE if "height" not in name and name in given}, error

    @cached_property
    def _found(self):
        if not self.photos:
            return None, _ADDING.partition(". ")[2]
        readings, error = self.readings if self.with_tape else ({}, {})
        try:
            found = check_photos(self.photos, self.box, tape=readings, **error)
        except ValueError as why:
            return None, str(why)
        if found.placement is None:
            return found, "The phone's view is known. For the angle add pictures of the cutting template and the strip."
        return found, "The pictures connect all sheets."

    @property
    def check(self) -> PhotoCheck | None:
        """What the photographs say; None while they do not connect all sheets."""
        return self._found[0]

    @property
    def notice(self):
        return self._found[1]

    # What a reader does

    def of(self, _, name):
        """Another box, without photographs."""
        return replace(self, name=name, photos=(), with_tape=False)

    def taped(self, _, on):
        """Fit the tape's readings together with the photographs, or not."""
        if on and not self.readings[0]:
            raise ValueError("This box has no tape readings yet: enter them in the form above, under the same name.")
        return replace(self, with_tape=on)

    def from_folder(self, _, folder):
        """All pictures of a folder, in the order of their names."""
        if not folder:
            return replace(self, folder="")
        try:
            inside = sorted(Path(os.path.expanduser(folder)).iterdir())
        except (OSError, ValueError):  # also where what was typed is no path at all
            sentence = f"The folder {brief(folder)} does not exist or cannot be read; type the path of another (folder)."
            raise ValueError(sentence) from None
        paths = [path for path in inside if path.suffix.lower() in _PICTURES]
        if not 0 < len(paths) <= _MOST_IN_FOLDER:
            raise ValueError(
                f"The folder {brief(folder)} has {len(paths) or 'no'} pictures: put those of this box, at most "
                f"{_MOST_IN_FOLDER} JPEG, PNG or HEIC files, in a folder of their own (folder)."
            )
        state = replace(self, folder=folder)
        for path in paths:
            state = with_photo(state, read_photo(path))
        return state


def added(state, file):
    """The state with one more photograph, read from what an upload brings."""
    if file["size"] > _MOST_BYTES:
        size = f"{file['name']} has {file['size'] / 1e6:.0f} MB"
        raise ValueError(
            f"{size}, and a page can send 9 MB; save the picture smaller, as a JPEG, or read it from a folder (photo)."
        )
    return with_photo(state, read_photo(bytes(file["content"]), file["name"]))


def with_photo(state, photo):
    """The state with one more photograph of its box."""
    if photo.name in [each.name for each in state.photos]:
        raise ValueError(f"{photo.name} was added before (photo).")
    if photo.boxes - {state.box.number}:
        raise ValueError(f"{photo.name} shows the sheets of another box: print this box's sheets (photo).")
    return replace(state, photos=(*state.photos, photo))


def without_last(state):
    """The state without the photograph that was added last."""
    if not state.photos:
        raise ValueError("There is no picture to take away.")
    return replace(state, photos=state.photos[:-1])


class PhotoExplorer(Explorer):
    """See `photo_explorer`."""

    @property
    def check(self) -> PhotoCheck | None:
        """What the photographs say now; None while they do not hang together."""
        return self.state.check

    def build(self):
        self.box = choice(list(self.start.boxes), "the box that is measured", "170px")
        self.paper = choice(list(PAPERS), "the paper on which its sheets were printed", "100px")
        self.with_tape = tick("with the tape readings", "fit pictures and tape readings together", "170px")
        self.folder = w.Text(
            placeholder="path of a folder on the computer that runs the kit",
            tooltip="read all pictures in this folder",
            layout=Layout(width="360px", margin="0"),
            continuous_update=False,
        )
        self.bind(self.box, "name", event=Photos.of)
        self.bind(self.paper, "paper")
        self.bind(self.with_tape, "with_tape", event=Photos.taped)
        self.bind(self.folder, "folder", event=Photos.from_folder)
        kinds = ",".join((*_PICTURES, *_FILMS))
        self.upload = upload(kinds, "Add a picture", None, "150px", lambda file: self.dispatch(added, file))
        last = button("take away the last", "leave out the picture that was added last", self.take_away, "150px")
        self.seen, self.table = w.HTML(), w.HTML(layout=Layout(margin="0 0 0 16px"))
        self.display(self.seen, _sketches)
        self.display(self.table, _table)
        lines = "".join(f"<li>{html.escape(line)}</li>" for line in (*BEFORE_A_PHOTOGRAPH, *HOW_TO_PHOTOGRAPH))
        before = f'<ul style="line-height: 17px; margin: 2px 0; padding-left: 20px">{lines}</ul>'
        boxes = [labelled("box", self.box, width="30px")] if len(self.start.boxes) > 1 else []
        return [
            w.HTML(
                f"<details open><summary><b>Before you take pictures</b></summary>{before}</details>",
                layout=Layout(width="700px"),
            ),
            group("Pictures", _ADDING.partition(". ")[0] + "."),
            w.HBox(
                [*boxes, labelled("sheets printed on", self.paper, width="110px"), self.with_tape],
                layout=Layout(grid_gap="14px"),
            ),
            w.HBox([self.upload, last, self.restart]),
            labelled("or read all pictures in this folder", self.folder, width="215px"),
            self.status,
            w.HBox([self.seen, self.table]),
            w.HTML(f'<div class="ergokit-foot">{_TRIED}</div>'),
        ]

    def take_away(self) -> None:
        """Leave out the picture that was added last."""
        self.dispatch(without_last)

    def exercise(self) -> str:
        """Take away and reset, which is all that needs no photograph; a sentence on what was tried."""
        self.take_away()
        self.follows()
        self.reset()
        self.follows()
        return "The explorer answers; pictures are yours to add."


def _sketches(state):
    return f'<div class="ergokit-sketches">{"".join(_sketch(photo, state) for photo in state.photos)}</div>'


def _sketch(photo, state):
    """A photograph as numbers: its outline, the markers seen in it, and how well they fit."""
    width, height = photo.size
    squares = "".join(
        f'<polygon points="{" ".join(f"{x:.0f},{y:.0f}" for x, y in corners)}" fill="currentColor"/>'
        for corners in photo.markers.values()
    )
    drawn = (
        f'<svg viewBox="0 0 {width} {height}" width="120" role="img" aria-label="markers in {html.escape(photo.name)}">'
        f'<rect width="{width}" height="{height}" fill="none" stroke="currentColor" stroke-width="{width / 100:.0f}"/>'
        f"{squares}</svg>"
    )
    words = f"{len(photo.markers)} markers"
    if state.check is not None:
        row = state.check.photos.iloc[state.photos.index(photo)]
        words = f"{row['markers']} markers, off by {row['corner error (pixels)']:.1f} pixels"
        if row["left out"]:
            words += f", {row['left out']} left out"
    return f"<figure>{drawn}<figcaption>{html.escape(photo.name)}: {words}</figcaption></figure>"


def _table(state):
    """The measures as designed, by tape and by photographs; then what the phone really sees."""
    columns = {"designed": rows_of(state.design.placement)}
    if state.tape is not None:
        columns["by tape"] = state.tape.rows
    if state.check is not None:
        columns["by pictures and tape" if state.with_tape else "by pictures"] = state.check.rows
    shown = {name: {(row.quantity, row.side): row for row in rows} for name, rows in columns.items()}
    wanted = [key for key in shown["designed"] if key[0] in _COMPARED]
    if state.check is not None:
        wanted += [(row.quantity, row.side) for row in state.check.rows if row.quantity in SEEN]
    head = "".join(f"<th>{name}</th>" for name in ("measure", *shown))
    lines = []
    for key in wanted:
        cells = "".join(f"<td>{with_uncertainty(rows[key]) if key in rows else ''}</td>" for rows in shown.values())
        unit = next(rows[key].unit for rows in shown.values() if key in rows)
        name = " ".join(filter(None, key)) + {"deg": " (°)", "cm": " (cm)", "": ""}[unit]
        lines.append(f"<tr><td>{name}</td>{cells}</tr>")
    return with_buttons(f'<table class="ergokit-measures ergokit-compared"><tr>{head}</tr>{"".join(lines)}</table>')

"""Figures, slides and a handout of one placement, made by one button into a folder of the reader's choice."""

from __future__ import annotations

import html
import os
import tempfile
from contextlib import nullcontext
from pathlib import Path

import ipywidgets as w

from ergokit._check import a, a_text, brief, checked, refused
from ergokit._files import decoded, file_name, some_path
from ergokit._words import joined
from ergokit.explorers.cells import keep_one
from ergokit.explorers.controls import STYLE, Layout, button, choice, labelled, said, save_link, tick
from ergokit.figures import GALLERY, SIZES, browser, drawable, save_all
from ergokit.placement import Placement
from ergokit.placement.demo import demo_box
from ergokit.talk import write_deck, write_handout
from ergokit.triangulation import manipulation_angle, working_distance

_FOLDER = "~/ergokit-figures"
_FORMATS = {"png: for slides": ".png", "svg: to edit": ".svg", "pdf: to print": ".pdf", "html: opens anywhere": ".html"}
_FIRST = ("triangle", "side by side", "angle map", "monitor", "rules")  # a talk of ten minutes
_LABEL, _WIDE = "80px", "840px"
_COLUMNS = dict(grid_template_columns="repeat(4, 160px)", margin=f"0 0 4px {_LABEL}")
_ROW = dict(align_items="center", grid_gap="8px")


@checked(placement=a(Placement), name=a_text)
def talk_kit(placement: Placement | None = None, *, name: str = "your placement") -> TalkKit:
    """Choose figures, press one button, get the files: figures, slides and a handout of `placement`, the demo box unless given.

    `name` is what the kit calls it. The reader may load another placement from a file (`Placement.to_json`). The folder is made
    where it is missing, and a file that is there already is left alone unless the reader ticks *replace*. What is wrong stands
    in the status line.

    >>> kit = talk_kit()
    >>> [name for name, box in kit.figures.items() if box.value]
    ['triangle', 'side by side', 'angle map', 'monitor', 'rules']
    """
    if placement is None:
        return TalkKit(demo_box(), "the demo box")
    return TalkKit(placement, name)


class TalkKit(w.VBox):
    """See `talk_kit`. `placement` is the one on show, `files` are the paths last written."""

    def __init__(self, placement, name):
        self.files = []
        self._build()
        super().__init__([STYLE, *self._arranged()])
        self.add_class("ergokit")
        keep_one(self)
        self.show(placement, name)
        for control in (*self.figures.values(), self.format, self.slides, self.handout):
            control.observe(lambda change: self._announce(), "value")
        self.upload.observe(lambda change: self.load(change.new), "value")

    def __repr__(self):
        return "The kit for your talk appears here once this cell has run (Shift + Enter)."

    def show(self, placement: Placement, name: str) -> None:
        """Take another placement; what its tape readings leave open cannot be ticked."""
        self.placement = placement
        possible = drawable(placement)
        for figure, box in self.figures.items():
            box.disabled = figure not in possible
            box.value = box.value and not box.disabled
        self.target.options = [(f"target {i + 1}", i) for i in range(len(placement.targets))]
        self.target.layout.display = None if len(placement.targets) > 1 else "none"
        target = placement.targets[0]
        theta = manipulation_angle(placement.left_port, placement.right_port, target)
        lens = working_distance(placement.camera, target)
        self.about.value = f"<b>{html.escape(name)}</b>: {theta:.1f} degrees, lens {lens:.1f} cm from the target"
        link = save_link("placement.json", placement.to_json().encode(), "application/json", "save this placement")
        self.saved.value = link
        self._announce()

    def load(self, uploaded):
        """Show the placement in an uploaded file; or say why that cannot be, and keep the last."""
        if not uploaded:
            return
        [file] = uploaded
        name = brief(file["name"])[1:-1]
        try:
            self.show(Placement.from_json(decoded(bytes(file["content"]), "this file")), name)
        except ValueError as error:
            self.status.value = said(f"{name}: {error}", wrong=True)
        self.upload.value = ()  # so that the same file can be chosen again

    def make(self) -> None:
        """Write all that is ticked; say where it is, or in one sentence why not."""
        self.button.disabled, self.made.value = True, ""
        self.status.value = said(f"Making {self._ticked()} …")
        self._wanted: dict[Path, tuple | None] = {}
        try:
            self.files = self._write()
            self.status.value = said(f"✓ Made {self._ticked()}, in {self.files[0].parent}")
            self.made.value = _listed(self.files)
        except ValueError as error:
            self.status.value = said(str(error), wrong=True)
        except KeyboardInterrupt:
            self._stopped("You stopped it")
        except Exception as error:
            self._stopped(f"It stopped before all was made: {str(error)[:100]}")
            raise
        finally:
            self.bar.layout.display = "none"
            self.button.disabled = False

    def exercise(self) -> str:
        """Press the button of a kit like this one, for a folder that goes again; a refusal must leave the files alone."""
        kit = TalkKit(self.placement, "the same placement")
        kit.format.value, kit.slides.value = ".html", False  # so that no browser is needed
        with tempfile.TemporaryDirectory() as folder:
            kit.folder.value = folder
            kit.button.click()
            made = {path: path.read_bytes() for path in Path(folder).iterdir()}
            if set(made) != set(kit.files) or not all(made.values()):
                raise AssertionError(f"{len(made)} files were written; the kit says: {kit.status.value}")
            kit.button.click()
            if "⚠" not in kit.status.value or made != {path: path.read_bytes() for path in Path(folder).iterdir()}:
                raise AssertionError("files were written over without being asked.")
        return f"{len(made)} files made in a folder of their own, and not made over: the button works."

    # What the button does

    def _write(self):
        names = [name for name, box in self.figures.items() if box.value]
        folder, ending, focus = _folder(self.folder.value), self.format.value, self.target.value
        paths = {name: folder / f"{name.replace(' ', '-')}{ending}" for name in names}
        deck, handout = folder / "talk.pptx", folder / "handout.html"
        wanted = [*paths.values(), *[deck] * self.slides.value, *[handout] * self.handout.value]
        if not wanted:
            raise ValueError("Nothing is ticked: choose a figure, the slides or the handout.")
        over = self.replace.value
        self._wanted = {path: _stamp(path) for path in wanted}
        there = [] if over else [path.name for path in wanted if os.path.exists(path)]
        if there:
            files = f"{there[0]} is" if len(there) == 1 else f"{there[0]} and {len(there) - 1} more are"
            raise ValueError(f"{files} in {folder} already: choose another folder, or tick 'replace'.")
        drawn = {path: GALLERY[name](self.placement, focus) for name, path in paths.items()}
        # One browser for all, and started first: where there is none, nothing is written.
        with browser() if self.slides.value or (names and ending != ".html") else nullcontext():
            _make(folder)
            self.bar.value, self.bar.max, self.bar.layout.display = 0, len(names) * (1 + self.slides.value) or 1, None
            save_all(drawn, size=self.size.value, overwrite=over, progress=self._step)
            if self.slides.value:
                options = {"figures": names, "focus": focus, "overwrite": over, "progress": self._step}
                write_deck(deck, self.placement, **options)
        if self.handout.value:
            write_handout(handout, self.placement, overwrite=over)
        return wanted

    def _stopped(self, why):
        """Say that not all was made, and show the files that were finished before."""
        finished = [path for path, before in self._wanted.items() if _stamp(path) != before]
        self.status.value = said(f"{why}. {len(finished)} of {len(self._wanted)} files were finished.", wrong=True)
        self.made.value = _listed(finished) if finished else ""

    def _step(self, figs):
        """The figures one by one, with the bar behind them."""
        for fig in figs:
            yield fig
            self.bar.value += 1

    def _ticked(self):
        figures = sum(box.value for box in self.figures.values())
        parts = [f"{figures} figure{'s' * (figures != 1)} as {self.format.value[1:]}"] * bool(figures)
        parts += ["slides"] * self.slides.value + ["a handout"] * self.handout.value
        return joined(parts) or "nothing"

    def _announce(self):
        self.status.value = said(f"The button makes {self._ticked()}.")

    def _tick(self, on):
        for box in self.figures.values():
            box.value = on and not box.disabled

    # How it is built

    def _build(self):
        self.about, self.saved = w.HTML(), w.HTML()
        tip = "a placement that was saved as a .json file"
        self.upload = w.FileUpload(accept=".json", description="load your own", tooltip=tip, layout=Layout(width="160px"))
        self.target = choice([("target 1", 0)], "the target that the figures are about", "110px")
        self.figures = {name: tick(name, _what(name), on=name in _FIRST) for name in GALLERY}
        self.format = choice(list(_FORMATS.items()), "the kind of file of each figure", "190px")
        self.size = choice(list(SIZES), "slide: 16:9; column: 16 cm of text on A4; square", "110px")
        self.slides = tick("slides to talk from (.pptx)", "with notes, derivations and sources", on=True)
        self.handout = tick("a handout with sliders (.html)", "opens on a phone, without Python", on=True)
        tip = "the folder for the files; made where it is missing"
        self.folder = w.Text(_FOLDER, tooltip=tip, layout=Layout(width="420px"))
        self.replace = tick("replace files that are there", "otherwise nothing is written over", on=False)
        self.button = button("Make the files", "figures, slides and handout, as ticked", self.make, "130px")
        self.button.button_style = "primary"
        self.status = w.HTML(layout=Layout(min_height="28px"))
        self.bar = w.IntProgress(bar_style="info", layout=Layout(width="420px", display="none"))
        self.made = w.HTML(layout=Layout(width=_WIDE))

    def _arranged(self):
        ticks = [button("all", "tick every figure", lambda: self._tick(True), "50px")]
        ticks += [button("none", "tick no figure", lambda: self._tick(False), "60px")]
        return [
            w.HBox(
                [labelled("placement", self.about, width=_LABEL), self.target, self.upload, self.saved], layout=Layout(**_ROW)
            ),
            labelled("figures", w.HBox(ticks), width=_LABEL),
            w.GridBox(list(self.figures.values()), layout=Layout(**_COLUMNS)),
            w.HBox([labelled("as", self.format, width=_LABEL), self.size, self.slides, self.handout], layout=Layout(**_ROW)),
            w.HBox([labelled("folder", self.folder, width=_LABEL), self.replace], layout=Layout(**_ROW)),
            w.HBox([self.button, self.status], layout=Layout(**_ROW)),
            self.bar,
            self.made,
        ]


def _what(name):
    """What a figure shows: the first line of its documentation."""
    return GALLERY[name].__doc__.partition("\n")[0]


def _folder(typed):
    """The folder that was typed, beside the reader's home where it is not said from the top."""
    if not typed.strip():
        raise ValueError(f"folder takes a place for the files, such as {_FOLDER}; it is empty.")
    try:
        folder = Path.home() / Path(typed.strip()).expanduser()
    except RuntimeError:  # the home of somebody who is not there
        raise refused("folder", f"a place for the files, such as {_FOLDER}", typed) from None
    some_path(folder, "folder")
    for new in (folder, *folder.parents):
        if os.path.lexists(new):
            break
        file_name("folder", new.name)
    return folder


def _stamp(path):
    """What changes when a file is written; None where there is none."""
    try:
        found = os.stat(path)
    except OSError:
        return None
    return found.st_ino, found.st_mtime_ns


def _make(folder):
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ValueError(f"folder takes a place that can be made; {folder} cannot: {error.strerror}.") from None


def _listed(files):
    names = "".join(f"<li>{html.escape(path.name)}</li>" for path in files)
    return f'<ul style="columns: 3; line-height: 18px; margin: 4px 0">{names}</ul>'

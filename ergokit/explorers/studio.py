"""Figures, slides, pages and cards for a talk about a placement, made by one button into a folder of the reader's choice."""

from __future__ import annotations

import html
import os
import tempfile
from contextlib import nullcontext
from pathlib import Path

import ipywidgets as w

from ergokit import desk
from ergokit._check import a, a_text, brief, checked, refused
from ergokit._files import decoded, file_name, some_path
from ergokit._words import joined
from ergokit.explorers.controls import Below, Layout, button, choice, labelled, said, save_link, tick, upload
from ergokit.explorers.hands import ShowOfHands
from ergokit.figures import GALLERY, SIZES, browser, drawable, save_all
from ergokit.placement import Placement
from ergokit.placement.demo import demo_box
from ergokit.talk import write_cards, write_deck, write_handout, write_teacher_page
from ergokit.talk.plan import MINUTES, planned
from ergokit.triangulation import manipulation_angle, working_distance

_DEMO, _YOURS, _HALVED = "the demo box", "your placement", "the same, ports half as far apart"
_FOLDER = "~/ergokit-figures"
_FORMATS = {"png: for slides": ".png", "svg: to edit": ".svg", "pdf: to print": ".pdf", "html: opens anywhere": ".html"}
_FIRST = ("triangle", "side by side", "angle map", "monitor", "rules")  # what most talks want as files
_LABEL, _WIDE = "80px", "840px"
_COLUMNS = dict(grid_template_columns="repeat(4, 160px)", margin=f"0 0 4px {_LABEL}")
_TWO = dict(grid_template_columns="repeat(2, 300px)")
#: File -> what it is called, and the words and the tip of its tick.
_MADE = {
    "talk.pptx": ("slides", "slides to talk from (.pptx)", "with notes: what to say, wrong guesses, sources"),
    "teacher.pdf": ("a teacher's page", "a page for the teacher (.pdf)", "the session by the minute, to print"),
    "cards.pdf": ("cards", "cards for the listeners (.pdf)", "four on a sheet of A4, to cut"),
    "handout.html": ("a handout", "a handout with sliders (.html)", "opens on a phone, without Python"),
}
_ROW = dict(align_items="center", grid_gap="8px")


@checked(placement=a(Placement), name=a_text)
def talk_kit(placement: Placement | None = None, *, name: str = _YOURS) -> TalkKit:
    """All that a talk about `placement` needs, the demo box unless given: figures, slides, a teacher's page, cards for the
    listeners, a page for their phones, and a show of hands.

    `name` is what the kit calls it. Title, speaker, minutes and address are those of the last talk. The reader may load
    another placement from a file (`Placement.to_json`). The folder is made if it is missing, and a file that is there
    already is left alone unless the reader ticks *replace*. Errors are shown in the status line.

    >>> kit = talk_kit()
    >>> [name for name, box in kit.figures.items() if box.value]
    ['triangle', 'side by side', 'angle map', 'monitor', 'rules']
    """
    if placement is None:
        return TalkKit(demo_box(), _DEMO)
    return TalkKit(placement, name)


class TalkKit(Below):
    """See `talk_kit`. `placement` is the one on show, `files` are the paths last written."""

    what = "The kit for your talk appears"

    def __init__(self, placement, name):
        self.files = []
        self._build()
        super().__init__(self._arranged())
        self.show(placement, name)
        for control in (*self.figures.values(), self.format, *self.made_of.values()):
            control.observe(lambda change: self._announce(), "value")

    def show(self, placement: Placement, name: str) -> None:
        """Take another placement; what its tape readings leave open cannot be ticked."""
        self.placement, self.box_name = placement, "" if name in (_DEMO, _YOURS) or name.endswith(".json") else name
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

    def load(self, file):
        """Show the placement in an uploaded file; or say why that cannot be, and keep the last."""
        name = brief(file["name"])[1:-1]
        try:
            self.show(Placement.from_json(decoded(bytes(file["content"]), "this file")), name)
        except ValueError as error:
            self.status.value = said(f"{name}: {error}", wrong=True)

    def make(self) -> None:
        """Write all that is ticked; say where it is, or in one sentence why not."""
        making = said(f"Making {self._ticked()} …")
        self._wanted: dict[Path, tuple | None] = {}
        try:
            self.button.disabled, self.made.value, self.status.value = True, "", making
            self.files = self._write()
            trouble = desk.note("talk", **{each: control.value for each, control in self.about_talk.items()})
            self.status.value = said(f"✓ Made {self._ticked()}, in {self.files[0].parent} {trouble}".strip())
            self.made.value = _listed(self.files)
        except ValueError as error:
            self.status.value = said(str(error), wrong=True)
        except KeyboardInterrupt:
            self._stopped("You stopped it")
        except Exception as error:
            self._stopped(f"It stopped before all was made: {str(error)[:100]}")
            raise
        finally:
            if self.status.value == making:  # stopped once more while it was being told
                self._stopped("You stopped it")
            self.bar.layout.display = "none"
            self.button.disabled = False

    def exercise(self) -> str:
        """Press the button of a kit like this one, for a folder that goes again; a refusal must leave the files alone."""
        kit = TalkKit(self.placement, "the same placement")
        kit.format.value, kit.made_of["talk.pptx"].value = ".html", False  # so that no browser is needed
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
        also = [name for name, box in self.made_of.items() if box.value]
        wanted = [*paths.values(), *(folder / name for name in also)]
        if not wanted:
            raise ValueError("Nothing is ticked: choose a figure, the slides, a page or the cards.")
        over = self.replace.value
        self._wanted = {path: _stamp(path) for path in wanted}
        there = [] if over else [path.name for path in wanted if os.path.exists(path)]
        if there:
            files = f"{there[0]} is" if len(there) == 1 else f"{there[0]} and {len(there) - 1} more are"
            raise ValueError(f"{files} in {folder} already: choose another folder, or tick 'replace'.")
        beside = {"side by side": {"other": self._others[self.second.value]}}
        drawn = {path: GALLERY[name](self.placement, focus, **beside.get(name, {})) for name, path in paths.items()}
        # One browser for all, and started first: where there is none, nothing is written.
        with browser() if "talk.pptx" in also or (names and ending != ".html") else nullcontext():
            _make(folder)
            self.bar.value, self.bar.layout.display = 0, None
            save_all(drawn, size=self.size.value, overwrite=over, progress=self._step)
            for name in also:
                self._write_also(name, folder / name, names)
        return wanted

    def _write_also(self, name, path, figures):
        """Write one of the files beside the figures."""
        over, talk = self.replace.value, {each: control.value for each, control in self.about_talk.items()}
        other = self._others[self.second.value]
        session = {"minutes": talk["minutes"], "title": talk["title"], "focus": self.target.value, "other": other}
        if name == "talk.pptx":
            said_of = {"author": talk["speaker"]} | {each: talk[each] for each in ("place", "date", "address")}
            options = session | said_of | {"figures": figures, "name": self.box_name, "progress": self._step}
            write_deck(path, self.placement, **options, overwrite=over)
        elif name == "teacher.pdf":
            write_teacher_page(path, self.placement, **session, overwrite=over)
        elif name == "cards.pdf":
            write_cards(path, overwrite=over)
        else:
            write_handout(path, self.placement, overwrite=over)

    def _stopped(self, why):
        """Say that not all was made, and show the files that were finished before."""
        finished = [path for path, before in self._wanted.items() if _stamp(path) != before]
        self.status.value = said(f"{why}. {len(finished)} of {len(self._wanted)} files were finished.", wrong=True)
        self.made.value = _listed(finished) if finished else ""

    def _step(self, figs):
        """The figures one by one, with the bar behind them."""
        figs = list(figs)
        self.bar.max = self.bar.value + len(figs) or 1
        for fig in figs:
            yield fig
            self.bar.value += 1

    def _ticked(self):
        figures = sum(box.value for box in self.figures.values())
        parts = [f"{figures} figure{'s' * (figures != 1)} as {self.format.value[1:]}"] * bool(figures)
        parts += [_MADE[name][0] for name, box in self.made_of.items() if box.value]
        return joined(parts) or "nothing"

    def _announce(self):
        self.status.value = said(f"The button makes {self._ticked()}.")

    def ask(self) -> None:
        """Show the questions of this talk, for a show of hands, below the kit."""
        minutes, other = self.about_talk["minutes"].value, self._others[self.second.value]
        self.hands.children = [ShowOfHands(planned(self.placement, minutes, self.target.value, other))]

    def _tick(self, on):
        for box in self.figures.values():
            box.value = on and not box.disabled

    # How it is built

    def _build(self):
        self.about, self.saved = w.HTML(), w.HTML()
        tip = "a placement that was saved as a .json file"
        self.upload = upload(".json", "load your own", tip, "160px", self.load)
        self.target = choice([("target 1", 0)], "the target that the figures are about", "110px")
        self.figures = {name: tick(name, _what(name), on=name in _FIRST) for name in GALLERY}
        self.format = choice(list(_FORMATS.items()), "the kind of file of each figure", "190px")
        self.size = choice(list(SIZES), "slide: 16:9; column: 16 cm of text on A4; square", "110px")
        self.made_of = {name: tick(text, tip, on=True) for name, (_, text, tip) in _MADE.items()}
        self.about_talk = {
            "title": w.Text("Where do the ports go?", tooltip="title of the talk", layout=Layout(width="270px")),
            "speaker": w.Text(placeholder="speaker", tooltip="who speaks", layout=Layout(width="170px")),
            "minutes": choice([(f"{each} minutes", each) for each in MINUTES], "how long the talk is", "110px"),
            "place": w.Text(placeholder="place", tooltip="where it is held", layout=Layout(width="170px")),
            "date": w.Text(placeholder="date", tooltip="when it is held", layout=Layout(width="130px")),
            "address": w.Text(placeholder="address for a QR code", tooltip="web address", layout=Layout(width="260px")),
        }
        self.about_talk["minutes"].value = 10
        self._remember()
        # By name: a menu that has None among its values opens empty under some hash seeds.
        self._others = {_HALVED: None} | {box.name: box.placement for box in desk.boxes()}
        self.second = choice(list(self._others), "set beside it", "270px")
        tip = "count hands for the questions of this talk"
        self.ask_button, self.hands = button("show of hands", tip, self.ask, "120px"), w.VBox()
        tip = "the folder for the files; the kit makes the folder if it is missing"
        self.folder = w.Text(_FOLDER, tooltip=tip, layout=Layout(width="420px"))
        self.replace = tick("replace files that are there", "otherwise nothing is written over", on=False)
        self.button = button("Make the files", "figures, slides and handout, as ticked", self.make, "130px", primary=True)
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
            w.HBox([labelled("as", self.format, width=_LABEL), self.size], layout=Layout(**_ROW)),
            *self._talk(),
            w.HBox([labelled("folder", self.folder, width=_LABEL), self.replace], layout=Layout(**_ROW)),
            w.HBox([self.button, self.status], layout=Layout(**_ROW)),
            self.bar,
            self.made,
            self.hands,
        ]

    def _talk(self):
        title, speaker, minutes, place, date, address = self.about_talk.values()
        boxes = w.GridBox(list(self.made_of.values()), layout=Layout(**_TWO))
        return [
            w.HBox([labelled("talk", title, width=_LABEL), speaker, minutes], layout=Layout(**_ROW)),
            w.HBox([labelled("", place, width=_LABEL), date, address], layout=Layout(**_ROW)),
            w.HBox([labelled("beside it", self.second, width=_LABEL), self.ask_button], layout=Layout(**_ROW)),
            labelled("make", boxes, height="56px", width=_LABEL),
        ]

    def _remember(self):
        """Set what was typed for the last talk, where it still fits."""
        last = next(reversed(desk.happened("talk")), {})
        for name in ("title", "speaker", "minutes", "address"):
            if isinstance(last.get(name), type(self.about_talk[name].value)) and (name != "minutes" or last[name] in MINUTES):
                self.about_talk[name].value = last[name]


def _what(name):
    """What a figure shows: the first line of its documentation."""
    return GALLERY[name].__doc__.partition("\n")[0]


def _folder(typed):
    """The folder that was typed, beside the reader's home where it is not said from the top."""
    if not typed.strip():
        raise ValueError(f"No folder is typed; type a folder such as {_FOLDER} (folder).")
    try:
        folder = Path.home() / Path(typed.strip()).expanduser()
    except RuntimeError:  # the home of somebody who is not there
        raise refused("folder", f"a folder such as {_FOLDER}", typed) from None
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
        raise ValueError(f"The folder '{folder}' cannot be made: {error.strerror} (folder).") from None


def _listed(files):
    names = "".join(f"<li>{html.escape(path.name)}</li>" for path in files)
    return f'<ul style="columns: 3; line-height: 18px; margin: 4px 0">{names}</ul>'

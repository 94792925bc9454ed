"""The command `ergokit`: opens the lessons in JupyterLab, or writes a template or a sheet of questions."""

from __future__ import annotations

import argparse
import hashlib
import json
import shutil
import sys
from collections.abc import Sequence
from functools import partial
from pathlib import Path

from ergokit._files import write_whole
from ergokit._words import joined
from ergokit.design import design_box
from ergokit.desk import boxes, folder
from ergokit.desk.boxes import read_box
from ergokit.placement.demo import CARTON

_USAGE = """ergokit                       open the lessons in JupyterLab
       ergokit template BOX my.pdf   write the template of a box, to print at full size
       ergokit sheet --n 20 my.pdf   write a sheet of questions, with the answers behind"""
_MORE = """BOX is the name of a box of yours, or demo. More: ergokit template --help, ergokit sheet --help.
Anything else goes on to JupyterLab: ergokit --no-browser --port=8890."""
_SETTINGS = Path("@jupyterlab", "apputils-extension")
_LAID = "ergokit_sources"  # in a lesson's metadata: a hash of what it said when it was laid


def main(words: Sequence[str] | None = None) -> None:
    """Do what the command line says; what cannot be done ends the program with one sentence."""
    parser = _parser()
    said, more = parser.parse_known_args(words)
    if more and said.do is not _open:
        parser.error(f"unknown words: {' '.join(more)}")
    try:
        said.do(said, more)
    except ValueError as error:
        sys.exit(str(error).replace("pass overwrite=True", "add --overwrite"))


def _parser():
    plain = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser("ergokit", usage=_USAGE, description=_MORE, formatter_class=plain)
    parser.set_defaults(do=_open)
    commands = parser.add_subparsers(prog="ergokit", help=argparse.SUPPRESS)
    template = commands.add_parser("template")
    template.add_argument("box", metavar="BOX", help="the name of a box of yours, its file, or demo")
    template.add_argument("file", metavar="my.pdf", help="the file to write")
    template.add_argument("--paper", default="A4", help="A4, A3 or Letter")
    template.set_defaults(do=_template)
    sheet = commands.add_parser("sheet")
    sheet.add_argument("file", metavar="my.pdf", nargs="?", default="questions.pdf", help="the file to write: questions.pdf")
    sheet.add_argument("--n", type=int, default=20, help="how many questions: 20")
    sheet.add_argument("--seed", type=int, default=0, help="another number gives other questions: 0")
    sheet.set_defaults(do=_sheet)
    for each in (template, sheet):
        each.add_argument("--overwrite", action="store_true", help="replace a file that exists")
    return parser


def _template(said, more):
    from ergokit.template import write_template

    print(write_template(said.file, _design(said.box), paper=said.paper, overwrite=said.overwrite))


def _design(name):
    """The design of a box with this name, or in a file of this name."""
    if name == "demo":
        return design_box(CARTON)
    kept = {box.name: box for box in boxes()}
    if name not in kept and not Path(name).is_file():
        raise ValueError(f"You have no box called {name!r}; choose {joined(['demo', *kept], 'or')}.")
    box = kept[name] if name in kept else read_box(Path(name))
    if box.design is None:
        raise ValueError(f"The box {box.name!r} has readings but no design yet, so there is nothing to cut: see lesson 03.")
    return box.design


def _sheet(said, more):
    from ergokit.problems import write_sheet

    print(write_sheet(said.file, said.n, said.seed, overwrite=said.overwrite))


def _open(said, more):
    from jupyterlab.labapp import LabApp, get_user_settings_dir

    home = folder().resolve()
    carried = Path(__file__).parent / "notebooks"
    lessons = home / "lessons" if carried.is_dir() else Path(__file__).parents[1] / "notebooks"
    try:
        if carried.is_dir():
            for name in lay(carried, lessons):
                print(f"You changed {name}, so it stays as it is. Rename your copy to get the new lesson at the next start.")
        settle(Path(get_user_settings_dir()), home / "jupyterlab" / "settings")
    except OSError as error:
        raise ValueError(f"{home} cannot be written: {error.strerror}. Name another folder (ERGOKIT_HOME).") from None
    LabApp.launch_instance([*lab_options(lessons, home / "jupyterlab"), *more])


def lab_options(lessons: Path, own: Path) -> list[str]:
    """How JupyterLab is started: calmly, at the first lesson, with settings and workspaces in the folder `own`.

    >>> lab_options(Path("lessons"), Path("own"))[1]
    '--LabApp.default_url=/doc/tree/00_start_here.ipynb'
    """
    return [
        f"--ServerApp.root_dir={lessons}",
        "--LabApp.default_url=/doc/tree/00_start_here.ipynb",
        f"--LabApp.user_settings_dir={own / 'settings'}",
        f"--LabApp.workspaces_dir={own / 'workspaces'}",
    ]


def settle(usual: Path, own: Path) -> None:
    """Settings of JupyterLab in the folder `own`: no news and no question about them, and the theme of its `usual` settings.

    What was chosen in the lessons stays, but for a theme chosen later in the usual settings.
    """
    (own / _SETTINGS).mkdir(parents=True, exist_ok=True)
    calm = own / _SETTINGS / "notification.jupyterlab-settings"
    if not calm.exists():
        calm.write_text('{"fetchNews": "false", "checkForUpdates": false}')
    theirs, ours = (folder / _SETTINGS / "themes.jupyterlab-settings" for folder in (usual, own))
    if theirs.exists() and not (ours.exists() and ours.stat().st_mtime >= theirs.stat().st_mtime):
        shutil.copy2(theirs, ours)


def lay(carried: Path, lessons: Path) -> list[str]:
    """Lay the lessons in the folder `carried` into the folder `lessons`; returns the names of those that stay old.

    A lesson whose sources the reader changed is never written over. Outputs do not count: JupyterLab saves them by itself.
    """
    lessons.mkdir(parents=True, exist_ok=True)
    stay = []
    for path in sorted(carried.glob("*.ipynb")):
        book, there = json.loads(path.read_bytes()), lessons / path.name
        new = book["metadata"][_LAID] = _sources(book)
        said, laid = _found(there)
        if not there.exists() or said == laid != new:
            text = json.dumps(book, ensure_ascii=False, indent=1)
            write_whole(there, partial(Path.write_text, data=text, encoding="utf-8"), overwrite=True)
        elif new not in (said, laid):
            stay.append(path.name)
    return stay


def _found(path):
    """Hashes of what a lesson says and of what it said when it was laid; of anything else, two that differ."""
    try:
        book = json.loads(path.read_bytes())
        return _sources(book), book["metadata"].get(_LAID)
    except (OSError, ValueError, LookupError, TypeError, AttributeError):
        return "no lesson", None


def _sources(book):
    """A hash of what a notebook's cells say, but for empty ones, which JupyterLab adds."""
    said = [[cell["cell_type"], "".join(cell["source"])] for cell in book["cells"]]
    return hashlib.sha256(json.dumps([cell for cell in said if cell[1].strip()]).encode()).hexdigest()


if __name__ == "__main__":
    main()

"""Which cell of a notebook made an explorer: running the cell again closes the one that it replaces.

Every widget lives in the kernel and in the browser until it is closed, and an explorer has hundreds. Outside a notebook, or
where the notebook does not say which cell runs, nothing is closed.
"""

import gc
import os
from pathlib import PurePath

import ipywidgets as w

_made: dict[str, list] = {}  # cell -> the explorers made in its last run
_hooked: list = []  # the shells that say when a cell is about to run


def keep_one(explorer):
    """Remember an explorer for the cell that runs now; it is closed when the cell runs again."""
    shell = _shell()
    cell = _cell(shell)
    if cell is None:
        return
    if shell not in _hooked:
        _hooked.append(shell)
        shell.events.register("pre_run_cell", lambda *info: _clear(shell))
    _made.setdefault(cell, []).append(explorer)


def _clear(shell):
    """Close what the cell that is about to run made before."""
    before = _made.pop(_cell(shell), [])
    for explorer in before:
        close(explorer)
        _forget(shell, explorer)
    if before:
        del explorer, before
        gc.collect()


def close(explorer):
    """Close an explorer with all its parts; what all explorers share stays."""
    from ergokit.explorers.controls import STYLE

    shared, todo, found = {id(part) for part in _parts(STYLE)}, [explorer], {}
    if hasattr(explorer, "stop"):
        explorer.stop()
    while todo:
        one = todo.pop()
        if id(one) not in found and id(one) not in shared:
            found[id(one)] = one
            todo += _parts(one)
    for one in found.values():
        one.unobserve_all()
        one.close()


def _parts(widget):
    """The widgets that a widget has among its traits and its own attributes, in lists and mappings too; itself included."""
    todo = [*widget.trait_values().values(), *vars(widget).values()]
    found = [widget]
    for value in todo:
        values = value.values() if isinstance(value, dict) else value if isinstance(value, list | tuple) else [value]
        found += [each for each in values if isinstance(each, w.Widget)]
    return found


def _forget(shell, explorer):
    """Take an explorer out of what the shell keeps of earlier outputs: `_`, `_12`, `Out[12]`."""
    for kept in (shell.user_ns, shell.user_ns.get("_oh", {})):
        for name in [name for name, value in kept.items() if value is explorer and str(name).strip("_").isdecimal()]:
            del kept[name]
    for name in ("_", "__", "___"):
        if shell.user_ns.get(name) is explorer:
            shell.user_ns[name] = ""
            setattr(shell.displayhook, name, "")


def lesson():
    """Name of the notebook that runs here, without its ending; "" where nobody says it.

    JupyterLab's server tells it to each kernel that it starts, VS Code to its shell.
    """
    shell = _shell()
    path = os.environ.get("JPY_SESSION_NAME") or (shell and shell.user_ns.get("__vsc_ipynb_file__")) or ""
    return PurePath(path).stem


def _shell():
    from IPython import get_ipython

    return get_ipython()


def _cell(shell):
    """What the notebook calls the cell that runs; None outside one."""
    parent = getattr(shell, "get_parent", dict)()
    return parent.get("metadata", {}).get("cellId")

"""Random events for the explorers, as a hand and a keyboard make them, with nonsense typed between."""

import html
import random
import re
import tempfile
from datetime import UTC, datetime
from pathlib import Path

import ipywidgets as w

from ergokit import PracticeLog, WedgeBox, design_box, explorers
from ergokit.terms import is_measure

NONSENSE = [
    "", " ", "wide", "nan", "inf", "1e9", "-1e9", "0 9,5", "1_8", "9,5", "12", "0", "x" * 5000, "\0", "\ud800", "<b>x</b>",
    "a: nan, 0, 0", "a: inf, 0, 0", "a: 1e9, 0, 0", "a: 0 9,5", "a: 0, 9", ": 0, 9, 0", "a: 0, 9, 0\na: 1, 9, 0", "a: 0, 9, 1",
    "a: 0, 9, 1\nb: 3,5; 8; 1", "a: 100, 100, 100", "a: 0, 9, 1\n" * 3,
    "\n".join(f"t{i}: 0, 9, {i / 20000}" for i in range(11_000)),
    "con", "~stranger/x", "/dev/null/x", "nowhere/con", "a" * 300, "../x", "/",
]  # fmt: skip
_NOW = datetime(2026, 1, 1, tzinfo=UTC)
FILES = [b"", b"\xff\xfe\x00", b"{", b"[" * 9000, b'\xef\xbb\xbf{"format": 1}', b"{}" * 100]


def every_explorer():
    """Name -> how to make one; each of them can be walked."""
    return {
        "angle map": explorers.angle_map_explorer,
        "box": explorers.box_explorer,
        "camera": explorers.camera_explorer,
        "complaint": explorers.complaint_explorer,
        "carton": explorers.carton_explorer,
        "conflict": explorers.conflict_explorer,
        "experiments": explorers.experiments_explorer,
        "targets": explorers.targets_explorer,
        "holes": explorers.holes_explorer,
        "lever": explorers.lever_explorer,
        "log": lambda: explorers.log_explorer(PracticeLog()),
        "my desk": explorers.my_desk,
        "photo": lambda: explorers.photo_explorer(design_box(WedgeBox(50, 40, 30))),
        "placement": explorers.placement_explorer,
        "practice": lambda: explorers.practice(seed=1),
        "prediction": lambda: explorers.predict("How wide?", 60, start=50),
        "prediction by choice": lambda: explorers.predict(
            "How far off?", 1.4, choices=(0.7, 1.4), show=explorers.lever_explorer
        ),
        "question": lambda: explorers.question("How deep?", 15.6),
        "session": explorers.session_explorer,
        "readings": explorers.readings_explorer,
        "show of hands": explorers.show_of_hands,
        "talk kit": explorers.talk_kit,
        "tape": explorers.tape_explorer,
    }


def parts(widget):
    """All the widgets of an explorer, in order."""
    found, todo = {}, [widget]
    while todo:
        one = todo.pop()
        if id(one) not in found:
            found[id(one)] = one
            todo += [each for each in getattr(one, "children", ()) if isinstance(each, w.Widget)]
    return list(found.values())


def entries_open(explorer):
    """Each measure in an explorer has the name that the glossary has for it, and opens its entry there."""
    for part in parts(explorer):
        if isinstance(part, w.Label):
            assert is_measure(part.value) == ("ergokit-term" in part._dom_classes), part.value
        elif isinstance(part, w.HTML) and "<style" not in part.value:
            assert all(map(is_measure, re.findall("<button>(.*?)</button>", part.value)))
            assert all(map(is_measure, re.findall('aria-label="(.*): what this is"', part.value)))
            if "<th>measure</th>" in part.value:
                first = re.findall(r"<tr[^>]*><td>(.*?)</td>", part.value)
                assert first and all(cell.startswith("<button>") for cell in first), first
            if "ergokit-large" in part.value:
                assert part.value.count("<button>") == part.value.count("<b>")


def walk(explorer, events, seed):
    """Send random events; an exception of any control comes through. Yields what was done, for a report."""
    draw = random.Random(seed)
    home = tempfile.mkdtemp()
    for _ in range(events):
        controls = [one for one in parts(explorer) if _moves(one) and not getattr(one, "disabled", False)]
        if not controls:  # a prediction that has been answered
            return
        control = draw.choice(controls)
        done = _move(control, draw, home)
        yield f"{type(control).__name__} {getattr(control, 'tooltip', '') or getattr(control, 'description', '')}: {done!r:.60}"


def _moves(one):
    kinds = (w.Button, w.FloatSlider, w.FloatRangeSlider, w.BoundedFloatText, w.Dropdown, w.ToggleButton, w.ToggleButtons)
    return isinstance(one, (*kinds, w.Checkbox, w.Text, w.Textarea, w.FileUpload))


def _move(control, draw, home):
    if isinstance(control, w.Button):
        for pressed in control._click_handlers.callbacks:  # `click` itself only logs what they raise
            pressed(control)
        return "pressed"
    if isinstance(control, w.FloatRangeSlider):
        value = sorted(_on(control, draw) for _ in range(2))
    elif isinstance(control, w.FloatSlider | w.BoundedFloatText):
        value = _on(control, draw)
    elif isinstance(control, w.Dropdown | w.ToggleButtons):
        if not control.options:
            return "nothing to choose"
        control.index = value = draw.randrange(len(control.options))
        return value
    elif isinstance(control, w.ToggleButton | w.Checkbox):
        value = not control.value
    elif isinstance(control, w.FileUpload):
        name, content = draw.choice(["box.json", "<b>.json", "x" * 900]), draw.choice(FILES)
        control.value = ({"name": name, "type": "", "size": 1, "content": memoryview(content), "last_modified": _NOW},)
        return name
    else:
        value = draw.choice(NONSENSE)
        if "folder" in (control.tooltip or ""):
            value = draw.choice([value.lstrip("/."), str(Path(home, "made"))])
    control.value = value
    return value


def _on(control, draw):
    share = draw.choice([0, 1, draw.random(), draw.random()])
    return control.min + round(share * (control.max - control.min) / control.step) * control.step


def says(explorer):
    """All that stands in an explorer's HTML, tags left out."""
    return " ".join(html.unescape(re.sub("<[^>]*>", " ", one.value)) for one in parts(explorer) if isinstance(one, w.HTML))

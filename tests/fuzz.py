"""Bad arguments for every public function, and what may come of them: a result, or one sentence of the kit's own.

The functions are found through `__all__` of every room, with the methods of the classes named there. What a good argument is
follows from its name; a parameter that has no good value here is reported by `strangers`, so that a new one is not forgotten.
"""

import importlib
import inspect
import io
import linecache
import pkgutil
import re
import signal
import warnings
from contextlib import nullcontext
from decimal import Decimal
from functools import cache, partial
from pathlib import Path

import numpy as np
from hypothesis import strategies as st
from PIL import Image

import ergokit
from ergokit import assignments, datasets, figures, guidance, photos, relations, search, tape_check, tolerance
from ergokit.built import compare_built
from ergokit.design import Phone, design_box
from ergokit.hands_on import Evening, PracticeLog, Run, Session, comparison_panel
from ergokit.placement import Placement
from ergokit.problems import make_problem
from ergokit.relations.relation import Relation
from ergokit.surfaces import Dome, FlatBox, WedgeBox
from ergokit.template import marked_box
from ergokit.view import Camera, Scope

PACKAGE = Path(ergokit.__file__).parent
LONGEST = 300  # characters of a refusal
SECONDS = 240  # after which a call is said to hang

#: Classes that only the kit's own functions make; their methods are called, their constructors are not.
MADE = {
    "AngleZone", "Assignments", "BestPorts", "Box", "BoxDesign", "BuiltBox", "Capsule", "Clash", "ComparisonPanel", "Glossary",
    "Complaint", "Conflicts", "ErrorEffects", "Evening", "FieldOfView", "HoleOff", "HoleTolerance", "Item", "MarkedBox",
    "MeanAngles", "Pair", "Photo", "PhotoCheck", "PictureOnPlane", "PortMap", "Problem", "Progress", "Relaxation", "Run",
    "SameAngleSurface", "SheetView", "Size", "Slip",
    "Surface", "TapeCheck", "Triangle", "Verdict", "WayToLay",
}  # fmt: skip
#: What opens a browser or waits for one.
LEFT_OUT = {"figures.browser"}

TAPE = {
    "port_to_port": 16,
    "left_to_target": 16,
    "right_to_target": 16,
    "camera_to_target": 15,
    "camera_above_ports": 6,
    "panel_slope": 38,
}


#: One good object of each class whose methods are called, by the class's name; each is made when it is first used.
_MAKERS = {
    "AngleZone": lambda: relations.angle_zone((-9, 0, 12), (9, 0, 12), 45, 75, 8, 6),
    "Assignments": lambda: assignments(HOLES, TARGETS),
    "BoxDesign": lambda: design_box(WedgeBox(50, 40, 30)),
    "BuiltBox": lambda: compare_built(made("BoxDesign"), Placement.from_tape(**TAPE)),
    "Camera": lambda: Camera((0, 0, 20), (0, 0, -1)),
    "ComparisonPanel": lambda: comparison_panel(WedgeBox(50, 40, 30)),
    "Conflicts": lambda: guidance.conflicts({"manipulation angle": 60, "port spacing": 20, "working distance": (7.5, 15)}),
    "Dome": lambda: Dome(17, 21, 6),
    "ErrorEffects": lambda: tolerance.error_effects(made("Placement"), draws=1000),
    "HoleTolerance": lambda: tolerance.hole_tolerance(made("Placement"), draws=1000),
    "FlatBox": lambda: FlatBox(40, 30, 20),
    "MarkedBox": lambda: marked_box(made("BoxDesign")),
    "Phone": lambda: Phone(),
    "PhotoCheck": lambda: photos.check_photos([photo()], made("MarkedBox")),
    "Placement": lambda: Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16)),
    "Problem": lambda: make_problem("spacing", 0),
    "Relation": lambda: relations.RELATIONS["spacing_from_length"],
    "Scope": lambda: Scope((0, 0, 14), (0, 3, -4), 6),
    "PracticeLog": lambda: PracticeLog((Evening("2026-03-01", 20),)),
    "SameAngleSurface": lambda: made("AngleZone").outer,
    "Session": lambda: Session((Run("1A", "30°", 1, 8), Run("1A", "60°", 2, 10))),
    "TapeCheck": lambda: tape_check.check_tape(port_to_port=18.2, left_to_target=17.6, right_to_target=18.4),
    "WedgeBox": lambda: WedgeBox(50, 40, 30),
}


@cache
def made(name):
    """The good object of this class."""
    return _MAKERS[name]()


def photo():
    """A photograph of the mat of the marked box in `made`, straight from above, in numbers."""
    mat = made("MarkedBox").sheets["floor mat"]
    spots = {number: (corners * [1, -1]) * 100 + [2000, 1800] for number, corners in mat.markers.items()}
    return photos.Photo("above.jpg", (4000, 3000), spots)


TARGETS = [(0, 4, 2), (3, 6, 1)]
HOLES = [(-9, 0, 12), (0, -2, 12), (9, 0, 12), (0, 2, 16)]
GOOD = {
    "against": "working distance",
    "aim": (0, 1, -1),
    "angle": 60,
    "angle_range": (45, 75),
    "angles": (45, 60),
    "answer": 15.6,
    "answers": True,
    "author": "A. Teacher",
    "around": 12,
    "along": 8,
    "address": "https://example.org",
    "asked": None,
    "assistant": "left",
    "brief": True,
    "built": lambda: Placement.from_tape(**TAPE),
    "camera": (0, 4, 16),
    "camera_from": "right",
    "camera_height": 14,
    "camera_looks": "away",
    "camera_to_target": 15,
    "carton": lambda: WedgeBox(50, 40, 30),
    "close_focus": 8,
    "columns": lambda: datasets.TABLES["demo_tape_check"],
    "corners": True,
    "date": "3 December",
    "depth": 30,
    "design": lambda: made("BoxDesign"),
    "direction_of_view": 30,
    "distance": 30,
    "draws": 1000,
    "edges": (44, 36, 27),
    "elbow_height": 105,
    "end": (3, 0, 0),
    "equivalent_focal_length": 26,
    "error": 0.3,
    "errors": {},
    "explorer": None,
    "face": None,
    "facing": (0, 1, 0),
    "evenings": (),
    "farthest": 100,
    "field_of_view": 70,
    "fig": lambda: figures.elevation_bound_figure(),
    "figs": lambda: {},
    "figures": ("triangle",),
    "flat": True,
    "flat_phone": False,
    "focus": 0,
    "found": lambda: compare_built(made("BoxDesign"), Placement.from_tape(**TAPE)),
    "front": lambda: small_front(),
    "half_length": 21,
    "half_width": 17,
    "hand_travel": 5,
    "handle_height": 30,
    "handle_reach": 10,
    "handles_above_elbow": 0,
    "head_angle": -20,
    "height": 380,
    "markers": False,
    "photos": lambda: [photo()],
    "tape": {"camera_height": 16.0},
    "tape_error": 0.3,
    "high": 75,
    "hint": "think",
    "hole": 1,
    "holes": ("left_port",),
    "i": 3,
    "in_picture": 2000,
    "inserted_length": 18,
    "inserted_lengths": 18,
    "instrument_length": 36,
    "kind": "spacing",
    "kinds": ["depth"],
    "known": None,
    "layers": ("zone",),
    "left": 16,
    "left_handed": "holes mirrored",
    "left_height": 12,
    "left_length": 18,
    "left_port": (-9, 0, 12),
    "left_to_camera": 11,
    "left_to_target": 18,
    "length": 15,
    "lens_at": "right",
    "lens_from_end": 2,
    "lens_from_side": 2,
    "level": 1,
    "limits": [14, 20],
    "log": lambda: PracticeLog((Evening("2026-03-01", 20),)),
    "low": 45,
    "manipulation_angle": 60,
    "matched_on": "width",
    "measured_in": "space",
    "minutes": 5,
    "monitor_below": 15,
    "monitor_distance": 100,
    "moved": 3,
    "n": 2,
    "name": "port_to_port.pdf",
    "names": ["port spacing"],
    "normal": (0, 0, 1),
    "numbers": False,
    "offset": 3,
    "other": lambda: made("Placement"),
    "other_field_of_view": 60,
    "outline": None,
    "overwrite": True,
    "panel": lambda: made("ComparisonPanel"),
    "panel_normal": (0, -1, 1),
    "panel_slope": 38,
    "pairs": ("30°", "60°", "90°"),
    "paper": "A4",
    "people": 4,
    "path": "new.pdf",
    "play": 0.25,
    "phone": lambda: Phone(),
    "picture": (0, 0),
    "picture_error": 5,
    "picture_width": 4000,
    "place": "Skills room",
    "placement": lambda: made("Placement"),
    "point": (0, 1, 2),
    "port": (-9, 0, 12),
    "port_height": 9,
    "port_to_port": 18,
    "post_angle": 90,
    "ports": [(-10, 12), (10, 12)],
    "position": (0, 0, 20),
    "progress": None,
    "prompt": "How deep?",
    "quantity": "port spacing",
    "radius": 0.5,
    "reach": 20,
    "reading_error": 0.3,
    "result": lambda: made("Conflicts"),
    "results": None,
    "ridge": 50,
    "right": 16,
    "right_height": 12,
    "right_instrument_length": 30,
    "right_length": 17,
    "right_port": (9, 0, 12),
    "right_to_camera": 11,
    "right_to_target": 17,
    "rise": 6,
    "roll": 10,
    "rows": 6,
    "rules": {"port spacing": (5, 30)},
    "run": lambda: Run("1A", "30°", 1, 8),
    "runs": lambda: (Run("1A", "30°", 1, 8), Run("1A", "60°", 2, 10)),
    "scope_length": 33,
    "seated": True,
    "seconds": 0.05,
    "seed": 1,
    "session": lambda: made("Session"),
    "shape": 1.5,
    "shaft": (0, 3, -4),
    "side": "",
    "side_a": 40,
    "side_b": 30,
    "size": "slide",
    "sizes": {"fist": 9},
    "slope_error": 1,
    "source": "a book",
    "spacing": 16,
    "start": (0, 0, 0),
    "step": 5,
    "surface": lambda: WedgeBox(50, 40, 30),
    "check": lambda: made("TapeCheck"),
    "swing": 90,
    "table": 90,
    "symbol": "spacing",
    "target": (0, 10, 0),
    "target_height": 0,
    "targets": TARGETS,
    "text": "14.4 cm",
    "tell": True,
    "thickness": 0.9,
    "title": "Ports",
    "tolerance": 5,
    "triangles": lambda: relations.one_triangle(spacing=18, manipulation_angle=60),
    "u": 1,
    "unit": "cm",
    "up": (0, 0, 1),
    "v": 12,
    "value": 20,
    "values": (30, 60),
    "view": "operator",
    "wall": 10,
    "what": "a table",
    "whole_panel": False,
    "why": "so",
    "width": 640,
    "camera_hole": (0, 22),
    "camera_above_ports": 6,
    "within": 5,
}  # fmt: skip
#: Where a name means something else: (function, parameter) -> a good value.
HERE = {
    ("assignments", "camera"): "scope",
    ("assignments", "distance"): 8,
    ("assignments", "holes"): HOLES,
    ("conflicts", "camera"): "panel",
    ("conflicts", "camera_hole"): 0,
    ("Phone", "camera_hole"): (3, 3),
    ("Phone", "width"): 7.5,
    ("FlatBox", "height"): 20,
    ("FlatBox", "width"): 40,
    ("Camera.on_plane", "height"): 0,
    ("Scope.at_distance", "distance"): 10,
    ("Camera.picture_on_plane", "height"): 0,
    ("targets_explorer", "targets"): {"peg": (0, 0, 0), "ring": (3, 2, 1)},
    ("placement_explorer", "targets"): {"peg": (0, 10, 0)},
    ("targets_explorer", "camera"): None,
    ("targets_explorer", "rules"): {"port spacing": (4, 16)},
    ("conflict_explorer", "rules"): {"port spacing": (4, 16)},
    ("experiments_figure", "against"): "view angle",
    ("experiments_explorer", "against"): "view angle",
    ("Placement.value", "quantity"): "manipulation angle",
    ("demo_targets", "side"): "left",
    ("advised", "quantity"): "manipulation angle",
    ("how_many_advised", "quantity"): "manipulation angle",
    ("reported", "quantity"): "task score",
    ("reported", "at"): 45,
    ("statements", "quantities"): "table height",
    ("ask", "problem"): lambda: made("Problem"),
    ("Placement.spread", "factor"): 0.5,
    ("statements", "kinds"): ("advice", "best"),
    ("field_of_view_from_sheet", "side"): 29.7,
    ("load", "name"): "demo_box",
    ("Placement.measures", "quantities"): "manipulation angle",
    ("records", "name"): "demo_box",
    ("read", "path"): lambda: datasets.folder() / "demo_tape_check.csv",
    ("check_tape_file", "path"): lambda: datasets.folder() / "demo_tape_check.csv",
    ("tape_slips", "path"): lambda: datasets.folder() / "demo_tape_check.csv",
    ("Placement", "instrument_length"): (36, 30),
    ("Placement.load", "path"): "there.json",
    ("Placement.save", "path"): "new.json",
    ("save", "path"): "new.html",
    ("write_deck", "path"): "new.pptx",
    ("triangle_figure", "names"): False,
    ("write_handout", "path"): "new.html",
    ("Placement.from_json", "text"): lambda: made("Placement").to_json(),
    ("best_ports", "camera"): None,
    ("predict", "unit"): "deg",
    ("predict", "answer"): 60,
    ("predict", "choices"): None,
    ("question", "choices"): None,
    ("predict", "ways"): None,
    ("predict", "start"): 50,
    ("predict", "forgets"): "the depth",
    ("predict", "show"): None,
    ("smallest_box", "kind"): lambda: WedgeBox,
    ("scene", "name"): "peg",
    ("glossary", "name"): "depth",
    ("read_photo", "photo"): "there.json",
    ("read_photo", "name"): "a box",
    ("holes_figure", "result"): lambda: made("Assignments"),
    ("holes_scene", "result"): lambda: made("Assignments"),
    ("targets_figure", "names"): None,
    ("targets_figure", "ports"): None,
    ("inscribed_angle_figure", "targets"): (),
    ("TapeCheck.interval", "quantity"): "manipulation angle",
    ("hole_tolerance", "quantity"): "manipulation angle",
    ("comparison_panel", "box"): lambda: made("BoxDesign").box,
    ("comparison_panel", "target"): (0, 1, 2),
    ("comparison_panel", "kind"): "circle",
    ("comparison_panel", "length"): 20,
    ("design_box", "rules"): {"inside : outside": (0.5, None)},
    ("design_box", "targets"): None,
    ("design_box", "step"): 0.5,
    ("template_link", "design"): lambda: made("BoxDesign"),
    ("box_explorer", "design"): lambda: made("BoxDesign"),
    ("photo_explorer", "design"): lambda: made("BoxDesign"),
    ("photo_explorer", "check"): None,
    ("box_scene", "design"): lambda: made("BoxDesign"),
    ("delete_box", "name"): "shoe box",
    ("keep_box", "name"): "shoe box",
    ("carton_figure", "box"): lambda: WedgeBox(50, 40, 30),
    ("verdict", "given"): {"manipulation angle": 60},
    ("operator_figure", "box"): None,
    ("section_figure", "box"): lambda: made("BoxDesign").box,
    ("section_figure", "placement"): lambda: made("BoxDesign").placement,
    ("complaint", "name"): "The tip overshoots",
    ("complaint_explorer", "name"): "The tip overshoots",
    ("PracticeLog.from_csv", "text"): "day,minutes,pair,trained\n2026-03-01,20,,",
    ("Session.from_csv", "text"): "person,pair,position,passes,drops,seconds\n1A,30°,1,8,0,60",
    ("read_log", "path"): "log.csv",
    ("read_session", "path"): "session.csv",
    ("rows_of", "text"): "reading,value,error,unit,how\nport_to_port,18,,cm,",
    ("write_template", "box"): lambda: made("BoxDesign").box,
    ("write_template", "placement"): lambda: made("BoxDesign").placement,
    ("marked_box", "box"): lambda: made("BoxDesign").box,
    ("marked_box", "placement"): lambda: made("BoxDesign").placement,
    ("check_photos", "box"): lambda: made("MarkedBox"),
    ("PhotoCheck.interval", "quantity"): "working distance",
    ("write_deck", "box"): None,
    ("write_handout", "box"): None,
    ("camera_explorer", "box"): lambda: WedgeBox(50, 40, 30),
}  # fmt: skip
#: What a function takes as `**options`: those tried, and those that are always given.
OPTIONS = {
    "smallest_box": (
        ("targets", "phone", "rules", "manipulation_angle", "target_height", "hole", "step"),
        {"step": 0.5, "targets": None, "rules": None},
    ),
    "ways_to_lay": (
        ("targets", "phone", "rules", "manipulation_angle", "target_height", "hole", "step"),
        {"step": 0.5, "targets": None, "rules": None},
    ),
    "tape_slips": (("right_to_target",), {}),
    "front": ((), {"camera": (0, -5, 18), "rules": None, "seconds": 0.05}),
    "port_map": ((), {"camera": None, "rules": None}),
    "best_ports_so_far": ((), {"camera": None, "rules": None, "seconds": 0.05}),
    "check_tape_file": (("error", "errors", "flat_phone", "camera_looks", "instrument_length"), {}),
    "Placement.replace": (("left_port", "target", "aim", "normal", "instrument_length"), {}),
    "Camera.looking_at": (("roll", "field_of_view", "shape", "close_focus"), {}),
    "Camera.lying_flat": (("roll", "field_of_view", "shape", "close_focus"), {}),
    "Scope.camera": (("field_of_view", "shape", "close_focus"), {}),
    "template_link": (("phone", "hole", "whole_panel"), {}),
    "Relation.evaluate": (("inserted_length", "manipulation_angle"), None),
    "Relation.sensitivity": (("spacing", "inserted_length"), None),
}  # fmt: skip


class Hostile:
    """An object of a reader's own, all of whose ways to be looked at fail."""

    def _fail(self, *_):
        raise RuntimeError("hostile")

    __repr__ = __str__ = __float__ = __int__ = __len__ = __iter__ = __array__ = __eq__ = __bool__ = _fail
    __hash__ = object.__hash__


def _deep(levels):
    found = []
    for _ in range(levels):
        found = [found]
    return found


JUNK = [
    None, True, False, "", " ", "wide", "9,5", "0 9,5", "1_8", "x" * 10**6, "\0", "\ud800", "con.pdf", "a/b/c.pdf", "nul",
    "new.html", "..", "~", "😀.pdf", "manipulation angle", "left_port", b"", b"box.pdf", b"\0", bytearray(b"x"),
    0, -1, 1, 2.5, 1e-300, 5e-324, -5e-324, 1e300, 1e7, 10**400, -(10**400), 2**63, float("nan"), float("inf"), -float("inf"),
    1j, Decimal("1e400"), np.float32(3), np.int8(3), np.bool_(True), np.longdouble(3), np.datetime64("2020-01-01"),
    [], (), {}, set(), [[1], [2, 3]], _deep(50), _deep(5000), [True, 0, 0], [1, 2], [1, 2, 3], [[1, 2, 3]], [[[1, 2, 3]]],
    (0, 0, 0), (1e-300, 0, 0), (0, 0, float("nan")), (1e300, 0, 0), ["a", "b", "c"], [None, None, None], [10**400, 0, 0],
    ["left_port", "left_port"], {"spacing": 3}, {"port spacing": "wide"}, {"port spacing": (3, 1)}, {"port spacing": [None]},
    {"port spacing": (float("nan"), None)}, {"camera": -1}, {1: 2}, {None: None}, {(): ()}, {"x" * 1000: 1}, {"peg": (0, 0)},
    np.array([]), np.zeros((0, 3)), np.zeros((3, 4)), np.zeros((2, 2, 3)), np.array(["a"]), np.array(None), np.full(3, np.nan),
    np.zeros((10_001, 3)), np.ma.masked_all(3), range(3), object(), object, lambda: 3, iter([1, 2]), slice(3), Ellipsis,
    NotImplemented, Hostile(), Path("new.pdf"), Path("nowhere/new.pdf"), ValueError("x"), type, str, Phone(),
    WedgeBox(50, 40, 30), Dome(17, 21, 6), Placement((-1, 0, 3), (1, 0, 3), [(0, 1, 0), (0, 2, 0)], (0, 0, 4)),
    Scope((0, 0, 4), (0, 0.3, -1), 2), Placement((-1, 0, 3), (1, 0, 3), (0, 1, 0), Scope.at_distance((0, 0, 4), (0, 1, 0), 2)),
    WedgeBox(0.1, 0.1, 0.1), WedgeBox(1e6, 1e6, 1e6), Placement.from_tape(16, 16, 16, 15, 2),
]  # fmt: skip
_ANY = [
    st.floats(),
    st.integers(),
    st.text(max_size=12),
    st.lists(st.floats() | st.integers(-3, 3), max_size=4),
    st.tuples(st.floats(-50, 50), st.floats(-50, 50), st.floats(-50, 50)),
    st.dictionaries(st.sampled_from(["port spacing", "manipulation angle", "x"]), st.floats() | st.none(), max_size=2),
]
#: Half of it is from the list above, half drawn.
NONSENSE = st.one_of([st.integers(0, len(JUNK) - 1).map(JUNK.__getitem__)] * len(_ANY) + _ANY)


def small_front():
    return search.front(FlatBox(40, 30, 18), [(-4, 0, 0), (4, 0, 0)], "working distance", [20], camera=(0, -5, 18), seconds=0.2)


@cache
def subjects():
    """Every public function and method: name -> (function, parameters)."""
    found = {}
    for room in pkgutil.iter_modules(ergokit.__path__):
        if room.name.startswith("_"):
            continue
        module = importlib.import_module(f"ergokit.{room.name}")
        for name in module.__all__:
            value = getattr(module, name)
            if inspect.isclass(value):
                if value.__name__ not in MADE:
                    found[f"{room.name}.{name}"] = value
                if name in _MAKERS:
                    found |= {f"{room.name}.{name}.{each}": method for each, method in _methods(value)}
            elif callable(value):
                found[f"{room.name}.{name}"] = value
    found |= {f"figures.GALLERY[{name!r}]": draw for name, draw in figures.GALLERY.items()}
    found |= {f"relations.Relation.{name}": method for name, method in _methods(Relation) if name != "check"}
    return {name: (value, _parameters(name, value)) for name, value in found.items() if name not in LEFT_OUT}


def _methods(kind):
    """The public methods of a class, each to be called on the good object, which is made only then."""
    fields = getattr(kind, "__dataclass_fields__", ())  # one whose default is a function is no method
    for name, method in inspect.getmembers(kind):
        if name in fields:
            continue
        if not name.startswith("_") and inspect.ismethod(method):
            yield name, method
        elif not name.startswith("_") and inspect.isfunction(method):
            yield name, _of_the_good_one(kind.__name__, name, method)


def _of_the_good_one(kind, name, method):
    def call(*args, **kwargs):
        return getattr(made(kind), name)(*args, **kwargs)

    call.__signature__ = inspect.signature(partial(method, None))
    return call


def _parameters(name, function):
    short = name.partition(".")[2]
    names = {}
    for each in inspect.signature(function).parameters.values():
        if each.kind is not each.VAR_KEYWORD:
            names[each.name] = each
    for option in OPTIONS.get(short, ((), {}))[0]:
        names[option] = inspect.Parameter(option, inspect.Parameter.KEYWORD_ONLY, default=None)
    return names


def prepare(monkeypatch):
    """A file to load, and a browser that draws at once: what it draws has tests of its own."""
    made("Placement").save("there.json")
    Path("log.csv").write_text(made("PracticeLog").to_csv(), encoding="utf-8")
    Path("session.csv").write_text(made("Session").to_csv(), encoding="utf-8")
    dot = io.BytesIO()
    Image.new("RGB", (2, 2)).save(dot, "png")
    monkeypatch.setattr("ergokit.figures.export.browser", lambda: nullcontext(lambda fig, format, dots: dot.getvalue()))


def good(name, parameter):
    short = name.partition(".")[2]
    value = HERE[short, parameter] if (short, parameter) in HERE else GOOD[parameter]
    return value() if callable(value) and getattr(value, "__name__", "") == "<lambda>" else value


def strangers():
    """Parameters without a good value, rooms without `__all__`, classes with neither a good object nor a maker."""
    lost = [f"{room.name} has no __all__" for room in pkgutil.iter_modules(ergokit.__path__) if not _open(room.name)]
    for name, (_, parameters) in subjects().items():
        short = name.partition(".")[2]
        lost += [f"{name}({each})" for each in parameters if (short, each) not in HERE and each not in GOOD]
    return lost


def _open(room):
    return room.startswith("_") or hasattr(importlib.import_module(f"ergokit.{room}"), "__all__")


def bad_call(draw, name):
    """Draw arguments of which at least one is nonsense: positional ones, those by name, and which are nonsense."""
    _, parameters = subjects()[name]
    if not parameters:
        return [], {}, ()
    wrong = draw(st.lists(st.sampled_from(list(parameters)), min_size=1, max_size=3, unique=True))
    short = name.partition(".")[2]
    always = OPTIONS.get(short, ((), {}))[1]
    args, kwargs = [], {}
    for each, parameter in parameters.items():
        optional = parameter.default is not inspect.Parameter.empty
        if each in wrong:
            value = draw(NONSENSE)
        elif optional and always is not None and each in always:
            value = always[each]
        elif optional and always is not None and not draw(st.booleans()):
            continue
        else:
            value = good(name, each)
        if parameter.kind is parameter.KEYWORD_ONLY or args is None:
            kwargs[each] = value
        elif parameter.kind is parameter.VAR_POSITIONAL:
            args.append(value)
        elif optional:
            kwargs[each] = value
        else:
            args.append(value)
    return args, kwargs, wrong


def outcome(name, args, kwargs):
    """ "result" or "refused"; AssertionError says what else came, or what is wrong with the sentence."""
    function, parameters = subjects()[name]

    def late(*_):
        raise AssertionError(f"{name} is still at work after {SECONDS} s.")

    before = signal.signal(signal.SIGALRM, late)
    signal.alarm(SECONDS)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            result = function(*args, **kwargs)
            if inspect.isgenerator(result):
                list(zip(range(3), result, strict=False))
            repr(result)
        return "result"
    except (ValueError, TypeError) as error:
        faults = list(_faults(error, parameters))
        assert not faults, f"{name}: {'; '.join(faults)}: {str(error)[:400]}"
        return "refused"
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def _faults(error, parameters):
    sentence, last = str(error), error.__traceback__
    while last.tb_next:
        last = last.tb_next
    code = last.tb_frame.f_code
    line = linecache.getline(code.co_filename, last.tb_lineno).strip()
    if not Path(code.co_filename).is_relative_to(PACKAGE) or not line.startswith("raise"):
        where = f"{Path(code.co_filename).name} line {last.tb_lineno}, {line}"
        yield f"not a refusal of the kit's own, but {type(error).__name__} from {where}"
        return
    if len(sentence) > LONGEST:
        yield f"{len(sentence)} characters"
    if "\n" in sentence or not sentence.endswith((".", "?")):
        yield "not one sentence"
    known = {*parameters, *(name.replace("_", " ") for name in parameters), *(name.rpartition("_")[2] for name in parameters)}
    names = {name.rstrip("s") for name in known} | {"placement file", r"line \d"}  # of a file that another call made
    if not any(re.search(rf"\b{name}", sentence) for name in names):
        yield f"names none of {', '.join(parameters)}"

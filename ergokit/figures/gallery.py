"""Figures worth showing to others, each a function of a placement.

Each carries beside its picture, in `layout.meta`, a `title` that says what it shows, what to notice (`says`), the same for a
reader who cannot see it (`alt`) and its `source`; `save` and the slides put them where they belong.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
import plotly.graph_objects as go

from ergokit import datasets
from ergokit._check import a, checked, flag
from ergokit.figures.angle_map import angle_map_figure
from ergokit.figures.circle import inscribed_angle_figure
from ergokit.figures.elevation import elevation_bound_figure
from ergokit.figures.experiments import experiments_figure
from ergokit.figures.labels import Label, written
from ergokit.figures.lever import lever_figure
from ergokit.figures.monitor import camera_of, monitor_figure, out_of_view
from ergokit.figures.near import near_scene
from ergokit.figures.pair import pair_figure
from ergokit.figures.panel import panel_figure
from ergokit.figures.rules import rules_figure
from ergokit.figures.style import AXIS, GREEN, GREY, INK, LEFT, PLAIN, RIGHT, sign_of
from ergokit.figures.triangle import triangle_figure
from ergokit.guidance import conflicts
from ergokit.guidance.studies import advice, advised
from ergokit.guidance.verdicts import citation_of, found_on, source_in_short
from ergokit.placement import Placement
from ergokit.relations import solve_triangle
from ergokit.surfaces import FlatBox, WedgeBox
from ergokit.tolerance import error_effects, hole_tolerance
from ergokit.triangulation import (
    display_angle,
    elevation_angle,
    hand_eye_rotation,
    inserted_length,
    length_ratio,
    manipulation_angle,
    plan_angle,
    port_spacing,
    tip_travel_per_hand_travel,
)

if TYPE_CHECKING:
    from ergokit.placement.table import MeasureTable

_WIDE, _NARROW = (680, 270), (470, 302)  # px, for letters of 14: what a slide holds with text below, or beside
_TALL = 286  # px, of a wide figure that has a slide to itself
_ERRORS = (0, 0.5, 1.0, 1.5)  # cm
_HAND_MOVES = 5.0  # cm
_TIMES = ("anastomosis time", "hand-assisted task time")


def triangle(placement, focus=0):
    """The triangle of ports and target in the instruments' plane, with its lengths and angles.

    >>> from ergokit import Placement
    >>> triangle(Placement((-9, 0, 12), (9, 0, 12), (0, 10, 0), (0, 4, 16))).layout.meta["title"]
    'The instruments meet at 59.9°'
    """
    found = triangle_of(placement, focus)
    figure = triangle_figure(found, width=_NARROW[0], height=_NARROW[1], corners=True)
    left, right, target = _points(placement, focus)
    angles = float(manipulation_angle(right, target, left)), float(manipulation_angle(left, target, right))
    theta = found.manipulation_angle
    return _with(
        figure,
        f"The instruments meet at {theta:.1f}°",
        (
            f"The ports are {found.spacing:.1f} cm apart, with {found.left_length:.1f} "
            f"and {found.right_length:.1f} cm of shaft inside: "
            "these three lengths set the angle, and nothing else does.",
            "Three equal lengths always make 60°.",
        ),
        f"Triangle of two ports and a target. Spacing {found.spacing:.1f} cm, left {found.left_length:.1f} cm, right "
        f"{found.right_length:.1f} cm, depth {found.depth:.1f} cm. At the target {theta:.1f} degrees, at the ports "
        f"{angles[0]:.1f} and {angles[1]:.1f}.",
    )


def side_by_side(placement, focus=0, other=None, numbers=True):
    """Two placements as triangles at one scale, their cameras' pictures below; without `other` it has half the spacing."""
    names = ("this placement", "the other")
    if other is None:
        other, names = placement.spread(0.5), ("as it is", "ports half as far apart")
    pairs = ((placement, focus), (other, min(focus, len(other.targets) - 1)))
    found = [triangle_of(*pair) for pair in pairs]
    seen = pairs if not any("angle on the screen" in _left_open(each) for each, _ in pairs) else ()
    figure = pair_figure(found, names, seen, numbers, _WIDE[0], _TALL if seen else _WIDE[1])
    angles = [each.manipulation_angle for each in found]
    if not numbers:
        title, says = "Two triangles: which is harder?", "Both are drawn to one scale. Guess both angles before the next slide."
    elif names[0] == "as it is":
        title = f"Ports half as far apart: {angles[0]:.1f}° becomes {angles[1]:.1f}°"
        says = "Target, lens and instruments have not changed. Move one thing at a time and see what follows."
    else:
        title, says = (
            f"Two placements: {angles[0]:.1f}° and {angles[1]:.1f}°",
            "Both are drawn to one scale. Compare one thing at a time.",
        )
    words = [
        f"spacing {each.spacing:.1f} cm, {each.left_length:.1f} and {each.right_length:.1f} cm inside"
        + f", angle {angle:.1f} degrees" * numbers
        for each, angle in zip(found, angles, strict=True)
    ]
    pictures = " Below each is its camera's picture." if seen else ""
    figure.layout.meta = {"angles": angles}
    return _with(
        figure,
        title,
        (says,),
        f"Two triangles side by side at one scale. Left, {names[0]}: {words[0]}. Right, {names[1]}: {words[1]}.{pictures}",
    )


def zone(placement, focus=0):
    """The arcs of equal angle in the instruments' plane, and between two of them the advised zone."""
    found = triangle_of(placement, focus)
    low, high = advised("manipulation angle")
    figure = inscribed_angle_figure(found.spacing, (low, 60, high), [(found.offset, found.depth)], *_NARROW)
    outer, inner = figure.data[0], figure.data[2]
    edge = {axis: [*outer[axis], *list(inner[axis])[::-1]] for axis in "xy"}
    figure.add_scatter(
        **edge, mode="lines", line={"width": 0}, fill="toself", fillcolor="rgba(0, 158, 115, 0.18)", hoverinfo="skip"
    )
    figure.data = [figure.data[-1], *figure.data[:-1]]
    figure.update_xaxes(title="along the port line (cm)", ticklabelstandoff=10)  # clear of the last depth at the corner
    theta = found.manipulation_angle
    inside = "inside" if low <= theta <= high else "outside"
    return _with(
        figure,
        "Every target on one arc sees the same angle",
        (
            f"Shaded: {low:g} to {high:g}°, advised from {found_on(advice('manipulation angle'))}. This target sees "
            f"{theta:.1f}°: {inside}.",
            "Deeper, or to the side, the angle narrows; nearer, it widens.",
        ),
        f"Arcs through both ports on which the angle is {low:g}, 60 and {high:g} degrees; between the first and the last the "
        f"advised zone. The target, {found.depth:.1f} cm below the port line, sees {theta:.1f} degrees and is {inside}.",
        advice("manipulation angle"),
    )


def zone_in_space(placement, focus=0):
    """The advised zone in space, below the ports."""
    _require(placement, "zone in space")
    low, high = advised("manipulation angle")
    figure = near_scene(placement, focus, *_NARROW, layers=("zone",))
    theta = float(manipulation_angle(*_points(placement, focus)))
    return _with(
        figure,
        "In space the zone is a shell about the port line",
        (
            f"Turn the arcs about the line of the ports: between both surfaces targets see {low:g} to {high:g}°.",
            f"This one sees {theta:.1f}°. The squares are 5 cm.",
        ),
        f"The placement in space with the zone of {low:g} to {high:g} degrees as a shell round the port line, open at the top; "
        f"the target sees {theta:.1f} degrees.",
        advice("manipulation angle"),
    )


def angle_map(placement, focus=0):
    """The manipulation angle over the working plane, seen from above."""
    _require(placement, "angle map")
    low, high = advised("manipulation angle")
    farthest = advised("working distance")[1]
    left, right, target = _points(placement, focus)
    spread = np.abs(np.stack([left, right, target, placement.camera])[:, :2]).max()
    reach = float(np.ceil(max(1.25 * port_spacing(left, right), spread + 5) / 5) * 5) + 2
    figure = angle_map_figure(placement, focus, reach=min(reach, 100), width=_NARROW[1] + 60)
    figure.update_xaxes(dtick=10)
    figure.update_yaxes(dtick=10)
    theta = float(manipulation_angle(left, right, target))
    wider = " Grey is wider still." if np.nanmax(np.asarray(figure.data[0].z, dtype=float)) > high else ""
    dashed = f"lens within {farthest:g} cm" in [note.text for note in figure.layout.annotations]
    near = f"Dashed: the lens is at most {farthest:g} cm away." * dashed
    inside = "inside" if low <= theta <= high else "outside"
    return _with(
        figure,
        f"The target is {inside} the shaded zone, at {theta:.1f}°",
        (
            f"Shaded: the instruments meet at {low:g} to {high:g}°; darker means wider.{wider}",
            near or f"Nowhere on this plane is the lens within {farthest:g} cm.",
        ),
        f"Map of the working plane from above: contours of {low:g}, 60 and {high:g} degrees about the two ports, the target at "
        f"{theta:.1f} degrees{f', and a dashed circle where the lens is within {farthest:g} cm' * dashed}.",
        advice("manipulation angle"),
        advice("working distance"),
    )


def monitor(placement, focus=0):
    """What the camera shows on the monitor."""
    _require(placement, "monitor")
    figure = monitor_figure(placement, focus)
    for side in ("left", "right"):  # coloured letters as small as in a column are too pale
        figure.update_annotations(font_color=INK, selector={"text": side})
    left, right, target = _points(placement, focus)
    theta = float(manipulation_angle(left, right, target))
    shown = float(display_angle(left, right, target, placement.camera, aim=placement.aim))
    view = {"normal": placement.normal, "aim": placement.aim, "up": placement.up}
    turn = float(hand_eye_rotation(placement.camera, target, **view))
    turned = f"The picture is turned by {abs(turn):.1f}° from the way you face."
    if np.isnan(turn) or abs(turn) < 0.05:
        turned = "" if np.isnan(turn) else "The picture is not turned: away from you is up."
    missing = out_of_view(camera_of(placement, focus), placement, focus)
    return _with(
        figure,
        f"{theta:.1f}° in the box, {shown:.1f}° on the monitor"
        if np.isfinite(shown)
        else "The monitor does not show the angle",
        ("The ports set the angle in the box; the camera's place sets how it looks on the monitor.", turned),
        f"The camera's picture: both shafts meet at {_degrees(shown)} on the monitor, {theta:.1f} degrees in the box. {turned} "
        f"{missing}".strip(),
    )


def lever(placement, focus=0):
    """Both instruments as levers through their ports, to scale."""
    target, shafts, reach = placement.targets[focus], placement.shafts, placement.handle_reach
    ports = np.stack([placement.left_port, placement.right_port])
    inside = inserted_length(ports, target)
    figure = lever_figure(
        *inside.tolist(), instrument_length=shafts, handle_reach=reach, hand_travel=_HAND_MOVES, width=_WIDE[0]
    )
    for row, side in enumerate(("left", "right")):
        corner = {"x": -shafts.max() - reach, "y": -16.5 * row - 6.2, "xanchor": "left", "showarrow": False}
        figure.add_annotation(text=f"<b>{side}</b>", **corner)
    tips = _HAND_MOVES * tip_travel_per_hand_travel(ports, target, shafts, reach)
    ratios = length_ratio(ports, target, shafts)
    least = advised("inside : outside")[0]
    both = f"{tips[0]:.1f} cm" if abs(tips[0] - tips[1]) < 0.05 else f"{tips[0]:.1f} and {tips[1]:.1f} cm"
    return _with(
        figure,
        f"The hand moves {_HAND_MOVES:g} cm, the tip {both}",
        (
            f"The port is the pivot. Shaft inside over outside is {ratios[0]:.2f} left and {ratios[1]:.2f} right; at least "
            f"{least:.2f} is advised.",
        ),
        f"Two levers to scale. Left {inside[0]:.1f} cm inside, ratio {ratios[0]:.2f}; right {inside[1]:.1f} cm inside, ratio "
        f"{ratios[1]:.2f}. When a hand moves {_HAND_MOVES:g} cm across the shaft the tips move {tips[0]:.1f} and "
        f"{tips[1]:.1f} cm.",
        advice("inside : outside"),
    )


def elevation(placement, focus=0):
    """How far steep instruments can open, with this placement among the curves."""
    _require(placement, "elevation")
    margins, (width, height) = {"l": 70, "r": 20, "t": 34, "b": 50}, _NARROW
    figure = elevation_bound_figure(width=width, height=height)
    left, right, target = _points(placement, focus)
    up = [float(elevation_angle(port, target, normal=placement.normal)) for port in (left, right)]
    plan = float(plan_angle(left, right, target, normal=placement.normal))
    for note in figure.select_annotations(lambda note: " ends at " in note.text):
        note.update(text=note.text.partition(" ")[0], textangle=0, xanchor="center", yshift=8)
    lowest = min(0, 15 * np.floor(min(up) / 15))
    figure.update_xaxes(range=(lowest, max(75, max(up) + 5)))
    inside = np.array([width - margins["l"] - margins["r"], height - margins["t"] - margins["b"]])
    scale = inside / [np.ptp(figure.layout.xaxis.range), np.ptp(figure.layout.yaxis.range)]
    curves = [np.column_stack([line.x, line.y])[::20] for line in figure.data if line.mode == "lines"]
    if np.isfinite(plan):
        joined = {"mode": "lines", "line": {"color": GREY, "width": 2, "dash": "dot"}}
        figure.add_scatter(x=up, y=[plan, plan], hoverinfo="skip", **joined)
        for each, hand in zip(up, (LEFT, RIGHT), strict=True):
            figure.add_scatter(x=[each], y=[plan], mode="markers", marker=sign_of(hand, 13), hoverinfo="skip")
        ends = [(each, plan) for each in up]
        words = ("both", "") if abs(up[0] - up[1]) < 0.5 else ("left", "right")
        labels = [Label(word, [end], (0, -1)) for word, end in zip(words, ends, strict=True)]
        frame = np.transpose([figure.layout.xaxis.range, figure.layout.yaxis.range])
        for note in written(labels, frame, curves, ends, scale):
            if note["visible"]:
                figure.add_annotation(note | {"bgcolor": "rgba(255, 255, 255, 0.85)"})
    figure.update_traces(cliponaxis=False, selector={"mode": "markers"})
    figure.update_layout(margin=margins)
    theta = float(manipulation_angle(left, right, target))
    return _with(
        figure,
        "Steep instruments cannot open wide",
        (
            "The higher the handles, the wider apart the instruments "
            "must come in. An angle of 60° ends at an elevation of 60°, "
            "where the instruments come from opposite sides.",
            f"Here: elevation {up[0]:.1f} and {up[1]:.1f}°, angle {theta:.1f}°.",
        ),
        f"Curves of the angle seen from above needed against the elevation of both shafts, for 45, 60, 75 and 90 degrees. "
        f"They end at elevations of 67.5, 60, 52.5 and 45. This placement has elevations of {up[0]:.1f} and {up[1]:.1f} and an "
        f"angle seen from above of {_degrees(plan)}.",
    )


def experiments(placement, focus=0):
    """Times that were measured at several manipulation angles, and where this placement lies among them."""
    figure = experiments_figure("manipulation angle", width=_WIDE[0], results=_TIMES)
    theta = float(manipulation_angle(*_points(placement, focus)))
    for i, (across, upwards) in enumerate(zip(figure.select_xaxes(), figure.select_yaxes(), strict=True), 1):
        across.range = min(across.range[0], theta - 12), max(across.range[1], theta + 12)
        foot = 0.22 * upwards.range[1]  # below every mean time and its words
        here = {"mode": "lines", "line": {"color": INK, "width": 2, "dash": "dot"}}
        figure.add_scatter(x=[theta, theta], y=[0, foot], hoverinfo="skip", **here, row=1, col=i)
        figure.add_annotation(x=theta, y=foot, text=f"here {theta:.1f}", yanchor="bottom", showarrow=False, row=1, col=i)
    figure.update_layout(height=_WIDE[1] + 90)
    rows = [row for row in datasets.records("published_values") if row["kind"] == "result" and row["quantity"] in _TIMES]
    rows = [row for row in rows if row["against"] == "manipulation angle"]
    read = {name: {row["at"]: row["low"] for row in rows if row["quantity"] == name} for name in _TIMES}
    [quickest] = {min(times, key=times.get) for times in read.values()}
    told = (f"{name}: " + ", ".join(f"{time:g} s at {at:g}" for at, time in times.items()) for name, times in read.items())
    return _with(
        figure,
        f"Of the mean times read, the shortest are at {quickest:g}°",
        (
            "Square: mean time as published. Dotted: this placement. "
            "Not read: a time was measured, but the value was not found.",
        ),
        f"Two experiments, mean times at several manipulation angles. {'; '.join(told)}. This placement is at {theta:.1f}.",
        *{row["source"]: row for row in rows}.values(),
    )


def rules(placement, focus=0):
    """Three rules on the axis of the working distance, for this placement's instruments."""
    nearest, farthest = advised("working distance")
    least = advised("inside : outside")[0]
    asked = {"working distance": (nearest, farthest), "manipulation angle": 60, "inside : outside": (least, None)}
    shaft = placement.shafts.max()
    alike = "" if shaft == placement.shafts.min() else ", as the longer one here,"
    found = conflicts(asked, shaft, placement.handle_reach)
    figure = rules_figure(found, "working distance", width=_WIDE[0], brief=True)
    shown = [end for trace in figure.data if trace.name == "ends" for end in trace.x]
    figure.update_xaxes(range=(0, 5 * np.ceil((max(shown) + 5) / 5)))
    [words] = figure.select_traces({"name": "words"})
    figure.update_traces(marker_size=14, selector={"name": "ends"})
    words.y = np.subtract(words.y, 0.03)  # clear of the bars: the letters are larger here
    short = found.relaxations.get("working distance")
    together = "These three rules can hold together"
    if not found.feasible:
        together = (
            f"No lens fits three sound rules: {short.by:.1f} cm short" if short else "Three sound rules that cannot all hold"
        )
    slid = conflicts(asked, shaft, placement.handle_reach, camera="scope").feasible
    advanced = "" if found.feasible or not slid else " A scope pushed in from there lets all three hold."
    return _with(
        figure,
        together,
        (
            f"The instruments are {shaft:g} cm long{alike} and the lens is fixed at the wall, on the port line.{advanced}",
            f"The other two rules ask for 60° and for inside over outside of at least {least:.2f}.",
        ),
        f"Bars on the axis of the working distance, with the lens fixed at the wall. {'; '.join(words.text)}.{advanced}",
        advice("working distance"),
        advice("inside : outside"),
    )


def box(placement, focus=0, surface=None):
    """The panel with its holes: in space, and flat as it is cut. `surface`, one of `ergokit.surfaces`, is drawn whole."""
    _require(placement, "box")
    figure, holes = panel_figure(placement, focus, surface, *_WIDE)
    return _with(
        figure,
        "From the triangle to three holes in a panel",
        ("Measure from the centre line and the edge, and prick the holes through the paper, printed at full size.",),
        f"The placement in space with the panel its ports are in, and the panel laid flat. {holes}",
    )


def tolerance(placement, focus=0):
    """The fan of angles that holes off their marks make, and shafts with play in them."""
    theta = float(manipulation_angle(*_points(placement, focus)))
    ends = []
    for error in _ERRORS:
        table = error_effects(placement, error, focus=focus, draws=4000).measures()
        [row] = table[table["quantity"] == "manipulation angle"].to_dict("records")
        ends.append((row["low"], row["high"]))
    low, high = np.transpose(ends)
    errors = np.array(_ERRORS)
    spread = high[-1] - low[-1]
    floor, ceiling = low[-1] - 0.15 * spread, high[-1] + 0.15 * spread  # room for words and clear of the axis's first number
    figure = go.Figure()
    figure.add_scatter(
        name="95 % of the boxes",
        x=[*errors, *errors[::-1]],
        y=[*low, *high[::-1]],
        mode="lines",
        fill="toself",
        fillcolor="rgba(0, 158, 115, 0.25)",
        line={"color": GREEN, "width": 2},
        hoverinfo="skip",
    )
    figure.add_scatter(x=[0, errors[-1]], y=[theta, theta], mode="lines", line={"color": INK, "width": 3}, hoverinfo="skip")
    for end, text, anchor in (
        (low[-1], f"{low[-1]:.1f}°", "top"),
        (theta, f"<b>{theta:.1f}°</b>", "middle"),
        (high[-1], f"{high[-1]:.1f}°", "bottom"),
    ):
        figure.add_annotation(x=errors[-1], y=end, text=text, showarrow=False, xanchor="left", xshift=4, yanchor=anchor)
    figure.add_annotation(x=1.0, y=theta, text="95 % of boxes", showarrow=False, yanchor="bottom", yshift=4)
    figure.update_layout(
        **PLAIN,
        width=_NARROW[0],
        height=_NARROW[1],
        margin={"l": 62, "r": 58, "t": 12, "b": 52},
        xaxis=AXIS | {"title": "each hole off its mark by up to (cm)", "range": (0, errors[-1]), "dtick": 0.5},
        yaxis=AXIS
        | {"title": "manipulation angle", "ticksuffix": "°", "nticks": 6, "range": (floor, ceiling), "ticklabelstandoff": 8},
    )
    exact = hole_tolerance(placement, within=5, focus=focus, draws=4000)
    each = np.floor(10 * min(exact.each, exact.farthest)) / 10
    play = f"a 5 mm shaft in a hole of 1 cm, {10 * exact.play:.1f} mm each way"
    title = f"Holes within {each:.1f} cm keep the angle within 5°"
    worst = (
        f"If both port holes are off by {each:.1f} cm the worst way, the angle changes by at most 5°, with the play of {play}."
    )
    if each == 0:
        title = "Holes must be lined to keep the angle within 5°"
        worst = f"The play of {play}, and holes less than 0.1 cm off their marks can together change the angle by 5°."
    return _with(
        figure,
        title,
        (
            worst,
            f"If holes are off by up to {errors[-1]:g} cm, the angle is {low[-1]:.1f} to {high[-1]:.1f}° in 95 of 100 boxes.",
        ),
        f"A fan: the more the holes are off their marks, the more the manipulation angle spreads about {theta:.1f} degrees. At "
        f"{errors[-1]:g} cm it is {low[-1]:.1f} to {high[-1]:.1f} degrees in 95 % of boxes.",
    )


_DRAWN = (triangle, side_by_side, zone, zone_in_space, angle_map, monitor, lever, elevation, experiments, rules, box, tolerance)
_CHECKS = {"placement": a(Placement), "other": a(Placement), "surface": a(WedgeBox, FlatBox), "numbers": flag}
#: Name -> function of a placement, in the order of a talk.
GALLERY: dict[str, Callable[..., go.Figure]] = {draw.__name__.replace("_", " "): checked(**_CHECKS)(draw) for draw in _DRAWN}


#: What each figure needs of a placement that tape readings may leave open.
_NEEDS = {
    "zone in space": ("elevation angle",),
    "angle map": ("angle seen from above",),
    "monitor": ("angle on the screen", "hand-eye rotation"),
    "elevation": ("elevation angle", "angle seen from above"),
    "box": ("elevation angle",),
}


@checked(placement=a(Placement))
def drawable(placement: Placement) -> tuple[str, ...]:
    """The names of `GALLERY` that can be drawn of a placement: all except those that its tape readings leave open.

    >>> from ergokit import Placement
    >>> drawable(Placement.from_tape(16, 16, 16, camera_to_target=15, camera_above_ports=6))
    ('triangle', 'side by side', 'zone', 'lever', 'experiments', 'rules', 'tolerance')
    """
    unknown = _left_open(placement)
    return tuple(name for name in GALLERY if not any(quantity in unknown for quantity in _NEEDS.get(name, ())))


@checked(placement=a(Placement))
def figure_titles(placement: Placement) -> MeasureTable:
    """A table of the figures of `GALLERY` that can be drawn of a placement: the name of each and its finding.

    >>> from ergokit.placement.demo import demo_box
    >>> figure_titles(demo_box()).title[1]
    'Ports half as far apart: 60.7° becomes 32.6°'
    """
    from ergokit.placement.table import MeasureTable

    rows = [(name, GALLERY[name](placement).layout.meta["title"]) for name in drawable(placement)]
    return MeasureTable(rows, columns=["figure", "title"])


def _require(placement, name):
    unknown = _left_open(placement)
    for quantity in _NEEDS[name]:
        if quantity in unknown:
            raise ValueError(f"The {quantity} is not known from these tape readings: it {unknown[quantity]} (placement).")


def _left_open(placement):
    return {} if placement.tape is None else placement.tape.not_known()


def _with(figure, title, says, alt, *rows):
    """The figure with what belongs beside it; `rows` of published values are its sources."""
    meta = {"title": title, "says": list(filter(None, says)), "alt": alt}
    meta["source"] = "; ".join(map(citation_of, rows)) or None
    meta["source in short"] = "; ".join(dict.fromkeys(map(source_in_short, rows))) or None
    figure.layout.meta = (figure.layout.meta or {}) | meta
    return figure


def _points(placement, focus):
    return placement.left_port, placement.right_port, placement.targets[focus]


def triangle_of(placement, focus):
    """The `Triangle` of both ports and a target."""
    left, right, target = _points(placement, focus)
    lengths = {"left_length": inserted_length(left, target), "right_length": inserted_length(right, target)}
    [found] = solve_triangle(spacing=float(port_spacing(left, right)), **{name: float(v) for name, v in lengths.items()})
    return found


def _degrees(angle):
    return f"{angle:.1f} degrees" if np.isfinite(angle) else "no angle"

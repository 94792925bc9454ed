"""The triangle of two ports and a target, drawn flat in the instruments' own plane with its lengths and its angle."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from ergokit._check import checked, flag, instance, pixels, refused
from ergokit.figures.labels import Label, written
from ergokit.figures.style import GREEN, GREY, INK, LEFT, PURPLE, RIGHT, sign, sign_of, target_sign, to_scale
from ergokit.relations import Triangle
from ergokit.triangulation import manipulation_angle

_SIDE, _ABOVE, _BELOW = (48, 84), 36, 26  # px beside, above and below the lines, for lengths alone and with their names
_TALLEST = 380  # px of depth
_ALONG = np.array([0.5, 0.38, 0.62, 0.25, 0.75, 0.12, 0.88])  # shares of a line at which its length may be written


def _triangles(name, value):
    return tuple(instance(name, each, "each a Triangle, from solve_triangle", Triangle) for each in value)


@checked(triangles=_triangles, numbers=flag, width=pixels, height=pixels, corners=flag, names=flag)
def triangle_figure(
    *triangles: Triangle,
    numbers: bool = True,
    width: float | None = None,
    height: float | None = None,
    corners: bool = False,
    names: bool = True,
) -> go.Figure:
    """One panel a `Triangle` (from `solve_triangle`), all at one scale; with `numbers=False` only the names show.

    `width` and `height` are in px; unless given the height follows the triangles. `corners` writes the angles at the ports;
    without `names` the sides have their lengths alone, and there is no depth.

    >>> from ergokit import solve_triangle
    >>> figure = triangle_figure(*solve_triangle(spacing=18, manipulation_angle=60))
    >>> [note.text for note in figure.layout.annotations if "°" in note.text]
    ['<b>60.0°</b>']
    """
    if not triangles:
        raise refused("triangles", "a Triangle or more, from solve_triangle", problem="There is no triangle")
    return drawn_triangles(triangles, numbers, width, height, corners, names)


def drawn_triangles(triangles, numbers=True, width=None, height=None, corners=False, names=True, goes=()):
    """The same; `goes` are other places of the target, offset and depth in cm and a word."""
    width = width or min(840, max(380, 300 * len(triangles)))
    beside = 2 * _SIDE[names]
    across = [np.ptp(_along_ports(triangle)) for triangle in triangles]
    deepest = max([t.depth for t in triangles] + [depth for _, depth, _ in goes])
    # One scale for all, so that equal lengths look equal.
    scale = min((width - beside * len(across)) / sum(across), ((height or _TALLEST) - _ABOVE - _BELOW) / deepest)
    height = height or round(scale * deepest) + _ABOVE + _BELOW
    spare = (width - scale * sum(across)) / len(across)
    figure, left = go.Figure(), 0.0
    for triangle, wide in zip(triangles, across, strict=True):
        right = left + scale * wide + spare
        looks = {"numbers": numbers, "corners": corners, "names": names, "goes": goes}
        draw_triangle(figure, triangle, scale, ((left, _ABOVE - height), (right, _ABOVE)), **looks)
        left = right
    figure.update_layout(to_scale(width, height, (0, width), (_ABOVE - height, _ABOVE)))
    return figure


def fitting(triangles, cameras, width, height):
    """Px to a cm at which each of two or more triangles, with lengths alone, has room in a panel below its port line."""
    across = max(np.ptp(_along_ports(*each)) for each in zip(triangles, cameras, strict=True))
    return min((width - 2 * _SIDE[False]) / across, height / max(t.depth for t in triangles))


def _along_ports(triangle, camera=None):
    """Left port, right port, target and camera hole along the port line, in cm from the middle of the ports."""
    half = triangle.spacing / 2
    return np.array([-half, half, triangle.offset, 0 if camera is None else camera])


def draw_triangle(
    figure, triangle, scale, frame, numbers=True, corners=False, names=True, top=0.0, large=18, camera=None, goes=()
):
    """Add a triangle in px to a figure, its port line at the height `top`, in the middle of a `frame` that holds its words.

    Without `names` the lengths show even without `numbers`, and the angle is then a question mark. `camera` is where on the
    port line its hole is, in cm from the middle of the ports; `goes` are other places of the target, offset and depth in cm
    and a word.
    """
    ends = _along_ports(triangle, camera)
    middle = (frame[0][0] + frame[1][0]) / 2 - scale * (ends.min() + ends.max()) / 2
    left, right, target = np.column_stack([middle + scale * ends[:3], [top, top, top - scale * triangle.depth]])
    foot = np.array([target[0], top])
    is_between = abs(triangle.offset) <= triangle.spacing / 2  # the foot, both ports
    thin = {"color": GREY, "width": 1.5, "dash": "dot"}
    lines = [
        (left, right, {"color": GREY, "width": 2}),
        (target, left, {"color": LEFT["colour"], "width": 5}),
        (target, right, {"color": RIGHT["colour"], "width": 5, "dash": RIGHT["dash"]}),
    ]
    dotted = [(target, foot, thin)] * names
    if names and not is_between:
        dotted.append((foot, left if triangle.offset < 0 else right, thin))
    for start, end, line in [*dotted, *lines]:
        figure.add_scatter(x=[start[0], end[0]], y=[start[1], end[1]], mode="lines", line=line, hoverinfo="skip")
    turn = np.linspace(*np.unwrap([np.arctan2(*(port - target)[::-1]) for port in (left, right)]), 30)
    radius = scale * 0.28 * min(triangle.left_length, triangle.right_length)
    arc = target + radius * np.column_stack([np.cos(turn), np.sin(turn)])
    figure.add_scatter(x=arc[:, 0], y=arc[:, 1], mode="lines", line={"color": GREEN, "width": 4}, hoverinfo="skip")
    for place, marker in zip((left, right, target), (sign_of(LEFT, 13), sign_of(RIGHT, 13), target_sign(15)), strict=True):
        figure.add_scatter(x=[place[0]], y=[place[1]], mode="markers", marker=marker, hoverinfo="skip")
    half = np.array([np.cos(turn.mean()), np.sin(turn.mean())])
    angle = f"<b>{triangle.manipulation_angle:.1f}°</b>" if numbers else "<i>θ</i>" if names else "<b>?</b>"
    outs = radius + large * np.array([0.8, 1.2, 1.8, 2.5])
    sides = (
        ("spacing", triangle.spacing, (left, right), target),
        ("left", triangle.left_length, (left, target), right),
        ("right", triangle.right_length, (right, target), left),
        ("depth", triangle.depth, (foot, target), right if (triangle.offset >= 0) == is_between else left),
    )
    labels = [Label(angle, [target + out * half for out in outs], half, large, on=True)]
    for name, length, line, apart in sides if names else sides[:3]:
        written_length = f"{length:.1f} cm"
        text = f"{name} {written_length}" if names and numbers else name if names else written_length
        labels.append(_beside(text, line, apart))
    grey = {}
    if corners and numbers:
        for port, other in ((left, right), (right, left)):
            inwards = sum((end - port) / np.linalg.norm(end - port) for end in (other, target))
            found = manipulation_angle(*(np.append(end, 0) for end in (other, target, port)))
            grey[len(labels)] = {"font": {"color": "#595959"}}
            inwards = inwards / np.linalg.norm(inwards)
            labels.append(Label(f"{found:.1f}°", [port + out * inwards for out in (45, 65)], inwards, on=True))
    others = [left, right, target]
    if camera is not None:
        others.append(np.array([middle + scale * camera, top]))
        figure.add_scatter(x=[others[-1][0]], y=[top], mode="markers", marker=sign("square", PURPLE, 15), hoverinfo="skip")
        labels.append(Label("camera", [others[-1]], (0, 1)))
    for offset, depth, word in goes:
        place = np.array([middle + scale * offset, top - scale * depth])
        marker = {"symbol": "circle-cross-open", "color": INK, "size": 15, "line": {"width": 2}}
        figure.add_scatter(x=[place[0]], y=[place[1]], mode="markers", marker=marker, hoverinfo="skip")
        labels.append(Label(word, [place], place - target))
        others.append(place)
    strokes = [(start, end) for start, end, _ in lines]
    notes = enumerate(written(labels, frame, strokes, others))
    # All at once: plotly checks those that are there again with each that is added.
    figure.layout.annotations += tuple({"bgcolor": "rgba(255, 255, 255, 0.8)"} | note | grey.get(i, {}) for i, note in notes)


def _beside(text, line, apart):
    """Words beside a line in px, on the side away from a place."""
    start, end = line
    along = (end - start) / np.linalg.norm(end - start)
    across = np.array([-along[1], along[0]])
    out = across if (start - apart) @ across > 0 else -across
    return Label(text, start + _ALONG[:, None] * (end - start), out)

"""The card that holds the ports, in space and flat: a panel of its own through ports and camera hole, or a face of the box."""

from typing import NamedTuple

import numpy as np

_OFF = 0.1  # cm that a hole may be off the card: places are often given to a mm
_EDGE = 6.5  # cm of card about the holes where no box is given: the names of the ports have room on it
_ROUND, _CORNERS = np.linspace(0, 2 * np.pi, 25), np.pi * np.array([0.25, 0.75, 1.25, 1.75, 0.25])  # of a rim
HOLE, WINDOW = 1.0, 3.0  # cm across: a port's hole, and the side of a phone's window (common practice, no source)


class Card(NamedTuple):
    """A card with its holes: its edge, closed, in cm along and up the card (n, 2), and the same in space (n, 3).

    `holes` are places on it (2,) by name: "left", "right", and "lens" or "scope" where that is in the card. `normals` point out
    of the box at each hole; `foot` is what the lower edge is called.
    """

    edge: np.ndarray
    corners: np.ndarray
    holes: dict[str, np.ndarray]
    normals: dict[str, np.ndarray]
    foot: str


def card_of(placement, surface=None):
    """The card of a placement: the face of `surface` nearest to both ports, or where none is given a panel through them."""
    return _panel(placement) if surface is None else _face(placement, surface)


def rims(placement, card):
    """The rims of the holes in a card, closed lines in space (n, 3): round for a shaft, a window for a phone's lens."""
    points = {"left": placement.left_port, "right": placement.right_port, _camera(placement): placement.camera_hole}
    for name, normal in card.normals.items():
        level, up = level_and_up(normal)
        turn, radius = (_CORNERS, WINDOW / np.sqrt(2)) if name == "lens" else (_ROUND, HOLE / 2)
        yield points[name] + radius * (np.cos(turn)[:, None] * level + np.sin(turn)[:, None] * up)


def ground_of(placement):
    """The height of the floor: 0, or that of the lowest target below it."""
    return min(0.0, float(placement.targets[:, 2].min()))


def _camera(placement):
    """What comes through the camera's hole."""
    return "lens" if placement.scope is None else "scope"


def level_and_up(normal):
    """Unit vectors along a plane: level, to the right for who stands before it, and up; to the right and away on a lid."""
    level = np.cross([0, 0, 1.0], normal)
    level = np.array([1.0, 0, 0]) if np.linalg.norm(level) < 1e-6 else level / np.linalg.norm(level)
    return level, np.cross(normal, level) / np.linalg.norm(normal)


def _face(placement, surface):
    ports = {"left": placement.left_port, "right": placement.right_port}
    face = min(surface.faces, key=lambda face: max(_off(surface, face, port) for port in ports.values()))
    there = {
        name: point
        for name, point in (ports | {_camera(placement): placement.camera_hole}).items()
        if _off(surface, face, point) <= _OFF
    }
    places = {name: surface.uv(point, face) for name, point in (ports | there).items()}
    normals = {name: surface.normal(*places[name], face) for name in there}
    foot = "front edge" if face == "lid" else "lower edge"
    return Card(surface.outline_uv(face), surface.outline(face), places, normals, foot)


def _off(surface, face, point):
    """Distance of a point from a face, square to it; infinite beyond its edge."""
    u, v = surface.uv(point, face)
    if not surface.contains(u, v, face=face):
        return np.inf
    return abs(float((point - surface.point(u, v, face)) @ surface.normal(u, v, face)))


def _panel(placement):
    """A plane through both ports: the placement's own panel, or through the camera hole, or level."""
    left, right, hole = placement.left_port, placement.right_port, placement.camera_hole
    middle, across = (left + right) / 2, (right - left) / np.linalg.norm(right - left)
    normal = np.cross(across, hole - middle) if placement.panel_normal is None else placement.panel_normal
    up = np.cross(normal, across)
    if np.linalg.norm(up) < 1e-6:  # the camera is in line with the ports
        up = np.cross(np.cross(across, [0, 1.0, 0]), across)
    up = up / np.linalg.norm(up)
    up = -up if (up[2], up[1]) < (0, 0) else up
    normal = np.cross(across, up)
    level, up = level_and_up(normal)
    places = {"left": left, "right": right}
    if abs((hole - middle) @ normal) <= _OFF:
        places[_camera(placement)] = hole
    holes = {name: np.array([(place - middle) @ level, (place - middle) @ up]) for name, place in places.items()}
    (start, low), (end, top) = np.min(list(holes.values()), axis=0) - _EDGE, np.max(list(holes.values()), axis=0) + _EDGE
    height = middle[2] - ground_of(placement)
    stands = up[2] > 0.1 and height > 0  # on the floor, unless it is a lid
    low = min(-height / up[2], low + _EDGE - HOLE) if stands else low
    edge = np.array([(start, low), (end, low), (end, top), (start, top), (start, low)])
    normals = dict.fromkeys(holes, normal)
    return Card(edge, middle + edge @ np.stack([level, up]), holes, normals, "lower edge" if stands else "front edge")

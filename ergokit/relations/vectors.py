"""Symbolic vectors for the derivations; for the checks random points, and what is measured on them."""

import numpy as np
import sympy as sp

from ergokit import triangulation as tri


def vector(*parts):
    return sp.Matrix(parts)


def dot(one, other):
    """The dot product of two named vectors as a symbol, for a step; a vector with itself is its squared length."""
    name = rf"|\vec{{{one}}}|^2" if one == other else rf"(\vec{{{one}}} \cdot \vec{{{other}}})"
    return sp.Symbol(name, real=True)


def cross(one, other):
    """The squared length of the cross product of two named vectors as a symbol, for a step."""
    return sp.Symbol(rf"|\vec{{{one}}} \times \vec{{{other}}}|^2", nonnegative=True)


def products(vectors):
    """What these symbols stand for, given the named vectors."""
    pairs = [(one, other) for one in vectors for other in vectors]
    dots = {dot(one, other): vectors[one].dot(vectors[other]) for one, other in pairs}
    normals = {(one, other): vectors[one].cross(vectors[other]) for one, other in pairs if one != other}
    return dots | {cross(*pair): normal.dot(normal) for pair, normal in normals.items()}


def norm(u):
    return sp.sqrt(sp.factor(sp.trigsimp(u.dot(u))))


def angle(u, v):
    """Between two vectors, from their dot product."""
    return sp.acos(u.dot(v) / (norm(u) * norm(v)))


def opening(u, v):
    """Between two vectors of one length: they span a rhombus, whose diagonals u + v and u - v halve its angles."""
    return 2 * sp.atan(norm(u - v) / norm(u + v))


def turned(rng, n):
    """Random right-handed frames, shape (n, 3, 3): rows are three unit vectors."""
    first = unit(rng.normal(size=(n, 3)))
    second = unit(np.cross(first, rng.normal(size=(n, 3))))
    return np.stack([first, second, np.cross(first, second)], axis=1)


def unit(u):
    return u / np.linalg.norm(u, axis=-1, keepdims=True)


def somewhere(rng, n):
    """Random points within 20 cm, shape (n, 3)."""
    return rng.uniform(-20, 20, size=(n, 3))


def close(one, other):
    return np.isclose(one, other, rtol=1e-9, atol=1e-9)


def anywhere(rng, n):
    """Values measured on ports, a target and a camera that are anywhere."""
    return measured(*(somewhere(rng, n) for _ in range(4)))


def measured(left, right, target, camera=None, normal=(0, 0, 1)):
    """The quantities of placements that relations name, from their points, shape (n, 3): name -> values (n,)."""
    u, v = left - target, right - target
    if camera is None:
        camera = target + u + v + np.cross(u, v) / 30  # between the instruments and out of their plane
    ports, shafts = (left, right, target), (left, right, target, camera)
    spacing, theta = tri.port_spacing(left, right), tri.manipulation_angle(*ports)
    found = {
        "spacing": spacing,
        "manipulation_angle": theta,
        "widest_angle": theta,
        "narrowest_angle": theta,
        "depth": tri.depth(*ports),
        "offset": np.sum((u + v) * (left - right), axis=-1) / (2 * spacing),
        "plan_angle": tri.plan_angle(*ports, normal=normal),
        "instrument_plane_tilt": tri.instrument_plane_tilt(*ports, normal=normal),
        "axis_to_instruments_plane": tri.axis_to_instruments_plane(*shafts),
        "display_angle": tri.display_angle(*shafts),
        "working_distance": tri.working_distance(camera, target),
        "camera_port_distance": tri.port_spacing(left, camera),
    }
    for side, port in (("right", right), ("left", left)):  # either instrument is the left one
        found[f"{side}_length"] = found["inserted_length"] = tri.inserted_length(port, target)
        found[f"{side}_elevation"] = found["elevation_angle"] = tri.elevation_angle(port, target, normal=normal)
    for name, plane in (("azimuth", "instruments"), ("working_azimuth", "working"), ("space_azimuth", "space")):
        found[f"left_{name}"], found[f"right_{name}"] = tri.azimuth_angles(*shafts, plane, normal=normal)
        found[name] = found[f"left_{name}"]
    twice_the_area = np.linalg.norm(np.cross(u, v), axis=-1)
    return found | {"circle_radius": found["left_length"] * found["right_length"] * spacing / (2 * twice_the_area)}

"""Symbolic vectors for the derivations, and random points for the checks."""

import numpy as np
import sympy as sp


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

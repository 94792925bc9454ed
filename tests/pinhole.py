"""What a pinhole camera sees, by OpenCV, with a frame turned up from a level camera: nothing of the kit's own is used."""

import cv2
import numpy as np
from scipy.spatial.transform import Rotation

_LEVEL = np.array([(1, 0, 0), (0, 0, -1), (0, 1, 0)])  # OpenCV's x, y and z of a camera that looks away from the operator


def pictured(points, position, aim, field_of_view, roll=0):
    """Where points (n, 3) are in the picture, (n, 2), right and up from its middle, in half widths; and how far ahead, (n,).

    The camera is turned about the vertical and tipped until it looks along `aim`, then turned by `roll` degrees about its own
    axis, clockwise seen from behind. NaN where a point is not in front.
    """
    x, y, z = aim
    turned = Rotation.from_euler("ZXY", [-np.arctan2(x, y), np.arctan2(z, np.hypot(x, y)), np.radians(roll)])
    return thrown(points, position, turned, field_of_view)


def held(shaft, view, post, head):
    """How scopes hold their cameras, as a Rotation from looking level and away; shafts (n, 3), angles (n,) in degrees.

    The camera looks along the shaft, turned about it with its head. The scope is turned by its post, which takes nothing
    with it but the view: the picture is tipped down by the view about an axis that has turned with the post.
    """
    x, y, z = np.transpose(shaft)
    along = Rotation.from_euler("ZX", np.transpose([-np.arctan2(x, y), np.arctan2(z, np.hypot(x, y))]))
    return along * Rotation.from_euler("YXY", np.transpose([-post, -view, post + head]), degrees=True)


def thrown(points, position, turned, field_of_view):
    """What a camera sees that was turned in this way from looking level, away from the operator."""
    offsets = np.subtract(points, position)
    matrix = np.diag([1 / np.tan(np.radians(field_of_view / 2))] * 2 + [1.0])
    rotation = _LEVEL @ turned.as_matrix().T
    image, _ = cv2.projectPoints(offsets, Rotation.from_matrix(rotation).as_rotvec(), np.zeros(3), matrix, None)
    ahead = offsets @ rotation[2]
    return np.where(ahead[:, None] > 0, image[:, 0] * [1, -1], np.nan), ahead

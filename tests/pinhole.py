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
    rotation = _LEVEL @ turned.as_matrix().T
    offsets = np.subtract(points, position)
    matrix = np.diag([1 / np.tan(np.radians(field_of_view / 2))] * 2 + [1.0])
    image, _ = cv2.projectPoints(offsets, cv2.Rodrigues(rotation)[0], np.zeros(3), matrix, None)
    ahead = offsets @ rotation[2]
    return np.where(ahead[:, None] > 0, image[:, 0] * [1, -1], np.nan), ahead

"""A box measured with photographs of marked sheets: where ports, target and lens are, and what the phone really sees.

Needs OpenCV, which the extra ``photos`` installs; it is loaded when a photograph is read.
"""

from ergokit._markers import MarkedBox
from ergokit.photos.check import TAPE, check_photos
from ergokit.photos.read import Photo, read_photo
from ergokit.photos.result import SEEN, PhotoCheck

__all__ = ["SEEN", "TAPE", "MarkedBox", "Photo", "PhotoCheck", "check_photos", "read_photo"]

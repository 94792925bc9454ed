"""A photograph's markers: which there are, and where their corners are in the picture. Only numbers are kept."""

from __future__ import annotations

import io
import tempfile
import warnings
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from ergokit._check import a_text, brief, checked
from ergokit._files import some_path
from ergokit._markers import opencv, whose

_MOST_BYTES = 60_000_000
_MOST_PIXELS = 60_000_000
_FEWEST = 320  # pixels across
_FILM_DIAGONAL = np.hypot(36.0, 24.0)  # mm, of a 35 mm film's picture, which EXIF's equivalent focal length is for
_FILMS = (".mp4", ".mov")
_ALONG = (0.1, 0.9)  # of a side, where its line is looked for
_REACH = 0.6 / 8  # of a marker's depth, as far as greys are looked at on both sides: its rim and the white about it are wider
_MOST_REACH = 6.0  # pixels
# Numbers of EXIF's entries
_DETAILS, _MAKE, _MODEL, _EQUIVALENT, _ZOOM, _WIDTH, _HEIGHT = 0x8769, 0x010F, 0x0110, 0xA405, 0xA404, 0xA002, 0xA003


@dataclass(frozen=True, eq=False)
class Photo:
    """What one photograph shows: its name, its width and height in pixels when upright, and marker -> corners (4, 2).

    Corners are in pixels from the picture's upper left corner, right and down, clockwise from the marker's own upper left one.
    `focal` is the focal length in widths of the picture that the file says, or None, and `phone` what it says of the phone.
    """

    name: str
    size: tuple[int, int]
    markers: dict[int, np.ndarray]
    focal: float | None = None
    phone: str = ""

    @property
    def boxes(self) -> set[int]:
        """The boxes whose markers are seen."""
        found = {whose(number)[0] for number in self.markers}
        return found - {None}


@checked(name=a_text)
def read_photo(photo: str | Path | bytes, name: str = "") -> Photo:
    """The markers in a photograph: a JPEG, PNG or, where pi-heif is installed, HEIC file, or its bytes with a `name`.

    Of a film (a name that ends in .mp4 or .mov) the first frame is taken. The picture is turned upright as the file says, and
    where it was taken is ignored. ValueError for a file that is not a picture, has more than 60 million pixels, was zoomed or
    cropped, or shows no marker of the kit's.

    >>> read_photo(b"no picture", "box.jpg")
    Traceback (most recent call last):
    ValueError: box.jpg is not a JPEG, PNG or HEIC picture: b'no picture' (photo).
    """
    data, name = _bytes(photo, name)
    picture, facts = (_first_frame if name.lower().endswith(_FILMS) else _decoded)(data, name)
    height, width = picture.shape
    if facts.get(_WIDTH) and facts.get(_HEIGHT) and sorted((facts[_WIDTH], facts[_HEIGHT])) != sorted((width, height)):
        raise ValueError(f"{name} was cropped or made smaller: add it as the phone took it (photo).")
    markers = _found(picture)
    if not markers:
        if _found(np.ascontiguousarray(picture[:, ::-1])):
            raise ValueError(f"{name} is mirrored, as a selfie camera shows it: use the camera on the back (photo).")
        raise ValueError(
            f"No marker is found in {name}: print the sheets with markers, "
            "and take the picture sharp, nearer or in better light (photo)."
        )
    phone = " ".join(str(facts.get(tag, "")).strip("\0 ") for tag in (_MAKE, _MODEL)).strip()
    zoom = float(facts.get(_ZOOM) or 1)
    if zoom > 1.01:
        raise ValueError(f"{name} was zoomed {zoom:.1f} times: take it again without zoom (photo).")
    equivalent = float(facts.get(_EQUIVALENT) or 0)
    focal = equivalent / _FILM_DIAGONAL * np.hypot(width, height) / width if equivalent > 0 else None
    return Photo(name, (width, height), markers, focal, phone)


def _bytes(photo, name):
    if isinstance(photo, bytes):
        data, name = photo, brief(name).strip("'") or "the photograph"
    else:
        path = some_path(photo, "photo")
        name = brief(name or path.name).strip("'")
        try:
            with open(path, "rb") as file:
                data = file.read(_MOST_BYTES + 1)
        except OSError as error:
            raise ValueError(f"{name} cannot be read: {error.strerror} (photo).") from None
    if len(data) > _MOST_BYTES:
        raise ValueError(f"{name} has more than {_MOST_BYTES // 10**6} MB: save it as a JPEG (photo).")
    return data, name


def _decoded(data, name):
    """The picture in greys, upright, and the EXIF facts."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        from pi_heif import register_heif_opener

        register_heif_opener()
    except ImportError:
        pass  # HEIC is refused below, as what is no picture
    try:
        with warnings.catch_warnings(action="ignore"), Image.open(io.BytesIO(data)) as image:
            width, height = image.size
            if width * height > _MOST_PIXELS:
                raise ValueError(_too_large(name))
            if min(width, height) < _FEWEST:
                raise ValueError(f"{name} is {width} x {height} pixels: too few to find markers in (photo).")
            facts = dict(image.getexif()) | dict(image.getexif().get_ifd(_DETAILS))
            return np.asarray(ImageOps.exif_transpose(image).convert("L")), facts
    except Image.DecompressionBombError:
        raise ValueError(_too_large(name)) from None
    except (UnidentifiedImageError, OSError):
        raise ValueError(f"{name} is not a JPEG, PNG or HEIC picture: {brief(data[:20])} (photo).") from None


def _first_frame(data, name):
    """The first frame of a film in greys; a film has no EXIF facts."""
    cv2 = opencv()

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "film").with_suffix(Path(name).suffix)
        path.write_bytes(data)
        film = cv2.VideoCapture(str(path))
        there, frame = film.read()
        film.release()
    if not there:
        raise ValueError(f"{name} is not a film from which a picture can be read: add a photograph (photo).")
    return cv2.cvtColor(frame, cv2.COLOR_BGR2GRAY), {}


def _too_large(name):
    most = _MOST_PIXELS // 10**6
    return f"{name} has more than {most} million pixels: choose a smaller picture in the phone's settings (photo)."


def _found(picture) -> dict[int, np.ndarray]:
    """The kit's markers in a picture in greys."""
    cv2 = opencv()

    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    family = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    corners, numbers, _ = cv2.aruco.ArucoDetector(family, settings).detectMarkers(picture)
    if numbers is None:
        return {}
    sharp = _sharpened(picture, np.array(corners, float).reshape(-1, 4, 2))
    return {number: each for number, each in zip(np.ravel(numbers).tolist(), sharp, strict=True) if whose(number)}


def _sharpened(picture, corners):
    """The corners (n, 4, 2) of markers where lines along their sides meet: blur rounds a corner off, and leaves a side.

    A side is where grey changes on the way out of a marker's black rim: its middle, weighted by the change.
    """
    cv2 = opencv()

    along, across = np.linspace(*_ALONG, 24)[:, None], np.linspace(-1, 1, 13)
    for _ in range(2):  # the second time nearer to the sides
        ahead = np.roll(corners, -1, axis=1) - corners
        out = np.stack([ahead[..., 1], -ahead[..., 0]], axis=-1) / np.linalg.norm(ahead, axis=-1, keepdims=True)
        deep = np.min([np.sum((corners - np.roll(corners, -k, axis=1)) * out, axis=-1) for k in (2, 3)], axis=0)
        reach = np.clip(_REACH * deep, 1, _MOST_REACH)[..., None, None]
        x, y = (
            (corners[..., i, None, None] + along * ahead[..., i, None, None] + across * reach * out[..., i, None, None])
            .reshape(4 * len(corners), -1)
            .astype(np.float32)
            for i in (0, 1)
        )
        grey = cv2.remap(picture, x, y, cv2.INTER_LINEAR).astype(float).reshape(*corners.shape[:2], len(along), len(across))
        rise = np.maximum(grey[..., -1] - grey[..., 0], 1)
        off = (grey[..., -1] + grey[..., 0] - np.trapezoid(grey, across, axis=-1)) / rise * reach[..., 0]
        # A straight line through these, by least squares
        share, weight = along[:, 0], rise**2
        middle = np.sum(weight * share, axis=-1, keepdims=True) / np.sum(weight, axis=-1, keepdims=True)
        turn = np.sum(weight * (share - middle) * off, axis=-1) / np.sum(weight * (share - middle) ** 2, axis=-1)
        shift = np.sum(weight * off, axis=-1) / np.sum(weight, axis=-1) - turn * middle[..., 0]
        place, way = corners + shift[..., None] * out, ahead + turn[..., None] * out
        before, way_before = (np.roll(each, 1, axis=1) for each in (place, way))
        share = _cross(before - place, way_before) / _cross(way, way_before)
        corners = place + share[..., None] * way
    return corners


def _cross(one, other):
    return one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0]

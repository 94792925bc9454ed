"""The phone that looks into the box: its optics and its body."""

from __future__ import annotations

from dataclasses import dataclass

from numpy.typing import ArrayLike

from ergokit._check import lengths, one, one_word, refused
from ergokit.view import Camera

_LEDGE = 1  # cm that the ledge reaches down from the phone's lower edge (this kit's own choice, no source)
_LONGEST = 40  # cm


@dataclass(frozen=True)
class Phone:
    """A phone: its camera and its body, in cm and degrees. The defaults are a common phone, from memory; measure your own.

    field_of_view, shape, close_focus
        of the picture as the camera shows it while filming: across its width, width over height, nearest sharp distance
    camera hole
        width and height of the hole in the panel behind which the lens lies
    length, width, thickness
        of the body
    lens_from_end, lens_from_side
        from the middle of the lens to the nearer short edge, and to the nearer long edge, which rests on the ledge
    lens_at
        ``"right"`` or ``"left"``: the end at which the lens is as you look at the screen, with the long edge that is
        nearer to the lens at the bottom
    """

    field_of_view: float = 67.0
    shape: float = 16 / 9
    close_focus: float = 10.0
    camera_hole: tuple[float, float] = (3.0, 3.0)
    length: float = 15.0
    width: float = 7.5
    thickness: float = 0.9
    lens_from_end: float = 2.0
    lens_from_side: float = 2.0
    lens_at: str = "right"

    def __post_init__(self):
        self.camera((0, 0, 0), (0, 0, 1))  # refuses bad optics
        sizes = lengths("camera_hole", self.camera_hole)
        if sizes.shape != (2,):
            raise refused("camera_hole", "a width and a height in cm", self.camera_hole)
        object.__setattr__(self, "camera_hole", tuple(sizes.tolist()))
        for name in ("length", "width", "thickness", "lens_from_end", "lens_from_side"):
            size = one(name, getattr(self, name), lengths)
            if size > _LONGEST:
                raise ValueError(f"{size:g} cm is too long for a phone; give its size in cm, not mm ({name}).")
            object.__setattr__(self, name, size)
        ends = ("lens_from_end", self.length), ("lens_from_side", self.width)
        for (name, whole), half in zip(ends, sizes / 2, strict=True):
            if getattr(self, name) > whole / 2:
                raise ValueError(f"The lens is nearer to the other edge; give at most {whole / 2:g} cm ({name}).")
            if half > getattr(self, name):
                most = 2 * getattr(self, name)
                raise ValueError(f"The phone does not cover a hole of {2 * half:g} cm; give at most {most:g} cm (camera_hole).")
        one_word("lens_at", self.lens_at, ("right", "left"), "'right' or 'left'")

    @property
    def body(self) -> tuple[float, float, float, float]:
        """Left, lower, right and upper edge of the body, counted from the lens, in cm.

        >>> Phone().body
        (-13.0, -2.0, 2.0, 5.5)
        """
        far, low = self.length - self.lens_from_end, self.lens_from_side
        left, right = (far, self.lens_from_end) if self.lens_at == "right" else (self.lens_from_end, far)
        return (-left, -low, right, self.width - low)

    @property
    def ledge(self) -> tuple[float, float, float, float]:
        """The same of the ledge, a strip of card glued under the lower edge and at least as thick as the phone.

        >>> Phone().ledge
        (-13.0, -3.0, 2.0, -2.0)
        """
        left, low, right, _ = self.body
        return (left, low - _LEDGE, right, low)

    def camera(self, position: ArrayLike, panel_normal: ArrayLike) -> Camera:
        """The phone lying flat on a panel, as an `ergokit.view.Camera`."""
        optics = {"field_of_view": self.field_of_view, "shape": self.shape, "close_focus": self.close_focus}
        return Camera.lying_flat(position, panel_normal, **optics)

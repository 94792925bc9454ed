"""From tape readings of a box to a placement in space.

The ports are level on one panel and the camera's window is on its midline, k up the panel from the middle M of the port line.
The two lengths and the spacing give the triangle: the target's sideways place x and its depth h below the port line. What is
left is how far the triangle swings about the port line: the angle omega at M from straight up the panel to the foot of the
depth. The camera's distance gives it, d^2 = x^2 + h^2 + k^2 - 2 k h cos(omega), badly where k is small; so does the ports'
height above the target, h sin(omega - slope).
"""

from dataclasses import MISSING, asdict, dataclass, fields, replace
from math import acos, asin, cos, degrees, hypot, pi, radians, sin, sqrt

import numpy as np

from ergokit._check import flag, lengths, numbers, one

# cm of window above the ports below which camera_to_target no longer says where the target lies: at a depth of 16 cm a
# reading error of 0.3 cm there turns the triangle by 4 degrees, and in inverse proportion to the window's height.
_HIGH_ENOUGH = 4
_BEYOND_REACH = 50  # cm: no instrument for the job reaches as far (the long ones have shafts of about 45 cm, from memory)
_INSIDE = radians(5)  # how far inside the box a target is drawn, at least, where the readings leave it open
_CLOSE = 1e-9

_MEASURED = (
    "spacing",
    "left",
    "right",
    "camera_to_target",
    "window_above_ports",
    "panel_slope",
    "port_height",
    "target_height",
)

_FLOOR = (
    "elevation angle",
    "instrument plane tilt",
    "plan angle",
    "azimuth angle, working plane",
    "view angle",
    "hand-eye rotation",
    "camera's side",
)
_FOOT = ("azimuth angle, instruments' plane", "azimuth angle, space", "display angle", "off-centre angle", "entry angle")


@dataclass(frozen=True)
class Readings:
    """What a person with a tape read; the arguments of `Placement.from_tape`."""

    spacing: float
    left: float
    right: float
    camera_to_target: float
    window_above_ports: float
    panel_slope: float | None = None
    port_height: float | None = None
    target_height: float = 0.0
    flat_phone: bool = False
    reading_error: float = 0.3
    slope_error: float = 1.0

    def __post_init__(self):
        for field in fields(self):
            value = getattr(self, field.name)
            if field.name == "flat_phone":
                object.__setattr__(self, "flat_phone", flag("flat_phone", value))
                continue
            if value is None and field.name in ("panel_slope", "port_height"):
                continue
            if field.name == "panel_slope":
                value = one(field.name, value, numbers, "a slope of 0 to 90 degrees")
                if not 0 <= value <= 90:
                    raise ValueError(f"panel_slope takes a slope of 0 to 90 degrees; got {value:g}.")
            else:
                may_be_zero = field.name in ("window_above_ports", "target_height", "reading_error", "slope_error")
                value = one(field.name, value, lengths, zero=may_be_zero)
            object.__setattr__(self, field.name, value)
        if min(self.spacing, self.left, self.right, self.camera_to_target) > _BEYOND_REACH:
            raise ValueError(
                f"spacing, left, right and camera_to_target take cm that an instrument can reach; all four are over "
                f"{_BEYOND_REACH}, with a spacing of {self.spacing:g}: in mm by mistake?"
            )

    @classmethod
    def names(cls):
        """The names of the readings: those that must be given, and all."""
        return [field.name for field in fields(cls) if field.default is MISSING], [field.name for field in fields(cls)]

    def _high_enough(self):
        return self.window_above_ports >= _HIGH_ENOUGH

    def given(self):
        """The readings as a mapping, without those that were not taken."""
        return {name: value for name, value in asdict(self).items() if value is not None}

    def not_known(self):
        """What these readings leave open: quantity -> what would settle it."""
        missing = [name for name in ("panel_slope", "port_height") if getattr(self, name) is None]
        if missing and not self._high_enough():
            why = f"needs {' and '.join(missing)}: the window is less than {_HIGH_ENOUGH} cm above the ports"
            return dict.fromkeys(_FLOOR + _FOOT, why)
        return dict.fromkeys(_FLOOR, "needs panel_slope or port_height") if len(missing) == 2 else {}

    def stand(self, check=True):
        """The points of the placement, as arguments of `Placement`; ValueError where no box can have these readings."""
        x, h, omega, slope, spare = self._solve()
        if check and spare is not None:
            self._refuse_disagreement(*spare)
        up, inward = (cos(slope), sin(slope)), (sin(slope), -cos(slope))  # of the panel, in (away, up)
        foot = tuple(h * (cos(omega) * a + sin(omega) * b) for a, b in zip(up, inward, strict=True))
        if foot[1] >= 0:
            raise ValueError(
                f"these readings put the target {foot[1]:.1f} cm above the ports, outside any box; "
                "measure camera_to_target and panel_slope again."
            )
        k, height, half = self.window_above_ports, self.target_height - foot[1], self.spacing / 2
        ahead = inward[0] if self.flat_phone else foot[0] - k * up[0]
        facing = -1.0 if ahead < -_CLOSE * h else 1.0  # the operator stands where the picture is upright
        return {
            "left_port": (-half, 0.0, height),
            "right_port": (half, 0.0, height),
            "target": (x, facing * foot[0], self.target_height),
            "camera": (0.0, facing * k * up[0], height + k * up[1]),
            "aim": (0.0, facing * inward[0], inward[1]) if self.flat_phone else None,
            "panel_normal": (0.0, -facing * inward[0], -inward[1]),
        }

    def spread(self, values):
        """One standard deviation of each of `values(list of readings)`, one row for each of the readings.

        Each reading is moved by its error both ways, and the mean square of the two changes is its share of the variance: their
        difference would be nothing for an angle at the end of its range, such as a target in the middle of the picture.
        NaN where a reading cannot be moved at all without leaving what a box can have.
        """
        here = self._within_reach()
        moves = {name: here._moves(name) for name in _MEASURED if getattr(here, name) is not None and here._error(name)}
        rows = values([here, *(moved for both in moves.values() for moved, _ in both)])
        changes = iter(rows[1:] - rows[0])
        variance = np.zeros_like(rows[0])
        for both in moves.values():
            squares = [(next(changes) / share) ** 2 for _, share in both]
            variance += np.mean(squares, axis=0) if squares else np.nan
        return np.sqrt(variance)

    def _error(self, name):
        if name == "panel_slope":
            return self.slope_error
        return 0.0 if name == "target_height" and self.target_height == 0 else self.reading_error  # 0 is the floor itself

    def _moves(self, name):
        """These readings with one moved by its error each way, or by as much of it as a box can have, and the shares."""
        moves = []
        for way in (-1, 1):
            for share in (1, 0.5, 0.2, 0.1, 0.01):
                try:
                    moved = replace(self, **{name: getattr(self, name) + way * share * self._error(name)})
                    moved.stand(check=False)
                except ValueError:
                    continue  # no box has that reading: try less
                if moved._high_enough() == self._high_enough():  # else it would be stood up from other readings
                    moves.append((moved, share))
                    break
        return moves

    def _within_reach(self):
        """These readings with a `port_height` no more than the depth below it allows, as `_lean` takes it."""
        if self.port_height is None:
            return self
        _, h = self._triangle()
        return replace(self, port_height=min(self.port_height, self.target_height + h))

    def _refuse_disagreement(self, name, read, computed):
        sd = self.spread(lambda many: np.array([readings._excess() for readings in many]))
        if not abs(read - computed) <= max(0.1, 3 * sd):
            raise ValueError(
                f"{name} of {read:g} cm does not agree with the other readings, which give {computed:.1f} cm; measure it again."
            )

    def _excess(self):
        _, read, computed = self._solve()[-1]
        return read - computed

    def _triangle(self):
        """The target's sideways place and its depth below the port line."""
        s, left, right = self.spacing, self.left, self.right
        if s >= left + right:
            pair = f"two {left:g} cm lengths" if left == right else f"lengths of {left:g} and {right:g} cm"
            raise ValueError(f"{pair} cannot span {s:g} cm; measure spacing, left and right again.")
        if abs(left - right) >= s:
            raise ValueError(
                f"left of {left:g} cm and right of {right:g} cm differ by more than the spacing of {s:g} cm; "
                "measure them again."
            )
        area4 = (s + left + right) * (left + right - s) * (s + left - right) * (s - left + right)  # Heron: (4 area)^2
        return (left - right) * (left + right) / (2 * s), sqrt(area4) / (2 * s)

    def _solve(self):
        """x, h, omega and slope (radians), and the reading that was to spare: its name, as read, as computed; or None."""
        x, h = self._triangle()
        d, k = self.camera_to_target, self.window_above_ports
        slope = None if self.panel_slope is None else radians(self.panel_slope)
        nearest, farthest = hypot(x, h - k), hypot(x, h + k)
        if self._high_enough():
            if not nearest < d < farthest:
                raise ValueError(
                    f"camera_to_target of {d:g} cm cannot be: with the window {k:g} cm above the ports it lies between "
                    f"{nearest:.1f} and {farthest:.1f} cm; measure camera_to_target and window_above_ports again."
                )
            omega = acos((x**2 + h**2 + k**2 - d**2) / (2 * k * h))
            if self.port_height is None:
                return x, h, omega, slope or 0.0, None  # without a slope drawn under a flat lid; `not_known` says what is open
            lean = self._lean(h)
            if slope is None:
                return x, h, omega, self._only_slope(omega, lean), None
            return x, h, omega, slope, ("port_height", self.port_height, self.target_height + h * sin(omega - slope))
        slope = slope or 0.0
        if self.port_height is None or self.panel_slope is None:  # drawn by camera_to_target; `not_known` says what is open
            cosine = (x**2 + h**2 + k**2 - d**2) / (2 * k * h) if k else 0.0
            omega = min(max(acos(min(max(cosine, -1.0), 1.0)), slope + _INSIDE), pi - _INSIDE)
            return x, h, omega, slope, ("camera_to_target", d, self._distance(x, h, omega))
        lean = self._lean(h)
        omega, before = slope + lean, slope + pi - lean  # the target beyond the port line, or before it
        if omega > pi - _CLOSE:
            raise ValueError(
                "port_height and panel_slope put the target in the panel itself; measure port_height and panel_slope again."
            )
        # A low window hardly tells the two apart, and before the port line there is little room under a sloping panel: the
        # target is there only where camera_to_target says so by more than its error.
        doubt = 3 * self.reading_error
        if before < pi - _CLOSE and abs(self._distance(x, h, before) - d) + doubt < abs(self._distance(x, h, omega) - d):
            omega = before
        return x, h, omega, slope, ("camera_to_target", d, self._distance(x, h, omega))

    def _distance(self, x, h, omega):
        """From the window to the target."""
        k = self.window_above_ports
        return sqrt(x**2 + h**2 + k**2 - 2 * k * h * cos(omega))

    def _lean(self, h):
        """The depth's own elevation, from the ports' height; straight below where the height is too much by a reading error."""
        rise = self.port_height - self.target_height
        if not 0 < rise <= h + 3 * self.reading_error + _CLOSE:
            low, high = self.target_height, self.target_height + h
            raise ValueError(
                f"port_height of {self.port_height:g} cm cannot be: the port line is {h:.1f} cm from the target, which is "
                f"{low:g} cm above the floor, so it lies between {low:g} and {high:.1f} cm."
            )
        return asin(min(rise / h, 1.0))

    def _only_slope(self, omega, lean):
        slopes = [slope for slope in (omega - lean, omega - pi + lean) if -_CLOSE <= slope <= pi / 2 + _CLOSE]
        if not slopes:
            raise ValueError(
                "port_height does not agree with the other readings: no panel between flat and upright fits; "
                "measure camera_to_target and port_height again."
            )
        if len(slopes) == 2 and slopes[0] - slopes[1] > _CLOSE:
            both = "{1:z.0f} and {0:z.0f} degrees".format(*map(degrees, slopes))
            raise ValueError(f"panel_slope is needed too: slopes of {both} both fit these readings.")
        return min(max(slopes[0], 0.0), pi / 2)

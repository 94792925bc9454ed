"""The symbols of the relations, each defined once: meaning, unit and range."""

from dataclasses import dataclass
from math import inf

import numpy as np
import sympy as sp

from ergokit._words import joined


@dataclass(frozen=True)
class Quantity:
    """A symbol with its meaning, unit and range. `low` and `high` are in the unit; `edges` are part of the range."""

    symbol: sp.Symbol
    name: str
    meaning: str
    unit: str
    low: float
    high: float
    edges: str = ""  # "[" where low is allowed, "]" where high is
    why: str = ""  # why the edges are not allowed, as a clause

    @property
    def scale(self) -> float:
        """Internal value (radians) of one unit."""
        return np.pi / 180 if self.unit.startswith("degrees") else 1.0

    @property
    def takes(self) -> str:
        """The range in words, such as "more than 0 cm"."""
        low = "" if self.low == -np.inf else f"{'at least' if '[' in self.edges else 'more than'} {self.low:g}"
        high = "" if self.high == np.inf else f"{'at most' if ']' in self.edges else 'less than'} {self.high:g}"
        return f"{joined(filter(None, (low, high))) or 'a number of'} {self.unit}".strip()

    def has(self, value: float | np.ndarray) -> bool | np.ndarray:
        """Where a value in the unit lies in the range; the allowed edges forgive rounding."""
        low = value >= self.low - 1e-9 if "[" in self.edges else value > self.low
        return low & (value <= self.high + 1e-9 if "]" in self.edges else value < self.high)

    def spread(self, value: float) -> np.ndarray:
        """Many values of the range around a given one."""
        if np.isinf(self.high - self.low):
            near = (abs(value) or 1.0) * np.geomspace(1e-4, 1e4, 4001)
            grid = np.concatenate([-near[::-1], [0.0], near])
        else:
            grid = np.linspace(self.low, self.high, 3601)
        return grid[self.has(grid)]


QUANTITIES: dict[sp.Symbol, Quantity] = {}


def _quantity(symbol, name, meaning, unit, low, high, edges="", why="", **assumptions):
    symbol = sp.Symbol(symbol, **(assumptions or ({"positive": True} if low >= 0 else {"real": True})))
    QUANTITIES[symbol] = Quantity(symbol, name, meaning, unit, low, high, edges, why)
    return symbol


def _length(symbol, name, meaning):
    return _quantity(symbol, name, meaning, "cm", 0, inf)


def _place(symbol, name, meaning):
    return _quantity(symbol, name, meaning, "cm", -inf, inf)


def _angle(symbol, name, meaning, low, high, edges="", why=""):
    return _quantity(symbol, name, meaning, "degrees", low, high, edges, why)


_LINE = "both instruments would lie in one line and there would be no triangle"

# the triangle of the ports and the target
s = _length("s", "spacing", "port spacing, left port to right port")
L = _length("L", "inserted_length", "length inside of either instrument, port to target")
L_L = _length("L_L", "left_length", "length inside of the left instrument")
L_R = _length("L_R", "right_length", "length inside of the right instrument")
h = _length("h", "depth", "distance from the target to the line of the ports")
x = _place("x", "offset", "place of the target along the port line from the midline, right positive")
theta = _angle("theta", "manipulation_angle", "angle between the instruments at the target, in space", 0, 180, why=_LINE)
rho = _length("rho", "circle_radius", "radius of the circle of targets with one manipulation angle")
V = _quantity("V", "volume", "space in which the manipulation angle is at least this wide", "cm³", 0, inf)
g_s = _quantity("g_s", "angle_per_spacing", "manipulation angle gained for each cm of spacing", "degrees per cm", 0, inf)
g_h = _quantity(
    "g_h", "angle_per_depth", "manipulation angle gained for each cm of depth", "degrees per cm", -inf, 0, negative=True
)

# against the working plane
phi = _angle("phi", "plan_angle", "the manipulation angle as projected on the working plane", 0, 180, "[]")
eps = _angle("epsilon", "elevation_angle", "each shaft's own angle above the working plane, alike on both sides", -90, 90)
eps_L = _angle("epsilon_L", "left_elevation", "the left shaft's own angle above the working plane", -90, 90)
eps_R = _angle("epsilon_R", "right_elevation", "the right shaft's own angle above the working plane", -90, 90)
tau = _angle(
    "tau", "instrument_plane_tilt", "angle between the plane that holds both instruments and the working plane", 0, 90, "[]"
)
theta_max = _angle("theta_max", "widest_angle", "widest manipulation angle these elevations allow", 0, 180, "]")
theta_min = _angle("theta_min", "narrowest_angle", "narrowest manipulation angle these elevations allow", 0, 180, "[")

# against the camera
d = _length("d", "working_distance", "distance from the camera to the target")
beta = _angle(
    "beta", "axis_to_instruments_plane", "angle between the optical axis and the plane of both instruments", 0, 90, "[]"
)
D = _angle("D", "display_angle", "angle between the two shafts in the camera's picture", 0, 180, "]")
a_L = _angle("alpha_L__I", "left_azimuth", "left instrument to optical axis, in the instruments' plane", -180, 180, "]")
a_R = _angle("alpha_R__I", "right_azimuth", "right instrument to optical axis, in the instruments' plane", -180, 180, "]")
w_L = _angle("alpha_L__W", "left_working_azimuth", "left instrument to optical axis, in the working plane", -180, 180, "]")
w_R = _angle("alpha_R__W", "right_working_azimuth", "right instrument to optical axis, in the working plane", -180, 180, "]")
a = _angle("alpha__I", "azimuth", "one instrument to the optical axis, in the instruments' plane", -180, 180, "]")
a_S = _angle("alpha__S", "space_azimuth", "one instrument to the optical axis, the plain angle in space", 0, 180, "[]")
k = _place("k", "camera_hole_up_panel", "how far the camera hole lies up the panel from the line of the ports")
w = _place("w", "foot_up_panel", "how far the target's foot lies up the panel from the line of the ports")
W = _length("W", "seen_width", "width of what the picture shows at the target")
fov = _angle("F", "field_of_view", "field of view across the picture", 0, 180)
chord = _length("q", "camera_port_distance", "distance from the camera port to each working port")

# the scope
inside = _length("l", "scope_inserted_length", "length inside of the scope, port to tip")
along = _place("a_T", "target_along_shaft", "how far the target lies along the scope's shaft from its port")
below = _place("c_T", "target_below_shaft", "how far the target lies below the line of the scope's shaft, square to it")
off = _length("b_T", "target_off_shaft", "how far the target lies beside the line of the scope's shaft")
port_to_target = _length("D_P", "port_to_target", "distance from the scope's port to the target")
lean = _angle("v", "direction_of_view", "optical axis of a scope off its shaft", 0, 90)
gamma = _angle("gamma", "cone_half_angle", "angle between the scope's shaft and the line from its port to the target", 0, 90)
turn = _angle("psi_P", "post_turn", "turn of a scope's light post from straight up, away from the target", 0, 180, "[]")
gain = _angle("delta", "angle_gained", "angle between the scope's axis and the line from its port to the target", 0, 90, "[")

# the hands
S = _length("S", "instrument_length", "length of the shaft")
H = _quantity("H", "handle_reach", "from the end of the shaft to the hand", "cm", 0, inf, "[", nonnegative=True)
hands = _length("A", "handle_separation", "distance between the two hands")
r = _quantity("r", "length_ratio", "shaft inside over shaft outside", "", 0, inf)
m = _quantity("m", "tip_travel_per_hand_travel", "how far the tip moves across the shaft for each cm of the hand", "", 0, inf)

# the box and the dome
entry = _angle("eta", "entry_angle", "between a shaft and the normal of the surface at its port", 0, 90, "[")
q = _length("n", "panel_distance", "distance of the target from the plane of the panel")
b = _length("b", "side_a", "side of the carton's section that becomes the panel with the camera hole")
c = _length("c", "side_b", "other side of the carton's section")
base = _length("B", "base", "length of the cut, on which the box stands")
ridge = _length("z", "ridge_height", "height of the ridge above the base")
f = _quantity(
    "f", "camera_hole_fraction", "how far up its panel the camera hole lies, from 0 at the base to 1 at the ridge", "", 0, 1
)
foot = _length("y", "foot_along_base", "where the phone's axis meets the floor, along the base from the foot of its panel")
dome = _length("rho_d", "dome_radius", "radius of the sphere the dome is cut from")
rim = _length("a", "base_radius", "radius of the dome's base")
rise = _length("m_d", "rise", "height of the dome above its base")

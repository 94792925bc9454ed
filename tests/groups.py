"""Groups of people as a session has them, with known differences between the pairs."""

import numpy as np

from ergokit.hands_on import orders
from ergokit.hands_on.session import intervals

TRUE = np.log([1.25, 1.0, 1.5])  # how long a pass takes with 30, 60 and 90 degrees, over 60: invented
LEARNING = np.log([1.2, 1.05, 1.0])  # the first run is slowest: invented


def joint_coverage(people, groups, learning, seed=1):
    """The share of groups in which all three intervals hold the true ratio.

    A person's times differ by a factor of their own, by chance (15 %) and, where there is learning, by the run's place.
    """
    draw = np.random.default_rng(seed)
    names = ("30°", "60°", "90°")
    place = np.array([[row.index(name) for name in names] for row in orders(people).values()])
    own = draw.normal(0, 0.4, (groups, people, 1))
    chance = draw.normal(0, 0.15, (groups, people, 3))
    _, _, low, high = intervals(TRUE + own + learning * LEARNING[place] + chance)
    ratio = np.exp([TRUE[0] - TRUE[1], TRUE[0] - TRUE[2], TRUE[1] - TRUE[2]])
    return ((low <= ratio) & (ratio <= high)).all(axis=-1).mean()

"""The words of every flat figure of 300 random placements, some very uneven: none cut off, no two on each other."""

import numpy as np
import pytest
from boxes import amiss, page_for_figures, uneven

from ergokit.figures import GALLERY, SIZES, angle_map_figure, lever_figure, rules_figure, section_figure, tape_figure
from ergokit.figures.export import canvas
from ergokit.guidance import conflicts
from ergokit.placement import Placement
from ergokit.surfaces import WedgeBox
from ergokit.tape_check import check_tape
from ergokit.triangulation import inserted_length, port_spacing

SPACES = ("zone in space", "monitor", "box")  # not flat, or drawn by rules of their own
MANY, AT_ONCE = 300, 30


def flat(placement, rng):
    """Name -> a flat figure of a placement, or of what was drawn beside it."""
    for name, draw in GALLERY.items():
        if name not in SPACES:
            yield name, draw(placement)
    left, right, target = placement.left_port, placement.right_port, placement.target
    inside = inserted_length(np.stack([left, right]), target)
    yield "angle map, without numbers", angle_map_figure(placement, numbers=False)
    yield "lever of three", lever_figure(*inside, rng.uniform(2, 34), hand_travel=rng.uniform(1, 6))
    yield "rules", rules_figure(conflicts({"manipulation angle": 60, "working distance": (7.5, rng.uniform(8, 30))}), "depth")
    read = {"port_to_port": port_spacing(left, right), "left_to_target": inside[0], "right_to_target": inside[1]}
    yield "tape", tape_figure(check_tape(**read))
    box = WedgeBox(50, 40, 30)
    up, over = rng.uniform(8, 22), rng.uniform(1, 12)
    lens, aim = box.point(0, up + over), -box.normal(0, up) if rng.random() < 0.5 else None
    in_box = Placement(box.point(-8, up), box.point(8, up), (0, rng.uniform(-15, 15), 0), lens, aim=aim)
    yield "section", section_figure(in_box, box, numbers=rng.random() < 0.7)


@pytest.mark.parametrize("seed", range(MANY // AT_ONCE))
def test_the_words_of_flat_figures_are_whole_and_apart(running, seed):
    rng, found = np.random.default_rng(seed), []
    page = page_for_figures(running)
    for i in range(AT_ONCE):
        placement, size = uneven(rng), ("own", *SIZES)[i % (1 + len(SIZES))]
        for name, figure in flat(placement, rng):
            drawn = figure if size == "own" or name not in GALLERY else canvas(figure, size)
            found += [(name, size, said, placement.as_code()) for said in amiss(page, drawn)]
    page.close()
    assert not found, "\n".join(map(str, found[:20]))

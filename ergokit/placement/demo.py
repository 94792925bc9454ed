"""The demo data as a reader meets them again: which placement and which carton nobody built, and the words that say so."""

from __future__ import annotations

import numpy as np

from ergokit import datasets
from ergokit.placement import Placement
from ergokit.surfaces import WedgeBox

INVENTED = "Invented data: nobody built or measured this."
#: The carton of the lessons.
CARTON = WedgeBox(ridge=44, side_a=36, side_b=27)


def demo_box(**changes: float | None) -> Placement:
    """The placement of the invented readings in `data/demo_box.csv`.

    `changes` are readings of `Placement.from_tape` that differ; None for one that was not taken.

    >>> demo_box(panel_slope=None).measures("elevation angle")
           quantity  side     value uncertainty unit                             note
    elevation angle  left not known              deg needs panel slope or port height
    elevation angle right not known              deg needs panel slope or port height
    """
    return Placement.from_tape(**_readings("demo_box") | changes)


def demo_built() -> Placement:
    """The placement of `data/demo_built.csv`: the carton of the lessons, cut by its design and read with a tape.

    >>> demo_built().tape.interval("manipulation angle").round(1)
    array([59.9, 64.8])
    """
    return Placement.from_tape(**_readings("demo_built"))


def _readings(name):
    return {row["reading"]: row["value"] for row in datasets.records(name)}


def remark(placement, box=None):
    """What a file made from demo data says of itself; empty for a placement and a box of the reader's own.

    Demo data are the demo box, a placement with the demo set of targets, and the carton of the lessons.

    >>> remark(demo_box()), remark(demo_box().replace(target=(0, 9, 0)))
    ('Invented data: nobody built or measured this.', '')
    """
    targets = [(row["x"], row["y"], row["z"]) for row in datasets.records("demo_targets")]
    if _same(placement.targets, targets) or _same(_points(placement), _points(demo_box())):
        return INVENTED
    return "This is the invented carton of the lessons: yours may differ." if box == CARTON else ""


def _points(placement):
    return [placement.left_port, placement.right_port, placement.camera, *placement.targets]


def _same(points, others):
    return len(points) == len(others) and np.allclose(points, others)

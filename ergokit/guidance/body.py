"""How far joints are apart: those of one man of an open survey, and the length from elbow to fist from memory."""

from __future__ import annotations

from functools import cache

from ergokit import datasets
from ergokit._check import lengths, one


@cache
def body() -> dict[str, float]:
    """Upper arm, elbow above the seat, eyes above the elbow, elbow to fist, and what sitting takes off, in cm.

    Of one man of a survey (`data/published_values.csv`, Gordon et al. 2012; military adults, not surgeons), from elbow to fist
    from memory.
    """
    names = ("army-2012", "none")
    rows = {row["quantity"]: row["low"] for row in datasets.records("published_values") if row["source"] in names}
    upper_arm = rows["acromion to radiale length"]
    seat = rows["stature"] - rows["sitting height"]  # what sitting takes off, seat on the floor
    elbow_above_seat = rows["acromial height"] - upper_arm - seat
    return {
        "upper arm": upper_arm,
        "elbow above seat": elbow_above_seat,
        "eyes above elbow": rows["eye height sitting"] - elbow_above_seat,
        "elbow to grip length": rows["elbow to grip length"],
        "seat": seat,
    }


def elbow_of_survey(seat: float | None = None) -> float:
    """How high the elbow of the man of the survey is above the floor, in cm, his upper arm hanging.

    seat
        the height of the seat that he sits on, in cm; standing unless given

    >>> round(elbow_of_survey(), 1), round(elbow_of_survey(seat=45), 1)
    (113.0, 73.2)
    """
    return body()["elbow above seat"] + (body()["seat"] if seat is None else one("seat", seat, lengths))

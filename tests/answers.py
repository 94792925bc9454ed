"""The answers of the lessons' predictions by a schoolbook's means, lesson by lesson, under the first words of each question.

A prediction whose answer is searched for (the best holes, the best ports) or read in a study is not here: the search has
tests of its own, and a study's number stands in `data/published_values.csv`.
"""

from math import asin, atan, atan2, cos, degrees, hypot, radians, sin, sqrt, tan


def _angle(left, right, spacing):
    """The angle opposite the third side of a triangle, in degrees."""
    return degrees(2 * asin(sqrt((spacing**2 - (left - right) ** 2) / (4 * left * right))))


def _at(depth, offset, spacing=18):
    """The angle at a target beside the midline: the difference of the directions to both ports."""
    return degrees(atan2(offset + spacing / 2, depth) - atan2(offset - spacing / 2, depth))


_HALF = radians(30)  # of 60 degrees

ANSWERS = {
    "00": {"The ports move apart from 16 to 24": 2 * degrees(atan(12 / (8 * sqrt(3))))},
    "01": {
        "Now all three lengths are 20 cm": 60,
        "All three lengths are 20 cm, and the camera": sqrt(20**2 - 10**2),
        "All three lengths are 20 cm again": sqrt(20**2 - 10**2 - 10**2),
        "The ports stay 16 cm apart": 8 / tan(radians(22.5)),
    },
    "02": {
        "How far is the middle of the picture": 45 / 2,  # halfway along the cut of 27, 36 and 45 cm
        "How far above the ports must": 20 / 45 * 36 - 12,
        # A picture of 4 : 3 with the diagonal of a film frame of 36 by 24 mm
        "An ultrawide lens of 13 mm": 15 * (0.8 * hypot(36, 24) / 2 / 13) / tan(radians(35)),
    },
    "04": {
        # Of a triangle with three equal sides: each side's part in the angle, one way and twice the other way at 18 cm
        "Each of the three readings": degrees(0.3 / 18 * sqrt((2 / sqrt(3)) ** 2 + 2 * (1 / sqrt(3)) ** 2)),
        "Somebody reads each of the three": degrees(0.15 / 18 * sqrt(2)),
    },
    "05": {
        "The target moves 5 cm to the right": _at(15.6, 5),
        "The target moves 5 cm deeper": _at(20.6, 0),
        "The target moves 5 cm nearer": _at(10.6, 0),
        "The target is 15.6 cm deep on the midline again": degrees(18 / (15.6**2 + 9**2)),
        "Two targets": sum(45 <= _at(depth, offset) <= 75 for depth, offset in ((15.6, 0), (7, 0), (15.6, 6), (23, 6))),
        # h² + x² = s²/4 + s h cot 60°, for s
        "A target is 15.6 cm deep and 5 cm": 2 * (hypot(hypot(15.6, 5), 15.6 / tan(2 * _HALF)) - 15.6 / tan(2 * _HALF)),
    },
    "06": {
        "The spacing and the left length stay": _angle(18, 14, 18),
        "The ports are 18 cm apart, the left length": (18**2 - 14**2) / (2 * 18),
        "The ports are 18 cm apart, the angle is 50": 2,
    },
    "07": {
        "The hand moves 5 cm to the side": 5 * 18 / (18 + 10),
        "The shaft is 36 cm long": (36 + 10) / 2,
        "The instruments meet at 60 degrees, with": 2 * (36 + 10) * sin(_HALF),
    },
    "08": {
        "The instruments meet at 60 degrees, and a camera square": 2 * degrees(atan(tan(_HALF) / sin(radians(15)))),
    },
    "09": {
        "Each shaft has an elevation of 60": 180 - 60 - 60,
        "Each shaft has an elevation of 40": 2 * degrees(asin(sin(_HALF) / cos(radians(40)))),
        "The plane of both instruments": degrees(asin(sin(radians(60)) * cos(_HALF))),
    },
    "10": {
        "Two of the rules": 20 * cos(_HALF) - 15,
        "The ports are 15 to 20 cm": _angle(15, 15, 7) + _angle(15, 15, 7),
        "At 60 degrees, with a lens at most 15 cm away": (15 / cos(_HALF)) / (36 - 15 / cos(_HALF)),
        "One study wants": 0.7 * 105,
    },
    "11": {"A shaft is 24 cm long inside": degrees(asin(3 / 24))},
    "12": {"Without a formula": 2 * 12.5 * tan(_HALF)},
    "13": {"On a slide 33.9 cm wide": 18 * 16 / 33.867},
    "15": {
        "With the pair for 60 degrees": 2 * (36 + 10) * sin(radians(45)),
        "Four people try three pairs": 4 - 2,  # three may begin with a pair each; the fourth shares it with one of them
    },
}  # fmt: skip

"""What a reader typed, as a number in the unit of the question or as letters of a choice."""

import re
from math import degrees
from typing import NamedTuple

from ergokit import _check
from ergokit._check import FARTHEST, brief

_LENGTHS = {"mm": 0.1, "cm": 1.0, "m": 100.0}
_ANGLES = {"°": 1.0, "deg": 1.0, "degs": 1.0, "degree": 1.0, "degrees": 1.0, "rad": degrees(1), "radians": degrees(1)}
_UNITS = {"cm": _LENGTHS, "deg": _ANGLES, "": {":1": 1.0, "to1": 1.0, "%": 0.01}}
_TAKES = {
    "cm": "a length such as 15.6, 15.6 cm or 156 mm",
    "deg": "an angle such as 60, 60° or 60 degrees",
    "": "a plain number such as 3 or 0.83",
}
_SHOWN = {"cm": " cm", "deg": " degrees", "": ""}
_NUMBER = re.compile(r"(?:[=~≈]|about|ca\.?)?\s*([-+−–]?[0-9.,]{1,20})\s*([^\W\d_].*|[°%:].*)?", re.IGNORECASE)
_LONGEST = 200  # characters of an answer that are read
_FILLERS = {"and", "the", "placement", "placements", "reading", "readings", "rule", "rules", "it", "is", "box"}


class Typed(NamedTuple):
    """A number in the unit of the question, and whether its unit was typed with it."""

    value: float
    unit: str


def read_number(text, unit):
    """A typed number in `unit` ("cm", "deg" or ""), with a point or a comma, with or without its unit: a `Typed`.

    >>> read_number("15,6", "cm"), read_number("156 mm", "cm").value, read_number("60°", "deg").value
    (Typed(value=15.6, unit=''), 15.6, 60.0)
    >>> read_number("sixty", "deg")
    Traceback (most recent call last):
    ValueError: 'sixty' cannot be read; type an angle such as 60, 60° or 60 degrees.
    """
    text = _filled(text, _TAKES[unit])
    match = _NUMBER.fullmatch(text)
    try:
        number = _check.read_number(match[1])
    except (TypeError, ValueError):
        raise _unread(text, _TAKES[unit]) from None
    given = (match[2] or "").strip().rstrip(".").replace(" ", "").lower()
    if not given:
        return Typed(number, "")
    if given in _UNITS[unit]:
        return Typed(round(number * _UNITS[unit][given], 12), given)
    for other, kind in (("cm", "a length"), ("deg", "an angle")):
        if given in _UNITS[other]:
            raise ValueError(f"{brief(text)} is {kind}, and the answer is {_TAKES[unit].partition(' such')[0]}.")
    raise _unread(text, _TAKES[unit])


def read_letters(text, options):
    """The letters of the chosen options, in order; `options` maps letters to names, and a name may be typed for its letter.

    >>> options = {"A": "spacing", "B": "left length"}
    >>> read_letters("b and A", options), read_letters("left length", options)
    ('AB', 'B')
    """
    takes = f"a letter or letters out of {', '.join(options)}"
    text = _filled(text, takes)
    for letter, name in options.items():
        if text.lower() == name.lower():
            return letter
    words = [word for word in re.findall(r"[^\W_]+", text.upper()) if word.lower() not in _FILLERS]
    letters = "".join(words)
    if not letters or not set(letters) <= set(options) or (len(words) == 1 and len(set(letters)) < len(letters)):
        raise _unread(text, takes)
    return "".join(letter for letter in options if letter in letters)


def shown(value, unit):
    """A number as an answer is given: one decimal, two for a ratio, with its unit.

    >>> shown(15.588, "cm"), shown(59.9, "deg"), shown(1.0, "")
    ('15.6 cm', '59.9 degrees', '1.00')
    """
    return f"{value:.{1 if unit else 2}f}{_SHOWN[unit]}"


def _unread(text, takes):
    return ValueError(f"{brief(text)} cannot be read; type {takes}.")


def _filled(text, takes):
    if not isinstance(text, str):
        number = isinstance(text, int | float) and not isinstance(text, bool) and abs(text) <= FARTHEST
        text = f"{text:.9g}" if number else brief(text)
    text = " ".join(text[:_LONGEST].split())
    if not text:
        raise ValueError(f"Nothing is typed yet; type {takes}.")
    return text

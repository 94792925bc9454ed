"""Refuse bad arguments in one clear sentence: the problem, what to give, and last, in brackets, the argument's name."""

import inspect
import math
import re
import reprlib
from collections.abc import Callable, Mapping, Sequence, Set
from difflib import get_close_matches
from functools import wraps
from typing import ParamSpec, TypeVar

import numpy as np

from ergokit._words import joined

P = ParamSpec("P")
R = TypeVar("R")
T = TypeVar("T")

#: Coordinates and lengths beyond this many centimetres (10 km) are slips of the keyboard, not boxes.
FARTHEST = 1e6
#: Lengths and directions below this (a tenth of an atom in cm) are slips too, and their squares would be lost.
SMALLEST = 1e-9
#: More targets than anybody places; a table of more is another kind of file.
MOST_TARGETS = 10_000
_LONGEST = 60  # characters of what came that a message repeats
_MOST_LETTERS = 500
_ROOM = 200  # characters for a list of names that would do
_NUMBER = re.compile(r"[-+−–]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][-+]?[0-9]{1,3})?")


def refused(name, takes, value=None, problem=None):
    """The ValueError for a bad argument; `problem` is a clause that says more than "... cannot be used".

    >>> raise refused("spacing", "a length in cm", "wide")
    Traceback (most recent call last):
    ValueError: 'wide' cannot be used; give a length in cm (spacing).
    """
    return ValueError(f"{problem or f'{brief(value)} cannot be used'}; give {takes}{f' ({name})' if name else ''}.")


def brief(value):
    """What came, in at most 60 characters, whatever it is.

    >>> brief("x" * 10**6)
    "'xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx..."
    """
    if isinstance(value, str | bytes):
        value = value[:_LONGEST]
    try:
        text = f"{value:g}" if isinstance(value, float) else " ".join(_SHOWN.repr(value).split())
    except Exception:  # a repr of the reader's own may raise anything, and an int of 5000 digits does
        text = f"something of type {type(value).__name__}"
    return text if len(text) <= _LONGEST else text[: _LONGEST - 3] + "..."


_SHOWN = reprlib.Repr()
_SHOWN.maxstring = _SHOWN.maxother = _SHOWN.maxlong = 4 * _LONGEST  # cut at the end, not in the middle


def listed(names, wanted=None):
    """Names that would do, for a message: all where there is room, else those nearest to what came.

    >>> listed(["left", "right"]), listed(map(str, range(1000)), "999")
    ('left, right', '999, 99, 998, ...')
    """
    names = list(map(str, names))
    if len(text := ", ".join(names)) <= _ROOM:
        return text
    near = get_close_matches(wanted[:_LONGEST], names) if isinstance(wanted, str) else []
    return ", ".join([*(near or names[:4]), "..."])


def numbers(name: str, value: object, takes: str) -> np.ndarray:
    """`value` as a float64 array of finite numbers no larger than `FARTHEST`, or ValueError.

    >>> numbers("spacing", "wide", "a length in cm")
    Traceback (most recent call last):
    ValueError: 'wide' cannot be used; give a length in cm (spacing).
    """
    array = (
        value
        if type(value) is np.ndarray and value.dtype == np.float64 and value.size  # what the kit's own rooms pass on
        else _as_floats(name, value, takes)
    )
    if not np.abs(array).max() <= FARTHEST:  # also true for NaN
        wrong = array[~(np.abs(array) <= FARTHEST)].flat[0]
        raise refused(name, takes, wrong, f"{wrong:g} is beyond {FARTHEST:g} cm" if np.isfinite(wrong) else None)
    return array


def _as_floats(name, value, takes):
    array = None
    if (type(value) is int and abs(value) <= FARTHEST) or type(value) is float:  # one number, as most come: no more to ask
        return np.array(value, np.float64)
    if not isinstance(value, str | bytes | Mapping):
        try:
            array = np.asarray(value)
        except Exception:  # rows of unequal length, or an object of the reader's own that raises anything
            array = None
    if array is None or array.dtype.kind not in "iuf" or array.size == 0 or _has_bool(value):
        raise refused(name, takes, value)
    with np.errstate(over="ignore"):  # of a longer float
        return array.astype(np.float64, copy=False)


def _has_bool(value):
    """Whether a list has True or False among its numbers, which numpy takes for 1 and 0."""
    return isinstance(value, bool) or (isinstance(value, list | tuple) and any(map(_has_bool, value)))


def points(name: str, value: object) -> np.ndarray:
    """`value` as an array of points in cm, last axis 3.

    >>> points("target", [1, 2])
    Traceback (most recent call last):
    ValueError: An array of shape (2,) cannot be used; give three coordinates x, y, z in cm (target).
    """
    takes = "three coordinates x, y, z in cm"
    array = numbers(name, value, takes)
    if array.ndim == 0 or array.shape[-1] != 3:
        raise refused(name, takes, value, shaped(array) if array.ndim else None)
    return array


def one_point(name: str, value: object, check: Callable[[str, object], np.ndarray] = points) -> np.ndarray:
    """One point as an array (3,), or one direction with `check=directions`."""
    array = check(name, value)
    if array.ndim != 1:
        raise refused(name, "only one x, y, z", problem=shaped(array))
    return array


def target_points(name: str, value: object) -> np.ndarray:
    """One target or many as an array (3,) or (n, 3)."""
    array = points(name, value)
    if array.ndim > 2:
        raise refused(name, "one point (3,) or n points (n, 3)", problem=shaped(array))
    if len(array) > MOST_TARGETS:
        raise refused(name, f"at most {MOST_TARGETS}", problem=f"{len(array)} points are too many")
    return array


def named_targets(name, value):
    """A mapping from a target's name to its point, as a dict."""
    instance(name, value, "a mapping from name to point", Mapping)
    target_points(name, list(value.values()))
    return {a_text(name, each): one_point(name, point) for each, point in value.items()}


def directions(name: str, value: object) -> np.ndarray:
    """`value` as an array of directions (any length but zero), last axis 3."""
    array = points(name, value)
    if (np.abs(array).max(axis=-1) < SMALLEST).any():
        raise refused(name, "a direction x, y, z that is not zero", problem="(0, 0, 0) cannot be used")
    return array


def lengths(name: str, value: object, zero: bool = False, takes: str | None = None) -> np.ndarray:
    """`value` as an array of lengths in cm, positive (or zero where `zero`)."""
    takes = takes or f"a length of {'at least' if zero else 'more than'} 0 cm"
    return between(name, value, 0 if zero else SMALLEST, np.inf, takes)


def between(name: str, value: object, low: float, high: float, takes: str) -> np.ndarray:
    """`value` as an array of numbers between two ends, these included.

    >>> between("slope", 95, 0, 90, "a slope of 0 to 90 degrees")
    Traceback (most recent call last):
    ValueError: 95 cannot be used; give a slope of 0 to 90 degrees (slope).
    """
    array = numbers(name, value, takes)
    wrong = (array < low) | (array > high)
    if wrong.any():
        raise refused(name, takes, array[wrong].flat[0])
    return array


def angles(name: str, value: object, flat: str = "") -> np.ndarray:
    """`value` as an array of angles of more than 0 and less than 180 degrees; `flat` says what is wrong at these two.

    >>> angles("angle", 180, "both instruments would lie in one line")
    Traceback (most recent call last):
    ValueError: At 180 degrees both instruments would lie in one line; give an angle of more than 0 and less than 180 \
degrees (angle).
    """
    takes = "an angle of more than 0 and less than 180 degrees"
    array = numbers(name, value, takes)
    wrong = (array < SMALLEST) | (array >= 180)
    if wrong.any():
        angle = array[wrong].flat[0]
        raise refused(name, takes, angle, f"At {angle:g} degrees {flat}" if flat and angle in (0, 180) else None)
    return array


def shaft_lengths(name: str, value: object, instruments: int = 2) -> np.ndarray:
    """The length of each instrument's shaft as an array, from one number for all or one for each: (left, right) of a pair.

    >>> shaft_lengths("instrument_length", 36), shaft_lengths("instrument_length", (36, 30))
    (array([36., 36.]), array([36., 30.]))
    """
    array = lengths(name, value)
    if array.shape not in ((), (instruments,)):
        raise refused(name, f"one number or one for each of {instruments} instruments", problem=shaped(array))
    return np.full(instruments, array)


def one(name: str, value: object, check: Callable[..., np.ndarray], *args: object, **kwargs: object) -> float:
    """A single Python float that passes `check`, for arguments that describe one real thing.

    >>> one("spacing", [18, 20], lengths)
    Traceback (most recent call last):
    ValueError: An array of shape (2,) cannot be used; give one number (spacing).
    """
    array = check(name, value, *args, **kwargs)
    if array.ndim:
        raise refused(name, "one number", problem=shaped(array))
    return float(array)


def whole(name, value, least=0, most=10**9 - 1, takes=None):
    """`value` as an int between two ends.

    >>> whole("seed", -1)
    Traceback (most recent call last):
    ValueError: -1 cannot be used; give a whole number of at least 0 (seed).
    """
    if isinstance(value, bool) or not isinstance(value, int | np.integer) or not least <= value <= most:
        large = isinstance(value, int | np.integer) and value > most
        takes = takes or f"a whole number {f'from {least} to {most}' if large or most < 10**4 else f'of at least {least}'}"
        raise refused(name, takes, value)
    return int(value)


def number_of_target(name, value, count):
    """`value` as the number of one of `count` targets."""
    return whole(name, value, 0, count - 1, f"the number of a target, 0 to {count - 1}")


def flag(name, value):
    """`value` as True or False."""
    if not isinstance(value, bool | np.bool_):
        raise refused(name, "True or False", value)
    return bool(value)


def one_word(name, value, options, takes=None, of="one of"):
    """`value` as one of the words of `options`; `of` stands before them where it is not, unless `takes` says all.

    >>> one_word("face", "c", ("a", "b"))
    Traceback (most recent call last):
    ValueError: 'c' cannot be used; give one of a, b (face).
    """
    if not isinstance(value, str) or value not in options:
        raise refused(name, takes or f"{of} {listed(options, value)}", value)  # the nearest take a moment to find
    return value


def some_words(name, value, options, takes=None):
    """`value`, one word or several, as a list of words of `options`; not empty."""
    if not isinstance(value, Sequence | Set | Mapping) or isinstance(value, bytes):
        raise refused(name, takes or f"some of {listed(options)}", value)
    value = [value] if isinstance(value, str) else list(value)
    if not value:
        raise refused(name, takes or f"some of {listed(options)}", problem="Nothing was given")
    return [one_word(name, each, options, takes, of="some of") for each in value]


def instance(name: str, value: object, takes: str, *kinds: type[T]) -> T:
    """`value`, an instance of one of `kinds`.

    >>> instance("placement", 5, "a Placement", str)
    Traceback (most recent call last):
    ValueError: 5 cannot be used; give a Placement (placement).
    """
    if not isinstance(value, kinds):
        raise refused(name, takes, value)
    return value


def a_front(name, value):
    """`value`, a table that `front` made."""
    import pandas as pd

    table = instance(name, value, "a table that search.front made", pd.DataFrame)
    if table.shape[1] < 3 or table.columns[2] != "lower bound (deg)" or not len(table):
        raise refused(name, "a table that search.front made", value)
    return table


def a(*kinds):
    """A check, `(name, value)`, that a value is of one of these classes.

    >>> a(complex, range)("spacing", "wide")
    Traceback (most recent call last):
    ValueError: 'wide' cannot be used; give a complex or a range (spacing).
    """
    takes = joined([f"a {kind.__name__}" for kind in kinds], "or")
    return lambda name, value: instance(name, value, takes, *kinds)


def a_text(name, value):
    """`value`, some words of at most 500 characters."""
    if not isinstance(value, str) or not len(value) <= _MOST_LETTERS or value != value.encode(errors="ignore").decode():
        raise refused(name, f"a text of at most {_MOST_LETTERS} letters", value)
    return value


def pixels(name, value):
    """A width or a height of a figure, in px."""
    one(name, value, between, 50, 10_000, "a size of 50 to 10000 px")
    return value


def a_function(name, value):
    """`value`, something to call."""
    if not callable(value):
        raise refused(name, "a function", value)
    return value


def some_angles(name, value):
    """Angles of more than 0 and less than 180 degrees, as a list of one to twenty."""
    takes = "one to twenty angles of more than 0 and less than 180 degrees"
    angles = np.atleast_1d(numbers(name, value, takes))
    if angles.ndim > 1 or angles.size > 20 or not ((angles >= SMALLEST) & (angles < 180)).all():
        raise refused(name, takes, value)
    return angles.tolist()


def an_outline(name, value):
    """A line of points, shape (n, 2) or (n, 3)."""
    takes = "points in cm, shape (n, 2) or (n, 3)"
    line = numbers(name, value, takes)
    if line.ndim != 2 or line.shape[1] not in (2, 3):
        raise refused(name, takes, problem=shaped(line))
    return line


def checked(**checks: Callable[[str, object], object]) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """A decorator: each of these arguments passes its check, `(name, value)`, before the function has it.

    None passes where it is the default. A `focus` is the number of one of the placement's targets.

    >>> @checked(numbers=flag)
    ... def figure(numbers=True): ...
    >>> figure("no")
    Traceback (most recent call last):
    ValueError: 'no' cannot be used; give True or False (numbers).
    """

    def decorated(function: Callable[P, R]) -> Callable[P, R]:
        signature = inspect.signature(function)

        @wraps(function)
        def checking(*args: P.args, **kwargs: P.kwargs) -> R:
            given = signature.bind(*args, **kwargs)
            for name, value in given.arguments.items():
                if name in checks and not (value is None and signature.parameters[name].default is None):
                    given.arguments[name] = checks[name](name, value)
            if "focus" in given.arguments:
                of = given.arguments
                count = len(of["placement"].targets if "placement" in of else np.atleast_2d(of["targets"]))
                number_of_target("focus", given.arguments["focus"], count)
            return function(*given.args, **given.kwargs)

        return checking

    return decorated


def broadcasting(function: Callable[P, R]) -> Callable[P, R]:
    """A decorator: arrays that do not go together are refused by their names and shapes.

    >>> @broadcasting
    ... def sum(u, v):
    ...     return np.add(u, v)
    >>> sum([1, 2], [1, 2, 3])
    Traceback (most recent call last):
    ValueError: The shapes (2,) and (3,) do not go together; give arrays that broadcast (u and v).
    """

    @wraps(function)
    def called(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            return function(*args, **kwargs)
        except ValueError as error:
            if "broadcast" not in str(error):
                raise
        given = inspect.signature(function).bind(*args, **kwargs).arguments
        given |= kwargs
        shapes = {name: np.shape(value) for name, value in given.items() if isinstance(value, list | tuple | np.ndarray)}
        raise refused(
            joined(shapes), "arrays that broadcast", problem=f"The shapes {joined(shapes.values())} do not go together"
        )

    return called


def takes_also(other: Callable[..., object]) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """A decorator: the `**` of a function stands for the arguments of `other` that are not its own; its signature shows them.

    >>> @takes_also(brief)
    ... def shown(width, **arguments): ...
    >>> str(inspect.signature(shown))
    '(width, *, value)'
    """

    def decorated(function):
        signature = inspect.signature(function)
        own = {name: each for name, each in signature.parameters.items() if each.kind is not each.VAR_KEYWORD}
        more = [each for each in inspect.signature(other).parameters.values() if each.name not in own]
        more = [each.replace(kind=each.KEYWORD_ONLY) for each in more]
        function.__signature__ = signature.replace(parameters=[*own.values(), *more])
        return function

    return decorated


def shaped(array):
    """The problem with an array whose shape is wrong."""
    return f"An array of shape {array.shape} cannot be used"


def read_number(text):
    """The number that was typed or loaded, with a point or a comma; ValueError for anything else.

    >>> read_number("9,5"), read_number(" −1.5e1 ")
    (9.5, -15.0)
    >>> read_number("1_8")
    Traceback (most recent call last):
    ValueError: '1_8' is not a number; type a number such as 17.5.
    """
    text = text.strip()
    number = float(text.replace(",", ".").replace("−", "-").replace("–", "-")) if _NUMBER.fullmatch(text) else math.nan
    if not math.isfinite(number):  # also where its digits are too many
        raise ValueError(f"{brief(text)} is not a number; type a number such as 17.5.")
    return number


def read_point(text):
    """Three typed coordinates, where they can be read one way only; ValueError otherwise.

    Semicolons, commas or blanks separate them; where something else does, a comma may also be a decimal comma.

    >>> read_point("0, 9, 0"), read_point("0 9,5 0"), read_point("0,5; 9; 0")
    ((0.0, 9.0, 0.0), (0.0, 9.5, 0.0), (0.5, 9.0, 0.0))
    >>> read_point("0 9,5")
    Traceback (most recent call last):
    ValueError: '0 9,5' is not a point; type three numbers such as  0, 9.5, 0.
    """
    found = set()
    for between in (r";", r",", r",\s", r"\s+"):
        parts = re.split(between, text.strip().rstrip(",;").strip())
        if len(parts) == 3 and all(_NUMBER.fullmatch(part.strip()) for part in parts):
            found.add(tuple(map(read_number, parts)))
    if len(found) != 1:
        raise ValueError(f"{brief(text.strip())} is not a point; type three numbers such as  0, 9.5, 0.")
    return found.pop()

"""Chances that are the same for ever: only `random.Random.random`, whose stream Python promises to keep, is used."""

from random import Random


class Reading(float):
    """A number as one reads it, and the `step` to which it was rounded then."""

    __slots__ = ("step",)

    def __new__(cls, value, step):
        reading = float.__new__(cls, value)
        reading.step = step
        return reading


class Draw:
    """Choices that follow from a key of words and numbers.

    >>> Draw("depth", 1, 7).grid(12, 18, 0.5) == Draw("depth", 1, 7).grid(12, 18, 0.5)
    True
    """

    def __init__(self, *key):
        self._random = Random(" ".join(map(str, key))).random

    def among(self, options):
        """One of the options."""
        return options[int(self._random() * len(options))]

    def grid(self, low, high, step, read=None):
        """A `Reading` from low to high, both included, in steps; read to the same step unless `read` is given."""
        value = round(low + step * int(self._random() * (round((high - low) / step) + 1)), 3)
        return Reading(value, step if read is None else read)

    def aside(self, low, high, step):
        """The same, to the left (negative) or to the right."""
        return Reading(self.grid(low, high, step) * self.among((-1, 1)), step)

    def shuffled(self, items):
        """The items in another order."""
        keyed = sorted((self._random(), i) for i in range(len(items)))
        return [items[i] for _, i in keyed]

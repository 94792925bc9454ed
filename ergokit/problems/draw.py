"""Chances that are the same for ever: only `random.Random.random`, whose stream Python promises to keep, is used."""

from random import Random


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

    def grid(self, low, high, step):
        """A number from low to high, both included, in steps."""
        return round(low + step * int(self._random() * (round((high - low) / step) + 1)), 3)

    def shuffled(self, items):
        """The items in another order."""
        keyed = sorted((self._random(), i) for i in range(len(items)))
        return [items[i] for _, i in keyed]

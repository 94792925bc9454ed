"""Lists in words, for whatever the kit says."""


def joined(words, last="and"):
    """Words as one says them, or "" of none.

    >>> joined(["left"]), joined(["left", "right"]), joined(["a", "b", "c"], "or")
    ('left', 'left and right', 'a, b or c')
    """
    *most, end = map(str, words or [""])
    return f"{', '.join(most)} {last} {end}" if most else end

"""Lists in words, for whatever the kit says."""


def joined(words, last="and"):
    """Words as one says them.

    >>> joined(["left"]), joined("AB"), joined(["a", "b", "c"], "or"), joined([])
    ('left', 'A and B', 'a, b or c', '')
    """
    words = list(map(str, words))
    return f"{', '.join(words[:-1])} {last} {words[-1]}" if len(words) > 1 else "".join(words)

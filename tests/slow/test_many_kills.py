"""500 kills in the middle of writing to the reader's folder."""

import random

from test_desk import kill_while_writing


def test_five_hundred_kills_lose_nothing(desk):
    kill_while_writing(500, random.Random(500))

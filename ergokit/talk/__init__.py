"""What a person takes to a room: slides to talk from, and a page for those who listen."""

from ergokit.talk.deck import write_deck
from ergokit.talk.handout import write_handout

__all__ = ["write_deck", "write_handout"]

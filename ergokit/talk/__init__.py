"""What a person takes to a room: slides to talk from, a teacher's page, cards, and a page for those who listen."""

from ergokit.talk.deck import write_deck
from ergokit.talk.handout import write_handout
from ergokit.talk.paper import write_cards, write_teacher_page

__all__ = ["write_cards", "write_deck", "write_handout", "write_teacher_page"]

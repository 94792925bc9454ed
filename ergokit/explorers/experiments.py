"""The published experiments, chosen by what was varied in them."""

from __future__ import annotations

from dataclasses import dataclass

import ipywidgets as w

from ergokit._check import checked, one_word
from ergokit.explorers.controls import choice, labelled
from ergokit.explorers.explorer import Explorer
from ergokit.figures.experiments import EXPERIMENTS, experiments_figure
from ergokit.figures.picture import Picture


def _against(name, value):
    return one_word(name, value, EXPERIMENTS)


@checked(against=_against)
def experiments_explorer(against: str = "manipulation angle") -> ExperimentsExplorer:
    """Choose what was varied, and see what the experiments measured: the figures of `experiments_figure`.

    >>> explorer = experiments_explorer("view angle")
    >>> explorer.against.value = "camera's side"
    >>> explorer.picture.part("naive")["y"]
    [158.0, 153.0]
    """
    return ExperimentsExplorer(Varied(against))


@dataclass(frozen=True)
class Varied:
    """The quantity that was varied in the experiments shown."""

    against: str
    numbers: bool = True
    notice: str = ""


class ExperimentsExplorer(Explorer):
    """See `experiments_explorer`. `against` is its list, `picture` what it shows."""

    def build(self):
        self.against = choice(EXPERIMENTS, "what was varied in the experiments shown")
        self.bind(self.against, "against")
        self.place = w.VBox()
        return [labelled("what was varied", self.against), self.place]

    @property
    def picture(self) -> Picture:
        return self.place.children[0]

    def show(self, state):
        super().show(state)
        figure = experiments_figure(state.against)
        for before in self.place.children:
            before.close()
        self.place.children = [Picture.of(figure, about=f"What was measured while the {state.against} was varied.")]

    def follows(self) -> None:
        """Raise AssertionError unless the list and the picture show the state."""
        super().follows()
        shown = self.picture.part("layout")["annotations"]
        if shown != Picture.of(experiments_figure(self.state.against), about="").part("layout")["annotations"]:
            raise AssertionError(f"{self.state.against} is chosen; the picture shows another experiment.")

    def exercise(self) -> str:
        """Choose everything that was varied, and go back."""
        for against in EXPERIMENTS:
            self.against.value = against
            self.follows()
        self.reset()
        return f"{len(EXPERIMENTS)} experiments chosen: the pictures followed."

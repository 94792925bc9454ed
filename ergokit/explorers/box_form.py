"""What the forms of a reader's own box share: the list of boxes, the name, the readings of a tape, numbers typed by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import ipywidgets as w

from ergokit._check import brief, read_number
from ergokit._words import joined
from ergokit.desk import Box
from ergokit.explorers.controls import Layout, choice, labelled
from ergokit.explorers.explorer import Explorer
from ergokit.placement import Placement

NEW = "a new box"
#: What a name is for, said in every form that asks for one.
NAMING = "A name such as <i>shoe box</i>: never an operation, never a patient."

#: Reading -> its label, how to read it, and whether it can be left out.
TAPE = {
    "port_to_port": ("port to port (cm)", "between the centres of the two holes", False),
    "left_to_target": (
        "left to target (cm)",
        "put the tip on the target, pinch the shaft at the hole, withdraw, measure",
        False,
    ),
    "right_to_target": ("right to target (cm)", "the same from the right hole", False),
    "camera_to_target": ("camera to target (cm)", "from the lens to the target", False),
    "camera_above_ports": ("camera above ports (cm)", "up the panel, from the middle between the holes to the lens", False),
    "panel_slope": ("panel slope (degrees)", "of the panel above the table: a phone's level reads it; 0 is a flat lid", True),
    "port_height": ("port height (cm)", "above the floor; needed if the lens is less than 4 cm above the ports", True),
    "target_height": ("target height (cm)", "above the floor; 0 for a target on the floor", True),
}


@dataclass(frozen=True, kw_only=True)
class BoxForm:
    """The boxes saved so far, the one that was opened, and the name under which this form is saved.

    A subclass gives `opened(_, name)`: the form of a saved box, or of a new one.
    """

    boxes: Mapping[str, Box]
    opens: str = NEW
    name: str = ""
    notice: str = ""
    numbers: bool = True

    def named(self, _, name):
        return replace(self, name=name.strip(), notice="")

    def opened(self, _, name):
        raise NotImplementedError

    def refuse_another_s_name(self):
        """Raise ValueError where the name belongs to a box that was not opened, which saving would change."""
        if self.name in self.boxes and self.name != self.opens:
            raise ValueError(f"You have a box called {self.name!r} already; choose it in the list, or type another name.")

    def with_box(self, box, **changes):
        """The form once its box was saved."""
        return replace(self, boxes={**self.boxes, box.name: box}, opens=box.name, name=box.name, **changes)


class BoxFormExplorer(Explorer):
    """An explorer of a `BoxForm`."""

    def names(self):
        """The list of boxes and the name, bound."""
        layout = Layout(width="170px")
        self.opens = choice([NEW], "open a box that you saved", "170px")
        self.name = w.Text(placeholder="a name", tooltip="the box's name", layout=layout, continuous_update=False)
        self.bind(self.name, "name", event=BoxForm.named)
        self.display(self.opens, lambda state: (NEW, *state.boxes), trait="options")
        self.bind(self.opens, "opens", event=type(self.start).opened)
        return [labelled("open", self.opens, "28px", "60px"), labelled("name", self.name, "28px", "60px")]

    def reset(self):
        """Back to the form as it was opened; what was saved meanwhile stays in the list."""
        self.start = replace(self.start, boxes=self.state.boxes)
        super().reset()


def typed_number(label, text):
    """A number typed by hand, with a point or a comma; None where nothing was typed."""
    if not text.strip():
        return None
    try:
        return read_number(text)
    except ValueError:
        raise ValueError(
            f"{brief(text.strip())} is not a number; type a number such as 17.5 ({label.partition(' (')[0]})."
        ) from None


def tape_box(texts, flat_phone, **instruments):
    """The placement of readings typed by hand; ValueError says which are still to measure, or what no box can have."""
    given = {name: typed_number(label, texts.get(name, "")) for name, (label, _, _) in TAPE.items()}
    missing = [label for name, (label, _, optional) in TAPE.items() if given[name] is None and not optional]
    if missing:
        raise ValueError(f"Still to measure: {joined(missing)}.")
    return Placement.from_tape(
        **{name: value for name, value in given.items() if value is not None}, flat_phone=flat_phone, **instruments
    )

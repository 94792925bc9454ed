"""The reader's boxes, each a file with its name: the design, and the readings of what was built."""

from __future__ import annotations

from dataclasses import asdict, dataclass, fields
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from ergokit._check import checked, instance, refused
from ergokit._files import file_name
from ergokit.desk import place

if TYPE_CHECKING:
    from ergokit.design import BoxDesign
    from ergokit.placement import Placement

_LONGEST_NAME = 40  # characters, which a heading has room for
_KNOWN = ("format", "version", "units", "saved", "design", "readings")
_UNITS = {"length": "cm", "angle": "degrees"}


@dataclass(frozen=True)
class Box:
    """A box of the reader: its `name`, its `design` and the placement as `built` and read with a tape.

    The design or the built placement may be missing, and is then None. `placement` is the one to show: as built, or else as
    designed.
    """

    name: str
    design: BoxDesign | None
    built: Placement | None
    saved: str

    @property
    def placement(self) -> Placement:
        """The placement as built, or as designed where nothing was read yet."""
        if self.built is not None:
            return self.built
        assert self.design is not None  # `_of` refuses a file with neither
        return self.design.placement


def box_name(name, value):
    """A box's name as it is kept; ValueError for one that cannot be a file's.

    >>> box_name("name", " shoe box ")
    'shoe box'
    """
    text = value.strip() if isinstance(value, str) else value
    if not isinstance(text, str) or not 0 < len(text) <= _LONGEST_NAME or text.startswith("."):
        raise refused(name, f"a name of 1 to {_LONGEST_NAME} letters that does not begin with a point", value)
    return file_name(name, text)


def boxes() -> list[Box]:
    """The reader's boxes, the latest first; files that cannot be read are left out (`contents` says why).

    >>> from ergokit.desk import folder_at
    >>> with folder_at("nowhere"):
    ...     boxes()
    []
    """
    found = (box for _, box, _ in place.read("boxes", read_box) if box)
    return sorted(found, key=lambda box: box.saved, reverse=True)


def read_box(path: Path) -> Box:
    """The box in a file; ValueError says in one sentence what is wrong with any other."""
    record = place.take(path, "box")
    try:
        return _of(path.stem, record)
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        why = str(error) if isinstance(error, ValueError) else "something is missing, or is not of the expected kind"
        raise ValueError(f"{path.name} in your folder holds a box that cannot be shown: {why.rstrip('.')}.") from None


@checked(name=box_name)
def keep_box(name: str, design: BoxDesign | None = None, built: Placement | None = None) -> Box:
    """Keep a design, or a placement built and read with a tape, under a box's name; the rest of the box stays.

    `built` is made by `Placement.from_tape`. A box's name is never an operation or a patient. ValueError for a bad argument,
    and where the folder cannot be written.

    >>> import tempfile
    >>> from ergokit.desk import folder_at
    >>> from ergokit.design import design_box
    >>> from ergokit.surfaces import WedgeBox
    >>> with tempfile.TemporaryDirectory() as there, folder_at(there):
    ...     keep_box("shoe box", design_box(WedgeBox(44, 36, 27))).design.box
    WedgeBox(ridge=44.0, side_a=36.0, side_b=27.0)
    """
    from ergokit.design import BoxDesign
    from ergokit.placement import Placement

    instance("design", design, "a BoxDesign, or None", BoxDesign, type(None))
    instance("built", built, "a placement made by Placement.from_tape, or None", Placement, type(None))
    if design is None and built is None:
        raise ValueError("A box needs a design or readings to be kept (design, built).")
    tape = None if built is None else built.tape
    if built is not None and (tape is None or not tape.given()):
        raise refused("built", "a placement made by Placement.from_tape, or None", built)
    path = place.folder() / "boxes" / f"{name}.json"
    if path.exists():
        read_box(path)  # raises for a file that holds something else, which stays as it is
    before = place.take(path, "box") if path.exists() else {}
    record = {"units": _UNITS, "saved": datetime.now(UTC).isoformat()}
    record |= {each: before[each] for each in ("design", "readings") if each in before}
    if design is not None:
        record["design"] = _design_record(design, before.get("design"))
    if built is not None and tape is not None:
        given = tape.given() | {"instrument_length": built.instrument_length, "handle_reach": built.handle_reach}
        record["readings"] = place.kept_with(given, before.get("readings"), _reading_names())
    return read_box(place.put("boxes", name, "box", place.kept_with(record, before, _KNOWN)))


def delete_box(name: str) -> None:
    """Delete a box; ValueError if no box has that name, or if the box cannot be deleted."""
    path = place.folder() / "boxes" / f"{box_name('name', name)}.json"
    try:
        path.unlink()
    except OSError as error:
        raise ValueError(f"The box {name!r} cannot be deleted: {error.strerror} (name).") from None


def _of(name, record):
    from ergokit.placement import Placement

    design, readings = record.get("design"), record.get("readings")
    if design is None and readings is None:
        raise ValueError("it has neither a design nor readings")
    built = None
    if readings is not None:
        built = Placement.from_tape(**{each: readings[each] for each in _reading_names() if each in readings})
    return Box(name, None if design is None else _design_of(design), built, str(record.get("saved", "")))


def _reading_names():
    from ergokit.placement import TAPE_ARGUMENTS

    return (*TAPE_ARGUMENTS, "instrument_length", "handle_reach")


# A design is kept as the arguments of `design_box`, its carton and its phone as theirs.


def _design_record(design, before):
    from ergokit.surfaces import WedgeBox

    before = before if isinstance(before, dict) else {}
    carton = {"kind": "wedge" if isinstance(design.box, WedgeBox) else "flat"} | asdict(design.box)
    phone = asdict(design.phone)
    record = design.arguments() | {
        "carton": place.kept_with(carton, before.get("carton"), tuple(carton)),
        "phone": place.kept_with(phone, before.get("phone"), tuple(phone)),
    }
    return place.kept_with(record, before, tuple(record))


def _design_of(record):
    from ergokit.design import Phone, design_box
    from ergokit.design.wish import Wish
    from ergokit.surfaces import FlatBox, WedgeBox

    carton = record["carton"]
    kind = {"wedge": WedgeBox, "flat": FlatBox}.get(carton["kind"])
    if kind is None:
        raise ValueError(f"its carton is of a kind that this kit does not know, {str(carton['kind'])[:20]!r}")
    more = {each.name: record[each.name] for each in fields(Wish) if each.name in record and each.name != "phone"}
    return design_box(
        kind(**_of_fields(kind, carton)),
        phone=Phone(**_of_fields(Phone, record.get("phone", {}))),
        ports=record["ports"],
        camera_hole=record["camera_hole"],
        **more,
    )


def _of_fields(kind, record):
    return {each.name: record[each.name] for each in fields(kind) if each.name in record}

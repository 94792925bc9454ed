"""Every public function, method and property says what it takes and what comes back; mypy holds it to that."""

import inspect
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules

import pytest

import ergokit

ROOMS = ["ergokit", *(f"ergokit.{each.name}" for each in iter_modules(ergokit.__path__) if each.name[0] != "_")]


def public(room):
    """Name -> function, for all that a room offers, the public methods and properties of its classes included."""
    for name in room.__all__:
        thing = getattr(room, name)
        if inspect.isfunction(thing):
            yield name, thing
        elif inspect.isclass(thing):
            for attribute, member in vars(thing).items():
                function = getattr(member, "fget", None) or getattr(member, "func", None) or getattr(member, "__func__", member)
                if inspect.isfunction(function) and attribute[0] != "_":
                    yield f"{name}.{attribute}", function


def unsaid(function):
    """The parameters without a type, and `return` where what comes back has none."""
    signature = inspect.signature(function)
    said = {each.name: each.annotation for each in signature.parameters.values()} | {"return": signature.return_annotation}
    return [name for name, hint in said.items() if hint is signature.empty and name not in ("self", "cls")]


@pytest.mark.parametrize("name", ROOMS)
def test_every_public_function_of_a_room_has_type_hints(name):
    room = import_module(name)
    missing = {name: unsaid(function) for name, function in public(room) if unsaid(function)}
    assert not missing and list(public(room))


def test_a_missing_hint_is_seen():
    def half(port, target: float = 0): ...

    assert unsaid(half) == ["port", "return"]


def test_a_type_checker_of_a_reader_finds_the_hints():
    """PEP 561: without this file it takes all of the kit for untyped."""
    assert Path(ergokit.__file__).with_name("py.typed").is_file()

"""The rooms that mypy checks: every public function, method and property says what it takes and what comes back."""

import inspect
import tomllib
from importlib import import_module
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
ROOMS = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["mypy"]["files"]


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
    parameters = list(inspect.signature(function).parameters)
    return [name for name in [*parameters, "return"] if name not in ("self", "cls", *function.__annotations__)]


@pytest.mark.parametrize("path", ROOMS)
def test_every_public_function_of_a_room_has_type_hints(path):
    room = import_module(path.removesuffix("/__init__.py").removesuffix(".py").replace("/", "."))
    missing = {name: unsaid(function) for name, function in public(room) if unsaid(function)}
    assert not missing and list(public(room))


def test_a_missing_hint_is_seen():
    def half(port, target: float = 0): ...

    assert unsaid(half) == ["port", "return"]


def test_a_type_checker_of_a_reader_finds_the_hints():
    """PEP 561: without this file it takes all of the kit for untyped."""
    assert (ROOT / "ergokit" / "py.typed").is_file()

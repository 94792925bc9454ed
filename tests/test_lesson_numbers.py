"""Every number a lesson tells the reader stands in a cell's output, in a row of data, or is an input in the lesson's own code.

So no lesson can state a value that nothing computed and nobody published. A number written with decimals may round an output.
"""

import ast
import html
import json
import re
from functools import cache

import numpy as np
import pytest
from browser import NOTEBOOKS

from ergokit import datasets
from ergokit.guidance import verdict
from ergokit.guidance.verdicts import citation_of

LESSONS = sorted(NOTEBOOKS.glob("*.ipynb"))

#: What is no statement about the world, and how it looks. Keep this list short.
EXCEPTIONS = {
    "the numeral of a list": r"^ *\d+\. ",
    "a lesson's number": r"\b[Ll]essons? \d\d\b|\b0\d\b|^# \d\d |(?:\*\*|^\| |\[)\d\d (?=[A-Z])|`\d\d_\w+`",
    "how long a lesson takes": r"\d+ minutes|(?<=\| )\d+(?= \|)",
    "a coefficient in a formula": r"\d+ ?(?=×|E\b)|(?<=× )\d+|(?<=/ )\d+",
    "the name of a film format": r"\b35 mm (?=equivalent)",
    "a place in a book": r"\bproposition \d+",
}
_NUMBER = r"(?<![\w.])[-−]?\d+(?:\.\d+)?(?![\w]|\.\d)"
_UNIT = rf"(?:\s*(?:,|/|–|-|and|or|to|by|×)?\s*(?:{_NUMBER}))*\s*(cm|mm|degrees?|°|s(?![\w/])|seconds?|percent|%)"
_UNITS = {"degree": "deg", "degrees": "deg", "°": "deg", "second": "s", "seconds": "s", "%": "percent"}


def untold(lesson):
    """The numbers in a lesson's text, with their units, that stand nowhere else."""
    shown, inputs, words = outputs_of(lesson), inputs_of(lesson), json.dumps(lesson)
    published = published_numbers()
    missing = []
    for text in texts_of(lesson):
        for said, value, decimals, unit in numbers_in(text):
            ways = [(value, decimals, unit)]
            if unit == "mm":
                ways.append((round(value / 10, 6), decimals + 1, "cm"))
            if not any(_stands(*way, shown, inputs, published, words) for way in ways):
                missing.append(said)
    return missing


def _stands(value, decimals, unit, shown, inputs, published, words):
    in_data = any(unit in (None, row_unit) and quantity in words for row_unit, quantity in published.get(value, ()))
    return in_data or value in inputs | shown or (decimals > 0 and value in {round(output, decimals) for output in shown})


def texts_of(lesson):
    """All prose: Markdown, and what predictions and questions say."""
    for cell in lesson["cells"]:
        source = "".join(cell["source"])
        if cell["cell_type"] == "markdown":
            yield source
        else:
            for call in ast.walk(ast.parse(source)):
                if isinstance(call, ast.Call) and getattr(call.func, "id", "") in ("predict", "question"):
                    strings = [*call.args, *(keyword.value for keyword in call.keywords)]
                    yield from (s.value for s in strings if isinstance(s, ast.Constant) and isinstance(s.value, str))


def numbers_in(text):
    """Each number as it is said, its value, its decimals, and the unit after it or after its list."""
    for pattern in EXCEPTIONS.values():
        text = re.sub(pattern, " ", text, flags=re.MULTILINE)
    for match in re.finditer(_NUMBER, text):
        number = match[0].replace("−", "-")
        unit = re.match(_UNIT, text[match.end() :])
        unit = unit and unit[1]
        said = f"{match[0]} {unit}" if unit else match[0]
        yield said, float(number), len(number.partition(".")[2]), _UNITS.get(unit, unit)


def outputs_of(lesson):
    """Every number that a cell printed or showed as text."""
    found = set()
    for cell in lesson["cells"]:
        for output in cell.get("outputs", ()):
            shown = output.get("data", {})
            for kind in ("text/plain", "text/markdown", "text/html"):
                found |= _floats("".join(shown.get(kind, "")))
            found |= _floats("".join(output.get("text", "")))
    return found


def _floats(text):
    text = html.unescape(re.sub(r"<style.*?</style>|<[^>]*>", " ", text, flags=re.DOTALL))
    return {float(number.replace("−", "-")) for number in re.findall(r"[-−]?\d+(?:\.\d+)?", text)}


def inputs_of(lesson):
    """Every number that stands as such in a code cell."""
    sources = ("".join(cell["source"]) for cell in lesson["cells"] if cell["cell_type"] == "code")
    nodes = (node for source in sources for node in ast.walk(ast.parse(source)))
    return {float(node.value) for node in nodes if isinstance(node, ast.Constant) and type(node.value) in (int, float)}


@cache
def published_numbers():
    """value -> the (unit, quantity) of the rows that hold it."""
    found = {}
    for row in datasets.records("published_values"):
        for value in (row["low"], row["high"], row["at"], *row["levels"]):
            found.setdefault(value, []).append((row["unit"], row["quantity"]))
    return found


def without_row(text):
    """The verdicts in a cell's output below which no row of data is cited."""
    statements = [row["statement"] for row in datasets.records("published_values")]
    head = r"^(?=\*\*[^*:]+ -?[\d.]+(?: \w+| %)?: (?!no guidance)[^*]+\*\*)"
    verdicts = re.split(head, text, flags=re.MULTILINE)[1:]
    return [words for words in verdicts if not any(f"| {statement} |" in words for statement in statements)]


def read(path):
    return json.loads(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)
def test_every_number_told_is_computed_or_published(path):
    assert untold(read(path)) == []


@pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)
def test_every_verdict_shown_has_a_row(path):
    for cell in read(path)["cells"]:
        for output in cell.get("outputs", ()):
            assert without_row("".join(output.get("data", {}).get("text/markdown", ""))) == []


QUANTITIES = sorted({row["quantity"] for row in datasets.records("published_values")})


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_a_verdict_of_any_kind_rests_on_rows(quantity):
    rows = datasets.records("published_values")
    for value in np.linspace(-10, 400, 83):
        found = verdict(quantity, value)
        if found.status != "no guidance":
            assert found.records and all(any(row is known for known in rows) for row in found.records)
            assert without_row(found._repr_markdown_()) == []
            assert all(citation_of(row) in found._repr_markdown_() for row in found.records)


# What the checks above would catch and what they let pass


def lesson_with(text, code="", output=""):
    code_cell = {"cell_type": "code", "source": code, "outputs": [{"output_type": "stream", "text": output}]}
    return {"cells": [{"cell_type": "markdown", "source": text}, code_cell]}


@pytest.mark.parametrize(
    ("text", "code", "output", "missing"),
    [
        ("The depth is 17.3 cm.", "", "17.32", []),
        ("The depth is 17.8 cm.", "", "17.32", ["17.8 cm"]),
        ("The depth is 17 cm.", "", "17.32", ["17 cm"]),  # a whole number is not taken for a rounded one
        ("Sides of 13.7 and 18.4 cm.", "solve(18.4)", "", ["13.7 cm"]),
        ("The angle is -3.2 degrees.", "", "3.2", ["-3.2 degrees"]),
        ("The advised manipulation angle is 45 to 75 degrees.", "", "", []),
        ("The advised manipulation angle is 45 to 76 degrees.", "", "", ["76 degrees"]),
        ("The manipulation angle takes 7.5 degrees.", "", "", ["7.5 degrees"]),  # a published distance is no angle
        ("It takes 45 degrees.", "", "", ["45 degrees"]),  # no quantity named that a row with 45 has
        ("An error of 3 mm.", "", "0.3", []),
        ("An error of 3 mm.", "", "0.4", ["3 mm"]),
        ("# 07 Title\n\nAfter this (15 minutes) see lesson 05.\n\n1. Do\n2. Say 2 × tan", "", "", []),
        ("See.", 'predict("Ports 24 cm apart:", "deg")', "", ["24 cm"]),
        ("See.", 'question("Ports 24 cm apart:", solve(24), hint="It is 9.9")', "", ["9.9"]),
    ],
)
def test_a_number_from_nowhere_is_found(text, code, output, missing):
    assert untold(lesson_with(text, code, output)) == missing


def test_a_verdict_from_nowhere_is_found():
    sourced = verdict("manipulation angle", 60)._repr_markdown_()
    bare = "**depth 12 cm: in range. Because we say so.**"
    assert without_row(sourced) == [] and without_row(bare) == [bare]
    assert without_row(f"{bare}\n\n{sourced}") == [f"{bare}\n\n"]
    assert without_row("**depth 12 cm: no guidance. No range is advised.**") == []

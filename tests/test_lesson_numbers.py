"""Every number a lesson tells the reader stands in a cell's output, in a row of data, or is an input in the lesson's own code.

So no lesson can state a value that nothing computed and nobody published. A number written with decimals may round an output.
No answer stands before its guess, "show me" gives the library's, and every explorer of a lesson follows its controls.
"""

import ast
import html
import json
import re
from functools import cache

import numpy as np
import pytest
from answers import ANSWERS
from lessons import LESSONS, explorers_of, worked

from ergokit import datasets
from ergokit.explorers import exercise
from ergokit.explorers.prediction import in_words, possible, quoted
from ergokit.guidance import verdict
from ergokit.guidance.verdicts import citation_of


@pytest.fixture(scope="module", params=LESSONS, ids=lambda path: path.stem)
def lesson(request):
    return worked(request.param)


#: What is no statement about the world, and how it looks. Keep this list short.
EXCEPTIONS = {
    "the numeral of a list": r"^ *\d+\. ",
    "a lesson's number": r"\b[Ll]essons? \d\d\b|\b0\d\b|^# \d\d |(?:\*\*|^\| |\[)\d\d (?=[A-Z])|`\d\d_\w+`|\[\d\d\](?=\()",
    "how long a lesson takes": r"\d+ minutes|(?<=\| )\d+(?= \|)",
    "a coefficient in a formula": r"\d+ ?(?=×|E\b)|(?<=× )\d+|(?<=/ )\d+",
    "the name of a film format": r"\b35 mm (?=equivalent)",
    "a place in a book": r"\bproposition \d+",
}
_NUMBER = r"(?<![\w.])[-−]?\d+(?:\.\d+)?(?![\w]|\.\d)"
_UNIT = rf"(?:\s*(?:,|/|–|-|and|or|to|by|×)?\s*(?:{_NUMBER}))*\s*(cm|mm|degrees?|°|s(?![\w/])|seconds?|percent|%)"
_UNITS = {"degree": "deg", "degrees": "deg", "°": "deg", "second": "s", "seconds": "s", "%": "percent"}


def untold(lesson, revealed=""):
    """The numbers in a lesson's text, with their units, that stand nowhere else; `revealed` is what came with answers."""
    shown, inputs, words = outputs_of(lesson) | _floats(revealed), inputs_of(lesson), json.dumps(lesson)
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


_NAMED = {"cm": "cm", "deg": r"(?:°|deg\b|degrees?\b)", "ratio": ""}


def told(answer, unit, text):
    """Whether a text gives an answer away: its number as it is shown, or rounded to nothing, with its unit."""
    if isinstance(answer, str):
        return False  # one of the choices
    shown = in_words(answer, unit).split()[0].replace("none", "0")
    forms = {shown, f"{float(shown):g}"}
    named = _NAMED.get(unit, re.escape(unit))
    return any(re.search(rf"(?<![\d.,-]){re.escape(form)}(?![\d]|[.,]\d)\s*{named}", text) for form in forms)


def given_away(lesson):
    """The predictions whose answer a reader meets before the guess, and where."""
    found, before = [], ""
    for cell in lesson.cells:
        for one in cell.predictions:
            text = before + without(cell.seen, one.prompt, *one.options)
            if not told(one.value, one.unit, one.prompt) and told(one.value, one.unit, text):
                found.append((one.prompt, in_words(one.value, one.unit)))
            before += f"\n{lesson.revealed[one]}"
        before += f"\n{cell.seen}"
    return found


def without(text, *words):
    """A text without the words of a question: its prompt, and the answers to choose from."""
    for each in words:
        text = text.replace(each, "")
    return text


def test_no_answer_stands_before_its_guess(lesson):
    assert any(cell.predictions for cell in lesson.cells)
    assert given_away(lesson) == []


def test_run_all_leaves_every_question_open(lesson):
    for cell in lesson.stored["cells"]:
        said = str(cell.get("outputs", ""))
        assert "The answer is" not in said and "You made no prediction" not in said


def test_show_me_gives_every_answer(lesson):
    for one, words in lesson.revealed.items():
        assert f"The answer is {quoted(one.value, one.unit)}." in words
        assert not one.is_open
        assert one.options or possible(round(one.value, 1), one.unit)  # else nobody could guess it


def test_the_answers_are_those_of_plain_sums(lesson):
    asked = {one.prompt: one for one in lesson.revealed}
    for words, answer in ANSWERS.get(lesson.name[:2], {}).items():
        [one] = [one for prompt, one in asked.items() if prompt.startswith(words)]
        assert in_words(one.value, one.unit) == in_words(answer, one.unit), words


def test_every_explorer_follows_its_controls(lesson):
    for one in explorers_of(lesson):
        exercise(one)


def test_every_number_told_is_computed_or_published(lesson):
    assert untold(lesson.stored, "\n".join(lesson.revealed.values())) == []


def test_every_verdict_shown_has_a_row(lesson):
    for cell in lesson.stored["cells"]:
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


@pytest.mark.parametrize(
    ("answer", "unit", "text", "found"),
    [
        (73.74, "deg", "the angle is 73.7 degrees", True),
        (73.74, "deg", "the angle is 73.7°", True),
        (73.74, "deg", "the spacing is 73.7 cm", False),
        (60.0, "deg", "an angle of 60 degrees", True),
        (60.0, "deg", "an angle of 160 degrees, or 60.5", False),
        (0.833, "ratio", "0.83", True),
        (3, "mean angles", "3 mean angles", True),
        (3, "mean angles", "13 mean angles, 3 targets", False),
        ("wider", "deg", "wider", False),
    ],
)
def test_an_answer_is_found_as_it_is_shown(answer, unit, text, found):
    assert told(answer, unit, text) is found


def test_a_verdict_from_nowhere_is_found():
    sourced = verdict("manipulation angle", 60)._repr_markdown_()
    bare = "**depth 12 cm: in range. Because we say so.**"
    assert without_row(sourced) == [] and without_row(bare) == [bare]
    assert without_row(f"{bare}\n\n{sourced}") == [f"{bare}\n\n"]
    assert without_row("**depth 12 cm: no guidance. No range is advised.**") == []

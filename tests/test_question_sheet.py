"""The link that saves a question sheet: the file is in it, and nowhere else."""

import base64
import os
import re

import ipywidgets as w
import pytest
from pdfs import texts

from ergokit.explorers import comparison_form, question_sheet, sheet_form
from ergokit.problems import make_problems


def saved(link):
    """Name, kind and bytes of what the browser saves."""
    name, mime, coded = re.search(r'download="([^"]*)" href="data:([^;]*);base64,([^"]*)"', link.value).groups()
    return name, mime, base64.b64decode(coded)


def test_the_link_holds_the_sheet_and_leaves_no_file(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    name, mime, content = saved(question_sheet(4, seed=7))
    assert (name, mime) == ("questions.pdf", "application/pdf") and os.listdir(tmp_path) == []
    words = " ".join(texts(content))
    assert "questions, sheet 7" in words
    for problem in make_problems(4, seed=7):
        assert f"({problem.kind}, level {problem.level}, number {problem.seed})" in words


@pytest.mark.parametrize("answers", [True, False])
def test_a_sheet_with_or_without_answers(answers):
    link = question_sheet(3, seed=2, kinds="angle", level=1, answers=answers, name="a & b.pdf")
    name, _, content = saved(link)
    assert name == "a &amp; b.pdf"
    assert any("Port placement: answers" in page for page in texts(content)) is answers
    assert ("with answers" in link.value) is answers and ("without answers" in link.value) is not answers


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ({"n": 0}, r"give a whole number.*\(n\)"),
        ({"kinds": "x"}, r"\(kinds\)"),
        ({"name": "sheet.docx"}, r"give a name that ends.*\(path\)"),
    ],
)
def test_bad_arguments_are_refused(arguments, message):
    with pytest.raises(ValueError, match=message):
        question_sheet(**{"n": 3} | arguments)


def moved(form, **values):
    """What the form makes once its controls are so."""
    for name, value in values.items():
        form.controls_by_name[name.replace("_", " ")].value = value
    return form.made.children[0]


def test_the_form_makes_the_sheet_that_its_controls_say():
    form = sheet_form()
    link = moved(form, questions=6, kind="angle", level="level 1", answers=False)
    assert link.data == question_sheet(6, 7, "angle", 1, answers=False).data and "6 questions, without answers" in link.value
    assert moved(form, number_of_the_sheet=8).data != link.data


def test_the_form_of_a_panel_says_which_pairs_fit_and_refuses_a_carton_that_is_none():
    form = comparison_form()
    told, link = moved(form).children
    assert "All 3 pairs fit." in told.value and link.data[:4] == b"%PDF"
    form.controls_by_name["the pairs differ in"].value = "azimuths"
    assert "length inside 20.0 cm" in form.made.children[0].children[0].value
    form.controls_by_name["ridge (cm)"].value = 10
    [refusal] = form.made.children
    assert isinstance(refusal, w.HTML) and "⚠" in refusal.value

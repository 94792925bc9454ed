"""How every lesson is made: stored without widget state, short cells, a checked end."""

import json
import re

import pytest
from browser import NOTEBOOKS

LESSONS = sorted(NOTEBOOKS.glob("*.ipynb"))


@pytest.fixture(params=LESSONS, ids=lambda path: path.stem)
def lesson(request):
    return json.loads(request.param.read_text(encoding="utf-8"))


def code_of(lesson):
    return [cell for cell in lesson["cells"] if cell["cell_type"] == "code"]


def prose_of(lesson):
    return "\n".join("".join(cell["source"]) for cell in lesson["cells"] if cell["cell_type"] == "markdown")


def test_there_are_lessons():
    assert LESSONS[0].stem == "00_start_here"


def test_no_widget_state_and_no_error_is_stored(lesson):
    assert "widgets" not in lesson["metadata"]
    assert not any(output["output_type"] == "error" for cell in code_of(lesson) for output in cell["outputs"])


def test_every_cell_has_run_and_a_widget_is_stored_as_a_sentence(lesson):
    for cell in code_of(lesson):
        assert cell["execution_count"], cell["source"]
        for output in cell["outputs"]:
            assert "application/vnd.jupyter.widget-view+json" not in output.get("data", {})


def test_cells_are_short_and_the_words_outweigh_the_code(lesson):
    lines = [len(cell["source"]) for cell in code_of(lesson)]
    assert max(lines) <= 12 and sorted(lines)[len(lines) // 2] <= 5
    assert max(len(line.rstrip("\n")) for cell in code_of(lesson) for line in cell["source"]) <= 128
    assert len(prose_of(lesson).split()) >= 8 * sum(lines)


def test_only_widgets_and_figures_are_left_uncompared(lesson):
    for cell in code_of(lesson):
        kinds = {kind for output in cell["outputs"] for kind in output.get("data", {})}
        words = " ".join(str(output.get("data", {}).get("text/plain", "")) for output in cell["outputs"])
        picture = "application/vnd.plotly.v1+json" in kinds or "once this cell has run" in words or "text/html" in kinds
        if "nbval-ignore-output" in cell["metadata"].get("tags", ()):
            assert picture, cell["source"]


def test_opens_with_what_the_reader_will_be_able_to_do_and_holds_no_test(lesson):
    prose = prose_of(lesson)
    assert "you can" in prose.split("##")[0] and "minutes" in prose.split("##")[0]
    assert "## Remember" in prose and "education" in prose and "<details>" in prose
    assert not any("exercise(" in "".join(cell["source"]) for cell in code_of(lesson))


def test_code_is_folded(lesson):
    shown = [cell for cell in code_of(lesson) if not cell["metadata"].get("jupyter", {}).get("source_hidden")]
    assert len(shown) <= 1, [cell["id"] for cell in shown]
    assert all(cell["source"][0].startswith("# ") for cell in code_of(lesson)), "a folded cell shows its first line"


def test_no_sentence_is_longer_than_thirty_words(lesson):
    assert [each for each in sentences_of(prose_of(lesson)) if len(each.split()) > 30] == []


def sentences_of(prose):
    """Its sentences: no headings, no table cells; an item of a list ends one."""
    lines = [line for line in prose.split("\n") if not re.match(r"\s*(#|\||<)", line)]
    text = re.sub(r"\$[^$]*\$|`[^`]*`", "x", "\n".join(lines))
    text = re.sub(r"\n\s*\n|\n\s*(?=[-*>] |\d+\. )|(?<=:)\n", ".\n", text)
    text = re.sub(r"\]\([^)]*\)|[*_>\[\]]", " ", text)
    return [words for each in re.split(r"(?<=[.!?])\s+", text) if len((words := " ".join(each.split())).split()) > 1]


@pytest.mark.parametrize("part", ["predict(", "question(", "Modify it:", "## Remember", "## Sources", "## Next"])
def test_teaches_instead_of_showing(lesson, part):
    assert part in prose_of(lesson) + "\n".join("".join(cell["source"]) for cell in code_of(lesson))


def test_links_lead_to_lessons_and_from_the_first_to_all(lesson):
    leads = re.findall(r"\]\(([^)]*\.ipynb[^)]*)\)", prose_of(lesson))
    others = {path.name for path in LESSONS}
    assert leads and set(leads) <= others
    if lesson == json.loads(LESSONS[0].read_text(encoding="utf-8")):
        assert {*leads, LESSONS[0].name} == others
    else:
        assert LESSONS[0].name in leads


def test_the_times_of_the_first_lesson_are_sums_of_those_the_lessons_say():
    said = [re.search(r"\((\d+) minutes", prose_of(json.loads(path.read_text(encoding="utf-8")))) for path in LESSONS]
    takes = {path.stem[:2]: int(each[1]) for path, each in zip(LESSONS, said, strict=True)}
    prose = prose_of(json.loads(LESSONS[0].read_text(encoding="utf-8")))
    assert {number: int(minutes) for number, minutes in re.findall(r"^\| \[(\d\d) .*?\| (\d+) \|", prose, re.M)} == {
        number: minutes for number, minutes in takes.items() if number != "00"
    }
    doors = re.findall(r"^\| \*\*\w+\*\* [^|]*\| (.*) \| (\d+) minutes", prose, re.M)
    assert len(doors) == 4
    for lessons, minutes in doors:
        lessons = lessons.replace("this tour", "[00]")
        assert sum(takes[number] for number in re.findall(r"\[(\d\d)\]", lessons)) == int(minutes), lessons
    hours = {"an hour": 60, "an hour and a half": 90, "two hours and a half": 150}
    evenings = re.findall(r"^\| (?:first|second|third) \| (\d\d) to (\d\d|the end) \| ([^,|]*?)(?:,[^|]*)? \|", prose, re.M)
    assert len(evenings) == 3
    for first, last, time in evenings:
        total = sum(minutes for number, minutes in takes.items() if first <= number <= last)  # "the end" sorts behind digits
        assert abs(total - hours[time]) <= 5, (first, last, total)

"""The practice widget: in Python, and once as a reader meets it, in JupyterLab in a real browser."""

import html
import json
import re
from datetime import UTC, datetime, timedelta

import ipywidgets as w
import pytest
from browser import NOTEBOOKS, Lesson, write_notebook

from ergokit import desk as kit
from ergokit.explorers import exercise, predict, question, retest
from ergokit.explorers import practice as offered
from ergokit.explorers.sitting import practice
from ergokit.problems import KINDS, Verdict, make_problem
from ergokit.problems.problem import LESSONS, section_of


def text(widget):
    return html.unescape(re.sub(r"<br>|<li>|</ol>", "\n", re.sub(r"<(?!br|li|/ol)[^>]+>", "", widget.value)))


def pressed(sitting, name):
    """Click a button by what it says."""
    found = [sitting]
    for widget in found:
        found += getattr(widget, "children", ())
    [button] = [widget for widget in found if isinstance(widget, w.Button) and widget.description == name]
    button.click()


def answered(sitting, words, key=None):
    sitting.answer.value = words
    if key == "Enter":
        sitting.answer._handle_custom_msg({"event": "submit"}, [])  # what the box sends when Enter is pressed
    else:
        pressed(sitting, "check")
    return text(sitting.feedback)


def test_it_is_offered_with_the_explorers():
    assert offered is practice


@pytest.mark.parametrize("kind", KINDS)
def test_right_wrong_and_nonsense(kind):
    sitting = practice(kind, seed=3)
    for _ in range(8):
        problem = sitting.problem
        assert problem.kind == kind and text(sitting.question) == problem.question
        assert answered(sitting, "no idea", "Enter").startswith("⚠ 'no idea' cannot be read; type")
        assert (f"of {_} right" in sitting.score.value) == bool(_), "what cannot be read does not count"
        assert answered(sitting, problem.right_answer.replace(".", ","), "Enter") == f"✓ Right: {problem.right_answer}."
        assert f"{_ + 1} of {_ + 1} right" in sitting.score.value
        pressed(sitting, "next")
        assert sitting.answer.value == text(sitting.feedback) == text(sitting.hint) == text(sitting.solution) == ""


def test_a_letter_is_pressed_and_checked_at_once():
    sitting = practice("who gets which hole", seed=1, level=1)
    first, *_, last = sitting.letters.children
    first.value = True
    told = text(sitting.feedback)
    last.value = True
    assert told != text(sitting.feedback) and sitting.answer.value == last.description and not first.value
    assert "of 1 right" in sitting.score.value
    assert sitting.answer.layout.display == sitting.check_button.layout.display == "none"
    pressed(sitting, "next")
    assert not any(letter.value for letter in sitting.letters.children) and not text(sitting.feedback)


def test_several_letters_are_pressed_before_the_check():
    sitting = practice("rules clash", seed=1, level=2)
    for letter in sitting.letters.children:
        letter.value = letter.description in sitting.problem.answer
    assert not text(sitting.feedback) and sitting.answer.layout.display == "none"
    pressed(sitting, "check")
    assert text(sitting.feedback).startswith("✓ Right")
    sitting.kind.value = "spacing"
    assert not sitting.letters.children and sitting.answer.layout.display is sitting.check_button.layout.display is None


def test_only_the_first_try_counts():
    sitting = practice("spacing", seed=1, level=1)
    half = sitting.problem.answer / 2
    assert "from the midline to one port" in answered(sitting, f"{half:.1f} cm")
    assert answered(sitting, sitting.problem.right_answer).startswith("✓")
    assert answered(sitting, sitting.problem.right_answer).startswith("✓")
    assert sitting.score.value == "In this sitting you had 0 of 1 right at the first try."


def test_a_solution_that_was_looked_at_does_not_count():
    sitting = practice(seed=1)
    problem = sitting.problem
    pressed(sitting, "hint")
    assert text(sitting.hint) == f"Hint. {problem.hint}"
    pressed(sitting, "worked solution")
    assert text(sitting.solution).split("\n") == [problem.right_answer, *problem.solution.split("\n")]
    assert "Derivation, each step verified" in sitting.derivation.value
    answered(sitting, problem.right_answer)
    assert sitting.score.value == "In this sitting you had 0 of 1 right at the first try."


def test_each_kind_comes_once_before_any_comes_again():
    sitting, seen = practice(seed=8), []
    for _ in range(2 * len(KINDS)):
        seen.append(sitting.problem.kind)
        sitting.next()
    assert set(seen[: len(KINDS)]) == set(seen[len(KINDS) :]) == set(KINDS)


def test_the_same_seed_asks_the_same_and_none_asks_something_else():
    first, second = practice(seed=5), practice(seed=5)
    for _ in range(5):
        assert first.problem == second.problem == make_problem(first.problem.kind, first.problem.seed, first.problem.level)
        first.next(), second.next()
    assert len({practice().problem.question for _ in range(5)}) > 1


def test_kind_and_level_can_be_chosen():
    sitting = practice(["angle", "depth"], seed=2)
    assert sitting.kind.options[0] == "these kinds" and sitting.problem.kind in ("angle", "depth")
    sitting.kind.value, sitting.level.value = "rules clash", "level 3"
    assert (sitting.problem.kind, sitting.problem.level) == ("rules clash", 3)
    sitting.kind.value = "these kinds"
    assert sitting.problem.kind in ("angle", "depth") and sitting.problem.level == 3
    assert sitting.score.value == "You have answered nothing yet.", "a change is no answer"
    assert practice(level=2).problem.level == 2


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ({"kinds": "angles"}, r"give some of.*\(kinds\)"),
        ({"kinds": ["angle", "torsion"]}, r"^'torsion' cannot be used; give some of .*\(kinds\)"),
        ({"seed": -1}, r"give a whole number.*\(seed\)"),
        ({"level": 5}, r"give 1, 2 or 3.*\(level\)"),
    ],
)
def test_bad_arguments_are_refused(arguments, message):
    with pytest.raises(ValueError, match=message):
        practice(**arguments)


def test_the_figure_is_the_problem_s_and_safe_beside_others():
    sitting = practice("angle", seed=1, level=1)
    assert sitting.figure.value.count("<svg") == 1 and ' id="' not in sitting.figure.value
    drawn = re.findall(r">([^<]+)</text>", sitting.figure.value)
    assert drawn == [shape.text for shape in sitting.problem.figure.contents if hasattr(shape, "text")]
    assert 'aria-label="Figure to the question"' in sitting.figure.value


def test_it_answers_every_kind_for_a_lesson_and_stays_as_it_is():
    sitting = practice(seed=6)
    before = sitting.problem
    assert sitting.exercise().startswith("12 kinds answered")
    assert sitting.problem == before and sitting.score.value == "You have answered nothing yet."


def test_a_problem_shows_with_its_figure_in_a_notebook():
    problem = make_problem("rules clash", seed=1, level=3)
    shown = problem._repr_html_()
    assert html.escape(problem.question) in shown and shown.count("<svg") == 1 and ' id="' not in shown


def test_the_lesson_s_last_cell_leaves_the_sitting_alone_and_fails_where_the_practice_does(monkeypatch):
    sitting = practice(seed=6, level=1)
    problem = sitting.problem
    assert exercise(sitting).startswith(f"{len(KINDS)} kinds answered")
    assert sitting.problem is problem and sitting.score.value == "You have answered nothing yet."
    monkeypatch.setattr(type(problem), "check", lambda self, words: Verdict(words == "certainly", words))
    with pytest.raises(AssertionError, match="was answered with"):
        exercise(sitting)


def test_nothing_is_kept_in_a_notebook():
    assert repr(practice(seed=1)) == "The practice appears here once this cell has run (Shift + Enter)."


# What is remembered


def sat(*tries, ago=1):
    """First tries of an earlier sitting: (kind, right)."""
    at = (datetime.now(UTC) - timedelta(days=ago)).isoformat()
    for kind, right in tries:
        kit.note("answer", kind=kind, level=1, seed=3, right=right, slip="" if right else "half")
    for path in (kit.folder() / "events").iterdir():
        event = json.loads(path.read_text())
        if not event.get("aged"):
            path.write_text(json.dumps(event | {"at": at, "aged": True}))


def test_a_new_sitting_goes_on_with_what_went_wrong_the_evening_before(desk):
    sat(("depth", False), ("spacing", True), ("azimuths", False))
    sitting = practice()
    kinds = []
    for _ in range(3):
        kinds.append(sitting.problem.kind)
        answered(sitting, sitting.problem.right_answer)
        pressed(sitting, "next")
    assert sorted(kinds[:2]) == ["azimuths", "depth"] and kinds[2] == "spacing", "right once: due again after a day"
    assert "Before this sitting you had 1 of 3 right" in text(sitting.kept) and "never an assessment" in text(sitting.kept)
    assert [event["right"] for event in kit.happened("answer")] == [False, True, False, True, True, True]


def test_chosen_kinds_and_levels_hold_for_what_comes_again_too(desk):
    sat(("depth", False), ("spacing", False))
    assert practice(["depth"]).problem.kind == "depth"
    assert practice(level=2).problem.level == 2
    assert practice(seed=5).problem == practice(seed=5).problem, "a seed asks the same whatever was answered before"


def test_this_one_again_asks_the_same_and_does_not_count(desk):
    sitting = practice("spacing", seed=1, level=1)
    problem = sitting.problem
    answered(sitting, f"{problem.answer / 2:.1f} cm")
    pressed(sitting, "this one again")
    assert sitting.problem is problem and sitting.answer.value == text(sitting.feedback) == ""
    answered(sitting, problem.right_answer)
    assert sitting.score.value == "In this sitting you had 0 of 1 right at the first try." and len(kit.happened("answer")) == 1


def test_looking_back_names_the_weak_kinds_with_slips_lesson_and_section(desk):
    sitting = practice("azimuths", seed=1, level=1)
    pressed(sitting, "look back")
    assert "You have answered nothing" in text(sitting.summary)
    pressed(sitting, "worked solution")
    pressed(sitting, "look back")
    said = text(sitting.summary)
    assert "azimuths, level 1: you had 0 of 1 right at the first try" in said and "never an assessment" in said
    assert "Read lesson 09, Three azimuths." in said
    pressed(sitting, "next")
    answered(sitting, sitting.problem.right_answer)
    pressed(sitting, "look back")
    assert "right the last time it came" in text(sitting.summary)


def test_a_slip_is_kept_and_told(desk):
    sitting = practice("spacing", seed=1, level=1)
    answered(sitting, f"{sitting.problem.answer / 2:.1f} cm")
    pressed(sitting, "look back")
    [slip] = {event["slip"] for event in kit.happened("answer")}
    assert slip and f"Your slips were “{slip}” once." in text(sitting.summary)


def test_the_lesson_s_last_cell_leaves_nothing_on_the_desk(desk):
    practice(seed=6).exercise()
    assert not kit.contents()


def test_a_folder_that_cannot_be_written_is_said_and_the_sitting_goes_on(tmp_path, monkeypatch):
    tmp_path.joinpath("file").write_text("")
    monkeypatch.setenv("ERGOKIT_HOME", str(tmp_path / "file"))
    sitting = practice("depth", seed=1)
    assert answered(sitting, sitting.problem.right_answer).startswith("✓") and "Nothing was kept" in text(sitting.kept)


@pytest.mark.parametrize(("ago", "asks"), [(6, False), (7, True), (40, True)])
def test_a_retest_of_five_is_asked_for_and_ends_after_five(desk, ago, asks):
    sat(*((kind, True) for kind in list(KINDS)[:7]), ago=ago)
    found = retest()
    assert (found is not None) == asks
    if asks:
        assert "a week ago" in text(found.children[1]) or ago == 40
        pressed(found, "ask me")
        for _ in range(5):
            answered(found.practice, found.practice.problem.right_answer)
            last = found.practice.problem
            pressed(found.practice, "next")
        assert found.practice.problem is last and "5 of 5" in found.practice.score.value
        assert "right the last time it came" in text(found.practice.summary) and retest() is None


@pytest.mark.parametrize("path", sorted(NOTEBOOKS.glob("*.ipynb")), ids=lambda path: path.stem)
def test_each_section_named_for_a_relation_exists_and_names_it(path):
    book = json.loads(path.read_text())
    named, heading = {}, ""
    for cell in book["cells"]:
        for line in "".join(cell["source"]).split("\n"):
            if cell["cell_type"] == "markdown" and line.startswith("## "):
                heading = line.removeprefix("## ")
                named.setdefault(heading, set())
            named.setdefault(heading, set()).update(re.findall(r"\w+", line))
    for relation in (each for each, lesson in LESSONS.items() if lesson == path.stem):
        section = section_of(relation)
        assert section in named, (relation, section)
        shown = re.compile(rf'RELATIONS\["{relation}"\](?!\.)')  # and not only evaluated
        assert relation in named[section] or not any(shown.search("".join(cell["source"])) for cell in book["cells"])


def test_a_prediction_and_a_question_are_kept_once_with_their_lesson(desk, monkeypatch):
    monkeypatch.setenv("JPY_SESSION_NAME", "/some where/05_off_axis_targets.ipynb")
    predict("How wide?", 50, start=60).reveal()
    assert not kit.contents(), "no guess, nothing to keep"
    guess = predict("How wide?", 50, start=60)
    guess.answer.value = "55"
    guess.check(), guess.check()
    asked = question("How deep?", 15.6)
    for answer in ("no idea", "9", "15.6"):
        asked.answer.value = answer
        asked.check()
    assert [tuple(row) for row in kit.progress()] == [("05_off_axis_targets", 1, 1, 1, pytest.approx(10), 1, 0)]
    assert len(kit.contents()) == 2


def test_a_sitting_in_jupyterlab(running, lab):
    cell = 'from ergokit.explorers import practice\nsitting = practice(["spacing", "rules clash"], seed=4, level=1)\nsitting'
    folder, address = lab
    write_notebook(folder / "practice.ipynb", cell)
    asked = practice(["spacing", "rules clash"], seed=4, level=1)
    lesson = Lesson(running, address, "practice.ipynb")
    lesson.look_at(".ergokit")
    root = lesson.page.locator(".ergokit").first
    nameless = "input:not([title], [aria-label]), select:not([title]), button:not([title]), svg:not([aria-label])"
    assert root.locator(nameless).count() == 0, "a control has no name for a screen reader"
    answer = root.get_by_placeholder("your answer")
    for _ in range(2):
        problem = asked.problem
        root.get_by_text(problem.question).wait_for()
        check = root.get_by_role("button", name="check")
        if problem.kind == "spacing":
            answer.fill("certainly")
            answer.press("Enter")
            root.get_by_text("cannot be read; type").wait_for()
            answer.fill(f"{problem.answer / 2:.1f}")
            check.click()
            root.get_by_text("twice that").wait_for()
            answer.fill(problem.right_answer.replace(".", ","))
            answer.press("Enter")
        else:
            for pressed, says in ((problem.answer[0], "letters are wanted"), (problem.answer[1:], "Right: ")):
                for letter in pressed:
                    root.get_by_role("button", name=letter, exact=True).click()
                check.click()
                root.get_by_text(says).wait_for()
        root.get_by_text(f"Right: {problem.right_answer}").wait_for()
        root.get_by_role("button", name="worked solution").click()
        root.get_by_text(problem.solution.split("\n")[-1]).wait_for()
        root.locator("mjx-container").first.wait_for()  # the derivation is typeset
        box, words, drawn = root.bounding_box(), root.get_by_text(problem.question), root.locator("svg").first
        assert words.bounding_box()["x"] + words.bounding_box()["width"] <= drawn.bounding_box()["x"], "words on the figure"
        assert drawn.bounding_box()["x"] + drawn.bounding_box()["width"] <= box["x"] + box["width"] + 1
        root.get_by_role("button", name="next").click()
        asked.next()
    root.get_by_text("0 of 2 right at the first try").wait_for()
    assert not lesson.errors() and not lesson.complaints
    lesson.close()

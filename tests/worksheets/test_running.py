"""A source runs once for each sheet, and again with a student's own answers."""

import json

import pytest

from bouncelab.errors import NotebookError
from bouncelab.worksheets.codes import new_code
from bouncelab.worksheets.filling import asides, body, check_text
from bouncelab.worksheets.running import numbers, solve, solve_code
from bouncelab.worksheets.source import parse_source, read_source
from worksheets.example import ANSWERS, CODE, GIVENS, MARKDOWN, WORKING, source_bytes

SOURCE = parse_source("example.ipynb", source_bytes())
CODE_OF_ANN = new_code("autumn", "ann", 0, SOURCE.ranges)


def source(*cells):
    return parse_source("example.ipynb", source_bytes(*cells))


def test_one_code_gives_one_sheet():
    first, second = (solve_code(SOURCE, CODE_OF_ANN) for _ in range(2))

    assert first.drawn == second.drawn
    assert [first.answers[k].value for k in first.answers] == [
        second.answers[k].value for k in second.answers
    ]


def test_questions_are_numbered_by_headings_and_letters():
    assert numbers(SOURCE) == {
        "e": "1",
        "after": "2a",
        "left": "2b",
        "elastic": "3a",
        "why": "3b",
        "graph": "3c",
    }


def test_givens_of_a_sheet_lead_to_the_same_answers():
    first = solve_code(SOURCE, CODE_OF_ANN)
    again = solve(SOURCE, json.loads(json.dumps(dict(first.drawn))))

    assert again.givens == first.givens
    assert again.answers == first.answers


def test_later_answers_follow_from_what_a_student_found():
    right = solve_code(SOURCE, CODE_OF_ANN)
    own = solve(SOURCE, right.drawn, earlier={"e": 0.5, "after": 1.0})

    assert own.answers["e"] == right.answers["e"]
    assert own.answers["after"].value == pytest.approx(0.5 * right.drawn["v"])
    assert own.answers["left"].value == pytest.approx(right.drawn["m"] / 2)
    assert own.answers["after"].wrong["speeds divided"] == right.drawn["v"] / 0.5


def test_what_cannot_follow_from_a_students_number_is_left_out():
    right = solve_code(SOURCE, CODE_OF_ANN)
    own = solve(SOURCE, right.drawn, earlier={"e": 0.0})  # a division by it

    assert "e" in own.answers
    assert "left" not in own.answers


def test_a_remark_or_a_line_break_changes_no_code():
    other = GIVENS.replace("\n", "  # a remark\n", 2).replace("    m=", "\n    m=")
    changed = GIVENS.replace("2.00", "2.05")

    def ranges(givens):
        return source(("code", CODE), ("code", givens)).ranges

    assert ranges(GIVENS) == ranges(other)
    assert ranges(GIVENS) != ranges(changed)


def test_text_is_filled_and_mathematics_gets_mathematics():
    variant = solve_code(SOURCE, CODE_OF_ANN)
    texts = [each.content for each in body(SOURCE, variant) if each.kind == "text"]
    ((number, working),) = asides(SOURCE, variant, "working")

    assert f"A ball falls {variant.givens['h1'].shown}" in texts[0]
    assert number == "3"
    assert rf"\frac{{{variant.givens['h2'].shown.text}\,\mathrm{{cm}}}}" in working
    assert "{{" not in working.replace("{{{", "")


def places(text):
    return source(("markdown", text), ("code", CODE), ("code", GIVENS))


def bad(*cells):
    def check(found):
        check_text(found, solve_code(found, CODE_OF_ANN))

    with pytest.raises(NotebookError) as told:
        check(source(*cells))
    return str(told.value)


BASE = (("code", CODE), ("code", GIVENS), ("code", ANSWERS))


def test_a_place_without_a_number_is_named_with_its_cell():
    told = bad(("markdown", MARKDOWN + "\n\nIt is {{colour}}."), *BASE)

    assert "cell c0" in told
    assert "colour" in told
    assert "{{h1}}" in told


def test_an_answer_never_stands_in_a_students_text():
    assert "no sheet shows its answer" in bad(
        ("markdown", MARKDOWN + "\n\nYou get {{e}}."), *BASE
    )
    assert "no sheet shows its answer" in bad(
        ("markdown", MARKDOWN), *BASE, ("markdown", "### Hint\n\nIt is {{after}}.")
    )


def test_an_answer_needs_a_place_and_a_place_an_answer():
    less = MARKDOWN.replace("{{answer left}}", "")

    assert "no place for its answer" in bad(("markdown", less), *BASE)
    assert "no cell declares" in bad(
        ("markdown", MARKDOWN + "\n\n{{answer mass}}"), *BASE
    )
    assert "picture curve" in bad(
        ("markdown", MARKDOWN + "\n\n{{picture curve}}"), *BASE
    )
    assert "a place for" in bad(("markdown", MARKDOWN + "\n\n{{h 1}}"), *BASE)
    titled = MARKDOWN.replace("speed comes", "of {{h1}} comes")
    assert "with the title" in bad(("markdown", titled), *BASE)


def test_a_title_is_plain_text():
    made = source(("markdown", "# What is *e*?\n\nText."), ("code", CODE))

    assert made.title == "What is e?"


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("sheet.answer('x', 1 / 0)", "ZeroDivisionError"),
        ("sheet.answer('x', 1, tolerance='much')", "tolerance"),
        ("%matplotlib inline", "without commands"),
        ("import no_such_library", "no_such_library"),
        ("sheet.answer('e', 0.5)", "which is taken"),
        ("sheet.words('h1', ['a'])", "which is taken"),
        ("sheet.choice('x', 'a', among=['b', 'c'])", "the right ones among them"),
        ("sheet.choice('x', 'a', among=['a', 'a'])", "words that differ"),
        ("sheet.choice('x', 'a', among=['a'], wrong={'w': 'b'})", "“b” among a"),
        ("restitution_from_heights(drop_height=1, rebound_height=2)", "rebound"),
    ],
)
def test_a_cell_that_fails_is_named_with_its_line(cell, told):
    said = bad(("markdown", MARKDOWN), *BASE, ("code", f"\n{cell}"))

    assert told in said
    assert "example.ipynb, cell c4, line 2" in said
    assert "\n" not in said


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\xff\xfe\x00",
        b"{}",
        b"[]",
        b'{"cells": 3}',
        b'{"cells": [3]}',
        b'{"cells": []}',
        b'{"cells": [{"cell_type": "code"}]}',
        b"[" * 100_000,
        source_bytes()[:300],
        source_bytes(("markdown", "# Only text")),
    ],
)
def test_what_is_no_source_is_refused_in_one_line(data):
    with pytest.raises(NotebookError) as told:
        parse_source("x.ipynb", data)

    assert "\n" not in str(told.value)


def test_a_source_that_is_not_there_names_those_of_the_kit():
    with pytest.raises(OSError, match="age_14_e_from_heights"):
        read_source("age_14_e_from_height")


@pytest.mark.parametrize("ending", ["", ".ipynb"])
def test_a_source_of_the_kit_is_found_by_its_name(ending):
    assert read_source(f"age_14_cold_ball{ending}").title == "A cold ball"


def test_an_unused_step_is_no_answer():
    extra = "sheet.step('double', 2 * e)"
    made = source(("markdown", MARKDOWN), *BASE, ("code", extra), ("markdown", WORKING))

    assert "double" in solve_code(made, CODE_OF_ANN).steps

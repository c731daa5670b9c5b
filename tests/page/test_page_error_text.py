"""Errors as plain data with their places."""

from cradle.errors import CombinedError, InputError, Problem, ProjectError
from cradle.finding import Command, note, on_file
from cradle.page.error_text import finding_data, problem_rows, problem_words


def test_every_mistake_of_a_project_keeps_its_place_and_line():
    problems = (
        Problem(where="object.name", found="expected\n  text", hint="write a name", line=3),
        Problem(where="", found="what is this?"),
    )
    error = ProjectError(file="holder.toml", problems=problems)
    assert error.problems == problems
    assert [problem_words(p) for p in problems] == ["Expected text; write a name.", "What is this?"]
    assert problem_rows(problems[:1])[0] == {
        "where": "object.name",
        "found": "expected\n  text",
        "hint": "write a name",
        "line": 3,
        "words": "Expected text; write a name.",
    }


def test_any_other_error_is_one_mistake():
    (problem,) = InputError("found -1 mm", where="block.wall").problems
    assert (problem.where, problem.found, problem.line) == ("block.wall", "found -1 mm", None)


def test_mistakes_of_one_step_keep_their_places_apart():
    wrong = [
        InputError("the width is 40 mm", where=f'section "{name}"', hint="swap them")
        for name in ("low", "high")
    ]
    found = CombinedError(wrong).problems
    assert [p.where for p in found] == ['section "low"', 'section "high"']
    assert {problem_words(p) for p in found} == {"The width is 40 mm; swap them."}


def test_what_is_typed_elsewhere_is_done_on_the_page_by_its_own_step():
    record = Command(name="trial", does="record it", said=(("read", "MM"),))
    found = on_file([note("unknown", "nobody knows", "measure it", command=record)], "my mug/holder.toml")
    assert str(found[0]).endswith('measure it and record it: cradle trial "my mug/holder.toml" --read MM')
    assert finding_data(found[0])["advice"] == "measure it and note it under Trials"

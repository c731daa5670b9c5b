"""Errors as sentences."""

from cradle.errors import InputError, Problem, ProjectError
from cradle.page.controls import CONTROLS
from cradle.page.error_text import sentences


def test_a_value_of_the_page_is_named_as_the_page_names_it():
    assert len(CONTROLS) >= 4
    for key, control in CONTROLS.items():
        (sentence,) = sentences(InputError("found -1 mm", where=key))
        assert sentence == f"{control.words}: found -1 mm."


def test_every_mistake_of_a_project_is_a_sentence_of_its_own():
    problems = (
        Problem(where="object.name", found="expected\n  text", hint="write a name", line=3),
        Problem(where="", found="what is this?"),
    )
    error = ProjectError(file="holder.toml", problems=problems)
    assert sentences(error) == ("object.name: expected text; write a name.", "What is this?")

"""Errors as such."""

import pickle

import pytest

from cradle import errors
from cradle.errors import (
    CombinedError,
    CradleError,
    GeometryError,
    InputError,
    Problem,
    ProjectError,
    located,
)

PLAIN = [
    kind
    for kind in vars(errors).values()
    if isinstance(kind, type) and issubclass(kind, CradleError) and kind not in (CombinedError, ProjectError)
]
EVERY = [
    *(kind("found 3 mm", where=("a.toml", "block"), hint="allowed is more") for kind in PLAIN),
    GeometryError("found 3 mm", where="block").in_file("a.toml", line=7),
    CombinedError([InputError("found 3 mm"), InputError("found 4 mm", where="fit")]),
    ProjectError("a.toml", (Problem(where="fit", found="found 3 mm", line=7), Problem(where="", found="x"))),
]


@pytest.mark.parametrize("error", EVERY, ids=lambda error: type(error).__name__)
def test_an_error_from_another_process_is_the_same(error):
    again = pickle.loads(pickle.dumps(error))
    assert type(again) is type(error)
    assert str(again) == str(error)
    assert again.problems == error.problems
    assert again.args == error.args
    assert getattr(again, "line", None) == getattr(error, "line", None)


@pytest.mark.parametrize("error", EVERY, ids=lambda error: type(error).__name__)
def test_an_error_told_at_another_place_is_caused_by_itself_as_it_was_and_one_that_stays_as_it_is_by_nothing(
    error,
):
    with pytest.raises(type(error)) as told, located("b.toml"):
        raise error
    same = told.value is error
    assert same is isinstance(error, ProjectError)
    assert told.value.__cause__ is (None if same else error)
    assert same or all(problem.where.startswith("b.toml") for problem in told.value.problems)

"""How an error is shown at the terminal."""

import json

from cradle.cli.main import error_rows, print_failure
from cradle.errors import GeometryError, Problem, ProjectError


def test_every_mistake_of_a_project_has_its_line(capsys):
    problems = (
        Problem(where="fit.clearance", found="found -1 mm", hint="allowed is 0 or more", line=4),
        Problem(where="block.wall", found="expected a length", line=9),
    )
    rows = error_rows(ProjectError(file="holder.toml", problems=problems))
    print_failure(rows, exit_code=2, as_json=True)
    out, err = capsys.readouterr()
    assert err.splitlines() == [
        "cradle: holder.toml: line 4: fit.clearance: found -1 mm; allowed is 0 or more",
        "cradle: holder.toml: line 9: block.wall: expected a length",
    ]
    told = json.loads(out)
    assert told["exit_code"] == 2
    assert [(row["line"], row["where"], row["hint"]) for row in told["errors"]] == [
        (4, "fit.clearance", "allowed is 0 or more"),
        (9, "block.wall", ""),
    ]


def test_other_errors_are_one_line_each_whatever_breaks_in_them(capsys):
    print_failure(
        error_rows(GeometryError("the skin\ncrosses itself", where="loft", hint="add a section")),
        exit_code=3,
        as_json=False,
    )
    out, err = capsys.readouterr()
    assert out == ""
    assert err.splitlines() == ["cradle: loft: the skin crosses itself; add a section"]

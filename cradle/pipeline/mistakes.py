"""Mistakes found in what a project names, and what is impossible of it, each with the line of the project file that it belongs to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import Final

from cradle.errors import CombinedError, GeometryError, InputError, Problem, ProjectError
from cradle.finding import Finding, but_notes, ordered
from cradle.placing.to_place import ToPlace
from cradle.project.project import Project
from cradle.project.reader import project_text
from cradle.project.toml_positions import KeyPath, Place, line_of, path_of, places_in

_SLIGHT: Final = {"mm": 0.5, "%": 2.0}
"""A doubt about an outline that is off by less does not explain a refusal, which takes a tenth of its size (our own choice)."""


def project_mistakes(problems: Iterable[tuple[KeyPath, Problem]], *, project: Project) -> ProjectError:
    """The mistakes as those of the project file, each with the line of its table, in the order of these."""
    places = _places(project)
    told = [replace(problem, line=line_of(places, path)) for path, problem in problems]
    return ProjectError(str(project.file), tuple(sorted(told, key=lambda problem: problem.line or 0)))


def placing_mistakes(error: InputError, *, project: Project, measured: ToPlace) -> ProjectError:
    """What was found wrong when sections and sides were compared, with lines, and with what is doubtful of the outlines concerned."""
    errors = error.errors if isinstance(error, CombinedError) else (error,)
    tables = _tables(project)
    problems = [
        (path, problem)
        for error in errors
        for path in [next(_paths(error.places, tables), ())]
        for problem in _with_doubt(error, _findings(path, measured)).problems
    ]
    return project_mistakes(problems, project=project)


@contextmanager
def told_with_lines(project: Project) -> Iterator[None]:
    """A context in which what is impossible is told with the project's file and the line that asks for it."""
    try:
        yield
    except GeometryError as error:
        if error.places[0] == str(project.file):  # what stands beside it in a row
            raise
        raise error.in_file(str(project.file), line=_line_of(error.places, project)) from error


def _line_of(within: Sequence[str], project: Project) -> int | None:
    """The line of the first of the places that stands in the project's text."""
    places, tables = _places(project), _tables(project)
    lines = (line_of(places, path) for path in _paths(within, tables))
    return next((line for line in lines if line is not None), None)


def _paths(within: Sequence[str], tables: Mapping[str, KeyPath]) -> Iterator[KeyPath]:
    """Those of the places of an error that may stand in the project's text, as paths in it."""
    return (path for place in within if (path := tables.get(place) or _path(place)))


def _path(key: str) -> KeyPath:
    try:
        return path_of(key)
    except InputError:
        return ()


def _findings(path: KeyPath, measured: ToPlace) -> tuple[Finding, ...]:
    """What was found of the outline that a table of the project file names."""
    match path:
        case ("section", int(number)):
            pairs = zip(measured.specs, measured.outlines, strict=True)
            return next(outline.findings for spec, outline in pairs if spec.number == number)
        case ("view", int(number)):
            return measured.views[number].findings
        case _:
            return ()


def _with_doubt(error: InputError, findings: tuple[Finding, ...]) -> InputError:
    """The error, its hint followed by the gravest warning of the outline it is about that may be what is wrong."""
    warnings = [finding for finding in but_notes(ordered(findings)) if not _slight(finding)]
    if not warnings:
        return error
    doubt = f"or the outline is wrong: {warnings[0]}"
    return error.advising(f"{error.hint}; {doubt}" if error.hint else doubt)


def _slight(doubt: Finding) -> bool:
    """Whether what is doubtful is far too little to explain what is refused."""
    return doubt.measured is not None and abs(doubt.measured) < _SLIGHT.get(doubt.unit, 0.0)


def _tables(project: Project) -> dict[str, KeyPath]:
    """The tables of sections and views, by the places that errors name them with."""
    sections: dict[str, KeyPath] = {one.where: ("section", one.number) for one in project.sections}
    return sections | {one.where: ("view", k) for k, one in enumerate(project.views)}


def _places(project: Project) -> dict[KeyPath, Place]:
    """Where the tables of the project file stand; none where it is not to be read, as for a text that is no file yet."""
    try:
        return places_in(project_text(project.file))
    except InputError:
        return {}

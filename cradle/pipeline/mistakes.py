"""Mistakes found in what a project names, each with the line of the project file that it belongs to."""

from __future__ import annotations

from collections.abc import Sequence

from cradle.errors import CombinedError, InputError, Problem, ProjectError
from cradle.names import section_words
from cradle.project.project import Project
from cradle.project.reader import project_text
from cradle.project.toml_positions import KeyPath, Place, line_of, places_in


def project_mistakes(errors: Sequence[tuple[KeyPath, InputError]], *, project: Project) -> ProjectError:
    """The errors as those of the project file, each with the line of its table."""
    places = _places(project)
    return ProjectError(
        str(project.file),
        tuple(
            Problem(where=e.where, found=e.found, hint=e.hint, line=line_of(places, path))
            for path, e in errors
        ),
    )


def placing_mistakes(error: InputError, *, project: Project) -> ProjectError:
    """What was found wrong when sections and sides were compared, with lines."""
    errors = error.errors if isinstance(error, CombinedError) else (error,)
    return project_mistakes([(_path(e.where, project), e) for e in errors], project=project)


def _path(where: str, project: Project) -> KeyPath:
    """The table that an error's place means: a section by its name, a view by its side, a key by its dots."""
    for number, spec in enumerate(project.sections):
        if where.startswith(section_words(spec.name)):
            return ("section", number)
    for number, view in enumerate(project.views):
        if where == view.where:
            return ("view", number)
    return tuple(where.split("."))


def _places(project: Project) -> dict[KeyPath, Place]:
    """Where the tables of the project file stand; none where it is not to be read, as for a text that is no file yet."""
    try:
        return places_in(project_text(project.file))
    except InputError:
        return {}

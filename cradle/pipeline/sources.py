"""All that was measured of a thing's outside: outlines, profiles and views, and all that is wrong with them at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import TypeVar

from cradle.capture.outline import Outline
from cradle.capture.outline_reader import read_outline, read_profile, read_view
from cradle.errors import InputError
from cradle.pipeline.lines import with_lines
from cradle.project.project import Project
from cradle.project.side import Side
from cradle.project.toml_positions import KeyPath
from cradle.sections.section import Profiles
from cradle.sections.views import View

T = TypeVar("T")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Sources:
    """What the files of a project say: an outline for every section, and the sides that were read."""

    outlines: tuple[Outline, ...]
    profiles: Profiles
    views: tuple[View, ...]


def read_sources(project: Project, *, outlines: tuple[Outline, ...] | None = None) -> Sources:
    """All that a project's sections, sides and views name, read.

    Parameters
    ----------
    project : Project
    outlines : tuple of Outline, optional
        Those of the sections, where they were read before.

    Raises
    ------
    ProjectError
        If any cannot be used: each with the line of its table in the project file.
    """
    wrong: list[tuple[KeyPath, InputError]] = []

    def tried(path: KeyPath, read: Callable[[], T]) -> tuple[T, ...]:
        try:
            return (read(),)
        except InputError as error:
            wrong.append((path, error))
            return ()

    folder = project.folder
    if outlines is None:
        outlines = tuple(
            outline
            for number, spec in enumerate(project.sections)
            for outline in tried(("section", number), partial(read_outline, spec, folder=folder))
        )
    profiles = {
        side: profile
        for side in Side
        if (name := getattr(project.side, side)) is not None
        for profile in tried(("side", side), partial(read_profile, folder / name, where=name))
    }
    views = tuple(
        View(spec=spec, points_mm=outline.points_mm)
        for number, spec in enumerate(project.views)
        for outline in tried(("view", number), partial(read_view, spec, folder=folder))
    )
    if wrong:
        raise with_lines(wrong, project=project)
    return Sources(outlines=outlines, profiles=Profiles(**profiles), views=views)

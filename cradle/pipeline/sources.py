"""All that was measured of a thing's outside: outlines, profiles and views, and all that is wrong with them at once."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TypeVar

from cradle.capture.outline_reader import ReadOutline, read_outline, read_view
from cradle.capture.profile_reader import read_profile
from cradle.errors import InputError
from cradle.pipeline.mistakes import project_mistakes
from cradle.placing.to_place import ToPlace
from cradle.project.project import Project
from cradle.project.side import Side
from cradle.project.toml_positions import KeyPath
from cradle.sections.profiles import Profiles
from cradle.views.silhouette import Silhouette

T = TypeVar("T")


def read_sources(project: Project, *, read: ReadOutline = read_outline) -> ToPlace:
    """All that a project's sections, sides and views name, read.

    Parameters
    ----------
    read : callable
        What reads the outline of a section or a view.

    Raises
    ------
    ProjectError
        If any cannot be used: each with the line of its table in the project file.
    """
    wrong: list[tuple[KeyPath, InputError]] = []

    def tried(path: KeyPath, reading: Callable[[], T]) -> tuple[T, ...]:
        """What was read, alone; nothing where it cannot be used, which is noted."""
        try:
            return (reading(),)
        except InputError as error:
            wrong.append((path, error))
            return ()

    folder = project.folder
    outlines = tuple(
        outline
        for spec in project.sections
        for outline in tried(("section", spec.number), partial(read, spec, folder=folder))
    )
    profiles = {
        side: profile
        for side in Side
        if (name := getattr(project.side, side)) is not None
        for profile in tried(("side", side), partial(read_profile, folder / name, where=name))
    }
    views = tuple(
        Silhouette.of(spec, outline)
        for number, spec in enumerate(project.views)
        for outline in tried(("view", number), partial(read_view, spec, folder=folder, read=read))
    )
    if wrong:
        raise project_mistakes(wrong, project=project)
    return ToPlace(
        outlines=outlines,
        specs=project.sections,
        align=project.loft.align,
        profiles=Profiles(**profiles),
        views=views,
        spread=project.spread,
    )

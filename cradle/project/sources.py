"""The files that a project takes its sections, views, profiles and trials from."""

from __future__ import annotations

from pathlib import Path

from cradle.project.picture_spec import PictureSource
from cradle.project.spec import DrawingSource, Project
from cradle.project.trial_log import TRIALS_FILE


def source_files(project: Project) -> tuple[Path, ...]:
    """Paths of a project's file, its drawings, pictures and views, side profiles, its trials; they need not exist."""
    names: list[str | None] = []
    sources = [*(section.source for section in project.sections), *(view.source for view in project.views)]
    for source in sources:
        if isinstance(source, DrawingSource):
            names.append(source.path)
        elif isinstance(source, PictureSource):
            names += [source.file, source.back_file]
    side = project.side
    names += [side.front, side.back, side.left, side.right, TRIALS_FILE]
    return (project.file, *(project.folder / name for name in names if name is not None))

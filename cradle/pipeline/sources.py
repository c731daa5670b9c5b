"""All that a project names, read: outlines of sections and views, and side profiles."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Protocol, TypeVar

from cradle.capture.one_look import OneLook
from cradle.capture.outline import Outline
from cradle.capture.outline_reader import ReadOutline, read_outline, read_view
from cradle.capture.profile_reader import read_profile
from cradle.errors import InputError
from cradle.files.file_stamp import stamp_of
from cradle.files.side_by_side import Batch, Done, one_by_one
from cradle.noun import record
from cradle.pipeline.mistakes import project_mistakes
from cradle.placing.to_place import ToPlace
from cradle.project.picture import PictureSource
from cradle.project.project import Project
from cradle.project.section import Source, outline_key
from cradle.project.side import Side
from cradle.project.toml_positions import KeyPath
from cradle.sections.profiles import Profiles
from cradle.views.silhouette import Silhouette

T = TypeVar("T")


class ReadEach(Protocol):
    """What does batches of tasks: `cradle.files.side_by_side.one_by_one`, or several at once."""

    def __call__(self, batches: Sequence[Batch[Outline]], /) -> list[Done[Outline]]:
        """The results of each batch."""


def read_sources(
    project: Project, *, read: ReadOutline | None = None, each: ReadEach = one_by_one
) -> ToPlace:
    """All that a project's sections, sides and views name, read.

    Parameters
    ----------
    read : callable, optional
        What reads the outline of a section or a view; `cradle.capture.outline_reader.read_outline` if not given.
    each : callable
        What has pictures traced; those that hold several outlines are one batch.

    Raises
    ------
    ProjectError
        If any cannot be used: each with the line of the project file that names it.
    """
    asked = _asked(project, read or partial(read_outline, trace=OneLook()))
    found = _read(asked, folder=project.folder, each=each)
    gauged = {side: name for side in Side if (name := getattr(project.side, side)) is not None}
    (profiles,) = one_by_one(
        [[partial(read_profile, project.folder / name, where=name) for name in gauged.values()]]
    )
    keys: list[KeyPath] = [*(one.key for one in asked), *(("side", side) for side in gauged)]
    results = [*found, *profiles]
    wrong = [
        (key, problem)
        for key, error in zip(keys, results, strict=True)
        if isinstance(error, InputError)
        for problem in error.problems
    ]
    if wrong:
        raise project_mistakes(wrong, project=project)
    outlines = _usable(found)
    sections = len(project.sections)
    return ToPlace(
        outlines=tuple(outlines[:sections]),
        specs=project.sections,
        align=project.loft.align,
        profiles=Profiles(**dict(zip(gauged, _usable(profiles), strict=True))),
        views=tuple(map(Silhouette.of, project.views, outlines[sections:])),
        spread=project.spread,
    )


def _usable(results: Done[T]) -> list[T]:
    """The results without the errors."""
    return [result for result in results if not isinstance(result, InputError)]


@record
class _Asked:
    """An outline to be read, and the key of the project file that says where from."""

    key: KeyPath
    source: Source
    task: Callable[[], Outline]


def _asked(project: Project, read: ReadOutline) -> list[_Asked]:
    """The outlines of all sections, then those of all views."""
    sections = [
        _Asked(
            key=("section", spec.number, *outline_key(spec.source)),
            source=spec.source,
            task=partial(read, spec, folder=project.folder),
        )
        for spec in project.sections
    ]
    views = [
        _Asked(
            key=("view", number, *outline_key(spec.source)),
            source=spec.source,
            task=partial(read_view, spec, folder=project.folder, read=read),
        )
        for number, spec in enumerate(project.views)
    ]
    return sections + views


def _read(asked: Sequence[_Asked], *, folder: Path, each: ReadEach) -> Done[Outline]:
    """What came of each: the outlines of a picture in one batch, the largest pictures first, all else here."""
    here: list[int] = []
    of_picture: dict[str, list[int]] = {}
    for number, one in enumerate(asked):
        of = of_picture.setdefault(one.source.file, []) if isinstance(one.source, PictureSource) else here
        of.append(number)
    pictures = sorted(of_picture.values(), key=lambda numbers: -_bytes(asked[numbers[0]].source, folder))

    def batch(numbers: Sequence[int]) -> Batch[Outline]:
        return [asked[number].task for number in numbers]

    results = [*one_by_one([batch(here)]), *each([batch(numbers) for numbers in pictures])]
    found = {
        number: outline
        for numbers, outlines in zip([here, *pictures], results, strict=True)
        for number, outline in zip(numbers, outlines, strict=True)
    }
    return [found[number] for number in range(len(asked))]


def _bytes(source: Source, folder: Path) -> int:
    """The size of what a source names: two pictures where a cut-out's back has its own."""
    assert isinstance(source, PictureSource)
    return sum(stamp_of(folder / name)[2] for name in (source.file, source.back_file) if name is not None)

"""What a process did before for the same project: outlines read, pictures traced, sections placed.

A picture is traced once, however often readings or heights beside it change,
and the sections stay where they are while the holder around them changes.
"""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.capture.one_look import OneLook
from cradle.capture.outline import Outline
from cradle.capture.outline_reader import judged, source_outline
from cradle.capture.traced_picture import TracedPicture
from cradle.errors import InputError, attempted, given
from cradle.files.file_stamp import Stamp, stamp_of
from cradle.geometry.arrays import Floats, frozen
from cradle.placing.place import Placed, place_sections
from cradle.placing.to_place import ToPlace
from cradle.project.picture import PictureSource
from cradle.project.section import DrawingSource, SectionSpec
from cradle.project.side import Side

if TYPE_CHECKING:
    from cradle.capture.tracing import TracePicture

_MOST: Final = 200
_MOST_TRACED: Final = 2
"""Pictures are large; two are what a section of two needs, or one that tells no scale: what was wrong, and its outlines."""
_NONE: Final = frozen(np.zeros((0, 2)))
"""Stands for a profile that was not read."""


class KeptOutlines:
    """Reads outlines and places sections, and keeps what came of it while all that it depends on is the same.

    Parameters
    ----------
    trace : callable, optional
        What traces pictures; each is looked at once if not given.
    """

    def __init__(self, trace: TracePicture | None = None) -> None:
        self._trace = trace or OneLook()
        self._kept: dict[tuple[object, ...], Outline | InputError] = {}
        self._judged: dict[tuple[object, ...], Outline] = {}
        self._traced: dict[tuple[Stamp, PictureSource], TracedPicture | InputError] = {}
        self._placed: tuple[ToPlace, Placed] | None = None

    def has(self, spec: SectionSpec, *, folder: Path) -> bool:
        """Whether the outline of a section was read before."""
        return _key(spec, folder) in self._kept

    def read(self, spec: SectionSpec, *, folder: Path) -> Outline:
        """The outline of a section, as `cradle.capture.outline_reader.read_outline` gives it; errors as there."""
        key = _key(spec, folder)
        if key not in self._kept:
            if len(self._kept) >= _MOST:
                self._kept.clear()
                self._judged.clear()
            self._kept[key] = attempted(partial(source_outline, spec, folder=folder, trace=self.traced))
        found = given(self._kept[key])
        as_read = (*key, spec.width_mm is None, spec.depth_mm is None)
        if as_read not in self._judged:
            self._judged[as_read] = judged(found, spec)
        return self._judged[as_read]

    def traced(self, path: Path, spec: PictureSource) -> TracedPicture:
        """What `cradle.capture.tracing.trace_picture` gives, errors as there; what the last two gave is kept."""
        key = (stamp_of(path), spec)
        if key not in self._traced:
            self._traced = dict(list(self._traced.items())[1 - _MOST_TRACED :])
            self._traced[key] = attempted(partial(self._trace, path, spec))
        return given(self._traced[key])

    def placed(self, given: ToPlace) -> Placed:
        """What `cradle.placing.place.place_sections` gives; the last placing is kept, errors as there."""
        if self._placed is None or not _alike(given, self._placed[0]):
            self._placed = (given, place_sections(given))
        return self._placed[1]


def _alike(one: ToPlace, other: ToPlace) -> bool:
    """Whether both say the same; outlines are the same where they were read once."""
    return (
        _specs(one) == _specs(other)
        and list(map(id, one.outlines)) == list(map(id, other.outlines))
        and all(np.array_equal(a, b) for a, b in zip(_arrays(one), _arrays(other), strict=True))
    )


def _specs(given: ToPlace) -> tuple[object, ...]:
    return given.specs, given.align, given.spread, [view.spec for view in given.views]


def _arrays(given: ToPlace) -> list[Floats]:
    profiles = map(given.profiles.of, Side)
    return [_NONE if p is None else p.points_mm for p in profiles] + [view.points_mm for view in given.views]


def _key(spec: SectionSpec, folder: Path) -> tuple[object, ...]:
    """All that a source's outline depends on: of the readings the depth alone, where it joins two pieces."""
    files: list[str | None] = []
    depth_mm = None
    if isinstance(spec.source, DrawingSource):
        files = [spec.source.path]
    elif isinstance(spec.source, PictureSource):
        files = [spec.source.file, spec.source.back_file]
        if spec.source.back is not None or spec.source.back_file is not None:
            depth_mm = spec.depth_mm
    stamps: tuple[Stamp, ...] = tuple(stamp_of(folder / name) for name in files if name is not None)
    return (spec.source, spec.half, spec.name, depth_mm, stamps)

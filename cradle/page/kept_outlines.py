"""Outlines that were read before: a picture is traced once, however often readings or heights beside it change."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from cradle.capture.outline import Outline
from cradle.capture.outline_reader import judged, source_outline
from cradle.capture.traced_picture import TracedPicture
from cradle.errors import CradleError
from cradle.page.file_stamp import Stamp, stamp_of
from cradle.project.picture import PictureSource
from cradle.project.section import DrawingSource, SectionSpec

_MOST: Final = 200


class KeptOutlines:
    """Reads outlines, and keeps those whose source and files are still the same."""

    def __init__(self) -> None:
        self._kept: dict[tuple[object, ...], Outline | CradleError] = {}
        self._last: tuple[tuple[Stamp, PictureSource], TracedPicture] | None = None

    def read(self, spec: SectionSpec, *, folder: Path) -> Outline:
        """The outline of a section, as `cradle.capture.outline_reader.read_outline` gives it; errors as there."""
        key = _key(spec, folder)
        if key not in self._kept:
            if len(self._kept) >= _MOST:
                self._kept.clear()
            try:
                self._kept[key] = source_outline(spec, folder=folder, trace=self.traced)
            except CradleError as error:
                self._kept[key] = error
        found = self._kept[key]
        if isinstance(found, CradleError):
            raise found.with_traceback(None)
        return judged(found, spec)

    def traced(self, path: Path, spec: PictureSource) -> TracedPicture:
        """What `cradle.capture.tracing.trace_picture` gives; the last picture is kept, errors as there."""
        from cradle.capture.tracing import trace_picture

        key = (stamp_of(path), spec)
        if self._last is None or self._last[0] != key:
            self._last = (key, trace_picture(path, spec))
        return self._last[1]


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

"""The tags of a DXF file written by hand or by a short program, with what the reader cannot do without.

A *tag* is a group code and its value, a *record* the tags from one of code 0 to the next
(DXF Reference, DXF File Structure). Nothing is added that the file could have said otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from cradle.errors import CaptureError
from cradle.files.isolation import without_settings

with without_settings():
    from ezdxf.lldxf.types import DXFTag

MARKED: Final = {"LWPOLYLINE": "AcDbPolyline", "SPLINE": "AcDbSpline"}
"""Entities that are read by their subclass markers, which came with R13 as they did, and the marker of each."""
_COMMON: Final = frozenset({6, 8, 48, 60, 62, 67, 370, 420, 430, 440})
"""Codes that all entities have in common: line type, layer, scale, visibility, colour, space, width, transparency."""
_HANDLE: Final = 5
_MARKER: Final = 100
_VERSION: Final = DXFTag(9, "$ACADVER")
_R2000: Final = DXFTag(1, "AC1015")
_FIRST_MARKED: Final = "AC1012"
"""R13."""


def completed(tags: Iterable[DXFTag], *, marked: bool) -> Iterator[DXFTag]:
    """The tags with subclass markers where they lack, the version that has such, and an end.

    Parameters
    ----------
    marked : bool
        Whether some of the entities are of `MARKED`.

    Raises
    ------
    CaptureError
        If the file ends within a section.
    """
    last = None
    for number, record in enumerate(_records(tags)):
        last = record[0].value
        if not marked:
            yield from record
            continue
        if number == 0 and not _is_header(record):
            yield from (DXFTag(0, "SECTION"), DXFTag(2, "HEADER"), _VERSION, _R2000, DXFTag(0, "ENDSEC"))
        yield from _of_version(record) if _is_header(record) else _with_markers(record)
    if last not in ("EOF", "ENDSEC"):
        raise CaptureError(
            "the file ends within a section, without ENDSEC and EOF: a part of the outline may be missing",
            hint="save the drawing as DXF again, or end the file as it should",
        )
    if last == "ENDSEC":
        yield DXFTag(0, "EOF")


def _records(tags: Iterable[DXFTag]) -> Iterator[list[DXFTag]]:
    record: list[DXFTag] = []
    for tag in tags:
        if tag.code == 0 and record:
            yield record
            record = []
        record.append(tag)
    if record:
        yield record


def _is_header(record: list[DXFTag]) -> bool:
    return record[:2] == [DXFTag(0, "SECTION"), DXFTag(2, "HEADER")]


def _of_version(header: list[DXFTag]) -> list[DXFTag]:
    """A header of a version that has subclass markers."""
    if _VERSION not in header:
        return [*header[:2], _VERSION, _R2000, *header[2:]]
    at = header.index(_VERSION) + 1
    older = at < len(header) and header[at].value < _FIRST_MARKED
    return [*header[:at], _R2000, *header[at + 1 :]] if older else header


def _with_markers(record: list[DXFTag]) -> list[DXFTag]:
    marker = MARKED.get(record[0].value)
    if marker is None or [tag.value for tag in record if tag.code == _MARKER] == ["AcDbEntity", marker]:
        return record
    plain = [tag for tag in record[1:] if tag.code != _MARKER]
    return [
        record[0],
        *(tag for tag in plain if tag.code == _HANDLE),
        DXFTag(_MARKER, "AcDbEntity"),
        *(tag for tag in plain if tag.code in _COMMON),
        DXFTag(_MARKER, marker),
        *(tag for tag in plain if tag.code != _HANDLE and tag.code not in _COMMON),
    ]

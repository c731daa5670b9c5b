"""The bytes of a DXF file as an ezdxf document, within bounds that keep time and memory small.

In a file written by hand or by a short program, what ezdxf cannot do without is added, but nothing that the file could have
stated differently. A *tag* is a group code and its value, a *record* the tags from one of code 0 to the next (DXF Reference, DXF
File Structure).
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Iterator
from typing import Any, Final

from cradle.errors import CaptureError
from cradle.files.isolation import without_settings

with without_settings():
    from ezdxf.document import Drawing
    from ezdxf.filemanagement import dxf_stream_info
    from ezdxf.lldxf.const import DXFError
    from ezdxf.lldxf.tagger import ascii_tags_loader, binary_tags_loader
    from ezdxf.lldxf.validator import is_dxf_stream

_MOST_RECORDS: Final = 100_000
"""Entities, corners of old polylines, table entries: each costs the reader some 0.08 ms and 2 kB."""
_MOST_LINES: Final = 3_000_000
"""Lines of a text file, two for each value: 400,000 points have half of them."""
_RECORD: Final = re.compile(rb"^[ \t]*0[ \t]*\r?\n[ \t]*[A-Za-z]", re.MULTILINE)
_BINARY: Final = b"AutoCAD Binary DXF\r\n\x1a\x00"
"""How a binary file begins (DXF Reference, Binary DXF files)."""
_BINARY_RECORD: Final = re.compile(rb"\x00\x00?[A-Z][0-9A-Z_]+\x00")
_UNIT: Final = "$INSUNITS"
_MARK: Final = b"\xef\xbb\xbf"
"""What some editors put before a text in UTF-8."""
_LARGEST_BINARY: Final = 8_000_000
"""Binary values take two to ten bytes each."""


def dxf_document(data: bytes) -> Any:
    """The document that a text or binary DXF file holds, an ``ezdxf`` drawing.

    Raises
    ------
    CaptureError
        If it holds more records or lines than are read, or ends within a section.

    Notes
    -----
    What ezdxf raises on damaged files passes through. A file without a header states no unit, though ezdxf gives it metres.
    """
    data = data.removeprefix(_MARK)
    binary = data.startswith(_BINARY)
    records = sum(1 for _ in (_BINARY_RECORD if binary else _RECORD).finditer(data))
    if (
        records > _MOST_RECORDS
        or (binary and len(data) > _LARGEST_BINARY)
        or (not binary and data.count(b"\n") > _MOST_LINES)
    ):
        raise CaptureError(
            f"the drawing has {records} records in {len(data) / 1e6:.1f} MB, too much for an outline",
            hint="save the outline alone",
        )
    tags = binary_tags_loader(data) if binary else _text_tags(data)
    document = Drawing.load(completed(tags, marked=any(name.encode() in data for name in MARKED)))
    if _UNIT.encode() not in data and _UNIT in document.header:
        del document.header[_UNIT]
    return document


def _text_tags(data: bytes) -> Any:
    if not is_dxf_stream(_text(data, "utf-8", errors="ignore")):
        raise DXFError("not a DXF file")
    info = dxf_stream_info(_text(data, "utf-8", errors="ignore"))
    return ascii_tags_loader(_text(data, info.encoding, errors="surrogateescape"))


def _text(data: bytes, encoding: str, *, errors: str) -> io.TextIOWrapper:
    return io.TextIOWrapper(io.BytesIO(data), encoding=encoding, errors=errors)


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
    """The tags with what is missing added: subclass markers, a version that has them, and the end of the file.

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

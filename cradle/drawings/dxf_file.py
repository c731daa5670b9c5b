"""The bytes of a DXF file as an ezdxf document, within bounds that keep time and memory small."""

from __future__ import annotations

import io
import re
from typing import Any, Final

from cradle.drawings.dxf_tags import MARKED, completed
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

    Parameters
    ----------
    data : bytes
        The file.

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

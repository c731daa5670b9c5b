"""How many scans a JPEG file has: decoding each goes over the whole picture, however few bytes it takes in the file."""

from __future__ import annotations

import re
from typing import Final

MOST_SCANS: Final = 100
"""Usual files have 10 (libjpeg's jpeg_simple_progression, from memory); libtiff decodes no more (DEFAULT_MAX_ALLOWED_SCAN_NUMBER, from memory)."""
_MARKER: Final = re.compile(rb"\xff([^\x00\xd0-\xd7\xff])", re.DOTALL)
"""A marker, except those that stand within a scan: a stuffed 0 and restarts (ITU-T T.81, B.1.1)."""
_BEGIN, _END, _SCAN = b"\xd8", b"\xd9", b"\xda"


def scan_count(data: bytes) -> int:
    r"""How many scans stand in the first picture of a JPEG file (ITU-T T.81, B.2).

    Examples
    --------
    >>> scan_count(b"\xff\xd8\xff\xe1\0\4\xff\xda" + 2 * b"\xff\xda\0\2\7\xff\0\xff\xd3" + b"\xff\xd9\xff\xda\0\2")
    2
    """
    count = at = 0
    while (found := _MARKER.search(data, at)) is not None and found[1] != _END:
        count += found[1] == _SCAN
        at = found.end()
        if found[1] != _BEGIN:  # all others tell how long they are
            at += int.from_bytes(data[at : at + 2])
    return count

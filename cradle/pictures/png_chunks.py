"""Whether the chunks of a PNG file are as they were written: each carries a check sum, which decoders pass over."""

from __future__ import annotations

import zlib
from typing import Final

_SIGNATURE: Final = b"\x89PNG\r\n\x1a\n"
_END: Final = b"IEND"


def damaged_chunk(data: bytes) -> str | None:
    r"""The kind of the first chunk that the picture needs and whose check sum is not its own; None where there is none.

    Needed are those whose kind begins with a capital letter (W3C PNG, 5.4); the
    sum is the CRC-32 of kind and content (5.3, 5.5). What is cut short is left to the decoder.

    Examples
    --------
    >>> sound = b"\x89PNG\r\n\x1a\n" + b"\0\0\0\0IEND\xaeB`\x82"
    >>> damaged_chunk(sound), damaged_chunk(sound[:-1] + b"\x83")
    (None, 'IEND')
    """
    at = len(_SIGNATURE) if data.startswith(_SIGNATURE) else len(data)
    view = memoryview(data)
    while at + 12 <= len(data):
        end = at + 8 + int.from_bytes(data[at : at + 4])
        kind = data[at + 4 : at + 8]
        if end + 4 > len(data):
            return None
        if kind[:1].isupper() and zlib.crc32(view[at + 4 : end]) != int.from_bytes(data[end : end + 4]):
            return kind.decode("latin-1")
        if kind == _END:
            return None
        at = end + 4
    return None

"""A decoded picture as a file that every browser shows: upright, and without its own file's tags."""

from __future__ import annotations

from typing import Final

from cradle.errors import InternalError
from cradle.pictures.image import Picture

_QUALITY: Final = 92
"""Quality of the JPEG: edges stay as sharp as a lens leaves them."""


def upright_jpeg(picture: Picture) -> bytes:
    """The picture as JPEG, pixel for pixel.

    Raises
    ------
    InternalError
        If it cannot be encoded.
    """
    import cv2

    levels = picture.grey if picture.colour is None else picture.colour[..., ::-1]
    done, data = cv2.imencode(".jpg", levels, [cv2.IMWRITE_JPEG_QUALITY, _QUALITY])
    if not done:
        raise InternalError("the picture cannot be shown", where=picture.file)
    return bytes(data)

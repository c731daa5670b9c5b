"""TIFF and Exif tags of a picture file: which there are, and what they tell of the camera that took it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Final

from cradle.pictures.picture_file import DECODER_FAULTS
from cradle.pictures.resolution import RESOLUTION_TAGS

if TYPE_CHECKING:
    from PIL import Image

_ORIENTATION: Final = 274
_ON_ITS_SIDE: Final = (5, 6, 7, 8)
"""Orientations in which the file's rows are columns of the upright picture (TIFF 6.0, Orientation)."""
_BY_CAMERA: Final = (33434, 33437, 37386)
"""Exposure time, aperture and focal length in Exif: only a camera has them."""
_FOCAL_IN_FILM: Final = 41989
_SEEN_WIDTH, _SEEN_HEIGHT = 40962, 40963
_SHAPE: Final = 0.01
"""A picture whose aspect ratio differs from the camera's by a larger part than this was cropped."""
_EXIF_PART: Final = 0x8769


def tags_of(image: Image.Image) -> dict[int, Any]:
    """The tags by number; none when they are damaged."""
    if image.format == "TIFF":
        own = getattr(image, "tag_v2", {})
        return {tag: own[tag] for tag in (*_BY_CAMERA, *RESOLUTION_TAGS, _ORIENTATION) if tag in own}
    try:
        exif = image.getexif()
        return {**dict(exif), **dict(exif.get_ifd(_EXIF_PART))}
    except DECODER_FAULTS:
        return {}


def is_by_camera(tags: Mapping[int, Any]) -> bool:
    """Whether a camera took it."""
    return any(tag in tags for tag in _BY_CAMERA)


def is_upright(tags: Mapping[int, Any]) -> bool:
    """Whether the picture is stored upright."""
    return tags.get(_ORIENTATION, 1) == 1


def is_on_its_side(tags: Mapping[int, Any]) -> bool:
    """Whether the picture is stored turned by a quarter: its width in the file is its height when upright."""
    return tags.get(_ORIENTATION) in _ON_ITS_SIDE


def focal_film_mm(tags: Mapping[int, Any], size_px: tuple[int, int]) -> float | None:
    """Exif FocalLengthIn35mmFilm; None when absent, 0 (unknown), or when the picture was cut afterwards.

    The tag holds for the whole picture the camera took, whose sides Exif keeps too.
    """
    try:
        focal = float(tags.get(_FOCAL_IN_FILM, 0))
        sides = sorted(float(tags.get(tag, 0)) for tag in (_SEEN_WIDTH, _SEEN_HEIGHT))
    except (TypeError, ValueError):
        return None
    if not 5.0 <= focal <= 500.0:
        return None
    if sides[0] > 0 and abs((sides[1] / sides[0]) / (max(size_px) / min(size_px)) - 1) > _SHAPE:
        return None
    return focal

"""Opening picture files: in which formats they may be read, and which are refused."""

from __future__ import annotations

import importlib
import math
import struct
import warnings
import zlib
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, Final

from cradle.errors import CaptureError
from cradle.files.isolation import unheard
from cradle.files.reading import FileKind, open_file
from cradle.pictures.jpeg_damage import is_damaged
from cradle.pictures.jpeg_scans import MOST_SCANS, scan_count

if TYPE_CHECKING:
    from collections.abc import Iterator

    from PIL import Image

_LARGEST_MEGAPIXELS: Final = 80
"""An A4 page at 600 dpi has 35, at 900 dpi 79."""
SMALLEST_PX: Final = 32
_LONGEST_PX: Final = 32_000
"""OpenCV's maps between pictures reach 32766 px; an A4 page at 2400 dpi has 28063."""

_SMALLER: Final = "scan at 300 dpi, or cut the picture down to the paper"
_AGAIN: Final = "copy or save it again"
_KIND: Final = FileKind(
    most_bytes=700_000_000,  # the largest picture in 16-bit RGBA, as it is
    missing="check its name and folder",
    folder="name a picture in it",
    large=_SMALLER,
    error=CaptureError,
)
_HEIC: Final = (".heic", ".heif")
_HEIC_BRANDS: Final = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1")
"""Brands in a file's first box that mark it as HEIC, whatever its ending (ISO/IEC 23008-12, from memory)."""
_PDF: Final = b"%PDF"
_HEAD: Final = 12
"""Number of first bytes that tell a file's format."""
_FORMATS: Final = ("PNG", "JPEG", "TIFF", "BMP", "WEBP", "GIF")
_TILE: Final = (322, 323)
"""TileWidth and TileLength (TIFF 6.0, section 15)."""
DECODER_FAULTS: Final = (
    OSError,
    SyntaxError,
    ValueError,
    TypeError,
    LookupError,
    AttributeError,
    ArithmeticError,
    RuntimeError,
    AssertionError,
    EOFError,
    MemoryError,
    struct.error,
    zlib.error,
)
"""What decoders raise on damaged files."""


@contextmanager
def opened_picture(path: Path, *, name: str) -> Iterator[Image.Image]:
    """A picture file, open for the block that decodes it; whatever a decoder raises in the block becomes a `CaptureError`.

    Raises
    ------
    CaptureError
        As `read_picture` says.
    """
    from PIL import Image, UnidentifiedImageError

    try:
        with (
            warnings.catch_warnings(action="ignore"),  # oddities of the file; its size is checked below
            unheard(),
            open_file(path, where=name, kind=_KIND) as file,
            Image.open(file, formats=_formats(file, ending=path.suffix.lower(), name=name)) as image,
        ):
            check_size(image.size, name)
            _check_tiles(image, name)
            if image.format == "PNG":
                _check_sums(file, name)
            if image.format in ("JPEG", "MPO"):
                _check_jpeg(file, image, name)
            yield image
    except Image.DecompressionBombError as error:
        raise CaptureError(
            f"the picture has more than {_LARGEST_MEGAPIXELS} million pixels", where=name, hint=_SMALLER
        ) from error
    except UnidentifiedImageError as error:
        raise CaptureError(
            "this is not a picture that can be read, or it is damaged",
            where=name,
            hint="save it as PNG, JPEG or TIFF with 8 or 16 bits a channel",
        ) from error
    except CaptureError:
        raise
    except DECODER_FAULTS as error:
        raise CaptureError("the picture is damaged or cut short", where=name, hint=_AGAIN) from error


def _formats(file: BinaryIO, *, ending: str, name: str) -> tuple[str, ...]:
    """The formats a file may be read in; PDF and HEIC are known by their first bytes too, whatever the ending."""
    head = file.read(_HEAD)
    file.seek(0)
    if head.startswith(_PDF):
        raise CaptureError(
            "this is a PDF document, no picture",
            where=name,
            hint="have the scanner save PNG, JPEG or TIFF, or export the page as one of these at its full resolution",
        )
    if ending in _HEIC or (head[4:8] == b"ftyp" and head[8:12] in _HEIC_BRANDS):
        _let_heic_be_read(name)
        return (*_FORMATS, "HEIF")
    return _FORMATS


def check_size(size: tuple[int, int], name: str) -> None:
    """Refuse a picture of more or fewer pixels than can be traced."""
    width, height = size
    if width * height > _LARGEST_MEGAPIXELS * 1_000_000:
        raise CaptureError(
            f"the picture has {width} x {height} pixels, {_LARGEST_MEGAPIXELS} million at most are allowed",
            where=name,
            hint=_SMALLER,
        )
    if min(width, height) < SMALLEST_PX:
        raise CaptureError(
            f"the picture has {width} x {height} pixels, at least {SMALLEST_PX} each way are needed",
            where=name,
        )
    if max(width, height) > _LONGEST_PX:
        raise CaptureError(
            f"the picture has {width} x {height} pixels, at most {_LONGEST_PX} each way are allowed",
            where=name,
            hint=_SMALLER,
        )


def _check_tiles(image: Image.Image, name: str) -> None:
    """Refuse a TIFF file whose tiles reach far past its picture: each is decoded whole."""
    tags = getattr(image, "tag_v2", {}) if image.format == "TIFF" else {}
    sides = [side for tag in _TILE if isinstance(side := tags.get(tag), int)]
    if math.prod(sides) > _LARGEST_MEGAPIXELS * 1_000_000:
        raise CaptureError(
            f"a tile of the picture has {' x '.join(map(str, sides))} pixels, {_LARGEST_MEGAPIXELS} million at most are allowed",
            where=name,
            hint="save it again without tiles",
        )


@contextmanager
def _from_start(file: BinaryIO) -> Iterator[None]:
    """Within the block the file stands at its beginning; after it where it was."""
    place = file.tell()
    file.seek(0)
    try:
        yield
    finally:
        file.seek(place)


def _check_sums(file: BinaryIO, name: str) -> None:
    """Refuse a PNG file whose check sums are not right (W3C PNG, 5.3 and 5.5), which decoding passes over."""
    from PIL import Image

    try:
        with _from_start(file), Image.open(file, formats=("PNG",)) as image:
            image.verify()
    except SyntaxError as error:
        raise CaptureError(
            "the picture is damaged: the check sum of a part of it is not right", where=name, hint=_AGAIN
        ) from error
    except OSError:  # cut short: whether behind all of the picture is told by decoding it
        pass


def _check_jpeg(file: BinaryIO, image: Image.Image, name: str) -> None:
    """Refuse a JPEG file whose many scans would take hours to decode, or whose code shows that it was damaged."""
    with _from_start(file):
        data = file.read()
    if "progressive" in image.info and (count := scan_count(data)) > MOST_SCANS:
        raise CaptureError(
            f"the picture is drawn in {count} scans, {MOST_SCANS} at most are allowed",
            where=name,
            hint="save it again as a JPEG without scans, or as PNG",
        )
    if is_damaged(data):
        raise CaptureError("the picture is damaged: a part of it cannot be decoded", where=name, hint=_AGAIN)


def _let_heic_be_read(name: str) -> None:
    try:
        register = importlib.import_module("pillow_heif").register_heif_opener
    except ImportError as error:
        raise CaptureError(
            "HEIC pictures cannot be read here",
            where=name,
            hint="save it as JPEG (most phones can be set to take JPEG pictures), or install pillow-heif",
        ) from error
    register()

"""Decode picture files: the only place that knows Pillow's decoders.

Every kind of picture becomes 8-bit grey and, if it has any colour, 8-bit RGB,
upright as it was taken, transparent parts white. Here, and nowhere else, rows
and columns become coordinates: column is x to the right, row is y down.
"""

from __future__ import annotations

import importlib
import math
import struct
import warnings
import zlib
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO, Final

import numpy as np
from numpy.typing import NDArray

from cradle.errors import CaptureError
from cradle.files.isolation import unheard
from cradle.files.reading import FileKind, open_file
from cradle.noun import noun
from cradle.pictures.jpeg_damage import is_damaged
from cradle.pictures.jpeg_scans import MOST_SCANS, scan_count
from cradle.pictures.resolution import Resolution, read_resolution

if TYPE_CHECKING:
    from collections.abc import Iterator

    from PIL import Image

    from cradle.geometry.arrays import Bytes


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
"""Of the first box of such a file, whatever its ending (ISO/IEC 23008-12, from memory)."""
_PDF: Final = b"%PDF"
_HEAD: Final = 12
"""So many first bytes tell."""
_FORMATS: Final = ("PNG", "JPEG", "TIFF", "BMP", "WEBP")
_ORIENTATION: Final = 274
_CAMERA_TAGS: Final = (33434, 33437, 37386)
"""Exposure time, aperture and focal length in Exif: only a camera has them."""
_FOCAL_IN_FILM: Final = 41989
_SEEN_WIDTH, _SEEN_HEIGHT = 40962, 40963
_SHAPE: Final = 0.01
"""Sides of a picture whose ratio differs by more from the camera's have been cut."""
_BITS: Final = 258
"""BitsPerSample (TIFF 6.0, section 8)."""
_TILE: Final = (322, 323)
"""TileWidth and TileLength (TIFF 6.0, section 15)."""
_EXIF_PART: Final = 0x8769
_ROWS: Final = 64
_FAULTS: Final = (
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


@noun
class Picture:
    """A decoded picture, upright.

    Attributes
    ----------
    file : str
        Its name, for messages.
    grey : (h, w) uint8
        Read-only.
    colour : (h, w, 3) uint8 or None
        RGB, read-only; None for a picture without colour.
    resolution : Resolution
        What the file says of it.
    by_camera : bool
        The file says that a camera took it.
    focal_film_mm : float or None
        Focal length in 35 mm film, where the file tells it and the picture is whole.
    colour_px : int
        How many pixels in a row share one colour: 2 where the file keeps brightness finer than colour.
    """

    file: str
    grey: Bytes
    colour: Bytes | None
    resolution: Resolution
    by_camera: bool = False
    focal_film_mm: float | None = None
    colour_px: int = 1

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height."""
        return self.grey.shape[1], self.grey.shape[0]

    @property
    def levels(self) -> Bytes:
        """``(h, w, c)``: RGB, or grey with c = 1."""
        return self.grey[..., None] if self.colour is None else self.colour


def read_picture(path: Path, *, where: str | None = None) -> Picture:
    """The picture in a file.

    Parameters
    ----------
    path : Path
        PNG, JPEG, TIFF (its first page), BMP, WebP; HEIC where a decoder is installed.
    where : str, optional
        Its name for messages.

    Raises
    ------
    CaptureError
        If the file cannot be read, is damaged or cut short, is no picture, or
        has more than 80 or fewer than 0.001 million pixels, more than 32000 one way, or more than 100 scans.
    """
    name = where if where is not None else path.name
    from PIL import Image, UnidentifiedImageError

    try:
        with (
            warnings.catch_warnings(action="ignore"),  # oddities of the file; its size is checked below
            unheard(),
            open_file(path, where=name, kind=_KIND) as file,
            Image.open(file, formats=_formats(file, ending=path.suffix.lower(), name=name)) as image,
        ):
            _check_size(image.size, name)
            _check_tiles(image, name)
            if image.format == "PNG":
                _check_sums(file, name)
            if image.format in ("JPEG", "MPO"):
                _check_jpeg(file, image, name)
            return _decoded(image, name)
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
    except _FAULTS as error:
        raise CaptureError("the picture is damaged or cut short", where=name, hint=_AGAIN) from error


def _formats(file: BinaryIO, *, ending: str, name: str) -> tuple[str, ...]:
    """What a file may be read as; its first bytes tell what its ending hides."""
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


def _check_size(size: tuple[int, int], name: str) -> None:
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
    """Refuse a JPEG file that would be gone over for hours, or that was changed on its way, as far as its code tells."""
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


def _decoded(image: Image.Image, name: str) -> Picture:
    from PIL import ImageOps

    tags = _tags(image)
    format_name = "JPEG" if image.format == "MPO" else (image.format or "")
    resolution = read_resolution(format_name, {str(k): v for k, v in image.info.items()}, tags)
    colour_px = _colour_px(image, format_name)
    sideways = tags.get(_ORIENTATION) in (5, 6, 7, 8)
    image.load()
    if tags.get(_ORIENTATION, 1) != 1:
        ImageOps.exif_transpose(image, in_place=True)
    grey, colour = _levels(image)
    _check_size((grey.shape[1], grey.shape[0]), name)
    for array in (grey, colour):
        if array is not None:
            array.setflags(write=False)
    return Picture(
        file=name,
        grey=grey,
        colour=colour,
        resolution=resolution.turned() if sideways else resolution,
        by_camera=any(tag in tags for tag in _CAMERA_TAGS),
        focal_film_mm=_focal_film_mm(tags, (grey.shape[1], grey.shape[0])),
        colour_px=1 if colour is None else colour_px,
    )


def _focal_film_mm(tags: dict[int, Any], size_px: tuple[int, int]) -> float | None:
    """Exif FocalLengthIn35mmFilm; None when absent, 0 (unknown), or when the picture was cut afterwards.

    The tag is told for the whole picture the camera took, whose sides Exif keeps too.
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


def _colour_px(image: Image.Image, format_name: str) -> int:
    """How many pixels in a row share one colour, as files are usually written (ITU-T T.81, A.1.1: sampling factors)."""
    if format_name != "JPEG":
        return 2 if format_name in ("WEBP", "HEIF") else 1
    across = [component[1] for component in getattr(image, "layer", ())]
    return max(across, default=1) // max(min(across, default=1), 1)


def _tags(image: Image.Image) -> dict[int, Any]:
    """TIFF or Exif tags by number; none when they are damaged."""
    if image.format == "TIFF":
        own = getattr(image, "tag_v2", {})
        return {int(tag): own.get(tag) for tag in (*_CAMERA_TAGS, 282, 283, 296, _ORIENTATION) if tag in own}
    try:
        exif = image.getexif()
        return {**dict(exif), **dict(exif.get_ifd(_EXIF_PART))}
    except _FAULTS:
        return {}


def _levels(image: Image.Image) -> tuple[Bytes, Bytes | None]:
    """Grey, and RGB if there is any colour, 8 bit each."""
    if image.mode.startswith("I") or image.mode == "F":
        return _scaled_down(np.asarray(image), bits=_bits(image)), None
    clear = image.mode in ("RGBA", "LA", "PA", "RGBa", "La") or "transparency" in image.info
    if image.mode in ("1", "L") and not clear:
        return np.array(image.convert("L"), dtype=np.uint8), None
    import cv2

    width, height = image.size
    colour = np.empty((height, width, 3), dtype=np.uint8)
    for top in range(0, height, _ROWS):  # a whole copy more would be the most memory a large picture takes
        part = image.crop((0, top, width, min(top + _ROWS, height)))
        colour[top : top + _ROWS] = np.asarray(
            _on_white(part) if clear else part if part.mode == "RGB" else part.convert("RGB")
        )
    grey = np.asarray(cv2.cvtColor(colour, cv2.COLOR_RGB2GRAY), dtype=np.uint8)
    return (grey, colour) if _coloured(colour) else (grey, None)


def _on_white(image: Image.Image) -> Image.Image:
    """A picture with transparent parts, white below them."""
    from PIL import Image as Images

    over = image.convert("RGBA")
    white = Images.new("RGBA", over.size, (255, 255, 255, 255))
    return Images.alpha_composite(white, over).convert("RGB")


def _coloured(colour: Bytes) -> bool:
    """Whether any pixel is not grey; looked for some rows at a time, as most pictures show it at once."""
    parts = (colour[k : k + _ROWS] for k in range(0, len(colour), _ROWS))
    return any((part[..., :2] != part[..., 1:]).any() for part in parts)


def _bits(image: Image.Image) -> int | None:
    """Bits of each level where a TIFF file has fewer than the 16 they are decoded to, as scanners write 12; else None."""
    bits = getattr(image, "tag_v2", {}).get(_BITS) if image.format == "TIFF" else None
    return int(bits[0]) if bits and 8 < bits[0] < 16 else None


def _scaled_down(deep: NDArray[Any], *, bits: int | None) -> Bytes:
    """Levels of so many bits, or 16-bit, 32-bit and floating ones, in 8 bit; floats may count to 1, 255 or 65535."""
    if bits is not None:
        return np.rint(np.asarray(deep, dtype=np.float32) * (255.0 / (2**bits - 1))).astype(np.uint8)
    values = np.nan_to_num(np.asarray(deep, dtype=np.float32), nan=0.0, posinf=65535.0, neginf=0.0)
    top = float(values.max())
    full = 65535.0 if top > 255.0 else 255.0 if top > 1.0 or deep.dtype.kind != "f" else 1.0
    return np.clip(np.rint(values * (255.0 / full)), 0, 255).astype(np.uint8)


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

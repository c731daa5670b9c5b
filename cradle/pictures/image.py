"""Pictures decoded.

Every kind of picture becomes 8-bit grey and, if it has any colour, 8-bit RGB,
upright as it was taken, transparent parts white. Here, and nowhere else, rows
and columns become coordinates: column is x to the right, row is y down.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from cradle.noun import noun
from cradle.pictures.file_tags import focal_film_mm, is_by_camera, is_on_its_side, is_upright, tags_of
from cradle.pictures.frame import carried_out, inside_frame
from cradle.pictures.levels import levels_of
from cradle.pictures.picture_file import check_size, opened_picture
from cradle.pictures.resolution import Resolution, read_resolution

if TYPE_CHECKING:
    from PIL import Image

    from cradle.geometry.arrays import Bytes


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
    framed : bool
        A frame of one colour lay round it; what lies at its inner rim has taken its place.
    """

    file: str
    grey: Bytes
    colour: Bytes | None
    resolution: Resolution
    by_camera: bool = False
    focal_film_mm: float | None = None
    colour_px: int = 1
    framed: bool = False

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
        PNG, JPEG, TIFF (its first page), BMP, WebP, GIF (its first picture); HEIC where a decoder is installed.
    where : str, optional
        Its name for messages.

    Raises
    ------
    CaptureError
        If the file cannot be read, is damaged or cut short, is no picture, or
        has more than 80 or fewer than 0.001 million pixels, more than 32000 one way, or more than 100 scans.
    """
    name = where if where is not None else path.name
    with opened_picture(path, name=name) as image:
        return _decoded(image, name)


def _decoded(image: Image.Image, name: str) -> Picture:
    from PIL import ImageOps

    tags = tags_of(image)
    format_name = "JPEG" if image.format == "MPO" else (image.format or "")
    resolution = read_resolution(format_name, {str(k): v for k, v in image.info.items()}, tags)
    colour_px = _colour_px(image, format_name)
    image.load()
    if not is_upright(tags):
        ImageOps.exif_transpose(image, in_place=True)
    grey, colour = levels_of(image)
    check_size((grey.shape[1], grey.shape[0]), name)
    inside = inside_frame(grey)
    if inside is not None:
        grey, colour = carried_out(grey, inside), None if colour is None else carried_out(colour, inside)
    for array in (grey, colour):
        if array is not None:
            array.setflags(write=False)
    return Picture(
        file=name,
        grey=grey,
        colour=colour,
        resolution=resolution.turned() if is_on_its_side(tags) else resolution,
        by_camera=is_by_camera(tags),
        focal_film_mm=focal_film_mm(tags, (grey.shape[1], grey.shape[0])),
        colour_px=1 if colour is None else colour_px,
        framed=inside is not None,
    )


def _colour_px(image: Image.Image, format_name: str) -> int:
    """How many pixels in a row share one colour, as files are usually written (ITU-T T.81, A.1.1: sampling factors)."""
    if format_name != "JPEG":
        return 2 if format_name in ("WEBP", "HEIF") else 1
    across = [component[1] for component in getattr(image, "layer", ())]
    return max(across, default=1) // max(min(across, default=1), 1)

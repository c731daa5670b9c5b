"""Levels of a decoded picture in 8 bits: grey, and RGB where there is any colour; transparent parts are white."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from PIL import Image

    from cradle.geometry.arrays import Bytes

_BITS: Final = 258
"""BitsPerSample (TIFF 6.0, section 8)."""
_ROWS: Final = 64
"""Rows converted at a time: one more copy of a whole large picture would set the peak of memory use."""


def levels_of(image: Image.Image) -> tuple[Bytes, Bytes | None]:
    """Grey, and RGB if there is any colour, 8 bit each."""
    if image.mode.startswith("I") or image.mode == "F":
        return _scaled_down(np.asarray(image), bits=_bits(image)), None
    clear = image.mode in ("RGBA", "LA", "PA", "RGBa", "La") or "transparency" in image.info
    if image.mode in ("1", "L") and not clear:
        return np.array(image.convert("L"), dtype=np.uint8), None
    import cv2

    width, height = image.size
    colour = np.empty((height, width, 3), dtype=np.uint8)
    for top in range(0, height, _ROWS):
        part = image.crop((0, top, width, min(top + _ROWS, height)))
        colour[top : top + _ROWS] = np.asarray(
            _on_white(part) if clear else part if part.mode == "RGB" else part.convert("RGB")
        )
    grey = np.asarray(cv2.cvtColor(colour, cv2.COLOR_RGB2GRAY), dtype=np.uint8)
    return (grey, colour) if _coloured(colour) else (grey, None)


def _on_white(image: Image.Image) -> Image.Image:
    """A picture with transparent parts, laid on white."""
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
    """Deep levels in 8 bits.

    White is the largest value of so many ``bits`` or, where these are None, the least of 1 (only of floats), 255 and
    65535 that no level exceeds.
    """
    if bits is not None:
        return np.rint(np.asarray(deep, dtype=np.float32) * (255.0 / (2**bits - 1))).astype(np.uint8)
    values = np.nan_to_num(np.asarray(deep, dtype=np.float32), nan=0.0, posinf=65535.0, neginf=0.0)
    top = float(values.max())
    full = 65535.0 if top > 255.0 else 255.0 if top > 1.0 or deep.dtype.kind != "f" else 1.0
    return np.clip(np.rint(values * (255.0 / full)), 0, 255).astype(np.uint8)

"""Thin lines on what a piece lies on, such as a cutting mat's grid, or the letters of newsprint."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.noun import noun

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Bytes, Floats, Singles
    from cradle.pictures.image import Picture

_LINE: Final = 0.15
"""A thin line is told from noise when it stands out by this part of the piece's contrast."""
_ABOVE_NOISE: Final = 4.0
"""A line stands out above the opened field by more than this many times the ground's median, which is noise: a hundredth of noise
does."""
_LINE_LONG: Final = 12
"""Least area of a line, small px."""
_PRINTED: Final = 0.12
"""Least part of printed ground that letters cover: they cover 0.2 and more of rendered newsprint, specks 0.06 of stone."""
_MAT_LINE: Final = 1 / 330
"""Greatest width of a mat's line, as part of the picture's longer side: 1 mm of 330."""
_LETTER_MM: Final = 1.7
"""Strokes of a headline's letters are narrower; so are tips of a piece."""


@noun
class GroundLines:
    """Thin lines of the ground: where they are, ``at (h, w)`` bool, a kernel that is wider than they are, and whether they are print."""

    at: Bools
    wider: Bytes
    letters: bool

    def taken_from(self, field: Singles, where: Bools) -> Singles:
        """A field that is opened by the kernel, so that the lines go, at the places ``where (h, w)``."""
        return np.where(where, _opened(field, self.wider), field)


def lines_of_ground(
    field: Singles, *, own: Bools, far: Bools, shrink: float, grain_mm: float
) -> GroundLines | None:
    """Where thin lines of the ground, such as a mat's grid, run up to the piece.

    What is thinner than three pixels of the small copy, lies outside the piece
    and goes on from beside it to the end of the field is a line. Where much of the ground is
    covered by thin things that do not go on, these are print, and then all that is as thin counts.
    None if there are none.

    Parameters
    ----------
    field : (h, w)
        0 on the ground, 1 on the piece.
    own, far : (h, w) bool
        Surely the piece; surely not.
    shrink : float
        Full pixels to a small one.
    grain_mm : float
        Length of a pixel, mm.
    """
    import cv2

    wide = max(7, round(3.2 * shrink) | 1)
    wider = np.ones((wide, wide), np.uint8)
    over = np.where(own, 0.0, field - _opened(field, wider))
    level = float(np.median(over[far])) if far.any() else 0.0
    thin = (over > max(_LINE, _ABOVE_NOISE * level)).astype(np.uint8)
    if not (thin.astype(bool) & far).any():
        return None
    count, labels, stats, _ = cv2.connectedComponentsWithStats(thin, connectivity=8)
    seen = np.isin(np.arange(count), labels[far])
    seen[0] = False
    leaves = np.concatenate([labels[[0, -1]].ravel(), labels[:, [0, -1]].ravel()])
    leaves = seen & (stats[:, 4] >= wide) & np.isin(np.arange(count), leaves)
    # a tip, a fibre, a shadow's rim end beside the piece, and grain begins nowhere near it
    goes_on = leaves & np.isin(np.arange(count), labels[~own & ~far])
    if (seen & ~leaves)[labels[far]].mean() > _PRINTED:
        size = max(7, round(_LETTER_MM / grain_mm) | 1)
        wider = np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size)), dtype=np.uint8)
        over = np.where(own, 0.0, field - _opened(field, wider))
        return GroundLines(at=over > _LINE, wider=wider, letters=True)
    if not goes_on.any():
        return None
    at = goes_on[labels]
    strong = at & (over > 0.7 * float(np.quantile(over[at & far], 0.9)))
    return GroundLines(at=strong if (strong & far).any() else at, wider=wider, letters=False)


def _opened(field: Singles, wider: Bytes) -> Singles:
    """The field without what is thinner than a kernel and nearer to 1 than both sides."""
    import cv2

    return np.asarray(cv2.morphologyEx(field, cv2.MORPH_OPEN, wider))


def without_light_lines(picture: Picture) -> Picture:
    """The picture without light lines as thin as a mat's; straight edges stay where they are."""
    import cv2

    wide = max(5, round(max(picture.size_px) * _MAT_LINE) | 1)
    kernel = np.ones((wide, wide), np.uint8)

    def bare(levels: Bytes) -> Bytes:
        opened = np.asarray(cv2.morphologyEx(levels, cv2.MORPH_OPEN, kernel), dtype=np.uint8)
        opened.setflags(write=False)
        return opened

    return replace(
        picture,
        grey=bare(picture.grey),
        colour=None if picture.colour is None else bare(picture.colour),
    )


def line_width(lines: Bools) -> float:
    """The typical width of thin lines, px: four times the mean distance from their edges."""
    import cv2

    return 4.0 * float(cv2.distanceTransform(lines.astype(np.uint8), cv2.DIST_L2, 3)[lines].mean()) - 1.0


def shows_lines(small: Singles, *, ground: Singles, step: Floats, far: Bytes) -> bool:
    """Whether thin lines of any colour lie on the ground, also such as the field is blind to."""
    import cv2

    off = small - ground
    apart = np.sqrt(np.einsum("ijk,ijk->ij", off, off)) / max(float(np.linalg.norm(step)), 1e-6)
    thin = apart - cv2.morphologyEx(apart, cv2.MORPH_OPEN, np.ones((5, 5), np.uint8))
    seen = ((thin > _LINE) & (far > 0)).astype(np.uint8)
    _, _, stats, _ = cv2.connectedComponentsWithStats(seen, connectivity=8)
    return bool((stats[1:, 4] >= _LINE_LONG).any())

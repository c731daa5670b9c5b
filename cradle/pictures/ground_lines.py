"""Thin lines on what a piece lies on, such as a cutting mat's grid."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Floats
    from cradle.pictures.image import Bytes

_LINE: Final = 0.15
"""A thin line is told from noise when it stands out by this part of the piece's contrast."""
_ABOVE_NOISE: Final = 2.5
"""An opening lies below the noise: a line stands out by this many times what is usual on the ground."""
_LINE_LONG: Final = 12
"""Small px that a line covers at least."""


def lines_of_ground(field: NDArray[np.float32], *, own: Bools, far: Bools, shrink: float) -> Bools | None:
    """Where thin lines of the ground, such as a mat's grid, run up to the piece.

    What is thinner than three pixels of the small copy, lies outside the piece
    and goes on to the end of the field is a line.
    None if there are none.

    Parameters
    ----------
    field : (h, w)
        0 on the ground, 1 on the piece.
    own, far : (h, w) bool
        Surely the piece; surely not.
    shrink : float
        Full pixels to a small one.
    """
    import cv2

    wide = _wide_px(shrink)
    over = np.where(own, 0.0, field - without_thin(field, shrink=shrink))
    level = float(np.median(over[far])) if far.any() else 0.0
    thin = (over > max(_LINE, _ABOVE_NOISE * level)).astype(np.uint8)
    if not (thin.astype(bool) & far).any():
        return None
    count, labels, stats, _ = cv2.connectedComponentsWithStats(thin, connectivity=8)
    goes_on = np.zeros(count, dtype=bool)
    goes_on[np.unique(labels[far])] = True
    goes_on &= stats[:, 4] >= wide
    leaves = np.concatenate([labels[[0, -1]].ravel(), labels[:, [0, -1]].ravel()])
    goes_on &= np.isin(np.arange(count), leaves)  # a tip, a fibre, a shadow's rim end beside the piece
    goes_on[0] = False
    if not goes_on.any():
        return None
    at = goes_on[labels]
    strong = at & (over > 0.7 * float(np.quantile(over[at & far], 0.9)))
    return np.asarray(strong if (strong & far).any() else at)


def without_thin(field: NDArray[np.float32], *, shrink: float) -> NDArray[np.float32]:
    """The field without what is thinner than three pixels of the small copy and nearer to 1 than both sides."""
    import cv2

    wide = _wide_px(shrink)
    return np.asarray(cv2.morphologyEx(field, cv2.MORPH_OPEN, np.ones((wide, wide), np.uint8)))


def _wide_px(shrink: float) -> int:
    return max(7, round(3.2 * shrink) | 1)


def line_width(lines: Bools) -> float:
    """The typical width of thin lines, px: four times the mean distance from their edges."""
    import cv2

    return 4.0 * float(cv2.distanceTransform(lines.astype(np.uint8), cv2.DIST_L2, 3)[lines].mean()) - 1.0


def shows_lines(small: NDArray[np.float32], *, ground: NDArray[np.float32], step: Floats, far: Bytes) -> bool:
    """Whether thin lines of any colour lie on the ground, also such as the field is blind to."""
    import cv2

    off = small - ground
    apart = np.sqrt(np.einsum("ijk,ijk->ij", off, off)) / max(float(np.linalg.norm(step)), 1e-6)
    thin = apart - cv2.morphologyEx(apart, cv2.MORPH_OPEN, np.ones((5, 5), np.uint8))
    seen = ((thin > _LINE) & (far > 0)).astype(np.uint8)
    _, _, stats, _ = cv2.connectedComponentsWithStats(seen, connectivity=8)
    return bool((stats[1:, 4] >= _LINE_LONG).any())

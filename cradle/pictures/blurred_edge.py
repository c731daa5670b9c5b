"""An edge on its steepest place or, where the picture is blurred, in the middle of its blur.

A camera that moved makes an even slope of an edge, and sharpening a step of either end of it, one as good as the other.
Blur is seen on opposite sides of a thing alike, a shadow on one of them.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.pictures.steepest import WIDTH, SteepestEdge, outward, steepest

if TYPE_CHECKING:
    from cradle.geometry.arrays import Floats, Singles

_BLURRED: Final = 1.1
"""An edge is blurred where its step is wider than so many times the look to one side of it: in rendered pictures sharp ones were
0.6 to 1.0, out of focus 1.2 to 1.45, and 1.2 to 1.6 where the camera moved."""
_SURE_PX: Final = 0.2
"""Of an edge whose steepest places are surer than this, none lies at a rim of its blur: out of focus they are sure to 0.1 px."""
_ROUNDS: Final = 2
"""As often a blurred edge is looked at again, each time from twice as far."""
_WAYS: Final = 6
"""A blur's width is measured in so many ways across it, 30 degrees apart."""
_MOST: Final = 0.25
"""What most of the widths on a side are above: this quantile of them."""
_NORMAL_PX: Final = 5
_LEAST_POINTS: Final = 8


def blurred_edge(field: Singles, ring_px: Floats, *, reach_px: float, look_px: float) -> SteepestEdge:
    """The edge near ``ring_px``, as `steepest` finds it with the same arguments; the middle of a blurred one."""
    import cv2

    first = edge = steepest(field, ring_px, reach_px=reach_px, look_px=look_px)
    if float(first.unsure_px.mean()) < _SURE_PX:
        return first
    for _ in range(_ROUNDS):
        blur_px = _blur_px(edge)
        if blur_px < _BLURRED * look_px:
            break
        even = np.asarray(cv2.GaussianBlur(field, (0, 0), blur_px / WIDTH), dtype=np.float32)
        look_px *= 2
        edge = steepest(even, ring_px, reach_px=max(reach_px, look_px), look_px=look_px)
    return replace(edge, width_px=first.width_px)


def _blur_px(edge: SteepestEdge) -> float:
    """How wide the steps of opposite sides are at least, across the thing in the way in which they are widest, px; 0 for one of no such sides."""
    normal = outward(edge.ring_px, reach=_NORMAL_PX)
    side = np.rint(np.arctan2(normal[:, 1], normal[:, 0]) / np.pi * _WAYS).astype(np.int64) % (2 * _WAYS)
    least = np.zeros(2 * _WAYS)
    for each in np.unique(side).tolist():
        widths = edge.width_px[side == each]
        if len(widths) >= _LEAST_POINTS:
            least[each] = np.quantile(widths, _MOST)
    return float(np.minimum(least[:_WAYS], least[_WAYS:]).max())

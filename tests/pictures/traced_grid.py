"""Rendered pictures with known truth, shared by the tests of rulers, scales and tracing."""

from __future__ import annotations

import cv2
import numpy as np
from picture_scene import ellipse, mat, moved, ruler_inch, ruler_mm, sheet_of_colour
from render_pictures import render_scan, save

from cradle.pictures.image import Picture
from cradle.pictures.resolution import Resolution

BLUE, DARK, PAPER = (70, 110, 160), (45, 45, 48), (243, 243, 240)
BODIES = [(225, 222, 205), (200, 203, 206), (250, 220, 120)]


def picture_of(rendered, *, dpi=None, colour=True) -> Picture:
    """The rendered picture as if decoded, with or without a resolution tag."""
    return Picture(
        file="rendered",
        grey=np.ascontiguousarray(cv2.cvtColor(rendered.image, cv2.COLOR_RGB2GRAY)),
        colour=rendered.image if colour else None,
        resolution=Resolution(dpi=None if dpi is None else (dpi, dpi), told_by="test"),
    )


def scan_of_ellipses(widths_mm, file):
    """A scan at 150 dpi of dark pieces side by side, each 24 mm deep, saved under a name."""
    rings = [ellipse(wide, 24.0, centre=(30 + 50 * n, 30)) for n, wide in enumerate(widths_mm)]
    scene = [shape for ring in rings for shape in sheet_of_colour(ring, colour=DARK)]
    save(render_scan(scene, page_mm=(112.0, 60.0), dpi=150), file)
    return file


def ruler_case(number: int, *, dpi: float, angle: float, blur: float, noise: float, inches: bool):
    """A page with a rule at an angle and a cut piece, on white or on a mat, and the true mm per px."""
    rule = (ruler_inch if inches else ruler_mm)(body=BODIES[number % 3])
    on_mat = number % 3 == 2
    scene = (
        *(mat(210, 297) if on_mat else ()),
        *sheet_of_colour(ellipse(80, 60, centre=(105, 240)), colour=PAPER if on_mat else BLUE),
        *moved(moved(rule, by_mm=(-75, 0)), by_mm=(105, 110), turn_deg=angle),
    )
    rendered = render_scan(scene, dpi=dpi, blur_px=blur, noise=noise, seed=number)
    return picture_of(rendered), 25.4 / dpi

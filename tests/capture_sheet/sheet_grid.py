"""Errors of the capture sheet over a grid of rendered phone pictures, truth known."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from picture_scene import capture_sheet
from render_pictures import Rendered, render_photo

from cradle.calibration.calibration import to_mm
from cradle.capture_sheet.sheet import SHEETS, SheetDesign, middle_mm
from cradle.capture_sheet.sheet_marks import edge_width_mm, find_markers, first_map
from cradle.capture_sheet.sheet_reading import SheetReading, read_sheet, tilt_deg


@dataclass(frozen=True, kw_only=True)
class Shot:
    """How a picture of the sheet is taken."""

    tilt_deg: float = 0.0
    distance_mm: float = 430.0
    azimuth_deg: float = 270.0
    blur_px: float = 1.0
    noise: float = 3.0
    lens: tuple[float, float] = (-0.02, 0.006)
    light: float = 0.4
    seed: int = 1


def shoot(shot: Shot, *, sheet: str = "A4", size_px: tuple[int, int] = (3000, 4000)) -> Rendered:
    """A phone picture of a sheet, whose middle it looks at; the focal length goes with the size."""
    design = SHEETS[sheet]
    return render_photo(
        capture_sheet(design),
        look_at_mm=(design.page_mm[0] / 2, design.page_mm[1] / 2),
        size_px=size_px,
        focal_px=0.75 * max(size_px),
        **{name: getattr(shot, name) for name in Shot.__dataclass_fields__},
    )


def length_errors(rendered: Rendered, reading: SheetReading, design: SheetDesign) -> tuple[float, float]:
    """Worst error of lengths in the sheet's middle scaled to 150 mm, and worst error of a place, mm."""
    x0, y0, x1, y1 = middle_mm(design)
    xs, ys = np.meshgrid(np.linspace(x0, x1, 6), np.linspace(y0, y1, 7))
    true = np.column_stack([xs.ravel(), ys.ravel()])
    seen = to_mm(reading.calibration, rendered.px_from_mm(true))
    i, j = np.triu_indices(len(true), 1)
    known = np.hypot(*(true[i] - true[j]).T)
    missed = np.hypot(*(seen[i] - seen[j]).T) - known
    long = known >= 75
    assert long.sum() > 200
    place = np.hypot(*(seen - true).T).max()
    return float(np.abs(missed[long] / known[long]).max() * 150), float(place)


def edge_mm(rendered: Rendered) -> float:
    """Width of the sheet's printed edges in a picture, 10 to 90 % of their step."""
    grey = rendered.image[..., 1]
    design, found = find_markers(grey)
    return edge_width_mm(grey, design, found, first_map(design, found, size_px=grey.shape[::-1]))


def row(shot: Shot, *, sheet: str = "A4") -> str:
    """One line of the table."""
    rendered = shoot(shot, sheet=sheet)
    reading = read_sheet(rendered.image[..., 1])
    length, place = length_errors(rendered, reading, SHEETS[sheet])
    tilt = tilt_deg(reading.calibration, size_px=rendered.image.shape[1::-1])
    sigma = 150 * reading.calibration.uncertainty_scale
    return (
        f"{sheet:6} {shot.tilt_deg:5.0f} {shot.distance_mm:6.0f} {shot.azimuth_deg:5.0f} {shot.blur_px:5.1f}"
        f" {shot.noise:5.0f} {shot.lens[0]:7.3f} | {len(reading.corners_px):3} {tilt:5.1f}"
        f" {edge_mm(rendered):5.2f} {length:7.3f} {place:7.3f} {sigma:6.3f}"
    )


HEADER = (
    "sheet   tilt   dist  azim  blur noise   lens  | used  tilt  edge  err150   place  u150\n"
    "         deg     mm   deg    px  grey     k1  |        deg    mm      mm      mm    mm"
)

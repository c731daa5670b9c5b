"""Render the ocarina's pictures: cut templates on a flatbed beside a ruler, and one phone picture of the sheet.

    python examples/render_demo_pictures.py [folder]

The flatbed's scales are a little off what its tag says, as real ones are: the
ruler is there to tell. Pencil and knife add a small tremor, seed fixed.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import shapes
from picture_scene import (
    Scene,
    capture_sheet,
    moved,
    notch_ring,
    pencil_line,
    ruler_mm,
    sheet_of_colour,
)
from render_pictures import Rendered, render_photo, render_scan, save
from write_demos import OCARINA_HEIGHTS_MM

from cradle.capture_sheet.sheet import SHEETS, middle_mm

GLASS_MM = (172.0, 118.0)
"""The part of the glass that is scanned."""
STRETCH = (1.004, 0.997)
"""True pixels per mm over what the tag says, along x and y."""


def by_hand(ring: np.ndarray, *, seed: int, size_mm: float = 0.06) -> np.ndarray:
    """The outline as a steady hand cuts it: slow waves of about ``size_mm`` along its normal."""
    rng = np.random.default_rng(seed)
    t = np.linspace(0, 2 * np.pi, len(ring), endpoint=False)
    waves = sum(rng.normal(0, 1 / k) * np.cos(k * t + rng.uniform(0, 6)) for k in range(2, 9))
    ahead = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)
    normal = np.column_stack([ahead[:, 1], -ahead[:, 0]]) / np.hypot(*ahead.T)[:, None]
    return ring + normal * (size_mm * waves)[:, None]


def scanned(template: Scene, *, turn_deg: float, seed: int, lid: tuple[int, int, int]) -> Rendered:
    """A template above a ruler, on a flatbed at 200 dpi."""
    scene = (*moved(template, by_mm=(86.0, 74.0)), *moved(ruler_mm(), by_mm=(10.5, 33.0), turn_deg=0.8))
    return render_scan(
        scene, dpi=200, page_mm=GLASS_MM, background=lid, turn_deg=turn_deg, stretch=STRETCH, seed=seed,
        edge_shadow=0.15, noise=1.5,
    )  # fmt: skip


def notched(ring: np.ndarray, *, seed: int) -> Scene:
    """Paper that fits the near half of an outline: the cut runs along it up to its greatest width."""
    cut = by_hand(ring, seed=seed)
    left, right = int(cut[:, 0].argmin()), int(cut[:, 0].argmax())
    near = np.roll(cut, -left, axis=0)[: (right - left) % len(cut) + 1]  # counter-clockwise: below
    top = near[[0, -1], 1].max()
    ends = np.array([[near[0, 0], top], [near[-1, 0], top]])
    notch = np.concatenate([ends[:1], near, ends[1:]])
    keep = np.append(np.hypot(*np.diff(notch, axis=0).T) > 1e-9, True)
    return moved(sheet_of_colour(notch_ring(notch[keep], side_mm=18, depth_mm=12)), by_mm=(0, 8))


def centred(ring: np.ndarray) -> np.ndarray:
    """The outline about the middle of its extent."""
    return ring - (ring.min(axis=0) + ring.max(axis=0)) / 2


def pictures() -> dict[str, Rendered]:
    """Every picture by its file's name."""
    low, belly, broad, top = (centred(shapes.ocarina_outline(z)) for z in OCARINA_HEIGHTS_MM)
    dark, black, white = (52, 66, 96), (34, 34, 36), (250, 250, 248)
    sheet = SHEETS["A4"]
    x0, y0, x1, y1 = middle_mm(sheet)
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    line = moved(pencil_line(by_hand(top, seed=4), width_mm=0.5), by_mm=middle, turn_deg=3)
    photo = render_photo(
        (*capture_sheet(sheet), *line), look_at_mm=(106, 150), distance_mm=330, tilt_deg=12, azimuth_deg=268,
        roll_deg=2, size_px=(2100, 2800), focal_px=2100, lens=(-0.025, 0.006), blur_px=1.1, noise=1.5, seed=4,
    )  # fmt: skip
    return {
        "low.jpg": scanned(
            sheet_of_colour(by_hand(low, seed=1), colour=dark), turn_deg=0.6, seed=1, lid=white
        ),
        "belly-front.jpg": scanned(notched(belly, seed=2), turn_deg=-0.9, seed=2, lid=black),
        "belly-back.jpg": scanned(notched(-belly, seed=5), turn_deg=0.5, seed=5, lid=black),
        "broad.jpg": scanned(sheet_of_colour(by_hand(broad, seed=3)), turn_deg=1.3, seed=3, lid=black),
        "top-sheet.jpg": photo,
    }


def main(folder: Path) -> None:
    """Write the pictures into the folder, grey."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, picture in pictures().items():
        save(picture, folder / name)
        print(f"{name}: {(folder / name).stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parents[1] / "demo_data/ocarina/pictures")

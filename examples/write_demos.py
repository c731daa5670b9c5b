"""Write the projects in demo_data/: the measurements a careful person would take of the invented things.

    python examples/write_demos.py [folder]

The same bytes every time. Traced drawings come out up to 1 % large, as a pencil
does; calipers read to 0.05 mm; the profiles, traced from a gauge and scanned, are
right to 0.03 mm.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import demo_projects
import drawn
import numpy as np
import shapes

OCARINA_HEIGHTS_MM = (2.0, 12.0, 28.0, 44.0)
NOZZLE_HEIGHTS_MM = (4.0, 26.0, 52.0)
PAIR_HEIGHTS_MM = (1.5, 15.0, 33.0)
_CALIPER_ERRORS_MM = (0.03, -0.04, 0.02, 0.05, -0.02, 0.04, -0.05, 0.01)
"""What the hand adds to a reading, taken in turn."""


def main(folder: Path) -> None:
    write_ocarina(folder / "ocarina")
    write_nozzle(folder / "nozzle")
    write_pair(folder / "pair")


def write_ocarina(folder: Path) -> None:
    """Four sections: half an outline as points, an SVG, a DXF and points; two side profiles that lean, and a view."""
    low, belly, broad, top = OCARINA_HEIGHTS_MM
    right, _ = shapes.ocarina_sides(low)
    half = _laid(right, scale=(1.006, 1.004), turn_deg=0.7, shift_mm=(62.0, 48.5))
    points = np.concatenate([shapes.sampled(half, per_piece=40), half[-1](np.array([1.0]))])
    _write(
        folder / "outlines/low-half.csv",
        drawn.csv(points, head="x,y", about="right half at 2 mm, front to back, read off the scan, mm"),
    )
    whole = _laid(_whole(belly), scale=(1.004, 1.008), turn_deg=-0.4, shift_mm=(3.1, 4.2))
    _write(
        folder / "outlines/belly.svg",
        drawn.svg(whole, size_mm=(80, 70), turn_deg=2.0, about="ocarina, 12 mm up"),
    )
    whole = _laid(_whole(broad), scale=(1.007, 1.003), turn_deg=-2.3, shift_mm=(105.0, 80.0))
    _write(folder / "outlines/broad.dxf", drawn.dxf(whole))
    whole = _laid(_whole(top), scale=(1.003, 1.005), turn_deg=1.2, shift_mm=(50.0, 140.0))
    _write(
        folder / "outlines/top.csv",
        drawn.csv(shapes.sampled(whole, per_piece=50), head="x,y", about="whole outline at 44 mm, mm"),
    )
    heights = np.arange(2.0, 48.0, 3.0)
    sides = np.array([shapes.ocarina_profile_mm(float(height)) for height in heights])
    tremor = 0.03 * np.sin(np.outer(heights, (1.3, 1.7)))
    for column, name in enumerate(("front", "back")):
        rows = np.column_stack([heights, (sides + tremor)[:, column]])
        text = drawn.csv(
            rows, head="height,y", about=f"{name} profile, gauge against a square, mm", decimals=1
        )
        _write(folder / f"outlines/{name}.csv", text)
    text = drawn.csv(
        _front_view_px(),
        head="x,y",
        about="seen from the front, up to where the picture ends, pixels",
        decimals=1,
    )
    _write(folder / "outlines/front-view.csv", text)
    sizes = [shapes.size_mm(shapes.ocarina_outline(height)) for height in OCARINA_HEIGHTS_MM]
    girth = _girth_mm(shapes.ocarina_outline(broad))
    _write(folder / "holder.toml", demo_projects.OCARINA.format(*_calipers(sizes), girth=girth))


def write_nozzle(folder: Path) -> None:
    """Three sections: two by calipers alone, the squarish one under the lever as an SVG."""
    round_mm, barrel_mm, grip_mm = NOZZLE_HEIGHTS_MM
    grip = _laid(shapes.nozzle_pieces(grip_mm), scale=(1.005, 1.009), turn_deg=1.1, shift_mm=(-2.0, 5.0))
    _write(
        folder / "outlines/grip.svg",
        drawn.svg(grip, size_mm=(70, 60), turn_deg=0.0, about="hose nozzle, 52 mm up"),
    )
    outlines = [shapes.nozzle_outline(height) for height in (round_mm, barrel_mm, grip_mm)]
    middles = [float(outline[:, 1].min() + outline[:, 1].max()) / 2 for outline in outlines]
    # A superellipse reaches the diagonal of its box at 45 degrees of the unit square.
    exponent = shapes.nozzle_size_mm(barrel_mm)[3]
    diagonal = float(np.hypot(*shapes.size_mm(outlines[1]))) * 2 ** (-1 / exponent)
    text = demo_projects.NOZZLE.format(
        *_calipers([shapes.size_mm(outline) for outline in outlines]), diagonal=diagonal, middles=middles
    )
    _write(folder / "holder.toml", text)


def write_pair(folder: Path) -> None:
    """The small ocarina: three whole outlines as points, two side profiles, and the big one beside it."""
    outlines = [shapes.small_ocarina_outline(height) for height in PAIR_HEIGHTS_MM]
    for name, outline, turn in zip(("low", "middle", "rim"), outlines, (1.0, -0.6, 0.3), strict=True):
        points = drawn.laid(lambda u, ring=outline: ring * 1.004, turn_deg=turn, shift_mm=(40.0, 30.0))
        _write(
            folder / f"outlines/{name}.csv",
            drawn.csv(points(np.zeros(1)), head="x,y", about=f"small ocarina, {name}, whole outline, mm"),
        )
    heights = np.arange(1.5, 35.0, 3.0)
    sides = np.array(
        [(o[:, 1].min(), o[:, 1].max()) for o in map(shapes.small_ocarina_outline, heights.tolist())]
    )
    for column, name in enumerate(("front", "back")):
        text = drawn.csv(
            np.column_stack([heights, sides[:, column]]),
            head="height,y",
            about=f"{name} profile, gauge against a square, mm",
            decimals=1,
        )
        _write(folder / f"outlines/{name}.csv", text)
    sizes = [shapes.size_mm(outline) for outline in outlines]
    _write(folder / "holder.toml", demo_projects.PAIR.format(*_calipers(sizes)))


def _front_view_px() -> shapes.Floats:
    """The ocarina's silhouette from the front, up to 58 mm, in a picture held 0.8 degrees askew, ``(n, 2)``."""
    heights = np.arange(0.0, 58.5, 3.0)
    outlines = [shapes.ocarina_outline(float(height)) for height in heights]
    left, right = (np.array([end(outline[:, 0]) for outline in outlines]) for end in (np.min, np.max))
    tremor = 0.08 * np.sin(np.outer((0.9, 1.2), heights))
    silhouette = np.concatenate(
        [
            np.column_stack([right + tremor[0], heights]),
            np.column_stack([left + tremor[1], heights])[::-1],
        ]
    )
    askew = np.radians(0.8)
    turn = np.array([[np.cos(askew), np.sin(askew)], [-np.sin(askew), np.cos(askew)]])
    return 11.3 * silhouette @ turn + [1512.0, 640.0]


def _whole(height_mm: float) -> list[shapes.Piece]:
    right, left = shapes.ocarina_sides(height_mm)
    return [*right, *left]


def _laid(
    pieces: Sequence[shapes.Piece],
    *,
    scale: tuple[float, float],
    turn_deg: float,
    shift_mm: tuple[float, float],
) -> list[shapes.Piece]:
    return [
        drawn.laid(drawn.traced(piece, scale=scale), turn_deg=turn_deg, shift_mm=shift_mm) for piece in pieces
    ]


def _calipers(sizes: list[tuple[float, float]]) -> list[float]:
    """Width and depth of each section in turn, read to 0.05 mm."""
    true = np.array(sizes).ravel()
    return [float(v) for v in np.round((true + np.array(_CALIPER_ERRORS_MM[: len(true)])) / 0.05) * 0.05]


def _girth_mm(outline: shapes.Floats) -> float:
    """Length of a taut string round an outline: the perimeter of its convex hull."""
    from scipy.spatial import ConvexHull

    return float(ConvexHull(outline).area)


def _write(file: Path, text: str) -> None:
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent.parent / "demo_data")

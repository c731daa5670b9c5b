"""Things to paint on a table: outlines of many kinds, rules, bank cards, capture sheets."""

from __future__ import annotations

from typing import TYPE_CHECKING

import cv2
import numpy as np
from painted import INK, OAK, WHITE, Colour, Seen, Table, box, photographed

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from cradle.capture_sheet.sheet import SheetDesign


def placed(
    ring: ArrayLike, *, at_mm: tuple[float, float] = (0.0, 0.0), turn_deg: float = 0.0
) -> NDArray[np.float64]:
    """Turned counter-clockwise about the origin, then moved."""
    cos, sin = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    return np.asarray(ring, dtype=np.float64) @ np.array([[cos, sin], [-sin, cos]]) + at_mm


def lobed(size_mm: float, *, lobes: int = 3, swell: float = 0.15, flat: float = 0.7) -> NDArray[np.float64]:
    """A smooth outline with waves."""
    t = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    r = size_mm / 2 * (1 + swell * np.cos(lobes * t + 0.4)) / (1 + swell)
    return np.column_stack([r * np.cos(t), flat * r * np.sin(t)])


def house(size_mm: float) -> NDArray[np.float64]:
    """Straight sides and corners."""
    return np.array([[-0.5, -0.35], [0.5, -0.35], [0.5, 0.15], [0.1, 0.45], [-0.5, 0.2]]) * size_mm


def drop(size_mm: float) -> NDArray[np.float64]:
    """Round at one end, a sharp tip of about 40 degrees at the other."""
    t = np.radians(np.linspace(70, 290, 400))
    arc = np.column_stack([-np.cos(t - np.pi), np.sin(t)]) * 0.34
    arc = np.column_stack([0.34 * np.cos(t), 0.34 * np.sin(t)])
    tip = np.array([[0.34 / np.cos(np.radians(70)), 0.0]])
    return np.concatenate([arc, tip]) * size_mm / 1.34


def moon(size_mm: float) -> NDArray[np.float64]:
    """A crescent with two sharp tips."""
    t = np.radians(np.linspace(60, 300, 400))
    outer = np.column_stack([0.5 * np.cos(t), 0.5 * np.sin(t)])
    (x, y) = outer[0]
    middle = x + 0.6
    radius = float(np.hypot(x - middle, y))
    inner_angle = np.linspace(np.arctan2(-y, x - middle), -np.arctan2(-y, x - middle) - 2 * np.pi * (0), 300)
    a = float(np.arctan2(y, x - middle))
    inner_angle = np.linspace(2 * np.pi - a, a, 300)[1:-1]
    inner = np.column_stack([middle + radius * np.cos(inner_angle), radius * np.sin(inner_angle)])
    return np.concatenate([outer, inner]) * size_mm


def egg(width_mm: float, depth_mm: float) -> NDArray[np.float64]:
    """An egg."""
    t = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    return np.column_stack([width_mm / 2 * np.cos(t), depth_mm / 2 * np.sin(t) * (1 + 0.12 * np.cos(t))])


def rule_on(
    table: Table,
    *,
    at_mm: tuple[float, float],
    turn_deg: float = 0.0,
    length_mm: float = 100.0,
    stretch: float = 1.0,
    depth_mm: float = 22.0,
    body: Colour = (226, 222, 200),
    ink: Colour = INK,
    unit_mm: float = 1.0,
    both_edges: bool = False,
) -> NDArray[np.float64]:
    """A rule whose marks stand ``stretch`` mm apart for each mm it says; its zero at ``at_mm``, body below. Its outline."""
    outline = placed(box(-4, -depth_mm, length_mm * stretch + 4, 0), at_mm=at_mm, turn_deg=turn_deg)
    table.shade(outline, by_mm=(0.4, -0.4), soft_mm=0.4, depth=0.35)
    table.paint(outline, colour=body)
    strokes = []
    count = round(length_mm / unit_mm)
    for k in range(count + 1):
        if unit_mm == 1.0:
            long_ = 7.5 if k % 10 == 0 else 5.6 if k % 5 == 0 else 3.8
        elif unit_mm == 0.5:
            long_ = 7.5 if k % 20 == 0 else 6.0 if k % 10 == 0 else 4.4 if k % 2 == 0 else 2.8
        else:
            long_ = (
                8.5
                if k % 16 == 0
                else 7.0
                if k % 8 == 0
                else 5.6
                if k % 4 == 0
                else 4.4
                if k % 2 == 0
                else 3.2
            )
        x = k * unit_mm * stretch
        strokes.append(box(x - 0.08, -long_, x + 0.08, -0.0))
        if both_edges and unit_mm != 0.5 and k <= count:
            for half in (0.0, 0.5):
                j = 2 * k + (half > 0)
                short = 7.0 if j % 20 == 0 else 5.4 if j % 10 == 0 else 4.0 if j % 2 == 0 else 2.6
                strokes.append(box(x + half - 0.07, -depth_mm, x + half + 0.07, -depth_mm + short))
    table.paint(*(placed(s, at_mm=at_mm, turn_deg=turn_deg) for s in strokes), colour=ink)
    for k in range(0, int(length_mm) + 1, 10):
        if unit_mm in (1.0, 0.5):
            _digits(
                table,
                str(k // 10),
                placed([[k * stretch, -11.5]], at_mm=at_mm, turn_deg=turn_deg)[0],
                turn_deg,
                ink,
            )
    return outline


def egg_beside_one_rule() -> tuple[Seen, NDArray[np.float64]]:
    """A photograph, held 3 degrees askew, of an egg and a small thing on oak beside one rule; and the egg's ring, mm."""
    table = Table(240, 240, 8, OAK, 2)
    ring = placed(egg(50, 36), at_mm=(118, 145), turn_deg=20)
    table.paint(ring, colour=(230, 230, 226))
    rule_on(table, at_mm=(70, 90), length_mm=95)
    table.paint(placed(egg(22, 21), at_mm=(66, 79)), colour=(226, 222, 200))
    return photographed(table, size_px=(1700, 1700), distance_mm=190, tilt_deg=3.0), ring


def _digits(table: Table, text: str, at_mm: NDArray[np.float64], turn_deg: float, ink: Colour) -> None:
    """A number, 2.4 mm high."""
    side = round(8 * table.per_mm)
    tile = np.zeros((side, side), np.uint8)
    size = 2.4 * table.per_mm / 22
    (w, h), _ = cv2.getTextSize(text, cv2.FONT_HERSHEY_SIMPLEX, size, max(1, round(size * 2)))
    cv2.putText(
        tile,
        text,
        ((side - w) // 2, (side + h) // 2),
        cv2.FONT_HERSHEY_SIMPLEX,
        size,
        255,
        max(1, round(size * 2)),
        cv2.LINE_AA,
    )
    turn = cv2.getRotationMatrix2D((side / 2, side / 2), turn_deg, 1.0)
    tile = cv2.warpAffine(tile, turn, (side, side))
    x, y = np.rint(table.px([at_mm])[0] - side / 2).astype(int)
    part = table.levels[max(0, y) : y + side, max(0, x) : x + side]
    own = (
        tile[max(0, -y) : max(0, -y) + part.shape[0], max(0, -x) : max(0, -x) + part.shape[1]].astype(
            np.float32
        )[..., None]
        / 255
    )
    part[:] = part * (1 - own) + np.array(ink, np.float32) * own


def card_on(
    table: Table,
    *,
    at_mm: tuple[float, float],
    turn_deg: float = 0.0,
    colour: Colour = (52, 88, 150),
    size_mm: tuple[float, float] = (85.60, 53.98),
) -> NDArray[np.float64]:
    """A plain card of ISO/IEC 7810 ID-1 size with corners of 3.18 mm, its lower left at ``at_mm``. Its outline."""
    w, h = size_mm
    r = 3.18
    quarter = np.radians(np.arange(0, 91, 5.0))
    arc = np.column_stack([np.cos(quarter), np.sin(quarter)]) * r
    parts = []
    for k, (x, y) in enumerate([(w - r, h - r), (r, h - r), (r, r), (w - r, r)]):
        parts.append(placed(arc, turn_deg=90.0 * k) + (x, y))
    ring = placed(np.concatenate(parts), at_mm=at_mm, turn_deg=turn_deg)
    table.shade(ring, by_mm=(0.5, -0.5), soft_mm=0.5, depth=0.3)
    table.paint(ring, colour=colour)
    table.paint(placed(box(8, 8, 60, 12), at_mm=at_mm, turn_deg=turn_deg), colour=(205, 208, 214))
    return ring


def sheet_on(
    table: Table, design: SheetDesign, *, at_mm: tuple[float, float] = (10.0, 10.0), printed: float = 1.0
) -> None:
    """A printed capture sheet, its lower left at ``at_mm``."""
    from cradle.capture_sheet.sheet import black_shapes, check_line

    page = box(0, 0, *design.page_mm) + at_mm
    table.shade(page, by_mm=(0.6, -0.6), soft_mm=0.6, depth=0.3)
    table.paint(page, colour=WHITE)
    rings = [
        box(x, y, x + w, y + h) * printed + at_mm
        for group in black_shapes(design)
        for x, y, w, h in group.tolist()
    ]
    (x0, y), (x1, _) = check_line(design).tolist()
    rings.append(box(x0, y - 0.1, x1, y + 0.1) * printed + at_mm)
    squares = len(black_shapes(design)[0])
    table.paint(*rings[:squares], colour=INK)
    table.paint(*rings[squares:], colour=INK)

"""Draw how a thing is measured: a card round it at a height, and calipers both ways.

python examples/draw_measuring.py demo_data/measuring.svg
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

INK, SOFT, THING, CARD, STEEL = "#24211c", "#5e574d", "#dbe6ee", "#e9d8bd", "#b9bcc0"


def main(picture_file: Path) -> None:
    parts = [*_from_the_side(), *_from_above()]
    head = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 720 330" width="720" height="330" role="img"'
        ' font-family="sans-serif" font-size="14"><title>A card cut to close around the thing, level on a stack at a'
        " known height above the plate; calipers at the same height, left to right for the width and front to back for"
        ' the depth</title><rect width="720" height="330" fill="#fff"/>'
    )
    picture_file.write_text("\n".join([head, *parts, "</svg>\n"]), encoding="utf-8")


def _from_the_side() -> list[str]:
    """The thing on its plate from the front, the card on two stacks of blocks."""
    t = np.linspace(-np.pi / 2, 1.5 * np.pi, 90)
    egg = np.column_stack([180 + (62 + 8 * np.sin(t)) * np.cos(t), 170 - 95 * np.sin(t)])
    return [
        _filled([(20, 270), (340, 270), (340, 284), (20, 284)], STEEL),
        *(_filled([(x, 190), (x + 44, 190), (x + 44, 270), (x, 270)], "#f4f2ed") for x in (48, 268)),
        _filled([(40, 182), (320, 182), (320, 190), (40, 190)], CARD),
        _filled(egg.tolist(), THING),
        _line((113, 190), (247, 190), dashed=True),
        _arrows((30, 190), (30, 270)),
        _words("height", 12, 236, turn=-90),
        _words("card, level, cut to close around the thing", 180, 60),
        _line((250, 66), (290, 180)),
        _words("plate: all heights count from here", 180, 306),
        _words("stack of", 318, 228, anchor="start", small=True),
        _words("known height", 318, 244, anchor="start", small=True),
    ]


def _from_above() -> list[str]:
    """The section from above, in the card, with calipers' jaws both ways."""
    t = np.linspace(0, 2 * np.pi, 90)
    ring = np.column_stack([540 + 74 * np.cos(t), 165 + (56 + 6 * np.sin(t)) * np.sin(t)])
    return [
        _filled([(430, 70), (650, 70), (650, 262), (430, 262)], CARD),
        _filled(ring.tolist(), THING),
        *(_filled([(x, 120), (x + 8, 120), (x + 8, 210), (x, 210)], STEEL) for x in (458, 614)),
        *(_filled([(495, y), (585, y), (585, y + 8), (495, y + 8)], STEEL) for y in (107, 227)),
        _arrows((466, 165), (614, 165)),
        _words("width", 502, 158),
        _arrows((540, 115), (540, 227)),
        _words("depth", 533, 200, turn=-90),
        _words("seen from above, at that height", 540, 60),
        _words("front", 540, 282),
        _words("calipers: the largest extent each way", 540, 306),
    ]


def _filled(points: list[tuple[float, float]], colour: str) -> str:
    trail = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    return f'<polygon points="{trail}" fill="{colour}" stroke="{INK}" stroke-width="1.2"/>'


def _line(a: tuple[float, float], b: tuple[float, float], *, dashed: bool = False) -> str:
    dashes = ' stroke-dasharray="5 4"' if dashed else ""
    return f'<path d="M{a[0]} {a[1]}L{b[0]} {b[1]}" stroke="{SOFT}" stroke-width="1.2" fill="none"{dashes}/>'


def _arrows(a: tuple[float, float], b: tuple[float, float]) -> str:
    """A line with a head at both ends."""
    way = np.subtract(b, a) / np.hypot(*np.subtract(b, a))
    side = np.array([-way[1], way[0]])
    heads = [
        [tip, tip + sign * 9 * way + 3 * side, tip + sign * 9 * way - 3 * side]
        for tip, sign in ((np.array(a, dtype=float), 1), (np.array(b, dtype=float), -1))
    ]
    trails = "".join("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in head) + "z" for head in heads)
    return _line(a, b) + f'<path d="{trails}" fill="{SOFT}"/>'


def _words(
    text: str, x: float, y: float, *, turn: float = 0.0, anchor: str = "middle", small: bool = False
) -> str:
    turned = f' transform="rotate({turn:g} {x} {y})"' if turn else ""
    size = ' font-size="12"' if small else ""
    return f'<text x="{x}" y="{y}" text-anchor="{anchor}" fill="{INK}"{size}{turned}>{text}</text>'


if __name__ == "__main__":
    main(Path(sys.argv[1]))

"""The gap map as a figure: height upwards, once around the thing from left to right."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Final

import numpy as np

from cradle.report.figure import WIDTH, svg_element
from cradle.report.gap_map import GapMap
from cradle.result.seated_thing import SeatedThing

_INKS: Final = ("#a3201d", "#dcebdf", "#b3d2cf", "#7eafbc", "#4a86a5", "#244f72")
"""From too little over what was asked for to wide; told apart by lightness too."""
_STEPS: Final = (1.0, 1.15, 1.5, 2.0, 3.0)
"""Upper ends of the first classes, in multiples of the clearance asked for."""
_LEFT, _RIGHT, _TOP, _HEIGHT = 46.0, 8.0, 6.0, 170.0
_KEY_LEFT: Final = 34.0
_SHORT_MM: Final = 0.005
"""A gap that lacks less than this counts as what was asked for."""


def gap_figure(thing: SeatedThing, gaps: GapMap) -> str:
    """The map in steps of the clearance asked for, with a key."""
    asked = max(thing.wanted.least_mm, 0.01)
    limits = [asked * s for s in _STEPS]
    classes = np.digitize(np.nan_to_num(gaps.gaps_mm, nan=-1.0), [limits[0] - _SHORT_MM, *limits[1:]])
    known = ~np.isnan(gaps.gaps_mm)
    rows, columns = gaps.gaps_mm.shape
    across, up = (WIDTH - _LEFT - _RIGHT) / columns, _HEIGHT / rows
    parts = []
    for number, ink in enumerate(_INKS):
        cells = _cells((classes == number) & known, across=across, up=up, rows=rows)
        if cells:
            parts.append(f'<path fill="{ink}" d="{cells}"/>')
    parts += _axes(thing, gaps)
    parts += _key(limits)
    least, most = float(np.nanmin(gaps.gaps_mm)), float(np.nanmax(gaps.gaps_mm))
    label = f"gap between thing and pocket: from {least:.2f} to {most:.2f} mm per side"
    return svg_element(parts, label=label, height=f"{_TOP + _HEIGHT + 72:g}")


def _cells(
    here: np.ndarray[tuple[int, int], np.dtype[np.bool_]], *, across: float, up: float, rows: int
) -> str:
    """Neighbouring cells of a row as one rectangle."""
    out = []
    for row in range(rows):
        edges = np.flatnonzero(np.diff(np.concatenate([[0], here[row].astype(np.int8), [0]])))
        y = _TOP + _HEIGHT - (row + 1) * up
        for start, stop in edges.reshape(-1, 2).tolist():
            width = (stop - start) * across
            out.append(f"M{_LEFT + start * across:.1f} {y:.1f}h{width:.1f}v{up + 0.2:.1f}h-{width:.1f}z")
    return "".join(out)


def _axes(thing: SeatedThing, gaps: GapMap) -> list[str]:
    top = float(gaps.heights_mm[-1]) + float(gaps.heights_mm[0])
    base = _TOP + _HEIGHT
    parts = [f'<path class="frame" d="M{_LEFT} {_TOP}V{base}H{WIDTH - _RIGHT}V{_TOP}z"/>']
    room = WIDTH - _LEFT - _RIGHT
    for word, part in (("front", 0.0), ("right", 0.25), ("back", 0.5), ("left", 0.75), ("front", 1.0)):
        anchor = {0.0: "start", 1.0: "end"}.get(part, "middle")
        x = _LEFT + part * room
        parts.append(f'<text x="{x:.1f}" y="{base + 15:.1f}" text-anchor="{anchor}">{word}</text>')
        if 0 < part < 1:
            parts.append(f'<path class="lead" d="M{x:.1f} {_TOP}V{base}"/>')
    last = float("inf")
    for section in thing.model.sections:
        if section.height_mm <= top:
            y = base - section.height_mm / top * _HEIGHT
            if last - y > 11:
                parts.append(f'<path class="level" d="M{_LEFT} {y:.1f}H{WIDTH - _RIGHT}"/>')
                parts.append(
                    f'<text x="{_LEFT - 4}" y="{y + 4:.1f}" text-anchor="end">{section.height_mm:.4g}</text>'
                )
                last = y
    return parts


def _key(limits: list[float]) -> Iterator[str]:
    names = [f"under {limits[0]:.2f}"]
    names += [f"{low:.2f}–{high:.2f}" for low, high in pairwise(limits)]
    names.append(f"over {limits[-1]:.2f}")
    for number, (ink, name) in enumerate(zip(_INKS, names, strict=True)):
        x = _KEY_LEFT + (number % 3) * 100
        y = _TOP + _HEIGHT + 28 + (number // 3) * 20
        yield f'<rect x="{x}" y="{y}" width="14" height="12" fill="{ink}" class="frame"/>'
        yield f'<text x="{x + 19}" y="{y + 10.5}">{name}</text>'

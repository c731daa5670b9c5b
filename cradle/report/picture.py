"""A still picture of the holder, drawn from behind to front: what the 3-D view shows without a script."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.drawing.rendered import LAMP, RISE_DEG, TURN_DEG, seen_from
from cradle.report.figure import WIDTH, svg_element
from cradle.report.shown_mesh import ShownMesh

_SHADES: Final = 16
_DARK: Final = np.array([112, 82, 48])
_LIGHT: Final = np.array([240, 222, 190])
_INKS: Final = [
    "#"
    + "".join(f"{v:02x}" for v in np.rint(_DARK + (_LIGHT - _DARK) * k / (_SHADES - 1)).astype(int).tolist())
    for k in range(_SHADES)
]
_FINE: Final = 4
"""Steps per figure unit: whole numbers make short text."""


def picture_svg(part: ShownMesh) -> str:
    """The mesh seen from the front, the right and above, as an SVG element."""
    right, up, near = seen_from(TURN_DEG, RISE_DEG)
    points = part.mesh.vertices_mm @ np.column_stack([right, up, near])  # (v, 3): across, up, towards
    faces = part.mesh.faces
    a, b, c = points[faces].transpose(1, 0, 2)
    normal = np.cross(b - a, c - a)
    facing = normal[:, 2] > 1e-9
    faces, normal = faces[facing], normal[facing]
    shade = np.clip(normal @ LAMP / np.linalg.norm(normal, axis=1), 0.0, 1.0)
    level = np.rint(shade * (_SHADES - 1)).astype(int)
    order = np.argsort(points[faces][:, :, 2].mean(axis=1), kind="stable")
    low, high = points[:, :2].min(axis=0), points[:, :2].max(axis=0)
    scale = (WIDTH - 20) / (high[0] - low[0])
    flat = np.column_stack([10 + (points[:, 0] - low[0]) * scale, 10 + (high[1] - points[:, 1]) * scale])
    height = 20 + (high[1] - low[1]) * scale
    corners = np.rint(flat * _FINE).astype(int)[faces[order]].reshape(-1, 6)
    outlines = ["M{} {}L{} {} {} {}z".format(*row) for row in corners.tolist()]
    tones = level[order]
    starts = np.flatnonzero(np.diff(tones, prepend=-1))
    parts = [
        _filled(outlines[start:stop], int(tones[start]))
        for start, stop in zip(starts.tolist(), [*starts[1:].tolist(), len(tones)], strict=True)
    ]
    return svg_element(
        parts,
        label="the holder from the front, the right and above",
        width=WIDTH * _FINE,
        height=f"{height * _FINE:.0f}",
        attributes=f' stroke-width="{0.4 * _FINE:g}" stroke-linejoin="round"',
    )


def _filled(outlines: list[str], level: int) -> str:
    return f'<path fill="{_INKS[level]}" stroke="{_INKS[level]}" d="{"".join(outlines)}"/>'

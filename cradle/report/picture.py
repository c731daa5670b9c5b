"""Pictures of the holder: the one that a report opens with, and what the 3-D view shows without a script."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np

from cradle.drawing.rendered import LAMP, RISE_DEG, TURN_DEG, Part, png_bytes, rendered, seen_from
from cradle.geometry.mesh import TriMesh
from cradle.geometry.vectors import unit
from cradle.report.figure import WIDTH, svg_element
from cradle.report.shown_mesh import ShownMesh
from cradle.result.made_holder import MadeHolder

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
_SIZE_PX: Final = (400, 340)
_WOOD: Final = (233, 208, 167)
_THING: Final = (120, 165, 196)
_LIFTED: Final = 0.55
"""How far out of its pocket the thing is shown, as a part of the pocket's depth."""


def picture_svg(part: ShownMesh) -> str:
    """The mesh seen from the front, the right and above, drawn from behind to front, as an SVG element."""
    right, up, near = seen_from(TURN_DEG, RISE_DEG)
    points = part.mesh.vertices_mm @ np.column_stack([right, up, near])  # (v, 3): across, up, towards
    faces = part.mesh.faces
    a, b, c = points[faces].transpose(1, 0, 2)
    normal = np.cross(b - a, c - a)
    facing = normal[:, 2] > 1e-9
    faces, normal = faces[facing], normal[facing]
    shade = np.clip(unit(normal) @ LAMP, 0.0, 1.0)
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
        f'<path fill="{ink}" stroke="{ink}" d="{"".join(outlines[start:stop])}"/>'
        for start, stop in pairwise([*starts.tolist(), len(tones)])
        for ink in [_INKS[tones[start]]]
    ]
    return svg_element(
        parts,
        label="the holder from the front, the right and above",
        width=WIDTH * _FINE,
        height=f"{height * _FINE:.0f}",
        attributes=f' stroke-width="{0.4 * _FINE:g}" stroke-linejoin="round"',
    )


def title_picture(made: MadeHolder, bodies: Sequence[ShownMesh], holder: TriMesh) -> str:
    """The holder as a mesh to be shown, and above it the bodies of the things it holds, as an element of the page."""
    parts = [Part(mesh=holder, colour=_WOOD)]
    for thing, body in zip(made.things, bodies, strict=True):
        for pocket, place in zip(thing.pockets, thing.places(made.holder), strict=True):
            lifted = np.array(place)
            lifted[:3, 3] += _LIFTED * (pocket.top_mm - pocket.bottom_mm) * pocket.direction
            parts.append(Part(mesh=body.moved(lifted).mesh, colour=_THING))
    width, height = _SIZE_PX
    data = base64.b64encode(png_bytes(rendered(parts, width=width, height=height))).decode("ascii")
    words = "The holder, and the measured part of what it holds on its way in."
    return (
        f'<figure class="opening"><img alt="{words}" width="{width}" height="{height}"'
        f' src="data:image/png;base64,{data}"><figcaption>{words}</figcaption></figure>'
    )

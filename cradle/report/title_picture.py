"""The picture that a report opens with: the thing on its way into the holder."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.drawing.rendered import Part, png_bytes, rendered
from cradle.geometry.mesh import TriMesh
from cradle.report.shown_mesh import ShownMesh
from cradle.result.made_holder import MadeHolder

_SIZE_PX: Final = (400, 340)
_WOOD: Final = (233, 208, 167)
_THING: Final = (120, 165, 196)
_LIFTED: Final = 0.55
"""How far out of its pocket the thing is shown, as a part of the pocket's depth."""


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

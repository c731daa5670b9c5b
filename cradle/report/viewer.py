"""The 3-D view of the page: meshes as text and a small script of our own, ``viewer.js`` (WebGL 2, nothing to load)."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from cradle.drawing.rendered import RISE_DEG, TURN_DEG
from cradle.geometry.mesh import bounds_mm
from cradle.report.shown_mesh import ShownMesh, packed

_SCRIPT: Final = Path(__file__).with_name("viewer.js")
_HOLDER: Final = {"ink": [0.87, 0.74, 0.55, 1], "line": [0.32, 0.24, 0.14, 1], "shown": True}
_THING: Final = {"ink": [0.36, 0.53, 0.68, 0.8], "line": [0.12, 0.25, 0.36, 1], "shown": False}


def viewer_html(holder: ShownMesh, thing: ShownMesh, *, still: str) -> str:
    """The view: a still picture, replaced by one that can be turned where scripts and WebGL 2 work.

    Parameters
    ----------
    holder, thing : ShownMesh
        In the print frame.
    still : str
        An SVG element.
    """
    low, high = bounds_mm(holder.mesh)
    data: Mapping[str, object] = {
        "turn": TURN_DEG,
        "rise": RISE_DEG,
        "middle": [round(float(v), 3) for v in (low + high) / 2],
        "size": round(float(max(high - low)), 3),
        "parts": [packed(holder) | _HOLDER, packed(thing) | _THING],
    }
    return (
        f'<div id="solid">{still}</div>'
        '<div id="solid-tools" hidden><p class="small">Drag to turn; scroll or pinch to zoom.</p>'
        '<p id="solid-buttons"><button type="button" data-part="1" aria-pressed="false">show thing</button>'
        '<button type="button" data-part="0" aria-pressed="true">show holder</button>'
        f'<button type="button" data-turn="{TURN_DEG:g}" data-rise="{RISE_DEG:g}">reset view</button>'
        '<button type="button" data-turn="0" data-rise="0">front</button>'
        '<button type="button" data-turn="-90" data-rise="0">right</button>'
        '<button type="button" data-turn="0" data-rise="89">top</button></p></div>'
        f'<script type="application/json" id="solid-data">{json.dumps(data, separators=(",", ":"))}</script>'
        f"<script>\n{_SCRIPT.read_text(encoding='utf-8')}</script>"
    )

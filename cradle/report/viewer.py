"""The 3-D view of the page: meshes as text and the modules in ``web/`` that show them (WebGL 2, nothing to load)."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Final

_WEB: Final = Path(__file__).parent / "web"
_MODULES: Final = (
    "dom",
    "fingers",
    "solid_camera",
    "solid_shaders",
    "solid_paint",
    "solid_cut",
    "solid",
    "viewer",
)
"""In an order in which each stands behind all that it imports."""
_DOORS: Final = re.compile(r"^import .*\n|^export (?:\{.*\n)?", re.MULTILINE)


def viewer_html(data: Mapping[str, object], *, still: str) -> str:
    """The view: a still picture, replaced by one that can be turned where scripts and WebGL 2 work.

    Parameters
    ----------
    data : mapping
        What ``show`` of ``solid.js`` takes, JSON data.
    still : str
        An SVG element.
    """
    return (
        f'<div id="solid">{still}</div>'
        f'<script type="application/json" id="solid-data">{json.dumps(data, separators=(",", ":"))}</script>'
        f'<script type="module">\n{one_script()}</script>'
    )


def one_script() -> str:
    """The modules joined into one that imports nothing, as a page opened as a file can import none. No two may share a name."""
    texts = ((_WEB / f"{name}.js").read_text(encoding="utf-8") for name in _MODULES)
    return "".join(_DOORS.sub("", text) for text in texts)

"""Outlines as drawn: a tracing hand, a sheet lying askew, and plain SVG, DXF and CSV text.

Curves are cubic: every smooth piece is cut into spans whose ends have the
right place and direction, far within 0.005 mm of the formula.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from shapes import Floats, Piece

SPANS = 24
"""Cubic spans to a smooth piece."""
PER_MM = 10.0
"""User units to the mm in the SVG drawings."""


def traced(piece: Piece, *, scale: tuple[float, float]) -> Piece:
    """The piece as a hand traces it: a little large, with a wobble of some 0.04 mm.

    Points with x = 0 keep it, so that a half outline still ends on its mirror line.
    """

    def drawn(u: Floats) -> Floats:
        x, y = np.moveaxis(piece(u), -1, 0)
        wobbly = scale[0] * x * (1.0 + 0.0014 * np.sin(0.31 * y)), scale[1] * y + 0.04 * np.sin(0.37 * x)
        return np.stack(wobbly, axis=-1)

    return drawn


def laid(piece: Piece, *, turn_deg: float, shift_mm: tuple[float, float]) -> Piece:
    """The piece on a sheet that lies askew: turned, then moved to an origin of no meaning."""
    cos, sin = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    matrix = np.array([[cos, sin], [-sin, cos]])
    return lambda u: piece(u) @ matrix + np.array(shift_mm)


def cubics(pieces: Sequence[Piece]) -> Floats:
    """Control points of a chain of cubic spans, ``(s, 4, 2)``; each span begins where the last ends."""
    step, near = 1.0 / SPANS, 1e-5
    spans = []
    for piece in pieces:
        u = np.arange(SPANS + 1) * step
        point = piece(u)
        reach = (piece(u + near) - piece(u - near)) / (2 * near) * step / 3
        spans.append(
            np.stack([point[:-1], point[:-1] + reach[:-1], point[1:] - reach[1:], point[1:]], axis=1)
        )
    return np.concatenate(spans)


def svg(pieces: Sequence[Piece], *, size_mm: tuple[float, float], turn_deg: float, about: str) -> str:
    """A drawing in tenths of mm, y down, its path in a moved and turned group."""
    width, height = size_mm
    spans = cubics(pieces) * np.array([PER_MM, -PER_MM])
    path = [f"M {_xy(spans[0, 0])}"] + ["C " + " ".join(_xy(p) for p in span[1:]) for span in spans]
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm"
     viewBox="0 0 {PER_MM * width:g} {PER_MM * height:g}">
  <title>{about}</title>
  <g transform="translate({PER_MM * width / 2:g} {PER_MM * height / 2:g}) rotate({turn_deg:g})">
    <path fill="none" stroke="black" stroke-width="3" d="
{chr(10).join("      " + part for part in path)}
      Z"/>
  </g>
</svg>
"""


def dxf(pieces: Sequence[Piece]) -> str:
    """One closed cubic spline in mm ($INSUNITS 4); inner knots are triple, so corners stay sharp."""
    spans = cubics(pieces)
    control = np.concatenate([spans[:1, 0], spans[:, 1:].reshape(-1, 2)])
    knots = np.repeat(np.arange(len(spans) + 1), 3)
    knots = np.concatenate([knots[:1], knots, knots[-1:]])
    rows: list[tuple[int, object]] = [
        (0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1015"), (9, "$INSUNITS"), (70, 4),
        (0, "ENDSEC"),
        (0, "SECTION"), (2, "ENTITIES"),
        (0, "SPLINE"), (5, "1F"), (100, "AcDbEntity"), (8, "OUTLINE"), (100, "AcDbSpline"),
        (70, 8), (71, 3), (72, len(knots)), (73, len(control)), (74, 0),
    ]  # fmt: skip
    rows += [(40, float(knot)) for knot in knots]
    for x, y in control:
        rows += [(10, f"{x:.5f}"), (20, f"{y:.5f}"), (30, "0.0")]
    rows += [(0, "ENDSEC"), (0, "EOF")]
    return "".join(f"{code:>3}\n{value}\n" for code, value in rows)


def csv(points: Floats, *, head: str, about: str, decimals: int = 2) -> str:
    """Points as a table with a heading and a remark."""
    lines = [f"# {about}", head]
    lines += [",".join(f"{value:.{decimals}f}" for value in row) for row in points]
    return "\n".join(lines) + "\n"


def _xy(point: Floats) -> str:
    return f"{point[0]:.3f},{point[1]:.3f}"

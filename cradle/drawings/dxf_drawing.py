"""DXF drawings as curves in mm: lines, arcs, circles, ellipses, polylines, splines, blocks.

Only the model space is read, and of it what lies in the plane of the drawing
on layers that are on.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, Final

import numpy as np

from cradle.drawings.bounds import Bounds
from cradle.drawings.curves import Curve, Drawing, Ends
from cradle.drawings.drawing_file import drawing_bytes
from cradle.drawings.dxf_file import dxf_document
from cradle.drawings.file_unit import unit_doubt, unit_factor, unit_unknown
from cradle.drawings.flatten import CHECK_UNIT, arc_points, bulge_points, check_span
from cradle.drawings.spline import spline_points
from cradle.errors import CaptureError, CradleError, located
from cradle.files.isolation import unheard, without_settings
from cradle.finding import Finding
from cradle.geometry.arrays import Floats
from cradle.names import point_words
from cradle.tolerances import TOLERANCES
from cradle.units import MM_PER, MM_PER_INCH

with without_settings():
    from ezdxf.lldxf.const import DXFError
    from ezdxf.math import OCS, Vec3

_MM_PER_CODE: Final[dict[int, tuple[str, float]]] = {
    1: ("in", MM_PER_INCH),
    2: ("ft", MM_PER["ft"]),
    4: ("mm", 1.0),
    5: ("cm", 10.0),
    6: ("m", 1000.0),
    8: ("microinches", MM_PER_INCH * 1e-6),
    9: ("mils", MM_PER_INCH * 1e-3),
    10: ("yards", 36 * MM_PER_INCH),
    13: ("um", 1e-3),
    14: ("dm", 100.0),
}
"""$INSUNITS of the DXF Reference, header variables: name and mm per unit."""
_DEEPEST_BLOCK: Final = 16
_FLAT_MM: Final = 0.01
"""How far from one plane a curve may lie."""
_DAMAGE: Final = (
    DXFError, OSError, ValueError, TypeError, LookupError, AttributeError, ArithmeticError, RecursionError,
    AssertionError, StopIteration, NotImplementedError,
)  # fmt: skip
"""What the reader raises on damaged files."""
_LINE: Final = re.compile(r"line: (\d+)")
"""The place in a damaged file, as the reader's messages name it."""


def read_dxf(path: Path, *, where: str, unit: str | None = None) -> Drawing:
    """The curves of a DXF file in mm.

    Parameters
    ----------
    where : str
        The file's name as the project writes it, for messages.
    unit : str or None
        Unit of a file that states none ($INSUNITS missing or 0); without it
        mm are taken and a finding says so.

    Raises
    ------
    CaptureError
        If the file is damaged or holds no DXF.
    """
    data = drawing_bytes(path, where=where)
    try:
        with unheard():
            with located(where):
                document = dxf_document(data)
            factor, findings = _factor(document, unit=unit, where=where)
            with located(where):
                reader = _Reader(document, factor=factor)
                reader.read(document.modelspace())
    except CradleError as error:
        unit = _large_unit(factor) if error.hint == CHECK_UNIT else None
        if unit is None:
            raise
        raise error.advising(
            f"its numbers are taken as {unit}, as the file states ($INSUNITS): where they are mm, save it with that unit"
        ) from error
    except _DAMAGE as error:
        line = _LINE.search(str(error))
        place = f", near line {line[1]}" if line else ""
        raise CaptureError(
            f"the file is damaged or no DXF{place}",
            where=where,
            hint="save the drawing as DXF again",
        ) from error
    ignored = tuple(f"{count} {kind}" for kind, count in sorted(reader.ignored.items()))
    return Drawing(curves=tuple(reader.curves), ignored=ignored, findings=findings)


def _factor(document: Any, *, unit: str | None, where: str) -> tuple[float, tuple[Finding, ...]]:
    """Millimetres per drawing unit, and what is doubtful about that."""
    code = document.header.get("$INSUNITS", 0)
    if code in _MM_PER_CODE:
        name, factor = _MM_PER_CODE[code]
        return factor, unit_doubt(name, mm_per=factor, given=unit, where=where)
    if code != 0 and unit is None:
        raise CaptureError(
            f"the drawing's unit ($INSUNITS {code}) is not one to measure things in",
            where=where,
            hint="draw it in mm",
        )
    factor, findings = unit_factor(None, given=unit, where=where)
    if unit is None:
        findings = (unit_unknown("the drawing states no unit", taken="mm", where=where),)
    return factor, findings


def _large_unit(factor: float) -> str | None:
    """The unit, larger than mm, of so many mm, by which a drawing may be too large: programs write m for drawings in mm."""
    return next((name for name, mm in _MM_PER_CODE.values() if mm == factor > 1.0), None)


class _Reader:
    """Gathers curves from entities, blocks taken apart."""

    def __init__(self, document: Any, *, factor: float) -> None:
        self.factor = factor
        self.off = {
            layer.dxf.name.lower() for layer in document.layers if layer.is_off() or layer.is_frozen()
        }
        self.curves: list[Curve] = []
        self.ignored: Counter[str] = Counter()
        self.bounds = Bounds()

    def read(
        self, entities: Iterable[Any], *, inherited: str | None = None, name: str = "", depth: int = 0
    ) -> None:
        """Add the curves of entities; those of a block on layer 0 are on the block's layer."""
        for entity in entities:
            kind = entity.dxftype()
            self.bounds.add_elements(max(1, entity.mcount) if kind == "INSERT" else 1)
            layer = inherited if inherited is not None and entity.dxf.layer == "0" else entity.dxf.layer
            if layer.lower() in self.off or entity.dxf.get("invisible", 0):
                self.ignored["hidden"] += 1
                continue
            told = name or f"{kind} {entity.dxf.get('handle', '')}".strip()
            told_layer = f'{told} on layer "{layer}"'
            if kind == "INSERT":
                if depth >= _DEEPEST_BLOCK:
                    raise CaptureError(f"{told_layer}: blocks within blocks without end")
                for single in entity.multi_insert() if entity.mcount > 1 else (entity,):
                    self.read(single.virtual_entities(), inherited=layer, name=told, depth=depth + 1)
                continue
            draw = _KINDS.get(kind)
            made = draw(self, entity) if draw is not None else None
            if made is None:
                self.ignored[kind] += 1
                continue
            points, ends = made
            self.bounds.add_points(len(points))
            self.curves.append(Curve(points_mm=points, ends=ends, name=told_layer, groups=(layer,)))

    def flat(self, points: Any) -> Floats:
        """``(n, 2)`` mm of points in space, which must lie in one level plane."""
        places = np.array([tuple(p) for p in points], dtype=np.float64).reshape(-1, 3) * self.factor
        check_span(places)
        if len(places) and np.ptp(places[:, 2]) > _FLAT_MM:
            raise CaptureError(
                f"a curve near {point_words(places[0, :2])} leaves the drawing's plane",
                hint="draw the outline seen from above",
            )
        return places[:, :2]

    def arc(self, centre: Any, a: Any, b: Any, *, start: float, sweep: float) -> Floats:
        """An elliptic arc whose axes are given as vectors in space."""
        self.bounds.add_curved(1)
        middle, first, second = self.flat([centre, centre + a, centre + b])
        return arc_points(
            middle,
            first - middle,
            second - middle,
            start_rad=start,
            sweep_rad=sweep,
            chord_mm=TOLERANCES.chord_mm,
        )

    def bulged(self, vertices: Floats, *, closed: bool, ocs: OCS, elevation: float) -> Floats:
        """Straight and round pieces between ``(x, y, bulge)`` in a plane of their own, ``(n, 3)``."""
        axes = np.array([ocs.ux, ocs.uy, ocs.uz])
        level = np.full(len(vertices), elevation)
        places = self.flat(np.column_stack([vertices[:, :2], level]) @ axes)
        bulges = vertices[:, 2] * (-1.0 if axes[2, 2] < 0 else 1.0)
        if not np.isfinite(bulges).all():
            raise CaptureError("a bulge is not a finite number")
        points = np.concatenate([places, places[:1]]) if closed else places
        pieces, done = [], 0
        for k in np.flatnonzero(bulges[: len(points) - 1]).tolist():
            self.bounds.add_curved(1)
            start, end, bulge = points[k], points[k + 1], float(bulges[k])
            round_ = bulge_points(start, end, bulge=bulge, chord_mm=TOLERANCES.chord_mm)
            pieces += [points[done : k + 1], round_[1:-1]]
            done = k + 1
        return np.concatenate([*pieces, points[done:]])


_Made = tuple[Floats, Ends]


def _line(reader: _Reader, entity: Any) -> _Made:
    return reader.flat([entity.dxf.start, entity.dxf.end]), Ends.OPEN


def _arc(reader: _Reader, entity: Any) -> _Made:
    ocs = entity.ocs()
    radius = entity.dxf.radius
    centre, a, b = (ocs.to_wcs(v) for v in (entity.dxf.center, Vec3(radius, 0, 0), Vec3(0, radius, 0)))
    if entity.dxftype() == "CIRCLE":
        return reader.arc(centre, a, b, start=0.0, sweep=2 * math.pi)[:-1], Ends.CLOSED
    start, end = entity.dxf.start_angle, entity.dxf.end_angle
    sweep = (end - start) % 360.0 or 360.0
    points = reader.arc(centre, a, b, start=math.radians(start), sweep=math.radians(sweep))
    return points, Ends.CLOSED if sweep == 360.0 else Ends.OPEN


def _ellipse(reader: _Reader, entity: Any) -> _Made:
    tool = entity.construction_tool()
    sweep = (tool.end_param - tool.start_param) % (2 * math.pi)
    full = min(sweep, 2 * math.pi - sweep) < 1e-9
    points = reader.arc(
        tool.center,
        tool.major_axis,
        tool.minor_axis,
        start=tool.start_param,
        sweep=2 * math.pi if full else sweep,
    )
    return (points[:-1], Ends.CLOSED) if full else (points, Ends.OPEN)


def _lwpolyline(reader: _Reader, entity: Any) -> _Made | None:
    vertices = np.array(entity.lwpoints.values, dtype=np.float64).reshape(-1, 5)[:, [0, 1, 4]]
    if len(vertices) < 2:  # x, y, two widths, bulge
        return None
    closed = bool(entity.closed)
    points = reader.bulged(vertices, closed=closed, ocs=entity.ocs(), elevation=entity.dxf.elevation)
    return points, Ends.CLOSED if closed else Ends.OPEN


def _polyline(reader: _Reader, entity: Any) -> _Made | None:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        return None
    vertices = [v for v in entity.vertices if not v.dxf.flags & 16]  # 16: control point of a spline frame
    if len(vertices) < 2:
        return None
    closed = bool(entity.is_closed)
    if entity.is_3d_polyline:
        return reader.flat([v.dxf.location for v in vertices]), Ends.CLOSED if closed else Ends.OPEN
    bulged = np.array([(v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0)) for v in vertices])
    elevation = entity.dxf.get("elevation", Vec3()).z
    points = reader.bulged(bulged, closed=closed, ocs=entity.ocs(), elevation=elevation)
    return points, Ends.CLOSED if closed else Ends.OPEN


def _spline(reader: _Reader, entity: Any) -> _Made:
    tool = entity.construction_tool()
    reader.bounds.add_curved(len(tool.knots()))
    weights = np.array(tool.weights(), dtype=np.float64)
    points = spline_points(
        reader.flat(tool.control_points),
        weights=weights if len(weights) else None,
        knots=np.array(tool.knots(), dtype=np.float64),
        degree=int(tool.degree),
        chord_mm=TOLERANCES.chord_mm,
    )
    return points, Ends.OPEN


_KINDS: Final[dict[str, Callable[[_Reader, Any], _Made | None]]] = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _arc,
    "ELLIPSE": _ellipse,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _polyline,
    "SPLINE": _spline,
}
"""Entities that are curves."""

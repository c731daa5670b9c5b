"""Every source of scale in a picture, compared; one is used, and it is said which and why.

Order of trust: a number given on purpose, capture sheet, two points with
their distance, ruler, card, resolution tag (see `ScaleKind`). Edges of paper are never a
scale: ISO 216:2007 allows A4 to be off by 2 mm in 297, and paper moves with
the damp.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.errors import CaptureError
from cradle.finding import Finding, Severity
from cradle.geometry.arrays import Floats, frozen
from cradle.project.picture import PictureSource, ScaleFrom
from cradle.scale.calibration import Calibration, from_scale, scale_difference, to_mm
from cradle.scale.scale import Scale, ScaleKind
from cradle.scale.unverified_axis import one_way_note
from cradle.units import MM_PER_INCH

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cradle.pictures.image import Picture

DISAGREE: Final = 0.005
"""Sources that differ by more are told."""
_READ_PX: Final = 1.0
"""How well a person points at a mark, px."""
_ORDER: Final = tuple(ScaleKind)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Scales:
    """The scale used, all that were found with it first, and what is doubtful."""

    used: Scale
    found: tuple[Scale, ...]
    missing: tuple[str, ...]
    """In words, why other sources gave nothing."""
    findings: tuple[Finding, ...]

    @property
    def calibration(self) -> Calibration:
        """That of the scale used."""
        return self.used.calibration

    @property
    def keep_out(self) -> tuple[Floats, ...]:
        """Polygons of rules and cards, px."""
        return tuple(
            s.region_px
            for s in self.found
            if s.region_px is not None and s.kind in (ScaleKind.RULER, ScaleKind.BANK_CARD)
        )

    @property
    def inside(self) -> Floats | None:
        """The middle of the capture sheet, px, if it is in the picture."""
        return next((s.region_px for s in self.found if s.kind is ScaleKind.SHEET), None)


def tag_scale(picture: Picture) -> Scale | None:
    """The scale that the file's resolution tag states, or None."""
    tag = picture.resolution.mm_per_px
    if tag is None or picture.resolution.dpi is None:
        return None
    x, y = picture.resolution.dpi
    dpi = f"{x:.4g} dpi" if abs(x / y - 1) < 1e-6 else f"{x:.4g} x {y:.4g} dpi"
    return Scale(
        kind=ScaleKind.TAG,
        calibration=from_scale(
            *tag, height_px=picture.size_px[1], source="resolution tag", uncertainty_scale=DISAGREE
        ),
        told=f"resolution tag ({picture.resolution.told_by}), {dpi}",
    )


def given_scale(spec: PictureSource, picture: Picture) -> Scale | None:
    """The scale that the project states as a number, or None."""
    mm = spec.mm_per_px if spec.mm_per_px is not None else MM_PER_INCH / spec.dpi if spec.dpi else None
    if mm is None:
        return None
    told = f"given, {mm:.6g} mm per px" if spec.mm_per_px is not None else f"given, {spec.dpi:g} dpi"
    return Scale(
        kind=ScaleKind.GIVEN,
        calibration=from_scale(mm, mm, height_px=picture.size_px[1], source="given scale"),
        told=told,
    )


def points_scale(spec: PictureSource, picture: Picture) -> Scale | None:
    """The scale from two points and their distance, or None when they are not given.

    Raises
    ------
    CaptureError
        If they are one point, or lie outside the picture.
    """
    if spec.from_px is None or spec.to_px is None or spec.apart_mm is None:
        return None
    ends = frozen([spec.from_px, spec.to_px])
    width, height = picture.size_px
    if ((ends < -0.5) | (ends > [width - 0.5, height - 0.5])).any():
        raise CaptureError(
            f"the two points must lie in the picture of {width} x {height} px",
            where=f"{picture.file}: from, to",
        )
    tag = picture.resolution.mm_per_px
    ratio = 1.0 if tag is None else tag[1] / tag[0]
    apart = float(np.hypot(*((ends[1] - ends[0]) * [1.0, ratio])))
    if apart < 50:
        raise CaptureError(
            f"the two points are {apart:.0f} px apart, at least 50 are needed",
            where=f"{picture.file}: from, to",
            hint="choose marks that are far apart",
        )
    x = spec.apart_mm / apart
    return Scale(
        kind=ScaleKind.POINTS,
        calibration=from_scale(
            x,
            x * ratio,
            height_px=height,
            source="two points",
            reference_mm=[spec.apart_mm],
            residual_mm=[0.0],
            uncertainty_scale=_READ_PX * np.sqrt(2.0) / apart,
        ),
        told=f"two points, {spec.apart_mm:g} mm apart",
        ends_px=frozen(ends[None]),
        known_mm=frozen([spec.apart_mm]),
        marks_px=ends,
    )


def sheet_scale(spec: PictureSource, picture: Picture) -> tuple[Scale | None, str]:
    """The scale from the capture sheet, or None and why.

    Raises
    ------
    CaptureError
        If the sheet is there but cannot be trusted.
    """
    if not _shows_markers(picture):
        return None, "no capture sheet"
    from cradle.scale.calibration import to_px
    from cradle.scale.sheet import CHECK_LENGTH_MM, middle_mm
    from cradle.scale.sheet_marks import read_sheet

    check = spec.check_mm if spec.check_mm is not None else CHECK_LENGTH_MM
    try:
        sheet = read_sheet(picture.grey, check_reads_mm=check)
    except CaptureError as error:
        raise error.within(picture.file) from error
    x0, y0, x1, y1 = np.array(middle_mm(sheet.design)) * (check / CHECK_LENGTH_MM)
    rim = [
        (x0 + (x1 - x0) * a, y0 + (y1 - y0) * b)
        for a, b in [
            *((t, 0.0) for t in np.linspace(0, 1, 9)),
            *((1.0, t) for t in np.linspace(0, 1, 9)[1:]),
            *((1 - t, 1.0) for t in np.linspace(0, 1, 9)[1:]),
            *((0.0, 1 - t) for t in np.linspace(0, 1, 9)[1:-1]),
        ]
    ]
    corners = sheet.corners_mm
    far = [int(np.argmin(corners @ np.array(d))) for d in ((1, 1), (-1, 1), (-1, -1), (1, -1))]
    pairs = [(far[k], far[(k + 1) % 4]) for k in range(4)]
    return Scale(
        kind=ScaleKind.SHEET,
        calibration=sheet.calibration,
        told=f"capture sheet {sheet.design.name}, {len(corners)} corners",
        ends_px=frozen([[sheet.corners_px[a], sheet.corners_px[b]] for a, b in pairs]),
        known_mm=frozen([np.hypot(*(corners[a] - corners[b])) for a, b in pairs]),
        region_px=frozen(to_px(sheet.calibration, rim)),
        marks_px=sheet.corners_px,
        findings=sheet.findings,
    ), ""


def _shows_markers(picture: Picture) -> bool:
    """Whether a quick look sees any marker of the sheet's family."""
    import cv2

    from cradle.scale.sheet import marker_family

    shrink = max(1.0, max(picture.size_px) / 1600)
    size = (round(picture.size_px[0] / shrink), round(picture.size_px[1] / shrink))
    small = cv2.resize(picture.grey, size, interpolation=cv2.INTER_AREA)
    settings = cv2.aruco.DetectorParameters()
    settings.minMarkerPerimeterRate = 0.02
    settings.adaptiveThreshWinSizeMin = settings.adaptiveThreshWinSizeMax = (
        13  # a mat has hundreds of squares
    )
    _, ids, _ = cv2.aruco.ArucoDetector(marker_family(), settings).detectMarkers(small)
    return ids is not None and len(ids) >= 2


def chosen(spec: PictureSource, scales: Sequence[Scale], missing: Sequence[str], *, where: str) -> Scales:
    """The scales compared, the one to use first.

    Raises
    ------
    CaptureError
        If there is none, or not the one asked for.
    """
    ranked = sorted(scales, key=lambda s: _ORDER.index(s.kind))
    if spec.scale is not ScaleFrom.AUTO:
        wanted = [s for s in ranked if s.kind.name == spec.scale.name]
        if not wanted:
            raise CaptureError(
                f"no scale from the {spec.scale.value}: {'; '.join(missing) or 'there is none'}",
                where=where,
                hint='leave scale out to use whatever there is, or give "from", "to" and "apart"',
            )
        ranked = [*wanted, *(s for s in ranked if s not in wanted)]
    if not ranked:
        raise CaptureError(
            ": ".join(["no scale was found", *filter(None, ["; ".join(filter(None, missing))])]),
            where=where,
            hint="lay a ruler beside the piece, or give two points and the distance between them",
        )
    used = ranked[0]
    findings = [*used.findings]
    for other in ranked[1:]:
        off, length = difference(used, other)
        if abs(off) > DISAGREE:
            findings.append(_disagreement(used, other, off, length, spec, where))
    if used.kind is ScaleKind.TAG:
        findings.append(
            Finding(
                code="scale-from-tag",
                severity=Severity.WARN,
                message=f"the scale rests on the file's {used.told} alone, and nothing confirms it",
                where=where,
                advice="lay a ruler beside the piece, or check it with calipers",
            )
        )
    findings += one_way_note(used, ranked, where=where)
    located = tuple(
        replace(f, where=f"{where}: {f.where}" if f.where and f.where != where else where) for f in findings
    )
    return Scales(used=used, found=tuple(ranked), missing=tuple(missing), findings=located)


def difference(used: Scale, other: Scale) -> tuple[float, float]:
    """How much longer ``used`` measures than ``other``, as a ratio less 1, and over what length, mm."""
    if len(other.known_mm):
        ends = to_mm(used.calibration, other.ends_px.reshape(-1, 2)).reshape(-1, 2, 2)
        measured = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
        off = measured / other.known_mm - 1
    elif len(used.known_mm):
        ends = to_mm(other.calibration, used.ends_px.reshape(-1, 2)).reshape(-1, 2, 2)
        measured = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
        off = used.known_mm / measured - 1
    else:
        off = np.array(scale_difference(used.calibration, other.calibration, at_px=(0.0, 0.0)))
        measured = np.full(len(off), np.nan)
    worst = int(np.abs(off).argmax())
    return float(off[worst]), float(measured[worst])


def _disagreement(
    used: Scale, other: Scale, off: float, length: float, spec: PictureSource, where: str
) -> Finding:
    more = "larger" if off > 0 else "smaller"
    over = f", {abs(off) * length:.2f} mm over {length:.0f} mm" if np.isfinite(length) else ""
    why = (
        "chosen by the project"
        if spec.scale is not ScaleFrom.AUTO
        else "rulers seen twice: the one with more marks"
        if used.kind is other.kind
        else f"a {used.kind.value} is trusted more than a {other.kind.value}"
    )
    return Finding(
        code="scales-disagree",
        severity=Severity.WARN,
        message=f"the {used.told} gives sizes {100 * abs(off):.2f} % {more} than the {other.told}{over};"
        f" the {used.kind.value} was used: {why}",
        where=where,
        measured=100 * abs(off),
        limit=100 * DISAGREE,
        unit="%",
        advice="check with calipers",
    )

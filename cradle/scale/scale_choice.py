"""All sources of scale in a picture together: those that agree fix the view, one that disagrees is named.

A number given on purpose is used whatever else there is; the capture sheet
fixes scale, view and lens by itself. Else points, rules and cards constrain
one view together (`cradle.calibration.picture_view`), and a resolution tag is used where
there is nothing else. Of sources that contradict one another, the less
trusted (see `ScaleKind`), or the one that all others speak against, is left out.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.calibration import Calibration, lengths_mm
from cradle.calibration.picture_view import (
    PictureView,
    Spreads,
    calibration_of,
    fit_view,
    length_shares,
    setting_of,
)
from cradle.calibration.scale import DISAGREE, OBLIQUE, ON_GLASS, Scale, ScaleKind, measured_difference
from cradle.errors import CaptureError, ScaleError
from cradle.finding import Finding
from cradle.geometry.arrays import Floats, frozen
from cradle.noun import noun
from cradle.project.picture import PictureSource, ScaleFrom
from cradle.scale.hollow_rule import hollow_doubt
from cradle.scale.scale_comparison import SURE, compared, quarrel, view_findings
from cradle.scale.unverified_axis import one_way_note

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cradle.calibration.picture_view import Setting
    from cradle.pictures.image import Picture

_OPEN: Final = Spreads(ratio=0.05, lean_x=0.2, lean_y=0.2, focal=0.0, lens=0.0)
"""Least spreads of what a view leaves open while sources are compared: none must be left out only because the camera leaned or a
scanner's axes differ."""
_ORDER: Final = tuple(ScaleKind)
_ALONE: Final = (ScaleKind.SUPPOSED, ScaleKind.GIVEN, ScaleKind.SHEET, ScaleKind.TAG)
"""Kinds of sources that are used alone, never together with others."""


@noun
class Scales:
    """The scale used, the sources it rests on, the others, and what is doubtful.

    ``missing`` says in words why other sources gave nothing; ``view`` is None of the capture sheet, which fixes
    scale, view and lens by itself; ``camera`` says that a camera may have taken the picture.
    """

    used: Scale
    members: tuple[Scale, ...]
    others: tuple[Scale, ...]
    missing: tuple[str, ...]
    findings: tuple[Finding, ...]
    view: PictureView | None
    camera: bool
    unread_px: tuple[Floats, ...] = ()
    """Regular marks that do not tell what they count."""

    @property
    def calibration(self) -> Calibration:
        """The calibration of the scale used."""
        return self.used.calibration

    @property
    def found(self) -> tuple[Scale, ...]:
        """Every source, those used first."""
        return (*self.members, *self.others)

    @property
    def keep_out(self) -> tuple[Floats, ...]:
        """Polygons of rules and cards, px."""
        return self._covered(ScaleKind.RULER, ScaleKind.BANK_CARD)

    @property
    def rules_px(self) -> tuple[Floats, ...]:
        """Polygons of rules, px."""
        return self._covered(ScaleKind.RULER)

    def _covered(self, *kinds: ScaleKind) -> tuple[Floats, ...]:
        return tuple(s.region_px for s in self.found if s.region_px is not None and s.kind in kinds)

    @property
    def inside(self) -> Floats | None:
        """The middle of the capture sheet, px, if it is in the picture."""
        return next((s.region_px for s in self.found if s.kind is ScaleKind.SHEET), None)


def seen_by_camera(picture: Picture, scales: Sequence[Scale]) -> bool:
    """Whether a camera may have taken a picture: its file says so, it lacks what a scanner tells, or marks in it draw together."""
    told = {f.code for scale in scales for f in scale.findings}
    silent = picture.resolution.dpi is None and ON_GLASS not in told
    return picture.by_camera or silent or OBLIQUE in told


def chosen(
    spec: PictureSource, scales: Sequence[Scale], missing: Sequence[str], *, picture: Picture
) -> Scales:
    """The scale of a picture by all sources that agree.

    Raises
    ------
    CaptureError
        If there is none, or not the one asked for.
    """
    where = picture.file
    ranked = sorted(scales, key=lambda s: _ORDER.index(s.kind))
    first = _asked_for(ranked, spec, missing, where=where)
    camera = seen_by_camera(picture, ranked)
    setting = setting_of(picture, camera=camera, distance_mm=spec.distance_mm)
    members = first[:1]
    if members[0].kind not in _ALONE:
        members = _agreeing([s for s in first if s.kind not in _ALONE], setting)
    used, view = _settled(members, setting)
    others = [s for s in ranked if s not in members]
    findings = list(used.findings)
    if view is not None and members[0].kind not in _ALONE:
        findings += view_findings(view, members, where=where)
        if camera:
            findings += hollow_doubt(view, members, where=where)
    findings += compared(used, members, others, spec, picture=picture)
    findings += one_way_note(used, ranked, where=where)
    located = tuple(
        replace(f, where=f"{where}: {f.where}" if f.where and f.where != where else where) for f in findings
    )
    return Scales(
        used=used,
        members=tuple(members),
        others=tuple(others),
        missing=tuple(missing),
        findings=located,
        view=view,
        camera=camera,
    )


def _asked_for(
    ranked: Sequence[Scale], spec: PictureSource, missing: Sequence[str], *, where: str
) -> list[Scale]:
    """The sources among which one is used, the most trusted first."""
    first = [s for s in ranked if spec.scale is ScaleFrom.AUTO or s.kind.name == spec.scale.name]
    if first:
        return first
    if spec.scale is not ScaleFrom.AUTO:
        raise CaptureError(
            f"no scale from the {spec.scale.value.replace('_', ' ')}: {'; '.join(missing) or 'none was found'}",
            where=where,
            hint="leave out scale, or give two points in the picture and the distance between them",
        )
    reasons = "; ".join(filter(None, missing))
    raise ScaleError(
        f"no scale was found: {reasons}" if reasons else "no scale was found",
        where=where,
        hint="lay a ruler beside the piece, or give two points and the distance between them",
    )


def _agreeing(scales: Sequence[Scale], setting: Setting) -> list[Scale]:
    """The sources that do not contradict one another, the most trusted first."""
    members = list(scales)
    spreads = Spreads(*(own and max(own, open_) for own, open_ in zip(setting.spreads, _OPEN, strict=True)))
    setting = replace(setting, spreads=spreads)
    while len(members) > 1:
        without = [_together([s for s in members if s is not own], setting) for own in members]
        quarrel = [_contradicted(*rest, own) for rest, own in zip(without, members, strict=True)]
        if not any(quarrel):
            break
        odd = len(members) - 1
        if len(members) > 2:
            left = [np.inf if view is None else view.misfit / view.count for _, view in without]
            odd = min(range(len(members)), key=lambda k: (not quarrel[k], left[k], -k))
        members.pop(odd)
    return members


def _contradicted(rest: Scale, view: PictureView | None, own: Scale) -> bool:
    """Whether a source differs from what the rest say by more than the uncertainty of both explains."""
    off, _ = measured_difference(rest, own)
    if own.known is None or view is None or abs(off) <= DISAGREE:
        return False
    foretold = max(length_shares(view, own.ends_px.reshape(-1, 2)))
    # compared as logarithms, as the spreads of a view are: a length predicted to a third may be four times as long
    ratio = abs(float(np.log1p(off)))
    return ratio > SURE * float(np.hypot(foretold, own.known.share))


def _settled(members: Sequence[Scale], setting: Setting) -> tuple[Scale, PictureView | None]:
    """One scale from sources, fitted again with square pixels if the fit shows that a camera took the picture, and its view.

    Where sources surely disagree everything is less sure by as much: which of them is wrong, nothing tells.
    """
    used, view = _together(members, setting)
    if view is not None and view.by_camera:
        setting = replace(setting, spreads=setting.spreads._replace(ratio=0.0))
        used, view = _together(members, setting)
    if view is None or not quarrel(view, members):
        return used, view
    apart = float(np.abs(view.off).max())
    less = replace(
        used.calibration, uncertainty_scale=float(np.hypot(used.calibration.uncertainty_scale, apart))
    )
    return replace(used, calibration=less), view.less_sure(apart)


def _together(members: Sequence[Scale], setting: Setting) -> tuple[Scale, PictureView | None]:
    """One scale from sources, and the view they fix."""
    first = members[0]
    known = [s.known for s in members if s.known is not None]
    if len(known) < len(members):
        return first, None
    view = fit_view(setting, known)
    if first.kind in _ALONE:
        return first, view
    calibration = calibration_of(view, source=" and ".join(dict.fromkeys(s.kind.value for s in members)))
    ends = np.concatenate([s.ends_px for s in members])
    lengths = np.concatenate([s.known_mm for s in members])
    residual = lengths_mm(calibration, ends) - lengths
    together = replace(
        calibration,
        residual_mm=frozen(residual),
        uncertainty_scale=max(length_shares(view, ends.reshape(-1, 2))),
    )
    return replace(
        first,
        calibration=together,
        told=_told([s.told for s in members]),
        ends_px=frozen(ends),
        known_mm=frozen(lengths),
        marks_px=frozen(np.concatenate([s.marks_px for s in members])),
        findings=tuple(f for s in members for f in s.findings if f.code != OBLIQUE),
    ), view


def _told(sources: Sequence[str]) -> str:
    """The sources in words; those that read the same are told once, with their number."""
    times = Counter(sources)
    return ", with ".join(told if n == 1 else f"{n} × {told}" for told, n in times.items())

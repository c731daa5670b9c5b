"""All sources of scale in a picture together: those that agree fix the view, one that disagrees is named.

A number given on purpose is used whatever else there is; the capture sheet
fixes scale, view and lens by itself. Else points, rules and cards constrain
one view together (`cradle.scale.view`), and a resolution tag is used where
there is nothing else. Of sources that contradict one another, the less
trusted (see `ScaleKind`), or the one that all others speak against, is left out.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.errors import CaptureError, ScaleError
from cradle.finding import Finding, Severity
from cradle.geometry.arrays import Floats, frozen
from cradle.noun import noun
from cradle.project.picture import PictureSource, ScaleFrom
from cradle.scale.calibration import Calibration, scale_difference, to_mm
from cradle.scale.scale import OBLIQUE, ON_GLASS, Scale, ScaleKind
from cradle.scale.unverified_axis import one_way_note
from cradle.scale.view import PictureView, calibration_of, fit_view, length_shares, setting_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cradle.pictures.image import Picture
    from cradle.scale.view import Setting

DISAGREE: Final = 0.005
"""Sources that differ by more are told."""
_SURE: Final = 3.0
"""Standard uncertainties by which sources must differ to contradict one another."""
_OPEN: Final = {"ratio": 0.05, "lean_x": 0.2, "lean_y": 0.2}
"""Wide spreads while sources are compared, so that none is left out as the camera leaned or a scanner's axes differ."""
_ORDER: Final = tuple(ScaleKind)
_ALONE: Final = (ScaleKind.GIVEN, ScaleKind.SHEET, ScaleKind.TAG)
"""Used without the others."""
_LEAN_TOLD_DEG: Final = 1.0


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
        """That of the scale used."""
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
    """Whether a camera may have taken a picture: it says so, it lacks what a scanner tells, or marks in it draw together."""
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
    used, view = _together(members, setting)
    others = [s for s in ranked if s not in members]
    findings = [*used.findings, *_view_findings(view, members, where)]
    findings += _compared(used, members, others, spec, where=where)
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
    raise ScaleError(
        ": ".join(["no scale was found", *filter(None, ["; ".join(filter(None, missing))])]),
        where=where,
        hint="lay a ruler beside the piece, or give two points and the distance between them",
    )


def _compared(
    used: Scale, members: Sequence[Scale], others: Sequence[Scale], spec: PictureSource, *, where: str
) -> list[Finding]:
    """Which other sources contradict the one used, and whether it stands alone."""
    off = [abs(difference(used, other)[0]) for other in others]
    findings = [
        _disagreement(used, other, _trusted_because(used, members, other, spec), where)
        for other, own in zip(others, off, strict=True)
        if own > DISAGREE
    ]
    confirmed = len(members) > 1 or any(own <= DISAGREE for own in off)
    if used.kind is ScaleKind.BANK_CARD and not confirmed:
        findings.append(_card_alone(used, where))
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
    return findings


def _agreeing(scales: Sequence[Scale], setting: Setting) -> list[Scale]:
    """The sources that do not contradict one another, the most trusted first."""
    members = list(scales)
    usual = setting.spreads
    open_ = {name: wide for name, wide in _OPEN.items() if getattr(usual, name) > 0}
    setting = replace(setting, spreads=usual._replace(**open_))
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
    """Whether a source differs from what the rest say by more than both are uncertain."""
    off, _ = difference(rest, own)
    if own.known is None or view is None or abs(off) <= DISAGREE:
        return False
    foretold = max(length_shares(view, own.ends_px.reshape(-1, 2)))
    return abs(off) > _SURE * float(np.hypot(foretold, own.known.share))


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
    ends, lengths = (np.concatenate([getattr(s, name) for s in members]) for name in ("ends_px", "known_mm"))
    at = to_mm(calibration, ends.reshape(-1, 2)).reshape(-1, 2, 2)
    residual = np.hypot(*(at[:, 1] - at[:, 0]).T) - lengths
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
    """The sources in words, those that read the same once with their number."""
    times = Counter(sources)
    return ", with ".join(told if n == 1 else f"{n} × {told}" for told, n in times.items())


def _view_findings(view: PictureView | None, members: Sequence[Scale], where: str) -> tuple[Finding, ...]:
    """What is told of the view that the sources fix."""
    if view is None or members[0].kind in _ALONE:
        return ()
    findings = []
    if view.lean_deg > _LEAN_TOLD_DEG:
        findings.append(
            Finding(
                code=OBLIQUE,
                severity=Severity.NOTE,
                message=f"the camera was tilted by about {view.lean_deg:.0f}°; this was corrected as far as the known lengths show it",
                where=where,
                measured=view.lean_deg,
                unit="deg",
                advice="hold the camera level, straight above the piece",
            )
        )
    off = view.height_by_width - 1
    if abs(off) > DISAGREE:
        findings.append(
            Finding(
                code="rulers-disagree",
                severity=Severity.WARN,
                message=f"the {_kinds(members)} disagree: by them a pixel is {100 * abs(off):.1f} %"
                f" {'longer' if off > 0 else 'shorter'} up and down (y) than left to right (x); one of them is wrong, or"
                " the picture was not taken from straight above",
                where=where,
                measured=100 * abs(off),
                limit=100 * DISAGREE,
                unit="%",
                advice="check both against each other, or measure the piece both ways with calipers",
            )
        )
    return tuple(findings)


def _card_alone(card: Scale, where: str) -> Finding:
    """The note of what was taken for a card where nothing else tells the scale."""
    return Finding(
        code="scale-from-card",
        severity=Severity.NOTE,
        message=f"the scale rests on one thing alone, {card.place}: it has a bank card's form, and was taken for one",
        where=where,
        advice="if that is something else, lay a ruler beside the piece, or give two points and how far they are apart",
    )


def _kinds(members: Sequence[Scale]) -> str:
    """The kinds of sources in words."""
    kinds = [s.kind.value for s in members]
    return " and ".join(
        f"{kinds.count(kind)} {kind}s" if kinds.count(kind) > 1 else kind for kind in dict.fromkeys(kinds)
    )


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


def _trusted_because(used: Scale, members: Sequence[Scale], other: Scale, spec: PictureSource) -> str:
    """Why the one used was, and not another that contradicts it."""
    if spec.scale is not ScaleFrom.AUTO:
        return "it was asked for"
    if len(members) > 1 and other.kind is not ScaleKind.TAG:
        return "all others contradict the other one"
    if used.kind is other.kind:
        return "it has more marks"
    return f"a {used.kind.named} is trusted more than a {other.kind.named}"


def _disagreement(used: Scale, other: Scale, because: str, where: str) -> Finding:
    off, length = difference(used, other)
    more = "larger" if off > 0 else "smaller"
    over = f", {abs(off) * length:.2f} mm over {length:.0f} mm" if np.isfinite(length) else ""
    return Finding(
        code="scales-disagree",
        severity=Severity.WARN,
        message=f"by the {used.told} sizes are {100 * abs(off):.2f} % {more} than by the {other.told}{over};"
        f" the {used.kind.named} was used because {because}",
        where=where,
        measured=100 * abs(off),
        limit=100 * DISAGREE,
        unit="%",
        advice="check with calipers"
        + ("; all is well if what looks like a card is none" if other.kind is ScaleKind.BANK_CARD else ""),
    )

"""Silhouettes from a side as extents at heights: scaled by the sections, set upright on the line they rest on.

A view shows both ends of every level. Its own size, tilt and place are not
trusted: the size comes from the sections' widths or depths where it is free,
the tilt from the line on which the silhouette rests, and where it lies from
left to right says nothing. From a known distance a level looks as large as
the rays past its outline say; from far away it is itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import Final

import numpy as np

from cradle.errors import SectionError
from cradle.finding import Finding, Severity
from cradle.geometry.arrays import Bools, Floats, following, frozen
from cradle.geometry.planar import hull_ring
from cradle.geometry.ring import size
from cradle.noun import noun
from cradle.pictures.border import Border
from cradle.project.section import Align
from cradle.project.side import PAIRS, Side
from cradle.project.view import FREE, ViewScale, ViewSpec
from cradle.sections.adjustment import student_t_cost
from cradle.sections.laid import Laid
from cradle.sections.observations import HEAVY
from cradle.sections.perspective import SeenLevel, overhang_mm, seen_level, upright_mm
from cradle.sections.reading_spreads import VIEW_MM, ExtentSpread
from cradle.sections.readings import readings_of
from cradle.sections.second_view import held_against
from cradle.sections.section import Profile, Profiles
from cradle.sections.silhouette import FITS, Silhouette, check_widths, cut_off_findings
from cradle.sections.zero import beside_profile_mm, beside_sections_mm

TILT_DEG: Final = 1.5
"""How far a picture taken by hand is tilted where nothing tells it (common practice, no source)."""
_TILT_FREEDOM: Final = 4.0
"""Degrees of freedom of that tilt (Student's t): some hands are off by far more."""
_TURNS_RAD: Final = np.radians(np.arange(-6.0, 6.01, 0.05))
"""Resting lines that are looked at; one that leans more is none."""
_ACROSS: Final = 400
"""Places across a silhouette where its underside is looked at."""
_NEAR_LINE_MM: Final = 0.5
"""What lies nearer than about this to a line under the thing rests on it."""
_RESTS: Final = 8.0
"""How much likelier, in the logarithm, a line is that carries the whole underside than one that this hardly touches.

Views of 44 scanned household things from the front and from the right, every
millimetre up, tilted by 1 degree: the turn found is off by 0.85 degrees (by
1.24 where the lowest edge of the hull was believed), 78 and 95 of 100 within
one and two of the spreads stated.
"""
_BASE: Final = 0.4
"""A thing's flat base is an edge under it, longer than this share of its width."""
_CORNER_RAD: Final = np.radians(10.0)
"""At both ends of a flat base the underside rises by more than this."""
_LEVELS: Final = 240
_INSIDE: Final = 1e-6
"""Part of its height by which a silhouette is cut above its lowest edge and below its highest, where these are flat."""
_SIZES: Final = np.geomspace(0.4, 2.5, 600)
"""Sizes that are tried, around the one that makes the widest alike."""
_LOOKS: Final = 13
"""Heights at and around a section's at which a view's width is looked at."""
_HEIGHT_MM: Final = 0.5
"""Of a view's heights against the sections': noted to 0.3, and where its lowest edge lies (common practice, no source)."""
_SHARE: Final = 0.004
"""Part of a section's width by which a view's differs besides (our own choice)."""
_NOT_REACHED: Final = 8.0
"""Spreads by which a width would be missed that speaks as much against a view's size as a section it does not reach."""
_HEIGHTS_OFF_MM: Final = 1.0
"""How far a view's heights may be off the sections' beside its tilt: at a step its width there says nothing."""


@noun
class Seen:
    """What profiles and views say together, how sure each side is, and what was found."""

    profiles: Profiles
    spreads: dict[Side, ExtentSpread]
    findings: tuple[Finding, ...] = ()


def with_views(
    profiles: Profiles, *, views: Sequence[Silhouette], laid: Sequence[Laid], align: Align
) -> Seen:
    """The profiles with those sides added that views show and no profile was read of.

    Parameters
    ----------
    laid : sequence of Laid
        The sections, whose calipers or drawings say how large a view is, and
        where it lies from left to right.

    Raises
    ------
    SectionError
        If a view reaches no section, or shows widths that are not the sections'.
    """
    spreads: dict[Side, ExtentSpread] = {}
    findings: list[Finding] = []
    for view in views:
        axis = 1 - view.spec.seen_from.axis
        names = PAIRS[axis]
        given = [profiles.of(name) for name in names]
        if given[0] is not None and given[1] is not None:
            extents = partial(_extents, view, axis=axis, laid=laid)
            findings += held_against(view.where, extents, known=(given[0], given[1]), seen=spreads)
            continue
        low, high, spread, note = _extents(view, axis=axis, laid=laid)
        findings += [note, *cut_off_findings(view)]
        for read, own in zip(given, (low, high), strict=True):
            if read is not None:  # it ties the other
                off = beside_profile_mm(Profile(side=read.side, points_mm=own), read=read)
                break
        else:
            off = beside_sections_mm((low + high) / 2, axis=axis, laid=laid, align=align)
        low, high = low + [0.0, off], high + [0.0, off]
        spread = replace(spread, middle_mm=(off, spread.middle_mm[1]))
        for name, found, known in zip(names, (low, high), given, strict=True):
            if known is None:
                profiles = replace(profiles, **{name: frozen(found)})
                spreads[name] = spread
    return Seen(profiles=profiles, spreads=spreads, findings=tuple(findings))


def stood_upright(seen: Seen, *, tilts_rad: tuple[float, float]) -> Profiles:
    """The profiles, what views show led back by the tilt that was found to be left in each, along x and along y."""
    profiles = seen.profiles
    for side, spread in seen.spreads.items():
        profile = profiles.of(side)
        if profile is not None:
            heights, reach = profile.points_mm.T
            upright = reach - tilts_rad[side.axis] * (heights - spread.middle_mm[1])
            profiles = replace(profiles, **{side: frozen(np.column_stack([heights, upright]))})
    return profiles


def _extents(
    view: Silhouette, *, axis: int, laid: Sequence[Laid]
) -> tuple[Floats, Floats, ExtentSpread, Finding]:
    """Least and greatest coordinate at heights, each ``(m, 2)``, mm, their spread, and a note on size and tilt."""
    spec = view.spec
    heights = np.array([one.spec.height_mm for one in laid])
    true, levels = _as_seen(laid, axis=axis, spec=spec)
    widths = np.array([level.width_mm for level in levels])
    mm = float(np.ptp(view.points_mm[:, 0]) / widths.max()) if spec.scale is ViewScale.FREE else 1.0
    upright, tilt_rad, tilt_spread = _upright(view, mm=mm)
    up, low, high = _levels(upright)
    factor, start = _enlargement(view, up, high - low, heights=heights, levels=levels)
    z, low, high = start + factor * up, factor * low, factor * high
    if spec.distance_mm is not None:
        z = upright_mm(z, levels=levels, heights_mm=heights, distance_mm=spec.distance_mm)
    reached = _reached(heights, z=z, where=view.where)
    unsure = _HEIGHTS_OFF_MM + tilt_spread * widths
    shown, narrowest, widest = _widths(z, high - low, at=heights, within_mm=unsure)
    if spec.scale is ViewScale.FREE and spec.top_mm is not None:  # its size across, its heights being settled
        steady = reached & (widest - narrowest <= FITS * shown)
        again = float(np.median((widths / shown)[steady if steady.any() else reached]))
        narrowest, widest, low, high = (again * v for v in (narrowest, widest, low, high))
    off = (np.clip(widths, narrowest, widest) - widths)[reached]
    check_widths(view, off=off, widths=widths[reached], heights=heights[reached])
    narrower = np.interp(z, heights, true / widths)  # what perspective added at the sections
    between = (z >= heights[reached][0]) & (z <= heights[reached][-1])
    between[int(np.argmin(np.abs(z - heights[reached][0])))] = True
    middle = float(low[between].min() + high[between].max()) / 2
    least, greatest = ((v - middle) * narrower for v in (low, high))
    spread = ExtentSpread(
        own_mm=VIEW_MM, tilt_rad=tilt_spread, middle_mm=(0.0, float(np.mean(heights[reached])))
    )
    apart = float(np.abs(off).max())
    apart_words = f" to {apart:.2f} mm" if apart >= 0.005 else ""
    note = Finding(
        code="view-scaled",
        severity=Severity.NOTE,
        where=view.where,
        message=f"the view was scaled to {100 * factor:.2f} % and turned upright by {np.degrees(tilt_rad):z.2f}° ± "
        f"{np.degrees(tilt_spread):.2f}°; it shows heights from {z[0]:z.1f} to {z[-1]:.1f} mm; its widths agree with the sections'{apart_words}",
        measured=apart,
        unit="mm",
    )
    return np.column_stack([z, least]), np.column_stack([z, greatest]), spread, note


def _as_seen(laid: Sequence[Laid], *, axis: int, spec: ViewSpec) -> tuple[Floats, tuple[SeenLevel, ...]]:
    """The sections' widths across an axis by their calipers, ``(k,)``, mm, and what a view sees of them."""
    outward = 1.0 if spec.seen_from in (Side.FRONT, Side.LEFT) else -1.0
    true, seen = [], []
    for one in laid:
        reading = readings_of(one)[axis]
        factor = 1.0 if reading is None else reading / size(one.ring)[axis]
        true.append(factor * size(one.ring)[axis])
        seen.append(seen_level(factor * one.ring, axis=axis, distance_mm=spec.distance_mm, outward=outward))
    return np.array(true), tuple(seen)


def _enlargement(
    view: Silhouette, up: Floats, across: Floats, *, heights: Floats, levels: Sequence[SeenLevel]
) -> tuple[float, float]:
    """By how much a view is to be enlarged, and at which height its lowest edge is seen, mm: as it says, else by the sections."""
    spec = view.spec
    widths = np.array([level.width_mm for level in levels])
    top = spec.top_mm
    bottom = None if spec.bottom_mm == FREE else float(spec.bottom_mm)
    factor = float(widths.max() / across.max()) if spec.scale is ViewScale.FREE else 1.0
    start = bottom or 0.0
    for _ in range(1 if spec.distance_mm is None else 2):  # how far its ends stand out follows from its size
        below, above = _overhangs(view, factor * up, factor * across, levels=levels)
        if top is not None and bottom is not None:
            factor, start = (top + above - bottom + below) / float(up[-1]), bottom - below
        elif spec.scale is ViewScale.GIVEN and bottom is not None:
            factor, start = 1.0, bottom - below
        else:
            rests = None if bottom is None else bottom - below
            factor, start = _fitted(up, across, heights=heights, widths=widths, spec=spec, bottom_mm=rests)
    return factor, start


def _overhangs(
    view: Silhouette, up: Floats, across: Floats, *, levels: Sequence[SeenLevel]
) -> tuple[float, float]:
    """How far below the foot on which it rests and above its top a thing is seen, mm: their near edges, from near by."""
    distance = view.spec.distance_mm
    if distance is None:
        return 0.0, 0.0
    below = above = 0.0
    if view.spec.bottom_mm == 0.0:
        below = overhang_mm(up, across, level=levels[0], distance_mm=distance)
    if Border.UPPER not in view.cut_off_at:
        above = overhang_mm(up[-1] - up[::-1], across[::-1], level=levels[-1], distance_mm=distance)
    return below, above


def _reached(heights: Floats, *, z: Floats, where: str) -> Bools:
    """Which sections lie at heights that a view shows, ``(k,)``; a SectionError where none does."""
    reached: Bools = (heights >= z[0]) & (heights <= z[-1])
    if not reached.any():
        raise SectionError(
            f"the view shows heights from {z[0]:.1f} to {z[-1]:.1f} mm, where there is no section",
            where=where,
            hint="give the heights of its lowest edge (bottom) and of its highest (top)",
        )
    return reached


def _widths(z: Floats, across: Floats, *, at: Floats, within_mm: Floats) -> tuple[Floats, Floats, Floats]:
    """The widths at heights, and the least and greatest that heights off by up to ``within_mm`` may show, ``(k,)`` each."""
    near = np.interp(at + np.linspace(-1.0, 1.0, _LOOKS)[:, None] * within_mm, z, across)
    return np.interp(at, z, across), near.min(axis=0), near.max(axis=0)


def _upright(view: Silhouette, *, mm: float) -> tuple[Floats, float, float]:
    """The silhouette to the thing's right and up, resting on 0; the turn that did it, rad, and its spread.

    Parameters
    ----------
    mm : float
        Length of 1 mm of the thing in the view's unit.
    """
    points = np.array(view.points_mm)
    if view.spec.seen_from in (Side.BACK, Side.LEFT):
        points = points * [-1.0, 1.0]
    turn, spread = 0.0, float(np.radians(TILT_DEG))
    if view.spec.bottom_mm == 0.0:
        turn, spread = _to_rest(points, mm=mm)
    cos, sin = np.cos(turn), np.sin(turn)
    points = points @ np.array([[cos, sin], [-sin, cos]])
    return points - [0.0, points[:, 1].min()], turn, spread


def _to_rest(points: Floats, *, mm: float) -> tuple[float, float]:
    """The turn by which a silhouette stands on its lowest edge, and its spread, rad.

    A line under it is the likelier the resting line the more of the silhouette's
    underside lies near it, and the less the picture was tilted then: one that
    is round or rises from a small foot hardly tells the turn. A flat base
    between two corners does.
    """
    hull = hull_ring(points)
    hull = np.roll(hull, -int(hull[:, 0].argmin()), axis=0)
    under = hull[: int(hull[:, 0].argmax()) + 1]
    base = _flat_base(np.vstack([hull[-1:], under, hull[len(under) :][:1]]))
    if base is not None:
        return -float(np.arctan2(base[1], base[0])), float(np.sqrt(2.0) * VIEW_MM * mm / base[0])
    across = np.linspace(under[0, 0], under[-1, 0], _ACROSS)
    up = np.interp(across, *under.T)
    away = up - np.tan(_TURNS_RAD)[:, None] * across
    near = np.exp(-(away - away.min(axis=1, keepdims=True)) / (_NEAR_LINE_MM * mm)).mean(axis=1)
    likely = _RESTS * near - student_t_cost(_TURNS_RAD / np.radians(TILT_DEG), freedom=_TILT_FREEDOM)
    weights = np.exp(likely - likely.max())
    weights /= weights.sum()
    leans = float(weights @ _TURNS_RAD)
    return -leans, float(np.sqrt(weights @ (_TURNS_RAD - leans) ** 2))


def _flat_base(under: Floats) -> tuple[float, float] | None:
    """How far the underside's one long edge between two corners runs across and rises; None where there is none.

    ``under`` is the lower half of the hull, from left to right, and one point more at either end.
    """
    edges = np.diff(under, axis=0)
    slopes = np.arctan2(edges[:, 1], edges[:, 0])
    turns = np.diff(np.unwrap(slopes))
    long = edges[1:-1, 0] >= _BASE * np.ptp(under[:, 0])
    flat = (
        long & (np.minimum(turns[:-1], turns[1:]) >= _CORNER_RAD) & (np.abs(slopes[1:-1]) <= _TURNS_RAD[-1])
    )
    if not flat.any():
        return None
    across, rise = edges[1:-1][int(flat.argmax())]
    return float(across), float(rise)


def _levels(points: Floats) -> tuple[Floats, Floats, Floats]:
    """Heights from the lowest edge, and the outermost points there, each ``(m,)``."""
    top = float(points[:, 1].max())
    up = np.linspace(0.0, top, _LEVELS)
    cut = np.clip(up, _INSIDE * top, (1 - _INSIDE) * top)
    a, b = points, following(points)
    rises = b[:, 1] - a[:, 1]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (cut[:, None] - a[:, 1]) / rises
    crosses = (share >= 0) & (share <= 1) & (rises != 0)
    across = a[:, 0] + np.where(crosses, share, 0.0) * (b[:, 0] - a[:, 0])
    low = np.where(crosses, across, np.inf).min(axis=1)
    high = np.where(crosses, across, -np.inf).max(axis=1)
    return up, low, high


def _fitted(
    up: Floats, across: Floats, *, heights: Floats, widths: Floats, spec: ViewSpec, bottom_mm: float | None
) -> tuple[float, float]:
    """Factor and height of the lowest edge, mm, at which a silhouette is as wide as the sections."""
    around = float(widths.max() / across.max())
    sizes = around * _SIZES if spec.scale is ViewScale.FREE else np.ones(1)
    starts = np.arange(0.0, float(heights[-1]), 0.5) if bottom_mm is None else np.array([bottom_mm])
    best, found = np.inf, (around, float(starts[0]))
    for _ in range(3):
        cost = _costs(sizes[:, None, None], starts[:, None], up, across, heights=heights, widths=widths)
        size, start = divmod(int(cost.argmin()), len(starts))
        if cost[size, start] < best:
            best, found = float(cost[size, start]), (float(sizes[size]), float(starts[start]))
        if len(sizes) == 1:
            break
        step = sizes[1] / sizes[0]
        sizes = found[0] * np.geomspace(1 / step, step, 21)
        starts = np.array([found[1]])
    return found


def _costs(
    factor: Floats, start: Floats, up: Floats, across: Floats, *, heights: Floats, widths: Floats
) -> Floats:
    """How unlikely a silhouette of each size, ``(f, 1, 1)``, and resting height, ``(s, 1)``, is, ``(f, s)``."""
    at = (heights - start) / factor
    shown = factor * np.interp(at, up, across)
    inside = (at >= 0) & (at <= up[-1])
    above, below = (np.interp(at + mm / factor, up, across) for mm in (1.0, -1.0))
    steep = np.where(inside, factor / 2 * np.abs(above - below), 0.0)
    sd = np.sqrt(VIEW_MM**2 * 2 + (_HEIGHT_MM * steep) ** 2 + (_SHARE * widths) ** 2)
    missed = np.where(inside, (shown - widths) / sd, _NOT_REACHED)
    return np.asarray((student_t_cost(missed, freedom=HEAVY) + np.log(sd)).sum(axis=-1))

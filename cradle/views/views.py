"""Silhouettes from a side as extents at heights: scaled by the sections, set upright on the line they rest on.

A view shows both ends of every level. Its own size, tilt and place are not
trusted: the size comes from the sections' widths or depths where it is free,
the tilt from the line on which the silhouette rests, and where it lies from
left to right says nothing. From a known distance a level looks as wide as the
rays past its outline make it; from far away as wide as it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import combinations
from typing import Final

import numpy as np

from cradle.errors import SectionError
from cradle.finding import Finding, in_mm, note, refusal
from cradle.geometry.arrays import Bools, Floats, frozen
from cradle.noun import noun
from cradle.project.section import Align
from cradle.project.side import PAIRS, Side
from cradle.project.view import FREE, ViewScale
from cradle.sections.laid import Laid
from cradle.sections.profiles import Profile, Profiles
from cradle.sections.reading_spreads import VIEW_MM, ExtentSpread
from cradle.sections.zero import beside_profile_mm, beside_sections_mm
from cradle.units import MISTAKEN_FOR_MM
from cradle.views.second_view import held_against
from cradle.views.seen_sections import seen_sections
from cradle.views.shown_levels import ShownLevels, levels_at, sized_across
from cradle.views.silhouette import Silhouette, check_widths, cut_off_findings
from cradle.views.wrong_side import WrongSide, wrong_sides

_TELL_END: Final = 3
"""Fewer sections than this do not tell at which end of a view heights begin."""
_FEW: Final = 12
"""Among more sections than this no two are looked for whose heights are swapped."""
_FITS_WELL: Final = 0.02
"""A view that misses no section by more than this part of its width fits them well (our own choice)."""


@noun
class Seen:
    """What profiles and views say together, how sure each side is, which views are of another side, and what was found."""

    profiles: Profiles
    spreads: dict[Side, ExtentSpread]
    wrong: tuple[WrongSide, ...] = ()
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
    wrong = wrong_sides(views, laid=laid)
    try:
        seen = _all_seen(profiles, views=views, laid=laid, align=align)
    except SectionError as error:
        raise (refusal(wrong[0].finding()) if wrong else error) from error
    return replace(seen, findings=(*(one.finding() for one in wrong), *seen.findings), wrong=wrong)


def _all_seen(profiles: Profiles, *, views: Sequence[Silhouette], laid: Sequence[Laid], align: Align) -> Seen:
    """What `with_views` returns, if all views are from the sides they are said to be from."""
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
        try:
            low, high, spread, scaled = _extents(view, axis=axis, laid=laid)
        except SectionError as error:
            _check_unit(view, axis=axis, laid=laid)
            raise _heights_named(error, view, axis=axis, laid=laid) from error
        if (scaled.measured or 0.0) > _well_mm(low, high):
            _check_unit(view, axis=axis, laid=laid)
        findings += [scaled, *cut_off_findings(view)]
        for read, own in zip(given, (low, high), strict=True):
            if read is not None:  # the profile tells where the view lies
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
    """The profiles, those from views corrected for the tilt that was found to be left in the view that shows x and in the one that shows y."""
    profiles = seen.profiles
    for side, spread in seen.spreads.items():
        profile = profiles.of(side)
        if profile is not None:
            heights, reach = profile.points_mm.T
            led_back = reach - tilts_rad[side.axis] * (heights - spread.middle_mm[1])
            profiles = replace(profiles, **{side: frozen(np.column_stack([heights, led_back]))})
    return profiles


def _extents(
    view: Silhouette, *, axis: int, laid: Sequence[Laid]
) -> tuple[Floats, Floats, ExtentSpread, Finding]:
    """Least and greatest coordinate at heights, each ``(m, 2)``, mm, their spread, and a note on size and tilt."""
    sections = seen_sections(laid, axis=axis, spec=view.spec)
    heights, widths = sections.heights_mm, sections.widths_mm
    seen = levels_at(view, sections)
    z, reached = seen.z, _reached(heights, z=seen.z, where=view.where)
    seen, off = sized_across(seen, view, sections, reached)
    check_widths(view, off=off, widths=widths[reached], heights=heights[reached])
    narrower = np.interp(z, heights, sections.true_mm / widths)  # what perspective added at the sections
    between = (z >= heights[reached][0]) & (z <= heights[reached][-1])
    between[int(np.argmin(np.abs(z - heights[reached][0])))] = True
    middle = float(seen.low[between].min() + seen.high[between].max()) / 2
    least, greatest = ((v - middle) * narrower for v in (seen.low, seen.high))
    spread = ExtentSpread(
        own_mm=VIEW_MM, tilt_rad=seen.standing.spread_rad, middle_mm=(0.0, float(np.mean(heights[reached])))
    )
    scaled = _scaled_note(seen, view, apart_mm=float(np.abs(off).max()))
    return np.column_stack([z, least]), np.column_stack([z, greatest]), spread, scaled


def _scaled_note(seen: ShownLevels, view: Silhouette, *, apart_mm: float) -> Finding:
    """The note on a view's size and tilt, and how far its widths and the sections' differ at most."""
    turn, spread = np.degrees([seen.standing.turn_rad, seen.standing.spread_rad])
    apart_words = f" to {apart_mm:.2f} mm" if apart_mm >= 0.005 else ""
    free = view.spec.scale is ViewScale.FREE  # what was drawn then has no size that a share could be of
    sized = "got its size from the sections" if free else f"was scaled to {100 * seen.factor:.2f} %"
    return note(
        "view-scaled",
        f"the view {sized} and was turned upright by {turn:z.2f}° ± {spread:.2f}°; it"
        f" shows heights from {seen.z[0]:z.1f} to {seen.z[-1]:.1f} mm; its widths agree with the sections'{apart_words}",
        where=view.where,
        **in_mm(apart_mm),
    )


def _heights_named(error: SectionError, view: Silhouette, *, axis: int, laid: Sequence[Laid]) -> SectionError:
    """The refusal of a view; its advice begins with the unit in which, or the end from which, the sections' heights would fit it."""
    for unit, _, _ in _fitting_units(view, axis=axis, laid=laid):
        return error.advising(
            f"it would fit if the sections' heights were in {unit}: write them in mm; else {error.hint}"
        )
    if _fits_upside_down(view, axis=axis, laid=laid):
        return error.advising(
            "it would fit upside down: count the sections' heights from the plate that the thing stands on, not from its "
            f"top, or turn the picture; else {error.hint}"
        )
    pair = _fitting_swap(view, axis=axis, laid=laid)
    if pair is not None:
        return error.advising(
            f"it would fit if the heights of {pair[0].where} and {pair[1].where} were swapped: let each have the other's; "
            f"else {error.hint}"
        )
    return error


def _check_unit(view: Silhouette, *, axis: int, laid: Sequence[Laid]) -> None:
    """Raise a SectionError where a view that fits some sections badly fits all of them well at heights in another unit."""
    for unit, mm, well in _fitting_units(view, axis=axis, laid=laid):
        if well:
            raise SectionError(
                f"the heights of all {len(laid)} sections look as if they were in {unit}: so they fit the view",
                where=view.where,
                hint=f"write them in mm: each times {mm:g}",
            )


def _fitting_units(view: Silhouette, *, axis: int, laid: Sequence[Laid]) -> Iterator[tuple[str, float, bool]]:
    """The units in which a view would reach the heights of all sections, mm to one, and whether it would fit all of them well."""
    for unit, mm in MISTAKEN_FOR_MM:
        raised = [replace(one, spec=replace(one.spec, height_mm=mm * one.spec.height_mm)) for one in laid]
        off = _off_mm(view, axis=axis, laid=raised)
        if off is not None:
            yield unit, mm, off[1]


def _fitting_swap(view: Silhouette, *, axis: int, laid: Sequence[Laid]) -> tuple[Laid, Laid] | None:
    """The two of at least three sections with whose heights swapped a view would reach all sections and fit all of them well, and best of all."""
    best: tuple[float, tuple[Laid, Laid]] | None = None
    if not _TELL_END <= len(laid) <= _FEW:
        return None
    for low, high in combinations(laid, 2):
        heights = {low.where: high.spec.height_mm, high.where: low.spec.height_mm}
        swapped = [
            replace(one, spec=replace(one.spec, height_mm=heights.get(one.where, one.spec.height_mm)))
            for one in laid
        ]
        swapped.sort(key=lambda one: one.spec.height_mm)
        off = _off_mm(view, axis=axis, laid=swapped)
        if off is not None and off[1] and (best is None or off[0] < best[0]):
            best = off[0], (low, high)
    return None if best is None else best[1]


def _off_mm(view: Silhouette, *, axis: int, laid: Sequence[Laid]) -> tuple[float, bool] | None:
    """How far a view is off the sections' widths, mm, and whether it fits all of them well; None where it does not reach them all."""
    try:
        low, high, _, scaled = _extents(view, axis=axis, laid=laid)
    except SectionError:
        return None
    if laid[0].spec.height_mm < low[0, 0] or low[-1, 0] < laid[-1].spec.height_mm:
        return None
    off = scaled.measured or 0.0
    return off, off <= _well_mm(low, high)


def _well_mm(low: Floats, high: Floats) -> float:
    """How far a view that fits well may be off the sections' widths, mm; ``low`` and ``high`` as from `_extents`."""
    return _FITS_WELL * float((high - low)[:, 1].max())


def _fits_upside_down(view: Silhouette, *, axis: int, laid: Sequence[Laid]) -> bool:
    """Whether a view of the whole thing fits at least three sections much better turned on its head, wherever it then begins."""
    turned = replace(
        view, spec=replace(view.spec, bottom_mm=FREE, top_mm=None), points_mm=frozen(-view.points_mm)
    )
    if view.cut_off_at or len(laid) < _TELL_END:
        return False
    off = _off_mm(turned, axis=axis, laid=laid)
    return off is not None and off[1]


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

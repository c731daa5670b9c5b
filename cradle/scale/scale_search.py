"""Look for everything in a picture that tells its scale, and for the pieces beside it."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from cradle.geometry.arrays import Floats, frozen
from cradle.noun import noun
from cradle.pictures.ground_lines import without_light_lines
from cradle.pictures.image import Picture
from cradle.pictures.regions import Regions, find_things, pieces_of
from cradle.project.picture import PictureSource
from cradle.scale.card_choice import card_of
from cradle.scale.card_outline import card_like
from cradle.scale.card_sides import straight_sided
from cradle.scale.cut_off_card import cut_off_card
from cradle.scale.on_glass import on_glass_note, ruled_on_glass
from cradle.scale.ruler import find_rulers
from cradle.scale.ruler_body import whole_rules
from cradle.scale.ruler_find import LARGEST_PX
from cradle.scale.scale import Scale, ScaleKind
from cradle.scale.scale_choice import Scales, chosen, difference, seen_by_camera
from cradle.scale.scale_sources import given_scale, points_scale, sheet_scale, tag_scale

_NO_CARD: Final = 0.1
"""By this part of its size by a ruler a thing is no card but a piece of a card's form, wherever it lies in the view."""
_SEEN_PX: Final = 6.0
"""Marks so far apart are seen in a copy of half the size as well (`cradle.scale.ruler_find`)."""


def find_scales(picture: Picture, spec: PictureSource) -> tuple[Scales, Regions]:
    """The scales of a picture compared, and what lies on its ground.

    Where nothing else tells the scale, marks of rules are looked for as finely as the picture shows them.

    Raises
    ------
    CaptureError
        If nothing tells the scale.
    """
    found = _found(picture, spec, marks_in_px=LARGEST_PX)
    if max(picture.size_px) > LARGEST_PX and (not found.scales or found.rule_on_unread):
        finer = _found(picture, spec, marks_in_px=max(picture.size_px))
        found = finer if finer.scales else found
    scales = chosen(spec, found.scales, found.missing, picture=picture)
    return replace(scales, unread_px=found.unread_px), found.regions


@noun
class _Found:
    """All that tells the scale, in words what does not, and what lies on the ground.

    Attributes
    ----------
    rule_on_unread : bool
        The only rule lies on something whose millimetres would be too narrow to be seen.
    """

    scales: list[Scale]
    missing: list[str]
    regions: Regions
    unread_px: tuple[Floats, ...]
    rule_on_unread: bool


def _found(picture: Picture, spec: PictureSource, *, marks_in_px: int) -> _Found:
    """What is found where marks of rules are looked for in a copy no longer than so many px."""
    scales = [s for s in (points_scale(spec, picture), given_scale(spec, picture), tag_scale(picture)) if s]
    missing: list[str] = []
    if not any(s.kind is ScaleKind.TAG for s in scales):
        missing.append(picture.resolution.told_by)
    sheet, why = sheet_scale(spec, picture)
    if sheet is None:
        missing.append(why)
    else:
        scales.append(sheet)
    inside = sheet.region_px if sheet else None
    things = find_things(picture, inside=inside)
    rulers = find_rulers(picture, things, largest_px=marks_in_px)
    missing += rulers.reasons or (() if rulers.scales else ("no ruler was found",))
    rules, whole = whole_rules(rulers.scales, things)
    untold = sheet is None and spec.distance_mm is None and picture.resolution.dpi is None
    if untold and ruled_on_glass(picture, rules, things.ground):
        rules = [replace(rules[0], findings=(*rules[0].findings, on_glass_note(where="ruler"))), *rules[1:]]
    scales += rules
    covered = [s.region_px for s in rules if s.region_px is not None]
    if not whole:
        things = find_things(picture, keep_out=covered, inside=inside)
    regions = pieces_of(things, without=covered)
    if sheet is None:
        unchecked = not scales or (len(regions.boxes) > 1 and all(s.kind is ScaleKind.TAG for s in scales))
        camera = seen_by_camera(picture, scales)
        quads = [card_like(regions), *([straight_sided(regions)] if unchecked else [])]
        card, why = card_of(picture, quads, regions, spec, camera=camera)
        if card is None and not scales:
            bare = without_light_lines(picture)
            on_mat = pieces_of(find_things(bare))
            quads = [card_like(on_mat), straight_sided(on_mat)]
            card, _ = card_of(bare, quads, on_mat, spec, camera=camera)
        if card is None or card.region_px is None:
            cut_off = cut_off_card(find_things(picture)) if not scales else None
            missing.append(f"{why} ({cut_off})" if cut_off else why)
        elif any(abs(difference(rule, card)[0]) > _NO_CARD for rule in rules):
            scales.append(replace(card, region_px=None))
        else:
            scales.append(card)
            regions = pieces_of(things, without=[*covered, _grown(card.region_px)])
    return _Found(
        scales=scales,
        missing=missing,
        regions=regions,
        unread_px=rulers.unread_px,
        rule_on_unread=len(rules) == 1 and not whole and rules[0].px_per_mm < _SEEN_PX,
    )


def _grown(polygon: Floats) -> Floats:
    """A polygon a little larger, so that its own edge is left out as well."""
    middle = polygon.mean(axis=0)
    return frozen(middle + (polygon - middle) * 1.06)

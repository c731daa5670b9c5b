"""Look for everything in a picture that tells its scale, and for the pieces beside it."""

from __future__ import annotations

from enum import StrEnum

from cradle.errors import CaptureError
from cradle.geometry.arrays import Floats, frozen
from cradle.pictures.contour import piece_contour
from cradle.pictures.image import Picture
from cradle.pictures.regions import Regions, find_regions
from cradle.project.picture import PictureSource
from cradle.scale.card import card_scale, like_a_card
from cradle.scale.ruler import crossed, find_rulers
from cradle.scale.scale import Scale, ScaleKind
from cradle.scale.scale_sources import Scales, chosen, given_scale, points_scale, sheet_scale, tag_scale


class _Missing(StrEnum):
    RULER = "no ruler was found"
    CARD = "no card"


def find_scales(picture: Picture, spec: PictureSource) -> tuple[Scales, Regions]:
    """The scales of a picture compared, and what lies on its ground.

    Raises
    ------
    CaptureError
        If nothing tells the scale.
    """
    scales = [s for s in (points_scale(spec, picture), given_scale(spec, picture), tag_scale(picture)) if s]
    missing: list[str] = []
    if not any(s.kind is ScaleKind.TAG for s in scales):
        missing.append(picture.resolution.told_by)
    sheet, why = sheet_scale(spec, picture)
    if sheet is None:
        missing.append(why)
    else:
        scales.append(sheet)
    rulers = find_rulers(picture)
    both = crossed(rulers.scales, picture)
    scales += (both,) if both else ()
    scales += rulers.scales
    if not rulers.scales:
        missing += rulers.reasons or (_Missing.RULER.value,)
    bodies = [s.region_px for s in rulers.scales if s.region_px is not None]
    inside = sheet.region_px if sheet else None
    regions = find_regions(picture, keep_out=bodies, inside=inside)
    card = None if sheet else _card(picture, regions, spec)
    if card is not None and card.region_px is not None:
        scales.append(card)
        regions = find_regions(picture, keep_out=[*bodies, _grown(card.region_px)], inside=inside)
    elif sheet is None:
        missing.append(_Missing.CARD.value)
    return chosen(spec, scales, missing, where=picture.file), regions


def _card(picture: Picture, regions: Regions, spec: PictureSource) -> Scale | None:
    for number in range(1, len(regions.boxes) + 1):
        if regions.cut_off[number - 1] or not like_a_card(regions.labels, regions.boxes[number - 1], number):
            continue
        try:
            ring = piece_contour(picture, regions, number).ring_px
        except CaptureError:
            continue
        card = card_scale(ring, picture, distance_mm=spec.distance_mm)
        if card is not None:
            return card
    return None


def _grown(polygon: Floats) -> Floats:
    """A polygon a little larger, so that its own edge is left out as well."""
    middle = polygon.mean(axis=0)
    return frozen(middle + (polygon - middle) * 1.06)

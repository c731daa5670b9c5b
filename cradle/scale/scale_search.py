"""Look for everything in a picture that tells its scale, and for the pieces beside it."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from cradle.calibration.on_glass import on_glass_note, ruled_on_glass
from cradle.calibration.scale import Scale, ScaleKind, measured_difference
from cradle.cards.card_choice import card_of
from cradle.cards.card_outline import card_like
from cradle.cards.card_sides import straight_sided
from cradle.cards.unseen_card import unseen_card
from cradle.geometry.arrays import Floats, frozen
from cradle.noun import noun
from cradle.pictures.ground_lines import without_light_lines
from cradle.pictures.image import Picture
from cradle.pictures.pieces import pieces_of
from cradle.pictures.regions import Regions, find_things
from cradle.project.picture import PictureOfAnySize, PictureSource
from cradle.rulers.marked_picture import MarkedPicture
from cradle.rulers.ruler import find_rulers
from cradle.rulers.ruler_body import whole_rules
from cradle.rulers.ruler_find import LARGEST_PX
from cradle.scale.paper_under import on_paper_note, papers, shows_pieces
from cradle.scale.scale_choice import Scales, chosen, seen_by_camera
from cradle.scale.scale_sources import given_scale, points_scale, sheet_scale, tag_scale

_NO_CARD: Final = 0.1
"""A card whose scale differs from a ruler's by more than this part is no card but a piece of a card's form, wherever it lies in the
view."""
_SEEN_PX: Final = 6.0
"""Marks this far apart are seen in a copy of half the size as well (`cradle.rulers.ruler_find`)."""


def find_scales(picture: Picture, spec: PictureSource) -> tuple[Scales, Regions]:
    """The scales of a picture compared, and what lies on its ground.

    Where nothing else tells the scale, marks of rules are looked for as finely as the picture shows them.

    Raises
    ------
    CaptureError
        If nothing tells the scale.
    """
    told, rules = _on_paper(_told(picture, spec))
    found = _with_card(told, rules)
    if max(picture.size_px) > LARGEST_PX and (not found.scales or rules.on_unread):
        finer = _rules(told, marks_in_px=max(picture.size_px))
        if finer.scales or found.scales:  # else a card would be looked for in the same place again
            again = _with_card(told, finer)
            found, rules = (again, finer) if again.scales else (found, rules)
    scales = chosen(spec, found.scales, found.missing, picture=picture)
    if any(s.kind is ScaleKind.RULER for s in scales.members) and any(map(_is_card, scales.others)):
        found = found.without_card()
        scales = chosen(spec, found.scales, found.missing, picture=picture)
    on_paper = (on_paper_note(where=picture.file),) if told.on_paper else ()
    return replace(scales, unread_px=rules.unread_px, findings=(*scales.findings, *on_paper)), found.regions


def _on_paper(told: _Told) -> tuple[_Told, _Rules]:
    """What tells the scale, and the rules; where a sheet of paper carries the rule or card and the pieces, only what lies on it is looked at."""
    rules = _rules(told, marks_in_px=LARGEST_PX)
    for paper in papers(told.things, rules_px=rules.covered) if told.inside_px is None else ():
        carried = all(paper.carries(told.things, rule.marks_px) for rule in rules.scales)
        over_edge = any(paper.reaches_under(told.things, polygon) for polygon in rules.covered)
        if not (over_edge or (carried and paper.light)):
            continue
        things = find_things(told.picture, inside=paper.inside_px)
        on = replace(told, inside_px=paper.inside_px, things=replace(things, over_rim=things.cut_off))
        again = (
            _rules(on, marks_in_px=LARGEST_PX) if carried and rules.scales else replace(rules, whole=False)
        )
        left = pieces_of(on.things, without=again.covered)
        if not (carried and paper.light) and not shows_pieces(left, told.things):
            continue
        by_card = len(left.boxes) > 1 and _card(on, list(told.scales), left)[0] is not None
        if by_card or (again.scales and left.boxes):
            return on, again
    return told, rules


@noun
class _Told:
    """What tells the scale of a picture besides rules and cards, and what lies on its ground.

    Attributes
    ----------
    missing : tuple of str
        Why other sources do not tell it, in words.
    marked : MarkedPicture
        The picture as rules are looked for in it.
    inside_px : (n, 2) float64, or None
        The middle of the capture sheet, if there is one, or the paper that a rule lies on.
    things : Regions
        All that lies on the ground within that.
    """

    picture: Picture
    spec: PictureSource
    scales: tuple[Scale, ...]
    missing: tuple[str, ...]
    marked: MarkedPicture
    inside_px: Floats | None
    things: Regions

    @property
    def on_paper(self) -> bool:
        """Whether the pieces lie on a sheet of paper that lies on the ground."""
        return self.inside_px is not None and not self.by_sheet

    @property
    def by_sheet(self) -> bool:
        """Whether a capture sheet tells the scale."""
        return any(s.kind is ScaleKind.SHEET for s in self.scales)


@noun
class _Rules:
    """The rules of a picture.

    Attributes
    ----------
    whole : bool
        Whether each is known as one of the things, which tells what it covers.
    reasons : tuple of str
        Why marks that were found are no scale, in words.
    unread_px : tuple of (n, 2) float64
        Where such marks lie.
    """

    scales: tuple[Scale, ...]
    whole: bool
    reasons: tuple[str, ...]
    unread_px: tuple[Floats, ...]

    @property
    def covered(self) -> list[Floats]:
        """What they cover, px."""
        return [s.region_px for s in self.scales if s.region_px is not None]

    @property
    def on_unread(self) -> bool:
        """Whether there is only one rule, not known as a thing, and its millimetres are too narrow to be seen in a smaller copy."""
        return len(self.scales) == 1 and not self.whole and self.scales[0].px_per_mm < _SEEN_PX


@noun
class _Found:
    """All that tells the scale, why other sources do not, in words, and the pieces: without a card, and ``with_card`` among them."""

    scales: tuple[Scale, ...]
    missing: tuple[str, ...]
    regions: Regions
    with_card: Regions

    def without_card(self) -> _Found:
        """The same where a ruler tells that what was taken for a card is none but a piece of its form."""
        scales = tuple(replace(s, region_px=None) if _is_card(s) else s for s in self.scales)
        return replace(self, scales=scales, regions=self.with_card)


def _told(picture: Picture, spec: PictureSource) -> _Told:
    """What points, the project, the resolution tag and a capture sheet tell."""
    scales = [s for s in (points_scale(spec, picture), given_scale(spec, picture), tag_scale(picture)) if s]
    tagged = any(s.kind is ScaleKind.TAG for s in scales)
    sheet, why = sheet_scale(spec, picture)
    inside = sheet.region_px if sheet else None
    return _Told(
        picture=picture,
        spec=spec,
        scales=(*scales, *([sheet] if sheet else [])),
        missing=(*([] if tagged else [picture.resolution.told_by]), *([] if sheet else [why])),
        marked=MarkedPicture(picture),
        inside_px=inside,
        things=find_things(picture, inside=inside),
    )


def _rules(told: _Told, *, marks_in_px: int) -> _Rules:
    """The rules whose marks show in a copy whose longer side has ``marks_in_px`` px at most."""
    picture = told.picture
    rulers = find_rulers(told.marked, told.things, largest_px=marks_in_px)
    rules, whole = whole_rules(rulers.scales, told.things)
    untold = not told.by_sheet and told.spec.distance_mm is None and picture.resolution.dpi is None
    if untold and ruled_on_glass(picture, rules, told.things.ground):
        rules[0] = replace(rules[0], findings=(*rules[0].findings, on_glass_note(where="ruler")))
    return _Rules(scales=tuple(rules), whole=whole, reasons=rulers.reasons, unread_px=rulers.unread_px)


def _with_card(told: _Told, rules: _Rules) -> _Found:
    """All that tells the scale; a card is looked for where there is no capture sheet."""
    scales = [*told.scales, *rules.scales]
    missing = (*told.missing, *(rules.reasons or (() if rules.scales else ("no ruler was found",))))
    things = told.things
    if not rules.whole:
        things = find_things(told.picture, keep_out=rules.covered, inside=told.inside_px)
        things = replace(things, over_rim=things.cut_off) if told.on_paper else things
    regions = with_card = pieces_of(things, without=rules.covered)
    if told.by_sheet:
        return _Found(scales=tuple(scales), missing=missing, regions=regions, with_card=with_card)
    card, why = _card(told, scales, regions)
    if card is None or card.region_px is None:
        unseen = None if scales else unseen_card(find_things(told.picture))
        missing = (*missing, f"{why} ({unseen})" if unseen else why)
    elif any(abs(measured_difference(rule, card)[0]) > _NO_CARD for rule in rules.scales):
        scales.append(replace(card, region_px=None))
    else:
        beside = pieces_of(things, without=[*rules.covered, _grown(card.region_px)])
        if beside.boxes or not isinstance(told.spec, PictureOfAnySize):  # else it is the thing itself
            scales.append(card)
            regions = beside
    return _Found(scales=tuple(scales), missing=missing, regions=regions, with_card=with_card)


def _is_card(scale: Scale) -> bool:
    """Whether a scale is that of a card that takes its place in the picture."""
    return scale.kind is ScaleKind.BANK_CARD and scale.region_px is not None


def _card(told: _Told, scales: list[Scale], regions: Regions) -> tuple[Scale | None, str]:
    """The scale by a bank card, or None and why; straight sides are enough to look for one where it would check no other source."""
    unchecked = not scales or (len(regions.boxes) > 1 and all(s.kind is ScaleKind.TAG for s in scales))
    camera = seen_by_camera(told.picture, scales)
    quads = [card_like(regions), *([straight_sided(regions)] if unchecked else [])]
    card, why = card_of(told.picture, quads, regions, told.spec, camera=camera)
    if card is None and not scales:
        bare = without_light_lines(told.picture)
        on_mat = pieces_of(find_things(bare))
        quads = [card_like(on_mat), straight_sided(on_mat)]
        card, _ = card_of(bare, quads, on_mat, told.spec, camera=camera)
    return card, why


def _grown(polygon: Floats) -> Floats:
    """A polygon a little larger, so that its own edge is left out as well."""
    middle = polygon.mean(axis=0)
    return frozen(middle + (polygon - middle) * 1.06)

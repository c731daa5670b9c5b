"""Which of the oblong things in a picture is the bank card: the one whose form is nearest to a card's, and how surely.

A piece may be nearly as long by its width as a card, round at its corners too, and a view that leans takes up the rest.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.on_glass import on_glass_note, seen_on_glass
from cradle.calibration.scale import DISAGREE, measured_difference
from cradle.cards.card import RADIUS_MM, SHORT_MM, card_scale, corner_radii_mm, px_per_mm
from cradle.cards.card_outline import card_outlines
from cradle.cards.faint_card import doubted_as_faint, is_faint
from cradle.errors import CaptureError
from cradle.finding import Finding, doubt, in_mm, in_unit
from cradle.geometry.arrays import Floats, Singles
from cradle.noun import noun

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from cradle.calibration.scale import Scale
    from cradle.pictures.image import Picture
    from cradle.pictures.regions import Regions
    from cradle.project.picture import PictureSource

_RADIUS_MM: Final = 0.3
"""Tolerance of a card's corner radius (ISO/IEC 7810, from memory)."""
_LENGTH_MM: Final = 0.1
"""Largest rms error of cards' sides in rendered pictures."""
_UNUSUAL: Final = 1.5
_UNUSUAL_IF_FAINT: Final = 2.0
"""A form that is off by this or more is doubted, the second for a faint card: cards were off by up to 0.9 in rendered pictures, by 1.7
where they were hardly darker than their ground."""
_TOLD_MM: Final = 0.05
"""A smaller rms error of the sides is not what makes it unlike a card."""
_DOUBT: Final = 0.1
"""Relative standard uncertainty of a scale by what may be no card: pieces are of any size."""


@noun
class _Taken:
    """What passes for a card: its scale, the mean radius of its corners, and the rms error of its sides in the fitted view."""

    scale: Scale
    radius_mm: float
    sides_off_mm: float

    @property
    def off(self) -> float:
        """How far its form is off a card's: 1 if by one tolerance."""
        return float(np.hypot((self.radius_mm - RADIUS_MM) / _RADIUS_MM, self.sides_off_mm / _LENGTH_MM))


def card_of(
    picture: Picture,
    quads: Sequence[Iterable[Floats]],
    things: Regions,
    spec: PictureSource,
    *,
    camera: bool,
) -> tuple[Scale | None, str]:
    """The scale of the card in a picture, or None and why there is none.

    Parameters
    ----------
    quads : sequence of iterables of (4, 2) float64
        Corners of what may be a card, px; the next iterable is looked at where nothing before it has a card's form.
    things : Regions
        All that lies on the picture's ground.
    camera : bool
        A camera may have taken the picture.
    """
    found: list[_Taken] = []
    why = ""
    for some in quads:
        for quad in some:
            taken, why_not = _tried(picture, quad, things.ground, spec, camera=camera)
            found += taken
            why = why_not or why
        if any(one.off < _UNUSUAL for one in found):
            break
    if not found:
        return None, f"no card{why}"
    best = min(found, key=lambda one: one.off)
    faint = is_faint(best.scale, things)
    card = doubted_as_faint(best.scale) if faint else best.scale
    if best.off >= (_UNUSUAL_IF_FAINT if faint else _UNUSUAL):
        return card.doubted(_DOUBT, _unlike(best)), ""
    rivals = [one for one in found if one.off < _UNUSUAL and _contradicts(best.scale, one.scale)]
    return (card.doubted(_DOUBT, _two_alike(best, rivals[0])) if rivals else card), ""


def _tried(
    picture: Picture, quad: Floats, ground: Singles, spec: PictureSource, *, camera: bool
) -> tuple[list[_Taken], str]:
    """The cards among a quad's outlines, up to the first that has a card's form, and in words why the last that is none is none."""
    found: list[_Taken] = []
    why = ""
    try:
        for outline in card_outlines(picture, quad):
            try:
                found.append(_taken(picture, outline, ground, spec, camera=camera))
            except CaptureError as error:
                why = f" ({error.found})"
                continue
            if found[-1].off < _UNUSUAL_IF_FAINT:
                break
    except CaptureError as error:
        why = f" ({error.found})"
    return found, why


def _taken(
    picture: Picture, outline: Floats, ground: Singles, spec: PictureSource, *, camera: bool
) -> _Taken:
    """What an outline tells as a card.

    Raises
    ------
    CaptureError
        If it is none.
    """
    card = card_scale(outline, picture, camera=camera, distance_mm=spec.distance_mm)
    if camera and spec.distance_mm is None and seen_on_glass(picture, card, ground):
        card = replace(card_scale(outline, picture, camera=False), findings=(on_glass_note(where="card"),))
    radius = float(corner_radii_mm(outline, card.marks_px).mean())
    sides_off = float(np.sqrt((card.calibration.residual_mm**2).mean()))
    return _Taken(scale=card, radius_mm=radius, sides_off_mm=sides_off)


def _contradicts(card: Scale, other: Scale) -> bool:
    """Whether another thing lies elsewhere and would give another scale; two cards would not."""
    apart = float(np.hypot(*(card.marks_px.mean(axis=0) - other.marks_px.mean(axis=0))))
    return (
        apart > SHORT_MM / 2 * px_per_mm(card.marks_px)
        and abs(measured_difference(card, other)[0]) > DISAGREE
    )


def _unlike(one: _Taken) -> Finding:
    sides = f", and sides {one.sides_off_mm:.2f} mm off a card's" if one.sides_off_mm > _TOLD_MM else ""
    return doubt(
        "card-unlike",
        f"what was taken for the bank card {one.scale.place} has corner radii of {one.radius_mm:.1f} mm, a"
        f" card of {RADIUS_MM:g} mm{sides}: if it is something else, all sizes are wrong",
        "lay the card clear of all else on a ground of another colour, or give two points and how far they are apart",
        where="card",
        **in_mm(one.radius_mm, limit=RADIUS_MM),
    )


def _two_alike(one: _Taken, other: _Taken) -> Finding:
    apart = 100 * abs(measured_difference(one.scale, other.scale)[0])
    return doubt(
        "card-two-alike",
        f"two things look like a bank card: the one {one.scale.place} was used; by the one"
        f" {other.scale.place} sizes would differ by {apart:.0f} %",
        "if the wrong one was used, give two points and how far they are apart, or take a picture without it",
        where="card",
        **in_unit("%", apart, limit=100 * DISAGREE),
    )

"""What tells a piece from its ground in the part of a picture round it, and the fields that this gives.

A field is 0 on the ground and 1 on the piece, both taken from next to the edge.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.geometry.arrays import Bools, Bytes, Floats, Singles, frozen
from cradle.geometry.usual import usual_miss
from cradle.noun import noun
from cradle.pictures.light import light_of, light_scale
from cradle.pictures.masks import from_nearest, shrunk_by

if TYPE_CHECKING:
    from cradle.pictures.crop import Crop

BAND: Final = 3
"""Half width of the band in which the edge is looked for, small px."""
LEAST_COLOUR: Final = 45.0
"""Colour is used alone where piece and ground differ in it, brightness aside, by more than this many levels ..."""
_LEAST_SHARE: Final = 0.2
"""... and than this part of their whole difference."""
COLOUR_BESIDE_SHADOW: Final = 20.0
_SHARE_BESIDE_SHADOW: Final = 0.08
"""The same two where a shadow or print hides more of an edge than noise does. Black on coloured paper differs by 0.02 of the whole,
and blur alone gives its edge as much colour; the palest tinted card on white by 0.13."""
_FINE_COLOUR: Final = 4.0
_ABOVE_NOISE: Final = 2.5
_NOISE_PX: Final = 4
"""Where a file keeps colours as finely as brightness, the first of these falls to this many times the noise of single pixels, but
not below ``_FINE_COLOUR`` levels; noise is taken from pixels this far apart. An edge rests on the mean of a dozen pixels, in which
noise is a quarter."""
_BLUR_PX: Final = 0.8
_LEAST_RISE, _MOST_RISE = 0.4, 2.5
"""Smallest and largest local step from the ground to a piece that a field is scaled by, as part of the usual step."""
_MANY: Final = 0.03
"""A piece has several colours, as a printed card has, if more than this part of its rim differs from the ground clearly but not as
the rest does."""
_SHADOWED: Final = 0.45
_ALIKE: Final = 0.995
"""Ground in a shadow keeps at least this part of its levels, and this cosine to its own colour."""
LUMA: Final = frozen([0.299, 0.587, 0.114])
"""Brightness by channels, as files keep it (ITU-R BT.601)."""


@noun
class Colours:
    """What tells a piece from its ground in a crop: levels of both near the edge, and how to weigh the channels.

    Attributes
    ----------
    crop : Crop
        The part of the picture round the piece.
    colour_px : int
        How many pixels in a row share one colour in the file.
    own : (h, w, c) float32
        The piece's levels at each place of the small copy, also beyond its edge.
    rim : (h, w) bool
        Where the piece's edge runs in the small copy.
    step, under : (c,) float64
        The usual step from the ground to the piece along the rim, and the ground there, levels.
    weight : (c,) float64
        Of each channel, a unit vector.
    weight_is_colour : bool
        Whether the channels are weighed by colour alone, brightness aside.
    many : bool
        Whether the piece has several colours.
    """

    crop: Crop
    colour_px: int
    own: Singles
    rim: Bools
    step: Floats
    under: Floats
    weight: Floats
    weight_is_colour: bool
    many: bool

    def field(self, weight: Floats) -> Singles:
        """The field of weighted channels, 0 on the ground and 1 on the piece, ``(h, w)``."""
        return _blurred(self._seen(weight))

    def part_of_light(self, weight: Floats) -> Singles:
        """The same field as the piece's part of the light, which is what a blurred edge mixes; by levels where these do not tell the light."""
        seen = self._seen(weight)
        scale = light_scale(ground=self.under, piece=self.under + self.step, weight=weight)
        return _blurred(seen if scale is None else scale.light(seen))

    @property
    def faint_colour(self) -> bool:
        """Whether colour is used alone although it is so faint that noise may hide more of an edge than a shadow does."""
        colour = without_brightness(self.step, self.under)
        return self.weight_is_colour and float(np.linalg.norm(colour)) < COLOUR_BESIDE_SHADOW

    def by_all(self) -> Colours:
        """The same, with channels weighted by the whole difference, brightness and colour."""
        return replace(self, weight=_unit(self.step), weight_is_colour=False)

    @property
    def by_place(self) -> bool:
        """Whether piece or ground have several colours, so that each place is judged by those nearby."""
        return self.many or self.crop.many_grounds

    def first_field(self) -> Singles:
        """The field by light or by levels, whichever makes less of what is not the piece.

        In levels light lines swell, by light a shadow on the ground is nearer to a dark piece; colours that the
        file keeps for several pixels were mixed as levels.
        """
        if self.by_place:
            return self.unlikeness(in_light=False)
        by_light = self.colour_px == 1 and float(self.step.sum()) > 0
        return self.part_of_light(self.weight) if by_light else self.field(self.weight)

    def unlikeness(self, *, in_light: bool) -> Singles:
        """The field where colours differ from place to place: how far each pixel lies along the step from the ground to the piece's colour nearby.

        On ground of several colours it is how near each pixel is to the piece's colour, as parts of that step: others of the
        ground's colours lie aside of it.

        Parameters
        ----------
        in_light : bool
            Measured in light rather than in levels.
        """
        levels = self.crop.levels.astype(np.float32)
        ground, own = (self.crop.enlarged(each.astype(np.float32)) for each in (self.crop.ground, self.own))
        if in_light:
            levels, ground, own = (
                (255.0 * light_of(each.astype(np.float64))).astype(np.float32)
                for each in (levels, ground, own)
            )
        step = own - ground
        square = (step * step).sum(axis=2)
        if self.crop.many_grounds:
            off = levels - own
            return _blurred(1 - np.sqrt((off * off).sum(axis=2) / np.maximum(square, 1.0)))
        usual = float(np.median(square[self.crop.shows(self.rim)]))
        along = ((levels - ground) * step).sum(axis=2)
        return _blurred(along / np.maximum(square, _LEAST_RISE**2 * usual))

    def _seen(self, weight: Floats) -> Singles:
        """The field of weighted channels before it is blurred, ``(h, w)``."""
        crop = self.crop
        rise = ((self.own - crop.ground) @ weight).astype(np.float32)
        typical = float(np.median(rise[self.rim]))
        rise = typical * np.clip(rise / typical, _LEAST_RISE, _MOST_RISE)
        seen = np.zeros(crop.levels.shape[:2], np.float32)
        for channel, share in enumerate(weight.tolist()):
            seen += np.float32(share) * crop.levels[..., channel]
        seen -= crop.enlarged((crop.ground @ weight).astype(np.float32))
        seen /= crop.enlarged(rise)
        return seen


def colours_of(crop: Crop, *, colour_px: int, beyond_shadow: Bytes | None = None) -> Colours:
    """What tells the piece of a crop from its ground.

    The piece's levels are taken from its mask without the rim or, beside a shadow, from ``beyond_shadow (h, w)``, the part
    of the small copy that no shadow reaches; less colour is then enough to be used alone.
    """
    inside = shrunk_by(crop.mask, 1) if beyond_shadow is None else beyond_shadow
    own = _spread_out(crop.small, inside, 2.0 * BAND)
    rim = (crop.mask > 0) & (shrunk_by(crop.mask, BAND) == 0)
    rim = rim if rim.any() else crop.mask > 0
    step = np.median((own - crop.ground)[rim], axis=0)
    under = np.asarray(np.median(crop.ground[rim], axis=0), dtype=np.float64)
    colour = without_brightness(step, under) if len(step) == 3 else np.zeros_like(step)
    least, share = LEAST_COLOUR, _LEAST_SHARE
    if beyond_shadow is not None:
        least, share = _least_beside_shadow(crop, colour, colour_px=colour_px), _SHARE_BESIDE_SHADOW
    alone = float(np.linalg.norm(colour)) > max(least, share * float(np.linalg.norm(step)))
    weight = _unit(colour if alone else step)
    many = _has_many(crop, rim=rim, step=step, weight=weight)
    return Colours(
        crop=crop,
        colour_px=colour_px,
        own=_carried_out(crop.small, crop.mask) if many else own,
        rim=rim,
        step=step,
        under=under,
        weight=weight,
        weight_is_colour=alone and not many,
        many=many,
    )


def _least_beside_shadow(crop: Crop, colour: Floats, *, colour_px: int) -> float:
    """The least difference in colour that is used alone where a shadow hides the edge, levels."""
    if colour_px > 1:
        return COLOUR_BESIDE_SHADOW
    seen = crop.levels @ _unit(colour)
    noise = usual_miss(seen[:, _NOISE_PX:] - seen[:, :-_NOISE_PX]) / np.sqrt(2.0)
    return min(COLOUR_BESIDE_SHADOW, max(_FINE_COLOUR, _ABOVE_NOISE * noise))


def _has_many(crop: Crop, *, rim: Bools, step: Floats, weight: Floats) -> bool:
    """Whether parts of a piece's rim are clearly no ground, but do not differ from it as the rest does."""
    if step.size < 3:
        return False
    own, ground = crop.small[rim], crop.ground[rim]
    rise = own - ground
    along = rise @ weight
    usual = _unit(step)
    part = rise @ usual  # what is half ground, at the very edge, differs as the rest does
    aside = np.linalg.norm(rise - part[:, None] * usual, axis=1)
    unlike = (aside > LEAST_COLOUR) | (part < -LEAST_COLOUR)
    unlike &= along < _LEAST_RISE * np.median(along)
    return bool((unlike & ~may_be_shadow(own, ground)).mean() > _MANY)


def _unit(step: Floats) -> Floats:
    return np.asarray(step / max(float(np.linalg.norm(step)), 1e-6))


def _blurred(field: Singles) -> Singles:
    import cv2

    return np.asarray(cv2.GaussianBlur(field, (0, 0), _BLUR_PX))


def may_be_shadow(levels: Singles, ground: Singles) -> Bools:
    """Where levels ``(..., c)`` are the ground's but for less light, as in a shadow that is not too deep, ``(...)``."""
    product = (levels * ground).sum(axis=-1)
    own, under = np.linalg.norm(levels, axis=-1), np.linalg.norm(ground, axis=-1)
    kept = product / np.maximum(under**2, 1e-6)
    return np.asarray((kept > _SHADOWED) & (kept < 1.0) & (product > _ALIKE * own * under))


def without_brightness(levels: Floats, ground: Floats) -> Floats:
    """Levels ``(..., c)`` less their component along the ground's: a shadow, which only scales the ground's levels, is not seen in them."""
    bright = ground / max(float(np.linalg.norm(ground)), 1e-6)
    return np.asarray(levels - (levels @ bright)[..., None] * bright)


def _carried_out(levels: Singles, mask: Bytes) -> Singles:
    """The piece's levels at each place, ``(h, w, c)``; along its edge and beyond, those of the nearest place further inside."""
    inner = next((each for each in (shrunk_by(mask, BAND), shrunk_by(mask, 1)) if each.any()), mask)
    return from_nearest(_spread_out(levels, inner, 1.0), inner > 0)


def _spread_out(levels: Singles, mask: Bytes, sigma: float) -> Singles:
    """The piece's levels averaged round each place (normal weights, ``sigma`` px), also beyond its edge, ``(h, w, c)``."""
    import cv2

    weight = mask.astype(np.float32)
    total = cv2.GaussianBlur(weight, (0, 0), sigma)
    summed = cv2.GaussianBlur(levels * weight[..., None], (0, 0), sigma).reshape(levels.shape)
    middle = np.median(levels[mask > 0], axis=0) if mask.any() else np.median(levels, axis=(0, 1))
    return np.asarray((summed + 1e-3 * middle) / (total + 1e-3)[..., None], dtype=np.float32)

"""Thin lines and letters of the ground, dealt with before the edge of a piece is looked for.

Where they are dimmer than the piece the level of the edge is set between both; where they have another colour the field
is made blind to it; else they are taken away, and what of the edge they hide is told.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.noun import noun
from cradle.pictures.colours import BAND, COLOUR_BESIDE_SHADOW, LEAST_COLOUR, LUMA
from cradle.pictures.ground_lines import GroundLines, line_width, lines_of_ground, shows_lines
from cradle.pictures.hidden_edges import bridged, strips
from cradle.pictures.masks import grown_by, shrunk_by

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Bytes, Floats, Singles
    from cradle.pictures.colours import Colours
    from cradle.pictures.crop import Crop

_DEEP: Final = 10
"""Where lines of the ground run up to a piece, only what lies this far within its mask is surely the piece, small px: where lines
cross, the mask takes in what lies between them."""
_SLENDER: Final = 2
"""A piece no part of which lies this far within its rim, small px, is as thin as a line itself."""
_BESIDE_LETTER_PX: Final = 4
"""Within this distance of a letter the edge is not seen."""
_DIM: Final = 0.7
"""Lines are told from a piece by their brightness alone if they have less than this part of its light."""
_BRIGHTEST: Final = 0.98
"""The quantile of the light of lines' pixels that counts as theirs."""


@noun
class LinesSeen:
    """The field once thin lines of the ground are dealt with, what is surely the piece, and what lines hide.

    ``by_colour`` says that the weights of its channels leave brightness out.
    """

    field: Singles
    weight: Floats
    by_colour: bool
    core: Bytes
    lines: GroundLines | None = None
    away: Bools | None = None
    """Where lines were taken out of the field."""
    hidden: Bools | None = None
    mixed: Bools | None = None
    """Where dim lines add their light to the piece's."""
    width_px: float = 0.0

    def taken_from(self, field: Singles) -> Singles:
        """Another field of the same crop without the lines."""
        return field if self.lines is None or self.away is None else self.lines.taken_from(field, self.away)

    def bridged(self, ring: Floats) -> tuple[Floats, int]:
        """An edge carried on across what lines hide, ``(m, 2)`` px, and how many of its stretches lie along one."""
        if self.hidden is None:
            return ring, 0
        x, y = np.rint(ring).astype(np.int64).T
        return bridged(ring, self.hidden[y, x], most_px=self.width_px + 1.5)


def lines_seen(crop: Crop, colours: Colours, *, field: Singles, core: Bytes) -> LinesSeen:
    """The field in which the ground's lines count for less than the piece, or from which they are taken away.

    Parameters
    ----------
    field : (h, w)
        0 on the ground, 1 on the piece.
    core : (h, w)
        What is surely the piece where there are no lines, in the small copy.
    """
    deep = shrunk_by(crop.mask, _DEEP)
    far = grown_by(crop.mask, BAND - 1) == 0
    inside, beyond = crop.shows(deep), crop.shows(far)
    plain = LinesSeen(field=field, weight=colours.weight, by_colour=colours.weight_is_colour, core=deep)
    lines = None
    if shrunk_by(crop.mask, _SLENDER).any():
        lines = lines_of_ground(field, own=inside, far=beyond, shrink=crop.shrink, grain_mm=crop.grain_mm)
    if lines is None:
        thin = shows_lines(crop.small, ground=crop.ground, step=colours.step, far=far)
        return plain if thin else replace(plain, core=core)
    at = lines.at
    seen_as = np.median(crop.levels[at & beyond], axis=0) - np.median(crop.ground[far], axis=0)
    blind = colours.step - (colours.step @ seen_as) * seen_as / max(float(seen_as @ seen_as), 1e-6)
    strength = float(np.linalg.norm(blind))
    coloured = len(blind) == 3 and strength > (COLOUR_BESIDE_SHADOW if lines.letters else LEAST_COLOUR)
    if len(blind) == 3 and not lines.letters and not (coloured and colours.colour_px == 1):
        bright = colours.part_of_light(LUMA)
        dim = float(np.quantile(bright[at & beyond], _BRIGHTEST))
        if float(colours.step.sum()) > 0 and 0 < dim < _DIM:
            # one half where the light is half way between the lines' and the piece's
            mixed = strips(at & beyond, wide_px=line_width(at) + 4.0)
            dimmer = bright - np.float32(dim / 2)
            return replace(plain, lines=lines, field=dimmer, weight=LUMA, by_colour=False, mixed=mixed)
    if coloured:
        weight = blind / strength
        return replace(plain, lines=lines, field=colours.field(weight), weight=weight, by_colour=True)
    width = line_width(at)
    seen = replace(
        plain,
        lines=lines,
        away=(grown_by(at, 1) > 0) & ~inside,
        hidden=grown_by(at, _BESIDE_LETTER_PX) > 0 if lines.letters else strips(at, wide_px=width + 4.0),
        width_px=width,
    )
    return replace(seen, field=seen.taken_from(field))

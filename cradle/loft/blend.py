"""Outlines between two unlike ones, by blending their signed distances.

The outline at a part t of the way is where (1 − t) d₀ + t d₁ vanishes, d₀ and
d₁ being the distances from the lower and the upper outline, negative inside
(shape-based interpolation: Raya & Udupa, IEEE Trans. Med. Imaging 9(1), 1990,
32-42; Herman, Zheng & Bucholtz, IEEE CG&A 12(3), 1992, 69-79). A place inside
both is inside at every height, one inside neither never is, and any other is
passed exactly once: the surface never crosses itself.

Both outlines are blended in a *frame* in which they lie over one another, and
the outline is led back to its place and size at its height. Of several pieces
the one about the *core*, the place deepest within both, is kept without its
holes: so there is one outline at every height.
"""

from __future__ import annotations

import numpy as np

from cradle.geometry import planar, region_measures
from cradle.geometry import ring as plane
from cradle.geometry.arrays import Bools, Floats
from cradle.geometry.level_lines import closed_level_lines
from cradle.noun import noun

_CELLS = 180
"""Cells of the grid along its longer side."""
_SPARSE = 4
"""Where no outline passes, distances are looked at only at every fourth place along each axis."""
_MARGIN = 3
"""Cells of the grid that lie around both outlines."""
_SIMPLER = 0.05
"""Part of a cell by which a blended outline may be simplified."""


@noun
class Blend:
    """Two outlines ready to be blended.

    Attributes
    ----------
    x, y : (columns,), (rows,) float64
        The grid in the frame, mm of their mean size.
    below, above : (rows, columns) float64
        Signed distances from the lower and the upper outline; right where an
        outline between the two may pass.
    core : (2,) float64
        The place of the grid that lies deepest within both.
    centres_mm, sizes : (2, 2) float64
        Lower and upper: an outline's place is ``centre + size * frame``.
    """

    x: Floats
    y: Floats
    below: Floats
    above: Floats
    core: Floats
    centres_mm: Floats
    sizes: Floats

    def outline(self, part: float) -> Floats:
        """The outline at a part of the way up, between 0 and 1, ``(n, 2)``, mm, counter-clockwise."""
        cell = float(self.x[1] - self.x[0])
        field = (1 - part) * self.below + part * self.above
        rings = closed_level_lines(field, level=0.0, x=self.x, y=self.y)
        around = [ring for ring in rings if region_measures.inside(self.core[None], planar.region(ring))[0]]
        ring = max(around, key=lambda one: abs(plane.signed_area(one)))
        simple = planar.outer_rings(planar.simplified(planar.region(ring), within_mm=_SIMPLER * cell))[0]
        centre, size = ((1 - part) * ends[0] + part * ends[1] for ends in (self.centres_mm, self.sizes))
        return centre + size * simple


def blend(lower_mm: Floats, upper_mm: Floats) -> Blend | None:
    """The blend of two simple outlines, ``(n, 2)`` and ``(m, 2)`` mm.

    Each is brought to their mean size along x and along y (root mean square
    distances of its area from its centroid), and their centroids are laid over
    one another; where the outlines then share no place, the places deepest
    within each are. None where they still share none that a grid can find,
    as one of them is too thin.
    """
    rings = (plane.counter_clockwise(lower_mm), plane.counter_clockwise(upper_mm))
    spreads = np.sqrt([np.diag(plane.second_moments(ring)) for ring in rings])
    sizes = spreads / spreads.mean(axis=0)
    for centre_of in (plane.centroid, _deepest):
        centres = np.array([centre_of(ring) for ring in rings])
        found = _laid_over(rings, centres=centres, sizes=sizes)
        if found is not None:
            return found
    return None


def _deepest(ring: Floats) -> Floats:
    return region_measures.deepest_point(planar.region(ring))


def _laid_over(rings: tuple[Floats, Floats], *, centres: Floats, sizes: Floats) -> Blend | None:
    laid = [(ring - centre) / size for ring, centre, size in zip(rings, centres, sizes, strict=True)]
    both = np.concatenate(laid)
    low, high = both.min(axis=0), both.max(axis=0)
    cell = float((high - low).max()) / _CELLS
    counts = np.ceil((high - low) / cell).astype(np.int64) + 2 * _MARGIN + 1
    x, y = (low[axis] + cell * (np.arange(counts[axis]) - _MARGIN) for axis in (0, 1))
    grid = np.stack(np.meshgrid(x, y), axis=-1)  # (rows, columns, 2)
    areas = [planar.region(ring) for ring in laid]
    within = [region_measures.inside(grid.reshape(-1, 2), area).reshape(grid.shape[:2]) for area in areas]
    needed = _spread(within[0] != within[1])
    for there in within:
        needed |= _spread(there) & _spread(~there)
    needed[::_SPARSE, ::_SPARSE] = True
    fields = []
    for area, there in zip(areas, within, strict=True):
        field = np.where(there, -cell, cell)
        away = region_measures.distances_to_boundary(grid[needed], area)
        field[needed] = np.where(there[needed], -away, away)
        fields.append(field)
    depth = np.where(within[0] & within[1] & needed, np.maximum(*fields), 0.0)
    row, column = np.unravel_index(int(depth.argmin()), depth.shape)
    if depth[row, column] > -cell:
        return None
    return Blend(
        x=x, y=y, below=fields[0], above=fields[1], core=grid[row, column], centres_mm=centres, sizes=sizes
    )


def _spread(mask: Bools) -> Bools:
    """The mask grown by two cells along both axes."""
    for _ in range(2):
        wide = mask.copy()
        wide[1:] |= mask[:-1]
        wide[:-1] |= mask[1:]
        mask = wide.copy()
        mask[:, 1:] |= wide[:, :-1]
        mask[:, :-1] |= wide[:, 1:]
    return mask

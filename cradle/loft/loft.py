"""Rings to a body: straight or smooth between sections, steered by profiles, straight beyond them."""

from __future__ import annotations

import numpy as np

from cradle.errors import LoftError
from cradle.finding import Finding, Severity
from cradle.geometry import planar
from cradle.geometry.arrays import Floats, frozen
from cradle.loft.body import Body
from cradle.loft.exactness import section_error_mm
from cradle.loft.interpolate import cubic_at, layer_heights, monotone_slopes, straight_at
from cradle.loft.skin import skin
from cradle.loft.steer import Rings, profile_heights, steered, steers
from cradle.project.section import Between, LoftSpec
from cradle.sections.section import Profiles, RingStack
from cradle.tolerances import DEFAULT, Tolerances

_SMALL_EXTENSION_MM = 5.0
"""Up to here a straight extension is only noted."""
_ROUNDS = 10
"""Steered intervals are halved at most so often."""


def loft(
    stack: RingStack,
    *,
    spec: LoftSpec,
    profiles: Profiles,
    low_mm: float,
    high_mm: float,
    tolerances: Tolerances = DEFAULT,
) -> Body:
    """The watertight body through the rings.

    Parameters
    ----------
    stack : RingStack
    spec : LoftSpec
        Straight or smooth; by itself straight for up to 2 sections.
    profiles : Profiles
        Steer what lies between the sections.
    low_mm, high_mm : float
        Heights the body has to reach; beyond the sections it is extended straight.
    tolerances : Tolerances

    Raises
    ------
    LoftError
        If a layer crosses itself, opposite profiles meet, or the body has no height.
    """
    heights = np.asarray(stack.heights_mm)
    below = max(0.0, float(heights[0]) - low_mm)
    above = max(0.0, high_mm - float(heights[-1]))
    if len(heights) == 1 and below + above <= 0:
        raise LoftError(
            "one section alone has no height",
            where=f"section {stack.names[0]!r}",
            hint="give a second section, or a block that reaches beyond this one",
        )
    layers, rings = _between(stack, spec=spec, profiles=profiles, tolerances=tolerances)
    error = _section_error(stack, layers, rings, tolerances=tolerances)
    if below > 0:
        layers, rings = np.append(low_mm, layers), np.concatenate([rings[:1], rings])
    if above > 0:
        layers, rings = np.append(layers, high_mm), np.concatenate([rings, rings[-1:]])
    smooth = _is_smooth(stack, spec) or steers(profiles)
    flat = tolerances.rounding * float(np.abs(rings).max())
    mesh = skin(rings, layers, twist_mm=tolerances.chord_mm if smooth else flat)
    return Body(
        mesh=mesh,
        heights_mm=frozen(layers),
        rings_mm=frozen(rings),
        section_error_mm=error,
        extended_mm=(below, above),
        findings=_extension_findings(stack, below=below, above=above),
    )


def _is_smooth(stack: RingStack, spec: LoftSpec) -> bool:
    enough = len(stack.heights_mm) >= 3
    return spec.between is Between.SMOOTH or (spec.between is Between.AUTO and enough)


def _between(
    stack: RingStack, *, spec: LoftSpec, profiles: Profiles, tolerances: Tolerances
) -> tuple[Floats, Floats]:
    """Heights and rings of the layers from the lowest to the highest section."""
    heights, given = np.asarray(stack.heights_mm), np.asarray(stack.rings_mm)
    if len(heights) == 1:
        _check_simple(stack, heights, given)
        return heights, given
    layers = heights
    smooth = _is_smooth(stack, spec)
    slopes = monotone_slopes(heights, given) if smooth else given

    def unsteered(at: Floats) -> Floats:
        return cubic_at(heights, given, slopes, at) if smooth else straight_at(heights, given, at)

    rings_at: Rings = unsteered
    if steers(profiles):
        rings_at = steered(unsteered, profiles, section_heights_mm=heights)
        needed = profile_heights(
            profiles, low_mm=float(heights[0]), high_mm=float(heights[-1]), within_mm=tolerances.chord_mm / 2
        )
        near = np.abs(needed[:, None] - heights[None]).min(axis=1) <= tolerances.chord_mm
        layers = _refined(np.union1d(heights, needed[~near]), rings_at, chord_mm=tolerances.chord_mm)
    elif smooth:
        layers = layer_heights(heights, given, slopes, chord_mm=tolerances.chord_mm)
    rings = rings_at(layers)
    rings[np.searchsorted(layers, heights)] = given
    _check_simple(stack, layers, rings)
    if not smooth:
        for part in (0.25, 0.5, 0.75) if len(layers) <= 64 else (0.5,):
            between = (1 - part) * layers[:-1] + part * layers[1:]
            _check_simple(stack, between, (1 - part) * rings[:-1] + part * rings[1:])
    return layers, rings


def _refined(layers: Floats, rings_at: Rings, *, chord_mm: float) -> Floats:
    """Layers with more between them wherever rings between two leave the straight line by too much."""
    spans = np.arange(len(layers) - 1)
    for _ in range(_ROUNDS):
        low, step = layers[spans], np.diff(layers)[spans]
        ends = rings_at(low), rings_at(low + step)
        far = np.zeros(len(spans), dtype=bool)
        for part in (0.25, 0.5, 0.75):
            apart = rings_at(low + part * step) - ((1 - part) * ends[0] + part * ends[1])
            far |= (apart**2).sum(axis=2).max(axis=1) > chord_mm**2
        if not far.any():
            break
        fresh = (low + step / 2)[far]
        layers = np.union1d(layers, fresh)
        at = np.searchsorted(layers, fresh)
        spans = np.union1d(at - 1, at)
    return layers


def _check_simple(stack: RingStack, heights: Floats, rings: Floats) -> None:
    """Refuse a layer that crosses or touches itself, naming the sections around it and the place."""
    simple = planar.are_simple(rings)
    if simple.all():
        return
    at = int(np.flatnonzero(~simple)[0])
    place = planar.crossing(rings[at]) or (float(rings[at, 0, 0]), float(rings[at, 0, 1]))
    sections = np.asarray(stack.heights_mm)
    upper = int(np.clip(np.searchsorted(sections, heights[at]), 1, max(1, len(sections) - 1)))
    names = f"sections {stack.names[upper - 1]!r} and {stack.names[min(upper, len(sections) - 1)]!r}"
    raise LoftError(
        f"the skin crosses itself at height {heights[at]:.2f} mm near x {place[0]:.2f}, y {place[1]:.2f} mm",
        where=f"between {names}" if len(sections) > 1 else f"section {stack.names[0]!r}",
        hint="measure one more section between them, or check their shift and turn",
    )


def _section_error(stack: RingStack, layers: Floats, rings: Floats, *, tolerances: Tolerances) -> float:
    """Largest distance between a section's own points and the layer at its height, mm."""
    outlines = stack.outlines_mm or tuple(stack.rings_mm)
    at = np.searchsorted(layers, stack.heights_mm)
    return max(
        section_error_mm(outline, rings[layer], allowed_mm=tolerances.section_mm)
        for outline, layer in zip(outlines, at, strict=True)
    )


def _extension_findings(stack: RingStack, *, below: float, above: float) -> tuple[Finding, ...]:
    lowest, highest = float(stack.heights_mm[0]), float(stack.heights_mm[-1])
    ends = (
        ("extended-below", below, "lowest", "down", 0, lowest, lowest - below),
        ("extended-above", above, "highest", "up", -1, highest, highest + above),
    )
    found = []
    for code, length, which, way, at, height, reach in ends:
        if length <= 0:
            continue
        x, y = stack.rings_mm[at].mean(axis=0)
        found.append(
            Finding(
                code=code,
                severity=Severity.NOTE if length <= _SMALL_EXTENSION_MM else Severity.WARN,
                message=(
                    f"the {which} section is at {height:.2f} mm; from there the body runs "
                    f"straight {way} by {length:.2f} mm"
                ),
                where=f"section {stack.names[at]!r}",
                measured=length,
                limit=_SMALL_EXTENSION_MM,
                unit="mm",
                place_mm=(float(x), float(y), reach),
                advice=f"measure a section near {reach:.1f} mm if the thing tapers there",
            )
        )
    return tuple(found)

"""What is said of a lofted body: few points, unlike sections, and where it goes on beyond the sections."""

from __future__ import annotations

from collections.abc import Collection, Iterator

import numpy as np

from cradle.finding import About, Finding, Severity, doubt, in_mm, note
from cradle.loft.steer import led_range
from cradle.matching.ring_stack import RingStack
from cradle.names import between_words, section_words
from cradle.sections.profiles import Profiles

_SMALL_EXTENSION_MM = 5.0
"""Up to here a straight extension is only noted."""
_NOTHING_MM = 0.005
"""Nothing shorter is told: lengths are told to the hundredth."""
_CM = 10.5
"""If heights are in cm the rim is at most this many times as high as the highest section: ten times, and a little above it."""
_FLAT = 6.0
"""Few things are wider than this many times what their sections span (common practice, no source)."""
_SMALL_MM = 15.0
"""Few things that are given a holder are narrower everywhere (common practice, no source)."""
_WRITE_MM = "if the heights are in cm, write them in mm"
WRITE_ALL_MM = "if the heights and readings are in cm, write them in mm"
"""What helps a thing all of whose lengths are ten times too small."""
_SMALL_GAP_MM = 0.15
"""A curve may stand out by this much between the points read of it before it is told: less than a usual clearance."""


def few_point_findings(stack: RingStack, *, trace_mm: float) -> Iterator[Finding]:
    """The sections whose points lie so far apart that a round thing stands out between them.

    Parameters
    ----------
    trace_mm : float
        Spread of a traced outline: a bulge no larger cannot be told from it.
    """
    small = max(_SMALL_GAP_MM, trace_mm)
    for name, gap, ring in zip(stack.names, stack.chord_gaps_mm, stack.outlines_mm, strict=False):
        if gap <= small:
            continue
        yield doubt(
            "few-points",
            f"the outline has only {len(ring)} points, joined by straight lines; if the thing is round there, "
            f"it bulges out between them by up to {gap:.2f} mm",
            "measure more points where it is round, or trace the outline; on a straight side, give a point in the middle",
            where=section_words(name),
            **in_mm(gap, limit=small),
        )


def unlike_findings(
    stack: RingStack, *, levelled: Collection[int], stepped: Collection[int]
) -> Iterator[Finding]:
    """What is said of gaps whose sections are so unlike that columns alone do not join them."""
    sections = stack.heights_mm
    for gap in levelled:
        low, high = float(sections[gap]), float(sections[gap + 1])
        inside = gap in stepped
        middle = 0.5 * (low + high)
        x, y = stack.rings_mm[gap].mean(axis=0)
        shape = "goes from one to the other in steps" if inside else "passes over outlines between them"
        yield Finding(
            code="sections-unlike",
            severity=Severity.WARN if inside else Severity.NOTE,
            message="they differ so much that the surface "
            f"between {low:.2f} and {high:.2f} mm {shape}: its shape there is a guess",
            advice=f"measure one more section near {middle:.1f} mm",
            where=between_words(stack.names[gap], stack.names[gap + 1]),
            place_mm=(float(x), float(y), middle),
            **in_mm(high - low),
        )


def flat_findings(stack: RingStack, *, rim_mm: float) -> Iterator[Finding]:
    """A finding on sections close above each other for so wide a thing: heights in cm may have been written as mm.

    Parameters
    ----------
    rim_mm : float
        How far up the holder reaches: that it is about ten times as high as the sections speaks for cm.
    """
    if not _flat(stack):
        return
    tenfold = _in_cm(stack, rim_mm=rim_mm)
    reach = f", and the holder reaches up to {rim_mm:g} mm" if tenfold else ""
    wide = _wide_mm(stack)
    yield (doubt if tenfold else note)(
        "sections-flat",
        f"all sections lie within {_span_mm(stack):.1f} mm of height, on a thing at least {wide:.0f} mm across{reach}",
        _WRITE_MM,
        where=section_words(stack.names[-1]),
        about=About.READING,
        **in_mm(_span_mm(stack), limit=wide / _FLAT),
    )


def _span_mm(stack: RingStack) -> float:
    return float(np.ptp(stack.heights_mm))


def _wide_mm(stack: RingStack) -> float:
    return float(max(np.ptp(ring, axis=0).min() for ring in stack.rings_mm))


def _flat(stack: RingStack) -> bool:
    return _span_mm(stack) * _FLAT < _wide_mm(stack)


def _in_cm(stack: RingStack, *, rim_mm: float) -> bool:
    """Whether a holder reaches about ten times as far up as the sections."""
    highest = float(stack.heights_mm[-1])
    return 0.5 * _CM * highest <= rim_mm <= _CM * highest


def small_findings(stack: RingStack) -> Iterator[Finding]:
    """A note that the thing is tiny: its lengths in cm may have been written as mm."""
    wide = float(max(np.ptp(ring, axis=0).max() for ring in stack.rings_mm))
    if wide >= _SMALL_MM:
        return
    yield note(
        "sections-small",
        f"no section is wider than {wide:.1f} mm",
        WRITE_ALL_MM,
        **in_mm(wide, limit=_SMALL_MM),
    )


def extension_findings(
    stack: RingStack, profiles: Profiles, *, below: float, above: float, lower_block_mm: float
) -> Iterator[Finding]:
    """Where the body goes on straight below the lowest and above the highest section, and how far, mm; the block that would end there."""
    lowest, highest = float(stack.heights_mm[0]), float(stack.heights_mm[-1])
    foot, top = led_range(profiles, low_mm=lowest, high_mm=highest)
    foot, top = max(foot, lowest - below), min(top, highest + above)
    lower = f", or end the block at {lower_block_mm:g} mm"
    if not _flat(stack) and _in_cm(stack, rim_mm=highest + above):  # else it is told with the sections
        lower += f"; {_WRITE_MM}"
    end = highest + above
    for code, which, beyond, way, at, led_to, reach, there, instead in (
        ("extended-below", "lowest", "below", "down", 0, foot, lowest - below, "close to its foot", ""),
        ("extended-above", "highest", "above", "up", -1, top, end, f"near {end:.1f} mm", lower),
    ):
        height, length = float(stack.heights_mm[at]), abs(reach - led_to)
        if length <= _NOTHING_MM:
            continue
        x, y = stack.rings_mm[at].mean(axis=0)
        small = length <= _SMALL_EXTENSION_MM
        led = f", and profiles or views reach {led_to:.2f} mm" if led_to != height else ""
        yield Finding(
            code=code,
            severity=Severity.NOTE if small else Severity.WARN,
            message=f"the {which} section is at {height:.2f} mm{led}; the {length:.2f} mm {beyond} were not measured "
            f"and run straight {way}",
            advice=f"measure a section {there} if the thing tapers there{'' if small else instead}",
            where=section_words(stack.names[at]),
            place_mm=(float(x), float(y), reach),
            **in_mm(length, limit=_SMALL_EXTENSION_MM),
        )

"""What is told of how large sections are: by what drawings were scaled, and by how much they are used larger or smaller than read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

import numpy as np

from cradle.finding import About, Finding, doubt, in_mm, in_unit, note
from cradle.geometry.planar import hull_ring
from cradle.geometry.ring import perimeter, size
from cradle.placing.estimate import Estimate
from cradle.project.fit import SpreadSpec
from cradle.project.section import DrawingSource, SectionSpec
from cradle.sections.axis_words import SIZES
from cradle.sections.laid import Laid
from cradle.sections.posterior import EXTENTS
from cradle.sections.profiles import Profiles
from cradle.sections.section import Section
from cradle.sections.sizes import sizes_of
from cradle.units import MISTAKEN_FOR_MM

_DOUBTFUL_SHARE: Final = 0.03
"""A correction above this is a finding: careful tracing is better, by common practice."""
_DOUBTFUL_SPREADS: Final = 4.0
"""Tracing error makes a thin piece wider by up to this many of its spreads: both ends stand out."""
_ALIKE_SHARE: Final = 0.04
"""Corrections that lie within this of one another come from one scale, and what is left from tracing."""
_TOLD_MM: Final = 0.01
"""Residuals below this are not worth a line."""
_GIRTH_SHARE: Final = 0.02
"""A girth that differs by more than this is a finding: about what a string stretches."""
_USED_MM: Final = 0.1
"""A size that is used with a smaller difference from its reading is not told: prints differ by as much."""


def size_findings(
    laid: Sequence[Laid],
    *,
    found: Estimate,
    sections: Sequence[Section],
    profiles: Profiles,
    spread: SpreadSpec,
) -> Iterator[Finding]:
    """What is worth telling of the sizes of all sections.

    ``profiles`` are those that were read, without views: these may have their own size from the sections.
    """
    yield from _unchecked_scale(laid, sections=sections, found=found, profiles=profiles)
    common = _common_scale(sections)
    if common is not None:
        yield _all_scaled(common)
    plain: list[_Rescaled] = []
    for one, section in zip(laid, sections, strict=True):
        rescaled = _rescaled(section, laid=one, expected=common or 1.0, trace_mm=spread.trace_mm)
        yield from (_off_caliper(each, laid=one) for each in rescaled if each.doubtful)
        plain += [each for each in rescaled if not each.doubtful]
        yield from _girth(section, spec=one.spec, where=one.where)
    yield from _all_rescaled(plain) if common is None else ()
    yield from _used_as_read(found, sections=sections)


def _common_scale(sections: Sequence[Section]) -> float | None:
    """The factor that scales all drawings to their calipers, where one does and is further from 1 than tracing explains; else None."""
    factors = [
        [
            reading / traced
            for traced, reading in zip(s.traced_mm, s.caliper_mm, strict=True)
            if reading is not None
        ]
        for s in sections
    ]
    read = [factor for own in factors for factor in own]
    if sum(map(bool, factors)) < 2:
        return None
    middle = float(np.median(read))
    alike = all(abs(factor / middle - 1.0) <= _ALIKE_SHARE for factor in read)
    return middle if alike and abs(middle - 1.0) > _DOUBTFUL_SHARE else None


def _all_scaled(factor: float) -> Finding:
    off = 100 * abs(1 / factor - 1.0)
    return doubt(
        "traces-scaled-alike",
        f"compared with the calipers, all drawings are about {off:.0f} % too {'large' if factor < 1 else 'small'}; "
        "they were scaled to the calipers",
        "check the scan's or print's scale, and that the calipers read 0 when closed",
        **in_unit("%", off, limit=100 * _DOUBTFUL_SHARE),
    )


class _Rescaled(NamedTuple):
    """A width or depth that differs from the trace, and the factor by which the trace was scaled."""

    where: str
    word: str
    traced_mm: float
    read_mm: float
    factor: float
    expected: float
    """The factor that all drawings share."""
    limit_mm: float
    """The greatest difference that tracing explains."""

    @property
    def doubtful(self) -> bool:
        """Whether tracing does not explain the difference."""
        return abs(self.read_mm / self.expected - self.traced_mm) > self.limit_mm


def _rescaled(section: Section, *, laid: Laid, expected: float, trace_mm: float) -> list[_Rescaled]:
    """The width and the depth, where they differ from the trace by more than goes without saying."""
    return [
        _Rescaled(
            where=laid.where,
            word=word,
            traced_mm=traced,
            read_mm=reading,
            factor=factor,
            expected=expected,
            limit_mm=max(_DOUBTFUL_SHARE * traced, _DOUBTFUL_SPREADS * trace_mm),
        )
        for word, traced, reading, factor in zip(
            SIZES, section.traced_mm, section.caliper_mm, section.scale, strict=True
        )
        if reading is not None and min(abs(reading - traced), abs(factor - 1.0) * traced) > _TOLD_MM
    ]


def _off_caliper(one: _Rescaled, *, laid: Laid) -> Finding:
    """That a reading differs too much from the trace."""
    across = None if laid.across_half is None else SIZES[laid.across_half]
    return doubt(
        "trace-off-caliper",
        f"the outline was scaled to {100 * one.factor:.2f} % along its {one.word}: {one.traced_mm:.2f} mm as traced, "
        f"{one.read_mm:.2f} mm with calipers, {one.traced_mm * one.factor:.2f} mm as used",
        f"measure the {one.word} again and check "
        + (
            "where the half's middle line lies"
            if one.word == across
            else "the scale of the scan, picture or drawing"
        ),
        where=one.where,
        **in_mm(one.read_mm - one.traced_mm, limit=one.limit_mm),
    )


def _all_rescaled(of: Sequence[_Rescaled]) -> Iterator[Finding]:
    """That outlines were scaled to their readings, told once: by how much, and which most."""
    if not of:
        return
    most = max(of, key=lambda one: abs(one.factor - 1.0))
    low, high = (
        f"{100 * factor:.2f}" for factor in (min(one.factor for one in of), max(one.factor for one in of))
    )
    by = f"{low} %" if low == high else f"{low} to {high} %"
    count = len({one.where for one in of})
    if count == 1:
        outlines, where, which = "the outline was", most.where, f"its {most.word}"
    else:
        outlines, where, which = (
            f"the outlines of {count} sections were",
            "",
            f"the {most.word} of {most.where}",
        )
    yield note(
        "trace-scaled",
        f"{outlines} scaled to {by} to agree with the calipers, most {which}: {most.traced_mm:.2f} mm as "
        f"traced, {most.read_mm:.2f} mm with calipers",
        where=where,
        **in_mm(most.read_mm - most.traced_mm, limit=most.limit_mm),
    )


def _unchecked_scale(
    laid: Sequence[Laid], *, sections: Sequence[Section], found: Estimate, profiles: Profiles
) -> Iterator[Finding]:
    """One finding where all sections are drawings and nothing measured tells their size; else one for each section whose size nothing measured tells."""
    drawings = all(isinstance(one.spec.source, DrawingSource) for one in laid)
    if not drawings or {o.kind for o in found.observations} & EXTENTS:
        for one, section in zip(laid, sections, strict=True):
            if section.caliper_mm == (None, None) and sizes_of(one, profiles=profiles).seen_mm == (
                None,
                None,
            ):
                yield note(
                    "no-caliper-reading",
                    "no width or depth was measured, with calipers or by profiles of opposite sides: the drawing's scale is not checked",
                    where=one.where,
                )
        return
    widths, depths = zip(*(size(section.points_mm) for section in sections), strict=True)
    yield doubt(
        "scale-unchecked",
        f"no width or depth of any section was measured, so the drawings' unit and scale could not be "
        f"checked; as drawn the thing is at most {max(widths):.1f} mm wide and {max(depths):.1f} mm deep",
        "measure the width of one section with calipers",
    )


class _Used(NamedTuple):
    """A width or depth that is used larger or smaller than it was read, and by how much its unsteady line alone makes it larger."""

    where: str
    word: str
    read_mm: float
    used_mm: float
    unsteady_mm: float

    @property
    def off_mm(self) -> float:
        """How much larger it is used than read."""
        return self.used_mm - self.read_mm


def _used(found: Estimate, *, sections: Sequence[Section]) -> Iterator[_Used]:
    """Each width and depth that was read, as it is used."""
    for lying, section in zip(found.lying, sections, strict=True):
        for axis, (word, reading) in enumerate(zip(SIZES, section.caliper_mm, strict=True)):
            if reading is not None:
                yield _Used(
                    where=lying.laid.where,
                    word=word,
                    read_mm=reading,
                    used_mm=size(section.points_mm)[axis],
                    unsteady_mm=float(lying.over_mm[2 * axis : 2 * axis + 2].sum()),
                )


def _used_as_read(found: Estimate, *, sections: Sequence[Section]) -> Iterator[Finding]:
    """That sections are used larger or smaller than read, told once: the one that differs most, and why."""
    off = [used for used in _used(found, sections=sections) if abs(used.off_mm) > _USED_MM]
    if not off:
        return
    most = max(off, key=lambda one: abs(one.off_mm))
    by_hand = "a line drawn by hand wavers: its middle, not its tips, has the size that was read"
    by_others = "the profiles, the views and the other sections count beside the calipers"
    reasons = [
        words
        for words, told in (
            (by_hand, any(one.unsteady_mm > _USED_MM / 2 for one in off)),
            (by_others, any(abs(one.off_mm - one.unsteady_mm) > _USED_MM / 2 for one in off)),
        )
        if told
    ]
    those = "one width or depth is" if len(off) == 1 else f"{len(off)} widths and depths are"
    yield note(
        "size-off-reading",
        f"{those} used larger or smaller than read, most the {most.word} of {most.where}: "
        f"{most.read_mm:.2f} mm with calipers, {most.used_mm:.2f} mm as used; {'; '.join(reasons)}",
        where="",
        **in_mm(most.off_mm, limit=_USED_MM),
    )


def _girth(section: Section, *, spec: SectionSpec, where: str) -> Iterator[Finding]:
    """A finding if a string round the section would have another length."""
    if spec.girth_mm is None:
        return
    around = perimeter(hull_ring(section.points_mm))
    if abs(around / spec.girth_mm - 1.0) <= _GIRTH_SHARE:
        return
    yield doubt(
        "girth-disagrees",
        f"the outline has a girth of {around:.2f} mm, but {spec.girth_mm:.2f} mm was measured",
        _girth_again(around, spec.girth_mm),
        where=where,
        about=About.READING,
        **in_mm(around - spec.girth_mm, limit=_GIRTH_SHARE * spec.girth_mm),
    )


def _girth_again(around_mm: float, read_mm: float) -> str:
    for unit, mm in MISTAKEN_FOR_MM:
        if abs(read_mm * mm / around_mm - 1.0) < _DOUBTFUL_SHARE:
            return f"the girth looks as if it were in {unit}: write it in mm"
    return "the shape or a caliper reading is wrong; measure both again"

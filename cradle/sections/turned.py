"""Whether a thing may be round about one upright axis, as turned on a lathe, by what was read of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from cradle.project.section import Form, MeasuredSource, SectionSpec

TURNED: Final = (
    'say align = "drawing" under [loft] if it is round about one upright axis, as turned on a lathe'
)
_ROUND_SHARE: Final = 0.01
"""Width and depth of what is turned on a lathe or thrown on a wheel differ by less than this share (common practice, no source)."""


def may_be_turned(sections: Sequence[SectionSpec]) -> bool:
    """Whether all sections are round by what was read, and nobody said how they lie to one another."""
    return all(section.shift_mm is None and _is_round(section) for section in sections)


def _is_round(section: SectionSpec) -> bool:
    source = section.source
    return (
        isinstance(source, MeasuredSource)
        and source.form is Form.ELLIPSE
        and abs(source.width_mm - source.depth_mm) <= _ROUND_SHARE * source.width_mm
    )

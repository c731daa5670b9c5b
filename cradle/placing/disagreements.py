"""Readings that disagree with all others, told with what settles it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from cradle.finding import About, Finding, doubt, in_mm
from cradle.placing.estimate import Estimate
from cradle.project.side import Side
from cradle.sections.posterior import ReadingKind
from cradle.views.views import Seen

_DOUBTED: Final = 4.5
"""Spreads from what all others say beyond which a reading is doubted."""
DOUBTED_MM: Final = 0.5
"""A reading nearer than this to what all others say is not doubted."""
_WORDS: Final = {
    ReadingKind.WIDTH: "the caliper width",
    ReadingKind.DEPTH: "the caliper depth",
    ReadingKind.FRONT: "the front profile",
    ReadingKind.BACK: "the back profile",
    ReadingKind.LEFT: "the left profile",
    ReadingKind.RIGHT: "the right profile",
}
_AS_SEEN: Final = (
    'check from which side the view was taken ("from") and its distance, in mm, that it stands upright and whole, and that '
    "the section's height is right and in mm"
)
_STICKS_OUT_MM: Final = 5.0
"""An edge this far outside of all other readings may be that of a handle (our own choice)."""
_HANDLE: Final = "where a handle or a spout shows there, take the view from a side where it does not; else "
_AGAIN: Final = {
    ReadingKind.WIDTH: "measure the width here again",
    ReadingKind.DEPTH: "measure the depth here again",
    **{
        side: f"measure the profile here again, and the section's {across} and height"
        for across, sides in (
            ("width", (ReadingKind.LEFT, ReadingKind.RIGHT)),
            ("depth", (ReadingKind.FRONT, ReadingKind.BACK)),
        )
        for side in sides
    },
}


def doubted(found: Estimate, *, views: Seen) -> list[Finding]:
    """A finding for every reading that is far from what all others say, and one for all edges seen in views.

    Where views show another side than they are said to, their edges are left out: that is told elsewhere.
    """
    in_views = {str(side) for side in views.spreads}
    out: list[Finding] = []
    seen: list[Finding] = []
    for o, left in zip(found.observations, found.left, strict=True):
        limit = max(_DOUBTED * o.spread, DOUBTED_MM)
        if o.kind not in _WORDS or abs(left) <= limit:
            continue
        laid = found.lying[o.section].laid
        in_view = o.kind in in_views
        told = doubt(
            "reading-disagrees",
            f"{f'the {o.kind} edge in the view' if in_view else _WORDS[o.kind]} at {laid.spec.height_mm:g} mm "
            f"differs by {left:+z.2f} mm from what all other readings say, so it counts little",
            _as_seen(Side(str(o.kind)).outward * float(left)) if in_view else _AGAIN[o.kind],
            where=laid.where,
            about=About.READING,
            **in_mm(float(left), limit=limit),
        )
        (seen if in_view else out).append(told)
    return out if views.wrong else out + _told_once(seen)


def _as_seen(outside_mm: float) -> str:
    """What to do about an edge of a view that disagrees with all other readings; ``outside_mm`` is how far outside it lies."""
    return (_HANDLE if outside_mm >= _STICKS_OUT_MM else "") + _AS_SEEN


def _told_once(seen: Sequence[Finding]) -> list[Finding]:
    """All disagreements in views as one finding: what is wrong with a view shows in many of its edges."""
    if len(seen) < 2:
        return list(seen)
    most = max(seen, key=lambda finding: abs(finding.measured or 0.0))
    more = (
        f"as do {len(seen) - 1} other edges in views" if len(seen) > 2 else "as does another edge in a view"
    )
    return [replace(most, message=f"{most.message}, {more}")]

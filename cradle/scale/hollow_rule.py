"""A tape measure that lies hollow on the paper: both its edges, and the marks along them, stand above it.

Where a rule falls away from its edge its marks spread outwards, as they do where the camera leans; what the view does not
explain of that is the rule's own. A lens sees what stands t above the paper larger, by t divided by its distance, so what lies
on the paper is measured too small.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.calibration import raised_scale_error
from cradle.calibration.scale import ScaleKind
from cradle.finding import Finding, doubt, in_unit

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cradle.calibration.picture_view import Known, PictureView
    from cradle.calibration.scale import Scale
    from cradle.geometry.arrays import Floats

_HOLLOW: Final = -float(np.tan(np.radians(10.0)))
"""Marks whose slope inwards is below this stand on a tape's hollow side: tapes have 15 to 33 degrees (`cradle.rulers.bevel`)."""
HOLLOW_MM: Final = float(np.sqrt((1.5**2 + 1.5 * 4.0 + 4.0**2) / 3.0))
"""Root mean square of how high the edges of a hollow tape stand, evenly from 1.5 to 4 mm (common practice, no source)."""


def seems_hollow(view: PictureView, members: Sequence[Scale]) -> bool:
    """Whether one of the rules that a view rests on falls away from its edge, after the lean of the view is taken off."""
    return any(
        member.kind is ScaleKind.RULER
        and member.known is not None
        and member.known.slope - view.slope_along(member.known.inwards, at_px=_middle(member.known)) < _HOLLOW
        for member in members
    )


def _middle(known: Known) -> Floats:
    """The middle of a rule's first row of marks, px, ``(2,)``."""
    return np.asarray(known.rows[0].at_px.mean(axis=0))


def hollow_doubt(view: PictureView, members: Sequence[Scale], *, where: str) -> Iterator[Finding]:
    """The doubt that a rule is a hollow tape."""
    if not seems_hollow(view, members):
        return
    percent = 100 * raised_scale_error(HOLLOW_MM, distance_mm=max(view.distance_mm, 2 * HOLLOW_MM))
    yield doubt(
        "ruler-hollow",
        "the ruler's marks spread apart towards its edge, as on a tape measure that lies hollow: its edges stand above the"
        f" paper, and sizes may be measured {percent:.1f} % too small",
        "press the tape flat, or lay a flat ruler",
        where=where,
        **in_unit("%", percent),
    )

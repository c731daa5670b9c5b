"""What can be done about a thing that may be too tight, in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from cradle.fit.more_points import MorePoints
from cradle.fit.next_sections import NextSections
from cradle.fit.uncertainties import Spread
from cradle.names import listed
from cradle.project.side import Side
from cradle.project.view import SideSpec
from cradle.sections.turned import TURNED

SEEN_FROM_THE_SIDE: Final = (Spread.BETWEEN, Spread.PLACING)
"""What side profiles and views tell.

44 scanned household things, measured at three heights with a careful hand's
errors and tried at their best seat, needed 42 % less clearance with four
profiles than without, 35 % less with two views (means of the logarithms); five
heights in place of three took off a tenth.
"""
_REMEDIES: Final = {
    Spread.TRACE: "trace the outlines more exactly, and enter the smaller error as trace in [spread]",
    Spread.POINTS: "measure about twice as many points of every outline where it is round, or trace it",
    Spread.SCALE: "measure width and depth with calipers at every section",
    Spread.CALIPERS: "measure width and depth three times at every section, and take the middle value",
    Spread.HEIGHTS: "measure the heights of the sections again, from the plate",
    Spread.PLACING: "measure the side profiles again, with a reading at the height of each section",
    Spread.BETWEEN: "print test pieces to see how much clearance it needs (two more sections would save about a tenth of it)",
    Spread.INSIDE: "print one test piece, measure its inside width and note it: that tells the printer's error",
    Spread.REPEAT: "give more clearance, or use a printer that repeats better",
}

_PROFILES_TOO: Final = "measure side profiles too, with a reading at the height of each section"
_STRAIGHT_OF: Final = 2
"""This many sections do not tell whether the thing runs straight between them."""
_STRAIGHT: Final = (
    "say between = 0.1 under [spread] if a straightedge lies close to it from section to section"
)
"""Light is seen under a straightedge from some hundredths of a millimetre on (common practice, no source)."""
_SPANNED: Final = 'say hollows = "spanned" under [loft]: the pocket then runs straight across hollows'


def what_helps(
    found: NextSections | None,
    *,
    points: MorePoints | None = None,
    limited_by: Spread,
    unseen: Sequence[Side] = (),
    sections: int | None = None,
    turned: bool = False,
    lower_block: str = "",
    hollows: bool = False,
) -> list[str]:
    """What is worth measuring, in words, what helps most first.

    ``unseen`` are the sides that nothing shows; ``sections`` is how many there are where nobody said how far the thing
    may be off between them: of two alone nothing tells whether it runs straight. ``turned`` is whether it may be round about one axis. ``lower_block`` is how the block ends
    at the highest section, in words, where the thing is too tight above that. ``hollows`` is whether outlines have some that the pocket follows.
    """
    straight = [_STRAIGHT] if sections == _STRAIGHT_OF and limited_by is Spread.BETWEEN else []
    measured = sorted((one for one in (points, found) if one is not None), key=lambda one: -one.gain.part)
    words = [str(one) for one in measured]
    across = [_SPANNED] if hollows and limited_by is Spread.BETWEEN else []
    axis = [TURNED] if turned and unseen and limited_by is Spread.PLACING else []
    seen = [_seen_from(unseen)] if unseen and limited_by in SEEN_FROM_THE_SIDE else []
    lower = [lower_block] if lower_block else []
    return [*lower, *across, *straight, *axis, *seen, *words]


def measuring_advice(helps: Sequence[str], *, limited_by: Spread, side: SideSpec) -> str:
    """One sentence on what to measure next, by `what_helps` and which profiles there are."""
    remedy = _REMEDIES[limited_by]
    if limited_by is Spread.PLACING and side == SideSpec():
        remedy = _PROFILES_TOO  # beside views, as sides that nothing shows are asked for otherwise
    return ", or ".join(helps) or f"one more section would hardly help; rather {remedy}"


def _seen_from(unseen: Sequence[Side]) -> str:
    if len(unseen) == 1:
        return f"measure the profile of the {unseen[0]} side, or add a view that shows it"
    less = (
        " (a thing seen from all sides needs about a third less clearance)"
        if len(unseen) == len(Side)
        else ""
    )
    return f"measure the profiles of the {listed(unseen)} sides, or add views that show them{less}"

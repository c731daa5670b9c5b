"""Error budget of the pocket: how much of the clearance's tolerance each step may spend.

The pocket is made `MARGIN_MM` wider than asked, and the least gap may fall
short of what was asked by `Tolerances.clearance_mm`. What the steps may take
away adds up to less than both together, the worst cases of all of them at one
place; what they may add makes the gap wider than asked, never narrower.
"""

from __future__ import annotations

from typing import Final

MARGIN_MM: Final = 0.01
"""A pocket is made this much wider than asked, to pay for what the steps below take away."""

ARC_MM: Final = 0.0015
"""Taken away where a round edge of the grown body begins and ends, and within its corners; added in between: chords
instead of arcs."""
MITRE_MM: Final = 0.004
"""Added: corners of the grown body that are too blunt to be worth rounding."""
OUTLINE_MM: Final = 0.005
"""Added: the body is grown by this much more, so that its levels can do without points that stand out less."""
BETWEEN_MM: Final = 0.02
"""Taken away, but only of what is asked for between sections beyond the least: chords instead of a parabola."""
BULGE_MM: Final = 0.013
"""Taken away by all steps together: half way between two levels the raw offset may stand out of the wall by so much."""
SWEPT_MM: Final = 0.003
"""Taken away or added: points of a level swept along the way out that its outline does without."""
THINNED_MM: Final = 0.004
"""Taken away or added: corners of the finished pocket that its surface does without."""

"""Where the sections lie beside each other, how surely, and what leaves most of that open."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.report.tables import table
from cradle.sections.posterior import PARAMETERS, Posterior, ReadingKind
from cradle.sections.section import Section

_WORDS: Final = {
    ReadingKind.WIDTH: "width by calipers",
    ReadingKind.DEPTH: "depth by calipers",
    ReadingKind.GIRTH: "girth",
    ReadingKind.FRONT: "front profile or view",
    ReadingKind.BACK: "back profile or view",
    ReadingKind.LEFT: "left profile or view",
    ReadingKind.RIGHT: "right profile or view",
    ReadingKind.TURN: "how the sheet lay",
    ReadingKind.SHIFT_X: "shift as given or drawn",
    ReadingKind.SHIFT_Y: "shift as given or drawn",
    ReadingKind.SCALE: "the drawing's scale",
    ReadingKind.SCALE_APART: "the drawing's scale",
    ReadingKind.MIRROR_TURN: "its mirror line",
    ReadingKind.MIRROR_PLACE_X: "its mirror line",
    ReadingKind.MIRROR_PLACE_Y: "its mirror line",
    ReadingKind.LIKENESS_X: "likeness to the next section",
    ReadingKind.LIKENESS_Y: "likeness to the next section",
    ReadingKind.LIKENESS_TURN: "likeness to the next section",
    ReadingKind.HEIGHT: "heights of the sections",
    ReadingKind.INSTRUMENT: "the calipers' own error",
    ReadingKind.PLANE: "the mirror plane",
    ReadingKind.TILT: "tilt of a view",
    ReadingKind.LEAN_X: "lean not measured",
    ReadingKind.LEAN_Y: "lean not measured",
}
"""What a reading is called on the page."""
_NOTHING: Final = 1e-9


def placing_table(sections: Sequence[Section], posterior: Posterior) -> str:
    """The table of the sections' places with their standard uncertainties; empty where nothing was read of them.

    Parameters
    ----------
    sections : sequence of k Section
    """
    if not posterior.readings:
        return ""
    estimate, spreads = posterior.estimate, posterior.spreads()
    decided = undecided_by(posterior)
    rows = [
        [
            section.name,
            f"{x:z.2f} ± {sx:.2f}",
            f"{y:z.2f} ± {sy:.2f}",
            f"{np.degrees(turn):z.1f} ± {np.degrees(st):.1f}",
            _WORDS[kind] if kind is not None else "nothing",
        ]
        for section, (x, y, turn), (sx, sy, st), kind in zip(
            sections, estimate[:, :3], spreads[:, :3], decided, strict=True
        )
    ]
    words = (
        '<p class="small">All sections are placed at once, by all readings together; ± is one standard'
        " uncertainty. The last column names the reading that leaves most of the shift open: a better one helps most.</p>"
    )
    head = ["section", "middle x, mm", "middle y, mm", "turned from its drawing, °", "left open mostly by"]
    return table("Where the sections lie", head, rows) + words


def undecided_by(posterior: Posterior) -> list[ReadingKind | None]:
    """For each section the kind of reading whose spread adds most to that of its shift; None where none does."""
    spread = np.array([reading.spread for reading in posterior.readings])
    added = (posterior.gain * spread).reshape(-1, PARAMETERS, len(spread))[:, :2] ** 2
    kinds = list(dict.fromkeys(reading.kind for reading in posterior.readings))
    of = np.array([kinds.index(reading.kind) for reading in posterior.readings])
    found: list[ReadingKind | None] = []
    for own in added.sum(axis=1):
        parts = np.bincount(of, weights=own, minlength=len(kinds))
        found.append(kinds[int(parts.argmax())] if parts.max() > _NOTHING else None)
    return found

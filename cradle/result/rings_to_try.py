"""Rings to try: at which clearances and at which heights a test ring would teach something that trials do not tell yet.

`cradle pieces` cuts the rings found here, and the report names one of them to be
tried next. Trials of rings leave a range of clearances *open* at a place, or
*settle* the place.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf
from typing import Final

import numpy as np

from cradle.errors import InputError
from cradle.fit.advice import MOST_CLEARANCE_MM
from cradle.geometry.arrays import frozen
from cradle.geometry.planar import Region, offset, without
from cradle.geometry.region_measures import empty
from cradle.geometry.solid import cut_regions, transformed
from cradle.names import distinct_names, section_words
from cradle.noun import record
from cradle.pocket.clearance import ClearanceProfile
from cradle.project.project import Project
from cradle.project.trial_log import Outcome, Trial, TrialPiece
from cradle.result.seated_thing import SeatedThing
from cradle.result.thing_model import ThingModel
from cradle.units import exact_mm

_STEP_MM: Final = 0.1
"""How much tighter and looser than the holder's clearance the other two test rings are."""
_LEAST_RING_MM: Final = 0.05
"""No test ring is tighter."""
_USUAL_MM: Final = (0.25, 0.45)
"""Clearances that makers commonly leave for a sliding and for a loose fit (common practice, no source)."""
_WIDE_MM: Final = 0.5
"""Most of a clearance wider than this is not for the fit at the sections but for the shape between them."""
MOST_RING_MM: Final = MOST_CLEARANCE_MM + 2 * _STEP_MM
"""No test ring is looser unless the project says so."""
ABOVE_RIM: Final = "it lies at the holder's rim or above it"
"""Why no ring is cut at a place where one may not teach anything."""
_TOUCHES_MM: Final = 0.15
"""A ring everywhere looser than its clearance by this much cannot touch the thing: it tests nothing."""
SAME_RING_MM: Final = 0.025
"""Rings whose clearances differ by less are one."""
_APART_MM: Final = 0.1
"""Between two rings that differ by no more, none is told from either by hand (our own choice)."""
_GRID_MM: Final = 0.05
"""Clearances of rings are multiples of this."""
_WIDER_MM: Final = 0.4
"""Where no ring was loose, others are tried up to this much wider than the widest that was too tight (our own choice)."""
_SHARES: Final = (0.5, 0.25, 0.75)
"""Where in an open range other rings are tried, the most telling first."""
_RINGS: Final = 3
"""Most rings for one place."""
_ENOUGH: Final = 2
"""With this many of the usual rings left to try no others are thought of."""


@record
class LeftOpen:
    """The clearances that trials leave open at a place: wider than all that were too tight, narrower than all that were loose.

    ``tight_mm`` is 0 where none was too tight, ``loose_mm`` infinite where none was loose.
    """

    tight_mm: float
    loose_mm: float

    def holds(self, clearance_mm: float) -> bool:
        """Whether a ring of this clearance would teach something."""
        return self.tight_mm + SAME_RING_MM < clearance_mm < self.loose_mm - SAME_RING_MM


_UNTRIED: Final = LeftOpen(tight_mm=0.0, loose_mm=inf)


def left_open(trials: Sequence[Trial], *, inside_error_mm: float) -> dict[str | float, LeftOpen | None]:
    """At each place where a ring was tried, which clearances are still open; None where the trials settle it.

    A ring that was good settles its place, and so do one that was too tight and one that was loose if they hardly differ.

    Parameters
    ----------
    trials : sequence of Trial
        With the gap that each piece has to the thing as it is measured now.
    inside_error_mm : float
        What the rings' files get beside their clearances.
    """
    noted: dict[str | float, list[tuple[float, Outcome]]] = {}
    for trial in trials:
        if trial.piece is not TrialPiece.TEST_PIECE or trial.place is None:
            continue
        if trial.seen is not None and trial.gap_mm is not None:
            noted.setdefault(trial.place, []).append((trial.gap_mm - inside_error_mm, trial.seen))
    return {place: _left(rings) for place, rings in noted.items()}


def _left(rings: Sequence[tuple[float, Outcome]]) -> LeftOpen | None:
    if any(seen is Outcome.GOOD for _, seen in rings):
        return None
    tight = max((0.0, *(mm for mm, seen in rings if seen in (Outcome.NO_GO, Outcome.TIGHT))))
    loose = min((mm for mm, seen in rings if seen is Outcome.LOOSE), default=inf)
    return LeftOpen(tight_mm=tight, loose_mm=loose) if loose - tight > _APART_MM + 1e-6 else None


def settled(section: str, left: Mapping[str | float, LeftOpen | None]) -> bool:
    """Whether trials settle a section, so that another ring there would teach nothing."""
    return left.get(section, _UNTRIED) is None


def teaches(clearance_mm: float, place: str | float, left: Mapping[str | float, LeftOpen | None]) -> bool:
    """Whether a ring of this clearance would teach something at a place, which is the name of a section or a height, mm.

    >>> left = {"foot": LeftOpen(tight_mm=0.45, loose_mm=inf)}
    >>> [teaches(clearance, place, left) for place in ("foot", "belly") for clearance in (0.25, 0.8)]
    [False, True, True, True]
    """
    opened = left.get(place, _UNTRIED)
    return opened is not None and opened.holds(clearance_mm)


def still_to_try(
    usual_mm: Sequence[float], *, left: Mapping[str | float, LeftOpen | None], noted_mm: Sequence[float]
) -> tuple[float, ...]:
    """The clearances of the next rings, mm, the tightest first.

    They are the usual ones that were not tried and would still teach something at
    some place. Where that is one at most, others join it out of what trials leave
    open; where nothing is left to teach, the usual ones are cut all the same.

    >>> left = {"belly": LeftOpen(tight_mm=0.45, loose_mm=2.0)}
    >>> still_to_try([0.25, 0.45, 2.0], left=left, noted_mm=[0.25, 0.45, 2.0])
    (0.85, 1.2, 1.6)
    """
    opened = [one for one in left.values() if one is not None]
    if not opened:
        return tuple(usual_mm)

    def is_fresh(clearance_mm: float) -> bool:
        tried = any(abs(clearance_mm - mm) < SAME_RING_MM for mm in noted_mm)
        return not tried and any(one.holds(clearance_mm) for one in opened)

    fresh = [mm for mm in usual_mm if is_fresh(mm)]
    if len(fresh) < _ENOUGH:
        low = min(one.tight_mm for one in opened)
        high = max(
            one.loose_mm if one.loose_mm < inf else min(one.tight_mm + _WIDER_MM, MOST_RING_MM)
            for one in opened
        )
        others = [round(round((low + share * (high - low)) / _GRID_MM) * _GRID_MM, 2) for share in _SHARES]
        fresh += [mm for mm in dict.fromkeys(others) if mm not in fresh and is_fresh(mm)]
    return tuple(sorted(fresh[:_RINGS])) or tuple(usual_mm)


def about(clearance_mm: float, *, taught_mm: float = 0.0) -> tuple[float, ...]:
    """A holder's clearance and two others, mm, far enough from it to be told apart by hand; the tightest first.

    Usually one is tighter and one looser. A clearance wider than makers commonly
    leave allows mostly for the shape between the sections, but rings are cut where
    the thing was measured, and one a little tighter would be as loose there: then
    the others are those of a sliding and of a loose fit. ``taught_mm`` is what
    trials added to the clearance.

    >>> about(0.35), about(1.25)
    ((0.25, 0.35, 0.45), (0.25, 0.45, 1.25))
    """
    middle = max(round(round(clearance_mm / _LEAST_RING_MM) * _LEAST_RING_MM, 2), 2 * _LEAST_RING_MM)
    if middle - max(taught_mm, 0.0) > _WIDE_MM:
        return *_USUAL_MM, middle
    low = max(middle - _STEP_MM, _LEAST_RING_MM)
    return round(low, 2), middle, round(middle + _STEP_MM, 2)


@record
class RingPlace:
    """A height of the thing that pieces are cut at, what is written on them, and the section there; None where there is none."""

    name: str
    height_mm: float
    section: str | None


def places_to_cut(project: Project, further_mm: Sequence[float] = ()) -> tuple[RingPlace, ...]:
    """Where pieces are cut, bottom to top: at all sections, at the project's further heights and at those given."""
    sections = {section.height_mm: section.name for section in project.sections}
    heights = dict.fromkeys([*sections, *project.test_pieces.heights_mm, *further_mm])
    names = [sections.get(height, f"at {exact_mm(height, decimals=0)}") for height in heights]
    places = [
        RingPlace(name=name, height_mm=height, section=sections.get(height))
        for name, height in zip(distinct_names(names), heights, strict=True)
    ]
    return tuple(sorted(places, key=lambda place: place.height_mm))


def may_teach(project: Project, place: RingPlace) -> bool:
    """Whether a test ring there may teach something: only below the holder's rim. Where the thing leans, the rim has no one height of it."""
    leans = place.section is None and project.block.lean_deg != 0
    return leans or place.height_mm < project.block.height_mm


def check_ring_height(project: Project, height_mm: float) -> None:
    """That a test ring cut at a height tells something.

    Raises
    ------
    InputError
        If the height lies below the foot, above the highest section or not below the holder's rim.
    """
    check_height(project, height_mm)
    if not may_teach(project, RingPlace(name="", height_mm=height_mm, section=None)):
        rim = exact_mm(project.block.height_mm)
        raise InputError(
            f"a test ring at {exact_mm(height_mm)} mm would tell nothing: the holder reaches up to {rim} mm (block.height);"
            f" choose a height from 0 to below {rim} mm, or make the block higher",
        )


def check_height(project: Project, height_mm: float) -> None:
    """That a test piece can be cut at a height.

    Raises
    ------
    InputError
        If the height lies below the foot or above the highest section.
    """
    highest = project.sections[-1]
    if not 0 <= height_mm <= highest.height_mm:
        raise InputError(
            f"no test piece can be cut at {exact_mm(height_mm)} mm; choose a height from 0 "
            f"to {exact_mm(highest.height_mm)} mm, that of the highest, {section_words(highest.name)}",
        )


def clearances_to_try(
    project: Project, *, asked: ClearanceProfile, wanted: ClearanceProfile, trials: Sequence[Trial]
) -> tuple[float, ...]:
    """The clearances that test rings are cut for, mm: the project's own, else the holder's least and two others, less those tried.

    A ring's file gets the printer's stated inside error on top, as the holder's
    does, but nothing for trials: what these added to the holder's gap belongs to
    the ring's clearance. Rings are not lined: beside a lined holder one has the
    room that the thing has with its lining pressed.
    """
    gives = project.fit.lining_gives_mm
    own = wanted.least_mm - project.added_in_file_mm
    usual = about(min(own + gives, MOST_CLEARANCE_MM), taught_mm=own - asked.least_mm)
    return project.test_pieces.clearances_mm or still_to_try(
        usual,
        left=left_open(trials, inside_error_mm=project.printer.inside_error_mm),
        noted_mm=[trial.clearance_mm for trial in trials if trial.clearance_mm is not None and trial.seen],
    )


def touches(model: ThingModel, hole: Region, *, height_mm: float, clearance_mm: float) -> bool:
    """Whether a pocket, whose hole at a height is given in the thing's frame, comes near the thing anywhere around it there.

    ``clearance_mm`` is the gap that the pocket was made with. A ring cut elsewhere could not touch the thing.
    """
    inner = model.body.levels_at(np.array([height_mm]))[0]
    return not empty(without(offset(inner, clearance_mm + _TOUCHES_MM, arc_deg=5.0), hole))


@record
class RingsToTry:
    """The clearances of a thing's test rings, the tightest first, and the section and the clearance of one that teaches something."""

    clearances_mm: tuple[float, ...]
    section: str
    clearance_mm: float


def rings_to_try(thing: SeatedThing) -> RingsToTry:
    """The test rings of a thing, and which of them to try next.

    That is a ring of the highest section below the rim that trials do not settle
    and where the pocket comes near the thing, with the middle one of the clearances
    that are left open there. Where all are settled it is a ring that was noted.
    """
    project, trials = thing.model.project, thing.model.learned.trials
    clearances = tuple(
        sorted(clearances_to_try(project, asked=thing.clearance, wanted=thing.wanted, trials=trials))
    )
    left = left_open(trials, inside_error_mm=project.printer.inside_error_mm)
    below = [
        section
        for section, (_, height) in zip(
            thing.model.sections, thing.heights_mm(thing.pocket.stand_from_thing), strict=True
        )
        if height < thing.pocket.top_mm
    ]
    back = frozen(np.linalg.inv(thing.pocket.stand_from_thing))
    heights = np.array([section.height_mm for section in below])
    holes = cut_regions(transformed(thing.pocket.solid, back), heights)
    gaps = thing.pocket.clearance.at(heights)
    near = [
        section.name
        for section, hole, gap in zip(reversed(below), holes[::-1], gaps[::-1].tolist(), strict=True)
        if touches(thing.model, hole, height_mm=section.height_mm, clearance_mm=gap)
    ] or [(below[-1] if below else thing.model.sections[0]).name]
    name = next((name for name in near if not settled(name, left)), near[0])
    teach = tuple(mm for mm in clearances if teaches(mm, name, left)) or clearances
    clearance = teach[(len(teach) - 1) // 2]
    if settled(name, left):
        clearance = next(t.clearance_mm for t in trials if t.section == name and t.clearance_mm is not None)
    return RingsToTry(clearances_mm=clearances, section=name, clearance_mm=clearance)

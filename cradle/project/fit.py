"""``[fit]`` and ``[spread]``: how the thing sits in the holder, and how far off the readings may be."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from cradle.project.convert import AUTO, Auto, Pair, Triple, length, list_of, number, or_auto
from cradle.project.key import Table, Values, key, spec
from cradle.project.mistake import Mistake
from cradle.project.section import CLEARANCE, LARGEST_CLEARANCE_MM
from cradle.tolerances import TOLERANCES

STEEPEST_LIFT_OUT_DEG: Final = 30.0
"""From straight up; ``lift_out = "auto"`` looks no further either."""
LINING_GIVES: Final = 0.5
"""Part of its thickness that a lining gives way where nobody says how far (common practice, no source)."""
BESIDE_LINING_MM: Final = 0.3
"""With so much clearance beside a lining a thing is held snugly (common practice, no source)."""
_LARGEST_SPREAD_MM: Final = 5.0
"""What errs by more than this is no measurement (our own choice)."""
_OUT: Final = "the direction in which the thing is lifted out; [0, 0, 1] is straight up"
_SPREAD: Final = length(
    least=0.0, most=_LARGEST_SPREAD_MM, hint="one standard deviation; about two thirds of cases lie within it"
)


@spec
class FitSpec:
    """How the thing sits in the holder."""

    clearance_mm: float | Auto = key(
        or_auto(CLEARANCE),
        'gap per side, in mm; "auto": the least that reaches the chance',
        default=AUTO,
    )
    lift_out: Triple | Auto = key(
        or_auto(list_of(number("a number", most=1e6), names="x y z", hint=_OUT)),
        'how it is lifted out, leaning as it does: [0, 0, 1] straight up; or "auto"',
        default=(0.0, 0.0, 1.0),
        start=[0, 0, 1],
    )
    between_mm: float | Auto | None = key(
        or_auto(length(least=0.0, most=LARGEST_CLEARANCE_MM)),
        'extra gap between sections, in mm; "auto": as the shape is unsure; 0: none',
        default=None,
        start="auto",
    )
    lining_mm: float = key(
        length(least=0.0, most=LARGEST_CLEARANCE_MM, hint="a lining has no part in clearance: it is added"),
        "thickness of felt or foam that the pocket is lined with, in mm",
        default=0.0,
        example=3.0,
    )
    lining_pressed_mm: float | None = key(
        length(least=0.0, most=LARGEST_CLEARANCE_MM, hint="pressed as hard as the thing may be"),
        "its thickness pressed hard, in mm; half of it unless you say",
        default=None,
        example=1.5,
    )
    chance: float = key(
        number("a chance", above=0.0, most=0.995, hint="0.95 is 19 in 20"),
        'chance of fit to aim for, with clearance = "auto"; of a row as a whole',
        default=0.95,
    )

    @property
    def asked_between_mm(self) -> float | Auto:
        """The extra gap between sections; unless one is named, "auto" where the clearance is, none beside a clearance of one's own."""
        if self.between_mm is None:
            return AUTO if self.clearance_mm == AUTO else 0.0
        return self.between_mm

    @property
    def lining_least_mm(self) -> float:
        """Thickness of the lining pressed hard."""
        if self.lining_pressed_mm is None:
            return self.lining_mm * (1 - LINING_GIVES)
        return self.lining_pressed_mm

    @property
    def lined_mm(self) -> Pair | None:
        """Thickness of the lining, and pressed hard; None without one."""
        return (self.lining_mm, self.lining_least_mm) if self.lining_mm else None

    @property
    def lining_gives_mm(self) -> float:
        """How far a lining gives way, per side."""
        return self.lining_mm - self.lining_least_mm


@spec
class SpreadSpec:
    """Standard uncertainties (one standard deviation) of what was measured; None lets `cradle.fit` choose.

    The error of a traced outline is smooth along it and of its own for each
    section; that of a scale is common to all drawings. Where ``inside_mm`` is
    given, the printer's inside error counts as measured even when it is 0.
    """

    trace_mm: float = key(_SPREAD, "error of a traced outline, square to it", default=0.1)
    scale_percent: float = key(
        number("a share in percent", unit="%", least=0.0, most=5.0),
        "error of a drawing's scale, in percent, where there is no caliper reading",
        default=0.2,
    )
    calipers_mm: float = key(
        _SPREAD, "error of one caliper reading: feel, squareness, the mark's height", default=0.03
    )
    step_mm: float | None = key(
        _SPREAD, "the calipers' last digit, where the readings do not show it", default=None, example=0.01
    )
    heights_mm: float = key(_SPREAD, "error of a section's height", default=0.3)
    repeat_mm: float = key(_SPREAD, "difference from one print to the next", default=0.03)
    placing_mm: float | None = key(
        _SPREAD, "position of a section relative to the others", default=None, example=0.2
    )
    between_mm: float | None = key(
        _SPREAD, "deviation of the thing half way between two sections", default=None, example=0.3
    )
    inside_mm: float | None = key(
        _SPREAD, "uncertainty of the inside error, once you have measured it", default=None, example=0.02
    )


def _check_fit(values: Values) -> Iterator[Mistake]:
    """What is wrong with the direction in which the thing is lifted out, and with the lining."""
    yield from _lift_out_mistakes(values.get("lift_out"))
    lining, pressed = values.get("lining_mm"), values.get("lining_pressed_mm")
    if lining is not None and pressed is not None and pressed > lining:
        yield Mistake(
            found=f"found {pressed:g} mm pressed of a lining {lining:g} mm thick, allowed is at most its thickness",
            hint="lining is the thickness that it has where nothing presses it",
            at=("lining_pressed",),
        )


def _lift_out_mistakes(lift_out: Triple | Auto | None) -> Iterator[Mistake]:
    if lift_out is None or lift_out == AUTO:
        return
    x, y, z = lift_out
    if math.hypot(x, y, z) < TOLERANCES.rounding:
        yield Mistake(found="[0, 0, 0] is not a direction", hint=f"it is {_OUT}", at=("lift_out",))
        return
    steep_deg = math.degrees(math.atan2(math.hypot(x, y), z))
    if steep_deg > STEEPEST_LIFT_OUT_DEG + 1e-9:
        yield Mistake(
            found=f"found {steep_deg:.1f}° from straight up, allowed is at most {STEEPEST_LIFT_OUT_DEG:g}°",
            hint=f"it is {_OUT}; what is to go in from a side, measure standing with that side up",
            at=("lift_out",),
        )


FIT: Final = Table(makes=FitSpec, check=_check_fit)
SPREAD: Final = Table(
    makes=SpreadSpec, says="how uncertain each measurement is: one standard deviation each, in mm"
)

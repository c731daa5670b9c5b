"""What was measured of a holder, as names and figures: the report and the page tell the same."""

from __future__ import annotations

import numpy as np

from cradle.geometry.mesh import bounds_mm
from cradle.report.lift_out import lift_out_words
from cradle.result.made_holder import MadeHolder


def measured_facts(made: MadeHolder) -> list[tuple[str, str]]:
    """Gap, walls, floor, ways out, standing, undercut and size, by name; first what trials added, if they did."""
    wall, tightest = made.wall, made.tightest
    size = np.ptp(bounds_mm(made.holder.mesh), axis=0)
    facts = [("added after trials, per side", f"{made.added_words} mm")] if made.added_words else []
    facts += [
        (
            "least gap measured, per side",
            f"{'at least ' if tightest.gap.at_least else ''}{tightest.least_gap_mm:.2f} mm",
        ),
        ("thinnest wall", f"{wall.least_mm:.2f} mm"),
        ("thinnest floor", f"{wall.floor_mm:.2f} mm"),
    ]
    if wall.between_mm is not None:
        facts.append(("thinnest wall between pockets", f"{wall.between_mm:.2f} mm"))
    facts += [
        (f"lifted out{f', {thing.label}' if thing.label else ''}", lift_out_words(thing.pocket.direction))
        for thing in made.things
    ]
    return [
        *facts,
        _stands(made),
        ("undercut", f"{made.most_undercut.pocket.undercut.depth_mm:.2f} mm"),
        ("size", " × ".join(f"{v:.1f}" for v in size) + " mm"),
    ]


def _stands(made: MadeHolder) -> tuple[str, str]:
    if made.holder.fixed_to_wall:
        return "standing", "fixed to a wall, not judged"
    tips = made.standing.tip_angle_deg
    return "tips over at", f"{tips:.0f}°" if tips > 0 else "falls by itself"

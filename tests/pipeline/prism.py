"""A straight prism with round corners, whose offsets are known in closed form, modelled once for all tests."""

from functools import lru_cache
from pathlib import Path

import numpy as np

from cradle.pipeline import Row, model_row
from cradle.project.reader import project_from_text

WIDTH_MM, DEPTH_MM, CORNER_MM, INSIDE_ERROR_MM = 40.0, 24.0, 5.0, 0.08
FLAT = f'measured = {{ form = "rectangle", width = {WIDTH_MM}, depth = {DEPTH_MM}, corner = {CORNER_MM} }}'
PRISM = f"""
[object]
name = "prism"
mass = 100
[[section]]
name = "low"
height = 3.0
{FLAT}
[[section]]
name = "high"
height = 40.0
{FLAT}
[fit]
clearance = 0.4
[block]
height = 30
[printer]
material = "PLA"
inside_error = {INSIDE_ERROR_MM}
"""


def grown_area_mm2(by_mm: float) -> float:
    """Area of the prism's outline grown by a disc: A + P c + pi c² (Steiner 1840; Schneider, Convex Bodies, from memory)."""
    radius = CORNER_MM
    area = WIDTH_MM * DEPTH_MM - (4 - np.pi) * radius**2
    round_mm = 2 * (WIDTH_MM + DEPTH_MM) - (8 - 2 * np.pi) * radius
    return float(area + round_mm * by_mm + np.pi * by_mm**2)


@lru_cache
def prism_row() -> Row:
    return model_row(project_from_text(PRISM, file=Path("holder.toml")))

"""The order of the rooms: the only room that knows it.

`inspect` goes from the project to the body, `build` from the body to the
holder for one clearance, `make` does both; `cut_slices` goes from the project
to the test pieces. Every noun on the way is kept.
"""

from cradle.pipeline.building import Made, build, make
from cradle.pipeline.inspection import Inspected, OnStep, inspect
from cradle.pipeline.slicing import Sliced, cut_slices

__all__ = ["Inspected", "Made", "OnStep", "Sliced", "build", "cut_slices", "inspect", "make"]

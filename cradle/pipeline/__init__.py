"""The order of the rooms: the only room that knows it.

`inspect` goes from the project to the body, `inspect_row` to the bodies of all
things in one holder, `build` from there to the holder for one clearance,
`make` does both; `cut_slices` goes from the project to the test pieces. Every
noun on the way is kept.
"""

from cradle.pipeline.building import build, make
from cradle.pipeline.evaluation import Made
from cradle.pipeline.modelling import Inspected, OnStep, inspect
from cradle.pipeline.row import Row, inspect_row
from cradle.pipeline.slicing import Sliced, cut_slices

__all__ = [
    "Inspected",
    "Made",
    "OnStep",
    "Row",
    "Sliced",
    "build",
    "cut_slices",
    "inspect",
    "inspect_row",
    "make",
]

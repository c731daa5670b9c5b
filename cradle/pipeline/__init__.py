"""The order of the rooms: the only room that knows it.

`model_thing` goes from the project to the body, `model_row` to the bodies of
all things in one holder, `build` from there to the holder for one clearance,
`make` does both; `cut_pieces` goes from the project to the test pieces. Every
noun on the way is kept.
"""

from cradle.pipeline.building import build, foreseen, make, rough_holder
from cradle.pipeline.fit_pieces import FitPieces, cut_pieces
from cradle.pipeline.modelling import OnStep, model_thing
from cradle.pipeline.row import Row, model_row

__all__ = [
    "FitPieces",
    "OnStep",
    "Row",
    "build",
    "cut_pieces",
    "foreseen",
    "make",
    "model_row",
    "model_thing",
    "rough_holder",
]

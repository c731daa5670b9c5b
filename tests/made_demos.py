"""The demo projects, made once for all tests that look at a finished holder."""

from functools import lru_cache
from pathlib import Path

from cradle.holder.sheet import Sheet, lay_out
from cradle.holder.views import holder_views
from cradle.pipeline import Made, make
from cradle.project.reader import read_project

DEMOS = Path(__file__).parent.parent / "demo_data"


@lru_cache
def made_demo(name: str) -> Made:
    return make(read_project(DEMOS / name / "holder.toml"))


@lru_cache
def sheet_of(name: str) -> Sheet:
    made = made_demo(name)
    matrix = made.holder_from_object
    heights = [(s.name, float(s.height_mm * matrix[2, 2] + matrix[2, 3])) for s in made.sections]
    return lay_out(
        holder_views(made.holder, made.pocket, heights_mm=heights, floor_mm=made.project.block.floor_mm)
    )

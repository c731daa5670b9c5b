"""The demo projects, made once for all tests that look at a finished holder."""

from functools import lru_cache
from pathlib import Path

from cradle.drawing.sheet import Sheet, lay_out
from cradle.pipeline import Made, make
from cradle.pipeline.report_files import made_views
from cradle.project.reader import read_project

DEMOS = Path(__file__).parent.parent / "demo_data"


@lru_cache
def made_demo(name: str) -> Made:
    return make(read_project(DEMOS / name / "holder.toml"))


@lru_cache
def sheet_of(name: str) -> Sheet:
    return lay_out(made_views(made_demo(name)))

"""The demo projects, made once for all tests that look at a finished holder."""

from functools import lru_cache
from pathlib import Path

from cradle.drawing.holder_views import holder_views
from cradle.drawing.layout import Sheet, lay_out
from cradle.drawing.view import View
from cradle.pipeline import make
from cradle.pipeline.output_files import report_drawings
from cradle.project.reader import read_project
from cradle.report.page import page_parts, report_html
from cradle.result.made_holder import MadeHolder

DEMOS = Path(__file__).parent.parent / "demo_data"


@lru_cache
def made_demo(name: str) -> MadeHolder:
    return make(read_project(DEMOS / name / "holder.toml"))


@lru_cache
def views_of(name: str) -> tuple[View, ...]:
    made = made_demo(name)
    return holder_views(made.holder, made.things)


@lru_cache
def sheet_of(name: str) -> Sheet:
    return lay_out(views_of(name), scale=1.0, words=["a thing", "0.35 mm"])


def report_of(made: MadeHolder) -> bytes:
    return report_html(made, report_drawings(made))


def parts_of(made: MadeHolder) -> dict[str, str]:
    return page_parts(made, report_drawings(made))

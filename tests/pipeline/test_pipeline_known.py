"""A second modelling with what the first one read."""

from dataclasses import replace

from made_demos import DEMOS

from cradle.pipeline import build, model_row
from cradle.project.reader import read_project
from cradle.report.summary import summary_of


def test_outlines_of_unchanged_sections_are_not_read_again_and_the_holder_is_the_same():
    project = read_project(DEMOS / "ocarina" / "holder.toml")
    row = model_row(project)
    wider = replace(project, fit=replace(project.fit, clearance_mm=0.5))
    again = model_row(wider, known=row)
    assert again.things[0].outlines is row.things[0].outlines
    assert summary_of(build(again)) == summary_of(build(model_row(wider)))


def test_outlines_of_changed_sections_are_read_again():
    project = read_project(DEMOS / "ocarina" / "holder.toml")
    row = model_row(project)
    first, *rest = project.sections
    moved = replace(project, sections=(replace(first, height_mm=2.5), *rest))
    assert model_row(moved, known=row).things[0].outlines is not row.things[0].outlines


def test_every_thing_of_a_row_keeps_its_outlines():
    project = read_project(DEMOS / "pair" / "holder.toml")
    row = model_row(project)
    again = model_row(project, known=row)
    assert len(again.things) == 2
    for thing, earlier in zip(again.things, row.things, strict=True):
        assert thing.outlines is earlier.outlines

"""A second modelling with what the first one read."""

from dataclasses import replace

import numpy as np
import pytest

from cradle.pipeline import build, model_row
from cradle.project.reader import read_project
from cradle.report.summary import summary_of

TRACED = """
[object]
name = "{name}"
mass = 80
[[section]]
name = "low"
height = 2.0
outline = "low.csv"
width = 40
[[section]]
name = "high"
height = 30.0
outline = "high.csv"
width = 46
[fit]
clearance = 0.35
[block]
height = 20
"""


@pytest.fixture
def project(tmp_path):
    """A project whose outlines are files."""
    angle = np.arange(60) * 2 * np.pi / 60
    for name, size in (("low", 20.0), ("high", 23.0)):
        ring = size * np.column_stack([np.cos(angle), 0.7 * np.sin(angle)])
        (tmp_path / f"{name}.csv").write_text(
            "".join(f"{x:.4f},{y:.4f}\n" for x, y in ring), encoding="utf-8"
        )
    (tmp_path / "other.toml").write_text(TRACED.format(name="other"), encoding="utf-8")
    file = tmp_path / "holder.toml"
    file.write_text(TRACED.format(name="cup"), encoding="utf-8")
    return read_project(file)


def test_outlines_of_unchanged_sections_are_not_read_again_and_the_holder_is_the_same(project):
    row = model_row(project)
    wider = replace(project, fit=replace(project.fit, clearance_mm=0.5))
    again = model_row(wider, known=row)
    assert again.things[0].outlines is row.things[0].outlines
    assert summary_of(build(again)) == summary_of(build(model_row(wider)))


def test_outlines_of_changed_sections_are_read_again(project):
    row = model_row(project)
    first, *rest = project.sections
    moved = replace(project, sections=(replace(first, height_mm=2.5), *rest))
    assert model_row(moved, known=row).things[0].outlines is not row.things[0].outlines


def test_every_thing_of_a_row_keeps_its_outlines(project):
    both = replace(project, row=replace(project.row, things=("other.toml",)))
    row = model_row(both)
    again = model_row(both, known=row)
    assert len(again.things) == 2
    for thing, earlier in zip(again.things, row.things, strict=True):
        assert thing.outlines is earlier.outlines

"""A row modelled with outlines that somebody else reads, or has read before."""

from dataclasses import replace
from functools import partial

import numpy as np
import pytest

from cradle.capture.outline_reader import read_outline
from cradle.pipeline import build, model_row, model_thing
from cradle.pipeline.steps import Steps
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


def counted():
    """Steps with a reader of outlines, and the names of the sections that it has read."""
    names = []

    def read(spec, *, folder):
        names.append(spec.name)
        return read_outline(spec, folder=folder)

    return Steps(model=partial(model_thing, read=read)), names


@pytest.mark.slow
def test_every_outline_is_read_by_the_reader_that_is_given_and_the_holder_is_the_same(project):
    steps, names = counted()
    row = model_row(project, steps=steps)
    assert names == ["low", "high"]
    assert summary_of(build(row)) == summary_of(build(model_row(project)))


def test_so_are_those_of_every_thing_of_a_row(project):
    both = replace(project, row=replace(project.row, things=("other.toml",)))
    steps, names = counted()
    assert len(model_row(both, steps=steps).things) == 2
    assert names == ["low", "high"] * 2

"""Straight tins, alone and in a row, and what is made of them."""

from cradle.pipeline import make, model_row
from cradle.pipeline.holder_attempt import holder_attempt
from cradle.pipeline.pocket_attempt import finished_attempt, rough_attempt
from cradle.project.reader import read_project

BARE = "corner = 0\nchamfer = 0\nlead_in = 0\n"


def tin(width, depth=None, *, name="tin", clearance=0.4, extra=""):
    """A straight tin, standing."""
    flat = f'measured = {{ form = "ellipse", width = {width}, depth = {depth or width} }}'
    return f"""
[object]
name = "{name}"
mass = 100
[[section]]
name = "low"
height = 0.0
{flat}
[[section]]
name = "high"
height = 60.0
{flat}
[fit]
clearance = {clearance}
{extra}
"""


def made_of(written, text):
    return make(read_project(written(text)))


def middles(made):
    return [pocket.x_offset_mm for held in made.things for pocket in held.pockets]


def cut_of(written, text):
    """The holder alone, at its first attempt and not judged: for what its form tells."""
    row = model_row(read_project(written(text)))
    return holder_attempt(
        row, [finished_attempt(rough_attempt(model, clearance_mm=None)) for model in row.things]
    )


def places(attempt):
    return [pocket.x_offset_mm for pocket in attempt.placed]

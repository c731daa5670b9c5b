"""A sound project of many tables, and the problems of a text that is none."""

import pytest
from generated_projects import FILE

from cradle.errors import InputError, ProjectError
from cradle.project.reader import project_from_text

SOUND = """\
[object]
name = "thing"
height = 80
[[section]]
name = "low"
height = 4.0
outline = "low.svg"
[[section]]
name = "mid"
height = 15.0
measured = { form = "rectangle", width = 40.0, depth = 30.0, corner = 3 }
[[section]]
name = "top"
height = 30.0
[section.measured]
form = "superellipse"
width = 44.0
depth = 34.0
diagonal = 45
[fit]
clearance = 0.35
lift_out = [0, 0, 1]
[block]
wall = 3.0
height = 25
[[opening]]
kind = "drain"
diameter = 6
[[opening]]
kind = "slot"
through = "front"
width = 8
length = 20
[test_pieces]
clearances = [0.2, 0.3]
[printer]
bed = [220, 220, 250]
"""


def problems_of(text: str):
    with pytest.raises(ProjectError) as caught:
        project_from_text(text, file=FILE)
    assert isinstance(caught.value, InputError)
    return caught.value.problems

"""Lead-in and chamfer that a project leaves out are no more than its wall leaves."""

import pytest
from test_project_reader import SMALL, read

from cradle.holder.block import check_rim
from cradle.project.block import LEAST_RIM_MM


@pytest.mark.parametrize(
    ("block", "lead_in", "chamfer"),
    [
        ("wall = 3", 1.0, 0.5),
        ("wall = 1.9", 1.0, 0.5),
        ("wall = 1.2", 0.5, 0.2),  # three printed lines
        ("wall = 0.4", 0.0, 0.0),
        ("wall = 1.2\nlead_in = 0.3", 0.3, 0.5),
        ("wall = 1.2\nchamfer = 0.2", 0.6, 0.2),
        ("wall = 1.2\nlead_in = 0", 0.0, 0.5),
        ("wall = 1.2\nlead_in = 0.3\nchamfer = 0.4", 0.3, 0.4),
    ],
)
def test_of_a_thin_wall_a_rim_is_left(block, lead_in, chamfer):
    spec = read(f"{SMALL}[block]\n{block}\n").block
    assert (spec.lead_in_mm, spec.chamfer_mm) == (lead_in, chamfer)
    check_rim(spec, between_mm=None)


@pytest.mark.parametrize("wall", [0.5 + 0.1 * tenth for tenth in range(30)])
def test_no_wall_is_refused_for_what_was_left_out(wall):
    spec = read(f"{SMALL}[block]\nwall = {wall:.1f}\n[row]\ncount = 2\n").block
    check_rim(spec, between_mm=spec.wall_mm)
    assert spec.wall_mm - spec.lead_in_mm - spec.chamfer_mm >= LEAST_RIM_MM - 1e-9


def test_between_two_pockets_a_ridge_is_left():
    assert read(f"{SMALL}[block]\nwall = 3\n[row]\ncount = 2\ngap = 1.2\n").block.lead_in_mm == 0.4
    assert (
        read(f"{SMALL}[block]\nwall = 3\nlead_in = 0.8\n[row]\ncount = 2\ngap = 1.2\n").block.lead_in_mm
        == 0.8
    )
    assert read(f"{SMALL}[block]\nwall = 3\n[row]\ngap = 1.2\n").block.lead_in_mm == 1.0  # of one pocket


def test_a_wall_that_what_was_asked_for_uses_up_is_left_to_be_refused():
    spec = read(f"{SMALL}[block]\nwall = 1.2\nlead_in = 1\n").block
    assert (spec.lead_in_mm, spec.chamfer_mm) == (1.0, 0.0)

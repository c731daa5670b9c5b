"""Holders that the printer's bed does not take."""

from pathlib import Path

import pytest

from cradle.checks.bed import bed_findings
from cradle.finding import Severity
from cradle.project.block import BlockSpec, PlateSpec
from cradle.project.printer import PrinterSpec
from cradle.project.project import Project


def on_bed(*bed, **changes):
    """A project for a printer of this size."""
    return Project(file=Path("holder.toml"), sections=(), printer=PrinterSpec(bed_mm=bed), **changes)


def test_a_holder_larger_than_the_bed_fails_unless_a_quarter_turn_helps():
    project = on_bed(200, 100, 100)
    assert not [*bed_findings((90, 190, 50), project=project, pockets=1)]
    (large,) = bed_findings((190, 105, 50), project=project, pockets=1)
    assert large.severity is Severity.FAIL
    assert [*bed_findings((50, 50, 150), project=project, pockets=1)]


@pytest.mark.parametrize(
    ("size", "pockets", "changes", "advice"),
    [
        ((190, 105, 50), 1, {}, "make the wall smaller"),
        ((190, 107, 50), 1, {}, "the pocket alone takes 184 × 101 mm: print it on a larger printer"),
        ((190, 107, 50), 1, {"block": BlockSpec(depth_mm=107)}, "make the wall or the block's own depth smaller"),
        ((190, 107, 50), 1, {"plate": PlateSpec(width_mm=190)}, "make the wall or the plate smaller"),
        ((190, 107, 50), 1, {"block": BlockSpec(flare_mm=4)}, "make the wall or the flare smaller"),
        ((190, 107, 50), 3, {}, "make the wall smaller, or the gap between the things; turn long ones (turn = 90 in each of their sections, and width and depth"),
        ((90, 90, 150), 1, {}, "make the block lower"),
        ((90, 90, 150), 1, {"plate": PlateSpec(width_mm=90)}, "make the block or the plate lower"),
        ((190, 105, 150), 1, {}, "make the block lower; and make the wall smaller"),
        ((190, 107, 150), 1, {}, "the pocket alone takes 184 × 101 mm: print it on a larger printer"),
    ],
)  # fmt: skip
def test_what_does_not_fit_the_bed_is_to_be_made_smaller_where_that_helps(size, pockets, changes, advice):
    (found,) = bed_findings(size, project=on_bed(200, 100, 100, **changes), pockets=pockets)
    assert found.advice.startswith(advice)


@pytest.mark.parametrize(("bed", "told"), [((10, 10, 10), True), ((120, 50, 50), False)])
def test_a_bed_smaller_than_any_is_told_to_be_in_mm(bed, told):
    (found,) = bed_findings((154, 89, 43), project=on_bed(*bed), pockets=1)
    ending = "print it on a larger printer" + ("; lengths without a unit are in mm" if told else "")
    assert found.advice.endswith(ending)


def test_a_holder_that_lies_askew_but_is_too_high_is_told_to_be_lower_alone():
    """Rotated by 45° a rectangle of 190 mm by 10 takes 141 mm both ways."""
    (found,) = bed_findings((190, 10, 150), project=on_bed(145, 145, 100), pockets=1)
    assert found.advice == "make the block lower"

"""Openings whose place is not said, in pockets that lie beside the middle of their faces."""

import numpy as np
import pytest
from pockets import pocket_of
from stacked import circle, rectangle, stacked

from cradle.checks.openings import opening_findings
from cradle.errors import HolderError
from cradle.finding import Severity
from cradle.geometry import solid as solids
from cradle.geometry.mesh import bounds_mm
from cradle.holder.holder import make_holder
from cradle.project.block import BlockSpec
from cradle.project.opening import OPENINGS, Through
from cradle.project.printer import PrinterSpec

ARC = np.radians(np.linspace(-150, 150, 61))
HORSESHOE = np.concatenate(
    [np.column_stack([r * np.cos(a), r * np.sin(a)]) for r, a in ((40, ARC), (24, ARC[::-1]))]
)
"""Open to the left, from 24 to 40 mm away from the origin."""
BLOCK = BlockSpec(wall_mm=5.0, floor_mm=4.0)


@pytest.fixture(scope="module")
def horseshoe():
    return pocket_of(stacked([0, 40], [HORSESHOE] * 2))


def put(pocket, kind, through, **sizes):
    """The place in words, and the middle of what was cut away."""
    spec = OPENINGS.tables[kind].makes(through=through, **sizes)
    holder = make_holder([pocket], block=BLOCK, openings=(spec,), under=np.zeros((1, 2)))
    told = opening_findings(holder, block=BLOCK, printer=PrinterSpec())
    words = [f.message for f in told if f.code == "opening-put-aside" and f.severity is Severity.NOTE]
    return words, bounds_mm(solids.mesh_of(holder.openings[0].cuts[0])).mean(axis=0)


@pytest.mark.parametrize(
    ("kind", "through", "sizes"),
    [
        ("drain", Through.FLOOR, {"diameter_mm": 5.0}),
        ("round", Through.LEFT, {"diameter_mm": 5.0}),
        ("window", Through.RIGHT, {"width_mm": 8.0, "height_mm": 8.0}),
        ("notch", Through.LEFT, {"width_mm": 8.0, "depth_mm": 8.0}),
        ("finger", Through.LEFT, {"width_mm": 8.0}),
        ("screw", Through.BACK, {"screw": "M4"}),
    ],
)
def test_it_lies_where_the_pocket_is_and_that_is_told(horseshoe, kind, through, sizes):
    (words,), middle = put(horseshoe, kind, through, **sizes)
    x, y = middle[:2]
    if through is Through.FLOOR:
        assert 24 + 2 < np.hypot(x, y) < 40 - 2
        assert f"it lies at x = {x:z.1f} mm, y = {y:z.1f} mm" in words
    else:
        axis = "x" if through is Through.BACK else "y"
        assert f"it lies at {axis} = {x if axis == 'x' else y:.1f} mm" in words


def test_in_the_middle_of_where_it_can_be():
    # 20 mm wide at its foot, from -35 to -15, and 70 at its top: a tall window's sides stay within the foot's
    lopsided = pocket_of(stacked([0, 40], [rectangle(20, 30) - [25, 0], rectangle(70, 30)]), top_mm=36)
    (words,), middle = put(lopsided, "window", Through.FRONT, width_mm=14, height_mm=26)
    assert -28 < middle[0] < -15
    assert f"x = {middle[0]:.1f} mm" in words


def test_what_lies_in_the_middle_stays_there_and_a_place_that_is_said_is_kept(horseshoe):
    words, middle = put(pocket_of(stacked([0, 40], [circle(20)] * 2)), "drain", Through.FLOOR, diameter_mm=5)
    assert words == []
    assert middle[:2] == pytest.approx([0, 0], abs=1e-4)
    with pytest.raises(HolderError, match="has no pocket above it"):
        put(horseshoe, "drain", Through.FLOOR, diameter_mm=5, at_mm=(0.0, 0.0))


def test_what_fits_nowhere_is_refused_as_it_lies_in_the_middle(horseshoe):
    with pytest.raises(HolderError, match=r"100\.0 mm wide"):
        put(horseshoe, "window", Through.FRONT, width_mm=100, height_mm=10)

"""The frames of a block's faces."""

import numpy as np
import pytest
from pockets import OUTWARD, WALLS
from stacked import rectangle

from cradle.geometry import planar, region_measures
from cradle.geometry.solid import box_mm, extruded
from cradle.holder.face import Face, disc
from cradle.pocket.cavity import Cavity
from cradle.project.block import BlockSpec
from cradle.project.opening import Through

HOLLOW = rectangle(40, 24)


def face(through, *, aside=0.0, hollow=HOLLOW):
    """A hollow, if nothing else of 40 by 24 mm, 30 deep, in a block with walls of 5 mm."""
    heights = np.linspace(0, 30, 7)
    cavity = Cavity(
        solid=extruded(hollow, low_mm=0, high_mm=31, where="hollow"),
        mouth=None,
        heights_mm=heights,
        levels=np.array([planar.region(hollow)] * 7, dtype=object),
        bottom_mm=0.0,
        top_mm=30.0,
    )
    plan = planar.region(rectangle(50, 34))
    block = BlockSpec(wall_mm=5.0, floor_mm=6.0, chamfer_mm=1.0)
    return Face(through=through, pocket=cavity, plan=plan, block=block, x_offset_mm=aside)


@pytest.mark.parametrize("through", Through)
def test_every_frame_is_right_handed_and_looks_outward(through):
    matrix = face(through).matrix[:3, :3]
    assert np.linalg.det(matrix) == pytest.approx(1)
    assert matrix @ [0, 0, 1] == pytest.approx(OUTWARD[through])
    if through is not Through.FLOOR:
        assert matrix @ [0, 1, 0] == pytest.approx([0, 0, 1])


@pytest.mark.parametrize("through", Through)
def test_places_are_told_as_a_project_counts_them(through):
    one = face(through, aside=7.0)
    at = np.array([3.0, 12.0])
    placed = one.place((3.0, 12.0))
    assert one.as_given(placed) == pytest.approx(at)
    x, y, z = one.matrix[:3, :3] @ [*placed, 0.0]
    counted = {Through.FLOOR: (x - 7, y), Through.LEFT: (y, z), Through.RIGHT: (y, z)}.get(
        through, (x - 7, z)
    )
    assert counted == pytest.approx(at)


@pytest.mark.parametrize(
    ("through", "wall"), [(t, 25.0 if t in (Through.LEFT, Through.RIGHT) else 17.0) for t in WALLS]
)
def test_the_wall_lies_between_the_pocket_and_the_outside(through, wall):
    one = face(through)
    middle = one.place(None)
    assert one.pocket_reach(middle, 2.0) == pytest.approx(wall - 5)
    assert one.outside(middle, 2.0) == pytest.approx((wall, wall))
    assert one.outside(np.array([middle[0], 31.0]), 2.0) is None
    assert one.outside(np.array([200.0, middle[1]]), 2.0) is None


def test_under_the_floor_lies_the_foot():
    one = face(Through.FLOOR)
    middle = one.place(None)
    assert one.foot_mm == -6
    assert one.pocket_reach(middle, 2.0) == pytest.approx(0)
    assert one.outside(middle, 2.0) == pytest.approx((6, 6))
    assert one.outside(np.array([24.5, 0.0]), 2.0) is None
    assert one.pocket_reach(np.array([60.0, 0.0]), 2.0) is None


@pytest.mark.parametrize("through", Through)
def test_a_prism_on_a_face_stands_out_of_it(through):
    body = face(through).solid(rectangle(4, 6), low_mm=10, high_mm=13)
    low, high = box_mm(body)
    axis = int(np.flatnonzero(OUTWARD[through])[0])
    assert high[axis] - low[axis] == pytest.approx(3)
    assert sorted(abs(v) for v in (low[axis], high[axis])) == pytest.approx([10, 13])
    assert np.sign(low[axis]) == np.sign(OUTWARD[through][axis])


@pytest.mark.parametrize("radius", [0.5, 8.0])
def test_a_disc_goes_round_its_circle(radius):
    """Area of the regular n-gon about a circle: n tan(π/n) r²."""
    ring = disc(radius)
    n = len(ring)
    assert region_measures.area_mm2(planar.region(ring)) == pytest.approx(n * np.tan(np.pi / n) * radius**2)
    middles = (ring + np.roll(ring, 1, axis=0)) / 2
    assert np.hypot(*middles.T) == pytest.approx(np.full(n, radius))

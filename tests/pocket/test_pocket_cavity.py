"""Several hollows as one."""

import numpy as np
import pytest
from pockets import pocket_of
from stacked import circle, rectangle, stacked

from cradle.geometry import planar, region_measures
from cradle.geometry.region_measures import bounds
from cradle.geometry.solid import mesh_of, solid, volume_mm3
from cradle.pocket.cavity import Cavity, joined_cavities


def cavity(ring, heights, *, aside=0.0, mouth=False):
    ring = ring + np.array([aside, 0.0])
    heights = np.asarray(heights, dtype=float)
    body = solid(stacked([heights[0], heights[-1] + 1], [ring] * 2), where="hollow")
    return Cavity(
        solid=body,
        mouth=body if mouth else None,
        heights_mm=heights,
        levels=np.array([planar.region(ring)] * len(heights), dtype=object),
        bottom_mm=float(heights[0]),
        top_mm=float(heights[-1]),
    )


def test_joined_hollows_keep_each_its_own():
    one, two = cavity(rectangle(10, 10), [0, 10, 20]), cavity(circle(6), [-2, 5, 20], aside=30, mouth=True)
    both = joined_cavities([one, two])
    assert both.bottom_mm == -2
    assert both.top_mm == 20
    assert both.heights_mm.tolist() == [-2, 0, 5, 10, 20]
    assert region_measures.area_mm2(both.plan()) == pytest.approx(
        region_measures.area_mm2(one.plan()) + region_measures.area_mm2(two.plan())
    )
    assert volume_mm3(both.solid) == pytest.approx(volume_mm3(one.solid) + volume_mm3(two.solid))
    assert volume_mm3(both.mouth) == pytest.approx(volume_mm3(two.solid))
    # below the first one's floor there is only the other
    assert region_measures.area_mm2(both.level_at(-2)) == pytest.approx(region_measures.area_mm2(two.plan()))
    assert region_measures.area_mm2(both.level_at(12)) == pytest.approx(region_measures.area_mm2(both.plan()))


def test_one_hollow_stays_itself():
    only = cavity(rectangle(10, 10), [0, 10])
    assert joined_cavities([only]) is only
    assert joined_cavities([only, cavity(circle(3), [0, 10], aside=20)]).mouth is None


@pytest.mark.parametrize("lean_deg", [0.0, 5.0, 13.0])
def test_the_extent_holds_what_stands_out_between_the_levels(lean_deg):
    """Of a leaning hollow by up to 0.07 mm at the back."""
    pocket = pocket_of(stacked([0, 20, 40], [circle(12), circle(20), circle(9)]), lean_deg=lean_deg)
    low, high = pocket.extent_mm()[:2], pocket.extent_mm()[2:]
    corners = mesh_of(pocket.solid).vertices_mm
    inside = corners[corners[:, 2] <= pocket.top_mm, :2]
    assert (inside >= low).all()
    assert (inside <= high).all()
    assert (high - low)[0] == pytest.approx(np.ptp(bounds(pocket.levels)[:, [0, 2]]), abs=1e-6)

import numpy as np
import pytest
from pockets import make_pocket
from stacked import UP, circle, egg, rectangle, stacked, unit

from cradle.geometry import planar, region_measures
from cradle.geometry import solid as solids
from cradle.geometry.mesh import bounds_mm
from cradle.pocket.budget import FINEST
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.prepared_body import prepared
from cradle.pocket.slices import pocket_slices
from cradle.tolerances import TOLERANCES

GAP_MM = 0.4
THICK_MM = 2.4
BODIES = {
    "egg": (egg(), UP),
    "egg to the side": (egg(), unit(0.2, 0.1, 1.0)),
    "leaning egg": (egg(lean=0.4), UP),
    "waist": (stacked([0, 10, 30], [rectangle(40, 30), rectangle(20, 34), rectangle(42, 42)]), UP),
    "foot plate": (
        stacked([0, 4, 5, 30], [circle(r, points=90) for r in (25, 25, 9, 12)]),
        unit(0.3, 0.0, 1.0),
    ),
}
HEIGHTS_MM = (0.0, 3.0, 6.0, 20.0)


def beyond_mm(area, other):
    """How far a region reaches past another, mm."""
    return max(float(region_measures.distances(ring, other).max()) for ring in planar.outer_rings(area))


@pytest.mark.first_daily
@pytest.mark.parametrize("name", BODIES)
def test_slices_are_what_the_whole_pocket_has_there_and_let_the_thing_out(name):
    mesh, direction = BODIES[name]
    body = prepared(mesh)
    asked = clearance_profile([0.0], [None], default_mm=GAP_MM)
    whole = make_pocket(body, clearance=asked, direction=direction, top_mm=28)
    cut = pocket_slices(
        body, heights_mm=HEIGHTS_MM, thickness_mm=THICK_MM, clearance=asked, direction=direction
    )
    assert len(cut) == len(HEIGHTS_MM)
    for part in cut:
        (_, _, lowest), (_, _, highest) = bounds_mm(solids.mesh_of(part.solid))
        assert part.low_mm - 0.11 <= lowest <= part.low_mm  # no more than it says is made
        assert part.high_mm <= highest <= part.high_mm + 0.11
        heights = np.linspace(part.low_mm + 1e-4, part.high_mm - 1e-4, 7)
        own, of_whole = (solids.cut_regions(hollow, heights) for hollow in (part.solid, whole.solid))
        for a, b in zip(own, of_whole, strict=True):
            assert max(beyond_mm(a, b), beyond_mm(b, a)) <= FINEST.bulge_mm
        around = planar.offset(planar.union(list(own)), 3.0)
        slab = solids.prism(around, low_mm=part.low_mm, high_mm=part.high_mm)
        ring = solids.difference(slab, [part.solid])
        least = GAP_MM - FINEST.margin_mm - TOLERANCES.clearance_mm  # those who ask add the margin
        assert solids.gap_mm(ring, body.solid, within_mm=1.0) >= least
        for way in np.arange(0.5, 60.0, 1.5):
            assert solids.overlap_mm3(ring, solids.moved(body.solid, direction * way)) == 0.0


def test_slices_that_lie_upon_one_another_and_below_the_floor_are_each_whole():
    heights = (0.0, 0.05, 0.1, 1.0)
    body = prepared(egg())
    asked = clearance_profile([0.0], [None], default_mm=0.2)
    cut = pocket_slices(body, heights_mm=heights, thickness_mm=THICK_MM, clearance=asked, direction=UP)
    for height, part in zip(heights, cut, strict=True):
        assert part.low_mm < height < part.high_mm
        assert part.high_mm - part.low_mm == pytest.approx(THICK_MM)
        low, high = solids.box_mm(part.solid)
        assert low[2] < part.low_mm
        assert high[2] > part.high_mm
        (there,) = solids.cut_regions(part.solid, np.array([height + 0.3]))
        (thing,) = solids.cut_regions(body.solid, np.array([height + 0.3]))
        assert region_measures.covers(there, planar.offset(thing, 0.19))
    assert cut[0].low_mm == cut[1].low_mm


def test_no_heights_no_slices():
    asked = clearance_profile([0.0], [None], default_mm=0.2)
    assert not pocket_slices(prepared(egg()), heights_mm=(), thickness_mm=1.0, clearance=asked, direction=UP)


@pytest.mark.parametrize("direction", [UP, unit(0.25, 0.0, 1.0)], ids=["upright", "aslant"])
def test_a_slice_whose_wall_came_too_near_gets_room(direction, monkeypatch):
    def dented(hollow, *, within_mm, where):
        crumb = [[-15.2, 0.0, 20.0], [-19.0, 2.0, 20.0], [-19.0, -2.0, 20.0], [-19.0, 0.0, 21.0]]
        return solids.difference(
            solids.thinned_solid(hollow, within_mm=within_mm, where=where), [solids.hull(np.array(crumb))]
        )

    body = prepared(stacked([0, 30], [circle(15), circle(15)]))
    monkeypatch.setattr("cradle.pocket.slices.thinned_solid", dented)
    (part,) = pocket_slices(
        body,
        heights_mm=(20.0,),
        thickness_mm=THICK_MM,
        clearance=clearance_profile([0.0], [None], default_mm=GAP_MM),
        direction=direction,
    )
    wall = solids.layer(
        solids.surroundings(part.solid, margin_mm=3.0), low_mm=part.low_mm, high_mm=part.high_mm
    )
    assert solids.gap_mm(wall, body.solid, within_mm=1.0) >= GAP_MM - FINEST.margin_mm
    for way in np.arange(0.5, 30.0, 1.5):
        assert solids.overlap_mm3(wall, solids.moved(body.solid, direction * way)) == 0.0

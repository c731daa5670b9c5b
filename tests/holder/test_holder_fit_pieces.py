import numpy as np
import pytest
from stacked import UP, circle, egg, rectangle, stacked

from cradle.errors import HolderError
from cradle.geometry import planar, region_measures
from cradle.geometry.lettering import lettering
from cradle.geometry.mesh import TriMesh, bounds_mm, component_count, edge_statistics
from cradle.geometry.solid import cut_regions, solid
from cradle.holder.beds import laid_on_beds
from cradle.holder.fit_pieces import FIRST_LAYER_SPREAD_MM, peg, ring_piece
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.prepared_body import prepared
from cradle.pocket.slices import pocket_slices
from cradle.project.printer import RingForm

CAN = stacked([0, 40], [circle(20)] * 2)


def piece_of(mesh, *, c=0.3, number=1, form=RingForm.CLOSED, height=15.0):
    profile = clearance_profile([0.0], [None], default_mm=c)
    (hollow,) = pocket_slices(
        prepared(mesh), heights_mm=[height], thickness_mm=2.4, clearance=profile, direction=UP
    )
    return ring_piece(hollow, section="belly", height_mm=height, clearance_mm=c, number=number, form=form)


def level(mesh, z):
    return cut_regions(solid(mesh, where="test piece"), np.array([z]))[0]


@pytest.mark.slow
def test_rings_of_different_clearances_never_bear_the_same_number():
    pieces = [piece_of(CAN, c=c) for c in (0.12, 0.125)]
    assert [piece.name for piece in pieces] == ["belly 0.12", "belly 0.125"]
    raised = [region_measures.area_mm2(level(piece.mesh, 2.7)) for piece in pieces]
    words = [region_measures.area_mm2(lettering(piece.name, height_mm=4.5)) for piece in pieces]
    assert raised == pytest.approx(words, rel=0.01)
    assert words[1] > words[0] + 1


@pytest.mark.parametrize("form", RingForm)
def test_a_piece_is_one_closed_piece_on_the_bed(form):
    piece = piece_of(egg(), form=form)
    assert edge_statistics(piece.mesh).closed
    assert component_count(piece.mesh) == 1
    low, high = bounds_mm(piece.mesh)
    assert low[2] == 0
    assert high[2] == pytest.approx(2.4 + 0.6)


def test_calipers_read_the_thing_plus_twice_the_clearance():
    piece = piece_of(CAN)
    assert piece.inside_mm == pytest.approx((40.6, 40.6), abs=0.02)
    (hole,) = planar.holes(level(piece.mesh, 1.2))
    assert np.ptp(hole, axis=0) == pytest.approx(piece.inside_mm, abs=1e-3)


def test_the_first_layer_may_spread_without_touching():
    piece = piece_of(CAN)
    (below,) = planar.holes(level(piece.mesh, 1e-3))
    assert np.ptp(below[:, 0]) - piece.inside_mm[0] == pytest.approx(2 * FIRST_LAYER_SPREAD_MM, abs=0.01)


@pytest.mark.slow
@pytest.mark.parametrize("number", [1, 2, 5])
def test_the_notches_count_the_clearance(number):
    piece = piece_of(CAN, number=number)
    cut = level(piece.mesh, 1.2)
    front = bounds_mm(piece.mesh)[0, 1]
    strip = planar.region(rectangle(200, 0.1) + [0, front + 0.6])
    assert len(planar.outer_rings(planar.common(cut, strip))) == number + 1


@pytest.mark.slow
def test_an_open_ring_goes_on_from_the_front():
    closed, opened = level(piece_of(CAN).mesh, 1.2), level(piece_of(CAN, form=RingForm.OPEN).mesh, 1.2)
    assert len(planar.holes(closed)) == 1
    assert len(planar.holes(opened)) == 0
    thing = planar.region(circle(20))
    behind = planar.shifted(thing, np.array([0.0, 60.0]))
    way = planar.union([thing, planar.region(rectangle(40, 60) + [0, 30]), behind])
    assert region_measures.area_mm2(planar.common(opened, way)) == 0


def test_a_peg_is_the_things_own_section():
    piece = peg(solid(CAN, where="can"), section="belly", height_mm=15, thickness_mm=2.4)
    assert piece.inside_mm == pytest.approx((40, 40), abs=1e-3)
    assert np.ptp(bounds_mm(piece.mesh), axis=0) == pytest.approx([40, 40, 2.4], abs=1e-3)
    letters = region_measures.area_mm2(level(piece.mesh, 0.5)) - region_measures.area_mm2(
        level(piece.mesh, 2.2)
    )
    assert letters == pytest.approx(region_measures.area_mm2(lettering("belly", height_mm=4.5)), rel=0.01)


def test_a_peg_beyond_the_thing_is_refused():
    with pytest.raises(
        HolderError, match=r"no section at 90 mm: it reaches from 0\.0 to 40\.0 mm; cut it at"
    ):
        peg(solid(CAN, where="can"), section="high", height_mm=90, thickness_mm=2.4)


def test_parts_lie_apart_on_the_bed_and_none_is_lost():
    parts = [(f"part {k}", stacked([0, 3], [rectangle(40 + k, 30)] * 2)) for k in range(40)]
    beds = laid_on_beds(parts, bed_mm=(220, 220, 250))
    assert len(beds) > 1
    assert sorted(name for bed in beds for name, _ in bed) == sorted(name for name, _ in parts)
    for bed in beds:
        boxes = np.array([bounds_mm(mesh)[:, :2].ravel() for _, mesh in bed])
        assert boxes.min() >= -1e-6
        assert boxes.max() <= 220 + 1e-6
        for k, a in enumerate(boxes):
            for b in boxes[k + 1 :]:
                assert (a[:2] > b[2:] + 2.9).any() or (b[:2] > a[2:] + 2.9).any()


def test_parts_of_the_same_name_keep_their_own_sizes():
    parts = [("peg at 12", stacked([0, 3], [rectangle(w, w)] * 2)) for w in (80, 20)]
    (bed,) = laid_on_beds(parts, bed_mm=(220, 220, 250))
    (a, b) = (bounds_mm(mesh)[:, :2] for _, mesh in bed)
    assert sorted(np.ptp([a, b], axis=1)[:, 0].tolist()) == pytest.approx([20, 80])
    assert (a[0] > b[1] + 2.9).any() or (b[0] > a[1] + 2.9).any()
    both = np.concatenate([a, b])
    assert both.min(axis=0) + both.max(axis=0) == pytest.approx([220, 220])


@pytest.mark.parametrize(
    ("size", "told"),
    [
        ((300, 30, 3), "is 300 × 30 × 3 mm, the bed 220 × 220 × 250 mm"),
        ((30, 30, 251), "is 30 × 30 × 251 mm, the bed 220 × 220 × 250 mm"),
        ((220.02, 30, 3), "is 220.1 × 30 × 3 mm, the bed 220 × 220 × 250 mm"),
    ],
)
def test_a_part_larger_than_the_bed_is_refused_by_name(size, told):
    big: list[tuple[str, TriMesh]] = [("belly 0.30", stacked([0, size[2]], [rectangle(*size[:2])] * 2))]
    with pytest.raises(HolderError, match=f"belly 0.30 {told}"):
        laid_on_beds(big, bed_mm=(220.05, 220.05, 250))


def test_a_part_just_as_large_as_the_bed_is_laid_on_it():
    part = stacked([0, 250], [rectangle(220, 220)] * 2)
    ((only,),) = laid_on_beds([("peg", part)], bed_mm=(220, 220, 250))
    assert bounds_mm(only[1]) == pytest.approx(np.array([[0, 0, 0], [220, 220, 250]]), abs=1e-6)


def test_a_part_that_fits_the_bed_one_way_only_lies_that_way():
    part, small = stacked([0, 3], [rectangle(200, 240)] * 2), stacked([0, 3], [rectangle(30, 20)] * 2)
    beds = laid_on_beds([("ring", part), ("peg", small)], bed_mm=(250, 210, 210))
    sizes = {name: np.ptp(bounds_mm(mesh), axis=0).tolist() for bed in beds for name, mesh in bed}
    assert sizes == {"ring": pytest.approx([240, 200, 3]), "peg": pytest.approx([30, 20, 3])}
    for bed in beds:
        for _, mesh in bed:
            low, high = bounds_mm(mesh)
            assert (low >= -1e-6).all()
            assert (high <= np.array([250, 210, 210]) + 1e-6).all()
            assert edge_statistics(mesh).closed

"""What a stack of levels holds, read off by cutting the finished solid."""

import numpy as np
import pytest
from stacked import circle, rectangle

from cradle.geometry import planar, region_measures
from cradle.geometry import stack as stacks
from cradle.geometry.mesh import area_normals, component_count, edge_statistics
from cradle.geometry.solid import cut_regions, mesh_of, volume_mm3
from cradle.geometry.stack import Joining, stack_solid
from cradle.geometry.tiling import tilings


def star(rng):
    """A simple ring of lobes and hollows about the origin."""
    count = int(rng.integers(20, 60))
    angle = np.arange(count) * 2 * np.pi / count
    waves = sum(
        rng.normal() * np.cos(k * angle + rng.uniform(0, 2 * np.pi)) / np.sqrt(k) for k in range(1, 7)
    )
    reach = np.clip(20 * (1 + 0.175 * waves), 4, 60)
    return np.column_stack([reach * np.cos(angle), reach * np.sin(angle)])


@pytest.mark.parametrize("seed", [200, 177, 178, 213, 172, 292, 3, 4])
def test_a_slab_holds_all_that_both_its_levels_share(seed):
    """What two neighbouring levels share is there all the way between them, whatever lobes are paired."""
    rng = np.random.default_rng(seed)
    low, high = planar.region(star(rng)), planar.region(star(rng))
    made = stack_solid(np.array([0.0, 5.0]), [low, high], where="stack")
    shared = planar.common(low, high)
    for part in cut_regions(made, np.array([0.6, 2.5, 4.4])):
        lost = region_measures.area_mm2(planar.without(shared, part))
        assert lost < 0.01 * region_measures.perimeter_mm(low)
    assert region_measures.area_mm2(shared) > 100


def test_tilings_pair_every_point_of_both_rings_once_round():
    low, high = circle(20, points=31), circle(15, points=17, squash=0.7)
    ((i, j),) = tilings([low], [high], moves_mm=np.zeros((1, 2)))
    assert len(i) == 31 + 17
    for index, count in ((i, 31), (j, 17)):
        steps = np.mod(np.diff(np.append(index, index[0])), count)
        assert set(steps.tolist()) == {0, 1}
        assert steps.sum() == count


def test_a_tiled_slab_has_the_volume_of_the_prismoid():
    """h/6 (A1 + 4 Am + A2); Kern & Bland, Solid Mensuration, 2nd ed. 1948, section 30."""
    made = stack_solid(
        np.array([0.0, 12.0]), [planar.region(rectangle(20, 10)), planar.region(rectangle(12, 14))], where="s"
    )
    assert volume_mm3(made) == pytest.approx(12 / 6 * (200 + 4 * 16 * 12 + 168), rel=1e-9)


def test_levels_of_several_pieces_become_steps_over_both_and_holes_are_filled():
    two = planar.union([planar.region(circle(5) + [dx, 0]) for dx in (-8.0, 8.0)])
    one = planar.region(rectangle(30, 6))
    ring = planar.without(planar.region(circle(12)), planar.region(circle(4)))
    made = stack_solid(np.array([0.0, 4.0, 8.0]), [two, one, ring], where="s")
    mesh = mesh_of(made)
    assert edge_statistics(mesh).closed
    assert component_count(mesh) == 1
    lower, top = cut_regions(made, np.array([2.0, 7.99]))
    assert region_measures.area_mm2(lower) == pytest.approx(
        region_measures.area_mm2(planar.union([two, one])), rel=1e-4
    )
    assert region_measures.area_mm2(top) == pytest.approx(
        region_measures.area_mm2(planar.region(circle(12))), rel=2e-3
    )


def test_half_way_up_a_frustum_is_the_circle_between():
    low, high = (np.array([planar.region(circle(r, points=48))], dtype=object) for r in (10.0, 16.0))
    middle = Joining(aside=np.zeros(2)).walls(low, high, rises_mm=np.ones(1)).sections(0.5)[0]
    assert region_measures.area_mm2(middle) == pytest.approx(
        region_measures.area_mm2(planar.region(circle(13.0, points=48))), rel=1e-9
    )


def slotted(depth_mm):
    """A plate with a slot, 3 mm wide, that leads in aslant from its edge, 0.4 mm aside for each mm."""
    out = [[18 - 0.4 * depth_mm, 20 - depth_mm], [18.0, 20.0], [0.0, 20.0]]
    return planar.region(
        np.array([[0, 0], [30, 0], [30, 20], [21, 20], [21 - 0.4 * depth_mm, 20 - depth_mm], *out])
    )


def test_the_wall_of_an_opened_stack_folds_nowhere_over():
    levels = np.array([slotted(10.0), planar.union([slotted(1.0), slotted(10.0)])], dtype=object)
    folded = {}
    for name, joining in (("any", Joining()), ("opened", Joining(aside=np.zeros(2)))):
        mesh = mesh_of(stack_solid(np.array([0.0, 1.0]), levels, joining=joining, where="s"))
        up = area_normals(mesh)[:, 2] / 2
        below_top = mesh.vertices_mm[mesh.faces][:, :, 2].min(axis=1) < 0.99
        folded[name] = up[(up > 1e-6) & below_top].sum()
    assert folded["any"] > 2.0
    assert folded["opened"] == 0.0


@pytest.mark.parametrize(
    ("seed", "share"), [(200, 0.5), (177, 0.25), (178, 0.75), (3, 0.5), (4, 0.25), (4, 0.75)]
)
def test_part_way_up_is_where_the_finished_solid_is_cut(seed, share):
    rng = np.random.default_rng(seed)
    low, high = (np.array([planar.region(star(rng))], dtype=object) for _ in range(2))
    made = stack_solid(np.array([0.0, 5.0]), [low[0], high[0]], where="stack")
    cut = cut_regions(made, np.array([5.0 * share]))[0]
    told = Joining(aside=np.zeros(2)).walls(low, high, rises_mm=np.ones(1)).sections(share)[0]
    beside = planar.without(cut, told), planar.without(told, cut)
    assert max(region_measures.area_mm2(part) for part in beside) < 1e-3


def test_the_same_two_levels_are_joined_once_and_as_they_are_by_themselves(monkeypatch):
    real, asked = stacks._bands, []

    def counted(lows, highs, *, moves_mm):
        asked.append(len(lows))
        return real(lows, highs, moves_mm=moves_mm)

    monkeypatch.setattr(stacks, "_bands", counted)
    levels = np.array([planar.region(star(np.random.default_rng(seed))) for seed in (3, 4, 200, 177)])
    joining, rises = Joining(aside=np.array([0.1, 0.0])), np.array([2.0, 3.0, 2.0])
    first = joining.walls(levels[:2], levels[1:3], rises_mm=rises[:2])
    both = joining.walls(levels[:-1], levels[1:], rises_mm=rises)
    assert asked == [2, 1]
    assert all(one is other for one, other in zip(first.bands, both.bands, strict=False))
    joining.walls(levels[:1], levels[1:2], rises_mm=rises[:1] / 2)  # nearer, what lies aside is nearer too
    assert asked == [2, 1, 1]
    for k, band in enumerate(both.bands):
        alone = Joining(aside=joining.aside).walls(
            levels[k : k + 1], levels[k + 1 : k + 2], rises_mm=rises[k : k + 1]
        )
        assert np.array_equal(np.array(alone.bands[0]), np.array(band))

import numpy as np
import pytest
from pockets import make_pocket
from stacked import circle, stacked

from cradle.geometry import solid as solids
from cradle.geometry.mesh import surface_area_mm2
from cradle.pocket.budget import FINEST, ErrorBudget, error_budget
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.prepared_body import prepared
from cradle.tolerances import TOLERANCES

SHARES = ("arc_mm", "fillet_mm", "outline_mm", "between_mm", "bulge_mm", "swept_mm", "thinned_mm")
BUDGETS = [FINEST, *(ErrorBudget(whole_mm=whole) for whole in (0.02, 0.0375, 0.05))]


@pytest.mark.parametrize("budget", BUDGETS)
def test_what_is_taken_away_is_paid_for_by_the_margin_and_the_tolerance(budget):
    paid = budget.margin_mm + TOLERANCES.clearance_mm
    assert paid == pytest.approx(budget.whole_mm)
    assert budget.bulge_mm - budget.outline_mm + budget.swept_mm + budget.thinned_mm <= paid + 1e-12


def test_shares_grow_with_the_whole_and_mitres_do_not():
    coarse = ErrorBudget(whole_mm=0.03)
    for share in SHARES:
        assert getattr(coarse, share) == pytest.approx(2 * getattr(FINEST, share))
    assert coarse.mitre_mm == FINEST.mitre_mm


def test_it_follows_the_clearance_between_a_floor_and_a_ceiling_that_simple_bodies_never_leave():
    wholes = [error_budget(c, faces=30_000).whole_mm for c in (0.0, 0.2, 0.4, 0.6, 1.0, 5.0)]
    assert wholes == pytest.approx([0.015, 0.02, 0.04, 0.05, 0.05, 0.05])
    assert error_budget(5.0, faces=8_000) == FINEST
    assert error_budget(5.0, faces=12_000).whole_mm == pytest.approx(0.0225)


@pytest.mark.parametrize("budget", BUDGETS)
def test_a_coarser_pocket_is_wider_and_never_narrower_than_asked(budget):
    # a spinning top with a waist: round edges, blunt corners and an undercut
    heights = np.linspace(0, 30, 31)
    radii = 14 + 3 * np.sin(heights / 5)
    mesh = stacked(heights, [circle(r, points=120) for r in radii])
    asked = clearance_profile([0.0], [None], default_mm=0.6)
    pockets = [
        make_pocket(
            prepared(mesh),
            clearance=asked.wider_by(one.margin_mm),
            direction=np.array([0.0, 0.0, 1.0]),
            top_mm=25.0,
            budget=one,
        )
        for one in (budget, FINEST)
    ]
    around = solids.extruded(circle(30, points=60), low_mm=-5.0, high_mm=25.0, where="block")
    holder = solids.difference(around, [pockets[0].solid], where="holder")
    gap = solids.gap_mm(holder, solids.solid(mesh, where="body"), within_mm=1.0)
    assert gap >= 0.6 - TOLERANCES.clearance_mm
    coarse, fine = (solids.volume_mm3(pocket.solid) for pocket in pockets)
    # no wider than by the margin, the outline and twice what may be added otherwise, all over the body's surface
    added = (
        budget.margin_mm - FINEST.margin_mm + budget.outline_mm + 2 * budget.thinned_mm + 4 * budget.arc_mm
    )
    assert fine * (1 - 1e-4) <= coarse <= fine + added * surface_area_mm2(mesh)
    triangles = [len(solids.mesh_of(pocket.solid).faces) for pocket in pockets]
    assert triangles[0] <= triangles[1]


@pytest.mark.parametrize("asked_mm", [0.03, 0.1])
def test_a_small_clearance_is_there_under_a_foot_s_edge_however_tall_the_thing_is(asked_mm):
    """Levels of a tall thing lie further apart than its edges' fillets are high."""
    heights = np.linspace(0, 80, 81)
    radii = 20 + 4 * np.maximum(np.sin((heights - 20) / 9), 0.0) * (heights > 20)
    mesh = stacked(heights, [circle(r, points=120) for r in radii])
    asked = clearance_profile([20.0, 40.0, 60.0], [asked_mm, 3.0, asked_mm], default_mm=asked_mm)
    budget = error_budget(asked_mm, faces=len(mesh.faces))
    pocket = make_pocket(
        prepared(mesh),
        clearance=asked.wider_by(budget.margin_mm),
        direction=np.array([0.0, 0.2, 0.98]),
        top_mm=60.0,
        budget=budget,
    )
    around = solids.extruded(circle(60, points=60), low_mm=-5.0, high_mm=60.0, where="block")
    holder = solids.difference(around, [pocket.solid], where="holder")
    gap = solids.gap_mm(holder, solids.solid(mesh, where="body"), within_mm=1.0)
    assert gap >= asked_mm - TOLERANCES.clearance_mm

"""The gap map against the solid kernel's own distance and a shape whose gap is known."""

import re
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from made_demos import made_demo

from cradle.geometry.mesh import TriMesh
from cradle.geometry.solid import gap_mm, moved, solid
from cradle.pipeline import make
from cradle.pocket.budget import error_budget
from cradle.report.gap_figure import gap_figure
from cradle.report.gap_map import GapMap, _points, gap_map
from cradle.report.summary import summary_of

SPECK = TriMesh.of(
    np.array([[1, 1, 1], [1, -1, -1], [-1, 1, -1], [-1, -1, 1]]) * 1e-5,
    [[0, 1, 2], [0, 3, 1], [0, 2, 3], [1, 3, 2]],
)


@pytest.mark.first_daily
@pytest.mark.parametrize("name", ["ocarina", "nozzle"])
def test_no_gap_is_less_than_asked_and_most_are_as_asked(name):
    project = made_demo(name).project
    made = make(replace(project, fit=replace(project.fit, between_mm=0.0)), clearance_mm=0.5)
    found = gap_map(made.own.model.body, made.own.pocket, lead_in_mm=made.project.block.lead_in_mm)
    asked = summary_of(made)["clearance_asked_mm"]
    known = found.gaps_mm[~np.isnan(found.gaps_mm)]
    assert len(known) > 700
    assert known.min() >= asked - 0.005
    # wider by what the pocket's accuracy may cost at such a clearance: 0.02 mm for the finest
    budget = error_budget(asked, faces=len(made.own.model.body.mesh.faces))
    assert np.median(known) == pytest.approx(asked, abs=0.005 + budget.margin_mm + budget.outline_mm)


def test_gaps_are_the_kernel_s_distances():
    made = made_demo("ocarina")
    found = gap_map(made.own.model.body, made.own.pocket, lead_in_mm=1.0)
    points = _points(made.own.model.body, found.heights_mm, found.angles_deg).reshape(*found.gaps_mm.shape, 3)
    matrix = made.own.places(made.holder)[0]
    speck = solid(SPECK, where="speck")
    tried = 0
    for row in range(3, 18, 3):  # away from the drain and the mouth
        for column in range(0, 40, 7):
            place = matrix[:3, :3] @ points[row, column] + matrix[:3, 3]
            away = gap_mm(made.holder.solid, moved(speck, place), within_mm=3.0)
            assert found.gaps_mm[row, column] == pytest.approx(away, abs=0.01)
            tried += 1
    assert tried == 30


def test_moving_the_pocket_sideways_shows_on_both_sides():
    made = made_demo("ocarina")
    pocket = made.own.pocket
    before = gap_map(made.own.model.body, pocket, lead_in_mm=1.0)

    shift = np.eye(4)
    shift[0, 3] = 0.2  # the thing moved to the right
    after = gap_map(
        made.own.model.body,
        replace(pocket, stand_from_thing=shift @ pocket.stand_from_thing),
        lead_in_mm=1.0,
    )
    right = np.argmin(np.abs(before.angles_deg - 90))
    left = np.argmin(np.abs(before.angles_deg - 270))
    change = after.gaps_mm - before.gaps_mm
    assert (change[5:, right] < -0.1).all()
    assert (change[5:, left] > 0.1).all()


def test_heights_of_sections_stand_whole_beside_the_map():
    sections = [SimpleNamespace(height_mm=z) for z in (2.54, 20.32, 145.125, 1234.56)]
    thing = SimpleNamespace(wanted=SimpleNamespace(least_mm=1.0), model=SimpleNamespace(sections=sections))
    heights = np.linspace(30.0, 1970.0, 22)
    drawn = gap_figure(thing, GapMap(heights_mm=heights, angles_deg=np.arange(4), gaps_mm=np.ones((22, 4))))
    words = re.findall(r'<text x="([0-9.]+)"[^>]*text-anchor="end">([0-9.]+)<', drawn)
    assert [word for _, word in words] == ["2.54", "145.1", "1235"]  # 20.32 has no room beside 2.54
    digit = 0.64 * 12  # of DejaVu Sans at 12 px, from memory
    assert all(float(x) >= digit * len(word) for x, word in words)

"""What is shown of a clearance before its holder is built, against the section it is drawn around."""

import re

import numpy as np
from made_demos import made_demo

from cradle.geometry.planar import area_mm2, offset, region, without
from cradle.geometry.ring import extents
from cradle.geometry.solid import cut_regions, transformed
from cradle.report.figure import WIDTH
from cradle.report.planned import chance_at, planned_sections


def drawn_widths(page, kind):
    """Widths of the paths of a kind, figure units, figure by figure."""
    widths = []
    for trail in re.findall(rf'<path class="{kind}" d="([^"]+)"', page):
        numbers = np.array(re.findall(r"-?[0-9.]+", trail), dtype=float).reshape(-1, 2)
        widths.append(float(np.ptp(numbers[:, 0])))
    return widths


def test_the_pocket_s_line_keeps_the_gap_around_each_section():
    sections = made_demo("ocarina").own.model.sections
    page = planned_sections(sections, [0.8] * len(sections))
    things, pockets = drawn_widths(page, "thing"), drawn_widths(page, "gap")
    assert len(things) == len(pockets) == len(sections) == 4
    for section, thing, pocket in zip(sections, things, pockets, strict=True):
        x0, _, x1, _ = extents(section.points_mm)
        scale = thing / (x1 - x0)
        assert abs((pocket - thing) / 2 / scale - 0.8) < 0.03  # drawn to 0.1 of a unit
        assert thing < WIDTH
        assert f"{section.name} at {section.height_mm:g} mm, about 0.80 mm around it" in page


def test_a_gap_below_nothing_is_drawn_as_none():
    sections = made_demo("ocarina").own.model.sections[:1]
    page = planned_sections(sections, [-0.2])
    assert "about 0.00 mm" in page
    assert abs(drawn_widths(page, "gap")[0] - drawn_widths(page, "thing")[0]) < 0.3


def test_a_section_that_the_holder_does_not_reach_has_no_pocket():
    sections = made_demo("ocarina").own.model.sections[-2:]
    page = planned_sections(sections, [0.4, None])
    assert len(drawn_widths(page, "thing")) == 2
    assert len(drawn_widths(page, "gap")) == 1
    assert f"<figcaption>{sections[1].name} at {sections[1].height_mm:g} mm</figcaption>" in page


def test_the_planned_line_is_inside_the_true_pocket():
    held = made_demo("ocarina").own
    up = held.pocket.stand_from_object
    assert np.allclose(up[2, :3], [0, 0, 1])  # it stands upright: heights are heights
    upright = transformed(held.pocket.solid, np.linalg.inv(up))
    section = held.model.sections[1]
    (true,) = cut_regions(upright, np.array([section.height_mm]))
    planned = offset(region(section.points_mm), held.wanted.least_mm)
    assert area_mm2(planned) < area_mm2(true)
    assert area_mm2(without(planned, true)) < 0.002 * area_mm2(true)


def test_the_chance_is_read_off_the_curve():
    curve = made_demo("ocarina").own.assessment.chance.curve
    assert len(curve) > 5
    for clearance, chance in curve:
        assert chance_at(curve, clearance) == chance
    assert chance_at(curve, 5.0) == curve[-1][1]
    middle = (curve[4][0] + curve[5][0]) / 2
    assert curve[4][1] <= chance_at(curve, middle) <= curve[5][1]

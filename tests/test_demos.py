"""The demos from drawing to holder, against the exact shapes they were measured from.

The shapes are formulas of examples/shapes.py: nothing of the lofts, which only
see drawings, calipers and profiles with their errors.
"""

import json
from dataclasses import replace

import numpy as np
import pytest
import shapes
from daily import rest_further
from made_demos import DEMOS, made_demo
from sampling import withdrawal_overlap_mm3
from shapely import Polygon
from stacked import stacked

from cradle.cli.main import main
from cradle.geometry.solid import moved, overlap_mm3, solid, transformed, volume_mm3
from cradle.pipeline import make
from cradle.report.summary import summary_of

OUTLINES = {"ocarina": shapes.ocarina_outline, "nozzle": shapes.nozzle_outline}


@pytest.fixture(params=sorted(OUTLINES))
def demo(request):
    return made_demo(request.param), OUTLINES[request.param]


def truth(outline_at, *, top_mm):
    heights = np.linspace(0.0, top_mm, 80)
    return solid(stacked(heights, [outline_at(float(h)) for h in heights]), where="truth")


def goes_around(ring, outline, *, off_mm):
    """Whether a ring goes around an outline and no further than a string pulled tight around that, to within so much."""
    found, true = Polygon(ring), Polygon(outline)
    return true.within(found.buffer(off_mm)) and found.within(true.convex_hull.buffer(off_mm))


def test_the_sections_are_true_to_the_shape(demo):
    made, outline_at = demo
    for section in made.own.model.sections:
        # a picture held 0.4 degrees askew moves the top by 0.3 mm
        assert goes_around(section.points_mm, outline_at(section.height_mm), off_mm=0.35), section.name


def test_the_body_stays_within_the_clearance_of_the_shape(demo):
    made, outline_at = demo
    lowest = made.own.model.sections[0].height_mm
    looked = 0
    for height, ring in zip(made.own.model.body.heights_mm, made.own.model.body.rings_mm, strict=True):
        if lowest <= height <= made.own.model.sections[-1].height_mm:
            assert goes_around(ring, outline_at(float(height)), off_mm=0.4), height
            looked += 1
    assert looked >= 5


def test_the_true_thing_fits_the_holder(demo):
    made, outline_at = demo
    chosen = made.project.fit.clearance_mm == "auto"
    assert made.own.clearance.least_mm < (1.2 if chosen else 0.61)  # no chance of fit bought with mere room
    thing = truth(outline_at, top_mm=made.own.model.sections[-1].height_mm)
    assert volume_mm3(thing) > 20_000
    seat = transformed(thing, made.own.places(made.holder)[0])
    assert overlap_mm3(made.holder.solid, seat) == pytest.approx(0.0, abs=1e-3)


@pytest.mark.parametrize("name", rest_further(sorted(OUTLINES), daily=[0]))
def test_the_true_thing_would_notice_a_tight_pocket(name):
    made, outline_at = made_demo(name), OUTLINES[name]
    thing = truth(outline_at, top_mm=made.own.model.sections[-1].height_mm)
    even = replace(made.project, fit=replace(made.project.fit, between_mm=0.0))
    tight = make(even, clearance_mm=0.02)
    assert overlap_mm3(tight.holder.solid, transformed(thing, tight.own.places(tight.holder)[0])) > 0.1


def test_the_holder_is_sound_and_keeps_its_clearance(demo):
    made, _ = demo
    assert summary_of(made)["mesh_closed"]
    assert summary_of(made)["clearance_least_mm"] >= made.own.clearance.least_mm - 0.005
    assert summary_of(made)["wall_least_mm"] >= made.project.block.wall_mm - 0.01
    assert not [f for f in made.findings if f.severity == "fail"]


def test_the_ocarina_keeps_the_corners_of_its_mouthpiece():
    made = made_demo("ocarina")
    looked = 0
    for height in (6.0, 20.0, 36.0):
        ring = made.own.model.body.rings_mm[int(np.argmin(np.abs(made.own.model.body.heights_mm - height)))]
        at = float(
            made.own.model.body.heights_mm[int(np.argmin(np.abs(made.own.model.body.heights_mm - height)))]
        )
        right, _ = shapes.ocarina_sides(at)
        corner = right[2](np.array([0.0]))[0]
        assert np.hypot(*(ring - corner).T).min() < 0.35
        looked += 1
    assert looked == 3


@pytest.mark.further  # every day the same is asked of a small project, in tests/cli
@pytest.mark.parametrize("name", sorted(OUTLINES))
def test_the_command_writes_the_same_bytes_twice(name, tmp_path):
    for run in ("one", "two"):
        assert main(["make", str(DEMOS / name / "holder.toml"), "-o", str(tmp_path / run)]) == 0
    files = sorted(p.name for p in (tmp_path / "one").iterdir())
    assert len(files) >= 5
    for file in files:
        assert (tmp_path / "one" / file).read_bytes() == (tmp_path / "two" / file).read_bytes(), file
    assert json.loads((tmp_path / "one/summary.json").read_text())["mesh_closed"] is True


def test_both_true_ocarinas_go_into_the_stand_for_two():
    made = made_demo("pair")
    assert summary_of(made)["pockets"] == 2
    shapes_of = (shapes.small_ocarina_outline, shapes.ocarina_outline)
    for held, outline_at in zip(made.things, shapes_of, strict=True):
        thing = truth(outline_at, top_mm=held.model.sections[-1].height_mm)
        (place,) = held.places(made.holder)
        seat = transformed(thing, place)
        assert overlap_mm3(made.holder.solid, seat) == 0
        out = held.pocket.direction
        assert withdrawal_overlap_mm3(made.holder, seat, direction=out, steps=8, stroke_mm=40.0) == 0
        aside = moved(seat, (3.0, 0.0, 0.0))
        assert overlap_mm3(made.holder.solid, aside) > 1.0  # it would be noticed
    assert not [f for f in made.findings if f.severity == "fail"]

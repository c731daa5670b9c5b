"""Test pieces cut from a prism whose offsets are known in closed form."""

import datetime
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh
from prism import DEPTH_MM, INSIDE_ERROR_MM, WIDTH_MM, grown_area_mm2, prism_row

from cradle.errors import HolderError, InputError
from cradle.geometry.ring import signed_area
from cradle.pipeline import cut_pieces, fit_pieces, make
from cradle.pipeline.trials import with_trial
from cradle.project.opening import NotchSpec, Through
from cradle.project.reader import project_from_text
from cradle.project.trial_log import Outcome, Trial, TrialPiece
from cradle.result.rings_to_try import rings_to_try

CLEARANCES = (0.2, 0.5)


@pytest.fixture(scope="module")
def cut():
    return cut_pieces(prism_row().project, clearances_mm=CLEARANCES, heights_mm=[20.0])


def test_rings_for_every_height_below_the_rim_and_clearance_and_a_peg_for_each_height(cut):
    rings = [(p.height_mm, p.clearance_mm) for p in cut.pieces if p.clearance_mm is not None]
    assert rings == [(height, clearance) for clearance in CLEARANCES for height in (3.0, 20.0)]
    assert [p.height_mm for p in cut.pieces if p.clearance_mm is None] == [3.0, 20.0]
    (idle,) = (f for f in cut.findings if f.code == "piece-idle")  # the rim lies at 30 mm
    assert '"high": it lies at the holder\'s rim or above it' in idle.message


def test_a_height_idle_from_some_clearance_on_keeps_its_rings_and_its_peg(monkeypatch):
    wide = CLEARANCES[0] + INSIDE_ERROR_MM + 0.1
    real = fit_pieces.touches
    monkeypatch.setattr(
        fit_pieces,
        "touches",
        lambda *given, clearance_mm, **named: (
            clearance_mm < wide and real(*given, clearance_mm=clearance_mm, **named)
        ),
    )
    cut = cut_pieces(prism_row().project, clearances_mm=CLEARANCES, heights_mm=[20.0])
    rings = [(3.0, CLEARANCES[0]), (20.0, CLEARANCES[0])]
    assert [(p.height_mm, p.clearance_mm) for p in cut.pieces] == [*rings, (3.0, None), (20.0, None)]
    messages = " ".join(f.message for f in cut.findings if f.code == "piece-idle")
    for place in ('section "low"', "the height of 20 mm"):
        told = f"no test piece for {place} at 0.50 mm and more: the pocket is wider there all round"
        assert told in messages


def test_what_calipers_should_read_is_the_section_and_twice_the_gap(cut):
    for piece in cut.pieces:
        more = 0.0 if piece.clearance_mm is None else 2 * (piece.clearance_mm + INSIDE_ERROR_MM)
        # a hair wider for its facets
        assert piece.inside_mm == pytest.approx((WIDTH_MM + more, DEPTH_MM + more), abs=0.04)


def test_paper_outlines_have_the_area_of_the_grown_section(cut):
    areas = {ring.name: signed_area(ring.points_mm) for ring in cut.paper}
    for name in ("low", "at 20", "high"):
        assert areas[name] == pytest.approx(grown_area_mm2(0.0), rel=1e-3)
        for clearance in CLEARANCES:
            assert areas[f"{name} plus {clearance:.2f}"] == pytest.approx(grown_area_mm2(clearance), rel=1e-3)


def test_pieces_lie_on_the_bed_apart_as_a_second_reader_sees_them(cut):
    (bed,) = cut.beds
    assert sorted(name for name, _ in bed) == sorted(p.name for p in cut.pieces)
    boxes = []
    for _, mesh in bed:
        read = trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False)
        assert read.is_watertight
        assert read.bounds[0][2] == pytest.approx(0.0, abs=1e-6)
        boxes.append(read.bounds[:, :2])
    for k, (low, high) in enumerate(boxes):
        for other_low, other_high in boxes[:k]:
            assert (np.maximum(low, other_low) > np.minimum(high, other_high)).any()


@pytest.mark.parametrize("height", [-1.0, 40.5])
def test_heights_off_the_thing_are_refused(height):
    with pytest.raises(InputError, match=r"height: no test piece can be cut at .* from 0 to 40.00 mm"):
        cut_pieces(prism_row().project, heights_mm=[height], clearances_mm=())


NARROWING = """
[[section]]
name = "low"
height = 0
measured = { form = "ellipse", width = 40, depth = 40 }
[[section]]
name = "middle"
height = 20
measured = { form = "ellipse", width = 30, depth = 30 }
[[section]]
name = "high"
height = 50
measured = { form = "ellipse", width = 30, depth = 30 }
[fit]
clearance = 0.42
[block]
height = 35
"""


@pytest.mark.slow
def test_the_trial_advised_is_of_a_ring_that_there_is():
    """The middle section lies below the rim, but the pocket is wide there: neither is a ring cut nor a trial advised."""
    project = project_from_text(NARROWING, file=Path("holder.toml"))
    cut = cut_pieces(project, clearances_mm=())
    low = "low"
    rings = {(low, p.clearance_mm) for p in cut.pieces if p.clearance_mm is not None and p.height_mm == 0.0}
    assert {p.height_mm for p in cut.pieces} == {0.0}
    (idle,) = (f for f in cut.findings if '"middle"' in f.message)
    assert "the pocket is wider there" in idle.message
    made = make(project)
    advised = rings_to_try(made.own)
    section, clearance = advised.section, advised.clearance_mm
    assert (section, clearance) in rings
    draft = Trial(
        date=datetime.date(2026, 5, 17),
        piece=TrialPiece.TEST_PIECE,
        seen=Outcome.TIGHT,
        section=section,
        clearance_mm=clearance,
    )
    assert "trial-unusable" not in {f.code for f in with_trial(project, draft, earlier=()).after.findings}
    in_vain = with_trial(project, replace(draft, section="middle"), earlier=())
    (told,) = (f for f in in_vain.after.findings if f.code == "trial-unusable")
    assert "the pocket is wider to let the thing out" in told.message


def test_a_ring_larger_than_the_bed_is_refused_before_those_of_other_clearances_are_cut():
    row = prism_row()
    small = replace(row.project, printer=replace(row.project.printer, bed_mm=(30.0, 30.0, 30.0)))
    steps: list[str] = []
    with pytest.raises(HolderError, match=r"low 0\.20 is .* the bed 30 × 30 × 30 mm"):
        cut_pieces(small, clearances_mm=CLEARANCES, on_step=steps.append)
    assert [step for step in steps if step.startswith("cutting")] == ["cutting test rings for 0.2 mm"]


def test_rings_are_open_at_the_notches_of_the_things_own_pockets_and_a_note_says_where_they_cannot_be():
    notches = [
        NotchSpec(through=Through(side), pocket=pocket, width_mm=8.0, depth_mm=28.0)
        for side, pocket in (("left", None), ("right", 1), ("back", 2))
    ]
    project = replace(prism_row().project, openings=tuple(notches))
    closed, cut = (cut_pieces(one, clearances_mm=[0.3]) for one in (prism_row().project, project))
    ring, open_ring = closed.pieces[0].mesh, cut.pieces[0].mesh
    assert cut.pieces[0].whole_at == ("right",)
    missing = (
        trimesh.Trimesh(ring.vertices_mm, ring.faces).volume
        - trimesh.Trimesh(open_ring.vertices_mm, open_ring.faces).volume
    )
    assert missing == pytest.approx(
        8.0 * 3.0 * 2.4, rel=0.05
    )  # width, wall and thickness; its foot is chamfered
    (told,) = (f.message for f in cut.findings if f.code == "ring-whole")
    assert "a notch in the right wall" in told
    assert not [f for f in closed.findings if f.code == "ring-whole"]

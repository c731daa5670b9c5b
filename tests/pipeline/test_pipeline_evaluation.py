"""What is measured on a finished holder, by a second reader and by hand."""

from pathlib import Path

import numpy as np
import pytest
import trimesh
from prism import prism_row

from cradle.finding import About, Severity
from cradle.pipeline import build, foreseen, model_row
from cradle.project.reader import project_from_text
from cradle.report.recommendation import Advised, recommendation

LEG = """
[object]
name = "table leg"
[[section]]
name = "foot"
height = 4.0
measured = { form = "ellipse", width = 44, depth = 36 }
[[section]]
name = "knee"
height = 70.0
measured = { form = "rectangle", width = 34, depth = 30, corner = 6 }
[[section]]
name = "thigh"
height = 142.0
measured = { form = "rectangle", width = 62, depth = 50, corner = 9 }
[fit]
clearance = "auto"
[block]
height = 136.0
"""


@pytest.fixture(scope="module")
def made():
    return build(prism_row())


@pytest.fixture(scope="module")
def read(made):
    return trimesh.Trimesh(made.holder.mesh.vertices_mm, made.holder.mesh.faces, process=False)


def test_its_mass_is_its_volume_times_the_density_of_the_plastic(made, read):
    # PLA: makers' data sheets, 1.24 g/cm3
    assert made.mass_g == pytest.approx(read.volume * 1.24e-3, rel=1e-6)


def test_it_tips_where_the_joint_centre_of_mass_leaves_its_foot(made, read):
    # by hand: printed at a quarter of its mass, the thing (100 g) in it; the nearer edge over the height of the
    # centre (elementary statics)
    foot = read.vertices[read.vertices[:, 2] < 1e-6][:, :2]
    edge = np.abs([foot.min(axis=0), foot.max(axis=0)]).min()
    middle = 3.0 + 37.0 / 2  # the prism's own, from its lowest to its highest section
    (place,) = made.own.places(made.holder)
    up = float((place @ [0.0, 0.0, middle, 1.0])[2])
    height = (100 * up + made.mass_g / 4 * read.center_mass[2]) / (100 + made.mass_g / 4)
    assert made.standing.tip_angle_deg == pytest.approx(np.degrees(np.arctan2(edge, height)), abs=2.0)


def test_calipers_read_the_outside_that_the_mesh_has(made, read):
    by_name = {c.name: c.length_mm for c in made.inspection}
    outside = [by_name[f"outside {side}"] for side in ("width", "depth", "height")]
    assert outside == pytest.approx(read.extents, abs=0.01)


def test_the_thing_keeps_what_it_asked_for_beside_what_the_file_has(made):
    assert made.own.clearance.least_mm == pytest.approx(0.4)
    assert made.own.wanted.least_mm == pytest.approx(0.48)
    assert made.own.numbers == (1,)
    assert not [f for f in made.findings if f.severity == "fail"]


def leg(extra="", *, foot=""):
    text = LEG.replace("height = 4.0\n", f"height = 4.0\n{foot}") + extra
    return foreseen(model_row(project_from_text(text, file=Path("holder.toml"))))


def test_a_tall_thing_that_no_side_is_seen_of_is_seen_from_the_side_before_anything_is_printed():
    made = leg()
    (lean,) = [f for f in made.findings if f.code == "lean-not-known"]
    assert (lean.about, lean.severity) == (About.LEAN, Severity.WARN)
    advice = recommendation(made)
    assert advice.advised is Advised.MEASURE_LEAN
    assert not any("cradle pieces" in step for step in advice.actions)


def test_where_test_pieces_tell_the_greatest_doubt_they_are_printed_first():
    made = leg("[spread]\ncalipers = 5.0\nbetween = 0.01\n")
    (lean,) = [f for f in made.findings if f.code == "lean-not-known"]
    assert (lean.about, lean.severity) == (About.MEASURED, Severity.WARN)
    assert recommendation(made).advised is Advised.TEST_PIECES


def test_the_clearance_chosen_is_told_of_the_sections_in_the_holder_alone():
    made = leg("[spread]\nbetween = 0.1\nplacing = 0.1\n", foot="clearance = 0.9\n")
    (chosen,) = [f for f in made.findings if f.code == "clearance-chosen"]
    clearances = chosen.message.partition(" per side")[0]
    assert '"foot"' in clearances
    assert '"thigh"' not in clearances  # it lies above the rim

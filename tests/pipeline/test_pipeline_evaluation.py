"""What is measured on a finished holder, by a second reader and by hand."""

import numpy as np
import pytest
import trimesh
from prism import prism_row

from cradle.pipeline import build


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

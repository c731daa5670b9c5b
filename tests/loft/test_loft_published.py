"""Lofted bodies against published volumes and a second kernel.

[S] stands for seen in the source, [M] for from memory, [D] for derived and
confirmed with the named library.
"""

import numpy as np
import pytest
from bodies import bracket, ellipse, inscribed, lofted, pebble, prismoid_volume, rectangle, section

from cradle.geometry.mesh import TriMesh, centroid_mm, volume_mm3
from cradle.geometry.ring import signed_area
from cradle.loft.interpolate import straight_at
from cradle.matching.rings import match_sections
from cradle.project.section import Between
from cradle.tolerances import TOLERANCES


def two(low, high, height):
    return lofted([section(0, low), section(height, high)])


@pytest.mark.parametrize(
    ("low", "high", "height", "volume"),
    [
        ((2, 3), (1, 1.5), 4.5, 15.75),  # Machinery's Handbook, 31st ed. 2020, p. 89 [S]
        ((15, 15), (6, 6), 288, 33696),  # Griffiths, The Artillerist's Manual [S]
        # inputs of an exercise in a mensuration text of about 1800 [S], volume by the prismoidal formula [D];
        # the mean of the end areas times the height would be 8800
        ((20, 16), (12, 10), 40, 8480),
        ((20, 10), (10, 20), 10, 6500 / 3),  # ruled between matching corners, by the gmsh kernel [D]
    ],
)
def test_a_body_between_two_rectangles_has_its_published_volume(low, high, height, volume):
    body = two(rectangle(*low), rectangle(*high), height)
    assert volume_mm3(body.mesh) == pytest.approx(volume, rel=1e-9)


@pytest.mark.parametrize("flat", [1.0, 0.2])
def test_a_wedge_has_its_published_volume(flat):
    # Machinery's Handbook, 31st ed. 2020, p. 89: base 4 x 3, top edge 5, height 4.5: (2a + c) b h / 6 = 29.25 [S].
    # A ring needs an area, so the edge is blunted to a flat; its share by the prismoidal formula.
    body = two(rectangle(4, 3), rectangle(5, flat), 4.5)
    blunted = prismoid_volume(4.5, 12, 4.5 * (3 + flat) / 2, 5 * flat)
    assert blunted - 4.5 / 6 * (4 + 2 * 5) * flat == pytest.approx(29.25, rel=1e-12)
    assert volume_mm3(body.mesh) == pytest.approx(blunted, rel=1e-9)


def test_a_cone_has_its_published_volume():
    # Machinery's Handbook, p. 90: cone of diameter 6, height 4: 12 pi [S]; tip cut at a hundredth
    body = two(ellipse(3, 3), ellipse(0.03, 0.03), 3.96)
    assert volume_mm3(body.mesh) == pytest.approx(12 * np.pi * inscribed(360) * (1 - 1e-6), rel=1e-9)


def test_an_elliptical_frustum_has_the_volume_of_another_kernel():
    # pi h / 6 (2 a1 b1 + a1 b2 + a2 b1 + 2 a2 b2) = 69 376.838, by the gmsh kernel [D]
    body = two(ellipse(30, 20), ellipse(20, 15, start=0.5 * np.pi), 50)
    assert len(body.rings_mm[0]) == 360
    assert volume_mm3(body.mesh) == pytest.approx(69376.8379 * inscribed(360), rel=1e-6)


@pytest.mark.parametrize(("points", "factor"), [(64, 0.9983944), (180, 0.9997969), (360, 0.9999492)])
def test_a_polygon_in_an_ellipse_has_its_known_share_of_the_volume(points, factor):
    # n / (2 pi) sin(2 pi / n) of the ellipse's area [D]
    body = two(ellipse(30, 20, points=points), ellipse(30, 20, points=points), 7)
    assert volume_mm3(body.mesh) / (np.pi * 30 * 20 * 7) == pytest.approx(factor, abs=1e-7)


@pytest.mark.parametrize("between", list(Between))
def test_shear_changes_no_volume(between):
    # Cavalieri's principle [M]
    outlines = [pebble(1), pebble(2), pebble(4)]
    upright = lofted([section(10 * i, p) for i, p in enumerate(outlines)], between=between)
    leaning = lofted(
        [section(10 * i, p + [7.0 * i, -3.0 * i]) for i, p in enumerate(outlines)], between=between
    )
    if between is Between.STRAIGHT:
        assert volume_mm3(leaning.mesh) == pytest.approx(volume_mm3(upright.mesh), rel=1e-9)
    areas = [signed_area(ring) for ring in leaning.rings_mm[np.isin(leaning.heights_mm, [0, 10, 20])]]
    assert areas == pytest.approx([signed_area(p) for p in outlines], rel=1e-9)
    # of smooth bodies each coordinate is monotone on its own, so only the sections are the same
    assert volume_mm3(leaning.mesh) == pytest.approx(volume_mm3(upright.mesh), rel=0.02)


def test_a_frustum_s_centre_of_mass_is_the_formula_s():
    # h/4 (A1 + 2 sqrt(A1 A2) + 3 A2) / (A1 + sqrt(A1 A2) + A2) [M]: z = 21.71053 for 30/20/50, by gmsh [D]
    body = two(ellipse(30, 30), ellipse(20, 20), 50)
    assert centroid_mm(body.mesh) == pytest.approx([0, 0, 21.71053], abs=1e-5)
    assert centroid_mm(body.mesh)[2] == pytest.approx(
        50 / 4 * (900 + 1200 + 1200) / (900 + 600 + 400), rel=1e-9
    )


HEIGHTS = np.arange(-30.0, 31, 10)


def ball(between):
    return lofted([section(z, ellipse(*[np.sqrt(1600 - z * z)] * 2)) for z in HEIGHTS], between=between)


def test_ball_by_straight_lines_is_too_small():
    # ball of radius 40 cut every 10 from -30 to 30: zone 245 044.227, straight loft of circles 241 009.359 [D]
    volume = volume_mm3(ball(Between.STRAIGHT).mesh) / inscribed(360)
    assert volume == pytest.approx(241009.359, rel=1e-6)
    assert volume / 245044.227 - 1 == pytest.approx(-0.016466, abs=1e-6)


def radial_error(body):
    fine = np.linspace(-30, 30, 2401)
    rings = straight_at(body.heights_mm, body.rings_mm, fine)
    return np.abs(np.hypot(*rings[:, 0].T) - np.sqrt(1600 - fine**2))


def test_a_ball_is_missed_by_less_between_smooth_sections():
    # largest radial error 0.679 straight, 0.128 by the monotone cubic, by SciPy [D]
    straight, smooth = radial_error(ball(Between.STRAIGHT)), radial_error(ball(Between.SMOOTH))
    assert straight.max() == pytest.approx(0.679, abs=0.001)
    # the smooth one once more by how far the skin may leave its columns, and per axis: looked at on the x axis
    assert smooth.max() == pytest.approx(0.128, abs=TOLERANCES.between_mm + 0.001)


def test_the_error_of_straight_lines_is_that_of_the_small_step_rule():
    # h^2 / (8 R) = 0.3125 near the widest section, true 0.321 [D]
    fine = np.linspace(-30, 30, 2401)
    error = radial_error(ball(Between.STRAIGHT))[np.abs(fine) <= 10].max()
    assert error == pytest.approx(0.321, abs=1e-3)
    assert error == pytest.approx(10**2 / (8 * 40), rel=0.05)


@pytest.mark.parametrize(
    ("low", "high"),
    [
        (rectangle(20, 10), rectangle(10, 20)),
        (ellipse(30, 20, points=16), ellipse(20, 18, points=16, start=0.1) + [3, 1]),
        (pebble(3, points=24), pebble(8, points=24)),
        (bracket(10), bracket(12) * [1, 1.3] + [2, 1]),
        (rectangle(24, 20), ellipse(11, 14, points=20)),
    ],
)
def test_straight_lofts_agree_with_a_second_kernel(low, high):
    gmsh = pytest.importorskip("gmsh")
    body = two(low, high, 30)
    stack = match_sections([section(0, low), section(30, high)])
    gmsh.initialize(interruptible=False)
    try:
        gmsh.option.setNumber("General.Terminal", 0)
        occ = gmsh.model.occ
        sides = []
        for ring, z in zip(stack.rings_mm, (0.0, 30.0), strict=True):
            sides.append([occ.addPoint(x, y, z) for x, y in ring])
        count = len(sides[0])
        loops = []
        for side in sides:
            lines = [occ.addLine(side[i], side[(i + 1) % count]) for i in range(count)]
            loops.append(occ.addCurveLoop(lines))
        solids = occ.addThruSections(loops, makeSolid=True, makeRuled=True)
        tag = next(tag for dimension, tag in solids if dimension == 3)
        volume, centre = occ.getMass(3, tag), occ.getCenterOfMass(3, tag)
    finally:
        gmsh.finalize()
    assert volume > 1000
    assert volume_mm3(body.mesh) == pytest.approx(volume, rel=1e-6)
    assert centroid_mm(body.mesh) == pytest.approx(centre, abs=3e-4)


def test_the_mesh_is_sound_to_another_reader():
    trimesh = pytest.importorskip("trimesh")
    body = two(pebble(3), pebble(8), 30)
    other = trimesh.Trimesh(body.mesh.vertices_mm, body.mesh.faces, process=False)
    assert other.is_watertight
    assert other.is_winding_consistent
    assert other.volume == pytest.approx(volume_mm3(body.mesh), rel=1e-12)
    assert isinstance(body.mesh, TriMesh)

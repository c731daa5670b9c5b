"""The shaded picture, against areas known from geometry, and its file as another library reads it."""

import io

import numpy as np
import pytest
from PIL import Image
from stacked import circle, rectangle, stacked

from cradle.drawing.rendered import Part, png_bytes, rendered, seen_from
from cradle.geometry.mesh import TriMesh

RED, BLUE = (200, 0, 0), (0, 0, 200)


def moved(mesh, by):
    return TriMesh.of(mesh.vertices_mm + np.array(by), mesh.faces)


def test_the_file_reads_back_as_the_picture():
    pixels = rendered([Part(mesh=stacked([0, 10], [rectangle(10, 20)] * 2), colour=RED)], width=90, height=70)
    data = png_bytes(pixels)
    assert data == png_bytes(pixels)
    read = Image.open(io.BytesIO(data))
    read.verify()  # checks every chunk's CRC
    assert np.array_equal(np.array(Image.open(io.BytesIO(data))), pixels)


@pytest.mark.parametrize("sizes", [(10.0, 20.0, 5.0), (30.0, 30.0, 30.0), (4.0, 40.0, 12.0)])
def test_a_box_covers_the_area_of_its_projection(sizes):
    a, b, c = sizes
    pixels = rendered([Part(mesh=stacked([0, c], [rectangle(a, b)] * 2), colour=RED)], width=300, height=300)
    right, up, near = seen_from(-32.0, 38.0)
    # a convex body's projection: half the sum of its faces' areas, each times the cosine to the view
    area = b * c * abs(near[0]) + a * c * abs(near[1]) + a * b * abs(near[2])
    corners = np.array([[x, y, z] for x in (-a / 2, a / 2) for y in (-b / 2, b / 2) for z in (0, c)])
    span = max(np.ptp(corners @ right), np.ptp(corners @ up))
    scale = 300 * 0.92 / span
    assert pixels[..., 3].sum() / 255 == pytest.approx(area * scale**2, rel=0.01)
    assert not pixels[:3].any()  # room all round


def test_what_is_nearer_hides_what_is_behind():
    plate = stacked([0, 1], [rectangle(40, 40)] * 2)
    near = seen_from(-32.0, 38.0)[2]
    front = moved(plate, 60 * near)
    both = [Part(mesh=plate, colour=RED), Part(mesh=front, colour=BLUE)]
    alone = rendered(both[1:], width=120, height=120)
    for order in (both, both[::-1]):
        seen = rendered(order, width=120, height=120)
        assert not (seen[..., 0] > 0).any() or (seen[..., 2] > 0).sum() >= (alone[..., 2] > 0).sum() * 0.95
        assert (seen[..., 2] > 0).sum() > (seen[..., 0] > 0).sum()


def test_many_small_triangles_and_few_large_ones_give_the_same_picture():
    coarse = stacked([0, 30], [circle(20, points=40)] * 2)
    heights = np.linspace(0, 30, 61)
    fine = stacked(heights, [circle(20, points=40)] * 61)
    one, other = (rendered([Part(mesh=m, colour=RED)], width=200, height=160) for m in (coarse, fine))
    assert np.mean(np.abs(one.astype(int) - other.astype(int)) > 4) < 0.001

import numpy as np
import pytest
import trimesh
from stacked import TWISTED, circle, egg, stacked

from cradle.geometry.layers import layered


@pytest.mark.parametrize(
    ("mesh", "heights"),
    [
        (TWISTED, [3.0, 10.0, 21.0, 22.5]),  # 10 is a layer already
        (stacked([0, 5, 9], [circle(9, points=11), circle(4, points=11), circle(6, points=11)]), [1.0, 8.9]),
        (egg(lean=0.4), [-0.3, 12.0]),
        (TWISTED, np.linspace(0.3, 29.7, 41).tolist()),
        (TWISTED, [-1.0, 0.0, 30.0, 31.0]),  # none of them reaches through it
    ],
)
def test_the_surface_stays_and_no_face_reaches_through_a_height(mesh, heights):
    cut = layered(mesh, np.array(heights))
    theirs, ours = (trimesh.Trimesh(m.vertices_mm, m.faces, process=False) for m in (mesh, cut))
    assert ours.is_watertight
    assert ours.is_winding_consistent
    assert ours.volume == pytest.approx(theirs.volume, rel=1e-12)
    assert ours.area == pytest.approx(theirs.area, rel=1e-12)
    z = cut.vertices_mm[cut.faces, 2]
    for height in heights:
        assert not ((z.min(axis=1) < height) & (z.max(axis=1) > height)).any()

"""The grown body against the kernel's own Minkowski sum with a ball, at equal accuracy.

The ball's facets lie inside it; it is made larger until they lie outside, so
that both ways keep the clearance. With 32 segments the ball then stands out by
about 1.3 % of the clearance, 0.005 mm here: the tolerance of the pocket.
"""

import manifold3d
import numpy as np
import pytest
from measuring import best_s, tell
from pockets import make_pocket
from stacked import egg, unit

from cradle.geometry.mesh import TriMesh
from cradle.geometry.solid import cut_regions, solid, volume_mm3
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.grow import grown_body
from cradle.pocket.level_heights import level_heights
from cradle.pocket.prepared_body import prepared

pytestmark = pytest.mark.speed
CLEARANCE_MM = 0.35
SEGMENTS = 32


def circumscribed_ball(radius, segments):
    """A kernel's sphere scaled so that every facet touches or clears the true ball."""
    ball = manifold3d.Manifold.sphere(1.0, segments)
    mesh = ball.to_mesh64()
    corners = np.asarray(mesh.vert_properties)[:, :3][np.asarray(mesh.tri_verts).astype(int)]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    reach = np.abs((normal * corners[:, 0]).sum(axis=1)) / np.linalg.norm(normal, axis=1)
    return ball.scale((radius / reach.min(),) * 3), radius / reach.min() - radius


@pytest.mark.parametrize(("points", "layers"), [(48, 13), (96, 21)])
def test_pocket_against_the_minkowski_sum(capsys, points, layers):
    mesh: TriMesh = egg(points=points, layers=layers)
    body = solid(mesh, where="body")
    ball, stands_out = circumscribed_ball(CLEARANCE_MM, SEGMENTS)
    kernel_s, kernel = best_s(lambda: body.minkowski_sum(ball).to_mesh64(), runs=1)
    summed = manifold3d.Manifold(kernel)
    profile = clearance_profile([0.0, 50.0], [None, None], default_mm=CLEARANCE_MM)

    def ours():
        return make_pocket(prepared(mesh), clearance=profile, direction=unit(0.0, 0.1, 1.0), top_mm=40.0)

    def grown():
        own = prepared(mesh)
        heights = level_heights(own.slopes, profile, top_mm=40.0, direction=unit(0.0, 0.1, 1.0))
        return heights, grown_body(own.shape, profile).levels(heights)

    ours_s, pocket = best_s(ours)
    grown_s, (heights, levels) = best_s(grown)
    # Both are cut at the same heights; the areas show that neither is simply larger.
    at = heights[(heights > 2) & (heights < 38)]
    theirs = np.array([r.area for r in cut_regions(summed, at)])
    mine = np.array([r.area for r, h in zip(levels, heights, strict=True) if 2 < h < 38])
    assert (mine > 0).all()
    tell(
        capsys,
        f"body of {len(mesh.faces)} triangles, clearance {CLEARANCE_MM} mm per side",
        f"kernel's Minkowski sum, {SEGMENTS} segments (+{1000 * stands_out:.1f} µm): {kernel_s:.2f} s",
        f"grown levels {grown_s:.3f} s; whole pocket {ours_s:.3f} s ({volume_mm3(pocket.solid) / 1000:.2f} cm³)",
        f"kernel / grown levels: {kernel_s / grown_s:.0f}; kernel / whole pocket: {kernel_s / ours_s:.0f}",
        f"area of the levels, ours / kernel's: {(mine / theirs).min():.5f} to {(mine / theirs).max():.5f}",
    )

"""The still picture, against what is seen of a cube and of a ball."""

import re
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely
from stacked import circle, rectangle, stacked

from cradle.drawing.rendered import seen_from
from cradle.report.picture import picture_svg
from cradle.report.shown_mesh import shown


def triangles(svg):
    paths = [e.get("d") for e in ElementTree.fromstring(svg).iter() if e.get("d")]
    found = re.findall(r"M(\S+) (\S+)L(\S+) (\S+) (\S+) (\S+)z", "".join(paths))
    return np.array(found, dtype=float).reshape(-1, 3, 2)


@pytest.mark.parametrize(("turn", "rise"), [(0, 0), (-32, 38), (170, -10), (-90, 0)])
def test_the_eye_s_axes_are_a_right_handed_frame(turn, rise):
    right, up, near = seen_from(turn, rise)
    frame = np.array([right, up, near])
    assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(frame) == pytest.approx(1)


def test_from_the_front_x_is_to_the_right_and_z_up_and_the_right_side_is_seen_at_minus_90():
    right, up, near = seen_from(0, 0)
    assert (right, up, near) == (
        pytest.approx([1, 0, 0]),
        pytest.approx([0, 0, 1], abs=1e-12),
        pytest.approx([0, -1, 0], abs=1e-12),
    )
    assert seen_from(-90, 0)[2] == pytest.approx([1, 0, 0], abs=1e-12)


def test_of_a_cube_the_three_faces_towards_the_eye_are_drawn():
    drawn = triangles(picture_svg(shown(stacked([0, 10], [rectangle(10, 10)] * 2))))
    assert len(drawn) == 6  # two triangles a face
    # the outline of a cube seen askew is the shadow of all its corners
    right, up, _ = seen_from(-32, 38)
    corners = np.array([[x, y, z] for x in (-5, 5) for y in (-5, 5) for z in (0, 10)])
    hull = shapely.MultiPoint(corners @ np.column_stack([right, up])).convex_hull
    whole = shapely.union_all([shapely.Polygon(t).buffer(0.6) for t in drawn])
    scale = np.ptp(drawn[..., 0]) / (hull.bounds[2] - hull.bounds[0])
    assert shapely.area(shapely.union_all(shapely.polygons(drawn)).buffer(0.6)) == pytest.approx(
        hull.area * scale**2, rel=0.01
    )
    assert whole.geom_type == "Polygon"


def test_what_is_behind_is_painted_first():
    """A post before a wall: the post's front is drawn after the wall's."""
    wall, post = (
        stacked([0, 10], [rectangle(20, 1) + [0, 6]] * 2),
        stacked([0, 10], [circle(1, points=8) + [0, -6]] * 2),
    )
    from cradle.geometry.mesh import TriMesh

    both = TriMesh.of(
        np.concatenate([post.vertices_mm, wall.vertices_mm]),
        np.concatenate([post.faces, wall.faces + len(post.vertices_mm)]),
    )
    drawn = triangles(picture_svg(shown(both)))
    size = shapely.area(shapely.polygons(drawn))
    large = np.flatnonzero(size > 0.5 * size.max())
    small = np.flatnonzero(size < 0.1 * size.max())
    assert large.min() < small.max()
    assert small[-1] == len(drawn) - 1

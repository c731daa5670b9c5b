"""Closed solids: the only place that knows manifold3d.

How they are made, joined and cut, moved and parted, thinned, measured and
taken apart into triangles and plane sections, in this order.

Everything goes through `Mesh64`, in double precision; every result has its
status, emptiness and sign checked, because the kernel reports a fault as an
empty solid and accepts an inside-out one.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NewType

import manifold3d
import numpy as np

from cradle.errors import SolidError
from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import TriMesh, area_normals, corners
from cradle.geometry.outer_regions import outer_regions
from cradle.geometry.planar import Region, Regions, boundary_rings, region_even_odd
from cradle.geometry.ring import signed_area, thinned
from cradle.geometry.vectors import unit

Solid = NewType("Solid", object)
"""A closed solid of the kernel; opaque outside this module."""

_NO_SOLID = "no solid could be made"
_FAULTS = {
    manifold3d.Error.NonFiniteVertex: "no solid could be made: a point is not finite",
    manifold3d.Error.NotManifold: "no solid could be made: the surface is not closed",
    manifold3d.Error.ResultTooLarge: "no solid could be made: there are too many triangles",
    manifold3d.Error.InvalidConstruction: "no solid could be made: the surface encloses nothing",
}
"""Faults that a body may have; the kernel's other ones tell of arrays that do not fit together."""
_LOOK = "check the outlines, heights and sizes; if they are right, please report this"
_FLAT_MM = 2e-4
"""A point of a plane section nearer than this to its neighbours' chord may be left out."""


def solid(mesh: TriMesh, *, where: str = "") -> Solid:
    """The solid a closed, outward mesh encloses.

    Raises
    ------
    SolidError
        If the kernel refuses the mesh, or its volume is not positive.
    """
    made = manifold3d.Manifold(
        manifold3d.Mesh64(
            vert_properties=np.array(mesh.vertices_mm, dtype=np.float64),
            tri_verts=np.array(mesh.faces, dtype=np.uint64),
        )
    )
    return _checked(made, where=where)


def prism(area: Region, *, low_mm: float, high_mm: float, where: str = "") -> Solid:
    """The upright prism over a region, holes and several pieces included."""
    rings = [np.asarray(ring) for ring in boundary_rings(area)]
    base = manifold3d.CrossSection(rings, manifold3d.FillRule.Positive)
    return _upright(base, low_mm=low_mm, high_mm=high_mm, where=where)


def extruded(ring: Floats, *, low_mm: float, high_mm: float, where: str = "") -> Solid:
    """The upright prism over a simple counter-clockwise ring between two heights."""
    base = manifold3d.CrossSection([np.asarray(ring)])
    return _upright(base, low_mm=low_mm, high_mm=high_mm, where=where)


def _upright(base: manifold3d.CrossSection, *, low_mm: float, high_mm: float, where: str) -> Solid:
    """The prism over a base, its ends at the very heights asked for.

    Moved up by one height and as tall as their difference, its top may miss the other by the last digit; a solid that
    begins there is then not joined to it, and a film of no thickness is left between the two.
    """
    made = manifold3d.Manifold.extrude(base, high_mm - low_mm)

    def at_its_heights(points: Floats) -> Floats:
        return np.column_stack([points[:, :2], np.where(points[:, 2] > 0, high_mm, low_mm)])

    return _checked(made.warp_batch(at_its_heights), where=where)


def between_points(start: Floats, end: Floats, *, radius_mm: float) -> Solid:
    """The cylinder about the line from one point to another, a 48-gon inscribed in its circle."""
    axis = np.asarray(end, dtype=np.float64) - start
    length = float(np.linalg.norm(axis))
    w = axis / length
    u = unit(np.cross(w, np.eye(3)[int(np.argmin(np.abs(w)))]))
    matrix = np.column_stack([u, np.cross(w, u), w, start])
    made = manifold3d.Manifold.cylinder(length, radius_mm, radius_mm, 48).transform(matrix)
    return _checked(made, where="cylinder")


def hull(points: Floats) -> Solid:
    """The convex hull of ``(n, 3)`` points, mm."""
    return _checked(manifold3d.Manifold.hull_points(np.asarray(points, dtype=np.float64)), where="")


def around_ball(radius_mm: float, *, within_mm: float) -> Floats:
    """Corners of a polyhedron that a ball about the origin touches from inside, ``(n, 3)``, mm.

    They lie about ``within_mm`` outside the ball.
    """
    sides = 4 * max(2, int(np.ceil(np.pi / 4 / np.sqrt(within_mm / radius_mm))))
    mesh = mesh_of(manifold3d.Manifold.sphere(1.0, sides))
    normals = area_normals(mesh)
    across = np.einsum("fi,fi->f", corners(mesh)[:, 0], normals)
    nearest = across / np.linalg.norm(normals, axis=1)  # of the faces' planes, (f,)
    return mesh.vertices_mm * (radius_mm / float(nearest.min()))


def union(parts: Sequence[Solid], *, where: str = "") -> Solid:
    """The solids joined into one."""
    if len(parts) == 1:
        return parts[0]
    return _checked(manifold3d.Manifold.batch_boolean(list(parts), manifold3d.OpType.Add), where=where)


def neighbours_joined(parts: Sequence[Solid], *, where: str) -> Solid:
    """Solids that touch their neighbours in the list alone, joined into one.

    Two neighbours at a time, those with the fewest triangles first: the kernel's own way for many keeps all that it
    made on the way, which takes half as much memory again.
    """
    left = list(parts)
    while len(left) > 1:
        sizes = [_kernel(part).num_tri() for part in left]
        k = min(range(len(left) - 1), key=lambda n: sizes[n] + sizes[n + 1])
        left[k : k + 2] = [_checked(_kernel(left[k]) + _kernel(left[k + 1]), where=where)]
    return left[0]


def difference(body: Solid, tools: Sequence[Solid], *, where: str = "") -> Solid:
    """What is left of a solid after the tools are cut away."""
    if not tools:
        return body
    made = manifold3d.Manifold.batch_boolean([body, *tools], manifold3d.OpType.Subtract)
    return _checked(made, where=where)


def common(a: Solid, b: Solid, *, where: str = "") -> Solid:
    """What two solids share."""
    return _checked(_kernel(a) ^ _kernel(b), where=where)


def surroundings(body: Solid, *, margin_mm: float, where: str = "") -> Solid:
    """The room around a solid: a box that reaches past it by the margin on every side, less the solid."""
    x0, y0, z0, x1, y1, z1 = _kernel(body).bounding_box()
    size = (x1 - x0 + 2 * margin_mm, y1 - y0 + 2 * margin_mm, z1 - z0 + 2 * margin_mm)
    box = manifold3d.Manifold.cube(size).translate((x0 - margin_mm, y0 - margin_mm, z0 - margin_mm))
    return difference(box, [body], where=where)


def transformed(body: Solid, matrix: Floats) -> Solid:
    """The solid under a ``(4, 4)`` rigid transform, mm."""
    return _kernel(body).transform(np.asarray(matrix, dtype=np.float64)[:3])


def moved(body: Solid, by_mm: Sequence[float]) -> Solid:
    """The solid shifted by ``(3,)`` mm."""
    return _kernel(body).translate(tuple(float(v) for v in by_mm))


def layer(body: Solid, *, low_mm: float, high_mm: float, where: str = "") -> Solid:
    """The part of a solid between two heights."""
    lower = _kernel(body).trim_by_plane((0.0, 0.0, -1.0), -high_mm)
    return _checked(lower.trim_by_plane((0.0, 0.0, 1.0), low_mm), where=where)


def within_box(body: Solid, *, low_mm: Floats, high_mm: Floats) -> Solid:
    """The part of a solid in the box between two corners, ``(3,)`` each; it may be empty."""
    box = manifold3d.Manifold.cube(tuple((high_mm - low_mm).tolist()))
    return Solid(_kernel(body) ^ box.translate(tuple(low_mm.tolist())))


def slabs(body: Solid, *, axis: int, at_mm: Floats) -> list[Solid]:
    """The parts of a solid between planes square to an axis (0 x, 1 y, 2 z) at rising places; empty ones are left out."""
    normal, rest, parts = tuple(np.eye(3)[axis]), _kernel(body), []
    for at in at_mm.tolist():
        rest, below = rest.split_by_plane(normal, at)
        parts.append(below)
    return [Solid(part) for part in (*parts, rest) if not part.is_empty()]


def pieces(body: Solid) -> list[Solid]:
    """The connected parts of a solid, largest first."""
    return sorted(_kernel(body).decompose(), key=lambda part: -part.volume())


def thinned_solid(body: Solid, *, within_mm: float, where: str) -> Solid:
    """The solid with fewer triangles, its surface moved by at most ``within_mm``, and no voids: a slit that closes leaves some."""
    thinned = _checked(_kernel(body).simplify(within_mm), where=where)
    shells = _kernel(thinned).decompose()
    outer = [shell for shell in shells if shell.volume() > 0]
    return thinned if len(outer) == len(shells) else _checked(manifold3d.Manifold.compose(outer), where=where)


def lightened(body: Solid, *, within_mm: float) -> Solid:
    """The solid with fewer triangles, its surface moved by at most ``within_mm``; it may have voids where slits closed."""
    return Solid(_kernel(body).simplify(within_mm))


def with_short_edges(body: Solid, *, most_mm: float) -> Solid:
    """The same solid, its triangles divided until no edge is longer than ``most_mm``: `gap_mm` compares each with all whose boxes meet its own."""
    a, b, c = corners(mesh_of(body)).transpose(1, 0, 2)
    longest2 = max(float(np.einsum("fi,fi->f", d, d).max()) for d in (a - b, b - c, c - a))
    return body if longest2 <= most_mm**2 else _kernel(body).refine_to_length(most_mm)


def volume_mm3(body: Solid) -> float:
    """Volume, mm³."""
    return float(_kernel(body).volume())


def overlap_mm3(a: Solid, b: Solid) -> float:
    """Volume that two solids share, mm³; 0 when they are apart or only touch."""
    return max(0.0, float((_kernel(a) ^ _kernel(b)).volume()))


def gap_mm(a: Solid, b: Solid, *, within_mm: float) -> float:
    """Least distance between two solids, mm, up to ``within_mm``: that value means at least ``within_mm``."""
    return float(_kernel(a).min_gap(_kernel(b), within_mm))


def lowest_mm(body: Solid) -> float:
    """Least height of a solid, mm."""
    return float(_kernel(body).bounding_box()[2])


def box_mm(body: Solid) -> tuple[Floats, Floats]:
    """The least and the greatest corner of the box around a solid, ``(3,)`` each, mm."""
    box = np.array(_kernel(body).bounding_box())
    return box[:3], box[3:]


def mesh_of(body: Solid) -> TriMesh:
    """The triangles of a solid."""
    mesh = _kernel(body).to_mesh64()
    return TriMesh.of(np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts, dtype=np.int64))


def shadow(body: Solid, *, below_mm: float) -> Region:
    """The part of a solid below a height as seen from above, to a hundredth of a mm."""
    below = _kernel(body).trim_by_plane((0.0, 0.0, -1.0), -below_mm)
    rings = [np.asarray(ring) for ring in below.project().to_polygons()]
    return region_even_odd([ring for ring in rings if len(ring) > 2])


def cut_regions(body: Solid, heights_mm: Floats) -> Regions:
    """Plane sections of a solid at many heights, as regions (empty outside the solid).

    The kernel cuts the diagonals of flat faces too; those points are taken out.
    """
    cuts: Regions = np.empty(len(heights_mm), dtype=object)
    for k, height in enumerate(heights_mm):
        rings = [np.asarray(ring) for ring in _kernel(body).slice(float(height)).to_polygons()]
        thin = [thinned(ring, within_mm=_FLAT_MM) for ring in rings]
        cuts[k] = region_even_odd([ring for ring in thin if len(ring) > 2])
    return cuts


def outer_sections(body: Solid, heights_mm: Floats, *, within_mm: float) -> Regions:
    """Plane sections at many heights with their holes filled, as regions (empty outside the solid).

    The solid may cross itself: it is what its surface winds round. The
    boundary moves by at most ``within_mm``.
    """
    cuts = [_kernel(body).slice(float(height)).to_polygons() for height in heights_mm]
    return outer_regions(cuts, within_mm=within_mm)


def wound_rings(ring: Floats) -> list[Floats]:
    """Outer boundaries of what a ring runs round counter-clockwise, largest first, holes left out.

    A ring that crosses itself loses the loops in which it runs clockwise;
    where it lies over itself it becomes one piece. A simple ring is returned
    as it is, though from another first point.
    """
    made = manifold3d.CrossSection([np.asarray(ring)], manifold3d.FillRule.Positive)
    found = [(piece.area(), piece.to_polygons()) for piece in made.decompose() if piece.area() > 0]
    found.sort(key=lambda piece: -piece[0])
    return [
        np.asarray(max(rings, key=lambda one: abs(signed_area(np.asarray(one)))), dtype=np.float64)
        for _, rings in found
    ]


def _kernel(body: Solid) -> Any:
    """The solid as the kernel knows it, which has no types of its own."""
    return body


def _checked(made: Any, *, where: str) -> Solid:
    status = made.status()
    if status != manifold3d.Error.NoError:
        raise SolidError(_FAULTS.get(status, _NO_SOLID), where=where, hint=_LOOK)
    if made.is_empty():
        raise SolidError("nothing is left of the solid: its volume must be above 0", where=where, hint=_LOOK)
    if made.volume() <= 0:
        raise SolidError(
            f"the solid's volume is {made.volume():.6g} mm³, not above 0", where=where, hint=_LOOK
        )
    return made

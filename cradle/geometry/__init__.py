"""Room: geometry. Plain mathematics of rings, regions, meshes and solids, in mm.

Terms
-----
ring
    A closed plane curve as points, the last not repeated; counter-clockwise it has positive area.
region
    A part of the plane, with holes or in several pieces; opaque; made by ``planar`` and ``outer_regions``.
mesh
    Triangles as arrays; *closed* when every edge is used by two faces, once in each direction.
solid
    A closed body as the kernel holds it; made and taken by ``solid`` alone.
level, slab, step
    A height with a region; what lies between two levels; a slab made upright, over both regions together.
"""

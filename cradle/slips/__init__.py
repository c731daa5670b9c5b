"""Room: slips. What people mistake when they measure, as their drawings and readings show it.

Terms
-----
slip
    A mistake of a whole kind: another unit, a half taken for the whole, width and depth exchanged, a sheet face down.
cause
    The slip that explains best why a drawing and its readings disagree.
sense
    The direction in which a profile counts.
zero
    The plane or line from which it counts.
"""

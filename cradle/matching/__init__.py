"""Room: matching. From sections in their places to rings with common points.

Terms
-----
ring
    A section resampled so that point j means the same place on every ring.
corner pair
    A corner of one ring and the one of the next that it belongs to.
chord gap
    How far a round thing stands out between the few points that were read of it.
"""

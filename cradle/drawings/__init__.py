"""Room: from a drawing file to the curves it holds, in mm.

Terms
-----
curve
    A line as a drawing holds it, open or closed; *cleaned* and closed it becomes an outline.
chord error
    How far a polyline may lie off the curve it stands for.
"""

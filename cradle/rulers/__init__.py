"""Room: rulers. From regular marks in a picture to the scale along them and what the rule covers.

Terms
-----
mark
    A line across the rule's edge; long, middling and short ones follow one another as the graduation has them.
graduation
    What marks count: millimetres, or sixteenths of an inch.
row
    The marks along one edge of a rule.
strip
    The picture along a row, straightened: the marks lie side by side in it.
law
    Where the k-th mark of a row lies along it.
"""

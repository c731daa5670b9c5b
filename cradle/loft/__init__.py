"""Room: loft. From matched rings to a body.

Terms
-----
layer
    A ring of the skin at one height; every section's height has one.
smooth, straight
    How a column runs from section to section: a monotone cubic, or a line.
steered
    Led along the side profiles between the sections.
extended
    Continued straight below the lowest or above the highest section.
twisted
    Said of a quad of the skin whose corners do not lie in a plane.
"""

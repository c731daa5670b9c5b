"""Room: loft. From matched rings to a body.

Terms
-----
layer
    A ring of the skin at one height; every section's height has one.
smooth, straight
    How a column runs from section to section: a monotone cubic, or a line.
steered
    Led along the side profiles between the sections.
pace
    How far the form has gone from one section to the next at a height, as profiles tell it.
even height
    Of a height: the one at which the form would have gone as far if it changed evenly from section to section.
extended
    Continued below the lowest or above the highest section: as a pair of profiles leads, then straight.
levels
    Outlines between two sections so unlike that columns alone do not join them; such a gap is *levelled*.
blend
    An outline between two, by their signed distances.
piece, seam, run, step
    Layers with common columns; where two of them join; a chain of pieces; the upright prism between two runs.
twisted
    Said of a quad of the skin whose corners do not lie in a plane.
"""

"""Room: sections. What is known of each section: its outline as drawn, and all that was read of it.

Terms
-----
section
    An outline at a height, to scale and in its place on the thing.
half outline
    One side of a section, mirrored about its straight edge.
mirror line
    The line about which an outline is (nearly) symmetric; *asymmetry* is how far it is not.
traced, caliper
    Sizes read off the outline, and off the thing itself.
scale
    Factor from traced to caliper size, along x and along y.
reading, observation
    Whatever says where a section lies, with its spread: the user, calipers, a profile or view, a mirror line, a neighbour.
posterior
    Where all sections lie most likely, and how sure that is.
misfit
    Root-mean-square distance between two outlines, both brought to unit area.
"""

"""Room: views. From silhouettes of the thing from a side to how far it reaches at every height.

Terms
-----
view
    The thing seen from a side, in a picture or a drawing, with or without scale.
silhouette
    Its outline there, across and up.
seen section
    How far a section reaches to both sides as a view sees it.
upright
    Said of a view that stands on the line on which the thing rests; *tilt* is how far it may lean all the same.
"""

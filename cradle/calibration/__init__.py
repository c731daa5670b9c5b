"""Room: calibration. From known lengths in a picture to where each of its places lies on the paper, and how surely.

Terms
-----
scale
    One source of true lengths in a picture, such as a ruler's marks.
view
    How a camera or a scanner saw the paper, fixed by all scales that agree.
calibration
    Where a place in the picture (px, y down) lies on the paper (mm, y up).
lens
    How far the picture bends straight lines.
raised
    Lying above the paper, so that a lens sees it larger.
"""

"""Room: how large the things in a picture are: from pixels to mm on the paper.

Terms
-----
scale
    One source of true lengths in a picture, such as a ruler's marks.
view
    How a camera or a scanner saw the paper, fixed by all scales that agree; one that does not is named.
calibration
    Where a place in the picture (px, y down) lies on the paper (mm, y up).
capture sheet
    The printed band of marks around an empty middle, by which a picture is calibrated.
raised
    Lying above the paper, so that a lens sees it larger.
"""

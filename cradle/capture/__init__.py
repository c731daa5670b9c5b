"""Room: capture. From a picture, a drawing or plain measurements to an outline in mm.

Terms
-----
curve
    A line as a drawing holds it, open or closed; *cleaned* and closed it becomes an outline.
ground
    What a picture shows around the pieces: a scanner's lid, a mat, a table, paper.
piece
    What lies on the ground and is traced, numbered row by row; one that *touches* another hangs together
    with it by a *neck*.
notch
    The hollow cut into a piece, closed across its mouth by its *chord*.
bridged
    Said of an edge carried on where a line of the ground, in the piece's own colour, hides it.
scale
    One source of true lengths in a picture, such as a ruler's marks; the most *trusted* is used.
calibration
    Where a place in the picture (px, y down) lies on the paper (mm, y up).
capture sheet
    The printed band of marks around an empty middle, by which a picture is calibrated.
raised
    Lying above the paper, so that a lens sees it larger.
check picture
    What was traced and measured by, drawn over what was seen.
"""

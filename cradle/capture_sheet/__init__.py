"""Room: the capture sheet. The sheet as printed, and what a picture of it tells of scale, view and lens.

Terms
-----
capture sheet
    The printed band of marks around an empty middle, by which a picture is calibrated.
marker
    A black square of the band whose pattern tells its number, and so its place.
check line
    A printed line to be measured with a ruler: a printer may have scaled the page.
"""

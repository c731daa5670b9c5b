"""Room: from a picture, a drawing or plain measurements to an outline in mm.

Terms
-----
outline
    A closed plane curve in mm, without self-crossings, counter-clockwise.
traced
    Found in a picture and mapped to mm by its calibration.
check picture
    What was traced and measured by, drawn over what was seen.
"""

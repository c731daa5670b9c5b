"""Room: the holder as drawn, to be put on paper by any format.

Terms
-----
view
    The holder seen from one side, or cut, with its lines, dimensions and notes, in mm.
sheet
    Views laid out side by side at one scale.
"""

"""Room: what a picture shows, in pixels: its ground, its pieces and their edges.

Terms
-----
ground
    What a picture shows around the pieces: a scanner's lid, a mat, a table, paper.
piece
    What lies on the ground and is traced, numbered row by row; one that *touches* another hangs together
    with it by a *neck*.
notch
    The hollow cut into a piece, closed across its mouth by its *chord*.
hidden edge
    One that a line of the ground, in the piece's own colour, covers; it is carried on from both sides.
"""

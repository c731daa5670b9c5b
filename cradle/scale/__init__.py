"""Room: how large the things in a picture are, by all sources of scale in it together.

Terms
-----
source
    What tells the scale: a number, two points, a tag of the file, a capture sheet, a ruler, a card.
used
    Said of the sources that agree; one that contradicts the others is named.
unverified
    Said of a direction that no known length tells.
"""

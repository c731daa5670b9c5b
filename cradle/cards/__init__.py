"""Room: cards. From four straight sides in a picture to the scale by a bank card, a thing of known size.

Terms
-----
card
    A bank card as ISO/IEC 7810 has it, ID-1: 85.60 by 53.98 mm, with round corners.
quad
    Four corners of what may be a card.
faint
    Hardly darker than what it lies on.
"""

"""Room: placing. Where all sections lie, in one estimate, and what is told of it.

Terms
-----
way
    How a sheet may have been laid down: straight, turned, face down, or with a slip in size or readings.
evidence
    All observations of how the sections lie, gathered for one estimate.
lying
    A section as it lies for given values of shift, turn and scale.
"""

"""A tub, narrower below: the small project that tests of commands and of the page start from."""

TUB = """\
# A tub for the tests.
[object]
name = "Tub"     # ours
mass = 100
height = 60

[[section]]
name = "low"
height = 0.0
[section.measured]
form = "rectangle"
width = 30
depth = 20
corner = 4

[[section]]
name = "high"
height = 50.0
[section.measured]
form = "rectangle"
width = 36
depth = 24
corner = 5

[fit]
clearance = 0.35   # per side, as last time

[block]
height = 25        # just under the rim
"""

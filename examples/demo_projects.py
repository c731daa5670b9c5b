"""The demo projects as their owners would write them; the numbers are filled in by write_demos.py."""

from __future__ import annotations

OCARINA = """\
# A desk stand for my clay ocarina: it leans back a little and the mouthpiece points to the rear.
# All lengths in mm. Heights are from the table it sat on, steadied with putty.

[object]
name = "ocarina"
hazards = ["wet"]             # breath makes it damp
mass = 182                    # kitchen scale
height = 92
balance = [0, 8.5, 41]        # hung from a thread twice, crossing point estimated

[[section]]
name = "low"
height = 2.0                  # propped on two cards, 1 mm each
outline = "outlines/low-half.csv"
half = true                   # card template cut for the right side only
width = {0:.2f}                 # calipers, same height
depth = {1:.2f}

[[section]]
name = "belly"
height = 12.0
outline = "outlines/belly.svg"    # card template, scanned and traced with curves
width = {2:.2f}
depth = {3:.2f}

[[section]]
name = "broad"
height = 28.0
outline = "outlines/broad.dxf"    # the same, traced on a friend's drawing board
width = {4:.2f}
depth = {5:.2f}
girth = {girth:.0f}                   # a thread pulled tight around it

[[section]]
name = "top"
height = 44.0                 # just above the holder, so that its rim is known
outline = "outlines/top.csv"
width = {6:.2f}
depth = {7:.2f}

[side]                        # profile gauge against a try square, traced, scanned, read every 3 mm
front = "outlines/front.csv"
back = "outlines/back.csv"

[[view]]                      # a phone picture of the front from across the room, traced on the screen
from = "front"
outline = "outlines/front-view.csv"
scale = "free"                # in pixels: the calipers tell how large it is

[fit]
clearance = "auto"            # the least gap that fits 19 times of 20; or your own, such as 0.35
between = "auto"              # more where the shape between the sections is a guess
lift_out = [0, 0.16, 1]       # lifted out along its lean

[block]
form = "box"
wall = 3.0
floor = 4.0
height = 40.0
flare = 2.0                   # a wider foot, it stands on a desk
corner = 6.0
chamfer = 0.5
lead_in = 1.0

[[opening]]
kind = "drain"                # breath makes it damp; a hole lets it dry
diameter = 6.0
"""

NOZZLE = """\
# A cradle for the garden hose nozzle, screwed to the shed wall. The outlet points down, the lever to me.
# All lengths in mm. Heights are from the outlet's rim.

[object]
name = "hose nozzle"
hazards = ["wet"]
mass = 310                    # with the water out
height = 140

[[section]]
name = "outlet"
height = 4.0
shift = [0.0, {middles[0]:.2f}]          # from the same square as the others
measured = {{ form = "ellipse", width = {0:.2f}, depth = {1:.2f} }}    # round, calipers both ways

[[section]]
name = "barrel"
height = 26.0
shift = [0.0, {middles[1]:.2f}]          # the barrel bends back: square held against the rear
# between round and square: the diagonal says how square
measured = {{ form = "superellipse", width = {2:.2f}, depth = {3:.2f}, diagonal = {diagonal:.1f} }}

[[section]]
name = "grip"
height = 52.0                 # above the rim, because the thing leans
outline = "outlines/grip.svg" # card template; flatter where the lever lies
shift = [0.0, {middles[2]:.2f}]
width = {4:.2f}
depth = {5:.2f}

[fit]
clearance = 0.6               # a gap of my own: wet hands, grit, let it drop in
between = "auto"              # more where the shape between the sections is a guess
lift_out = "auto"

[block]
form = "box"                  # a flat back for the wall
wall = 5.0                    # carries a screw and a wet nozzle
floor = 5.0
height = 42.0
corner = 12.0
chamfer = 0.8
lead_in = 2.0
lean = -6.0                   # tipped towards me, so that the grip clears the wall

[printer]
material = "PETG"             # the shed gets hot: PLA would soften

[plate]                       # two lugs for the shed wall, beside the block, where a screwdriver reaches
width = 90.0
thickness = 5.0
corner = 10.0
hole = "countersunk"          # the heads lie flush, out of the nozzle's way
diameter = 4.5                # a 4 mm wood screw
head = 8.0
edge = 9.0

[[opening]]                   # water must not stand in it
kind = "drain"
diameter = 9.0

[[opening]]                   # for the lever
kind = "slot"
through = "front"
at = [0.0, 27.0]
width = 11.0
length = 20.0
turn = 90.0
"""

PAIR = """\
# One stand for two ocarinas: the small one, measured here, and the big one from its own project.
# All lengths in mm. Heights are from the table it sat on, steadied with putty.

[object]
name = "small ocarina"
hazards = ["wet"]             # breath makes it damp
mass = 66                     # kitchen scale
height = 64

[[section]]
name = "low"
height = 1.5                  # propped on a card
outline = "outlines/low.csv"  # card templates, scanned, points read off
width = {0:.2f}                 # calipers, same height
depth = {1:.2f}

[[section]]
name = "middle"
height = 15.0
outline = "outlines/middle.csv"
width = {2:.2f}
depth = {3:.2f}

[[section]]
name = "rim"
height = 33.0                 # just above the holder
outline = "outlines/rim.csv"
width = {4:.2f}
depth = {5:.2f}

[side]                        # profile gauge against a try square, as with the big one
front = "outlines/front.csv"
back = "outlines/back.csv"

[fit]
clearance = "auto"            # the least gap that fits 19 times of 20; or your own, such as 0.35
between = "auto"              # more where the shape between the sections is a guess
lift_out = [0, 0.16, 1]       # lifted out along its lean

[row]                         # side by side, from the left: this one, then the big one
things = ["../ocarina/holder.toml"]
gap = 12.0                    # a finger between them

[block]
form = "box"
wall = 3.0
floor = 4.0
height = 30.0
corner = 6.0

[[opening]]                   # each gets one
kind = "drain"
diameter = 6.0

[[opening]]
kind = "label"
through = "front"
pocket = 1                    # in front of the small one
at = [0.0, 6.0]
text = "small"
height = 6.0

[[opening]]
kind = "label"
through = "front"
pocket = 2
at = [0.0, 6.0]
text = "big"
height = 6.0
"""

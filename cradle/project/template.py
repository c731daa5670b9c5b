"""The commented project that a newcomer starts from: complete, and it can be made as it stands."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Final

from cradle.errors import ExportError, InputError
from cradle.files.writing import write_all
from cradle.project.change import toml_item
from cradle.project.convert import MistakeError
from cradle.project.schema import OBJECT

if TYPE_CHECKING:
    from pathlib import Path

PROJECT_FILE: Final = "holder.toml"

_TEXT: Final = """\
# The holder for one thing. Lengths in mm, angles in degrees, masses in g.
# A length may also be a text with its unit: "1.5 cm" or "1 3/8 in".
# x runs to the right, y away from you, z up from the plane the thing rests on.
# This file works as it stands: run   cradle make holder.toml
# then put in your own measurements. A # in front of a key leaves it out.
#
# Take care: cut card templates away from your hand, on a mat, with a sharp blade that you
# cover afterwards. A printer's nozzle and bed are hot. Printed plastic softens in heat (PLA
# from about 55 deg C, so not in a parked car or on a heater) and is not food-safe. Holders for
# children, for mains devices near water, or on a wall above people need more thought than a fit.

[object]
name = {name}
mass = 150                      # g; leave it out if you have no scale
height = 70                     # overall; tells whether the holder tips over
# balance = [0, 0, 33]          # x, y, z of the centre of mass; left out: the middle of the body

# nature = ["sharp", "wet"]     # what asks for caution: sharp | warm | mains | wet | child

# Sections, at least 2, from bottom to top. A section is the outline at one height, measured
# from the resting plane. Take one where the shape changes, one near the bottom and one just
# above the rim of the holder; hold the calipers and templates parallel to the resting plane.

[[section]]
name = "low"
height = 4.0

[section.measured]              # an outline known by calipers alone
form = "ellipse"                # box | ellipse | superellipse (between the two)
width = 44.0                    # largest extent along x
depth = 34.0                    # largest extent along y

[[section]]
name = "middle"
height = 20.0

[section.measured]
form = "superellipse"
width = 54.0
depth = 42.0
diagonal = 52.0                 # superellipse: extent along the diagonal of its box, corner to corner

[[section]]
name = "high"
height = 40.0
# shift = [0.0, 1.5]            # where the section's middle lies, if you measured it
# turn = 0.0                    # turned to the left, seen from above
# clearance = 0.3               # per side, at this height only

[section.measured]
form = "superellipse"
width = 60.0
depth = 46.0
diagonal = 58.5
# corner = 4.0                  # box: radius of its corners

# A section from a drawing or a list of points instead of [section.measured]:
# [[section]]
# name = "top"
# height = 52.0
# outline = "outlines/top.svg"  # .svg .dxf .csv .json, from this file's folder
# layer = "outline"             # only this layer of the drawing
# unit = "mm"                   # mm | cm | in, for a drawing that does not say
# half = false                  # true: one side only, mirrored about its straight edge
# width = 61.4                  # calipers at this height: the outline is scaled to them
# depth = 43.0
# girth = 170.0                 # a string pulled tight around it: a cross-check

# A section from a scan or a photograph with a ruler beside the piece, or of the capture sheet:
# [[section]]
# name = "rim"
# height = 60.0
# [section.picture]
# file = "scans/rim.png"        # .png .jpg .tif .bmp .webp; .heic .heif if pillow-heif is installed
# shape = "piece"               # piece | notch (a hollow cut into it) | line (drawn round the thing)
# pick = 1                      # which piece, counted row by row; or a point on it, in px:
# point = [812, 1204]
# back = 2                      # notch: this one is the back; the section's depth joins the two
# back_file = "scans/back.png"  # if the back is in another picture
# edge = "middle"               # line: middle | inside | outside
# scale = "auto"                # auto | sheet | ruler | card | tag; or a scale of your own:
# mm_per_px = 0.0846667
# dpi = 300
# from = [310, 2210]            # two points, in px, and the distance between them
# to = [2081, 2214]
# apart = 150.0
# distance = 400                # lens to paper: takes out a card's thickness
# thickness = 1.5               # of the piece, on the capture sheet: a lens sees it nearer, so larger
# check = 150.0                 # what a rule reads on the capture sheet's check length

[side]                          # side profiles: how the thing runs between the sections
# front = "outlines/front.csv"  # height, y  (outermost point on that side)
# back = "outlines/back.csv"    # height, y
# left = "outlines/left.csv"    # height, x
# right = "outlines/right.csv"  # height, x

# The thing seen from a side, as a closed outline: a photograph from far away, or a drawing. It tells
# how the thing runs between the sections, and how it leans. Stand it as it stands in the holder.
# [[view]]
# from = "front"                # front | back (x across) | right | left (y across); heights run up
# outline = "views/front.svg"   # with layer and unit as a section has them, or a table [view.picture]
# scale = "free"                # given (the drawing's unit, the picture's scale) | free: from the calipers
# distance = 1200               # lens to the thing's middle; left out: far away
# bottom = 0.0                  # height of the outline's lowest edge: 0 is the resting line; or "free"
# top = 70.0                    # height of its highest edge; left out: cut off anywhere

[loft]
align = "auto"                  # auto | profiles | mirror | match | drawing: lines the sections up
between = "auto"                # auto | straight | smooth: the skin between the sections

[fit]
clearance = 0.35                # gap per side, or "auto"
insertion = [0, 0, 1]           # direction in which the thing is lifted OUT, or "auto"
relief = 0.0                    # extra gap between the measured heights, or "auto"
chance = 0.95                   # how likely it shall fit, for clearance = "auto"

[block]
form = "box"                    # box | oval | hug (follows the thing)
wall = 3.0
floor = 4.0
height = 34.0                   # how far up the thing the holder reaches, from the resting plane
flare = 0.0                     # how much wider the foot is, per side; "auto": as wide as stand asks for
stand = 15.0                    # how far, in degrees, it shall lean before it falls
corner = 4.0                    # radius of the upright edges, or how far they are cut back
corner_form = "round"           # box: round | cut (back at 45 degrees)
chamfer = 0.5                   # on the outer edges
lead_in = 1.0                   # chamfer at the pocket's mouth
lean = 0.0                      # the thing leans back by this much, at most 60

# A plate flush with the back of a box, wider or higher than it, to fix it to a wall.
# [plate]
# width = 110.0
# height = 60.0                 # from the foot up; left out: as high as the block
# thickness = 4.0
# corner = 6.0                  # radius of its upper corners; the lower ones stand on the bed
# hole = "countersunk"          # countersunk | screw (a plain hole) | keyhole (to hang it up)
# screw = "M4"                  # M2.5 to M8
# diameter = 4.5                # a wood screw by its own measures instead of screw = "M4"
# head = 8.0
# edge = 9.0                    # from the plate's edges to the middles of the holes
# spacing = [92.0, 0.0]         # between holes, across and up (0: one row); left out: each free corner

# Several things side by side in one block, each with its own pocket.
# [row]
# count = 2                     # how many of this thing
# things = ["../flute/holder.toml"]  # other things to the right of it, each by its own project file
# gap = 6.0                     # between neighbours where they are widest; left out: as the wall
#
# Openings, as many as you like. through: floor | front | back | left | right.
# at: on the floor x, y; on a wall along it (x or y) and height; left out: the middle.
# In a row every pocket gets it, unless  pocket = 2  (from the left) says which; keyhole, magnet,
# feet and label are there once for the block, and their at counts from its middle.
# [[opening]]
# kind = "drain"                # drain (floor, under the middle) | round: a round hole
# diameter = 6.0
#
# [[opening]]
# kind = "slot"                 # round ends
# through = "front"
# at = [0.0, 20.0]
# width = 10.0                  # across the slot
# length = 20.0                 # overall
# turn = 90.0                   # 0 lies level, 90 stands upright
#
# [[opening]]
# kind = "window"               # round corners
# through = "front"
# width = 14.0
# height = 10.0
# corner = 2.0
#
# [[opening]]
# kind = "notch"                # open at the rim: for a view, a lever, a cable
# through = "front"
# width = 8.0
# depth = 15.0                  # below the rim; or at = [along, height of its bottom]
#
# [[opening]]
# kind = "finger"               # a pair of notches, here and in the opposite wall, to take hold
# through = "front"
#
# [[opening]]
# kind = "screw"                # a clearance hole
# screw = "M4"                  # M2.5 to M8
#
# [[opening]]
# kind = "countersunk"          # with its head inside, clear of the thing
# through = "back"
# diameter = 4.0                # a wood screw by its own measures instead of screw = "M4"
# head = 8.0
#
# [[opening]]
# kind = "keyhole"              # hangs on a screw's head; at: where the screw ends up
# through = "back"
# screw = "M4"
# lip = 2.0
#
# [[opening]]
# kind = "magnet"               # from below, or outside in a wall; some room is added
# diameter = 10.0
# depth = 3.0
#
# [[opening]]
# kind = "feet"                 # four recesses for rubber feet
# diameter = 8.0
# depth = 1.0
#
# [[opening]]
# kind = "label"                # letters sunk into a wall
# through = "front"
# text = "mine"
# pocket = 1                    # in a row: in front of this pocket
# height = 7.0                  # of the letters
# depth = 0.6

[slices]                        # thin rings to try the fit on before the long print
thickness = 2.4
clearances = [0.2, 0.3, 0.4]    # one ring for each, per side
ring = "closed"                 # closed | open (behind the widest part: it goes on from the front)
# heights = [12.0]              # heights to try besides the sections' own

[printer]
bed = [220, 220, 250]           # x, y, z it can print
line = 0.42                     # width of one printed line
layer = 0.2                     # height of one layer
material = "PLA"                # PLA | PETG | ABS | ASA | PA12 | TPU
inside_error = 0.0              # measured: how much smaller, per side, an inside wall comes out

[spread]                        # how far off it all may be: one standard deviation each, in mm
trace = 0.1                     # of a traced outline
scale = 0.2                     # percent, of a drawing without a caliper reading
calipers = 0.03                 # of one reading by hand
step = 0.01                     # the calipers' last digit
heights = 0.3                   # of the height of a section
repeat = 0.03                   # from one print to the next
# placing = 0.2                 # of where a section lies beside the others
# between = 0.3                 # of the thing half way between two sections
# inside = 0.02                 # of the inside error, once you have measured it
"""


def project_template(*, name: str) -> str:
    """Return the text of a commented project for a thing called ``name``.

    Raises
    ------
    InputError
        If the name is blank or longer than one line.
    """
    try:
        checked = OBJECT.keys["name"].convert(name)
    except MistakeError as error:
        raise InputError(error.mistakes[0].found, where="name", hint=error.mistakes[0].hint) from error
    return _TEXT.replace("{name}", toml_item(checked).as_string(), 1)


def start_project(folder: Path, *, name: str) -> list[Path]:
    """Return the files of a new project, written into ``folder``, which is made if need be.

    Nothing is overwritten, and the file appears whole or not at all.

    Raises
    ------
    InputError
        If the folder holds a project already, or is no folder: choosing
        another one helps.
    ExportError
        If the disk refuses.
    """
    file = folder / PROJECT_FILE
    text = project_template(name=name)
    try:
        if folder.exists() and not folder.is_dir():
            raise InputError("this is a file, not a folder", where=str(folder), hint="name a new folder")
        if os.path.lexists(file):
            raise InputError("there is a project already", where=str(file), hint="name another folder")
        write_all({file: text.encode()}, hint="name a folder you may write to")
    except InputError:
        raise
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        hint = "name a folder you may write to"
        raise ExportError(f"the project cannot be written ({reason})", where=str(file), hint=hint) from error
    return [file]

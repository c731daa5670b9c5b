"""The words of a form's fields, where those of a project file speak of how a file is written, or say nothing.

Each is found by its table and its key, as in ``("block", "wall")``; fields of
all kinds of openings by ``"opening"``. Units stand in the fields' own names;
those here are of numbers that have none there.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

At = tuple[str, str]

TITLES: Final[Mapping[str, str]] = {
    "object": "The thing",
    "section": "Section",
    "side": "Side profiles",
    "view": "View from a side",
    "loft": "Between the sections",
    "fit": "Fit",
    "block": "Block",
    "plate": "Wall plate",
    "row": "Several side by side",
    "opening": "Opening",
    "test_pieces": "Test pieces",
    "printer": "Printer",
    "spread": "How far off readings may be",
    "measured": "Plain shape",
    "picture": "Picture",
}
"""Titles of tables; one without is called by its name."""

LABELS: Final[Mapping[At, str]] = {
    ("object", "height"): "overall height",
    ("object", "balance"): "centre of mass",
    ("section", "half"): "one half, mirrored",
    ("view", "from"): "seen from",
    ("view", "bottom"): "height of its lowest edge",
    ("view", "top"): "height of its highest edge",
    ("picture", "pick"): "number of the piece",
    ("picture", "point"): "a point on the piece",
    ("picture", "back"): "number of the back piece",
    ("picture", "back_file"): "picture of the back",
    ("picture", "scale"): "scale from",
    ("picture", "mm_per_px"): "size of a pixel",
    ("picture", "dpi"): "resolution",
    ("picture", "from"): "scale, first point",
    ("picture", "to"): "scale, second point",
    ("picture", "apart"): "distance between them",
    ("picture", "distance"): "distance of the lens",
    ("picture", "edge"): "edge of the line",
    ("picture", "check"): "the sheet's long line",
    ("fit", "lift_out"): "way it is lifted out",
    ("fit", "between"): "more between sections",
    ("fit", "lining"): "lining, its thickness",
    ("fit", "lining_pressed"): "lining, pressed",
    ("fit", "chance"): "chance to aim for",
    ("plate", "hole"): "fixed by",
    ("plate", "head"): "head diameter",
    ("plate", "edge"): "distance of holes from the edge",
    ("plate", "spacing"): "distance between holes",
    ("row", "things"): "other things",
    ("opening", "through"): "goes through",
    ("opening", "at"): "place",
    ("opening", "pocket"): "only this pocket",
    ("opening", "head"): "head diameter",
    ("printer", "bed"): "room on the bed",
}

UNITS: Final[Mapping[At, str]] = {("picture", "mm_per_px"): "mm", ("picture", "dpi"): "dpi"}

SAYS: Final[Mapping[At, str]] = {
    ("object", "name"): "stands on the report and in the files' names",
    ("object", "height"): "tells whether the holder tips over",
    ("object", "mass"): "tells how steadily the holder stands; leave it empty if you have no scale",
    ("object", "balance"): "x, y and z; empty: the middle of the body",
    ("object", "hazards"): "what about the thing asks for care; cautions are added for each",
    ("section", "name"): "such as foot, belly or rim",
    ("section", "height"): "above the plate that the thing stands on",
    ("section", "half"): "the outline is one side only, mirrored about its straight edge",
    ("section", "width"): "calipers, left to right",
    ("section", "depth"): "calipers, front to back",
    ("section", "shift"): "right and back, of the middle of its width and depth; only if you measured it",
    ("section", "turn"): "counter-clockwise, seen from above; only if you measured it",
    ("section", "clearance"): "per side, at this height only; empty: as everywhere",
    ("section", "outline"): "a drawing: SVG, DXF, CSV or JSON; or choose a picture",
    ("view", "outline"): "a drawing: SVG, DXF, CSV or JSON",
    ("view", "scale"): "whether the outline's own size is used",
    ("measured", "form"): "seen from above",
    ("measured", "width"): "calipers, left to right, the largest",
    ("measured", "depth"): "calipers, front to back, the largest",
    ("measured", "diagonal"): "of the shape between: from corner to corner of its rectangle",
    ("picture", "file"): "PNG, JPEG, TIFF, BMP or WebP; HEIC where the extra pillow-heif is there",
    ("picture", "shape"): "what of the picture is the outline",
    ("picture", "pick"): "counted row by row",
    ("picture", "point"): "right and down from the picture's upper left corner",
    ("picture", "back"): "of a hollow in two halves: this piece is the back; the depth joins the two",
    ("picture", "edge"): "of a drawn line",
    ("picture", "scale"): "what in the picture tells its size",
    ("picture", "mm_per_px"): "if you know it",
    ("picture", "dpi"): "of a scan, if you know it",
    ("picture", "from"): "right and down; easier by pressing: Scale by two points",
    ("picture", "to"): "right and down",
    ("picture", "apart"): "as the ruler reads",
    ("side", "front"): "a list of heights and how far the front reaches there",
    ("side", "back"): "a list of heights and how far the back reaches there",
    ("side", "left"): "a list of heights and how far the left side reaches there",
    ("side", "right"): "a list of heights and how far the right side reaches there",
    ("view", "bottom"): "0 is the plate it stands on; free: if you do not know it",
    ("view", "top"): "empty: the view is cut off there",
    ("fit", "lift_out"): "right, back and up: 0 0 1 is straight up; or auto",
    (
        "fit",
        "between",
    ): "extra gap half way between; auto: as the shape is unsure; 0: none; empty: auto if the clearance is auto, else none",
    ("loft", "hollows"): (
        "grooves and other hollows of an outline: the pocket runs straight across them, or into them;"
        " auto: into large ones that every section has"
    ),
    ("fit", "lining"): "felt or foam glued into the pocket; it is added to the clearance",
    ("fit", "chance"): "of fit, where the clearance is auto: 0.95 is 19 in 20",
    ("block", "form"): "seen from above",
    ("block", "wall"): "thickness of the walls",
    ("block", "floor"): "thickness below the thing",
    ("block", "corner_form"): "of a box's upright edges",
    ("plate", "hole"): "what the plate is fixed by",
    ("plate", "screw"): "its size; or its own sizes below",
    ("plate", "diameter"): "of the hole, for a wood screw that has no size of this list",
    ("row", "things"): "to the right of it, each by its own project file",
    ("opening", "at"): "floor: right and back; wall: along it and up; empty: in the middle",
    ("opening", "screw"): "its size; or its own sizes below",
    ("opening", "diameter"): "of the hole",
    ("opening", "depth"): "how deep it goes; of a notch: below the rim",
    ("opening", "pocket"): "in a row: its number from the left; empty: every one",
    ("test_pieces", "thickness"): "of a ring",
    ("test_pieces", "ring"): "whether it goes all the way round",
    ("printer", "bed"): "across, back and up",
    ("printer", "material"): "what the holder is printed from",
}

CHOICES: Final[Mapping[At, Mapping[str, str]]] = {
    ("object", "hazards"): {
        "sharp": "sharp",
        "warm": "put away warm",
        "mains": "plugged into the mains, or charges",
        "wet": "wet",
        "child": "for children, or in their reach",
    },
    ("picture", "shape"): {
        "piece": "a cut piece",
        "cut_out": "a hollow cut into one",
        "line": "a drawn line",
    },
    ("picture", "scale"): {
        "auto": "the surest that is there",
        "sheet": "the capture sheet",
        "ruler": "a ruler",
        "bank_card": "a bank card",
        "tag": "the file's own resolution",
    },
    ("measured", "form"): {"ellipse": "round or oval (ellipse)", "superellipse": "between the two"},
    ("section", "unit"): {"in": "inches"},
    ("view", "unit"): {"in": "inches"},
    ("view", "from"): {side: f"the {side}" for side in ("front", "back", "left", "right")},
    ("view", "scale"): {"given": "its own size is used", "free": "found from the sections"},
    ("loft", "align"): {
        "auto": "all readings together",
        "profiles": "by side profiles",
        "mirror": "by mirror lines",
        "match": "by likeness",
        "drawing": "as drawn; plain shapes on one axis",
    },
    ("loft", "between"): {"auto": "smooth from three sections on"},
    ("loft", "hollows"): {"spanned": "run straight across", "followed": "followed"},
    ("block", "form"): {"hug": "follows the thing"},
    ("block", "corner_form"): {"cut": "cut back at 45°"},
    ("plate", "hole"): {
        "countersunk": "countersunk screws",
        "plain": "screws in plain holes",
        "keyhole": "keyholes, to hang it up",
    },
    ("opening", "through"): {side: f"the {side}" for side in ("floor", "front", "back", "left", "right")},
    ("test_pieces", "ring"): {"open": "open behind, to go on from the front"},
}

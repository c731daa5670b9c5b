"""Which of a few known words was likely meant by another: a misspelt one, one with something behind it, or what people also say."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import get_close_matches
from typing import Final

_LONGEST: Final = 60
"""Letters of a word that are looked at."""
_ALIKE: Final = 0.6
"""Words less alike than this, by their letters, are others (our own choice)."""

_ALSO: Final = {
    # keys
    "name": "title, label, id",
    "mass": "weight",
    "hazards": "dangers, cautions, warnings",
    "section": "slice, cut, cross section",
    "height": "z, level, elevation, tall, h",
    "outline": "file, path, drawing, svg, dxf, csv, json, contour",
    "picture": "image, photo, photograph, scan",
    "measured": "readings, measurements, plain",
    "file": "image, photo, scan, path, name",
    "form": "type, shape, kind, style",
    "kind": "type, form, shape, style",
    "width": "diameter, dia, breadth, w, x",
    "depth": "length, d, l, y",
    "diameter": "dia, d, width, size",
    "girth": "circumference, perimeter",
    "half": "mirror, mirrored, symmetric, symmetrical, symmetry",
    "shift": "offset, move, position",
    "turn": "rotation, rotate, angle",
    "side": "profile, profiles",
    "from": "side, view, direction",
    "clearance": "gap, tolerance, play, allowance, offset",
    "lift_out": "direction, axis, insertion, pull, out",
    "corner": "radius, fillet",
    "wall": "thickness, wall thickness",
    "through": "wall, face",
    "at": "position, place, location, pos",
    "text": "label, words, letters",
    "opening": "hole, holes, feature, features",
    "count": "number, copies, quantity",
    "things": "projects, items",
    "gap": "spacing, distance",
    "material": "filament, plastic",
    # forms of sections, blocks and corners, kinds of opening
    "ellipse": "circle, circular, round, disc, disk, cylinder, cylindrical, oval",
    "oval": "circle, circular, round, disc, disk, cylinder, cylindrical, ellipse, elliptical",
    "rectangle": "box, square, rectangular, block, cube, rounded rectangle",
    "superellipse": "squircle, rounded square, rounded box",
    "box": "rectangle, square, rectangular, block, cube, rounded rectangle, rounded box",
    "hug": "contour, outline, follow, follows, shape, conform, offset, wrap, organic",
    "cut": "chamfer, chamfered, bevel, beveled, bevelled, mitre",
    "round": "fillet, radius, circle, circular, hole",
    "window": "square, rectangle, rectangular, box, opening",
    "drain": "drainage, drain hole, water",
    "slot": "slit, groove, long hole, vent, vents",
    "notch": "cutout, cut out, handle, lever, trigger, spout, cable, cable outlet, cable exit, cord, lead, wire, plug",
    "finger": "thumb, grip, fingers, finger hole",
    "screw": "bolt, screw hole, mounting hole, mount",
    "countersunk": "countersink, csk, flat head, flathead, sunk",
    "keyhole": "hook, hanger, hang",
    "feet": "foot, pads, pad, bumper, bumpers, rubber",
    "label": "text, name, engraving, engraved, lettering",
    "plain": "straight, simple, pan, pan head, hole, round, screw",
    # sides
    "floor": "bottom, base, down, below, under",
    "back": "rear, behind",
    # hazards
    "sharp": "knife, blade, pointed, point, edge, cutting",
    "warm": "hot, heat, heated",
    "mains": "electric, electrical, electricity, plug, plugged, power, charger, charging",
    "wet": "water, damp, moist, liquid, bathroom",
    "child": "children, kid, kids, baby, toy, toys",
    # sections, surfaces, pictures, views
    "straight": "linear, flat, ruled",
    "smooth": "curve, curved, spline, cubic",
    "auto": "automatic, default, any",
    "mirror": "symmetry, symmetric, symmetrical",
    "piece": "object, part, template, card, paper, silhouette",
    "cut_out": "hole, hollow, negative",
    "line": "outline, drawn, drawing, pencil, pen, contour",
    "middle": "centre, center",
    "inside": "inner, in",
    "outside": "outer, out",
    "ruler": "rule",
    "bank_card": "card, credit card, debit card",
    "tag": "dpi, resolution, file, exif",
    "sheet": "paper, a4, capture sheet",
    "free": "none, unknown, no",
    "given": "known, true, own",
    # printing and trying
    "closed": "full, whole",
    "open": "c, split, cut",
    "Letter": "us letter, us",
    "test-piece": "ring, slice, peg, piece",
    "holder": "stand, final, print, whole",
    "no-go": "no, nogo, stuck, jammed, jams, too small, does not go in, does not fit",
    "tight": "too tight, stiff, rubs, hard",
    "good": "ok, okay, fits, fit, perfect, snug, right, fine, yes",
    "loose": "too loose, rattles, wobbles, wobbly, slack, too big, too large",
    # units
    "mm": "millimetre, millimetres, millimeter, millimeters",
    "cm": "centimetre, centimetres, centimeter, centimeters",
    "in": "\", '', inch, inches, zoll",
    "ft": "foot, feet",
    "deg": "degree, degrees",
    "g": "gram, grams, gramme, grammes",
    "kg": "kilo, kilos, kilogram, kilograms",
}
"""Other words of people for keys and values, by what these are called here; where a word stands for several that are allowed, the first is meant."""


def likely_meant(word: str, known: Sequence[str]) -> str:
    """The known word that another stands for, or an empty text.

    Examples
    --------
    >>> likely_meant("Circle", ["rectangle", "ellipse"]), likely_meant("circle", ["box", "oval", "hug"])
    ('ellipse', 'oval')
    >>> likely_meant("elipse", ["rectangle", "ellipse"]), likely_meant("zebra", ["rectangle", "ellipse"])
    ('ellipse', '')
    """
    return next(_likely(_plain(word[:_LONGEST]), known), "")


def _likely(word: str, known: Sequence[str]) -> Iterator[str]:
    """Known words that it may stand for, the likeliest first."""
    by_plain = {_plain(one): one for one in known}
    if word in by_plain:
        yield by_plain[word]
    yield from (one for one, also in _ALSO.items() if one in known and word in also.split(", "))
    begun = [plain for plain in by_plain if word.startswith(plain) and _is_more(word[len(plain) :])]
    if begun:
        yield by_plain[max(begun, key=len)]
    for near in get_close_matches(word, by_plain, n=1, cutoff=_ALIKE):
        yield by_plain[near]


def _is_more(rest: str) -> bool:
    """Whether what stands behind a word is more of what was said rather than the end of another word or number."""
    return not rest.isalpha() and not rest[:1].isdigit()


def _plain(word: str) -> str:
    """The word in small letters, its parts apart by blanks."""
    return " ".join(word.lower().replace("_", " ").replace("-", " ").split())

"""Words that people say for those that a project knows: each leads to the one that was meant."""

import pytest

from cradle.project.block import BlockForm, CornerForm, PlateHole
from cradle.project.convert import Choice
from cradle.project.fasteners import SCREWS
from cradle.project.materials import MATERIALS
from cradle.project.mistake import MistakeError
from cradle.project.opening import OPENINGS, OpeningKind, Through
from cradle.project.other_words import _ALSO, likely_meant
from cradle.project.picture import LineEdge, ScaleFrom, Traced
from cradle.project.printer import Paper, RingForm
from cradle.project.project import TABLES, tables
from cradle.project.section import DRAWING_UNITS, Align, Between, Form
from cradle.project.side import Side
from cradle.project.thing import Hazard
from cradle.project.trial_log import Outcome, TrialPiece
from cradle.project.view import ViewScale
from cradle.units import G_PER, MM_PER

ALL = [
    *(BlockForm, CornerForm, PlateHole, OpeningKind, Through, LineEdge, ScaleFrom, Traced, Paper, RingForm),
    *(DRAWING_UNITS, Align, Between, Form, Side, Hazard, Outcome, TrialPiece, ViewScale, SCREWS, MATERIALS),
]
"""The words of every key that takes one out of a few."""


def hint_of(options, said: str) -> str:
    with pytest.raises(MistakeError) as caught:
        Choice(options)(said)
    return caught.value.mistakes[0].hint


@pytest.mark.parametrize(
    ("options", "said", "meant"),
    [
        (Form, "circle", "ellipse"), (Form, "Round", "ellipse"), (Form, "oval", "ellipse"),
        (Form, "box", "rectangle"), (Form, "square", "rectangle"), (Form, "rounded-rectangle", "rectangle"),
        (Form, "squircle", "superellipse"), (BlockForm, "round", "oval"), (BlockForm, "circle", "oval"),
        (BlockForm, "rectangle", "box"), (BlockForm, "square", "box"), (BlockForm, "contour", "hug"),
        (CornerForm, "chamfer", "cut"), (CornerForm, "fillet", "round"), (OpeningKind, "hole", "round"),
        (OpeningKind, "circle", "round"), (OpeningKind, "rectangle", "window"), (OpeningKind, "cutout", "notch"),
        (OpeningKind, "cable", "notch"), (OpeningKind, "lever", "notch"), (OpeningKind, "vents", "slot"),
        (OpeningKind, "countersink", "countersunk"), (OpeningKind, "text", "label"), (OpeningKind, "foot", "feet"),
        (PlateHole, "straight", "plain"), (Through, "bottom", "floor"), (Side, "rear", "back"),
        (Hazard, "blade", "sharp"), (Hazard, "hot", "warm"), (Hazard, "electric", "mains"), (Hazard, "water", "wet"),
        (Hazard, "kids", "child"), (Between, "linear", "straight"), (Align, "symmetric", "mirror"),
        (Traced, "cut-out", "cut_out"), (Traced, "hole", "cut_out"), (Traced, "pencil", "line"),
        (ScaleFrom, "credit card", "bank_card"), (ScaleFrom, "dpi", "tag"), (LineEdge, "centre", "middle"),
        (RingForm, "full", "closed"), (Paper, "US Letter", "Letter"), (Paper, "a4", "A4"), (Outcome, "ok", "good"),
        (Outcome, "too tight", "tight"), (Outcome, "stuck", "no-go"), (Outcome, "rattles", "loose"),
        (TrialPiece, "ring", "test-piece"), (DRAWING_UNITS, "inches", "in"), (DRAWING_UNITS, "millimetres", "mm"),
        (SCREWS, "m4", "M4"), (SCREWS, "M4x20", "M4"), (MATERIALS, "PLA+", "PLA"), (ViewScale, "unknown", "free"),
    ],
)  # fmt: skip
def test_a_plain_word_leads_to_the_one_that_was_meant(options, said, meant):
    assert hint_of(options, said).startswith(f"did you mean {meant}? use ")


@pytest.mark.parametrize("options", ALL, ids=lambda options: next(iter(options)))
def test_every_word_that_lacks_a_letter_leads_to_the_whole(options):
    words = [str(word) for word in options]
    long = [word for word in words if len(word) > 3]
    assert {word: likely_meant(word[:2] + word[3:], words) for word in long} == {word: word for word in long}


@pytest.mark.parametrize(
    ("table", "said", "meant"),
    [
        ("section.measured", "diameter", "width"), ("section.measured", "radius", "corner"),
        ("section", "file", "outline"), ("section", "z", "height"), ("section.picture", "image", "file"),
        ("view", "side", "from"), ("block", "type", "form"), ("block", "thickness", "wall"), ("fit", "gap", "clearance"),
        ("row", "number", "count"), ("printer", "filament", "material"), ("opening", "type", "kind"),
    ],
)  # fmt: skip
def test_a_plain_word_for_a_key_leads_to_the_one_that_was_meant(table, said, meant):
    known = OPENINGS.inside if table == "opening" else dict(tables())[table].inside
    assert said not in known
    assert likely_meant(said, list(known)) == meant


def test_a_word_like_none_leads_nowhere():
    assert [likely_meant("zebra", [str(word) for word in options]) for options in ALL] == [""] * len(ALL)


def test_every_word_that_others_lead_to_is_known_to_some_key():
    known = {str(word) for options in ALL for word in options} | {"auto", "deg", *MM_PER, *G_PER}
    keys = {name for _, table in tables() for name in table.inside} | {OPENINGS.by}
    assert set(_ALSO) - known <= keys | set(TABLES)
    assert likely_meant("profiles", list(TABLES)) == "side"

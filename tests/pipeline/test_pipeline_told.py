"""What is told of a finished holder: frames, figures, and what leaves too little."""

import re

import numpy as np
import pytest
from daily import each_value_daily
from tins import made_of, tin

from cradle.errors import HolderError, InputError
from cradle.finding import Severity, but_notes
from cradle.pipeline import model_thing
from cradle.project.reader import read_project
from cradle.project.side import Side
from cradle.report.doubts import gravity
from cradle.report.recommendation import Advised, recommendation
from cradle.report.summary import summary_of

UNEVEN = ("0,0\n50,0\n52,15\n30,22\n24,40\n5,44\n", "a.csv")
ABOVE = "".join(
    f'[[section]]\nheight = {z}\noutline = "{UNEVEN[1]}"\nwidth = 52\ndepth = 44\n'
    for z in (90, 140, 200, 270)
)
"""Sections of a form that tells nothing of how they lie, far above a tin."""


def test_the_way_out_is_told_in_the_thing_s_own_frame(written):
    made = made_of(written, tin(30, extra="lift_out = [0, 0.1, 1]\n[block]\nheight = 20\nlean = 15\n"))
    told = np.array(summary_of(made)["insertion"])
    assert told == pytest.approx(np.array([0, 0.1, 1]) / np.hypot(1, 0.1), abs=1e-6)


def test_a_clearance_that_the_inside_error_eats_up_is_told(written):
    text = tin(30, clearance=0.1, extra="[printer]\ninside_error = -0.2\n")
    with pytest.raises(
        InputError,
        match=r"printer.inside_error: a clearance of 0.1 mm .* 0.1 mm per side smaller than the thing",
    ):
        made_of(written, text)


@pytest.mark.slow
def test_a_stated_height_counts_for_standing(written):
    cup = "\n".join(
        f'[[section]]\nheight = {z}\nmeasured = {{ form = "ellipse", width = {w}, depth = {d} }}'
        for z, w, d in ((2, 30, 24), (20, 40, 32), (40, 46, 36))
    )
    tall = f"[object]\nmass = 2000\nheight = 400\n{cup}\n[block]\nheight = 30\n"
    given = tall.replace("height = 400", "height = 400\nbalance = [0, 0, 200]", 1)
    short = tall.replace("height = 400\n", "", 1)
    angles = [summary_of(made_of(written, text))["tip_angle_deg"] for text in (tall, given, short)]
    assert angles[0] == pytest.approx(angles[1], abs=1.0)  # a straight thing balances half way up
    assert angles[2] > 3 * angles[0]


def test_the_floor_left_over_a_recess_is_the_thinnest(written):
    magnet = '[[opening]]\nkind = "magnet"\ndiameter = 10\ndepth = 3\n'
    made = made_of(written, tin(30, extra=f"[block]\nheight = 30\nfloor = 4\n{magnet}"))
    assert summary_of(made)["floor_least_mm"] == pytest.approx(0.8, abs=0.02)
    (near,) = [f for f in made.findings if f.code == "recess-near-pocket"]
    assert "0.1 mm thicker" in near.advice


@pytest.mark.parametrize(
    ("at", "diameter", "told"),
    [
        ([0, 0], 9, "reaches past the pocket above it; make it smaller$"),
        (
            [1, 0],
            6,
            "reaches past the pocket above it; move it towards the middle of the pocket or make it smaller$",
        ),
        ([9, 0], 6, "has no pocket above it; move it towards the middle of the pocket or make it smaller$"),
    ],
)
def test_a_drain_that_reaches_past_its_pocket_is_told_what_helps(written, at, diameter, told):
    """One that would fit nearer to the middle was said to be too wide, and was only to be made smaller."""
    drain = f'[[opening]]\nkind = "drain"\nat = {at}\ndiameter = {diameter}\n'
    with pytest.raises(HolderError, match=told):
        made_of(written, tin(6, extra=f"[block]\nheight = 30\n{drain}"))


def test_a_thing_that_ends_below_the_rim_is_told_and_not_judged_above_its_end(written):
    low = (
        "[object]\nmass = 5\nheight = 10\n[[section]]\nheight = 0.5\n"
        'measured = { form = "ellipse", width = 20, depth = 20 }\n[[section]]\nheight = 8\n'
        'measured = { form = "ellipse", width = 24, depth = 24 }\n[fit]\nclearance = 0.6\n[block]\nheight = 30\n[spread]\nbetween = 0.05\n'
    )
    made = made_of(written, low)
    told = {f.code: f for f in made.findings}
    assert told["thing-below-rim"].advice == "make the block lower than 10 mm, or cut finger notches"
    assert (
        "the 2.00 mm above" in told["extended-above"].message
    )  # of the thing, which ends at 10 mm, not of the block
    assert "a section near 10.0 mm" in told["extended-above"].advice
    fingers = made_of(written, f'{low}[[opening]]\nkind = "finger"\nthrough = "front"\n')
    (doubt,) = [f for f in fingers.findings if f.code == "thing-below-rim"]
    assert doubt.advice.endswith("or see that its finger notches reach well below 10 mm")
    assert made.own.model.learned.model.places.heights_mm.max() <= 10
    assert summary_of(made)["chance_of_fit"] > 0.8


@pytest.mark.parametrize(("read", "seen"), [((), 0), (("front", "back", "left"), 3), (tuple(Side), 4)])
def test_what_may_stand_out_on_a_side_that_nothing_shows_is_told(written, read, seen):
    for side in read:
        out = 15 if side in ("right", "back") else -15
        written(f"0,{out}\n60,{out}\n", f"{side}.csv")
    sides = "\n".join(f'{side} = "{side}.csv"' for side in read)
    made = made_of(written, tin(30, extra=f"[side]\n{sides}\n" if read else ""))
    told = [f.message for f in made.findings if f.code == "sides-not-seen"]
    unseen = {0: "front, back, left and right sides", 3: "right side"}
    assert len(told) == (seen < 4)
    assert all(f"shows the thing's {unseen[seen]}: a handle" in message for message in told)


@pytest.mark.parametrize(("height", "offered"), [(55, 0), (90, 1)])
def test_a_block_that_ends_above_all_that_was_measured_may_end_lower(written, height, offered):
    made = made_of(written, tin(30, clearance=0.2, extra=f"[block]\nheight = {height}\n"))
    told = [f.advice for f in made.findings if f.where == "fit.clearance"]
    assert told
    assert sum("end the block at 60 mm" in advice for advice in told) == offered


@pytest.mark.first_daily
@pytest.mark.parametrize(("clearance", "unsure"), [('"auto"', False), ('"auto"', True), (0.1, True)])
def test_the_profiles_of_its_sides_are_asked_for_once_and_by_a_warning_where_one_is_about_them(
    written, clearance, unsure
):
    """How it leans is a warning: it asks itself where the fit does so in a note, which `make` does not print."""
    written(*UNEVEN)
    sure, high = tin(30, clearance=clearance), tin(30, clearance=clearance, extra="[block]\nheight = 200\n")
    made = made_of(written, high + ABOVE if unsure else sure)
    told = [str(f) for f in (but_notes(made.findings) if unsure else made.findings)]
    (lean,) = [f.severity for f in made.findings if f.code == "lean-not-known"]
    assert (lean is Severity.WARN) == unsure
    assert len([words for words in told if re.search("measure (the|a) profile", words)]) == 1


@pytest.mark.first_daily
@pytest.mark.parametrize(("height", "severity"), [(30, Severity.NOTE), (200, Severity.WARN)])
def test_sections_far_above_the_rim_that_may_lie_anywhere_are_no_warning(written, height, severity):
    """How a thing leans that is held at its foot alone its holder does not feel."""
    written(*UNEVEN)
    text = tin(30, clearance='"auto"', extra=f"[block]\nheight = {height}\n") + ABOVE
    (lean,) = [f for f in made_of(written, text).findings if f.code == "lean-not-known"]
    assert lean.severity is severity
    assert ("as far up as the holder reaches" in lean.message) == (severity is Severity.NOTE)


@pytest.mark.parametrize(("clearance", "asked"), [('"auto"', False), (0.1, True), (1.9, False)])
def test_whether_the_fit_warns_and_asks_for_profiles_is_known_beside_its_words(written, clearance, asked):
    fit = made_of(written, tin(30, clearance=clearance)).own.assessment
    assert fit.sides_asked == asked
    assert (
        any(fit.where_to_measure and fit.where_to_measure in f.advice for f in but_notes(fit.findings))
        == asked
    )


@pytest.mark.parametrize(
    ("known", "loose"), [("", True), ("[spread]\nbetween = 0.02\nplacing = 0.02\n", False)]
)
def test_a_verdict_to_print_tells_how_loosely_the_thing_is_held_and_what_holds_it_closer(
    written, known, loose
):
    made = made_of(written, tin(30, clearance='"auto"', extra=f"between = 0\n[block]\nheight = 30\n{known}"))
    advice = recommendation(made)
    assert advice.advised is Advised.PRINT
    # a loose fit is 0.5 mm on each side: common practice, no source
    assert (made.own.assessment.chance.play_mm > 1.0) == loose
    assert (" may shift by " in advice.reason) == (": to hold it closer, " in advice.reason) == loose


# Densities from memory: expanded polystyrene 0.015 to 0.03 g/cm³, balsa 0.1 and more, gold 19.3
@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("mass", "says"),
    [("", None), ("mass = 40", None), ("mass = 0.3", "0.3 kg are 300"), ("mass = 1.5", "in g; if")],
)
def test_a_mass_that_only_foam_has_is_doubted_and_kg_are_offered_where_they_can_be_meant(written, mass, says):
    text = tin(30, extra="[block]\nheight = 20\n").replace("mass = 100", mass)
    made = made_of(written, text)
    told = [f for f in made.findings if f.code == "mass-too-small"]
    assert [f.severity for f in told] == [Severity.WARN] * (says is not None)
    assert all(says in f.advice for f in told)
    assert all(f.where == "object.mass" for f in told)


@pytest.mark.parametrize(("height", "told"), [(60.0, 0), (6.0, 0), (4.5, 1)])
def test_sections_so_close_above_each_other_that_their_heights_may_be_in_cm_are_noted(written, height, told):
    text = tin(30, extra="[block]\nheight = 4\n").replace("height = 60.0", f"height = {height}")
    notes = [f for f in made_of(written, text).findings if f.code == "sections-flat"]
    assert [f.advice for f in notes] == ["if the heights are in cm, write them in mm"] * told
    assert all(f.severity is Severity.NOTE for f in notes)


def test_heights_in_cm_below_a_holder_in_mm_are_warned_of_once_and_first(written):
    text = tin(30, extra="[block]\nheight = 40\n").replace("height = 60.0", "height = 4.5")
    loud = sorted(
        (f for f in made_of(written, text).findings if f.severity is not Severity.NOTE), key=gravity
    )
    assert loud[0].code == "sections-flat"
    assert [f.code for f in loud if "heights are in cm" in f.advice] == ["sections-flat"]


# A thing of water's density that is held at a tenth of its height: doubted in cm, where it is a thousand times as dense.
@pytest.mark.parametrize(("per_mm", "told"), [(1.0, []), (0.1, ["mass-too-large", "sections-small"])])
def test_a_thing_whose_lengths_are_all_in_cm_is_doubted(written, per_mm, told):
    text = (
        f"[object]\nmass = 1400\nheight = {600 * per_mm}\n[fit]\nclearance = 0.4\n[block]\nheight = {50 * per_mm}\n"
        + "".join(
            f"[[section]]\nheight = {z * per_mm}\n"
            f'measured = {{ form = "ellipse", width = {60 * per_mm}, depth = {50 * per_mm} }}\n'
            for z in (5, 60)
        )
    )
    found = [f for f in made_of(written, text).findings if "in cm" in f.advice]
    assert sorted(f.code for f in found) == told
    assert not any(f.about.tried for f in found if f.code == "mass-too-large")  # a ring weighs nothing


@pytest.mark.parametrize("count", [1, 2])
def test_what_hangs_on_a_wall_is_told_with_all_its_things(written, count):
    hung = f'[block]\nheight = 20\n[row]\ncount = {count}\n[plate]\nwidth = {80 + 40 * count}\nscrew = "M4"\n'
    made = made_of(written, tin(30, extra=hung).replace("mass = 100", "mass = 1500"))
    assert 0 < made.mass_g < 100
    (told,) = [words for words in made.cautions if "filled it weighs" in words]
    assert f"up to {1.6 if count == 1 else 3.1} kg; the screw" in told


@pytest.mark.parametrize(
    ("plate", "what"), [("", "tipping check"), ('[plate]\nwidth = 120\nscrew = "M4"\n', "on the wall")]
)
def test_a_mass_that_is_not_given_is_told_with_what_it_is_taken_for(written, plate, what):
    made = made_of(written, tin(30, extra=f"[block]\nheight = 20\n{plate}").replace("mass = 100", ""))
    (note,) = [f.message for f in made.findings if f.code == "mass-assumed"]
    assert what in note


@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("opening", "told", "count"),
    each_value_daily(
        [
            ('kind = "drain"\ndiameter = 34', True),  # round it, the pocket's 0.4 mm
            ('kind = "drain"\ndiameter = 20', False),
            ('kind = "slot"\nthrough = "floor"\nwidth = 32\nlength = 35', True),
            ('kind = "magnet"\ndiameter = 12\ndepth = 1', False),
        ],
        [1, 2],
    ),
)
def test_an_opening_as_large_as_the_foot_is_told(written, opening, told, count):
    extra = f"[block]\nheight = 20\n[row]\ncount = {count}\n[[opening]]\n{opening}\n"
    found = [f for f in made_of(written, tin(35, extra=extra)).findings if f.code == "foot-unsupported"]
    assert len(found) == told
    assert all("from under the thing's foot" in f.message and not f.about.tried for f in found)


@pytest.mark.parametrize("clearance", ["0.5", '"auto"'])
def test_what_advises_a_section_carries_its_height(written, clearance):
    text = tin(30, 26, clearance=clearance, extra="[block]\nheight = 40\n[spread]\nbetween = 0.6\n")
    made = made_of(written, text)
    told = made.own.assessment.next
    advising = [finding for finding in made.findings if finding.section_mm is not None]
    assert {finding.section_mm for finding in advising} == {told.first_mm}
    assert [f for f in made.findings if str(told) in f.advice] == advising


@pytest.mark.parametrize(("word", "pair"), [("width", ("left", "right")), ("depth", ("front", "back"))])
def test_a_plain_shape_that_both_its_profiles_contradict_is_to_be_measured_again_too(written, word, pair):
    """Only the profiles were, and the section's height; of a misread width both are right."""
    for side, sign in zip(pair, (-1, 1), strict=True):
        written("".join(f"{z},{sign * (20 + z / 10 + (z > 0))}\n" for z in range(0, 61, 5)), f"{side}.csv")
    other, flat = ("depth", "width")[word == "depth"], 'measured = { form = "ellipse", '
    text = "".join(
        f"[[section]]\nheight = {z}\n{flat}{word} = {2 * (20 + z / 10)}, {other} = 38 }}\n"
        for z in (0, 30, 60)
    )
    model = model_thing(
        read_project(written(f"{text}[side]\n" + "".join(f'{s} = "{s}.csv"\n' for s in pair)))
    )
    told = [f for f in model.findings if f.code == "reading-disagrees"]
    assert told
    assert all(f"the section's {word} and height" in f.advice for f in told)


def test_what_of_a_leaning_thing_is_above_its_sections_is_told_of_what_its_block_holds(written):
    """It was told as if the block's rim were a whole width further up, and to end it where the sections end."""

    def told(height):
        text = tin(30, 60, extra=f"[block]\nheight = {height}\nlean = 20\n")
        found = model_thing(read_project(written(text))).findings
        return next((f for f in found if f.code == "extended-above"), None)

    # on its lowest edge, 30 mm behind its middle, it stands 30 sin 20° higher; its rear holds 30 sin 20° less of that
    reach = 60 * np.cos(np.radians(20))
    assert told(reach - 0.1) is None
    above = told(reach + 10)
    assert above.measured == pytest.approx(10 / np.cos(np.radians(20)), abs=0.01)
    assert above.advice.endswith(f", or end the block at {reach:.2f} mm")

"""Clearances on their way, by hand."""

import datetime
from dataclasses import replace

import numpy as np
import pytest
from prism import INSIDE_ERROR_MM, prism_row

from cradle.fit.advice import MOST_CLEARANCE_MM
from cradle.fit.between_clearance import MOST_BETWEEN_MM
from cradle.pipeline import foreseen
from cradle.pipeline.clearances import asked_clearance, greatest_gap_mm, ring_clearances_mm
from cradle.pocket.clearance import clearance_profile
from cradle.project.convert import AUTO
from cradle.project.fit import FitSpec
from cradle.project.trial_log import Outcome, Trial, TrialPiece
from cradle.result.rings_to_try import about, rings_to_try


def fit(model, **changes):
    return replace(model.project, fit=replace(model.project.fit, **changes))


@pytest.fixture(scope="module")
def model():
    return prism_row().things[0]


@pytest.mark.parametrize(
    ("clearance", "rings"),
    [
        (0.35, (0.25, 0.35, 0.45)),
        (0.333, (0.25, 0.35, 0.45)),
        (0.1, (0.05, 0.1, 0.2)),
        (0.0, (0.05, 0.1, 0.2)),
        (0.5, (0.4, 0.5, 0.6)),
    ],
)
def test_three_rings_a_tenth_apart_on_twentieths_of_a_millimetre(clearance, rings):
    assert about(clearance) == pytest.approx(rings)


def test_beside_a_gap_that_allows_for_a_guess_lie_rings_of_a_sliding_and_of_a_loose_fit():
    assert about(0.56) == (0.25, 0.45, 0.55)
    assert about(1.27) == (0.25, 0.45, 1.25)
    assert about(0.6, taught_mm=0.2) == (0.5, 0.6, 0.7)  # the fit itself, of a printer that prints narrow
    assert about(0.45, taught_mm=-0.2) == (0.35, 0.45, 0.55)


def test_rings_are_about_the_holder_s_own_clearance_unless_the_project_names_some(model):
    assert ring_clearances_mm(model) == (0.3, 0.4, 0.5)
    named = replace(model.project, test_pieces=replace(model.project.test_pieces, clearances_mm=(0.15,)))
    assert ring_clearances_mm(replace(model, project=named)) == (0.15,)


def test_the_greatest_gap_is_the_sum_of_all_that_may_be_asked_for(model):
    assert greatest_gap_mm(model.project, trials=()) == pytest.approx(0.4 + INSIDE_ERROR_MM)
    roomy = fit(model, between_mm=0.25)
    assert greatest_gap_mm(roomy, trials=()) == pytest.approx(0.4 + INSIDE_ERROR_MM + 0.25)
    by_program = fit(model, clearance_mm=AUTO, between_mm=0.0)
    assert greatest_gap_mm(by_program, trials=()) == pytest.approx(MOST_CLEARANCE_MM + INSIDE_ERROR_MM)
    unsaid = replace(model.project, fit=FitSpec())
    most = MOST_CLEARANCE_MM + MOST_BETWEEN_MM + INSIDE_ERROR_MM
    assert greatest_gap_mm(unsaid, trials=()) == pytest.approx(most)


def test_a_given_clearance_counts_for_all_sections_and_takes_the_place_of_theirs(model):
    first, second = model.sections
    own = replace(model, sections=(replace(first, clearance_mm=0.7), second))
    asked = asked_clearance(own)
    assert asked.profile.clearances_mm.tolist() == [0.7, 0.4]
    assert asked.advice is None
    assert asked_clearance(own, clearance_mm=0.2).profile.clearances_mm.tolist() == [0.2, 0.2]


def test_rings_are_about_the_gap_that_trials_leave_the_holder(model):
    taught = replace(model, learned=replace(model.learned, corrections_mm=(0.2, 0.2)))
    assert ring_clearances_mm(taught) == (0.5, 0.6, 0.7)
    by_program = replace(taught, project=fit(model, clearance_mm=AUTO))
    own = asked_clearance(by_program).in_file.least_mm - INSIDE_ERROR_MM
    assert ring_clearances_mm(by_program) == about(own, taught_mm=0.2)


def test_trials_add_the_same_to_what_was_stated_and_to_what_the_program_advised(model):
    taught = replace(model, learned=replace(model.learned, corrections_mm=(0.053, -0.02)))
    stated = asked_clearance(taught)
    assert stated.profile.clearances_mm == pytest.approx([0.4, 0.4])
    assert stated.in_file.clearances_mm == pytest.approx([0.453 + INSIDE_ERROR_MM, 0.38 + INSIDE_ERROR_MM])
    advised = asked_clearance(replace(taught, project=fit(model, clearance_mm=AUTO)))
    assert advised.advice is not None
    assert advised.advice.reached
    frozen_in = asked_clearance(taught, clearance_mm=float(advised.profile.clearances_mm.max()))
    assert (frozen_in.in_file.clearances_mm >= advised.in_file.clearances_mm - 1e-9).all()
    added = advised.in_file.clearances_mm - INSIDE_ERROR_MM - advised.profile.clearances_mm
    assert added == pytest.approx([0.053, -0.02])
    untaught = asked_clearance(replace(model, project=fit(model, clearance_mm=AUTO)))
    gap, before = advised.in_file.clearances_mm, untaught.in_file.clearances_mm
    assert (gap >= before - 1e-9).all()  # the chance asked for is reached by the gap ...
    assert (gap <= before + 0.01 + 1e-9).all()  # ... to the step that clearances are told in


def test_trials_add_to_a_section_s_own_clearance_beside_those_the_program_chooses(model):
    first, second = model.sections
    taught = replace(
        model,
        sections=(replace(first, clearance_mm=0.7), second),
        learned=replace(model.learned, corrections_mm=(0.05, 0.05)),
        project=fit(model, clearance_mm=AUTO),
    )
    asked = asked_clearance(taught)
    assert asked.profile.clearances_mm[0] == 0.7
    assert asked.in_file.clearances_mm[0] == pytest.approx(0.75 + INSIDE_ERROR_MM)


def test_the_file_gets_the_printer_s_inside_error_on_top_everywhere(model):
    asked = asked_clearance(model)
    at = np.linspace(0, 40, 9)
    assert asked.in_file.at(at) == pytest.approx(asked.profile.at(at) + INSIDE_ERROR_MM)


def test_a_clearance_above_the_rim_is_no_clearance_of_the_holder(model):
    """The prism's second section lies at 40 mm, the rim at 30: a tenth there is 0.17 at the rim, of 0.4 and 27 of 37 mm."""
    first, second = model.sections
    snug = replace(model, sections=(first, replace(second, clearance_mm=0.1)))
    asked = asked_clearance(snug).profile
    at_rim = 0.4 - 0.3 * 27 / 37
    assert asked.least_mm == pytest.approx(at_rim)
    assert asked.clearances_mm.tolist() == [0.4, 0.1]
    wide = replace(model, sections=(first, replace(second, clearance_mm=0.9)))
    assert asked_clearance(wide).profile.held().greatest_mm == pytest.approx(0.4 + 0.5 * 27 / 37)


def test_the_held_part_of_a_profile_is_the_same_as_the_whole_below_the_rim():
    whole = clearance_profile(
        [2, 20, 33, 50],
        [0.3, 0.5, 0.2, 0.1],
        default_mm=0,
        between_mm=np.array([0.2, 0.6, 0.4]),
        held_to_mm=29,
    )
    held, z = whole.held(), np.linspace(0, 29, 100)
    assert held.at(z) == pytest.approx(whole.at(z), abs=1e-12)
    assert held.heights_mm[-1] == 29
    assert (whole.least_mm, held.greatest_mm) == pytest.approx((0.3, whole.at(z).max()), abs=1e-3)


def test_the_least_room_that_reaches_the_chance_is_the_least_that_the_pocket_has(model):
    first, second = model.sections
    snug = replace(model, sections=(first, replace(second, clearance_mm=0.05)))
    advice = asked_clearance(replace(snug, project=fit(model, clearance_mm=AUTO))).advice
    held = advice.asked.at(np.linspace(0, 30, 301))
    assert advice.asked.least_mm == pytest.approx(held.min()) != 0.05


def noted(seen, gap_mm, **place):
    return Trial(
        date=datetime.date(2026, 1, 5),
        piece=TrialPiece.TEST_PIECE,
        clearance_mm=gap_mm,
        gap_mm=gap_mm + INSIDE_ERROR_MM,
        seen=seen,
        **place,
    )


def test_the_ring_named_to_be_tried_is_one_that_teaches_where_it_is_tried():
    """At the low section 0.45 mm was tight: 0.25 mm, which the other place leaves open, would not go on there at all."""
    (model,) = prism_row().things
    trials = (noted(Outcome.TIGHT, 0.45, section="low"), noted(Outcome.LOOSE, 0.45, height_mm=20.0))
    taught = replace(model, learned=replace(model.learned, trials=trials))
    row = replace(prism_row(), things=(taught,))
    rings = rings_to_try(foreseen(row).own)
    assert rings.section == "low"
    assert min(rings.clearances_mm) < 0.45 < rings.clearance_mm

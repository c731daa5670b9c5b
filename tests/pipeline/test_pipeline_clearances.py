"""Clearances on their way, by hand."""

from dataclasses import replace

import numpy as np
import pytest
from prism import INSIDE_ERROR_MM, prism_row

from cradle.fit.advice import MOST_CLEARANCE_MM
from cradle.pipeline.clearances import asked_clearance, greatest_gap_mm, ring_clearances_mm
from cradle.project.convert import AUTO
from cradle.result.rings_to_try import about


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
    ],
)
def test_three_rings_a_tenth_apart_on_twentieths_of_a_millimetre(clearance, rings):
    assert about(clearance) == pytest.approx(rings)


def test_rings_are_about_the_holder_s_own_clearance_unless_the_project_names_some(model):
    assert ring_clearances_mm(model) == (0.3, 0.4, 0.5)
    named = replace(model.project, test_pieces=replace(model.project.test_pieces, clearances_mm=(0.15,)))
    assert ring_clearances_mm(replace(model, project=named)) == (0.15,)


def test_the_greatest_gap_is_the_sum_of_all_that_may_be_asked_for(model):
    assert greatest_gap_mm(model.project, trials=()) == pytest.approx(0.4 + INSIDE_ERROR_MM)
    roomy = fit(model, between_mm=0.25)
    assert greatest_gap_mm(roomy, trials=()) == pytest.approx(0.4 + INSIDE_ERROR_MM + 0.25)
    by_program = fit(model, clearance_mm=AUTO)
    assert greatest_gap_mm(by_program, trials=()) == pytest.approx(MOST_CLEARANCE_MM + INSIDE_ERROR_MM)


def test_a_given_clearance_counts_for_all_sections_and_takes_the_place_of_theirs(model):
    first, second = model.sections
    own = replace(model, sections=(replace(first, clearance_mm=0.7), second))
    asked = asked_clearance(own)
    assert asked.profile.clearances_mm.tolist() == [0.7, 0.4]
    assert asked.advice is None
    assert asked_clearance(own, clearance_mm=0.2).profile.clearances_mm.tolist() == [0.2, 0.2]


def test_trials_move_what_was_stated_and_not_what_the_program_advised(model):
    taught = replace(model, learned=replace(model.learned, corrections_mm=(0.05, -0.02)))
    stated = asked_clearance(taught)
    assert stated.profile.clearances_mm == pytest.approx([0.4, 0.4])
    assert stated.in_file.clearances_mm == pytest.approx([0.45 + INSIDE_ERROR_MM, 0.38 + INSIDE_ERROR_MM])
    advised = asked_clearance(replace(taught, project=fit(model, clearance_mm=AUTO)))
    assert advised.advice is not None  # it holds them already
    assert advised.in_file.clearances_mm == pytest.approx(advised.profile.clearances_mm + INSIDE_ERROR_MM)


def test_the_file_gets_the_printer_s_inside_error_on_top_everywhere(model):
    asked = asked_clearance(model)
    at = np.linspace(0, 40, 9)
    assert asked.in_file.at(at) == pytest.approx(asked.profile.at(at) + INSIDE_ERROR_MM)

"""Trials as a maker notes them: what the tried piece had in its file, and what is refused."""

import datetime
from dataclasses import replace

import numpy as np
import pytest
from prism import INSIDE_ERROR_MM, prism_row

from cradle.errors import InputError
from cradle.geometry.ring import size
from cradle.pipeline import cut_pieces
from cradle.pipeline.clearances import asked_clearance, ring_clearances_mm
from cradle.pipeline.steps import Steps
from cradle.pipeline.trials import kept_trials, with_trial, without_last_trial
from cradle.project.convert import AUTO
from cradle.project.trial_log import MOST_TRIALS, Outcome, Trial, TrialPiece
from cradle.result.rings_to_try import left_open, still_to_try

DAY = datetime.date(2026, 5, 17)
PIECE = Trial(date=DAY, piece=TrialPiece.TEST_PIECE, seen=Outcome.NO_GO, section="low", clearance_mm=0.3)


@pytest.fixture
def project():
    """The prism's project."""
    return prism_row().project


def test_a_test_piece_has_what_it_was_made_for_and_the_inside_error_in_its_file(project):
    (trial,) = with_trial(project, PIECE, earlier=()).trials
    assert trial.clearance_mm == 0.3
    assert trial.gap_mm == pytest.approx(0.3 + INSIDE_ERROR_MM)
    assert trial.project == project.file.name
    assert trial.size_mm == pytest.approx(size(prism_row().things[0].sections[0].points_mm), abs=0.006)


def test_every_ring_that_is_cut_can_be_noted_where_it_was_cut(project):
    """The prism's holder ends at 30 mm."""
    cut = cut_pieces(project, clearances_mm=[0.3], heights_mm=[0.0, 12.5])
    rings = [piece for piece in cut.pieces if piece.clearance_mm is not None]
    assert [ring.height_mm for ring in rings] == [0.0, 3.0, 12.5]
    for ring in rings:
        draft = replace(PIECE, section=None, height_mm=ring.height_mm, clearance_mm=ring.clearance_mm)
        update = with_trial(project, draft, earlier=())
        (trial,) = update.trials
        at = ("low", None) if ring.section == "low" else (None, ring.height_mm)
        assert (trial.section, trial.height_mm) == at
        assert trial.gap_mm == pytest.approx(0.3 + INSIDE_ERROR_MM)
        assert "trial-unusable" not in [finding.code for finding in update.after.findings]
    above = replace(PIECE, section=None, height_mm=35.0)  # a ring of an earlier, higher holder
    assert [finding.code for finding in with_trial(project, above, earlier=()).after.findings] == [
        "trial-unusable"
    ]


def test_a_holder_tried_between_two_sections_has_the_gap_that_is_there():
    (model,) = prism_row().things
    model = replace(model, project=replace(model.project, fit=replace(model.project.fit, between_mm=0.2)))
    steps = Steps(model=lambda project, **_: model)
    half_way = (3.0 + 40.0) / 2
    draft = Trial(date=DAY, piece=TrialPiece.HOLDER, seen=Outcome.GOOD, height_mm=half_way)
    (trial,) = with_trial(model.project, draft, earlier=(), steps=steps).trials
    assert trial.clearance_mm == pytest.approx(0.4 + 0.2)
    assert trial.gap_mm == pytest.approx(0.4 + 0.2 + INSIDE_ERROR_MM)


def test_a_holder_has_its_own_clearance_in_its_file(project):
    (trial,) = with_trial(
        project, Trial(date=DAY, piece=TrialPiece.HOLDER, seen=Outcome.GOOD), earlier=()
    ).trials
    assert (trial.section, trial.clearance_mm) == (None, pytest.approx(0.4))
    assert trial.gap_mm == pytest.approx(0.4 + INSIDE_ERROR_MM)


def test_a_piece_that_does_not_go_in_widens_the_next_and_one_that_is_loose_narrows_it(project):
    wider = with_trial(project, PIECE, earlier=())
    assert len(wider.before.trials) == 0
    assert len(wider.after.trials) == 1
    assert wider.after.corrections_mm[0] > 0.01
    loose = with_trial(project, replace(PIECE, seen=Outcome.LOOSE, clearance_mm=0.1), earlier=())
    assert loose.after.corrections_mm[0] < -0.01
    assert kept_trials(project, earlier=()).rings_mm == (0.3, 0.4, 0.5)


@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("seen", "way"), [(Outcome.NO_GO, 1), (Outcome.TIGHT, 1), (Outcome.GOOD, -1), (Outcome.LOOSE, -1)]
)
def test_the_gaps_told_are_those_that_the_next_holder_gets(project, seen, way):
    """Where the clearance is chosen anew, by things as they are now believed to be: it was said to stay as it is."""
    (model,) = prism_row().things
    chosen = replace(project, fit=replace(project.fit, clearance_mm=AUTO, between_mm=AUTO))
    steps = Steps(model=lambda project, **_: replace(model, project=project))
    holder = Trial(date=DAY, piece=TrialPiece.HOLDER, seen=seen)
    update = with_trial(chosen, holder, earlier=(), steps=steps)
    (at_low, between) = update.gaps
    assert (at_low.section, between.section) == ("low", None)
    for learned, told in ((update.before, "before_mm"), (update.after, "after_mm")):
        asked = asked_clearance(replace(model, project=chosen, learned=learned)).in_file.held()
        assert getattr(at_low, told) == pytest.approx(float(asked.at(np.array([3.0]))[0]))
        assert getattr(between, told) == pytest.approx(asked.greatest_mm)
    assert way * (at_low.after_mm - at_low.before_mm) > 0.005


def test_rings_at_hand_are_those_cut_before_those_noted_and_those_cut_now(project):
    odd = with_trial(project, replace(PIECE, clearance_mm=0.62), earlier=())
    assert {0.3, 0.4, 0.5, 0.62} <= set(odd.rings_mm)
    (model,) = prism_row().things
    now = ring_clearances_mm(replace(model, learned=odd.after))
    assert set(odd.rings_mm) == {0.3, 0.4, 0.5, 0.62, *now}
    assert now != (0.3, 0.4, 0.5)
    assert kept_trials(project, earlier=odd.kept).rings_mm == odd.rings_mm


@pytest.mark.slow
def test_the_next_rings_are_others_than_those_noted_until_trials_settle_the_fit(project):
    wide = replace(project, fit=replace(project.fit, clearance_mm=1.5))
    (first,) = with_trial(wide, PIECE, earlier=()).kept

    def noted(earlier, clearance, seen):
        gap = clearance + INSIDE_ERROR_MM
        return (*earlier, replace(first, clearance_mm=clearance, gap_mm=gap, seen=seen))

    def cut_after(kept):
        cut = cut_pieces(wide, trials=kept, clearances_mm=())
        rings = sorted({p.clearance_mm for p in cut.pieces if p.clearance_mm is not None})
        return rings, "pieces-settled" in {finding.code for finding in cut.findings}

    assert cut_after(()) == ([0.25, 0.45, 1.5], False)
    one = noted((), 0.25, Outcome.NO_GO)
    assert cut_after(one)[0] == pytest.approx([0.45, 1.5], abs=0.06)  # the rest of those at hand
    three = noted(noted(one, 0.45, Outcome.TIGHT), 1.5, Outcome.LOOSE)
    rings, done = cut_after(three)
    assert not done
    assert len(rings) == 3
    assert all(0.45 < clearance < 1.5 for clearance in rings)
    for last in ((0.55, Outcome.LOOSE), (0.7, Outcome.GOOD)):
        assert cut_after(noted(three, *last))[1]


@pytest.mark.slow
def test_the_last_of_the_project_s_own_is_taken_back_and_those_of_others_stay(project):
    own = with_trial(project, PIECE, earlier=()).kept[0]
    other = replace(own, project="other.toml")
    update = without_last_trial(project, earlier=(own, own, other))
    assert update.kept == (own, other)
    assert update.trials == (own,)
    assert kept_trials(project, earlier=(own, other)).kept == (own, other)
    with pytest.raises(InputError, match="there is no trial to undo"):
        without_last_trial(project, earlier=(other,))


@pytest.mark.parametrize(
    ("changes", "where"),
    [
        ({"section": "waist"}, "trial.section: no section is called 'waist'; there are low, high"),
        ({"section": "Lwo"}, "no section is called 'Lwo'; did you mean low? there are low, high"),
        ({"section": "HIGH"}, "no section is called 'HIGH'; did you mean high? there are low, high"),
        ({"section": None}, "trial.section: a test piece needs its section or its height"),
        ({"section": "at 12"}, "for a ring of another height give that height instead"),
        ({"height_mm": 12.0}, "trial.height: a section and a height are given"),
        ({"section": None, "height_mm": 41.0}, "trial.height: no test piece can be cut at 41.00 mm; choose"),
        ({"clearance_mm": None}, "trial.clearance: a test piece needs its clearance"),
        ({"read_mm": 40.0}, "trial.nominal: a reading and what it should be must be given together"),
        ({"nominal_mm": 40.0}, "trial.read: a reading and what it should be must be given together"),
        (
            {"seen": None, "piece": None},
            "trial.seen: this trial says neither how it went nor what was measured",
        ),
    ],
)
def test_a_trial_that_lacks_something_is_refused(project, changes, where):
    with pytest.raises(InputError) as caught:
        with_trial(project, replace(PIECE, **changes), earlier=())
    assert where in str(caught.value)


@pytest.mark.parametrize(
    ("read_mm", "nominal_mm", "hint"),
    [
        (4.95, 50.13, "in cm it would be 49.50 mm: give that"),
        (1.95, 49.6, "in inches it would be 49.53 mm: give that"),  # 25.4 mm to the inch, exactly
        (45.13, 50.13, "measure it again"),
        (
            0.43,
            4.4,
            "in cm it would be 4.30 mm: give that",
        ),  # within what a printer is off, but not of so small a hole
    ],
)
def test_a_reading_that_no_printer_s_error_explains_is_refused_with_the_unit_it_was_in(
    project, read_mm, nominal_mm, hint
):
    reading = replace(
        PIECE, piece=None, seen=None, section=None, clearance_mm=None, read_mm=read_mm, nominal_mm=nominal_mm
    )
    with pytest.raises(InputError, match=f"^trial.read: measured .*; .*{hint}"):
        with_trial(project, reading, earlier=())


def test_a_reading_as_far_off_as_the_printer_s_inside_error_may_be_is_believed(project):
    reading = replace(
        PIECE, piece=None, seen=None, section=None, clearance_mm=None, read_mm=46.2, nominal_mm=50.0
    )
    update = with_trial(project, reading, earlier=())
    assert update.after.after.expected_mm > update.before.after.expected_mm


def test_no_more_trials_are_noted_than_are_read(project):
    (trial,) = with_trial(project, PIECE, earlier=()).trials
    with pytest.raises(InputError, match="150 trials are kept already, the most that are read"):
        with_trial(project, PIECE, earlier=(trial,) * MOST_TRIALS)


@pytest.mark.slow
def test_a_ring_that_those_noted_at_its_place_tell_of_is_not_cut_again(project):
    """Tight at the low section and loose at 20 mm: each asks for other rings, and gets those alone."""
    both = replace(project, test_pieces=replace(project.test_pieces, heights_mm=(20.0,)))
    kept = tuple(
        with_trial(both, replace(PIECE, clearance_mm=clearance, seen=seen, **place), earlier=()).kept[0]
        for place, clearance, seen in (
            ({"section": "low"}, 0.4, Outcome.TIGHT),
            ({"section": None, "height_mm": 20.0}, 0.5, Outcome.LOOSE),
        )
    )
    cut = cut_pieces(both, trials=kept, clearances_mm=())
    rings = {(p.height_mm, p.clearance_mm) for p in cut.pieces if p.clearance_mm is not None}
    assert {height for height, _ in rings} == {3.0, 20.0}
    assert all(clearance > 0.4 if height == 3.0 else clearance < 0.5 for height, clearance in rings)
    assert "no test piece where those noted tell how it would go" in {f.message for f in cut.findings}
    asked = cut_pieces(both, trials=kept, clearances_mm=(0.3,))  # what is asked for is cut all the same
    assert (3.0, 0.3) in {(p.height_mm, p.clearance_mm) for p in asked.pieces}


@pytest.mark.parametrize("seen", [Outcome.NO_GO, Outcome.TIGHT, Outcome.LOOSE, Outcome.GOOD])
@pytest.mark.parametrize("smaller_mm", [18.0, -18.0])
def test_rings_of_an_outline_that_was_quite_another_neither_settle_nor_steer_those_to_try(
    project, seen, smaller_mm
):
    """What was seen has no effect, as is told; one that was too tight had other rings cut 9 mm smaller than the thing."""
    (noted,) = with_trial(project, replace(PIECE, seen=seen), earlier=()).kept
    before = replace(noted, size_mm=tuple(side - smaller_mm for side in noted.size_mm))

    def rings(trials):
        cut = cut_pieces(project, trials=trials, clearances_mm=())
        return {(p.section, p.clearance_mm) for p in cut.pieces if p.clearance_mm is not None}

    assert rings((before,)) == rings(())


def test_no_ring_is_tried_that_is_smaller_than_the_thing():
    """One too tight of an outline that grew by a little more than the gap it had."""
    small = replace(PIECE, gap_mm=-0.3)
    left = left_open([small], inside_error_mm=0.0)
    assert left["low"].tight_mm == 0.0
    tried = still_to_try([0.25, 0.45], left=left, noted_mm=[0.25, 0.45])
    assert tried
    assert min(tried) > 0

import datetime
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from fit_models import everywhere, model_of, round_places
from fit_simulation import simulated
from scipy.stats import norm, truncnorm

from cradle.finding import Severity
from cradle.fit.belief import Belief
from cradle.fit.belief_update import FEEL_MM, LIMITS_MM, Rule, updated
from cradle.fit.chance import chance_of_fit
from cradle.fit.trial_findings import MOST_CORRECTION_MM
from cradle.fit.trials import corrected, learn
from cradle.fit.uncertainties import Spread
from cradle.pocket.clearance import ClearanceProfile
from cradle.project.fit import SpreadSpec
from cradle.project.printer import PrinterSpec
from cradle.project.project import Project
from cradle.project.section import DrawingSource, SectionSpec
from cradle.project.side import Side
from cradle.project.trial_log import Outcome, Trial, TrialPiece

DAY = datetime.date(2026, 5, 17)


def project(*, inside=0.1, inside_spread=0.1, **spread):
    return Project(
        file=Path("nowhere/holder.toml"),
        sections=tuple(
            SectionSpec(name=n, height_mm=h, source=DrawingSource(path="a.svg"))
            for n, h in (("low", 0.0), ("middle", 10.0), ("high", 20.0))
        ),
        printer=PrinterSpec(inside_error_mm=inside),
        spread=SpreadSpec(inside_mm=inside_spread, repeat_mm=0.0, calipers_mm=0.0, step_mm=0.0, **spread),
    )


def trial(seen, gap, *, section="middle", piece=TrialPiece.TEST_PIECE, **more):
    return Trial(date=DAY, piece=piece, section=section, clearance_mm=gap, gap_mm=gap, seen=seen, **more)


def test_a_calipered_width_is_the_weighted_mean_of_belief_and_reading():
    # normal prior 0.10 ± 0.10, observed (62.0 − 61.4)/2 = 0.30 ± 0.10: posterior 0.20 ± 0.0707
    # (conjugate normal, any text); the word adds nothing: the piece is far too wide to tell
    plan = project()
    plan = Project(
        file=plan.file,
        sections=plan.sections,
        printer=plan.printer,
        spread=SpreadSpec(inside_mm=0.1, repeat_mm=0.1, calipers_mm=0.0, step_mm=0.0),
    )
    model = everywhere(0.1)
    seen = trial(Outcome.LOOSE, 9.0, read_mm=61.4, nominal_mm=62.0)
    learned = learn(model, [seen], project=plan)
    assert learned.before.expected_mm == pytest.approx(0.1)
    assert learned.after.expected_mm == pytest.approx(0.2, abs=1e-3)
    assert learned.after.spread_mm == pytest.approx(0.1 / np.sqrt(2), rel=0.01)


def test_a_thing_that_does_not_enter_cuts_the_belief_as_the_truncated_normal_does():
    # a hand with a fine feel: belief 0.10 ± 0.10, seen that it is more than 0.15
    model = everywhere(0.1)
    learned = learn(model, [trial(Outcome.NO_GO, 0.15)], project=project())
    noise = FEEL_MM
    rng = np.random.default_rng(1)
    y = 0.1 * rng.standard_normal(2_000_000) + 0.1
    kept = y[0.15 - y + noise * rng.standard_normal(len(y)) < 0]
    # mean_mm of this model is 0, the printer's stated error is added by the rule
    assert learned.after.expected_mm == pytest.approx(kept.mean(), abs=0.006)
    assert learned.after.spread_mm == pytest.approx(kept.std(), abs=0.006)
    sharp = truncnorm(0.5, np.inf, loc=0.1, scale=0.1)
    assert learned.after.expected_mm < sharp.mean()


@pytest.mark.parametrize("gap", [0.05, 0.3, 0.6])
def test_how_likely_a_trial_was_is_the_tail_of_what_was_believed(gap):
    """The room found is normal about the gap, spread by the belief and by the feel (scipy's normal distribution)."""
    rule = Rule(mean_mm=0.0, slope=np.array([0.2]), rest_mm=0.0)
    seen = trial(Outcome.TIGHT, gap)
    _, tail = updated(everywhere(0.2), Belief.as_stated(1), seen, rule=rule, project=project())
    found = norm(gap, np.hypot(0.2, FEEL_MM))
    low, high = LIMITS_MM[Outcome.TIGHT]
    assert tail == pytest.approx(min(found.cdf(high), found.sf(low)), rel=1e-6)


@pytest.mark.parametrize("gap", [0.15, 0.3, 0.45, 0.8, 1.5, 3.0])
def test_a_piece_that_goes_in_well_never_asks_for_more_room_however_wide_it_is(gap):
    places = round_places()
    own = [0.15 * (places.levels == k) for k in range(3)]
    model = model_of([*own, 0.05], [Spread.CALIPERS] * 3 + [Spread.INSIDE])
    plain = ClearanceProfile(heights_mm=model.section_heights_mm, clearances_mm=np.full(3, 0.35))
    learned = learn(model, [trial(Outcome.GOOD, gap)], project=project(inside_spread=0.05))
    assert max(learned.corrections_mm) < 1e-3
    assert chance_of_fit(learned.model, plain).chance >= chance_of_fit(model, plain).chance - 0.02
    assert not learned.findings


def test_tight_widens_loose_narrows_and_good_hardly_changes():
    model = everywhere(0.1)
    plan = project()
    gaps = {seen: learn(model, [trial(seen, 0.25)], project=plan).corrections_mm[1] for seen in Outcome}
    assert gaps[Outcome.NO_GO] > gaps[Outcome.TIGHT] > gaps[Outcome.GOOD] > gaps[Outcome.LOOSE]
    assert gaps[Outcome.NO_GO] > 0.1
    assert -0.04 < gaps[Outcome.GOOD] <= 0
    assert gaps[Outcome.LOOSE] < -0.03


def test_each_section_learns_for_itself_and_the_printer_for_all():
    places = round_places()
    own = [0.15 * (places.levels == k) for k in range(3)]
    model = model_of([*own, 0.05], [Spread.CALIPERS] * 3 + [Spread.INSIDE])
    learned = learn(model, [trial(Outcome.NO_GO, 0.2)], project=project(inside_spread=0.05))
    low, middle, high = learned.corrections_mm
    assert middle > low + 0.1
    assert low == pytest.approx(high, abs=0.01)
    printer = learned.after.expected_mm - learned.before.expected_mm
    assert low == pytest.approx(printer, abs=0.01)
    assert 0 < printer < 0.1


def test_more_trials_leave_less_doubt():
    model = everywhere(0.1)
    spreads = [
        learn(model, [trial(Outcome.GOOD, 0.25)] * n, project=project()).after.spread_mm for n in range(4)
    ]
    assert spreads[0] == pytest.approx(0.1)
    assert spreads == sorted(spreads, reverse=True)
    assert spreads[3] < 0.08


def test_taking_the_last_back_gives_what_was_before():
    model = everywhere(0.1)
    first, second = trial(Outcome.TIGHT, 0.2), trial(Outcome.LOOSE, 0.3)
    before = learn(model, [first], project=project())
    both = learn(before.model, [first, second], project=project())
    again = learn(both.model, [first], project=project())
    assert both.corrections_mm != before.corrections_mm
    assert again.corrections_mm == before.corrections_mm
    none = learn(both.model, [], project=project())
    assert none.corrections_mm == (0, 0, 0)
    assert none.model.learned is None


def test_contradictions_are_told_and_agreement_is_not():
    model = everywhere(0.1)
    agree = learn(model, [trial(Outcome.NO_GO, 0.05), trial(Outcome.GOOD, 0.3)], project=project())
    assert not agree.findings
    against = learn(model, [trial(Outcome.NO_GO, 0.4), trial(Outcome.LOOSE, 0.1)], project=project())
    assert {f.code for f in against.findings} == {"trial-contradicts"}
    assert len(against.findings) == 2


@pytest.mark.parametrize(
    ("gap", "words"), [(0.33, r"in only [1-4] % of cases"), (1.5, "in less than 0.1 % of cases")]
)
def test_how_unlikely_a_trial_is_is_told_no_closer_than_it_is_known(gap, words):
    learned = learn(everywhere(0.1), [trial(Outcome.NO_GO, gap)], project=project())
    (found,) = (f for f in learned.findings if f.code == "trial-contradicts")
    assert re.search(words, found.message)


@pytest.mark.parametrize(("seen", "sign"), [(Outcome.NO_GO, 1), (Outcome.LOOSE, -1)])
def test_a_correction_cut_short_is_told_with_what_was_wanted(seen, sign):
    model = everywhere(0.5)
    plan = project(inside=0.1, inside_spread=0.5)
    learned = learn(model, [trial(seen, 0.1 + sign * 0.9)] * 3, project=plan)
    assert learned.corrections_mm == (sign * MOST_CORRECTION_MM,) * 3
    (found,) = (f for f in learned.findings if f.code == "correction-capped")
    assert found.severity is Severity.WARN
    assert found.measured == pytest.approx(learned.after.expected_mm - learned.before.expected_mm)
    assert abs(found.measured) > 0.6
    assert f"ask for {abs(found.measured):.2f} mm {'more' if sign > 0 else 'less'} per side" in found.message
    assert "and too much at 2 others: only 0.50 mm is used" in found.message
    less = learn(model, [trial(seen, 0.3 - sign * 0.3)], project=plan)
    assert 0 < sign * less.corrections_mm[0] < MOST_CORRECTION_MM
    assert "correction-capped" not in {f.code for f in less.findings}


def test_a_section_that_is_not_there_teaches_nothing():
    learned = learn(everywhere(0.1), [trial(Outcome.TIGHT, 0.2, section="gone")], project=project())
    (found,) = learned.findings
    assert found.code == "trial-unusable"
    assert found.severity is Severity.WARN
    assert 'the thing has no such section; it has "' in found.message
    assert "what the section is called now, or, where it is gone, the height it had" in found.advice
    assert learned.corrections_mm == (0, 0, 0)


def test_several_trials_at_a_section_that_is_not_there_are_told_once():
    tried = [trial(Outcome.TIGHT, gap, section=name) for name in ("gone", "lost") for gap in (0.2, 0.3, 0.4)]
    learned = learn(everywhere(0.1), tried, project=project())
    told = [found.message.partition(": ")[0] for found in learned.findings]
    assert told == ['trials 1, 2 and 3 at section "gone"', 'trials 4, 5 and 6 at section "lost"']


@pytest.mark.parametrize("seen", [None, Outcome.TIGHT])
def test_a_reading_tells_of_the_printer_wherever_it_was_taken(seen):
    model, plan = everywhere(0.1, 0.05), project()
    there = learn(model, [trial(None, 0.2, read_mm=42.4, nominal_mm=42.83)], project=plan)
    gone = learn(model, [trial(seen, 0.2, section="gone", read_mm=42.4, nominal_mm=42.83)], project=plan)
    assert gone.after == there.after != gone.before
    assert [f.code for f in gone.findings] == ([] if seen is None else ["trial-unusable"])


def test_a_piece_between_two_sections_teaches_about_both_and_more_about_the_nearer():
    places = round_places()
    rows = [0.2 * (places.levels == k) for k in range(3)]
    model = model_of(rows, [Spread.PLACING] * 3)
    seen = trial(Outcome.NO_GO, 0.1, section=None, height_mm=2.5)
    learned = learn(model, [seen], project=project(inside=0.0))
    assert learned.findings == ()
    low, middle, high = learned.model.learned.mean(axis=0)
    assert low > 2 * middle > 0.1
    assert abs(high) < middle / 4  # drawn numbers are nearly independent


def test_a_piece_at_the_height_of_a_section_teaches_what_one_of_that_section_does():
    model = everywhere(0.1, 0.05)
    by_name = learn(model, [trial(Outcome.TIGHT, 0.2)], project=project())
    by_height = learn(model, [trial(Outcome.TIGHT, 0.2, section=None, height_mm=10.0)], project=project())
    assert by_height.corrections_mm == by_name.corrections_mm
    assert by_name.corrections_mm[1] > 0.01


@pytest.mark.parametrize("height_mm", [-0.5, 20.5])
def test_a_height_that_the_holder_does_not_reach_teaches_nothing(height_mm):
    seen = trial(Outcome.TIGHT, 0.2, section=None, height_mm=height_mm)
    learned = learn(everywhere(0.1), [seen], project=project())
    (found,) = learned.findings
    assert found.code == "trial-unusable"
    assert found.severity is Severity.NOTE  # nothing can be done about it, and nothing is wrong
    assert f"test piece at {height_mm} mm, 0.2 mm): what was seen has no effect" in found.message


def test_a_piece_has_another_gap_to_a_thing_measured_anew():
    """A ring made for 40.2 mm at 0.05 mm per side leaves 0.15 mm on each side of 40.0 mm."""
    model = everywhere(0.1)
    then = trial(Outcome.NO_GO, 0.05, size_mm=(40.2, 40.2))
    learned = learn(model, [then], project=project())
    (told,) = learned.findings
    assert (told.code, told.measured) == ("measured-anew", pytest.approx(-0.1))
    assert "counts as a gap of 0.15 mm" in told.message
    same = learn(model, [trial(Outcome.NO_GO, 0.15)], project=project())
    assert learned.corrections_mm == pytest.approx(same.corrections_mm)
    assert [t.gap_mm for t in learned.trials] == pytest.approx([0.15])
    wider = trial(Outcome.GOOD, 0.25, size_mm=(40.2, 40.2))
    (told,) = learn(model, [then, wider], project=project()).findings
    assert told.message.startswith('trials 1 and 2 at section "middle": ')
    assert "than when these were noted; they count as gaps of 0.15 and 0.35 mm" in told.message
    between = trial(Outcome.NO_GO, 0.15, section=None, height_mm=5.0, size_mm=(39.9, 40.0))
    (told,) = learn(model, [between], project=project()).findings
    assert "counts as a gap of 0.10 mm" in told.message  # the side with least room
    as_it_was = [trial(Outcome.NO_GO, 0.15, size_mm=(40.04, 39.96)), trial(Outcome.NO_GO, 0.15)]
    assert not learn(model, as_it_was, project=project()).findings
    another = learn(model, [trial(Outcome.NO_GO, 0.15, size_mm=(42.0, 41.2))], project=project())
    assert "has no effect" in another.findings[0].message
    assert another.corrections_mm == (0, 0, 0)


def test_a_side_tells_more_about_that_side():
    places = round_places()
    front = np.clip(-places.normals[:, 1], 0, None)
    back = np.clip(places.normals[:, 1], 0, None)
    crooked = np.where(places.levels == 0, 1.0, -1.0)
    rows = [0.2 * front * crooked, 0.2 * back * crooked, np.full(72, 0.02)]
    model = model_of(rows, [Spread.PLACING] * 2 + [Spread.INSIDE])
    seen = trial(Outcome.NO_GO, 0.05, section="low", piece=TrialPiece.HOLDER, side=Side.FRONT)
    front_off, back_off, _ = learn(model, [seen], project=project()).model.learned.mean(axis=0)
    assert front_off > back_off + 0.1


@pytest.mark.slow
def test_learning_makes_the_stated_chance_true_to_the_thing():
    # a thing that is really 0.2 mm thicker than measured: trials with honest answers find it
    case = simulated(np.random.default_rng(4), "egg", calipers=4)
    model = case.model()
    gaps = [0.35, 0.45, 0.55]
    names = [s.name for s in case.sections[:3]]
    trials = [trial(Outcome.NO_GO, g, section=n) for g, n in zip(gaps[:1] * 3, names, strict=True)]
    trials += [trial(Outcome.TIGHT, 0.45, section=n) for n in names]
    learned = learn(model, trials, project=case.project)
    assert min(learned.corrections_mm) > 0.05
    assert max(learned.corrections_mm) <= MOST_CORRECTION_MM
    heights = model.section_heights_mm

    def chance(of, values):
        return chance_of_fit(of, ClearanceProfile(heights_mm=heights, clearances_mm=values)).chance

    plain = np.full(4, 0.35)
    assert chance(learned.model, plain) < chance(model, plain) - 0.2
    assert chance(learned.model, corrected(plain, learned)) > chance(learned.model, plain) + 0.2


def test_a_reading_alone_is_the_weighted_mean_of_belief_and_reading():
    """Prior 0.10 ± 0.10, observed (42.83 − 42.43)/2 = 0.20 ± 0.05: the conjugate normal of any text."""
    plan = project()
    plan = replace(plan, spread=SpreadSpec(inside_mm=0.1, repeat_mm=0.05, calipers_mm=0.0, step_mm=0.0))
    reading = Trial(date=DAY, read_mm=42.43, nominal_mm=42.83)
    learned = learn(everywhere(0.1), [reading], project=plan)
    weights = 1 / np.array([0.10, 0.05]) ** 2
    assert learned.after.expected_mm == pytest.approx(weights @ [0.10, 0.20] / weights.sum(), abs=1e-3)
    assert learned.after.spread_mm == pytest.approx(weights.sum() ** -0.5, rel=1e-3)
    assert learned.corrections_mm == pytest.approx((learned.after.expected_mm - 0.1,) * 3, abs=1e-9)
    assert learned.findings == ()


@pytest.mark.parametrize(
    ("reads", "told"),
    [
        ((97.0,), None),
        ((97.0, 97.1), None),
        ((97.0, 97.25), None),
        ((97.0, 98.2), "trials 1 and 2: by one reading the printer makes insides 0.24 mm too small per side, by the other 0.36 mm too large:"),
        ((97.2, 97.3, 95.9), "trials 2 and 3: by one reading the printer makes insides 0.09 mm too small per side, by the other 0.79 mm too small:"),
    ],
)  # fmt: skip
def test_readings_of_one_printer_that_cannot_both_be_right_are_told(reads, told):
    """Their mean was taken for the printer's error without a word."""
    readings = [Trial(date=DAY, read_mm=read, nominal_mm=97.48) for read in reads]
    learned = learn(everywhere(0.1), readings, project=project())
    found = [f.message for f in learned.findings if f.code == "readings-apart"]
    assert len(found) == (told is not None)
    assert told is None or found[0].startswith(told)

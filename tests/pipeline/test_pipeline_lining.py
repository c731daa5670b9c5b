"""A lined pocket: the file has the lining's thickness beside the clearance, and the thing may press it as far as it gives."""

import datetime
import json
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from tub import TUB

from cradle.errors import ProjectError
from cradle.fit.belief_update import limits_mm
from cradle.pipeline import make, model_thing
from cradle.pipeline.clearances import asked_clearance, ring_clearances_mm
from cradle.pipeline.trials import with_trial
from cradle.project.reader import project_from_text, read_project
from cradle.project.trial_log import Outcome, Trial, TrialPiece, read_trials, trials_text
from cradle.report.facts import gap_words
from cradle.report.recommendation import recommendation
from cradle.report.summary import run_summary

DAY = datetime.date(2026, 5, 17)
UNSURE = "\n[spread]\nbetween = 0.6\n"


def tub(fit, *, unsure=True):
    text = TUB.replace("clearance = 0.35", fit)
    return project_from_text(text + UNSURE if unsure else text, file=Path("holder.toml"))


@lru_cache
def made(fit):
    return make(tub(fit))


def chance(fit):
    return made(fit).own.assessment.chance


def test_the_file_has_the_linings_thickness_beside_the_clearance():
    lined = made("clearance = 0.3\nlining = 2.0")
    assert lined.own.wanted.least_mm == pytest.approx(0.3 + 2.0)
    assert 2.3 - 0.005 <= lined.own.gap.least_mm < 2.4
    assert "0.30 mm was asked for: 2.00 mm is for the lining" in gap_words(lined)


@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("lining", "gives_mm"), [("lining = 1.0", 0.5), ("lining = 2.0\nlining_pressed = 1.6", 0.4)]
)
def test_a_thing_goes_in_as_often_as_with_so_much_more_clearance_but_is_held_closer(lining, gives_mm):
    lined, bare = chance(f"clearance = 0.2\n{lining}"), chance(f"clearance = {0.2 + gives_mm}")
    assert lined.chance == bare.chance
    assert lined.chance > chance("clearance = 0.2").chance + 0.1
    assert lined.play_mm < bare.play_mm - gives_mm


def test_with_a_lining_as_much_less_clearance_is_chosen_as_it_gives():
    bare = asked_clearance(model_thing(tub('clearance = "auto"\nbetween = 0'))).profile.least_mm
    lined = asked_clearance(
        model_thing(tub('clearance = "auto"\nbetween = 0\nlining = 0.8'))
    ).profile.least_mm
    thick = asked_clearance(model_thing(tub('clearance = "auto"\nbetween = 0\nlining = 9')))
    assert bare > 0.6
    assert lined == pytest.approx(bare - 0.4, abs=0.011)
    assert thick.profile.least_mm == 0.0
    assert thick.in_file.least_mm == pytest.approx(9.0)


def test_that_no_clearance_is_added_to_a_thick_lining_is_said_so():
    (told,) = (
        one
        for one in made('clearance = "auto"\nbetween = 0\nlining = 4').findings
        if one.code == "clearance-chosen"
    )
    words = "the lining gives way far enough for a chance of fit of 95 % or more: no clearance is added to it"
    assert told.message == words
    between = made('clearance = "auto"\nbetween = 0.3\nlining = 4')
    (told,) = (one for one in between.findings if one.code == "clearance-chosen")
    assert told.message == f"{words} at the sections"


def test_a_thing_that_its_lining_holds_still_is_not_to_be_held_closer():
    """It was told to shift by 0.0 mm, and how to hold it closer."""
    loose, held = (
        one
        for lined in ("", "\nlining = 0.92")
        for one in made(f'clearance = "auto"\nbetween = "auto"{lined}').findings
        if one.code == "clearance-chosen"
    )
    assert "to hold it closer" in loose.advice
    assert "shift by 0.0 mm" in held.message
    assert held.advice == ""


def test_rings_are_not_lined_and_bracket_the_lining_pressed():
    model = model_thing(tub("clearance = 0.3\nlining = 1.0"))
    assert ring_clearances_mm(model) == (0.25, 0.45, 0.8)


def test_a_thing_that_no_clearance_holds_is_told_what_lining_would():
    doubtful = tub('clearance = "auto"\nbetween = 0')
    doubtful = replace(doubtful, spread=replace(doubtful.spread, between_mm=1.0))
    (told,) = (one for one in make(doubtful).findings if one.code == "clearance-not-enough")
    assert "line the pocket: with 4 mm of felt or foam (lining = 4)" in told.advice
    lined = make(replace(doubtful, fit=replace(doubtful.fit, lining_mm=4.0)))
    assert lined.own.assessment.chance.chance >= doubtful.fit.chance
    assert "clearance-not-enough" not in [one.code for one in lined.findings]


def test_the_last_step_is_to_glue_the_lining_in():
    assert (
        recommendation(made("clearance = 0.2\nlining = 4"))
        .actions[-1]
        .startswith("Glue felt or foam 4 mm thick")
    )


def test_a_lined_holder_holds_what_it_gives_way_to():
    assert limits_mm(Outcome.LOOSE, gives_mm=1.5) == (1.75, np.inf)
    assert limits_mm(Outcome.GOOD, gives_mm=1.5) == (0.06, np.inf)
    assert limits_mm(Outcome.TIGHT, gives_mm=1.5) == (0.0, 1.56)
    assert limits_mm(Outcome.NO_GO, gives_mm=1.5) == (-np.inf, 0.0)


def after(project, **draft):
    """What a trial teaches, and the trial."""
    update = with_trial(project, Trial(date=DAY, **draft), earlier=())
    return np.array(update.after.corrections_mm), update.trials[0]


def test_a_ring_teaches_the_same_of_a_thing_whose_holder_is_lined():
    ring = {"piece": TrialPiece.TEST_PIECE, "section": "low", "clearance_mm": 0.3, "seen": Outcome.NO_GO}
    bare, _ = after(tub("clearance = 0.3"), **ring)
    lined, trial = after(tub("clearance = 0.3\nlining = 3"), **ring)
    assert bare.max() > 0.05
    assert lined == pytest.approx(bare, abs=1e-9)
    assert trial.lining_mm is None


def test_a_lined_holder_that_did_not_go_in_teaches_what_a_bare_one_of_so_much_clearance_does():
    seen = {"piece": TrialPiece.HOLDER, "seen": Outcome.NO_GO}
    bare, _ = after(tub("clearance = 0.7"), **seen)
    lined, trial = after(tub("clearance = 0.2\nlining = 1.0"), **seen)
    assert (trial.lining_mm, trial.lining_pressed_mm, trial.gap_mm) == (1.0, 0.5, pytest.approx(1.2))
    assert lined == pytest.approx(bare, abs=1e-9)
    assert bare.max() > 0.01
    loose, _ = after(tub("clearance = 0.7"), piece=TrialPiece.HOLDER, seen=Outcome.LOOSE)
    held, _ = after(tub("clearance = 0.2\nlining = 1.0"), piece=TrialPiece.HOLDER, seen=Outcome.GOOD)
    assert loose.min() < held.min() - 0.01 < 0.0


def test_a_trial_keeps_the_lining_that_its_print_had(tmp_path):
    text = TUB.replace("clearance = 0.35", "clearance = 0.2\nlining = 1.0")
    (tmp_path / "holder.toml").write_text(text)
    (tmp_path / "summary.json").write_text(
        json.dumps(run_summary([make(read_project(tmp_path / "holder.toml"))]))
    )
    (tmp_path / "holder.toml").write_text(text.replace("lining = 1.0", "lining = 4.0"))
    now = read_project(tmp_path / "holder.toml")
    draft = Trial(date=DAY, piece=TrialPiece.HOLDER, seen=Outcome.GOOD)
    (trial,) = with_trial(now, draft, earlier=(), made_into=[tmp_path]).trials
    assert (trial.lining_mm, trial.lining_gives_mm, trial.widest_gap_mm) == (1.0, 0.5, pytest.approx(0.7))
    (tmp_path / "trials.toml").write_text(trials_text([trial]))
    (again,) = read_trials(tmp_path)
    assert again == trial


def test_a_lining_pressed_to_more_than_it_is_thick_is_refused():
    with pytest.raises(ProjectError, match=r"fit\.lining_pressed: found 3 mm pressed of a lining 2 mm thick"):
        tub("clearance = 0.2\nlining = 2\nlining_pressed = 3")
    with pytest.raises(ProjectError, match="lining_pressed"):
        tub("clearance = 0.2\nlining_pressed = 3")


def test_a_lining_has_its_caution():
    assert any(one.startswith("Lining: ") for one in made("clearance = 0.3\nlining = 2.0").cautions)
    assert not any(one.startswith("Lining: ") for one in made("clearance = 0.2").cautions)


@pytest.mark.parametrize(
    "lined",
    [
        'piece = "holder"\nlining = 2.0',
        'piece = "holder"\nlining = 2.0\nlining_pressed = 3.0',
        'piece = "test-piece"\nsection = "low"\nlining = 2.0\nlining_pressed = 1.0',
    ],
)
def test_a_trial_of_half_a_lining_is_refused(tmp_path, lined):
    (tmp_path / "trials.toml").write_text(
        f'[[trial]]\ndate = 2026-05-17\n{lined}\nclearance = 0.3\ngap = 2.3\nseen = "good"\n'
    )
    with pytest.raises(ProjectError, match="a lining belongs to a holder"):
        read_trials(tmp_path)

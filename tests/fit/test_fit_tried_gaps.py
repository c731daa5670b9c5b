"""A holder that is made tighter than a piece which did not go in well says so."""

import datetime
import re
from dataclasses import replace

import numpy as np
import pytest

from cradle.cli.main import main
from cradle.fit.tried_gaps import looser_than_tried, tighter_than_tried
from cradle.pipeline import model_row
from cradle.pipeline.building import foreseen
from cradle.pocket.clearance import clearance_profile
from cradle.project.reader import read_project
from cradle.project.trial_log import Outcome, Trial, TrialPiece, read_row_trials

NAMES = ("low", "bulge")


def trial(seen, gap_mm, *, section="bulge", height_mm=None):
    return Trial(
        date=datetime.date(2026, 1, 5),
        piece=TrialPiece.TEST_PIECE,
        section=section,
        height_mm=height_mm,
        clearance_mm=gap_mm,
        gap_mm=gap_mm,
        seen=seen,
    )


def told(gap_mm, *trials, low_mm=None):
    gap = clearance_profile([0.0, 20.0], [low_mm, None], default_mm=gap_mm)
    return tuple(tighter_than_tried(trials, gap, names=NAMES))


def test_less_than_was_tight_is_told_with_what_was_good():
    (found,) = told(0.27, trial(Outcome.NO_GO, 0.2), trial(Outcome.TIGHT, 0.3), trial(Outcome.GOOD, 0.4))
    assert "0.27 mm per side" in found.message
    assert "0.30 mm" in found.message
    assert '"bulge"' in found.message
    assert found.advice.startswith("0.40 mm was noted good: make the clearance 0.13 mm larger")


def test_where_the_others_go_in_the_tight_place_alone_is_to_get_more():
    tight, good = trial(Outcome.TIGHT, 0.3), trial(Outcome.GOOD, 0.2, section="low")
    (found,) = told(0.2, tight, good)
    assert re.match(r'give section "bulge" a clearance of its own, 0\.\d\d mm larger or more', found.advice)
    (found,) = told(0.2, tight, replace(good, seen=Outcome.TIGHT))
    assert found.advice.startswith("make the clearance")


@pytest.mark.parametrize("seen", [Outcome.TIGHT, Outcome.NO_GO])
@pytest.mark.parametrize("made_mm", [0.1, 0.3])
def test_what_is_advised_is_no_longer_told(seen, made_mm):
    found = told(made_mm, trial(seen, 0.31), trial(Outcome.GOOD, 0.2))
    more = re.match(r"make the clearance (\d\.\d\d) mm larger", found[0].advice)
    assert not told(made_mm + float(more[1]), trial(seen, 0.31))


@pytest.mark.parametrize(
    ("seen", "tried_mm", "made_mm", "count"),
    [
        (Outcome.TIGHT, 0.3, 0.3, 0),
        (Outcome.TIGHT, 0.3, 0.25, 1),
        (Outcome.NO_GO, 0.3, 0.3, 1),
        (Outcome.NO_GO, 0.3, 0.4, 0),
        (Outcome.GOOD, 0.3, 0.2, 0),
        (Outcome.LOOSE, 0.3, 0.2, 0),
    ],
)
def test_only_what_did_not_go_in_well_counts(seen, tried_mm, made_mm, count):
    assert len(told(made_mm, trial(seen, tried_mm))) == count


def test_a_trial_counts_where_it_was_made():
    assert not told(0.5, trial(Outcome.TIGHT, 0.3), low_mm=0.1)
    assert told(0.5, trial(Outcome.TIGHT, 0.3, section="low"), low_mm=0.1)
    assert told(0.5, trial(Outcome.TIGHT, 0.3, section=None), low_mm=0.1)
    assert not told(0.1, trial(Outcome.TIGHT, 0.3, section="no longer there"))


def test_between_two_sections_the_gap_there_counts():
    heights, between_mm = [0.0, 20.0], np.array([0.4])
    gap = clearance_profile(heights, [None, None], default_mm=0.3, between_mm=between_mm)
    at = {"section": None, "height_mm": 10.0}  # half way up the gap is 0.3 + 0.4 mm
    assert not tuple(tighter_than_tried([trial(Outcome.TIGHT, 0.69, **at)], gap, names=NAMES))
    trials = [trial(Outcome.TIGHT, 0.75, **at), trial(Outcome.GOOD, 0.8), trial(Outcome.GOOD, 0.9, **at)]
    (found,) = tighter_than_tried(trials, gap, names=NAMES)
    assert "the gap at 10 mm is 0.70 mm per side" in found.message
    assert found.advice.startswith("0.90 mm was noted good: make the clearance 0.20 mm larger")


LOOSE, GOOD = trial(Outcome.LOOSE, 0.4), trial(Outcome.GOOD, 0.4)


@pytest.mark.parametrize(
    ("made_mm", "trials", "count"),
    [
        (0.4, [LOOSE], 1),
        (0.39, [LOOSE], 0),
        (0.5, [LOOSE, replace(LOOSE, gap_mm=0.3)], 1),
        (0.5, [GOOD], 0),
        (0.5, [LOOSE, replace(GOOD, gap_mm=0.45)], 0),  # what was loose with less is good with more
        (0.5, [LOOSE, replace(GOOD, gap_mm=0.3)], 1),
        (0.5, [LOOSE, replace(GOOD, gap_mm=0.45, section="low")], 1),
    ],
)
def test_no_less_than_was_loose_is_told(made_mm, trials, count):
    gap = clearance_profile([0.0, 20.0], [None, None], default_mm=made_mm)
    found = looser_than_tried(trials, gap, names=NAMES, advice="make the clearance smaller")
    assert len(found) == count
    assert all("the thing will be loose in the holder too" in one.message for one in found)
    assert all(one.measured == made_mm >= one.limit for one in found)


PEG = """
[object]
name = "peg"
[[section]]
name = "low"
height = 3.0
measured = {{ form = "superellipse", width = 40.3, depth = 36.2, diagonal = 45.1 }}
[[section]]
name = "high"
height = 44.0
measured = {{ form = "superellipse", width = 47.3, depth = 41.7, diagonal = 52.6 }}
[spread]
between = 0.1
[fit]
clearance = {clearance}
[block]
height = 40.0
"""


def test_what_a_warning_of_the_chance_says_is_not_said_again_of_what_was_loose(tmp_path):
    file = tmp_path / "holder.toml"
    file.write_text(PEG.format(clearance=0.9).replace("between = 0.1", "between = 0.7"))
    assert main(["trial", str(file), "--section", "low", "--clearance", "0.9", "--seen", "loose"]) == 0
    project = read_project(file)
    found = foreseen(model_row(project, trials=read_row_trials(project))).findings
    said = {f.code: f.advice for f in found}
    assert "measure" in said["chance-low"]
    assert said["looser-than-tried"].startswith(
        "to hold it closer, do what raises the chance of fit; or make"
    )


@pytest.mark.parametrize(
    ("clearance", "told"),
    [
        (
            0.9,
            r"to hold it closer, measure .*; or make the clearance smaller, at a chance of fit of less than 95 %",
        ),
        (2.0, r"make the clearance smaller: [01]\.\d\d mm still gives a chance of fit of 95 %"),
    ],
)
def test_a_smaller_clearance_is_advised_as_far_as_the_chance_of_fit_allows(tmp_path, capsys, clearance, told):
    file = tmp_path / "holder.toml"
    file.write_text(PEG.format(clearance=clearance))
    ring = ["--section", "low", "--clearance", str(clearance), "--seen", "loose"]
    assert main(["trial", str(file), *ring]) == 0
    capsys.readouterr()
    project = read_project(file)
    found = foreseen(model_row(project, trials=read_row_trials(project))).findings
    (loose,) = (f for f in found if f.code == "looser-than-tried")
    assert re.fullmatch(told, loose.advice), loose.advice


def test_what_was_tried_above_the_rim_tells_nothing_of_the_holder():
    gap = clearance_profile([0.0, 20.0], [0.2, 0.1], default_mm=0.0, held_to_mm=15.0)
    tight = trial(Outcome.TIGHT, 0.3)
    for other in (tight, trial(Outcome.TIGHT, 0.3, section=None, height_mm=18.0)):
        assert not tuple(tighter_than_tried((other,), gap, names=NAMES))
    assert tuple(tighter_than_tried((replace(tight, section="low"),), gap, names=NAMES))

"""Trials of a row: a thing's shape is its own, the printer is the same for all."""

import datetime
import json
from pathlib import Path

import numpy as np
import pytest
from tins import tin

from cradle.fit.trials import learn, told_of_printer
from cradle.pipeline import make
from cradle.pipeline.printed_holder import noting_others, printed_holder, row_with
from cradle.pipeline.row import model_row
from cradle.pipeline.trials import with_trial
from cradle.project.reader import read_project
from cradle.project.trial_log import Outcome, Trial, TrialPiece, own_trials
from cradle.report.summary import run_summary

DAY = datetime.date(2026, 5, 17)
HOLDER = Trial(date=DAY, piece=TrialPiece.HOLDER, seen=Outcome.NO_GO)


@pytest.fixture
def pair(written):
    """The projects of a row and of the thing beside its own, both named alike."""
    other = written(tin(44, 20, clearance=0.7), "other/holder.toml")
    own = written(tin(30, extra='[row]\nthings = ["other/holder.toml"]\n'))
    return read_project(own), read_project(other)


def learned(own, other, *, own_trials=(), other_trials=()):
    """What is believed of the things of a row after trials in their folders."""
    row = model_row(own, trials={own.folder: own_trials, other.folder: other_trials})
    return [thing.learned for thing in row.things]


def test_a_holder_that_was_tried_teaches_of_another_thing_the_printer_alone(pair):
    own, other = pair
    (noted,) = with_trial(own, HOLDER, earlier=()).trials
    first, second = learned(own, other, own_trials=(noted,))
    plain = learned(own, other)[1]
    # of no thing beside it any section is another: each gap grows by what the printer was believed to be off more
    more = second.after.expected_mm - plain.after.expected_mm
    assert more > 0.001
    assert second.corrections_mm == pytest.approx([more] * 2, abs=1e-6)
    assert second.after.expected_mm == pytest.approx(first.after.expected_mm, abs=1e-6)
    assert second.after.spread_mm == pytest.approx(first.after.spread_mm, abs=1e-6)
    assert first.corrections_mm[0] > second.corrections_mm[0]
    assert not second.trials


def test_a_reading_teaches_all_things_what_it_teaches_its_own(pair):
    own, other = pair
    read = Trial(date=DAY, project="holder.toml", read_mm=42.4, nominal_mm=42.83)
    first, second = learned(own, other, own_trials=(read,))
    assert (second.after.expected_mm, second.after.spread_mm) == pytest.approx(
        (first.after.expected_mm, first.after.spread_mm), abs=1e-9
    )
    assert first.after.measured
    assert second.after.measured
    drawn = second.model.learned @ second.model.influences.inside_mm  # what the chance is reckoned by
    assert drawn.mean() == pytest.approx(second.after.expected_mm - second.before.expected_mm, abs=0.003)
    assert drawn.std() == pytest.approx(second.after.spread_mm, abs=0.003)


def test_a_trial_of_every_project_of_a_folder_counts_once(written):
    written(tin(44, 20, name="flat tin"), "flat.toml")
    own = read_project(written(tin(30, extra='[row]\nthings = ["flat.toml"]\n')))
    read = Trial(date=DAY, read_mm=42.4, nominal_mm=42.83)
    first, second = [thing.learned for thing in model_row(own, trials={own.folder: (read,)}).things]
    assert second.after.spread_mm == pytest.approx(first.after.spread_mm, abs=1e-9)


def test_nothing_is_told_of_a_printer_that_no_trial_tells_of(pair):
    own, _ = pair
    thing = model_row(own).things[0]
    assert told_of_printer(thing.learned) is None
    assert learn(thing.learned.model, (), project=own).after == thing.learned.before


def test_how_another_thing_went_in_is_noted_with_the_gap_that_it_had_there(pair):
    own, other = pair
    made = make(own)
    out = own.folder / "out"
    out.mkdir()
    (out / "summary.json").write_text(json.dumps(run_summary([made])))
    printed = printed_holder(other, [out], clearance_mm=None)
    assert printed.clearance_mm == pytest.approx(0.7)
    assert printed_holder(own, [out], clearance_mm=None).clearance_mm == pytest.approx(0.4)
    (noted,) = own_trials(with_trial(other, HOLDER, earlier=(), made_into=[out]).kept, other.file)
    _, gaps, widths, _ = np.array(noted.room).T
    assert widths == pytest.approx(np.full(len(widths), 44.0))
    assert gaps.min() == pytest.approx(0.7, abs=1e-3)
    (noting,) = noting_others(own, made=out)
    assert noting == f"cradle trial {other.file} --piece holder --made {out} --seen good"


def test_what_a_trial_of_another_thing_changes_is_made_by_the_row_s_project(pair, tmp_path, monkeypatch):
    own, other = pair
    made = make(own)
    for folder in (own.folder / "out", other.folder / "out", tmp_path / "elsewhere" / "out"):
        folder.mkdir(parents=True)
        (folder / "summary.json").write_text(
            json.dumps(run_summary([make(other)] if folder.parent == other.folder else [made]))
        )

    def row_of(project, folder):
        return row_with(project, printed_holder(project, [folder], clearance_mm=None))

    assert row_of(other, own.folder / "out") == own.file
    assert row_of(own, own.folder / "out") is None  # its own project makes it
    assert row_of(other, other.folder / "out") is None  # made alone
    assert row_of(other, tmp_path / "elsewhere" / "out") is None
    monkeypatch.chdir(own.folder)
    assert row_of(other, tmp_path / "elsewhere" / "out") == Path("holder.toml")
    own.file.write_text(own.file.read_text().replace("other/holder.toml", "third/holder.toml"))
    assert row_of(other, own.folder / "out") is None  # no longer in it

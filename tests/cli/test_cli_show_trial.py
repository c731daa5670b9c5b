"""Trials as tables and as JSON."""

import datetime
import json
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest

from cradle.cli.show_trial import show_trials
from cradle.finding import Finding, Severity
from cradle.fit.uncertainties import InsideError
from cradle.pipeline.trials import GapChange, TrialUpdate
from cradle.project.trial_log import Outcome, Trial, TrialPiece

FILE = Path("my things/holder.toml")

TRIALS = (
    Trial(
        date=datetime.date(2026, 5, 17),
        piece=TrialPiece.TEST_PIECE,
        section="low",
        clearance_mm=0.125,
        gap_mm=0.205,
        seen=Outcome.TIGHT,
        side=None,
        read_mm=None,
        nominal_mm=None,
        project="holder.toml",
    ),
    Trial(
        date=datetime.date(2026, 5, 18),
        piece=None,
        section=None,
        clearance_mm=None,
        gap_mm=None,
        seen=None,
        side=None,
        read_mm=42.4,
        nominal_mm=42.83,
        project="holder.toml",
    ),
)
BETWEEN = replace(TRIALS[0], section=None, height_mm=12.5)


def learned(*corrections, expected, count):
    error = InsideError(expected_mm=expected, spread_mm=0.05, measured=True)
    return SimpleNamespace(
        model=SimpleNamespace(names=("low", "high")),
        corrections_mm=corrections,
        inside_mm=0.0,
        before=error,
        after=error,
        findings=(),
        trials=TRIALS[:count],
    )


DOUBT = Finding(code="trial-contradicts", severity=Severity.WARN, message="it hardly happens")


@pytest.fixture
def update():
    return TrialUpdate(
        trials=(*TRIALS, BETWEEN),
        kept=(*TRIALS, BETWEEN),
        before=learned(0.0, 0.0, expected=0.1, count=0),
        after=learned(0.07, -0.02, expected=0.135, count=2),
        rings_mm=(0.3,),
        gaps=(
            GapChange(section="low", before_mm=0.35, after_mm=0.42),
            GapChange(section=None, before_mm=0.9, after_mm=0.9),
        ),
    )


def test_a_table_holds_every_trial_and_what_changes(update, capsys):
    show_trials(update, file=FILE, as_json=False)
    shown = capsys.readouterr().out
    rows = [
        [cell.strip() for cell in line.strip("│").split("│")] for line in shown.splitlines() if "│" in line
    ]
    assert ["1", "2026-05-17", "test-piece", "low", "0.125", "tight", "", ""] in rows
    assert ["3", "2026-05-17", "test-piece", "12.5 mm", "0.125", "tight", "", ""] in rows
    assert ["2", "2026-05-18", "reading", "all", "", "", "", "42.40 for 42.83"] in rows
    assert ['gap at "low"', "0.35", "0.42"] in rows
    assert ["widest gap between sections", "0.90", "0.90"] in rows
    assert ["the printer's inside error", "0.100 ± 0.050", "0.135 ± 0.050"] in rows
    assert shown.splitlines()[-1] == 'next: “cradle make "my things/holder.toml"”, which uses them'


def test_where_no_trial_is_kept_that_is_said(update, capsys):
    none = replace(update, trials=(), kept=())
    show_trials(none, file=FILE, as_json=False)
    assert capsys.readouterr().out.startswith("no trial of my things/holder.toml is kept")
    back = replace(none, before=update.after, after=update.before)  # the last was taken back
    show_trials(back, file=FILE, as_json=False)
    assert capsys.readouterr().out.splitlines()[-1] == 'next: “cradle make "my things/holder.toml"”'


def test_a_trial_that_changes_nothing_asks_for_no_next_holder(update, capsys):
    show_trials(replace(update, after=update.before, gaps=()), file=FILE, as_json=False)
    shown = capsys.readouterr().out
    assert (
        shown.splitlines()[-1] == "the next holder stays as it is"
    )  # nothing was noted that could be expected
    assert "cradle make" not in shown
    show_trials(replace(update, noted=TRIALS[0], after=update.before, gaps=()), file=FILE, as_json=False)
    assert "as it is: by the measurements, that was to be expected" in " ".join(
        capsys.readouterr().out.split()
    )


def test_which_holder_was_noted_is_said_found_or_not(update, capsys):
    holder = replace(TRIALS[0], piece=TrialPiece.HOLDER, section=None)
    noted = replace(update, noted=holder)
    for printed, words in (
        (Path("out/summary.json"), "the one that out/summary.json tells of"),
        (None, "as it would be made now, 0.12 mm per side; if it was another"),
    ):
        show_trials(replace(noted, printed=printed), file=FILE, as_json=False)
        assert words in " ".join(capsys.readouterr().out.split())
    show_trials(replace(update, noted=TRIALS[0]), file=FILE, as_json=False)
    assert "holder noted" not in capsys.readouterr().out


def test_a_trial_that_teaches_nothing_is_said_to_instead_of_a_table_of_naughts(update, capsys):
    gaps = (GapChange(section="low", before_mm=0.351, after_mm=0.353),)  # as far as it is told, the same
    same = replace(update, after=learned(0.0, 0.0, expected=0.1, count=1), gaps=gaps)
    show_trials(same, file=FILE, as_json=False)
    shown = capsys.readouterr().out
    assert "the next holder stays as it is" in shown
    assert "gap at" not in shown
    doubted = SimpleNamespace(**vars(same.after) | {"findings": (DOUBT,)})
    show_trials(replace(same, after=doubted), file=FILE, as_json=False)
    assert "stays as it is" not in capsys.readouterr().out
    wider = (
        GapChange(section="low", before_mm=0.35, after_mm=0.5),
    )  # chosen anew, of draws that learned from it
    show_trials(replace(same, gaps=wider), file=FILE, as_json=False)
    assert "stays as it is" not in capsys.readouterr().out


def test_the_same_as_json(update, capsys):
    show_trials(update, file=FILE, as_json=True)
    told = json.loads(capsys.readouterr().out)
    assert told["exit_code"] == 0
    assert [row["clearance_mm"] for row in told["trials"]] == [0.125, None, 0.125]
    assert [row["read_mm"] for row in told["trials"]] == [None, 42.4, None]
    places = [(row["section"], row["height_mm"]) for row in told["trials"]]
    assert places == [("low", None), (None, None), (None, 12.5)]
    assert [c["gap_mm"] for c in told["after"]["corrections"]] == [0.07, -0.02]
    assert told["gaps"][0] == {"section": "low", "before_mm": 0.35, "after_mm": 0.42}


def test_how_other_things_of_a_row_went_in_is_asked_where_a_holder_was_noted(update, capsys):
    holder = replace(TRIALS[0], piece=TrialPiece.HOLDER, section=None)
    for noted, told in ((holder, True), (TRIALS[0], False)):
        show_trials(
            replace(update, noted=noted),
            file=FILE,
            others=["cradle trial a", "cradle trial b"],
            as_json=False,
        )
        words = " ".join(capsys.readouterr().out.split())
        assert ("how others went in: “cradle trial a” and “cradle trial b”" in words) is told


def test_the_row_that_the_thing_stands_in_is_what_is_made_next(update, capsys):
    show_trials(update, file=FILE, row=Path("pair/holder.toml"), as_json=False)
    assert "next: “cradle make pair/holder.toml”, which uses them" in " ".join(
        capsys.readouterr().out.split()
    )

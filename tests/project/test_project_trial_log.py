import datetime
import re
from dataclasses import replace
from pathlib import Path

import pytest

from cradle.errors import InputError, ProjectError
from cradle.project.trial_log import (
    TRIALS_FILE,
    Outcome,
    Side,
    Trial,
    TrialPiece,
    own_trials,
    read_trials,
    trials_text,
)

ONE = Trial(
    date=datetime.date(2026, 5, 17),
    piece=TrialPiece.TEST_PIECE,
    section="low",
    clearance_mm=0.3,
    gap_mm=0.38,
    seen=Outcome.NO_GO,
    side=Side.FRONT,
    read_mm=61.4,
    nominal_mm=61.55,
)
TWO = Trial(
    date=datetime.date(2026, 5, 18),
    piece=TrialPiece.HOLDER,
    section=None,
    clearance_mm=0.4,
    gap_mm=0.4,
    seen=Outcome.GOOD,
    project="holder.toml",
)


READING = Trial(date=datetime.date(2026, 5, 19), read_mm=42.4, nominal_mm=42.83, project="holder.toml")


BETWEEN = replace(ONE, section=None, height_mm=12.5)


@pytest.mark.parametrize("trials", [(), (ONE,), (ONE, TWO), (TWO, READING), (BETWEEN,)])
def test_what_is_written_is_read(tmp_path, trials):
    (tmp_path / TRIALS_FILE).write_text(trials_text(trials), encoding="utf-8")
    assert read_trials(tmp_path) == trials


def test_no_file_is_no_trial(tmp_path):
    assert read_trials(tmp_path) == ()


def test_all_mistakes_are_told_at_once(tmp_path):
    text = trials_text([ONE]).replace('seen = "no-go"', 'seen = "stuck"').replace("2026-05-17", '"May"')
    (tmp_path / TRIALS_FILE).write_text(text + "colour = 3\n", encoding="utf-8")
    with pytest.raises(ProjectError) as caught:
        read_trials(tmp_path)
    assert {p.where for p in caught.value.problems} == {"trial[1].seen", "trial[1].date", "trial[1].colour"}


@pytest.mark.parametrize("text", ["[[trial]\n", "trial = 3\n", "[trials]\n", "[[trial]]\n", "trial = [3]\n"])
def test_damaged_files_are_told(tmp_path, text):
    (tmp_path / TRIALS_FILE).write_text(text, encoding="utf-8")
    with pytest.raises(InputError):
        read_trials(tmp_path)


def test_a_trial_counts_for_its_project_and_an_old_one_without_for_all():
    assert own_trials((ONE, TWO), Path("box/holder.toml")) == (ONE, TWO)
    assert own_trials((ONE, TWO), Path("box/other.toml")) == (ONE,)


@pytest.mark.parametrize("name", ["''", "3", "'../holder.toml'"])
def test_the_project_of_a_trial_is_a_file_beside_it(tmp_path, name):
    text = trials_text([TWO]).replace('"holder.toml"', name)
    (tmp_path / TRIALS_FILE).write_text(text, encoding="utf-8")
    with pytest.raises(ProjectError, match="the name of a project file"):
        read_trials(tmp_path)


def test_a_reading_needs_what_it_should_be(tmp_path):
    (tmp_path / TRIALS_FILE).write_text(trials_text([ONE]).replace("nominal = 61.55\n", ""), encoding="utf-8")
    with pytest.raises(ProjectError, match="given together"):
        read_trials(tmp_path)


def test_a_piece_is_tried_at_a_section_or_at_a_height(tmp_path):
    (tmp_path / TRIALS_FILE).write_text(trials_text([replace(ONE, height_mm=12.5)]), encoding="utf-8")
    with pytest.raises(ProjectError, match="a section and a height are given; keep the one") as caught:
        read_trials(tmp_path)
    assert [p.where for p in caught.value.problems] == ["trial[1].height"]
    assert [one.place for one in (ONE, TWO, BETWEEN)] == ["low", None, 12.5]
    assert [one.place_words for one in (ONE, TWO, BETWEEN)] == ['section "low"', "", "12.5 mm"]


@pytest.mark.parametrize("left_out", ["piece", "clearance", "gap", "seen"])
def test_what_was_tried_is_noted_whole_or_not_at_all(tmp_path, left_out):
    lines = [
        line for line in trials_text([ONE]).splitlines(keepends=True) if not line.startswith(f"{left_out} =")
    ]
    (tmp_path / TRIALS_FILE).write_text("".join(lines), encoding="utf-8")
    with pytest.raises(ProjectError, match=f"{left_out} is missing"):
        read_trials(tmp_path)


def test_a_trial_that_says_nothing_is_refused(tmp_path):
    (tmp_path / TRIALS_FILE).write_text("[[trial]]\ndate = 2026-05-17\n", encoding="utf-8")
    with pytest.raises(ProjectError, match="a trial needs a piece that was tried, or a reading"):
        read_trials(tmp_path)


def test_the_words_for_how_it_went_can_be_typed_in_any_shell():
    """Letters and hyphens alone: nothing that a shell (IEEE Std 1003.1, 2.2 Quoting) takes for more than itself."""
    assert all(
        re.fullmatch("[a-z]+(-[a-z]+)*", word) for words in (Outcome, TrialPiece, Side) for word in words
    )


def test_a_reading_in_another_unit_is_told_with_its_line(tmp_path):
    """A caliper set to inches or read off its centimetres: 1 in = 25.4 mm, 1 cm = 10 mm."""
    text = trials_text([READING]).replace("read = 42.4", "read = 1.669")
    (tmp_path / TRIALS_FILE).write_text(text, encoding="utf-8")
    with pytest.raises(ProjectError) as caught:
        read_trials(tmp_path)
    (problem,) = caught.value.problems
    assert problem.where == "trial[1].read"
    assert text.splitlines()[problem.line - 1] == "read = 1.669"
    assert problem.hint == "in inches it would be 42.39 mm: give that"

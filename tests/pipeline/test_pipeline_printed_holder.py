"""A trial of a holder counts for what that print has, whatever was measured since it was made."""

import datetime
import json
import os
import re
from dataclasses import replace

import numpy as np
import pytest
from tub import TUB

from cradle.cli.main import main
from cradle.errors import ProjectError
from cradle.fit.trials import learn
from cradle.fit.tried_piece import TriedPiece
from cradle.pipeline import make, model_thing
from cradle.pipeline.printed_holder import holder_displaced, printed_holder
from cradle.pipeline.trials import with_trial
from cradle.project.reader import read_project
from cradle.project.trial_log import Outcome, Trial, TrialPiece, read_trials, trials_text
from cradle.report.summary import run_summary

DAY = datetime.date(2026, 5, 17)
SEEN = Trial(date=DAY, piece=TrialPiece.HOLDER, seen=Outcome.NO_GO)
ROOMY = TUB.replace("clearance = 0.35", 'clearance = 0.35\nbetween = "auto"')
SINCE = """
[[section]]          # measured after the holder was printed: half a mm wider there than was guessed
name = "middle"
height = 20.0
[section.measured]
form = "rectangle"
width = 32.9
depth = 22.1
corner = 4.4
"""


@pytest.fixture(scope="module")
def printed(tmp_path_factory):
    """The tub's holder as made, its project changed since; the project as it was and as it is."""
    folder = tmp_path_factory.mktemp("printed")
    (folder / "holder.toml").write_text(ROOMY)
    was = read_project(folder / "holder.toml")
    made = make(was)
    (folder / "out").mkdir()
    (folder / "out" / "summary.json").write_text(json.dumps(run_summary([made])))
    (folder / "holder.toml").write_text(ROOMY + SINCE)
    return made, was, read_project(folder / "holder.toml")


def noted(project, **more):
    (trial,) = with_trial(project, SEEN, earlier=(), **more).trials
    return trial


@pytest.mark.slow
def test_what_a_print_has_stays_when_a_section_is_measured_after_it(printed):
    made, was, now = printed
    kept, of_now = noted(now, made_into=[now.folder / "out"]), noted(now)
    assert kept.clearance_mm == 0.35
    heights, gaps, widths, _ = np.array(kept.room).T
    assert gaps == pytest.approx(made.own.wanted.at(heights), abs=1e-3)
    assert gaps.max() > 0.35 + 0.2  # room where the shape was a guess
    assert (
        max(gap for _, gap, *_ in of_now.room) < gaps.max() - 0.1
    )  # measured by now, it is asked for no more

    # at the height measured since, the thing is that much larger than the print's
    model = model_thing(now).learned.model
    places = model.places
    at = np.flatnonzero((np.abs(places.z_mm - 20.0) < 1e-6) & (places.normals[:, 0] > 0.9))
    assert len(at)
    left = TriedPiece.of(kept, model=model, project=now).further_mm[at] + kept.gap_mm
    grown = (32.9 - np.interp(20.0, heights, widths)) / 2
    assert grown > 0.2
    assert left == pytest.approx(np.interp(20.0, heights, gaps) - grown, abs=0.02)

    (told,) = learn(model, [kept], project=now).findings
    assert told.code == "measured-anew"
    assert re.search(r"0\.[23]\d mm larger per side at \d\d\.\d mm", told.message)
    assert not learn(model, [of_now], project=now).findings

    # measured as it was, nothing is less
    before = model_thing(was).learned.model
    full = TriedPiece.of(kept, model=before, project=was).further_mm + kept.gap_mm
    assert full == pytest.approx(np.interp(before.places.z_mm, heights, gaps), abs=1e-3)


def test_above_the_rim_of_a_lower_print_nothing_is_held_and_nothing_was_measured_anew(tmp_path):
    def tub(reach):
        file = tmp_path / str(reach) / "holder.toml"
        file.parent.mkdir()
        file.write_text(ROOMY.replace("height = 25 ", f"height = {reach} "))
        return read_project(file)

    low, high = tub(13), tub(25)
    trial = noted(low)  # the block was made higher after it was printed
    model = model_thing(high).learned.model
    assert model.places.heights_mm[-1] > trial.room[-1][0] + 5
    assert not learn(model, [trial], project=high).findings
    (bearing,) = TriedPiece.of(trial, model=model, project=high).bearings
    assert 0 < model.places.z_mm[bearing.tried].max() < trial.room[-1][0] + 1.0
    assert TriedPiece.of(replace(trial, section="high"), model=model, project=high) is None
    # what was seen is as likely as where the block is as low now
    of_low = learn(model_thing(low).learned.model, [trial], project=low)
    assert learn(model, [trial], project=high).after.expected_mm == pytest.approx(
        of_low.after.expected_mm, abs=0.01
    )


def test_a_trial_keeps_its_room_and_one_without_is_read_as_ever(printed):
    *_, now = printed
    kept = noted(now, made_into=[now.folder / "out"])
    text = trials_text([kept, replace(kept, room=None)])
    (now.folder / "trials.toml").write_text(text)
    again, old = read_trials(now.folder)
    assert again.room == kept.room
    assert old.room is None
    model = model_thing(now).learned.model
    assert TriedPiece.of(old, model=model, project=now).further_mm.max() > 0  # as the spreads of now ask for
    (now.folder / "trials.toml").write_text(text.replace('piece = "holder"', 'piece = "test-piece"'))
    with pytest.raises(ProjectError, match="a room belongs to a holder"):
        read_trials(now.folder)
    (now.folder / "trials.toml").unlink()


def test_only_a_summary_of_this_project_and_clearance_counts_and_the_newest_of_them(printed, tmp_path):
    made, was, now = printed

    def found(content, *, clearance_mm=None, folders=("a",)):
        for age, folder in enumerate(reversed(folders)):
            (tmp_path / folder).mkdir(exist_ok=True)
            file = tmp_path / folder / "summary.json"
            file.write_text(content)
            os.utime(file, (age, age))
        return printed_holder(now, [tmp_path / f for f in folders], clearance_mm=clearance_mm)

    one = run_summary([made])
    assert found(json.dumps(one), folders=("a", "b")).file.parent.name == "a"
    assert found(json.dumps(one), clearance_mm=0.35)
    assert found(json.dumps(one), clearance_mm=0.4) is None
    two = run_summary([made, make(was, clearance_mm=0.5)])
    assert found(json.dumps(two)) is None  # which of them was tried is not known
    assert found(json.dumps(two), clearance_mm=0.5).clearance_mm == 0.5
    for other in (
        one | {"things": [one["things"][0] | {"name": "Vat"}]},
        one | {"things": [one["things"][0] | {"project": "vat.toml"}]},
        one | {"things": [one["things"][0] | {"project": "../elsewhere/holder.toml"}]},
        one | {"things": one["things"] * 2},
        {"things": 1},
        [],
        3,
        one | {"things": [{}]},
    ):
        assert found(json.dumps(other)) is None
    assert found("{") is None
    assert found("[" * 100_000) is None


@pytest.mark.slow
def test_the_command_finds_what_was_made_last(printed, tmp_path, monkeypatch, capsys):
    made, _, now = printed
    away = tmp_path / "elsewhere"
    away.mkdir()
    monkeypatch.chdir(away)
    note = ["trial", str(now.file), "--piece", "holder", "--seen", "no-go"]

    def widest(*more):
        assert main([*note, *more]) == 0
        (trial,) = read_trials(now.folder)
        assert main(["trial", str(now.file), "--undo"]) == 0
        return max(gap for _, gap, *_ in trial.room)

    widest_printed = max(gap for _, gap, *_ in run_summary([made])["things"][0]["room_mm"])
    assert widest() == pytest.approx(widest_printed)
    assert widest("--made", str(now.folder / "out")) == pytest.approx(widest_printed)
    assert "summary.json tells of" in capsys.readouterr().out.replace("\n", "")
    assert main([*note, "--made", str(away)]) == 2  # nothing was made there
    assert "tells of no holder of this project" in capsys.readouterr().err.replace("\n", " ")
    assert not read_trials(now.folder)


def test_another_projects_report_that_is_replaced_is_told(printed, tmp_path, capsys):
    _, was, now = printed
    other = tmp_path / "vat.toml"
    other.write_text(TUB.replace('name = "Tub"', 'name = "Vat"'))
    assert 'name = "Vat"' in other.read_text()
    out = tmp_path / "out"
    for file, told in ((now.file, ""), (other, f"summary.json of {was.thing.name}, made")):
        assert main(["make", str(file), "-o", str(out)]) < 2
        words = " ".join(capsys.readouterr().out.split())
        assert told in words
        assert ("were replaced" in words) is bool(told)
        assert holder_displaced(read_project(file), out) is None  # made once more it takes its own place
    assert holder_displaced(now, out) == "Vat"
    (out / "summary.json").write_text('{"holders": [3, {"name": 5}]}')
    assert holder_displaced(now, out) is None


@pytest.mark.parametrize("between", ["smooth", "straight"])
@pytest.mark.parametrize("reach", [40, 47])
def test_a_block_of_another_height_measures_nothing_anew(tmp_path, between, reach):
    """Of a belly, known at levels 10 mm apart, the levels of a lower block were taken to be 0.1 mm larger by now."""

    def handle(height):
        file = tmp_path / str(height) / "holder.toml"
        file.parent.mkdir()
        rows = [f'[object]\nname = "handle"\n[loft]\nbetween = "{between}"\n[fit]\nclearance = 1.0\n']
        rows += [
            f'[[section]]\nname = "s{z}"\nheight = {z}\nmeasured = {{ form = "ellipse", width = {w}, depth = {d} }}\n'
            for z, w, d in ((3, 22.05, 20.2), (30, 26.1, 21.9), (62, 18.95, 17.05))
        ]
        file.write_text("".join([*rows, f"[block]\nheight = {height}\n"]))
        return read_project(file)

    trial, now = noted(handle(60)), handle(reach)
    model = model_thing(now).learned.model
    assert not {*model.places.heights_mm.round(3).tolist()} <= {row[0] for row in trial.room}
    assert "measured-anew" not in [finding.code for finding in learn(model, [trial], project=now).findings]

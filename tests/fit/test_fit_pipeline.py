"""The fit from the project file to the summary."""

import json
import re
from functools import partial

import numpy as np
import pytest
from pebble import KNOWN_BETWEEN, write_pebble

from cradle.cli.main import main
from cradle.finding import Severity
from cradle.fit.advice import MOST_CLEARANCE_MM
from cradle.fit.clearance_findings import clearance_for
from cradle.pipeline import build, make, model_row, model_thing
from cradle.project.reader import read_project
from cradle.project.trial_log import own_trials, read_row_trials, read_trials
from cradle.report.page import _figures_of_merit
from cradle.report.recommendation import pieces_to_try
from cradle.report.summary import summary_of


@pytest.fixture
def written(tmp_path):
    return partial(write_pebble, tmp_path)


def built(file, **asked):
    project = read_project(file)
    return build(model_row(project, trials=read_row_trials(project)), **asked)


def learned_by(file):
    project = read_project(file)
    return model_thing(project, trials=own_trials(read_trials(project.folder), project.file)).learned


def codes(made):
    return {finding.code for finding in made.findings}


def test_the_summary_holds_chance_and_curve(written):
    made = build(model_row(read_project(written())))
    fit = summary_of(made)["fit"]
    assert 0 < summary_of(made)["chance_of_fit"] < 1
    assert summary_of(made)["chance_of_fit"] == pytest.approx(made.own.assessment.chance.chance, abs=1e-4)
    shares = [row["chance"] for row in fit["curve"]]
    assert shares == sorted(shares)
    at = [row["clearance_mm"] for row in fit["curve"]]
    assert summary_of(made)["chance_of_fit"] == pytest.approx(shares[at.index(0.4)], abs=1e-3)
    assert json.dumps(summary_of(made), allow_nan=False)


def test_auto_reaches_the_chance_and_says_what_drives_it(written):
    made = build(model_row(read_project(written(clearance='"auto"', spread=KNOWN_BETWEEN))))
    assert summary_of(made)["chance_of_fit"] >= 0.95
    assert "clearance-chosen" in codes(made)
    assert made.own.gap.least_mm >= made.own.clearance.least_mm + 0.08 - 0.005
    assert 0.1 < made.own.clearance.least_mm < 1.5
    sure = build(model_row(read_project(written(clearance='"auto"\nchance = 0.5', spread=KNOWN_BETWEEN))))
    assert sure.own.clearance.clearances_mm.sum() < made.own.clearance.clearances_mm.sum()


def test_auto_says_what_it_reaches_where_it_cannot_reach_the_chance(written):
    made = build(model_row(read_project(written(clearance='"auto"', spread="between = 3.0"))))
    (told,) = [f for f in made.findings if f.code == "clearance-not-enough"]
    chance = summary_of(made)["chance_of_fit"]
    assert told.measured == pytest.approx(100 * chance, abs=0.01)
    needed = next(one["clearance_mm"] for one in summary_of(made)["fit"]["curve"] if one["chance"] >= 0.95)
    assert needed > 2.0
    assert (
        f"the chance of fit is only {100 * chance:.0f} %, not 95 %, which would take {needed:.1f} mm;"
        in told.message
    )
    assert "chance-low" not in codes(made)  # it is told once
    assert "measure the profiles" in told.advice
    # what is told is what is built: the most that is advised, at every section
    assert made.own.clearance.clearances_mm == pytest.approx(2.0)
    assert made.own.gap.least_mm >= 2.0 - 0.005


@pytest.mark.slow
def test_careful_measuring_needs_less_clearance(written):
    careful = "trace = 0.03\ncalipers = 0.01\nheights = 0.1\nplacing = 0.02\nbetween = 0.02\ninside = 0.01"
    rough = build(model_row(read_project(written(clearance='"auto"'))))
    fine = build(model_row(read_project(written(clearance='"auto"', spread=careful))))
    assert fine.own.clearance.greatest_mm < 0.5 * rough.own.clearance.greatest_mm


@pytest.mark.slow
def test_a_small_clearance_is_warned_of(written):
    made = build(model_row(read_project(written(clearance="0.05", spread=KNOWN_BETWEEN))))
    assert {"chance-low", "clearance-under-printer"} <= codes(made)
    low = next(f for f in made.findings if f.code == "chance-low")
    assert low.measured is not None
    assert low.measured < 20
    assert "section" in low.message
    assert re.match(r"set clearance = \d\.\d\d \(chance of fit 95 %\)", low.advice)
    wide = build(model_row(read_project(written(clearance="1.5", spread=KNOWN_BETWEEN))))
    assert not {"chance-low", "clearance-under-printer"} & codes(wide)


def test_no_clearance_is_named_that_holds_nothing(written):
    made = build(model_row(read_project(written(clearance="0.05", spread="heights = 5\nplacing = 5"))))
    low = next(f for f in made.findings if f.code == "chance-low")
    assert made.own.assessment.chance.curve[-1][0] > MOST_CLEARANCE_MM
    assert "set clearance" not in low.advice
    assert clearance_for(made.own.assessment.chance, goal=low.measured / 100) is not None


@pytest.mark.slow
def test_room_between_sections_chosen_by_the_program_raises_the_chance(written):
    plain = build(model_row(read_project(written())))
    relieved = build(model_row(read_project(written(between='"auto"'))))
    assert relieved.own.clearance.between_mm.max() > 0.05
    assert summary_of(relieved)["chance_of_fit"] > summary_of(plain)["chance_of_fit"]
    assert (
        relieved.own.pocket.undercut.depth_mm
        <= plain.own.pocket.undercut.depth_mm + relieved.own.clearance.between_mm.max()
    )


def test_spreads_of_nothing_fit_for_certain(written):
    nothing = "\n".join(
        f"{key} = 0"
        for key in (
            "trace",
            "scale",
            "calipers",
            "step",
            "heights",
            "placing",
            "between",
            "inside",
            "repeat",
        )
    )
    made = build(model_row(read_project(written(clearance="0.3", spread=nothing))))
    assert summary_of(made)["chance_of_fit"] == 1
    # the pocket has 0.3 mm all round: nothing but the calipers' own error is left
    assert made.own.assessment.chance.play_mm == pytest.approx(0.6, abs=0.05)


@pytest.mark.slow
def test_a_trial_changes_the_next_holder_and_can_be_taken_back(written, capsys):
    file = written()
    before = built(file)
    arguments = ["--seen", "no-go", "--section", "belly", "--clearance", "0.4"]
    assert main(["trial", str(file), *arguments]) == 0
    assert "no-go" in capsys.readouterr().out
    (kept,) = read_trials(file.parent)
    assert kept.gap_mm == pytest.approx(0.48)
    after = built(file)
    wider = [c["gap_mm"] for c in summary_of(after)["fit"]["trials"]["corrections"]]
    assert wider[1] > 0.1
    assert wider[1] > wider[0]
    grown = after.inspection[2].length_mm - before.inspection[2].length_mm
    assert grown == pytest.approx(2 * wider[1], abs=0.05)
    assert after.inspection[2].name == "pocket width at belly"
    assert main(["trial", str(file), "--undo", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["trials"] == []
    assert [c["gap_mm"] for c in told["before"]["corrections"]] == pytest.approx(wider, abs=1e-3)
    again = built(file)
    assert np.array_equal(again.holder.mesh.vertices_mm, before.holder.mesh.vertices_mm)
    assert main(["trial", str(file), "--undo"]) == 2


@pytest.mark.slow
def test_trials_that_use_up_the_whole_clearance_are_told(written, capsys):
    file = written(clearance="0.1")
    for _ in range(3):
        assert main(["trial", str(file), "--seen", "loose", "--section", "belly", "--clearance", "0.1"]) == 0
    made = built(file)
    assert made.own.model.learned.corrections_mm[1] < -0.1
    assert made.own.wanted.clearances_mm[1] == pytest.approx(0.08)  # the printer's inside error alone
    (found,) = (f for f in made.findings if f.code == "clearance-used-up")
    assert "a clearance of 0 is used" in found.message
    assert '"belly"' in found.message
    assert found.measured == pytest.approx(min(made.own.model.learned.corrections_mm))
    roomy = built(file, clearance_mm=0.6)
    assert roomy.own.wanted.clearances_mm[1] < 0.68
    assert "clearance-used-up" not in codes(roomy)


@pytest.mark.slow
def test_after_trials_the_chance_is_told_over_the_clearance_that_is_asked_for(written, capsys):
    file = written(clearance="0.2", spread=KNOWN_BETWEEN)
    for _ in range(3):
        assert main(["trial", str(file), "--read", "42.03", "--nominal", "42.83"]) == 0
    capsys.readouterr()
    made = built(file)
    chance = made.own.assessment.chance
    assert made.own.wanted.least_mm > made.own.clearance.least_mm + 0.08 + 0.1  # the trials add to it
    at, shares = zip(*chance.curve, strict=True)
    assert np.interp(0.2, at, shares) == pytest.approx(chance.chance, abs=0.02)
    (low,) = [f for f in made.findings if f.code == "chance-low"]
    assert "with 0.20 mm per side" in low.message
    # who follows the advice gets what it says, and not a step less would do
    enough = float(re.match(r"set clearance = (\d\.\d\d)", low.advice)[1])
    assert built(file, clearance_mm=enough).chance >= 0.95 > built(file, clearance_mm=enough - 0.06).chance


@pytest.mark.slow
def test_two_projects_in_one_folder_learn_each_from_its_own_trials(written, tmp_path, capsys):
    file, other = written(), tmp_path / "other.toml"
    other.write_text(file.read_text(encoding="utf-8"), encoding="utf-8")
    untaught = learned_by(other).corrections_mm
    note = ["--seen", "no-go", "--section", "belly", "--clearance", "0.4"]
    assert main(["trial", str(file), *note]) == 0
    assert {t.project for t in read_trials(tmp_path)} == {"holder.toml"}
    assert learned_by(other).corrections_mm == untaught
    assert learned_by(file).corrections_mm[1] > untaught[1] + 0.1
    assert main(["trial", str(other), "--undo"]) == 2
    assert "other.toml: there is no trial to undo" in capsys.readouterr().err
    assert main(["trial", str(other), *note]) == 0
    assert main(["trial", str(file), *note]) == 0
    capsys.readouterr()
    assert main(["trial", str(other), "--undo", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["trials"] == []
    assert [t.project for t in read_trials(tmp_path)] == ["holder.toml"] * 2


def test_a_trial_of_an_older_file_counts_for_every_project_of_the_folder(written, tmp_path, capsys):
    file, other = written(), tmp_path / "other.toml"
    other.write_text(file.read_text(encoding="utf-8"), encoding="utf-8")
    assert main(["trial", str(file), "--seen", "loose", "--section", "belly", "--clearance", "0.4"]) == 0
    kept = tmp_path / "trials.toml"
    kept.write_text(
        kept.read_text(encoding="utf-8").replace('project = "holder.toml"\n', ""), encoding="utf-8"
    )
    capsys.readouterr()
    assert main(["trial", str(other), "--undo", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [c["gap_mm"] < 0 for c in told["before"]["corrections"]] == [True] * 3
    assert read_trials(tmp_path) == ()


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--seen", "stuck", "--section", "low", "--clearance", "0.3"], "use no-go, tight, good or loose"),
        (
            ["--seen", "good", "--section", "gone", "--clearance", "0.3"],
            "--section: no section is called 'gone'; there are low, belly, high",
        ),
        (
            ["--seen", "good", "--height", "900", "--clearance", "0.3"],
            "--height: no test piece can be cut at",
        ),
        (["--seen", "good", "--clearance", "0.3"], "a test piece needs its section"),
        (["--seen", "good", "--section", "low"], "a test piece needs its clearance"),
        (["--seen", "good", "--section", "low", "--clearance", "0.3", "--read", "40"], "given together"),
        (["--seen", "good", "--undo"], "--undo cannot be combined"),
        (["--read", "40", "--undo"], "--undo cannot be combined"),
        (["--read", "5"], "--nominal: a reading and what it should be must be given together"),
        (
            ["--read", "5", "--nominal", "5", "--side", "left"],
            "--side: a reading alone does not need this option",
        ),
        (["--read", "5", "--nominal", "5", "--clearance", "0.3"], "--clearance: a reading alone"),
        (["--section", "nope"], "--section: how it went is missing"),
        (["--clearance", "0.3", "--piece", "test-piece"], "--piece: how it went is missing"),
        (["--side", "left"], "say how it went: --seen"),
        (["--nominal", "5"], "--read: a reading and what it should be must be given together; give both"),
    ],
)
def test_a_mistaken_trial_is_told_and_not_kept(written, capsys, arguments, told):
    file = written()
    assert main(["trial", str(file), *arguments]) == 2
    assert told in capsys.readouterr().err
    assert read_trials(file.parent) == ()


def test_a_holder_tried_as_a_whole_teaches_too(written, capsys):
    file = written()
    assert main(["trial", str(file), "--piece", "holder", "--seen", "loose"]) == 0
    assert main(["trial", str(file), "--json"]) == 0
    told = json.loads(capsys.readouterr().out.split("\n{", 1)[-1].join(["{", ""]))
    (row,) = told["trials"]
    assert row["section"] is None
    assert row["gap_mm"] == pytest.approx(0.48)
    assert all(c["gap_mm"] < 0 for c in told["after"]["corrections"])


@pytest.mark.slow
def test_a_ring_whose_trial_is_noted_is_not_advised_again(written):
    file = written()
    (piece,) = pieces_to_try(built(file), folder="")
    assert not piece.noted
    ring = ["--section", piece.section, "--clearance", f"{piece.clearance_mm:g}"]
    assert main(["trial", str(file), *ring, "--seen", "good"]) == 0
    (other,) = pieces_to_try(built(file), folder="")
    assert other.section != piece.section  # a good ring settles it there
    assert not other.noted


@pytest.mark.slow
def test_what_trials_added_stands_beside_clearance_and_gap(written):
    file = written()
    made = built(file)
    assert made.added_words == ""
    assert "added after trials" not in _figures_of_merit(made)
    assert main(["trial", str(file), "--read", "42.4", "--nominal", "42.83"]) == 0
    made = built(file)
    least, most = min(made.own.model.learned.corrections_mm), max(made.own.model.learned.corrections_mm)
    assert made.added_words == f"{least:+.2f}"
    assert most - least < 1e-6
    assert made.tightest.least_gap_mm == pytest.approx(made.asked_mm + least, abs=0.02)
    assert f"<dt>added after trials, per side</dt><dd>{least:+.2f} mm</dd>" in _figures_of_merit(made)


@pytest.mark.slow
def test_a_reading_alone_teaches_the_printer_and_every_section_alike(written, capsys):
    file = written()
    before = learned_by(file)
    assert main(["trial", str(file), "--read", "42.4", "--nominal", "42.83", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    (row,) = told["trials"]
    assert (row["read_mm"], row["nominal_mm"], row["seen"], row["piece"]) == (42.4, 42.83, None, None)
    after = learned_by(file)
    assert after.after.expected_mm > before.after.expected_mm  # (42.83 - 42.4) / 2 is above what was stated
    assert after.after.spread_mm < before.after.spread_mm
    assert len(set(np.round(after.corrections_mm, 9))) == 1
    file.write_text(file.read_text(encoding="utf-8").replace("inside_error = 0.08", ""), encoding="utf-8")
    assert "inside-error-assumed" not in codes(built(file))
    assert main(["trial", str(file)]) == 0
    assert "42.40 for 42.83" in capsys.readouterr().out
    assert main(["trial", str(file), "--undo"]) == 0
    assert "inside-error-assumed" in codes(built(file))
    assert main(["trial", str(file), "--section", "low", "--clearance", "0.3", "--seen", "no-go"]) == 0
    (told,) = (f for f in built(file).findings if f.code == "inside-error-assumed")
    assert "by the trials" in told.message
    assert main(["trial", str(file), "--undo"]) == 0
    written()
    assert learned_by(file).corrections_mm == before.corrections_mm


@pytest.mark.slow
def test_a_clearance_far_above_what_is_needed_is_told(tmp_path):
    """A clearance given on the diameter, or four times too large, rattles: that is told as plainly as one too small."""
    rows = ['[object]\nname = "cup"\nmass = 100\n[block]\nheight = 25\n[fit]\nclearance = 2.0\nbetween = 0\n']
    rows += [
        f'[[section]]\nname = "s{z}"\nheight = {z}\nmeasured = {{ form = "ellipse", width = 40, depth = 30 }}\n'
        for z in (0, 10, 20, 30)
    ]
    (tmp_path / "holder.toml").write_text("".join(rows))
    made = make(read_project(tmp_path / "holder.toml"))
    (loose,) = (f for f in made.findings if f.code == "clearance-loose")
    assert loose.severity is Severity.WARN
    assert "can shift by" in loose.message
    assert "(lining)" in loose.advice
    snug = make(read_project(tmp_path / "holder.toml"), clearance_mm=loose.limit - 0.4 + 0.05)
    assert not [f for f in snug.findings if f.code == "clearance-loose"]
    lined = rows[0].replace("between = 0\n", "between = 0\nlining = 2\n")
    (tmp_path / "holder.toml").write_text("".join([lined, *rows[1:]]))
    (loose,) = (
        f for f in make(read_project(tmp_path / "holder.toml")).findings if f.code == "clearance-loose"
    )
    assert "(lining)" not in loose.advice


def test_a_straight_thing_of_two_sections_is_told_how_to_say_so(tmp_path):
    rows = ['[object]\nname = "wedge"\n[block]\nheight = 30\n[fit]\nclearance = 0.5\nbetween = 0\n']
    rows += [
        f'[[section]]\nname = "s{z}"\nheight = {z}\n'
        f'measured = {{ form = "rectangle", width = {50 + z / 10}, depth = 40, corner = 4 }}\n'
        for z in (0, 40)
    ]
    file = tmp_path / "holder.toml"
    file.write_text("".join(rows), encoding="utf-8")
    unsaid = built(file)
    (low,) = (f for f in unsaid.findings if f.code == "chance-low")
    key, said, section = re.search(
        r"say (\w+) = (\S+) under \[(\w+)\] if a straightedge", low.advice
    ).groups()
    file.write_text("".join([*rows, f"[{section}]\n{key} = {said}\n"]), encoding="utf-8")
    told = built(file)
    assert told.chance > unsaid.chance + 0.3
    assert not [f for f in told.findings if "straightedge" in f.advice]

"""What is decided on the way from project to holder is decided once, and what is read is read at the door."""

import ast
import inspect as source
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

import cradle.pipeline
from cradle.fit import places
from cradle.pipeline import make, model_row
from cradle.pocket import opened_stack, way_out
from cradle.pocket.sweep import Sweep
from cradle.project.project import TRIALS_FILE
from cradle.project.reader import project_from_text, read_project
from cradle.project.trial_log import read_row_trials
from cradle.report.summary import summary_of

PACKAGE = Path(cradle.pipeline.__file__).parent.parent
LEANING = """
[object]
name = "spout"
[[section]]
name = "low"
height = 2.0
shift = [0.0, 0.0]
measured = { form = "ellipse", width = 40, depth = 30 }
[[section]]
name = "waist"
height = 14.0
shift = [1.0, 3.0]
measured = { form = "ellipse", width = 34, depth = 27 }
[[section]]
name = "high"
height = 30.0
shift = [2.0, 9.0]
measured = { form = "ellipse", width = 38, depth = 29 }
[fit]
clearance = 0.4
lift_out = "auto"
[block]
height = 22.0
"""
TRIAL = """
[[trial]]
date = 2026-05-17
piece = "test-piece"
section = "low"
clearance = 0.4
gap = 0.15
seen = "no-go"
"""


@pytest.fixture
def project(tmp_path):
    file = tmp_path / "holder.toml"
    file.write_text(LEANING, encoding="utf-8")
    return read_project(file)


@cache
def source_of(file):
    return file.read_text(encoding="utf-8")


def parsed(word):
    """All modules in which a word stands, by their place in the package."""
    files = [file for file in PACKAGE.rglob("*.py") if word in source_of(file)]
    return {file.relative_to(PACKAGE).as_posix(): ast.parse(source_of(file)) for file in files}


@pytest.fixture(scope="module")
def found_alone():
    """The holder with the way out looked for, the directions found, and those that pocket and fit go by."""
    chosen, used = [], {"pocket": [], "fit": []}

    def choosing(levels, **given):
        chosen.append(search(levels, **given))
        return chosen[-1]

    def sweeping(room):
        def along(direction, **given):
            used[room].append(np.array(direction))
            return Sweep.along(direction, **given)

        return SimpleNamespace(along=along)

    search = way_out.easiest_direction
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(way_out, "easiest_direction", choosing)
        patch.setattr(opened_stack, "Sweep", sweeping("pocket"))
        patch.setattr(places, "Sweep", sweeping("fit"))
        made = make(project_from_text(LEANING, file=Path("holder.toml")))
    return made, chosen, used


@pytest.mark.slow
def test_pocket_and_chance_of_fit_go_by_one_way_out(found_alone):
    _, chosen, used = found_alone
    assert len(chosen) == 1
    assert chosen[0][1] > 0.05  # not vacuous: the thing is not lifted straight up
    assert all(used.values())
    for direction in (*used["pocket"], *used["fit"]):
        assert direction == pytest.approx(chosen[0], abs=1e-12)


@pytest.mark.slow
def test_the_way_out_found_is_as_good_as_the_same_way_out_given(project, found_alone):
    auto, _, _ = found_alone
    given = make(replace(project, fit=replace(project.fit, lift_out=tuple(auto.own.insertion.tolist()))))
    assert summary_of(given)["chance_of_fit"] == summary_of(auto)["chance_of_fit"]
    assert summary_of(given)["fit"]["curve"] == summary_of(auto)["fit"]["curve"]
    assert summary_of(given)["undercut_mm"] == pytest.approx(summary_of(auto)["undercut_mm"], abs=1e-6)
    upright = make(replace(project, fit=replace(project.fit, lift_out=(0.0, 0.0, 1.0))))
    assert summary_of(upright)["chance_of_fit"] != summary_of(auto)["chance_of_fit"]


def test_one_module_alone_looks_for_the_easiest_direction():
    calls = [
        inner
        for inner, tree in parsed("easiest_direction").items()
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "easiest_direction"
    ]
    assert set(calls) == {"pocket/way_out.py"}


@pytest.mark.slow
def test_trials_are_read_at_the_door_and_count_where_they_are_passed_in(project):
    (project.folder / TRIALS_FILE).write_text(TRIAL, encoding="utf-8")
    silent, told = model_row(project), model_row(project, trials=read_row_trials(project))
    assert len(silent.things[0].learned.trials) == 0
    assert len(told.things[0].learned.trials) == 1
    assert told.things[0].learned.corrections_mm[0] > 0.01
    for module in vars(cradle.pipeline).values():
        if source.ismodule(module):
            assert not {"read_trials", "read_row_trials"} & set(vars(module))


@pytest.mark.slow
def test_the_things_of_a_row_have_the_trials_of_their_own_folders(project):
    beside = project.folder / "beside"
    beside.mkdir()
    (beside / "other.toml").write_text(LEANING.replace("spout", "other"), encoding="utf-8")
    (beside / TRIALS_FILE).write_text(TRIAL, encoding="utf-8")
    project.file.write_text(f'{LEANING}[row]\nthings = ["beside/other.toml"]\n', encoding="utf-8")
    row = read_project(project.file)
    modelled = model_row(row, trials=read_row_trials(row))
    assert [len(thing.learned.trials) for thing in modelled.things] == [0, 1]


READING = """
[[trial]]
date = 2026-07-24
{of}{place}read = 39.6
nominal = 40.2
"""


@pytest.mark.slow
@pytest.mark.parametrize("place", ["", 'section = "lip"\n'], ids=["a reading alone", "of a section"])
def test_a_reading_of_the_printer_counts_for_all_things_of_a_row(project, place):
    # (40.2 - 39.6) / 2 = 0.3 mm per side that the one printer makes every pocket narrower
    folder = project.folder
    lip = LEANING.replace('name = "spout"', 'name = "other"')
    (folder / "other.toml").write_text(lip, encoding="utf-8")
    project.file.write_text(f'{LEANING}[row]\nthings = ["other.toml"]\n', encoding="utf-8")
    row = read_project(project.file)
    place = place.replace("lip", row.sections[0].name)

    def learned(of):
        (folder / TRIALS_FILE).write_text(READING.format(of=of, place=place), encoding="utf-8")
        return [thing.learned for thing in model_row(row, trials=read_row_trials(row)).things]

    own, other = learned(f'project = "{row.file.name}"\n')
    assert own.after.expected_mm > own.before.expected_mm + 0.1
    assert other.after == own.after  # the printer is the one of the file that is made
    assert other.corrections_mm == pytest.approx(own.corrections_mm)
    assert not other.findings
    assert [one.after for one in learned("")] == [own.after, own.after]  # of every project: counted once
    own, other = learned('project = "other.toml"\n')
    assert (
        own.after.expected_mm == own.before.expected_mm
    )  # noted for another file, whose printer may be another
    assert other.after.expected_mm > other.before.expected_mm + 0.1


def test_the_summary_is_written_at_the_end_and_read_by_nothing():
    writers = {
        "pipeline/output_files.py",
        "cli/show.py",
        "cli/show_trial.py",
        "cli/trace.py",
        "page/trial_job.py",
    }
    seen = set()
    for inner, tree in parsed("summary").items():
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and node.module == "cradle.report.summary":
                seen.add(inner)
            if isinstance(node, ast.Attribute):
                assert node.attr != "summary", f"{inner}:{node.lineno}"
    assert seen <= writers
    assert "pipeline/output_files.py" in seen

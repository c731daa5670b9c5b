"""What was made for the holder before is taken again where an edit does not concern it, and nowhere else."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from tub import TUB

from cradle.page import kept_steps
from cradle.page.kept_outlines import KeptOutlines
from cradle.page.kept_steps import KeptSteps
from cradle.pipeline import build, model_row
from cradle.project.reader import project_from_text

DRAIN = '[[opening]]\nkind = "drain"\ndiameter = 6\n'
PLATE = '[plate]\nwidth = 110\nscrew = "M4"\n'
ALL = ["model_thing", "rough_attempt", "finished_attempt", "assessment_of"]
# An edit of the tub, and what is made anew for it.
EDITS = {
    "nothing": (TUB, []),
    "a wall": (TUB + "wall = 3.6\n", []),
    "a drain": (TUB + DRAIN, []),
    "a plate": (TUB + PLATE, []),
    "a row": (TUB + "[row]\ncount = 2\n", []),
    "a lead-in": (TUB + "lead_in = 0.5\n", ALL[1:]),
    "a mass": (TUB.replace("mass = 100", "mass = 300"), ALL),
    "a clearance": (TUB.replace("clearance = 0.35", "clearance = 0.5"), ALL),
    "a height": (TUB.replace("height = 25", "height = 27"), ALL),
    "a lean": (TUB + "lean = 4\n", ALL),
    "a reading": (TUB.replace("width = 36", "width = 36.4"), ALL),
    "an inside error": (TUB + "[printer]\ninside_error = 0.15\n", ALL),
}


def project(text):
    return project_from_text(text, file=Path("holder.toml"))


@pytest.fixture(scope="module")
def made_anew():
    """The names of the steps made since it was cleared."""
    seen = []

    def counted(name, real):
        def step(*given, **more):
            seen.append(name)
            return real(*given, **more)

        return step

    with pytest.MonkeyPatch.context() as patch:
        for name in ALL:
            patch.setattr(kept_steps, name, counted(name, getattr(kept_steps, name)))
        yield seen


@pytest.fixture(scope="module")
def made(made_anew):
    """From a project's text to its holder, by steps that keep what they made; those of the tub are made already."""
    steps = KeptSteps(KeptOutlines()).steps

    def by_kept_steps(text):
        return build(model_row(project(text), steps=steps), steps=steps)

    by_kept_steps(TUB)
    return by_kept_steps


@pytest.mark.first_daily
@pytest.mark.parametrize(("text", "expected"), EDITS.values(), ids=EDITS)
def test_an_edit_has_made_anew_what_it_concerns_and_the_holder_is_the_one_made_plainly(
    text, expected, made, made_anew
):
    first = made(TUB)
    made_anew.clear()
    kept, plain = made(text), build(model_row(project(text)))
    assert list(dict.fromkeys(made_anew)) == expected
    assert np.array_equal(kept.holder.mesh.vertices_mm, plain.holder.mesh.vertices_mm)
    assert np.array_equal(kept.holder.mesh.faces, plain.holder.mesh.faces)
    assert kept.findings == plain.findings
    assert kept.project == plain.project
    assert [thing.model.project for thing in kept.things] == [thing.model.project for thing in plain.things]
    made_anew.clear()
    again = made(TUB)
    assert made_anew == []  # undone: what was there before the edit is there still
    assert again.own.gap == first.own.gap


def test_a_file_that_changed_has_its_thing_modelled_anew(tmp_path, made_anew):
    drawn = TUB.replace(
        '[section.measured]\nform = "rectangle"\nwidth = 30\ndepth = 20\ncorner = 4\n',
        'outline = "low.csv"\n',
    )
    file = tmp_path / "low.csv"
    file.write_text("0,0\n30,0\n30,20\n0,20\n")
    one = replace(project(drawn), file=tmp_path / "holder.toml")
    before = KeptSteps(KeptOutlines()).steps
    made_anew.clear()
    first = before.model(one)
    assert before.model(one) is first
    file.write_text("0,0\n30,0\n30,20\n15,23\n0,20\n")
    assert before.model(one) is not first
    assert made_anew == ["model_thing", "model_thing"]


def tin(name, width):
    flat = f'measured = {{ form = "ellipse", width = {width}, depth = {width} }}'
    sections = "".join(f'[[section]]\nname = "{at}"\nheight = {at}.0\n{flat}\n' for at in (0, 60))
    return f'[object]\nname = "{name}"\n{sections}[fit]\nclearance = "auto"\n[block]\nheight = 30\n'


@pytest.mark.slow
def test_another_thing_in_the_row_gives_each_more_room(tmp_path):
    (tmp_path / "jar.toml").write_text(tin("jar", 44))
    file, before = tmp_path / "holder.toml", KeptSteps(KeptOutlines()).steps

    def made(text):
        return build(model_row(project_from_text(text, file=file), steps=before), steps=before)

    alone = made(tin("tin", 30))
    row = tin("tin", 30) + '[row]\nthings = ["jar.toml"]\n'
    kept, plain = made(row), build(model_row(project_from_text(row, file=file)))
    assert [t.clearance.least_mm for t in kept.things] == [t.clearance.least_mm for t in plain.things]
    assert kept.findings == plain.findings
    assert kept.own.clearance.least_mm > alone.own.clearance.least_mm

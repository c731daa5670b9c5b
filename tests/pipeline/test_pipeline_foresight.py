"""What is impossible is told before any pocket is finished, in the words that making it would have ended with."""

from dataclasses import replace
from pathlib import Path

import pytest
from made_demos import DEMOS, made_demo
from tub import TUB

from cradle.errors import GeometryError
from cradle.pipeline import build, foreseen, model_row, pocket_attempt, rough_holder
from cradle.pipeline.building import holder_attempt
from cradle.pipeline.pocket_attempt import finished_attempt, rough_attempt
from cradle.project.reader import project_from_text, read_project

REFUSED = {
    "a wall that lead-in and chamfer use up": "wall = 1.2\nlead_in = 1\n",
    "chamfers higher than the block": "wall = 9\nchamfer = 14\nlead_in = 0\n",
    "a plate behind the block": '[plate]\nwidth = 30\nheight = 20\nscrew = "M4"\n',
    "a plate whose screws the block covers": '[plate]\nwidth = 44\nscrew = "M4"\n',
    "a plate too thin for its countersinks": '[plate]\nwidth = 80\nthickness = 2\nscrew = "M4"\n',
    "a plate in the way out": "[plate]\nwidth = 30\nheight = 60\nthickness = 6\ndiameter = 4\nhead = 8\n",
    "a notch wider than the pocket": '[[opening]]\nkind = "notch"\nthrough = "front"\nwidth = 70\ndepth = 8\n',
    "a window beside the pocket": (
        '[[opening]]\nkind = "window"\nthrough = "left"\nwidth = 6\nheight = 5\nat = [30, 12]\n'
    ),
    "a window below the floor": '[[opening]]\nkind = "window"\nthrough = "left"\nwidth = 6\nheight = 5\nat = [0, 0]\n',
    "a drain beside the pocket": '[[opening]]\nkind = "drain"\ndiameter = 5\nat = [40, 0]\n',
    "a drain wider than the pocket": '[[opening]]\nkind = "drain"\ndiameter = 29\n',
    "a text wider than the wall": '[[opening]]\nkind = "label"\ntext = "a very long word"\nheight = 9\nthrough = "front"\n',
    "a text that reaches the pocket": '[[opening]]\nkind = "label"\ntext = "tub"\nheight = 8\ndepth = 5\nthrough = "front"\n',
    "a text of letters that the font lacks": '[[opening]]\nkind = "label"\ntext = "壺"\nheight = 8\nthrough = "front"\n',
    "a magnet that reaches the pocket": '[[opening]]\nkind = "magnet"\ndiameter = 6\ndepth = 3.5\n',
    "a magnet past the edge": '[[opening]]\nkind = "magnet"\ndiameter = 6\ndepth = 1\nat = [19, 0]\n',
    "feet too large": '[[opening]]\nkind = "feet"\ndiameter = 20\ndepth = 1\n',
    "a keyhole in a wall too thin": '[[opening]]\nkind = "keyhole"\nscrew = "M4"\nthrough = "back"\n',
    "a countersink in a floor too thin": '[[opening]]\nkind = "countersunk"\nscrew = "M5"\nthrough = "floor"\n',
}


def tub_row(extra=""):
    return model_row(project_from_text(TUB + extra, file=Path("holder.toml")))


def refusal(act):
    try:
        act()
    except GeometryError as error:
        return str(error)
    return None


@pytest.mark.first_daily
@pytest.mark.parametrize("extra", REFUSED.values(), ids=REFUSED)
def test_what_is_impossible_is_told_before_a_pocket_is_finished(extra, monkeypatch):
    row = tub_row(extra)
    said = refusal(
        lambda: holder_attempt(
            row, [finished_attempt(rough_attempt(m, clearance_mm=None)) for m in row.things]
        )
    )
    monkeypatch.setattr(pocket_attempt, "finished_pocket", lambda _: pytest.fail("a pocket was finished"))
    early = refusal(lambda: rough_holder(row))
    assert early is not None
    assert refusal(lambda: build(row)) == early
    if said is not None:  # a rim is looked at before either
        assert early == said


@pytest.mark.first_daily
@pytest.mark.parametrize("name", ["ocarina", "nozzle"])
def test_the_findings_and_the_chance_foreseen_are_those_of_the_made_holder(name):
    before, made = foreseen(model_row(read_project(DEMOS / name / "holder.toml"))), made_demo(name)
    ahead, found = (
        [(f.code, f.severity, f.where, f.message) for f in one.findings] for one in (before, made)
    )
    assert ahead == found
    assert (before.chance, before.clearance_words) == (made.chance, made.clearance_words)


def test_a_rough_pocket_is_the_finished_one_where_it_begins_and_ends():
    (model,) = tub_row("lead_in = 1\n").things
    rough = rough_attempt(replace(model), clearance_mm=None)
    made = finished_attempt(rough)
    assert rough.pocket.bottom_mm == made.pocket.bottom_mm
    assert rough.pocket.extent_mm() == pytest.approx(made.pocket.extent_mm(), abs=0.01)
    assert rough.pocket.top_mm == made.pocket.top_mm

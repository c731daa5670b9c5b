"""Room between sections where the shape is a guess is advised where the user's own even gap is too tight there."""

import re

import pytest

from cradle.cli.main import main
from cradle.pipeline import build, model_row
from cradle.project.reader import read_project
from cradle.project.trial_log import read_row_trials

LOW = ("chance-low", "clearance-not-enough")
SIZES = ((5, 96.2, 96.35), (45, 118.9, 119.2), (90, 141.6, 141.2))
"""Height, width and depth of a vase's sections, mm (invented)."""
UNSURE = "[spread]\nbetween = 1.2\n"
"""Between its sections it is so unsure that no even gap of 2 mm is enough."""


@pytest.fixture
def vase(tmp_path):
    """Writes the vase's project with settings under [fit]; its file."""
    sections = "".join(
        f'[[section]]\nname = "s{h}"\nheight = {h}\nmeasured = {{ form = "ellipse", width = {w}, depth = {d} }}\n'
        for h, w, d in SIZES
    )
    head = f'[object]\nname = "vase"\n[loft]\nalign = "drawing"\n[block]\nheight = 70\n{UNSURE}[fit]\n'
    file = tmp_path / "holder.toml"

    def written(*settings):
        file.write_text("\n".join([head, *settings, sections]), encoding="utf-8")
        return file

    return written


def built(file):
    project = read_project(file)
    return build(model_row(project, trials=read_row_trials(project)))


def told_of(holder):
    (low,) = [f for f in holder.findings if f.code in LOW]
    return low


@pytest.mark.slow
@pytest.mark.parametrize(
    ("said", "settings", "then"),
    [
        (["clearance = 0.4", "between = 0"], ['clearance = "auto"', 'between = "auto"'], []),
        (["clearance = 0.4", "between = 0.1"], ['clearance = "auto"', 'between = "auto"'], []),
        (["clearance = 0.4"], ['clearance = "auto"'], []),
        (['clearance = "auto"', "between = 0"], ['between = "auto"'], ['clearance = "auto"']),
    ],
)
def test_what_is_advised_in_place_of_an_even_gap_brings_what_it_says(vase, said, settings, then):
    """Where the user had said `between = 0` it was never advised to give more room there, whatever that would bring."""
    now = built(vase(*said))
    told = re.match(
        r"set (.+?)(?: under \[fit\])? \(chance of fit (\d+) %, with (\S+) mm at the sections",
        told_of(now).advice,
    )
    assert told
    assert told[1].split(" and ") == settings
    after = built(vase(*settings, *then))
    assert after.chance >= int(told[2]) / 100 > now.chance + 0.2
    assert after.own.clearance.least_told == told[3]


@pytest.mark.slow
def test_the_largest_clearance_is_told_as_it_is_asked_for_beside_what_trials_add(vase, capsys):
    """The holder was said to get 2 mm where the line on it told of what is asked for, less than that."""
    file = vase('clearance = "auto"', "between = 0")
    assert "the holder gets the largest clearance, 2 mm per side, but" in told_of(built(file)).message
    noted = ["--section", "s45", "--clearance", "0.5", "--seen", "tight"]
    assert main(["trial", str(file), *noted]) == 0
    capsys.readouterr()
    now = built(file)
    told = re.search(r"2 mm per side with what trials add to ([\d., and]+) mm, but", told_of(now).message)
    asked = {f"{mm:.2f}" for mm in now.own.clearance.clearances_mm.tolist()}
    assert set(re.findall(r"[\d.]+", told[1])) == asked
    assert max(map(float, asked)) < 1.99

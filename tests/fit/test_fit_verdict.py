"""What a doubtful chance of fit makes of the verdict."""

from functools import partial

import pytest
from pebble import write_pebble

from cradle.finding import About
from cradle.fit.clearance_findings import clearance_for
from cradle.pipeline import build, model_row
from cradle.project.reader import read_project
from cradle.report.recommendation import Advised, recommendation


@pytest.fixture
def written(tmp_path):
    return partial(write_pebble, tmp_path)


@pytest.mark.first_daily
@pytest.mark.parametrize("clearance", ["0.5", '"auto"'])
def test_where_the_shape_between_sections_decides_measuring_comes_before_test_pieces(written, clearance):
    guessed = build(model_row(read_project(written(clearance=clearance, spread="between = 2.0"))))
    (doubt,) = [f for f in guessed.findings if f.code in ("chance-low", "clearance-not-enough")]
    assert doubt.about is About.SHAPE
    assert "measure the profiles" in doubt.advice
    assert recommendation(guessed).advised is Advised.MEASURE_MORE


@pytest.mark.slow
def test_an_even_gap_too_tight_between_sections_is_to_follow_the_shape(written):
    """Chosen by what is known at each height, less at the sections is enough: an even gap takes it everywhere."""

    def made(**more):
        file = written(spread="between = 0.6", between="0.0", **more)
        named, unnamed = read_project(file), file.read_text(encoding="utf-8").replace("between = 0.0\n", "")
        file.write_text(unnamed, encoding="utf-8")
        return [build(model_row(project)) for project in (named, read_project(file))]

    def advice(holder):
        (low,) = [f for f in holder.findings if f.code == "chance-low"]
        return low.advice

    named, even = made(clearance="0.3")
    _, followed = made(clearance='"auto"')
    least = followed.own.clearance.least_mm
    assert followed.chance >= 0.95
    assert advice(even).startswith(
        f'set clearance = "auto" (chance of fit 95 %, with {least:.2f} mm at the sections and more'
    )
    # an even gap that is asked for by name stays even, and takes more
    enough = clearance_for(even.own.assessment.chance, goal=0.95)
    assert least < enough - 0.2
    assert advice(named).startswith(f"set clearance = {enough:.2f} (")


def test_where_tracing_decides_test_pieces_tell(written):
    drawn = "between = 0.01\nplacing = 0.01\nheights = 0.01\ncalipers = 0.8"
    unsteady = build(model_row(read_project(written(clearance="0.5", spread=drawn))))
    (doubt,) = [f for f in unsteady.findings if f.code == "chance-low"]
    assert doubt.about is About.FIT
    assert recommendation(unsteady).advised is Advised.TEST_PIECES

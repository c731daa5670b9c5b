"""What a doubtful chance of fit makes of the verdict."""

from functools import partial

import pytest
from pebble import write_pebble

from cradle.finding import About
from cradle.pipeline import build, model_row
from cradle.project.reader import read_project
from cradle.report.recommendation import Advised, recommendation


@pytest.fixture
def written(tmp_path):
    return partial(write_pebble, tmp_path)


@pytest.mark.parametrize("clearance", ["0.5", '"auto"'])
def test_where_the_shape_between_sections_decides_measuring_comes_before_test_pieces(written, clearance):
    guessed = build(model_row(read_project(written(clearance=clearance, spread="between = 2.0"))))
    (doubt,) = [f for f in guessed.findings if f.code in ("chance-low", "clearance-not-enough")]
    assert doubt.about is About.SHAPE
    assert "measure the profiles" in doubt.advice
    assert recommendation(guessed).advised is Advised.MEASURE_MORE


def test_where_tracing_decides_test_pieces_tell(written):
    drawn = "between = 0.01\nplacing = 0.01\nheights = 0.01\ncalipers = 0.8"
    unsteady = build(model_row(read_project(written(clearance="0.5", spread=drawn))))
    (doubt,) = [f for f in unsteady.findings if f.code == "chance-low"]
    assert doubt.about is About.FIT
    assert recommendation(unsteady).advised is Advised.TEST_PIECES

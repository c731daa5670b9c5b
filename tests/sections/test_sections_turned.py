"""Things that may be turned on a lathe: it is asked before profiles are."""

from pathlib import Path

import pytest

from cradle.pipeline import model_thing
from cradle.project.reader import project_from_text
from cradle.sections.turned import TURNED, may_be_turned

ROUND = "".join(
    f'[[section]]\nheight = {z}\nmeasured = {{ form = "ellipse", width = {w}, depth = {w - 0.2} }}\n'
    for z, w in ((2, 31.3), (60, 24.0), (120, 53.9))
)
OVAL = ROUND.replace("width = 31.3", "width = 33")


def read(text):
    return project_from_text(text, file=Path("holder.toml"))


@pytest.mark.parametrize(
    ("text", "may_be"),
    [
        (ROUND, True),
        (OVAL, False),  # a hand's oval
        (ROUND.replace("ellipse", "rectangle"), False),
        (
            ROUND.replace("height = 2\n", "height = 2\nshift = [0, 0]\n"),
            False,
        ),  # it is said already how they lie
        (ROUND + '[[section]]\nheight = 40\noutline = "top.csv"\n', False),
    ],
)
def test_what_reads_the_same_both_ways_everywhere_may_be_turned(text, may_be):
    assert may_be_turned(read(text).sections) is may_be


@pytest.mark.parametrize("text", [ROUND, OVAL])
def test_where_nothing_tells_how_it_leans_that_is_asked_first(text):
    (told,) = (f for f in model_thing(read(text)).findings if f.code == "lean-not-known")
    assert told.advice.startswith(f"{TURNED}; else measure a profile") is (text is ROUND)
    assert "measure a profile of the left or right side" in told.advice
    settled = model_thing(read(text + '[loft]\nalign = "drawing"\n'))
    assert "lean-not-known" not in [f.code for f in settled.findings]

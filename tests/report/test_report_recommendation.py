"""Why something is advised, and how its chance is told."""

import pytest

from cradle.finding import About, Finding, Severity
from cradle.fit.chance_words import percent
from cradle.names import sentence
from cradle.report.recommendation import Advised, PieceToTry, recommend


@pytest.mark.parametrize(
    ("chance", "advised", "reason"),
    [(0.95, Advised.PRINT, "No problems were found."), (0.9, Advised.DECIDE, "95 % was asked for.")],
)
def test_the_reason_is_the_chance_where_it_is_too_low(chance, advised, reason):
    piece = PieceToTry(
        project_file="holder.toml", section="rim", clearance_mm=0.4, clearances_mm=(), noted=True
    )
    told = recommend([], chance=chance, goal=0.95, pieces=[piece])
    assert (told.advised, told.reason) == (advised, reason)


@pytest.mark.parametrize(
    ("things", "words"),
    [
        (
            [()],
            "The thing is taken not to lean where nothing measured tells it: if it does, measure how first.",
        ),
        (
            [("cup",)],
            "Cup is taken not to lean where nothing measured tells it: if it does, measure how first.",
        ),
        (
            [("cup",), ("jug",)],
            "Cup and jug are taken not to lean where nothing measured tells it: if one does, measure how first.",
        ),
    ],
)
def test_who_is_told_to_print_is_told_that_nothing_measured_tells_the_lean(things, words):
    """A thing that leans by 7 degrees was to be printed, its chance of fit that of things as they usually stand."""
    piece = PieceToTry(project_file="holder.toml", section="rim", clearance_mm=0.4, noted=True)
    found = [
        Finding(code="lean-not-known", severity=Severity.NOTE, message="not known", things=one)
        for one in things
    ]
    told = recommend(found, chance=0.95, goal=0.95, pieces=[piece])
    assert (told.advised, told.reason) == (Advised.PRINT, f"No problems were found. {words}")


def test_no_chance_is_told_as_certain():
    assert percent(0.964) == "96 %"
    assert percent(0.9999) == percent(1.0) == "more than 99 %"


@pytest.mark.parametrize(
    ("text", "told"), [("", ""), ("too tight", "Too tight."), ("Is it?", "Is it?"), ("stop!", "Stop!")]
)
def test_words_become_a_sentence_once(text, told):
    assert sentence(text) == told


@pytest.mark.parametrize(("things", "cut"), [("a", "a"), ("", "abc"), ("ac", "ac"), ("abc", "abc")])
def test_only_things_in_doubt_are_tried(things, cut):
    pieces = [
        PieceToTry(project_file=f"{name}.toml", section="low", clearance_mm=0.3, thing=name) for name in "abc"
    ]
    doubted = Finding(
        code="x", severity=Severity.WARN, message="it is so", things=tuple(things), about=About.FIT
    )
    steps = recommend([doubted], chance=0.9, goal=0.95, pieces=pieces).actions
    assert [name for name in "abc" if f"cradle pieces {name}.toml" in steps[0]] == list(cut)


@pytest.mark.parametrize("chance", [0.96, 0.4])
@pytest.mark.parametrize(
    ("about", "verdict"), [(About.LEAN, Advised.MEASURE_LEAN), (About.SHAPE, Advised.MEASURE_MORE)]
)
def test_what_no_test_piece_tells_is_measured_before_anything_is_printed(chance, about, verdict):
    piece = PieceToTry(project_file="holder.toml", section="rim", clearance_mm=0.4)

    def advised(*several):
        doubts = [
            Finding(code="doubt", severity=Severity.WARN, message="it is doubtful", about=one)
            for one in several
        ]
        return recommend(doubts, chance=chance, goal=0.95, pieces=[piece])

    told = advised(about)
    assert told.advised is verdict
    assert [("cradle make" in step, "cradle pieces" in step) for step in told.actions] == [(True, False)]
    assert advised(About.MEASURED).advised is Advised.TEST_PIECES
    assert advised(About.SHAPE, About.LEAN).advised is Advised.MEASURE_LEAN

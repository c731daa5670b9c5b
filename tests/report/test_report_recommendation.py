"""What is advised, why, and how its chance is told."""

import shlex
from dataclasses import replace

import pytest

from cradle.finding import About, Finding, Severity
from cradle.fit.chance_words import percent
from cradle.report.recommendation import Advised, PieceToTry, recommend

PIECE = PieceToTry(project_file="holder.toml", section="low", clearance_mm=0.3)
NOTED = replace(PIECE, noted=True)


def finding(severity, about=About.MEASURED):
    return Finding(
        code="c", severity=severity, message="the wall is thin", advice="make it thicker", about=about
    )


@pytest.mark.parametrize(
    ("findings", "chance", "advised"),
    [
        ([], 0.97, Advised.PRINT),
        ([finding(Severity.NOTE)], 0.97, Advised.PRINT),
        ([], 0.95, Advised.PRINT),
        ([], 0.9499, Advised.TEST_PIECES),
        ([finding(Severity.WARN)], 0.99, Advised.TEST_PIECES),
        ([finding(Severity.WARN, About.HOLDER)], 0.99, Advised.DECIDE),  # no ring shows a label
        ([finding(Severity.WARN, About.LOOKS), finding(Severity.WARN, About.HOLD)], 0.99, Advised.DECIDE),
        ([finding(Severity.WARN, About.FIT)], 0.99, Advised.TEST_PIECES),
        ([finding(Severity.WARN, About.HOLDER)], 0.94, Advised.TEST_PIECES),
        ([finding(Severity.WARN, About.HOLDER), finding(Severity.WARN)], 0.99, Advised.TEST_PIECES),
        ([finding(Severity.WARN), finding(Severity.FAIL)], 0.99, Advised.STOP),
    ],
)
def test_the_recommendation_follows_from_findings_and_chance(findings, chance, advised):
    found = recommend(findings, chance=chance, goal=0.95, pieces=[PIECE])
    assert found.advised is advised
    assert found.actions


def test_nothing_is_printed_in_full_before_the_test_pieces_were_heeded():
    found = recommend([], chance=0.01, goal=0.95, pieces=[PIECE])
    assert "cradle make holder.toml" in found.actions[-1]
    assert "Print the holder when its verdict says so" in found.actions[-1]
    assert recommend([], chance=0.99, goal=0.95, pieces=[PIECE]).actions[0].startswith("Print the holder")
    tried = recommend([], chance=0.01, goal=0.95, pieces=[NOTED])
    assert tried.advised is Advised.DECIDE
    assert not any("cradle pieces" in step or "cradle trial" in step for step in tried.actions)
    assert "cradle make holder.toml" in tried.actions[0]
    others = [replace(PIECE, project_file=f"{name}.toml") for name in "ab"]
    of_three = recommend([], chance=0.01, goal=0.95, pieces=[PIECE, *others]).actions[0]
    assert "holder.toml”, “cradle pieces a.toml” and “cradle pieces b.toml”." in of_three
    of_two = recommend([], chance=0.01, goal=0.95, pieces=[NOTED, others[0]])
    assert of_two.actions[0].startswith(
        "Print the test pieces, or one ring at first: “cradle pieces a.toml”."
    )
    assert "cradle make holder.toml" in of_two.actions[-1]


@pytest.mark.parametrize(
    ("file", "section", "typed"),
    [
        ("holder.toml", "belly", "holder.toml --section belly --clearance 0.3 --seen tight"),
        (
            "my holder.toml",
            "the belly",
            '"my holder.toml" --section "the belly" --clearance 0.3 --seen tight',
        ),
        (
            "C:\\my things\\mug.toml",
            "rim",
            '"C:\\my things\\mug.toml" --section rim --clearance 0.3 --seen tight',
        ),
        ("../a/b.toml", "it's", '../a/b.toml --section "it\'s" --clearance 0.3 --seen tight'),
    ],
)
def test_the_command_that_records_a_trial_is_whole_and_can_be_typed(file, section, typed):
    piece = replace(PIECE, project_file=file, section=section)
    found = recommend([], chance=0.5, goal=0.95, pieces=[piece])
    (step,) = (step for step in found.actions if "cradle trial" in step)
    assert f"“cradle trial {typed}”" in step
    command = step.partition("“")[2].partition("”")[0]
    assert shlex.split(command)[2:5] == [file, "--section", section]  # as a POSIX shell takes it apart


@pytest.mark.parametrize(
    ("chance", "advised", "reason"),
    [(0.95, Advised.PRINT, "No problems were found."), (0.9, Advised.DECIDE, "95 % was asked for.")],
)
def test_the_reason_is_the_chance_where_it_is_too_low(chance, advised, reason):
    told = recommend([], chance=chance, goal=0.95, pieces=[NOTED])
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
    found = [
        Finding(code="lean-not-known", severity=Severity.NOTE, message="not known", things=one)
        for one in things
    ]
    told = recommend(found, chance=0.95, goal=0.95, pieces=[NOTED])
    assert (told.advised, told.reason) == (Advised.PRINT, f"No problems were found. {words}")


def test_no_chance_is_told_as_certain():
    assert percent(0.964) == "96 %"
    assert percent(0.9999) == percent(1.0) == "more than 99 %"


@pytest.mark.parametrize(("things", "cut"), [("a", "a"), ("", "abc"), ("ac", "ac"), ("abc", "abc")])
def test_only_things_in_doubt_are_tried(things, cut):
    pieces = [replace(PIECE, project_file=f"{name}.toml", thing=name) for name in "abc"]
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
    def advised(*several):
        doubts = [
            Finding(code="doubt", severity=Severity.WARN, message="it is doubtful", about=one)
            for one in several
        ]
        return recommend(doubts, chance=chance, goal=0.95, pieces=[PIECE])

    told = advised(about)
    assert told.advised is verdict
    assert [("cradle make" in step, "cradle pieces" in step) for step in told.actions] == [(True, False)]
    assert advised(About.MEASURED).advised is Advised.TEST_PIECES
    assert advised(About.SHAPE, About.LEAN).advised is Advised.MEASURE_LEAN
